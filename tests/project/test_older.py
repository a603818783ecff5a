"""Files of older versions are read: keys that moved are carried over or refused, control characters mended and said."""

import json
from pathlib import Path
from typing import Any

import pytest

from pondkit import Project, load, save
from pondkit.core.part import Choice, get, walk
from pondkit.core.refusal import Refused
from pondkit.core.text import Refers, control_in
from pondkit.core.units import LENGTH, UnitError, read
from pondkit.project.files import MOST_BYTES, load_mended, put
from pondkit.study.evaluate import evaluate
from tests.designs import full_project, option, pool, small

HERE, THERE = ["-60 ft", "3 ft"], ["10 ft", "44 ft"]


def opened(*places: Any, site: dict[str, Any] | None = None) -> Project:
    drawn = [option(name=f"option {at}", lifting={"way_in": place} if place else {}) for at, place in enumerate(places)]
    return load(json.dumps(small(options=drawn, site=site or {})).encode())


def ends(project: Project) -> list[str]:
    assert project.site.way_in is not None
    return [" ".join(getattr(value, "text", "") for value in place) for place in project.site.way_in.points]


def test_the_place_of_an_older_file_becomes_the_sites() -> None:
    assert ends(opened(HERE)) == ["-60 ft 3 ft"]
    assert ends(opened(HERE, None, HERE)) == ["-60 ft 3 ft"]
    kept = opened(HERE, site={"way_in": {"clear_width": "7 ft"}})
    assert ends(kept) == ["-60 ft 3 ft"] and kept.site.way_in and kept.site.way_in.clear_width.text == "7 ft"  # type: ignore[attr-defined]


def test_the_end_of_the_sites_own_line_is_the_same_thing_twice() -> None:
    assert ends(opened(HERE, site={"way_in": {"points": [THERE, HERE]}})) == ["10 ft 44 ft", "-60 ft 3 ft"]


@pytest.mark.parametrize(
    ("places", "site", "reasons"),
    [
        ((HERE,), {"way_in": {"points": [HERE, THERE]}}, ["option 1", "where the site's way in ends too"]),
        ((THERE, HERE), {"way_in": {"points": [THERE]}}, ["option 2"]),
        ((HERE, THERE), {}, ["option 1", "option 2", "as in the other options"]),
    ],
)
def test_another_place_is_refused_with_the_mend(places: Any, site: dict[str, Any], reasons: list[str]) -> None:
    with pytest.raises(
        Refused, match="Take the key out, and enter the place as the last of site, way_in, points"
    ) as caught:
        opened(*places, site=site)
    said = str(caught.value)
    assert all(reason in said for reason in reasons)
    assert ("option 1" in said) == ("option 1" in reasons)


@pytest.mark.parametrize("way", ["here", 3, ["x"], {"points": "none"}])
def test_what_is_no_way_in_at_all_is_refused_as_ever(way: Any) -> None:
    with pytest.raises(Refused):
        opened(HERE, site={"way_in": way})
    with pytest.raises(Refused):
        opened("nowhere")


DIG, DEARER = {"dig": "40 per yd^3"}, {"dig": "50 per yd^3"}


def priced(*rates: Any, prices: Any = None) -> Project:
    drawn = [option(f"option {at}", rates=each) for at, each in enumerate(rates)]
    return load(json.dumps(small(options=drawn) | ({"prices": prices} if prices else {})).encode())


def test_prices_that_every_option_states_alike_become_the_job_s() -> None:
    for project in (priced(DIG), priced(DIG, DIG, DIG)):
        assert project.prices is not None and project.prices.dig.text == "40 per yd^3"  # type: ignore[union-attr]
        assert all(option.rates is None for option in project.options)
        assert load(save(project).encode()) == project


@pytest.mark.parametrize("rates", [(DIG, DEARER), (DIG, None), (None, DIG)])
def test_prices_that_differ_stay_each_option_s_own(rates: tuple[Any, ...]) -> None:
    project = priced(*rates)
    assert project.prices is None
    assert [bool(option.rates) for option in project.options] == [bool(each) for each in rates]


def test_an_option_s_own_prices_take_the_place_of_the_job_s() -> None:
    """By hand: one pool; the second option is dug at 50 where the job says 40."""
    first, second = evaluate(priced(None, DEARER, prices=DIG)).options
    assert first.price is not None and second.price is not None
    dug = [float(each.price.costs[0].quantity) for each in (first, second)]
    assert [each.price.total_price.value for each in (first, second)] == [round(dug[0] * 40, 2), round(dug[1] * 50, 2)]
    assert priced(DIG, DIG, prices=DEARER).prices.dig.text == "50 per yd^3"  # type: ignore[union-attr]


# Unicode 15, PropList.txt: all of Bidi_Control.
BIDI = [0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)]
CONTROLS = [*range(0x20), *range(0x7F, 0xA0), 0x2028, 0x2029]
WELCOME = ["تاجم", "μέδουσα", "池の東", "तालाब", "می‌خواهم", "crête à l'est", "🐢", "a b", "−3"]


def file_of(**changes: Any) -> bytes:
    return json.dumps(small(options=[option(**changes)])).encode()


def texts() -> list[tuple[str | int, ...]]:
    """Path of every text of the full project that a person writes."""
    project = full_project()
    found = []
    for path, part, name in walk(project):
        field = type(part).model_fields[name]
        chosen = any(isinstance(item, Choice) for item in field.metadata)
        if isinstance(get(project, path), str) and not chosen and "Literal" not in str(field.annotation):
            found.append(path)
    return found


def test_every_text_of_a_project_refuses_controls_and_says_which() -> None:
    project = full_project()
    assert len(texts()) > 40
    for path in texts():
        for code in (0x07, 0x7F, 0x85, 0x9B, 0x202E, 0x2066, 0x200F):
            with pytest.raises(Refused, match=r"a line break|U\+"):
                put(project, path, f"a{chr(code)}b")


def test_each_control_is_refused_on_one_line_and_letters_of_any_script_are_welcome() -> None:
    project = full_project()
    for code in (*CONTROLS, *BIDI):
        with pytest.raises(Refused):
            put(project, ("options", 0, "name"), f"a{chr(code)}b")
        assert control_in(chr(code))
    for text in WELCOME:
        assert put(project, ("options", 0, "name"), text).options[0].name == text


def test_line_breaks_stand_in_notes_alone() -> None:
    project = full_project()
    kept = [path for path in texts() if _takes(project, path, "one\ntwo")]
    assert {path[-1] for path in kept} == {"note", "address", "contacts"}
    for code in (0x0D, 0x09, 0x2028, 0x202E):
        assert not _takes(project, ("options", 0, "note"), f"a{chr(code)}b")


def _takes(project: Any, path: tuple[str | int, ...], text: str) -> bool:
    try:
        put(project, path, text)
    except Refused:
        return False
    return True


def test_what_an_older_version_let_stand_is_mended_and_said() -> None:
    rates = {"currency": "C\tA", "note": "by\x07phone\r\nand post", "lines": []}
    project, told = load_mended(file_of(name="wet\x9bland", note="one\ntwo", rates=rates))
    assert project.options[0].name == "wet land"
    assert project.options[0].note == "one\ntwo"
    assert (project.prices.currency, project.prices.note) == ("C A", "by phone\nand post")
    assert len(told) == 3
    assert all("a space stands for each" in text for text in told)
    assert any("options, 1, rates, currency" in text for text in told)
    assert load_mended(save(project).encode()) == (project, ())


@pytest.mark.parametrize("name", ["a\nb", "a\x07b", "a‮b", "a⁦b"])
def test_what_no_version_should_show_is_refused(name: str) -> None:
    with pytest.raises(Refused, match="which has a "):
        load(file_of(pools=[pool(name)]))


@pytest.mark.parametrize("text", ["30 i\nn", "30\nin", "1.10 per\u2028ft", "3\x1b0 in", "30 in‮"])
def test_a_quantity_says_which_control_it_holds(text: str) -> None:
    with pytest.raises(UnitError, match=r"has a (line break|control character|character that turns)"):
        read(text, LENGTH, "us")
    assert read(" 30 in\n", LENGTH, "us").text == "30 in"  # pasted with the end of its line


def test_a_file_is_read_no_further_than_the_limit(tmp_path: Path) -> None:
    """/dev/zero never ends."""
    with pytest.raises(Refused, match=f"more than {MOST_BYTES:,} bytes"):
        load("/dev/zero")
    path = tmp_path / "long.json"
    path.write_bytes(b" " * (MOST_BYTES + 1))
    with pytest.raises(Refused, match="Is it the right file"):
        load(path)


def test_names_that_refer_hold_what_names_hold() -> None:
    """Every text that refers to a name refuses what a name refuses."""
    refers = [
        (part, name)
        for _, part, name in walk(full_project())
        if any(isinstance(item, Refers) for item in type(part).model_fields[name].metadata)
    ]
    assert refers
    for part, name in refers:
        if isinstance(getattr(part, name), str):
            with pytest.raises(Refused):
                put(part, (name,), "a\x9bb")


def test_what_may_have_several_lines_keeps_them_when_it_is_opened_again() -> None:
    """Every text whose pattern lets a line feed stand, saved with one."""
    project, met = put(full_project(), ("quotation",), {}), 0
    for path in [*texts(), ("quotation", "excluded"), ("quotation", "terms")]:
        try:
            broken = put(project, path, "first\nsecond")
        except Refused:
            continue
        met += 1
        again, told = load_mended(save(broken).encode())
        assert get(again, path) == "first\nsecond" and not told, path
    assert met >= 5
