"""What needs two trades: net volume, open water, dig, totals."""

import math

import pytest

from pondkit.core.entry import Entry
from pondkit.study.evaluate import OptionResult, evaluate
from tests.by_grid import option_of, pool_of
from tests.designs import option, pool, read

CIRCLE = {"shape": "circle", "diameter": 8}
TIERS = [(0.3, 0.5, 0.5, 0.05), (0.8, 0.0, 0.6, 0.1)]
POOL = pool_of(CIRCLE, TIERS, name="pond", bank_batter=1.0, freeboard=0.2)
OTHER = pool_of(CIRCLE, [(0.5, 0, 1.0)], name="other", at=(20, 0))
BOULDER = {
    "name": "seat",
    "count": 3,
    "axes": [1.0, 0.8, 0.6],
    "axes_within": 0,
    "form": "block",
    "pool": "pond",
    "under_water": 0.5,
}


def one(entries: tuple[Entry, ...], subject: str) -> float:
    (found,) = [entry.value for entry in entries if entry.subject == subject]
    return found


def value(entry: Entry | None) -> float:
    assert entry is not None
    return entry.value


def pond(found: OptionResult) -> tuple[float, float, float]:
    pool = next(pool for pool in found.pools if pool.name == "pond")
    return pool.gross_volume.value, pool.gravel_volume.value, pool.surface_area.value


def test_net_volume_is_gross_and_the_water_in_the_gravels_voids() -> None:
    found = option_of(POOL, gravel_porosity=0.4)
    gross, gravel, _ = pond(found)
    assert gravel > 0.5
    assert one(found.totals.net_volume, "pond") == pytest.approx(gross + 0.4 * gravel)


def test_without_gravel_and_stone_net_is_gross_and_all_water_is_open() -> None:
    found = option_of(OTHER)
    assert one(found.totals.net_volume, "other") == found.pools[0].gross_volume.value
    assert one(found.totals.open_water_area, "other") == found.pools[0].surface_area.value


def test_boulders_displace_their_share_under_water_and_blocks_cover_their_rectangle() -> None:
    """Three blocks of 1 x 0.8 x 0.6 m, half under water, in plan rectangles of 1 x 0.8 m."""
    found = option_of(POOL, stone={"boulders": [BOULDER]})
    gross, gravel, area = pond(found)
    assert one(found.totals.net_volume, "pond") == pytest.approx(gross - 3 * 0.5 * 0.48 + 0.35 * gravel)
    assert one(found.totals.open_water_area, "pond") == pytest.approx(area - 3 * 0.8)


def test_stone_that_displaces_all_the_water_is_a_problem_and_leaves_no_net_volume() -> None:
    found = option_of(POOL, OTHER, stone={"boulders": [BOULDER | {"count": 500, "under_water": 1.0}]})
    (problem,) = found.problems
    assert problem.path[0] == "stone"
    assert {term.name: term.value for term in problem.given.terms} == pytest.approx({"stone": 500 * 0.48})
    assert [figure.subject for figure in found.totals.net_volume] == ["other"]
    assert found.totals.total_net_volume is None
    assert found.totals.total_gross_volume is not None


def test_totals_are_the_sums_over_the_pools() -> None:
    found = option_of(POOL, OTHER)
    totals, pools = found.totals, found.pools
    assert value(totals.total_gross_volume) == pytest.approx(sum(pool.gross_volume.value for pool in pools))
    assert value(totals.total_surface_area) == pytest.approx(sum(pool.surface_area.value for pool in pools))
    assert value(totals.total_net_volume) == pytest.approx(sum(figure.value for figure in totals.net_volume))
    assert value(totals.total_gravel_volume) == pytest.approx(sum(pool.gravel_volume.value for pool in pools))
    cuts = sum(figure.value for figure in found.earthwork.pool_dig_volume)
    assert value(found.earthwork.dig_volume) == pytest.approx(cuts)  # far apart


def test_spoil_is_what_the_bank_does_not_take() -> None:
    found = option_of(POOL, ground={"kind": "level", "level": -0.2}).earthwork
    assert value(found.fill_volume) > 0
    assert value(found.spoil_volume) == pytest.approx(value(found.dig_volume) - value(found.fill_volume))
    assert "compact" in value_cautions(found.fill_volume)


def value_cautions(entry: Entry | None) -> str:
    assert entry is not None
    return " ".join(caution.text for caution in entry.cautions)


def test_every_dig_says_to_have_services_located() -> None:
    found = option_of(POOL)
    assert "buried services" in value_cautions(found.earthwork.pool_dig_volume[0])
    assert "buried services" in value_cautions(found.earthwork.dig_volume)


def test_pools_near_each_other_share_the_ground_between_them() -> None:
    """Two digs in level ground 2 m above: more in the sum of both than in all."""
    near = pool_of(CIRCLE, TIERS, name="near", at=(9, 0), bank_batter=1.0)
    found = option_of(POOL, near, ground={"kind": "level", "level": 2.0})
    alone = sum(figure.value for figure in found.earthwork.pool_dig_volume)
    # At level h each is a circle of radius 4 + h, 9 m apart: their lens, from where they touch at 0.5 m up to 2 m.
    steps = [0.5 + 1.5 * (k + 0.5) / 3000 for k in range(3000)]
    lens = (
        sum(2 * (4 + h) ** 2 * math.acos(4.5 / (4 + h)) - 4.5 * math.sqrt(4 * (4 + h) ** 2 - 81) for h in steps)
        * 1.5
        / 3000
    )
    assert alone - value(found.earthwork.dig_volume) == pytest.approx(lens, rel=2e-3)


@pytest.mark.parametrize(("level", "told"), [(3.0, True), (0.5, False)])
def test_a_pool_higher_than_all_ground_is_named_and_the_rest_stands(level: float, told: bool) -> None:
    """By hand: 0.8 m deep and 10 cm of gravel on it, on ground at 0: its floor stands
    2.1 m over it; at 0.5 m it is still dug.
    """
    found = option_of(POOL.changed(level=level), OTHER, ground={"kind": "level", "level": 0})
    over = [problem for problem in found.problems if "the floor of its dig stands" in problem.given.text]
    assert [problem.path for problem in over] == [("pools", 0, "level")] * told
    assert all(
        value == pytest.approx(3.0 - 0.9, abs=1e-6) for problem in over for value in [problem.given.terms[0].value]
    )
    assert found.totals.total_net_volume is not None and found.earthwork.dig_volume is not None


def test_the_voids_of_gravel_give_the_net_volume_its_range() -> None:
    """A cylinder with gravel: by hand, 0.035 of the gravel's bulk either way."""
    gravel = pool(
        outline={"shape": "circle", "diameter": "10 ft"},
        tiers=[{"zone": "deep", "depth": "24 in", "gravel": "6 in", "batter": 0}],
    )
    made = {"gravel_porosity": 0.35, "gravel_porosity_within": "10 %"}
    found = evaluate(read(options=[option(pools=[gravel], **made)])).options[0].totals
    bulk = math.pi * (5 * 0.3048) ** 2 * 6 * 0.0254
    net = found.net_volume[0]
    assert (net.value - net.low, net.high - net.value) == pytest.approx((0.035 * bulk, 0.035 * bulk), rel=1e-4)
    bare = evaluate(read()).options[0].totals.net_volume[0]
    assert bare.low is None
