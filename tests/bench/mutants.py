"""Plant faults in a trade one by one, and see whether that trade's own tests notice.

    .venv/bin/python -m tests.bench.mutants liner [--count 40] [--seed 1]

A fault is a sign turned, a term dropped, a comparison turned or a number changed in the trade's code, or a number
changed in one of its tables. Each is planted in a copy of the project; the trade's tests and that of all tables run on
it, in processes forked from one that has collected them, first those that run the changed function. A fault that lives
changes nothing that a test holds: it is printed with its place, to be read, as some change no figure at all.
"""

import argparse
import ast
import contextlib
import csv
import functools
import gc
import io
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
LIMIT = 300  # s for the tests of one fault; longer counts as noticed: something loops
LEFT_OUT = {"words.csv"}
# Modules and folders that make no figure and no caution: bounds and defaults, pictures, and what a new part is first
# drawn as (tests/study/test_new_parts.py).
NO_FIGURES = frozenset(("inputs", "pictures", "new_parts"))
ALIKE = 1e-5  # numbers no larger are tolerances
TOLERANCES = frozenset(("CLOSE", "FLUSH", "HAIR", "JOINED", "NOISE", "NOTHING", "ROUNDING", "SAME", "SAME_LEVEL"))
QUICK = 0.7  # s of a test, to be run though it does not run the changed line
COMMAND = ("-q", "-x", "-n", "0", "-s", "-p", "no:cacheprovider", "-m", "not browser")
HELD_BY = (  # what holds tables of any trade against print, and figures of any trade where levels count from
    "tests/core/test_tables.py",
    "tests/solvers/test_friction.py",
    "tests/study/test_datum.py",
    "tests/trades/water/test_channels.py",
    "tests/trades/water/test_course.py",
    "tests/trades/water/test_tables.py",
)
ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
COMPARED = {ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt}


@dataclass(frozen=True)
class Fault:
    """One change: the file, what is done to it in words, and its text with the fault."""

    path: Path
    words: str
    text: str
    lines: range = range(0)


def faults_in_code(path: Path) -> Iterator[Callable[[], Fault]]:
    """Makers of the faults of a module, one for each place that takes one."""
    text = path.read_text(encoding="utf-8")
    for number in range(sum(_takes_one(node) for node in ast.walk(ast.parse(text)))):
        yield functools.partial(fault_in_code, path, text, number)


def fault_in_code(path: Path, text: str, number: int) -> Fault:
    """The fault at one of the places of a module that take one; all else stays on its line."""
    tree = ast.parse(text)
    node: Any = [each for each in ast.walk(tree) if _takes_one(each)][number]
    before, lines = ast.unparse(node), function_lines(tree, node)
    if isinstance(node, ast.BinOp):
        node.op = ARITHMETIC[type(node.op)]()
    elif isinstance(node, ast.Compare):
        node.ops = [COMPARED[type(node.ops[0])]()]
    elif isinstance(node, ast.UnaryOp):
        node.op = ast.UAdd()
    else:
        node.value *= 1.1
    after = ast.unparse(node)
    return Fault(path, f"line {node.lineno}: {before} -> {after}", replaced(text, node, after), lines)


def replaced(text: str, node: Any, by: str) -> str:
    """A text with another expression at a node's place, which takes as many lines as before."""
    rows = text.encode().splitlines(keepends=True)
    start = sum(map(len, rows[: node.lineno - 1])) + node.col_offset
    end = sum(map(len, rows[: node.end_lineno - 1])) + node.end_col_offset
    whole = text.encode()
    changed: bytes = whole[:start] + by.encode() + b"\n" * (node.end_lineno - node.lineno) + whole[end:]
    return changed.decode()


def function_lines(tree: ast.Module, node: ast.AST) -> range:
    """Lines of the function that a node stands in, with what decorates it; of the statement where it is in none."""
    holds = [each for each in ast.walk(tree) if isinstance(each, ast.stmt) and node in ast.walk(each)]
    inner = min(
        [each for each in holds if isinstance(each, ast.FunctionDef)] or holds,
        key=lambda each: (each.end_lineno or each.lineno) - each.lineno,
    )
    first = min([inner.lineno, *(each.lineno for each in getattr(inner, "decorator_list", ()))])
    return range(first, (inner.end_lineno or inner.lineno) + 1)


def _tolerance(node: ast.expr) -> bool:
    if isinstance(node, ast.Constant) and isinstance(node.value, (int, float)):
        return abs(node.value) <= ALIKE
    return isinstance(node, ast.Name) and node.id in TOLERANCES


def _takes_one(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp):
        text = isinstance(node.left, (ast.Constant, ast.JoinedStr, ast.List))
        return type(node.op) in ARITHMETIC and not text and not _tolerance(node.right)
    if isinstance(node, ast.Compare):
        return len(node.ops) == 1 and type(node.ops[0]) in COMPARED
    if isinstance(node, ast.UnaryOp):
        return isinstance(node.op, ast.USub)
    # A tenth more of nothing, or of what two figures may differ by and still be the same, is no fault.
    return isinstance(node, ast.Constant) and isinstance(node.value, float) and abs(node.value) > ALIKE


def faults_in_table(path: Path) -> Iterator[Callable[[], Fault]]:
    """Makers of the faults of a table, one for each number."""
    rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    for line, row in enumerate(rows[1:], 1):
        for column, cell in enumerate(row):
            with contextlib.suppress(ValueError):
                yield functools.partial(fault_in_table, path, rows, line, column, float(cell))


def fault_in_table(path: Path, rows: list[list[str]], line: int, column: int, value: float) -> Fault:
    """A number of a table a tenth larger."""
    changed = [list(each) for each in rows]
    changed[line][column] = f"{value * 1.1 if value else 0.1:g}"
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(changed)
    before, after = rows[line][column], changed[line][column]
    return Fault(path, f"{rows[line][0]}, {rows[0][column]}: {before} -> {after}", out.getvalue())


def faults(trade: str, count: int, seed: int) -> list[Fault]:
    """A sample of a trade's faults."""
    folder = ROOT / "pondkit" / "trades" / trade
    every: list[Callable[[], Fault]] = []
    for path in sorted(folder.rglob("*")):
        if path.suffix == ".py" and not NO_FIGURES & {path.stem, *path.relative_to(folder).parts}:
            every += faults_in_code(path)
        elif path.suffix == ".csv" and path.name not in LEFT_OUT:
            every += faults_in_table(path)
    return [make() for make in random.Random(seed).sample(every, min(count, len(every)))]


class Planter:
    """A plugin of pytest: runs the collected tests once in a fork, which notes the functions that each runs, and then
    for every fault those that may notice it.
    """

    def __init__(self, copy: Path, trade: str, chosen: list[Fault]) -> None:
        self.copy, self.chosen, self.lived = copy, chosen, 0
        self.folder = str(copy / "pondkit" / "trades" / trade)
        self.lines: dict[str, set[tuple[str, int]]] = {}
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        record = self.copy / "record"
        if not in_fork(lambda: self.note(session, record), 10 * LIMIT):
            sys.exit("The trade's tests do not hold as they are.")
        self.lines, self.seconds = ast.literal_eval(record.read_text(encoding="utf-8"))
        for fault in self.chosen:
            if not self.noticed(session, fault):
                self.lived += 1
                tell(f"lived: {fault.path.relative_to(ROOT)}, {fault.words}")
        return True

    def note(self, session: pytest.Session, record: Path) -> bool:
        """Run all tests; note the functions that each runs, by their first lines, and how long it takes."""

        def at_call(frame: FrameType, event: str, argument: Any) -> None:
            if frame.f_code.co_filename.startswith(self.folder):
                lines.add((frame.f_code.co_filename, frame.f_code.co_firstlineno))

        for item, following in zip(session.items, [*session.items[1:], None], strict=True):
            lines = self.lines.setdefault(item.nodeid, set())
            start = time.process_time()
            sys.settrace(at_call)
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            sys.settrace(None)
            self.seconds[item.nodeid] = time.process_time() - start
            if session.testsfailed:
                return False
        record.write_text(repr((self.lines, self.seconds)), encoding="utf-8")
        return True

    def noticed(self, session: pytest.Session, fault: Fault) -> bool:
        """Whether a test fails with the fault planted in the copy, which is then as it was.

        First the tests that run the changed function, the quickest first; then all others that are quick, as a result
        may be remembered from the test before. What is read when a module is loaded asks for the modules anew.
        """
        target = self.copy / fault.path.relative_to(ROOT)
        changed = {(str(target), line) for line in fault.lines}
        in_turn = sorted(session.items, key=lambda item: self.seconds[item.nodeid])
        first = [item for item in in_turn if self.lines[item.nodeid] & changed]
        rest = [item for item in in_turn if item not in first and self.seconds[item.nodeid] < QUICK]
        kept = target.read_text(encoding="utf-8")
        target.write_text(fault.text, encoding="utf-8")
        try:
            if not in_fork(lambda: plant(fault, target) and passed(session, [*first, *rest])):
                return True
            loaded = fault.path.suffix == ".csv" or not first
            return loaded and not in_fork(lambda: anew(self.copy, [item.nodeid for item in [*first, *rest]]))
        finally:
            target.write_text(kept, encoding="utf-8")


def tell(text: str) -> None:
    sys.__stdout__.write(f"{text}\n")  # type: ignore[union-attr]
    sys.__stdout__.flush()  # type: ignore[union-attr]


def plant(fault: Fault, target: Path) -> bool:
    """Give the functions of a loaded module the code with the fault, and forget all that was worked out."""
    if target.suffix == ".py":
        new = codes(fault.text, target)
        for function in [each for each in gc.get_objects() if isinstance(each, FunctionType)]:
            if function.__code__.co_filename == str(target):
                function.__code__ = new.get(name_of(function.__code__), function.__code__)
    for cached in [each for each in gc.get_objects() if isinstance(each, functools._lru_cache_wrapper)]:
        if (cached.__module__ or "").partition(".")[0] in ("pondkit", "tests"):
            cached.cache_clear()
    return True


def codes(text: str, path: Path) -> dict[tuple[Any, ...], CodeType]:
    """The code of every function of a module, by what tells it from the others."""
    found: dict[tuple[Any, ...], CodeType] = {}

    def gather(code: CodeType) -> None:
        for inner in code.co_consts:
            if isinstance(inner, CodeType):
                found[name_of(inner)] = inner
                gather(inner)

    gather(compile(text, str(path), "exec"))
    return found


def name_of(code: CodeType) -> tuple[Any, ...]:
    return code.co_qualname, code.co_firstlineno, code.co_varnames, code.co_freevars, code.co_names


def passed(session: pytest.Session, items: list[pytest.Item]) -> bool:
    """Whether the tests pass, up to the first that does not."""
    for item, following in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if session.testsfailed:
            return False
    return True


def anew(copy: Path, names: list[str]) -> bool:
    """Whether the tests pass when they and the package are loaded anew."""
    for name in [each for each in sys.modules if each.partition(".")[0] in ("tests", "pondkit")]:
        del sys.modules[name]
    place = {name: at for at, name in enumerate(names)}

    class Chosen:
        @pytest.hookimpl(trylast=True)
        def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
            items[:] = sorted((i for i in items if i.nodeid in place), key=lambda item: place[item.nodeid])

    return pytest.main([*COMMAND, *sorted({name.partition("::")[0] for name in names})], plugins=[Chosen()]) == 0


def in_fork(work: Callable[[], bool], limit: float = LIMIT) -> bool:
    """What ``work`` gives, in a process forked from this one; False where it fails or takes too long."""
    child = os.fork()
    if not child:
        code = 1
        try:
            nothing = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nothing, 1)
            os.dup2(nothing, 2)
            code = 0 if work() else 1
        finally:
            os._exit(code)
    until = time.monotonic() + limit
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status) == 0
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return False


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
        os.chdir(copy)
        sys.path[:] = [str(copy), *(each for each in sys.path if each not in ("", str(ROOT)))]
        del sys.modules["tests.bench"], sys.modules["tests"]
        planter = Planter(copy, given.trade, chosen)
        pytest.main([*COMMAND, f"tests/trades/{given.trade}", *HELD_BY], plugins=[planter])
    tell(f"{given.trade}: {len(chosen) - planter.lived} of {len(chosen)} noticed")


if __name__ == "__main__":
    main()
