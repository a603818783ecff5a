"""Slings: tension by the published bridles, ratings by the tag, lengths against geometry done another way."""

import json
import math
from typing import Any

import numpy as np
import pytest

from pondkit import load
from pondkit.core.entry import Entry
from pondkit.core.remembered import Memory
from pondkit.drawing.rows import say, say_problem
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.stone.formulas import leg_length, sling_rated, sling_use
from pondkit.trades.stone.results import SlingsResult
from tests.designs import demo, option, small
from tests.memory import asked

POUND = 0.45359237
FOOT = 0.3048
STONE = {
    "name": "slab",
    "axes": ["40 in", "30 in", "20 in"],
    "axes_within": 0,
    "form": "block",
    "density": "165 lb/ft^3",
}
SLING = {"name": "web", "count": 4, "vertical": "4000 lb", "length": "20 ft", "width": "3 in", "edge_protection": True}
MASS = 40 * 30 * 20 / 1728 * 165  # lb, typical; a block's high share is no more than its box


def worked(slings: list[dict[str, Any]], rigging: dict[str, Any] | None, *stones: dict[str, Any]) -> OptionResult:
    stone = {"boulders": list(stones or [STONE]), "slings": slings, "rigging": rigging}
    return evaluate(load(json.dumps(small(options=[option(stone=stone)])).encode())).options[0]


def slung(slings: list[dict[str, Any]], rigging: dict[str, Any] | None, *stones: dict[str, Any]) -> SlingsResult:
    found = worked(slings, rigging, *stones).slings
    assert found is not None
    return found


def one(figures: tuple[Entry, ...], subject: str) -> Entry:
    (found,) = [figure for figure in figures if figure.subject == subject]
    return found


def faults(slings: list[dict[str, Any]], rigging: dict[str, Any] | None) -> list[str]:
    stone = {"boulders": [STONE], "slings": slings, "rigging": rigging}
    project = load(json.dumps(small(options=[option(stone=stone)])).encode())
    return [say_problem(project, path, problem, "us") for path, problem in evaluate(project).problems]


# Tension in a leg under 1,000 lb on two even legs. 60 and 45 degrees: wire-rope rigging guide pages; 90 and 30:
# US Navy NAVEDTRA 14080, Bridle Hitch.
@pytest.mark.parametrize(("angle", "tension"), [(90, 500), (60, 577), (45, 707), (30, 1000)])
def test_a_two_legged_bridle_pulls_as_printed(angle: float, tension: float) -> None:
    assert sling_use(1000, 0.5, 1.0, angle) == pytest.approx(tension, abs=0.5)


# OSHA, Guidance on Safe Sling Use, table 1: grade 80 chain 7/32 in, 2,100 lb straight; two legs, rounded to 100 lb.
@pytest.mark.parametrize(("angle", "capacity"), [(60, 3600), (45, 3000), (30, 2100)])
def test_a_bridle_is_used_up_by_the_load_printed_for_it(angle: float, capacity: float) -> None:
    assert sling_use(capacity, 0.5, 2100, angle) == pytest.approx(1.0, rel=0.02)


# Ten-foot legs, five feet high, 1,000 lb on two of them: 1,000 lb each (general sling instruction sheet).
def test_the_leg_angle_of_the_instruction_sheet_gives_its_length_and_pull() -> None:
    angle = math.degrees(math.asin(5 / 10))
    assert leg_length(math.sqrt(10**2 - 5**2), 0.0, angle) == pytest.approx(10)
    assert sling_use(1000, 0.5, 1000, angle) == pytest.approx(1.0)


def test_three_and_four_legs_hold_no_more_than_two() -> None:
    two, three, four = (
        one(slung([SLING], {"hitch": "vertical", "legs": legs, "heavier_share": 0.5}).sling_use, "slab / web").value
        for legs in (2, 3, 4)
    )
    assert two == three == four == pytest.approx(MASS / 2 / math.sin(math.radians(60)) / 4000, rel=1e-6)


@pytest.mark.parametrize(("share", "low", "high"), [(0.52, 0.5, 0.572), (0.95, 0.855, 1.0), (0.6, 0.54, 0.66)])
def test_the_heavier_leg_takes_from_half_to_all_of_the_load(share: float, low: float, high: float) -> None:
    """A tenth more or less, and never less than half nor more than all."""
    rigged = {"hitch": "vertical", "legs": 2, "heavier_share": share, "heavier_within": 0.1}
    use = one(slung([SLING], rigged).sling_use, "slab / web")
    assert (use.least / use.value, use.most / use.value) == pytest.approx((low / share, high / share))


def test_one_straight_pull_is_plumb_and_carries_all() -> None:
    found = slung([SLING], {"hitch": "vertical", "legs": 1, "angle_deg": 45, "hook_height": "2 ft"})
    assert one(found.sling_use, "slab / web").value == pytest.approx(MASS / 4000, rel=1e-6)
    assert one(found.sling_length_needed, "slab").value == pytest.approx(2 * FOOT)


def test_the_high_mass_is_what_counts() -> None:
    loose = STONE | {"axes_within": 0.1, "form": "ellipsoid"}
    result = worked([SLING], {"legs": 1}, loose)
    assert result.stone is not None
    assert result.slings is not None
    (mass,) = result.stone.boulder_mass
    rated = one(result.slings.sling_rated, "web").value
    assert mass.most > mass.value * 1.3
    assert one(result.slings.sling_use, "slab / web").value == pytest.approx(mass.most / rated)


# A tag of the pattern 3,200 straight, 2,560 choker, 6,400 basket: choker 0.8, basket 2.0 (rigging pages, secondary).
@pytest.mark.parametrize(("hitch", "printed"), [("vertical", 3200), ("choker", 2560), ("basket", 6400)])
def test_what_the_tag_does_not_print_follows_from_the_vertical_and_what_it_prints_is_not_reduced_twice(
    hitch: str, printed: float
) -> None:
    bare = SLING | {"vertical": "3200 lb"}
    full = bare | {hitch: f"{printed} lb"}
    for sling in (bare, full):
        rated = one(slung([sling], {"hitch": hitch}).sling_rated, "web")
        assert rated.value == pytest.approx(printed * POUND)
    own = bare | ({hitch: "2000 lb"} if hitch != "vertical" else {"vertical": "2000 lb"})
    assert one(slung([own], {"hitch": hitch}).sling_rated, "web").value == pytest.approx(2000 * POUND)


def test_a_basket_is_two_parts_at_the_leg_angle() -> None:
    found = slung([SLING], {"hitch": "basket", "legs": 1, "angle_deg": 45})
    capacity = 2 * 4000 * math.sin(math.radians(45))
    assert one(found.sling_use, "slab / web").value == pytest.approx(MASS / capacity, rel=1e-6)


# Web slings: 120 degrees and more 1.00, 90 to 120 0.87, 60 to 89 0.74 (sling instruction sheet, secondary).
@pytest.mark.parametrize(("angle", "share"), [(150, 1.0), (120, 1.0), (119, 0.87), (90, 0.87), (75, 0.74)])
def test_a_tight_choke_takes_the_makers_share_of_the_row_below_it(angle: float, share: float) -> None:
    rows = [{"angle_deg": a, "share": s} for a, s in ((60, 0.74), (120, 1.0), (90, 0.87))]
    rated = one(slung([SLING | {"choke": rows}], {"choke_angle_deg": angle}).sling_rated, "web")
    assert rated.value == pytest.approx(4000 * 0.8 * share * POUND)
    assert sling_rated(4000, 0.8, share) == pytest.approx(4000 * 0.8 * share)


def _path_length(points: list[tuple[float, float, float]]) -> float:
    at = np.array(points)
    return float(np.linalg.norm(np.diff(at, axis=0), axis=1).sum())


def test_the_least_length_of_a_basket_is_that_of_the_line_it_runs_in_space() -> None:
    """Two baskets half the stone's length apart, drawn point by point; the hook
    stands where the legs have 60 degrees.
    """
    a, b, c = (inches * 0.0254 for inches in (40, 30, 20))
    foot = math.hypot(a / 4, b / 2)
    hook = (0.0, 0.0, c + foot * math.tan(math.radians(60)))
    line = [hook, (a / 4, b / 2, c), (a / 4, b / 2, 0.0), (a / 4, -b / 2, 0.0), (a / 4, -b / 2, c), hook]
    found = slung([SLING], {"hitch": "basket", "legs": 2, "angle_deg": 60})
    assert one(found.sling_length_needed, "slab").value == pytest.approx(_path_length(line))


def test_the_least_length_of_a_choker_goes_once_round_and_on_to_the_hook() -> None:
    a, b, c = (inches * 0.0254 for inches in (40, 30, 20))
    hook = (0.0, 0.0, a / 4 * math.tan(math.radians(45)))
    round_it = 2 * b + 2 * c
    found = slung([SLING], {"legs": 2, "angle_deg": 45})
    assert one(found.leg_length, "slab").value == pytest.approx(_path_length([hook, (a / 4, 0.0, 0.0)]))
    assert one(found.sling_length_needed, "slab").value == pytest.approx(
        round_it + _path_length([hook, (a / 4, 0.0, 0.0)])
    )


def test_the_narrowest_sling_that_holds_is_taken() -> None:
    wide = SLING | {"name": "wide", "width": "6 in", "vertical": "9000 lb"}
    thin = SLING | {"name": "thin", "width": "1 in", "vertical": "900 lb"}
    found = slung([wide, SLING, thin], {})
    assert [figure.subject for figure in found.sling_to_use] == ["slab / web"]
    assert found.sling_to_use[0].value == pytest.approx(3 * 0.0254)
    assert found.boulders_no_sling is not None
    assert found.boulders_no_sling.value == 0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"vertical": "2200 lb"}, "Over your own limit of 80 %"),
        ({"vertical": "1000 lb"}, "Over the sling's rating"),
        ({"length": "3 ft"}, "Too short: 3 ft where"),
        ({"count": 1}, "Only 1 at hand of the 2 slings"),
        ({"edge_protection": False}, "No edge protection"),
    ],
)
def test_what_speaks_against_a_sling_stands_at_its_use_and_it_is_not_taken(change: dict[str, Any], words: str) -> None:
    found = slung([SLING | change], {})
    assert any(words in say(caution, "us") for caution in one(found.sling_use, "slab / web").cautions)
    assert found.sling_to_use == ()
    assert found.boulders_no_sling is not None
    assert found.boulders_no_sling.value == 1
    assert "'slab', up to" in say(found.boulders_no_sling.cautions[0], "us")


def test_no_tag_no_lift_and_the_other_slings_stand() -> None:
    bare = {key: value for key, value in SLING.items() if key != "vertical"} | {"name": "bare"}
    assert faults([SLING, bare], {}) == []
    found = slung([SLING, bare], {})
    (unread,) = found.to_fill
    assert unread.path == ("stone", "slings", 1, "vertical")
    assert "without a legible tag the sling lifts nothing" in unread.wanted.text
    assert [figure.subject for figure in found.sling_use] == ["slab / web"]


def test_legs_flatter_than_30_degrees_are_refused_with_everything_that_hangs_on_them() -> None:
    (said,) = faults([SLING], {"angle_deg": 29})
    assert "29" in said
    assert "30° or steeper" in said
    assert slung([SLING], {"angle_deg": 29}).sling_use == ()
    assert faults([SLING], {"angle_deg": 30}) == []
    assert faults([SLING], {"angle_deg": 29, "legs": 1}) == []  # one straight pull has no such angle


@pytest.mark.parametrize(
    ("sling", "rigging", "words"),
    [
        (SLING | {"choker": "4100 lb"}, {}, "at most 4,000 lb"),
        (SLING | {"basket": "8100 lb"}, {}, "at most 8,000 lb"),
        (SLING, {"choke_angle_deg": 100}, "120° or more"),
        (SLING | {"choke": [{"angle_deg": 60, "share": 0.7}]}, {"choke_angle_deg": 50}, "60°"),
        (SLING, None, "no rigging is entered"),
    ],
)
def test_bad_input_is_answered_with_what_is_allowed(
    sling: dict[str, Any], rigging: dict[str, Any] | None, words: str
) -> None:
    (said,) = faults([sling], rigging)
    assert words in said
    assert slung([sling], rigging).sling_use == ()


def test_without_slings_nothing_is_shown() -> None:
    assert worked([], {}).slings is None


def test_a_moved_tier_does_not_rework_the_slings() -> None:
    memory, project = Memory(), demo("turtle_yard")
    before = asked(project, memory).options[0]
    memory.worked.clear()
    for tier in (0, 1):
        project = put(project, ("options", 0, "pools", 0, "tiers", tier, "depth"), ("7.5 in", "19 in")[tier])
        after = asked(project, memory).options[0]
        assert after.slings is before.slings
    assert "sling_figures" not in memory.worked


def test_a_changed_sling_does_not_rework_the_stone() -> None:
    memory, project = Memory(), demo("turtle_yard")
    before = asked(project, memory).options[0]
    after = asked(put(project, ("options", 0, "stone", "rigging", "angle_deg"), 50), memory).options[0]
    assert after.stone is before.stone
    assert after.slings is not before.slings
