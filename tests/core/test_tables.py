"""Every row of every shipped table: bounded, ordered, its source present, and equal to print where print was seen."""

import csv
from pathlib import Path

import pytest

import pondkit
from pondkit.core import tables
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
            assert name.endswith("words") or name.endswith("/channels") or len(row["source"]) > 10, (name, first(row))


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
    "granite": (2.6, 2.7),
    "gneiss": (2.6, 2.9),
    "basalt": (2.8, 3.0),
    "diabase": (2.6, 3.0),
    "limestone": (2.3, 2.7),
    "dolomite": (2.8, 2.9),
    "sandstone": (2.2, 2.8),
    "slate": (2.7, 2.8),
    "shale": (2.4, 2.8),
    "quartzite": (2.6, 2.8),
    "marble": (2.4, 2.7),
    "schist": (2.5, 2.9),
    "rhyolite": (2.4, 2.6),
    "andesite": (2.5, 2.8),
    "gabbro": (2.7, 3.3),
}


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
    outside, wall, bore = (float(row[what]) for what in ("outside_diameter", "min_wall", "bore"))
    assert 0 < 2 * wall < outside
    # The average bore is at most what two minimum walls leave, and less than that by no more than an eighth of an inch.
    eighth = {"in": 0.125, "mm": 3.175}[row["unit"]]
    assert outside - 2 * wall - eighth < bore <= outside - 2 * wall + 5e-4
    assert (number(row, "mass") or 1) > 0 and (row["mass_unit"] in ("lb/ft", "kg/m")) == bool(row["mass"])


# ASTM D1785 sizes as an engineering data page prints them: outside diameter, minimum wall, average bore (in), lb/ft;
# SDR 35 of ASTM D3034 and metric PE and PVC-U of two makers' charts: outside diameter, walls (in, mm), mass
PRINTED_PIPES = {
    "sch40 1 in": (1.315, 0.133, 1.033, 0.315),
    "sch40 1 1/4 in": (1.660, 0.140, 1.364, 0.426),
    "sch40 1 1/2 in": (1.900, 0.145, 1.592, 0.509),
    "sch40 2 in": (2.375, 0.154, 2.049, 0.682),
    "sch40 2 1/2 in": (2.875, 0.203, 2.445, 1.076),
    "sch40 3 in": (3.500, 0.216, 3.042, 1.409),
    "sch40 4 in": (4.500, 0.237, 3.998, 2.006),
    "sch40 6 in": (6.625, 0.280, 6.031, 3.535),
    "sch40 8 in": (8.625, 0.322, 7.943, 5.305),
    "sch40 10 in": (10.750, 0.365, 9.976, 7.532),
    "sch40 12 in": (12.750, 0.406, 11.890, 9.949),
    "sch40 14 in": (14.000, 0.437, 13.072, 11.810),
    "sdr35 6 in": (6.275, 0.1793, 5.916, 2.25),
    "sdr35 8 in": (8.4, 0.24, 7.92, 4.04),
    "sdr35 10 in": (10.5, 0.3, 9.9, 6.31),
    "sdr35 12 in": (12.5, 0.3571, 11.786, 8.94),
    "sdr35 4 in": (4.215, 0.120, 3.975, 1.03),
    "sdr35 15 in": (15.3, 0.437, 14.426, 13.39),
    "pe sdr17 40 mm": (40, 2.4, 40 - 2.4 - 2.8, 0.295),
    "pe sdr17 50 mm": (50, 3.0, 50 - 3.0 - 3.4, 0.453),
    "pe sdr17 63 mm": (63, 3.8, 63 - 3.8 - 4.3, 0.721),
    "pe sdr17 75 mm": (75, 4.5, 75 - 4.5 - 5.1, 1.02),
    "pe sdr17 90 mm": (90, 5.4, 90 - 5.4 - 6.1, 1.46),
    "pe sdr17 110 mm": (110, 6.6, 110 - 6.6 - 7.5, 2.17),
    "pe sdr17 125 mm": (125, 7.4, 125 - 7.4 - 8.4, 2.76),
    "pe sdr17 160 mm": (160, 9.5, 160 - 9.5 - 10.7, 4.52),
    "pe sdr17 200 mm": (200, 11.9, 200 - 11.9 - 13.3, 7.05),
    "pvc-u 8 bar 40 mm": (40, 1.8, 40 - 1.8 - 2.2, None),
    "pvc-u 8 bar 50 mm": (50, 2.3, 50 - 2.3 - 2.8, None),
    "pvc-u 8 bar 63 mm": (63, 2.8, 63 - 2.8 - 3.3, None),
    "pvc-u 8 bar 75 mm": (75, 3.4, 75 - 3.4 - 4.0, None),
    "pvc-u 8 bar 90 mm": (90, 4.0, 90 - 4.0 - 4.6, None),
    "pvc-u 8 bar 110 mm": (110, 4.9, 110 - 4.9 - 5.6, None),
    "pvc-u 8 bar 125 mm": (125, 5.6, 125 - 5.6 - 6.4, None),
    "pvc-u 8 bar 160 mm": (160, 7.2, 160 - 7.2 - 8.3, None),
}


def test_pipe_sizes_are_those_printed() -> None:
    assert {row["pipe"] for row in PIPES} == set(PRINTED_PIPES)
    for row in PIPES:
        printed = PRINTED_PIPES[row["pipe"]]
        sizes = tuple(number(row, column) for column in ("outside_diameter", "min_wall", "bore", "mass"))
        assert sizes == pytest.approx(printed, abs=1e-9), row["pipe"]


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


def test_a_group_without_a_place_in_the_order_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "gathered", lambda name: {"fence_length": {"group": "fences"}})
    with pytest.raises(ValueError, match=r"groups that core/tables.py does not have: fences"):
        tables.figure_words.__wrapped__()


def test_every_group_has_its_place_once() -> None:
    assert sorted(tables.ORDER) == sorted(tables.GROUPS)
