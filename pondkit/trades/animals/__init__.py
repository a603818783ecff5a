"""What the animals need, checked against what the design gives them.

How to read it: ``inputs.py`` is the brief, kind by kind; ``compute.py`` checks it, requirements on passages
last; ``formulas.py`` holds what there is over what is wanted, met at 0 or more; ``cautions.py`` says at each
figure that it is not met; ``results.py`` is what papers and ``pictures.py`` read.

Choices, with their reasons:

- No standard gives these requirements, so none is shipped: each is a person's own input.
- What is filled in and cannot be checked counts as not checked, never as met.
- Depths are held at the lowest water, what may be too deep and dens at the highest; ice is held against a mouth at that
  level of the water which leaves least of it open, in water or in air.
- A way out counts only near its pool's waterline, no steeper than the kind climbs, and not on a steep bare liner.
"""
