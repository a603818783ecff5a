"""Pools: tiers and pits inside an outline, the surfaces that follow from them, and every figure of water and cut.

How to read it: ``inputs`` (pool, tier, pit; links) -> ``surfaces`` lays out four surfaces (finished, under the gravel,
liner, dig), finds where the dig's bank meets the ground, and the temporary slopes of the cut -> ``compute`` makes the
``results`` by ``formulas`` -> ``pictures`` draw them. What to heed is in ``cautions``; ``new_parts`` draws new pools,
tiers, pits and links.

Choices:
    Depth at a place is the largest of the profiles of pool and pits there, so that a pit is only where it is deeper.
    Gravel lies on level parts alone: on a tier with a shelf, and on the last; any other tier holds none. A bed goes
    down in the plane of the face in front of it, without a curb, and ends at the face behind it. Where it is deeper
    than the bed of the next level part, it goes on under that face and rises upright, by a lip, where the next part
    begins: no level part has more or less under it than was entered for it.
    Gravel of one outline that would reach under a deeper level part of another (a pit's under its pool's, or the other
    way) is refused: depth is the largest of both profiles, so that the deeper bed would be the other's too, with gravel
    that nobody entered there. A lip between two outlines would have to be drawn in areas, digs and lines alike.
    An upright edge of a pit counts as a bank: it is one for whoever falls in.
    A jagged outline is moved by stages (``geometry/region``): areas then are good to 0.02 % of the water surface.
    What no tier changes (outline, rim, highest ground) is remembered by itself, so that a dragged tier costs 2 ms.
"""
