"""Lifting: what the machine may lift from where it stands, and in which order the stones are set."""

from pondkit.lifting.places import Beside, Hole
from pondkit.lifting.swings import Load, best, rig_of
from pondkit.lifting.work import LiftingResult, lift_figures, stood, work_out

__all__ = ["Beside", "Hole", "LiftingResult", "Load", "best", "lift_figures", "rig_of", "stood", "work_out"]
