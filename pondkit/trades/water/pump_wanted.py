"""What pump is needed: the flow that turns the water over and makes the sheets over the falls, and the head at it.

All of the flow is taken to go through the lines to where they end highest: the pump's own, the main, and that branch.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from pondkit.core.caution import CHECK, Caution, CautionRule
from pondkit.core.constants import GRAVITY, fluid
from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.remembered import remembered
from pondkit.core.tables import rows_by_name
from pondkit.core.units import RATIO, Flow, Length, Ratio, Time, Viscosity, Volume
from pondkit.trades.pools.inputs import Link
from pondkit.trades.water.formulas.channels import crest_flow
from pondkit.trades.water.formulas.pumping import fitting_head, friction_factor, friction_head, line_velocity
from pondkit.trades.water.inputs.pumping import Branch, Pump, PumpLine, assumed_curve
from pondkit.trades.water.inputs.water import Intake, Water
from pondkit.trades.water.levels import crest_of
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, pipe_line, pipe_of
from pondkit.trades.water.results import PoolWater, PumpWantedResult

LIFT_ALONE = CautionRule(
    "lift_alone",
    CHECK,
    "head_wanted",
    "No line is drawn to where the water is lifted: the lift alone is counted, without what pipe and fittings take. "
    "Add a branch with its pipe and length.",
)


CURVE_ASSUMED = CautionRule(
    "curve_assumed",
    CHECK,
    "total_flow",
    "The curve of {pumps} is assumed from one point of it, with {more} times its head at no flow: read a second point "
    "off the maker's sheet.",
)
CIRCLES = CautionRule(
    "circles",
    CHECK,
    "total_flow",
    "All of it ends in '{pool}', the pool that it is drawn from: it circles there, and no other pool gets any. Lead a "
    "branch to the highest pool.",
)


def flow_notes(drawn: Water, source: str, ends: Iterable[str]) -> Iterator[Caution]:
    """What to heed with the pumped flow: curves that are assumed, water that only circles.

    Args:
        drawn: The water side, with the pumps that have a curve.
        source: Pool that they draw from.
        ends: Where each open branch ends: a pool by its name, or "" for the filter.
    """
    assumed = [pump for pump in drawn.pumps if pump.running and assumed_curve(pump)]
    if assumed:
        names = ", ".join(f"'{pump.name}'" for pump in assumed)
        yield CURVE_ASSUMED(pumps=names, more=(float(assumed[0].shutoff), RATIO))
    if set(ends) == {source}:
        yield CIRCLES(pool=source)


def turnover_flow(net_volume: Volume, turnover: Time) -> Flow:
    """Flow that moves all the water once in the time wanted.

    Source: volume over time
    """
    return net_volume / turnover


def sheet_flow(head: Length, width: Length, coefficient: Ratio, contraction: Ratio) -> Flow:
    """Flow that stands so high over a crest, upstream of where it draws down.

    Working: coefficient × √g × working width × head^1.5; the working width is the crest's, less what its ends take
    Source: weir formula; coefficients of crests and of their ends as at the head over the crest
    """
    return crest_flow(head, width, coefficient, contraction)


def flow_wanted(flows: tuple[Flow, ...]) -> Flow:
    """Flow that the pumps are to give: the greatest that anything asks for.

    Source: the turnover and the sheets wanted: user input
    """
    return max(flows)


def falls_from(flows: tuple[Flow, ...]) -> Flow:
    """Flow through a pool that feeds all its falls at once.

    Source: conservation of mass
    """
    return sum(flows)


def wanted_line_head(
    flow: Flow,
    bore: Length,
    length: Length,
    sum_of_k: Ratio,
    roughness: Length,
    viscosity: Viscosity,
    over_smooth: Ratio,
) -> Length:
    """Head that a line takes at the flow wanted.

    Working: (friction factor × length / bore + sum of K) × velocity² / 2g, with the friction factor at that velocity
    Source: Darcy-Weisbach with Colebrook, and K times velocity head
    """
    velocity = line_velocity(flow, bore)
    factor = friction_factor(velocity, bore, roughness, viscosity, over_smooth)
    return friction_head(factor, length, bore, velocity, GRAVITY) + fitting_head(sum_of_k, velocity, GRAVITY)


def wanted_lift(highest: Length, drawn_from: Length) -> Length:
    """Height that the water is lifted, pumps off.

    Source: geometry
    """
    return highest - drawn_from


def head_wanted(lift: Length, line_heads: tuple[Length, ...]) -> Length:
    """Total dynamic head at the flow wanted: the lift, and what the lines take.

    Source: conservation of energy
    """
    return lift + sum(line_heads)


@remembered
def pump_wanted(
    drawn: Water, parts: tuple[Link, ...], bodies: tuple[PoolWater, ...], whole: Entry | None
) -> PumpWantedResult:
    """Flow and head that a pump is to give; none of it where neither a turnover nor a sheet is wanted.

    Args:
        drawn: The water side as drawn.
        parts: The links as drawn.
        bodies: Every pool of the option.
        whole: Net volume of all; None where a part is in trouble.
    """
    levels = {body.name: body.level for body in bodies}
    if not levels:
        return PumpWantedResult()
    turning = None
    if drawn.turnover is not None and whole:
        turning = entry(turnover_flow, "", source=USER, net_volume=whole.bare, turnover=drawn.turnover)
    sheets = {} if drawn.sheet is None else dict(_sheets(parts, levels, float(drawn.sheet)))
    pools = list(dict.fromkeys(parts[index].from_ for index in sheets))
    falls = [
        entry(falls_from, name, flows=[flow for at, flow in sheets.items() if parts[at].from_ == name])
        for name in pools
    ]
    asked = [*([turning] if turning else []), *falls]
    if not asked:
        return PumpWantedResult()
    flow = entry(flow_wanted, "", flows=asked)
    basin = drawn.intake or Intake()
    source = basin.pool if basin.pool in levels else min(levels, key=lambda name: levels[name])
    branch, highest = _highest(drawn, levels)
    lift = entry(wanted_lift, "", highest=highest, drawn_from=levels[source])
    heads = [_line_head(line, drawn, flow) for line in _lines(drawn, branch)]
    notes = [] if branch else [LIFT_ALONE()]
    return PumpWantedResult(
        turnover_flow=turning,
        sheet_flow=tuple(sheets.values()),
        flow_wanted=flow,
        wanted_lift=lift,
        wanted_line_head=tuple(heads),
        head_wanted=entry(head_wanted, "", cautions=notes, lift=lift, line_heads=heads),
    )


def _sheets(parts: Sequence[Link], levels: Mapping[str, float], head: float) -> Iterator[tuple[int, Entry]]:
    """By the link's index: the flow that makes the sheet wanted over its crest, at all ends of its coefficients."""
    for index, link in enumerate(parts):
        if link.from_ not in levels or link.to not in levels or link.kind != "fall":
            continue
        low, typical, high = (crest_of(index, link, levels[link.from_], end) for end in (LOW, TYPICAL, HIGH))
        yield (
            index,
            entry(
                sheet_flow,
                typical.name,
                source=USER,
                head=head,
                width=typical.width,
                coefficient=Range(low.coefficient, typical.coefficient, high.coefficient, crest_source(link)),
                contraction=Range(high.contraction, typical.contraction, low.contraction, ""),
            ),
        )


def _highest(drawn: Water, levels: Mapping[str, float]) -> tuple[Branch | None, float]:
    """The open branch that ends highest, with the level there at rest [m]; without one the highest pool's level."""
    lowest = min(levels, key=lambda name: levels[name])
    ends = []
    for branch in drawn.branches:
        if branch.opening == 0 or (branch.to == "filter" and drawn.filter is None):
            continue
        if branch.to == "filter" and drawn.filter is not None:
            level = float(drawn.filter.level)
        else:
            level = levels.get(branch.pool or lowest, levels[lowest])
            level = max(level, float(branch.outlet_level)) if branch.outlet_level is not None else level
        ends.append((level, branch))
    if not ends:
        return None, max(levels.values())
    level, branch = max(ends, key=lambda pair: pair[0])
    return branch, level


def _lines(drawn: Water, branch: Branch | None) -> Iterator[PumpLine]:
    """The lines that the water goes through on its way there, whose pipe is known."""
    pump = drawn.pumps[0] if drawn.pumps else Pump()
    for line in (pump, drawn.main, branch) if branch else ():
        if line is not None and pipe_of(line, drawn) is not None:
            yield line


def _line_head(line: PumpLine, drawn: Water, flow: Entry) -> Entry:
    """Head that one line takes at the flow wanted, at the ends of that flow and of its loss coefficients."""
    viscosity = fluid(drawn.temperature).viscosity
    low, typical, high = (pipe_line(line, drawn, viscosity, end) for end in (LOW, TYPICAL, HIGH))
    conduit, least, most = typical.conduit, low.conduit, high.conduit
    ks = (least.k, conduit.k, most.k)
    return entry(
        wanted_line_head,
        line.name,
        source=typical.pipe_source,
        flow=flow,
        bore=Range(most.bore, conduit.bore, least.bore, ""),
        length=conduit.length,
        sum_of_k=Range(min(ks), conduit.k, max(ks), typical.source),
        roughness=conduit.roughness,
        viscosity=viscosity,
        over_smooth=Range(least.over_smooth, conduit.over_smooth, most.over_smooth, ""),
    )


def crest_source(link: Link) -> str:
    """Where the coefficient of a crest stands."""
    return rows_by_name("trades/pools/crests")[link.crest].get("source", "")
