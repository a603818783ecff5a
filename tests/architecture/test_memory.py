"""A warm memory changes no result, and one moved tier works out one pool."""

import ast
import contextlib
import dataclasses
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pondkit import Project, load
from pondkit.core.part import ask_of, choices_in, get, kind_in, walk
from pondkit.core.refusal import Refused
from pondkit.core.remembered import Memory
from pondkit.core.result import Trouble
from pondkit.core.units import factor
from pondkit.project.files import put
from pondkit.study.evaluate import Results
from tests.bench import designs
from tests.designs import option, pool, read
from tests.memory import asked

ROOT = Path(__file__).parents[2]


def _changed(value: Any, part: Any, name: str) -> Any:
    """Another valid value of one field; None where there is none to be had simply."""
    held = type(part)
    if names := choices_in(held, name):
        return next((other for other in names if other != value), None)
    kind, said = kind_in(held, name), ask_of(held, name)
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        return value + " again"
    if value is None and kind is not None and said is not None:
        return said.high
    if isinstance(value, tuple) and value and kind is not None:
        first = _changed(value[0], part, name)
        return None if first is None else (first, *value[1:])
    if isinstance(value, (int, float)) and kind is not None and said is not None:
        low, high = said.bound("low", kind), said.bound("high", kind)
        for other in (value * 1.07 + (0.01 if not value else 0), value * 0.93):
            whole = round(other) + 1 if isinstance(value, int) else other
            if (low is None or whole >= low) and (high is None or whole <= high):
                return whole if kind.plain else f"{whole / _si(kind):.6f} {_unit(kind)}"
    return None


def _unit(kind: Any) -> str:
    return kind.bare["si"]


def _si(kind: Any) -> float:
    return factor(kind.bare["si"], kind, "si")


def same(a: Any, b: Any) -> None:
    """Every entry exactly alike."""
    left, right = list(a.entries()), list(b.entries())
    assert [(k, e.subject) for k, e in left] == [(k, e.subject) for k, e in right]
    for (key, x), (_, y) in zip(left, right, strict=True):
        for field in dataclasses.fields(x):
            assert getattr(x, field.name) == getattr(y, field.name), f"{key} of {x.subject}: {field.name}"


class Watched(Memory):
    """A memory that notes in which modules something was worked out."""

    def __init__(self) -> None:
        self.modules: set[str] = set()
        super().__init__()

    def _work(self, work: Any, *args: Any) -> Any:
        self.modules.add(work.__module__)
        return super()._work(work, *args)


MOVES_GEOMETRY = Path(__file__).with_name("moves_geometry.txt")


def test_every_field_works_out_warm_what_it_does_cold_and_moves_geometry_only_where_it_must() -> None:
    """The fields that move geometry are listed in a file, to be read by hand when it changes: one that only
    scales a figure has no place there.
    """
    moved: dict[tuple[Any, ...], bool] = {}
    for path in sorted((ROOT / "tests" / "project" / "first_version").glob("*.json")):  # between them they hold all
        whole = load(path)
        _warm_as_cold(put(whole, ("options",), whole.options[:1]), moved)
    assert len(moved) > 300
    lines = {f"{kind}.{field} in {place or 'the site'}" for (kind, field, place), geometry in moved.items() if geometry}
    written = (line.partition("#")[0].strip() for line in MOVES_GEOMETRY.read_text(encoding="utf-8").splitlines())
    known = {line for line in written if line}
    either = {line.removeprefix("~ ") for line in known if line.startswith("~ ")}  # found worked out by another's turn
    new, known = lines - known - either, {line for line in known if not line.startswith("~ ")}
    assert not new, f"These move geometry now; take a narrower input, or list them: {sorted(new)}"
    assert known <= lines, f"These move no geometry any more; take them out of the list: {sorted(known - lines)}"


TOGETHER = 24  # changes that are worked out cold at once


def _warm_as_cold(project: Project, met: dict[tuple[Any, ...], bool]) -> None:
    """Change every field that was not met before, in turn, and work the project out warm; cold after every few.

    Those that bring a problem are worked out cold apart: what a problem leaves out would hide what the others move.
    """
    sound: list[tuple[Any, Any]] = []
    broken: list[tuple[Any, Any]] = []
    warm = Watched()
    before = _problems(asked(project, warm))
    for path, part, field in walk(project):
        # Once for each kind of field of each kind of part: the demos repeat themselves.
        mark = (type(part).__name__, field, path[2] if len(path) > 2 else "")
        if mark in met:
            continue
        met[mark] = False
        if (value := _changed(get(project, path), part, field)) is None:
            continue
        warm.modules.clear()
        try:
            results = asked(put(project, path, value), warm)
        except Refused:
            continue
        met[mark] = any(module.startswith("pondkit.geometry") for module in warm.modules)
        (sound if _problems(results) == before else broken).append((path, value))
    for changes in (sound, broken):
        rounds = -(-len(changes) // TOGETHER)
        for start in range(rounds):
            moved = project
            for path, value in changes[start::rounds]:  # far from each other in the file: other parts, other steps
                with contextlib.suppress(Refused):
                    moved = put(moved, path, value)
            for a, b in zip(asked(moved, warm).options, asked(moved, Memory()).options, strict=True):
                same(a, b)
                assert a.problems == b.problems


def _problems(results: Results) -> list[Any]:
    return [[(problem.path, problem.given.text) for problem in option.problems] for option in results.options]


def test_the_same_project_twice_is_the_same_result() -> None:
    memory, project = Memory(), read()
    first: Results = asked(project, memory)
    assert asked(project, memory).options[0] is first.options[0]


def many(count: int) -> Project:
    pools = [pool() | {"name": f"pool {i}", "at": [f"{32 * i - 500} ft", "0 ft"]} for i in range(count)]
    return read(options=[option(pools=pools)])


@pytest.mark.parametrize("count", [1, 3, 30])
def test_one_moved_tier_works_out_one_pool(count: int) -> None:
    memory, project = Memory(), many(count)
    before = asked(project, memory).options[0]
    memory.worked.clear()
    after = asked(put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), "31 in"), memory).options[0]
    assert memory.worked.count("lay_out") == 1
    assert sum(a is not b for a, b in zip(before.pools, after.pools, strict=True)) == 1


def test_several_sessions_share_a_small_memory() -> None:
    """Eight threads on a memory that drops steps all the time: each gets its own answer, and none an error."""
    memory = Memory(60)
    gate = threading.Barrier(8)
    interval = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)

    def square(number: int) -> int:
        return number * number

    def ask(start: int) -> list[int]:
        gate.wait()
        return [memory.ask(square, (start + 7 * turn) % 67) for turn in range(20_000)]

    try:
        with ThreadPoolExecutor(8) as pool:
            answers = list(pool.map(ask, range(8)))
    finally:
        sys.setswitchinterval(interval)
    assert answers == [[((start + 7 * turn) % 67) ** 2 for turn in range(20_000)] for start in range(8)]


def test_a_failure_is_remembered_too() -> None:
    memory = Memory()

    def fails() -> int:
        raise Trouble()

    for _ in range(2):
        with pytest.raises(Trouble):
            memory.ask(fails)
    assert list(memory.worked) == ["fails"]


def test_what_a_test_finds_remembered_or_not_is_remembered_at_all() -> None:
    """A name that no function has any more would never be found: such a test could not fail."""
    known = {"fails"}
    for path in (ROOT / "pondkit").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and any("remembered" in ast.unparse(d) for d in node.decorator_list):
                folder, module = path.parent.name, path.stem
                known.add(
                    f"{folder if module == node.name else module}.{node.name}" if node.name == "compute" else node.name
                )
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "remembered":
                known.add(ast.unparse(node.args[0]))
    for path in (ROOT / "tests").rglob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names: list[ast.expr] = []
            if isinstance(node, ast.Compare) and "memory.worked" in ast.unparse(node.comparators[0]):
                names = [node.left]
            elif (
                isinstance(node, ast.BinOp)
                and "memory.worked" in ast.unparse(node.right)
                and isinstance(node.left, ast.Set)
            ):
                names = node.left.elts
            elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith("worked.count"):
                names = node.args
            for name in names:
                if isinstance(name, ast.Constant) and isinstance(name.value, str):
                    assert name.value in known, (
                        f"{path.name}:{node.lineno}: nothing that is remembered is called {name.value!r}"
                    )


def _locked(value: object, seen: set[int]) -> None:
    """Make every array within a result read-only, so that writing to it raises."""
    if id(value) in seen:
        return
    seen.add(id(value))
    if isinstance(value, np.ndarray):
        value.flags.writeable = False
    elif isinstance(value, (tuple, list)):
        for part in value:
            _locked(part, seen)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            _locked(getattr(value, field.name, None), seen)


def test_nothing_writes_into_an_array_of_a_remembered_result(monkeypatch: pytest.MonkeyPatch) -> None:
    work = Memory._work

    def locking(self: Memory, function: Callable[..., Any], *args: Any) -> tuple[Any, Any]:
        value, trouble = work(self, function, *args)
        _locked(value, set())
        return value, trouble

    monkeypatch.setattr(Memory, "_work", locking)
    memory, project = Memory(), designs.whole()
    asked(project, memory)
    asked(put(project, designs.DEPTH, "20.3 in"), memory)
    assert memory.worked.count("sheets") > 1  # the liner was worked out anew, over lines that were remembered
