"""Pipe passages between water and den: runs, fittings, cut list, penetrations, what water reaches."""

from pondkit.tunnels.boxes import Box, boxes
from pondkit.tunnels.cuts import buy, stubs
from pondkit.tunnels.fitted import fitted, refitted
from pondkit.tunnels.laying import Laying, laid_as, laying
from pondkit.tunnels.lying import Side
from pondkit.tunnels.mouths import STRETCH
from pondkit.tunnels.net import net
from pondkit.tunnels.ways import Way, ways
from pondkit.tunnels.work import TunnelsResult, run_figures, work_out

__all__ = [
    "STRETCH",
    "Box",
    "Laying",
    "Side",
    "TunnelsResult",
    "Way",
    "boxes",
    "buy",
    "fitted",
    "laid_as",
    "laying",
    "net",
    "refitted",
    "run_figures",
    "stubs",
    "ways",
    "work_out",
]
