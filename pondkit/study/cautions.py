"""Cautions on figures of the option as a whole."""

from collections.abc import Iterable

from pondkit.core import tables
from pondkit.core.caution import CHECK, REMINDER, Caution, CautionRule
from pondkit.core.result import Holder

ELECTRICITY_NEAR_WATER = CautionRule(
    "electricity_near_water",
    REMINDER,
    "total_net_volume",
    "A pump will stand in or by this water: electricity near water needs residual-current (ground-fault) "
    "protection and a licensed "
    "electrician; local code decides.",
)
FILL_SETTLES = CautionRule(
    "fill_settles",
    REMINDER,
    "fill_volume",
    "Part of the bank must be built up: filled ground settles; compact it in layers. Only what lies inside the "
    "rim line counts here, and under links; the "
    "slope outside the rim is counted where the bank's crest is entered (Earth).",
    most=0.01,  # m³: less than a wheelbarrow's load of bank is no fill
)
CURRENCIES_DIFFER = CautionRule(
    "currencies_differ",
    CHECK,
    "total_price",
    "The options' prices are in different currencies ({currencies}): they are not compared. Enter the prices of "
    "all options in one.",
)


def reminders(holders: Iterable[Holder]) -> dict[str, tuple[Caution, ...]]:
    """What is true of every job of this kind: each reminder that some figure calls for, once, by the group of that
    figure."""
    found: dict[str, tuple[str, Caution]] = {}
    for holder in holders:
        for key, figure in holder.entries():
            for each in figure.cautions:
                if isinstance(each, Caution) and each.rank == REMINDER:
                    found.setdefault(each.key, (tables.group_of(key), each))
    grouped = {group: tuple(each for own, each in found.values() if own == group) for group in tables.GROUPS}
    return {group: told for group, told in grouped.items() if told}
