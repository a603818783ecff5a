"""What pipe and dens add to the dig, and what goes back."""

import math
from typing import Any

import pytest

from pondkit import Project
from pondkit.study.evaluate import OptionResult, evaluate
from tests.by_grid import pool_of

PIPE = 4.5 * 0.0254  # outside of 4 in schedule 40 (ASTM D1785)
RUNS: dict[str, Any] = {
    "pipe": "sch40 4 in",
    "nodes": [
        {"name": "door", "kind": "mouth", "at": [2.9, 0, -0.4]},
        {"name": "far", "kind": "junction", "at": [6.0, 0, -0.4]},
        {"name": "den", "kind": "chamber", "at": [9.0, 0, -0.4], "size": [0.8, 0.6, 0.5], "wall": 0.05},
    ],
    "runs": [{"from": "door", "to": "far"}, {"from": "far", "to": "den"}],
}


def option(
    tunnels: dict[str, Any] | None,
    level: float = 0.0,
    ground: dict[str, Any] | None = None,
    groundwater: float | None = None,
    **more: Any,
) -> OptionResult:
    pool = pool_of({"shape": "rectangle", "length": 6, "width": 6}, [(1.0, 0, 0)], bank_batter=0, freeboard=0.05)
    data = {
        "units": "si",
        "site": {"ground": ground or {"kind": "level", "level": level}, "groundwater": groundwater},
        "options": [{"name": "A", "pools": [pool], "tunnels": tunnels} | more],
    }
    return evaluate(Project.model_validate(data, context={"units": "si"})).options[0]


def test_trenches_and_den_pit_of_a_straight_passage() -> None:
    """Bottoms lie half a pipe and 5 cm of bedding under -0.4 m; the den's lower by its wall."""
    found = option(RUNS | {"trench_room": 0.1}, dig={"bedding": 0.05}).excavation
    assert found is not None and found.trench_dig_volume
    depth, wide = 0.4 + PIPE / 2 + 0.05, PIPE + 0.2
    assert [figure.subject for figure in found.den_pit_volume] == ["den"]
    near, far = (figure.value for figure in found.pipe_trench_volume)
    assert far == pytest.approx(3 * wide * depth, rel=1e-6)
    assert near == pytest.approx(3 * wide * depth, rel=0.02)  # from the pool's upright face on
    pit = (0.8 + 0.1 + 0.2) * (0.6 + 0.1 + 0.2) * (depth + 0.05)
    assert found.den_pit_volume[0].value == pytest.approx(pit, rel=1e-6)
    shared = (0.05 + 0.1) * wide * depth  # the pit reaches over the trench's end by its wall and room
    assert found.trench_dig_volume.value == pytest.approx(near + far + pit - shared, rel=1e-2)


def test_what_goes_back_is_less_pipe_and_box() -> None:
    found = option(RUNS | {"trench_room": 0.1}).excavation
    assert found is not None and found.trench_dig_volume and found.backfill_volume
    box = 0.9 * 0.7 * (0.4 + PIPE / 2 + 0.05)  # its lid stands above the ground
    gone = found.trench_dig_volume.value - found.backfill_volume.value
    assert gone == pytest.approx(box + math.pi / 4 * PIPE**2 * 6, rel=1e-2)


def test_the_dig_has_them_and_the_spoil_what_does_not_go_back() -> None:
    without, found = option(RUNS), option(RUNS | {"trench_room": 0.1})
    assert without.excavation is None
    assert found.excavation and found.excavation.trench_dig_volume and found.excavation.backfill_volume
    assert found.earthwork.dig_volume and without.earthwork.dig_volume
    assert found.earthwork.spoil_volume and without.earthwork.spoil_volume
    more = found.excavation.trench_dig_volume.value
    back = found.excavation.backfill_volume.value
    assert found.earthwork.dig_volume.value == pytest.approx(without.earthwork.dig_volume.value + more)
    assert found.earthwork.spoil_volume.value == pytest.approx(without.earthwork.spoil_volume.value + more - back)


def test_a_run_in_trouble_leaves_the_dig_out_where_trenches_are_asked_for() -> None:
    lost = RUNS | {"trench_room": 0.1, "runs": [*RUNS["runs"], {"from": "den", "to": "nowhere"}]}
    found = option(lost)
    assert found.excavation and found.excavation.trench_dig_volume is None
    assert found.earthwork.dig_volume is None
    assert found.totals.total_gross_volume


def test_a_deep_trench_calls_for_protection() -> None:
    deep, shallow = (option(RUNS | {"trench_room": 0.1}, level=level).excavation for level in (1.5, 0.0))
    assert deep and shallow
    assert all(
        "protective system" in figure.cautions[-1].text for figure in (*deep.pipe_trench_volume, *deep.den_pit_volume)
    )
    assert not any(
        "protective system" in caution.text for figure in shallow.pipe_trench_volume for caution in figure.cautions
    )


def test_a_trench_beyond_the_survey_says_so() -> None:
    """The survey ends at x = 7: the second run and the den lie beyond it, the first within."""
    near = {"kind": "points", "points": [[-9, -9, 0.0], [7, -9, 0.0], [7, 9, 0.0], [-9, 9, 0.0]]}
    found = option(RUNS | {"trench_room": 0.1}, ground=near).excavation
    assert found is not None
    said = [
        "outside the survey" in " ".join(c.text for c in figure.cautions)
        for figure in (*found.pipe_trench_volume, *found.den_pit_volume)
    ]
    assert said == [False, True, True]


def test_groundwater_over_the_bottom_of_a_trench_is_told_by_how_much() -> None:
    """Trenches end half a pipe under -0.4 m, the den's pit 5 cm lower: water at half a
    pipe under -0.43 m is only in the pit.
    """
    low = -0.4 - PIPE / 2
    high, between = (option(RUNS | {"trench_room": 0.1}, groundwater=low + by).excavation for by in (0.2, -0.03))
    assert high and between

    def over(figure: Any) -> list[float]:
        return [c.terms[0].value for c in figure.cautions if "over the bottom of this trench" in c.text]

    for figure in high.pipe_trench_volume:
        assert over(figure) == [pytest.approx(0.2)]
    assert over(high.den_pit_volume[0]) == [pytest.approx(0.25)]
    assert [over(figure) for figure in between.pipe_trench_volume] == [[], []]
    assert over(between.den_pit_volume[0]) == [pytest.approx(0.02)]
