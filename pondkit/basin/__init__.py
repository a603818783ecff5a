"""The basin: pools with tiers and pits, their surfaces, areas and volumes."""

from pondkit.basin.surfaces import Hole, Surfaces, surfaces
from pondkit.basin.work import PoolResult, work_out

__all__ = ["Hole", "PoolResult", "Surfaces", "surfaces", "work_out"]
