"""Stone as it comes: each class in the order in which it is set, with its loads, as a picture and as a table for the
prints."""

from collections.abc import Iterator

from pondkit.core.entry import Entry
from pondkit.core.units import MASS, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.blocks import Block, table
from pondkit.drawing.frame import Figure
from pondkit.drawing.rows import row_of, unit_of
from pondkit.drawing.traces import spread
from pondkit.trades.earthwork.results.excavation import HaulResult, StoneClass

KEY = "class_mass"
ROOM = 1.5  # width of the picture over the longest bar: its loads are written behind it
HEAD = ("Order", "What", "How many", "Mass", "Low to high", "Load limit", "Loads")


def loads(haul: HaulResult | None, system: System) -> Figure | None:
    """Mass of each class in turn, bar typical and whisker low to high, its loads written behind it; None without any.

    Args:
        haul: Stone by class; None where it is not asked for.
        system: Units on show.
    """
    classes = haul.classes if haul else ()
    if not classes:
        return None
    masses = [each.class_mass for each in classes]
    unit = _unit(masses, system)
    typical, low, high = (
        [magnitude(value, MASS, unit) for value in values]
        for values in ([m.value for m in masses], [m.least for m in masses], [m.most for m in masses])
    )
    rows = list(range(len(classes)))
    bars = {
        "type": "bar",
        "orientation": "h",
        "x": [round(value, 3) for value in typical],
        "y": rows,
        "width": 0.6,
        "marker": {"color": frame.STONE},
        "error_x": spread(low, typical, high),
        "hovertext": [frame.plain(_said(each, system)) for each in classes],
        "hoverinfo": "text",
    }
    notes = [
        {
            "x": end,
            "y": row,
            "text": frame.plain(_loads(each, system)),
            "showarrow": False,
            "xanchor": "left",
            "xshift": 10,
            "font": {"size": 12, "color": frame.MARK if _too_heavy(each) else frame.INK},
        }
        for row, end, each in zip(rows, high, classes, strict=True)
    ]
    return frame.figure(
        [bars],
        x={"title": frame.title("mass of the class, dry", unit), "range": [0, max(high) * ROOM or 1]},
        y={
            "tickvals": rows,
            "ticktext": [
                f"{row + 1} · {frame.plain(each.class_mass.subject)}" for row, each in zip(rows, classes, strict=True)
            ],
            "range": [len(classes) - 0.5, -0.5],
            "automargin": True,
            "ticks": "",
            "showgrid": False,
        },
        annotations=notes,
    )


def alt_loads(haul: HaulResult | None, system: System) -> str:
    """The stone as it comes, in words."""
    if haul is None or not haul.classes:
        return "No stone to haul."
    text = "; ".join(f"{at}. {_said(each, system)}" for at, each in enumerate(haul.classes, 1))
    return f"Stone in the order in which it is set: {text}."


def printed(haul: HaulResult | None, system: System) -> tuple[Block, ...]:
    """The classes in turn, as a table of a paper; nothing without any."""
    return table(HEAD, _lines(haul, system), (0, 2, 3, 4, 5, 6))


def _lines(haul: HaulResult | None, system: System) -> Iterator[tuple[str, ...]]:
    for each in haul.classes if haul else ():
        mass = row_of("", "", KEY, each.class_mass, system)
        yield (
            f"{each.delivery_turn.value:g}",
            each.class_mass.subject,
            "" if each.count is None else f"{each.count:g}",
            mass.text,
            mass.range_text,
            _takes(each, system),
            _how_many(each, system),
        )


def _takes(each: StoneClass, system: System) -> str:
    if each.pieces_per_load:
        return f"{each.pieces_per_load.value:g}" if each.pieces_per_load.value else "none: too heavy or large"
    return row_of("", "", "volume_per_load", each.volume_per_load, system).text if each.volume_per_load else ""


def _how_many(each: StoneClass, system: System) -> str:
    if each.stone_loads is None:
        return ""
    row = row_of("", "", "stone_loads", each.stone_loads, system)
    return row.range_text or row.text


def _loads(each: StoneClass, system: System) -> str:
    if _too_heavy(each):
        return "more than this truck takes"
    many = _how_many(each, system)
    return f"{many} {'load' if many == '1' else 'loads'}, up to {_takes(each, system)} each" if many else ""


def _too_heavy(each: StoneClass) -> bool:
    return each.pieces_per_load is not None and each.pieces_per_load.value == 0


def _said(each: StoneClass, system: System) -> str:
    mass = each.class_mass
    unit = _unit([mass], system)
    low, high = (show(value, MASS, system, unit) for value in (mass.least, mass.most))
    behind = _loads(each, system)
    many = "" if each.count is None else f" ({each.count:g})"
    return f"{mass.subject}{many}, {low} to {high}{f', {behind}' if behind else ''}"


def _unit(masses: list[Entry], system: System) -> str:
    return unit_of(KEY, masses[0].value, masses[0], system)
