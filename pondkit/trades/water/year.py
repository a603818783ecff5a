"""Figures of the year: downpour, filling, evaporation, leaks, turnover of the pools, doses."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.result import Result
from pondkit.core.sentence import Words, words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH
from pondkit.core.water_properties import fluid
from pondkit.trades.water import daily
from pondkit.trades.water.bodies import Body
from pondkit.trades.water.falls import head_over_crest
from pondkit.trades.water.inputs.season import Dosing, Season, Storm
from pondkit.trades.water.inputs.water import Water

CHLORINE = Words(
    "Tap water is treated with chlorine or chloramine, which harms animals and filter: neutralize it, or let it stand, as the supplier "
    "of the water advises, before animals meet it. Local code asks for a backflow stop on the hose."
)
DISCHARGE = Words(
    "Where pond water may go is ruled: not into a stream, and often not into the storm drain; ask the local authority, also for chlorinated "
    "and treated water."
)
STILL = Words("At the flow of the running pumps; it takes longer as the level falls, and pumps must not run dry.")
LEAK = Words(
    "To find a leak: mark the water, pumps off, and read again after 24 h; then with the pumps on; evaporation taken off, a fall with "
    "the pumps off is the basin's, what comes on top with the pumps on is the falls', pipes' or filter's."
)
LOW_END = Words(
    "By the range of the net volume: take the low figure for what harms in excess, and the high one for what must be enough, such as "
    "what binds chlorine. Follow the label; have a vet of the species agree."
)
MIXED = Words("For fully mixed water; corners that stand still take longer.")
HEAT = "latent heat by the air's temperature: FAO Irrigation and Drainage Paper 56, Annex 3, eq. 3-1"
DAY = 86400.0  # s


@dataclass(frozen=True, eq=False)
class YearResult(Result):
    """Figures of the year. Subjects are the pool, what a test was read with, or the option."""

    storm_flow: Entry | None
    overflow_head: Entry | None
    highest_level: Entry | None
    rise_margin: Entry | None
    fall_margin: Entry | None
    outfall_bore: Entry | None
    fill_time: Entry | None
    empty_time: Entry | None
    evaporation: Entry | None
    evaporation_sun: Entry | None
    evaporation_penman: Entry | None
    make_up: Entry | None
    leak: tuple[Entry, ...]
    leak_volume: tuple[Entry, ...]
    pool_turnover: tuple[Entry, ...]
    turnover: Entry | None
    time_to_replace: Entry | None
    dose_pond: Entry | None
    dose_added: Entry | None


def year(
    drawn: Water, bodies: Mapping[str, Body], source: str, flow: float | None, through: Mapping[str, float],
    stop_level: float | None, drawdown: float | None, planned: tuple[float, float], volumes: Sequence[Entry], whole: Entry | None,
) -> YearResult:  # fmt: skip
    """Figures of the year.

    Args:
        drawn: The water side as drawn.
        bodies: Pools by name.
        source: Pool that the pumps draw from; the overflow is there.
        flow: What the pumps lift [m³/s]; None where it is not known.
        through: Flow through each pool [m³/s].
        stop_level: Level of that pool after a stop, topped up before [m]; None where it is not known.
        drawdown: How far that pool falls as they start [m]; None where it is not known.
        planned: How far the option lets water stand over, and fall under, the level at rest [m].
        volumes: Net volume of each pool that has one.
        whole: Net volume of all; None where a part is in trouble.
    """
    area = sum(body.area for body in bodies.values())
    found: dict[str, object] = {}
    if drawn.storm:
        found |= _storm(drawn.storm, bodies[source], area, stop_level, planned[0])
    if drawdown is not None:
        found["fall_margin"] = _planned(source, planned[1], drawdown, "falls", "lowest water under rest")
    if drawn.season:
        found |= _season(drawn, drawn.season, area, whole)
    flowing = flow if flow and flow > 0 else None
    if whole and flowing:
        pond = entry(daily.time_of_volume, "", volume=whole, flow=flowing)
        found |= {
            "turnover": pond,
            "empty_time": entry(daily.time_of_volume, "", cautions=[STILL, DISCHARGE], volume=whole, flow=flowing),
            "time_to_replace": entry(
                daily.time_to_replace, "", source="user input: 95 %", cautions=[MIXED], share=0.95, turnover=pond
            ),
        }
    found["pool_turnover"] = tuple(
        entry(daily.time_of_volume, volume.subject, volume=volume, flow=through[volume.subject])
        for volume in volumes
        if through.get(volume.subject, 0.0) > 0
    )
    if drawn.dosing:
        found |= _doses(drawn.dosing, whole)
    empty = {"leak": (), "leak_volume": ()}
    rest = {name: None for name in YearResult.__dataclass_fields__ if name not in found and name not in empty}
    return YearResult(**(empty | rest | found))  # type: ignore[arg-type]


def _planned(pool: str, planned: float, change: float, does: str, field: str) -> Entry:
    figure = entry(daily.margin, pool, source=USER, planned=planned, change=change)
    if figure.value >= 0:
        return figure
    return with_cautions(
        figure,
        words(
            f"The water {does} by {{change}}, and mouths, dens and the animals' brief are worked out for {{planned}}: enter it as the option's {field}.",
            change=(change, LENGTH),
            planned=(planned, LENGTH),
        ),
    )


def _storm(storm: Storm, body: Body, area: float, stop_level: float | None, planned: float) -> dict[str, object]:
    lip = body.level if storm.overflow_level is None else float(storm.overflow_level)
    flow = entry(
        daily.storm_flow, "", source=USER, rain=storm.rain, water_area=area, roof_area=storm.roof_area, ground_area=storm.ground_area,
        ground_share=storm.ground_share,
    )  # fmt: skip
    if flow.value <= 0:
        return {"storm_flow": flow}
    row = rows_by_name("trades/pools/crests")[storm.overflow_crest]
    coefficient = Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
    head = entry(head_over_crest, body.name, flow=flow.value, width=storm.overflow_width, coefficient=coefficient)
    level = entry(daily.highest_level, body.name, source=USER, overflow_level=lip, head=head)
    if level.most > body.rim_level:
        level = with_cautions(
            level,
            words(
                "It may run over the rim by {over}: lower or widen the overflow, or raise the freeboard.",
                over=(level.most - body.rim_level, LENGTH),
            ),
        )
    if lip < body.level - 1e-9:
        level = with_cautions(
            level,
            words(
                "The overflow lies {under} under the level at rest: the pool never fills to it.",
                under=(body.level - lip, LENGTH),
            ),
        )
    elif stop_level is not None and stop_level > lip + 1e-9:
        level = with_cautions(
            level,
            words(
                "Each stop sends {over} of water depth over the overflow, if the pool was topped up while running.",
                over=(stop_level - lip, LENGTH),
            ),
        )
    return {
        "storm_flow": flow,
        "overflow_head": head,
        "highest_level": level,
        "rise_margin": _planned(body.name, planned, level.most - body.level, "may rise", "highest water over rest"),
        "outfall_bore": entry(
            daily.outfall_bore, body.name, source=USER, cautions=[DISCHARGE], flow=flow, head=storm.outfall_head
        ),
    }


def _season(drawn: Water, season: Season, area: float, whole: Entry | None) -> dict[str, object]:
    gone = entry(
        daily.evaporation,
        "",
        source=USER,
        air_temperature=season.air_temperature,
        humidity=season.humidity,
        wind=season.wind,
    )
    found: dict[str, object] = {"evaporation": gone}
    if season.sun is not None:
        air = float(season.air_temperature)
        found["evaporation_sun"] = by_sun = entry(
            daily.evaporation_sun, "", source=f"{USER}; {HEAT}", net_radiation=season.sun, water_density=fluid(air).density,
            latent_heat=daily.latent_heat(air),
        )  # fmt: skip
        found["evaporation_penman"] = gone = entry(
            daily.evaporation_penman, "", evaporation_sun=by_sun, evaporation=gone,
            weight_of_sun=daily.weight_of_sun(air, drawn.altitude),
        )  # fmt: skip
    found["make_up"] = entry(daily.make_up, "", evaporation=gone, water_area=area)
    if whole and season.fill_flow > 0:
        found["fill_time"] = entry(
            daily.time_of_volume, "", source=USER, cautions=[CHLORINE], volume=whole, flow=season.fill_flow
        )
    read = [
        (name, fall)
        for name, fall in (("pumps off", season.fall_off), ("pumps on", season.fall_on))
        if fall is not None
    ]
    leaks = tuple(
        entry(daily.leak, name, source=USER, cautions=[LEAK], measured_fall=fall, evaporation=gone, day=DAY)
        for name, fall in read
    )
    found["leak"] = leaks
    found["leak_volume"] = tuple(entry(daily.leak_volume, leak.subject, leak=leak, water_area=area) for leak in leaks)
    return found


def _doses(dosing: Dosing, whole: Entry | None) -> dict[str, object]:
    found: dict[str, object] = {
        "dose_added": entry(daily.dose, "", source=USER, concentration=dosing.concentration, volume=dosing.added)
    }
    if whole:
        found["dose_pond"] = entry(
            daily.dose, "", source=USER, cautions=[LOW_END], concentration=dosing.concentration, volume=whole
        )
    return found
