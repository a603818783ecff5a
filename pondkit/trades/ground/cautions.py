"""Cautions of the existing ground: of a level book, its readings and its misclosure."""

from pondkit.core.caution import ACT, CHECK, CautionRule

MISCLOSED = CautionRule(
    "misclosed",
    ACT,
    "misclosure",
    "The level book misses its closing level by more than is allowed: its levels are not used.",
)
MISCLOSURE_NOT_JUDGED = CautionRule(
    "misclosure_not_judged",
    CHECK,
    "misclosure",
    "No misclosure allowed is entered: judge for yourself whether the book closes well enough.",
)
BOOK_NOT_CLOSED = CautionRule(
    "book_not_closed",
    CHECK,
    "backsights_less_foresights",
    "No closing level is entered: a wrong reading at a change point would not be noticed.",
)
NOTHING_SPREAD = CautionRule(
    "nothing_spread",
    CHECK,
    "backsights_less_foresights",
    "No misclosure is spread over the stands: without a closing level none is known.",
)
BOOK_ROD_NEGATIVE = CautionRule(
    "book_rod_negative",
    CHECK,
    "backsights_less_foresights",
    "Read below 0 at {names}: only a rod held upside down against something overhead reads so. Else the sign is "
    "wrong, and so is every level that depends on it.",
)
