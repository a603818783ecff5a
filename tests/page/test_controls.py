"""What the controls show of the document, and how what was typed is read. No server."""

import json
import math
import re
from collections.abc import Callable
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sketch import Sketch

from pondkit.core import units
from pondkit.core.part import Ask, Part, ask_of, choices_in, get, kind_in
from pondkit.core.units import ANGLE, LENGTH, PORTION, RATIO, Entered, Kind
from pondkit.page import controls
from pondkit.page.components import Row
from pondkit.page.contents import TRADES
from pondkit.page.controls import FINE, box_text, fields_of, quantity, with_unit
from pondkit.page.state import Desk, History
from pondkit.project.project import Project
from tests.designs import FULL_DESIGN, full_project, part_classes, read
from tests.loops import for_each

Declared = tuple[type[Part], str, Ask, Kind]
QUANTITIES: list[Declared] = [
    (part, name, said, kind)
    for part in dict.fromkeys(part_classes())
    for name in part.model_fields
    if (said := ask_of(part, name)) and (kind := kind_in(part, name))
]
SYSTEMS = units.SYSTEMS
DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")


def named(item: Any) -> str:
    return f"{item[0].__name__}.{item[1]}" if isinstance(item, tuple) else str(item)


def some_values(said: Ask, kind: Kind) -> list[float]:
    """Ends, middle, and values near the ends, within the bounds of a field."""
    low, high = said.bound("low", kind), said.bound("high", kind)
    assert low is not None
    assert high is not None
    return [low + share * (high - low) for share in (0, 1e-4, 0.013, 0.3, 0.5, 0.77, 0.999, 1)]


def decimals(step: float) -> int:
    """As the slider's own script counts them."""
    return len(f"{step:.10f}".rstrip("0").partition(".")[2])


def thumb_texts(data: Row) -> list[str]:
    """What the thumb says at its two ends: the outermost numbers inside them with the decimals of the step."""
    places = decimals(data["step"])
    scale = 10**places
    ends = math.ceil(data["min"] * scale - 1e-6) / scale, math.floor(data["max"] * scale + 1e-6) / scale
    return [f"{end:.{places}f} {data['unit']}".strip() for end in ends]


def test_there_are_quantities_to_look_at() -> None:
    assert len(QUANTITIES) > 60


@for_each(declared=QUANTITIES, system=SYSTEMS)
def test_a_slider_holds_its_value_within_the_bounds(declared: Declared, system: units.System) -> None:
    _, _, said, kind = declared
    low, high = said.bound("low", kind), said.bound("high", kind)
    for value in some_values(said, kind):
        data = quantity("it", said, kind, value, said.label, system)
        slack = 1e-9 * max(abs(low), abs(high)) / units.factor(data["unit"], kind, system)
        assert data["min"] < data["max"]
        assert data["min"] - slack <= data["value"] <= data["max"] + slack
        assert units.magnitude(low, kind, data["unit"], system) - slack <= data["min"]
        assert data["max"] <= units.magnitude(high, kind, data["unit"], system) + slack
        assert 0 < data["step"] < data["max"] - data["min"]
        assert (data["max"] - data["min"]) / data["step"] <= FINE * (1 + 1e-9)


@for_each(declared=QUANTITIES, system=SYSTEMS)
def test_both_ends_of_a_slider_are_taken(declared: Declared, system: units.System) -> None:
    _, _, said, kind = declared
    low, high = said.bound("low", kind), said.bound("high", kind)
    slack = 1e-9 * max(abs(low), abs(high))  # what the document allows for rounding
    for value in some_values(said, kind):
        for text in thumb_texts(quantity("it", said, kind, value, said.label, system)):
            assert low - slack <= units.read(text, kind, system) <= high + slack, text


@for_each(declared=QUANTITIES, system=SYSTEMS)
def test_the_box_says_the_value_in_the_slider_s_unit(declared: Declared, system: units.System) -> None:
    _, _, said, kind = declared
    for value in some_values(said, kind):
        data = quantity("it", said, kind, value, said.label, system)
        assert data["text"].endswith(data["unit"])
        again = units.read(data["text"], kind, system)
        # What was typed elsewhere is shown as fine as a tenth of the slider's step, in five figures at most.
        fine = units.read(f"{data['step'] / 20} {data['unit']}", kind, system) if data["unit"] else data["step"] / 20
        slack = data["step"] / 20 if kind is units.TEMPERATURE else float(fine)
        assert again == pytest.approx(value, rel=1e-4, abs=slack * 1.001)


@for_each(declared=QUANTITIES, system=SYSTEMS)
def test_step_and_unit_belong_to_the_system(declared: Declared, system: units.System) -> None:
    _, _, said, kind = declared
    step, unit = said.stride(kind, system)
    assert (kind.plain and kind is not PORTION) == (unit == "")
    assert units.system_of(unit) in (system, "")
    assert decimals(step) <= 5
    assert step == pytest.approx(float(f"{step:.{decimals(step)}f}"), rel=1e-9)


@for_each(declared=QUANTITIES)
def test_every_share_is_in_per_cent(declared: Declared) -> None:
    """A plain number is for what people say as one: a batter, a factor, a factor of safety."""
    _, name, said, kind = declared
    is_share = name.endswith("within") or "share of" in said.help.lower() or "porosity" in name
    assert not (is_share and kind is RATIO), said.label


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12 %", 0.12),
        ("12", 0.12),
        ("0.12", 0.12),
        ("1/8", 0.125),
        ("1", 0.01),
        ("100", 1.0),
        ("0", 0.0),
        (".5 %", 0.005),
    ],
)
@pytest.mark.parametrize("kind", [units.SHARE, PORTION], ids=lambda kind: kind.name)
def test_a_share_is_read_as_a_person_means_it(kind: Kind, text: str, value: float) -> None:
    """In per cent, as its box shows it, but a bare number below 1 for the share that it is."""
    assert units.read(with_unit(text, kind, "%"), kind, "us") == pytest.approx(value, rel=1e-12, abs=1e-15)


def test_a_share_that_is_refused_is_named_in_per_cent(start: Callable[..., Sketch]) -> None:
    page = start(json.loads(FULL_DESIGN.read_text(encoding="utf-8")))
    page.choose("trade", "Stone").unfold("fold:more stone")
    path = "options/0/stone/boulders/0/axes_within"
    assert page.slider(path)["text"].endswith(" %")
    for text, said in (("60", "60 %"), ("0.6", "60 %"), ("much", "'much'"), ("3 ft", "'ft' is a length")):
        page.enter(path, text)
        row = page.slider(path)
        assert said in row["message"] and row["text"] == text, row
        assert "Still in force: 10 %" in row["message"]
    page.enter(path, "0.2")
    assert page.slider(path)["text"] == "20 %"
    assert page.project.options[0].stone
    assert json.loads(page.saved)["options"][0]["stone"]["boulders"][0]["axes_within"] == 0.2  # in the file as ever


NONSENSE = ("abc", "1e400", "−", "🐸", "x" * 5_000, "=1+1", "<b>x</b>", "1/0", "3 3/0 in", "NaN")


def test_nonsense_in_any_box_is_refused_beside_it_and_nothing_is_lost() -> None:
    """Every row of every part that is in the full design; a text may be any that is short."""
    page = Sketch()
    page.desk.open(full_project())
    rows = 0
    for trade in TRADES:
        page.desk.chosen["trade"] = trade
        page.run().unfold()
        lists = [row for id_, row in page.rows.items() if row["kind"] == "pick" and id_.startswith("list")]
        for place in range(len(lists[0]["options"]) if lists else 1):
            if lists:
                page.enter(lists[0]["id"], str(place))
                page.unfold()
            before, project = page.rows, page.project
            boxes = {id_: row for id_, row in before.items() if row["kind"] == "quantity" and row["value"] is not None}
            texts = {id_: row for id_, row in before.items() if row["kind"] == "text"}
            for id_ in boxes:
                for text in NONSENSE:
                    page.do(id_, text)
                    assert page.desk.refusals[id_][0] == text, id_
                assert page.project is project and not page.desk.fault and not page.desk.message, id_
            for id_ in texts:
                page.do(id_, NONSENSE[4])
            page.run()
            assert page.project is project
            for id_, row in boxes.items():
                assert page.rows[id_]["text"] == NONSENSE[-1]
                assert page.rows[id_]["message"].endswith(f" Still in force: {row['text']}.")
            for id_ in texts:
                assert page.rows[id_]["text"] == NONSENSE[4]
                assert re.search(r" (Still in force: .+|It is still to be filled in)\.$", page.rows[id_]["message"])
            rows += len(boxes) + len(texts)
            page.desk.refusals.clear()
    assert rows > 300


def test_a_window_stays_put_while_its_value_moves_a_little() -> None:
    said, kind = ask_of(full_project().options[0].pools[0].__class__, "at"), LENGTH
    assert said is not None
    windows = {
        (d["min"], d["max"])
        for inches in range(-24, 25)
        for d in [quantity("it", said, kind, inches * 0.0254, "Place", "us")]
    }
    assert len(windows) == 1


@pytest.mark.parametrize(
    ("text", "system", "shown"),
    [
        ("2 ft 6 in", "us", "2 ft 6 in"),  # as typed
        ("5' 4\"", "us", "5' 4\""),
        ("3 1/2 in", "us", "3 1/2 in"),
        ("0.6 m", "si", "0.6 m"),
        ("0.6 m", "us", "23.6 in"),  # 0.6 / 0.0254, to five figures
        ("2 ft 6 in", "si", "76.2 cm"),  # exact: 30 x 2.54
        ("1 m", "us", "39.4 in"),
    ],
)
def test_the_box_keeps_what_was_typed_in_the_units_on_show(text: str, system: units.System, shown: str) -> None:
    said = ask_of(type(read().options[0].pools[0].tiers[0]), "depth")
    assert said is not None
    assert quantity("it", said, LENGTH, units.read(text, LENGTH, "us"), "Depth", system)["text"] == shown


def test_a_plain_number_stays_one() -> None:
    assert box_text(0.5, RATIO, "", 0.1, "us") == box_text(0.5, RATIO, "", 0.1, "si") == "0.5"
    assert box_text(-25.0, ANGLE, "", 1.0, "us") == "-25°"


@pytest.mark.parametrize(
    ("text", "unit", "taken"),
    [
        ("30", "in", "30 in"),
        ("-30", "in", "-30 in"),
        ("3 1/2", "in", "3 1/2 in"),
        ("2½", "in", "2½ in"),
        ("30", "cm", "30 cm"),
        ("1.5", "m", "1.5 m"),
        ("2 ft 6 in", "in", "2 ft 6 in"),
        ("2 ft 6", "in", "2 ft 6"),  # half a quantity is not completed by guessing
        ("deep", "in", "deep"),
        ("", "in", ""),
        ("1e2", "in", "1e2 in"),
    ],
)
def test_a_bare_number_means_the_unit_of_the_box(text: str, unit: str, taken: str) -> None:
    assert with_unit(text, LENGTH, unit) == taken


def test_a_ratio_gets_no_unit() -> None:
    assert with_unit("0.5", RATIO, "") == "0.5"


def field_at(desk: Desk, path: tuple[str | int, ...]) -> controls.Field:
    return next(field for field in fields_of(get(desk.project, path[:-1]), path[:-1]) if field.path == path)


@pytest.mark.parametrize(("unit", "metres"), [("in", 25 * 0.0254), ("cm", 0.25)])
def test_what_is_entered_is_put_in_the_unit_of_the_box(unit: str, metres: float) -> None:
    desk = Desk(History(read()), "us")
    controls._enter_number(desk, field_at(desk, DEPTH), (), unit, "k", "25", 1)
    depth = desk.project.options[0].pools[0].tiers[1].depth
    assert (depth, depth.text) == (pytest.approx(metres), f"25 {unit}")


def test_one_number_of_a_place_is_put_and_the_other_keeps_its_text() -> None:
    desk = Desk(History(full_project()), "us")
    place = field_at(desk, ("options", 0, "pools", 1, "at"))
    controls._enter_number(desk, place, (0,), "ft", "k", "28", 1)
    assert [number.text for number in desk.project.options[0].pools[1].at] == ["28 ft", "0 ft"]


@pytest.mark.parametrize("text", ["banana", "3 kg", "999 ft", "1 ton", "-4", "nan", "1,5"])
def test_refused_text_is_kept_with_its_reason_and_the_design_stays(text: str) -> None:
    desk = Desk(History(read()), "us")
    before = desk.history
    controls._enter_number(desk, field_at(desk, DEPTH), (), "in", "k", text, 1)
    assert desk.history is before
    kept, reason = desk.refusals["k"]
    assert kept == text
    assert "Depth" in reason


@given(inches=st.floats(1, 144), system=st.sampled_from(SYSTEMS))
def test_a_slider_never_raises_within_the_bounds(inches: float, system: units.System) -> None:
    said = ask_of(type(read().options[0].pools[0].tiers[0]), "depth")
    assert said is not None
    data = quantity("it", said, LENGTH, Entered(inches * 0.0254, f"{inches!r} in"), "Depth", system)
    assert data["min"] - 1e-9 <= data["value"] <= data["max"] + 1e-9


def holds_part(annotation: Any) -> bool:
    return any(issubclass(one, Part) for one in (annotation, *get_args(annotation)) if isinstance(one, type)) or any(
        holds_part(one) for one in get_args(annotation)
    )


@for_each(part=[part for part in dict.fromkeys(part_classes()) if part is not Project])
def test_every_input_of_a_part_is_asked_for_and_no_part_inside_it(part: type[Part]) -> None:
    """Of a part whose kinds are asked for different things: each of them by some kind, none by all."""
    kinds = choices_in(part, "kind") if "kind" in part.model_fields else ()
    empty: dict[str, Any] = dict.fromkeys(part.model_fields)
    made = [part.model_construct(**(empty | ({"kind": kind} if kind else {}))) for kind in kinds or ("",)]
    by_kind = [{field.name for field in fields_of(each, ())} for each in made]
    asked = set.union(*by_kind)
    assert set.intersection(*by_kind) == asked - set(part.of_kind)
    inputs = {name for name in part.model_fields if ask_of(part, name)}
    inside = {name for name, field in part.model_fields.items() if holds_part(field.annotation)}
    assert asked == inputs - inside


def test_the_fields_of_a_pool_and_of_rates_by_name() -> None:
    option = full_project().options[0]
    assert [field.name for field in fields_of(option.pools[0], ())] == [
        "name",
        "level",
        "freeboard",
        "bank_batter",
        "at",
        "turn_deg",
    ]
    asked = [field.name for field in fields_of(full_project().prices, ())]
    assert asked == [
        "currency",
        "note",
        "dig",
        "haul",
        "liner",
        "underlay",
        "overlay",
        "boulders",
        "edging",
        "wall_stone",
        "crushed",
        "pipe_bedding",
        "gravel",
        "pipe",
        "fittings",
        "contingency",
        "labour",
        "machine",
    ]
