"""Uplift of empty basin, pump pit and filter: by the published figure of the notes, by hand,
and by areas of the geometry library.
"""

import math
from typing import Any

import pytest
import shapely

from pondkit.core import flotation as buoyancy
from pondkit.study.evaluate import OptionResult
from tests.trades.earthwork.test_structures import option

FT, LB = 0.3048, 0.45359237
WATER, SOIL = 62.4 * LB / FT**3, 120 * LB / FT**3
LEVEL = {"ground": {"kind": "level", "level": 0.2}, "groundwater": 0.0}
PIT = {"at": [9, 0], "plan_size": [1.0, 0.8], "underside": -1.1, "mass": 250, "ballast": 40, "rim": 0.3}


def figures(result: OptionResult, key: str) -> dict[str, Any]:
    return {entry.subject: entry for entry in getattr(result.flotation, key)}


def pit(water: dict[str, Any] | None = None, site: dict[str, Any] | None = None, **more: Any) -> OptionResult:
    common = {"backfill_density": 2000, "uplift_safety": 1.2}
    return option({"pit": PIT | more} | common | (water or {}), site=LEVEL | (site or {}))


def said(entry: Any) -> str:
    return " ".join(words.text for words in entry.cautions)


def test_a_foot_of_an_eight_foot_round_as_published() -> None:
    # Reference notes 9.4: 8 ft outside diameter, 3,136.6 lb/ft
    areas = buoyancy.plan_areas(8 * FT, 8 * FT, math.pi / 4, 0.0)
    found = buoyancy.lifted_by(*areas, 0.0, -FT, 5.0, 0.0, WATER)
    assert found == pytest.approx(3136.6 * LB, abs=0.05 * LB)


def test_a_round_pit_on_a_wide_base_by_areas_of_the_geometry_library() -> None:
    radius, out, base, wet, soil = 0.6, 0.25, 0.15, 1.3, 0.9
    inner = shapely.Point(0, 0).buffer(radius, quad_segs=2000)
    ring = shapely.Point(0, 0).buffer(radius + out, quad_segs=2000).difference(inner)
    areas = buoyancy.plan_areas(1.2, 1.2, math.pi / 4, out)
    lift = buoyancy.lifted_by(*areas, base, -wet, 1.0, 0.0, 1000.0)
    assert lift == pytest.approx(1000 * (inner.area * wet + ring.area * base), rel=1e-6)
    hold = buoyancy.held_down(*areas, 80.0, 15.0, 0.0, soil, buoyancy.buoyant_density(1950.0, 1000.0))
    assert hold == pytest.approx(95 + 950 * ring.area * soil, rel=1e-6)


def test_an_empty_pit_by_hand() -> None:
    found = pit()
    assert not found.problems
    assert figures(found, "body_uplift")["pump pit"].value == pytest.approx(1000 * 0.8 * 1.1)
    assert figures(found, "body_held_down")["pump pit"].value == pytest.approx(290)
    ballast = figures(found, "body_ballast")["pump pit"]
    assert ballast.value == pytest.approx(1.2 * 880 - 290)
    assert (
        "may float up" in said(ballast) and "keep it filled" in said(ballast) and "licensed engineer" in said(ballast)
    )


def test_soil_on_the_bases_outstand_holds_it_and_the_outstand_is_lifted_too() -> None:
    found = pit(outstand=0.3, base=0.2)
    ring = 1.6 * 1.4 - 0.8
    assert figures(found, "body_uplift")["pump pit"].value == pytest.approx(1000 * (0.8 * 1.1 + ring * 0.2))
    assert figures(found, "body_held_down")["pump pit"].value == pytest.approx(290 + 1000 * ring * (0.2 + 1.1 - 0.2))
    held = figures(found, "body_ballast")["pump pit"]
    assert held.value == 0 and not held.cautions


def test_soil_on_a_lid_counts_only_where_it_is_entered() -> None:
    low = {"rim": -0.3, "groundwater": 0.0}
    bare, covered = pit(rim=low["rim"]), pit(rim=low["rim"], covered=True)
    hold = [figures(found, "body_held_down")["pump pit"].value for found in (bare, covered)]
    assert hold[1] - hold[0] == pytest.approx(1000 * 0.8 * (0.2 + 0.3))
    # Groundwater over its top lifts it no further.
    assert figures(covered, "body_uplift")["pump pit"].value == pytest.approx(1000 * 0.8 * 0.8)


def test_low_groundwater_lifts_nothing_and_unknown_stands_at_the_ground() -> None:
    dry = figures(pit(site={"groundwater": -2.0}), "body_ballast")["pump pit"]
    assert dry.value == 0 and not dry.cautions
    unknown = figures(pit(site={"groundwater": None}), "body_uplift")["pump pit"]
    assert unknown.value == pytest.approx(1000 * 0.8 * 1.3) and "not entered" in said(unknown)


def test_falling_ground_counts_with_its_least_soil_and_its_highest_water() -> None:
    """Ground falls 4 in 100 eastward from 0.1 at the origin: over 8.2 to 9.8 m with the outstand."""
    falls = {"ground": {"kind": "plane", "level": 0.1, "fall": 0.04, "toward_deg": 90}, "groundwater": None}
    found = pit(site=falls, outstand=0.3, base=0.2, rim=None)
    low, high = 0.1 - 0.04 * 9.8, 0.1 - 0.04 * 8.2
    ring = 1.6 * 1.4 - 0.8
    lift = 1000 * (0.8 * (high + 1.1) + ring * 0.2)
    assert figures(found, "body_uplift")["pump pit"].value == pytest.approx(lift, rel=1e-9)
    hold = 290 + 1000 * ring * (low + 1.1 - 0.2)
    assert figures(found, "body_held_down")["pump pit"].value == pytest.approx(hold, rel=1e-9)


def test_a_pit_in_the_pool_is_lifted_by_its_water_without_soil_and_an_intake_there_is_not() -> None:
    inside = {"at": [0, 0], "plan_size": [0.5, 0.5], "underside": -0.95, "outstand": 0.2, "base": 0.1}
    found = option({"pit": inside, "intake": inside}, site=LEVEL | {"groundwater": -3.0})
    lift = figures(found, "body_uplift")
    assert lift["pump pit"].value == pytest.approx(1000 * (0.25 * 0.95 + (0.81 - 0.25) * 0.1))
    assert lift["intake basin"].value == 0
    assert "stands in 'pool'" in said(lift["pump pit"])
    # The pool is dug to its floor: 0.05 m over the underside, less than the base is thick
    assert figures(found, "body_held_down")["pump pit"].value == 0


def test_both_bodies_of_a_filter_each_with_its_own_mass() -> None:
    clean = {
        "at": [9, 0],
        "plan_size": [1, 1],
        "underside": -0.5,
        "mass": 100,
        "second_size": [0.6, 0.5],
        "second_at": [11, 0],
        "second_mass": 70,
    }
    found = option({"filter": clean}, site=LEVEL)
    hold = {name: entry.value for name, entry in figures(found, "body_held_down").items()}
    assert hold == {"filter": 100, "filter, second body": 70}
    assert figures(found, "body_uplift")["filter, second body"].value == pytest.approx(1000 * 0.3 * 0.5)


def test_no_body_or_one_whose_underside_is_not_known_says_nothing() -> None:
    assert option({"filter": {}}, site=LEVEL).flotation is None
    lost = option({"intake": {"plan_size": [1, 1]}}, site=LEVEL)
    assert lost.flotation is None and any("underside is not entered" in problem.given.text for problem in lost.problems)
