"""Every caution of the liner just inside and just outside its limit; limits from their print, in its own units."""

from typing import Any

import pytest

from pondkit.core.caution import CHECK
from pondkit.core.entry import Entry, Range, entry
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import formulas as edge_formulas
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.fabrics import fabrics
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.results import FabricStrips, Pad
from tests.cautions import cases, edge, told
from tests.trades.liner import test_liners, test_uplift
from tests.trades.liner.test_extras import design, figures
from tests.trades.liner.test_panels import ROLLS, lined
from tests.trades.liner.test_seams import box

IN = 0.0254
FABRIC = {"mass": "300 g/m^2", "thickness": "3 mm", "roll_width": 4, "roll_length": 50, "lap": "30 cm"}
LINK = {"from": "high", "to": "low", "at": [8, 0], "crest_width": "50 cm", "crest_level": 0.55}
CHANNEL = LINK | {"kind": "channel", "crest_level": 0.5, "length": 9, "bank_height": "20 cm"}
SEAT = {"boulders": [{"name": "seat", "axes": ["90 cm", "40 cm", "60 cm"], "pool": "low"}]}
UP = {"edge_kind": "turned up", "edge_back": "20 cm", "edge_rise": "10 cm"}
TRENCH = {"edge_kind": "anchor trench", "edge_back": "24 in", "trench_depth": "12 in", "trench_width": "12 in"}


def under(found: OptionResult, key: str, subject: str) -> Entry:
    figure: Entry = figures(found, key)[subject]
    return figure


# --- size and load: more than four people is common practice, no source ---


def test_pools_under_no_liner() -> None:
    alone = {"liners": [{"name": "a", "covers": ["low"]}]}
    cases(rules.POOLS_WITHOUT_LINER, without=design(), with_it=design(alone))


def test_measured_before_it_is_cut() -> None:
    found = design()
    cases(
        rules.MEASURE_BEFORE_CUT,
        without=figures(found, "liner_area").values(),
        with_it=under(found, "liner_area_order", "a"),
    )


def test_a_rule_of_thumb_that_falls_short() -> None:
    two = [test_liners.pool("low"), test_liners.pool("high", level="50 cm", at=[9, 0])]
    wide = [test_liners.pool(tiers=[{"zone": "deep", "depth": 1, "batter": 0.5}])]
    cases(
        rules.RULE_FALLS_SHORT,
        without=test_liners.liner(test_liners.design(wide)),
        with_it=test_liners.liner(test_liners.design(two)),
    )


def test_five_people_for_a_liner_or_a_panel() -> None:
    def people(relation: Any, mass: float) -> Entry:
        return entry(relation, "a", mass=mass, carry=25.0)

    edge(rules.LINER_TOO_HEAVY, lambda mass: people(rel.carriers, mass), inside=100.0, outside=100.1)
    edge(rules.PANEL_TOO_HEAVY, lambda mass: people(rel.panel_carriers, mass), inside=100.0, outside=100.1)
    heavy = entry(
        rel.carriers,
        "a",
        mass=entry(rel.sheet_mass, "a", thickness=Range(0.9e-3, 1e-3, 1.1e-3, ""), density=1000.0, area=95.0),
        carry=25.0,
    )
    assert told(heavy)[rules.LINER_TOO_HEAVY.key].rank == CHECK  # 95 kg of 86 to 105


def test_lifting_is_said_with_the_people() -> None:
    found = design()
    cases(rules.LIFT_LINER_TOGETHER, without=under(found, "liner_mass", "a"), with_it=under(found, "carriers", "a"))


# --- seams and rolls ---


def test_a_seam_across_the_floor_and_one_beside_it() -> None:
    # The box is 6 x 4 m: stock of 5 x 50 m wants a seam across its floor, stock of 20 m none.
    cases(rules.SEAM_AT_LOWEST, without=box(0.0, stock_width="20 m"), with_it=box(0.0))


def test_a_seam_at_the_highest_water() -> None:
    def seam(at_rest: float) -> Entry:
        return entry(rel.seam_under_water, "a / seam 1", at_rest=at_rest, water_rise=0.05)

    edge(rules.SEAM_UNDER_WATER, seam, inside=-0.05, outside=-0.0495)
    assert rules.SEAM_UNDER_WATER.key in told(figures(box(0.0), "seam_depth").values())


def test_a_seam_under_a_boulder() -> None:
    spots = [[x / 2, y / 2] for x in range(-8, 9) for y in range(-6, 7)]
    boulder = {
        "name": "seat",
        "axes": ["40 cm", "40 cm", "40 cm"],
        "count": len(spots),
        "places": spots,
        "pool": "pool",
    }
    cases(rules.SEAM_MEETS, without=lined([ROLLS[1]]), with_it=lined([ROLLS[1]], stone={"boulders": [boulder]}))


def test_joins_of_neighbours_in_one_line() -> None:
    # Rolls hardly longer than two laps leave no choice of where they are joined.
    short = [{"name": "short", "width": 4, "length": "62 cm", "price": 1}]
    cases(rules.JOINS_IN_ONE_LINE, without=lined(ROLLS), with_it=lined(short, seam_lap="30 cm"))


# --- strips, fabric and pads ---


def test_strips_lap_upstream_over_downstream() -> None:
    found = design(links=[LINK])
    cases(
        rules.LAP_OVER_LOWER,
        without=figures(found, "link_strip_area").values() and under(found, "link_strip_width", "high – low"),
        with_it=under(found, "link_strip_length", "high – low"),
    )


def test_no_strip_where_one_liner_lies_under_both_pools() -> None:
    one = design({"liners": [{"name": "a", "covers": ["low", "high"]}]}, links=[LINK])
    cases(rules.LINK_ON_ONE_LINER, without=design(links=[LINK]), with_it=one)
    assert not figures(one, "link_strip_area") and figures(design(links=[LINK]), "link_strip_area")


def test_channels_with_and_without_their_sizes() -> None:
    def strip(**changes: Any) -> OptionResult:
        return design(links=[{key: value for key, value in (CHANNEL | changes).items() if value is not None}])

    cases(rules.CHANNEL_WITHOUT_LENGTH, without=strip(), with_it=strip(length=None))
    # From the crest at x = 8 to the lower waterline at 3, and 0.5 m down: 5.025 m.
    edge(rules.CHANNEL_TOO_SHORT, lambda length: strip(length=length), inside=5.03, outside=5.02)
    cases(rules.CHANNEL_WITHOUT_SIDES, without=strip(), with_it=strip(bank_height=None))


def test_a_channel_without_a_bank_whose_depth_is_known() -> None:
    water = {
        "intake": {"pool": "low", "at": [0, 0]},
        "pumps": [
            {
                "name": "p",
                "pipe": "sch40 2 in",
                "length": 3,
                "curve": [{"flow": "0 L/min", "head": 3}, {"flow": "200 L/min", "head": 1}],
            }
        ],
        "branches": [{"name": "b", "pipe": "sch40 2 in", "length": 8, "to": "pool", "pool": "high"}],
    }
    bare = {key: value for key, value in CHANNEL.items() if key != "bank_height"}
    cases(
        rules.CHANNEL_WITHOUT_BANK,
        without=design(links=[CHANNEL], water=water),
        with_it=design(links=[bare], water=water),
    )


@pytest.mark.parametrize("side", ["underlay", "overlay"])
def test_a_strip_longer_than_its_roll(side: str) -> None:
    # The lower liner is 9.2 m long as it is cut: over a roll of 9 m, under one of 10.
    run = max(figure.value for figure in figures(design(), "liner_length_order").values())
    assert 9 < run < 12
    short, long = (design({side: FABRIC | {"roll_length": length}}) for length in ("5 m", "12 m"))
    cases(
        rules.FABRIC_JOINED,
        without=figures(long, f"{side}_area_order").values(),
        with_it=figures(short, f"{side}_area_order").values(),
    )


def test_pads_that_may_do_with_fewer_rolls() -> None:
    lining = Lining.model_validate({"overlay": FABRIC, "underlay": None}, context={"units": "si"})

    def rolls(count: int, wide: float) -> Any:
        return fabrics(
            lining, {"underlay": (), "overlay": (FabricStrips("a", 1, 10.0, 0.0),)}, (Pad("seat", count, 30.0, wide),)
        )

    # Two pads of 30 x 2.1 m lie on no one roll of 4 m, though their area would; two of 2 m do, side by side.
    cases(rules.FABRIC_NOT_LEAST, without=rolls(2, 2.0), with_it=rolls(2, 2.1))


def test_pads_want_a_fabric() -> None:
    bare = {"underlay": None, "overlay": None}
    cases(rules.PADS_WITHOUT_FABRIC, without=design(stone=SEAT), with_it=design(bare, stone=SEAT))


def test_claws_go_through_fabric() -> None:
    burrows = {"burrows": [{"pool": "low", "zone": "deep"}]}
    cases(rules.FABRIC_SLOWS_CLAWS, without=design(), with_it=design(burrows))


def test_folds_where_the_rim_turns_outward() -> None:
    def folded(turned: float) -> Entry:
        return entry(edge_formulas.fold, "a", way=2.0, run=1.5, turn_angle=turned)

    edge(rules.FOLDS, folded, inside=0.0, outside=0.1, step=0.1)


# --- the edge: NRCS 521(A), Arizona: 12 in deep and wide, 24 in back ---


def test_an_edge_too_short_to_be_turned_up() -> None:
    # 20 cm back and 10 cm up take 30 cm.
    edge(rules.EDGE_TOO_SHORT, lambda size: design(UP | {"edge": size}), inside=0.30, outside=0.298)


def test_soil_over_the_turned_up_edge() -> None:
    # The rim of 'low' lies 0.1 m up, the edge 0.1 m over it.
    def beside(level: float) -> OptionResult:
        return design(
            UP | {"liners": [{"name": "a", "covers": ["low"]}]}, site={"ground": {"kind": "level", "level": level}}
        )

    edge(rules.SOIL_OVER_EDGE, beside, inside=0.2, outside=0.201)


def test_each_side_of_the_trench_by_its_own_name() -> None:
    def trench(field: str, inches: float) -> OptionResult:
        return design(TRENCH | {field: f"{inches} in"})

    edge(rules.ANCHOR_SHALLOW, lambda size: trench("trench_depth", size), inside=12, outside=11.9)
    edge(rules.ANCHOR_NARROW, lambda size: trench("trench_width", size), inside=12, outside=11.9)
    edge(rules.ANCHOR_NEAR_RIM, lambda size: trench("edge_back", size), inside=24, outside=23.9)


def test_services_before_the_trench_and_one_trench_for_two_pools() -> None:
    cases(rules.SERVICES_AT_ANCHOR, without=figures(design(), "edge_spare").values(), with_it=design(TRENCH))
    both = design(TRENCH | {"liners": [{"name": "a", "covers": ["low", "high"]}]})
    cases(rules.ONE_ANCHOR_TRENCH, without=design(TRENCH), with_it=both)


# --- groundwater, by hydrostatics ---


def test_groundwater_under_gravel() -> None:
    def lifted(head: float) -> Entry:
        return entry(
            edge_formulas.liner_uplift,
            "pool",
            groundwater=head,
            floor_level=0.0,
            gravel=0.2,
            gravel_density=1600.0,
            water_density=1000.0,
        )

    edge(rules.LINER_LIFTS, lifted, inside=0.32, outside=0.3205)  # 0.2 m of 1600 hold 0.32 m of 1000
    bulk = Range(1440.0, 1600.0, 1760.0, "user input")
    near = entry(
        edge_formulas.liner_uplift,
        "pool",
        groundwater=0.31,
        floor_level=0.0,
        gravel=0.2,
        gravel_density=bulk,
        water_density=1000.0,
    )
    assert told(near)[rules.LINER_LIFTS.key].rank == CHECK  # light gravel holds 0.288 m


def test_faces_that_no_gravel_holds() -> None:
    # The gravel's top lies 1 m down.
    edge(
        rules.FACES_WITHOUT_GRAVEL,
        lambda down: test_uplift.figure(test_uplift.design(f"-{down} m"), "liner_uplift"),
        inside=1.001,
        outside=0.999,
    )


def test_stones_hold_only_where_they_stand() -> None:
    placed, unplaced = ({"boulders": [test_uplift.boulder(**more)]} for more in ({"places": [[0, 0]]}, {}))
    found = test_uplift.design("-70 cm", placed)
    cases(rules.LIFTS_BETWEEN_STONES, without=test_uplift.design("-70 cm"), with_it=found)
    cases(rules.STONES_WITHOUT_PLACE, without=found, with_it=test_uplift.design("-70 cm", unplaced))


def test_a_roll_that_gains_less_than_an_inch_is_refused() -> None:
    def problems(width: float) -> list[str]:
        project = test_liners.design(
            [test_liners.pool()], {"rolls": [{"name": "r", "width": width, "length": 20}], "seam_lap": "60.96 cm"}
        )
        return [problem.given.text for problem in evaluate(project).options[0].problems]

    assert not problems(24 * IN + 1.001 * IN)
    assert any("gains only" in text for text in problems(24 * IN + 0.999 * IN))
