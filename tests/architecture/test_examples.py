"""Examples in docstrings give what they say."""

import doctest
import importlib
import math
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_each_example_in_a_docstring_gives_what_it_says() -> None:
    shown = 0
    for path in sorted((ROOT / "pondkit").rglob("*.py")):
        if ">>> " in path.read_text(encoding="utf-8"):
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
            report = doctest.testmod(importlib.import_module(name), extraglobs={"math": math})
            shown += report.attempted
            assert not report.failed, f"{name}: {report.failed} of {report.attempted} examples; they stand above"
    assert shown, "no docstring has an example any more"
