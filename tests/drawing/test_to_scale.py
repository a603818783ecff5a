"""Pictures at a true scale: places on the paper are places on the site over the scale."""

import base64
import io
import re
from itertools import pairwise
from typing import Any

import pytest
from PIL import Image

from pondkit.core.units import SYSTEMS, System
from pondkit.drawing import frame
from pondkit.drawing.blocks import Room
from pondkit.drawing.frame import Figure
from pondkit.drawing.to_scale import EDGE, FOOT, LAP, SCALES, grey, scale_of, scaled
from pondkit.report import plan, section
from pondkit.study.evaluate import evaluate
from tests.designs import option, pool, read

POND = pool(outline={"shape": "rectangle", "length": "20 ft", "width": "10 ft"})
FT = 0.3048  # m, exact by definition
ROOM = Room(180.0, 200.0)


def drawn(figure: Figure, system: System, alt: str, **more: Any) -> str:
    """The one drawing of a picture that fits on a sheet, with its caption."""
    (one,) = scaled(figure, system, alt, ROOM, **more)
    return one.svg + one.caption


def waterline(markup: str) -> list[tuple[float, float]]:
    """The points of the path of the greatest width that has no dash: the rectangle's waterline."""
    paths = [p for p in re.findall(r"<path d='([^']*)'([^>]*)>", markup) if "stroke-dasharray" not in p[1]]
    every = [[(float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)] for path, _ in paths]
    return max(every, key=lambda points: max(x for x, _ in points) - min(x for x, _ in points))


@pytest.mark.parametrize(("system", "over", "said"), [("us", 48, "1/4 in = 1 ft"), ("si", 50, "1:50")])
def test_a_pool_of_20_by_10_ft_measures_as_much_over_the_scale(system: System, over: int, said: str) -> None:
    """By hand: 20 ft are 6096 mm; at a quarter inch to the foot 5 in or 127 mm, at 1:50 121.92 mm."""
    markup = drawn(plan.plan(evaluate(read(options=[option(pools=[POND])])).options[0], system), system, "")
    assert f"Scale {said}." in markup
    points = waterline(markup)
    across = [max(p[i] for p in points) - min(p[i] for p in points) for i in (0, 1)]
    assert across == [pytest.approx(20 * FT * 1000 / over, abs=0.2), pytest.approx(10 * FT * 1000 / over, abs=0.2)]


def test_words_on_paper_keep_clear_of_the_section_s_line() -> None:
    """Words asked for right on the line, which runs from west to east: their box lies above or below it."""
    words = {"type": "scatter", "mode": "text", "x": [0.0], "y": [0.0], "text": ["30 in"], "textfont": {"size": 12}}
    layout = frame.plan_layout((-3.0, -3.0, 3.0, 3.0), "ft", ((-2.0, 0.0), (2.0, 0.0)))
    markup = drawn(frame.figure([words], **layout), "us", "")
    at = re.search(r"y='([\d.]+)' font-size='([\d.]+)'[^>]*>30 in<", markup)
    line = re.search(r"d='M[\d.]+ ([\d.]+)L[\d.]+ ([\d.]+)'[^>]*stroke-dasharray='6 1.5 1 1.5'", markup)
    assert at and line and line[1] == line[2]
    foot, size = float(at[1]), float(at[2])
    assert not foot - size < float(line[1]) < foot


def test_a_section_has_heights_at_the_scale_of_its_lengths() -> None:
    result = evaluate(read(options=[option(pools=[POND])])).options[0]
    line = ((-9.0, 0.0), (9.0, 0.0))
    cut = section.section(result, line, "si")
    assert cut["layout"]["yaxis"]["scaleratio"] > 1  # on the screen heights are drawn larger
    markup = drawn(cut, "si", "")
    water = re.search(r"<path d='([^']*Z)'", markup)
    assert water is not None
    ys = [float(y) for _, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", water[1])]
    assert "Scale 1:200." in markup  # 18 m long
    assert max(ys) - min(ys) == pytest.approx(30 * 25.4 / 200, abs=0.2)  # 30 in deep


def test_a_name_stands_on_the_side_of_its_place_that_the_picture_says() -> None:
    """To the left it ends before its place, to the right it begins behind; over it and under it it keeps off it."""
    for side, (right, down) in {
        "middle left": (-1, 0),
        "middle right": (1, 0),
        "top center": (0, -1),
        "bottom center": (0, 1),
    }.items():
        words = {"type": "scatter", "mode": "text", "x": [0.0], "y": [0.0], "text": ["here"], "textposition": [side]}
        figure = frame.figure([words], x={"range": [-5, 5]}, y={"range": [-5, 5]})
        markup = drawn(figure, "us", "")
        ((x, y),) = re.findall(r"<text x='([-\d.]+)' y='([-\d.]+)'[^>]*>here<", markup)
        middle = EDGE + 5 * 12 * 25.4 / 48
        assert (float(x) - middle) * right > 1.5 or (right == 0 and float(x) == pytest.approx(middle, abs=0.01))
        assert (float(y) - middle) * down > 0.5 or (down == 0 and abs(float(y) - middle) < 1.0)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("size", [0.3, 3, 12, 17.4, 60, 400])
def test_the_scale_is_the_largest_that_fits(size: float, system: System) -> None:
    mm = {"us": 304.8, "si": 1000.0}[system]
    scale = scale_of((0, 0, size, size / 2), system, ROOM)
    fits = [
        one
        for one in SCALES[system]
        if size * mm / one.over + 2 * EDGE <= ROOM.wide and size / 2 * mm / one.over + 2 * EDGE + FOOT <= ROOM.high
    ]
    assert scale == (fits or SCALES[system][-1:])[0]


def test_the_scales_are_what_they_are_written_as() -> None:
    # By hand: 12 in over a quarter and an eighth of an inch, and 10, 20, 30 ft of 12 in over an inch.
    assert [one.over for one in SCALES["us"]] == [12 * 4, 12 * 8, 120, 240, 360]
    assert all(one.text == f"1:{one.over}" for one in SCALES["si"])


def test_what_fits_at_no_scale_comes_on_sheets_that_join() -> None:
    """Three marks along 400 ft: at 1 in = 30 ft they are 169.3 mm apart, over whatever sheets they lie on."""
    far = {"type": "scatter", "mode": "markers", "x": [0.0, 200.0, 400.0], "y": [0.0, 0.0, 0.0]}
    figure = frame.figure([far], x={"range": [-10, 410]}, y={"range": [-10, 10]})
    sheets = scaled(figure, "us", "far", ROOM)
    assert len(sheets) == 3  # 420 ft are 355.6 mm, with its edges 367.6; sheets of 180 mm have 12 mm in common
    lefts = []
    for number, sheet in enumerate(sheets, 1):
        assert sheet.wide <= ROOM.wide and sheet.high <= ROOM.high
        assert f"Sheet {number} of 3" in sheet.caption and "1 in = 30 ft" in sheet.caption
        (left, wide) = re.findall(r"viewBox='([\d.]+) [\d.]+ ([\d.]+) [\d.]+'>", sheet.svg)[-1]
        lefts.append((float(left), float(left) + float(wide)))
        assert sheet.svg.count("h8M") >= 1  # crosses to join by
    assert lefts[0][0] == 0
    assert lefts[-1][1] == pytest.approx(420 * 304.8 / 360 + 2 * EDGE, abs=0.01)
    assert [a[1] - b[0] for a, b in pairwise(lefts)] == pytest.approx([LAP, LAP], abs=0.01)
    circles = [float(x) for x in re.findall(r"<circle cx='([\d.]+)'", sheets[0].svg)]
    assert circles[1] - circles[0] == pytest.approx(200 * 304.8 / 360, abs=0.02)


def test_black_and_white_has_no_colour_and_black_letters_read_on_the_darkest_fill() -> None:
    markup = drawn(plan.plan(evaluate(read()).options[0], "us"), "us", "")
    colours = set(re.findall(r"(?:fill|stroke)='(#[0-9a-f]+)'", markup))
    assert all(len(c) == 4 or c[1:3] == c[3:5] == c[5:7] for c in colours)
    fills = [int(c[1:3], 16) for c in colours if len(c) == 7]
    # WCAG 2.2 contrast of black on the darkest, at least 4.5 to 1.
    linear = ((min(fills) / 255 + 0.055) / 1.055) ** 2.4
    assert (linear + 0.05) / 0.05 >= 4.5
    shades = [grey(colour) for colour in frame.DEPTHS]
    assert shades == sorted(shades, reverse=True)


@pytest.mark.parametrize(("colour", "lightness"), [("#ffffff", 255), ("#000000", 0), ("rgba(0,0,0,0.5)", 127.5)])
def test_grey_of_white_black_and_half_a_black(colour: str, lightness: float) -> None:
    assert grey(colour) == pytest.approx(lightness)


def test_a_name_cannot_break_out_of_the_picture() -> None:
    odd = "</svg><script>x</script>&\"'"
    markup = drawn(plan.plan(evaluate(read(options=[option(pools=[pool(odd)])])).options[0], "us"), "us", odd)
    assert "<script" not in markup
    assert markup.count("<svg") == markup.count("</svg>")


def test_the_picture_of_the_site_lies_where_the_project_puts_it_at_the_scale_of_the_plan() -> None:
    """20 ft wide and 1:2 high, its middle on the pool's, turned 30 degrees anticlockwise: by hand at 1/4 in = 1 ft."""
    out = io.BytesIO()
    Image.new("RGB", (200, 100), "green").save(out, "JPEG")
    data = base64.b64encode(out.getvalue()).decode()
    project = read(
        options=[option(pools=[POND])], picture={"data": data, "width": "20 ft", "turn_deg": 30, "at": ["0 ft", "0 ft"]}
    )
    markup = drawn(plan.plan(evaluate(project).options[0], "us"), "us", "", under=project.picture)
    (found,) = re.findall(r"<image ([^>]*)/>", markup)
    said = dict(re.findall(r"([\w-]+)='([^']*)'", found))
    assert said["href"].endswith(data)
    wide, high = float(said["width"]), float(said["height"])
    assert (wide, high) == (pytest.approx(127.0, abs=0.01), pytest.approx(63.5, abs=0.01))
    points = waterline(markup)
    middle = [(max(p[i] for p in points) + min(p[i] for p in points)) / 2 for i in (0, 1)]
    assert [float(said["x"]) + wide / 2, float(said["y"]) + high / 2] == pytest.approx(middle, abs=0.2)
    assert said["transform"].startswith("rotate(-30 ")
    assert "grayscale" in found
    assert "<image" not in drawn(plan.plan(evaluate(project).options[0], "us"), "us", "")


@pytest.mark.parametrize("mono", [True, False])
def test_what_lies_under_a_transparent_area_shows_through_it_on_paper(mono: bool) -> None:
    zone = {
        "type": "scatter",
        "mode": "lines",
        "fill": "toself",
        "fillcolor": "rgba(163,59,32,0.10)",
        "x": [0, 1, 1, 0],
        "y": [0, 0, 1, 1],
    }
    picture = {"data": [zone], "layout": {"xaxis": {"range": [0, 1]}, "yaxis": {"range": [0, 1]}}}
    markup = drawn(picture, "si", "", mono=mono)
    (alpha,) = (float(found) for found in re.findall(r"fill='rgba\([^)]*,([\d.]+)\)'", markup))
    assert 0 < alpha < 0.3
