"""Files of the first version: they are read for good, and what they say is what they said."""

from pathlib import Path

import pytest

from pondkit import evaluate, load, save
from pondkit.core import tables
from pondkit.core.renamed import takeoff_key

FOLDER = Path(__file__).parent / "first_version"
FILES = sorted(FOLDER.glob("*.json"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_of_the_first_version_is_read_and_saved(path: Path) -> None:
    project = load(path)
    assert load(save(project).encode()) == project
    assert not evaluate(project).problems


def test_every_key_of_the_first_takeoff_is_there_or_has_its_new_name_in_the_table() -> None:
    keys = (FOLDER / "keys.txt").read_text(encoding="utf-8").split()
    lost = [key for key in keys if takeoff_key(key) not in tables.figure_words()]
    assert len(keys) == 390 and not lost, f"add rows to pondkit/project/renamed.csv for {', '.join(lost)}"
