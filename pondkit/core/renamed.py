"""Renamed keys, from ``project/renamed.csv``: files, price lists and ``--figure`` still read the old names.

A row of kind "takeoff" names two keys of the takeoff. A row of kind "document" names the place of a key in a project
file, with ``*`` for each item of a list ("options.*.stone.porosity"), and the key that stands there now. What moved to
another place, not only to another name, is carried over by ``project/files.py``.
"""

from functools import cache
from typing import Any

from pondkit.core.refusal import Refused
from pondkit.core.tables import table

FILE = "project/renamed"


@cache
def renames(kind: str) -> dict[str, str]:
    """New name by old name, of keys of the takeoff or of the document."""
    return {row["old"]: row["new"] for row in table(FILE) if row["kind"] == kind}


def takeoff_key(key: str) -> str:
    """The present key of the takeoff for an older one; a key that was never renamed is returned as it is."""
    renamed_keys = renames("takeoff")
    while key in renamed_keys:
        key = renamed_keys[key]
    return key


def with_new_keys(data: Any) -> Any:
    """Data of a file with every old key of the document under its new name, and every price under the present key of
    its item.

    Raises: Refused if a key is there under both names.
    """
    for old, new in renames("document").items():
        data = _renamed(data, tuple(old.split(".")), new, ())
    data = _priced(data, ("prices", "lines", "*"))
    return _priced(data, ("options", "*", "rates", "lines", "*"))


def _renamed(data: Any, path: tuple[str, ...], new: str, place: tuple[str, ...]) -> Any:
    step, rest = path[0], path[1:]
    if step == "*" and isinstance(data, list):
        return [_renamed(item, rest, new, (*place, str(index + 1))) for index, item in enumerate(data)]
    if not isinstance(data, dict) or step not in data:
        return data
    if rest:
        return data | {step: _renamed(data[step], rest, new, (*place, step))}
    if new in data:
        where = ", ".join((*place, new))
        raise Refused(f"{where}: it stands there under its older name {step!r} too; keep one of the two.")
    return {new if key == step else key: value for key, value in data.items()}


def _priced(data: Any, path: tuple[str, ...]) -> Any:
    """Price lines with the present keys of their items."""
    if not path:
        item = data.get("item") if isinstance(data, dict) else None
        return data | {"item": takeoff_key(item)} if isinstance(item, str) else data
    step, rest = path[0], path[1:]
    if step == "*":
        return [_priced(item, rest) for item in data] if isinstance(data, list) else data
    return data | {step: _priced(data[step], rest)} if isinstance(data, dict) and step in data else data
