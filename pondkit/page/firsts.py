"""A first part for an empty list, of plain sizes, and a next one that goes on from the last. No streamlit."""

from collections.abc import Callable
from typing import Any, get_args

from pondkit.core.part import Part, ask_of, get
from pondkit.core.refusal import Refused
from pondkit.core.result import Path
from pondkit.core.units import FLOW, LENGTH, System, as_text, factor, system_of
from pondkit.geometry.shapes import Rectangle
from pondkit.project.project import Option, Project
from pondkit.study.choices import row_names
from pondkit.trades.animals.inputs import AnimalWayOut
from pondkit.trades.cost.inputs.items import items, units_of
from pondkit.trades.cost.inputs.rates import PriceLine
from pondkit.trades.earthwork.inputs.dig import Measured, Reading, Tape
from pondkit.trades.earthwork.inputs.earth import Berm
from pondkit.trades.lifting.inputs import ChartRow, Position
from pondkit.trades.liner.inputs import Burrow, Liner, Lining
from pondkit.trades.pools.inputs.links import Link
from pondkit.trades.pools.inputs.pool import Pit
from pondkit.trades.stone.inputs.stone import Boulder, Edging
from pondkit.trades.tunnels.inputs import Fitting, Run
from pondkit.trades.water.inputs.pumping import CurvePoint

Values = dict[str, Any]
FOOT = 0.3048  # m: how much deeper than the last tier a first pit is
SEAT = 0.1  # m: how far below the water a first edging sits
TAPED = 6.0  # m: how far a first tape line reaches to either side of the pool's middle


def short(text: str) -> str:
    """A quantity's text with one digit behind the point at most."""
    number, _, unit = text.partition(" ")
    return f"{round(float(number), 1):g} {unit}"


def first(project: Project, held: Path) -> Part:
    """A first part for an empty list: plain sizes, as its kind declares them, at what is drawn already."""
    kind = kind_of_items(type(get(project, held[:-1])), str(held[-1]))
    if kind in IN_A_POOL and not get(project, held[:2]).pools:
        raise Refused(f"A first {kind.title_of_part} lies at a pool, and there is none yet: draw a pool first.")
    name = kind.model_fields.get("name")
    named = {"name": kind.title_of_part} if name and name.is_required() else {}
    values = named | kind.first_values[0 if project.units == "us" else 1]
    if kind in BESIDE:
        values |= BESIDE[kind](project, get(project, held[:2]), held)
    return kind.model_validate(values, by_name=True)


def kind_of_items(holder: type[Part], name: str) -> type[Part]:
    """Which part a list holds."""
    for member in get_args(holder.model_fields[name].annotation):
        if isinstance(member, type) and issubclass(member, Part):
            return member
    raise ValueError(f"{name!r} of {holder.__name__} is no list of parts")


def _link(project: Project, option: Option, held: Path) -> Values:
    return {"from_": option.pools[0].name, "to": option.pools[-1].name, "at": option.pools[0].at}


def _pit(project: Project, option: Option, held: Path) -> Values:
    unit, length = ("ft", "in") if project.units == "us" else ("m", "cm")
    deepest = get(project, held[:-1]).tiers[-1].depth
    depth = short(as_text(deepest + FOOT, LENGTH, length, project.units))
    return {"at": [f"0 {unit}", f"0 {unit}"], "tiers": [{"zone": "pit", "depth": depth}]}


def _edging(project: Project, option: Option, held: Path) -> Values:
    base = as_text(option.pools[0].level - SEAT, LENGTH, "in" if project.units == "us" else "cm", project.units)
    return {"pool": option.pools[0].name, "base_level": short(base)}


def _position(project: Project, option: Option, held: Path) -> Values:
    """West of the first pool, the stones waiting behind the machine."""
    x, y = option.pools[0].at if option.pools else (0.0, 0.0)
    unit, away = ("ft", 9.144) if project.units == "us" else ("m", 9.0)
    stand, wait = (
        [short(as_text(value, LENGTH, unit, project.units)) for value in (x - out, y)] for out in (away, away * 1.5)
    )
    return {"at": stand, "pick_up": wait}


def _run(project: Project, option: Option, held: Path) -> Values:
    nodes = [node.name for node in option.tunnels.nodes] if option.tunnels else []
    return dict(zip(("from_", "to"), [*nodes, "?", "?"], strict=False))


def _measured(project: Project, option: Option, held: Path) -> Values:
    pool = option.pools[0]
    floor = pool.level - max(tier.depth for tier in pool.tiers)
    return {"pool": pool.name, "at": list(pool.at), "level": _text(floor, project)}


def _tape(project: Project, option: Option, held: Path) -> Values:
    """Across the first pool, from west to east."""
    x, y = option.pools[0].at
    start, end = ([_text(x + side * TAPED, project), y] for side in (-1, 1))
    return {"start": start, "end": end}


# What of a first part depends on what is drawn already.
BESIDE: dict[type[Part], Callable[[Project, Option, Path], Values]] = {
    Link: _link,
    Pit: _pit,
    Liner: lambda project, option, held: {"covers": [pool.name for pool in option.pools]},
    Burrow: lambda project, option, held: {"pool": option.pools[0].name, "zone": option.pools[0].tiers[0].zone},
    Boulder: lambda project, option, held: {"pool": option.pools[0].name if option.pools else None},
    Edging: _edging,
    Position: _position,
    Run: _run,
    Fitting: lambda project, option, held: {"pipe": get(project, held[:-1]).pipe},
    AnimalWayOut: lambda project, option, held: {"pool": option.pools[0].name, "at": list(option.pools[0].at)},
    Reading: lambda project, option, held: {"row": row_names(option)[0]},
    Measured: _measured,
    Tape: _tape,
}


# What cannot be without a pool.
IN_A_POOL = (Link, Liner, Burrow, Edging, AnimalWayOut, Reading, Measured, Tape)


def first_lining(option: Option) -> Lining:
    """A liner under all pools; none yet where there are no pools."""
    pools = tuple(pool.name for pool in option.pools)
    return Lining(liners=(Liner(name="liner", covers=pools),) if pools else ())


def first_crest(berm: Berm) -> Part:
    """A first outline for a berm: a box as long and wide as the straight one's top, as far as an outline may be so."""
    said = ask_of(Rectangle, "length")
    assert said is not None
    low, high = said.bound("low", LENGTH), said.bound("high", LENGTH)
    assert low is not None
    assert high is not None
    sides = (("length", berm.length), ("width", berm.top_width))
    return Rectangle.model_validate(
        {name: min(max(float(value), low), high) for name, value in sides}, context={"units": "si"}
    )


def _text(value: float, project: Project) -> str:
    """A length as text in the file's units, to a hundredth."""
    unit = "ft" if project.units == "us" else "m"
    number, _, unit = as_text(value, LENGTH, unit, project.units).partition(" ")
    return f"{round(float(number), 2):g} {unit}"


def following(last: tuple[Any, ...], system: System) -> Part:
    """The part behind the last of a list whose parts go on from each other: points of a curve, price lines, rows of
    a chart."""
    match last[-1]:
        case ChartRow():
            return _next_row(last[-1], system)
        case PriceLine():
            return _next_line(last, system)
        case _:
            return _next_point(last, system)


def _next_point(points: tuple[CurvePoint, ...], system: System) -> CurvePoint:
    """A point further down a pump's curve: as far on as the last two lie apart."""
    last, wide = points[-1], points[-1].flow - points[-2].flow if len(points) > 1 else 0.0
    flow, length = ("US gal/min", "ft") if system == "us" else ("L/min", "m")
    more = max(wide, 10 * factor(flow, FLOW, system))
    down = max(last.head * 0.75, 0.0)
    return CurvePoint.model_validate(
        {
            "flow": short(as_text(last.flow + more, FLOW, flow, system)),
            "head": short(as_text(down, LENGTH, length, system)),
        }
    )


def _next_line(lines: tuple[PriceLine, ...], system: System) -> PriceLine:
    """A line without a price for the first item that has none yet."""
    item = next((key for key in items() if key not in {line.item for line in lines}), lines[-1].item)
    fit = units_of(item)
    mine = [unit for unit in fit if system_of(f"1 {unit}") == system]
    return PriceLine(item=item, unit=mine[-1] if mine else fit[0])


def _next_row(last: ChartRow, system: System) -> ChartRow:
    """A row of the chart further out, without a load: none is made up."""
    unit = "ft" if system == "us" else "m"
    further = last.radius + 2 * factor(unit, LENGTH, system) / (1 if system == "us" else 4)
    return ChartRow.model_validate({"radius": short(as_text(further, LENGTH, unit, system)), "height": last.height})
