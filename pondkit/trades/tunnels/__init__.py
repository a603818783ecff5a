"""Tunnels: the pipe passages in which animals go from a pool's water to a den.

The words: a *run* is a straight pipe from one *node* to another. A node is a *mouth* (the open end, in the face of a
pool or on land), a *junction* (a bend, a branch or a capped end), a *gate*, or a *chamber* (a den). A *joint* is all
the fittings at one node. The *invert* is the lowest point of the bore. The *face* is the finished surface of a pool's
side, shelf or floor. The *watertight line* is the highest water and the seal margin over it.

How to read it, from inputs to pictures:

- ``inputs.py``: nodes and runs as a person draws them, pipe, and fittings that were measured.
- ``compute.py``: begin at ``compute``. It calls, in this order, ``network`` (which runs there are), ``runs`` (where
  each mouth comes out, and what surrounds each run), ``joints`` (the fittings at each node), ``alignment`` (runs and
  joints together, and the line moved to suit the fittings) and ``cuts`` (cut lengths and stock lengths); then ``swims``
  (narrowest bore and longest swims), ``water_and_air`` (with the pipe and joints that must be watertight),
  ``flotation`` and ``flushing``.
- ``formulas.py``: the relations with their sources. ``cautions.py``: the cautions and their limits. ``fittings.csv``:
  sizes of fittings. ``words.csv``: label, unit and meaning of each figure.
- ``results.py``: all that other trades, pictures and papers read. ``pictures.py`` draws from it.
- ``new_parts.py``: starting values of nodes, runs and fittings that the person adds.

Choices, with their reasons:

- Socket joints take no angle. The bend drawn is made from one listed fitting, with the line beyond it rotated to suit,
  or from two that are rotated against each other, with the line beyond it shifted. The fewest fittings come first,
  then the least move. Mouths, and runs that penetrate a liner, never move.
- A mouth within an inch of the face stays as drawn. One in the water is moved back along its run to the face, one in
  the ground is carried on to it, by a foot at most. Deeper in the ground there is no mouth, and that is a problem.
- Water passes a node once it stands above the pipe's invert there. A gate holds no water back, as one that is left
  open drains the pool.
- Dens and watertight joints are held against the highest water of the pools that they are connected to, however high
  the passage rises on its way.
- A swim is the longest of all routes under water at the highest water. Each mouth is also taken as blocked and each
  gate as shut in turn: then the animal has to come back.
- Cover and uplift are taken with empty pipe and empty dens; the water in them is not relied on.
- An alignment is compared by its values, so that figures of a run that does not move are not computed again.
- Sizes not found in print are named as missing and entered as an own pipe: corrugated pipe, sewer pipe over 15 in. A
  fitting without a row is estimated from that of 6 in pipe in proportion to the outside diameter, with its range and
  a caution.
"""
