"""Liners under the pools: size, rolls and panels, underlay and overlay, pads, strips under links, edge, groundwater.

How to read it, from inputs to pictures:

- ``inputs.py`` is what a person enters: liners with the pools that they cover, rolls, fabrics, laps, the edge.
- ``compute.py`` begins at ``compute`` and goes through the parts in this order: ``edge`` (each liner with the pools
over it, its folds, and what lies round it), uplift and the strips under links, then ``liners`` (one liner: size,
order, mass), which asks ``panels`` (seams in stock of one size) or ``plan`` (the rolls that can be bought) and
``fabrics``, whose strips and pads ``plan`` cuts from rolls.
- ``formulas.py`` holds the relations, ``cautions.py`` what to heed and its limits.
- ``results.py`` is all that other trades, pictures and papers read; ``pictures.py`` draw from it; ``words.csv`` names
the keys. The search for the turn of least area stands in ``study/aim.py``, as it evaluates the project.

Choices, with their reasons:

- An anchor trench takes back, down, across and up, or the edge entered where that is more; this is the liner's edge
everywhere: size, order, rule, as built. On its lines and in the underlay it counts as lying level, which is exact
square to the rim and a little more on the slant. One trench goes round all pools of a liner, none between them: moved
rims that meet are one, others are joined by their tangents. Its depth is under the rim's level, so ground that stands
higher there is not counted; it is dug and filled in again, and shares no ground with other digs.
- A turned-up edge is held against the existing ground along its own line, not as the dig's face leaves it: soil that
stands higher further back comes down to it.
- A channel's strip takes the bed's own length, never less than the straight way, and the girth of bed and banks;
without a bank its sides go as high as the water runs.
- Rolls of fabric are counted over all liners: strips by the cutting plan that pipe has, pads from trimmings, then from
roll ends, the smaller first, then from a further roll. Pads are cut from the overlay where there is one, as they lie
over the liner. The order by area is what strips and pads take off the rolls, and the rate prices that; a price by the
roll takes its place.
- Uplift goes by the level part where gravel holds least, not by the lowest: gravel on a floor excuses no bare shelf,
and none lies on faces. Stone is a weight of its own, taken off nothing; a stone placed where the liner lies above the
groundwater is left out, one without a place is counted and said.
- Strips of a liner are joined end to end by feeding roll after roll into strip after strip: each roll boundary costs
one lap, so that is the fewest rolls; pieces are two laps long at the least. The order then keeps neighbours' joins a
lap apart, with a first piece cut shorter, or up to three rolls more, where it must; else a caution says so. A strip is
joined from one kind of roll only; over 400 strips no order is looked for.
- Folds are the way down a face less its level run, times the angle by which the rim turns: exact round a floor that
lies flat.

Known limits: pads are put into rows by a rule of thumb, their rolls are bounded by area, and a caution says where
fewer may do; pads against burrowing lie under the waterline only; what is trimmed off liner panels serves no pad. A
liner's longest ways are looked for along and between lines: how near they come to lines laid every centimetre is
measured by ``tests/bench/liners.py`` and stands in DEVELOPERS.md.
"""
