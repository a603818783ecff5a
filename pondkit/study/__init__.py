"""Computations on a whole option.

``evaluate.py`` computes an option on demand, with one node for each result; ``totals.py`` adds up figures that need
more than one trade; ``problems.py`` finds faults between parts; ``compare.py`` compares options; ``aim.py`` reaches a
target by moving one input, and finds the inputs that drive a figure; ``new_parts.py`` adds a part where there is room
for it (``site_room.py``). Money in two currencies is never compared. The effect of an input is found by changing it by
a tenth, except for levels, temperatures, angles, pH and inputs at 0, whose zero is a convention: these change by a
fixed step, which the answer names.
"""
