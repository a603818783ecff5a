"""Answers of a first visit: put into the site, or refused with place and mend."""

import csv
import io
import json

import pytest

from pondkit import Project
from pondkit.core.refusal import Refused
from pondkit.project.answers import HEAD, answered, fields_of_site
from pondkit.project.files import load
from pondkit.project.project import Site
from pondkit.report.papers.first_visit import visit_csv
from pondkit.report.papers.sheet import Sheet
from pondkit.study.evaluate import evaluate
from pondkit.trades.ground.inputs import LevelGround, PlaneGround
from tests.designs import read, small


def given(**answers: object) -> bytes:
    return json.dumps({"pondkit_visit": 1, "answers": {k.replace("__", "."): v for k, v in answers.items()}}).encode()


def sloping() -> Project:
    ground = {"kind": "plane", "level": "4 in", "fall": 0.02, "toward_deg": 90}
    return load(json.dumps(small(site={"ground": ground, "depth_limit": "20 in"})).encode())


def test_every_single_value_of_the_site_is_a_question() -> None:
    asked = {name for name, _, _ in fields_of_site()}
    single = set(Site.model_fields) - {"ground", "section", "keep_outs", "way_in", "job"}
    assert single | {"ground.level", "ground.fall", "ground.toward_deg"} <= asked
    assert not any(name.startswith("section") for name in asked)


def test_answers_set_the_site_and_what_is_empty_stays() -> None:
    project = answered(sloping(), given(groundwater="-6 ft", soil="", ground__fall=0.05))
    assert project.site.groundwater == pytest.approx(-6 * 0.3048)
    assert project.site.groundwater.text == "-6 ft"
    assert isinstance(project.site.ground, PlaneGround)
    assert (project.site.ground.fall, project.site.ground.level) == (0.05, pytest.approx(4 * 0.0254))
    assert project.site.soil == sloping().site.soil
    assert project.site.depth_limit == pytest.approx(20 * 0.0254)
    assert project.options == sloping().options


def test_text_of_a_box_is_read_as_a_file_would_be() -> None:
    assert answered(sloping(), given(ground__fall="0.05")).site.ground.fall == 0.05


def test_ground_may_turn_level_and_sloping() -> None:
    flat = answered(sloping(), given(ground__kind="level", ground__level="1 ft")).site.ground
    assert isinstance(flat, LevelGround)
    assert flat.level == pytest.approx(0.3048)
    slope = answered(read(), given(ground__kind="plane", ground__fall="0.1")).site.ground
    assert isinstance(slope, PlaneGround)
    assert slope.fall == 0.1


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        (b"{", ("not JSON", "first-visit")),
        (b"[]", ("no answers", "pondkit_visit")),
        (b'{"pondkit": 1}', ("no answers",)),
        (given(depth="1 in"), ("no question is called 'depth'", "groundwater")),
        (given(groundwater="wet"), ("Groundwater", "wet")),
        (given(groundwater=["1 ft"]), ("groundwater", "write a text")),
        (given(groundwater="900 ft"), ("Groundwater", "900 ft", "60 ft")),
        (given(soil="claay"), ("oil", "claay", "clay")),
        (given(ground__kind="level", ground__fall="0.1"), ("fall",)),
    ],
)
def test_a_bad_answer_is_refused_with_its_place(answers: bytes, words: tuple[str, ...]) -> None:
    with pytest.raises(Refused) as told:
        answered(read(), answers)
    said = " ".join(told.value.reasons)
    for word in words:
        assert word in said


def filled(project: Project, delimiter: str = ",", **found: str) -> bytes:
    """The table of the first visit's questions, its last column filled in by a spreadsheet program."""
    rows = list(csv.reader(io.StringIO(visit_csv(Sheet(evaluate(project), 0, "us", "letter")).lstrip("\ufeff"))))
    assert tuple(rows[0]) == HEAD
    out = io.StringIO()
    wanted = {name.replace("__", "."): value for name, value in found.items()}
    for row in rows:
        csv.writer(out, delimiter=delimiter).writerow([*row[:-1], wanted.pop(row[0], row[-1])])
    assert not wanted
    return out.getvalue().encode("utf-8-sig")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_table_that_stands_beside_the_sheet_sets_the_site_once_it_is_filled_in(delimiter: str) -> None:
    table = filled(sloping(), delimiter, groundwater="'-6 ft", soil="sand", ground__fall="0.05")
    by_table = answered(sloping(), table)
    assert by_table == answered(sloping(), given(groundwater="-6 ft", soil="sand", ground__fall="0.05"))
    assert by_table.site.groundwater.text == "-6 ft"
    assert answered(sloping(), filled(sloping())) == sloping()  # nothing filled in: nothing changed


def test_a_table_without_its_columns_or_with_a_bad_answer_is_refused() -> None:
    for raw, words in (
        (b"a,b\n1,2\n", "the columns a, b; it needs 'name' and 'found'"),
        (b"", "it needs 'name' and 'found'"),
        (b"PK\x03\x04", "is a workbook"),
        (b"name,found\ndepth,1 in\n", "no question is called 'depth'"),
        (filled(sloping(), groundwater="wet"), "wet"),
    ):
        with pytest.raises(Refused, match=words):
            answered(sloping(), raw)
