"""What stands in the ground beside the pools: how a body of the water side is placed, and the pit of the pumps."""

from typing import Any, ClassVar

from pondkit.core.part import Angle, Length, Mass, Part, Point, ask

PLACE = ("-1000 ft", "1000 ft", ("6 in", "10 cm"))
SIZE = ("3 in", "60 ft", ("1 in", "2 cm"))
LEVEL = ("-60 ft", "60 ft", ("0.5 in", "1 cm"))
HEAVY = ("1 lb", "100000 lb", ("10 lb", "5 kg"))
PlanSize = tuple[Length, Length]


def place(what: str) -> Any:
    """Input: where a body stands."""
    return ask(
        "Place", *PLACE, default=("0 ft", "0 ft"), help=f"Middle of the {what}: east, north of the site's origin."
    )


def turn() -> Any:
    """Input: how a body is turned."""
    return ask("Turn", -360, 360, (5, 5), default=0, help="Anticlockwise.")


def plan_size(what: str, left_out: str) -> Any:
    """Input: length and width of a body; ``left_out`` says what holds without them."""
    return ask(
        "Plan size", *SIZE, default=None, help=f"Of the {what}, outside, along and across; left out, {left_out}."
    )


def rounded() -> Any:
    """Input: whether a body is round."""
    return ask("Round structure", default=False, help="An ellipse of its plan size; its hole is dug square round it.")


def underside(what: str) -> Any:
    """Input: base level of a body."""
    return ask("Base level", *LEVEL, default=None, help=f"Of the {what}, above the site datum: the top of its seat.")


def rim() -> Any:
    """Input: level of the top of its walls."""
    return ask(
        "Rim", *LEVEL, default=None, help="Top of its walls, above the site datum; a berm beside it stays lower."
    )


def seat() -> Any:
    """Input: bedding under its base."""
    return ask(
        "Seat",
        "0 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default="4 in",
        help="Thickness of the bedding under it, dug as well.",
    )


def mass(what: str, label: str = "Mass") -> Any:
    """Input: mass of an empty body."""
    return ask(
        label,
        *HEAVY,
        default=None,
        help=f"Of the empty {what}, with what is fixed to it; left out, it counts for nothing against uplift.",
    )


def ballast(label: str = "Ballast") -> Any:
    """Input: what is laid on it against uplift."""
    return ask(label, *HEAVY, default=None, help="Fixed to it against uplift, as it weighs under water.")


def outstand() -> Any:
    """Input: how far its base stands out all round."""
    return ask(
        "Base projection",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="0 in",
        help="Beyond the walls, all round: the soil filled in on it holds the body down.",
    )


def base() -> Any:
    """Input: thickness of that base."""
    return ask(
        "Base thickness",
        "0.25 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default="4 in",
        help="Of the base where it projects; the base level is under it.",
    )


def covered() -> Any:
    """Input: whether soil lies over its lid."""
    return ask(
        "Soil over its lid", default=False, help="Closed at its rim by a lid, with soil over it up to the ground."
    )


class PumpPit(Part):
    """A pit beside the water in which pumps stand."""

    title_of_part: ClassVar[str] = "pit"
    at: Point = place("pit")
    turn_deg: Angle = turn()
    plan_size: PlanSize = ask(
        "Plan size", *SIZE, default=("24 in", "24 in"), help="Of its box, outside, along and across."
    )
    round: bool = rounded()
    underside: Length = ask(
        "Base level", *LEVEL, default="-3 ft", help="Of its box, above the site datum: the top of its seat."
    )
    seat: Length = seat()
    rim: Length | None = rim()
    mass: Mass | None = mass("pit")
    ballast: Mass | None = ballast()
    outstand: Length = outstand()
    base: Length = base()
    covered: bool = covered()
