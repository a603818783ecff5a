"""Draws which folder of the package imports which, from the code, as the table in README.md beside this file.

.venv/bin/python -m tests.architecture.drawing        # writes it anew
"""

import sys
from collections import Counter
from pathlib import Path

from tests.architecture.test_layers import FOLDERS, MODULES, TRADES, imported, place

README = Path(__file__).with_name("README.md")
HEAD = """# How the folders of pondkit import each other

Made from the code by `python -m tests.architecture.drawing`; a test fails when it is stale. A row imports from the
columns that are marked. Folders stand in the order of the house, trades in their own: a mark right of the diagonal
would be an import that points the wrong way.

"""


def rooms() -> list[str]:
    """Folders in the order of the house, each trade a room of its own."""
    return [
        room
        for folder in FOLDERS
        for room in ([f"trades/{trade}" for trade in TRADES] if folder == "trades" else [folder])
    ]


def room_of(name: str) -> str:
    parts = name.split("/")
    return "/".join(parts[:2]) if parts[0] == "trades" and len(parts) > 1 else parts[0]


def drawn() -> str:
    """The table."""
    known = {place(path) for path in MODULES}
    arrows: Counter[tuple[str, str]] = Counter()
    for path in MODULES:
        for name in imported(path):
            other = name.removeprefix("pondkit.").replace(".", "/")
            if name.startswith("pondkit.") and other in known:
                arrows[room_of(place(path)), room_of(other)] += 1
    every = rooms()
    lines = [
        "| | " + " | ".join(room.removeprefix("trades/") for room in every) + " |",
        "|---" * (len(every) + 1) + "|",
    ]
    for row in every:
        cells = ["·" if row == column else "×" * bool(arrows[row, column]) for column in every]
        lines.append(f"| **{row}** | " + " | ".join(cells) + " |")
    return HEAD + "\n".join(lines) + "\n"


if __name__ == "__main__":
    README.write_text(drawn(), encoding="utf-8")
    sys.stdout.write(f"{README.name} written\n")
