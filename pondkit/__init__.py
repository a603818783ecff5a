"""pondkit: figures for recirculating, natural-looking ponds, from sketch to takeoff."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pondkit.project.files import load, save
    from pondkit.project.project import Project
    from pondkit.study.evaluate import evaluate

__all__ = ["Project", "evaluate", "load", "save"]

_PLACES = {
    "Project": "pondkit.project.project",
    "evaluate": "pondkit.study.evaluate",
    "load": "pondkit.project.files",
    "save": "pondkit.project.files",
}


def __getattr__(name: str) -> Any:
    """Imports what the package offers when it is first asked for: the page can then send the browser its largest script
    before all trades are imported, which takes about as long as the browser needs to read that.
    """
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_PLACES[name]), name)
