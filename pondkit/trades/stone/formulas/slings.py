"""Relations of slings: rating in a hitch, pull, length. Angles are of the legs from the horizontal."""

import math

from pondkit.core.units import Angle, Count, Length, Mass, Ratio, Share


def sling_rated(tag_rating: Mass, hitch_share: Ratio, choke_share: Ratio) -> Mass:
    """What one sling may hold in this hitch, legs plumb.

    ``hitch_share`` is 1 where the tag prints a rating of this hitch: that one is not reduced a second time.

    Source: rating on the sling's tag
    """
    return tag_rating * hitch_share * choke_share


def sling_use(high_mass: Mass, load_share: Ratio, sling_rated: Mass, leg_angle: Angle) -> Share:
    """Pull in the sling that holds most, over its rating.

    Working: high mass of the stone × the share of the load on this sling, over its rating
        in this hitch × sine of the leg angle
    Source: NAVEDTRA 14080, bridle hitch: tension = load share / sine of the angle from the horizontal
    """
    return high_mass * load_share / (sling_rated * math.sin(math.radians(leg_angle)))


def leg_length(lengthwise: Length, crosswise: Length, leg_angle: Angle) -> Length:
    """One leg, from the stone up to the hook; the two distances are from under the hook to its foot.

    Working: root of the sum of both distances squared, over cosine of the leg angle
    Source: geometry
    """
    return math.hypot(lengthwise, crosswise) / math.cos(math.radians(leg_angle))


def straight_length(leg: Length) -> Length:
    """A straight pull: the leg itself.

    Source: geometry
    """
    return leg


def choker_length(middle: Length, shortest: Length, axes_factor: Ratio, leg: Length) -> Length:
    """Once round the stone's box, across its longest axis, and on to the hook.

    Source: geometry; the box is the most that the girth can be
    """
    return 2 * (middle + shortest) * axes_factor + leg


def basket_length(middle: Length, shortest: Length, axes_factor: Ratio, leg: Length) -> Length:
    """Under the stone's box and up both sides, across its longest axis, and both parts on to the hook.

    Source: geometry; the box is the most that the girth can be
    """
    return (middle + 2 * shortest) * axes_factor + 2 * leg


def sling_to_use(widths_that_hold: tuple[Length, ...]) -> Length:
    """The narrowest sling that holds: the easiest to work out from under a stone that is set.

    Source: least of the widths of the slings below the limit, long enough, enough of them, with their edges protected
    """
    return min(widths_that_hold)


def boulders_no_sling(kinds: Count, held: Count) -> Count:
    """Kinds of boulder that none of the slings holds.

    Source: count
    """
    return kinds - held
