"""Reads the shipped tables; from them come label, group, units and meaning of every figure by its key.

A heading names its unit, SI if it names none; every row names its source.
"""

import csv
from functools import cache
from importlib.resources import files

Row = dict[str, str]


@cache
def table(name: str) -> tuple[Row, ...]:
    """Rows of ``<name>.csv`` below the package, such as "trades/stone/rocks": the text of each cell by its heading."""
    text = files("pondkit").joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def rows_by_name(name: str) -> dict[str, Row]:
    """Rows of a table by its first column."""
    rows = table(name)
    first = next(iter(rows[0]))
    return {row[first]: row for row in rows}


@cache
def gathered(name: str) -> dict[str, Row]:
    """Rows of every ``<name>.csv`` of the trades and of study, by their first column, in which no text occurs twice."""
    package = files("pondkit")
    rows: dict[str, Row] = {}
    trades = sorted(package.joinpath("trades").iterdir(), key=lambda folder: folder.name)
    for folder in (*trades, package.joinpath("study")):
        path = folder.joinpath(f"{name}.csv")
        if path.is_file():
            for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines()):
                rows[next(iter(row.values()))] = row
    return rows


SEEPING = "seeping or submerged ground"


def soil_row(soil: str, seeps: bool) -> Row:
    """Row of a soil for its temporary slope. With seepage it is that of seeping ground, except for rock."""
    rows = rows_by_name("trades/ground/soils")
    soil_values, wet = rows[soil], rows[SEEPING]
    return wet if seeps and 0 < float(soil_values["steepest_h_per_v"]) < float(wet["steepest_h_per_v"]) else soil_values


def bears_as_listed(soil: str) -> bool:
    """False for a soil for which neither presumptive bearing pressures nor a machine's rating apply."""
    return bool(rows_by_name("trades/ground/soils")[soil]["presumptive"])


def names(name: str) -> tuple[str, ...]:
    """First column of a table: the names that a field may choose from."""
    return tuple(rows_by_name(name))


def number(row: Row, heading: str) -> float | None:
    """A number in a row; None if its cell is empty."""
    return float(row[heading]) if row[heading] else None


@cache
def densest_water() -> tuple[float, str]:
    """(greatest density of water in the table [kg/m³], its source); uplift is greatest at it."""
    row = max(table("core/water"), key=lambda each: float(each["density_kg_m3"]))
    return float(row["density_kg_m3"]), f"density of water: {row['source']}"


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
# Order of the groups in summary and price list: first what depth layouts are compared by, money last.
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
def figure_words() -> dict[str, Row]:
    """Rows of all tables of words by key, in the order of the groups."""
    rows = gathered("words")
    if unknown := {row["group"] for row in rows.values()} - set(ORDER):
        raise ValueError(f"words.csv names groups that core/tables.py does not have: {', '.join(sorted(unknown))}")
    return dict(sorted(rows.items(), key=lambda item: ORDER.index(item[1]["group"])))


def group_of(key: str) -> str:
    """Key of the group that a figure belongs to."""
    return figure_words()[key]["group"]
