"""Figures of the links: heads, drops, and the oxygen that each gives."""

from collections.abc import Sequence

from pondkit.core.entry import USER, Range, entry, limit
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH
from pondkit.trades.pools.inputs.links import Link
from pondkit.trades.water.cautions import SHEET_CLINGS, judged
from pondkit.trades.water.channels import Carried, channels
from pondkit.trades.water.course import CourseState, LinkCrest, WaterCourse
from pondkit.trades.water.formulas import weirs
from pondkit.trades.water.formulas.weirs import link_drop, link_flow, step_drop
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.results import LinksResult

NOTHING = 1e-9


def links(drawn: Water, parts: Sequence[Link], course: WaterCourse, state: CourseState, low: float) -> LinksResult:
    """Figures of every link that water runs over, in the order of the water's course.

    Args:
        drawn: The water side as drawn.
        parts: The links as drawn.
        course: Pools and crests.
        state: Water on its course.
        low: Running level of the pool that the pumps draw from [m].
    """
    levels = {**state.levels, course.source: low}
    saturation = entry(weirs.oxygen_saturation, "", source=USER, temperature=drawn.temperature, altitude=drawn.altitude)
    lack = (1 - drawn.oxygen) * saturation.value
    flows, heads, widths, drops, steps, ratios, below = [], [], [], [], [], [], []
    carried: list[Carried] = []
    missing: dict[str, float] = {}  # oxygen missing to saturation, as a share of what is missing at the intake
    uptake = [0.0, 0.0, 0.0]
    pumped = dict(state.through)
    for lip, over in zip(course.lips, state.over, strict=True):
        pumped[lip.below] -= over
    came: dict[str, list[tuple[float, float]]] = {name: [(1.0, pumped[name])] for name in course.order}
    for name in course.order:
        fed = [(c, q) for c, q in came[name] if q > 1e-12]
        if fed:
            missing[name] = weirs.mixed(tuple(c for c, _ in fed), tuple(q for _, q in fed))
        for at, lip in enumerate(course.lips):
            if lip.above != name or state.over[at] <= NOTHING or name not in missing:
                continue
            link, row = parts[lip.index], rows_by_name("trades/pools/crests")[lip.crest]
            coefficient = _coefficient(lip, levels[name] - lip.level)
            flow = entry(link_flow, lip.name, source=row["source"], level=levels[name], crest_level=lip.level, width=lip.width,
                         coefficient=lip.coefficient, contraction=lip.contraction)  # fmt: skip
            head = entry(weirs.head_over_crest, lip.name, flow=flow.value, width=lip.width, coefficient=coefficient,
                         contraction=contraction_of(lip.ends))  # fmt: skip
            head = judged(head, SHEET_CLINGS)
            drop = entry(link_drop, lip.name, upper_level=levels[name], lower_level=levels[lip.below])
            step = entry(step_drop, lip.name, source=USER, link_drop=drop, steps=link.steps)
            flows.append(flow)
            heads.append(head)
            widths.append(entry(weirs.flow_per_width, lip.name, source=USER, flow=flow.value, width=lip.width))
            drops.append(drop)
            steps.append(step)
            if link.kind == "channel":
                carried.append(Carried(lip.name, link, flow.value, drop.value, levels[name] - lip.level))
            left = above = missing[name]
            if link.kind == "fall":
                b = Range(float(row["b_low"]), float(row["b_typical"]), float(row["b_high"]), row["source"])
                quality = rows_by_name("trades/water/qualities")[drawn.quality]
                ratio = entry(weirs.deficit_ratio, lip.name, source=f"a: {quality['source']}", a=float(quality["a"]), b=b, drop=step.value,
                              temperature=drawn.temperature)  # fmt: skip
                now = entry(weirs.oxygen_below, lip.name, source=USER, saturation=saturation.value, oxygen_above=saturation.value - above * lack,
                            deficit_ratio=ratio, steps=link.steps)  # fmt: skip
                ratios.append(ratio)
                below.append(now)
                left = above / ratio.value**link.steps
                for i, r in enumerate((ratio.least, ratio.value, ratio.most)):
                    uptake[i] += state.over[at] * above * (1 - 1 / r**link.steps)
            came[lip.below].append((left, state.over[at]))
    chain = tuple(
        (name, levels[name], saturation.value - missing[name] * lack if name in missing else None)
        for name in course.order
    )
    return LinksResult(
        tuple(flows), tuple(heads), tuple(widths), tuple(drops), tuple(steps), tuple(ratios), tuple(below), saturation, channels(carried), chain,
        (uptake[0], uptake[1], uptake[2]),
    )  # fmt: skip


def _coefficient(lip: LinkCrest, head: float) -> Range:
    """The crest's coefficient; where the sheet may cling, that of every crest."""
    rows = rows_by_name("trades/pools/crests")
    own = rows[lip.crest]
    spread = list(rows.values()) if head < limit("head where a sheet clings", LENGTH)[0] else [own]
    return Range(
        min(float(row["low"]) for row in spread),
        float(own["typical"]),
        max(float(row["high"]) for row in spread),
        "; ".join(dict.fromkeys(row["source"] for row in spread)),
    )


def contraction_of(ends: str) -> Range:
    """What a crest's ends take of its width, over the head."""
    row = rows_by_name("trades/pools/crest_ends")[ends]
    return Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"])
