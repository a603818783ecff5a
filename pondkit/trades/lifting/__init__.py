"""Lifting: what the machine may lift from where it stands, and in which order the stones are set.

How to read it, from inputs to pictures (all in SI units; radii are level, from the centre of slewing):

- ``inputs`` is what a person enters: the machine with its chart, its positions, what it carries besides the stone.
- ``compute`` begins at ``compute``: it gathers the stones to lift, and what is dug, built and heaped round the machine;
has the ``positions`` checked (ground, distance from every dig), then each stone lifted from the best of them by the
``chart``; and puts the lifts in order, with the machine's way out.
- ``formulas`` holds the relations, ``cautions`` what to heed, ``results`` what passes between these modules and what
other trades and papers may read; ``pictures`` draw from that; ``words.csv`` names the keys.

Choices:

- The chart is not interpolated and not read past its rows: the least rating of the rows next to a radius and a height
counts, at pick-up, in the swing and at the set; beyond the front the lesser of front and side.
- Stones in a basin are set before those on its rim. Within each group the position furthest from the way in comes
first, and of its stones the furthest from the machine.
- No machine stands on what is heaped before the lifts; where something is heaped after them, a caution says so.
"""
