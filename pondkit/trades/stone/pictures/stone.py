"""Boulder masses as bars with their ranges. Where boulders and edging lie is drawn by the plan."""

from pondkit.core.entry import Entry
from pondkit.core.units import MASS, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.rows import unit_of
from pondkit.drawing.traces import spread
from pondkit.trades.stone.results import StoneResult

KEY = "boulder_mass"
ROOM = 1.45  # width of the picture over the longest bar: the label of the heaviest stands behind it


def masses(stones: StoneResult | None, system: System) -> Figure | None:
    """Mass of one boulder of each kind, heaviest first: bar typical, whisker low to high, the heaviest marked.

    Args:
        stones: The stone worked out; None without any.
        system: Units on show.
    """
    kinds = _heaviest_first(stones)
    if not kinds:
        return None
    unit = _unit(kinds, system)
    typical, low, high = ([magnitude(value, MASS, unit) for value in values] for values in _spans(kinds))
    most = max(high, default=0.0)
    notes = []
    if kinds:
        notes.append(
            {
                "x": high[0],
                "y": 0,
                "text": f"heaviest: up to {show(kinds[0].most, MASS, system, unit)}",
                "showarrow": False,
                "xanchor": "left",
                "xshift": 10,
                "font": {"size": 13, "color": frame.MARK},
            }
        )
    counts = {figure.subject: figure.value for figure in stones.boulder_count} if stones else {}
    bars = {
        "type": "bar",
        "orientation": "h",
        "x": [round(v, 3) for v in typical],
        "y": list(range(len(kinds))),
        "name": "",
        "marker": {"color": [frame.MARK if at == 0 else frame.STONE for at in range(len(kinds))]},
        "width": 0.6,
        "error_x": spread(low, typical, high),
        "hovertext": [frame.plain(_said(kind, counts[kind.subject], unit, system)) for kind in kinds],
        "hoverinfo": "text",
    }
    names = [f"{frame.plain(kind.subject)} × {counts[kind.subject]:g}" for kind in kinds]
    return frame.figure(
        [bars] if kinds else [],
        x={"title": frame.title("mass of one, dry", unit), "range": [0, most * ROOM or 1]},
        y={
            "tickvals": list(range(len(kinds))),
            "ticktext": names,
            "range": [len(kinds) - 0.5, -0.5],
            "automargin": True,
            "ticks": "",
            "showgrid": False,
        },
        annotations=notes,
    )


def alt_masses(stones: StoneResult | None, system: System) -> str:
    """The boulder masses in words."""
    kinds = _heaviest_first(stones)
    if not kinds:
        return "No boulders."
    counts = {figure.subject: figure.value for figure in stones.boulder_count} if stones else {}
    unit = _unit(kinds, system)
    said = "; ".join(_said(kind, counts[kind.subject], unit, system) for kind in kinds)
    return f"Mass of one boulder of each kind, heaviest first: {said}."


def _heaviest_first(stones: StoneResult | None) -> list[Entry]:
    return sorted(stones.boulder_mass if stones else (), key=lambda mass: -mass.most)


def _unit(kinds: list[Entry], system: System) -> str:
    return unit_of(KEY, kinds[0].value, kinds[0], system) if kinds else ""


def _spans(kinds: list[Entry]) -> tuple[list[float], list[float], list[float]]:
    return [kind.value for kind in kinds], [kind.least for kind in kinds], [kind.most for kind in kinds]


def _said(kind: Entry, count: float, unit: str, system: System) -> str:
    low, typical, high = (show(value, MASS, system, unit) for value in (kind.least, kind.value, kind.most))
    return f"{kind.subject} ({count:g}): {typical} each, {low} to {high}"
