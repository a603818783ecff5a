"""The page of pondkit: ``streamlit run app.py -- project.json``."""

import streamlit as st

from pondkit.page.components import plotly_loader

st.set_page_config(page_title="Pond sketch", page_icon="💧", layout="wide", initial_sidebar_state="expanded")
plotly_loader()  # first: the browser reads plotly's script while the rest is imported and the design is worked out

from pondkit.page.main import run  # noqa: E402

run()
