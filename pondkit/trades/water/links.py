"""Links between pools: flow and head over each crest, drops, and the oxygen that falls give; channels by Manning's
formula for uniform flow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, limit, with_cautions
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH, RATIO
from pondkit.trades.pools.inputs import Link
from pondkit.trades.water.cautions import (
    CHANNEL_BACKS_UP,
    CHANNEL_DROWNED,
    CHANNEL_OVERTOPS,
    CHANNEL_SHOOTS,
    SHEET_CLINGS,
    UNIFORM_FLOW,
    judged,
)
from pondkit.trades.water.formulas import open_water as relations
from pondkit.trades.water.formulas.open_water import (
    channel_depth,
    channel_freeboard,
    channel_froude,
    channel_slope,
    channel_velocity,
    link_drop,
    link_flow,
    step_drop,
)
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.levels import CourseState, LinkCrest, WaterCourse
from pondkit.trades.water.pumping import NO_FLOW
from pondkit.trades.water.results import ChannelResult, LinksResult

Inflow = tuple[float, float]  # (oxygen deficit as a share of that at the intake, flow [m³/s])


@dataclass(frozen=True)
class ChannelFlow:
    """A channel and the flow in it.

    Attributes:
        name: "from – to".
        link: Its inputs.
        flow: Flow [m³/s].
        drop: Difference of the running levels above and below [m].
        head: Head of the upper pool over the crest [m].
    """

    name: str
    link: Link
    flow: float
    drop: float
    head: float


def channels(channel_flows: Sequence[ChannelFlow]) -> ChannelResult:
    """Figures of every channel that has a length and a fall."""
    figures: dict[str, list[Entry]] = {name: [] for name in ChannelResult.__dataclass_fields__}
    for channel in channel_flows:
        link = channel.link
        if link.length is None or (channel.drop <= 0 and link.slope is None):
            continue
        slope = (
            entry(channel_slope, channel.name, source=USER, link_drop=channel.drop, channel_length=link.length)
            if link.slope is None
            else _entered_slope(channel, float(link.slope), float(link.length))
        )
        row = rows_by_name("trades/pools/channels")[link.bed]
        roughness = Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
        shape: dict[str, Any] = {
            "bed_width": link.crest_width if link.bed_width is None else link.bed_width,
            "side_batter": link.side_batter,
        }
        depth = entry(
            channel_depth,
            channel.name,
            source=USER,
            flow=channel.flow,
            channel_slope=slope.bare,
            roughness=roughness,
            **shape,
        )
        velocity = entry(channel_velocity, channel.name, source=USER, flow=channel.flow, channel_depth=depth, **shape)
        froude = entry(
            channel_froude, channel.name, source=USER, flow=channel.flow, channel_depth=depth, gravity=GRAVITY, **shape
        )
        figures["channel_slope"].append(slope)
        figures["channel_depth"].append(with_cautions(depth, *_backs_up(channel, depth, velocity, froude)))
        figures["channel_velocity"].append(velocity)
        figures["channel_froude"].append(judged(froude, CHANNEL_SHOOTS))
        if link.bank_height is not None:
            figures["channel_freeboard"].append(_freeboard(channel, float(link.bank_height), depth))
    return ChannelResult(**{name: tuple(entries) for name, entries in figures.items()})


def _entered_slope(channel: ChannelFlow, slope: float, length: float) -> Entry:
    """Slope of a bed as entered, with a caution if the bed ends under the lower pool's water."""
    figure = input_entry(channel.name, slope, RATIO)
    under = slope * length - channel.drop
    return with_cautions(figure, CHANNEL_DROWNED(under=(under, LENGTH))) if under > 1e-6 else figure


def _backs_up(channel: ChannelFlow, depth: Entry, velocity: Entry, froude: Entry) -> list[Caution]:
    """Cautions where backwater of the channel, rather than its crest, controls the level of the upper pool."""
    notes = [UNIFORM_FLOW()]
    up = depth.most + velocity.least**2 / (2 * GRAVITY) - channel.head
    if froude.least < 1 and up > 0.001:
        notes.append(CHANNEL_BACKS_UP(up=(up, LENGTH)))
    return notes


def _freeboard(channel: ChannelFlow, bank: float, depth: Entry) -> Entry:
    """Freeboard of a channel under a bank of a height over its bed [m]."""
    figure = entry(channel_freeboard, channel.name, source=USER, bank_height=bank, channel_depth=depth)
    ends, over = (figure.least, figure.value, figure.most), (-figure.least, LENGTH)
    return with_cautions(figure, *CHANNEL_OVERTOPS.where(*ends, over=over))


class _CrestFigures(NamedTuple):
    """Figures of the flow over one crest, by key."""

    link_flow: Entry
    head_over_crest: Entry
    flow_per_width: Entry
    link_drop: Entry
    step_drop: Entry


def link_figures(
    water: Water, links: Sequence[Link], course: WaterCourse, state: CourseState, source_level: float
) -> LinksResult:
    """Figures of every link with a flow, in downstream order.

    Args:
        water: Inputs of the water side.
        links: Inputs of the links.
        course: Pools and crests.
        state: Its levels and flows.
        source_level: Running level of the pool that the pumps draw from [m].
    """
    levels = {**state.levels, course.source: source_level}
    saturation = entry(
        relations.oxygen_saturation, "", source=USER, temperature=water.temperature, altitude=water.altitude
    )
    intake_deficit = (1 - water.oxygen) * saturation.value
    crest_figures: list[_CrestFigures] = []
    ratios, below = [], []
    channel_flows: list[ChannelFlow] = []
    deficits: dict[str, float] = {}  # of each pool's oxygen to saturation, as a share of that at the intake
    aeration = [0.0, 0.0, 0.0]
    inflows = _inflows_from_pumps(course, state)
    for name in course.order:
        flowing = [(deficit, flow) for deficit, flow in inflows[name] if flow > 1e-12]
        if flowing:
            deficits[name] = relations.mixed(*zip(*flowing, strict=True))
        for index, crest in enumerate(course.crests):
            over_crest = state.over_crests[index]
            if crest.above != name or over_crest <= NO_FLOW or name not in deficits:
                continue
            link, deficit = links[crest.index], deficits[name]
            figures = _crest_figures(crest, link, levels[name], levels[crest.below])
            crest_figures.append(figures)
            if link.kind == "channel":
                flow, drop = figures.link_flow.value, figures.link_drop.value
                channel_flows.append(ChannelFlow(crest.name, link, flow, drop, levels[name] - crest.level))
            if link.kind == "fall":
                ratio = _deficit_ratio(water, crest, figures.step_drop)
                ratios.append(ratio)
                oxygen = saturation.value - deficit * intake_deficit
                below.append(_oxygen_below(crest, link, saturation.value, oxygen, ratio))
                for i, r in enumerate((ratio.least, ratio.value, ratio.most)):
                    aeration[i] += over_crest * deficit * (1 - 1 / r**link.steps)
                deficit /= ratio.value**link.steps
            inflows[crest.below].append((deficit, over_crest))
    chain = tuple(
        (name, levels[name], saturation.value - deficits[name] * intake_deficit if name in deficits else None)
        for name in course.order
    )
    of_crests = {key: tuple(getattr(figures, key) for figures in crest_figures) for key in _CrestFigures._fields}
    return LinksResult(
        **of_crests,
        deficit_ratio=tuple(ratios),
        oxygen_below=tuple(below),
        oxygen_saturation=saturation,
        channels=channels(channel_flows),
        chain=chain,
        aeration=(aeration[0], aeration[1], aeration[2]),
    )


def _crest_figures(crest: LinkCrest, link: Link, upper: float, lower: float) -> _CrestFigures:
    """Figures of a crest for the levels of its two pools [m]."""
    flow, head = _over_crest(crest, upper)
    drop = entry(link_drop, crest.name, upper_level=upper, lower_level=lower)
    return _CrestFigures(
        link_flow=flow,
        head_over_crest=head,
        flow_per_width=entry(relations.flow_per_width, crest.name, source=USER, flow=flow, width=crest.width),
        link_drop=drop,
        step_drop=entry(step_drop, crest.name, source=USER, link_drop=drop, steps=link.steps),
    )


def _inflows_from_pumps(course: WaterCourse, state: CourseState) -> dict[str, list[Inflow]]:
    """What flows into each pool from pumps and filter, by the pool's name."""
    pumped = dict(state.through)
    for crest, over_crest in zip(course.crests, state.over_crests, strict=True):
        pumped[crest.below] -= over_crest
    return {name: [(1.0, pumped[name])] for name in course.order}


def _oxygen_below(crest: LinkCrest, link: Link, saturation: float, above: float, ratio: Entry) -> Entry:
    """Oxygen below a fall, from the oxygen above it and at saturation [kg/m³]."""
    return entry(
        relations.oxygen_below,
        crest.name,
        source=USER,
        saturation=saturation,
        oxygen_above=above,
        deficit_ratio=ratio,
        steps=link.steps,
    )


def _over_crest(crest: LinkCrest, level: float) -> tuple[Entry, Entry]:
    """(flow over a crest, head over it with its range), for a level of the upper pool [m]."""
    flow = entry(
        link_flow,
        crest.name,
        source=rows_by_name("trades/pools/crests")[crest.kind]["source"],
        level=level,
        crest_level=crest.level,
        width=crest.width,
        coefficient=crest.coefficient,
        contraction=crest.contraction,
    )
    head = entry(
        relations.head_over_crest,
        crest.name,
        flow=flow,
        width=crest.width,
        coefficient=_coefficient(crest, level - crest.level),
        contraction=contraction_of(crest.ends),
    )
    return flow, judged(head, SHEET_CLINGS)


def _deficit_ratio(water: Water, crest: LinkCrest, drop: Entry) -> Entry:
    """Deficit ratio of one step of a fall; ``drop``: height of the step."""
    row = rows_by_name("trades/pools/crests")[crest.kind]
    quality = rows_by_name("trades/water/qualities")[water.quality]
    return entry(
        relations.deficit_ratio,
        crest.name,
        source=f"a: {quality['source']}",
        a=float(quality["a"]),
        b=Range(float(row["b_low"]), float(row["b_typical"]), float(row["b_high"]), row["source"]),
        drop=drop,
        temperature=water.temperature,
    )


def _coefficient(crest: LinkCrest, head: float) -> Range:
    """Discharge coefficient of a crest at a head [m]; where the sheet may cling, its range spans all crests."""
    rows = rows_by_name("trades/pools/crests")
    possible = list(rows.values()) if head < limit("head where a sheet clings", LENGTH)[0] else [rows[crest.kind]]
    return Range(
        min(float(row["low"]) for row in possible),
        float(rows[crest.kind]["typical"]),
        max(float(row["high"]) for row in possible),
        "; ".join(dict.fromkeys(row["source"] for row in possible)),
    )


def contraction_of(ends: str) -> Range:
    """Width of a crest lost at both its ends together, per unit of head."""
    row = rows_by_name("trades/pools/crest_ends")[ends]
    return Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
