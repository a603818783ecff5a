"""Lifting: what the machine may lift from where it stands, and in which order the stones are set."""

from pondkit.lifting.places import Hole
from pondkit.lifting.swings import Load
from pondkit.lifting.work import LiftingResult, work_out

__all__ = ["Hole", "LiftingResult", "Load", "work_out"]
