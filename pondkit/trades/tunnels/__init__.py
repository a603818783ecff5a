"""Pipe passages between water and den: their alignment, what is cut and bought, water, air and swims in them, flushing.

How to read it, from inputs to pictures:

- ``inputs.py`` is what a person draws: nodes (mouth, junction, gate, den), runs between them, pipe, measured
  fittings.
- ``compute.py`` begins at ``compute`` and goes through the parts in this order: ``network`` (which runs there are),
  ``runs`` (where a mouth comes out; what a run lies in), ``joints`` (which fittings make the angles), ``alignment``
  (all of it together, and the line as its fittings make it), ``cuts`` (what the saw cuts and what is
  bought), then ``swims`` (bores, volumes, swims), ``water_and_air`` (with the joints that must be watertight),
  ``flotation`` and ``flushing``.
- ``formulas.py`` holds the relations, ``cautions.py`` what to heed and its limits, ``fittings.csv`` the sizes of
  fittings.
- ``results.py`` is all that other trades, pictures and papers read; ``pictures.py`` draw from it; ``words.csv`` names
  the keys; ``new_parts.py`` draws new nodes, runs and fittings.

Choices, with their reasons:

- Socket joints take no angle. A bend is made by one listed fitting, the line beyond it turned, or by two turned
  against each other, the line beyond shifted: the fewest fittings first, then the least move. Mouths and
  penetrations never move.
- A mouth within an inch of the face stays as drawn; in the water it moves back along its run to the face, in the
  ground it is carried on up to a foot; further in there is no mouth, and that is a problem.
- Water passes a node once it stands above the pipe's invert; a gate holds no water back, as one left open drains
  the pool.
- A swim is the longest of all routes under water at the highest water, with each mouth blocked and each gate shut
  in turn.
- The alignment is compared by value: what does not move is not worked out again. Its graph is frozen and never
  written to.
- The level that decides on the best way out for air or water is found by a search of its own: networkx sums lengths
  along a way, here the greatest level on it counts.
- Sizes not in print are named as missing, and entered as an own pipe: corrugated pipe, sewer pipe over 15 in. A
  fitting without a row is estimated from that of 6 in pipe in proportion to the outside diameter, with its range
  and a caution.
"""
