"""Charts of stone (masses of boulders, loads of slings, bearing pressures), each with its text in words, and the panels
that show them.
"""

from typing import Any

from pondkit.core.entry import Entry
from pondkit.core.units import LENGTH, MASS, PRESSURE, SHARE, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure, Panel, keys
from pondkit.drawing.rows import say, unit_of
from pondkit.drawing.traces import spread
from pondkit.trades.stone.results import BearingResult, SlingsResult, StoneResult

MASS_KEY = "boulder_mass"
MASS_ROOM = 1.45  # width of the picture over the longest bar: the label of the heaviest stands beside it


def masses(stones: StoneResult | None, system: System) -> Figure | None:
    """Bar chart of the mass of one boulder of each kind with its range, heaviest first and marked; None if there are
    none.

    Args:
        stones: Result of the stone; None if there is none.
        system: Unit system displayed.
    """
    kinds = _heaviest_first(stones)
    if not kinds:
        return None
    unit = _unit(kinds, system)
    typical, low, high = ([magnitude(value, MASS, unit) for value in values] for values in _ranges(kinds))
    most = max(high)
    heaviest = {
        "x": high[0],
        "y": 0,
        "text": f"heaviest: up to {show(kinds[0].most, MASS, system, unit)}",
        "showarrow": False,
        "xanchor": "left",
        "xshift": 10,
        "font": {"size": 13, "color": frame.MARK},
    }
    counts = {figure.subject: figure.value for figure in stones.boulder_count} if stones else {}
    bars = {
        "type": "bar",
        "orientation": "h",
        "x": [round(v, 3) for v in typical],
        "y": list(range(len(kinds))),
        "name": "",
        "marker": {"color": [frame.MARK if index == 0 else frame.STONE for index in range(len(kinds))]},
        "width": 0.6,
        "error_x": spread(low, typical, high),
        "hovertext": [frame.plain(_mass_text(kind, counts[kind.subject], unit, system)) for kind in kinds],
        "hoverinfo": "text",
    }
    names = [f"{frame.plain(kind.subject)} × {counts[kind.subject]:g}" for kind in kinds]
    return frame.figure(
        [bars],
        x={"title": frame.title("mass of one, dry", unit), "range": [0, most * MASS_ROOM or 1]},
        y=frame.row_axis(names),
        annotations=[heaviest],
    )


def alt_masses(stones: StoneResult | None, system: System) -> str:
    """The boulder masses in words."""
    kinds = _heaviest_first(stones)
    if not kinds:
        return "No boulders."
    counts = {figure.subject: figure.value for figure in stones.boulder_count} if stones else {}
    unit = _unit(kinds, system)
    text = "; ".join(_mass_text(kind, counts[kind.subject], unit, system) for kind in kinds)
    return f"Mass of one boulder of each kind, heaviest first: {text}."


def _heaviest_first(stones: StoneResult | None) -> list[Entry]:
    return sorted(stones.boulder_mass if stones else (), key=lambda mass: -mass.most)


def _unit(kinds: list[Entry], system: System) -> str:
    return unit_of(MASS_KEY, kinds[0].value, kinds[0], system) if kinds else ""


def _ranges(kinds: list[Entry]) -> tuple[list[float], list[float], list[float]]:
    """(typical, low, high) mass of one boulder of each kind [kg]."""
    return [kind.value for kind in kinds], [kind.least for kind in kinds], [kind.most for kind in kinds]


def _mass_text(kind: Entry, count: float, unit: str, system: System) -> str:
    low, typical, high = (show(value, MASS, system, unit) for value in (kind.least, kind.value, kind.most))
    return f"{kind.subject} ({count:g}): {typical} each, {low} to {high}"


SYMBOLS = ("circle", "square", "diamond", "triangle-up", "cross", "star")
PER_CENT = "%"
SLING_ROOM = 1.1  # width of the picture over the greatest load


def _boulder_and_sling(figure: Entry) -> tuple[str, str]:
    """(kind of boulder, sling) in the subject of a figure."""
    boulder, _, sling = figure.subject.rpartition(" / ")
    return boulder, sling


def sling_loads(result: SlingsResult | None, system: System) -> Figure | None:
    """Chart of the load of every sling with every boulder at its high mass, in percent of its rated capacity. A sling
    with a caution has a hollow marker. None if no sling is computed.

    Args:
        result: Result of the slings; None if there are none.
        system: Unit system displayed.
    """
    if result is None or not result.sling_use:
        return None
    boulders = list(dict.fromkeys(_boulder_and_sling(figure)[0] for figure in result.sling_use))
    slings = list(dict.fromkeys(_boulder_and_sling(figure)[1] for figure in result.sling_use))
    data = [_sling_markers(result, sling, number, boulders, system) for number, sling in enumerate(slings)]
    limit = magnitude(result.limit, SHARE, PER_CENT, system)
    full = magnitude(1.0, SHARE, PER_CENT, system)
    most = max(full, *(magnitude(figure.value, SHARE, PER_CENT, system) for figure in result.sling_use))
    rows = (-0.5, len(boulders) - 0.5)
    return frame.figure(
        data,
        x={"title": frame.title("sling load, of its rated capacity", PER_CENT), "range": [0, most * SLING_ROOM]},
        y=frame.row_axis([frame.plain(name) for name in boulders], above=1.0, grid=True),
        shapes=[
            frame.straight((limit, limit), rows, frame.FAINT, 1.5, dash="dash"),
            frame.straight((full, full), rows, frame.MARK, 1.5, dash="solid"),
        ],
        annotations=[
            frame.note(limit, -0.5, "own limit ", 11, frame.INK, yanchor="bottom", xanchor="right"),
            frame.note(full, -0.5, " rating", 11, frame.MARK, yanchor="bottom", xanchor="left"),
        ],
        showlegend=True,
        legend=frame.legend_above(),
    )


def _sling_markers(
    slings: SlingsResult, sling: str, number: int, boulders: list[str], system: System
) -> dict[str, Any]:
    """Markers of one sling's load with every boulder; its number chooses symbol and colour."""
    figures = [figure for figure in slings.sling_use if _boulder_and_sling(figure)[1] == sling]
    symbol = SYMBOLS[number % len(SYMBOLS)]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": frame.plain(sling),
        "hoverinfo": "text",
        "x": [round(magnitude(figure.value, SHARE, PER_CENT, system), 2) for figure in figures],
        "y": [boulders.index(_boulder_and_sling(figure)[0]) for figure in figures],
        "hovertext": [frame.plain(_use_text(figure, system)) for figure in figures],
        "marker": {
            "size": 12,
            "color": frame.INK if not number % 2 else frame.PIPE,
            "line": {"width": 1.5},
            "symbol": [symbol + ("-open" if figure.cautions else "") for figure in figures],
        },
    }


def alt_sling_loads(slings: SlingsResult | None, system: System) -> str:
    """The slings in words: which to use for each boulder, then all loads."""
    if slings is None or not slings.sling_use:
        return "No sling loads computed."
    widths = "; ".join(
        f"{boulder}: {sling}, {show(figure.value, LENGTH, system)} wide"
        for figure in slings.sling_to_use
        for boulder, sling in [_boulder_and_sling(figure)]
    )
    every = "; ".join(_use_text(figure, system) for figure in slings.sling_use)
    return f"Loads of slings, of their rated capacities. Sling to use: {widths or 'none'}. All: {every}."


def _use_text(figure: Entry, system: System) -> str:
    boulder, sling = _boulder_and_sling(figure)
    notes = " ".join(say(caution, system) for caution in figure.cautions)
    return f"{boulder} in {sling}: {show(figure.value, SHARE, system)}" + (f" ({notes})" if notes else "")


PRESSURE_KEY = "bearing_pressure"
PRESSURE_ROOM = 1.15  # width of the picture over the greatest pressure
OFF_ROW = 0.18  # of a row: contact pressure stands above its middle, pressure under the bedding below


def pressures(bearing: BearingResult | None, system: System) -> Figure | None:
    """Chart of the contact pressure of each kind of boulder and of the pressure under its bedding, each over the range
    of the share in contact; None if there are none.

    Args:
        bearing: Result of the bearing; None if there is none.
        system: Unit system displayed.
    """
    if bearing is None or bearing.bearing_allowed is None or not bearing.bearing_pressure:
        return None
    unit = unit_of(PRESSURE_KEY, bearing.bearing_allowed.value, bearing.bearing_allowed, system)
    names = [figure.subject for figure in bearing.bearing_pressure]
    data = [
        _pressure_markers(
            bearing.contact_pressure, "contact pressure", -OFF_ROW, frame.FAINT, "diamond-open", unit, system
        ),
        _pressure_markers(bearing.bearing_pressure, "under the bedding", OFF_ROW, frame.INK, "circle", unit, system),
    ]
    allowed = magnitude(bearing.bearing_allowed.value, PRESSURE, unit, system)
    most = max(
        allowed,
        *(magnitude(f.most, PRESSURE, unit, system) for f in (*bearing.contact_pressure, *bearing.bearing_pressure)),
    )
    return frame.figure(
        data,
        x={"title": frame.title("pressure", unit), "range": [0, most * PRESSURE_ROOM]},
        y=frame.row_axis([frame.plain(name) for name in names], above=1.0),
        shapes=[frame.straight((allowed, allowed), (-0.6, len(names) - 0.5), frame.MARK, 2)],
        annotations=[frame.note(allowed, -1.0, " allowed", 12, frame.MARK, yanchor="top", xanchor="left")],
        showlegend=True,
        legend=frame.legend_above(),
    )


def _pressure_markers(
    figures: tuple[Entry, ...], name: str, off_row: float, colour: str, symbol: str, unit: str, system: System
) -> dict[str, Any]:
    typical, low, high = (
        [round(magnitude(value, PRESSURE, unit, system), 2) for value in values]
        for values in ([f.value for f in figures], [f.least for f in figures], [f.most for f in figures])
    )
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": typical,
        "y": [row + off_row for row in range(len(figures))],
        "marker": {"size": 11, "color": colour, "symbol": symbol, "line": {"width": 1.5}},
        "hoverinfo": "text",
        "hovertext": [frame.plain(f"{f.subject}, {name}: {_range_text(f, system)}") for f in figures],
        "error_x": {
            "type": "data",
            "symmetric": False,
            "array": [round(b - a, 2) for a, b in zip(typical, high, strict=True)],
            "arrayminus": [round(a - b, 2) for a, b in zip(typical, low, strict=True)],
            "color": colour,
            "thickness": 1.8,
            "width": 6,
        },
    }


def _range_text(figure: Entry, system: System) -> str:
    low, high = show(figure.least, PRESSURE, system), show(figure.most, PRESSURE, system)
    return low if low == high else f"{low} to {high}"


def alt_pressures(bearing: BearingResult | None, system: System) -> str:
    """The bearing in words."""
    if bearing is None or bearing.bearing_allowed is None:
        return "No bearing computed."
    lines = [
        f"{pressure.subject}: contact pressure {_range_text(contact, system)}, {_range_text(pressure, system)} under "
        f"its bedding; {show(needed.value, LENGTH, system)} of bedding is enough"
        for contact, pressure, needed in zip(
            bearing.contact_pressure, bearing.bearing_pressure, bearing.bedding_needed, strict=True
        )
    ]
    return f"The ground may bear {show(bearing.bearing_allowed.value, PRESSURE, system)}. " + "; ".join(lines) + "."


PANELS = (
    Panel(
        "Boulder masses",
        "Stone",
        masses,
        alt_masses,
        ("stone",),
        ("stone",),
        keys(
            "boulder_mass boulder_count heaviest_boulder stand_spare boulders_overlapping boulders_on_works "
            "boulders_order edging_count edging_mass stone_order"
        ),
    ),
    Panel(
        "Slings",
        "Stone",
        sling_loads,
        alt_sling_loads,
        ("slings",),
        ("slings",),
        keys("boulders_no_sling sling_to_use sling_use sling_length_needed leg_length sling_rated"),
        300,
    ),
    Panel(
        "Bearing",
        "Stone",
        pressures,
        alt_pressures,
        ("bearing",),
        ("bearing",),
        keys(
            "bearing_allowed bearing_use bearing_load contact_pressure bearing_pressure bedding_needed shelf_spare "
            "bed_level bedding_volume bedding_order"
        ),
        300,
    ),
)
BESIDE = {
    "Stone": keys(
        "heaviest_boulder boulder_mass stand_spare sling_to_use boulders_no_sling stone_displaced boulders_order "
        "edging_count edging_order stone_order total_stone_loads"
    ),
}
