"""The papers: what each says, that it opens, that it is whole, and that it measures on paper what it states."""

import re
import time
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

import pytest

from pondkit import Project
from pondkit.core.caution import CHECK, REMINDER
from pondkit.core.tables import figure_words
from pondkit.core.tables import table as reference
from pondkit.core.units import SYSTEMS, System
from pondkit.drawing.blocks import Beside, Block, Signature, Table
from pondkit.drawing.rows import say_problem
from pondkit.project.files import put
from pondkit.report import table
from pondkit.report.papers import PAPERS, Paper, paper, write_drawings
from pondkit.report.papers.client import COMPARED
from pondkit.report.papers.crew import DESK
from pondkit.report.papers.crew import _pipes as pipe_runs
from pondkit.report.papers.hand_over import _switches as switches
from pondkit.report.papers.hand_over import months
from pondkit.report.papers.permit import _distances as distances
from pondkit.report.papers.sheet import NOT_WHOLE, SHEETS, SIZES, USUAL, Sheet, Size
from pondkit.study.evaluate import Results, evaluate
from tests.designs import DEMO_NAMES, demo, full_design, full_project, option, pool, read
from tests.report.papers import reading

ODD = '</script><b>a & "b"</b> #panic() $x$ *y* _z_'
OF_OPTION = [one for one in PAPERS if one.each_option]
each = pytest.mark.parametrize("one", PAPERS, ids=lambda one: one.key)
by_option = pytest.mark.parametrize("one", OF_OPTION, ids=lambda one: one.key)
JOB = {
    "client": "Ada Reed",
    "address": "12 Mill Lane\nMarshton",
    "contacts": "555 0100",
    "date": "2026-05-31",
    "revision": "3",
    "drawn_by": "B. Rush",
    "firm": {"name": "Ponds & Sons", "address": "1 Quay", "contacts": "555 0199", "licence": "C-27 123456"},
}


def has_svg(block: object) -> bool:
    return hasattr(block, "svg")


def said(key: str, results: Results, index: int = 0, units: System = "us") -> str:
    return " ".join(reading.texts(reading.blocks(key, results, index, units)))


def tables(key: str, results: Results, index: int, units: System) -> list[Table]:
    """Every table of a paper, those that stand beside each other too."""
    blocks = list(reading.blocks(key, results, index, units))
    inner = [one for block in blocks if isinstance(block, Beside) for column in block.columns for one in column]
    return [one for one in (*blocks, *inner) if isinstance(one, Table)]


def number(text: str) -> float:
    """The number that a cell begins with."""
    return float(text.partition(" ")[0].replace(",", ""))


def with_job(project: Project) -> Project:
    return put(project, ("site", "job"), JOB)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("units", SYSTEMS)
def test_the_full_design_s_papers_are_as_short_as_they_must_be_and_no_word_lies_over_another(
    units: System, size: Size
) -> None:
    results = evaluate(with_job(full_design()))
    most = {"client": 3, "crew": 10, "permit": 4, "hand_over": 8, "first_visit": 2}
    for key, pages in most.items():
        made = paper(reading.kind_of(key), results, 0, units, size)
        held = reading.pages(made)
        assert len(held) <= pages, key
        assert reading.size(made) == pytest.approx(SHEETS[size][1:], abs=0.1)
        for number, page in enumerate(held, 1):
            assert f"Page {number} of {len(held)}" in page
            for text in ("Ada Reed", "12 Mill Lane, Marshton", "Ponds & Sons", "C-27 123456", "2026-05-31", "B. Rush"):
                assert text in page, (key, number)
        assert not reading.fonts_not_embedded(made), key
        # One size of paper for each system is looked at word by word: it takes seconds.
        assert size != USUAL[units] or reading.overprinted(made) == [], key


MOST_PAGES = {"client": 3, "crew": 10, "permit": 4, "hand_over": 8, "first_visit": 2, "quotation": 3, "order": 2}


@pytest.mark.parametrize("name", [name for name in DEMO_NAMES if name != "turtle_yard"])
def test_every_paper_of_the_examples_is_whole_short_and_legible(name: str) -> None:
    """Each option's papers once: letters within, tagged, none over another, grey but for the client's."""
    project = demo(name)
    results = evaluate(project)
    for index, result in enumerate(results.options):
        for one in PAPERS:
            if one.key == "figures" or (index and not one.each_option):
                continue
            made = paper(one, results, index, project.units)
            held, where = reading.pages(made), (one.key, result.option.name)
            assert len(held) <= MOST_PAGES.get(one.key, 8), where
            assert NOT_WHOLE not in held[0], where
            assert reading.is_tagged(made) and not reading.fonts_not_embedded(made), where
            if not index and one.key == "client":  # word by word takes seconds; the full design's are all looked at so
                assert reading.overprinted(made) == [], where
            assert bool(reading.colours(made)) == (one.key == "client"), where


def test_an_example_in_each_system_has_a_quotation_with_all_that_one_may_state() -> None:
    for name, units in (("turtle_court", "us"), ("platypus_creek", "si")):
        project = demo(name)
        assert project.units == units and project.quotation and project.quotation.tax and project.quotation.steps
        text = said("quotation", evaluate(project))
        assert "Payment" in text and "Total" in text and project.site.job.firm.name in text
    court = demo("turtle_court").quotation
    assert court and {line.kind for line in court.lines} == {"included", "optional", "alternative"}
    assert court.discount and court.excluded.count("\n") and court.terms


def test_the_client_reads_the_price_of_the_quotation_and_not_what_the_work_costs_the_firm() -> None:
    results = evaluate(demo("turtle_court"))
    for index, result in enumerate(results.options):
        assert result.price is not None and result.price.total_price is not None
        text, cost = said("client", results, index), result.price.total_price.value
        offered = next(row for row in reading.blocks("quotation", results, index, "us") if getattr(row, "strong", ()))
        assert offered.rows[-1][0] == "Total" and offered.rows[-1][4] in text
        assert "Rough total" not in text and f"{cost:,.2f}" not in text
    assert "Rough total" in said("client", evaluate(put(demo("turtle_court"), ("quotation",), None)))


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("units", SYSTEMS)
def test_all_figures_are_said_as_the_rows_do(name: str, units: System) -> None:
    results = evaluate(demo(name))
    for index, result in enumerate(results.options):
        texts = said("figures", results, index, units)
        for row in table.rows(result, units):
            assert all(text in texts for text in (row.label, row.text, row.working, *row.cautions)), row.key
            reminders = [caution for caution in row.cautions if caution.rank == REMINDER]
            assert all(texts.count(f"Reminder: {reminder}") == 1 for reminder in reminders), row.key


@pytest.mark.parametrize(("units", "mm", "bar"), [("us", 304.8 / 48, 101.6), ("si", 304.8 / 50, 100.0)])
def test_a_pool_measures_in_the_pdf_what_its_scale_says(units: System, mm: float, bar: float) -> None:
    """20 by 10 ft at a quarter inch to the foot, or at 1:50, by hand; the bar is 4 in or 100 mm."""
    square = pool(outline={"shape": "rectangle", "length": "20 ft", "width": "10 ft", "corner_radius": "0 ft"})
    results = evaluate(read(options=[option(pools=[square])]))
    for size in SIZES:
        made = paper(reading.kind_of("client"), results, 0, units, size)
        shapes = [*reading.rectangles(made), *reading.curves(made)]
        # A picture's places are rounded to hundredths of a metre or foot: at 1:50 a fifth of a millimetre.
        close = [s for s in shapes if s.wide == pytest.approx(20 * mm, abs=0.2)]
        assert any(s.high == pytest.approx(10 * mm, abs=0.2) for s in close)
        bars = [s for s in shapes if s.high == pytest.approx(1.0, abs=0.02) and s.wide > 60]
        assert bars and all(s.wide == pytest.approx(bar, abs=0.05) for s in bars)


def test_every_reminder_is_read_by_somebody() -> None:
    """No word of safety is lost: each stands once on a paper at least, and never twice on one."""
    results = evaluate(full_design())
    for index, result in enumerate(results.options):
        papers = [said(key, results, index) for key in ("client", "crew", "permit", "hand_over")]
        for row in table.rows(result, "us"):
            for caution in row.cautions:
                if caution.rank == REMINDER and row.group != "price":
                    assert any(caution in text for text in papers), (row.key, caution)
                    assert all(text.count(caution) <= 1 for text in papers[:1]), caution


def test_the_client_sees_zones_needs_and_options_and_nothing_of_the_machine_s_place() -> None:
    results = evaluate(full_design())
    text = said("client", results)
    result = results.options[0]
    for found in result.pools:
        for zone, *_ in found.zones:
            assert zone in text
    for other in results.options:
        assert other.option.name in text
    for row in table.rows(result, "us", ("zone_area", "zone_volume", "total_net_volume", "total_surface_area")):
        assert row.text in text
    for row in table.rows(result, "us"):
        if row.group in ("lifting", "rod", "marks", "bearing"):
            assert not any(caution in text for caution in row.cautions), row.key
    lifted = said("client", results, 1)  # option B has positions of the machine, one too near to a tree
    assert "boom at" not in lifted and "machine at" not in lifted and "Boom or load" not in lifted
    assert "boom at west bank" in said("crew", results, 1)
    chosen = said("client", evaluate(put(full_design(), ("chosen",), "B")))
    assert "B (chosen)" in chosen and "(chosen)" not in text


def test_the_client_s_paper_is_called_after_the_job_and_each_head_says_which_paper_it_is() -> None:
    results = evaluate(with_job(put(full_design(), ("title",), "Yard of the turtles")))
    for key in ("client", "order", "permit", "first_visit"):
        one = reading.kind_of(key)
        assert f"Paper {one.title}" in reading.pages(paper(one, results, 0, "us"))[0]
    assert reading.heading(paper(reading.kind_of("client"), results, 0, "us")) == "Yard of the turtles"
    assert reading.heading(paper(reading.kind_of("crew"), results, 0, "us")) == "For the crew"


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_client_can_add_up_what_is_printed_of_each_pool(name: str, units: System) -> None:
    """Shares in whole per cent are those of the printed areas, and the water of the zones makes that of the pool."""
    results = evaluate(demo(name))
    for index in range(len(results.options)):
        (zones,) = [one for one in tables("client", results, index, units) if one.head[1:2] == ("Zone",)]
        by_pool: dict[str, list[tuple[str, ...]]] = {}
        for row in zones.rows:
            by_pool.setdefault(row[0], []).append(row)
        for rows in by_pool.values():
            whole = next(row for row in rows if row[1] == "in all")
            parts = rows[: rows.index(whole)]
            assert sum(number(row[5]) for row in parts) == pytest.approx(number(whole[5]), rel=2e-3)
            assert sum(number(row[3]) for row in parts) == pytest.approx(number(whole[3]), rel=1e-3)
            for row in parts:
                assert re.fullmatch(r"(\d+|under 1) %", row[4]), row
                assert "under" in row[4] or abs(number(row[3]) / number(whole[3]) * 100 - number(row[4])) < 0.6, row
            assert len(rows) - len(parts) <= 2  # besides, at the most, what stone, pipe and gravel leave


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_table_of_a_paper_has_a_column_that_says_nothing(name: str) -> None:
    project = demo(name)
    results = evaluate(project)
    for one in PAPERS:
        for index in range(len(results.options) if one.each_option else 1):
            for held in tables(one.key, results, index, project.units):
                for column, head in enumerate(held.head):
                    assert any(row[column] for row in held.rows), (one.key, index, head, held.head)


def test_what_the_client_compares_are_figures_of_the_summary() -> None:
    assert all(figure_words()[key]["summary"] for key in COMPARED)
    text = said("client", evaluate(full_design()))
    assert "Liner to order" in text and "Stone to order" in text


def test_what_is_signed_is_kept_on_one_page_with_what_stands_before_it() -> None:
    results = evaluate(full_design())
    signed = 0
    for one in PAPERS:
        every = reading.blocks(one.key, results, 0, "us")
        for before, block in pairwise(every):
            if isinstance(block, Signature):
                signed += 1
                assert getattr(before, "kept", False) or getattr(before, "look", "") == "kept", one.key
    assert signed == 4  # by client, quotation, permit, hand-over


@pytest.mark.parametrize("size", SIZES)
def test_an_office_signs_below_the_list_of_who_is_licensed(size: Size) -> None:
    for project in (full_design(), demo("turtle_court"), demo("platypus_creek")):
        last = reading.pages(paper(reading.kind_of("permit"), evaluate(project), 0, project.units, size))[-1]
        assert "For the authority" in last and "Rigger and operator" in last


def test_the_crew_reads_what_it_can_do_something_about_and_not_what_is_settled_at_the_desk() -> None:
    """All that is to act on is there; of what is to be checked, no key of the list is of another rank."""
    ranks: dict[str, set[str]] = {}
    for project in (full_design(), full_project(), *map(demo, DEMO_NAMES)):
        results = evaluate(project)
        for index, result in enumerate(results.options):
            text = said("crew", results, index)
            for row in table.rows(result, "us", ()):
                for caution in row.cautions:
                    ranks.setdefault(caution.key, set()).add(caution.rank)
                    if caution.key in DESK:  # numbers are written otherwise there
                        assert max(re.split(r"[\d.,:]+", caution), key=len).strip() not in text, caution.key
    assert {"past_curve", "flush_branch_fast"} <= ranks.keys()  # said in the full design
    assert all(ranks[key] == {CHECK} for key in DESK & ranks.keys())


def test_levels_on_papers_are_decimals_and_sizes_to_cut_are_feet_inches_and_eighths() -> None:
    """The basking pool's water is entered at -3 in; its underlay's run of 90.66 ft is 90 ft 7 7/8 in."""
    results = evaluate(full_design())
    for key in ("client", "crew"):
        drawn = reading.text(paper(reading.kind_of(key), results, 0, "us"))
        assert "basking pool, level -0.25 ft" in drawn and "level -3 in" not in drawn
    crew = said("crew", results)
    assert "90 ft 7 7/8 in" in crew and "above the datum" in crew
    assert "in above the datum" not in crew
    assert "Moved 1 ft 2 1/2 in back along its run" in crew  # 14.44 in, to an eighth
    assert not re.search(r"\d\.\d+ in\b(?! outside)", " ".join(re.findall(r"Moved[^.]*|Too short[^;]*", crew)))


@pytest.mark.parametrize("key", ["crew", "hand_over"])
def test_sizes_in_pictures_are_read_off_a_tape_and_levels_off_a_rod(key: str) -> None:
    """No picture of the trades writes an inch in decimals: liner in folds, cuts of pipe, levels of running water."""
    drawn = "".join(block.svg for block in reading.blocks(key, evaluate(full_design()), 0, "us") if has_svg(block))
    words = re.findall(r">([^<>]+)</text>", drawn)
    assert any(re.fullmatch(r"(\d+ ft )?\d+ \d/\d in", word) for word in words)
    assert not [word for word in words if re.search(r"\d\.\d+ in\b", word)]
    if key == "hand_over":
        assert any(re.fullmatch(r"(at )?-?\d\.\d\d ft", word) for word in words)


def test_a_place_to_act_on_is_a_sign_in_an_empty_mark_on_the_crew_s_plan_alone() -> None:
    results = evaluate(full_design())
    plans = {
        key: next(block.svg for block in reading.blocks(key, results, 0, "us") if has_svg(block))
        for key in ("crew", "client")
    }
    signs = re.findall(r"<text x='([\d.]+)'[^>]*>!</text>", plans["crew"])
    empty = re.findall(r"<circle cx='([\d.]+)'[^>]*fill='#fff'", plans["crew"])
    assert signs and set(signs) <= set(empty)
    assert ">!</text>" not in plans["client"]
    assert "!: to settle before the work" in said("crew", results)


def test_the_slope_of_a_run_and_the_name_of_a_node_are_said_once() -> None:
    crew = said("crew", evaluate(full_design()))
    assert "7.3 %" in crew  # the figure itself is 0.07292
    assert "gate gate" not in crew and "water door (mouth)" in crew


def test_the_crew_has_one_line_a_boulder_with_mass_sling_and_place() -> None:
    results = evaluate(full_design())
    for index in range(3):
        (stones,) = [
            one for one in reading.blocks("crew", results, index, "us") if getattr(one, "head", ("", ""))[1] == "Stone"
        ]
        result = results.options[index]
        placed = [(kind.boulder.name, n + 1) for kind in result.stone.kinds for n in range(len(kind.boulder.places))]
        names = [row[1] for row in stones.rows]
        assert [name for name in names if "more" not in name].sort() == [f"{name} {n}" for name, n in placed].sort()
        assert len(set(names)) == len(names)
        most = {row.subject: row.high_text for row in table.rows(result, "us", ("boulder_mass",))}
        for row in stones.rows:
            assert row[3] in most.values()


def test_without_stakes_or_dig_the_crew_still_sets_out_and_digs_by_levels() -> None:
    results = evaluate(read())
    text = said("crew", results)
    assert "Setting out" in text and "Tape A, ft" in text and "Levels to dig by" in text
    assert "pool: tier 2 floor" in text


def test_a_level_never_mixes_feet_and_inches() -> None:
    for one in reading.blocks("crew", evaluate(full_design()), 0, "us"):
        if getattr(one, "head", ("",))[0] == "Level of":
            for row in one.rows:
                assert not any(" in" in cell for cell in row[1:])


PIPED = {
    "pools": [pool()],
    "water": {
        "runs_a_day": "9 h",
        "filter": {"to": "pool", "level": "2 ft", "plan_size": ["4 ft", "3 ft"], "second_size": ["3 ft", "2 ft"]},
        "passage": {"name": "between the bodies", "length": "7 ft"},
        "pumps": [{"name": "one", "check_valve": False}, {"name": "two", "check_valve": False, "running": False}],
        "branches": [{"name": "rise", "to": "filter", "length": "8 ft", "valve": "none", "check_valve": True}],
    },
    "tunnels": {
        "nodes": [
            {"name": "north", "kind": "gate", "at": ["30 ft", "0 ft", "0 ft"], "shut": True},
            {"name": "south", "kind": "gate", "at": ["30 ft", "9 ft", "0 ft"]},
        ]
    },
}


def cells(blocks: Iterable[Block]) -> list[tuple[str, ...]]:
    """Rows of all tables among some blocks."""
    return [tuple(row) for block in blocks if isinstance(block, Table) for row in block.rows]


def test_the_hand_over_says_how_long_pumps_run_and_which_valves_and_gates_there_are() -> None:
    sheet = Sheet(evaluate(read(options=[option(**PIPED)])), 0, "us", "letter")
    drawn = {row[0]: row[1] for row in cells(switches(sheet))}
    assert drawn["one: switch and fault protection"] == "runs 9 h a day"
    assert drawn["two: switch and fault protection"] == "off"
    assert drawn["Check valve of rise"] == "opens by itself"
    assert (drawn["Gate north"], drawn["Gate south"]) == ("shut", "open")
    water = PIPED["water"] | {"runs_a_day": "24 h"}
    sheet = Sheet(evaluate(read(options=[option(**(PIPED | {"water": water}))])), 0, "us", "letter")
    assert {row[0]: row[1] for row in cells(switches(sheet))}["one: switch and fault protection"] == "runs all day"


@pytest.mark.parametrize("name", ["oak", "oak / old", "pool / oak"])
def test_the_permit_prints_the_distance_to_a_keep_out_whatever_its_name(name: str) -> None:
    """By hand: a circle of 12 ft at the origin, its rim at the waterline, and a tree 40 ft from its middle."""
    oak = {"name": name, "kind": "tree", "clearance": "12 ft", "points": [["40 ft", "0 ft"]]}
    round_pool = pool(outline={"shape": "circle", "diameter": "12 ft"})
    made = read(site={"keep_outs": [oak]}, options=[option(pools=[round_pool])])
    sheet = Sheet(evaluate(made), 0, "us", "letter")
    (row,) = [cell for cell in cells(distances(sheet)) if cell[1] == name]
    (figure,) = [each for each in sheet.of("keep_out_distance") if each.subject.startswith("pool")]
    assert row[2] == "pool"
    assert figure.si_value == pytest.approx((40 - 6) * 0.3048, abs=0.7)  # less the bank and edge beyond the waterline
    assert number(row[3]) == pytest.approx(figure.si_value / 0.3048, abs=0.01)


def test_the_crew_has_every_line_of_pipe_that_is_ordered() -> None:
    sheet = Sheet(evaluate(read(options=[option(**PIPED)])), 0, "us", "letter")
    lines = {row[0]: row[2] for row in cells(pipe_runs(sheet))}
    assert set(lines) >= {"one", "two", "rise", "between the bodies"}
    assert lines["between the bodies"] == "7 ft"


def test_the_hand_over_has_every_node_penetration_and_seam_with_two_ties() -> None:
    results = evaluate(full_project())
    text = said("hand_over", results)
    pipes = results.options[0].tunnels
    for name, kind, _ in pipes.places:
        assert (name if kind in name else f"{name} ({kind})") in text
    for name, _ in pipes.penetration_places:
        assert f"through the liner: {name}, pipe 6.625 in outside" in text  # ASTM D1785: 6 in pipe
    seams = [seam for liner in results.options[0].lining.liners for seam in liner.panels.seams]
    assert text.count("along its length") + text.count("across it") == len(seams)
    assert said("hand_over", evaluate(demo("turtle_yard"))).count("from museum wall, corner") == 10


def test_upkeep_is_only_of_what_is_there_and_goes_by_the_climate_s_months() -> None:
    full, bare = said("hand_over", evaluate(full_project())), said("hand_over", evaluate(read()))
    for row in reference("report/papers/upkeep"):
        assert (row["task"] in bare) == (not row["part"])
        assert row["task"] in full
    assert months("coldest", -1, 1, "January", "July") == ["December", "January", "February"]
    assert months("coldest", -1, 1, "July", "January") == ["June", "July", "August"]
    assert months("warmest", -1, 2, "July", "January") == ["December", "January", "February", "March"]
    south = put(put(full_project(), ("site", "coldest_month"), "July"), ("site", "warmest_month"), "January")
    assert "whose coldest month is July and whose warmest is January" in said("hand_over", evaluate(south))


def test_the_permit_page_asks_what_it_cannot_know_and_says_what_it_does_not_check() -> None:
    text = said("permit", evaluate(full_design()))
    for words in ("boundary", "building", "buried service", "tree", "Licence number", "Overflow and emptying go to"):
        assert words in text
    for words in ("Services located, ticket", "Barrier asked for by local code", "Not checked here", "local code"):
        assert words in text


@each
def test_markup_in_every_text_is_printed_as_text(one: Paper) -> None:
    odd = pool(ODD, tiers=[{"zone": ODD, "depth": "20 in"}])
    job = dict.fromkeys(("client", "address", "contacts", "drawn_by"), ODD) | {"firm": {"name": ODD}}
    site = {"depth_limit": "20 in", "job": job}
    made = paper(one, evaluate(read(title=ODD, site=site, options=[option(ODD, note=ODD, pools=[odd])])), 0, "us")
    text = reading.text(made).replace(" ", "")
    assert text.count(ODD.replace(" ", "")) >= 4  # title, client, firm … at the head of each page


@by_option
def test_what_could_not_be_worked_out_is_said_on_its_paper_and_marks_it_as_not_whole(one: Paper) -> None:
    results = evaluate(read(options=[option("A"), option("B", pools=[pool("one"), pool("two", at=["5 ft", "0 ft"])])]))
    ((path, problem),) = results.problems
    words = say_problem(results.project, path, problem, "us")
    assert words not in said(one.key, results, 0) and NOT_WHOLE not in said(one.key, results, 0)
    assert words in said(one.key, results, 1)
    assert NOT_WHOLE in reading.pages(paper(one, results, 1, "us"))[0]


@each
def test_an_option_without_a_pool_gives_a_paper_that_says_so(one: Paper) -> None:
    corners = [["0 ft", "0 ft"], ["9 ft", "9 ft"], ["9 ft", "0 ft"], ["0 ft", "9 ft"]]
    crossing = pool(outline={"shape": "points", "smooth": False, "points": corners})
    broken = reading.text(paper(one, evaluate(read(options=[option(pools=[crossing])])), 0, "us"))
    assert ("crosses itself" in broken) == one.each_option
    empty = reading.text(paper(one, evaluate(read(options=[option(pools=[])])), 0, "si"))
    assert ("has no pool yet" in empty) == one.each_option


def test_names_in_other_scripts_at_their_longest_still_give_papers() -> None:
    names = ("池" * 60, "пруд " * 12, "بركة " * 12)
    for name in names:
        project = read(title=name, options=[option(name.strip()[:60], pools=[pool(name.strip()[:60])])])
        project = put(project, ("site", "job", "client"), name * 2)
        for key in ("client", "crew"):
            assert len(reading.pages(paper(reading.kind_of(key), evaluate(project), 0, "us"))) >= 2


def test_what_is_known_of_a_field_in_several_lines_lies_over_nothing() -> None:
    project = put(demo("turtle_court"), ("site", "job", "address"), "a lane of many words " * 25)
    words = reading.words(paper(reading.kind_of("quotation"), evaluate(project), 0, "us"))
    label = max((word for word in words if word["text"] == "Quotation"), key=lambda word: word["top"])
    # The head of the page has the address further right.
    field = [word["top"] for word in words if word["text"] == "lane" and word["x0"] < 200]
    # The line that the field before is written on lies 0.8 mm under its words.
    assert len(field) > 3 and min(field) > label["bottom"] + 0.8 / reading.MM


def test_each_option_gets_files_of_its_own(tmp_path: Path) -> None:
    results = evaluate(read(options=[option("A/../../b"), option("A b"), option("A_b"), option("…")]))
    out = tmp_path / "new" / "folder"
    written = [path for path in write_drawings(results, out, "si") if path.suffix == ".pdf"]
    assert len(set(written)) == 4 * len(OF_OPTION) + len(PAPERS) - len(OF_OPTION)
    assert {path for path in out.iterdir() if path.suffix == ".pdf"} == set(written)
    assert {path.name for path in written if path.name.startswith("4_")} == {f"4_option_{o.key}.pdf" for o in OF_OPTION}


def test_a_paper_takes_under_a_second_and_all_of_them_under_five() -> None:
    results = evaluate(full_design())
    took = {}
    for one in PAPERS:
        paper(one, results, 0, "us")
        start = time.process_time()
        paper(one, results, 0, "us")
        took[one.key] = time.process_time() - start
    assert max(took.values()) < 1.0, took
    assert sum(took.values()) < 5.0, took
