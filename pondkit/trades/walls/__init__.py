"""Dry-stacked walls: pressure of the backfill, and what every joint holds.

Read ``inputs``, ``formulas``, ``forces`` (on one joint), ``joints`` (its figures), ``compute`` (every joint of every
wall), ``stonework`` (stone as it is ordered), ``results``, ``pictures``.

Choices:
- Each joint is worked out wet and drained, and the worse counts; the soil presses on an upright plane behind the wall.
- Ranges are worked out at every corner of what soil and stone may be, not by corners of
  single figures, which share causes.
- What fails as entered is to be acted on; what fails only at the unsafe end of a range is to be checked.
"""
