"""Figures of the year: design storm, margins of the planned levels, filling, evaporation, leakage, turnover, doses."""

from collections.abc import Mapping, Sequence
from typing import Any

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
from pondkit.trades.water.filtration import aeration_range
from pondkit.trades.water.formulas import filters, open_water
from pondkit.trades.water.formulas.open_water import head_over_crest
from pondkit.trades.water.inputs.water import Dosing, Season, Storm, Water, WaterLoad
from pondkit.trades.water.links import contraction_of
from pondkit.trades.water.results import PoolWater, RunResult, YearResult

LATENT_HEAT_SOURCE = "latent heat by the air's temperature: FAO Irrigation and Drainage Paper 56, Annex 3, eq. 3-1"
DAY = 86400.0  # s


def year(
    water: Water,
    pools: tuple[PoolWater, ...],
    run: RunResult,
    planned: tuple[float, float],
    volumes: Sequence[Entry],
    net_volume: Entry | None,
) -> YearResult:
    """Figures of the year.

    Args:
        water: Inputs of the water side.
        pools: Every pool of the option, at rest.
        run: The water side in operation.
        planned: Rise above and fall below the level at rest that the option allows for [m].
        volumes: Net volume of each pool that has one.
        net_volume: Net volume of all pools; None if one of them has a problem.
    """
    through, aeration, flow = run.through, run.links.aeration, run.pumping.total_flow
    area = sum(pool.area for pool in pools)
    figures: dict[str, Any] = {**year_without_volumes(water, pools, run, planned)}
    if water.season and net_volume and water.season.fill_flow > 0:
        figures["fill_time"] = entry(
            open_water.time_of_volume,
            "",
            source=USER,
            cautions=[TAP_WATER()],
            volume=net_volume,
            flow=water.season.fill_flow,
        )
    if water.load and net_volume and aeration is not None:
        figures |= _oxygen_time(water.load, area, net_volume, aeration)
    if net_volume and flow and flow.value > 0 and flow.least > 0:
        turnover = entry(open_water.time_of_volume, "", volume=net_volume, flow=flow)
        figures |= {
            "turnover": turnover,
            "empty_time": entry(
                open_water.time_of_volume,
                "",
                cautions=[EMPTYING_SLOWS(), DISCHARGE_RULED()],
                volume=net_volume,
                flow=flow,
            ),
            "time_to_replace": entry(
                open_water.time_to_replace, "", source="user input: 95 %", share=0.95, turnover=turnover
            ),
        }
    figures["pool_turnover"] = tuple(
        entry(open_water.time_of_volume, volume.subject, volume=volume, flow=through[volume.subject])
        for volume in volumes
        if volume.subject in through and through[volume.subject].low > 0
    )
    if water.dosing:
        figures |= _doses(water.dosing, net_volume)
    return YearResult(**figures)


@remembered
def year_without_volumes(
    water: Water, pools: tuple[PoolWater, ...], run: RunResult, planned: tuple[float, float]
) -> Mapping[str, Any]:
    """Figures of the year that depend on no volume, by key: design storm, margins, evaporation, make-up water and
    leakage. Arguments as for ``year``.
    """
    by_name, source, through = {pool.name: pool for pool in pools}, run.source, run.through
    stop, drawdown = run.levels.level_after_stop, run.levels.drawdown
    figures: dict[str, Any] = {}
    if water.storm:
        area = sum(pool.area for pool in pools)
        figures |= _storm(water.storm, by_name[source], area, stop.value if stop else None, planned[0])
    if drawdown is not None:
        figures["fall_margin"] = _margin(source, planned[1], drawdown, FALL_UNPLANNED)
    if water.season:
        # Pools in the pumps' circuit; all of them, if the watercourse is unknown.
        circuit = [name for name in by_name if name == source or name not in through or through[name].typical > 0]
        circuit_area = sum(by_name[name].area for name in circuit)
        figures |= _season(water, water.season, by_name, source, circuit_area)
    return figures


def _margin(pool: str, planned: float, change: Entry | Range, rule: CautionRule) -> Entry:
    """Margin of the planned change of level over the change that occurs [m], with the caution if that is more."""
    figure = entry(open_water.margin, pool, source=USER, planned=planned, change=change)
    ends, change_most = (figure.least, figure.value, figure.most), (planned - figure.least, LENGTH)
    return with_cautions(figure, *rule.where(*ends, change=change_most, planned=(planned, LENGTH)))


def _oxygen_time(
    load: WaterLoad, area: float, net_volume: Entry, aeration: tuple[float, float, float]
) -> dict[str, Any]:
    """Time from night to day, by key; nothing where neither falls nor surface may aerate."""
    by_surface = within(load.exchange * area, load.exchange_within)
    if aeration[0] + by_surface.low <= 0:
        return {}
    figure = entry(
        filters.oxygen_time,
        "",
        source=USER,
        volume=net_volume,
        aerated_by_falls=aeration_range(aeration),
        aerated_by_surface=by_surface,
    )
    return {"oxygen_time": judged(figure, OXYGEN_SLOW)}


def _storm(storm: Storm, pool: PoolWater, area: float, stop_level: float | None, planned: float) -> dict[str, Any]:
    """Figures of the design storm, by key.

    Args:
        storm: Its inputs.
        pool: The pool with the overflow.
        area: Water surface of all pools [m²].
        stop_level: Level of the pool after the pumps stop [m]; None if unknown.
        planned: Rise above the level at rest that the option allows for [m].
    """
    crest_level = pool.level if storm.overflow_level is None else float(storm.overflow_level)
    flow = entry(
        open_water.storm_flow,
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
        pool.name,
        flow=flow,
        width=storm.overflow_width,
        coefficient=coefficient,
        contraction=contraction_of(storm.overflow_ends),
    )
    level = entry(open_water.highest_level, pool.name, source=USER, overflow_level=crest_level, head=head)
    ends, over = (level.least, level.value, level.most), (level.most - pool.rim_level, LENGTH)
    level = with_cautions(level, *STORM_OVER_RIM.where(*ends, most=pool.rim_level, over=over))
    if crest_level < pool.level - 1e-9:
        level = with_cautions(level, OVERFLOW_LOW(under=(pool.level - crest_level, LENGTH)))
    elif stop_level is not None and stop_level > crest_level + 1e-9:
        level = with_cautions(level, STOP_OVERFLOWS(over=(stop_level - crest_level, LENGTH)))
    low, typical, high = (end - pool.level for end in (level.least, level.value, level.most))
    rise = Range(low, typical, high, "highest level in the design storm")
    return {
        "storm_flow": flow,
        "overflow_head": head,
        "highest_level": level,
        "rise_margin": _margin(pool.name, planned, rise, RISE_UNPLANNED),
        "outfall_bore": entry(
            open_water.outfall_bore,
            pool.name,
            source=USER,
            cautions=[DISCHARGE_RULED()],
            flow=flow,
            head=storm.outfall_head,
        ),
    }


def _season(
    water: Water, season: Season, pools: Mapping[str, PoolWater], source: str, circuit_area: float
) -> dict[str, Any]:
    """Figures of evaporation and of the leak test, by key.

    Args:
        water: Inputs of the water side.
        season: Those of weather and leak test.
        pools: Every pool by its name.
        source: Name of the pool that the pumps draw from.
        circuit_area: Water surface of all pools in the pumps' circuit [m²].
    """
    area = sum(pool.area for pool in pools.values())
    evaporated = entry(
        open_water.evaporation,
        "",
        source=USER,
        air_temperature=season.air_temperature,
        humidity=season.humidity,
        wind=season.wind,
        site_factor=within(1.0, season.evaporation_within),
    )
    figures: dict[str, Any] = {"evaporation": evaporated}
    if season.sun is not None:
        air = float(season.air_temperature)
        figures["evaporation_sun"] = by_sun = entry(
            open_water.evaporation_sun,
            "",
            source=f"{USER}; {LATENT_HEAT_SOURCE}",
            net_radiation=season.sun,
            water_density=fluid(water.temperature).density,
            latent_heat=open_water.latent_heat(air),
        )
        figures["evaporation_penman"] = evaporated = entry(
            open_water.evaporation_penman,
            "",
            evaporation_sun=by_sun,
            evaporation=evaporated,
            weight_of_sun=open_water.weight_of_sun(air, water.altitude),
        )
    figures["make_up"] = entry(open_water.make_up, "", evaporation=evaporated, water_area=area)
    return figures | _leaks(season, pools, source, circuit_area, evaporated)


def _leaks(
    season: Season, pools: Mapping[str, PoolWater], source: str, circuit_area: float, evaporation: Entry
) -> dict[str, Any]:
    """Figures of the leak test, by key; arguments as for ``_season``, with the evaporation as depth per time."""
    measured = pools.get(season.read_at or source, pools[source])
    readings = (  # name, fall, surface that evaporates, surface of the pool that falls
        ("pumps off", season.fall_off, measured.area, measured.area),
        ("pumps on", season.fall_on, circuit_area, pools[source].area),
    )
    leaks, volumes = [], []
    for name, fall, evaporating, surface in readings:
        if fall is not None:
            leak = entry(
                open_water.leak,
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
            volumes.append(entry(open_water.leak_volume, name, leak=leak, read_area=surface))
    return {"leak": tuple(leaks), "leak_volume": tuple(volumes)}


def _doses(dosing: Dosing, net_volume: Entry | None) -> dict[str, Any]:
    """Doses for the water added and, where its volume is known, for the pond, by key."""
    figures: dict[str, Any] = {
        "dose_added": entry(open_water.dose, "", source=USER, concentration=dosing.concentration, volume=dosing.added)
    }
    if net_volume:
        figures["dose_pond"] = entry(
            open_water.dose,
            "",
            source=USER,
            cautions=[DOSE_BY_LABEL()],
            concentration=dosing.concentration,
            volume=net_volume,
        )
    return figures
