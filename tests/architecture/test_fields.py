"""Every field of the document, found by walking its classes: out of bounds, of a wrong kind, misspelt; saved, loaded.

A new field is covered unasked. Documents are built from the declarations themselves, each field at its least value.
"""

import base64
import copy
import io
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args, get_origin

import pytest
from PIL import Image

from pondkit import Project, load, save
from pondkit.core.part import Ask, Part, ask_of, choices_in, get, key_of, kind_in, walk
from pondkit.core.refusal import Refused
from pondkit.core.units import COUNT, MASS, PORTION, SYSTEMS, Entered, Kind, read, system_of
from pondkit.project.project import Firm, Job, Photo, PlacedPicture
from tests.loops import for_each

Keys = tuple[str | int, ...]


@dataclass(frozen=True)
class Place:
    """One field in one document: where its value stands in the file, and what declares it."""

    data: dict[str, Any]
    keys: Keys
    holder: type[Part]
    name: str

    @property
    def said(self) -> Ask | None:
        return ask_of(self.holder, self.name)

    @property
    def kind(self) -> Kind | None:
        return kind_in(self.holder, self.name)

    @property
    def tag(self) -> bool:
        """True for the key that tells one member of a union from the others."""
        return get_origin(self.holder.model_fields[self.name].annotation) is Literal and self.said is None

    @property
    def held(self) -> Any:
        """What stands there."""
        return self._at(len(self.keys))

    def _at(self, depth: int) -> Any:
        at: Any = self.data
        for key in self.keys[:depth]:
            at = at[key]
        return at

    def _branch(self) -> dict[str, Any]:
        """A copy of the document without the parts beside the way here that may be left out: a quarter as long to read.

        The job's prices stay: without them an option's own would be taken for the job's.
        """

        def kept(data: dict[str, Any], part: type[Part], keys: Keys) -> dict[str, Any]:
            found = {}
            for name, field in part.model_fields.items():
                key, inner = key_of(field, name), list(_members(field.annotation))
                if key == keys[0] and inner and len(keys) > 1:
                    below = data[key][0] if isinstance(data[key], list) else data[key]
                    rest = keys[2:] if isinstance(data[key], list) else keys[1:]
                    one = kept(below, _chosen(inner, below) if len(inner) > 1 else inner[0], rest)
                    found[key] = [one] if isinstance(data[key], list) else one
                elif key in (keys[0], "prices") or not inner or field.is_required():
                    found[key] = copy.deepcopy(data[key])
            return found

        return kept(self.data, Project, self.keys)

    def with_value(self, value: Any, numbers: bool = True) -> bytes:
        """The file with another value here; of a list of numbers the first, or the whole where not ``numbers``."""
        data = self._branch()
        at = data
        for key in self.keys[:-1]:
            at = at[key]
        last = self.keys[-1]
        while numbers and isinstance(at[last], list):
            at, last = at[last], 0
        at[last] = value
        return json.dumps(data).encode()

    def misspelt(self, key: str) -> bytes:
        data = self._branch()
        at = data
        for step in self.keys[:-1]:
            at = at[step]
        at[key] = at.pop(self.keys[-1])
        return json.dumps(data).encode()

    def words(self) -> list[str]:
        """What a message must say of the place: every list on the way with its number."""
        found, holder = [], Project
        for depth, (step, following) in enumerate(zip(self.keys, [*self.keys[1:], None], strict=True), 1):
            if isinstance(step, int):
                continue
            name = next((n for n, f in holder.model_fields.items() if key_of(f, n) == step), None)
            inner = list(_members(holder.model_fields[name].annotation)) if name else []
            if not inner or following is None:
                break
            if isinstance(following, int):
                found.append(f"{inner[0].title_of_part} {following + 1}")
            holder = _chosen(inner, self._at(depth)) if len(inner) > 1 else inner[0]
        return found

    def __str__(self) -> str:
        return ".".join(map(str, self.keys)) + f" of {self.holder.title_of_part}"


def _members(annotation: Any) -> Iterator[type[Part]]:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
    for arg in get_args(annotation):
        yield from _members(arg)


def _tag_of(part: type[Part]) -> tuple[str, Any]:
    name, field = next(iter(part.model_fields.items()))
    return name, field.default


def _chosen(members: list[type[Part]], data: dict[str, Any]) -> type[Part]:
    return next(m for m in members if data.get(_tag_of(m)[0]) == _tag_of(m)[1])


def _tiny() -> str:
    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, "JPEG")
    return base64.b64encode(out.getvalue()).decode()


TINY = _tiny()  # a whole JPEG: loading looks into it


def build(part: type[Part], member: int) -> dict[str, Any]:
    """A part with every field filled in; of a union the member with this number, as far as there are so many."""
    made = {}
    for name, field in part.model_fields.items():
        inner = list(_members(field.annotation))
        if inner:
            one = build(inner[min(member, len(inner) - 1)], member)
            made[key_of(field, name)] = [one] if _is_list(field.annotation) else one
        else:
            made[key_of(field, name)] = _value(part, name)
    return made


def _is_list(annotation: Any) -> bool:
    return get_origin(annotation) is tuple or any(
        _is_list(arg) for arg in get_args(annotation) if get_origin(annotation) is Annotated
    )


def _value(part: type[Part], name: str) -> Any:
    field = part.model_fields[name]
    if (part, name) in ((PlacedPicture, "data"), (Firm, "logo"), (Photo, "data")):
        return TINY
    if (part, name) == (Job, "date"):
        return "2026-05-31"
    kind, choices, annotation = kind_in(part, name), choices_in(part, name), field.annotation
    if get_origin(annotation) is Literal:
        return get_args(annotation)[0]
    if choices:
        return choices[0]
    if annotation is bool:
        return True
    if kind is None:
        return ["a"] if _is_list(annotation) else "a"
    said = ask_of(part, name)
    assert said is not None, f"{part.__name__}.{name} is declared without 'ask'"
    least = said.low if kind.plain else _written(said.bound("low", kind) or 0.0, kind)
    return _shaped(annotation, least)


def _shaped(annotation: Any, value: Any) -> Any:
    """A value in the shape of an annotation: alone, in a tuple, in a tuple of tuples; three where any number may be."""
    if get_origin(annotation) is tuple:
        args = get_args(annotation)
        return [_shaped(args[0], value)] * 3 if args[-1] is Ellipsis else [_shaped(arg, value) for arg in args]
    inner = [arg for arg in get_args(annotation) if get_origin(arg) is tuple]
    return _shaped(inner[0], value) if inner else value


def _written(si: float, kind: Kind) -> Any:
    """An SI value as a person may write it: in the SI unit where the kind has one."""
    if kind.plain:
        return int(si) if kind is COUNT else si
    one = float(read(f"1 {kind.bare['si']}", kind, "si"))
    return f"{si / one:.9f} {kind.bare['si']}"


DOCUMENTS = [build(Project, member) for member in range(5)]


def places() -> list[Place]:
    found: dict[tuple[Keys, type[Part]], Place] = {}
    for data in DOCUMENTS:
        for keys, holder, name in _walk(data, Project, ()):
            found.setdefault((keys, holder), Place(data, keys, holder, name))
    return list(found.values())


def _walk(data: Any, part: type[Part], keys: Keys) -> Iterator[tuple[Keys, type[Part], str]]:
    for name, field in part.model_fields.items():
        key = key_of(field, name)
        yield (*keys, key), part, name
        inner = list(_members(field.annotation))
        if inner and isinstance(data[key], list):
            yield from _walk(data[key][0], inner[0], (*keys, key, 0))
        elif inner:
            yield from _walk(data[key], _chosen(inner, data[key]) if len(inner) > 1 else inner[0], (*keys, key))


PLACES = [place for place in places() if place.keys != ("pondkit",)]
NUMBERS = [place for place in PLACES if place.kind is not None]


def refused(raw: bytes) -> str:
    with pytest.raises(Refused) as caught:
        load(raw)
    return str(caught.value)


def test_bounds_steps_and_defaults_are_read_alike_in_a_file_of_either_system() -> None:
    """A bound or default with a unit that one system refuses, as 'gal', could be put and never be loaded again."""
    for place in PLACES:
        if (said := place.said) and (kind := place.kind) and not kind.plain:
            default = place.holder.model_fields[place.name].default
            for text in (said.low, said.high, default, said.step[0]):
                if isinstance(text, str) and text:
                    where = f"{place.holder.__name__}.{place.name}: {text}"
                    assert read(text, kind, "si") == read(text, kind, "us"), where


def test_the_walk_meets_every_class_of_the_document() -> None:
    classes = {place.holder for place in PLACES}
    every: set[type[Part]] = set()
    waiting = [Project]
    while waiting:
        part = waiting.pop()
        if part not in every:
            every.add(part)
            waiting += [m for field in part.model_fields.values() for m in _members(field.annotation)]
    assert classes == every
    assert len(PLACES) > 100


@for_each(place=NUMBERS)
def test_a_number_is_declared_with_label_bounds_step_and_help(place: Place) -> None:
    said, kind = place.said, place.kind
    assert said is not None
    assert kind is not None
    low, high = said.bound("low", kind), said.bound("high", kind)
    assert low is not None
    assert high is not None
    assert low < high
    assert said.help.endswith(".")
    for system in ("us", "si"):
        stride, unit = said.stride(kind, system)  # type: ignore[arg-type]
        assert stride > 0
        assert bool(unit) == (kind is PORTION or not kind.plain)


def test_bounds_are_said_in_the_units_of_the_file_and_hold_as_they_are_said() -> None:
    for place in PLACES:
        if (said := place.said) and (kind := place.kind) and said.low is not None and said.high is not None:
            low, high = said.bound("low", kind), said.bound("high", kind)
            for system in SYSTEMS:
                ends = [str(said.written(side, kind, system)) for side in ("low", "high")]
                where = f"{place.holder.__name__}.{place.name}: {ends}"
                assert all(system_of(end) in ("", system) for end in ends), where
                numbers = [
                    float(read(end.replace(",", "").replace("²", "^2").replace("³", "^3"), kind, system))
                    for end in ends
                ]
                assert low is not None and high is not None
                assert low - 1e-9 * abs(low) <= numbers[0] <= low + 1.01e-3 * abs(low), where
                assert high - 1.01e-3 * abs(high) <= numbers[1] <= high + 1e-9 * abs(high), where


@pytest.mark.parametrize("data", DOCUMENTS, ids=range(len(DOCUMENTS)))
@pytest.mark.parametrize("units", ["us", "si"])
def test_every_field_saved_and_loaded_is_equal_with_its_text_and_saves_to_the_same_bytes(
    data: dict[str, Any], units: str
) -> None:
    project = load(json.dumps(data | {"units": units}).encode())
    text = save(project)
    again = load(text.encode())
    assert again == project
    assert save(again) == text
    for path, part, field in walk(project):
        here = getattr(part, field)
        if isinstance(here, Entered):
            assert get(again, path).text == here.text
            assert f'"{here.text}"' in text


@for_each(place=NUMBERS, side=["low", "high"])
def test_a_number_out_of_bounds_is_answered_with_place_value_and_bounds(place: Place, side: str) -> None:
    said, kind = place.said, place.kind
    assert said is not None
    assert kind is not None
    low, high = said.bound("low", kind), said.bound("high", kind)
    assert low is not None
    assert high is not None
    beyond = max(1.0, (high - low) * 1e-3) if kind is COUNT else (high - low) * 1e-3
    given = _written(low - beyond if side == "low" else high + beyond, kind)
    message = refused(place.with_value(given))
    text = given if isinstance(given, str) else format(given, "g")
    assert f"{said.label} is {f'{100 * float(given):g} %' if kind is PORTION else text}" in message
    assert f"allowed is {said.written('low', kind, 'us')} to {said.written('high', kind, 'us')}" in message
    assert all(words in message for words in place.words())


@for_each(place=PLACES)
def test_a_value_of_a_wrong_kind_is_answered_with_place_and_what_to_write(place: Place) -> None:
    label = place.said.label if place.said else f"'{place.name}'"
    choices, kind = choices_in(place.holder, place.name), place.kind
    inner = list(_members(place.holder.model_fields[place.name].annotation))
    held = place.held
    if place.tag:
        message = refused(place.with_value("no such thing"))
        assert "'no such thing' is not known" in message
        assert "Choices: " in message
        return
    if choices:
        message, wanted = refused(place.with_value("no such thing")), "Choices: " + ", ".join(choices)
    elif kind is not None and (kind is PORTION or not kind.plain):
        message, wanted = (
            refused(place.with_value("3 ft" if kind is MASS else "3 kg")),
            f"where {kind.name} is wanted; write ",
        )
    elif kind is not None:
        message, wanted = refused(place.with_value("3 kg")), f"is not {kind.name}; write "
    elif inner or isinstance(held, list):
        message, wanted = (
            refused(place.with_value(3, numbers=False)),
            f"{label} is 3; write {'a list' if isinstance(held, list) else 'an object'}",
        )
    elif isinstance(held, bool):
        message, wanted = refused(place.with_value("maybe")), "write true or false"
    else:
        message, wanted = refused(place.with_value(3)), "write a text in quotes"
    assert label in message
    assert wanted in message
    assert all(words in message for words in place.words())


@for_each(place=[place for place in PLACES if not place.tag])
def test_a_misspelt_key_is_answered_with_place_and_nearest_key(place: Place) -> None:
    key = str(place.keys[-1])
    wrong = key + key[-1]
    message = refused(place.misspelt(wrong))
    assert f"'{wrong}' is no key here. Did you mean '{key}'?" in message
    assert all(words in message for words in place.words())


@for_each(place=[place for place in PLACES if place.tag])
def test_a_misspelt_key_that_tells_one_part_from_another_is_asked_for_with_the_choices(place: Place) -> None:
    key = str(place.keys[-1])
    wrong = key + key[-1]
    message = refused(place.misspelt(wrong))
    assert f"'{key}' is not filled in. Did you mean '{key}' by '{wrong}'? Choices: " in message
    assert str(place.held) in message
    assert all(words in message for words in place.words())
