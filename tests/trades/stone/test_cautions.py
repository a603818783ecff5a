"""Every caution of stone, just inside and just outside: limits from print, distances by hand."""

from typing import Any

import pytest

from pondkit.core.entry import Entry, Range
from pondkit.geometry.footprint import strip
from pondkit.geometry.outline import Placed, shape_of
from pondkit.geometry.shapes import Rectangle
from pondkit.trades.stone import cautions as rules
from pondkit.trades.stone.compute import inward_width, row_figures
from tests.cautions import cases, edge, told
from tests.trades.stone import test_bearing as bearing
from tests.trades.stone import test_edging as edging
from tests.trades.stone import test_seating as seating
from tests.trades.stone import test_slings as slings
from tests.trades.stone.test_boulders import worked
from tests.trades.stone.test_compute import FLAT, SEAT, figure
from tests.trades.stone.test_compute import worked as stony

STRAIGHT = {"heavier_within": 0}  # the share of the heavier leg as entered


def test_lifting_water_and_ground_at_a_boulders_mass() -> None:
    bare = stony({"edging": [{"pool": "pool", "base_level": "-6 in"}]})
    cases(rules.STONE_LIFTING, without=bare.stone, with_it=worked().mass)
    cases(rules.STONE_AT_WATER, without=worked().mass, with_it=worked(pool="p").mass)
    cases(rules.STONE_ON_SOFT_GROUND, without=worked(soil="stiff clay").mass, with_it=worked(soil="soft clay").mass)


def test_axes_and_box() -> None:
    cases(rules.STONE_AXES_ORDER, without=worked().volume, with_it=worked(axes=["30 in", "40 in", "20 in"]).volume)

    def flat(shortest: float) -> Entry:
        return worked(form="riprap", axes=["30 in", "30 in", f"{shortest} in"]).volume

    # 0.85 of 30³ in a box of 30 x 30 x c: from c = 25.5 in on it fits
    edge(rules.STONE_OVER_ITS_BOX, flat, inside=25.6, outside=25.4)


def test_places_outside_the_waterline_and_two_in_one() -> None:
    def at(x: float) -> Entry:
        return figure(stony({"boulders": [SEAT | {"places": [[f"{x} ft", "0 ft"]]}]}), "boulder_displaced", "seat")

    edge(rules.STONE_OUTSIDE_WATERLINE, at, inside=8.95, outside=9.05)

    def apart(gap: float, **changes: Any) -> Entry:
        one = SEAT | {"name": "one", "count": 1, "axes_within": 0, "places": [["0 ft", "0 ft"]]} | changes
        other = one | {"name": "other", "places": [[f"{gap} in", "0 in"]]}
        return figure(stony({"boulders": [one, other]}, pools=[FLAT]), "boulders_overlapping")

    # as drawn 40 in long each, eastward; turned they are 30 in wide
    edge(rules.STONES_MAY_OVERLAP, apart, inside=40.1, outside=39.5)
    edge(rules.STONES_OVERLAP, apart, inside=30.1, outside=29.9)
    cases(rules.STONES_OVERLAP, without=apart(28, axes_within=0.1), with_it=apart(26, axes_within=0.1))


def row_of(**changes: Any) -> Any:
    drawn, at = edging.drawn(**{"seat": "inside", "base_level": "-0.4 m"} | changes), edging.by(edging.pooled())
    return row_figures(
        drawn,
        strip(at.shape, Placed(0, 0, 0), inward_width(drawn)),
        at,
        Range(0.35, 0.35, 0.35, "as entered"),
        edging.GRANITE,
    )


def test_rows_of_edging() -> None:
    edge(rules.ROW_ABOVE_FLOOR, lambda level: row_of(base_level=f"{level} m").displaced, inside=-0.4, outside=-0.395)
    # face 0.5 x 0.4 m and shelf 0.6 m
    edge(rules.ROW_OVER_FACE, lambda wide: row_of(across=f"{wide} m").displaced, inside=0.8, outside=0.81)
    neck = shape_of(Rectangle(length="10 m", width="5 m"))  # type: ignore[arg-type]
    whole = strip(neck, Placed(0, 0, 0), 0.4)
    assert whole.parts == 1
    two = type(whole)(whole.area, whole.middle, 2, whole.rings)
    drawn, at = edging.drawn(seat="inside", base_level="-0.4 m"), edging.by(edging.pooled())
    counts = [
        row_figures(drawn, one, at, Range(0.35, 0.35, 0.35, "as entered"), edging.GRANITE).count for one in (whole, two)
    ]
    cases(rules.ROW_FILLS_NECK, without=counts[0], with_it=counts[1])


# ---------------------------------------------------------------- the ground under them


def test_bearing_on_the_ground_and_stacks() -> None:
    mud = bearing.borne(ground={"pressure": "1000 psf"})
    cases(rules.BEARING_GROUND, without=mud.bearing_load, with_it=mud.bearing_allowed)
    top = bearing.BLOCK | {"name": "top", "rests_on": "slab"}
    cases(
        rules.STONES_STACKED,
        without=bearing.borne().bearing_load,
        with_it=bearing.borne(bearing.BLOCK, top).bearing_load,
    )

    def use(allowed: float) -> Any:
        share = {"contact_low": 0.3, "contact_high": 0.3, "pressure": f"{allowed} psf"}
        return bearing.borne(bearing.BLOCK | {"bedding": "0 in"}, ground=share).bearing_use

    # 2,292 lb on 0.3 of 40 x 30 in: 916.7 psf
    edge(rules.BEARING_EXCEEDED, use, inside=918, outside=915)
    wide = bearing.BLOCK | {"bedding": "0 in"}
    only_least = bearing.borne(wide, ground={"contact_low": 0.3, "contact_high": 0.8, "pressure": "900 psf"})
    assert told(only_least.bearing_use)["bearing_exceeded"].rank == "check"


def test_places_on_a_shelf_with_bearing() -> None:
    def at(x: float) -> Any:
        stone = bearing.BLOCK | {"pool": "pool", "bedding": "0 in", "places": [[f"{x} ft", "0 ft"]]}
        return bearing.borne(stone)

    # the shelf runs from 9.625 to 14.625 ft; half of 30 in, and 6 in of set-back
    edge(rules.STONE_NEAR_FRONT, at, inside=9.625 + 21 / 12 + 0.01, outside=9.625 + 21 / 12 - 0.01)
    edge(rules.BED_IN_FACE, at, inside=14.625 - 1.25 - 0.01, outside=14.625 - 1.25 + 0.01)
    cases(rules.STONE_ALONG_SHELF, without=at(0), with_it=at(12))

    def bedded(x: float) -> Any:
        return bearing.borne(bearing.BLOCK | {"pool": "pool", "bedding": "4 in", "places": [[f"{x} ft", "0 ft"]]})

    # Only the bed, 2 in longer each way, reaches into the face: it is trimmed on site.
    edge(rules.BED_IN_FACE, bedded, inside=14.625 - 17 / 12 - 0.01, outside=14.625 - 17 / 12 + 0.01, rank="check")


def test_places_on_a_shelf_without_bearing() -> None:
    def at(x: float) -> Any:
        return seating.found(x).seating

    edge(rules.STONE_ON_FACE, at, inside=14.625 - 0.01, outside=14.625 + 0.01)
    edge(rules.STONE_OVER_FRONT, at, inside=9.625 + 1.25 + 0.01, outside=9.625 + 1.25 - 0.01)
    edge(rules.STONE_IN_FACE, at, inside=14.625 - 1.25 - 0.01, outside=14.625 - 1.25 + 0.01)

    def shelf(wide: float) -> Any:
        tiers = [bearing.SHELF[0] | {"shelf": f"{wide} in"}, bearing.SHELF[1]]
        return seating.found(14.625 - wide / 24, tiers=tiers).seating

    edge(rules.SHELF_TOO_NARROW, shelf, inside=30.1, outside=29.9)


# ---------------------------------------------------------------- slings


def test_legs_by_navedtra_14080_and_by_the_tension_of_rigging_sheets() -> None:
    """NAVEDTRA 14080, bridle hitch: steeper than 45 degrees; rigging sheets begin to multiply at 60 (1.155)."""

    def use(angle: float) -> Any:
        return slings.slung([slings.SLING], STRAIGHT | {"angle_deg": angle}).sling_use

    edge(rules.LEG_BELOW_60, use, inside=60, outside=59)
    edge(rules.LEG_BELOW_45, use, inside=45, outside=44.2)
    assert "leg_below_60" not in told(use(44.2))
    (factor,) = [term.value for term in told(use(50))["leg_below_60"].terms if term.name == "factor"]
    assert factor == pytest.approx(1.305, abs=1e-3)  # 1 / sin 50°
    plumb = slings.slung([slings.SLING], STRAIGHT | {"angle_deg": 40, "legs": 1}).sling_use
    cases(rules.LEG_BELOW_45, without=plumb, with_it=use(40))


def test_a_sling_against_its_tag_and_a_persons_own_limit() -> None:
    def use(rating: float, **rigging: Any) -> Any:
        straight = {"hitch": "vertical", "legs": 1} | STRAIGHT | rigging
        return slings.slung([slings.SLING | {"vertical": f"{rating} lb"}], straight).sling_use

    # 2,291.7 lb on one straight pull
    edge(rules.SLING_OVER_RATING, use, inside=2295, outside=2288)
    edge(rules.SLING_OVER_LIMIT, use, inside=2291.7 / 0.8 + 5, outside=2291.7 / 0.8 - 5)
    even = {"legs": 2, "hitch": "vertical", "angle_deg": 90 - 5, "heavier_share": 0.6, "heavier_within": 0.1}
    # 0.6 of it hangs on the heavier leg, 0.66 at most: 1,380 and 1,518 lb at 85 degrees
    assert told(use(1450, **even))["sling_over_rating"].rank == "check"
    assert told(use(1370, **even))["sling_over_rating"].rank == "act"
    assert "sling_over_rating" not in told(use(1520, **even))


def test_slings_at_hand() -> None:
    def use(**changes: Any) -> Any:
        return slings.slung(
            [slings.SLING | changes], {"hitch": "vertical", "legs": 1, "hook_height": "4 ft"} | STRAIGHT
        )

    edge(rules.SLING_TOO_SHORT, lambda feet: use(length=f"{feet} ft").sling_use, inside=4.0, outside=3.95)
    two = slings.slung([slings.SLING | {"count": 2}], STRAIGHT).sling_use
    cases(rules.SLINGS_TOO_FEW, without=two, with_it=slings.slung([slings.SLING | {"count": 1}], STRAIGHT).sling_use)
    cases(rules.SLING_UNPROTECTED, without=use().sling_use, with_it=use(edge_protection=False).sling_use)
    cases(
        rules.NO_SLING_HOLDS,
        without=use(vertical="3000 lb").boulders_no_sling,
        with_it=use(vertical="2800 lb").boulders_no_sling,
    )
    cases(rules.SLINGS_INSPECTED, without=use().leg_length, with_it=use().sling_rated)
