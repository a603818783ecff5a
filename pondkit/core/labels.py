"""Label, group, units and meaning of every figure, gathered from the trades' tables of words; a figure is known by its
key.
"""

from functools import cache

from pondkit.core.tables import Row, gathered

GROUPS = {
    "totals": "Totals",
    "basin": "Basin",
    "ground": "Ground as it is",
    "dig": "Dig",
    "earth": "Soil, berm and trucks",
    "rod": "Levels to dig by",
    "marks": "Setting out",
    "as_dug": "As-built survey",
    "lining": "Liner and fabric",
    "stone": "Stone",
    "lifting": "Lifting",
    "bearing": "Bearing of stone",
    "walls": "Dry-stacked walls",
    "tunnels": "Tunnel pipe",
    "water": "Pumps and pipes",
    "animals": "Animals' brief",
    "intake": "Intake",
    "falls": "Falls and oxygen",
    "levels": "Levels, pumps on and off",
    "filter": "Filter, waste and oxygen",
    "turnover": "Turnover and doses",
    "price": "Price",
}
# In this order the summary and the price list go through the figures: what compares depth layouts first, money last.
ORDER = (
    "basin",
    "totals",
    "ground",
    "dig",
    "earth",
    "lining",
    "stone",
    "lifting",
    "walls",
    "bearing",
    "tunnels",
    "water",
    "intake",
    "levels",
    "falls",
    "filter",
    "turnover",
    "animals",
    "rod",
    "marks",
    "as_dug",
    "price",
)


@cache
def rows() -> dict[str, Row]:
    """Rows of all tables of words by key, group after group."""
    found = gathered("words")
    if unknown := {row["group"] for row in found.values()} - set(ORDER):
        raise ValueError(f"words.csv names groups that core/labels.py does not have: {', '.join(sorted(unknown))}")
    return dict(sorted(found.items(), key=lambda item: ORDER.index(item[1]["group"])))


def group_of(key: str) -> str:
    """Key of the group that a figure stands in."""
    return rows()[key]["group"]
