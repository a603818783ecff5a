"""What an entry is: formula from the code, corners of ranges, cautions, sums."""

import math
from dataclasses import dataclass

import pytest

from pondkit.core.caution import ACT, CHECK, CautionRule
from pondkit.core.entry import Entry, Range, entry, holds, rounded_up, total, with_cautions
from pondkit.core.result import Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import AREA, LENGTH, Area, Count, Length, Ratio
from pondkit.drawing.rows import say, working

WIDE = CautionRule("wide", ACT, "surface_area", "Wider than 10 m.")


@holds(lambda width: width <= 10, WIDE)
def box(length: Length, width: Length) -> Area:
    """Area.

    Source: geometry
    """
    return length * width


def sums(parts: tuple[Length, ...]) -> Length:
    """Sum.

    Source: geometry
    """
    return sum(parts)


def stepped(length: Length) -> Count:
    """Steps.

    Working: whole steps of a metre
    Source: geometry
    """
    if length < 0:
        return 0
    return math.floor(length)


def nameless(length: Length) -> Length:
    """No source here."""
    return length


def kindless(length: Length) -> float:
    """No kind.

    Source: geometry
    """
    return length


def branching(length: Length) -> Length:
    """No working.

    Source: geometry
    """
    if length > 1:
        return length
    return 2 * length


def test_the_formula_is_the_code() -> None:
    made = entry(box, "pool", length=3.0, width=2.0)
    assert (made.value, made.formula, made.kind, made.subject) == (6.0, "length * width", AREA, "pool")
    assert made.low is None and made.high is None and not made.cautions
    assert working(made, "si") == "length × width = 3 m × 2 m"


def test_a_relation_that_branches_says_its_working() -> None:
    made = entry(stepped, "", length=2.6)
    assert made.value == 2 and made.formula == "" and working(made, "si") == "whole steps of a metre (length 2.6 m)"


@pytest.mark.parametrize("relation", [nameless, kindless, branching])
def test_a_relation_without_source_kind_or_working_is_refused(relation: object) -> None:
    with pytest.raises(TypeError):
        entry(relation, "", length=1.0)


def test_ranges_are_met_at_their_corners() -> None:
    made = entry(box, "", length=Range(1, 2, 3, "a table"), width=Range(4, 5, 6, "a table"))
    assert (made.low, made.value, made.high) == (4, 10, 18)  # by hand
    assert made.source == "geometry; a table"


def test_a_limit_is_looked_at_in_every_corner() -> None:
    assert not entry(box, "", length=1.0, width=10.0).cautions
    assert entry(box, "", length=1.0, width=Range(8, 9, 11, "x")).cautions == (WIDE(CHECK),)
    assert entry(box, "", length=1.0, width=10.5).cautions == (WIDE(),)


def test_an_entry_carries_its_range_and_cautions_on() -> None:
    wide = entry(box, "", length=Range(1, 2, 3, "x"), width=11.0)
    twice = entry(sums, "", parts=[with_cautions(entry(sums, "", parts=[1.0]), Words("look")), 2.0])
    assert twice.value == 3 and twice.cautions == (Words("look"),)
    assert wide.least == 11 and wide.most == 33


def test_a_sum_adds_lows_and_highs_and_says_each_caution_once() -> None:
    a = entry(box, "a", length=Range(1, 2, 3, "x"), width=11.0)
    b = entry(box, "b", length=1.0, width=12.0)
    made = total("", [a, b])
    assert (made.low, made.value, made.high) == (11 + 12, 22 + 12, 33 + 12)
    assert made.cautions == (WIDE(),)
    assert total("", [], AREA).value == 0 and total("", [b]).low is None


def test_sentences_take_their_figures_in_the_shown_units() -> None:
    text = words("reaches {reached} of {drawn}", reached=(0.4826, LENGTH), drawn=(0.762, LENGTH))
    assert say(text, "us") == "reaches 19 in of 30 in"
    assert say(text, "si") == "reaches 48.26 cm of 76.2 cm"


def test_rounding_up_takes_no_rounding_error_for_one_more() -> None:
    assert rounded_up(3.0000000000001) == 3 and rounded_up(3.001) == 4 and rounded_up(0.1 * 30) == 3


@dataclass(frozen=True, eq=False)
class Inner(Result):
    depth: Entry


@dataclass(frozen=True, eq=False)
class Outer(Result):
    area: Entry
    parts: tuple[Inner, ...]
    sizes: tuple[Entry, ...]
    missing: Entry | None
    name: str


def test_a_record_hands_out_its_entries_by_field_in_order() -> None:
    def one(value: float) -> Entry:
        return entry(sums, "", parts=[value])

    record = Outer(one(1), (Inner(one(2)), Inner(one(3))), (one(4),), None, "x")
    assert [(key, figure.value) for key, figure in record.entries()] == [
        ("area", 1),
        ("depth", 2),
        ("depth", 3),
        ("sizes", 4),
    ]
    assert record != Outer(record.area, record.parts, record.sizes, None, "x")  # compared by identity


def test_ratio_is_plain() -> None:
    def share(part: Ratio) -> Ratio:
        """Share.

        Source: geometry
        """
        return part

    assert working(entry(share, "", part=0.5), "us") == "part = 0.5"
