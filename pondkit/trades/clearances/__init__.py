"""Clearances: the distance of digs, heaps and machines to what they must keep clear of, the way in, and boulders over
other works.

The words: a *keep-out* is a tree, building, service, boundary or outfall with its clearance. A *footprint* is the plan
of a dig, heap, machine, boom or way in. The *works* are mouths, pipes, dens, pits, structures and walls.

How to read it: ``inputs.py``; ``compute.py``, where keep-outs and the way in come first and boulders over works last;
``formulas.py``, ``cautions.py``, ``results.py``, ``pictures.py``.

Choices, with their reasons:

- A dig reaches as far out as it meets the ground anywhere along its outline, and a machine as far as its furthest
  corner in any direction: both are on the safe side.
- A keep-out that several works come too near to counts once; each pair is named.
- A boom need not keep clear of what lies in the ground, nor the way in of the boundary, which it crosses.
"""
