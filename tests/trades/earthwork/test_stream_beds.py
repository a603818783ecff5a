"""Beds of links: against a fine grid of ground, pools and a bent channel, closed forms of
straight ones, and where they are seen.
"""

from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from pondkit import Project
from pondkit.core.remembered import Memory
from pondkit.geometry.outline import shape_of
from pondkit.project.files import put
from pondkit.report.plan import alt_plan
from pondkit.report.scene import Scene
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.earthwork.pictures import CUT_FILL
from tests.by_grid import cells, dig_track, distance, pool_of
from tests.cautions import told
from tests.memory import asked

UPPER = pool_of(
    {"shape": "rectangle", "length": 4, "width": 3},
    [(0.5, 0, 0.4)],
    name="up",
    level=0.3,
    at=[0, 0],
    bank_batter=0.5,
    freeboard=0.1,
)
LOWER = pool_of(
    {"shape": "rectangle", "length": 4, "width": 3},
    [(0.5, 0, 0.4)],
    name="low",
    level=0.0,
    at=[12, 0],
    bank_batter=0.5,
    freeboard=0.1,
)
CHANNEL = {
    "kind": "channel",
    "from": "up",
    "to": "low",
    "at": [2.5, 0.0],
    "crest_width": 0.6,
    "bed_width": 0.5,
    "side_batter": 0.7,
}
LEVEL = {"kind": "level", "level": 0.6}
Links = list[dict[str, Any]]


def project(links: Links, ground: dict[str, Any] | None = None, pools: Any = (UPPER, LOWER), **more: Any) -> Project:
    site = {"ground": ground or LEVEL} | more.pop("site", {})
    data = {"units": "si", "site": site, "options": [{"name": "A", "pools": pools, "links": links} | more]}
    return Project.model_validate(data, context={"units": "si"})


def option(
    links: Links, ground: dict[str, Any] | None = None, pools: Any = (UPPER, LOWER), **more: Any
) -> OptionResult:
    return evaluate(project(links, ground, pools, **more)).options[0]


def lowest_dig(points: Any, normal: float = 0.0) -> Any:
    """Levels of the pools' digs at places, by plain vectors, the lower where both reach."""
    found = []
    for pool in (UPPER, LOWER):
        away = distance(shape_of(pool.outline).polygon, points - np.array(pool.at, dtype=float))
        found.append(pool.level - np.interp(away, *dig_track(pool, normal)))
    return np.minimum(*found)


def test_a_bent_channel_in_uneven_ground_is_that_of_a_fine_grid() -> None:
    """The bed falls with the distance along its line, counted from the crest; liner, fabrics and stone lie under it."""
    fabric = {"mass": "300 g/m^2", "thickness": 0.004, "roll_width": 4, "lap": 0.3}
    lining = {"thickness": 0.001, "edge": 0.3, "liners": [{"name": "l", "covers": ["low"]}], "underlay": fabric}
    ground = {"kind": "plane", "level": 0.75, "fall": 0.05, "toward_deg": 60}
    bends = [[6.0, 1.5], [8.0, 0.5]]
    drawn = CHANNEL | {"points": bends, "layer": 0.12}
    found = option([drawn], ground, lining=lining)
    assert not found.problems and found.excavation and found.earthwork.dig_volume
    line = LineString([[2.0, 0.0], [2.5, 0.0], *bends, [10.0, 0.5]])  # from waterline to waterline
    slope = 0.3 / (line.length - 0.5)
    n, b = 0.005, 0.7
    bed = 0.5 / 2 + n * np.hypot(1, b)  # the sides moved at right angles to themselves
    down = 0.12 + n * np.hypot(1, slope)
    step = 0.02
    points = cells(np.array([-4.0, -4.0]), np.array([16.0, 4.0]), step)
    east, north = np.sin(np.radians(60)), np.cos(np.radians(60))
    stands = 0.75 - 0.05 * (points[:, 0] * east + points[:, 1] * north)
    places = shapely.points(points)
    station = shapely.line_locate_point(line, places)
    out = shapely.distance(line, places)
    # Sides at the height of the finished bed lie ``bed`` out; the bottom lies so much lower.
    high = 0.3 - slope * np.maximum(station - 0.5, 0.0)
    ditch = np.maximum(high - down, high + (out - bed) / b)
    strip = line.buffer(6.0, cap_style="flat")
    ditch = np.where(shapely.contains_xy(strip, points[:, 0], points[:, 1]), ditch, np.inf)
    pools = np.minimum(stands, lowest_dig(points, n))
    alone = float(np.sum(np.maximum(pools - ditch, 0.0))) * step**2
    whole = float(np.sum(stands - np.minimum(pools, ditch))) * step**2
    (figure,) = found.excavation.link_dig_volume
    assert figure.subject == "up – low"
    assert figure.value == pytest.approx(alone, rel=4e-3)
    assert found.earthwork.dig_volume.value == pytest.approx(whole, rel=1e-3)
    assert found.excavation.link_line_length[0].value == pytest.approx(line.length, rel=1e-9)


@pytest.mark.parametrize(("batter", "layer"), [(0.0, None), (0.8, None), (0.8, 0.1), (3.0, 0.2)])
def test_a_straight_level_channel_is_a_prism(batter: float, layer: float | None) -> None:
    """Between upright pools in level ground; with flat sides and much stone the bed is where the sides meet."""
    pools = [p.changed(bank_batter=0.0, level=put(p, ("level",), "0 m").level) for p in (UPPER, LOWER)]
    deep = 0.6
    found = option([CHANNEL | {"side_batter": batter, "layer": layer}], pools=pools)
    assert found.excavation
    half, low = 0.25 - batter * (layer or 0.0), deep + (layer or 0.0)
    if half < 0:
        low, half = low + half / batter, 0.0
    section = 2 * half * low + batter * low**2
    assert found.excavation.link_dig_volume[0].value == pytest.approx(section * 8.0, rel=2e-3)


def test_a_channel_over_the_ground_is_bank_to_build() -> None:
    """Per length by the section: bed on its fill, inner sides, level tops and outer sides,
    two lengths set against each other.
    """
    deep, high, crest, slope, batter = 0.7, 0.3, 0.4, 2.0, 0.7
    ground = {"kind": "level", "level": -deep}
    volumes, inner = [], []
    for away in (40.0, 52.0):
        pools = [UPPER.changed(level=LOWER.level), put(LOWER, ("at",), (f"{away} m", "0 m"))]
        drawn = [CHANNEL | {"bank_height": high}]
        whole = option(drawn, ground, pools, earth={"bank_crest": crest, "bank_slope": slope})
        assert whole.excavation and whole.excavation.total_link_bank and whole.earthwork.fill_volume
        volumes.append(whole.excavation.total_link_bank.value)
        bare = option(drawn, ground, pools)
        assert bare.excavation and bare.excavation.total_link_bank and bare.earthwork.fill_volume
        inner.append(bare.excavation.total_link_bank.value)
        none = option([], ground, pools)
        assert none.earthwork.fill_volume
        more = bare.earthwork.fill_volume.value - none.earthwork.fill_volume.value
        assert more == pytest.approx(inner[-1], rel=1e-9)
        assert whole.earthwork.spoil_volume is not None
    bed = 0.5 * deep
    sides = 2 * (batter * high * deep + batter * high**2 / 2)
    top = deep + high
    outside = 2 * (crest * top + slope * top**2 / 2)
    assert inner[1] - inner[0] == pytest.approx((bed + sides) * 12, rel=2e-3)
    assert volumes[1] - volumes[0] == pytest.approx((bed + sides + outside) * 12, rel=2e-3)
    said = " ".join(caution.text for caution in bare.excavation.link_bank_volume[0].cautions)
    assert "settles" in said and "crest of the bank" in said


def test_a_channel_that_crosses_a_hole_shares_its_ground_and_what_lies_under_it_is_filled_in_again() -> None:
    water = {"intake": {"at": [6, 0], "plan_size": [1, 1], "underside": -1.0, "seat": 0.0}, "hole_room": 0.5}
    both = option([CHANNEL], water=water)
    alone = option([CHANNEL])
    hole = option([], water=water)
    for each in (both, alone, hole):
        assert (
            each.excavation
            and each.excavation.trench_dig_volume
            and each.excavation.backfill_volume
            and each.earthwork.dig_volume
        )
    assert both.excavation and alone.excavation and hole.excavation
    dug = [one.excavation.trench_dig_volume.value for one in (both, alone, hole)]  # type: ignore[union-attr]
    assert dug[0] < dug[1] + dug[2] - 0.3
    assert alone.excavation.backfill_volume and alone.excavation.backfill_volume.value == pytest.approx(0.0, abs=1e-9)
    open_up = both.excavation.trench_dig_volume.value - dug[1]  # type: ignore[union-attr]
    body = 1.0 * 1.0 * 1.6
    assert both.excavation.backfill_volume and both.excavation.backfill_volume.value == pytest.approx(
        open_up - body, abs=1e-6
    )
    none = option([])
    assert alone.earthwork.dig_volume and none.earthwork.dig_volume
    more = alone.earthwork.dig_volume.value - none.earthwork.dig_volume.value
    assert more == pytest.approx(alone.excavation.link_dig_volume[0].value, rel=1e-9)


def test_a_fall_goes_evenly_from_its_crest_to_the_waterline() -> None:
    """Level ground at the crest: a wedge from the crest on, and the notch up to it through the bank."""
    pools = [p.changed(bank_batter=0.0) for p in (UPPER, LOWER)]
    fall = {"kind": "fall", "from": "up", "to": "low", "at": [3.0, 0.0], "crest_width": 0.8}
    found = option([fall], {"kind": "level", "level": 0.3}, pools)
    assert found.excavation
    assert found.excavation.link_dig_volume[0].value == pytest.approx(0.8 * 7.0 * 0.3 / 2, rel=2e-3)
    assert "even slope" in " ".join(caution.text for caution in found.excavation.link_dig_volume[0].cautions)


@pytest.mark.parametrize(
    ("changes", "ground", "field", "says"),
    [
        ({"crest_level": -0.2}, LEVEL, "crest_level", "no lower than the lower pool's level"),
        (
            {"side_batter": 4.0},
            {"kind": "plane", "level": 0.6, "fall": 0.3, "toward_deg": 0},
            "side_batter",
            "meet it within",
        ),
        ({"from": "low", "to": "up"}, LEVEL, "from_", "from the higher level"),
        ({"to": "nowhere"}, LEVEL, "to", ""),
    ],
)
def test_a_link_that_cannot_be_dug_is_named_and_leaves_the_dig_out(
    changes: Any, ground: Any, field: str, says: str
) -> None:
    found = option([CHANNEL | changes], ground)
    problem = next(p for p in found.problems if p.path == ("links", 0, field))
    assert says in problem.allowed.text
    assert found.earthwork.dig_volume is None and found.earthwork.fill_volume is None
    assert found.totals.total_gross_volume


def test_it_stands_in_levels_setting_out_keep_outs_plan_and_map() -> None:
    keep = [{"name": "oak", "clearance": "1 m", "points": [["6 m", "4 m"]]}]
    stakes = {"a": [-4, -6], "b": [16, -6]}
    found = option(
        [CHANNEL | {"points": [[6.0, 1.0]], "layer": 0.1, "length": 20}],
        site={"keep_outs": keep},
        dig={"stakes": stakes},
    )
    assert found.dig and found.dig.setting_out and found.clearances and found.excavation
    rows = {level.row: (level.finished, level.dig) for level in found.dig.levels.levels}
    assert rows["up: bed 1, crest"] == pytest.approx((0.3, 0.2))
    assert rows["up: bed 1, lower end"] == pytest.approx((0.0, -0.1))
    first, last = np.hypot(3.5, 1.0), 4.0  # to the nearest place of the lower waterline
    assert rows["up: bed 1, place 1"][0] == pytest.approx(0.3 - 0.3 * first / (first + last))
    lines = [line.name for line in found.dig.setting_out.lines]
    assert "bed, edge: up – low" in lines
    assert any(name.startswith("dig meets the ground") and "up – low" in name for name in lines)
    near = {figure.subject: figure.value for figure in found.clearances.keep_out_distance}
    assert near["up – low / oak"] == pytest.approx(3.0 - 0.25 - 0.7 * 0.5, abs=0.1)
    said = " ".join(caution.text for caution in found.excavation.link_dig_volume[0].cautions)
    assert "Its length is entered as" in said and "services" in said
    assert "bed of up – low" in alt_plan(found, "si") and "the bed of up – low takes" in Scene(found, "si").alt(
        CUT_FILL
    )
    picture = Scene(found, "si").draw(CUT_FILL)
    assert picture is not None
    heat = picture["data"][0]
    deep = dict(zip(heat["x"], heat["z"][int(np.argmin(np.abs(np.array(heat["y"]) - 1.0)))], strict=True))
    assert deep[min(deep, key=lambda x: abs(x - 6.0))] == pytest.approx(
        100 * (0.6 - rows["up: bed 1, place 1"][0] + 0.1), abs=4
    )


def test_where_flat_sides_meet_above_the_stone_wanted_the_rod_stands_on_the_v_that_they_make() -> None:
    """A bed 10 cm wide with sides of 2 to 1 is a V, 5 cm / 2 deep: 20 cm of stone would never lie in it."""
    stony = CHANNEL | {"bed_width": 0.1, "side_batter": 2.0, "layer": 0.2}
    site = {"groundwater": 0.25}
    found = option([stony], dig={"backsight": 1.0}, site=site)
    assert found.dig and found.excavation
    rows = {level.row: (level.finished, level.dig) for level in found.dig.levels.levels}
    assert rows["up: bed 1, crest"] == pytest.approx((0.3, 0.3 - 0.025))
    assert rows["up: bed 1, lower end"] == pytest.approx((0.0, -0.025))
    (over,) = told(found.excavation.link_dig_volume)["bed_in_groundwater"].terms
    assert over.value == pytest.approx(0.25 + 0.025)  # over the lower end


def test_the_edge_of_a_bed_stands_at_the_ground_by_its_batter() -> None:
    found = option([CHANNEL], dig={"stakes": {"a": [-4, -6], "b": [16, -6]}})
    assert found.dig and found.dig.setting_out
    (edge,) = [line for line in found.dig.setting_out.lines if line.kind == "dig meets the ground"]
    ring = shapely.LinearRing(edge.ring)
    for x in (5.0, 7.0):
        bed = 0.3 - 0.3 * (x - 2.5) / 7.5
        for side in (1, -1):
            assert ring.distance(shapely.Point(x, side * (0.25 + 0.7 * (0.6 - bed)))) < 5e-3


def test_a_moved_tier_works_out_no_bed() -> None:
    memory = Memory()
    drawn = project([CHANNEL | {"bank_height": 0.3}], earth={"bank_crest": 0.4})
    asked(drawn, memory)
    memory.worked.clear()
    asked(put(drawn, ("options", 0, "pools", 0, "tiers", 0, "depth"), "52 cm"), memory)
    assert not {"_bed", "sampled", "inward_at", "_outward"} & set(memory.worked)
    assert "_excavation_figures" in memory.worked


def test_the_names_of_its_levels_are_known_before_anything_is_worked_out() -> None:
    from pondkit.study.new_parts import row_names

    drawn = project([CHANNEL | {"points": [[6.0, 1.0]]}], dig={})
    found = evaluate(drawn).options[0]
    assert found.dig
    assert {level.row for level in found.dig.levels.levels} == set(row_names(drawn.options[0]))
