"""pondkit: figures for recirculating, natural-looking ponds, from sketch to takeoff."""

from pondkit.document import Project, load, save
from pondkit.evaluate import evaluate

__all__ = ["Project", "evaluate", "load", "save"]
