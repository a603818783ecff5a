"""The page of pondkit: ``streamlit run app.py -- project.json``."""

import streamlit as st

from pondkit.page.main import run

st.set_page_config(page_title="Pond sketch", page_icon="💧", layout="wide", initial_sidebar_state="expanded")
run()
