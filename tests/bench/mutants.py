"""Plant faults in a trade one by one, and see whether that trade's own tests notice.

    .venv/bin/python -m tests.bench.mutants liner [--count 40] [--seed 1]

A fault is a sign turned, a term dropped, a comparison turned or a number changed in the trade's code, or a number
changed in one of its tables. Each is planted in a copy of the project; the trade's tests, and those of the architecture
that look at workings and cautions, run on it. A fault that lives changes nothing that a test holds: it is printed with
its place, to be read, as some change no figure at all.
"""

import argparse
import ast
import csv
import io
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
LIMIT = 300  # s for the tests of one fault; longer counts as noticed: something loops
LEFT_OUT = {"words.csv"}
ALIKE = 1e-5  # numbers no larger are tolerances
HELD_BY = ("tests/architecture/test_cautions.py", "tests/architecture/test_words.py", "tests/core/test_tables.py")
ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
COMPARED = {ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt}


@dataclass(frozen=True)
class Fault:
    """One change: the file, what is done to it in words, and its text with the fault."""

    path: Path
    words: str
    text: str


def faults_in_code(path: Path) -> Iterator[Fault]:
    """Faults of a module, one at each place that takes one."""
    text = path.read_text(encoding="utf-8")
    count = sum(_takes_one(node) for node in ast.walk(ast.parse(text)))
    for number in range(count):
        tree = ast.parse(text)
        node = [each for each in ast.walk(tree) if _takes_one(each)][number]
        before = ast.unparse(node)
        if isinstance(node, ast.BinOp):
            node.op = ARITHMETIC[type(node.op)]()
        elif isinstance(node, ast.Compare):
            node.ops = [COMPARED[type(node.ops[0])]()]
        elif isinstance(node, ast.UnaryOp):
            node.op = ast.UAdd()
        elif isinstance(node, ast.Constant) and isinstance(node.value, (int, float)):
            node.value = node.value * 1.1 if isinstance(node.value, float) else node.value + 1
        yield Fault(path, f"line {node.lineno}: {before} -> {ast.unparse(node)}", ast.unparse(tree))  # type: ignore[attr-defined]


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


def noticed(fault: Fault, trade: str, copy: Path) -> bool:
    """Whether a test fails with the fault planted in the copy, which is then as it was."""
    target = copy / fault.path.relative_to(ROOT)
    kept = target.read_text(encoding="utf-8")
    target.write_text(fault.text, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "-p", "no:cacheprovider", "-m", "not browser"]
    try:
        ran = subprocess.run(
            [*command, f"tests/trades/{trade}", *HELD_BY], cwd=copy, capture_output=True, timeout=LIMIT, check=False
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        target.write_text(kept, encoding="utf-8")
    return ran.returncode != 0


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
        whole = chosen[0].path
        if noticed(Fault(whole, "nothing changed", whole.read_text(encoding="utf-8")), given.trade, copy):
            sys.exit(f"The tests of {given.trade} do not hold as they are.")
        lived = [fault for fault in chosen if not noticed(fault, given.trade, copy)]
    for fault in lived:
        print(f"lived: {fault.path.relative_to(ROOT)}, {fault.words}")
    print(f"{given.trade}: {len(chosen) - len(lived)} of {len(chosen)} noticed")


if __name__ == "__main__":
    main()
