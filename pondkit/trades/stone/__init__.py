"""Stone: boulders and rows of edging, the water that they displace, the ground under them, and their slings.

How to read it, from inputs to pictures (all in SI units; a kind of boulder is all boulders of one size):

- ``inputs`` is what a person enters; ``new_parts`` gives the values that a new boulder or row begins with.
- ``compute`` begins at ``compute``: boulders and edging, and what they are together in each pool and to order. It asks
``boulders`` for the figures of each kind, and for those that stand on or in each other; rows of edging are computed in
``compute`` itself. The seat of a row outside a pool is asked for before that, as it widens the pool's dig and liner.
- ``bearing`` (the ground under boulders, their bedding, and how they sit on shelf, floor or face) and ``slings`` each
have a ``compute`` of their own, which takes what ``compute`` gave.
- ``formulas`` holds the relations, ``cautions`` what to heed and its limits, ``results`` all that other trades and
papers may read; ``pictures`` draw from that; ``words.csv`` names the keys.

Choices:

- A boulder with a place displaces water by the depth where it stands, lying on its longest and middle axes; one
without a place by the share under water that is entered.
- Boulders have no turn: the longest side lies eastward. In plan a block is a rectangle, any other form an ellipse.
- Slings and bearing are computed with the high mass. A coefficient from memory has a range, and a limit counts as
passed where either end of the range passes it.
"""
