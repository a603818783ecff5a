"""Every row of every shipped table: bounded, ordered, its source present, and equal to print where print was seen."""

import csv
from pathlib import Path

import pytest

import pondkit
from pondkit.core.tables import Row, gathered, names, number, rows_by_name, table

PACKAGE = Path(pondkit.__file__).parent
TABLES = sorted(path.relative_to(PACKAGE).with_suffix("").as_posix() for path in PACKAGE.rglob("*.csv"))
ROCKS, FORMS, PIPES, SOILS = (
    table(name) for name in ("trades/stone/rocks", "trades/stone/forms", "trades/water/pipes", "trades/ground/soils")
)


def first(row: Row) -> str:
    return next(iter(row.values()))


def test_every_table_is_full_and_every_row_names_its_source() -> None:
    assert len(TABLES) > 20
    for name in TABLES:
        lines = list(csv.reader((PACKAGE / f"{name}.csv").read_text(encoding="utf-8").splitlines()))
        assert {len(line) for line in lines} == {len(lines[0])}, name
        assert all(line[0].strip() == line[0] != "" for line in lines), name
        for row in table(name):
            assert name.endswith("/words") or name.endswith("/channels") or len(row["source"]) > 10, (name, first(row))


def test_what_is_chosen_by_its_name_is_named_once() -> None:
    for name in ("trades/stone/rocks", "trades/stone/forms", "trades/water/pipes", "trades/ground/soils"):
        assert len(names(name)) == len(set(names(name))) == len(table(name))
        assert tuple(rows_by_name(name)) == names(name)
    for name in ("words", "limits"):
        every = [first(row) for path in TABLES if path.endswith(f"/{name}") for row in table(path)]
        assert len(every) == len(set(every)) == len(gathered(name))


@pytest.mark.parametrize("row", ROCKS, ids=first)
def test_a_density_is_a_rocks_and_lies_between_its_ends(row: Row) -> None:
    low, typical, high = (float(row[f"{side}_kg_m3"]) for side in ("low", "typical", "high"))
    assert 2000 <= low <= typical <= high <= 3500
    # The table prints a range; the typical value is its middle.
    assert typical == pytest.approx((low + high) / 2)


# Densities of Common Rock Types (a geology reference page), t/m³
PRINTED = {
    "granite": (2.6, 2.7), "gneiss": (2.6, 2.9), "basalt": (2.8, 3.0), "diabase": (2.6, 3.0), "limestone": (2.3, 2.7),
    "dolomite": (2.8, 2.9), "sandstone": (2.2, 2.8), "slate": (2.7, 2.8), "shale": (2.4, 2.8), "quartzite": (2.6, 2.8),
    "marble": (2.4, 2.7), "schist": (2.5, 2.9), "rhyolite": (2.4, 2.6), "andesite": (2.5, 2.8), "gabbro": (2.7, 3.3),
}  # fmt: skip


def test_densities_are_those_printed() -> None:
    shipped = {row["rock"]: (float(row["low_kg_m3"]) / 1000, float(row["high_kg_m3"]) / 1000) for row in ROCKS}
    assert shipped == PRINTED


@pytest.mark.parametrize("row", FORMS, ids=first)
def test_a_form_never_fills_more_than_what_it_is_a_share_of(row: Row) -> None:
    low, typical, high = (float(row[f"{side}_share"]) for side in ("low", "typical", "high"))
    assert 0 < low <= typical <= high <= 1
    assert row["basis"] in ("box", "middle axis cubed")


def test_an_ellipsoid_typically_fills_pi_sixths_of_its_box() -> None:
    assert float(rows_by_name("trades/stone/forms")["ellipsoid"]["typical_share"]) == pytest.approx(
        3.141592653589793 / 6, rel=1e-15
    )


@pytest.mark.parametrize("row", PIPES, ids=first)
def test_a_pipes_bore_fits_inside_its_walls(row: Row) -> None:
    outside, wall, bore = (float(row[f"{what}_in"]) for what in ("outside_diameter", "min_wall", "bore"))
    assert 0 < 2 * wall < outside
    # The average bore is at most what two minimum walls leave, and within an eighth of an inch of it.
    assert outside - 2 * wall - 0.125 < bore <= outside - 2 * wall + 1e-9
    assert (number(row, "mass_lb_ft") or 1) > 0


# ASTM D1785 sizes as an engineering data page prints them: outside diameter, minimum wall, average bore (in), lb/ft
D1785 = {
    "sch40 1 1/2 in": (1.900, 0.145, 1.592, 0.509), "sch40 2 in": (2.375, 0.154, 2.049, 0.682),
    "sch40 3 in": (3.500, 0.216, 3.042, 1.409), "sch40 4 in": (4.500, 0.237, 3.998, 2.006),
    "sch40 6 in": (6.625, 0.280, 6.031, 3.535),
}  # fmt: skip


@pytest.mark.parametrize("name", D1785)
def test_schedule_40_sizes_are_those_printed(name: str) -> None:
    row = rows_by_name("trades/water/pipes")[name]
    assert tuple(float(row[c]) for c in ("outside_diameter_in", "min_wall_in", "bore_in", "mass_lb_ft")) == D1785[name]


# 29 CFR 1926 Subpart P, appendix B, table B-1: steepest slope (horizontal per vertical) under 20 ft
B_1 = {"stable rock": 0.0, "A": 0.75, "B": 1.0, "C": 1.5}


@pytest.mark.parametrize("row", SOILS, ids=first)
def test_a_soils_slope_is_that_of_its_type(row: Row) -> None:
    assert float(row["steepest_h_per_v"]) == B_1[row["slope_type"]]


def test_wet_and_loose_ground_is_of_the_flattest_type() -> None:
    for soil in ("seeping or submerged ground", "sand", "gravel", "soft clay"):
        assert rows_by_name("trades/ground/soils")[soil]["slope_type"] == "C"


def test_an_empty_cell_is_no_number() -> None:
    assert number({"a": ""}, "a") is None
    assert number({"a": "0.5"}, "a") == 0.5
