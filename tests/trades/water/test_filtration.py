"""Filter, waste and oxygen against print, a general library, and conservation."""

from typing import Any

import pytest

from pondkit.core.entry import limit
from pondkit.core.units import AREAL_RATE, CONCENTRATION, RATIO
from pondkit.drawing.rows import say
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.water.formulas import filters
from pondkit.trades.water.results import RunResult
from tests.designs import option, pool, read
from tests.trades.water.test_pumping import LINK, pump

GPM, FOOT, DAY = 6.30902e-5, 0.3048, 86400.0
MU = {20: (998.21, 1.0016e-3), 10: (999.70, 1.3059e-3)}


# fluids v_terminal and iapws (library): particle [µm], density, mm/s at 20 and 10 °C
@pytest.mark.parametrize(
    ("micron", "solids", "at_20", "at_10"),
    [
        (50, 1050, 0.0704, 0.0525),
        (100, 1050, 0.2815, 0.2098),
        (100, 1190, 1.032, 0.791),
        (250, 1190, 5.676, 4.544),
        (1000, 1190, 36.4, 32.3),
        (100, 2650, 8.26, 6.54),
    ],
)
def test_particles_sink_as_the_library_says(micron: float, solids: float, at_20: float, at_10: float) -> None:
    for celsius, expected in ((20, at_20), (10, at_10)):
        rho, mu = MU[celsius]
        assert filters.settling_velocity(micron * 1e-6, solids, rho, mu / rho) * 1000 == pytest.approx(
            expected, rel=0.03
        )


@pytest.mark.parametrize(("solids", "stokes"), [(1050, 0.0704), (1190, None)])
def test_slow_particles_follow_stokes(solids: float, stokes: float | None) -> None:
    rho, mu = MU[20]
    by_law = 9.80665 * (solids - rho) * (50e-6) ** 2 / (18 * mu)
    assert filters.settling_velocity(50e-6, solids, rho, mu / rho) == pytest.approx(by_law, rel=0.01)
    assert stokes is None or by_law * 1000 == pytest.approx(stokes, rel=1e-3)


def test_the_smallest_particle_kept_sinks_as_fast_as_the_water_rises() -> None:
    rho, mu = MU[20]
    found = filters.smallest_kept(3.1e-3, 1.0, 1190, rho, mu / rho)
    assert filters.settling_velocity(found, 1190, rho, mu / rho) == pytest.approx(3.1e-3, rel=1e-6)
    # Pfeiffer et al. 2008: at such a rate a swirl separator holds particles over 250 µm; 100 µm ones pass.
    assert 100e-6 < found < 250e-6


def test_overflow_rate_of_a_printed_settler() -> None:
    """Davidson and Summerfelt 2005: 340 L/min at 0.0031 m/s, 4.6 gal/min/ft²: 1.83 m²."""
    assert filters.overflow_rate(340e-3 / 60, 1.83) == pytest.approx(0.0031, rel=0.01)
    assert filters.overflow_rate(4.6 * GPM, FOOT**2) == pytest.approx(0.0031, rel=0.01)


def test_ammonia_of_a_worked_feed() -> None:
    """4000 kg of fish at 1.5 % a day and 40 % protein: 60 kg of feed, 2.208 kg (Losordo
    and DeLong's inputs, Timmons's share).
    """
    share = limit("ammonia from feed", RATIO)[0]
    assert filters.ammonia_made(60 / DAY, 0.40, share, 0.0) * DAY == pytest.approx(2.208)
    # About 30 g on each kg at 32.6 % protein (Roanoke slides: 13.63 g on each lb).
    assert filters.ammonia_made(1 / DAY, 0.326, share, 0.0) * DAY * 1000 == pytest.approx(30.0, rel=0.005)


# Kinetics at 27.2 °C: S [mg/L] -> mg/m² a day, by arithmetic on the printed formula
@pytest.mark.parametrize(("level", "rate"), [(0.25, 154), (0.5, 329), (1, 590), (2, 913)])
def test_the_ammonia_level_is_where_the_media_take_what_is_made(level: float, rate: float) -> None:
    found = filters.ammonia_level(
        rate * 100 * 1e-6 / DAY, 100.0, 1e6, 27.2, 1.043
    )  # a flow so large that nothing is gained in the pond
    assert found * 1000 == pytest.approx(level, rel=0.003)


def test_nitrogen_is_conserved_through_the_filter() -> None:
    made, media, flow = 5e-3 / DAY, 80.0, 2e-3
    pond = filters.ammonia_level(made, media, flow, 27.2, 1.043)
    behind = pond - made / flow
    taken = 1859 * (behind * 1000 - 0.07) / (behind * 1000 + 1.93) * media * 1e-6 / DAY
    assert flow * (pond - behind) == pytest.approx(made)
    assert taken == pytest.approx(made, rel=1e-9)


def test_what_can_be_carried_is_the_level_turned_round() -> None:
    free = filters.free_share(7.5, 20.0)
    carried = filters.ammonia_carried(0.01e-3, free, 80.0, 2e-3, 1.0, 20.0, 1.043)
    assert filters.ammonia_level(carried, 80.0, 2e-3, 20.0, 1.043) * free == pytest.approx(0.01e-3, rel=1e-6)
    assert filters.ammonia_carried(1e-9, free, 80.0, 2e-3, 1.0, 20.0, 1.043) == 0
    capped = filters.ammonia_carried(0.01e-3, free, 80.0, 2e-3, carried / 160, 27.2, 1.043)
    assert capped == pytest.approx(carried / 2)


def test_in_warm_water_what_media_take_bounds_what_can_be_carried() -> None:
    """At 35 °C and next to no free share the level may be high: then it is surface times rate times 1.043^7.8."""
    rate = 0.95 * filters.MOST_RATE * filters.MG_A_DAY  # kg/m² s, just under what the level's own curve reaches
    carried = filters.ammonia_carried(0.01e-3, 1e-5, 80.0, 1.0, rate, 35.0, 1.043)
    assert carried == pytest.approx(80.0 * rate * 1.043**7.8, rel=1e-9)


def test_nitrification_slows_in_the_cold_as_printed() -> None:
    """Zhu and Chen 2002: 4.275 % and 1.108 % a degree; Hoang et al. 2014: 18 ± 5.1 % of
    the rate at 20 °C was left at 1 °C.
    """
    ends = {end: limit(f"nitrification per degree{end}", RATIO)[0] for end in (" low", "", " high")}
    assert ends == {
        " low": pytest.approx(1.01108, abs=5e-4),
        "": pytest.approx(1.04275, abs=5e-4),
        " high": pytest.approx(1.098),
    }
    left = [
        filters.temperature_factor(1.0, each) / filters.temperature_factor(20.0, each)
        for each in (ends[" high"], ends[" low"])
    ]
    assert left[0] < 0.18 < left[1]
    assert left[0] == pytest.approx(0.18, abs=0.051)
    level = [filters.ammonia_level(2e-3 / DAY, 80.0, 2e-3, celsius, 1.043) for celsius in (27.2, 15.0, 4.0)]
    assert level == sorted(level)


def test_colder_water_lets_the_filter_carry_no_more_feed() -> None:
    """Where the media are at their printed rates, feed goes as they do: 1.043 a degree."""
    feed = [worked(temperature=f"{celsius} °C").filter.feed_carried for celsius in (27.2, 11.0, 4.0)]
    values = [figure.value for figure in feed if figure]
    assert values == sorted(values, reverse=True)
    assert values[1] / values[2] == pytest.approx(1.043**7, rel=1e-6)
    assert all(figure and figure.least < figure.value < figure.most for figure in feed)


# UF/IFAS FA16, Table: pH -> share at 6, 10, 20, 24, 30 °C
FA16 = {
    7.0: (0.0013, 0.0018, 0.0039, 0.0052, 0.0080),
    7.6: (0.0053, 0.0073, 0.0155, 0.0206, 0.0310),
    8.0: (0.0133, 0.0182, 0.0381, 0.0502, 0.0743),
    8.4: (0.0328, 0.0445, 0.0904, 0.1171, 0.1678),
}


@pytest.mark.parametrize("ph", FA16)
def test_free_share_of_ammonia_as_printed(ph: float) -> None:
    for celsius, share in zip((6, 10, 20, 24, 30), FA16[ph], strict=True):
        assert filters.free_share(ph, celsius) == pytest.approx(share, rel=0.005, abs=1e-4)


def test_free_ammonia_of_the_printed_example() -> None:
    """FA16: 1.0 mg/L at 24 °C and pH 8.0: 0.0502 mg/L."""
    assert filters.free_ammonia(1.0e-3, filters.free_share(8.0, 24.0)) * 1000 == pytest.approx(0.0502, abs=1e-4)


def test_coefficients_are_those_printed() -> None:
    assert limit("ammonia removal low", AREAL_RATE)[0] * 1000 * DAY == pytest.approx(0.215, abs=0.001)
    assert limit("ammonia removal high", AREAL_RATE)[0] * 1000 * DAY == pytest.approx(1.076, abs=0.001)
    assert limit("oxygen for nitrification", RATIO)[0] == pytest.approx(2 * 32 / 14, rel=1e-3)
    assert limit("alkalinity for nitrification", RATIO)[0] == pytest.approx(100 / 14, rel=1e-3)
    assert limit("harmful free ammonia", CONCENTRATION)[0] == pytest.approx(0.05e-3)


def test_oxygen_is_conserved_at_balance() -> None:
    full, used, falls, surface = 9.09e-3, 2e-6, 8e-4, 1e-4
    level = filters.oxygen_at_balance(full, used, 0.0, falls, surface)
    assert (falls + surface) * (full - level) == pytest.approx(used)
    assert filters.oxygen_at_balance(full, used, used, falls, surface) == full


# --- as a person draws it ---

FILTER = {
    "level": "80 cm",
    "settling_area": "1 m^2",
    "media_area": "1 m^2",
    "media_depth": "60 cm",
    "media_surface": "200 m^2/m^3",
}
LOAD = {"feed": "40 g/day", "respiration": "200 g/day"}


def outcome(**more: Any) -> OptionResult:
    water = {
        "pumps": [pump()],
        "branches": [{"name": "f", "to": "filter", "length": "6 m"}],
        "filter": FILTER,
        "load": LOAD,
    } | more
    pools = [pool("low", level="-10 cm"), pool("high", level="50 cm", at=["9 m", "0 m"])]
    return evaluate(read(units="si", options=[option(pools=pools, links=[LINK], water=water)])).options[0]


def worked(**more: Any) -> RunResult:
    found = outcome(**more)
    assert found.problems == ()
    assert found.water is not None
    return found.water.run


def test_all_water_to_the_filter_goes_through_its_bodies() -> None:
    found = worked()
    assert found.pumping.total_flow is not None
    assert found.filter.overflow_rate is not None
    assert found.filter.rise_rate is not None
    assert found.filter.overflow_rate.value == pytest.approx(found.pumping.total_flow.value, rel=1e-6)  # over 1 m²
    assert found.filter.rise_rate.value == pytest.approx(found.pumping.total_flow.value, rel=1e-6)
    assert found.filter.media_surface is not None
    assert found.filter.media_surface.value == pytest.approx(0.6 * 200)


def test_waste_has_low_and_high() -> None:
    made = worked().filter.ammonia_made
    assert made is not None
    assert made.value * DAY == pytest.approx(0.040 * 0.35 * 0.092)
    assert (made.least, made.most) == (pytest.approx(0.7 * made.value), pytest.approx(1.3 * made.value))


def test_steps_in_a_fall_raise_the_oxygen_of_the_night() -> None:
    found = worked().filter.oxygen_by_night
    assert found is not None
    assert found.least < found.value < found.most
    water = {"pumps": [pump()], "branches": [{"name": "f", "to": "filter"}], "filter": FILTER, "load": LOAD}
    pools = [pool("low", level="-10 cm"), pool("high", level="50 cm", at=["9 m", "0 m"])]
    stepped = (
        evaluate(read(units="si", options=[option(pools=pools, links=[LINK | {"steps": 3}], water=water)]))
        .options[0]
        .water
    )
    assert stepped is not None
    assert stepped.run.filter.oxygen_by_night is not None
    assert stepped.run.filter.oxygen_by_night.value > found.value


def test_oxygen_of_the_night_feeds_back_to_what_falls_and_surface_take_up() -> None:
    """The balance is found again by running the chain at its own level: what the fall then gives
    and the surface takes is what is used.
    """
    first = worked().filter
    assert first.oxygen_by_night is not None
    assert first.oxygen_used is not None
    again = worked(oxygen=first.oxygen_by_night.value / worked().links.oxygen_saturation.value)  # type: ignore[union-attr]
    link, flow = again.links.oxygen_below[0], again.links.link_flow[0].value
    area = sum(p.surface_area.value for p in outcome().pools)
    full = again.links.oxygen_saturation.value  # type: ignore[union-attr]
    surface = 0.5 / DAY * area * (full - first.oxygen_by_night.value)
    assert flow * (link.value - first.oxygen_by_night.value) + surface == pytest.approx(
        first.oxygen_used.value, rel=1e-3
    )


def test_feed_without_a_media_bed_is_named() -> None:
    for filter_ in (FILTER | {"media_area": None}, {"level": "80 cm"}):
        found = outcome(filter=filter_)
        (problem,) = found.problems
        assert problem.path == ("water", "load", "feed")
        assert "no media bed" in say(problem.given, "si")
        assert found.water is not None
        assert found.water.run.pumping.total_flow is not None


def test_more_waste_than_the_media_can_take_is_named_and_the_rest_stands() -> None:
    found = outcome(load=LOAD | {"feed": "20 kg/day"})
    (problem,) = found.problems
    assert problem.path == ("water", "load", "feed")
    assert found.water is not None
    assert found.water.run.filter.ammonia_level is None
    assert found.water.run.filter.ammonia_made is not None


def test_free_ammonia_over_its_limit_is_said() -> None:
    found = worked(load=LOAD | {"feed": "800 g/day", "ph": 9}).filter.free_ammonia
    assert found is not None
    assert any("limit entered" in say(c, "si") for c in found.cautions)
