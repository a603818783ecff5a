"""Drawings to print: self-contained pages that say what the takeoff says, and measure on paper what they state."""

import html
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from pondkit.core.tables import table as reference
from pondkit.core.units import SYSTEMS, System
from pondkit.drawing.say import say_problem
from pondkit.report import orders, prints, table
from pondkit.report.drawings import PRINTS, Print, write_drawings
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs.items import ordered
from tests.designs import DEMO_NAMES, demo, full_project, option, pool, read

ODD = '</script><b>a & "b"</b>'
each = pytest.mark.parametrize("one", PRINTS, ids=lambda one: one.key)


class Read(HTMLParser):
    """Text outside scripts and styles, and tags with their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self._inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._inside = tag if tag in ("script", "style") else ""

    def handle_endtag(self, tag: str) -> None:
        self._inside = "" if tag == self._inside else self._inside

    def handle_data(self, data: str) -> None:
        if not self._inside:
            self.texts.append(data)


def parsed(page: str) -> Read:
    found = Read()
    found.feed(page)
    return found


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_all_figures_are_said_as_the_rows_do(name: str, system: System) -> None:
    results = evaluate(demo(name))
    for index, result in enumerate(results.options):
        texts = {text.strip() for text in parsed(prints.takeoff(results, index, system)).texts}
        for row in table.rows(result, system):
            assert {row.label, row.text, row.working} <= texts, row.key
            assert set(row.cautions) <= texts, row.key


def test_the_crew_has_every_figure_that_it_works_by_and_each_caution_in_full() -> None:
    results = evaluate(full_project())
    said = " ".join(parsed(prints.crew(results, 0, "us")).texts)
    left = (*prints.NOT_DUG_BY, *prints.TABLED)
    rows = [row for row in table.rows(results.options[0], "us") if row.group not in left]
    assert {"dig", "lining", "stone", "tunnels"} <= {row.group for row in rows}
    for row in rows:
        assert row.text in said
        for caution in row.cautions:
            assert said.count(f": {caution}") == 1


def test_the_client_has_summary_budget_and_every_caution() -> None:
    results = evaluate(full_project())
    said = " ".join(parsed(prints.client(results, 0, "us")).texts)
    total = results.options[0].price.total_price
    assert f"${total.value:,.0f}" in said
    for row in table.rows(results.options[0], "us"):
        assert all(caution in said for caution in row.cautions)
    assert all(line.texts[0] in said for line in table.summary_rows(results, "us"))


def test_what_is_ordered_stands_once_under_its_supplier_and_once_under_its_stage() -> None:
    results = evaluate(full_project())
    texts = parsed(orders.order(results, 0, "us")).texts
    rows = [row for row in table.rows(results.options[0], "us") if ordered(row.key)]
    assert {"boulders_order", "liner_area_order", "pipe_lengths_to_buy", "underlay_rolls"} <= {row.key for row in rows}
    by_list = {(row.what, row.of): row.by_list for row in orders.bought(results.options[0], "us")}
    assert any(by_list.values())
    for row in rows:
        assert texts.count(row.text) >= 1
        taken = by_list[row.label, row.subject] or row.text  # what its price list sells, waste and least order in it
        assert sum(f"{row.label} {row.subject} {taken}" in text for text in texts) == 1


def test_a_key_of_an_order_that_is_new_is_ordered_unasked() -> None:
    assert ordered("wall_block_order")
    assert not ordered("total_wall_order")


def test_levels_of_the_hand_over_bear_the_names_that_the_crew_digs_by_and_are_no_finer_than_a_rod() -> None:
    results = evaluate(demo("turtle_yard"))
    dig = results.options[0].dig
    assert dig
    texts = parsed(prints.hand_over(results, 0, "us")).texts
    for level in dig.levels.levels:
        at = texts.index(level.row)
        shown = [value for value in (level.dig, level.finished) if value is not None]
        assert texts[at + 1 : at + 1 + len(shown)] == [f"{value / 0.3048:.2f} ft" for value in shown]
    assert "basking pool: waterline" in texts
    # Without a part for the dig those of the pools, by the same names.
    bare = parsed(prints.hand_over(evaluate(read()), 0, "us")).texts
    assert bare[bare.index("pool: tier 2 floor") + 1] == "-2.50 ft"  # 30 in


def test_the_plan_of_the_print_says_what_is_heaped() -> None:
    results = evaluate(demo("turtle_yard"))
    assert any("berm, and bank built" in text for text in parsed(prints.crew(results, 0, "us")).texts)
    assert not any("berm, and bank built" in text for text in parsed(prints.crew(results, 2, "us")).texts)


def test_the_hand_over_has_every_node_penetration_and_seam_and_only_the_upkeep_of_what_is_there() -> None:
    project = full_project()
    results = evaluate(project)
    texts = parsed(prints.hand_over(results, 0, "us")).texts
    pipes = results.options[0].tunnels
    for name, kind, _ in pipes.places:
        assert f"{kind} {name}" in texts
    for name, _ in pipes.passes:
        assert f"through the liner: {name}, pipe 4.5 in outside" in texts  # ASTM D1785: 4 in pipe
    assert (
        sum(
            "from museum wall, corner" in text
            for text in parsed(prints.hand_over(evaluate(demo("turtle_yard")), 0, "us")).texts
        )
        == 10
    )
    seams = [seam for liner in results.options[0].lining.liners for seam in liner.panels.seams]
    assert texts.count("along its length") + texts.count("across it") == len(seams)
    bare = parsed(prints.hand_over(evaluate(read()), 0, "us")).texts
    for row in reference("report/upkeep"):
        assert row["task"] in texts
        assert (row["task"] in bare) == (not row["part"])


@each
def test_a_print_fetches_nothing_and_reads_without_script(one: Print) -> None:
    page = one.make(evaluate(full_project()), 0, "us")
    found = parsed(page)
    for tag, attributes in found.tags:
        assert tag not in ("link", "iframe", "img", "object", "embed")
        assert not {"src", "href"} & attributes.keys()
    assert "@import" not in page
    assert not re.search(r"\b(NaN|-?Infinity|nan|inf)\b", page)
    assert [tag for tag, _ in found.tags].count("script") == (one.key == "first_visit")  # only to save the answers


@each
def test_a_name_cannot_break_out_of_the_page(one: Print) -> None:
    odd = pool(ODD, tiers=[{"zone": ODD, "depth": "20 in"}])
    page = one.make(evaluate(read(title=ODD, options=[option(ODD, note=ODD, pools=[odd])])), 0, "us")
    found = parsed(page)
    assert [tag for tag, _ in found.tags].count("script") == (one.key == "first_visit")
    assert any(ODD in text for text in found.texts)  # shown as it is
    assert html.escape(ODD) in page


@pytest.mark.parametrize("one", [one for one in PRINTS if one.each_option], ids=lambda one: one.key)
def test_what_could_not_be_worked_out_is_said_on_its_print(one: Print) -> None:
    results = evaluate(read(options=[option("A"), option("B", pools=[pool("one"), pool("two", at=["5 ft", "0 ft"])])]))
    ((path, problem),) = results.problems
    said = say_problem(results.project, path, problem, "us")
    assert said not in parsed(one.make(results, 0, "us")).texts
    assert said in parsed(one.make(results, 1, "us")).texts


@each
def test_an_option_without_a_pool_that_holds_still_gives_a_page(one: Print) -> None:
    corners = [["0 ft", "0 ft"], ["9 ft", "9 ft"], ["9 ft", "0 ft"], ["0 ft", "9 ft"]]
    crossing = pool(outline={"shape": "points", "smooth": False, "points": corners})
    page = one.make(evaluate(read(options=[option(pools=[crossing])])), 0, "us")
    assert page.endswith("</html>")
    assert ("crosses itself" in page) == one.each_option


def test_each_option_gets_files_of_its_own(tmp_path: Path) -> None:
    results = evaluate(read(options=[option("A/../../b"), option("A b"), option("A_b"), option("…")]))
    out = tmp_path / "new" / "folder"
    written = write_drawings(results, out, "si")
    own = [one for one in PRINTS if one.each_option]
    assert len(set(written)) == 4 * len(own) + len(PRINTS) - len(own)
    assert sorted(out.iterdir()) == sorted(written)
    for one in own:
        for index in range(4):
            texts = [path.read_text(encoding="utf-8") for path in written if path.name.startswith(f"{index + 1}_")]
            assert one.make(results, index, "si") in texts
