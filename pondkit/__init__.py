"""pondkit: figures for recirculating, natural-looking ponds, from sketch to takeoff."""

from pondkit.project.files import load, save
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate

__all__ = ["Project", "evaluate", "load", "save"]
