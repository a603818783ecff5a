"""Relations of levelling with an instrument and a rod."""

from pondkit.core.entry import holds
from pondkit.core.units import Length
from pondkit.trades.earthwork.cautions import OVER_LINE_OF_SIGHT, ROD_UPSIDE_DOWN


@holds(lambda backsight: backsight >= 0, ROD_UPSIDE_DOWN)
def height_of_instrument(benchmark: Length, backsight: Length, datum: Length) -> Length:
    """Level of the line of sight above the site datum, where the benchmark is counted from elsewhere.

    Source: level book, height of instrument = reduced level + backsight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return benchmark + backsight - datum


def height_as_entered(height: Length, datum: Length) -> Length:
    """Level of the line of sight above the site datum, where it is known without a backsight.

    Source: user input
    """
    return height - datum


def level_drawn(level: Length) -> Length:
    """A level of the drawing above the site datum; low and high are its tolerance.

    Working: the pool's level less the depth of the surface, or as drawn
    Source: the drawing
    """
    return level


@holds(lambda height_of_instrument, level: level <= height_of_instrument, OVER_LINE_OF_SIGHT)
def rod_reading(height_of_instrument: Length, level: Length) -> Length:
    """What the rod reads on a level.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - level


@holds(lambda rod: rod >= 0, ROD_UPSIDE_DOWN)
def cut_to_level(height_of_instrument: Length, rod: Length, level: Length) -> Length:
    """How far the ground under the rod stands above the level drawn; negative where it lies below.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - rod - level
