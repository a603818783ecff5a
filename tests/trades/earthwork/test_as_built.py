"""The hole as dug: closed forms of a hole too deep everywhere, tapes over it, the liner that it needs, and faults."""

import math
from typing import Any

import numpy as np
import pytest

from pondkit.core.remembered import Memory
from pondkit.geometry.as_built import Correction
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult
from tests.designs import full_project
from tests.memory import asked
from tests.trades.tunnels.sketch import LINED, POOL, cautions, figures, said, sketch, value

UPRIGHT = {"tiers": [{"zone": "deep", "depth": 1.2, "batter": 0}], "bank_batter": 0, "freeboard": 0.1}
SLOPED = {"tiers": [{"zone": "deep", "depth": 1.2, "batter": 0.5}], "bank_batter": 0.5, "freeboard": 0.1}
SPOTS = ((0, 0), (2, 1), (-2, 1), (2, -1.5), (-2.5, -1.5))


def dug(
    pool: dict[str, Any],
    off: float = -0.1,
    spots: tuple[tuple[float, float], ...] = SPOTS,
    floor: float = -1.201,
    **dig: Any,
) -> OptionResult:
    """A pool of 8 x 6 m whose dig was found ``off`` over the one drawn, 1 mm under the liner."""
    measured = [{"pool": "pool", "at": list(at), "level": floor + off} for at in spots]
    lining = LINED | {
        "thickness": "1 mm",
        "underlay": None,
        "overlay": None,
        "edge": "50 cm",
        "allowance": 0,
        "sale_unit": "1 cm",
    }
    site = {"ground": {"kind": "level", "level": 0.1}}  # level with the rim: a tape beyond it lies level
    return sketch((), (), pools=[POOL | pool], lining=lining, site=site, option={"dig": {"measured": measured} | dig})


def test_an_upright_hole_dug_too_deep_everywhere_holds_its_area_times_that_more() -> None:
    result = dug(UPRIGHT)
    assert value(result, "volume_as_dug", "pool") == pytest.approx(8 * 6 * 1.3, rel=1e-6)
    assert value(result, "wetted_as_dug", "pool") == pytest.approx(8 * 6 + 28 * 1.3, rel=1e-6)


@pytest.mark.parametrize("off", [-0.1, -0.03, 0.05])
def test_a_sloped_hole_moved_as_a_whole_has_the_volume_of_the_pool_that_is_so_much_deeper(off: float) -> None:
    """A frustum 1.2 m deep, moved down by h inside its waterline, or up by so much; the bank beyond stays as drawn."""
    result, h = dug(SLOPED, off), -off

    def area(below: float) -> float:
        """Plan area at a depth under the waterline's place in the moved hole."""
        return (8 - below) * (6 - below)

    depths = np.linspace(max(-h, 0.0), 1.2, 20001)
    volume = float(np.trapezoid([area(d) for d in depths], depths)) + 8 * 6 * max(h, 0.0)
    assert value(result, "volume_as_dug", "pool") == pytest.approx(volume, rel=2e-4)


def test_a_hole_dug_as_drawn_is_as_drawn() -> None:
    result = dug(SLOPED, 0.0)
    assert value(result, "volume_as_dug", "pool") == pytest.approx(value(result, "gross_volume", "pool"), rel=1e-9)
    assert value(result, "wetted_as_dug", "pool") == pytest.approx(value(result, "wetted_area", "pool"), rel=1e-9)
    for side in ("length", "width"):
        # Both are searched for, over other lines: they agree to what is shown.
        assert value(result, f"liner_{side}_as_dug", "liner") == pytest.approx(
            value(result, f"liner_{side}", "liner"), abs=1e-4
        )
    assert all(abs(figure.value) < 1e-4 for figure in figures(result, "dug_difference").values())


def test_a_pool_with_a_pit_dug_too_deep_everywhere_holds_its_area_times_that_more() -> None:
    pit = {
        "at": [0.5, 0],
        "outline": {"shape": "circle", "diameter": 2},
        "tiers": [{"zone": "pit", "depth": 1.6, "batter": 0.2}],
    }
    result = dug(UPRIGHT | {"pits": [pit]}, spots=((-2, 1), (2.5, -1)))
    gross = value(result, "gross_volume", "pool")
    assert value(result, "volume_as_dug", "pool") == pytest.approx(gross + 4.8, rel=1e-6)


def test_volume_against_an_independent_grid_where_the_hole_is_uneven() -> None:
    """Depths of 1 cm cells: those drawn, and the correction by its own definition."""
    levels = (-1.25, -1.1, -1.32)
    at = ((-2.0, 1.0), (0.0, 0.0), (2.5, -1.0))
    measured = [{"pool": "pool", "at": list(a), "level": z} for a, z in zip(at, levels, strict=True)]
    result = sketch((), (), pools=[POOL | UPRIGHT], option={"dig": {"measured": measured}})
    x, y = np.meshgrid(np.arange(-4, 4, 0.02) + 0.01, np.arange(-3, 3, 0.02) + 0.01)
    weight = [1 / ((x - a) ** 2 + (y - b) ** 2) for a, b in at]
    over = sum(w * (z + 1.2) for w, z in zip(weight, levels, strict=True)) / sum(weight)
    assert value(result, "volume_as_dug", "pool") == pytest.approx(float(np.sum(1.2 - over)) * 0.02**2, rel=5e-4)


def test_the_correction_passes_through_what_was_measured_and_stays_in_its_range() -> None:
    found = Correction(((0.0, 0.0), (3.0, 0.0), (1.0, 2.0)), (0.1, -0.2, 0.05))
    assert found.at(np.array(found.places)) == pytest.approx(np.array(found.over), abs=1e-6)
    field = found.at(np.random.default_rng(4).uniform(-20, 20, (400, 2)))
    assert field.min() >= -0.2 and field.max() <= 0.1
    near = found.slope(np.array([[1.5, 0.7]]))[0]
    rise = found.at(np.array([[1.6, 0.7]])) - found.at(np.array([[1.5, 0.7]]))
    assert near[0] == pytest.approx(float(rise[0]) / 0.1, rel=0.2)


# --- liner and tapes ---


def test_the_liner_of_an_upright_hole_a_tenth_deeper_is_two_tenths_longer_each_way() -> None:
    result = dug(UPRIGHT)
    for side, drawn in (("length", 8 + 2 * 1.3 + 1), ("width", 6 + 2 * 1.3 + 1)):
        assert value(result, f"liner_{side}", "liner") == pytest.approx(drawn, abs=1e-3)
        assert value(result, f"liner_{side}_as_dug", "liner") == pytest.approx(drawn + 0.2, abs=1e-3)


def test_a_liner_that_does_not_cover_says_so_first() -> None:
    result = dug(UPRIGHT)
    for figure in figures(result, "liner_spare_as_dug").values():
        assert -0.2 - 1e-3 <= figure.value < -0.18
        assert "Do not cut it" in cautions(figure)
    shallow = figures(dug(UPRIGHT, 0.1), "liner_spare_as_dug")
    assert all(figure.value > 0.19 and "Do not cut" not in cautions(figure) for figure in shallow.values())


TAPE = {"name": "long", "start": [-5, 0], "end": [5, 0]}


def test_a_tape_line_over_an_upright_hole_is_its_length_and_twice_its_height() -> None:
    """10 m level and two walls of 1.3 m drawn, 1.4 m found; from rim to rim 8 m, with 0.5 m of edge at both ends."""
    result = dug(UPRIGHT, tapes=[TAPE | {"taped": 12.9}])
    assert figures(result, "dug_difference")["long, tape over the hole"].value == pytest.approx(12.9 - 12.602, abs=1e-4)
    # The tape is longer than the levels say, by 10 m and two walls of 1.401 m of dig: that is
    # added to the line and to the liner.
    longer = 12.9 - (10 + 2 * 1.401)
    assert value(result, "line_as_dug", "long") == pytest.approx(8 + 2 * 1.4 + longer + 2 * 0.5, abs=1e-3)
    assert value(result, "liner_length_as_dug", "liner") == pytest.approx(8 + 2 * 1.3 + 1 + 0.2 + longer, abs=1e-3)
    assert "longer than the levels measured say" in cautions(figures(result, "liner_length_as_dug")["liner"])


def test_a_tape_alone_tells_of_the_liner_too() -> None:
    result = dug(UPRIGHT, spots=(), tapes=[TAPE | {"taped": 12.8}])
    assert value(result, "liner_width_as_dug", "liner") == pytest.approx(6 + 2 * 1.3 + 1 + 0.2, abs=2e-3)
    assert "counted as drawn" in cautions(figures(result, "liner_length_as_dug")["liner"])
    assert not figures(result, "volume_as_dug")


def test_a_sloped_section_is_as_long_as_its_faces() -> None:
    """Faces of batter 0.5, 1.3 m high from rim to floor: sqrt(1.25) x 1.3 each, floor 8 - 1.2
    m, the tape's ends beyond the rims.
    """
    result = dug(SLOPED, 0.0, tapes=[TAPE])
    rim_to_rim = 2 * 1.3 * math.sqrt(1.25) + 6.8
    assert value(result, "line_as_dug", "long") == pytest.approx(rim_to_rim + 1, abs=2e-3)


def test_differences_stand_the_largest_first() -> None:
    result = dug(UPRIGHT, tapes=[TAPE | {"taped": 13.5}])
    sizes = [abs(figure.value) for figure in figures(result, "dug_difference").values()]
    assert len(sizes) == 5 + 1 + 2
    assert sizes == sorted(sizes, reverse=True)
    assert set(list(figures(result, "dug_difference"))[3:]) == {f"pool, level {number}" for number in range(1, 6)}


def test_what_is_known_of_the_hole_is_said() -> None:
    """Measured in the middle of 8 x 6 m alone: the corners of floor and bank lie 5 m and more away."""
    (figure,) = figures(dug(UPRIGHT, spots=((0, 0),)), "volume_as_dug").values()
    assert "Only {count} measured" not in cautions(figure) and "Only 1 level measured" in cautions(figure)
    assert "inverse square" in figure.source
    (far,) = [float(term.value) for c in figure.cautions for term in c.terms if term.name == "far"]  # type: ignore[arg-type]
    assert far == pytest.approx(5, abs=0.2)


# --- faults ---


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ([{"pool": "pol", "at": [0, 0], "level": -1}], "write 'pool' if that is meant"),
        ([{"pool": "pool", "at": [6, 0], "level": -1}], "outside the rim"),
        (
            [{"pool": "pool", "at": [1, 0], "level": -1.2}, {"pool": "pool", "at": [1, 0], "level": -1.3}],
            "one level in one place",
        ),
    ],
)
def test_faults_of_levels_are_named_and_the_rest_stands(measured: list[dict[str, Any]], words: str) -> None:
    good = {"pool": "pool", "at": [-1, 1], "level": -1.25}
    result = sketch((), (), pools=[POOL | UPRIGHT], option={"dig": {"measured": [good, *measured]}})
    assert words in said(result)
    assert all(problem.path[:2] == ("dig", "measured") for problem in result.problems)
    assert value(result, "volume_as_dug", "pool") > value(result, "gross_volume", "pool")
    assert result.whole


@pytest.mark.parametrize(
    ("tape", "words"),
    [
        ({"start": [0, 0], "end": [5, 0]}, "inside the hole"),
        ({"start": [-5, 9], "end": [5, 9]}, "crosses no pool"),
        ({"start": [-5, 0], "end": [-5, 0]}, "ends where it starts"),
    ],
)
def test_faults_of_tape_lines_are_named(tape: dict[str, Any], words: str) -> None:
    result = dug(UPRIGHT, tapes=[TAPE | tape])
    assert words in said(result)
    assert not figures(result, "line_as_dug") and figures(result, "volume_as_dug")


def test_nothing_measured_costs_and_shows_nothing() -> None:
    result = sketch((), (), option={"dig": {}})
    assert result.dig and result.dig.as_built is None
    memory = Memory()
    asked(put(full_project(), ("options", 0, "dig", "measured"), ()), memory)
    assert "changed" not in memory.worked


def test_a_tape_shorter_than_the_straight_way_is_a_slip_of_the_pen() -> None:
    """No way from end to end is shorter than the level distance between them, 12 m."""
    tape = {"name": "east to west", "start": [-6, 0], "end": [6, 0]}
    short = dug(UPRIGHT, tapes=[tape | {"taped": 11.5}])
    assert "no less than {straight}, the level distance" in said(short)
    (problem,) = short.problems
    assert problem.path == ("dig", "tapes", 0, "taped")
    assert not figures(short, "line_as_dug") and figures(short, "volume_as_dug")
    assert dug(UPRIGHT, tapes=[tape | {"taped": 14.8}]).problems == ()


def test_a_level_typed_without_its_minus_is_in_no_hole() -> None:
    """Rim at 0.1: a floor of -1.3 typed as 1.3 stands 1.2 m over it; the levels that are right are used."""
    measured = [{"pool": "pool", "at": [0, 0], "level": 1.3}, {"pool": "pool", "at": [2, 1], "level": -1.3}]
    result = dug(UPRIGHT, measured=measured)
    (problem,) = result.problems
    assert problem.path == ("dig", "measured", 0, "level") and "check its sign" in said(result)
    assert problem.given.terms[0].value == pytest.approx(1.2)
    assert value(result, "volume_as_dug", "pool") == pytest.approx(8 * 6 * (1.2 + 1.3 - 1.201), rel=1e-4)


def test_levels_found_count_from_any_benchmark() -> None:
    """Taken from a benchmark of 100 m, they give the hole that levels from the site datum give; without the datum each
    says that it is counted from elsewhere."""
    measured = [{"pool": "pool", "at": list(at), "level": 98.699} for at in SPOTS]
    own, other = dug(UPRIGHT), dug(UPRIGHT, measured=measured, benchmark=100.4, datum=100)
    assert other.problems == ()
    for key in ("volume_as_dug", "wetted_as_dug"):
        assert value(other, key, "pool") == pytest.approx(value(own, key, "pool"), rel=1e-9)
    differences = ({n: f.value for n, f in figures(r, "dug_difference").items()} for r in (own, other))
    assert next(differences) == pytest.approx(next(differences))
    lost = dug(UPRIGHT, measured=measured)
    assert [p.path for p in lost.problems] == [("dig", "measured", i, "level") for i in range(len(SPOTS))]
    assert "site datum of the dig" in said(lost) and not figures(lost, "volume_as_dug")


@pytest.mark.parametrize(
    ("off", "words"),
    [(-0.1, "too deep: outside"), (0.05, "too high: outside"), (-0.01, ""), (0.01, "")],
)
def test_each_level_found_says_which_way_it_is_off(off: float, words: str) -> None:
    (figure,) = (
        f for name, f in figures(dug(UPRIGHT, off, spots=((0, 0),)), "dug_difference").items() if "level" in name
    )
    assert figure.value == pytest.approx(off, abs=1e-6)
    assert words in cautions(figure) and bool(words) == bool(figure.cautions)
    assert all(caution.terms[0].value == pytest.approx(abs(off), abs=1e-6) for caution in figure.cautions)


# --- the liner over an uneven hole, against a fine reckoning of its own ---

ROUND = {
    "outline": {"shape": "ellipse", "length": 6, "width": 4},
    "freeboard": 0.1,
    "bank_batter": 0.5,
    "tiers": [
        {"zone": "shelf", "depth": 0.3, "shelf": 0.5, "batter": 0.5},
        {"zone": "deep", "depth": 1.0, "batter": 0.4},
    ],
}
UNEVEN = (
    (-2.1, 0.4, 0.06),
    (-0.9, -1.2, -0.11),
    (0.2, 0.1, 0.05),
    (0.8, 1.3, -0.08),
    (1.9, -0.6, 0.07),
    (2.4, 0.5, -0.1),
    (-1.3, 1.1, 0.04),
)
EDGE = 0.5


def finely(result: OptionResult, along_x: bool, over: Correction) -> float:
    """Length of the liner one way: lines every centimetre and through each level, places
    every 3 mm, by the definition alone.

    The depth as drawn at a place, the correction there, no higher than the rim; beyond the rim level ground. Where a
    line passes the rim the cut is upright.
    """
    laid = result.pools[0].surfaces.liner
    measured = np.array(over.places)[:, 1 if along_x else 0]
    half, across = (3.0, 2.0) if along_x else (2.0, 3.0)
    reach = laid.rim + EDGE + 0.05
    x = np.arange(-half - reach, half + reach, 0.003)
    offsets = np.unique(np.concatenate([np.arange(-across - reach, across + reach, 0.01), measured]))
    ways, starts, ends, full = [], [], [], []
    for offset in offsets:
        place = np.stack([x, np.full_like(x, offset)] if along_x else [np.full_like(x, offset), x], axis=1)
        inward = laid.surface.pool.shape.inward(place)
        inside, beyond = inward >= -laid.rim, inward + laid.rim + EDGE
        level = np.where(inside, laid.level - laid.surface.depth_at(place) + over.at(place), laid.rim_level)
        level = np.minimum(level, laid.rim_level)
        on = np.flatnonzero(beyond >= 0)
        if len(on):
            dx, dz = np.diff(x), np.abs(np.diff(level))
            steps = np.where(inside[1:] != inside[:-1], dx + dz, np.hypot(dx, dz))
            more = [0.003 * beyond[i] / (beyond[i] - beyond[j]) for i, j in ((on[0], on[0] - 1), (on[-1], on[-1] + 1))]
            way = np.append(0.0, np.cumsum(steps))
            ways.append(way - way[on[0]] + more[0])
            starts.append(x[on[0]] - more[0])
            ends.append(x[on[-1]] + more[1])
            full.append(ways[-1][on[-1]] + more[1])
    way, start, end, whole = np.array(ways), np.array(starts)[:, None], np.array(ends)[:, None], np.array(full)[:, None]
    left = np.where(x > start, way, 0.0).max(axis=0)
    right = np.where(x < end, whole - way, 0.0).max(axis=0)
    return float((left + right).min())


def test_the_liner_over_an_uneven_hole_is_short_by_no_two_millimetres() -> None:
    lining = LINED | {"thickness": "1 mm", "underlay": None, "overlay": None, "edge": EDGE}
    lining["liners"] = [lining["liners"][0] | {"turn_deg": 0}]
    bare = sketch((), (), pools=[POOL | ROUND], lining=lining)
    dig = bare.pools[0].surfaces.dig
    levels = [dig.level - float(dig.surface.depth_at(np.array([[x, y]]))[0]) + off for x, y, off in UNEVEN]
    measured = [{"pool": "pool", "at": [x, y], "level": z} for (x, y, _), z in zip(UNEVEN, levels, strict=True)]
    result = sketch((), (), pools=[POOL | ROUND], lining=lining, option={"dig": {"measured": measured}})
    over = Correction(tuple((x, y) for x, y, _ in UNEVEN), tuple(off for *_, off in UNEVEN))
    for side, along_x in (("length", True), ("width", False)):
        as_dug = value(result, f"liner_{side}_as_dug", "liner")
        assert -2e-3 <= as_dug - finely(result, along_x, over) <= 5e-3  # between its lines 1 cm apart it may be longer
        assert abs(as_dug - value(result, f"liner_{side}", "liner")) > 0.005  # the hole is not as drawn


@pytest.mark.parametrize(
    ("level", "said"),
    [
        (-0.05, "under the water at rest: the pool would run out"),
        (0.02, "too low: outside the tolerance of rims"),
        (0.095, ""),
    ],
)
def test_a_level_on_the_bank_is_held_against_rim_and_water_and_changes_no_volume(level: float, said: str) -> None:
    """The bank rises 10 cm at 0.5 to 1 from the waterline, 4 m east: 49 mm outside it stands 98 mm high."""
    on_rim = {"pool": "pool", "at": [4.049, 0], "level": level}
    found = sketch((), (), pools=[POOL | SLOPED], option={"dig": {"measured": [on_rim]}})
    assert "volume_as_dug" not in [name for name, _ in found.entries()]
    differs = figures(found, "dug_difference")["pool, level 1"]
    assert differs.value == pytest.approx(level - 0.098, abs=1e-6)
    assert said in cautions(differs) and bool(said) == bool(differs.cautions)
    floor = {"pool": "pool", "at": [0, 0], "level": -1.3}
    both = sketch((), (), pools=[POOL | SLOPED], option={"dig": {"measured": [on_rim, floor]}})
    assert value(both, "volume_as_dug", "pool") == pytest.approx(
        value(both, "gross_volume", "pool") + 8 * 6 * 0.1, rel=1e-6
    )
