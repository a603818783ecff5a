"""Names that say what was done to a thing, and not what it is, are neither bound nor given to functions and classes."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pondkit

PACKAGE = Path(pondkit.__file__).parent
WEAK = {
    *("asked", "at", "drawn", "found", "got", "held", "kept", "laid"),
    *("lost", "made", "one", "own", "put", "said", "taken", "told"),
}
VERBS = {"at", "put"}  # plain names of functions: the value at a place, a value put at a path
BETTER = (
    "name the thing instead, with a noun that an engineer would use: 'elevation', 'liner', 'outline', 'candidates', "
    "'message', 'loss'; a function that gathers a list names it after what is in it"
)


def _bound(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """(line, name) of every variable and argument that is bound within functions."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.lineno, node.id
        elif isinstance(node, ast.arg):
            yield node.lineno, node.arg


def _fields(tree: ast.AST) -> set[tuple[int, str]]:
    """(line, name) of the fields of classes, which keys of files and of the takeoff may need."""
    return {
        (line.lineno, line.target.id)
        for owner in ast.walk(tree)
        if isinstance(owner, ast.ClassDef)
        for line in owner.body
        if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name)
    }


def weak_names(source: str) -> list[tuple[int, str]]:
    """(line, name) of each weak name that a module binds, except fields of classes, or gives to a function or a
    class.
    """
    tree = ast.parse(source)
    fields = _fields(tree)
    bound = [name for name in _bound(tree) if name[1] in WEAK and name not in fields]
    defined = [
        (node.lineno, node.name)
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and node.name.strip("_").lower() in WEAK - VERBS
    ]
    return sorted([*bound, *defined])


def test_no_variable_is_named_by_what_was_done_to_a_thing() -> None:
    weak = [
        f"{path.relative_to(PACKAGE)}:{line} binds '{name}'"
        for path in sorted(PACKAGE.rglob("*.py"))
        for line, name in weak_names(path.read_text(encoding="utf-8"))
    ]
    assert not weak, "\n".join([*weak, BETTER])


def test_weak_names_are_seen_wherever_they_are_bound() -> None:
    source = (
        "class Survey:\n    drawn: float\n"
        "def reduce(found, level):\n    held = [one for one in level]\n    for kept in held:\n        yield kept\n"
        "def _said(level):\n    return level\nclass Laid:\n    pass\n"
    )
    assert [name for _, name in weak_names(source)] == ["found", "held", "one", "kept", "_said", "Laid"]
