"""Conversion of a hand-drawn line to an outline: closed, its ends trimmed, smoothed to few points within a stated
tolerance.
"""

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.outline import LEAST_AREA, Array, NoOutline, crossing, through

SHARE = 0.01  # of the stroke's greatest extent: tolerance of the smooth outline
TRIMMED = 0.1  # of the enclosed area: loops up to this, such as ends that overlap, are cut off
FEWEST, MOST = 5, 40  # points of a smooth outline
SAMPLES = 240  # number of places along the stroke
BESIDE = 3  # number of them on either side averaged for a point
PHASES = 4  # starting positions tried for each number of points
AGAIN = Words("draw it again without crossing, or take its last points away with the Backspace key")


def tolerance_of(stroke: Array) -> float:
    """Tolerance of a smooth outline against its stroke [m]: ``SHARE`` of the stroke's greatest extent."""
    return SHARE * float(np.ptp(stroke, axis=0).max()) if len(stroke) else 0.0


def ring_of(stroke: Array) -> Polygon:
    """Area enclosed by a stroke: closed straight from its end to its start, small loops cut off.

    Args:
        stroke: Places in the order drawn, shape (n, 2) [m].
    Raises: NoOutline if it encloses no area, or crosses itself so that it encloses two.
    """
    nothing = words("the line goes round no area"), words("a line round some area"), words("draw it round the water")
    if len(stroke) < 3 or len(np.unique(stroke, axis=0)) < 3:
        raise NoOutline(*nothing)
    line = LineString(np.vstack([stroke, stroke[:1]]))
    crossed = shapely.node(line)
    faces = sorted(shapely.polygonize([crossed]).geoms, key=lambda face: -face.area)
    if not faces or faces[0].area < LEAST_AREA:
        raise NoOutline(*nothing)
    if sum(face.area for face in faces[1:]) > TRIMMED * faces[0].area:
        x, y = faces[1].exterior.intersection(faces[0].exterior).representative_point().coords[0]
        text = "the line crosses itself near {east} east, {north} north"
        raise NoOutline(words(text, east=(x, LENGTH), north=(y, LENGTH)), mend=AGAIN)
    return Polygon(faces[0].exterior)


def uncrossed(points: Array) -> Array:
    """Points set one by one, unchanged.

    Raises: NoOutline if the smooth curve through them crosses itself or encloses no area.
    """
    curve = Polygon(through(points, smooth=True))
    if not curve.is_valid:
        raise NoOutline(crossing(curve, "the line crosses itself near {east} east, {north} north"), mend=AGAIN)
    ring_of(points)
    return points


def thinned(stroke: Array) -> Array:
    """Corners of a stroke required to stay within its tolerance, shape (k, 2) [m].

    Raises: NoOutline, see ``ring_of``.
    """
    ring = ring_of(stroke)
    return np.asarray(ring.simplify(tolerance_of(stroke)).exterior.coords[:-1], dtype=float)


def smoothed(stroke: Array) -> Array:
    """The fewest evenly spaced points whose smooth curve is within the stroke's tolerance, shape (k, 2) [m].

    Each point is the mean of the stroke near it, so that a trembling hand does not show. If ``MOST`` points are not
    within the tolerance, as at sharp corners, they are returned nevertheless.

    Raises: NoOutline, see ``ring_of``.
    """
    ring, allowed = ring_of(stroke), tolerance_of(stroke)
    line = ring.exterior
    even = shapely.get_coordinates(line.interpolate(np.linspace(0.0, line.length, SAMPLES, endpoint=False)))
    sampled = Polygon(even).exterior
    best: tuple[float, Array] | None = None
    for count in range(FEWEST, MOST + 1):
        for phase in range(PHASES):
            points = _means(even, count, phase / PHASES)
            away = _away(points, sampled)
            if best is None or away < best[0]:
                best = away, points
        if best is not None and best[0] <= allowed:
            break
    assert best is not None
    return best[1]


def _means(even: Array, count: int, phase: float) -> Array:
    """Points at equal steps along a line, each the mean of the places next to it."""
    step, near = len(even) / count, np.arange(-BESIDE, BESIDE + 1)
    middles = np.rint((np.arange(count) + phase) * step).astype(int)
    return np.asarray(even[(middles[:, None] + near[None, :]) % len(even)].mean(axis=1))


def _away(points: Array, line: shapely.LinearRing) -> float:
    """Distance between the smooth curve through points and a line [m]; infinite if the curve crosses itself."""
    curve = Polygon(through(points, smooth=True))
    return float(shapely.hausdorff_distance(curve.exterior, line)) if curve.is_valid else np.inf
