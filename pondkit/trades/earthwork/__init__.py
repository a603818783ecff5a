"""Earthwork: excavation besides the pools, where soil and stone go, and the levels and lines that the crew digs by.

Start with ``inputs``, two parts of an option: ``Dig`` (levels, setting out, survey) and ``Earth`` (soil, berm,
machine, trucks). ``formulas`` holds the relations, ``results`` the result types. The modules of ``compute`` are called
one by one from ``study/evaluate.py``: ``excavation`` (trenches, pits, structures), ``stream_beds``, ``berms`` (and the
banks outside the rims), ``soil`` (its balance, and the stone by the load), ``levels`` to dig by, ``setting_out``, and
the ``as_built`` survey. ``cautions`` holds every caution, ``pictures`` what is drawn, ``new_parts`` stakes, tape lines
and levels as they are first drawn.

A volume of soil is bank measure (as it lies in the ground), loose (in a heap or truck) or compacted (in a berm, a bank
or a trench). "Bank" alone is otherwise an embankment.

Choices, with their reasons:

- Excavations are summed over small parts of their plan: sloped sides of any plan meet uneven ground, and a closed form
  would hold on level ground alone. Where two excavations overlap, the ground is counted once, down to the deeper
  bottom. Tests hold them against fine grids.
- Stream beds, structures and banks depend on no tier's depth, so that none of them is worked out again when a tier is
  dragged.
- A coefficient from memory, or on which tables differ, has a range, entered as a share of itself (``shrink_within``).
  Shrink enters a figure in several terms, all of which must take the same value at once: such a figure is one relation
  (``left_compacted``, ``haul_bank``), not a sum of entries.
- Machine time is the usual bulk output; trimming raises its high end only, as printed rates of small digs are a third
  of bulk ones.
- Between the levels measured, the hole as built is the drawing moved by their mean difference, in which nearer ones
  count more. How far that mean may be off is given by Student's distribution, with the drawing as one more measurement
  of no difference: a single level then leaves a wide range.
- The range of an outer bank is worked out with crest and slope at both ends of their shares, as both change its shape.
- Trenches of pipe and walls and pits of dens are counted with upright sides: slopes and shoring that keep people safe
  are not proposed, and cautions say so.
"""
