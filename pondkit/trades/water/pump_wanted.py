"""The pump required: its flow, for the turnover and for the sheets of water over falls, and its head at that flow.

All of the flow is taken to go through the pump's line, the main and the branch with the highest end.
"""

from collections.abc import Iterator, Mapping, Sequence

from pondkit.core.constants import fluid
from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.remembered import remembered
from pondkit.trades.pools.inputs import Link
from pondkit.trades.water.cautions import LIFT_ALONE
from pondkit.trades.water.formulas import pumping as relations
from pondkit.trades.water.inputs.pumping import Branch, Line, Pump
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.levels import crest_of, crest_source
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, conduit_of, pipe_of
from pondkit.trades.water.pumping import pool_drawn_from
from pondkit.trades.water.results import PoolWater, PumpWantedResult


@remembered
def pump_wanted(
    water: Water, links: tuple[Link, ...], pools: tuple[PoolWater, ...], net_volume: Entry | None
) -> PumpWantedResult:
    """Required pump discharge and head; without figures if neither a turnover nor a sheet is required.

    Args:
        water: Inputs of the water side.
        links: Inputs of the links between pools.
        pools: Every pool of the option, at rest.
        net_volume: Net volume of all pools; None if one of them has a problem.
    """
    levels = {pool.name: pool.level for pool in pools}
    if not levels:
        return PumpWantedResult()
    for_turnover = None
    if water.turnover is not None and net_volume:
        for_turnover = entry(
            relations.turnover_flow, "", source=USER, net_volume=net_volume.bare, turnover=water.turnover
        )
    sheets = {} if water.sheet is None else dict(_sheets(links, levels, float(water.sheet)))
    for_falls = [  # all falls of a pool at once
        entry(
            relations.flow_of_falls, name, flows=[flow for index, flow in sheets.items() if links[index].from_ == name]
        )
        for name in dict.fromkeys(links[index].from_ for index in sheets)
    ]
    flows = [*([for_turnover] if for_turnover else []), *for_falls]
    if not flows:
        return PumpWantedResult()
    flow = entry(relations.flow_wanted, "", flows=flows)
    branch, highest = _highest_end(water, levels)
    lift = entry(relations.wanted_lift, "", highest=highest, drawn_from=levels[pool_drawn_from(water, levels)])
    heads = [_line_head(line, water, flow) for line in _lines_on_the_way(water, branch)]
    notes = [] if branch else [LIFT_ALONE()]
    return PumpWantedResult(
        turnover_flow=for_turnover,
        sheet_flow=tuple(sheets.values()),
        flow_wanted=flow,
        wanted_lift=lift,
        wanted_line_head=tuple(heads),
        head_wanted=entry(relations.head_wanted, "", cautions=notes, lift=lift, line_heads=heads),
    )


def _sheets(links: Sequence[Link], levels: Mapping[str, float], head: float) -> Iterator[tuple[int, Entry]]:
    """(index of a fall, flow that gives the sheet required over its crest), with the full range of its coefficients."""
    for index, link in enumerate(links):
        if link.from_ not in levels or link.to not in levels or link.kind != "fall":
            continue
        low, typical, high = (crest_of(index, link, levels[link.from_], case) for case in (LOW, TYPICAL, HIGH))
        flow = entry(
            relations.sheet_flow,
            typical.name,
            source=USER,
            head=head,
            width=typical.width,
            coefficient=Range(low.coefficient, typical.coefficient, high.coefficient, crest_source(link)),
            # The crest with the high coefficient has the low contraction.
            contraction=Range(high.contraction, typical.contraction, low.contraction, ""),
        )
        yield index, flow


def _highest_end(water: Water, levels: Mapping[str, float]) -> tuple[Branch | None, float]:
    """(open branch with the highest end, level there at rest [m]); without one, (None, level of the highest pool)."""
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


def _lines_on_the_way(water: Water, branch: Branch | None) -> Iterator[Line]:
    """Lines with known pipe on the way to the highest end: a pump's, the main, the branch."""
    pump = water.pumps[0] if water.pumps else Pump()
    for line in (pump, water.main, branch) if branch else ():
        if line is not None and pipe_of(line, water) is not None:
            yield line


def _line_head(line: Line, water: Water, flow: Entry) -> Entry:
    """Head loss of one line at the required flow, over the ranges of flow and loss coefficients."""
    viscosity = fluid(water.temperature).viscosity
    low, typical, high = (conduit_of(line, water, viscosity, case) for case in (LOW, TYPICAL, HIGH))
    least, conduit, most = low.conduit, typical.conduit, high.conduit  # by head loss
    ks = (least.k, conduit.k, most.k)
    return entry(
        relations.wanted_line_head,
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
