"""Animals: the requirements of each kind of animal (the brief), checked against the design.

How to read it: ``inputs.py`` holds the brief, kind by kind, and the ways out of the pools. ``compute.py`` begins at
``compute`` and checks, kind by kind, water and banks, then passages (from the tunnels' result), ice at the mouths, and
the fence. Each check is a margin in ``formulas.py``: what the design gives less what is wanted, so that a requirement
is met at 0 or more. ``cautions.py`` has the caution for each that is not met. ``results.py`` is what papers and
``pictures.py`` read. The keys of its figures call a requirement a demand.

Choices, with their reasons:

- No standard gives these requirements, so none is shipped: each is a person's own input.
- A requirement that is entered and cannot be checked counts as not checked, never as met.
- The water depth wanted is checked at the lowest water; the greatest depth, and the floors of dens, at the highest.
- Ice at a mouth is checked at the water level, between lowest and highest, that leaves least of the mouth open, be it
  to water below the ice or to air above it.
- A way out counts only if it lies near its pool's waterline, is no steeper than the kind climbs, and is not on a steep
  bare liner.
"""
