"""Every caution of clearances, just inside and just outside: distances by hand on a dig that reaches 3 m."""

from typing import Any

from pondkit.trades.clearances import cautions as rules
from tests.cautions import cases, edge, told
from tests.trades.clearances import test_machines as machines
from tests.trades.clearances.test_compute import GAS, LAND, OAK, WAY, option
from tests.trades.lifting import test_around as around


def kept(*things: dict[str, Any], **site: Any) -> Any:
    return option(*things, **site).clearances


def test_a_dig_against_a_clearance() -> None:
    """The dig reaches y = 3, the line runs along y = 4: 1 m."""

    def clear(clearance: float) -> Any:
        return kept(GAS | {"clearance": clearance})

    for rule in (rules.KEEP_OUT_NEAR, rules.DIG_NEAR, rules.CLEARANCE_NOT_KEPT, rules.KEEP_OUT_ENTERED):
        assert rule.rank == "act"
    edge(rules.KEEP_OUT_NEAR, clear, inside=0.995, outside=1.005)
    edge(rules.DIG_NEAR, clear, inside=0.995, outside=1.005)
    edge(rules.CLEARANCE_NOT_KEPT, clear, inside=0.995, outside=1.005)
    edge(rules.KEEP_OUT_ENTERED, clear, inside=0.995, outside=1.005)


def test_each_keep_out_counts_once_however_many_come_too_near() -> None:
    """Both pools' digs, 3 m each way, run into the line between them, and one into the tree."""
    tree = OAK | {"points": [[0, 4]]}
    one = kept(GAS, tree, LAND).keep_outs_entered
    both = kept(GAS, tree, LAND, way_in=WAY | {"points": [[0, -30], [0, 5]], "machine_slope": 0.5}).keep_outs_entered
    assert (one.value, both.value) == (2, 2)
    assert sum(caution.key == "clearance_not_kept" for caution in both.cautions) == 4


def test_what_is_heaped_near() -> None:
    """A top of 8 x 2 m at 0.5 m, sides 2 to 1: its toe lies 1 m further out, at y = 12."""
    berm = {
        "outline": {"shape": "rectangle", "length": "8 m", "width": "2 m"},
        "at": ["0 m", "14 m"],
        "side_slope": 2,
        "top_level": "50 cm",
    }

    def heaped(clearance: float) -> Any:
        oak = {"name": "oak", "kind": "tree", "clearance": f"{clearance} m", "points": [["0 m", "10 m"]]}
        return around.worked((0.0, -20.0), site={"keep_outs": [oak]}, earth={"berm": berm}).clearances

    edge(rules.HEAP_NEAR, heaped, inside=1.99, outside=2.01)


def test_machine_and_boom_near_a_line() -> None:
    """12 ft from the machine's middle, 7 from its tracks; the boom's foot 12 ft away on the other side."""

    def line(clearance: float) -> Any:
        wire = machines.LINE | {"clearance": f"{clearance} ft", "points": [["-42 ft", "-90 ft"], ["-42 ft", "90 ft"]]}
        return machines.worked([wire]).clearances

    edge(rules.MACHINE_NEAR, line, inside=6.98, outside=7.02)
    edge(rules.BOOM_NEAR, line, inside=11.98, outside=12.02)


def test_what_the_way_in_lets_through() -> None:
    """1.6 m clear, 0.1 m of room each side: 1.4 m for a machine or for a stone."""

    def machine(width: float) -> Any:
        return kept(way_in=WAY | {"machine_width": width, "machine_slope": 0.2}).way_spare

    edge(rules.MACHINE_TOO_WIDE, machine, inside=1.4, outside=1.41)

    def climbing(most: float) -> Any:
        return kept(way_in=WAY | {"machine_slope": most}).way_spare

    edge(rules.WAY_TOO_STEEP, climbing, inside=0.1, outside=0.099)
    cases(rules.CLIMB_NOT_ENTERED, without=climbing(0.2), with_it=kept(way_in=WAY).way_spare)
    one = kept(way_in=WAY | {"points": [[0, -5]]}).way_spare
    cases(rules.WAY_OF_ONE_PLACE, without=climbing(0.2), with_it=one)

    def clear(width: float) -> Any:
        return kept(way_in=WAY | {"clear_width": width, "room": 0.3}).way_stone_width

    edge(rules.WAY_SHUT, clear, inside=0.605, outside=0.595)

    def stone(width: float) -> Any:
        """A seat 0.9 m wide within a tenth: 0.99 m."""
        return kept(way_in=WAY | {"clear_width": width, "machine_width": 0.5}).way_stone_width

    edge(rules.STONE_TOO_WIDE, stone, inside=1.195, outside=1.185)
    assert "seat" in told(stone(1.185))["stone_too_wide"].text
