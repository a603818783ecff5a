"""Levels to dig by as picture and as the crew's tables: what they say is what the takeoff says."""

import re
from decimal import Decimal

import pytest

from pondkit.core.units import LENGTH, SYSTEMS, System, magnitude
from pondkit.drawing import frame
from pondkit.drawing.blocks import Table, Text
from pondkit.project.files import put
from pondkit.report import table
from pondkit.report.papers.crew import DESK
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.earthwork.pictures import levels
from tests.designs import demo, full_project
from tests.report.papers import reading
from tests.report.pictures import as_json, named


def tables(result: OptionResult) -> str:
    return " ".join(reading.texts(levels.tables(result.dig.levels if result.dig else None, result.option.dig, "us")))


def worked() -> OptionResult:
    return evaluate(demo("turtle_yard")).options[0]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_crew_reads_the_rows_of_the_takeoff_with_their_cautions(system: System) -> None:
    results = evaluate(demo("turtle_yard"))
    cells = reading.texts(reading.blocks("crew", results, 0, system))
    said = " ".join(cells)
    rows = [row for row in table.rows(results.options[0], system) if row.group == "rod"]
    assert {"rod_dig", "rod_finished", "dig_level", "finished_level", "cut_to_level"} <= {row.key for row in rows}
    for row in rows:
        if row.key in ("dig_level", "finished_level"):  # rods follow from these: the last test
            read = magnitude(row.si_value, LENGTH, frame.PLAN_UNIT[system])
            assert f"{read:.{2 if system == 'us' else 3}f}" in cells
        if row.key not in ("cut_to_level", "height_of_instrument"):
            assert row.subject in cells
        if row.key != "cut_to_level":
            assert all(caution in said for caution in row.cautions)


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_level_is_drawn_where_it_lies_with_its_tolerance(system: System) -> None:
    result = worked()
    figure = levels.levels(result.dig.levels, system)
    assert figure
    as_json(figure)
    unit = frame.PLAN_UNIT[system]
    rows = [level.row for level in result.dig.levels.levels]
    for surface in ("dig", "finished"):
        entries = [figure for key, figure in result.entries() if key == f"{surface}_level"]
        drawn = named(figure, surface)
        assert [rows[y] for y in drawn["y"]] == [entry.subject for entry in entries]
        for x, by, entry in zip(drawn["x"], drawn["error_x"]["array"], entries, strict=True):
            assert x == pytest.approx(magnitude(entry.value, entry.kind, unit), abs=1e-3)
            assert by == pytest.approx(magnitude(entry.most - entry.value, entry.kind, unit), abs=1e-3)


def test_a_reading_is_drawn_at_the_level_found_and_said_in_words() -> None:
    """Height of instrument 1.25 + 3.42 = 4.67 ft; 6.58 ft on tier 2 is -1.91 ft."""
    result = worked()
    figure = levels.levels(result.dig.levels, "us")
    assert figure
    read = named(figure, "read")
    assert read["x"][-1] == pytest.approx(4.67 - 6.58, abs=1e-3)
    assert read["marker"]["color"][-1] == frame.MARK
    assert "cut 2.4" in levels.alt_levels(result.dig.levels, "us")


def test_the_crew_is_told_where_the_instrument_stood_and_what_the_units_are() -> None:
    """0.01 ft is 0.12 in. A reading is called as a tape and as the rod has it, no finer:
    4.67 - 6.58 - (-2.11) = 0.20 ft, 2.4 in.
    """
    text = tables(worked())
    assert "Height of instrument 4.67 ft above the site datum: benchmark 1.25 ft + backsight 3.42 ft." in text
    assert "Benchmark, 1.25 ft above the site datum: brass nail in the doorstep of the museum's back door." in text
    bare = evaluate(put(demo("turtle_yard"), ("options", 0, "dig", "benchmark_is"), " ")).options[0]
    assert "Benchmark, 1.25 ft above the site datum: not entered what and where: write it here ____" in tables(bare)
    assert "read the benchmark again; then rod reading = new height of instrument - level" in text
    assert "decimals of ft: 0.01 ft is 0.12 in" in text and "± 0.02" in text
    assert "cut 2.4 in (0.20 ft)" in text and "underside of what stands or lies in it" in text
    fixed = put(
        put(demo("turtle_yard"), ("options", 0, "dig", "backsight"), None), ("options", 0, "dig", "instrument"), "4 ft"
    )
    assert "Height of instrument 4.00 ft above the site datum: as entered." in tables(evaluate(fixed).options[0])


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_ground_and_dig_call_for_is_read_before_the_levels(system: System) -> None:
    results = evaluate(demo("turtle_yard"))
    said = " ".join(reading.texts(reading.blocks("crew", results, 0, system)))
    first = said[: said.index("Levels to dig by, in the order")]
    rows = [row for row in table.rows(results.options[0], system) if row.group in ("ground", "dig")]
    assert {"dig_depth", "edge_set_back", "pool_dig_volume", "keep_out_distance"} <= {
        row.key for row in rows if row.cautions
    }
    assert "have buried services located" in first
    for row in rows:
        for caution in row.cautions if row.key != "keep_outs_entered" else ():
            assert (caution in first) == (caution.key not in DESK)


def test_without_levels_nothing_is_drawn_and_without_backsight_the_rod_is_left_to_the_pen() -> None:
    bare = evaluate(put(full_project(), ("options", 0, "dig"), None))
    assert bare.options[0].dig is None and levels.levels(None, "us") is None
    assert tables(bare.options[0]) == ""
    blind = evaluate(
        put(put(full_project(), ("options", 0, "dig", "readings"), ()), ("options", 0, "dig", "backsight"), None)
    )
    text = tables(blind.options[0])
    assert "rod reading = height of instrument - level" in text
    assert "no backsight entered yet" in levels.alt_levels(blind.options[0].dig.levels, "us")


@pytest.mark.parametrize("system", SYSTEMS)
def test_rod_readings_and_height_follow_from_the_numbers_printed(system: System) -> None:
    """Benchmark and backsight add up to the height, and the height less each level is the reading on it, to the last
    place printed: a crew that has moved its instrument reckons so.
    """
    for option in (option for option in evaluate(demo("turtle_yard")).options if option.dig):
        text, printed, *_ = levels.tables(option.dig.levels, option.option.dig, system)
        assert isinstance(text, Text) and isinstance(printed, Table)
        height, benchmark, backsight = (
            Decimal(re.findall(rf"{what} (-?[\d.]+) ", text.text)[0])
            for what in ("Height of instrument", "benchmark", "backsight")
        )
        assert height == benchmark + backsight
        for row in printed.rows:
            pairs = [(level, rod) for level, rod in (row[1:3], row[3:5]) if level and rod]
            assert pairs and all(Decimal(rod) == height - Decimal(level) for level, rod in pairs), row
