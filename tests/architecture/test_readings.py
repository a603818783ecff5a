"""Each trade, and the page, says at its head how it is read, and names every module that it has."""

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "pondkit"
TRADES = sorted(path for path in (PACKAGE / "trades").iterdir() if (path / "__init__.py").exists())


def _head(trade: Path) -> str:
    return ast.get_docstring(ast.parse((trade / "__init__.py").read_text(encoding="utf-8"))) or ""


@pytest.mark.parametrize("trade", [*TRADES, PACKAGE / "page"], ids=lambda trade: trade.name)
def test_a_trade_names_its_modules_at_its_head_and_no_others(trade: Path) -> None:
    head = _head(trade)
    named = {part.removesuffix(".py") for name in re.findall(r"``([a-z_/.]+)``", head) for part in name.split("/")}
    modules = {path.stem for path in trade.glob("*.py")} | {path.stem for path in trade.glob("compute/*.py")}
    folders = {path.name for path in trade.iterdir() if (path / "__init__.py").exists()}
    missing = (modules | folders) - {"__init__"} - named
    assert not missing, f"{trade.name}/__init__.py does not say what these are for: {sorted(missing)}"
    way = re.split(r"\n\n(?:Choices|Known)", head)[0]
    there = {name for path in trade.rglob("*") for name in (path.stem, path.name)}
    there |= {path.stem for path in PACKAGE.rglob("*.py")} | {path.name for path in PACKAGE.iterdir()}
    stale = {
        name
        for name in re.findall(r"``([a-z_/.]+)``", way)
        if name.rstrip("/").split("/")[-1].removesuffix(".py") not in there | {"running_water"}
    }
    assert not stale, f"{trade.name}/__init__.py names modules that are not there: {sorted(stale)}"
