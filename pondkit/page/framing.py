"""What the plan shows: a frame round all that is drawn, which stays while the hand moves. No streamlit."""

from dataclasses import dataclass

from pondkit.report.plan import Span


@dataclass(frozen=True)
class Framed:
    """What the plan shows.

    Attributes:
        span: West, south, east, north on the site [m].
        number: Another for each frame; a person's zoom holds as long as it stays.
        job: Id of the job that it was made for; "" for one that was never changed.
    """

    span: Span
    number: int
    job: str


def framed(last: Framed | None, drawn: Span, job: str, *, fit: bool = False) -> Framed:
    """The frame as it was, or another one: where there is none, for another job, and where something lies outside.

    To be asked when the hand rests: while it moves, the frame stays.

    Args:
        last: The frame as it was; None where there is none.
        drawn: Round all that is drawn now, with some room [m].
        job: Id of the job.
        fit: Whether all is to be fitted in.
    """
    if last is None or fit:
        return Framed(drawn, last.number + 1 if last else 1, job)
    outside = any(a < b for a, b in zip(drawn[:2], last.span[:2], strict=True)) or any(
        a > b for a, b in zip(drawn[2:], last.span[2:], strict=True)
    )
    other = bool(last.job and job and last.job != job)
    if outside or other:
        return Framed(drawn, last.number + 1, job)
    return last if last.job == job else Framed(last.span, last.number, job)
