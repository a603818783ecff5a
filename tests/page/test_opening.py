"""Opening and taking away files: a good one, a demo, each kind of bad one, project, CSV and drawing."""

import json
import time
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from sketch import Sketch
from streamlit.delta_generator import DeltaGenerator

from pondkit import load, save
from pondkit.page import header
from pondkit.report import table
from pondkit.report.papers import JOB_TABLES, PAPERS, TABLES, file_name, paper
from pondkit.study.evaluate import evaluate
from tests.designs import demo, full, option, pool, small
from tests.report.papers import reading

DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")
CORNERS = [["0 ft", "0 ft"], ["9 ft", "9 ft"], ["9 ft", "0 ft"], ["0 ft", "9 ft"]]
CROSSING = pool(outline={"shape": "points", "smooth": False, "points": CORNERS})
FLAT = pool(
    outline={"shape": "points", "smooth": False, "points": [["0 ft", "0 ft"], ["5 ft", "0 ft"], ["9 ft", "0 ft"]]}
)
Start = Callable[..., Sketch]


def file_of(data: Any) -> bytes:
    return json.dumps(data).encode()


def lone(**changes: Any) -> dict[str, Any]:
    """An option of one pool with some of its keys as given."""
    return option(pools=[pool(**changes)])


def test_a_demo_is_loaded_and_undo_brings_the_work_back(start: Start) -> None:
    page = start(small()).unfold("file")
    work = page.saved
    (menu,) = [box for box in page.app.selectbox if (box.key or "").startswith("demo")]
    menu.set_value("Platypus creek")
    page.run()
    assert page.saved == save(demo("platypus_creek"))
    assert page.desk.units == "si"
    assert page.figures["Net volume in all"][0].endswith("m³")
    page.press("↶")
    assert page.saved == work


def test_a_good_file_is_opened_and_undo_brings_the_work_back(start: Start) -> None:
    page = start(small())
    work = page.saved
    page.upload(file_of(full()))
    assert page.saved == save(load(file_of(full())))
    assert page.problems == []
    page.press("↶")
    assert page.saved == work


REFUSED: dict[str, tuple[bytes, tuple[str, ...]]] = {
    "not JSON": (b"{oops", ("line 1", "JSON")),
    "not UTF-8": (b'{"title": "\xff\xfe"}', ("UTF-8",)),
    "empty": (b"", ("empty",)),
    "20 MB": (b" " * 20_000_000, ("20,000,000", "at most")),
    "a list": (b"[1, 2]", ("list",)),
    "a number of many digits": (b'{"pondkit": ' + b"9" * 6000 + b"}", ()),
    "deeply nested": (b"[" * 100_000, ("nested",)),
    "another version": (file_of(small(pondkit=2)), ("version", "1")),
    "an unknown key": (file_of(small(options=[option(pols=[])])), ("pols", "pools", "option 1")),
    "a mass for a depth": (
        file_of(small(options=[lone(tiers=[{"zone": "deep", "depth": "3 kg"}])])),
        ("'kg' is a mass", "pool 1", "length"),
    ),
    "too deep": (file_of(small(options=[lone(tiers=[{"zone": "deep", "depth": "99 ft"}])])), ("99 ft", "12 ft")),
    "NaN": (b'{"pondkit": 1, "options": [{"name": "A", "gravel_porosity": NaN, "pools": []}]}', ("NaN", "finite")),
    "Infinity": (
        b'{"pondkit": 1, "options": [{"name": "A", "gravel_porosity": -Infinity, "pools": []}]}',
        ("Infinity",),
    ),
    "1e999": (file_of(small()).replace(b'"9 in"', b"1e999"), ("finite",)),
    "no tiers": (file_of(small(options=[lone(tiers=[])])), ("tier", "at least 1")),
    "500 pools": (file_of(small(options=[option(pools=[pool(f"p{i}") for i in range(500)])])), ("at most 60",)),
}


@pytest.mark.parametrize("what", REFUSED)
def test_a_file_that_is_refused_gives_a_message_and_leaves_the_work(worked: Sketch, what: str) -> None:
    (data, words), page = REFUSED[what], worked
    before, history = page.saved, page.desk.history
    began = time.perf_counter()
    page.upload(data, "client's pond.json")
    assert time.perf_counter() - began < 2
    assert len(page.problems) == 1
    said = page.problems[0]
    assert said.startswith("client's pond.json was not opened, and your work is as it was. ")
    for word in words:
        assert word.lower() in said.lower()
    assert len(said) < 1000
    assert page.saved == before
    assert page.desk.history is history
    page.slide(DEPTH, "35 in")  # the page goes on
    assert page.project.options[0].pools[0].tiers[1].depth.text == "35 in"
    page.press("↶")


def two(second: dict[str, Any], **more: Any) -> dict[str, Any]:
    """An option of two pools."""
    return option(pools=[pool("one"), second], **more)


APART = pool("two", at=["40 ft", "0 ft"])
SPOT = ["-14 ft", "0 ft", "-6 in"]
NODES = [{"name": "a", "kind": "junction", "at": SPOT}, {"name": "b", "kind": "junction", "at": SPOT}]
SMALL_STONE = {"name": "b", "axes": ["9 in", "8 in", "7 in"], "pool": "pol"}
TROUBLED: dict[str, tuple[dict[str, Any], tuple[str, ...]]] = {
    "an outline that crosses itself": (option(pools=[CROSSING]), ("crosses itself", "'pool'")),
    "an outline without area": (option(pools=[FLAT]), ("outline", "'pool'")),
    "pools that overlap": (two(pool("two", at=["5 ft", "0 ft"])), ("overlaps 'one'", "'two'")),
    "tiers out of order": (
        lone(tiers=[{"zone": "deep", "depth": "30 in"}, {"zone": "marsh", "depth": "9 in"}]),
        ("tier", "9 in"),
    ),
    "nodes in one place": (option(tunnels={"nodes": NODES, "runs": [{"from": "a", "to": "b"}]}), ("'a'", "'b'")),
    "a run to nowhere": (
        option(tunnels={"nodes": NODES, "runs": [{"from": "a", "to": "zz"}]}),
        ("no node is called 'zz'",),
    ),
    "a link to nowhere": (
        two(APART, links=[{"from": "one", "to": "tow", "at": ["20 ft", "0 ft"]}]),
        ("'tow'", "'two'"),
    ),
    "pools of one name": (two(pool("one", at=["40 ft", "0 ft"])), ("'one'", "twice")),
    "boulders in no pool": (option(stone={"boulders": [SMALL_STONE]}), ("'pol'", "pool")),
    "a liner over nothing": (option(lining={"liners": [{"name": "l", "covers": ["pol"]}]}), ("'pol'",)),
}


@pytest.mark.parametrize("what", TROUBLED)
def test_a_file_with_a_problem_is_opened_with_its_words_and_undo_brings_the_work_back(
    worked: Sketch, what: str
) -> None:
    (broken, words), page = TROUBLED[what], worked
    before = page.saved
    began = time.perf_counter()
    page.upload(file_of(small(options=[broken])))
    assert time.perf_counter() - began < 2
    said = " ".join(page.problems)
    for word in (*words, "allowed: ", "To mend it, "):
        assert word in said
    for view in ("Side by side", "Figures", "Sketch"):
        page.choose("view", view)
    page.press("↶")
    assert page.saved == before
    assert page.problems == []


def test_options_of_one_name_are_told(start: Start) -> None:
    page = start(small(options=[option("A"), option("A")]))
    page.desk.chosen["option"] = 1
    page.run()
    assert any("'A' stands twice" in problem for problem in page.problems)


def downloads(page: Sketch) -> dict[str, Any]:
    return {button.key: button.proto for button in page.app.get("download_button")}


def test_project_csv_and_drawing_can_be_taken_away(start: Start) -> None:
    page = start(full())
    assert downloads(page) == {}
    assert set(downloads(page.unfold("file"))) == {
        "save",
        "copy",
        "Summary (CSV)",
        "Takeoff (CSV)",
        *(title for _, title, _ in TABLES),
        *(title for _, title, _ in JOB_TABLES),
        *(f"paper_{one.key}" for one in PAPERS),
    }


def test_files_taken_away_are_named_by_job_date_and_revision(monkeypatch: pytest.MonkeyPatch) -> None:
    project = load(file_of(full()))
    assert header.dated_stem(project, "yard") == "yard"
    dated = project.changed(site=project.site.changed(job=project.site.job.changed(date="2026-05-31", revision="2/b")))
    assert header.dated_stem(dated, "yard") == "yard_2026-05-31_r2_b"
    names: list[str] = []
    monkeypatch.setattr(DeltaGenerator, "download_button", lambda *_, file_name, **__: names.append(file_name))
    desk = SimpleNamespace(project=dated, units="us", option=0, base_option=0)
    header.table_files(desk, "yard")  # type: ignore[arg-type]
    header.paper_files(desk, "yard")  # type: ignore[arg-type]
    assert len(names) == len(set(names)) >= len(PAPERS)
    assert all(name.startswith("yard_2026-05-31_r2_b_") for name in names)
    own = f"yard_2026-05-31_r2_b_{file_name(dated.options[0].name)}"
    assert {f"{own}_quotation.pdf", f"{own}_order.csv", "yard_2026-05-31_r2_b_first_visit.pdf"} < set(names)


def test_the_file_taken_away_is_the_project_and_the_csv_the_page_s_figures() -> None:
    project = load(file_of(full()))
    assert header._takeoff(project, "si") == table.takeoff_csv(evaluate(project), "si").encode("utf-8")
    assert header._summary(project, "si", 0) == table.summary_csv(evaluate(project), "si", 0).encode("utf-8")
    one = next(one for one in PAPERS if one.key == "first_visit")
    taken, made = header._paper(project, one, 0, "us", "a4"), paper(one, evaluate(project), 0, "us", "a4")
    assert reading.pages(taken) == reading.pages(made) and reading.size(taken) == reading.size(made)
