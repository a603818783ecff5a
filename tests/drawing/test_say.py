"""Workings and sentences with this design's figures in them."""

import math

import pytest

from pondkit.core.entry import entry, input_entry, total
from pondkit.core.sentence import Words, words
from pondkit.core.units import AREA, LENGTH, RATIO, SYSTEMS, VOLUME, Area, Count, Length, Ratio, Volume
from pondkit.drawing.rows import say, say_problem, working
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo, pool, read

DROP = "(upper - (lower - upper)) × half"


def prism(area: Area, depth: Length) -> Volume:
    """Source: geometry"""
    return area * depth


def ball(radius: Length) -> Volume:
    """Source: geometry"""
    return 4 / 3 * math.pi * radius**3


def drop(upper: Length, lower: Length, half: Ratio) -> Length:
    """Source: geometry"""
    return (upper - (lower - upper)) * half


def share(part: Length, whole: Length, more: Length) -> Ratio:
    """Source: geometry"""
    return part / (whole + more)


def pieces(length: Length, one: Length) -> Count:
    """Source: geometry"""
    return float(math.ceil(length / one))


def reach(run: Length, rise: Length) -> Length:
    """Source: Pythagoras"""
    return math.sqrt(run**2 + rise**2)


def whole(parts: tuple[Length, ...]) -> Length:
    """Source: geometry"""
    return sum(parts)


def branched(depth: Length) -> Length:
    """Working: the depth, at least that of frost

    Source: geometry
    """
    return depth if depth > 0.5 else 0.5


@pytest.mark.parametrize(
    ("figure", "system", "said"),
    [
        (entry(prism, "", area=2.0, depth=0.5), "si", "area × depth = 2 m² × 50 cm"),
        (entry(prism, "", area=10 * 0.3048**2, depth=0.3048), "us", "area × depth = 10 ft² × 12 in"),
        (entry(ball, "", radius=2.0), "si", "4 / 3 × π × radius³ = 4 / 3 × π × (2 m)³"),
        (entry(drop, "", upper=0.5, lower=0.2, half=0.5), "si", f"{DROP} = (50 cm - (20 cm - 50 cm)) × 0.5"),
        (entry(drop, "", upper=-0.5, lower=0.2, half=0.5), "si", f"{DROP} = ((-50 cm) - (20 cm - (-50 cm))) × 0.5"),
        (entry(share, "", part=1.0, whole=2.0, more=3.0), "si", "part / (whole + more) = 1 m / (2 m + 3 m)"),
        (entry(pieces, "", length=3.0, one=2.0), "si", "rounded up(length / one) = rounded up(3 m / 2 m)"),
        (entry(reach, "", run=3.0, rise=4.0), "si", "√(run² + rise²) = √((3 m)² + (4 m)²)"),
        (entry(whole, "", parts=(1.0, 2.0)), "si", "sum of parts = 1 m + 2 m"),
        (entry(branched, "", depth=0.6), "si", "the depth, at least that of frost (depth 60 cm)"),
        (input_entry("", 0.6, LENGTH), "si", "as entered"),
    ],
)
def test_a_working_has_the_formula_then_its_numbers_with_their_units(figure: object, system: str, said: str) -> None:
    assert working(figure, system) == said  # type: ignore[arg-type]


def test_numbers_of_the_figure_s_own_kind_are_in_its_own_unit() -> None:
    assert working(entry(drop, "", upper=2.0, lower=0.5, half=0.5), "si", "cm").endswith(
        "(200 cm - (50 cm - 200 cm)) × 0.5"
    )


@pytest.mark.parametrize(("count", "end"), [(8, "1 m + 1 m"), (11, "1 m + 3 more")])
def test_a_long_sum_is_cut_after_eight_parts(count: int, end: str) -> None:
    assert working(total("", [input_entry("", 1.0, LENGTH)] * count), "si").endswith(end)


def test_a_sum_of_nothing_says_so() -> None:
    assert working(total("", [], AREA), "si").endswith("nothing")


def test_a_sentence_has_its_figures_in_the_units_on_show() -> None:
    text = words("reaches {reached} of {drawn}", reached=(0.4064, LENGTH), drawn=(0.762, LENGTH))
    assert say(text, "us") == "reaches 16 in of 30 in"
    assert say(text, "si") == "reaches 40.64 cm of 76.2 cm"


@pytest.mark.parametrize("name", ["{x}", "{", "}", "{reached}", "%s", "{0}", "{x!r}"])
def test_braces_in_a_name_are_its_own(name: str) -> None:
    assert say(Words(f"no pool is called '{name}'"), "us") == f"no pool is called '{name}'"


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_problem_names_place_value_what_is_allowed_and_the_mend(system: str) -> None:
    project = read(options=[{"name": "A", "pools": [pool("one"), pool("two", at=["5 ft", "0 ft"])]}])
    ((path, problem),) = evaluate(project).problems
    said = say_problem(project, path, problem, system)  # type: ignore[arg-type]
    assert said.startswith("Option 'A', pool 'two'")
    assert "overlaps 'one'" in said
    assert {"us": "ft²", "si": "m²"}[system] in said
    assert "; allowed: " in said
    assert ". To mend it, " in said


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_figure_of_the_demos_can_be_written_out(name: str, system: str) -> None:
    for result in evaluate(demo(name)).options:
        for key, figure in result.entries():
            said = working(figure, system)  # type: ignore[arg-type]
            assert said, key
            assert "{" not in said
            assert "_" not in said
            for caution in figure.cautions:
                assert "{" not in say(caution, system)  # type: ignore[arg-type]


@pytest.mark.parametrize(("value", "kind", "text"), [(0.0, VOLUME, "0 gal"), (0.5, RATIO, "0.5")])
def test_plain_and_empty_figures(value: float, kind: object, text: str) -> None:
    assert say(words("{x}", x=(value, kind)), "us") == text  # type: ignore[arg-type]
