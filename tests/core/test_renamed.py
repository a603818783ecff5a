"""Renamed keys: the table itself, and that files, price lists and figures asked for read the old names."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from pondkit import load
from pondkit.core import renamed, tables
from pondkit.core.refusal import Refused
from pondkit.core.tables import table
from pondkit.report import aims
from pondkit.trades.cost.inputs import price_list
from tests.designs import option, read, small

ROWS = (
    {"kind": "takeoff", "old": "water_in_all", "new": "water_total"},
    {"kind": "takeoff", "old": "water_total", "new": "total_net_volume"},
    {"kind": "takeoff", "old": "dug_out", "new": "dig_volume"},
    {"kind": "document", "old": "options.*.pools.*.water_level", "new": "level"},
    {"kind": "document", "old": "options.*.pools.*.tiers.*.bank", "new": "batter"},
    {"kind": "document", "old": "site.deepest", "new": "depth_limit"},
)


@pytest.fixture
def rows(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A table of renamed keys in place of the shipped one."""
    renamed.renames.cache_clear()
    monkeypatch.setattr(renamed, "table", lambda name: ROWS)
    yield
    renamed.renames.cache_clear()


def test_every_row_leads_from_a_name_that_is_gone_to_one_that_is_there() -> None:
    for row in table(renamed.FILE):
        assert row["kind"] in ("takeoff", "document"), row
        if row["kind"] == "takeoff":
            assert row["old"] not in tables.figure_words(), f"{row['old']} is a key of the takeoff again"
            assert renamed.takeoff_key(row["old"]) in tables.figure_words(), f"{row['new']} is no key of the takeoff"


@pytest.mark.usefixtures("rows")
def test_an_older_file_is_read_under_its_names() -> None:
    pool = option()["pools"][0]
    old = pool | {"water_level": "-3 in", "tiers": [{"zone": "deep", "depth": "30 in", "bank": 0.7}]}
    rates = {"lines": [{"item": "dug_out", "unit": "yd^3", "price": "9"}]}
    data = small(options=[option(pools=[old], rates=rates)], site={"deepest": "21 in"})
    project = load(json.dumps(data).encode())
    drawn = project.options[0]
    assert drawn.pools[0].level.text == "-3 in"  # type: ignore[attr-defined]
    assert drawn.pools[0].tiers[0].batter == 0.7
    assert project.site.depth_limit.text == "21 in"  # type: ignore[union-attr]
    assert project.prices is not None and project.prices.lines[0].item == "dig_volume"


@pytest.mark.usefixtures("rows")
def test_a_key_under_both_names_is_refused_with_its_place() -> None:
    both: Any = option()["pools"][0] | {"level": "0 in", "water_level": "-3 in"}
    with pytest.raises(Refused, match=r"options, 1, pools, 1, level: .* 'water_level' too; keep one of the two"):
        load(json.dumps(small(options=[option(pools=[both])])).encode())


@pytest.mark.usefixtures("rows")
@pytest.mark.parametrize("data", [[], {"options": 3}, {"options": [3, {"pools": "x"}], "site": []}])
def test_what_is_not_as_it_should_be_is_left_as_it_is(data: Any) -> None:
    assert renamed.with_new_keys(data) == data


@pytest.mark.usefixtures("rows")
def test_a_price_list_and_a_figure_are_read_by_older_keys() -> None:
    (line,) = price_list(b"item,unit,price\ndug_out,yd^3,12\n", "us")
    assert line.item == "dig_volume"
    path = ("options", 0, "pools", 0, "tiers", 1, "depth")
    old, new = (
        aims.aim_text(read(), 0, key, "", "900 US gal", path, "us")[1] for key in ("water_in_all", "total_net_volume")
    )
    assert old == new
