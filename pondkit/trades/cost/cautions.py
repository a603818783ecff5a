"""Cautions on a rough price."""

from pondkit.core.caution import CHECK, REMINDER, CautionRule

ROUGH_TOTAL = CautionRule(
    "rough_total",
    REMINDER,
    "total_price",
    "Rough: quantities times the prices entered; no labour, machine hours, delivery or tax unless a price or "
    "rate includes them.",
)
NOT_IN_SUM = CautionRule("not_in_sum", CHECK, "total_price", "Not in the sum, as no price is entered: {names}.")
PRICE_OF_NOTHING = CautionRule(
    "price_of_nothing", CHECK, "total_price", "Priced, but this option has none of it: {names}."
)
LIST_OVER_RATE = CautionRule(
    "list_over_rate", CHECK, "total_price", "Priced by the price list, and not by the rate: {names}."
)
ROLLS_OVER_AREA = CautionRule(
    "rolls_over_area", CHECK, "total_price", "The liner is priced by its rolls, and not by its area: {names}."
)
PRICED_TWICE = CautionRule(
    "priced_twice",
    CHECK,
    "total_price",
    "Lines that may price the same thing twice: {names}; keep both only where both are paid.",
)
DIG_PRICED_TWICE = CautionRule(
    "dig_priced_twice",
    CHECK,
    "total_price",
    "The dig is priced by its volume and by the machine's hours too: keep both only where both are paid.",
)
LESS_THAN_ORDERED = CautionRule(
    "less_than_ordered",
    CHECK,
    "line_amount",
    "The takeoff's own order, with its allowance, laps and stock lengths, is {order}: more than is bought here.",
)
LOAD_WITHOUT_SIZE = CautionRule(
    "load_without_size",
    CHECK,
    "total_price",
    "A load has a price but no size, so that its deliveries are not in the sum: {names}. Enter how many units come "
    "in a load.",
)
