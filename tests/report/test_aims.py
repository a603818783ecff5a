"""Aims and drives from the command line: read, said, written; what is wrong is told by name."""

from pathlib import Path

import pytest

from pondkit import load, save
from pondkit.__main__ import main
from pondkit.core.entry import input_entry
from pondkit.core.units import LENGTH
from pondkit.project.files import put
from pondkit.report import aims
from pondkit.study.aim import Drive
from pondkit.study.evaluate import evaluate
from tests.designs import demo, option, read

FT = 0.3048  # m, exact
GAL = 3.785411784e-3  # m³, exact


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The full design with its pools and passages alone: a search works it out some sixty times."""
    project = demo("turtle_yard")
    for trade in ("lining", "stone", "lifting", "walls", "water", "animals", "dig", "earth"):
        project = put(project, ("options", 0, trade), None)
    made = tmp_path_factory.mktemp("aims") / "passages.json"
    made.write_text(save(project), encoding="utf-8")
    return str(made)


def test_an_aim_is_said_and_its_design_written(file: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out = tmp_path / "aimed.json"
    asked = [
        "aim",
        file,
        "--figure",
        "total_net_volume",
        "--target",
        "4500 gal",
        "--move",
        "pools.0",
        "--out",
        str(out),
    ]
    assert main(asked) == 0
    said = capsys.readouterr().out
    assert "outline times" in said
    assert "4,500 gal" in said
    reached = evaluate(load(out)).options[0].totals.total_net_volume
    assert reached.value == pytest.approx(4500 * GAL, rel=1e-6)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--figure", "total_net_volum", "--target", "1 gal", "--move", "pools.0"], ("'total_net_volume'",)),
        (
            ["--figure", "gross_volume", "--target", "1 gal", "--move", "pools.0"],
            ("has no gross_volume", "basking pool"),
        ),
        (["--figure", "total_net_volume", "--target", "1 ft", "--move", "pools.0"], ("target:",)),
        (["--figure", "total_net_volume", "--target", "1 gal", "--move", "pools.9"], ("no such input",)),
        (["--figure", "total_net_volume", "--target", "900000 gal", "--move", "pools.0"], ("only goes from",)),
        (
            ["--figure", "total_net_volume", "--target", "1 gal", "--move", "pools.0", "--option", "Z"],
            ("'Z'", "A, B, C"),
        ),
    ],
)
def test_what_is_wrong_is_told(
    file: str, capsys: pytest.CaptureFixture[str], more: list[str], words: tuple[str, ...]
) -> None:
    assert main(["aim", file, *more]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert all(word in err for word in words), err


def test_why_a_target_is_missed_is_said_in_the_units_on_show(file: str) -> None:
    project = load(file)
    found, said = aims.aim_text(project, 0, "total_net_volume", "", "2500 gal", ("options", 0, "pools", 0), "us")
    assert found is None
    assert "where it would come to the target, 2,500 gal" in said
    assert "yd³" not in said


def test_the_widest_liner_without_a_seam_is_suggested_and_reached() -> None:
    """At the suggested width the order is just the stock's width, so that no seam is left."""
    lining = {
        "liners": [{"name": "main", "covers": ["pool"]}],
        "stock_width": "20 ft",
        "allowance": "12 in",
        "sale_unit": "1 ft",
    }
    project = read(options=[option(lining=lining)])
    (width,) = [one for one in aims.aimable(evaluate(project).options[0], "us") if one.key == "liner_width"]
    assert width.hint.startswith("19 ft is the widest")
    found, _ = aims.aim_text(project, 0, width.key, width.subject, "19 ft", ("options", 0, "pools", 0), "us")
    assert found is not None
    (liner,) = evaluate(found).options[0].lining.liners
    assert liner.liner_width_order.value == pytest.approx(20 * FT, abs=1e-9)


def test_soil_that_just_fills_the_berm_is_suggested_and_reached() -> None:
    berm = {"length": "12 ft", "top_width": "2 ft", "side_slope": 2, "height": "1 ft"}
    project = read(options=[option(earth={"swell": 0.3, "berm": berm})])
    figures = {one.key: one for one in aims.aimable(evaluate(project).options[0], "us")}
    assert figures["left_compacted"].hint.endswith("is what the berm takes.")
    target = figures["left_compacted"].hint.partition(" is ")[0]
    pool = ("options", 0, "pools", 0)
    found, _ = aims.aim_text(project, 0, "left_compacted", "", target, pool, "us")
    assert found is not None
    earth = evaluate(found).options[0].earth
    assert earth.left_compacted.value == pytest.approx(
        earth.berm_volume.value, rel=1e-3
    )  # the target was read as shown


def test_trouble_that_a_reached_design_brings_is_said(file: str) -> None:
    """At 900 gal the pool has shrunk away from its water door."""
    project = load(file)
    assert not evaluate(project).problems
    found, said = aims.aim_text(project, 0, "total_net_volume", "", "900 gal", ("options", 0, "pools", 0), "us")
    assert found is not None
    assert len(evaluate(found).problems) > 0
    assert f"It brings {len(evaluate(found).problems)} problem" in said


def test_drives_are_shown_as_ranked_bars(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["drives", file, "--figure", "total_net_volume", "--by", "0.1"]) == 0
    head, *lines = capsys.readouterr().out.splitlines()
    assert "+10%" in head
    bars = [line.count("#") for line in lines]
    assert len(bars) > 5
    assert bars == sorted(bars, reverse=True)
    assert main(["drives", file, "--figure", "total_net_volume", "--by", "2"]) == 2


@pytest.mark.parametrize(("value", "text"), [(2.0, "+25.00%"), (-2.0, "+25.00%")])
def test_a_plus_is_more_of_a_figure_that_is_below_nothing_too(value: float, text: str) -> None:
    """By hand: half a metre more, of 2 m: -2.0 m rises to -1.5 m."""
    path = ("options", 0, "pools", 0, "level")
    drive = Drive(path, 0.0, LENGTH, 0.1, True, 0.5)
    driver = aims._driver(read(), drive, input_entry("", value, LENGTH), 0.5, 0.1, "us")
    assert driver.text == text
