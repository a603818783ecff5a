"""Reads the shipped tables. Headings carry the unit (SI unless they say otherwise); every row carries its source."""

import csv
from functools import cache
from importlib.resources import files

Row = dict[str, str]


@cache
def table(name: str) -> tuple[Row, ...]:
    """Rows of ``reference/<name>.csv``, as text by heading."""
    text = files("pondkit.reference").joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def rows_by_name(name: str) -> dict[str, Row]:
    """Rows of a table by its first column."""
    rows = table(name)
    first = next(iter(rows[0]))
    return {row[first]: row for row in rows}


def names(name: str) -> tuple[str, ...]:
    """First column of a table: what a field may choose from."""
    return tuple(rows_by_name(name))


def number(row: Row, heading: str) -> float | None:
    """A number of a row; None where its cell is empty."""
    return float(row[heading]) if row[heading] else None


@cache
def densest_water() -> tuple[float, str]:
    """(greatest density of water in the table [kg/m³], its source): uplift is greatest in it."""
    row = max(table("water"), key=lambda each: float(each["density_kg_m3"]))
    return float(row["density_kg_m3"]), f"density of water: {row['source']}"
