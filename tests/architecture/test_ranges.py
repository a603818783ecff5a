"""Ranges reach every figure: none that is made from a ranged input, or from a coefficient
marked from memory, is without one.
"""

import ast
import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pondkit import Project, evaluate
from pondkit.core.part import Part, ask_of, get, kind_in, walk
from pondkit.core.refusal import Refused
from pondkit.project.files import put
from pondkit.study.aim import _full_text
from tests.designs import full_project, part_classes

ROOT = Path(__file__).parents[2] / "pondkit"
WITHIN = "_within"
# What a person requires is no coefficient: it has no range.
REQUIRED = {
    "Rigging.heavier_share",
    "Lifting.front_within_deg",
    "Tunnels.take_up",
    "Tunnels.uplift_safety",
    "Water.uplift_safety",
}
SPREAD = {"contingency"}  # what ranges make is no figure with a range
SPREAD_OF = {"trades/cost: contingency typical"}
PAIRS = {"Bearing.contact_low", "Bearing.contact_high"}  # two ends of one coefficient
# What has no range, each with the reason; nothing else may come in.
FIGURES = {
    "pieces_per_load": "the most that a load may hold, by the largest that a stone may be: the unsafe end",
    "volume_per_load": "the most that a load may hold, by the heaviest stone with the fewest voids",
}
VALUES = {
    "trades/animals: ways_margin all_round": "whether a bank, which is drawn, is flat enough: yes or no",
    "trades/earthwork: volume_as_dug mean_level_error": "the figure is itself the width of the range",
    "trades/earthwork: wetted_as_dug mean_level_error": "the figure is itself the width of the range",
    "trades/tunnels: offcut_length cut_lengths": "longer pieces may take a further length, and leave nearly all",
    "trades/tunnels: offcut_length pipe_length_order": "as its pieces",
}


def home(path: Path) -> str:
    parts = path.relative_to(ROOT).parts
    return "/".join(parts[:2]) if parts[0] == "trades" else parts[0]


def from_memory() -> Iterator[tuple[type[Part], str]]:
    """Every input whose help says that its default is from memory."""
    for part in dict.fromkeys(part_classes()):
        for name in part.model_fields:
            said = ask_of(part, name)
            if said and "from memory" in said.help and not name.endswith(WITHIN):
                yield part, name


def test_a_coefficient_from_memory_has_a_range() -> None:
    missing = (
        {
            f"{part.__name__}.{name}"
            for part, name in from_memory()
            if f"{name.removesuffix('_deg')}{WITHIN}" not in part.model_fields
        }
        - REQUIRED
        - PAIRS
    )
    assert not missing, f"give these a sibling '…{WITHIN}': {sorted(missing)}"


def test_a_row_from_memory_has_a_range() -> None:
    for path in sorted(ROOT.rglob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        for row in rows:
            if any("from memory" in (cell or "") for cell in row.values()):
                ranged = any(name.startswith(("low", "within")) for name in row)
                assert ranged, f"{path.name}: {row} is from memory, and has neither low and high nor a width"


def ranged_inputs(project: Project) -> Iterator[tuple[Any, ...]]:
    """Path of every single number of a project that has a range as its sibling."""
    for path, part, name in walk(project):
        value = getattr(part, name)
        if f"{name}{WITHIN}" in type(part).model_fields and isinstance(value, float) and value:
            yield path


def with_ranges(project: Project) -> Project:
    """The project with a range at each input that may have one."""
    for path in ranged_inputs(project):
        beside = (*path[:-1], f"{path[-1]}{WITHIN}")
        if not get(project, beside):
            project = put(project, beside, "5 %")
    return project


# A tenth of a liner's thickness is a tenth of a millimetre of dig, below what anybody
# digs: its range is that of its mass.
THICKNESS = ("lining", "thickness")


def test_a_liners_mass_follows_the_range_of_its_thickness() -> None:
    (mass,) = evaluate(with_ranges(full_project())).options[0].figures("liner_mass")
    assert (
        mass.low is not None and mass.high is not None and mass.low < 0.95 * mass.value < 1.05 * mass.value < mass.high
    )


def test_what_a_ranged_input_moves_has_a_range() -> None:
    """By moving each by a hundredth: whatever figure follows must have a low and a high one."""
    project = with_ranges(full_project())
    before = list(evaluate(project).options[0].entries())
    missing: dict[str, set[str]] = {}
    paths = list(ranged_inputs(project))
    assert len(paths) > 5
    for path in paths:
        if path[2:] == THICKNESS:
            continue
        value = float(get(project, path))
        for factor in (1.01, 0.99):
            try:
                changed = _moved(project, path, value * factor)
            except Refused:
                continue
            after = list(evaluate(changed).options[0].entries())
            if [(key, e.subject) for key, e in after] != [(key, e.subject) for key, e in before]:
                continue  # whole pieces more or less
            for (key, one), (_, two) in zip(before, after, strict=True):
                if abs(one.value - two.value) > 1e-9 * abs(one.value) and one.low is None:
                    missing.setdefault(key, set()).add(".".join(map(str, path[2:])))
            break
    told = {key: sorted(paths) for key, paths in missing.items() if key not in FIGURES.keys() | SPREAD}
    assert not told, f"these figures follow ranged inputs, and have no range: {told}"


def _moved(project: Project, path: tuple[Any, ...], value: float) -> Project:
    kind = kind_in(type(get(project, path[:-1])), path[-1])
    assert kind is not None
    return put(project, path, _full_text(value, kind))


def values_in(path: Path) -> Iterator[tuple[str, int]]:
    """("trade: relation argument", line) of each ``entry(…)`` that takes a
    figure's value and leaves its range behind.
    """
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "entry" and node.args:
            for word in node.keywords:
                taken = [at for at in ast.walk(word.value) if isinstance(at, ast.Attribute) and at.attr == "value"]
                if taken and word.arg not in ("cautions", "source"):
                    relation = ast.unparse(node.args[0]).rpartition(".")[2]
                    yield f"{home(path)}: {relation} {word.arg}", node.lineno


def test_an_entry_is_made_from_entries_and_not_from_their_values() -> None:
    """``entry(relation, subject, flow=figure)`` passes the range on; ``flow=figure.value`` drops it."""
    met = set()
    for path in sorted(ROOT.rglob("*.py")):
        for what, line in values_in(path):
            met.add(what)
            assert what in VALUES.keys() | SPREAD_OF, (
                f"{path}:{line}: {what} takes the value of a figure and drops its range"
            )
    assert met == VALUES.keys() | SPREAD_OF, "take out of the lists what now has a range"
