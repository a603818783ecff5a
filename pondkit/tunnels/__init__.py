"""Pipe passages between water and den: runs, fittings, cut list, penetrations, what water reaches."""

from pondkit.tunnels.lying import Side
from pondkit.tunnels.mouths import STRETCH
from pondkit.tunnels.work import TunnelsResult, lines, work_out

__all__ = ["STRETCH", "Side", "TunnelsResult", "lines", "work_out"]
