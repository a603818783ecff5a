"""Lifting: what the machine may lift from where it stands, and in which order the stones are set.

Read ``inputs``, ``formulas``, ``chart`` (never read between rows or past them), ``positions`` (where a machine may
stand, and the order in which it sets), ``plan`` (figures and problems of each lift), ``compute`` (gathers what is dug,
built and heaped), ``cautions``, ``results``, ``pictures``.

Choices:
- The worse of the neighbouring rows of the chart counts, at pick-up, in the swing and at the place, over front or side.
- Stones in the basin are set before those of the rim; within each the far position and its far stones come first.
- What is heaped before the lifts is no place for a machine; what comes after is only said.
"""
