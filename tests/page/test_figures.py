"""Differences between options in words."""

import pytest

from pondkit.page.figures import difference


@pytest.mark.parametrize(
    ("signed", "unit", "said"),
    [
        ("+310", "gal", "310 gal more than A"),
        ("-1.5", "yd³", "1.5 yd³ less than A"),
        ("0", "gal", "as A"),
        ("+2", "", "2 more than A"),
        ("", "gal", ""),
    ],
)
def test_a_difference_is_said_in_words(signed: str, unit: str, said: str) -> None:
    assert difference(signed, unit, "A") == said
