"""Dry-stacked walls: pressure of the backfill, and what every joint holds.

Read ``inputs``, ``formulas``, ``joints`` (forces on one joint, and its figures), ``compute`` (every joint of every
wall, and the stone as it is ordered), ``cautions``, ``results``, ``pictures``; ``new_parts`` draws a wall that holds.

Choices:
- Each joint is worked out wet and drained, and the worse counts; the soil presses on an upright plane behind the wall.
- Ranges are worked out at every corner of what soil and stone may be, not by corners of
  single figures, which share causes.
- What fails as entered is to be acted on; what fails only at the unsafe end of a range is to be checked.
"""
