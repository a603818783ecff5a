"""What looks at a whole option.

``evaluate.py`` works an option out on demand, one node for each thing; ``totals.py`` adds up what needs more than one
trade; ``problems.py`` finds faults between parts; ``compare.py`` sets options side by side; ``aim.py`` reaches a
target by one input and says which inputs drive a figure. Money in two currencies is never compared. A driver is a
tenth of its input, but for levels, temperatures, angles, pH and inputs at 0, whose zero is a convention: they go by a
stated step, which the answer names.
"""
