"""What a person needs for the first minute, and the words of the trade that the page uses."""

import streamlit as st

from pondkit.core.tables import table

STEPS = (
    "**Draw the water**: take Outline over the plan and go round it in one stroke, or drag an Oval out. Fall joins "
    "two pools; stones, pipe and what is kept clear have tools of their own.",
    "**Drag** a slider on the left, or a mark on the plan: plan, section and figures follow. A slider's box takes "
    "any size as you would write it.",
    "**Open a figure** for its working, source, range and cautions. A red mark is something to "
    "act on before you build, an amber one something to check on site.",
    "**Options** A, B, C … are ways to build it: copy one under Edit, weigh them up in Side by side, turn Show "
    "to the client.",
    "**File** saves the project, the figures as CSV and the papers as PDF. This browser keeps your work by "
    "itself; ↶ takes a step back.",
)
WORDS = {row["term"]: row["meaning"] for row in table("core/glossary") if row["page"]}


def first_look() -> None:
    """Five things to do, then the words."""
    st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(STEPS, 1)))
    with st.container(height=190):
        st.markdown("\n".join(f"- **{word}**: {meaning}" for word, meaning in WORDS.items()))
