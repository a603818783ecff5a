"""What all components need: the files that stand beside them, and numbers of what is sent."""

import itertools
import time
from pathlib import Path

_HERE = Path(__file__).parent


def asset(name: str) -> str:
    """Text of a file of this folder. Streamlit takes a text with line breaks for content, one without for a path."""
    return (_HERE / name).read_text(encoding="utf-8")


# Numbers of what is sent and of runs. They grow over a restart of the server too, as the browser compares them.
_numbers = itertools.count(round(time.time() * 1000))


def next_number() -> int:
    """A number above all that were given before."""
    return next(_numbers)
