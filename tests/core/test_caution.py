"""A caution's rank follows the end of the range that passes its limit; texts and figures stand in its sentence."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule
from pondkit.core.units import LENGTH
from pondkit.drawing.rows import say

DEEP = CautionRule("deep", ACT, "max_depth", "{pool} is deeper than {most}.", most=1.0)
FLAT = CautionRule("flat", ACT, "max_depth", "Flat.", least=0.5)


def test_inside_its_limit_a_caution_is_silent() -> None:
    assert DEEP.where(0.9, 0.95, 1.0) == ()
    assert FLAT.where(0.5, 0.6, 0.7) == ()


def test_the_typical_value_beyond_the_limit_calls_for_the_declared_rank() -> None:
    (said,) = DEEP.where(0.9, 1.01, 1.2, pool="A", most=1.0)
    assert said.rank == ACT and said.key == "deep"


def test_an_end_of_the_range_alone_is_to_be_checked() -> None:
    assert [each.rank for each in DEEP.where(0.9, 1.0, 1.01, pool="A")] == [CHECK]
    assert [each.rank for each in FLAT.where(0.49, 0.5, 0.6)] == [CHECK]


def test_a_limit_of_the_design_stands_in_for_the_declared_one() -> None:
    assert DEEP.where(1.4, 1.5, 1.6, most=2.0) == ()
    assert DEEP.where(0.4, 0.5, 0.6, most=0.45, pool="A")


def test_a_reminder_stays_one() -> None:
    rule = CautionRule("near", REMINDER, "max_depth", "Look.", most=1.0)
    assert [each.rank for each in rule.where(0.5, 0.9, 1.1)] == [REMINDER]


def test_texts_and_figures_are_put_in() -> None:
    assert say(DEEP(pool="A {most}", most=(1.0, LENGTH)), "si") == "A 1 m is deeper than 1 m."
