"""Every caution of the lift plan, just inside and just outside: 825 lb of stone by the
chart of the tests, distances by hand.
"""

from typing import Any

from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.lifting import cautions as rules
from pondkit.trades.lifting.results import LiftingResult
from tests.cautions import cases, edge, told
from tests.designs import option, pool, read
from tests.trades.lifting import test_around as around
from tests.trades.lifting import test_hook as hook
from tests.trades.lifting.test_compute import STONE, WEST, lifted, project


def test_a_lift_against_the_rating_and_a_persons_own_limit() -> None:
    """At pick-up and in the swing 2,400 lb, less 100 lb of coupler: 825 lb use it up with
    1,475 lb of rigging; 36.7 % with 50 lb.
    """

    def rigged(rigging: float) -> Any:
        return lifted((-8, 0), plan={"rigging": f"{rigging} lb"}).swing_use

    edge(rules.LIFT_OVER_RATING, rigged, inside=1470, outside=1480)

    def limited(limit: float) -> LiftingResult:
        return lifted((-8, 0), plan={"limit": f"{limit} %"})

    edge(rules.LIFT_OVER_LIMIT, lambda limit: limited(limit).swing_use, inside=37, outside=36.5)
    edge(
        rules.LIFT_NOT_WITHIN_LIMIT,
        lambda limit: limited(limit).boulders_not_lifted,
        inside=37,
        outside=36.5,
        rank="check",
    )
    heavy = lifted((-8, 0), plan={"rigging": "1480 lb"}).boulders_not_lifted
    assert told(heavy)["lift_not_within_limit"].rank == "act"


def test_a_machine_rated_over_a_thousand_kilograms() -> None:
    """ISO 10567:1992, 3.4, as an operator manual quotes it: 1,000 kg at the least radius, 40 kN m."""

    def rated(front: float, far: float = 3.0) -> Any:
        chart = [
            {"radius": f"{out} m", "height": f"{high} m", "front": f"{front} kg", "side": f"{front} kg"}
            for out in (2, far)
            for high in (-3, 4)
        ]
        plan = {
            "positions": [WEST | {"at": ["-17.5 ft", "0 ft"], "pick_up": ["-25 ft", "0 ft"]}],
            "chart": chart,
            "size": "4 ft",
        }
        stone = STONE | {"axes": ["12 in", "10 in", "8 in"], "places": [["-9.5 ft", "0 ft"]]}
        return lifted(plan=plan, soil="stiff clay", stones=[stone]).swing_use

    edge(rules.LIFTING_DEVICES, rated, inside=995, outside=1005)
    # 900 kg x 9.80665 at 4.532 m are 40 kN m
    edge(rules.LIFTING_DEVICES, lambda far: rated(900, far), inside=4.5, outside=4.56)


def test_ground_under_the_machine() -> None:
    def falling(fall: float) -> Any:
        made = put(project((-8, 0)), ("site", "ground"), {"kind": "plane", "fall": fall})
        found = evaluate(made).options[0].lifting
        return found.swing_use if found else ()

    edge(rules.MACHINE_NOT_LEVEL, falling, inside=0, outside=0.01, step=0.01)
    stone = {"boulders": [{"name": "seat", "axes": ["1 m", "80 cm", "50 cm"], "places": [["0 m", "20 m"]]}]}
    course = {"height": "1.2 m", "width": "0.8 m", "set_back": "0 m"}
    wall = {
        "name": "terrace",
        "base_level": "0 m",
        "points": [["-3 m", "10 m"], ["3 m", "10 m"]],
        "courses": [course, course],
    }

    def behind(north: float) -> Any:
        """2.4 m behind the wall's front, and 1 m from the machine's middle to its tracks."""
        return around.worked((0.0, north), walls={"walls": [wall]}, stone=stone).lifting

    edge(rules.MACHINE_BEHIND_WALL, behind, inside=13.42, outside=13.38)
    berm = {
        "outline": {"shape": "rectangle", "length": "8 m", "width": "2 m"},
        "at": ["0 m", "14 m"],
        "side_slope": 2,
        "top_level": "50 cm",
    }

    def before(north: float) -> Any:
        """The toe lies at 12 m, the machine's tracks 1 m from its middle."""
        position = {"name": "here", "at": [0, north], "pick_up": [-6, north - 1]}
        plan = {"size": 1.0, "positions": [position], "chart": around.CHART, "heaped": "after the lifts"}
        return around.worked((0.0, north), lifting=plan, earth={"berm": berm}, stone=stone).lifting

    edge(rules.HEAPED_AFTER_LIFTS, before, inside=10.95, outside=11.05)


def test_what_is_said_of_the_plan_as_a_whole() -> None:
    found = lifted((-8, 0))
    cases(rules.LIFT_BY_THE_PLATE, without=found.pick_use, with_it=found.swing_use)
    cases(rules.EDGE_UNDER_MACHINE, without=found.lift_radius, with_it=found.set_back_spare)
    two = lifted(stones=[STONE | {"count": 2, "places": [["-8 ft", "0 ft"]]}])
    cases(rules.LIFTS_NOT_CHECKED, without=found.boulders_not_lifted, with_it=two.boulders_not_lifted)
    drawn = lifted((-8, 0), way_in=["-60 ft", "0 ft"])
    cases(rules.WAY_IN_NOT_DRAWN, without=drawn.boulders_not_lifted, with_it=found.boulders_not_lifted)


def test_a_hook_over_the_load_point_entered() -> None:
    """Two legs at 60 degrees, their feet 36 in apart: the hook stands 18 in x tan 60 = 31.18 in over them."""

    def over(inches: float) -> Any:
        rigging = {"hitch": "choker", "legs": 2, "angle_deg": 60, "spread": 0.9}
        position = {"name": "west", "at": ["-30 ft", "0 ft"], "pick_up": ["-30 ft", "-10 ft"]}
        lifting = {"hook_over": f"{inches} in", "positions": [position], "chart": hook.CHART}
        stone = {"boulders": [hook.SEAT], "slings": [hook.SLING], "rigging": rigging}
        one = option(pools=[pool(at=["40 ft", "40 ft"])], stone=stone, lifting=lifting)
        return evaluate(read(options=[one])).options[0].lifting

    edge(rules.HOOK_OVER_ENTERED, over, inside=31.3, outside=31.1)


def test_stones_in_the_way_out_and_a_way_that_cuts_a_rim() -> None:
    def past(north: float) -> Any:
        """Out westward along y = 0: 5 ft of machine, and half of a stone of 30 in."""
        return lifted((-38, north), way_in=["-60 ft", "0 ft"]).way_out_stones

    edge(rules.STONES_IN_WAY_OUT, past, inside=6.27, outside=6.23)

    def along(south: float) -> Any:
        """Out eastward past a pool 20 ft across, 5 ft from the middle of the machine to its tracks."""
        west = WEST | {"at": ["-24 ft", f"-{south} ft"], "pick_up": ["-34 ft", f"-{south} ft"]}
        return lifted((-14, -20), plan={"positions": [west]}, way_in=["60 ft", f"-{south} ft"]).way_out_stones

    edge(rules.WAY_OUT_OVER_DIG, along, inside=15.02, outside=14.97)
