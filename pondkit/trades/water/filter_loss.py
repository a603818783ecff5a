"""What the filter's bodies take of the head: the media bed, and the way from one body to the other."""

from typing import Any

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, total, within
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.core.water_properties import Fluid
from pondkit.solvers.friction import Resistance
from pondkit.trades.water.cautions import MEDIA_CLOG, PASSAGE_FAST, judged
from pondkit.trades.water.formulas.filters import (
    EDGE,
    ergun,
    filter_running_level,
    maker_loss,
    media_loss,
    media_size,
    passage_loss,
    passage_velocity,
)
from pondkit.trades.water.inputs.water import Filter
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, End
from pondkit.trades.water.results import FilterLossResult


def voids_of(drawn: Filter) -> Range:
    """Voids of the media with their range; never as far as nothing but voids."""
    typical, share = float(drawn.media_voids), float(drawn.media_voids_within)
    return within(typical, share, (1 + typical) / 2)


def at_end(voids: Range, end: End) -> float:
    """The voids at an end: where they are most, the bed takes least head."""
    return {LOW: voids.high, TYPICAL: voids.typical, HIGH: voids.low}[end]


def media_size_at(drawn: Filter, voids: float) -> float:
    """Size of the media as entered, or by their surface [m]."""
    return media_size(voids, drawn.media_surface) if drawn.media_size is None else float(drawn.media_size)


def resistances_of(drawn: Filter, water: Fluid, end: End = TYPICAL) -> tuple[Resistance, ...]:
    """What the opening and the media take, over the flow through the filter; ``end``: where the voids are most,
    they take least.
    """
    found = []
    open_part = at_end(voids_of(drawn), end)
    if drawn.passage_area is not None:
        found.append(Resistance(square=1 / (2 * GRAVITY * (EDGE * drawn.passage_area) ** 2)))
    if drawn.media_area is not None:
        area = float(drawn.media_area)
        bed = (
            ergun(drawn.media_depth, open_part, media_size_at(drawn, open_part), water.viscosity, GRAVITY)
            if drawn.maker_loss is None
            else Resistance(square=drawn.maker_loss / drawn.maker_rate**2)
        )
        found.append(Resistance(0.0, bed.linear / area, bed.square / area**2))
    return tuple(found)


def filter_loss(
    drawn: Filter, flow: float, water: Fluid, piped: tuple[Entry, ...], end: End = TYPICAL
) -> FilterLossResult:
    """Figures of the head that the filter takes.

    Args:
        drawn: As drawn.
        flow: Through it [m³/s], more than nothing.
        water: Its viscosity.
        piped: Losses of the pipe between its bodies.
        end: As the network was solved.
    """
    found: dict[str, Any] = {}
    taken = [*piped]
    if drawn.passage_area is not None:
        velocity = entry(passage_velocity, "", source=USER, flow=flow, passage_area=drawn.passage_area)
        velocity = judged(velocity, PASSAGE_FAST)
        lost = entry(passage_loss, "", passage_velocity=velocity, discharge_coefficient=EDGE, gravity=GRAVITY)
        found |= {"passage_velocity": velocity, "passage_loss": lost}
        taken.append(lost)
    if drawn.media_area is not None:
        found |= _media(drawn, flow / drawn.media_area, water, end)
        taken.append(found["media_loss"])
    if taken:
        whole = total("", taken, LENGTH)
        found["filter_loss"] = whole
        found["filter_running_level"] = entry(
            filter_running_level, "", source=USER, cautions=[MEDIA_CLOG()], level=drawn.level, filter_loss=whole
        )
    return FilterLossResult(**found)


def _media(drawn: Filter, rate: float, water: Fluid, end: End) -> dict[str, Entry]:
    if drawn.maker_loss is not None:
        return {
            "media_loss": entry(
                maker_loss, "", source=USER, rise_rate=rate, maker_loss=drawn.maker_loss, maker_rate=drawn.maker_rate
            )
        }
    voids = at_end(voids_of(drawn), end)
    size = (
        entry(media_size, "", source=USER, voids=voids, media_surface=drawn.media_surface)
        if drawn.media_size is None
        else input_entry("", drawn.media_size, LENGTH)
    )
    lost = entry(
        media_loss,
        "",
        source=USER,
        rise_rate=rate,
        media_depth=drawn.media_depth,
        voids=voids,
        media_size=size,
        viscosity=water.viscosity,
        gravity=GRAVITY,
    )
    return {"media_size": size, "media_loss": lost}


def passage_problem(drawn: Filter | None, piped: bool) -> list[Problem]:
    """An opening between bodies that are joined, and a pipe between bodies that stand apart, both at once."""
    if drawn is None or drawn.passage_area is None or not piped:
        return []
    return [
        Problem(
            ("water", "filter", "passage_area"),
            words("the filter's bodies have both an opening between them and a pipe"),
            words("an opening where they are joined, or a pipe where they stand apart"),
            words("take the opening or the passage out"),
        )
    ]
