"""README's picture of the page is made from the first example as it is now, and shows the page as it is now."""

import json
import re
from collections.abc import Callable
from pathlib import Path

from PIL import Image
from sketch import Sketch

from pondkit import evaluate, load
from pondkit.page.header import VIEWS
from pondkit.page.start import examples

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PICTURE = ROOT / "demo_data" / "page.png"
FIRST = next(iter(examples().values()))
ANEW = "make it anew: python -m tests.bench.page_picture"


def test_the_picture_shows_the_labels_that_the_page_has(start: Callable[..., Sketch]) -> None:
    with Image.open(PICTURE) as picture:
        labels = json.loads(picture.info["labels"])
        assert picture.size == (1280, 800)
    page = start(json.loads(FIRST.read_text(encoding="utf-8")))
    assert labels == {"title": page.project.title, "figures": list(page.figures), "views": list(VIEWS)}, ANEW
    assert PICTURE.stat().st_size < 300_000


def test_the_readme_shows_it_and_begins_with_the_first_example() -> None:
    assert "(demo_data/page.png)" in README
    for fence in ("sh", "powershell"):
        blocks = re.findall(rf"^```{fence}\n(.*?)^```", README, re.M | re.S)
        assert len(blocks) == 2, fence
        assert blocks[0].strip().replace("\\", "/").endswith(f"app.py -- demo_data/{FIRST.name}")


def test_no_example_is_at_fault_or_has_what_must_be_mended_and_none_holds_all_parts_of_a_job() -> None:
    parts = {"lining", "stone", "lifting", "walls", "tunnels", "water", "animals", "earth", "dig"}
    met: set[str] = set()
    for name, path in examples().items():
        results = evaluate(load(path))
        assert not results.problems, name
        entries = [entry for option in results.options for _, entry in option.entries()]
        cautions = [caution for entry in entries for caution in entry.cautions]
        assert [caution.text for caution in cautions if getattr(caution, "rank", "") == "act"] == [], name
        held = {part for part in parts for option in results.options if getattr(option.option, part)}
        assert held < parts, name
        met |= held
    assert met == parts
    first = evaluate(load(FIRST))
    assert [len(option.option.pools) for option in first.options] == [2, 2]
    assert {part for part in parts if getattr(first.options[0].option, part)} == {"lining", "stone"}
