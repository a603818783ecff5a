"""Load and save a project file; refuse in words that a builder can act on."""

import difflib
import json
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from pondkit.document import base
from pondkit.document.base import P, Part, ask_of, get, key_of
from pondkit.document.project import VERSION, Project
from pondkit.result import Path
from pondkit.units import Entered, System

MOST_BYTES = 5_000_000
MOST_NESTING = 30


class Refused(ValueError):
    """A file, or one entry, that is refused; ``reasons`` is one message each, naming place, value, what is allowed and mend."""

    def __init__(self, *reasons: str) -> None:
        super().__init__("\n".join(reasons))
        self.reasons = reasons


def load(source: str | FilePath | bytes) -> Project:
    """Read a project from a path or from the bytes of a file.

    Raises: Refused with every reason found; OSError if the path cannot be read.
    """
    raw = source if isinstance(source, bytes) else FilePath(source).read_bytes()
    if len(raw) > MOST_BYTES:
        raise Refused(f"The file holds {len(raw):,} bytes; a project has at most {MOST_BYTES:,}. Is it the right file?")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(f"The file is not UTF-8 text (byte {error.start + 1} is not); save it as UTF-8, or is it the right file?") from None
    if not text.strip():
        raise Refused("The file is empty; choose a project file, or load a demo.")
    _nesting(text)
    try:
        data = json.loads(text, object_pairs_hook=_no_doubles, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        raise Refused(f"Line {error.lineno}, column {error.colno}: the file is not JSON there ({error.msg.lower()}).") from None
    return _project(data)


def _project(data: Any) -> Project:
    if not isinstance(data, dict):
        raise Refused(f"The file holds {_what(data)}; a project is an object {{…}} with 'pondkit', 'site' and 'options'.")
    version = data.get("pondkit")
    if version != VERSION or isinstance(version, bool):
        given = "no version" if version is None else f"version {version!r}"
        raise Refused(f'pondkit: the file has {given}; this program reads version {VERSION}. Write "pondkit": {VERSION} if the file was made for it.')
    system = data.get("units", "us")
    try:
        return Project.model_validate(data, context={"units": system if system in ("us", "si") else "us"}, by_alias=True, by_name=False)
    except ValidationError as error:
        raise refusal(error, Project, data) from None


def _what(data: Any) -> str:
    return {list: "a list", str: "a text", bool: "true or false", type(None): "nothing (null)"}.get(type(data), "a number")


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    keys = [key for key, _ in pairs]
    for key in keys:
        if keys.count(key) > 1:
            raise Refused(f"'{key}' stands twice in one object; keep one of the two.")
    return dict(pairs)


def _no_constant(name: str) -> float:
    raise Refused(f"{name} is not a finite number; write a number, or leave the key out.")


def _nesting(text: str) -> None:
    depth, inside = 0, False
    for at, mark in enumerate(text):
        if mark == '"' and (at == 0 or text[at - 1] != "\\"):
            inside = not inside
        elif not inside and mark in "[{":
            depth += 1
            if depth > MOST_NESTING:
                raise Refused(f"The file is nested more than {MOST_NESTING} deep; a project never is. Is it the right file?")
        elif not inside and mark in "]}":
            depth -= 1


def save(project: Project) -> str:
    """The project as JSON text: every field, defaults too, each quantity as it was typed."""
    return json.dumps(plain(project), indent=1, ensure_ascii=False) + "\n"


def plain(value: Any) -> Any:
    """A part of the document as plain JSON values, keys as in the file."""
    if isinstance(value, Part):
        return {key_of(field, name): plain(getattr(value, name)) for name, field in type(value).model_fields.items()}
    if isinstance(value, tuple):
        return [plain(item) for item in value]
    return value.text if isinstance(value, Entered) else value


def schema() -> dict[str, Any]:
    """The JSON Schema of a project file."""
    return Project.model_json_schema(by_alias=True)


def refusal(error: ValidationError, model: type[Part], data: Any = None) -> Refused:
    """The library's error in words of the trade, one reason a fault.

    Args:
        error: What pydantic raised.
        model: The part that was read.
        data: What was read, where it is at hand; gives things their names.
    """
    found = error.errors(include_url=False)
    # A list whose items are at fault is reported as too short as well: say only the fault itself.
    faults = [f for f in found if f["type"] != "too_short" or not any(_under(g["loc"], f["loc"]) for g in found)]
    reasons = [_reason(dict(fault), model, data) for fault in faults[:12]]
    if len(faults) > 12:
        reasons.append(f"… and {len(faults) - 12} more of this kind.")
    return Refused(*reasons)


def put(project: P, path: Path, value: Any, system: System = "us") -> P:
    """A new document in which only the parts along the path are new: see ``base.put``.

    Raises: Refused, in words, where the value is not allowed there.
    """
    try:
        return base.put(project, path, value, system)
    except ValidationError as error:
        raise refusal(error, type(get(project, _holder(project, path)))) from None


def _holder(project: Part, path: Path) -> Path:
    """Path of the part whose field is put: an index at the end belongs to the list before it."""
    steps = path[:-1]
    while steps and not isinstance(get(project, steps), Part):
        steps = steps[:-1]
    return steps


def _under(loc: tuple[Any, ...], head: tuple[Any, ...]) -> bool:
    return len(loc) > len(head) and loc[: len(head)] == head


def _reason(fault: dict[str, Any], model: type[Part], data: Any) -> str:
    loc = tuple(step for step in fault["loc"] if not (isinstance(step, str) and step.startswith(("function-", "tagged-union"))))
    holder, place, key = _place(loc, model, data)
    label = _label(holder, key)
    where = f"{place}: " if place else ""
    ctx, given = fault.get("ctx", {}), fault.get("input")
    shown = repr(given) if isinstance(given, (str, int, float, bool)) or given is None else _what(given) if not isinstance(given, dict) else "an object"
    match fault["type"]:
        case "quantity":
            return f"{where}{label}: {ctx['reason']}; {ctx['mend']}."
        case "bounds":
            unit_note = f" (a bare number is read as {ctx['given']})" if isinstance(given, (int, float)) and not isinstance(given, bool) else ""
            return f"{where}{label} is {ctx['given']}{unit_note}; allowed is {_between(ctx['low'], ctx['high'])}."
        case "choice":
            near = f" Did you mean '{ctx['near']}'?" if ctx["near"] else ""
            return f"{where}{label}: {ctx['given']} is not known.{near} Choices: {ctx['names']}."
        case "extra_forbidden":
            known = [key_of(field, name) for name, field in holder.model_fields.items()] if holder else []
            near = difflib.get_close_matches(str(key), known, 1, 0.4)
            return f"{where}'{key}' is no key here." + (f" Did you mean '{near[0]}'?" if near else "") + f" Keys: {', '.join(known)}."
        case "missing" if isinstance(loc[-1], int):
            return f"{where}{label} lacks its number {loc[-1] + 1}; write all of them in one list."
        case "missing":
            return f"{where}{label} is not filled in ('{key}'); write it, as the README's example does."
        case "union_tag_invalid" | "union_tag_not_found":
            tags = ctx.get("expected_tags", "").replace("'", "")
            tag = ctx.get("tag")
            near = difflib.get_close_matches(str(tag), tags.split(", "), 1, 0.3)
            head = f"'{tag}' is not known" if tag is not None else f"{ctx['discriminator']} is not filled in"
            return f"{where}{label}: {head}." + (f" Did you mean '{near[0]}'?" if near else "") + f" Choices: {tags}."
        case "too_long":
            return f"{where}{label}: {ctx['actual_length'] or 'too many'} are given; at most {ctx['max_length']} are allowed. Leave some out."
        case "too_short":
            return f"{where}{label}: {ctx['actual_length']} are given; at least {ctx['min_length']} are needed. Add some."
        case "string_too_short" | "string_too_long" | "string_pattern_mismatch":
            return f"{where}{label} is {shown}; write 1 to 60 characters on one line." if label != "Note" else f"{where}{label} is too long; write at most 2000 characters."
        case "string_type":
            return f"{where}{label} is {shown}; write a text in quotes."
        case "tuple_type" | "list_type":
            return f"{where}{label} is {shown}; write a list in [ ]."
        case "model_type" | "model_attributes_type" | "dict_type":
            return f"{where}{label} is {shown}; write an object in {{ }}."
        case "bool_type" | "bool_parsing":
            return f"{where}{label} is {shown}; write true or false."
        case _:
            return f"{where}{label} is {shown}: {fault['msg']}."


def _between(low: Any, high: Any) -> str:
    if low is None or high is None:
        return f"at most {high}" if low is None else f"{low} or more"
    return f"{low} to {high}"


def _place(loc: tuple[Any, ...], model: type[Part], data: Any) -> tuple[type[Part] | None, str, Any]:
    """(part that holds the fault, its place in words, key) for a location of the library's."""
    holder: type[Part] | None = model
    said: list[str] = []
    at, key = data, loc[-1] if loc else ""
    for depth, step in enumerate(loc):
        at = _inside(at, step)
        if isinstance(step, int):
            part = holder.title_of_part if holder else "item"
            name = at.get("name") or at.get("zone") if isinstance(at, dict) else None
            named = isinstance(name, str) and depth < len(loc) - 1
            said.append(f"{part} {step + 1}" + (f" '{name}'" if named else ""))
            if depth == len(loc) - 1 and holder is not None and not isinstance(at, dict):
                said.pop()
                said.append(f"number {step + 1}")
        elif holder is not None and (inner := _part_of(holder, step, at)):
            if depth < len(loc) - 1:
                if not isinstance(at, list):
                    said.append(inner.title_of_part if str(step) != "overlay" and str(step) != "underlay" else str(step))
                holder = inner
        elif depth < len(loc) - 1 and holder is not None and step in {n for f, fi in holder.model_fields.items() for n in (f, fi.alias)}:
            key = step
            break
    if isinstance(key, int):
        key = next((s for s in reversed(loc) if isinstance(s, str)), "")
    said = [word for index, word in enumerate(said) if index == 0 or word != said[index - 1]]
    return holder, ", ".join(said), key


def _inside(data: Any, step: Any) -> Any:
    if isinstance(data, dict):
        return data.get(step, data if step not in data else None)
    return data[step] if isinstance(data, list) and isinstance(step, int) and step < len(data) else None


def _part_of(holder: type[Part], step: Any, data: Any) -> type[Part] | None:
    """The kind of part in a field, or the member of a union that a tag names."""
    for name, field in holder.model_fields.items():
        if step in (name, field.alias):
            members = list(_members(field.annotation))
            if len(members) > 1 and isinstance(data, dict):
                for member in members:
                    tag = next(iter(member.model_fields.values())).default
                    if tag in data.values():
                        return member
            return members[0] if members else None
    return None


def _members(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
    for arg in getattr(annotation, "__args__", ()):
        yield from _members(arg)


def _label(holder: type[Part] | None, key: Any) -> str:
    if holder is not None:
        for name, field in holder.model_fields.items():
            if key in (name, field.alias) and (said := ask_of(holder, name)):
                return said.label
    return f"'{key}'"


def place(project: Part, path: Path) -> str:
    """A path in words: "option 'A', pool 'lower', tier 2 'deep', depth"."""
    said: list[str] = []
    at: Any = project
    for step in path:
        holder = at
        at = at[step] if isinstance(step, int) else getattr(at, step, None)
        if isinstance(step, int):
            if isinstance(at, Part):
                name = getattr(at, "name", None) or getattr(at, "zone", None)
                said.append(f"{at.title_of_part} {name!r}" if name else f"{at.title_of_part} {step + 1}")
            else:
                said.append(f"number {step + 1}")
        elif isinstance(holder, Part) and not isinstance(at, tuple):
            declared = ask_of(type(holder), step)
            said.append((declared.label if declared else step).lower())
        elif isinstance(holder, Part) and not (at and isinstance(at[0], Part)):
            declared = ask_of(type(holder), step)
            said.append((declared.label if declared else step).lower())
    return ", ".join(said)
