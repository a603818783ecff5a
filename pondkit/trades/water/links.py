"""Links between pools: heads, drops and the oxygen that each gives; channels by Manning's formula for uniform flow."""

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
from pondkit.trades.water.formulas import channels as relations
from pondkit.trades.water.formulas.channels import (
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
from pondkit.trades.water.results import ChannelResult, LinksResult


@dataclass(frozen=True)
class Carried:
    """Flow conditions of a channel.

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


def channels(carried: Sequence[Carried]) -> ChannelResult:
    """Figures of every channel that has a length and a fall."""
    figures: dict[str, list[Entry]] = {name: [] for name in ChannelResult.__dataclass_fields__}
    for course in carried:
        link = course.link
        if link.length is None or (course.drop <= 0 and link.slope is None):
            continue
        slope = (
            entry(channel_slope, course.name, source=USER, link_drop=course.drop, channel_length=link.length)
            if link.slope is None
            else _given(course, float(link.slope), float(link.length))
        )
        row = rows_by_name("trades/pools/channels")[link.bed]
        rough = Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
        shape: dict[str, Any] = {
            "bed_width": link.crest_width if link.bed_width is None else link.bed_width,
            "side_batter": link.side_batter,
        }
        depth = entry(
            channel_depth,
            course.name,
            source=USER,
            flow=course.flow,
            channel_slope=slope.bare,
            roughness=rough,
            **shape,
        )
        speed = entry(channel_velocity, course.name, source=USER, flow=course.flow, channel_depth=depth, **shape)
        waves = entry(
            channel_froude, course.name, source=USER, flow=course.flow, channel_depth=depth, gravity=GRAVITY, **shape
        )
        figures["channel_slope"].append(slope)
        figures["channel_depth"].append(with_cautions(depth, *_backs_up(course, depth, speed, waves)))
        figures["channel_velocity"].append(speed)
        figures["channel_froude"].append(judged(waves, CHANNEL_SHOOTS))
        if link.bank_height is not None:
            figures["channel_freeboard"].append(_freeboard(course, float(link.bank_height), depth))
    return ChannelResult(**{name: tuple(entries) for name, entries in figures.items()})


def _given(course: Carried, slope: float, length: float) -> Entry:
    figure = input_entry(course.name, slope, RATIO)
    under = slope * length - course.drop
    if under > 1e-6:
        return with_cautions(
            figure,
            CHANNEL_DROWNED(under=(under, LENGTH)),
        )
    return figure


def _backs_up(course: Carried, depth: Entry, speed: Entry, waves: Entry) -> list[Caution]:
    """Cautions where backwater of the channel, rather than its crest, controls the level of the upper pool."""
    notes = [UNIFORM_FLOW()]
    up = depth.most + speed.least**2 / (2 * GRAVITY) - course.head
    if waves.least < 1 and up > 0.001:
        notes.append(CHANNEL_BACKS_UP(up=(up, LENGTH)))
    return notes


def _freeboard(course: Carried, bank: float, depth: Entry) -> Entry:
    figure = entry(channel_freeboard, course.name, source=USER, bank_height=bank, channel_depth=depth)
    ends, over = (figure.least, figure.value, figure.most), (-figure.least, LENGTH)
    return with_cautions(figure, *CHANNEL_OVERTOPS.where(*ends, over=over))


NOTHING = 1e-9


class _Crossing(NamedTuple):
    """Figures of the flow over one crest, by key."""

    link_flow: Entry
    head_over_crest: Entry
    flow_per_width: Entry
    link_drop: Entry
    step_drop: Entry


def links(water: Water, parts: Sequence[Link], course: WaterCourse, state: CourseState, low: float) -> LinksResult:
    """Figures of every link with a flow, in downstream order.

    Args:
        water: Inputs of the water side.
        parts: Inputs of the links.
        course: Pools and crests.
        state: Its levels and flows.
        low: Running level of the pool that the pumps draw from [m].
    """
    levels = {**state.levels, course.source: low}
    saturation = entry(
        relations.oxygen_saturation, "", source=USER, temperature=water.temperature, altitude=water.altitude
    )
    lack = (1 - water.oxygen) * saturation.value
    crossings: list[_Crossing] = []
    ratios, below = [], []
    carried: list[Carried] = []
    missing: dict[str, float] = {}  # oxygen missing to saturation, as a share of what is missing at the intake
    uptake = [0.0, 0.0, 0.0]
    came = _fed_by_pumps(course, state)
    for name in course.order:
        fed = [(c, q) for c, q in came[name] if q > 1e-12]
        if fed:
            missing[name] = relations.mixed(tuple(c for c, _ in fed), tuple(q for _, q in fed))
        for index, lip in enumerate(course.lips):
            if lip.above != name or state.over[index] <= NOTHING or name not in missing:
                continue
            link = parts[lip.index]
            crossing = _crossing(lip, link, levels[name], levels[lip.below])
            crossings.append(crossing)
            if link.kind == "channel":
                flow, drop = crossing.link_flow.value, crossing.link_drop.value
                carried.append(Carried(lip.name, link, flow, drop, levels[name] - lip.level))
            left = missing[name]
            if link.kind == "fall":
                ratio = _deficit_ratio(water, lip, crossing.step_drop)
                ratios.append(ratio)
                oxygen = saturation.value - missing[name] * lack
                below.append(_oxygen_below(lip, link, saturation.value, oxygen, ratio))
                left = missing[name] / ratio.value**link.steps
                for i, r in enumerate((ratio.least, ratio.value, ratio.most)):
                    uptake[i] += state.over[index] * missing[name] * (1 - 1 / r**link.steps)
            came[lip.below].append((left, state.over[index]))
    chain = tuple(
        (name, levels[name], saturation.value - missing[name] * lack if name in missing else None)
        for name in course.order
    )
    of_crests = {key: tuple(getattr(crossing, key) for crossing in crossings) for key in _Crossing._fields}
    return LinksResult(
        **of_crests,
        deficit_ratio=tuple(ratios),
        oxygen_below=tuple(below),
        oxygen_saturation=saturation,
        channels=channels(carried),
        chain=chain,
        uptake=(uptake[0], uptake[1], uptake[2]),
    )


def _crossing(lip: LinkCrest, link: Link, upper: float, lower: float) -> _Crossing:
    """Figures of a crest for the levels of its two pools [m]."""
    flow, head = _over_crest(lip, upper)
    drop = entry(link_drop, lip.name, upper_level=upper, lower_level=lower)
    return _Crossing(
        flow,
        head,
        entry(relations.flow_per_width, lip.name, source=USER, flow=flow, width=lip.width),
        drop,
        entry(step_drop, lip.name, source=USER, link_drop=drop, steps=link.steps),
    )


def _fed_by_pumps(course: WaterCourse, state: CourseState) -> dict[str, list[tuple[float, float]]]:
    """Flows from pumps and filter into each pool: (oxygen deficit as a share of that at the intake, flow [m³/s])."""
    pumped = dict(state.through)
    for crest, over in zip(course.lips, state.over, strict=True):
        pumped[crest.below] -= over
    return {name: [(1.0, pumped[name])] for name in course.order}


def _oxygen_below(lip: LinkCrest, link: Link, saturation: float, above: float, ratio: Entry) -> Entry:
    return entry(
        relations.oxygen_below,
        lip.name,
        source=USER,
        saturation=saturation,
        oxygen_above=above,
        deficit_ratio=ratio,
        steps=link.steps,
    )


def _over_crest(lip: LinkCrest, level: float) -> tuple[Entry, Entry]:
    """(flow over a crest, head over it with its range), for a level of the upper pool [m]."""
    flow = entry(
        link_flow,
        lip.name,
        source=rows_by_name("trades/pools/crests")[lip.crest]["source"],
        level=level,
        crest_level=lip.level,
        width=lip.width,
        coefficient=lip.coefficient,
        contraction=lip.contraction,
    )
    head = entry(
        relations.head_over_crest,
        lip.name,
        flow=flow,
        width=lip.width,
        coefficient=_coefficient(lip, level - lip.level),
        contraction=contraction_of(lip.ends),
    )
    return flow, judged(head, SHEET_CLINGS)


def _deficit_ratio(water: Water, lip: LinkCrest, drop: Entry) -> Entry:
    """Deficit ratio of one step of a fall; ``drop``: height of the step."""
    row, quality = rows_by_name("trades/pools/crests")[lip.crest], rows_by_name("trades/water/qualities")[water.quality]
    return entry(
        relations.deficit_ratio,
        lip.name,
        source=f"a: {quality['source']}",
        a=float(quality["a"]),
        b=Range(float(row["b_low"]), float(row["b_typical"]), float(row["b_high"]), row["source"]),
        drop=drop,
        temperature=water.temperature,
    )


def _coefficient(lip: LinkCrest, head: float) -> Range:
    """Discharge coefficient of the crest; where the sheet may cling, its range spans all crest shapes."""
    rows = rows_by_name("trades/pools/crests")
    crest_row = rows[lip.crest]
    spread = list(rows.values()) if head < limit("head where a sheet clings", LENGTH)[0] else [crest_row]
    return Range(
        min(float(row["low"]) for row in spread),
        float(crest_row["typical"]),
        max(float(row["high"]) for row in spread),
        "; ".join(dict.fromkeys(row["source"] for row in spread)),
    )


def contraction_of(ends: str) -> Range:
    """Reduction of a crest's width by its ends, per unit of head."""
    row = rows_by_name("trades/pools/crest_ends")[ends]
    return Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
