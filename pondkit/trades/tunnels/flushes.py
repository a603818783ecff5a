"""Relations of flushing."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Angle, Flow, Length, Speed, Time, Volume
from pondkit.trades.tunnels import cautions as warn


@holds(
    lambda flush_flow, bore, wanted: flush_flow >= wanted * math.pi / 4 * bore**2,
    warn.FLUSH_SLOW,
)
def flush_velocity(flush_flow: Flow, bore: Length, wanted: Speed) -> Speed:
    """Mean velocity in a run with all of the flush going through it; it is to be the velocity wanted, or more.

    Working: flush flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq 704.07
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
