"""Pipe passages between water and den: runs, fittings, cut list, penetrations, what water reaches."""

from pondkit.tunnels.cuts import buy, stubs
from pondkit.tunnels.laying import Laying, laying, lines
from pondkit.tunnels.lying import Side
from pondkit.tunnels.mouths import STRETCH
from pondkit.tunnels.ways import Way, ways
from pondkit.tunnels.work import TunnelsResult, run_figures, work_out

__all__ = [
    "STRETCH",
    "Laying",
    "Side",
    "TunnelsResult",
    "Way",
    "buy",
    "laying",
    "lines",
    "run_figures",
    "stubs",
    "ways",
    "work_out",
]
