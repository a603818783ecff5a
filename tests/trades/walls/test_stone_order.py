"""Stone of walls by plain geometry and the reference notes' bulk mass; crushed stone and
bedding; their turns, loads and prices.
"""

import math
from typing import Any

import pytest

from pondkit.core.remembered import Memory
from pondkit.core.units import MASS
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.walls.formulas import wall_stone_order
from pondkit.trades.walls.results import WallStone
from tests.designs import option, read, small
from tests.memory import asked

COURSES = [
    {"height": "0.4 m", "width": "0.9 m", "set_back": "0 m"},
    {"height": "0.3 m", "width": "0.7 m", "set_back": "0.1 m"},
]
WALL: dict[str, Any] = {
    "name": "back",
    "base_level": "-0.3 m",
    "points": [["-3 m", "8 m"], ["3 m", "8 m"]],
    "courses": COURSES,
}


def worked(walls: list[dict[str, Any]], **more: Any) -> OptionResult:
    held = {"stone": "2500 kg/m^3", "porosity": 0.3, "footing": "0.2 m", "footing_room": "0.1 m", "walls": walls}
    return evaluate(read(**small(units="si", options=[option(walls=held, **more)]))).options[0]


def stone_of(result: OptionResult) -> WallStone:
    assert result.wall_stone is not None
    return result.wall_stone


def test_bulk_mass_as_the_reference_notes_have_it() -> None:
    """Reference notes, 5.3: rock of 2,650 kg/m³ at voids of .30 and .35 gives 1,855 and 1,722 kg/m³."""
    assert wall_stone_order(1.0, 0.30, 2650) == pytest.approx(1855, abs=0.6)
    assert wall_stone_order(1.0, 0.35, 2650) == pytest.approx(1722, abs=0.6)


def test_a_straight_wall_is_its_section_times_its_line() -> None:
    found = stone_of(worked([WALL]))
    bulk = (0.4 * 0.9 + 0.3 * 0.7) * 6
    assert found.wall_volume[0].value == pytest.approx(bulk, rel=1e-6)
    order = found.wall_stone_order[0]
    assert order.subject == "back" and order.kind is MASS
    assert order.value == pytest.approx(bulk * 0.7 * 2500, rel=1e-6)


def test_a_bent_wall_is_shorter_behind_where_it_turns_to_its_backfill() -> None:
    """A right angle to the left, the backfill inside it: each strip loses a square at its corner."""
    found = stone_of(worked([WALL | {"points": [["0 m", "8 m"], ["5 m", "8 m"], ["5 m", "12 m"]]}]))
    first = 0.9 * 9 - 0.9**2
    whole = 0.8 * 9 - 0.8**2
    before = 0.1 * 9 - 0.1**2
    assert found.wall_volume[0].value == pytest.approx(0.4 * first + 0.3 * (whole - before), rel=1e-6)


def test_a_length_stands_in_for_a_line_and_a_wall_with_neither_is_named() -> None:
    plain = {key: value for key, value in WALL.items() if key != "points"}
    found = worked([plain | {"length": "6 m"}, plain | {"name": "other"}])
    stone = stone_of(found)
    assert [figure.subject for figure in stone.wall_stone_order] == ["back"]
    assert stone.wall_volume[0].value == pytest.approx((0.4 * 0.9 + 0.3 * 0.7) * 6)
    assert stone.unknown == ("other",)
    assert stone.total_wall_stone_order is not None
    assert "other" in " ".join(caution.text for caution in stone.total_wall_stone_order.cautions)
    assert found.walls is not None
    said = {f.subject: " ".join(c.text for c in f.cautions) for f in found.walls.wall_height}
    assert "not in the order" in said["other"] and "not in the order" not in said["back"]


def test_its_mass_goes_from_the_least_density_to_the_rocks_highest() -> None:
    """Granite by the shipped table, at the least the density that the wall is checked with."""
    order = stone_of(worked([WALL], stone={"rock": "granite"})).wall_stone_order[0]
    alone = stone_of(worked([WALL])).wall_stone_order[0]
    assert order.least == pytest.approx(alone.least)
    assert alone.least == pytest.approx(alone.value * (1 - 0.3 * 1.15) / 0.7)  # voids of 0.3 may be 15 % more
    assert order.most == pytest.approx(alone.value * (1 - 0.3 * 0.85) / 0.7 * 2700 / 2500)
    assert order.least < order.value < order.most
    assert "no rock is named" in " ".join(caution.text for caution in alone.cautions)


def test_footings_seats_and_pipe_bedding_are_ordered_and_come_before_the_wall() -> None:
    earth = {"truck_volume": "6 m^3", "truck_payload": "9000 kg"}
    water = {
        "intake": {"at": ["9 m", "0 m"], "plan_size": ["1 m", "0.8 m"], "underside": "-1 m", "seat": "0.1 m"},
        "hole_room": "0.3 m",
    }
    boulder = {"name": "seat", "count": 2, "axes": ["80 cm", "60 cm", "40 cm"]}
    found = worked([WALL], stone={"haul": {}, "boulders": [boulder]}, earth=earth, water=water)
    assert found.excavation and found.excavation.seat_order and found.haul
    wanted = (6 + 0.2) * (0.9 + 0.2) * 0.2 + 1.6 * 1.4 * 0.1
    assert found.excavation.seat_order.value == pytest.approx(wanted, rel=1e-6)
    names = [each.class_mass.subject for each in found.haul.classes]
    assert names[:3] == ["crushed stone under bodies and walls", "wall back", "seat"]
    wall = found.haul.classes[1]
    order = stone_of(found).wall_stone_order[0]
    got = wall.class_mass
    assert (got.least, got.value, got.most) == pytest.approx((order.least, order.value, order.most))
    assert wall.loose_volume is not None and wall.stone_loads is not None
    bulk = stone_of(found).wall_volume[0].value
    assert wall.loose_volume.value == pytest.approx(bulk * 0.7 / 0.6)  # voids of .4 in the truck
    assert wall.stone_loads.value == math.ceil(max(wall.loose_volume.value / 6, got.value / 9000))


def test_bedding_under_pipe_is_ordered_and_is_not_filled_in_again() -> None:
    """Level run of 4 in pipe in level ground: trench width times length times bedding."""
    nodes = [
        {"name": "a", "kind": "junction", "at": ["9 m", "0 m", "-0.8 m"]},
        {"name": "b", "kind": "junction", "at": ["14 m", "0 m", "-0.8 m"]},
    ]
    tunnels = {"pipe": "sch40 4 in", "trench_room": "0.1 m", "nodes": nodes, "runs": [{"from": "a", "to": "b"}]}
    back = {}
    for bedding in ("0 m", "0.15 m"):
        found = worked([], tunnels=tunnels, dig={"bedding": bedding}).excavation
        assert found and found.trench_dig_volume and found.backfill_volume
        back[bedding] = found.backfill_volume.value
        laid = found.pipe_bedding_order
    assert laid is not None
    assert laid.value == pytest.approx((4.5 * 0.0254 + 0.2) * 5 * 0.15, rel=1e-6)  # 4.500 in outside, ASTM D1785
    assert back["0 m"] == pytest.approx(back["0.15 m"], rel=1e-9)  # dug deeper by just what is laid there


def test_they_have_rates_of_their_own_and_are_named_without() -> None:
    rated = worked([WALL], rates={"wall_stone": "80 per tonne", "crushed": "40 per m^3"})
    assert rated.price and rated.excavation and rated.excavation.seat_order
    prices = {line.subject: line.value for line in rated.price.price}
    order = stone_of(rated).total_wall_stone_order
    assert order is not None
    assert prices["Wall stone"] == pytest.approx(order.value * 80 / 1000)
    assert prices["Crushed stone"] == pytest.approx(rated.excavation.seat_order.value * 40)
    bare = worked([WALL], rates={"dig": "10 per m^3"})
    assert bare.price and {"wall stone", "crushed stone"} <= set(bare.price.lacking)


def test_a_moved_tier_leaves_the_walls_stone_as_it_was() -> None:
    memory = Memory()

    def turn(depth: str) -> WallStone:
        held = {"walls": [WALL]}
        pools = [
            {
                "name": "pool",
                "outline": {"shape": "circle", "diameter": "4 m"},
                "tiers": [{"zone": "deep", "depth": depth}],
            }
        ]
        return stone_of(asked(read(units="si", options=[option(walls=held, pools=pools)]), memory).options[0])

    assert turn("60 cm") is turn("61 cm")
