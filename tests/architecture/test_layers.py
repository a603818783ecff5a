"""Floors of the package: imports only point down, each library stays in its place, the top level is the agreed one."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "pondkit"
MODULES = sorted(PACKAGE.rglob("*.py"))
FOLDERS = ("core", "geometry", "solvers", "drawing", "trades", "project", "study", "report", "page")
TRADES = (
    "ground",
    "pools",
    "walls",
    "stone",
    "water",
    "tunnels",
    "liner",
    "earthwork",
    "lifting",
    "clearances",
    "animals",
    "cost",
)
PLACES = {
    "pint": ("core",),
    "pydantic": ("core", "geometry/shapes", "inputs", "project"),
    "pydantic_core": ("core", "project"),
    "shapely": ("geometry",),
    "plotly": ("drawing",),
    "pandas": ("report",),
    "streamlit": ("page",),
    "PIL": ("page", "project", "drawing", "report"),
    "typst": ("report",),
    "font_source_sans_pro": ("drawing",),
    "networkx": ("trades/tunnels", "solvers"),
    "fluids": ("trades", "solvers", "core"),
}
MOST_LINES = 700


def place(path: Path) -> str:
    """Folder and module within the package: "trades/stone/work"."""
    return path.relative_to(PACKAGE).as_posix().removesuffix(".py").removesuffix("/__init__")


def rank(name: str) -> tuple[int, int]:
    """How far up a place stands: its folder's row, and a trade's own place in the order of trades."""
    parts = name.split("/")
    folder = FOLDERS.index(parts[0]) if parts[0] in FOLDERS else len(FOLDERS)
    return folder, TRADES.index(parts[1]) if parts[0] == "trades" and len(parts) > 1 else 0


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def backward() -> set[str]:
    """Every import that points up the list of folders, or to a later trade: "importer -> imported"."""
    known = {place(path) for path in MODULES}
    arrows = set()
    for path in MODULES:
        own = place(path)
        for name in imported(path):
            other = name.removeprefix("pondkit.").replace(".", "/")
            if name.startswith("pondkit.") and other in known and rank(other) > rank(own) and own != "__init__":
                arrows.add(f"{own} -> {other}")
    return arrows


def test_imports_point_down() -> None:
    """A word that two trades share goes down into core or geometry; a value that a
    trade needs is handed to it by study.
    """
    arrows = sorted(backward())
    assert not arrows, f"These point up the list of folders, or to a later trade: {arrows}"


def test_libraries_stay_in_their_places() -> None:
    for path in MODULES:
        own = place(path)
        for name in imported(path):
            allowed = PLACES.get(name.split(".")[0])
            at_home = allowed is None or own.startswith(allowed) or ("inputs" in allowed and "inputs" in own.split("/"))
            assert at_home, f"{name} is imported in {own}"


def test_every_module_stands_in_a_folder_of_the_list() -> None:
    loose = {place(path) for path in MODULES if place(path).split("/")[0] not in FOLDERS}
    assert loose == {"__init__", "__main__"}


def test_there_is_one_memory_of_results() -> None:
    """A cache elsewhere may hold tables, texts and types: never a part of the document or a result."""
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Name) and node.id == "lru_cache" and path.name != "remembered.py":
                pytest.fail(f"{path.name} has a cache of its own")
            if isinstance(node, ast.Attribute) and node.attr in ("cache_data", "cache_resource"):
                pytest.fail(f"{path.name} caches by the page library")


def test_session_state_is_only_touched_by_the_state_and_the_components() -> None:
    for path in (PACKAGE / "page").rglob("*.py"):
        if "session_state" in path.read_text(encoding="utf-8"):
            assert path.name == "state.py" or path.parent.name == "components", path.name


def test_modules_are_read_in_one_sitting() -> None:
    for path in MODULES:
        assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES, path.name


def test_the_package_alone_loads_no_page_and_no_pictures() -> None:
    code = "import sys, pondkit; print(sorted({'streamlit', 'plotly', 'pandas'} & set(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_the_top_level_is_the_agreed_one() -> None:
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith((".", "__pycache__"))}
    assert seen == {"README.md", "DEVELOPERS.md", "requirements.txt", "app.py", "pondkit", "tests", "demo_data"}


def test_the_entry_file_stays_thin() -> None:
    assert len((ROOT / "app.py").read_text(encoding="utf-8").splitlines()) <= 15
