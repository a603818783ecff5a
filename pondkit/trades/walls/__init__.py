"""Dry-stacked walls: pressure of the backfill, whether every joint holds, and the stone to order.

Start with ``inputs`` and ``formulas``. ``joints`` works out the forces on one joint and its figures, ``compute`` every
joint of every wall, and the stone; ``results`` are their types, ``cautions`` the cautions, ``pictures`` the sections.
``new_parts`` makes a new wall, as wide as it must be to hold.

Choices, with their reasons:

- Each joint is worked out with water behind the wall and the pool empty, and drained; the worse one counts. The soil
  presses on an upright plane behind the wall.
- Ranges come from working the whole wall out at every corner of what soil and stone may be. Entries with ranges of
  their own would not do: the friction of the soil is in several of them, and must be the same in all.
- A joint that fails as entered has an 'act' caution; one that fails only at the unsafe end of a range has a 'check'.
- Not checked: the slope that wall and ground make together, settlement, frost, washing out. The cautions say so.
"""
