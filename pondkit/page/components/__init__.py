"""The page's own controls, as small Streamlit components without a build step.

A stock slider reports only when its thumb is released, many stock widgets are slow to draw, and a stock plot is mounted
anew at every change of its figure and loses zoom and camera. These components report during a drag and redraw in place.
Script, style and markup are files beside the Python, and are passed to Streamlit as text.

Order of calls on the page: ``plotly_loader`` first, then pictures and forms, ``Live.show`` after those that follow the
hand, ``run_done`` last.
"""

from pondkit.page.components.form import Button, FormEntry, Row, entries, form
from pondkit.page.components.keeper import (
    KeptJob,
    Work,
    job_open_elsewhere,
    keeper,
    kept_firm,
    kept_jobs,
    requested_work,
    storage_full,
)
from pondkit.page.components.live import Live, as_json, live_entries, live_event, run_done
from pondkit.page.components.picture import (
    ChosenThing,
    Edit,
    LastDrawing,
    PictureEvent,
    PictureHandle,
    PictureState,
    PictureUnder,
    Takes,
    ToolButton,
    backdrop,
    picture,
    plotly_loader,
)

__all__ = [
    "Button",
    "ChosenThing",
    "Edit",
    "FormEntry",
    "KeptJob",
    "LastDrawing",
    "Live",
    "PictureEvent",
    "PictureHandle",
    "PictureState",
    "PictureUnder",
    "Row",
    "Takes",
    "ToolButton",
    "Work",
    "as_json",
    "backdrop",
    "entries",
    "form",
    "job_open_elsewhere",
    "keeper",
    "kept_firm",
    "kept_jobs",
    "live_entries",
    "live_event",
    "picture",
    "plotly_loader",
    "requested_work",
    "run_done",
    "storage_full",
]
