"""Every caution of the water side just inside and just outside its limit; limits as printed, in ft, in and °C."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from scipy.optimize import brentq

from pondkit.core import flotation
from pondkit.core.caution import Caution
from pondkit.core.constants import fluid
from pondkit.core.entry import Entry, entry, input_entry
from pondkit.core.tables import rows_by_name
from pondkit.core.units import FLOW, SPEED
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.water import cautions, links, pumping
from pondkit.trades.water.filtration import filter_loss, filtration
from pondkit.trades.water.formulas import filters, open_water
from pondkit.trades.water.inputs.pumping import Intake
from pondkit.trades.water.inputs.water import Filter, Water
from pondkit.trades.water.results import IntakeResult, WaterResult, YearResult
from tests.cautions import cases, edge
from tests.trades.water import test_filtration, test_levels, test_pumping, test_year
from tests.trades.water.test_channels import way
from tests.trades.water.test_filter_loss import BODIES
from tests.trades.water.test_flotation import pit
from tests.trades.water.test_pumping import pump

FOOT, INCH, DAY = 0.3048, 0.0254, 86400.0
SHARP = float(rows_by_name("trades/pools/crests")["sharp"]["typical"])


def running(**more: Any) -> Any:
    return test_levels.worked(**more)


def line(**more: Any) -> Any:
    return test_pumping.worked(**more).pumping


def hose(bore: str) -> dict[str, Any]:
    """An own pipe whose bore is known exactly."""
    return {"name": "hose", "outside": "20 cm", "bore": bore, "bore_within": 0}


def at(share: float, limit: float) -> dict[str, float]:
    return {"inside": limit * (1 - share), "outside": limit * (1 + share)}


# --- pumps and lines ---


def test_velocities_in_lines() -> None:
    """Florida plumbing code, Appendix F: at most 5 ft/s; New Hampshire Env-Wq 704.07: at least 2
    ft/s. Standing water is not judged.
    """

    def speed(value: float) -> Entry:
        return pumping.judged_velocity(input_entry("line", value, SPEED))

    edge(cautions.LINE_FAST, speed, **at(0.002, 5 * FOOT))
    edge(cautions.LINE_FAST, speed, **at(0.002, -5 * FOOT))
    edge(cautions.LINE_SLOW, speed, **at(-0.002, 2 * FOOT))
    cases(cautions.LINE_SLOW, without=speed(0.0), with_it=speed(0.1))


def test_a_line_that_is_too_fast_only_at_the_least_losses_is_to_be_checked() -> None:
    branch = {"name": "f", "to": "filter", "length": "6 m", "own_pipe": "hose"}

    def most(width: float) -> Entry:
        found = line(branches=[branch], own_pipes=[hose(f"{width} m")]).line_velocity
        return next(e for e in found if e.subject == "f")

    width = float(brentq(lambda x: most(x).most - 5 * FOOT, 0.02, 0.06, xtol=1e-9))
    assert most(width).value < 0.999 * most(width).most
    edge(cautions.LINE_FAST, most, inside=width * 1.001, outside=width * 0.999, rank="check")


def test_a_shut_flush_branch_is_judged_at_the_flow_that_it_flushes_with() -> None:
    shut = {"name": "flush", "to": "flush", "length": "9 m", "opening": 0, "own_pipe": "hose"}
    wide, narrow = (
        line(branches=[{"name": "f", "to": "filter", "length": "6 m"}, shut], own_pipes=[hose(bore)])
        for bore in ("150 mm", "25 mm")
    )
    cases(cautions.LINE_FAST, without=wide.flush_line_velocity, with_it=narrow.flush_line_velocity)
    assert test_pumping.value(narrow.line_velocity, "flush") == 0
    alone = line(branches=[shut | {"opening": 1}], own_pipes=[hose("25 mm")])
    assert narrow.flush_line_velocity.value == pytest.approx(test_pumping.value(alone.line_velocity, "flush"), rel=0.03)


def test_pumps_that_run_back_are_forced_or_held() -> None:
    weak = [{"flow": "0 L/min", "head": "0.2 m"}, {"flow": "60 L/min", "head": "0.1 m"}]
    still = pump("two", running=False)
    cases(
        cautions.RUNS_BACK,
        without=line(pumps=[pump(), still]),
        with_it=line(pumps=[pump(), still | {"check_valve": False}]),
    )
    both = line(pumps=[pump(), pump("two")])
    cases(cautions.HELD_SHUT, without=both, with_it=line(pumps=[pump(), pump("two", curve=weak)]))
    cases(cautions.FORCED_BACK, without=both, with_it=line(pumps=[pump(), pump("two", curve=weak, check_valve=False)]))
    short = [{"flow": "0 L/min", "head": "6 m"}, {"flow": "20 L/min", "head": "5.5 m"}]
    cases(cautions.PAST_CURVE, without=line(), with_it=line(pumps=[pump(curve=short)]))
    far = {"name": "main", "length": "250 m"}
    ends = [{"name": "a", "pool": "low", "length": "1 m"}, {"name": "b", "pool": "high", "length": "1 m"}]
    cases(
        cautions.BRANCH_RUNS_BACK,
        without=line(main=far, branches=[ends[0], ends[1] | {"check_valve": True}]),
        with_it=line(main=far, branches=ends),
    )
    cases(cautions.ELECTRICITY_BY_WATER, without=line(pumps=[]), with_it=line())


# --- intake ---


def at_intake(flow: float = 0.1, level: float | None = 0.0, **more: Any) -> IntakeResult:
    drawn = Intake.model_validate({"blocked": 0.0, "open_share": 0.4, "clogged": 0.5} | more, context={"units": "si"})
    return pumping.intake(drawn, "pool", input_entry("", flow, FLOW), level)


def test_the_screen() -> None:
    """NMFS: 0.2 and 0.4 ft/s; 40 CFR 125.84: 0.5 ft/s through openings; 3/32 in of mesh and
    0.0689 in of profile wire where fry are.
    """
    cases(cautions.SUCTION_ENTRAPMENT, without=running(intake=None).intake, with_it=at_intake())
    edge(cautions.APPROACH_NOT_PASSIVE, lambda v: at_intake(approach=v), **at(0.005, 0.2 * FOOT))
    edge(cautions.APPROACH_FAST, lambda v: at_intake(approach=v), **at(0.005, 0.4 * FOOT))
    edge(cautions.SCREEN_SMALL, lambda area: at_intake(approach=0.1, screen_area=area), inside=1.001, outside=0.999)
    edge(cautions.OPENINGS_FAST, lambda v: at_intake(flow=v * 0.4 * 0.5, screen_area=1.0), **at(0.005, 0.5 * FOOT))
    edge(cautions.OPENINGS_WIDE, lambda gap: at_intake(opening=gap), **at(0.005, 3 / 32 * INCH))
    edge(cautions.WIRE_WIDE, lambda gap: at_intake(opening=gap), **at(0.005, 0.0689 * INCH))
    edge(cautions.SCREEN_OUT, lambda z: at_intake(level=z, screen_top=0.0), inside=0.001, outside=-0.001, step=0.002)
    loss = at_intake(screen_area=1.0).screen_loss
    assert loss is not None
    edge(
        cautions.SCREEN_BARE,
        lambda z: at_intake(level=z + loss.value, screen_top=0.0, screen_area=1.0),
        inside=0.001,
        outside=-0.001,
        step=0.002,
    )


def test_a_clogged_screens_openings_are_judged_as_clogged() -> None:
    """Conservation of mass: three quarters clogged, the water goes through a quarter of
    the openings: 0.074 m/s becomes 0.296.
    """
    found = at_intake(flow=0.074 * 0.4, screen_area=1.0, clogged=0.75)
    assert found.velocity_through_clean is not None and found.velocity_through_openings is not None
    assert found.velocity_through_clean.value == pytest.approx(0.074)
    assert found.velocity_through_openings.value == pytest.approx(0.296)
    cases(
        cautions.OPENINGS_FAST,
        without=at_intake(flow=0.074 * 0.4, screen_area=1.0, clogged=0.0),
        with_it=found,
    )


# --- levels ---


def test_levels_as_pumps_stop_and_run() -> None:
    open_end = {"name": "filter", "to": "filter", "outlet_level": "20 cm"}
    checked = running(branches=[open_end]).levels
    back = running(pumps=[pump(check_valve=False)], branches=[open_end]).levels
    cases(cautions.EMPTIES_AT_STOP, without=checked, with_it=back)
    much = {"pumps": [pump(check_valve=False)], "branches": [open_end | {"outlet_level": "0 cm"}]}
    cases(
        cautions.STOP_OVER_RIM,
        without=running(**much, filter={"level": "90 cm", "area": "0.5 m^2"}).levels,
        with_it=running(**much, filter={"level": "90 cm", "area": "30 m^2"}).levels,
    )
    cases(cautions.FILL_NO_HIGHER, without=running(pumps=[]).levels, with_it=checked)

    def crest(width: float) -> Any:
        links = [{"from": "high", "to": "low", "at": ["6 m", "0 m"], "crest_width": f"{width} m"}]
        return running(links=links).levels

    cases(cautions.RUNS_OVER_RIM, without=crest(0.2), with_it=crest(0.03))


# --- links ---


def test_falls_and_crests() -> None:
    """Butts and Evans 1983: past 1 / (2 · 0.11) = 4.5 m the formula falls; USBR chapter 7: heads
    over 0.2 ft; Francis: 4 to 8 heads.
    """

    def ratio(drop: float) -> Entry:
        return entry(open_water.deficit_ratio, "", a=1.8, b=0.8, drop=drop, temperature=20.0)

    edge(cautions.DROP_HIGH, ratio, inside=4.49, outside=4.51)
    edge(cautions.FALL_DROWNED, ratio, inside=0.001, outside=-0.001, step=0.002)

    def head(value: float, contraction: float = 0.0) -> Entry:
        flow = open_water.crest_flow(value, 1.0, SHARP, contraction)
        return cautions.judged(
            entry(open_water.head_over_crest, "", flow=flow, width=1.0, coefficient=SHARP, contraction=contraction),
            cautions.SHEET_CLINGS,
        )

    edge(cautions.SHEET_CLINGS, head, **at(-0.002, 0.2 * FOOT))
    edge(cautions.CREST_NARROW, lambda value: head(value, 0.2), **at(0.002, 0.25))
    assert not {c.key for c in head(0.4).cautions}  # type: ignore[union-attr]
    cases(cautions.SHEET_CLINGS, without=head(0.1), with_it=running().links)


def test_channels() -> None:
    """Froude number 1 at the critical depth (q²/g)^(1/3); no height of bank left at the greatest depth."""
    critical = (0.02**2 / 9.80665) ** (1 / 3)

    def froude(share: float) -> Entry:
        deep = critical * share
        return cautions.judged(
            entry(
                open_water.channel_froude,
                "",
                flow=0.01,
                channel_depth=deep,
                bed_width=0.5,
                side_batter=0.0,
                gravity=9.80665,
            ),
            cautions.CHANNEL_SHOOTS,
        )

    edge(cautions.CHANNEL_SHOOTS, froude, inside=1.001, outside=0.999)
    plain = running(links=way()).links
    cases(
        cautions.CHANNEL_SHOOTS,
        without=running(links=way(slope=0.0005, bed="cobbles and large boulders")).links,
        with_it=running(links=way(bed="bare liner")).links,
    )
    narrow = {"slope": 0.0005, "bed_width": "15 cm"}
    depth = running(links=way(**narrow)).links.channels.channel_depth[0]

    def bank(height: float) -> Any:
        return running(links=way(bank_height=f"{height} m", **narrow)).links

    edge(cautions.CHANNEL_OVERTOPS, bank, inside=depth.most * 1.005, outside=depth.most * 0.995, rank="check")
    edge(
        cautions.CHANNEL_OVERTOPS,
        lambda height: links._freeboard(
            links.ChannelFlow("c", None, 0.01, 0.1, 0.0),  # type: ignore[arg-type]
            height,
            input_entry("c", 0.05, depth.kind),
        ),
        inside=0.0501,
        outside=0.0499,
    )

    low = bank(depth.most - 0.02).channels.channel_freeboard[0]
    (over,) = [each for each in low.cautions if isinstance(each, Caution) and each.key == "channel_overtops"]
    assert 0 < over.terms[0].value <= -low.least + 1e-9  # how far it may run over its bank

    def steep(slope: float) -> Entry:
        return entry(
            open_water.channel_depth,
            "",
            flow=0.01,
            bed_width=0.5,
            side_batter=0.0,
            channel_slope=slope,
            roughness=0.03,
        )

    edge(cautions.CHANNEL_STEEP, steep, **at(0.005, 0.1))
    cases(cautions.UNIFORM_FLOW, without=running().links, with_it=plain)
    cases(
        cautions.CHANNEL_BACKS_UP,
        without=running(links=way(bed="bare liner")).links,
        with_it=running(links=way(slope=0.0005, bed_width="15 cm", bed="cobbles and large boulders")).links,
    )
    drop = plain.link_drop[0].least

    def end(slope: float) -> Any:
        return running(links=way(slope=slope)).links

    edge(cautions.CHANNEL_DROWNED, end, inside=drop / 6.0 * 0.995, outside=drop / 6.0 * 1.005)


# --- filter, waste and oxygen ---


def test_the_filters_bodies() -> None:
    """Ergun: beds to 2300 of the modified Reynolds number (fluids library); his own were of spheres, sand and coke."""
    cases(cautions.MEDIA_CLOG, without=running().filter_loss, with_it=running(filter=BODIES).filter_loss)

    def opening(speed: float) -> Any:
        drawn = Filter.model_validate({"passage_area": "100 cm^2"}, context={"units": "si"})
        return filter_loss(drawn, speed * 0.01, fluid(20.0), ())

    edge(cautions.PASSAGE_FAST, opening, **at(0.002, 5 * FOOT))

    def chamber(speed: float) -> Any:
        drawn = {"filter": {"settling_area": "1 m^2", "settling_share": 0.5, "settling_share_within": 0}}
        water = Water.model_validate(drawn, context={"units": "si"})
        return filtration(water, speed, 0.009, None, 10.0)

    # A ball of 20 mm and 1050 kg/m³ in water of 20 °C, by Newton's drag with the 0.39 printed for Re 3700; half of the
    # chamber works. Past it nothing is said of particles: there was an error.
    ball = math.sqrt(4 * 9.80665 * 0.02 * (1050 / fluid(20.0).density - 1) / (3 * 0.39))
    edge(cautions.CHAMBER_FAST, chamber, **at(0.0099, 0.5 * ball))
    assert chamber(0.49 * ball).smallest_kept is not None
    assert chamber(10.0).smallest_kept is None
    assert 0 < chamber(1e-15).smallest_kept.value < 1e-8

    def bed(reynolds: float, voids: float = 0.4) -> Entry:
        rate = reynolds * 1e-6 * (1 - voids) / 0.1
        return entry(
            filters.media_loss,
            "",
            rise_rate=rate,
            media_depth=0.6,
            voids=voids,
            media_size=0.1,
            viscosity=1e-6,
            gravity=9.80665,
        )

    edge(cautions.BED_FAST, bed, **at(0.001, 2300.0))
    edge(cautions.BED_OPEN, lambda voids: bed(100.0, voids), inside=0.6, outside=0.605)


def waste(**more: Any) -> Any:
    return test_filtration.worked(load=test_filtration.LOAD | more).filter


def linear(of: Callable[[float], float], wanted: float, a: float, b: float) -> float:
    """Where a straight line takes a value."""
    low, high = of(a), of(b)
    return a + (wanted - low) * (b - a) / (high - low)


def test_waste_and_oxygen() -> None:
    """Recirculating systems for tilapia text: 2 mg/L of oxygen; Hoang et al. 2014
    measured nitrification down to 1 °C.
    """
    cases(cautions.TEST_FOR_LIFE, without=test_filtration.worked(load=None).filter, with_it=waste())
    edge(
        cautions.NITRIFICATION_COLD,
        lambda celsius: test_filtration.worked(temperature=f"{celsius} °C", load={"feed": "2 g/day"}).filter,
        inside=1.0,
        outside=0.985,
    )
    free = waste().free_ammonia

    def limit(value: float) -> Any:
        return waste(free_ammonia_limit=f"{value * 1000} mg/L")

    edge(cautions.FREE_AMMONIA_HIGH, limit, inside=free.most * 1.005, outside=free.most * 0.995, rank="check")
    edge(
        cautions.FREE_AMMONIA_HIGH,
        lambda v: cautions.judged(input_entry("", v, free.kind), cautions.FREE_AMMONIA_HIGH, limit=1e-4),
        inside=0.999e-4,
        outside=1.001e-4,
    )
    carried = waste().ammonia_carried
    edge(
        cautions.NO_FEED,
        lambda rate: waste(feed="0 g/day", waste=f"{rate * 1000 * DAY} g/day"),
        inside=carried.value * 0.995,
        outside=carried.value * 1.005,
    )
    assert waste(feed="0 g/day", waste=f"{carried.value * 1100 * DAY} g/day").feed_carried.value == 0

    def breath(grams: float) -> Any:
        return waste(respiration=f"{grams} g/day")

    low = linear(lambda grams: breath(grams).oxygen_by_night.least, 2e-3, 100, 300)
    edge(cautions.OXYGEN_LOW, lambda grams: breath(grams).oxygen_by_night, **at(0.002, low), rank="check")
    worst = linear(lambda grams: breath(grams).oxygen_by_night.value, 2e-3, 100, 300)
    assert cautions.OXYGEN_LOW.key in {
        c.key for c in breath(worst * 1.002).oxygen_by_night.cautions if getattr(c, "rank", "") == "act"
    }

    def green(grams: float) -> Any:
        return waste(plants=f"{grams} g/day").oxygen_by_day

    full = test_filtration.worked().links.oxygen_saturation
    assert full is not None
    over = linear(lambda grams: green(grams).most - full.value, 0.0, 0, 10)
    edge(cautions.OXYGEN_OVER, green, **at(0.005, over))


def test_oxygen_that_turns_back_before_night_is_over() -> None:
    def slow(exchange: float) -> Any:
        found = test_filtration.outcome(load=test_filtration.LOAD | {"exchange": f"{exchange} m/day"}).water
        assert found is not None and found.year.oxygen_time is not None
        return found.year.oxygen_time

    found = slow(0.5)
    result = test_filtration.outcome()
    falls_low = result.water.run.links.aeration[0]  # type: ignore[union-attr, index]
    area = sum(p.surface_area.value for p in result.pools)
    volume = result.totals.total_net_volume
    assert volume is not None
    # First order: 95 % after 2.996 times volume over what is exchanged (closed form).
    assert found.most == pytest.approx(2.9957 * volume.most / (falls_low + 0.25 / DAY * area), rel=1e-3)
    night = 12 * 3600.0
    rate = float(brentq(lambda each: slow(each).most - night, 0.05, 19.0, xtol=1e-4))
    edge(cautions.OXYGEN_SLOW, slow, inside=rate * 1.005, outside=rate * 0.995, rank="check")


# --- the year ---


def planned(rise: float, fall: float) -> YearResult:
    found = test_year.outcome({"water_rise": f"{rise} m", "water_fall": f"{fall} m"}).water
    assert found is not None
    return found.year


def test_downpours_and_levels_planned_for() -> None:
    cases(
        cautions.STORM_OVER_RIM,
        without=test_year.year(storm={"rain": "10 mm/h"}),
        with_it=test_year.year(storm={"rain": "100 mm/h", "overflow_width": "3 cm", "roof_area": "400 m^2"}),
    )
    edge(
        cautions.OVERFLOW_LOW,
        lambda lip: test_year.year(storm={"overflow_level": f"{lip} m"}),
        inside=-0.1,
        outside=-0.1005,
    )
    cases(
        cautions.STOP_OVERFLOWS,
        without=test_year.year(storm={"overflow_level": "-5 cm"}),
        with_it=test_year.year(storm={"overflow_level": "-10 cm"}),
    )
    first = planned(0.3, 0.3)
    assert first.rise_margin is not None and first.fall_margin is not None
    rise, fall = 0.3 - first.rise_margin.least, 0.3 - first.fall_margin.least
    edge(cautions.RISE_UNPLANNED, lambda x: planned(x, 0.3), inside=rise * 1.005, outside=rise * 0.995, rank="check")
    edge(cautions.FALL_UNPLANNED, lambda x: planned(0.3, x), inside=fall * 1.005, outside=fall * 0.995, rank="check")
    assert cautions.FALL_UNPLANNED.key in {
        c.key
        for c in planned(0.3, fall / 2).fall_margin.cautions
        if c.rank == "act"  # type: ignore[union-attr]
    }


def test_what_is_true_of_every_pond_is_said_with_its_figure() -> None:
    bare, whole = test_year.year(storm=None, season=None, dosing=None, pumps=[], branches=[]), test_year.year()
    for rule in (
        cautions.TAP_WATER,
        cautions.LEAK_TEST,
        cautions.DOSE_BY_LABEL,
        cautions.DISCHARGE_RULED,
        cautions.EMPTYING_SLOWS,
    ):
        assert rule.rank == "reminder"
    cases(cautions.TAP_WATER, without=bare, with_it=whole.fill_time)
    cases(cautions.LEAK_TEST, without=bare, with_it=whole.leak)
    cases(cautions.DOSE_BY_LABEL, without=bare, with_it=whole.dose_pond)
    cases(cautions.DISCHARGE_RULED, without=bare, with_it=whole.empty_time)
    cases(cautions.EMPTYING_SLOWS, without=bare, with_it=whole.empty_time)


def test_a_fall_that_evaporation_may_explain_tells_of_no_leak() -> None:
    """2.71 mm a day at 20 °C, 60 %, 100 km (formula, iapws), 30 % more or less: a fall of 3.52 mm may be all of it."""

    def read(fall: float) -> Any:
        season = {
            "air_temperature": "20 °C",
            "humidity": 0.6,
            "wind": f"{100 * test_year.KM_A_DAY} m/s",
            "fall_off": f"{fall} m",
        }
        return test_year.year(season=season).leak

    edge(cautions.NO_LEAK_TOLD, read, inside=2.71e-3 * 1.3 * 1.01, outside=2.71e-3 * 1.3 * 0.99)


# --- bodies ---


def test_empty_bodies() -> None:
    def hold(mass: float) -> Entry:
        return entry(flotation.ballast_wanted, "", uplift=100.0, held_down=mass, safety=1.5)

    edge(flotation.FLOATS_WHEN_EMPTY, hold, inside=150.1, outside=149.9)
    held = pit(mass=1200)
    cases(cautions.KEEP_FILLED, without=held.flotation, with_it=pit().flotation)
    cases(flotation.GROUNDWATER_NOT_ENTERED, without=held.flotation, with_it=pit(site={"groundwater": None}).flotation)


def figures(result: OptionResult) -> WaterResult:
    assert result.water is not None
    return result.water


def test_no_velocity_is_judged_twice() -> None:
    found = figures(evaluate(put(test_pumping.design(), ("options", 0, "water", "temperature"), "10 °C")).options[0])
    for key, figure in found.entries():
        keys = [getattr(c, "key", c.text) for c in figure.cautions]
        assert len(keys) == len(set(keys)), key
