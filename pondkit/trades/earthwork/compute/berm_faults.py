"""What is wrong with a berm, in words."""

from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import AREA, LENGTH, RATIO, VOLUME
from pondkit.geometry.cut_fill import FAR_BANK
from pondkit.trades.earthwork.inputs.earth import Berm


def spreads(berm: Berm) -> Problem:
    """Sides so flat that they nowhere meet the ground."""
    return Problem(
        ("earth", "berm", "side_slope"),
        words(
            "sides of {slope} horizontal to 1 vertical do not bring the berm down to the ground",
            slope=(berm.side_slope, RATIO),
        ),
        words("sides that meet the ground within {far} of its top", far=(FAR_BANK, LENGTH)),
        words(
            "make the sides steeper or the outline larger, set the berm where the ground falls less, or enter a lower "
            "top"
        ),
    )


def over_spoil(top: float, most: float) -> Problem:
    """A top entered higher [m] than the spoil fills; ``most`` is what it fills."""
    return Problem(
        ("earth", "berm", "top_level"),
        words("the spoil does not fill a berm with its top at {top}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower its top, make its outline smaller or its sides steeper, or leave its top out to have it solved"),
    )


def over_rim(top: float, most: float, name: str) -> Problem:
    """A top entered over the rim [m] of a body that the berm hides."""
    return Problem(
        ("earth", "berm", "top_level"),
        words(f"a berm with its top at {{top}} buries the rim of the {name}", top=(top, LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower the berm, raise what it hides, or leave its top out to have it solved up to there"),
    )


def no_soil(top: float, lowest: float, body: float) -> Problem:
    """A berm that takes no soil: its top [m] lies under the ground, or the body inside [m³] fills it."""
    if top <= lowest:
        return Problem(
            ("earth", "berm", "top_level"),
            words("its top at {top} stands over no ground", top=(top, LENGTH)),
            words("over {lowest}", lowest=(lowest, LENGTH)),
            words("raise its top, or move it to where the ground is lower"),
        )
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(body, VOLUME)),
        words("less than the berm itself"),
        words("make the berm larger or higher, or the body smaller"),
    )


def on_liner(name: str, shared: float) -> Problem:
    """A toe that comes onto a liner's edge, by so much plan area [m²]."""
    return Problem(
        ("earth", "berm", "at"),
        words(f"its toe comes onto the liner's edge of '{name}' by {{shared}}", shared=(shared, AREA)),
        words("a toe outside the liner's edge: soil over the edge draws water out of the pool"),
        words("move the berm away, make its outline smaller, its sides steeper or its top lower"),
    )


def buries(berm: Berm, height: float, allowed: float) -> Problem:
    """A berm on level ground that is higher [m] than the rim of what it hides allows."""
    return Problem(
        ("earth", "berm", "hidden_rim" if berm.height is None else "height"),
        words("a berm {high} high buries the rim of what it hides", high=(height, LENGTH)),
        words("no higher than {allowed}", allowed=(max(allowed, 0.0), LENGTH)),
        words(
            "lower the berm, raise what it hides, or leave its height out to have it solved up to there"
            if allowed > 0
            else "enter a smaller margin, or raise the rim of what it hides"
        ),
    )


def no_room(berm: Berm, whole: float) -> Problem:
    """A body inside that is no smaller than the berm itself, ``whole`` [m³]."""
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(float(berm.body), VOLUME)),
        words("less than the berm itself, {whole}", whole=(whole, VOLUME)),
        words("make the berm longer, wider or higher, or the body smaller"),
    )


def too_high(berm: Berm, most: float) -> Problem:
    """A height entered that the spoil does not fill; ``most`` is what it fills [m]."""
    return Problem(
        ("earth", "berm", "height"),
        words("the spoil does not fill a berm {high} high", high=(float(berm.height or 0.0), LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower, shorten or narrow the berm, or leave its height out to have it solved"),
    )
