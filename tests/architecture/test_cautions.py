"""Every caution is declared once, and tried just inside and just outside its limit."""

import ast
import importlib
import pkgutil
from pathlib import Path

import pondkit
from pondkit.core import tables
from pondkit.core.caution import CHECK, RANKS, CautionRule
from pondkit.report.papers.crew import DESK

ROOT = Path(__file__).parents[2]
# Places whose cautions are not all declared yet; a place that is done goes out of this set.
PENDING: set[str] = set()


def rules() -> dict[str, tuple[str, CautionRule]]:
    """Every declared caution by key, with the name of its module."""
    found: dict[str, tuple[str, CautionRule]] = {}
    for module in pkgutil.walk_packages(pondkit.__path__, "pondkit."):
        if module.name.startswith(("pondkit.page", "pondkit.__main__")):
            continue
        for name, value in vars(importlib.import_module(module.name)).items():
            if isinstance(value, CautionRule):
                assert name == value.key.upper(), f"{module.name}.{name} declares {value.key!r}"
                assert found.get(value.key, ("", value))[1] is value, f"two cautions are called {value.key!r}"
                found[value.key] = module.name, value
    return found


def tried() -> set[str]:
    """Keys of the cautions that a test tries by ``edge`` or ``cases``."""
    keys = set()
    for path in (ROOT / "tests").rglob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in ("edge", "cases")
                and node.args
            ):
                rule = node.args[0]
                keys.add((rule.attr if isinstance(rule, ast.Attribute) else getattr(rule, "id", "")).lower())
    return keys


def test_every_caution_has_a_rank_a_figure_and_whole_sentences() -> None:
    for key, (module, rule) in rules().items():
        assert rule.rank in RANKS, f"{module}: {key}"
        assert rule.figure in tables.figure_words(), f"{module}: {key} belongs to {rule.figure!r}, which is no figure"
        assert rule.text.endswith((".", "?", "!")), f"{module}: {key} does not end"


def test_every_caution_is_tried_inside_and_outside() -> None:
    missing = set(rules()) - tried()
    assert not missing, f"no test tries {sorted(missing)}: see tests/cautions.py"


def test_cautions_are_declared() -> None:
    """A place that is done writes no caution as a mere sentence: none in ``holds``, none in ``cautions=``."""
    for path in sorted((ROOT / "pondkit").rglob("*.py")):
        parts = path.relative_to(ROOT / "pondkit").parts
        home = "/".join(parts[:2]) if parts[0] == "trades" else parts[0]
        if home in PENDING:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "holds":
                assert not isinstance(node.args[1], ast.Constant), f"{path}:{node.lineno}: declare this caution"


def test_a_limit_that_a_caution_declares_is_stated_there_alone() -> None:
    """A relation judges its value by it through ``keeps``; ``holds`` takes cautions that declare none."""
    found = {key: rule for key, (_, rule) in rules().items()}
    for path in sorted((ROOT / "pondkit").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            given = {"holds": node.args[1:], "keeps": node.args}.get(node.func.id, [])
            for rule in given:
                name = ast.unparse(rule).rpartition(".")[2].lower()
                limited = found[name].most is not None or found[name].least is not None
                assert limited == (node.func.id == "keeps"), f"{path}:{node.lineno}: {node.func.id} with {name}"


def test_what_the_crew_is_spared_is_declared_and_never_to_act_on() -> None:
    ranks = {rule.key: rule.rank for _, rule in rules().values()}
    assert ranks.keys() >= DESK, f"not declared: {sorted(DESK - ranks.keys())}"
    assert {ranks[key] for key in DESK} == {CHECK}
