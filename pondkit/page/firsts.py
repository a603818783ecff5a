"""A first part for an empty list, of plain sizes, and a next one that goes on from the last. No streamlit."""

from typing import Any

from pondkit.core.part import Part, ask_of, get
from pondkit.core.result import Path
from pondkit.core.units import FLOW, LENGTH, System, as_text, factor, system_of
from pondkit.geometry.shapes import Rectangle
from pondkit.project.project import Option, Project
from pondkit.study.choices import row_names
from pondkit.trades.animals.inputs import AnimalKind, AnimalWayOut
from pondkit.trades.clearances.inputs import KeepOut
from pondkit.trades.cost.inputs.items import items, units_of
from pondkit.trades.cost.inputs.rates import PriceLine
from pondkit.trades.earthwork.inputs.dig import Measured, Reading, Tape
from pondkit.trades.earthwork.inputs.earth import Berm
from pondkit.trades.lifting.inputs import ChartRow, Position
from pondkit.trades.liner.inputs import Burrow, Liner, Roll
from pondkit.trades.pools.inputs.links import Link
from pondkit.trades.pools.inputs.pool import Pit, Tier
from pondkit.trades.stone.inputs.slings import ChokeRow, Sling
from pondkit.trades.stone.inputs.stone import Boulder, Edging
from pondkit.trades.tunnels.inputs import Fitting, Node, OwnPipe, Run
from pondkit.trades.walls.inputs import Course, Wall
from pondkit.trades.water.inputs.pumping import Branch, CurvePoint, Pump


def short(text: str) -> str:
    """A quantity's text with one digit behind the point at most."""
    number, _, unit = text.partition(" ")
    return f"{round(float(number), 1):g} {unit}"


def first(project: Project, held: Path) -> Part:
    """A first part for an empty list, of plain sizes in the file's units."""
    us = project.units == "us"
    if held[0] == "site":
        return KeepOut.model_validate(
            {
                "name": "tree",
                "clearance": "10 ft" if us else "3 m",
                "points": [["20 ft", "20 ft"] if us else ["6 m", "6 m"]],
            }
        )
    option: Option = get(project, held[:2])
    pools = [pool.name for pool in option.pools]
    nodes = [node.name for node in option.tunnels.nodes] if option.tunnels else []
    match held[-1]:
        case "links":
            return Link.model_validate({"from": pools[0], "to": pools[-1], "at": option.pools[0].at}, by_alias=True)
        case "pits":
            pool = get(project, held[:-1])
            depth = as_text(pool.tiers[-1].depth + 0.3048, LENGTH, "in" if us else "cm", project.units)
            return Pit.model_validate(
                {"at": ["0 ft", "0 ft"] if us else ["0 m", "0 m"], "tiers": [{"zone": "pit", "depth": short(depth)}]}
            )
        case "liners":
            return Liner(name="liner", covers=tuple(pools))
        case "burrows":
            return Burrow(pool=pools[0], zone=option.pools[0].tiers[0].zone)
        case "rolls":
            return Roll.model_validate(
                {"name": "roll"}
                | ({"width": "20 ft", "length": "100 ft"} if us else {"width": "6 m", "length": "30 m"})
            )
        case "boulders":
            return Boulder.model_validate(
                {
                    "name": "boulder",
                    "axes": ["30 in", "24 in", "18 in"] if us else ["75 cm", "60 cm", "45 cm"],
                    "pool": pools[0],
                }
            )
        case "edging":
            base = as_text(option.pools[0].level - 0.1, LENGTH, "in" if us else "cm", project.units)
            return Edging.model_validate({"pool": pools[0], "base_level": short(base)})
        case "slings":
            return Sling.model_validate(
                {"name": "sling", "length": "8 ft", "width": "2 in"}
                if us
                else {"name": "sling", "length": "2.5 m", "width": "5 cm"}
            )
        case "choke":
            return ChokeRow()
        case "positions":
            x, y = option.pools[0].at
            unit, away = ("ft", 9.144) if us else ("m", 9.0)
            stand, wait = (
                [short(as_text(v, LENGTH, unit, project.units)) for v in (x - out, y)] for out in (away, away * 1.5)
            )
            return Position.model_validate({"name": "position", "at": stand, "pick_up": wait})
        case "walls":
            return Wall(name="wall", courses=(Course(),))
        case "courses":
            return Course()
        case "chart":
            return ChartRow.model_validate({"radius": "10 ft" if us else "3 m", "height": "0 ft" if us else "0 m"})
        case "nodes":
            return Node.model_validate(
                {"name": "mouth", "kind": "mouth", "at": ["0 ft", "0 ft", "-1 ft"] if us else ["0 m", "0 m", "-30 cm"]}
            )
        case "runs":
            ends = [*nodes, "?", "?"][:2]
            return Run.model_validate({"from": ends[0], "to": ends[1]}, by_alias=True)
        case "fittings":
            return Fitting.model_validate(
                {
                    "name": "elbow 90",
                    "pipe": option.tunnels.pipe if option.tunnels else "sch40 4 in",
                    "centre_to_stop": "3 in" if us else "75 mm",
                }
            )
        case "own_pipes":
            return OwnPipe.model_validate(
                {"name": "own pipe"}
                | ({"outside": "12 in", "bore": "11 in"} if us else {"outside": "30 cm", "bore": "28 cm"})
            )
        case "pumps":
            return Pump()
        case "branches":
            return Branch()
        case "curve":
            return CurvePoint.model_validate(
                {"flow": "0 US gal/min", "head": "10 ft"} if us else {"flow": "0 L/min", "head": "3 m"}
            )
        case "lines":
            return PriceLine(item="dig_volume", unit="yd^3" if us else "m^3")
        case "kinds":
            return AnimalKind(name="kind")
        case "ways_out":
            at = option.pools[0].at
            return AnimalWayOut.model_validate({"pool": pools[0], "at": list(at)})
        case "readings":
            return Reading.model_validate({"row": row_names(option)[0], "rod": "5 ft" if us else "1.5 m"})
        case "measured":
            pool = option.pools[0]
            return Measured.model_validate(
                {
                    "pool": pool.name,
                    "at": list(pool.at),
                    "level": _text(pool.level - max(t.depth for t in pool.tiers), project),
                }
            )
        case "tapes":
            pool, far = option.pools[0], 6.0
            over: list[list[object]] = [[_text(pool.at[0] + side * far, project), pool.at[1]] for side in (-1, 1)]
            return Tape.model_validate({"name": "line", "start": over[0], "end": over[1]})
        case "tiers":
            return Tier.model_validate({"zone": "shallow", "depth": "12 in" if us else "30 cm"})
        case _:
            raise ValueError(f"no first part is known for {held[-1]!r}")


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
