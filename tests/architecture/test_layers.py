"""Floors of the package: imports only point down, each library stays in its place, the top level is the agreed one."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "pondkit"
MODULES = sorted(PACKAGE.rglob("*.py"))
TRADES = {"animals", "basin", "earth", "land", "lifting", "lining", "stone", "tunnels", "walls", "water"}
FLOORS = {
    "kinds": 1, "units": 1, "reference": 1, "document": 2, "takeoff": 2, "result": 2, "buoyancy": 2, "surface": 3, "cutting": 3, **dict.fromkeys(TRADES, 4),
    "evaluate": 5, "steps": 5, "between": 5, "daylight": 5, "digging": 5, "ditches": 5, "floating": 5, "flushing": 5, "hauling": 5, "heaping": 5, "heavy": 5, "lifts": 5, "holes": 5, "totals": 5, "price": 5, "compare": 5,
    "solve": 5, "aim": 5, "view": 6, "page": 7, "__main__": 7, "__init__": 7,
}  # fmt: skip
PLACES = {
    "pint": {"units"}, "pydantic": {"document"}, "pydantic_core": {"document"}, "shapely": {"surface"}, "plotly": {"view"},
    "pandas": {"view"}, "streamlit": {"page"}, "PIL": {"page", "view"}, "networkx": {"tunnels"}, "fluids": TRADES,
}  # fmt: skip
MOST_LINES = 400


def place(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
            if node.module == "pondkit":
                names |= {f"pondkit.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_point_down(path: Path) -> None:
    own = place(path)
    if own == "__init__":
        return
    for name in imported(path):
        parts = name.split(".")
        if parts[0] != "pondkit" or len(parts) < 2 or parts[1] not in FLOORS:
            continue
        other = parts[1]
        assert FLOORS[other] <= FLOORS[own], f"{own} imports {other}, a floor above it"
        if own in TRADES and other in TRADES:
            assert own == other, f"the trade {own} imports the trade {other}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_libraries_stay_in_their_places(path: Path) -> None:
    for name in imported(path):
        allowed = PLACES.get(name.split(".")[0])
        assert allowed is None or place(path) in allowed, f"{name} is imported in {place(path)}"


def test_every_module_stands_on_a_floor() -> None:
    assert {place(path) for path in MODULES} <= set(FLOORS)


def test_only_evaluate_remembers_results() -> None:
    """A cache elsewhere may hold tables, texts and types: never a part of the document or a result."""
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Name) and node.id == "lru_cache" and path.name != "evaluate.py":
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
