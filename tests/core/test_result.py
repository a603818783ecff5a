"""Problems in words, names that no part has, and records complete when they are handed out."""

from dataclasses import FrozenInstanceError, dataclass

import pytest

from pondkit.core.entry import Entry, input_entry
from pondkit.core.result import Problem, Result, Trouble, no_such
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH


def one(value: float) -> Entry:
    return input_entry("x", value, LENGTH)


@dataclass(frozen=True, eq=False)
class Inner(Result):
    depth: Entry
    note: str


@dataclass(frozen=True, eq=False)
class Outer(Result):
    first: tuple[Entry, ...]
    inner: tuple[Inner, ...]
    pairs: tuple[tuple[str, float], ...]
    last: Entry | None
    alone: Inner


def test_entries_come_in_the_order_of_the_fields_and_of_the_records_inside() -> None:
    record = Outer(
        (one(1), one(2)), (Inner(one(3), "a"), Inner(one(4), "b")), (("no entry", 5.0),), one(6), Inner(one(7), "c")
    )
    assert [(key, figure.value) for key, figure in record.entries()] == [
        ("first", 1),
        ("first", 2),
        ("depth", 3),
        ("depth", 4),
        ("last", 6),
        ("depth", 7),
    ]


def test_a_field_that_is_none_or_empty_is_no_key() -> None:
    record = Outer((), (), (), None, Inner(one(7), "c"))
    assert [key for key, _ in record.entries()] == ["depth"]


def test_a_record_is_frozen_and_compared_by_identity() -> None:
    record = Inner(one(1), "a")
    with pytest.raises(FrozenInstanceError):
        record.note = "b"  # type: ignore[misc]
    assert record == record and record != Inner(record.depth, "a") and hash(record) != hash(Inner(record.depth, "a"))


def test_a_name_that_no_part_has_offers_the_nearest_or_the_list() -> None:
    near = no_such(("links", 0, "to"), "pool", "uper pool", ["upper pool", "lower pool"])
    assert near.path == ("links", 0, "to") and "write 'upper pool'" in near.mend.text
    assert "upper pool, lower pool" in near.allowed.text and "'uper pool'" in near.given.text
    far = no_such((), "node", "zz", ["den"])
    assert "choose one of these" in far.mend.text
    assert no_such((), "node", "zz", []).allowed.text == "a node that is there"


def test_trouble_carries_its_problems_and_says_them() -> None:
    problem = Problem(("pools", 0), words("it is so"), words("another"), words("change it"))
    assert Trouble(problem, problem).problems == (problem, problem) and str(Trouble(problem)) == "it is so"
