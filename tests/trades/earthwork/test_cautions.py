"""Every caution of the earthwork just inside and just outside its limit; limits from their print, in its own units."""

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from pondkit.core.caution import ACT, CHECK
from pondkit.core.entry import Entry, Range
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork import cautions as rules
from pondkit.trades.earthwork.compute import soil as haul
from pondkit.trades.earthwork.compute.berms import straight_berm
from pondkit.trades.earthwork.compute.excavation import bank_cautions, depth_cautions
from pondkit.trades.earthwork.compute.setting_out import set_out
from pondkit.trades.earthwork.inputs import Berm, Stakes
from pondkit.trades.earthwork.results import DUG, StakedLine, StoneClass
from pondkit.trades.water.cautions import BODY_IN_POOL
from tests.by_grid import option_of, pool_of
from tests.cautions import cases, edge
from tests.trades.earthwork import (
    test_as_built,
    test_berms,
    test_setting_out,
    test_stream_beds,
    test_structures,
    test_taped_lines,
)
from tests.trades.earthwork import test_levels as levels
from tests.trades.earthwork.test_excavation import PIPE, RUNS, option
from tests.trades.earthwork.test_haul import SEAT, haul_of, worked
from tests.trades.earthwork.test_soil import soil
from tests.trades.tunnels.sketch import LINED, POOL, figures, sketch

FT = 0.3048
LEVEL = 0.9  # m: at this level of its pool what is built takes a good part of what is dug
FAR_HOLE = {"at": [9, 0], "plan_size": [0.9, 0.7], "seat": 0.0}


def trench(depth: float) -> tuple[Entry, ...]:
    """Trenches of two runs so deep [m]: their bottoms lie half a pipe under -0.4 m."""
    found = option(RUNS | {"trench_room": 0.1}, level=depth - 0.4 - PIPE / 2).excavation
    assert found
    return found.pipe_trench_volume


def hole(depth: float, sides: float, **site: Any) -> Entry:
    """A hole in level ground at 0."""
    water = {"intake": FAR_HOLE | {"underside": -depth}, "hole_sides": sides}
    found = test_structures.option(water, site={"ground": {"kind": "level", "level": 0}} | site).excavation
    assert found
    return found.body_hole_volume[0]


def depth_of(value: float) -> SimpleNamespace:
    """What a depth alone calls for, as a figure."""
    return _figure(depth_cautions(value, True))


def _figure(cautions: Any) -> Any:
    return Entry("", 0.0, None, "", "", (), "", cautions=tuple(cautions))  # type: ignore[arg-type]


# --- excavations: 29 CFR 1926 Subpart P and 1926.651, limits as print has them in feet ---


def test_a_trench_of_five_feet_is_protected_and_one_of_four_has_a_way_out() -> None:
    edge(rules.TRENCH_PROTECTION, trench, inside=4.95 * FT, outside=5 * FT, rank=ACT)
    edge(rules.TRENCH_WAY_OUT, trench, inside=3.95 * FT, outside=4 * FT)


def test_an_engineer_designs_what_is_deeper_than_twenty_feet() -> None:
    edge(rules.TRENCH_ENGINEERED, depth_of, inside=20 * FT, outside=20.05 * FT)


@pytest.mark.parametrize(("sides", "rank"), [(0, ACT), (1, CHECK)])
def test_sloped_sides_may_be_protection_and_are_looked_at(sides: float, rank: str) -> None:
    edge(rules.TRENCH_PROTECTION, lambda depth: hole(depth, sides), inside=4.95 * FT, outside=5 * FT, rank=rank)
    cases(rules.UPRIGHT_SIDES, without=hole(1.0, 1), with_it=hole(1.0, 0))


def test_services_are_located_before_any_hole() -> None:
    found = test_structures.option({"intake": FAR_HOLE | {"underside": -1.0}}).excavation
    assert found
    cases(rules.SERVICES_BEFORE_DIG, without=found.seat_volume, with_it=found.body_hole_volume)


def test_what_lies_beyond_the_survey_is_measured() -> None:
    near = {"kind": "points", "points": [[-9, -9, 0.0], [7, -9, 0.0], [7, 9, 0.0], [-9, 9, 0.0]]}
    found = option(RUNS | {"trench_room": 0.1}, ground=near).excavation
    assert found
    cases(rules.EXCAVATION_NOT_SURVEYED, without=found.pipe_trench_volume[0], with_it=found.pipe_trench_volume[1])


def test_groundwater_at_the_bottom_is_none_and_just_over_it_is() -> None:
    step = 0.01
    edge(
        rules.HOLE_IN_GROUNDWATER,
        lambda over: hole(1.0, 0, groundwater=-1.0 + over),
        inside=0.0,
        outside=step,
        step=step,
    )

    def at(over: float) -> Any:
        found = option(RUNS | {"trench_room": 0.1}, groundwater=-0.4 - PIPE / 2 + over).excavation
        return found.pipe_trench_volume if found else None

    edge(rules.TRENCH_IN_GROUNDWATER, at, inside=-step / 2, outside=step / 2, step=step)

    def bed(over: float) -> Any:
        found = test_stream_beds.option([test_stream_beds.CHANNEL], site={"groundwater": over}).excavation
        return found.link_dig_volume if found else None

    edge(rules.BED_IN_GROUNDWATER, bed, inside=0.0, outside=step, step=step)  # its bed ends at the water, 0


def test_a_hole_by_a_pool_cuts_into_its_dig_and_one_far_off_does_not() -> None:
    near = test_structures.option({"intake": test_structures.INTAKE}).excavation
    cases(rules.HOLE_IN_POOL_DIG, without=hole(1.0, 0), with_it=near)


def test_a_body_in_a_pool_is_lifted_by_it() -> None:
    inside = {"at": [0, 0], "plan_size": [0.5, 0.5], "underside": -0.95}
    site = {"groundwater": -3.0}
    cases(
        BODY_IN_POOL,
        without=test_structures.option({"pit": inside | {"at": [9, 0]}}, site=site).flotation,
        with_it=test_structures.option({"pit": inside}, site=site).flotation,
    )


def test_crushed_stone_comes_loose() -> None:
    found = test_structures.option({"intake": FAR_HOLE | {"underside": -1.0, "seat": 0.1}}).excavation
    assert found
    cases(rules.COMES_LOOSE, without=found.seat_volume, with_it=found.seat_order)


# --- stream beds ---


def bed(ground: Any = None, earth: Any = None, **changes: Any) -> Any:
    found = test_stream_beds.option([test_stream_beds.CHANNEL | changes], ground, earth=earth).excavation
    assert found
    return found


def test_a_bent_line_is_entered_and_its_length_held_against_it() -> None:
    straight, bent = bed().link_dig_volume, bed(points=[[6.0, 1.5]]).link_dig_volume
    cases(rules.BED_LINE_STRAIGHT, without=bent, with_it=straight)
    # From the crest at 2.5 to the waterline at 10 the line is 7.5 m long: a tenth more or less is let pass.
    edge(
        rules.BED_LENGTH_DIFFERS,
        lambda length: bed(length=length).link_dig_volume,
        inside=7.5 / 1.095,
        outside=7.5 / 1.105,
    )


def test_a_fall_is_an_even_slope() -> None:
    cases(rules.BED_EVEN_SLOPE, without=bed(), with_it=bed(kind="fall"))


def test_a_bed_on_fill_says_what_is_not_counted_of_its_banks() -> None:
    low = {"kind": "level", "level": -0.3}
    bare, banked = bed(low), bed(low, bank_height=0.2)
    whole = bed(low, {"bank_crest": 0.4}, bank_height=0.2)
    cases(rules.BED_ON_FILL, without=bed().link_bank_volume, with_it=bare.link_bank_volume)
    cases(rules.BED_WITHOUT_BANKS, without=banked, with_it=bare)
    cases(rules.BED_WITHOUT_CREST, without=whole, with_it=banked)


def test_a_bank_of_a_metre_is_looked_at() -> None:
    edge(rules.BED_BANK_HIGH, lambda tall: _figure(bank_cautions(tall)), inside=0.99, outside=1.0)
    tall, low = (bed({"kind": "level", "level": level}).link_bank_volume for level in (-1.2, -0.6))
    cases(rules.BED_BANK_HIGH, without=low, with_it=tall)


# --- soil ---


def test_machine_and_spoil_keep_back() -> None:
    earth = soil().earth
    assert earth
    cases(rules.KEEP_BACK, without=earth.dug_loose, with_it=earth.machine_time)
    cases(rules.TRUCK_PLATE, without=earth.haul_mass, with_it=earth.truck_loads)


def test_soil_that_just_suffices_may_lack_where_it_shrinks_more() -> None:
    """Fill over (1 - shrink) is what is dug where shrink is 1 - fill over dig."""
    bank = soil(pool={"level": LEVEL})
    filled, dug = (figures(bank, key)[""].value for key in ("fill_volume", "dig_volume"))
    all_of_it = 1 - filled / dug  # the shrink at which nothing is left

    def shrunk(share: float) -> Any:
        """Shrink that is 1 / 1.5 of that, off by a share either way."""
        earth = soil(pool={"level": LEVEL}, shrink=all_of_it / 1.5, shrink_within=share).earth
        return earth.left_bank if earth else None

    edge(rules.SOIL_MAY_LACK, shrunk, inside=0.497, outside=0.503)


def berm_of(spoil: float, **own: Any) -> Any:
    """A berm of 12 x 0.3 m, 1 m wide at its top, sides 2: 12 * 0.3 * (1 + 0.6) = 5.76 m³;
    the spoil within a tenth of ``spoil``.
    """
    drawn = {"length": 12, "top_width": 1, "side_slope": 2, "height": 0.3} | own
    berm = Berm.model_validate(drawn, context={"units": "si"})
    packed = Entry("", spoil, None, "", "", (), "", low=0.9 * spoil, high=1.1 * spoil)  # type: ignore[arg-type]
    return list(straight_berm(berm, packed).entries.values())


def test_a_berm_that_the_low_end_of_the_spoil_does_not_fill_is_built_last() -> None:
    edge(rules.BERM_MAY_LACK, berm_of, inside=5.77 / 0.9, outside=5.75 / 0.9)
    sides = [berm_of(9.0, end_slope=slope) for slope in (1, None)]
    cases(rules.BERM_UPRIGHT_ENDS, without=sides[0], with_it=sides[1])
    hiding = berm_of(9.0, hidden_rim=0.5)
    cases(rules.BERM_IN_REACH, without=berm_of(9.0), with_it=hiding)
    cases(rules.BERM_SETTLES, without=hiding[0], with_it=hiding[1])


def test_a_berm_round_a_body_without_a_rim_and_one_that_may_spread() -> None:
    bare = {"filter": {key: value for key, value in test_berms.FILTER["filter"].items() if key != "rim"}}
    cases(
        rules.BERM_RIM_UNKNOWN,
        without=test_berms.berm(water=test_berms.FILTER).earth,
        with_it=test_berms.berm(water=bare).earth,
    )


def test_a_berm_that_all_the_soil_would_spread_stops_lower() -> None:
    from pondkit.geometry.hole import box_at
    from pondkit.geometry.mound import heap, mound
    from pondkit.geometry.outline import Placed, shape_from
    from pondkit.geometry.terrain import Plane
    from pondkit.trades.earthwork.compute.berms import BermOnGround, outlined_berm

    level = Plane(0.0, 0.0, 0.0)
    made = mound(shape_from(box_at((0, 0), (8, 2), 0)), Placed(0, 0, 0), 2.0, ())
    drawn = BermOnGround(made, heap(made, 1.0, level), level, (), ())  # type: ignore[arg-type]
    most = test_berms.prismoid(8, 2, 1.0, 2.0)
    berm = Berm.model_validate(test_berms.BERM, context={"units": "si"})

    def at(high: float) -> Any:
        packed = Entry("", 0.8 * most, None, "", "", (), "", low=0.7 * most, high=high * most)  # type: ignore[arg-type]
        return outlined_berm(berm, packed, drawn).entries["berm_top"]

    edge(rules.BERM_MAY_SPREAD, at, inside=0.995, outside=1.005)


def test_a_bank_outside_the_rim_holds_water_and_may_not_come_down_when_built_flatter() -> None:
    pool = pool_of({"shape": "circle", "diameter": 6}, [(1.4, 0, 0)], bank_batter=0, freeboard=0.2, level=0.4)
    earth = option_of(pool, earth={"bank_crest": "0.5 m"}).earth
    assert earth
    cases(rules.BANK_HOLDS_WATER, without=earth.total_outer_bank, with_it=earth.outer_bank_volume)
    falls = {"kind": "plane", "level": 0, "fall": 0.2, "toward_deg": 90}

    def within(share: float) -> Any:
        found = option_of(pool, ground=falls, earth={"bank_crest": "0.5 m", "bank_slope": 3.5, "bank_within": share})
        return found.earth.total_outer_bank  # type: ignore[union-attr]

    cases(rules.BANK_MAY_SPREAD, without=within(0.0), with_it=within(0.5))


# --- stone in trucks ---


def test_stone_is_dry_and_boulders_lie_on_the_bed() -> None:
    found = haul_of(worked({"boulders": [SEAT]})).classes
    boulder, gravel = found[0], found[-1]
    cases(rules.STONE_DRY, without=boulder, with_it=gravel)
    cases(rules.ON_THE_BED, without=gravel, with_it=boulder)
    cases(rules.NO_TRUCK, without=boulder, with_it=haul_of(worked({"boulders": [SEAT]}, earth=None)))


def pieces(high: float, loose: float = 1.0) -> Any:
    """One stone of 80 to 100 % of ``high`` [kg], ``loose`` m³ as tipped, for a truck of 10 m³ and 1000 kg."""
    one = haul.CountedStones("seat", 3, Range(0.8 * high, 0.9 * high, high, ""), Range(loose, loose, loose, ""))
    turn = StoneClass(*(None,) * 7)  # type: ignore[arg-type]
    return haul._counted_class(turn.delivery_turn, one, (10.0, 1000.0))


def test_a_stone_over_the_payload_or_the_volume_goes_in_no_load() -> None:
    edge(rules.STONE_OVER_PAYLOAD, pieces, inside=999, outside=1001, rank=CHECK)  # only its high mass is too much
    edge(rules.STONE_OVER_PAYLOAD, lambda mass: [pieces(m) for m in (mass,)], inside=999, outside=1001, rank=CHECK)
    cases(rules.STONE_OVER_PAYLOAD, without=pieces(990), with_it=pieces(1000 / 0.89), rank=ACT)
    edge(rules.STONE_OVER_VOLUME, lambda loose: pieces(100, loose), inside=9.99, outside=10.01)


# --- levels to dig by ---


def test_the_instrument_stands_on_a_benchmark_that_is_read_again_and_the_order_is_said() -> None:
    found = levels.dug(backsight="1.3 m").dig
    assert found
    height = found.levels.height_of_instrument
    cases(rules.DIG_ORDER, without=found.levels.groups, with_it=height)
    cases(rules.READ_BENCHMARK_AGAIN, without=found.levels.groups, with_it=height)


def test_a_rod_reads_no_less_than_nothing() -> None:
    def rod(reading: float) -> Any:
        found = levels.dug(benchmark=0, backsight="1.3 m", readings=[{"row": "pool: rim", "rod": reading}])
        return list(figures(found, "cut_to_level").values())

    edge(rules.ROD_UPSIDE_DOWN, rod, inside=0.0, outside=-0.005, step=0.005)

    def back(sight: float) -> Any:
        return list(figures(levels.dug(backsight=sight), "height_of_instrument").values())

    edge(rules.ROD_UPSIDE_DOWN, back, inside=0.0, outside=-0.005, step=0.005)


def test_a_level_at_the_line_of_sight_is_read_and_one_over_it_is_not() -> None:
    """The rim stands at 0.1 m within 2 mm."""

    def height(of: float) -> Any:
        return figures(levels.dug(instrument=of, rim_within="2 mm"), "rod_dig")["pool: rim"]

    edge(rules.OVER_LINE_OF_SIGHT, height, inside=0.1021, outside=0.1019, rank=CHECK)
    edge(rules.OVER_LINE_OF_SIGHT, height, inside=0.1021, outside=0.1005, rank=CHECK)
    cases(rules.OVER_LINE_OF_SIGHT, without=height(0.103), with_it=height(0.0995), rank=ACT)


@pytest.mark.parametrize("side", [1, -1])
def test_a_reading_at_its_tolerance_is_within_it(side: int) -> None:
    """Height of instrument 1.55 over a floor at -1.2: the rod should read 2.75."""

    def off(by: float) -> Any:
        reading = {"row": "pool: tier 2 floor", "rod": 2.75 - side * by}
        found = levels.dug(benchmark="0.25 m", backsight="1.3 m", floor_within="25 mm", readings=[reading])
        return list(figures(found, "cut_to_level").values())

    edge(rules.CUT_OR_FILL, off, inside=0.0250, outside=0.0252)
    (caution,) = off(0.03)[0].cautions
    assert caution.text.startswith("Cut {off} more:" if side > 0 else "Fill {off}, compacted:")


def test_a_crest_stone_is_entered_and_stands_on_firm_ground() -> None:
    upper = POOL | {"name": "upper", "level": 0.5, "at": [12, 0]}
    link = {"from": "upper", "to": "pool", "at": [6, 0]}
    bare, stone = (
        sketch((), (), pools=[POOL, upper], option={"dig": {}, "links": [link | more]})
        for more in ({}, {"crest_stone": "12 cm"})
    )
    cases(rules.CREST_STONE_MISSING, without=stone.dig, with_it=bare.dig)
    cases(rules.CREST_ON_FIRM_GROUND, without=bare.dig, with_it=stone.dig)
    rows = figures(stone, "dig_level")
    cases(rules.BED_DUG_LAST, without=rows["upper: crest 1"], with_it=rows["upper: bed 1, crest"])


def test_nobody_stands_in_a_trench_without_support() -> None:
    nodes = (("mouth", "mouth", (3.4, 0.0, -0.5)), ("bend", "junction", (6.0, 0.0, -0.4)))
    rows = figures(sketch(nodes, (("mouth", "bend"),), option={"dig": {}}), "dig_level")
    cases(rules.SIDES_MAY_FALL, without=rows["pool: rim"], with_it=rows["bend: trench"])


# --- setting out ---


def test_stakes_and_tapes_come_first_and_marks_are_dug_away() -> None:
    found = test_setting_out.found(test_setting_out.out())
    cases(rules.TAPE_STAKES_FIRST, without=found.mark_length, with_it=found.baseline_length)
    cases(rules.TAPE_LEVEL, without=found.mark_length, with_it=found.baseline_length)
    cases(rules.STAKES_DUG_AWAY, without=found.mark_length, with_it=found.mark_count)


def test_a_line_beyond_the_survey_is_measured() -> None:
    half, wide = (
        {"kind": "points", "points": [[-12, -12, 0.3], [east, -12, 0.3], [east, 12, 0.3], [-12, 12, 0.3]]}
        for east in (2, 12)
    )
    lines = [test_setting_out.found(test_setting_out.out(ground=ground)).mark_length for ground in (wide, half)]
    cases(rules.LINE_NOT_SURVEYED, without=lines[0], with_it=lines[1])


def test_tapes_that_cross_at_thirty_or_a_hundred_and_fifty_degrees_still_fix_a_point() -> None:
    """Over the middle of a baseline of 10 m the tapes cross at twice the angle whose tangent is 5 over the offset."""
    stakes = Stakes.model_validate({"a": [0, 0], "b": [10, 0]}, context={"units": "si"})

    def crossing(angle: float) -> Any:
        place = np.array([[5.0, 5.0 / math.tan(math.radians(angle / 2))]])
        return set_out(
            stakes, (StakedLine(DUG, "line", np.array([[5.0, 1.0], [5.0, 2.0]]), place),), (), ()
        ).not_by_tapes

    edge(rules.TAPES_CROSS_FLAT, crossing, inside=30.1, outside=29.9)
    edge(rules.TAPES_CROSS_FLAT, crossing, inside=149.9, outside=150.1)


# --- as-built survey ---


@pytest.mark.parametrize("side", [1, -1])
def test_a_floor_at_its_tolerance_is_within_it(side: int) -> None:
    def off(by: float) -> Any:
        found = test_as_built.dug(test_as_built.UPRIGHT, side * by, spots=((0, 0),), floor_within="20 mm")
        return figures(found, "dug_difference")["pool, level 1"]

    edge(rules.DUG_OUTSIDE_TOLERANCE, off, inside=0.02, outside=0.0202)
    assert off(0.03).cautions[0].text.startswith("{off} too high" if side > 0 else "{off} too deep")


def test_a_bank_at_the_water_holds_it_and_one_under_it_runs_out() -> None:
    """The bank rises 10 cm at 0.5 to 1 from the waterline, 4 m east; the water stands at 0."""

    def bank(level: float) -> Any:
        on_rim = {"pool": "pool", "at": [4.049, 0], "level": level}
        found = sketch((), (), pools=[POOL | test_as_built.SLOPED], option={"dig": {"measured": [on_rim]}})
        return figures(found, "dug_difference")["pool, level 1"]

    edge(rules.DUG_RUNS_OUT, bank, inside=0.0, outside=-0.005, step=0.005)


def test_a_tape_longer_than_the_levels_say_is_added() -> None:
    """From end to end the hole as found has 10 m and two walls of 1.401 m; a millimetre more is no more."""

    def taped(length: float) -> Any:
        found = test_as_built.dug(test_as_built.UPRIGHT, tapes=[test_as_built.TAPE | {"taped": length}])
        return figures(found, "liner_length_as_dug")["liner"]

    edge(rules.DUG_TAPE_LONGER, taped, inside=12.8025, outside=12.8035)


def test_a_tape_ends_at_the_liners_edge() -> None:
    """Rim 4.05 m east, edge 50 cm beyond it: a tenth of a metre past that is let pass."""

    def end(east: float) -> Any:
        tape = {"name": "long", "start": [-4.5, 0], "end": [east, 0], "taped": 12.0}
        found = test_taped_lines.dug(test_taped_lines.GROUNDS["level"], None, dig={"tapes": [tape]})
        return figures(found, "dug_difference")["long, tape over the hole"]

    edge(rules.DUG_TAPE_PAST, end, inside=4.645, outside=4.66)


def test_a_tape_beyond_the_survey_is_said() -> None:
    def survey(half: float) -> Any:
        points = [[x, y, 0.1] for x in (-half, half) for y in (-half, 0.0, half)]
        found = test_taped_lines.dug({"kind": "points", "points": points}, 14.0)
        return figures(found, "dug_difference")["long, tape over the hole"]

    edge(rules.DUG_TAPE_NOT_SURVEYED, survey, inside=6.05, outside=5.95)


def test_rims_and_pools_without_levels_are_as_drawn() -> None:
    found = test_as_built.dug(test_as_built.UPRIGHT)
    sizes = figures(found, "liner_length_as_dug")["liner"]
    cases(rules.DUG_RIMS_AS_DRAWN, without=figures(found, "dug_difference").values(), with_it=sizes)
    bare = test_as_built.dug(test_as_built.UPRIGHT, spots=(), tapes=[test_as_built.TAPE | {"taped": 12.8}])
    cases(rules.DUG_POOLS_AS_DRAWN, without=sizes, with_it=figures(bare, "liner_length_as_dug")["liner"])


def test_a_liner_is_not_cut_where_it_may_be_short() -> None:
    """An upright hole so much too deep needs twice that more; with 20 cm to spare a tenth is just enough,
    but for what few levels leave open.
    """
    lining = LINED | {
        "thickness": "1 mm",
        "underlay": None,
        "overlay": None,
        "allowance": "20 cm",
        "sale_unit": "0.1 in",
    }

    many = [(x, y) for x in np.linspace(-3.5, 3.5, 10) for y in np.linspace(-2.5, 2.5, 10)]

    def found(by: float) -> OptionResult:
        measured = [{"pool": "pool", "at": list(at), "level": -1.201 - by} for at in many]
        pool = POOL | test_as_built.UPRIGHT
        return sketch(
            (), (), pools=[pool], lining=lining, option={"dig": {"measured": measured, "floor_within": "1 in"}}
        )

    def deeper(by: float) -> Any:
        return figures(found(by), "liner_spare_as_dug")["liner, length"]

    spare = sum(
        sign * figures(found(0.0), key)["liner"].value
        for key, sign in (("liner_length_order", 1), ("liner_length", -1))
    )
    assert 0.2 - 1e-9 <= spare < 0.2 + 0.1 * 0.0254
    # 100 levels and the drawing: t 1.290, spread of the tolerance 25.4 mm over the root of
    # 101: 3.3 mm, twice that on the liner.
    enough = spare / 2 - 1.290 * 0.0254 / math.sqrt(101)
    edge(rules.DUG_NOT_COVERED, deeper, inside=enough - 0.0009, outside=enough + 0.0009, rank=CHECK)
    cases(rules.DUG_NOT_COVERED, without=deeper(0.09), with_it=deeper(0.105), rank=ACT)
    edge(rules.DUG_INTO_SPARE, deeper, inside=0.0004, outside=0.0006, step=0.001)


def test_less_than_three_levels_are_few() -> None:
    counts = [
        figures(test_as_built.dug(test_as_built.UPRIGHT, spots=test_as_built.SPOTS[:n]), "volume_as_dug")["pool"]
        for n in (3, 2)
    ]
    cases(rules.DUG_FEW_LEVELS, without=counts[0], with_it=counts[1])
    found = test_as_built.dug(test_as_built.UPRIGHT)
    cases(
        rules.DUG_FAR_FROM_LEVELS,
        without=figures(found, "dug_mean_within").values(),
        with_it=figures(found, "volume_as_dug").values(),
    )
