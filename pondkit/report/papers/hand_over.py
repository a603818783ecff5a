"""The record for the person who keeps the pond: as built beside as designed, buried parts, operation,
upkeep by month.
"""

from collections.abc import Iterator

from pondkit.core.caution import REMINDER
from pondkit.core.tables import table as reference
from pondkit.core.units import LENGTH, TIME, show
from pondkit.drawing.blocks import BLANK, Block, Items, Room, Signature, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.charts import charted
from pondkit.drawing.frame import PLAN_UNIT
from pondkit.drawing.rows import TAPE_PLACES, FigureRow, by_tape, fixed
from pondkit.project.project import MONTHS
from pondkit.report.papers.drawings import liner_blocks, plan_blocks
from pondkit.report.papers.sheet import Sheet, node_called
from pondkit.trades.earthwork.compute.setting_out import ties
from pondkit.trades.earthwork.pictures import levels
from pondkit.trades.water import pictures as flows
from pondkit.trades.water.inputs.water import Water

DAY = 24 * 3600.0  # s
COMMON = "common practice, no source"
NO_SOURCE = f"Lines without a source are {COMMON}."
RUNS = ("totals", "water", "intake", "levels", "falls", "filter", "turnover", "animals", "tunnels")
PRODUCTS = (
    ("Liner", "lining"),
    ("Underlay and overlay", "lining"),
    ("Pumps", "water"),
    ("Filter and media", "water"),
    ("Valves and pipe", "water"),
    ("Passage pipe and gates", "tunnels"),
    ("Fault protection and switches", "water"),
)


def hand_over(sheet: Sheet) -> Iterator[Block]:
    """Figures as designed, with room beside them for those as built."""
    result, units = sheet.result, sheet.units
    yield Text("Drawn figures: write what was built beside them.", look="small")
    yield from titled("Plan", plan_blocks(sheet, Room(sheet.room.wide, sheet.room.high * 0.6), "client"))
    dig_levels = result.dig.levels if result.dig else None
    yield from titled("Levels, above the site datum", levels.drawn_levels(result.pools, dig_levels, units, "As built"))
    yield from _liners(sheet)
    yield from titled("Buried pipe and penetrations", _buried(sheet))
    yield from titled("Valves, pumps and switches", _switches(sheet))
    yield from titled("To stop and to start", _steps(sheet))
    yield from titled("Where the water goes", _running(sheet))
    yield from titled("Products and guarantees", _products(sheet))
    yield from titled("The first weeks", _first_weeks(sheet))
    yield from titled("Upkeep by month", _upkeep(sheet))
    reminders = sheet.heeded(RUNS, REMINDER, named=_runs)
    yield from titled("To keep in mind", (Items(tuple(reminders), kept=True),) if reminders else ())
    yield Signature((sheet.site.job.firm.name or "Handed over by", sheet.site.job.client or "Taken over by"))


def _runs(row: FigureRow) -> str:
    """Label of the figure that a reminder belongs to; "" for a figure of the whole option, where the text is enough."""
    return "" if row.group == "totals" else row.label


def _liners(sheet: Sheet) -> Iterator[Block]:
    """Each liner flat, and its seams."""
    result, units = sheet.result, sheet.units
    rows = []
    for index, liner in enumerate(result.lining.liners if result.lining else ()):
        room = Room(sheet.room.wide, sheet.room.high * 0.45)
        yield from titled(f"Liner: {liner.name}", liner_blocks(sheet, index, room))
        for number, seam in enumerate(liner.panels.seams, 1):
            depth = by_tape(seam.depth, units) if seam.depth > 0 else "above water"
            runs = "along its length" if seam.along else "across it"
            rows.append((f"{liner.name}, seam {number}", runs, by_tape(seam.place, units), depth, BLANK))
    head = ("Liner, seam", "Runs", "From the liner's corner", "Depth under water", "As built")
    yield from titled("Seams", tabled(head, rows, (2, 3)), level=2)


def _buried(sheet: Sheet) -> Iterator[Block]:
    """Nodes and penetrations, each with its place and two ties to fixed points; the ties are blank if
    there are none.
    """
    pipes, units = sheet.result.tunnels, sheet.units
    fixed_points = _fixed(sheet)
    unit, places = PLAN_UNIT[units], TAPE_PLACES[units]
    spots = []
    if pipes is not None:
        spots = [(node_called(name, kind), place) for name, kind, place in pipes.places]
        wide = {
            each.subject: show(each.value, LENGTH, units, {"us": "in", "si": "mm"}[units])
            for each in pipes.penetrations.penetration_size
        }
        through = pipes.penetration_places
        spots += [(f"through the liner: {name}, pipe {wide[name]} outside", place) for name, place in through]
    rows = []
    for name, place in spots:
        tied = ties((float(place[0]), float(place[1])), fixed_points)
        tie_texts = [f"{fixed(tie.length, unit, places)} from {tie.name}" for tie in tied or ()] or [BLANK, BLANK]
        rows.append((name, *(fixed(float(value), unit, places) for value in place), *tie_texts, BLANK))
    head = (
        "What",
        f"East, {unit}",
        f"North, {unit}",
        f"Level, {unit}",
        f"First tie, {unit}",
        f"Second tie, {unit}",
        "As built",
    )
    yield from tabled(head, rows, (1, 2, 3))
    corners = [(name, *(fixed(value, unit, places) for value in place)) for name, place in fixed_points]
    if rows:
        yield from titled(
            "Fixed points that ties are measured from",
            tabled(("Point, from the site's origin", f"East, {unit}", f"North, {unit}"), corners, (1, 2)),
            level=2,
        )


def _fixed(sheet: Sheet) -> list[tuple[str, tuple[float, float]]]:
    """Corners of the site's buildings: (name with number, place [m])."""
    buildings = [thing for thing in sheet.site.keep_outs if thing.kind == "building"]
    return [
        (f"{thing.name}, corner {number}", (float(point[0]), float(point[1])))
        for thing in buildings
        for number, point in enumerate(thing.points, 1)
    ]


def _switches(sheet: Sheet) -> tuple[Block, ...]:
    water, pipes = sheet.result.option.water, sheet.result.tunnels
    rows = []
    for pump in water.pumps if water else ():
        rows.append((f"{pump.name}: switch and fault protection", _hours(water, sheet) if pump.running else "off"))
        if pump.check_valve:
            rows.append((f"Check valve of {pump.name}", "opens by itself"))
    for line in water.branches if water else ():
        if line.valve != "none":
            share = f"{float(line.opening):.0%}".replace("%", " %")
            rows.append((f"{line.valve.capitalize()} valve of {line.name}", f"{share} open"))
        if line.check_valve:
            rows.append((f"Check valve of {line.name}", "opens by itself"))
    gates = ((name, kind) for name, kind, _ in (pipes.places if pipes else ()) if "gate" in kind)
    rows += [(f"Gate {name}", "shut" if kind.startswith("shut") else "open") for name, kind in gates]
    return tabled(("What", "As drawn", "Where it is", "As set"), [(*row, BLANK, BLANK) for row in rows])


def _hours(water: Water | None, sheet: Sheet) -> str:
    """How long a running pump runs in a day, in words."""
    if water is None or water.runs_a_day >= DAY * (1 - 1e-9):
        return "runs all day"
    return f"runs {show(water.runs_a_day, TIME, sheet.units, 'h')} a day"


def _steps(sheet: Sheet) -> Iterator[Block]:
    """How to stop pump and filter, and how to start them again."""
    if sheet.result.option.water is None:
        return
    level = sheet.level("level_after_stop")
    back = sheet.shown("return_volume")
    yield Text(NO_SOURCE, look="small")
    yield Items(
        (
            "To stop: switch off, pull the plug, and only then reach into the water."
            + (f" The water that drains back, {back}, raises the pool to {level}." if back and level else ""),
            "Stopped for more than a few hours: see to the animals, as the filter's life needs flowing water.",
            "To start: water at its level, screen in place, valves as set above; plug in, switch on, see that every "
            "branch flows, and look for leaks.",
            "After a long stop rinse the filter to waste first; what stood in it without oxygen is not for the pond.",
        )
    )


def _running(sheet: Sheet) -> Iterator[Block]:
    """The path of the water, and its levels with the pumps on and off."""
    water, waters, units = sheet.result.water, sheet.result.waters, sheet.units
    if way := flows.diagram(water, waters, units):
        yield charted(way, flows.alt_diagram(water, units))
    if down := flows.profile(water, waters, units):
        yield charted(down, flows.alt_profile(water, units))


def _products(sheet: Sheet) -> tuple[Block, ...]:
    option = sheet.result.option
    rows = [(what, BLANK, BLANK, BLANK, BLANK) for what, part in PRODUCTS if getattr(option, part)]
    head = ("Product", "Make and kind", "Supplier", "Bought on", "Guarantee until")
    return tabled(head, [*rows, *[(BLANK,) * 5] * 2], whole=True)


def _first_weeks(sheet: Sheet) -> tuple[Block, ...]:
    rows = [
        (row["when"], row["task"], BLANK)
        for row in reference("report/papers/first_weeks")
        if not row["part"] or getattr(sheet.result.option, row["part"])
    ]
    return tabled(("When", "What", "Done"), rows)


def _upkeep(sheet: Sheet) -> Iterator[Block]:
    """Tasks of each month, by the climate entered."""
    option, site = sheet.result.option, sheet.site
    by_month: dict[str, list[str]] = {"every month": [], **{month: [] for month in MONTHS}}
    for row in reference("report/papers/upkeep"):
        if row["part"] and not getattr(option, row["part"]):
            continue
        task = row["task"] + (f" ({row['source']})" if row["source"] != COMMON else "")
        for month in months(row["anchor"], int(row["first"]), int(row["last"]), site.coldest_month, site.warmest_month):
            by_month[month].append(task)
    yield Text(
        f"By a climate whose coldest month is {site.coldest_month} and whose warmest is {site.warmest_month}. "
        + NO_SOURCE,
        look="small",
    )
    lines = [(month, "\n".join(tasks), BLANK) for month, tasks in by_month.items() if tasks]
    yield from tabled(("Month", "What", "Done"), lines)


def months(anchor: str, first: int, last: int, coldest: str, warmest: str) -> list[str]:
    """Months of a row of the upkeep table, counted from the coldest or the warmest month; or every month."""
    if anchor == "always":
        return ["every month"]
    start = MONTHS.index(coldest if anchor == "coldest" else warmest)
    return [MONTHS[(start + step) % len(MONTHS)] for step in range(first, last + 1)]
