"""Relations of a survey and of a level book, whose three checks are worked out in three ways and must agree."""

from pondkit.core.entry import holds
from pondkit.core.units import Area, Count, Length
from pondkit.geometry.terrain import Mesh
from pondkit.trades.ground.cautions import MISCLOSED


def survey_places(ground: Mesh) -> Count:
    """Number of surveyed places, each counted once.

    Working: places with a level of their own
    Source: user input
    """
    return float(len(ground.places))


def survey_area(ground: Mesh) -> Area:
    """Plan area inside the survey.

    Working: area inside the outermost survey points
    Source: geometry
    """
    return float(ground.hull.area)


def backsights_less_foresights(backsights: tuple[Length, ...], foresights: tuple[Length, ...]) -> Length:
    """Sum of backsights less sum of foresights: height of the last point above the first.

    Source: level book arithmetic: N. N. Basak, Surveying and Levelling, 1994, chapter 5
    """
    return sum(backsights) - sum(foresights)


def rises_less_falls(rises: tuple[Length, ...], falls: tuple[Length, ...]) -> Length:
    """Sum of rises less sum of falls between consecutive readings from one instrument station.

    Source: level book arithmetic: N. N. Basak, Surveying and Levelling, 1994, chapter 5
    """
    return sum(rises) - sum(falls)


def last_less_first(last: Length, first: Length) -> Length:
    """Level of the last point less that of the first, by heights of instrument.

    Source: level book arithmetic: N. N. Basak, Surveying and Levelling, 1994, chapter 5
    """
    return last - first


@holds(lambda last, closing, allowed: abs(last - closing) <= allowed + 1e-9, MISCLOSED)
def misclosure_within(last: Length, closing: Length, allowed: Length) -> Length:
    """Misclosure: level of the last point as read, less its known level.

    Working: level of the last point as read, less its closing level
    Source: definition of the misclosure; closing level and what is allowed: user input
    """
    return last - closing


def misclosure(last: Length, closing: Length) -> Length:
    """Misclosure: level of the last point as read, less its known level.

    Source: definition of the misclosure; closing level: user input
    """
    return last - closing
