"""Load and save a project file, and change one value of a project.

``load`` reads a file and checks it in full; ``save`` writes it with every quantity as it was typed; ``put`` gives a new
project with one value changed. At the end stand the files of older versions: keys that have moved are carried over if
nothing is lost, else refused with the mend (``carried``); a control character, which texts may not hold any more,
becomes a space and is reported (``mended``). Keys that only have a new name are in ``core/renamed.py``.
"""

import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from pondkit.core import part as base
from pondkit.core.part import P, Part, get, key_of
from pondkit.core.refusal import Refused, refusal, what, writable
from pondkit.core.renamed import with_new_keys
from pondkit.core.result import Path
from pondkit.core.units import Entered, System, brief
from pondkit.project.project import VERSION, Project, look_into

MOST_BYTES = 2_000_000
MOST_NESTING = 30
MOST_DIGITS = 300  # digits of a whole number in the file: no float has more
MOST_KEYS = 200  # in one object
MOST_ITEMS = 1000  # in one list
MOST_OBJECTS = 6_000
HOLDERS = (dict, list)
TOO_DEEP = f"The file is nested more than {MOST_NESTING} deep; a project never is. Is it the right file?"


def load(source: str | FilePath | bytes) -> Project:
    """Read a project from a path or from the bytes of a file; pictures in it are checked by opening them.

    Raises: Refused with every reason found; OSError if the path cannot be read.
    """
    return load_mended(source)[0]


def load_mended(source: str | FilePath | bytes) -> tuple[Project, tuple[str, ...]]:
    """(a project as ``load`` reads it, what was mended in the texts of an older file, in words).

    Raises: as ``load``.
    """
    project, notes = _read(source)
    if project.picture:
        look_into(project.picture.data)
    if logo := project.site.job.firm.logo:
        look_into(logo, "job, firm, logo")
    for number, photo in enumerate(project.site.job.photos, 1):
        look_into(photo.data, f"job, photo {number}")
    return project, notes


def load_unseen(source: str | FilePath | bytes) -> Project:
    """Like ``load``, for a text in which a name may replace a picture: pictures are not opened."""
    return _read(source)[0]


def _read(source: str | FilePath | bytes) -> tuple[Project, tuple[str, ...]]:
    raw = source if isinstance(source, bytes) else _bytes(FilePath(source))
    if len(raw) > MOST_BYTES:
        size = f"{len(raw):,}" if isinstance(source, bytes) else f"more than {MOST_BYTES:,}"
        raise Refused(f"The file holds {size} bytes; a project has at most {MOST_BYTES:,}. Is it the right file?")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(
            f"The file is not UTF-8 text (byte {error.start + 1} is not); save it as UTF-8, or is it the right file?"
        ) from None
    if not text.strip():
        raise Refused("The file is empty; choose a project file, or load a demo.")
    try:
        data = json.loads(
            text, object_pairs_hook=_without_repeated_keys, parse_constant=_refuse_constant, parse_int=_whole_number
        )
    except RecursionError:
        raise Refused(TOO_DEEP) from None
    except json.JSONDecodeError as error:
        raise Refused(
            f"Line {error.lineno}, column {error.colno}: the file is not JSON there ({error.msg.lower()})."
        ) from None
    if "\\ud" in text.lower():
        _refuse_surrogates(data)
    if _count_objects(data) > MOST_OBJECTS:
        raise Refused(f"The file has more than {MOST_OBJECTS:,} parts; a project never has. Is it the right file?")
    data, notes = mended(data)
    return _project(data), notes


def _bytes(path: FilePath) -> bytes:
    """The bytes of a file, read no further than the first byte over the limit."""
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _count_objects(data: Any, key: str = "the file", depth: int = 1) -> int:
    """Number of objects in JSON data; refuses a longer list or a deeper nesting than any project has.

    Checked before the parts are read, which would take seconds and give thousands of faults.
    """
    if not isinstance(data, HOLDERS):
        return 0
    if depth > MOST_NESTING:
        raise Refused(TOO_DEEP)
    if isinstance(data, dict):
        return 1 + sum(_count_objects(item, key, depth + 1) for key, item in data.items() if isinstance(item, HOLDERS))
    if len(data) > MOST_ITEMS:
        reason = f"The list in {brief(key)} has {len(data):,} items; in a project none has over {MOST_ITEMS:,}."
        raise Refused(f"{reason} Is it the right file?")
    return sum(_count_objects(item, key, depth + 1) for item in data if isinstance(item, HOLDERS))


def _refuse_surrogates(given: Any, where: str = "A text in the file") -> None:
    """Refuse half of a surrogate pair: JSON can hold one escaped, but it cannot be written."""
    match given:
        case str():
            try:
                given.encode()
            except UnicodeEncodeError as error:
                half = writable(given[error.start])
                raise Refused(f"{where} holds {half}, half of a character pair; write the whole character.") from None
        case dict():
            _refuse_surrogates((*given, *given.values()), where)
        case list() | tuple():
            for item in given:
                _refuse_surrogates(item, where)


def _project(data: Any) -> Project:
    if not isinstance(data, dict):
        raise Refused(
            f"The file holds {what(data)}; a project is an object {{…}} with 'pondkit', 'site' and 'options'."
        )
    version = data.get("pondkit")
    if version != VERSION or isinstance(version, bool):
        given = "no version" if version is None else f"version {brief(version)}"
        reason = f"pondkit: the file has {given}; this program reads version {VERSION}."
        raise Refused(f'{reason} Write "pondkit": {VERSION} if the file was made for it.')
    data = carried(with_new_keys(data))
    system = data.get("units", "us")
    try:
        return Project.model_validate(
            data, context={"units": system if system in ("us", "si") else "us"}, by_alias=True, by_name=False
        )
    except ValidationError as error:
        raise refusal(error, Project, data) from None


def _without_repeated_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) > MOST_KEYS:
        reason = f"An object in the file has {len(pairs):,} keys; in a project none has over {MOST_KEYS}."
        raise Refused(f"{reason} Is it the right file?")
    merged = dict(pairs)
    if len(merged) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key, times in Counter(keys).items() if times > 1)
        raise Refused(f"{brief(twice)} stands twice in one object; keep one of the two.")
    return merged


def _whole_number(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise Refused(f"A number in the file has {len(digits)} digits; write at most {MOST_DIGITS}.")
    return int(digits)


def _refuse_constant(name: str) -> float:
    raise Refused(f"{name} is not a finite number; write a number, or leave the key out.")


def save(project: Project) -> str:
    """The project as JSON text: every field, defaults included, each quantity as it was typed."""
    return json.dumps(plain(project), indent=1, ensure_ascii=False) + "\n"


def plain(value: Any) -> Any:
    """A part of the document as plain JSON values, with the keys of the file."""
    if isinstance(value, Part):
        return {key_of(field, name): plain(getattr(value, name)) for name, field in type(value).model_fields.items()}
    if isinstance(value, tuple):
        return [plain(item) for item in value]
    return value.text if isinstance(value, Entered) else value


def schema() -> dict[str, Any]:
    """The JSON Schema of a project file."""
    return Project.model_json_schema(by_alias=True)


def put(project: P, path: Path, value: Any, system: System = "us") -> P:
    """A new document in which only the parts along the path are new: see ``core.part.put``.

    A text must be readable in the file's own units too ('gal' is not in an si file), or else the saved file would be
    refused.

    Raises: Refused if the value is not allowed there.
    """
    _refuse_surrogates(value, "What was given")
    try:
        changed = base.put(project, path, value, system)
        if isinstance(changed, Project) and changed.units != system:
            _reread(changed, path)
        return changed
    except ValidationError as error:
        raise refusal(error, type(get(project, _path_of_part(project, path)))) from None


def _reread(project: Project, path: Path) -> None:
    """Read every text at a path again in the file's own units, as loading the saved file does.

    Raises: ValidationError if those units do not allow it.
    """
    value = get(project, path)
    parts = value if isinstance(value, tuple) else (value,)
    places = [
        ((*path, *((index,) if isinstance(value, tuple) else ()), *inner), get(part, inner))
        for index, part in enumerate(parts)
        if isinstance(part, Part)
        for inner, _, _ in base.walk(part)
    ]
    for place, text in places or [(path, value)]:
        if isinstance(text, Entered):
            base.put(project, place, text.text, project.units)


def _path_of_part(project: Part, path: Path) -> Path:
    """Path of the part whose field changes: an index at the end of a path belongs to the list before it."""
    steps = path[:-1]
    while steps and not isinstance(get(project, steps), Part):
        steps = steps[:-1]
    return steps


# --- files of older versions ---


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
    old = list(_ways_in(data))
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
    options = [_without_way_in(option) for option in data["options"]]
    if not points and isinstance(site, dict) and (way is None or isinstance(way, dict)):
        data = data | {"site": site | {"way_in": (way or {}) | {"points": ends}}}
    return data | {"options": options}


def _ways_in(data: dict[str, Any]) -> Iterator[tuple[int, Any]]:
    options = data.get("options")
    for number, option in enumerate(options if isinstance(options, list) else (), start=1):
        lifting = option.get("lifting") if isinstance(option, dict) else None
        if isinstance(lifting, dict) and "way_in" in lifting:
            yield number, lifting["way_in"]


def _without_way_in(option: Any) -> Any:
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
    mend = _mended_texts(data, (), notes)
    more = len(notes) - MOST_TOLD
    return mend, (*notes[:MOST_TOLD], *((f"… and so in {more} more texts.",) if more > 0 else ()))


def _mended_texts(data: Any, path: tuple[str, ...], notes: list[str]) -> Any:
    if isinstance(data, dict):
        return {key: _mended_texts(value, (*path, str(key)), notes) for key, value in data.items()}
    if isinstance(data, list):
        return [_mended_texts(value, (*path, str(index + 1)), notes) for index, value in enumerate(data)]
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
