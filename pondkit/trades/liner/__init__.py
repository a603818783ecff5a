"""Liners: size, panels and rolls, underlay and overlay with pads, the edge round the rims, strips under links, uplift.

How to read it, from inputs to pictures (all in SI units; a liner is a rectangle, its length along its turn):

- ``inputs.py`` is what a person enters: liners with the pools that they cover, rolls, fabrics, laps, the edge.
- ``compute.py`` begins at ``compute``. It asks ``liners`` for the pools that each liner covers; ``edge`` for the edge
round the rims, its folds, and the strips under falls and channels; ``fabrics`` for the pads; it computes the uplift
itself. Then ``liners`` gives the figures of each liner (size, order, mass), for which it asks ``panels`` (how it is
made up of stock of one size, or of the rolls that can be bought) and ``fabrics`` (strips of underlay and overlay); at
the end ``fabrics`` cuts strips and pads of all liners from rolls.
- ``formulas.py`` holds the relations, ``cautions.py`` what to heed and its limits.
- ``results.py`` is all that other trades, pictures and papers read; ``pictures.py`` draw from it; ``words.csv`` names
the keys. The search for the turn of least area is in ``study/aim.py``, as it evaluates the project.

Choices, with their reasons:

- An anchor trench takes back, down, across and up, or the edge entered where that is more; this width is the liner's
edge everywhere: in its size, its order, the rule of thumb and as built. It counts as lying level, which is exact square
to the rim and a little more on the slant. One trench goes round all pools of a liner, none between them: its line is
each rim moved outward; where these lines meet they are joined to one, where they do not, by common tangents. Its depth
is under the level of the rim, so that ground that stands higher there is not counted; it is dug and filled back in, and
shares no ground with other digs.
- A turned-up edge is compared with the existing ground along its own line, not with the face of the dig: soil that
stands higher further back comes down to it.
- The strip under a channel is as long as the bed, never less than the straight way, and as wide as the girth of bed and
banks; without a bank entered its sides go as high as the water runs.
- Rolls of fabric are counted over all liners: strips by the cutting plan that pipe has, pads from trimmings, then from
the ends of rolls, the smaller first, then from a further roll. Pads are cut from the overlay where there is one, as
they lie over the liner. The order by area is the area that strips and pads take off the rolls, and a price by area is
of that; a price by the roll replaces it.
- Uplift is computed at the shelf or floor where gravel holds least, not at the lowest: gravel on a floor does not hold
down a bare shelf, and none lies on faces. The weight of stone is a figure of its own, taken off nothing; a stone placed
where the liner lies above the groundwater is left out, one without a place is counted, with a caution.
- Strips of a liner are joined end to end by cutting strip after strip from roll after roll: each end of a roll costs
one lap, so that this takes the fewest rolls; pieces are two laps long at least. Joins of neighbours are kept a lap
apart by the order of the strips, by a shorter first piece, or by up to three rolls more; where none of these does, a
caution says so. A strip is joined from one kind of roll only; for over 400 strips no order is searched for.
- Excess liner in folds is the way down a face less its level run, times the angle by which the rim turns: exact round a
level floor.

Known limits: pads are put into rows by a rule of thumb and their rolls are bounded by area; where fewer may do, a
caution says so. Pads against burrowing lie below the waterline only. What is trimmed off panels of liner is not used
for pads. The longest ways over a liner are searched for along lines and between them: how near they come to lines a
centimetre apart is measured by ``tests/bench/liners.py`` and stated in DEVELOPERS.md.
"""
