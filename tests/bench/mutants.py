"""Plant faults in a trade one by one, and see whether that trade's own tests notice.

    .venv/bin/python -m tests.bench.mutants liner [--count 40] [--seed 1]

A fault is a sign turned, a term dropped, a comparison turned or a number changed in the trade's code, or a number
changed in one of its tables. Each is planted in a copy of the project; the trade's tests and that of all tables run on
it, first those that run the changed line. A fault that lives changes nothing that a test holds: it is printed with
its place, to be read, as some change no figure at all.
"""

import argparse
import ast
import csv
import importlib
import io
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

for library in ("numpy", "scipy.optimize", "shapely", "pint", "pydantic", "networkx", "pandas", "plotly.graph_objects"):
    importlib.import_module(library)  # once, for every process that is forked from this one

ROOT = Path(__file__).parents[2]
LIMIT = 300  # s for the tests of one fault; longer counts as noticed: something loops
LEFT_OUT = {"words.csv"}
ALIKE = 1e-5  # numbers no larger are tolerances
QUICK = 2.0  # s of a test, to be run though it does not run the changed line
HELD_BY = ("tests/core/test_tables.py",)
ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
COMPARED = {ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt}


@dataclass(frozen=True)
class Fault:
    """One change: the file, what is done to it in words, and its text with the fault."""

    path: Path
    words: str
    text: str
    lines: range = range(0)


def faults_in_code(path: Path) -> Iterator[Fault]:
    """Faults of a module, one at each place that takes one."""
    text = path.read_text(encoding="utf-8")
    count = sum(_takes_one(node) for node in ast.walk(ast.parse(text)))
    for number in range(count):
        tree = ast.parse(text)
        node = [each for each in ast.walk(tree) if _takes_one(each)][number]
        before, lines = ast.unparse(node), statement_lines(tree, node)
        if isinstance(node, ast.BinOp):
            node.op = ARITHMETIC[type(node.op)]()
        elif isinstance(node, ast.Compare):
            node.ops = [COMPARED[type(node.ops[0])]()]
        elif isinstance(node, ast.UnaryOp):
            node.op = ast.UAdd()
        elif isinstance(node, ast.Constant) and isinstance(node.value, (int, float)):
            node.value = node.value * 1.1 if isinstance(node.value, float) else node.value + 1
        yield Fault(path, f"line {node.lineno}: {before} -> {ast.unparse(node)}", ast.unparse(tree), lines)  # type: ignore[attr-defined]


def statement_lines(tree: ast.Module, node: ast.AST) -> range:
    """Lines of the statement that a node stands in; of an ``if``, a loop or a function its head."""
    holds = [each for each in ast.walk(tree) if isinstance(each, ast.stmt) and node in ast.walk(each)]
    inner = min(holds, key=lambda each: (each.end_lineno or each.lineno) - each.lineno)
    body = getattr(inner, "body", None)
    return range(inner.lineno, body[0].lineno if body else (inner.end_lineno or inner.lineno) + 1)


def _takes_one(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp):
        return type(node.op) in ARITHMETIC and not isinstance(node.left, (ast.Constant, ast.JoinedStr, ast.List))
    if isinstance(node, ast.Compare):
        return len(node.ops) == 1 and type(node.ops[0]) in COMPARED
    if isinstance(node, ast.UnaryOp):
        return isinstance(node.op, ast.USub)
    # A tenth more of nothing, or of what two figures may differ by and still be the same, is no fault.
    return isinstance(node, ast.Constant) and isinstance(node.value, float) and abs(node.value) > ALIKE


def faults_in_table(path: Path) -> Iterator[Fault]:
    """Faults of a table: each number a tenth larger."""
    rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    for line, row in enumerate(rows[1:], 1):
        for column, cell in enumerate(row):
            try:
                value = float(cell)
            except ValueError:
                continue
            changed = [list(each) for each in rows]
            changed[line][column] = f"{value * 1.1 if value else 0.1:g}"
            out = io.StringIO()
            csv.writer(out, lineterminator="\n").writerows(changed)
            yield Fault(path, f"{row[0]}, {rows[0][column]}: {cell} -> {changed[line][column]}", out.getvalue())


def faults(trade: str, count: int, seed: int) -> list[Fault]:
    """A sample of a trade's faults."""
    folder = ROOT / "pondkit" / "trades" / trade
    every: list[Fault] = []
    for path in sorted(folder.rglob("*")):
        if path.suffix == ".py" and "pictures" not in path.as_posix() and "inputs" not in path.as_posix():
            every += faults_in_code(path)
        elif path.suffix == ".csv" and path.name not in LEFT_OUT:
            every += faults_in_table(path)
    return random.Random(seed).sample(every, min(count, len(every)))


class Record:
    """A plugin of pytest: which lines of a folder each test runs, and how long it takes."""

    def __init__(self, folder: Path) -> None:
        self.folder = str(folder)
        self.lines: dict[str, set[tuple[str, int]]] = {}
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        lines = self.lines.setdefault(item.nodeid, set())

        def within(frame: FrameType, event: str, argument: Any) -> Any:
            lines.add((frame.f_code.co_filename, frame.f_lineno))
            return within

        def at_call(frame: FrameType, event: str, argument: Any) -> Any:
            return within(frame, event, argument) if frame.f_code.co_filename.startswith(self.folder) else None

        start = time.process_time()
        sys.settrace(at_call)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            self.seconds[item.nodeid] = time.process_time() - start


class Chosen:
    """A plugin of pytest: only the named tests, in their order."""

    def __init__(self, names: list[str]) -> None:
        self.place = {name: place for place, name in enumerate(names)}

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted((each for each in items if each.nodeid in self.place), key=lambda i: self.place[i.nodeid])


def run(copy: Path, paths: list[str], plugin: Any, answer: Path | None = None) -> bool:
    """Whether tests pass in the copy: in a process of its own, forked from this one with its libraries loaded."""
    child = os.fork()
    if not child:
        code = 1
        try:
            os.chdir(copy)
            sys.path[:] = [str(copy), *(each for each in sys.path if each not in ("", str(ROOT)))]
            for name in [each for each in sys.modules if each.partition(".")[0] in ("tests", "pondkit")]:
                del sys.modules[name]
            nothing = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nothing, 1)
            os.dup2(nothing, 2)
            command = ["-q", "-x", "-n", "0", "-p", "no:cacheprovider", "-m", "not browser"]
            code = int(pytest.main([*command, *paths], plugins=[plugin]))
            if answer:
                answer.write_text(repr((plugin.lines, plugin.seconds)), encoding="utf-8")
        finally:
            os._exit(code)
    until = time.monotonic() + LIMIT
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status) == 0
        time.sleep(0.05)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return False


def noticed(fault: Fault, copy: Path, record: Record) -> bool:
    """Whether a test fails with the fault planted in the copy, which is then as it was.

    First the tests that run the changed lines, the quickest first; then all others that are quick, as a result may be
    remembered from the test before.
    """
    target = copy / fault.path.relative_to(ROOT)
    changed = {(str(target), line) for line in fault.lines}
    in_turn = sorted(record.seconds, key=lambda name: record.seconds[name])
    first = [name for name in in_turn if record.lines[name] & changed]
    rest = [name for name in in_turn if name not in set(first) and record.seconds[name] < QUICK]
    kept = target.read_text(encoding="utf-8")
    target.write_text(fault.text, encoding="utf-8")
    try:
        return any(
            names and not run(copy, sorted({name.partition("::")[0] for name in names}), Chosen(names))
            for names in (first, rest)
        )
    finally:
        target.write_text(kept, encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("trade")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    chosen = faults(given.trade, given.count, given.seed)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "project"
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache"))
        record, answer = Record(copy / "pondkit" / "trades" / given.trade), Path(folder) / "record"
        if not run(copy, [f"tests/trades/{given.trade}", *HELD_BY], record, answer):
            sys.exit(f"The tests of {given.trade} do not hold as they are.")
        record.lines, record.seconds = ast.literal_eval(answer.read_text(encoding="utf-8"))
        lived = 0
        for fault in chosen:
            if not noticed(fault, copy, record):
                lived += 1
                print(f"lived: {fault.path.relative_to(ROOT)}, {fault.words}", flush=True)
    print(f"{given.trade}: {len(chosen) - lived} of {len(chosen)} noticed")


if __name__ == "__main__":
    main()
