"""Earthwork: what is dug besides the pools, where soil and stone go, and what the crew digs by.

Read it from ``inputs`` (dig: instrument, stakes, survey; earth: soil, berm, machine, trucks) over ``formulas``
(relations only) and ``results`` to ``compute``, whose modules are called one by one from ``study/evaluate.py``:
``excavation`` with structures in the ground, ``stream_beds``, ``berms``, ``soil`` with the banks outside the rims and
the haul of stone, the ``levels`` to dig by, ``setting_out``, and the hole ``as_built``. ``cautions`` holds every
caution, ``pictures`` what is drawn, ``new_parts`` stakes and tape lines as they are first drawn.

Choices, with their reasons:

- Trenches, pits, excavations and stream beds are sampled in small parts and share ground once, at the deepest: sloped
  sides of any plan meet uneven ground, and a closed form would hold for level ground alone. Tests hold them against
  fine grids.
- Nothing of stream beds, structures and banks depends on a tier's depth, so that a dragged tier works none of them out
  anew.
- A coefficient from memory, or on which tables differ, has a share within which it may lie (``shrink_within``); shrink
  meets a figure by several ways and so goes into one relation each (``left_compacted``, ``over_bank``).
- Machine time is the usual bulk output; its high end holds trimming, as printed rates of small digs are a third of bulk
  ones.
- Between levels found, the hole as built is the drawing moved by the mean of the differences, nearer ones counting
  more; how far the mean may be off is said by Student's distribution, with the drawing as one more level, so that one
  level says little.
- Outer banks are worked out at the ends of their share too: crest and slope change the geometry, not a factor.
"""
