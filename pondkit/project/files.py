"""Load and save a project file, and change one value of a project."""

import json
from collections import Counter
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from pondkit.core import part as base
from pondkit.core.part import P, Part, get, key_of
from pondkit.core.refusal import Refused, refusal, what, writable
from pondkit.core.renamed import with_new_keys
from pondkit.core.result import Path
from pondkit.core.units import Entered, System, brief
from pondkit.project.older import carried, mended
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
        data = json.loads(text, object_pairs_hook=_no_doubles, parse_constant=_no_constant, parse_int=_whole)
    except RecursionError:
        raise Refused(TOO_DEEP) from None
    except json.JSONDecodeError as error:
        raise Refused(
            f"Line {error.lineno}, column {error.colno}: the file is not JSON there ({error.msg.lower()})."
        ) from None
    if "\\ud" in text.lower():
        _halves(data)
    if _objects(data) > MOST_OBJECTS:
        raise Refused(f"The file has more than {MOST_OBJECTS:,} parts; a project never has. Is it the right file?")
    data, notes = mended(data)
    return _project(data), notes


def _bytes(path: FilePath) -> bytes:
    """The bytes of a file, read no further than the first byte over the limit."""
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _objects(data: Any, key: str = "the file", depth: int = 1) -> int:
    """Number of objects in JSON data; refuses a longer list or a deeper nesting than any project has.

    Checked before the parts are read, which would take seconds and give thousands of faults.
    """
    if not isinstance(data, HOLDERS):
        return 0
    if depth > MOST_NESTING:
        raise Refused(TOO_DEEP)
    if isinstance(data, dict):
        return 1 + sum(_objects(item, key, depth + 1) for key, item in data.items() if isinstance(item, HOLDERS))
    if len(data) > MOST_ITEMS:
        reason = f"The list in {brief(key)} has {len(data):,} items; in a project none has over {MOST_ITEMS:,}."
        raise Refused(f"{reason} Is it the right file?")
    return sum(_objects(item, key, depth + 1) for item in data if isinstance(item, HOLDERS))


def _halves(given: Any, where: str = "A text in the file") -> None:
    """Refuse half of a surrogate pair: JSON can hold one escaped, but it cannot be written."""
    match given:
        case str():
            try:
                given.encode()
            except UnicodeEncodeError as error:
                half = writable(given[error.start])
                raise Refused(f"{where} holds {half}, half of a character pair; write the whole character.") from None
        case dict():
            _halves((*given, *given.values()), where)
        case list() | tuple():
            for item in given:
                _halves(item, where)


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


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) > MOST_KEYS:
        reason = f"An object in the file has {len(pairs):,} keys; in a project none has over {MOST_KEYS}."
        raise Refused(f"{reason} Is it the right file?")
    merged = dict(pairs)
    if len(merged) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key, times in Counter(keys).items() if times > 1)
        raise Refused(f"{brief(twice)} stands twice in one object; keep one of the two.")
    return merged


def _whole(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise Refused(f"A number in the file has {len(digits)} digits; write at most {MOST_DIGITS}.")
    return int(digits)


def _no_constant(name: str) -> float:
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
    _halves(value, "What was given")
    try:
        changed = base.put(project, path, value, system)
        if isinstance(changed, Project) and changed.units != system:
            _reread(changed, path)
        return changed
    except ValidationError as error:
        raise refusal(error, type(get(project, _holder(project, path)))) from None


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


def _holder(project: Part, path: Path) -> Path:
    """Path of the part whose field changes: an index at the end of a path belongs to the list before it."""
    steps = path[:-1]
    while steps and not isinstance(get(project, steps), Part):
        steps = steps[:-1]
    return steps
