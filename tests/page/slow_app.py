"""The page with a slow server: each run of what follows the hand takes longer by as much as the file says that is named
behind the project."""

import sys
import time
from pathlib import Path
from typing import Any

import streamlit as st

from pondkit.page import sketch_view
from pondkit.page.components import plotly_loader
from pondkit.page.main import run

DELAY = Path(sys.argv[2])
drawn = getattr(sketch_view, "_quick", sketch_view._draw_live)


def slowly(*given: Any, **named: Any) -> Any:
    time.sleep(float(DELAY.read_text(encoding="utf-8")))
    return drawn(*given, **named)


sketch_view._quick, sketch_view._draw_live = drawn, slowly  # type: ignore[attr-defined]
st.set_page_config(layout="wide", initial_sidebar_state="expanded")
plotly_loader()
run()
