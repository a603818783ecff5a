"""Figures of the year: design storm, filling, evaporation, leakage, turnover of the pools, doses."""

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
    water: Water,
    bodies: tuple[PoolWater, ...],
    run: RunResult,
    planned: tuple[float, float],
    volumes: Sequence[Entry],
    net_volume: Entry | None,
) -> YearResult:
    """Figures of the year.

    Args:
        water: Inputs of the water side.
        bodies: Every pool of the option.
        run: The water side in operation.
        planned: Rise above and fall below the level at rest that the option allows for [m].
        volumes: Net volume of each pool that has one.
        net_volume: Net volume of all pools; None if one of them has a problem.
    """
    through, falls, flow = run.through, run.links.uptake, run.pumping.total_flow
    area = sum(body.area for body in bodies)
    figures: dict[str, object] = {**weather(water, bodies, run, planned)}
    if water.season and net_volume and water.season.fill_flow > 0:
        figures["fill_time"] = entry(
            channels.time_of_volume,
            "",
            source=USER,
            cautions=[TAP_WATER()],
            volume=net_volume,
            flow=water.season.fill_flow,
        )
    if water.load and net_volume and falls is not None:
        figures |= _oxygen_time(water.load, area, net_volume, falls)
    flowing = flow if flow and flow.value > 0 and flow.least > 0 else None
    if net_volume and flowing:
        pond = entry(channels.time_of_volume, "", volume=net_volume, flow=flowing)
        figures |= {
            "turnover": pond,
            "empty_time": entry(
                channels.time_of_volume,
                "",
                cautions=[EMPTYING_SLOWS(), DISCHARGE_RULED()],
                volume=net_volume,
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
    if water.dosing:
        figures |= _doses(water.dosing, net_volume)
    empty = {"leak": (), "leak_volume": ()}
    rest = {name: None for name in YearResult.__dataclass_fields__ if name not in figures and name not in empty}
    return YearResult(**(empty | rest | figures))  # type: ignore[arg-type]


@remembered
def weather(
    water: Water, bodies: tuple[PoolWater, ...], run: RunResult, planned: tuple[float, float]
) -> Mapping[str, object]:
    """Figures of the year that depend on no volume: design storm, margins, evaporation, make-up water and leakage, by
    the result's fields.

    Args: see ``year``.
    """
    by_name, source, through = {body.name: body for body in bodies}, run.source, run.through
    stop, drawdown = run.levels.level_after_stop, run.levels.drawdown
    figures: dict[str, object] = {}
    if water.storm:
        area = sum(body.area for body in bodies)
        figures |= _storm(water.storm, by_name[source], area, stop.value if stop else None, planned[0])
    if drawdown is not None:
        figures["fall_margin"] = _planned(source, planned[1], drawdown, FALL_UNPLANNED)
    if water.season:
        circuit = [name for name in by_name if name == source or name not in through or through[name].typical > 0]
        running = sum(by_name[name].area for name in (circuit if through else by_name))
        figures |= _season(water, water.season, by_name, source, running)
    return figures


def _planned(pool: str, planned: float, change: Entry | Range, rule: CautionRule) -> Entry:
    """Margin of the option's planned change of level over the change that occurs, with a caution where it is exceeded
    at the unsafe end.
    """
    figure = entry(channels.margin, pool, source=USER, planned=planned, change=change)
    ends, change_most = (figure.least, figure.value, figure.most), (planned - figure.least, LENGTH)
    return with_cautions(figure, *rule.where(*ends, change=change_most, planned=(planned, LENGTH)))


def _oxygen_time(
    load: WaterLoad, area: float, net_volume: Entry, falls: tuple[float, float, float]
) -> dict[str, object]:
    surface = within(load.exchange * area, load.exchange_within)
    if falls[0] + surface.low <= 0:
        return {}
    figure = entry(filters.oxygen_time, "", source=USER, volume=net_volume, falls=falls_of(falls), surface=surface)
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
    water: Water, season: Season, bodies: Mapping[str, PoolWater], source: str, running: float
) -> dict[str, object]:
    """Figures of weather and of the leak test; ``running``: surface of all pools in the pumps' circuit [m²]."""
    area = sum(body.area for body in bodies.values())
    evaporated = entry(
        channels.evaporation,
        "",
        source=USER,
        air_temperature=season.air_temperature,
        humidity=season.humidity,
        wind=season.wind,
        of_formula=within(1.0, season.evaporation_within),
    )
    figures: dict[str, object] = {"evaporation": evaporated}
    if season.sun is not None:
        air = float(season.air_temperature)
        figures["evaporation_sun"] = by_sun = entry(
            channels.evaporation_sun,
            "",
            source=f"{USER}; {HEAT}",
            net_radiation=season.sun,
            water_density=fluid(water.temperature).density,
            latent_heat=channels.latent_heat(air),
        )
        figures["evaporation_penman"] = evaporated = entry(
            channels.evaporation_penman,
            "",
            evaporation_sun=by_sun,
            evaporation=evaporated,
            weight_of_sun=channels.weight_of_sun(air, water.altitude),
        )
    figures["make_up"] = entry(channels.make_up, "", evaporation=evaporated, water_area=area)
    return figures | _leaks(season, bodies, source, running, evaporated)


def _leaks(
    season: Season, bodies: Mapping[str, PoolWater], source: str, running: float, evaporation: Entry
) -> dict[str, object]:
    """Figures of the leak test; ``running``: see ``_season``."""
    alone = bodies.get(season.read_at or source, bodies[source])
    read = (
        ("pumps off", season.fall_off, alone.area, alone.area),
        ("pumps on", season.fall_on, running, bodies[source].area),
    )
    leaks, volumes = [], []
    for name, fall, evaporating, surface in read:
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
                read_area=surface,
            )
            if leak.least <= 0:
                leak = with_cautions(leak, NO_LEAK_TOLD())
            leaks.append(leak)
            volumes.append(entry(channels.leak_volume, name, leak=leak, read_area=surface))
    return {"leak": tuple(leaks), "leak_volume": tuple(volumes)}


def _doses(dosing: Dosing, net_volume: Entry | None) -> dict[str, object]:
    figures: dict[str, object] = {
        "dose_added": entry(channels.dose, "", source=USER, concentration=dosing.concentration, volume=dosing.added)
    }
    if net_volume:
        figures["dose_pond"] = entry(
            channels.dose,
            "",
            source=USER,
            cautions=[DOSE_BY_LABEL()],
            concentration=dosing.concentration,
            volume=net_volume,
        )
    return figures
