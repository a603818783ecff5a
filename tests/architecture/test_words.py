"""Keys that results can hold are those of the table of words; each has label, meaning,
group, and units that fit its kind.
"""

import importlib
import pkgutil
import typing
from contextlib import suppress
from dataclasses import fields

import pondkit
from pondkit.core import tables
from pondkit.core.entry import Entry
from pondkit.core.result import Result
from pondkit.core.units import KINDS, SYSTEMS, UnitError, factor
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo


def _results(kind: type[Result]) -> set[type[Result]]:
    return {kind}.union(*(_results(sub) for sub in kind.__subclasses__()))


def _is_entry(hint: object) -> bool:
    return hint is Entry or any(_is_entry(arg) for arg in typing.get_args(hint))


def _keys() -> set[str]:
    for module in pkgutil.walk_packages(pondkit.__path__, "pondkit."):
        if not module.name.startswith(("pondkit.page", "pondkit.__main__")):
            importlib.import_module(module.name)
    found: set[str] = set()
    for kind in _results(Result):
        if not kind.__module__.startswith("pondkit") or kind.__name__.startswith("_"):
            continue
        hints = typing.get_type_hints(kind)
        found |= {f.name for f in fields(kind) if _is_entry(hints[f.name])}
    return found


ROWS = tuple(tables.figure_words().values())


def test_both_sets_of_keys_are_the_same() -> None:
    assert _keys() == set(tables.figure_words())


def test_every_key_has_its_words() -> None:
    assert set(tables.ORDER) == set(tables.GROUPS)
    for row in ROWS:
        key = row["key"]
        assert key.isidentifier() and key == key.lower()
        assert row["label"] and row["meaning"].endswith(".") and row["group"] in tables.GROUPS, key
        assert row["summary"] in ("", "1", "sum", "greatest", "least", "each"), key
        assert bool(row["us"]) == bool(row["si"]), key
        assert row["us"] not in ("deg", "°"), f"{key}: leave the units of an angle out; it is always written in °"
        assert not row["us"] or _kinds(row["us"]) & _kinds(row["si"]), key


def _kinds(unit: str) -> set[str]:
    """Names of the kinds that a unit can measure."""
    found = set()
    for kind in KINDS:
        if not kind.plain:
            with suppress(UnitError):
                factor(unit, kind, "us")
                found.add(kind.name)
    return found


def test_units_fit_the_kinds() -> None:
    units = {row["key"]: row for row in ROWS}
    met = set()
    for name in DEMO_NAMES:
        for option in evaluate(demo(name)).options:
            for key, entry in option.entries():
                met.add(key)
                for system in SYSTEMS:
                    if unit := units[key][system]:
                        assert factor(unit, entry.kind, system) > 0
    assert len(met) > 0.8 * len(units)
