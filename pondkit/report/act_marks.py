"""What asks to be acted on, marked at its place on the plan: a pool, a stone, a mouth or den, a run, a penetration, a
wall, what is kept clear."""

from collections.abc import Iterator

from pondkit.core.caution import ACT, Caution
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.units import System
from pondkit.drawing import frame
from pondkit.drawing.say import say
from pondkit.study.evaluate import OptionResult

Spot = tuple[float, float]
MOST_TOLD = 3  # cautions that a mark tells of


def faults_at(result: OptionResult) -> dict[Spot, list[Caution]]:
    """Cautions to act on, by the place on the site that they belong to [m], each once at a place.

    Only of what the plan shows anyway, so that a drag waits for nothing more: pools, stone, passages, walls, and what
    is kept clear.
    """
    places = dict(_places(result))
    found: dict[Spot, list[Caution]] = {}
    stones = result.stone, result.bearing, result.seating, result.stone_on_works
    for part in (*result.pools, *stones, result.tunnels, result.walls, result.kept):
        for subject, each in _to_act_on(part) if part else ():
            spot = places.get(subject) or _beside(result, subject, places)
            if spot and each not in found.get(spot, ()):
                found.setdefault(spot, []).append(each)
    return found


@remembered
def _to_act_on(part: Result) -> tuple[tuple[str, Caution], ...]:
    """Cautions to act on of all figures, each with every subject that it is about."""
    return tuple(
        (subject, each)
        for _, figure in part.entries()
        for each in figure.cautions
        if isinstance(each, Caution) and each.rank == ACT
        for subject in each.about or (figure.subject,)
    )


def _beside(result: OptionResult, subject: str, places: dict[str, Spot]) -> Spot | None:
    """Where a figure of two things, "dig / keep-out", belongs: at what is kept clear, where it lies nearest to the
    other; else at the first of the two."""
    first, _, second = subject.partition(" / ")
    kept = [thing for thing in (result.kept.things if result.kept else ()) if thing.name == second]
    at = places.get(first.removeprefix("outer bank of "))
    if not kept:
        return at
    return kept[0].nearest(at or next(iter(places.values()), (0.0, 0.0)))


def _places(result: OptionResult) -> Iterator[tuple[str, Spot]]:
    """By its subject where a figure's part lies on the site [m]."""
    for pool in result.pools:
        yield pool.name, pool.surfaces.finished.pole
    for kind in result.stone.kinds if result.stone else ():
        for number, place in enumerate(kind.boulder.places, 1):
            at = float(place[0]), float(place[1])
            if number == 1:
                yield kind.boulder.name, at
            yield f"{kind.boulder.name} {number}", at
    for wall in result.option.walls.walls if result.option.walls else ():
        if wall.points:
            yield wall.name, (float(wall.points[0][0]), float(wall.points[0][1]))
    if result.option.earth and result.option.earth.berm:
        east, north = result.option.earth.berm.at
        yield "berm", (float(east), float(north))
    if result.tunnels:
        for name, start, end, _ in result.tunnels.lines:
            yield name, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        for node in result.tunnels.places:
            yield node[0], (node[-1][0], node[-1][1])
        for subject, spot in result.tunnels.passes:
            yield subject, (spot[0], spot[1])


def act_marks(
    result: OptionResult, unit: str, system: System, span: tuple[float, float, float, float]
) -> list[dict[str, object]]:
    """The marks as one trace, those within west, south, east, north [m]; none where nothing asks to be acted on."""
    west, south, east, north = span
    found = {(x, y): told for (x, y), told in faults_at(result).items() if west < x < east and south < y < north}
    if not found:
        return []
    one = frame.magnitude_of(unit)
    texts = ["<br>".join(frame.plain(say(each, system)) for each in told[:MOST_TOLD]) for told in found.values()]
    return [
        {
            "type": "scatter",
            "mode": "markers+text",
            "name": "to act on",
            "x": [x / one for x, _ in found],
            "y": [y / one for _, y in found],
            "text": ["!"] * len(found),
            "textposition": "middle center",
            "textfont": {"color": "#ffffff", "size": 13},
            "marker": {"symbol": "circle", "size": 18, "color": frame.MARK, "line": {"color": "#ffffff", "width": 1.5}},
            "hovertext": texts,
            "hoverinfo": "text",
            "cliponaxis": False,
        }
    ]
