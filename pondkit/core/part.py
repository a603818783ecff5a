"""Inputs: how one is declared, and how parts of a document are read, checked, gone through and changed. With geometry's
shapes, the trades' inputs and project, the only place that imports pydantic.
"""

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, ClassVar, Literal, Self, TypeVar, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field, GetJsonSchemaHandler, PlainValidator, WithJsonSchema, field_validator
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError, PydanticUndefined
from pydantic_core.core_schema import ValidationInfo

from pondkit.core import units
from pondkit.core.result import Path
from pondkit.core.text import LINES, Refers
from pondkit.core.units import Entered, Kind, System, UnitError, kind_of, read


def _reader(kind: Kind) -> PlainValidator:
    def check(value: Any, info: ValidationInfo) -> float:
        system: System = (info.context or {}).get("units", "us")
        try:
            return read(value, kind, system)
        except UnitError as error:
            raise PydanticCustomError("quantity", "{reason}", {"reason": error.reason, "mend": error.mend}) from None

    return PlainValidator(check)


def _whole(entered: Any) -> int:
    try:
        value = read(entered, units.COUNT, "us")
    except UnitError as error:
        raise PydanticCustomError("quantity", "{reason}", {"reason": error.reason, "mend": error.mend}) from None
    if value != int(value):
        raise PydanticCustomError(
            "quantity", "{reason}", {"reason": f"{entered!r} is not a whole number", "mend": "write 1, 2, 3 …"}
        )
    return int(value)


_TEXT_OR_NUMBER = {"type": ["string", "number"]}


def _schema(kind: Kind) -> WithJsonSchema:
    number = kind.plain and kind is not units.PORTION
    return WithJsonSchema(
        {"type": "number"} if number else _TEXT_OR_NUMBER | {"description": f"{kind.name}, such as {kind.example}"}
    )


Length = Annotated[float, units.LENGTH, _reader(units.LENGTH), _schema(units.LENGTH)]
Area = Annotated[float, units.AREA, _reader(units.AREA), _schema(units.AREA)]
Mass = Annotated[float, units.MASS, _reader(units.MASS), _schema(units.MASS)]
Density = Annotated[float, units.DENSITY, _reader(units.DENSITY), _schema(units.DENSITY)]
ArealMass = Annotated[float, units.AREAL_MASS, _reader(units.AREAL_MASS), _schema(units.AREAL_MASS)]
Ratio = Annotated[float, units.RATIO, _reader(units.RATIO), _schema(units.RATIO)]
Share = Annotated[float, units.SHARE, _reader(units.SHARE), _schema(units.SHARE)]
Portion = Annotated[float, units.PORTION, _reader(units.PORTION), _schema(units.PORTION)]
Angle = Annotated[float, units.ANGLE, _reader(units.ANGLE), _schema(units.ANGLE)]
PriceLength = Annotated[float, units.PRICE_LENGTH, _reader(units.PRICE_LENGTH), _schema(units.PRICE_LENGTH)]
PriceArea = Annotated[float, units.PRICE_AREA, _reader(units.PRICE_AREA), _schema(units.PRICE_AREA)]
PriceVolume = Annotated[float, units.PRICE_VOLUME, _reader(units.PRICE_VOLUME), _schema(units.PRICE_VOLUME)]
PriceMass = Annotated[float, units.PRICE_MASS, _reader(units.PRICE_MASS), _schema(units.PRICE_MASS)]
PriceEach = Annotated[float, units.PRICE_EACH, _reader(units.PRICE_EACH), _schema(units.PRICE_EACH)]
PriceTime = Annotated[float, units.PRICE_TIME, _reader(units.PRICE_TIME), _schema(units.PRICE_TIME)]
Money = Annotated[float, units.MONEY, _reader(units.MONEY), _schema(units.MONEY)]
PriceEnergy = Annotated[float, units.PRICE_ENERGY, _reader(units.PRICE_ENERGY), _schema(units.PRICE_ENERGY)]
Flow = Annotated[float, units.FLOW, _reader(units.FLOW), _schema(units.FLOW)]
Speed = Annotated[float, units.SPEED, _reader(units.SPEED), _schema(units.SPEED)]
Time = Annotated[float, units.TIME, _reader(units.TIME), _schema(units.TIME)]
Power = Annotated[float, units.POWER, _reader(units.POWER), _schema(units.POWER)]
Volume = Annotated[float, units.VOLUME, _reader(units.VOLUME), _schema(units.VOLUME)]
Pressure = Annotated[float, units.PRESSURE, _reader(units.PRESSURE), _schema(units.PRESSURE)]
HeatFlux = Annotated[float, units.HEAT_FLUX, _reader(units.HEAT_FLUX), _schema(units.HEAT_FLUX)]
MassRate = Annotated[float, units.MASS_RATE, _reader(units.MASS_RATE), _schema(units.MASS_RATE)]
SpecificArea = Annotated[float, units.SPECIFIC_AREA, _reader(units.SPECIFIC_AREA), _schema(units.SPECIFIC_AREA)]
Concentration = Annotated[float, units.CONCENTRATION, _reader(units.CONCENTRATION), _schema(units.CONCENTRATION)]
Temperature = Annotated[float, units.TEMPERATURE, _reader(units.TEMPERATURE), _schema(units.TEMPERATURE)]
Whole = Annotated[
    int, units.COUNT, WithJsonSchema({"type": "integer"}), PlainValidator(lambda given, info: _whole(given))
]
Point = tuple[Length, Length]
Place = tuple[Length, Length, Length]


MOST_TOLD = 400  # characters up to which all choices are listed
NEAREST, ALIKE = 8, 0.7  # of a longer table: how many are listed, and how similar they must be


@dataclass(frozen=True)
class Choice:
    """A field that takes one name of a fixed list, or of a shipped table, and checks it.

    ``labels`` are shown in place of names that are keys.
    """

    names: tuple[str, ...]
    labels: tuple[str, ...] = ()

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self._check)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.names)}

    def _check(self, value: Any) -> str:
        if value in self.names:
            return str(value)
        text = str(value)[: units.MOST_TEXT]
        near = difflib.get_close_matches(text, self.names, 1, 0.3)
        names_text, alike = ", ".join(self.names), difflib.get_close_matches(text, self.names, NEAREST, ALIKE)
        if alike and len(names_text) > MOST_TOLD:  # a long table: only names that may be meant
            names_text = f"{', '.join(alike)}, and {len(self.names) - len(alike)} more"
        raise PydanticCustomError(
            "choice",
            "{given} is none of the choices",
            {"given": units.brief(value), "names": names_text, "near": near[0] if near else ""},
        )


@cache
def _bound(bound: str | float | None, kind: Kind) -> float | None:
    return None if bound is None else float(read(bound, kind, "us"))


@dataclass(frozen=True)
class Ask:
    """Declaration of one input: label, bounds as written, slider step in each system, a line of help, and the value
    with which an optional input begins in each system.
    """

    label: str
    low: str | float | None
    high: str | float | None
    step: tuple[str | float, str | float]
    help: str
    front: bool
    first: tuple[str, str] | None = None

    def bound(self, side: Literal["low", "high"], kind: Kind) -> float | None:
        """A bound as an SI float; None if there is none."""
        return _bound(getattr(self, side), kind)

    def written(self, side: Literal["low", "high"], kind: Kind, system: System) -> str | float | None:
        """A bound in the units of a system; if it is declared in the other's, rounded inward to four figures."""
        bound = getattr(self, side)
        if kind.plain or bound is None or units.system_of(str(bound)) in ("", system):
            return bound  # type: ignore[no-any-return]
        value = _bound(bound, kind) or 0.0
        unit = units.unit_for(value, kind, system)
        return units.inward(units.magnitude(value, kind, unit, system), down=side == "high") + f" {units.pretty(unit)}"

    def stride(self, kind: Kind, system: System) -> tuple[float, str]:
        """(step, unit) of a slider in a system."""
        step = self.step[0 if system == "us" else 1]
        unit = units.unit_in(str(step)) if kind is units.PORTION or not kind.plain else ""
        return units.magnitude(float(read(step, kind, system)), kind, unit, system), unit


def ask(
    label: str,
    low: str | float | None = None,
    high: str | float | None = None,
    step: tuple[str | float, str | float] = (1, 1),
    *,
    default: Any = PydanticUndefined,
    help: str,
    front: bool = False,
    first: tuple[str, str] | None = None,
) -> Any:
    """Declare an input. ``default`` is written as a person writes it; ``front`` puts it among the first on the page;
    ``first`` is the value, in us and in si units, with which an input that is left out by default begins once it is
    wanted.
    """
    info = Field(default, description=help, validate_default=default is not PydanticUndefined)
    info.metadata.append(Ask(label, low, high, step, help, front, first))
    return info


def _key_in_files(name: str) -> str:
    """Key of a field in project files: its name, without the line under it that keeps it from being a word of Python
    ("from").
    """
    return name.removesuffix("_")


class Part(BaseModel):
    """A part of the document: frozen, without unknown keys, and without checks across fields. Compared and hashed by
    value.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=_key_in_files,
        populate_by_name=True,
        hide_input_in_errors=True,
    )
    title_of_part: ClassVar[str] = "part"
    read_off: ClassVar[bool] = False
    """Whether its quantities are read off a sheet, a plate or a rod: none is made up where one is left out."""
    first_values: ClassVar[tuple[dict[str, Any], dict[str, Any]]] = ({}, {})
    """What the first of its kind in a list begins with, in a us and in an si file, beyond defaults and title."""

    of_kind: ClassVar[dict[str, str]] = {}
    """Fields that say something of one ``kind`` of it alone, with that kind: they are not asked of the others."""

    @field_validator("*", mode="after")
    @classmethod
    def _within_bounds(cls, value: Any, info: ValidationInfo) -> Any:
        declared = ask_of(cls, info.field_name or "")
        kind = kind_in(cls, info.field_name or "")
        if declared and kind:
            for number in _numbers(value):
                low, high = declared.bound("low", kind), declared.bound("high", kind)
                # A bound typed in the other system may differ from this one by rounding.
                slack = 1e-9 * max(abs(low or 0.0), abs(high or 0.0))
                if (low is not None and number < low - slack) or (high is not None and number > high + slack):
                    text = number.text if isinstance(number, Entered) else f"{number:g}"
                    if kind is units.PORTION:
                        text = f"{units.magnitude(number, kind, '%'):g} %"
                    system: System = (info.context or {}).get("units", "us")
                    ends = {side: declared.written(side, kind, system) for side in ("low", "high")}
                    raise PydanticCustomError("bounds", "{given}", {"given": text, **ends})
        return value

    def changed(self, **values: Any) -> Self:
        """A copy with some fields changed, unchecked: for values that are parts already."""
        return self.model_copy(update=values)


P = TypeVar("P", bound=Part)


def _numbers(value: Any) -> Iterator[float]:
    if isinstance(value, tuple):
        for item in value:
            yield from _numbers(item)
    elif isinstance(value, (float, int)) and not isinstance(value, bool):
        yield value


def ask_of(part: type[Part], name: str) -> Ask | None:
    """The declaration of one field."""
    return _declared(part, name)[0]


def kind_in(part: type[Part], name: str) -> Kind | None:
    """Kind of quantity of one field, or of its elements if it is a tuple."""
    return _declared(part, name)[1]


@cache  # called for each value of a file
def _declared(part: type[Part], name: str) -> tuple[Ask | None, Kind | None]:
    field = part.model_fields[name]
    return (
        next((m for m in field.metadata if isinstance(m, Ask)), None),
        next((m for m in field.metadata if isinstance(m, Kind)), None) or kind_of(field.annotation),
    )


def refers_in(part: type[Part], name: str) -> str:
    """The list that names in a field refer to: "pools", "nodes" …; "" if they refer to none."""
    field = part.model_fields[name]
    return next((item.to for item in (*field.metadata, *_metadata(field.annotation)) if isinstance(item, Refers)), "")


def several_lines(part: type[Part], name: str) -> bool:
    """Whether a text field may hold line breaks."""
    return any(getattr(item, "pattern", None) == LINES for item in part.model_fields[name].metadata)


def choices_in(part: type[Part], name: str) -> tuple[str, ...]:
    """Names that a field offers; empty if any text is allowed."""
    return choice.names if (choice := _choice_in(part, name)) else ()


def labels_in(part: type[Part], name: str) -> dict[str, str]:
    """Labels of the names that a field offers; empty if the names are shown themselves."""
    choice = _choice_in(part, name)
    return dict(zip(choice.names, choice.labels, strict=True)) if choice and choice.labels else {}


def _choice_in(part: type[Part], name: str) -> Choice | None:
    field = part.model_fields[name]
    return next((item for item in (*field.metadata, *_metadata(field.annotation)) if isinstance(item, Choice)), None)


def _metadata(annotation: Any) -> Iterator[Any]:
    for arg in get_args(annotation):
        if isinstance(arg, (Choice, Refers)):
            yield arg
        elif get_origin(arg) is not None or get_args(arg):
            yield from _metadata(arg)


def key_of(field: FieldInfo, name: str) -> str:
    """The field's key in the file."""
    return field.alias or name


def walk(part: Part, path: Path = ()) -> Iterator[tuple[Path, Part, str]]:
    """Every single field of a part and of the parts inside it: (path of the field, part that holds it, field name)."""
    for name in type(part).model_fields:
        value = getattr(part, name)
        if isinstance(value, Part):
            yield from walk(value, (*path, name))
        elif isinstance(value, tuple) and value and all(isinstance(item, Part) for item in value):
            for index, item in enumerate(value):
                yield from walk(item, (*path, name, index))
        else:
            yield (*path, name), part, name


def get(part: Part, path: Path) -> Any:
    """The value at a path."""
    value: Any = part
    for step in path:
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value


def put(part: P, path: Path, value: Any, system: System = "us") -> P:
    """A new document in which only the parts along the path are new; the last part is checked as one in a file is.

    Args:
        part: The document, or any part of it.
        path: Names and indexes, such as ("options", 0, "pools", 2, "tiers", 1, "depth"). An index on a tuple of parts
            replaces that part.
        value: The new value: text, number, part, tuple of parts, or None.
        system: How a bare number is read.
    Raises: pydantic.ValidationError that names the field; ``pondkit.project.files.put`` turns it into words.
    """
    head, *rest = path
    assert isinstance(head, str), "a path within a part starts with a field's name"
    if not rest:
        fields = {name: getattr(part, name) for name in type(part).model_fields}
        return type(part).model_validate(fields | {head: value}, context={"units": system}, by_name=True)
    child = getattr(part, head)
    index = rest[0]
    if not isinstance(index, int):
        return part.changed(**{head: put(child, tuple(rest), value, system)})
    inner = put(child[index], tuple(rest[1:]), value, system) if len(rest) > 1 else value
    items = (*child[:index], inner, *child[index + 1 :])
    if len(rest) > 1 and isinstance(child[index], Part):
        return part.changed(**{head: items})
    return put(part, (head,), items, system)
