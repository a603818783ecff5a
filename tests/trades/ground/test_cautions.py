"""Every caution of the ground just inside and just outside; the misclosure's limit is the person's own."""

from typing import Any

from pondkit.trades.ground import cautions as rules
from pondkit.trades.ground.results import LandResult
from tests.cautions import cases, edge
from tests.trades.ground.test_compute import SQUARE, book, land, row


def closed(**more: Any) -> LandResult:
    """A loop that comes home 8 mm high, from whatever benchmark."""
    return land(book(SQUARE, benchmark=3.2, closing=3.2, **more))


def test_a_book_that_misses_by_more_than_is_allowed() -> None:
    edge(rules.MISCLOSED, lambda allowed: closed(allowed=allowed), inside=0.0081, outside=0.00795)


def test_a_misclosure_that_nobody_judges() -> None:
    cases(rules.MISCLOSURE_NOT_JUDGED, without=closed(allowed=0.01), with_it=closed())


def test_a_book_that_is_not_closed() -> None:
    cases(rules.BOOK_NOT_CLOSED, without=closed(), with_it=land(book(SQUARE, benchmark=0.0)))


def test_a_misclosure_that_cannot_be_spread() -> None:
    cases(
        rules.NOTHING_SPREAD,
        without=land(book(SQUARE, benchmark=0.0)),
        with_it=land(book(SQUARE, benchmark=0.0, spread=True)),
    )
    cases(rules.NOTHING_SPREAD, without=closed(spread=True), with_it=land(book(SQUARE, benchmark=0.0, spread=True)))


def test_a_rod_that_reads_below_nothing() -> None:
    def at(reading: float) -> LandResult:
        return land(book([*SQUARE[:1], row("beam", intermediate=reading), *SQUARE[1:]], benchmark=0.0))

    edge(rules.BOOK_ROD_NEGATIVE, at, inside=0.0, outside=-0.005, step=0.005)
