"""Reading of the files that stand beside the components."""

from pathlib import Path

_HERE = Path(__file__).parent


def asset(name: str) -> str:
    """Text of a file of this folder. Streamlit takes a text with line breaks for content, one without for a path."""
    return (_HERE / name).read_text(encoding="utf-8")
