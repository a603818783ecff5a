"""Pump required: the flow for turnover and for the sheets over falls, and the total dynamic head at that flow.

All of the flow is taken to go through the pump's line, the main and the branch with the highest end.
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
    "The curve of {pumps} is assumed from a single point, with {more} times the head of that point at no flow: read a "
    "second point off the maker's sheet.",
)
CIRCLES = CautionRule(
    "circles",
    CHECK,
    "total_flow",
    "All of it ends in '{pool}', the pool that it is drawn from: it circles there, and no other pool gets any. Lead a "
    "branch to the highest pool.",
)


def flow_notes(water: Water, source: str, ends: Iterable[str]) -> Iterator[Caution]:
    """Cautions on the pumped flow: assumed pump curves, water that only circulates within one pool.

    Args:
        water: Inputs of the water side, with only the pumps that have a curve.
        source: Pool that they draw from.
        ends: End of each open branch: the name of a pool, or "" for the filter.
    """
    assumed = [pump for pump in water.pumps if pump.running and assumed_curve(pump)]
    for shutoff in dict.fromkeys(float(pump.shutoff) for pump in assumed):
        names = ", ".join(f"'{pump.name}'" for pump in assumed if pump.shutoff == shutoff)
        yield CURVE_ASSUMED(pumps=names, more=(shutoff, RATIO))
    if set(ends) == {source}:
        yield CIRCLES(pool=source)


def turnover_flow(net_volume: Volume, turnover: Time) -> Flow:
    """Flow that turns all the water over in the time required.

    Source: volume over time
    """
    return net_volume / turnover


def sheet_flow(head: Length, width: Length, coefficient: Ratio, contraction: Ratio) -> Flow:
    """Flow that gives the sheet required over a crest, by its head upstream of the drawdown.

    Working: coefficient × √g × working width × head^1.5; the working width is the crest's, less what its ends take
    Source: weir formula; coefficients of crests and of their ends as at the head over the crest
    """
    return crest_flow(head, width, coefficient, contraction)


def flow_wanted(flows: tuple[Flow, ...]) -> Flow:
    """Required pump discharge: the greatest of the flows required.

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
    """Head loss of a line at the required flow.

    Working: (friction factor × length / bore + sum of K) × velocity² / 2g, with the friction factor at that velocity
    Source: Darcy-Weisbach with Colebrook, and K times velocity head
    """
    velocity = line_velocity(flow, bore)
    factor = friction_factor(velocity, bore, roughness, viscosity, over_smooth)
    return friction_head(factor, length, bore, velocity, GRAVITY) + fitting_head(sum_of_k, velocity, GRAVITY)


def wanted_lift(highest: Length, drawn_from: Length) -> Length:
    """Static lift at the required flow, with the pools at rest.

    Source: geometry
    """
    return highest - drawn_from


def head_wanted(lift: Length, line_heads: tuple[Length, ...]) -> Length:
    """Total dynamic head at the required flow: static lift and head losses.

    Source: conservation of energy
    """
    return lift + sum(line_heads)


@remembered
def pump_wanted(
    water: Water, parts: tuple[Link, ...], bodies: tuple[PoolWater, ...], net_volume: Entry | None
) -> PumpWantedResult:
    """Required pump discharge and head; empty if neither a turnover nor a sheet is required.

    Args:
        water: Inputs of the water side.
        parts: Inputs of the links.
        bodies: Every pool of the option.
        net_volume: Net volume of all pools; None if one of them has a problem.
    """
    levels = {body.name: body.level for body in bodies}
    if not levels:
        return PumpWantedResult()
    turning = None
    if water.turnover is not None and net_volume:
        turning = entry(turnover_flow, "", source=USER, net_volume=net_volume.bare, turnover=water.turnover)
    sheets = {} if water.sheet is None else dict(_sheets(parts, levels, float(water.sheet)))
    pools = list(dict.fromkeys(parts[index].from_ for index in sheets))
    falls = [
        entry(falls_from, name, flows=[flow for link_index, flow in sheets.items() if parts[link_index].from_ == name])
        for name in pools
    ]
    flows = [*([turning] if turning else []), *falls]
    if not flows:
        return PumpWantedResult()
    flow = entry(flow_wanted, "", flows=flows)
    basin = water.intake or Intake()
    source = basin.pool if basin.pool in levels else min(levels, key=lambda name: levels[name])
    branch, highest = _highest(water, levels)
    lift = entry(wanted_lift, "", highest=highest, drawn_from=levels[source])
    heads = [_line_head(line, water, flow) for line in _lines(water, branch)]
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
    """(index of the link, flow that gives the sheet required over its crest), with the full range of
    its coefficient.
    """
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


def _highest(water: Water, levels: Mapping[str, float]) -> tuple[Branch | None, float]:
    """(open branch with the highest end, level there at rest [m]); without a branch, None and the
    highest pool's level.
    """
    lowest = min(levels, key=lambda name: levels[name])
    ends = []
    for branch in water.branches:
        if branch.opening == 0 or (branch.to == "filter" and water.filter is None):
            continue
        if branch.to == "filter" and water.filter is not None:
            level = float(water.filter.level)
        else:
            level = levels.get(branch.pool or lowest, levels[lowest])
            level = max(level, float(branch.outlet_level)) if branch.outlet_level is not None else level
        ends.append((level, branch))
    if not ends:
        return None, max(levels.values())
    level, branch = max(ends, key=lambda pair: pair[0])
    return branch, level


def _lines(water: Water, branch: Branch | None) -> Iterator[PumpLine]:
    """Lines with known pipe on the way to the highest end."""
    pump = water.pumps[0] if water.pumps else Pump()
    for line in (pump, water.main, branch) if branch else ():
        if line is not None and pipe_of(line, water) is not None:
            yield line


def _line_head(line: PumpLine, water: Water, flow: Entry) -> Entry:
    """Head loss of one line at the required flow, over the ranges of flow and loss coefficients."""
    viscosity = fluid(water.temperature).viscosity
    low, typical, high = (pipe_line(line, water, viscosity, end) for end in (LOW, TYPICAL, HIGH))
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
    """Source of the discharge coefficient of a crest."""
    return rows_by_name("trades/pools/crests")[link.crest].get("source", "")
