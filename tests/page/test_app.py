"""The page in Streamlit's own test runner: it starts, each change shows, nothing bad that is opened breaks it."""

import gc
import html
import json
from collections.abc import Callable
from typing import Any

import pytest
from sketch import Sketch

from pondkit.core.part import get
from pondkit.page import main
from pondkit.page.contents import PANELS
from pondkit.report import table
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_FILES, DEMO_NAMES, demo, full, option, pool, small

OPTION = ("options", 0)
POOL = (*OPTION, "pools", 0)
DEPTH = (*POOL, "tiers", 1, "depth")
CORNERS = [["0 ft", "0 ft"], ["9 ft", "9 ft"], ["9 ft", "0 ft"], ["0 ft", "9 ft"]]
CROSSING = pool(outline={"shape": "points", "smooth": False, "points": CORNERS})
Start = Callable[..., Sketch]


# --- first screen and views ---


def test_with_no_click_there_are_plan_section_and_key_figures(start: Start) -> None:
    page = start(full())
    assert page.problems == []
    assert page.picture("picture Plan")["figure"]["data"]
    assert page.picture("picture Section A–B")["figure"]["data"]
    assert not page.picture("picture Plan")["stale"]
    assert 5 <= len(page.figures) <= 7
    assert all(value not in ("", "–") for value, _ in page.figures.values())
    assert all(change == "" for _, change in page.figures.values())


def test_a_full_collection_of_garbage_leaves_out_what_the_page_imports() -> None:
    """It would look through some 200,000 objects, in the middle of a drag."""
    assert main.run
    assert gc.get_freeze_count() > 50_000
    assert gc.get_threshold()[0] >= 50_000  # nor is it collected every few hundred objects


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("view", ["Sketch", "Side by side", "Figures"])
def test_every_view_of_every_demo_shows_in_both_systems(start: Start, name: str, view: str) -> None:
    page = start(json.loads(DEMO_FILES[name].read_text(encoding="utf-8")))
    page.choose("view", view)
    assert page.problems == []
    for system in ("si", "us"):
        page.choose("units", system)
        assert page.problems == []


def test_the_key_figures_are_those_of_the_takeoff(start: Start) -> None:
    page = start(full())
    lines = {line.label: line.texts[0] for line in table.summary_rows(evaluate(page.project), "us")}
    assert {label: value for label, (value, _) in page.figures.items()} == {
        label: lines[label] for label in page.figures
    }


def test_a_name_of_markup_is_shown_as_text(start: Start) -> None:
    odd = "<img src=x onerror=alert(1)>"
    page = start(
        small(
            title=odd,
            options=[option(odd, note=odd, pools=[pool(odd, tiers=[{"zone": odd, "depth": "20 in"}])]), option("B")],
        )
    )
    for view in ("Sketch", "Side by side", "Figures"):
        page.choose("view", view)
        bodies = [block.proto.body for block in page.app.get("html")]
        assert not any(odd in body for body in bodies)
        assert any(html.escape(odd) in body for body in bodies)


@pytest.mark.parametrize("panel", ["Water by level", "3-D"])
def test_a_further_picture_is_drawn_when_it_is_asked_for(start: Start, panel: str) -> None:
    page = start(full())
    assert page.picture(f"picture {panel}") == {}
    assert page.choose("more", panel).picture(f"picture {panel}")["figure"]["data"]


def test_every_further_picture_of_every_demo_can_be_drawn(start: Start) -> None:
    page = start()
    for name in DEMO_NAMES:
        page.desk.open(demo(name))
        page.run()
        for part in page.parts_with_pictures:
            page.pictures_of(part)
            for panel in PANELS:
                if panel.part == part:
                    page.choose("more", panel.title)


def test_each_picture_is_told_in_words(start: Start) -> None:
    page = start(full())
    for name in ("picture Plan", "picture Section A–B", "picture Zones"):
        assert "lower" in page.picture(name)["alt"]


# --- units, undo, changes shown ---


def test_units_switch_the_text_and_not_the_design(start: Start) -> None:
    page = start(full())
    before, gallons = page.saved, page.figures["Net volume in all"][0]
    page.choose("units", "si")
    assert page.figures["Net volume in all"][0].endswith("m³")
    assert page.slider("/".join(map(str, DEPTH)))["unit"] == "cm"
    assert page.saved == before
    assert not page.can_press("↶")
    assert page.choose("units", "us").figures["Net volume in all"][0] == gallons


def test_a_change_shows_at_once_with_its_difference(start: Start) -> None:
    page = start(full())
    plan, section = page.picture("picture Plan"), page.picture("picture Section A–B")
    page.slide(DEPTH, "40 in")
    value, change = page.figures["Net volume in all"]
    assert change.startswith("▲")
    assert 0 < float(change.removeprefix("▲ ").replace(",", "")) < float(value.partition(" ")[0].replace(",", ""))
    assert page.picture("picture Plan")["figure"]["data"] != plan["figure"]["data"]
    assert page.picture("picture Section A–B")["figure"]["data"] != section["figure"]["data"]
    before, after = (
        evaluate(p).options[0].totals.total_net_volume.value for p in (page.desk.history.before, page.project)
    )
    gallons = float(change.split()[1].replace(",", ""))
    assert gallons == pytest.approx(
        (after - before) / 3.785411784e-3, rel=0.01, abs=2
    )  # NIST SP 811; four figures are shown
    assert value


def test_undo_and_redo_bring_figures_and_text_back(start: Start) -> None:
    page = start(full())
    first, figures = page.saved, page.figures
    page.slide(DEPTH, "33 in", 1).slide(DEPTH, "40 in", 1)
    second = page.saved
    page.press("↶")
    assert page.saved == first
    assert {k: v for k, (v, _) in page.figures.items()} == {k: v for k, (v, _) in figures.items()}
    assert not page.can_press("↶")
    page.press("↷")
    assert page.saved == second
    assert page.slider("/".join(map(str, DEPTH)))["text"] == "40 in"


def test_refused_text_stays_beside_its_slider(start: Start) -> None:
    page = start(full())
    before = page.saved
    page.slide(DEPTH, "banana")
    shown = page.slider("/".join(map(str, DEPTH)))
    assert shown["text"] == "banana"
    assert "Depth" in shown["message"]
    assert page.saved == before
    page.slide(DEPTH, "2 ft 9 in", 2)
    shown = page.slider("/".join(map(str, DEPTH)))
    assert (shown["text"], shown["message"]) == ("2 ft 9 in", "")


def test_every_slider_shows_its_field(start: Start) -> None:
    page = start(full())
    for key in page.keys:
        if key.startswith("options/0/pools/0/tiers/1"):
            field = key.rpartition("/")[2]
            if field != "zone":
                assert page.slider(key)["label"].lower().startswith(field[:5])


# --- edits of lists, by their buttons ---


@pytest.mark.parametrize(
    ("trade", "shown", "held"),
    [
        ("Pools", None, (*OPTION, "pools")),
        ("Pools", None, (*POOL, "pits")),
        ("Links", None, (*OPTION, "links")),
        ("Stone", 0, (*OPTION, "stone", "boulders")),
        ("Stone", 1, (*OPTION, "stone", "edging")),
        ("Tunnels", 0, (*OPTION, "tunnels", "nodes")),
        ("Tunnels", 2, (*OPTION, "tunnels", "own_pipes")),
        ("Tunnels", 3, (*OPTION, "tunnels", "fittings")),
        ("Water", 2, (*OPTION, "water", "own_pipes")),
    ],
)
def test_a_part_is_added_copied_moved_and_removed(
    start: Start, trade: str, shown: int | None, held: tuple[str | int, ...]
) -> None:
    page = start(full())
    page.choose("trade", trade)
    if shown is not None:
        page.choose("list:", shown)
    page.unfold()
    first, count, where = page.saved, len(get(page.project, held)), "/".join(map(str, held))
    page.press(f":{where}:plus")
    assert len(get(page.project, held)) == count + 1
    page.press(f":{where}/{count}:copy")
    assert len(get(page.project, held)) == count + 2
    items = get(page.project, held)
    page.press(f":{where}/{count + 1}:up")
    assert get(page.project, held)[count] == items[count + 1]
    page.press(f":{where}/{count}:down")
    assert get(page.project, held) == items
    page.press(f":{where}/{count + 1}:remove")
    page.press(f":{where}/{count}:remove")
    assert page.saved == first
    while page.can_press("↶"):
        page.press("↶")
    assert page.saved == first


@pytest.mark.parametrize(
    ("trade", "shown", "held", "said"),
    [
        ("Liner", None, (*OPTION, "lining", "liners"), "Every pool lies under a liner"),
        ("Tunnels", 1, (*OPTION, "tunnels", "runs"), "draw a further node first"),
    ],
)
def test_what_nothing_is_left_for_is_not_added_and_said_so(
    start: Start, trade: str, shown: int | None, held: tuple[str | int, ...], said: str
) -> None:
    """All pools lie in a liner already; no two nodes are left that fittings could join."""
    page = start(full())
    page.choose("trade", trade)
    if shown is not None:
        page.choose("list:", shown)
    page.unfold()
    before = page.saved
    page.press(f":{'/'.join(map(str, held))}:plus")
    assert page.saved == before
    (problem,) = page.problems
    assert said in problem


def test_a_tier_is_added_moved_and_removed(start: Start) -> None:
    page = start(small())
    first, held = page.saved, (*POOL, "tiers")
    page.press("/tiers:add")
    assert len(get(page.project, held)) == 3
    page.unfold("fold:tier1", "fold:tier2").press(":options/0/pools/0/tiers/2:up")
    assert page.problems  # out of order: a deeper tier before a shallower one
    page.press("tiers/1:down").press("tiers/2:remove").press("↶").press("↶").press("↶").press("↶")
    assert page.saved == first


def test_an_option_is_copied_renamed_moved_and_removed(start: Start) -> None:
    page = start(small()).unfold("edit option")
    page.press(":options/0:copy")
    assert [o.name for o in page.project.options] == ["A", "A 2"]
    assert page.desk.option == 1
    page.write(":options/1/name", "deeper")
    page.slide(("options", 1, *DEPTH[2:]), "44 in")
    assert [o.pools[0].tiers[1].depth.text for o in page.project.options] == ["30 in", "44 in"]
    page.press(":options/1:up")
    assert [o.name for o in page.project.options] == ["deeper", "A"]
    assert page.desk.option == 0
    page.press(":options/0:remove")
    assert [o.name for o in page.project.options] == ["A"]
    assert not page.can_press(":options/0:remove")


def test_six_options_are_the_most_and_it_is_said(start: Start) -> None:
    page = start(small(options=[option(str(i)) for i in range(6)])).unfold("edit option")
    page.press(":options/0:copy")
    assert len(page.project.options) == 6
    assert "at most 6" in page.problems[0]


@pytest.mark.parametrize(
    ("trade", "shown", "path", "at"),
    [
        ("Pools", None, POOL, None),
        ("Stone", 0, (*OPTION, "stone", "boulders", 0), None),
        ("Tunnels", 0, (*OPTION, "tunnels", "nodes", 0), None),
    ],
)
def test_a_part_is_renamed_wherever_it_is_named(
    start: Start, trade: str, shown: int | None, path: tuple[str | int, ...], at: None
) -> None:
    page = start(full())
    page.choose("trade", trade)
    if shown is not None:
        page.choose("list:", shown)
    before = len(page.problems)
    page.unfold().write(":" + "/".join(map(str, (*path, "name"))), "quite another")
    assert get(page.project, path).name == "quite another"
    assert len(page.problems) == before  # nothing names what is no longer there


def test_a_text_in_doubt_comes_with_what_it_may_mean(start: Start) -> None:
    page = start(small()).slide(DEPTH, "1,5 ft")
    row = page.slider("/".join(map(str, DEPTH)))
    assert row["readings"] == ["1.5 ft", "15 ft"]
    page.slide(DEPTH, row["readings"][0])
    assert page.project.options[0].pools[0].tiers[1].depth.text == "1.5 ft"  # type: ignore[attr-defined]
    assert "readings" not in page.slider("/".join(map(str, DEPTH)))


def test_an_empty_name_is_refused_in_words(start: Start) -> None:
    page = start(small()).unfold()
    before = page.saved
    page.write("/pools/0/name", "")
    assert "Name" in page.row("/pools/0/name")["message"]
    assert page.saved == before


@pytest.mark.parametrize(
    ("trade", "path"),
    [
        ("Liner", (*OPTION, "lining")),
        ("Stone", (*OPTION, "stone")),
        ("Tunnels", (*OPTION, "tunnels")),
        ("Rates", ("prices",)),
    ],
)
def test_a_trade_is_added_and_removed(start: Start, trade: str, path: tuple[str | int, ...]) -> None:
    page = start(small())
    before, where = page.saved, "/".join(map(str, path))
    page.choose("trade", trade).press(f":{where}:add")
    assert get(page.project, path) is not None
    page.press(f":{where}:drop")
    assert page.saved == before


@pytest.mark.parametrize("kind", ["circle", "rectangle", "points", "offsets", "ellipse"])
def test_another_kind_of_outline_is_drawn(start: Start, kind: str) -> None:
    page = start(full())
    page.select(":options/0/pools/0/outline", kind)
    assert page.project.options[0].pools[0].outline.shape == kind
    assert not any("crosses itself" in problem for problem in page.problems)


def test_a_quantity_that_may_be_left_out_is_switched_on_and_off(start: Start) -> None:
    page = start(full())
    page.choose("trade", "Site")
    before = page.saved
    page.switch(":site/groundwater:set", True)
    assert "site/groundwater" in page.keys
    page.switch(":site/groundwater:set", False)
    assert page.saved == before


def test_points_of_an_outline_are_added_moved_and_removed(start: Start) -> None:
    page = start(
        small(
            options=[
                option(
                    pools=[
                        pool(
                            outline={
                                "shape": "points",
                                "points": [["0 ft", "0 ft"], ["12 ft", "0 ft"], ["6 ft", "9 ft"]],
                            }
                        )
                    ]
                )
            ]
        )
    )
    page.unfold()
    first = page.saved
    points = (*POOL, "outline", "points")
    page.press("/outline/points:add")
    assert len(get(page.project, points)) == 4
    page.press("/outline/points:drop")
    assert len(get(page.project, points)) == 3
    assert json.loads(page.saved) != json.loads(first) or page.saved == first
    page.press("/outline/points:drop")  # three are the least
    assert len(get(page.project, points)) == 3
    assert "at least 3" in page.problems[0]


# --- side by side ---


@pytest.mark.parametrize("count", [2, 6])
def test_options_stand_side_by_side_with_their_differences(start: Start, count: int) -> None:
    options = [
        option(f"way {i}", pools=[pool(tiers=[{"zone": "deep", "depth": f"{24 + 4 * i} in", "batter": 0.3}])])
        for i in range(count)
    ]
    page = start(small(options=options))
    page.choose("view", "Side by side")
    plans = [page.picture(f"side plan {i}")["figure"] for i in range(count)]
    assert (
        len({json.dumps([plan["layout"]["xaxis"]["range"], plan["layout"]["yaxis"]["range"]]) for plan in plans}) == 1
    )
    sections = [page.picture(f"side section {i}")["figure"]["layout"] for i in range(count)]
    assert (
        len({json.dumps([s["xaxis"]["range"], s["yaxis"]["range"], s["yaxis"]["scaleratio"]]) for s in sections}) == 1
    )
    (body,) = page.html("pk-table")
    assert all(f">way {i}</th>" in body for i in range(count))
    for line in table.summary_rows(evaluate(page.project), "us"):
        for text in (*line.texts, *line.differences):
            assert html.escape(text) in body
    page.choose("against", 1)
    (body,) = page.html("pk-table")
    for line in table.summary_rows(evaluate(page.project), "us", 1):
        assert all(html.escape(text) in body for text in line.differences)


def test_one_option_alone_is_told_how_to_get_another(start: Start) -> None:
    page = start(small())
    page.choose("view", "Side by side")
    assert "one option" in page.texts
    assert not page.html("pk-table")


def test_what_is_over_the_depth_limit_is_marked_in_words(start: Start) -> None:
    shallow = pool(tiers=[{"zone": "marsh", "depth": "12 in"}])
    page = start(small(options=[option("deep"), option("shallow", pools=[shallow])]))
    page.choose("view", "Side by side")
    (body,) = page.html("pk-table")
    assert body.count("over the limit") == 1
    assert "class='pk-over'" in body


def test_an_option_in_trouble_is_named_beside_the_others(start: Start) -> None:
    page = start(small(options=[option("A"), option("B", pools=[CROSSING])]))
    page.choose("view", "Side by side")
    assert len(page.problems) == 1
    (body,) = page.html("pk-table")
    assert ">–<" in body.replace("<i>", "<").replace("–<", ">–<")


# --- trouble ---


def test_an_option_in_trouble_keeps_its_last_good_plan_greyed_beside_the_words(start: Start) -> None:
    page = start(
        small(
            options=[
                option(
                    pools=[
                        pool(
                            outline={
                                "shape": "points",
                                "smooth": False,
                                "points": [*CORNERS[:1], *CORNERS[2:3], *CORNERS[1:2], *CORNERS[3:]],
                            }
                        )
                    ]
                )
            ]
        )
    )
    good = page.picture("picture Plan")
    assert good["figure"]["data"]
    points = (*POOL, "outline", "points")
    page.slide(points, CORNERS)
    bad = page.picture("picture Plan")
    assert bad["stale"]
    assert bad["note"]
    assert bad["figure"]["data"] == good["figure"]["data"]
    assert any("crosses itself" in problem and "To mend it" in problem for problem in page.problems)
    assert {value for value, _ in page.figures.values()} == {"–"}
    page.press("↶")
    assert not page.picture("picture Plan")["stale"]
    assert page.problems == []


def test_a_project_that_never_held_shows_words_and_no_picture_of_another(start: Start) -> None:
    page = start(small(options=[option(pools=[CROSSING])]))
    assert any("crosses itself" in problem for problem in page.problems)
    for view in ("Side by side", "Figures", "Sketch"):
        page.choose("view", view)


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (DEPTH, "1 in"),  # shallower than the tier before it
        (DEPTH, "12 ft"),
        ((*POOL, "tiers", 0, "shelf"), "30 ft"),
        ((*POOL, "outline", "width"), "1 ft"),
        ((*POOL, "outline", "length"), "200 ft"),
        ((*POOL, "level"), "-60 ft"),
        ((*POOL, "level"), "60 ft"),
        ((*POOL, "tiers", 1, "batter"), "6"),
        ((*POOL, "freeboard"), "4 ft"),
        ((*POOL, "bank_batter"), "6"),
        ((*POOL, "pits", 0, "tiers", 0, "depth"), "1 in"),
        ((*POOL, "pits", 0, "outline", "diameter"), "200 ft"),
        ((*OPTION, "lining", "stock_width"), "2 ft"),
        ((*OPTION, "lining", "edge"), "10 ft"),
        ((*OPTION, "stone", "boulders", 0, "under_water"), "1"),
        ((*OPTION, "tunnels", "stock_length"), "1 ft"),
        (("site", "section"), (("3 ft", "3 ft"), ("3 ft", "3 ft"))),
        (("site", "section"), (("900 ft", "900 ft"), ("905 ft", "900 ft"))),
    ],
)
def test_a_slider_dragged_to_nonsense_never_breaks_the_page(
    start: Start, path: tuple[str | int, ...], text: Any
) -> None:
    page = start(full())
    first = page.saved
    page.slide(path, text)
    for view in ("Side by side", "Figures", "Sketch"):
        page.choose("view", view)
    page.press("↶")
    assert page.saved == first
