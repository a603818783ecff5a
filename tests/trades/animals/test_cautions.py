"""Every caution of the animals' brief, just inside its limit and just outside."""

from typing import Any

from pondkit.core.entry import entry
from pondkit.trades.animals import cautions as warn
from pondkit.trades.animals import formulas
from tests.cautions import cases, edge, told
from tests.trades.animals.test_compute import brief
from tests.trades.tunnels.sketch import figures


def asked(kind: dict[str, Any], animals: dict[str, Any] | None = None, **option: Any) -> Any:
    return brief(kind, animals, **option).animals


def test_what_is_true_of_every_brief() -> None:
    cases(warn.PROTECTED_KINDS, without=asked({"protected": False}), with_it=asked({"protected": True}))
    cases(warn.DEMANDS_ARE_YOURS, without=asked({}, {"kinds": []}), with_it=asked({}))


def test_what_was_not_checked() -> None:
    area = {"water_area": "5 m^2"}
    cases(warn.NOT_CHECKED, without=asked(area | {"water_depth": "50 cm"}), with_it=asked(area))
    cases(warn.SOME_NOT_CHECKED, without=asked(area | {"water_depth": "50 cm"}), with_it=asked(area))


def test_requirements_that_are_met_to_a_hair_and_those_that_are_not() -> None:
    """The person's own limit decides: 1 m, 1 m² or 1 of what is asked, with 1 % more or less of what there is."""
    edge(
        warn.BORE_TOO_NARROW,
        lambda x: entry(formulas.bore_margin, "", clear_bore=x, clear_way_wanted=1.0),
        inside=1.0,
        outside=0.99,
    )
    edge(
        warn.SWIM_TOO_LONG,
        lambda x: entry(formulas.swim_margin, "", longest_wanted=1.0, swim=x),
        inside=1.0,
        outside=1.01,
    )
    area = lambda x: entry(formulas.area_margin, "", deep_areas=(0.7, x), too_deep_areas=(0.2, 0.0), area_wanted=1.0)  # noqa: E731
    edge(warn.DEEP_AREA_TOO_SMALL, area, inside=0.5, outside=0.495)
    depth = lambda x: entry(formulas.depth_margin, "", greatest_depth=x, water_fall=0.2, ice=0.3, depth_wanted=0.5)  # noqa: E731
    edge(warn.WATER_TOO_SHALLOW, depth, inside=1.0, outside=0.99)
    edge(
        warn.BANK_TOO_STEEP,
        lambda x: entry(formulas.bank_margin, "", least_slope=x, slope_wanted=2.0),
        inside=2.0,
        outside=1.98,
    )
    ways = lambda x: entry(formulas.ways_margin, "", ways=x, all_round=0.0, ways_wanted=2.0)  # noqa: E731
    edge(warn.TOO_FEW_WAYS_OUT, ways, inside=2.0, outside=1.0, step=1.0)

    def below(x):
        return entry(
            formulas.entrance_margin_below, "", level=0.0, water_fall=0.2, mouth_level=x, bore=0.1, depth_wanted=0.25
        )

    edge(warn.ENTRANCE_MISPLACED, below, inside=-0.5, outside=-0.495)
    above = lambda x: entry(formulas.entrance_margin_above, "", mouth_level=x, bore=0.1, level=0.0, water_rise=0.1)  # noqa: E731
    edge(warn.ENTRANCE_MISPLACED, above, inside=0.1501, outside=0.1499)
    edge(
        warn.TOO_FEW_EXITS,
        lambda x: entry(formulas.exits_margin, "", mouths=x, mouths_wanted=2.0),
        inside=2.0,
        outside=1.0,
        step=1.0,
    )
    edge(
        warn.DEN_TOO_WET,
        lambda x: entry(formulas.dry_margin, "", floor_above_water=x, dryness_wanted=0.1),
        inside=0.1,
        outside=0.099,
    )
    edge(
        warn.FENCE_TOO_SMALL,
        lambda x: entry(formulas.fence_margin, "", planned=x, required=0.5),
        inside=0.5,
        outside=0.495,
    )
    edge(
        warn.MOUTH_UNDER_ICE_TOO_LOW,
        lambda x: entry(formulas.ice_margin, "", clear_of_ice=x, clear_way_wanted=0.1),
        inside=0.1,
        outside=0.099,
    )


def test_ways_out_that_do_not_count() -> None:
    """Steepest 2 to 1 asked; the pool's long side lies 3 m off its middle, and 2 m from the waterline are allowed."""

    def out(slope: float = 3.0, north: float = 4.0) -> Any:
        ramp = {"name": "log", "pool": "pool", "at": [0, north], "slope": slope, "surface": "wood"}
        return figures(brief({"steepest_way_out": 2}, {"ways_out": [ramp], "way_out_reach": "2 m"}), "demand_ways_out")

    edge(warn.WAY_OUT_TOO_STEEP, lambda slope: out(slope=slope).values(), inside=2.0, outside=1.98)
    edge(warn.WAY_OUT_TOO_FAR, lambda north: out(north=north).values(), inside=5.0, outside=5.01)
    edge(warn.WAY_OUT_TOO_FAR, lambda north: out(north=north).values(), inside=1.0, outside=0.99)  # inward as well


def test_ice_that_reaches_into_a_mouth() -> None:
    """The mouth's crown lies 2 in (half of 3.998) over -0.6 m, the lowest water
    at -0.2 m: ice of 0.349 m reaches it.
    """
    crown = 0.6 - 3.998 * 0.0254 / 2 - 0.2
    at = lambda ice: figures(brief({}, {"ice": f"{ice} m"}), "mouth_clear_of_ice")  # noqa: E731
    edge(warn.ICE_IN_MOUTH, lambda ice: at(ice).values(), inside=crown - 0.002, outside=crown + 0.002)
    none = told(figures(brief({"body_width": "5 cm"}), "demand_bore").values())
    assert "ice_in_mouth" not in none
