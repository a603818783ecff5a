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
# In this order the summary and the price list go through the figures.
ORDER = (
    "basin",
    "ground",
    "dig",
    "totals",
    "price",
    "lining",
    "stone",
    "lifting",
    "walls",
    "bearing",
    "tunnels",
    "water",
    "animals",
    "intake",
    "levels",
    "falls",
    "filter",
    "turnover",
    "earth",
    "rod",
    "marks",
    "as_dug",
)


@cache
def rows() -> dict[str, Row]:
    """Rows of all tables of words by key, group after group."""
    return dict(sorted(gathered("words").items(), key=lambda item: ORDER.index(item[1]["group"])))
