"""Pools: tiers and pits inside an outline, the surfaces that follow from them, and the figures of their water and dig.

Start with ``inputs``: a pool with its tiers and pits, and the links between pools. ``surfaces`` lays out what a pool
is made of (finished surface, surface under the gravel, liner, dig) and finds where the dig meets the existing ground.
``compute`` works out the ``results`` by ``formulas``, temporary slopes of the cut among them. ``cautions`` holds the
cautions, ``pictures`` the bars of zones and the curve of water by level; ``new_parts`` makes new pools, tiers, pits
and links.

Choices, with their reasons:

- Depth at a place is the largest of the profiles of pool and pits there, so that a pit counts only where it is deeper.
- Gravel lies on level parts alone: on a tier with a shelf, and on the last one. A bed goes down in the plane of the
  face in front of it, without a curb, and ends at the face behind it. Where it is deeper than the bed of the next
  level part, it goes on under that face and rises upright, by a lip, where the next part begins: no level part has
  more or less gravel under it than was entered for it.
- Gravel of one outline that would reach under a deeper level part of another (a pit's under its pool's, or the other
  way) is refused. Depth is the largest of both profiles, so that the other outline would get the deeper bed too, with
  gravel that nobody entered there. A lip between two outlines would have to be drawn in areas, digs and lines alike.
- An upright edge of a pit counts as a bank, as people and animals can fall over it.
- A jagged outline is moved inward in stages (``geometry/region``): areas are then good to 0.02 % of the water surface.
- Depth of cut is measured from the highest ground along the edge of the dig, where people stand over it: on falling
  ground that is higher than at the waterline by the fall of the ground over the bank.
- What no tier changes (outline, rim, highest ground) is remembered by itself, so that dragging a tier takes 2 ms.
"""
