"""Pipe passages between water and den: runs, fittings, cut list, penetrations, what water reaches."""

from pondkit.tunnels.laying import laying, lines
from pondkit.tunnels.lying import Side
from pondkit.tunnels.mouths import STRETCH
from pondkit.tunnels.ways import Way, ways
from pondkit.tunnels.work import TunnelsResult, run_figures, work_out

__all__ = ["STRETCH", "Side", "TunnelsResult", "Way", "laying", "lines", "run_figures", "ways", "work_out"]
