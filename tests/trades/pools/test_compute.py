"""Figures of a pool: zones add up, shelves and banks are those that are there, cautions stand where they belong."""

import math
from typing import Any

import pytest

from pondkit.core.entry import Entry
from pondkit.study.evaluate import evaluate
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.pools.results import PoolResult
from tests.by_grid import option_of, pit_of, pool_of, project_of
from tests.designs import pool as us_pool
from tests.designs import read

CIRCLE = {"shape": "circle", "diameter": 8}
KIDNEY = {
    "shape": "points",
    "points": [(-3, -1), (-1.5, -2), (0, -1), (1.5, -2), (3, -1), (3, 1), (1.5, 2.2), (0, 2), (-1.5, 2.2), (-3, 1)],
}
TIERS = [(0.3, 0.5, 0.5, 0.05), (0.8, 0.0, 0.6, 0.1)]
PIT = pit_of((1.7, 0.2), {"shape": "circle", "diameter": 1.2}, [(1.2, 0.2, 0.3), (1.5, 0, 0.4)], top=0.8)


def worked(pool: Pool, ground: dict[str, Any] | None = None, **site: object) -> PoolResult:
    project = project_of(pool, ground=ground)
    if site:
        data = project.site.model_dump() | site
        project = project.changed(site=type(project.site).model_validate(data, context={"units": "si"}))
    return evaluate(project).options[0].pools[0]


def by_subject(entries: tuple[Entry, ...]) -> dict[str, float]:
    return {entry.subject: entry.value for entry in entries}


def said(entry: Entry) -> str:
    return " | ".join(caution.text for caution in entry.cautions)


@pytest.mark.parametrize("outline", [CIRCLE, KIDNEY], ids=["circle", "kidney"])
def test_zones_add_up_to_the_pool(outline: dict[str, Any]) -> None:
    found = worked(pool_of(outline, TIERS, pits=[PIT]))
    assert sum(by_subject(found.zone_area).values()) == pytest.approx(found.surface_area.value, rel=1e-7)
    assert sum(by_subject(found.zone_volume).values()) == pytest.approx(found.gross_volume.value, rel=1e-9)
    assert set(by_subject(found.zone_area)) == {f"pool / {zone}" for zone in ("zone 0", "zone 1", "pit 0", "pit 1")}
    assert found.mean_depth.value == pytest.approx(found.gross_volume.value / found.surface_area.value)


def test_tiers_of_one_zone_name_add_up_into_one_entry() -> None:
    pool = pool_of(CIRCLE, TIERS, pits=[PIT])
    tiers = [tier.model_dump() | {"zone": zone} for tier, zone in zip(pool.tiers, ("edge", "deep"), strict=True)]
    pits = [
        pit.model_dump() | {"tiers": [tier.model_dump() | {"zone": "deep"} for tier in pit.tiers]} for pit in pool.pits
    ]
    found = worked(Pool.model_validate(pool.model_dump() | {"tiers": tiers, "pits": pits}, context={"units": "si"}))
    apart = by_subject(worked(pool).zone_volume)
    assert by_subject(found.zone_volume)["pool / deep"] == pytest.approx(
        sum(apart[f"pool / {z}"] for z in ("zone 1", "pit 0", "pit 1"))
    )
    assert [zone for zone, *_ in found.zones] == ["edge", "deep"]


def test_a_zone_goes_down_to_its_deepest_tier_and_has_its_share_of_the_surface() -> None:
    """By hand: a circle of radius 4, faces at batter 0.5 to 0.3, half a metre level, then on to 0.8."""
    found = worked(pool_of(CIRCLE, TIERS))
    assert by_subject(found.zone_depth) == pytest.approx({"pool / zone 0": 0.3, "pool / zone 1": 0.8})
    rings = {"pool / zone 0": 1 - 3.35**2 / 16, "pool / zone 1": 3.35**2 / 16}
    assert by_subject(found.zone_share) == pytest.approx(rings, rel=1e-4)


def test_the_level_part_alone_is_the_shelf_area() -> None:
    found = worked(pool_of(CIRCLE, TIERS))
    assert by_subject(found.shelf_area) == pytest.approx(
        {"pool / zone 0": math.pi * (3.85**2 - 3.35**2), "pool / zone 1": math.pi * 3.05**2}, rel=1e-5
    )


def test_gravel_is_what_lies_between_liner_and_finished_surface() -> None:
    found = worked(pool_of(CIRCLE, TIERS, pits=[PIT]))
    under, finished = found.surfaces.under_gravel, found.surfaces.finished.surface
    assert found.gravel_volume.value == pytest.approx(under.volume(0.0) - finished.volume(0.0), rel=1e-9)
    assert found.gravel_volume.value > 0
    assert worked(pool_of(CIRCLE, [(0.3, 0.5, 0.5), (0.8, 0, 0.6)])).gravel_volume.value == 0


def test_rim_length_of_a_circle() -> None:
    found = worked(pool_of(CIRCLE, TIERS, freeboard=0.2, bank_batter=1.5))
    assert found.rim_length.value == pytest.approx(2 * math.pi * 4.3, rel=1e-4)
    upright = worked(pool_of(CIRCLE, TIERS, freeboard=0.2, bank_batter=0))
    assert upright.rim_length.value == pytest.approx(upright.perimeter.value)


# What is never reached.


def test_a_tier_reached_in_part_says_how_far() -> None:
    """Radius 4: 0.15 face, 0.5 shelf, then at batter 2 the middle is reached at 0.3 + 3.35 / 2."""
    found = worked(pool_of(CIRCLE, [(0.3, 0.5, 0.5), (3.0, 0.0, 2.0)]))
    zone = found.zone_area[1]
    (caution,) = zone.cautions
    assert caution.text.startswith("Reaches {reached} of {drawn}")
    assert {term.name: term.value for term in caution.terms} == pytest.approx(
        {"reached": 0.3 + 3.35 / 2, "drawn": 3.0}, rel=1e-4
    )
    assert caution in found.max_depth.cautions
    assert caution in found.zone_volume[1].cautions
    assert found.max_depth.value == pytest.approx(0.3 + 3.35 / 2, rel=1e-4)
    assert found.zone_depth[1].value == pytest.approx(0.3 + 3.35 / 2, rel=1e-4)


def test_a_tier_never_reached_says_so_and_has_nothing() -> None:
    found = worked(pool_of(CIRCLE, [(0.3, 0.5, 0.5), (0.5, 5.0, 1.0), (1.0, 0.0, 0.0)]))
    assert found.zone_area[2].value == 0
    assert "Never reached" in said(found.zone_area[2])
    assert "Never reached" not in said(found.zone_area[1])
    assert found.max_depth.value == pytest.approx(0.5)
    assert [zone.value for zone in found.zone_depth] == pytest.approx([0.3, 0.5, 0.0])


def test_shelves_and_banks_that_are_not_there_do_not_count() -> None:
    found = worked(pool_of(CIRCLE, [(0.3, 0.5, 1.5), (0.5, 5.0, 1.0), (0.7, 0.1, 0.0), (1.0, 0.0, 0.0)]))
    assert found.narrowest_shelf is not None
    assert found.narrowest_shelf.value == 0.5  # the next one is the floor, the last is never reached
    assert found.steepest_batter.value == 1.0
    assert not found.steepest_batter.cautions


def test_narrowest_shelf_and_steepest_bank_look_into_pits_too() -> None:
    found = worked(pool_of(CIRCLE, TIERS, pits=[PIT]))
    assert found.narrowest_shelf is not None
    assert found.narrowest_shelf.value == 0.2
    assert found.steepest_batter.value == 0.3
    assert "may not climb out" in said(found.steepest_batter)
    assert worked(pool_of(CIRCLE, [(0.8, 0, 1.2)])).narrowest_shelf is None


# Cautions.


def test_the_depth_limit_of_the_site_marks_what_crosses_it() -> None:
    found = worked(pool_of(CIRCLE, [(0.3, 0.5, 0.5), (0.8, 0, 0.6)]), depth_limit="50 cm")
    assert found.area_over_limit is not None
    assert found.area_over_limit.value == pytest.approx(math.pi * (3.35 - 0.6 * 0.2) ** 2, rel=1e-5)
    assert "barrier" in said(found.area_over_limit)
    assert "barrier" in said(found.max_depth)
    shallow = worked(pool_of(CIRCLE, [(0.3, 0.5, 0.5), (0.8, 0, 0.6)]), depth_limit="80 cm")
    assert shallow.area_over_limit is not None
    assert shallow.area_over_limit.value == 0
    assert not shallow.area_over_limit.cautions
    assert worked(pool_of(CIRCLE, TIERS)).area_over_limit is None
    assert "Children drown" in said(worked(pool_of(CIRCLE, TIERS)).max_depth)


@pytest.mark.parametrize(
    ("above", "words"),
    [(0.3, []), (0.5, ["Cut of 4 ft"]), (0.8, ["Cut of 5 ft", "Cut of 4 ft"]), (-1.0, ["stand on fill"])],
)
def test_deep_cuts_call_for_a_way_out_and_for_protection(above: float, words: list[str]) -> None:
    """29 CFR 1926 Subpart P (secondary source): a way out from 4 ft, a protective system from 5 ft of cut."""
    found = worked(pool_of(CIRCLE, [(0.8, 0, 2.0)], bank_batter=2.0), ground={"kind": "level", "level": above})
    assert found.dig_depth
    assert found.dig_depth.value == pytest.approx(0.8 + above)
    for text in ("Cut of 4 ft", "Cut of 5 ft", "stand on fill"):
        assert (text in said(found.dig_depth)) == (text in words)


@pytest.mark.parametrize(("depth", "protected"), [(1.02, False), (1.03, True)])
def test_on_falling_ground_the_cut_is_as_deep_as_at_its_uphill_edge(depth: float, protected: bool) -> None:
    """Closed form: ground that falls 1 in 5 stands 0.3 m above the uphill waterline; a bank of 2 to 1 meets it d away,
    where d / 2 = 0.3 + d / 5, so d = 1 m and the edge of the cut stands 0.5 m above the water. 5 ft are 1.524 m.
    """
    ground = {"kind": "plane", "level": 0.3 - 0.2 * 4.0, "fall": 0.2, "toward_deg": 180}
    found = worked(pool_of(CIRCLE, [(depth, 0, 1.0)], bank_batter=2.0), ground=ground)
    assert found.dig_depth
    assert found.dig_depth.value == pytest.approx(depth + 0.5, abs=1e-4)
    assert ("Cut of 5 ft" in said(found.dig_depth)) == protected


@pytest.mark.parametrize(("batter", "steep"), [(0.7, True), (1.6, False)])
def test_a_face_steeper_than_its_soil_allows_is_said(batter: float, steep: bool) -> None:
    """29 CFR 1926 Subpart P, App. B, Table B-1 (secondary source): type C soil, sand, 1½ to 1."""
    found = worked(pool_of(CIRCLE, [(0.8, 0, batter)], bank_batter=2.0), soil="sand")
    assert ("Cut steeper than" in said(found.steepest_dig_face)) == steep


# Symmetry.


def invariant(found: PoolResult) -> list[float]:
    """Figures that do not hang on where a pool lies."""
    return [
        e.value
        for e in (
            found.surface_area,
            found.perimeter,
            found.max_depth,
            found.gross_volume,
            found.wetted_area,
            found.gravel_volume,
            found.rim_length,
            *found.zone_area,
            *found.zone_volume,
        )
    ]


def test_a_pool_moved_and_turned_is_the_same_pool() -> None:
    here = worked(pool_of(KIDNEY, TIERS, pits=[PIT]))
    there = worked(pool_of(KIDNEY, TIERS, pits=[PIT], at=(30, -12), turn_deg=77, level=1.4))
    assert invariant(there) == pytest.approx(invariant(here), rel=1e-9)


def test_points_turned_by_hand_are_the_same_pool() -> None:
    turned = [(-y + 3, x - 5) for x, y in KIDNEY["points"]]  # type: ignore[attr-defined]
    pit = PIT | {"at": (-0.2 + 3, 1.7 - 5)}
    found = worked(pool_of({"shape": "points", "points": turned}, TIERS, pits=[pit]))
    assert invariant(found) == pytest.approx(invariant(worked(pool_of(KIDNEY, TIERS, pits=[PIT]))), rel=1e-5)


def test_a_pool_mirrored_is_the_same_pool() -> None:
    mirrored = [(-x, y) for x, y in KIDNEY["points"]]  # type: ignore[attr-defined]
    found = worked(pool_of({"shape": "points", "points": mirrored}, TIERS, pits=[PIT | {"at": (-1.7, 0.2)}]))
    assert invariant(found) == pytest.approx(invariant(worked(pool_of(KIDNEY, TIERS, pits=[PIT]))), rel=1e-5)


def test_the_same_pool_written_in_both_systems_has_the_same_figures() -> None:
    us = evaluate(read()).options[0].pools[0]
    tiers = [
        {"zone": "marsh", "depth": "228.6 mm", "shelf": "60.96 cm", "batter": 0.5},
        {"zone": "deep", "depth": 0.762, "batter": 0.5},
    ]
    metric = us_pool(
        outline={"shape": "ellipse", "length": "5.4864 m", "width": 3.6576}, tiers=tiers, freeboard="10.16 cm"
    )
    si = worked(Pool.model_validate(metric, context={"units": "si"}))
    assert invariant(si) == pytest.approx(invariant(us), rel=1e-9)


def test_an_option_holds_its_pools_in_any_order() -> None:
    one, two = pool_of(CIRCLE, TIERS, name="one"), pool_of(KIDNEY, TIERS, name="two", at=(12, 0))
    first, second = option_of(one, two), option_of(two, one)
    assert {p.name: p.gross_volume.value for p in first.pools} == {p.name: p.gross_volume.value for p in second.pools}
    assert first.earthwork.dig_volume is not None
    assert second.earthwork.dig_volume is not None
    assert first.earthwork.dig_volume.value == pytest.approx(second.earthwork.dig_volume.value, rel=1e-12)
