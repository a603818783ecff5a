"""Files of older versions. Keys that have moved are carried over if nothing is lost, else refused with the mend; a
control character, which texts may not hold any more, becomes a space and is reported.
"""

import re
from collections.abc import Iterator
from typing import Any

from pondkit.core.refusal import Refused
from pondkit.core.units import brief


def carried(data: dict[str, Any]) -> dict[str, Any]:
    """Data of a file with keys of older versions at their present places. Data that are faulty are left as they are.

    The place ``lifting.way_in`` of an option is now the last of ``site.way_in.points``, which all options share;
    prices that are the same in all options are now the job's ``prices``.

    Raises: Refused if the way's line ends at another place, or if options state several places.
    """
    return _one_way(_one_price_list(data))


def _one_price_list(data: dict[str, Any]) -> dict[str, Any]:
    """The options' prices moved to the job if they are the same in all options; otherwise each option keeps its own."""
    options = data.get("options")
    if data.get("prices") is not None or not (isinstance(options, list) and options):
        return data
    rates = [option.get("rates") if isinstance(option, dict) else None for option in options]
    if rates[0] is None or any(each != rates[0] for each in rates):
        return data
    return data | {"prices": rates[0], "options": [option | {"rates": None} for option in options]}


def _one_way(data: dict[str, Any]) -> dict[str, Any]:
    """The end of the way in moved from the options to the site."""
    old = list(_ways(data))
    if not old:
        return data
    site = data.get("site", {})
    way = site.get("way_in") if isinstance(site, dict) else None
    points = way.get("points") if isinstance(way, dict) else None
    ends = points[-1:] if isinstance(points, list) and points else []
    for _, place in old:
        if place not in ends:
            ends.append(place)
    if len(ends) > 1:
        where = "where the site's way in ends too" if points else "as in the other options"
        raise Refused(
            *(
                f"option {number}, lifting, way_in: {brief(place)}: the way in is one line of the site now, and "
                "all options share its end at the dig. "
                "Take the key out, and enter the place as the last of site, way_in, points, if it is the right "
                f"one. It is allowed here only {where}."
                for number, place in old
                if place != ends[0] or not points
            )
        )
    options = [_without(option) for option in data["options"]]
    if not points and isinstance(site, dict) and (way is None or isinstance(way, dict)):
        data = data | {"site": site | {"way_in": (way or {}) | {"points": ends}}}
    return data | {"options": options}


def _ways(data: dict[str, Any]) -> Iterator[tuple[int, Any]]:
    options = data.get("options")
    for number, option in enumerate(options if isinstance(options, list) else (), start=1):
        lifting = option.get("lifting") if isinstance(option, dict) else None
        if isinstance(lifting, dict) and "way_in" in lifting:
            yield number, lifting["way_in"]


def _without(option: Any) -> Any:
    if not (isinstance(option, dict) and isinstance(option.get("lifting"), dict)):
        return option
    return option | {"lifting": {key: value for key, value in option["lifting"].items() if key != "way_in"}}


# Older versions allowed these: all control characters except bidirectional ones, which are refused; a note keeps its
# line breaks.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")
_NOT_A_BREAK = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029]")
_HIGH = re.compile(r"[\x7f-\x9f\u2028\u2029]")
_REFUSED_BEFORE = ("name", "supplier", "of")  # fields in which older versions refused characters below a blank as well
_LINES = ("note", "address", "contacts", "terms", "excluded")  # fields that may have several lines
MOST_TOLD = 5


def mended(data: Any) -> tuple[Any, tuple[str, ...]]:
    """(data of a file with a space for each control character that an older version allowed, what was mended, in
    words).
    """
    notes: list[str] = []
    mend = _walk(data, (), notes)
    more = len(notes) - MOST_TOLD
    return mend, (*notes[:MOST_TOLD], *((f"… and so in {more} more texts.",) if more > 0 else ()))


def _walk(data: Any, path: tuple[str, ...], notes: list[str]) -> Any:
    if isinstance(data, dict):
        return {key: _walk(value, (*path, str(key)), notes) for key, value in data.items()}
    if isinstance(data, list):
        return [_walk(value, (*path, str(index + 1)), notes) for index, value in enumerate(data)]
    if not isinstance(data, str) or path[-1:] in (("data",), ("logo",)):
        return data
    key = next((step for step in reversed(path) if not step.isdigit()), "")
    bad = _NOT_A_BREAK if key in _LINES else _HIGH if key in _REFUSED_BEFORE else _CONTROL
    text = data.replace("\r\n", "\n") if key in _LINES else data
    clean = bad.sub(" ", text)
    if clean != text:
        notes.append(
            f"{', '.join(path)}: {brief(data)} held control characters, which no text may hold; a space stands "
            "for each now."
        )
    return clean
