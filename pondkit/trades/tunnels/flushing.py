"""The flush where tunnels and pumps meet: what its branch gives, and how it parts over several mouths that are open at once."""

import math
from dataclasses import dataclass, replace

from pondkit.core.entry import USER, Entry, entry, holds, limit, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result, no_such
from pondkit.core.sentence import words
from pondkit.core.tables import table
from pondkit.core.units import SPEED, Flow, Length, Speed
from pondkit.core.water_properties import fluid
from pondkit.project.project import Option
from pondkit.solvers.friction import Conduit
from pondkit.solvers.pipe_grid import GridPipe, solve_pipe_grid
from pondkit.solvers.pipe_network import Balance, balance
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.laying import Laying
from pondkit.trades.tunnels.work import TunnelsResult
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.lines import loss
from pondkit.trades.water.results import RunResult


@dataclass(frozen=True, eq=False)
class FlushingResult(Result):
    """The flush of an option. Subjects are the branch, a mouth, or a run.

    Attributes:
        problems: What could not be worked out, and how to mend it.
    """

    flush_branch_flow: Entry | None = None
    flush_branch_velocity: Entry | None = None
    open_mouth_flow: tuple[Entry, ...] = ()
    open_velocity: tuple[Entry, ...] = ()
    problems: tuple[Problem, ...] = ()


make_flushing_result = remembered(FlushingResult)


def flush_branch_flow(
    balanced: Balance, index: int, level_where_branches_part: Length, level_it_ends_at: Length
) -> Flow:
    """Flow of the flush branch.

    Working: the flow at which pumps, main and this branch are in balance, all other branches shut; its valve as set, or wide open
    where it is shut; what the passages themselves take of the head is not counted: less flows where they are long or narrow
    Source: Darcy-Weisbach with Colebrook; the pumps' curves: user input
    """
    return balanced.branch_flows[index]


def open_mouth_flow(flow: Flow, level: Length) -> Flow:
    """Flow out of a mouth with several open at once; less than 0 where water comes in.

    Working: the flow at which heads agree round every ring and at every mouth; all pipe is taken as full of water, bends and branches
    as taking no head, and a den on a way as filled to its mouths' level
    Source: global gradient algorithm (Todini and Pilati 1988), Darcy-Weisbach with Colebrook
    """
    return flow


@holds(
    lambda flow, bore, wanted: flow >= wanted * math.pi / 4 * bore**2,
    warn.OPEN_FLUSH_SLOW,
)
def open_velocity(flow: Flow, bore: Length, wanted: Speed) -> Speed:
    """Mean velocity in a run with several mouths open at once, either way; it is to be the velocity wanted, or more.

    Working: flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq 704.07
    """
    return flow / (math.pi / 4 * bore**2)


def flush_branch_velocity(flow: Flow, bore: Length) -> Speed:
    """Mean velocity in the flush branch itself while it flushes, all other branches shut.

    Source: conservation of volume
    """
    return flow / (math.pi / 4 * bore**2)


def branch_flow(option: Option, run: RunResult | None) -> tuple[Entry, Entry] | None:
    """(flow that the flush branch gives, velocity in it); None where the option has none with a pump that lifts it."""
    if option.water is None or option.tunnels is None or run is None or run.pumping.network is None:
        return None
    index = next((at for at, branch in enumerate(option.water.branches) if branch.to == "flush"), None)
    return None if index is None else _branch_flow(run, index)


@remembered
def _branch_flow(run: RunResult, index: int) -> tuple[Entry, Entry] | None:
    network = run.pumping.network
    assert network is not None
    branches = tuple(replace(branch, shut=at != index) for at, branch in enumerate(network.branches))
    found = balance(replace(network, branches=branches))
    if found.branch_flows[index] <= 0:
        return None
    flow = entry(
        flush_branch_flow, network.branches[index].name, source=USER, balanced=found, index=index,
        level_where_branches_part=found.branch_head, level_it_ends_at=found.ends[index],
    )  # fmt: skip
    name, bore = network.branches[index].name, network.branches[index].conduit.bore
    velocity = entry(flush_branch_velocity, name, flow=flow, bore=bore)
    most, _ = limit("pipe velocity at most", SPEED)
    fast = warn.FLUSH_BRANCH_FAST.where(
        velocity.least, velocity.value, velocity.most, most=most, most_wanted=(most, SPEED)
    )
    return flow, with_cautions(velocity, *fast)


def work_out(option: Option, pipes: TunnelsResult | None, branch: tuple[Entry, Entry] | None) -> FlushingResult | None:
    """The flush; None where the option has none.

    Args:
        option: As drawn.
        pipes: The tunnels; None where the option has none, or where the ground is not known.
        branch: What the flush branch gives, and the velocity in it.
    """
    drawn, (given, velocity) = option.tunnels, branch or (None, None)
    if drawn is None or pipes is None or (given is None and not drawn.flush_open):
        return None
    flow = given.value if given else drawn.flush_flow
    if not drawn.flush_open or flow is None or drawn.flush_from is None:
        return make_flushing_result(given, velocity)
    side = option.water or Water()
    flows, speeds, problems = _together(drawn, pipes.laid, float(flow), float(side.temperature), str(side.losses))
    return make_flushing_result(given, velocity, flows, speeds, problems)


@remembered
def _together(
    drawn: Tunnels, laid: Laying, flow: float, temperature: float, losses: str
) -> tuple[tuple[Entry, ...], tuple[Entry, ...], tuple[Problem, ...]]:
    """(flow out of each open mouth, velocity in each run, what is wrong)."""
    names = {node.name: index for index, node in enumerate(drawn.nodes)}
    start = names.get(drawn.flush_from or "")
    if start is None:
        return (), (), ()  # said where the flush goes mouth by mouth
    joined = laid.joined(start)
    heads = {outlet.node: max(outlet.level, outlet.water) for outlet in laid.outlets if outlet.node in joined}
    problems = list(_faults(drawn, names, heads, start))
    if problems:
        return (), (), tuple(problems)
    wanted = {names[name] for name in drawn.flush_open}
    numbers = [number for number, lying in enumerate(laid.runs) if lying.leg.ends[0] in joined]
    rough, viscosity = float(table("trades/water/surfaces")[0]["roughness_m"]), fluid(temperature).viscosity
    leaving, _ = loss(losses, "exit")
    pipes = []
    for number in numbers:
        lying = laid.runs[number]
        ends = lying.leg.ends
        k = leaving if wanted.intersection(ends) else 0.0
        pipes.append(GridPipe(*ends, Conduit(lying.leg.pipe.bore, lying.length, k, rough, viscosity)))
    found = solve_pipe_grid(pipes, {start: flow}, {node: heads[node] for node in wanted})
    if found is None:
        given = words("no balance of flows was found for the mouths that are open at once")
        return (), (), (Problem(("tunnels", "flush_open"), given, words("mouths of like level"), words("open fewer at once")),)  # fmt: skip
    out = dict.fromkeys(sorted(wanted), 0.0)
    for pipe, passing in zip(pipes, found, strict=True):
        for end, sign in ((pipe.end, 1.0), (pipe.start, -1.0)):
            if end in out:
                out[end] += sign * passing
    flows = tuple(
        entry(open_mouth_flow, drawn.nodes[node].name, source=USER, cautions=[warn.ANIMALS_OUT(), *warn.OPEN_MOUTH_DRAWS_IN.where(each, each, each)], flow=each, level=heads[node])
        for node, each in out.items()
    )  # fmt: skip
    speeds = tuple(
        entry(open_velocity, laid.runs[number].leg.name, source=USER, flow=abs(passing), bore=laid.runs[number].leg.pipe.bores, wanted=drawn.flush_speed)
        for number, pipe, passing in zip(numbers, pipes, found, strict=True)
    )  # fmt: skip
    return flows, speeds, ()


def _faults(drawn: Tunnels, names: dict[str, int], heads: dict[int, float], start: int) -> "list[Problem]":
    path: Path = ("tunnels", "flush_open")
    found = []
    for name in dict.fromkeys(drawn.flush_open):
        if name not in names:
            found.append(no_such(path, "node", name, [drawn.nodes[node].name for node in heads]))
        elif names[name] not in heads or names[name] == start:
            found.append(
                Problem(
                    path,
                    words(f"'{name}' is no mouth that the flush from '{drawn.flush_from}' reaches"),
                    words("mouths that are joined to it"),
                    words("take it off the list, or draw the run that is missing"),
                )
            )
    return found
