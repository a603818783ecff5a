"""Figures of the year: downpour, filling, evaporation, leaks, turnover of the pools, doses."""

from collections.abc import Mapping, Sequence

from pondkit.core.caution import CautionRule
from pondkit.core.constants import fluid
from pondkit.core.entry import USER, Entry, Range, entry, with_cautions, within
from pondkit.core.remembered import remembered
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH
from pondkit.trades.water.cautions import (
    DISCHARGE_RULED,
    DOSE_BY_LABEL,
    EMPTYING_SLOWS,
    FALL_UNPLANNED,
    LEAK_TEST,
    NO_LEAK_TOLD,
    OVERFLOW_LOW,
    OXYGEN_SLOW,
    RISE_UNPLANNED,
    STOP_OVERFLOWS,
    STORM_OVER_RIM,
    TAP_WATER,
    judged,
)
from pondkit.trades.water.filtration import falls_of
from pondkit.trades.water.formulas import channels, filters
from pondkit.trades.water.formulas.channels import head_over_crest
from pondkit.trades.water.inputs.pumping import Dosing, Season, Storm, WaterLoad
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.links import contraction_of
from pondkit.trades.water.results import PoolWater, RunResult, YearResult

HEAT = "latent heat by the air's temperature: FAO Irrigation and Drainage Paper 56, Annex 3, eq. 3-1"
DAY = 86400.0  # s


def year(
    drawn: Water,
    bodies: tuple[PoolWater, ...],
    run: RunResult,
    planned: tuple[float, float],
    volumes: Sequence[Entry],
    whole: Entry | None,
) -> YearResult:
    """Figures of the year.

    Args:
        drawn: The water side as drawn.
        bodies: Every pool of the option.
        run: The water side as it runs.
        planned: How far the option lets water stand over, and fall under, the level at rest [m].
        volumes: Net volume of each pool that has one.
        whole: Net volume of all; None where a part is in trouble.
    """
    through, falls, flow = run.through, run.links.uptake, run.pumping.total_flow
    area = sum(body.area for body in bodies)
    figures: dict[str, object] = {**weather(drawn, bodies, run, planned)}
    if drawn.season and whole and drawn.season.fill_flow > 0:
        figures["fill_time"] = entry(
            channels.time_of_volume,
            "",
            source=USER,
            cautions=[TAP_WATER()],
            volume=whole,
            flow=drawn.season.fill_flow,
        )
    if drawn.load and whole and falls is not None:
        figures |= _oxygen_time(drawn.load, area, whole, falls)
    flowing = flow if flow and flow.value > 0 and flow.least > 0 else None
    if whole and flowing:
        pond = entry(channels.time_of_volume, "", volume=whole, flow=flowing)
        figures |= {
            "turnover": pond,
            "empty_time": entry(
                channels.time_of_volume,
                "",
                cautions=[EMPTYING_SLOWS(), DISCHARGE_RULED()],
                volume=whole,
                flow=flowing,
            ),
            "time_to_replace": entry(
                channels.time_to_replace, "", source="user input: 95 %", share=0.95, turnover=pond
            ),
        }
    figures["pool_turnover"] = tuple(
        entry(channels.time_of_volume, volume.subject, volume=volume, flow=through[volume.subject])
        for volume in volumes
        if volume.subject in through and through[volume.subject].low > 0
    )
    if drawn.dosing:
        figures |= _doses(drawn.dosing, whole)
    empty = {"leak": (), "leak_volume": ()}
    rest = {name: None for name in YearResult.__dataclass_fields__ if name not in figures and name not in empty}
    return YearResult(**(empty | rest | figures))  # type: ignore[arg-type]


@remembered
def weather(
    drawn: Water, bodies: tuple[PoolWater, ...], run: RunResult, planned: tuple[float, float]
) -> Mapping[str, object]:
    """What no volume moves: downpour, margins, evaporation, make-up water and leaks, by the result's fields.

    Args: as of ``year``.
    """
    by_name, source, through = {body.name: body for body in bodies}, run.source, run.through
    stop, drawdown = run.levels.level_after_stop, run.levels.drawdown
    figures: dict[str, object] = {}
    if drawn.storm:
        area = sum(body.area for body in bodies)
        figures |= _storm(drawn.storm, by_name[source], area, stop.value if stop else None, planned[0])
    if drawdown is not None:
        figures["fall_margin"] = _planned(source, planned[1], drawdown, FALL_UNPLANNED)
    if drawn.season:
        joined = [name for name in by_name if name == source or name not in through or through[name].typical > 0]
        running = sum(by_name[name].area for name in (joined if through else by_name))
        figures |= _season(drawn, drawn.season, by_name, source, running)
    return figures


def _planned(pool: str, planned: float, change: Entry | Range, rule: CautionRule) -> Entry:
    """What the option is planned for over what the water does, with the caution where that is more at its unsafe
    end.
    """
    figure = entry(channels.margin, pool, source=USER, planned=planned, change=change)
    ends, change_most = (figure.least, figure.value, figure.most), (planned - figure.least, LENGTH)
    return with_cautions(figure, *rule.where(*ends, change=change_most, planned=(planned, LENGTH)))


def _oxygen_time(load: WaterLoad, area: float, whole: Entry, falls: tuple[float, float, float]) -> dict[str, object]:
    surface = within(load.exchange * area, load.exchange_within)
    if falls[0] + surface.low <= 0:
        return {}
    figure = entry(filters.oxygen_time, "", source=USER, volume=whole, falls=falls_of(falls), surface=surface)
    return {"oxygen_time": judged(figure, OXYGEN_SLOW)}


def _storm(storm: Storm, body: PoolWater, area: float, stop_level: float | None, planned: float) -> dict[str, object]:
    lip = body.level if storm.overflow_level is None else float(storm.overflow_level)
    flow = entry(
        channels.storm_flow,
        "",
        source=USER,
        rain=storm.rain,
        water_area=area,
        roof_area=storm.roof_area,
        ground_area=storm.ground_area,
        ground_share=storm.ground_share,
    )
    if flow.value <= 0:
        return {"storm_flow": flow}
    row = rows_by_name("trades/pools/crests")[storm.overflow_crest]
    coefficient = Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
    head = entry(
        head_over_crest,
        body.name,
        flow=flow,
        width=storm.overflow_width,
        coefficient=coefficient,
        contraction=contraction_of(storm.overflow_ends),
    )
    level = entry(channels.highest_level, body.name, source=USER, overflow_level=lip, head=head)
    ends, over = (level.least, level.value, level.most), (level.most - body.rim_level, LENGTH)
    level = with_cautions(level, *STORM_OVER_RIM.where(*ends, most=body.rim_level, over=over))
    if lip < body.level - 1e-9:
        level = with_cautions(level, OVERFLOW_LOW(under=(body.level - lip, LENGTH)))
    elif stop_level is not None and stop_level > lip + 1e-9:
        level = with_cautions(level, STOP_OVERFLOWS(over=(stop_level - lip, LENGTH)))
    rise = Range(level.least - body.level, level.value - body.level, level.most - body.level, "the downpour's level")
    return {
        "storm_flow": flow,
        "overflow_head": head,
        "highest_level": level,
        "rise_margin": _planned(body.name, planned, rise, RISE_UNPLANNED),
        "outfall_bore": entry(
            channels.outfall_bore,
            body.name,
            source=USER,
            cautions=[DISCHARGE_RULED()],
            flow=flow,
            head=storm.outfall_head,
        ),
    }


def _season(
    drawn: Water, season: Season, bodies: Mapping[str, PoolWater], source: str, running: float
) -> dict[str, object]:
    """Figures of weather and the leak test; ``running``: surface of all pools that the pumps' water runs
    through [m²].
    """
    area = sum(body.area for body in bodies.values())
    gone = entry(
        channels.evaporation,
        "",
        source=USER,
        air_temperature=season.air_temperature,
        humidity=season.humidity,
        wind=season.wind,
        of_formula=within(1.0, season.evaporation_within),
    )
    figures: dict[str, object] = {"evaporation": gone}
    if season.sun is not None:
        air = float(season.air_temperature)
        figures["evaporation_sun"] = by_sun = entry(
            channels.evaporation_sun,
            "",
            source=f"{USER}; {HEAT}",
            net_radiation=season.sun,
            water_density=fluid(drawn.temperature).density,
            latent_heat=channels.latent_heat(air),
        )
        figures["evaporation_penman"] = gone = entry(
            channels.evaporation_penman,
            "",
            evaporation_sun=by_sun,
            evaporation=gone,
            weight_of_sun=channels.weight_of_sun(air, drawn.altitude),
        )
    figures["make_up"] = entry(channels.make_up, "", evaporation=gone, water_area=area)
    return figures | _leaks(season, bodies, source, running, gone)


def _leaks(
    season: Season, bodies: Mapping[str, PoolWater], source: str, running: float, evaporation: Entry
) -> dict[str, object]:
    """What the leak test tells; ``running`` as in ``_season``."""
    alone = bodies.get(season.read_at or source, bodies[source])
    read = (
        ("pumps off", season.fall_off, alone.area, alone.area),
        ("pumps on", season.fall_on, running, bodies[source].area),
    )
    leaks, lost = [], []
    for name, fall, evaporating, own in read:
        if fall is not None:
            leak = entry(
                channels.leak,
                name,
                source=USER,
                cautions=[LEAK_TEST()],
                measured_fall=fall,
                evaporation=evaporation,
                day=DAY,
                evaporating_area=evaporating,
                read_area=own,
            )
            if leak.least <= 0:
                leak = with_cautions(leak, NO_LEAK_TOLD())
            leaks.append(leak)
            lost.append(entry(channels.leak_volume, name, leak=leak, read_area=own))
    return {"leak": tuple(leaks), "leak_volume": tuple(lost)}


def _doses(dosing: Dosing, whole: Entry | None) -> dict[str, object]:
    figures: dict[str, object] = {
        "dose_added": entry(channels.dose, "", source=USER, concentration=dosing.concentration, volume=dosing.added)
    }
    if whole:
        figures["dose_pond"] = entry(
            channels.dose,
            "",
            source=USER,
            cautions=[DOSE_BY_LABEL()],
            concentration=dosing.concentration,
            volume=whole,
        )
    return figures
