"""Files that are refused, each with its reason and at once; what is saved loads back equal."""

import json
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pondkit import Project, load, save
from pondkit.core.part import get, walk
from pondkit.core.refusal import Refused, place
from pondkit.core.units import Entered
from pondkit.project.files import MOST_BYTES, MOST_NESTING, put, schema
from pondkit.trades.tunnels.inputs import Tunnels
from tests.designs import DEMO_FILES, DEMO_NAMES, demo, full, full_project, option, pool, small

LIMIT = 2.0  # s of the processor: no file, however bad, may take longer to refuse


def refused(raw: bytes) -> Refused:
    start = time.process_time()
    with pytest.raises(Refused) as caught:
        load(raw)
    assert time.process_time() - start < LIMIT
    assert caught.value.reasons
    assert all(0 < len(reason) < 800 for reason in caught.value.reasons)
    return caught.value


def as_file(data: Any) -> bytes:
    return json.dumps(data).encode()


def with_option(**changes: Any) -> bytes:
    return as_file(small(options=[option(**changes)]))


LONG = "x" * 1_900_000
NO_PROJECT = {
    "not JSON": (b"a pond", ["Line 1, column 1", "not JSON"]),
    "cut off": (as_file(small())[:-9], ["not JSON"]),
    "something behind": (as_file(small()) + b"}", ["not JSON"]),
    "no UTF-8": (b'{"title": "caf\xe9"}', ["not UTF-8", "byte 15", "save it as UTF-8"]),
    "UTF-16": ('{"pondkit": 1}'.encode("utf-16"), ["not UTF-8"]),
    "empty": (b"", ["empty", "choose a project file"]),
    "spaces": (b" \n\t ", ["empty"]),
    "20 MB": (b"[" + b"1, " * 6_700_000 + b"1]", ["20,100,003 bytes", f"{MOST_BYTES:,}"]),
    "a list": (b"[]", ["a list", "an object {…}"]),
    "null": (b"null", ["nothing (null)", "an object"]),
    "a number": (b"3", ["a number"]),
    "a text": (b'"pond"', ["a text"]),
    "no version": (b"{}", ["no version", "reads version 1", '"pondkit": 1']),
    "later version": (as_file(small(pondkit=2)), ["version 2", "reads version 1"]),
    "version as text": (as_file(small(pondkit="1")), ["version '1'"]),
    "version true": (as_file(small(pondkit=True)), ["version True"]),
    "version of 2 MB": (as_file(small(pondkit=LONG)), ["version 'xxx"]),
    "nested": (b'{"pondkit": ' + b"[" * 1000 + b"]" * 1000 + b"}", [f"more than {MOST_NESTING} deep"]),
    "nested in objects": (b'{"a":' * 200_000, [f"more than {MOST_NESTING} deep"]),
    "NaN": (with_option(gravel_porosity=float("nan")), ["NaN is not a finite number"]),
    "Infinity": (with_option(gravel_porosity=float("inf")), ["Infinity is not a finite number"]),
    "-Infinity": (with_option(gravel_porosity=float("-inf")), ["-Infinity is not a finite number"]),
    "too large a float": (
        b'{"pondkit": 1, "options": [{"name": "A", "gravel_porosity": 1e999}]}',
        ["not a finite number"],
    ),
    "5000 digits": (b'{"pondkit": ' + b"9" * 5000 + b"}", ["5000 digits", "at most 300"]),
    "key twice": (b'{"pondkit": 1, "title": "a", "title": "b"}', ["'title' stands twice", "keep one"]),
    "half a character": (rb'{"pondkit": 1, "title": "\ud83d"}', [r"\ud83d", "write the whole character"]),
    "half a character in a key": (rb'{"pondkit": 1, "\udc00": 1}', [r"\udc00"]),
    "150,000 keys": (
        as_file(small() | {f"k{n}": 1 for n in range(150_000)}),
        ["150,005 keys", "Is it the right file?"],
    ),
    "35,000 pools": (with_option(pools=[pool()] * 8_000), ["'pools'", "8,000 items"]),
    "150,000 points": (
        with_option(pools=[pool(outline={"shape": "points", "points": [["x", "y"]] * 150_000})]),
        ["'points'", "150,000 items"],
    ),
    "8,000 bad tiers": (with_option(pools=[{"tiers": [{"depth": "x", "q": 1}] * 8}] * 990), ["more than 6,000 parts"]),
    "135,000 bad places": (
        with_option(stone={"boulders": [{"name": "b", "axes": ["1 ft"] * 3, "places": [["x", "y"]] * 900}] * 150}),
        ["boulder 1 'b', number 1: Places", "'x' is not a length", "more."],
    ),
}


@pytest.mark.parametrize("name", NO_PROJECT)
def test_what_is_no_project_is_refused_at_once_with_its_reason(name: str) -> None:
    raw, said = NO_PROJECT[name]
    message = str(refused(raw))
    for words in said:
        assert words in message


IN_A_PROJECT = {
    "unknown key": (
        as_file(small(titel="x")),
        ["'titel' is no key here", "Did you mean 'title'?", "Keys: pondkit, job_id, title"],
    ),
    "unknown key inside": (
        with_option(poools=[]),
        ["option 1 'A'", "'poools' is no key here", "Did you mean 'pools'?"],
    ),
    "a key of 2 MB": (with_option(**{LONG: 1}), ["is no key here"]),
    "a mass for a depth": (
        with_option(pools=[pool(tiers=[{"zone": "a", "depth": "3 kg"}])]),
        ["option 1 'A', pool 1 'pool', tier 1 'a': Depth", "'kg' is a mass, where a length is wanted", "write '30 in'"],
    ),
    "too deep": (
        with_option(pools=[pool(tiers=[{"zone": "a", "depth": "13 ft"}])]),
        ["tier 1 'a': Depth is 13 ft", "1 in to 12 ft"],
    ),
    "too deep without a unit": (
        with_option(pools=[pool(tiers=[{"zone": "a", "depth": 30}])]),
        ["Depth is 30 ft", "a bare number is read as 30 ft", "1 in to 12 ft"],
    ),
    "tons in doubt": (
        with_option(rates={"boulders": "160 per ton"}),
        ["rates: Boulders", "'short ton', 'long ton' or 'tonne'"],
    ),
    "a comma": (with_option(pools=[pool(level="1,5 m")]), ["Level: '1,5 m' has a comma", "write '1.5 m' or '15 m'"]),
    "no rock": (
        with_option(stone={"rock": "granit"}),
        ["stone: Rock: 'granit' is not known", "Did you mean 'granite'?", "basalt"],
    ),
    "no form": (
        with_option(stone={"boulders": [{"name": "b", "axes": ["1 ft"] * 3, "form": "sphere"}]}),
        ["boulder 1 'b': Form: 'sphere' is not known", "Choices: ellipsoid, block, riprap"],
    ),
    "no pipe": (with_option(tunnels={"pipe": "sch40 4in"}), ["tunnels: Pipe", "Did you mean 'sch40 4 in'?"]),
    "no shape": (
        with_option(pools=[pool(outline={"shape": "elipse"})]),
        ["Outline: 'elipse' is not known", "Did you mean 'ellipse'?"],
    ),
    "shape left out": (
        with_option(pools=[pool(outline={"length": "9 ft"})]),
        ["Outline: 'shape' is not filled in", "Choices: circle"],
    ),
    "key of another shape": (
        with_option(pools=[pool(outline={"shape": "circle", "length": "9 ft"})]),
        ["pool 1 'pool', circle: 'length' is no key here", "Keys: shape, diameter"],
    ),
    "an axis too few": (
        with_option(stone={"boulders": [{"name": "b", "axes": ["1 ft", "1 ft"]}]}),
        ["boulder 1 'b': Size lacks its number 3"],
    ),
    "an axis too many": (
        with_option(stone={"boulders": [{"name": "b", "axes": ["1 ft"] * 4}]}),
        ["Size: 4 are given; at most 3"],
    ),
    "a bad point": (
        with_option(
            pools=[pool(outline={"shape": "points", "points": [["0 ft", "0 ft"], ["9 ft", "0 kg"], ["9 ft", "9 ft"]]})]
        ),
        ["points, number 2: Points: 'kg' is a mass"],
    ),
    "no option": (as_file(small(options=[])), ["Options: 0 are given; at least 1"]),
    "seven options": (as_file(small(options=[option()] * 7)), ["Options: 7 are given; at most 6"]),
    "500 pools": (
        with_option(pools=[pool(f"p{n}") for n in range(500)]),
        ["option 1 'A': Pools: 500 are given; at most 60", "Leave some out"],
    ),
    "no tier": (with_option(pools=[pool(tiers=[])]), ["Tiers: 0 are given; at least 1"]),
    "an option that is none": (as_file(small(options=[3])), ["option 1 is 3", "write an object"]),
    "options that are none": (as_file(small(options={"name": "A"})), ["Options is an object", "write a list"]),
    "a part that is none": (with_option(stone=[]), ["Stone is a list", "write an object"]),
    "name left out": (
        with_option(pools=[{"tiers": [{"zone": "a", "depth": "1 ft"}]}]),
        ["pool 1: Name is not filled in", "write 'name'"],
    ),
    "name empty": (with_option(pools=[pool("")]), ["Name is ''", "at least 1 character"]),
    "name of 2 MB": (with_option(pools=[pool(LONG)]), ["1,900,000 characters long", "at most 60"]),
    "name on two lines": (with_option(pools=[pool("a\nb")]), ["Name is", "on one line"]),
    "title too long": (as_file(small(title="x" * 121)), ["Title is", "121 characters long", "at most 120"]),
    "note too long": (with_option(note="x" * 2001), ["Note is", "2,001 characters long", "at most 2000"]),
    "depth of 2 MB": (with_option(pools=[pool(level=LONG)]), ["Level", "is not a length"]),
    "half a boulder": (
        with_option(stone={"boulders": [{"name": "b", "count": 1.5, "axes": ["1 ft"] * 3}]}),
        ["Count: 1.5 is not a whole number"],
    ),
    "neither true nor false": (
        with_option(pools=[pool(outline={"shape": "points", "smooth": "x", "points": [[0, 0], [9, 0], [9, 9]]})]),
        ["Smooth is 'x'", "true or false"],
    ),
    "no such units": (as_file(small(units="metric")), ["Units of the file: 'metric' is not known", "Choices: us, si"]),
    "units in a list": (as_file(small(units=["us"])), ["Units of the file"]),
}


@pytest.mark.parametrize("name", IN_A_PROJECT)
def test_a_fault_in_a_project_names_place_value_what_is_allowed_and_the_mend(name: str) -> None:
    raw, said = IN_A_PROJECT[name]
    message = str(refused(raw))
    for words in said:
        assert words in message


def test_a_gallon_in_an_si_file_and_a_name_from_the_units_follow_the_files_units() -> None:
    assert load(as_file(small(units="us", site={"depth_limit": 2}))).site.depth_limit == pytest.approx(0.6096)
    assert load(as_file(small(units="si", site={"depth_limit": 2}))).site.depth_limit == 2.0


def test_every_fault_is_told_but_no_more_than_a_dozen_at_once() -> None:
    two = refused(with_option(pools=[pool(level="x", freeboard="9 ft")]))
    assert len(two.reasons) == 2
    many = refused(with_option(pools=[pool(tiers=[{"zone": "a", "depth": "x"}] * 8)] * 3))
    assert len(many.reasons) == 13
    assert many.reasons[-1] == "… and 12 more."


def test_a_path_that_is_not_there_is_no_refusal(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="none"):
        load(tmp_path / "none.json")


def test_a_mark_of_utf_8_brackets_in_texts_and_a_backslash_at_an_end_are_no_fault() -> None:
    title = '[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[ " {{{ \\'
    project = load(b"\xef\xbb\xbf" + as_file(small(title=title)))
    assert project.title == title
    assert load(save(project).encode()) == project


# ---------------------------------------------------------------- save and load


def documents() -> list[Project]:
    return [full_project(), *(demo(name) for name in DEMO_NAMES), load(as_file(full() | {"units": "si"}))]


@pytest.mark.parametrize("project", documents(), ids=lambda project: f"{project.title} {project.units}")
def test_what_is_saved_loads_back_equal_and_saves_to_the_same_bytes(project: Project) -> None:
    text = save(project)
    again = load(text.encode())
    assert again == project
    assert save(again) == text
    for path, part, field in walk(project):
        there, here = get(again, path), getattr(part, field)
        assert getattr(there, "text", None) == getattr(here, "text", None)


@pytest.mark.parametrize("project", documents(), ids=lambda project: f"{project.title} {project.units}")
def test_a_save_holds_every_field_with_no_bare_quantity_so_that_units_change_no_byte_of_it(project: Project) -> None:
    data = json.loads(save(project))
    _complete(data, project)
    other = data | {"units": "si" if data["units"] == "us" else "us"}
    same = load(as_file(other))
    assert {**json.loads(save(same)), "units": data["units"]} == data
    assert same.changed(units=project.units) == project


def _complete(data: Any, part: Any) -> None:
    for name, field in type(part).model_fields.items():
        value, written = getattr(part, name), data[field.alias or name]
        if hasattr(type(value), "model_fields"):
            _complete(written, value)
        elif isinstance(value, tuple) and value and hasattr(type(value[0]), "model_fields"):
            for inner, item in zip(written, value, strict=True):
                _complete(inner, item)
        elif isinstance(value, Entered):
            assert written == value.text
        elif isinstance(value, tuple):
            assert written == [_written(item) for item in value]
        else:
            assert written == value


def _written(item: Any) -> Any:
    return [_written(inner) for inner in item] if isinstance(item, tuple) else getattr(item, "text", item)


TYPED = ["30 in", "2 ft 6 in", "5' 4\"", "3 1/2 in", "0.6 m", "60 cm", "½ ft", "1000 mil", "762 mm", "2.5 ft"]


@settings(deadline=None)
@given(st.lists(st.sampled_from(TYPED), min_size=1, max_size=8), st.sampled_from(["us", "si"]))
def test_quantities_stand_in_the_saved_file_as_they_were_typed(texts: list[str], units: str) -> None:
    tiers = [{"zone": f"z{n}", "depth": text} for n, text in enumerate(texts)]
    project = load(as_file(small(units=units, options=[option(pools=[pool(tiers=tiers)])])))
    saved = json.loads(save(project))
    assert [tier["depth"] for tier in saved["options"][0]["pools"][0]["tiers"]] == texts
    assert load(save(project).encode()) == project


def test_a_bare_number_gets_its_unit_and_is_then_the_same_in_either_system() -> None:
    for units, said in (("us", "2.5 ft"), ("si", "2.5 m")):
        project = load(as_file(small(units=units, site={"depth_limit": 2.5})))
        assert json.loads(save(project))["site"]["depth_limit"] == said


def test_the_schema_describes_the_file_and_demos_keep_to_it() -> None:
    described = schema()
    assert (
        set(described["required"])
        <= set(described["properties"])
        == {
            "pondkit",
            "job_id",
            "title",
            "units",
            "site",
            "picture",
            "chosen",
            "reminders_read",
            "prices",
            "quotation",
            "options",
        }
    )
    for name in DEMO_NAMES:
        data = json.loads(DEMO_FILES[name].read_bytes())
        assert set(data) <= set(described["properties"])
    tier = described["$defs"]["Tier"]
    assert set(tier["required"]) == {"zone", "depth"}
    assert tier["properties"]["depth"]["type"] == ["string", "number"]
    assert described["$defs"]["Run"]["properties"].keys() >= {"from", "to"}


def test_a_path_in_words() -> None:
    project = full_project()
    assert (
        place(project, ("options", 0, "pools", 0, "tiers", 1, "depth"))
        == "option 'A', pool 'lower', tier 'deep', depth"
    )
    assert (
        place(project, ("options", 0, "stone", "boulders", 0, "axes", 2))
        == "option 'A', stone, boulder 'seat', size, number 3"
    )
    assert place(project, ("site", "groundwater")) == "site, groundwater"


# ---------------------------------------------------------------- one value


def test_put_refuses_in_words_and_leaves_the_project_as_it_was() -> None:
    project = full_project()
    before = save(project)
    with pytest.raises(Refused, match=r"Depth is 13 ft; allowed is 1 in to 12 ft\."):
        put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), "13 ft")
    with pytest.raises(Refused, match="Depth: 'kg' is a mass, where a length is wanted"):
        put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), "3 kg")
    with pytest.raises(Refused, match=r"Rock: 'granit' is not known\. Did you mean 'granite'"):
        put(project, ("options", 0, "stone", "rock"), "granit")
    with pytest.raises(Refused, match="Size is 16 ft"):
        put(project, ("options", 0, "stone", "boulders", 0, "axes", 0), "16 ft")
    assert save(project) == before


def test_put_refuses_what_the_files_own_units_do_not_allow() -> None:
    """'gal' is the US gallon in a us file only: saved into an si file, it would keep the file from loading."""
    project = load(as_file(small(units="si", options=[option(tunnels={})])))
    path = ("options", 0, "tunnels", "flush_flow")
    with pytest.raises(Refused, match="could be the US or the imperial gallon"):
        put(project, path, "20 gal/min")
    whole = Tunnels.model_validate({"flush_flow": "20 gal/min"}, context={"units": "us"})
    with pytest.raises(Refused, match="could be the US or the imperial gallon"):
        put(project, path[:-1], whole)
    changed = put(project, path, "20 US gal/min")
    assert load(save(changed).encode()) == changed


def test_put_of_a_list_index_names_the_number_in_it() -> None:
    project = full_project()
    with pytest.raises(Refused, match="number 2: Size: 'kg' is a mass"):
        put(project, ("options", 0, "stone", "boulders", 0, "axes", 1), "3 kg")
