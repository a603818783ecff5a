"""Every declared input has one widget; every figure says the same in CSV, on the page and in the drawing."""

import csv
import html
import io
import re
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "page"))  # where the page's test runner stands

from sketch import Sketch

from pondkit import Project
from pondkit.core.caution import REMINDER
from pondkit.core.kinds import nothing
from pondkit.core.part import Part, ask_of, get, kind_in, walk
from pondkit.core.units import MONEY, SYSTEMS, System
from pondkit.page.contents import LISTS, TRADES
from pondkit.page.controls import PAIRS, UNIONS, declarations_in
from pondkit.project.files import put
from pondkit.report import table
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs import Rates
from tests.designs import DEMO_NAMES, demo, full_project, part_classes
from tests.report.papers import reading

PLACES = ("points", "left", "right", "places")  # lists of places, of which one at a time is on show
OPTION = ("options", 0)


def every_input() -> Project:
    """A project in which nothing that may be left out is: every declared input is met at least once."""
    project = full_project()
    pits = (*OPTION, "pools", 0, "pits", 0)
    filled: dict[tuple[str | int, ...], Any] = {
        ("site", "groundwater"): "-6 ft",
        ("site", "section"): (("0 ft", "-9 ft"), ("0 ft", "9 ft")),
        ("site", "ground"): {"kind": "plane", "fall": 0.02},
        ("picture",): {"data": "none"},
        (*pits, "top"): "30 in",
        (*OPTION, "links", 0, "crest_level"): "18 in",
        **{(*OPTION, "links", 0, name): "10 in" for name in ("length", "bed_width", "bank_height")},
        (*OPTION, "links", 0, "slope"): 0.02,
        (*OPTION, "lining", "liners", 0, "turn_deg"): 10,
        (*OPTION, "stone", "boulders", 0, "density"): "160 lb/ft^3",
        (*OPTION, "stone", "boulders", 0, "bedding"): "4 in",
        (*OPTION, "stone", "bearing", "pressure"): "1800 psf",
        (*OPTION, "stone", "slings", 0, "choker"): "2400 lb",
        (*OPTION, "stone", "slings", 0, "basket"): "6000 lb",
        **{
            (*OPTION, "lifting", "chart", 0, name): "4000 lb" for name in ("tipping_front", "tipping_side", "hydraulic")
        },
        (*OPTION, "walls", "walls", 0, "water"): "12 in",
        (*OPTION, "tunnels", "runs", 0, "pipe"): "sch40 6 in",
        (*OPTION, "tunnels", "fittings", 0, "clear_bore"): "3.5 in",
        (*OPTION, "tunnels", "trench_room"): "4 in",
        (*OPTION, "tunnels", "flush_from"): "den",
        (*OPTION, "tunnels", "flush_flow"): "60 gal/min",
        **{(*OPTION, "tunnels", "nodes", at, name): "40 lb" for at in range(3) for name in ("mass", "ballast")},
    }
    pipe = {"name": "hose", "outside": "3 in", "bore": "2.5 in", "stock_length": "50 ft", "mass": "10 lb"}
    for trade in ("tunnels", "water"):
        filled[(*OPTION, trade, "own_pipes")] = (pipe,)
    kind = (*OPTION, "animals", "kinds", 0)
    for name in (
        "longest_swim",
        "water_depth",
        "under_ice",
        "den_dryness",
        "fence_height",
        "fence_dig_in",
        "fence_overhang",
    ):
        filled[(*kind, name)] = "2 ft"
    for name in ("fence_height", "fence_dig_in", "fence_overhang"):
        filled[(*OPTION, "animals", name)] = "18 in"
    filled[(*kind, "water_area")] = "40 ft^2"
    for name in ("haul", "underlay", "overlay", "edging", "gravel", "wall_stone", "crushed", "pipe_bedding"):
        said = ask_of(Rates, name)
        filled[("prices", name)] = str(said.step[0])
    for name, size in (("media_size", "0.5 in"), ("maker_loss", "2 in")):
        filled[(*OPTION, "water", "filter", name)] = size
    filled[(*OPTION, "water", "season", "sun")] = "150 W/m^2"
    filled[("quotation",)] = {"tax": "8 %", "valid_days": 30, "lines": [QUOTED], "steps": [{"share": "30 %"}]}
    filled[(*OPTION, "links", 0, "points")] = (("15 ft", "6.5 ft"),)
    filled[(*OPTION, "walls", "walls", 0, "length")] = "12 ft"
    filled[(*OPTION, "earth", "swell")] = 0.3
    filled[(*OPTION, "dig", "instrument")] = "4.5 ft"
    filled[(*OPTION, "dig", "tapes", 0, "taped")] = "29 ft"
    filled[(*OPTION, "earth", "bank_crest")] = "18 in"
    filled[(*OPTION, "earth", "berm", "outline")] = {"shape": "rectangle", "length": "14 ft", "width": "3 ft"}
    filled[(*OPTION, "earth", "berm", "top_level")] = "8 in"
    filled[(*OPTION, "earth", "berm", "at")] = ("-4 ft", "-22 ft")
    for body in ("intake", "pit", "filter"):
        filled[(*OPTION, "water", body, "rim")] = "20 in"
        filled[(*OPTION, "water", body, "mass")] = filled[(*OPTION, "water", body, "ballast")] = "90 lb"
    for name in ("second_mass", "second_ballast"):
        filled[(*OPTION, "water", "filter", name)] = "90 lb"
    filled[(*OPTION, "earth", "berm", "height")] = "2 in"
    filled[(*OPTION, "earth", "berm", "end_slope")] = 2
    filled[(*OPTION, "earth", "berm", "hidden_rim")] = "30 in"
    for path, value in filled.items():
        project = put(project, path, value)
    # What is asked of one kind alone needs that kind.
    links, nodes = (*OPTION, "links"), (*OPTION, "tunnels", "nodes")
    first = get(project, (*links, 0))
    project = put(project, links, (first, first.changed(kind="channel")))
    gate = {"name": "a gate", "kind": "gate", "at": ["3 ft", "2 ft", "-1 ft"]}
    return put(project, nodes, (*get(project, nodes), gate))


OUTLINES = {
    "circle": {"shape": "circle", "diameter": "12 ft"},
    "ellipse": {"shape": "ellipse"},
    "rectangle": {"shape": "rectangle"},
    "points": {"shape": "points", "points": [["-9 ft", "-5 ft"], ["9 ft", "-5 ft"], ["0 ft", "6 ft"]]},
    "offsets": {
        "shape": "offsets",
        "left": [["0 ft", "0 ft"], ["8 ft", "5 ft"], ["16 ft", "0 ft"]],
        "right": [["8 ft", "4 ft"]],
    },
}


QUOTED = {"price": 90, "tax": "5 %"}
TABLES = (("site", "ground", "points"), ("site", "ground", "rows"))
SIGHT = {"name": "b", "at": ["1 ft", "2 ft"], "backsight": "4 ft", "intermediate": "3 ft", "foresight": "2 ft"}
GROUNDS: dict[str, dict[str, Any]] = {
    "level": {"kind": "level"},
    "points": {"kind": "points", "points": [["0 ft", "0 ft", "1 ft"]]},
    "level book": {"kind": "level book", "closing": "1 ft", "allowed": "1 in", "rows": [SIGHT]},
}


@pytest.fixture(scope="module")
def page() -> Sketch:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["app.py"])
        return Sketch()


def place_of(trade: str) -> tuple[str | int, ...]:
    """Where a trade's part stands: the prices are the job's, all others the option's."""
    return ("prices",) if trade == "prices" else (*OPTION, trade)


def choices(page: Sketch, project: Project, trades: Sequence[str]) -> Iterator[None]:
    """Brings every part of the first option on show, one after the other: of all trades, or of some."""
    page.desk.open(project)
    page.run()
    option = project.options[0]
    for trade in trades:
        page.choose("trade", trade).unfold()
        field = {"Liner": "lining", "Pools": "pools", "Links": "links", "Rates": "prices"}.get(trade, trade.lower())
        for number in range(max(1, len(LISTS.get(field, ())))):
            if len(LISTS.get(field, ())) > 1:
                page.choose(f"list:{field}", number).unfold()
            held = (
                (*OPTION, field)
                if field in ("pools", "links")
                else (*place_of(field), LISTS[field][number].field)
                if LISTS.get(field)
                else ("site", "keep_outs")
                if field == "site"
                else ()
            )
            for index in range(len(get(project, held))) if held else [0]:
                page.desk.chosen[str(held)] = index
                page.run()
                yield
                if field == "pools":
                    for pit in range(1, len(option.pools[index].pits)):
                        page.desk.chosen[str((*held, index, "pits"))] = pit
                        page.run()
                        yield


def widgets(page: Sketch, project: Project, trades: Sequence[str]) -> dict[str, int]:
    """Every widget that is met, by its key, with the most times that it stands on one page."""
    met: dict[str, int] = {}
    for _ in choices(page, project, trades):
        for key, count in Counter(page.keys).items():
            met[key] = max(met.get(key, 0), count)
    return met


def expected(project: Project) -> dict[str, str]:
    """The key of the widget, or of each widget, of every input of a project -> the field it stands for."""
    found: dict[str, str] = {}
    for path, part, name in walk(project):
        if ask_of(type(part), name) is None or (len(path) > 1 and path[:2] != OPTION and path[0] == "options"):
            continue
        if part.of_kind.get(name, kind := getattr(part, "kind", "")) != kind:
            continue
        if path == (*OPTION, "rates"):
            continue  # prices of an option's own: a button puts them in
        value, key = get(project, path), "/".join(map(str, path))
        if path[:3] in TABLES:  # all its lines stand in one table
            found["/".join(map(str, path[:3]))] = "/".join(map(str, path[:3]))
            continue
        if isinstance(value, tuple) and name not in ("covers", "flush_open"):
            if name in PAIRS:
                found |= {f"{key}/{end}{axis}": key for end in (0, 1) for axis in (0, 1)}
            elif name in PLACES:
                found |= {f"{key}/0/{axis}": key for axis in (0, 1)}
            elif not value or not isinstance(value[0], float):
                continue  # an empty list of parts: it has a button to add the first
            else:
                found |= {f"{key}/{axis}": key for axis in range(len(value))}
        elif value is None and kind_in(type(part), name):
            (how,) = (one for one in declarations_in(type(part)) if one.name == name)
            found[key if how.to_fill else f"{key}:set"] = key  # an empty box, or a switch
        else:
            found[key] = key
    return found


@pytest.mark.parametrize("shape", OUTLINES)
def test_every_declared_input_has_one_widget(page: Sketch, shape: str) -> None:
    project = put(every_input(), (*OPTION, "pools", 0, "outline"), OUTLINES[shape])
    # Only what the pools ask for differs from one shape of the outline to another.
    trades, branch = (TRADES, "") if shape == "points" else (("Pools",), "options/0/pools/")
    met = widgets(page, project, trades)
    wanted = expected(project)
    assert sorted(key for key in wanted if key.startswith(branch) and key not in met) == []
    assert [key for key, count in met.items() if count > 1] == []
    # And no widget stands for anything else: a switch of an optional quantity, a kind of
    # outline or ground, a chosen place.
    unions = {key for key in met if key.rpartition("/")[2] in UNIONS}
    rest = {key for key in met if key not in wanted and key not in unions and not key.endswith(":set")}
    assert rest == set()


@pytest.mark.parametrize("ground", GROUNDS)
def test_every_input_of_each_kind_of_ground_has_one_widget(page: Sketch, ground: str) -> None:
    project = put(every_input(), ("site", "ground"), GROUNDS[ground])
    page.desk.open(project)
    page.run()
    page.choose("trade", "Site").unfold()
    met = Counter(key for key in page.keys if key.startswith("site/ground/") and not key.endswith(":set"))
    assert dict(met) == dict.fromkeys((key for key in expected(project) if key.startswith("site/ground/")), 1)


def test_the_projects_of_these_tests_hold_every_field_of_the_document() -> None:
    def asked(project: Project) -> set[tuple[type[Part], str]]:
        held = {(part, name, getattr(part, "kind", "")) for _, part, name in walk(project)}
        return {(type(part), name) for part, name, kind in held if part.of_kind.get(name, kind) == kind}

    met = set[tuple[type[Part], str]]()
    for shape in OUTLINES:
        met |= asked(put(every_input(), (*OPTION, "pools", 0, "outline"), OUTLINES[shape]))
    for ground in GROUNDS.values():
        met |= asked(put(every_input(), ("site", "ground"), ground))
    declared = {(part, field.name) for part in part_classes() for field in declarations_in(part)}
    assert declared <= met


@pytest.mark.parametrize(
    "trade", ["lining", "stone", "lifting", "walls", "tunnels", "animals", "dig", "earth", "prices"]
)
def test_a_part_that_is_left_out_has_a_button_to_put_it_in(page: Sketch, trade: str) -> None:
    page.desk.open(put(full_project(), place_of(trade), None))
    page.run()
    page.choose("trade", {"lining": "Liner", "prices": "Rates"}.get(trade, trade.capitalize()))
    assert page.can_press(f":{'/'.join(map(str, place_of(trade)))}:add")


@pytest.mark.parametrize("fabric", ["underlay", "overlay"])
def test_a_fabric_that_is_left_out_has_a_button_to_put_it_in(page: Sketch, fabric: str) -> None:
    page.desk.open(put(full_project(), (*OPTION, "lining", fabric), None))
    page.run()
    page.choose("trade", "Liner").unfold()
    assert page.can_press(f":options/0/lining/{fabric}:add")


# --- figures ---


def texts_of(markup: str) -> set[str]:
    """The texts between tags."""
    return {html.unescape(text).strip() for text in re.split(r"<[^>]*>", markup)} - {""}


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_figure_says_the_same_in_csv_on_the_page_and_in_the_drawing(
    page: Sketch, name: str, system: System
) -> None:
    project = demo(name)
    results = evaluate(project)
    lines = list(csv.reader(io.StringIO(table.takeoff_csv(results, system).removeprefix("\ufeff"), newline="")))
    assert lines[0] == list(table.COLUMNS)
    records = [dict(zip(table.COLUMNS, line, strict=True)) for line in lines[1:]]
    page.desk.open(project)
    page.run()
    page.choose("units", system).choose("view", "Figures")
    for index, result in enumerate(results.options):
        page.desk.chosen["option"] = index
        page.run()
        (body,) = page.html("pk-takeoff")
        shown, drawn = texts_of(body), reading.texts(reading.blocks("figures", results, index, system))
        own = [record for record in records if record["option"] == result.option.name]
        assert [record["key"] for record in own] == [row.key for row in table.rows(result, system)]
        assert {record["key"] for record in own} == {key for key, _ in result.entries()}
        for record, row in zip(own, table.rows(result, system), strict=True):
            assert record["text"].removeprefix("'") == row.text  # the mark that keeps a cell from being a formula
            shown_number = row.full_text.replace(",", "").strip(f" {row.unit}s")  # "3 days"
            small = nothing(row.si_value, row.entry.kind)
            # In full on the page: to the cent, or in seven figures.
            least = 0.0051 if row.entry.kind is MONEY else 0.0
            written = 0.0 if small else float(record["value"])
            assert float(shown_number) == pytest.approx(written, rel=6e-7, abs=least), record["key"]
            for place in (shown, drawn):
                assert row.text in place, record["key"]
                assert row.label in place, record["key"]
            working = row.working  # written anew each time it is asked for
            assert any(working in text for text in shown), record["key"]
            assert any(working in text for text in drawn), record["key"]
            for caution in row.cautions:
                assert caution in record["cautions"]
                # The page says what is true of every job once, not at the figure.
                assert caution.rank == REMINDER or any(caution in text for text in shown)
                assert any(caution in text for text in drawn)
    page.choose("view", "Sketch")
