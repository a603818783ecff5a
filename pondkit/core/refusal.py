"""Refusals in words that a builder can act on: place, value, what is allowed and how to mend it."""

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic import ValidationError

from pondkit.core.part import Part, ask_of, key_of
from pondkit.core.result import Path
from pondkit.core.text import FORMULA_STARTS, LINES, control_in
from pondkit.core.units import MOST_TEXT, brief

MOST_REASONS = 12
Location = tuple[str | int, ...]


class Refused(ValueError):
    """A file, or one entry, that is refused. ``reasons``: one sentence for each fault, with place, value, what is
    allowed and the mend.
    """

    def __init__(self, *reasons: str) -> None:
        super().__init__("\n".join(reasons))
        self.reasons = reasons


def writable(text: str) -> str:
    """A text that any file or page can hold: half of a surrogate pair is written as ``\\ud800``."""
    return text.encode("utf-8", "backslashreplace").decode()


def spreadsheet_text(raw: bytes, what_it_is: str) -> str:
    """The text of a file that a spreadsheet program wrote.

    Args:
        raw: The file.
        what_it_is: Its name at the beginning of a sentence: "The list".
    Raises: Refused if it is a workbook, or not UTF-8.
    """
    if raw[:2] == b"PK":
        raise Refused(f"{what_it_is} is a workbook, not CSV; save it as 'CSV UTF-8' in your spreadsheet program.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(
            f"{what_it_is} is not UTF-8 text (byte {error.start + 1} is not); save it as 'CSV UTF-8'."
        ) from None


def spreadsheet_cell(cell: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet program from reading it as a formula."""
    text = cell.strip()
    return text[1:] if text[:1] == "'" and text[1:2] in FORMULA_STARTS else text


def refusal(error: ValidationError, model: type[Part], data: Any = None) -> Refused:
    """A validation error of pydantic in words of the trade, one reason for each fault.

    Args:
        error: The error that pydantic raised.
        model: Class of the part that was read.
        data: The data that were read, if at hand, from which the message takes the names of parts.
    """
    errors = error.errors(include_url=False)
    # For a list with faulty items pydantic also reports that it is too short: keep the fault itself only.
    heads = {fault["loc"][:depth] for fault in errors for depth in range(len(fault["loc"]))}
    faults = [fault for fault in errors if fault["type"] != "too_short" or fault["loc"] not in heads]
    reasons = [_reason(dict(fault), model, data) for fault in faults[:MOST_REASONS]]
    if len(faults) > MOST_REASONS:
        reasons.append(f"… and {len(faults) - MOST_REASONS} more.")
    return Refused(*reasons)


def what(data: Any) -> str:
    """The type of a JSON value, in words."""
    kinds = {dict: "an object", list: "a list", str: "a text", bool: "true or false", type(None): "nothing (null)"}
    return kinds.get(type(data), "a number")


def _reason(fault: dict[str, Any], model: type[Part], data: Any) -> str:
    loc, kind = fault["loc"], fault["type"]
    lacking = loc[-1] if kind == "missing" and isinstance(loc[-1], int) else None
    spot = _spot(loc if lacking is None else loc[:-1], model, data)
    where, label, holder = spot.where, spot.label, spot.holder
    ctx, value = fault.get("ctx", {}), fault.get("input")
    value_text = brief(value) if isinstance(value, (str, int, float)) else what(value)
    match kind:
        case "quantity":
            return f"{where}{label}: {ctx['reason']}; {ctx['mend']}."
        case "bounds":
            unit_note = (
                f" (a bare number is read as {ctx['given']})"
                if isinstance(value, (int, float)) and not isinstance(value, bool)
                else ""
            )
            return f"{where}{label} is {ctx['given']}{unit_note}; allowed is {_between(ctx['low'], ctx['high'])}."
        case "choice":
            suggestion = f" Did you mean '{ctx['near']}'?" if ctx["near"] else ""
            return f"{where}{label}: {ctx['given']} is not known.{suggestion} Choices: {ctx['names']}."
        case "extra_forbidden":
            keys, key = [key_of(field, name) for name, field in holder.model_fields.items()], spot.key
            return f"{where}{brief(key)} is no key here.{_near(key, keys, 0.4)} Keys: {', '.join(keys)}."
        case "missing" if lacking is not None:
            return f"{where}{label} lacks its number {lacking + 1}; write all of them in one list."
        case "missing":
            return f"{where}{label} is not filled in; write '{spot.key}' with its value."
        case "union_tag_invalid" | "union_tag_not_found":
            tags = _tags(holder, spot.key)
            message = f"{where}{label}: {_no_tag(ctx['discriminator'].strip(chr(39)), ctx.get('tag'), tags, value)}"
            return f"{message} Choices: {', '.join(tags)}."
        case "too_long":
            value = ctx["actual_length"] or "too many"
            return f"{where}{label}: {value} are given; at most {ctx['max_length']} are allowed. Leave some out."
        case "too_short":
            value = ctx["actual_length"]
            return f"{where}{label}: {value} are given; at least {ctx['min_length']} are needed. Add some."
        case "string_too_short":
            return f"{where}{label} is {value_text}; write at least {_counted(ctx['min_length'])}."
        case "string_too_long":
            return (
                f"{where}{label} is {value_text}, {_counted(len(value or ''))} long; write at most {ctx['max_length']}."
            )
        case "string_pattern_mismatch":
            many = ctx["pattern"] == LINES
            mend = "take it out" if many else "write it on one line, without it"
            return f"{where}{label} is {value_text}, which has {control_in(value or '', lines=many)} in it; {mend}."
        case "string_type":
            return f"{where}{label} is {value_text}; write a text in quotes."
        case "tuple_type" | "list_type":
            return f"{where}{label} is {value_text}; write a list in [ ]."
        case "model_type" | "model_attributes_type" | "dict_type":
            return f"{where}{label} is {value_text}; write an object in {{ }}."
        case "bool_type" | "bool_parsing":
            return f"{where}{label} is {value_text}; write true or false."
        case _:
            return f"{where}{label} is {value_text}: {fault['msg']}."


def _no_tag(key: str, tag: Any, tags: list[str], value: Any) -> str:
    """Reason for a wrong or missing key that tells which kind of a part is meant."""
    if tag is not None:
        return f"{brief(tag)} is not known.{_near(tag, tags, 0.3)}"
    names = [name[:MOST_TEXT] for name in value] if isinstance(value, dict) else []
    near_names = difflib.get_close_matches(key, names, 1, 0.4)
    return f"'{key}' is not filled in." + (f" Did you mean '{key}' by {brief(near_names[0])}?" if near_names else "")


def _near(value: Any, names: list[str], alike: float) -> str:
    matches = difflib.get_close_matches(str(value)[:MOST_TEXT], names, 1, alike)
    return f" Did you mean '{matches[0]}'?" if matches else ""


def _counted(characters: int) -> str:
    return f"{characters:,} character{'s' if characters != 1 else ''}"


def _between(low: Any, high: Any) -> str:
    if low is None or high is None:
        return f"at most {high}" if low is None else f"{low} or more"
    return f"{low} to {high}"


@dataclass(frozen=True)
class _Spot:
    """Location of a fault: the part that holds it, its place in words, the key, and the label of the field."""

    holder: type[Part]
    place: tuple[str, ...]
    key: str
    label: str

    @property
    def where(self) -> str:
        return f"{', '.join(self.place)}: " if self.place else ""


def _spot(loc: Location, model: type[Part], data: Any) -> _Spot:
    """A location given by pydantic, in words."""
    holder, labels, node = model, list[str](), data
    steps = list(loc)
    while steps:
        step = str(steps.pop(0))
        inner = _part_in(holder, step, steps)
        node = node.get(step) if isinstance(node, dict) else None
        if inner is None or not steps:
            numbers = [f"number {n + 1}" for n in steps if isinstance(n, int)][:1]
            return _Spot(holder, (*labels, *numbers), step, _label(holder, step))
        if isinstance(index := steps[0], int):
            del steps[0]
            node = node[index] if isinstance(node, list) and index < len(node) else None
            labels.append(_named(f"{inner.title_of_part} {index + 1}", node))
            if not steps:
                return _Spot(inner, tuple(labels[:-1]), step, labels[-1])
        else:
            if steps[0] == _tag(inner):
                steps.pop(0)  # the member of a union as which pydantic read it
            labels.append(step if step in ("underlay", "overlay") else inner.title_of_part)
        holder = inner
    return _Spot(holder, tuple(labels), "", labels[-1] if labels else holder.title_of_part)


def _named(part: str, node: Any) -> str:
    name = (node.get("name") or node.get("zone")) if isinstance(node, dict) else None
    return f"{part} {brief(name)}" if isinstance(name, str) else part


def _part_in(holder: type[Part], key: str, rest: list[Any]) -> type[Part] | None:
    """Class of the part that a field holds, for a union the member whose tag comes next; None if it holds no part."""
    field = next((field for name, field in holder.model_fields.items() if key in (name, field.alias)), None)
    members = list(_members(field.annotation)) if field else []
    return next((member for member in members if rest and _tag(member) == rest[0]), members[0] if members else None)


def _tag(part: type[Part]) -> str | None:
    """The tag by which a member of a union is recognised: the default of its first field, if that is fixed."""
    first = next(iter(part.model_fields.values()))
    return first.default if get_origin(first.annotation) is Literal else None


def _tags(holder: type[Part], key: str) -> list[str]:
    """Tags of all members of a field's union."""
    field = next(field for name, field in holder.model_fields.items() if key in (name, field.alias))
    return [str(_tag(member)) for member in _members(field.annotation)]


def _members(annotation: Any) -> Iterator[type[Part]]:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
    for arg in get_args(annotation):
        yield from _members(arg)


def _label(holder: type[Part], key: str) -> str:
    for name, field in holder.model_fields.items():
        if key in (name, field.alias) and (declared := ask_of(holder, name)):
            return declared.label
    return brief(key)


def place(project: Part, path: Path) -> str:
    """A path in words: "option 'A', pool 'lower', tier 2 'deep', depth"."""
    labels: list[str] = []
    node: Any = project
    for step in path:
        holder = node
        node = node[step] if isinstance(step, int) else getattr(node, step, None)
        if isinstance(step, int):
            if isinstance(node, Part):
                name = getattr(node, "name", None) or getattr(node, "zone", None)
                labels.append(f"{node.title_of_part} {name!r}" if name else f"{node.title_of_part} {step + 1}")
            else:
                labels.append(f"number {step + 1}")
        elif isinstance(holder, Part) and not (isinstance(node, tuple) and node and isinstance(node[0], Part)):
            declared = ask_of(type(holder), step)
            labels.append((declared.label if declared else step).lower())
    return ", ".join(labels)
