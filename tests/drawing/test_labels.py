"""Words of a drawing keep clear of each other, and near their places."""

import re

import pytest

from pondkit.drawing.labels import FAR, HIGH, Label, Labels, width_of

EDGES = (0.0, 0.0, 120.0, 80.0)
Box = tuple[float, float, float, float]


def boxes(markup: str, size: float) -> dict[str, Box]:
    """Left, top, right, bottom of every text, by the letters' own widths."""
    found = {}
    for x, y, text in re.findall(r"<text x='([-\d.]+)' y='([-\d.]+)'[^>]*>([^<]*)</text>", markup):
        half = width_of(text, size) / 2
        found[text] = (float(x) - half, float(y) - 0.75 * size, float(x) + half, float(y) + (HIGH - 0.75) * size)
    return found


def over(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def test_words_at_one_place_are_moved_apart_and_lead_back_to_it() -> None:
    names = [f"stone number {n}" for n in range(14)]
    markup, key = Labels(EDGES, [Label(60.0, 40.0, name, 2.5) for name in names]).written()
    placed = boxes(markup, 2.5)
    assert set(placed) == set(names)
    assert not key
    every = list(placed.values())
    assert not any(over(a, b) for i, a in enumerate(every) for b in every[i + 1 :])
    for left, top, right, bottom in every:
        assert EDGES[0] <= left and right <= EDGES[2] and EDGES[1] <= top and bottom <= EDGES[3]
        assert abs((top + bottom) / 2 - 40) <= FAR + 2.5
    assert "<path d='M60.00 40.00L" in markup


def test_words_without_room_stand_under_the_drawing_by_a_number() -> None:
    words = [Label(10.0, 5.0, f"a name that is long {n}", 2.5) for n in range(4)]
    markup, key = Labels((0.0, 0.0, 24.0, 9.0), words).written()
    assert key
    for line in key:
        number, _, name = line.partition(" ")
        assert name.startswith("a name that is long")
        assert f">{number}</text>" in markup


def test_a_mark_is_left_free_where_there_is_room() -> None:
    markup, _ = Labels(EDGES, [Label(60.0, 40.0, "here", 2.5)], [(58.0, 38.0, 62.0, 42.0)]).written()
    assert not over(boxes(markup, 2.5)["here"], (58.0, 38.0, 62.0, 42.0))


def test_the_width_of_letters_is_that_of_the_font() -> None:
    # Source Sans Pro Regular: figures are 497 of 1000 units wide (its hmtx table).
    assert width_of("0123456789", 10.0) == pytest.approx(49.7, abs=0.2)
