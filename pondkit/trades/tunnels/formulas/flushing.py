"""Relations of flushing."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Angle, Flow, Length, Speed, Time, Volume
from pondkit.solvers.pipe_network import Balance
from pondkit.trades.tunnels import cautions as warn


@holds(
    lambda flush_flow, bore, wanted: flush_flow >= wanted * math.pi / 4 * bore**2,
    warn.FLUSH_SLOW,
)
def flush_velocity(flush_flow: Flow, bore: Length, wanted: Speed) -> Speed:
    """Mean velocity in a run with all of the flush going through it; it is to be the velocity wanted, or more.

    Working: flush flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq
    704.07
    """
    return flush_flow / (math.pi / 4 * bore**2)


def flush_time(run_volumes: tuple[Volume, ...], flush_flow: Flow) -> Time:
    """Time to change the water three times on the way from the flush to a mouth.

    Source: conservation of volume; three times: your own rule
    """
    return 3 * sum(run_volumes) / flush_flow


def flush_flow_needed(wanted: Speed, widest_bore: Length) -> Flow:
    """Flow that gives the velocity wanted in the widest pipe on any way.

    Source: conservation of volume
    """
    return wanted * math.pi / 4 * widest_bore**2


@holds(
    lambda run_length: run_length <= 0,
    warn.UNSWEPT,
)
def unswept_length(run_length: Length) -> Length:
    """Length of a run that lies on no way from the flush to a mouth.

    Source: counted over the ways
    """
    return run_length


@holds(
    lambda bends: sum(bends) <= (warn.ROD_BENDS.most or 0.0),
    warn.ROD_BENDS,
)
def rod_bends(bends: tuple[Angle, ...]) -> Angle:
    """Bends between two neighbouring ways in for a rod: mouths, chambers, capped ends.

    Working: sum of bends
    Source: angles of the fittings; no more than 90 degrees: common practice, no source
    """
    return sum(bends)


def flush_branch_flow(
    balanced: Balance, index: int, level_where_branches_part: Length, level_it_ends_at: Length
) -> Flow:
    """Flow of the flush branch.

    Working: the flow at which pumps, main and this branch are in balance, all other branches shut; its valve as set, or
    wide open where it is shut; what the passages themselves take of the head is not counted: less flows where they are
    long or narrow
    Source: Darcy-Weisbach with Colebrook; the pumps' curves: user input
    """
    return balanced.branch_flows[index]


def open_mouth_flow(flow: Flow, level: Length) -> Flow:
    """Flow out of a mouth with several open at once; less than 0 where water comes in.

    Working: the flow at which heads agree round every ring and at every mouth; all pipe is taken as full of water,
    bends and branches as taking no head, and a den on a way as filled to its mouths' level
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
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq
    704.07
    """
    return flow / (math.pi / 4 * bore**2)


def flush_branch_velocity(flow: Flow, bore: Length) -> Speed:
    """Mean velocity in the flush branch itself while it flushes, all other branches shut.

    Source: conservation of volume
    """
    return flow / (math.pi / 4 * bore**2)
