"""What a person needs for the first minute, and the words of the trade that the page uses."""

import streamlit as st

STEPS = (
    "**Drag a slider** on the left, or type into its box: plan, section and figures follow.",
    "**Drag a mark** on the plan: points of an outline, a whole pool, stones, pipe, ends A and B of the section line.",
    "**Open a figure** for its working, source, range and cautions. A red mark is something to "
    "act on before you build, an amber one something to check on site.",
    "**Options** A, B, C … are ways to build it: copy one under Edit, weigh them up in Side by side, turn Show "
    "to the client.",
    "**File** saves the project, the figures as CSV and the sheets to print. This browser keeps your work by "
    "itself; ↶ takes "
    "a step back.",
)
WORDS = {
    "Level": "height above the site datum, the one mark that all levels on the site are measured from",
    "Tier": "one step of the floor: its depth, the shelf at that depth, and the bank down to it",
    "Shelf": "level ground at a tier's depth, as wide as measured from its bank inward",
    "Batter": "how far a bank runs level for one of drop; 0 is upright",
    "Zone": "what a depth is for, such as marsh or wintering; tiers of one zone are added up",
    "Rim": "where the bank ends above the water; the freeboard is its height over the water at rest",
    "Pit": "a deeper hole in a floor or shelf",
    "Underlay, overlay": "fabric below the liner against stones in the soil, and above it against what lies on it",
    "Mouth, run, chamber": "where a pipe passage opens into the water, a length of its pipe, and the den or box "
    "at its end",
    "Bank, loose, compacted": "soil as it lies in the ground, as it lies in the bucket, and as it is packed again",
}


def first_look() -> None:
    """Five things to do, then the words."""
    st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(STEPS, 1)))
    with st.container(height=190):
        st.markdown("\n".join(f"- **{word}**: {meaning}" for word, meaning in WORDS.items()))
