"""The paper for the crew: drawings at true scales and lists for setting out, digging, cutting and lifting, and nothing
that it does not use.
"""

from collections.abc import Iterator, Sequence
from functools import partial

from pondkit.core.caution import ACT, CHECK, REMINDER
from pondkit.core.units import System
from pondkit.drawing import frame
from pondkit.drawing.blocks import BLANK, Block, Fields, Items, Room, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.frame import PLAN_UNIT
from pondkit.drawing.rows import TAPE_PLACES, FigureRow, by_rule, by_tape, fixed, say
from pondkit.drawing.to_scale import scaled
from pondkit.report import plan
from pondkit.report.papers.drawings import liner_blocks, plan_blocks, section_pictures
from pondkit.report.papers.sheet import Sheet, figure_of, node_called, planned_mass
from pondkit.report.scene import Scene
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.inputs import Dig, Stakes
from pondkit.trades.earthwork.pictures import AS_BUILT, excavation, levels, setting_out
from pondkit.trades.earthwork.results import DigResult
from pondkit.trades.lifting.results import Lift
from pondkit.trades.tunnels import pictures as tunnels_plan
from pondkit.trades.walls import pictures as walls
from pondkit.trades.water.inputs.pumping import Branch, Pump
from pondkit.trades.water.lines import lines_of

DIG_GROUPS = ("ground", "dig", "earth")
STONE_GROUPS = ("stone", "lifting", "bearing", "walls")
PIPE_GROUPS = ("water", "intake")
EACH_DAY = (
    "dig",
    "earth",
    "marks",
    "rod",
    "as_dug",
    "lining",
    "stone",
    "lifting",
    "bearing",
    "walls",
    "tunnels",
    "ground",
)
# Cautions that are settled at the desk before the work, by a change of the design or of what is entered, or that judge
# a figure: nothing that a crew measures, fits or does. Those of rank 'act' are never among them.
DESK = frozenset(
    {
        *("pools_without_liner", "rule_falls_short", "stones_without_place", "pads_without_fabric"),  # liner
        *("bed_line_straight", "bed_even_slope", "bed_length_differs", "bed_without_banks"),  # beds
        *("bed_without_crest", "bank_may_spread", "no_truck"),  # soil and trucks
        *("stone_axes_order", "stone_over_its_box", "stone_outside_waterline", "row_above_floor"),  # stone
        *("wall_friction_and_adhesion", "wall_without_length", "wall_stone_lacks", "wall_rock_not_named"),  # walls
        *("node_without_run", "den_without_size", "cutting_not_proven", "swim_search_cut_short"),  # passages
        *("flush_ring", "flush_branch_fast"),
        *("lift_alone", "curve_assumed", "circles", "past_curve", "line_fast", "line_slow", "drop_high"),  # water
        *("approach_not_passive", "openings_wide", "wire_wide", "fall_drowned", "sheet_clings", "crest_narrow"),
        *("channel_steep", "channel_backs_up", "channel_drowned", "channel_shoots"),
    }
)
CLEAR = 1.5  # m: distance from the dig of stakes that are not entered
HALF = 0.55  # share of the page's height for a drawing that shares its page


def crew(sheet: Sheet) -> Iterator[Block]:
    """The crew's sheets, in the order of the work."""
    result, units, room = sheet.result, sheet.units, sheet.room
    yield from titled("Each day", _day(sheet))
    yield from titled("To settle before the first cut", _to_heed(sheet, DIG_GROUPS))
    yield from titled("Site plan", plan_blocks(sheet, sheet.room, "crew", whole=True))
    dig = _dig(sheet)
    if dig is not None:
        yield from titled(
            "Levels to dig by, in the order of digging, above the site datum",
            levels.tables(dig.levels, result.option.dig, units),
        )
        marks = dig.setting_out
        yield from titled("Setting out", setting_out.printed(marks, units, Room(room.wide, room.high * 0.72)))
    yield from titled("Sections", _sections(sheet))
    yield from titled("As-built survey", _as_built(sheet))
    yield from _liner(sheet)
    yield from titled("Stones, one by one", _stones(sheet), _to_heed(sheet, STONE_GROUPS))
    yield from titled("Stone in the order in which it is set", excavation.loads_table(result.haul, units))
    yield from titled("Passages", _passages(sheet), _to_heed(sheet, ("tunnels",)))
    yield from titled("Pipe runs", _pipes(sheet), _to_heed(sheet, PIPE_GROUPS))


def _day(sheet: Sheet) -> Iterator[Block]:
    """Checks of every day, with room for the ticket of the located services and for the benchmark."""
    dig = sheet.result.option.dig
    benchmark = dig.benchmark_is.strip() if dig else ""
    yield Fields(
        (
            ("Services located, ticket", ""),
            ("Date of it", ""),
            ("Benchmark", benchmark),
            ("Competent person on site", ""),
        )
    )
    yield from _items(sheet.heeded(EACH_DAY, REMINDER), tick=True)


def _to_heed(sheet: Sheet, groups: Sequence[str]) -> tuple[Block, ...]:
    """What the crew has to heed of some groups of figures: all that is to act on, and what is checked on site."""
    return _items(sheet.heeded(groups, ACT, CHECK, less=DESK))


def _items(texts: Sequence[str], *, tick: bool = False) -> tuple[Block, ...]:
    return (Items(tuple(texts), tick),) if texts else ()


def _dig(sheet: Sheet) -> DigResult | None:
    """Levels and stakes to dig by; if none are entered, with two stakes south of the works."""
    result, option = sheet.result, sheet.result.option
    if not result.pools:
        return None
    if option.dig is not None:
        return result.dig
    west, south, east, _ = plan.extent([result])
    metres = frame.magnitude_of(PLAN_UNIT[sheet.units])
    low, left, right = (round(value / metres) * metres for value in (south - CLEAR, west, east))
    usual = Dig.model_validate({"stakes": Stakes().model_dump()})
    stakes = usual.stakes.changed(a=(left, low), b=(right, low)) if usual.stakes else None
    return OptionResult(option.changed(dig=usual.changed(stakes=stakes)), sheet.site).dig


def _sections(sheet: Sheet) -> Iterator[Block]:
    result, units = sheet.result, sheet.units
    room = Room(sheet.room.wide, sheet.room.high * HALF)
    yield from section_pictures(sheet, room)
    if wall := walls.sections(result.walls, units):
        yield from scaled(wall, units, walls.alt_sections(result.walls, units), room, details=True)


def _as_built(sheet: Sheet) -> Iterator[Block]:
    scene = Scene(sheet.result, sheet.units)
    if picture := scene.draw(AS_BUILT):
        yield from scaled(picture, sheet.units, scene.alt(AS_BUILT), Room(sheet.room.wide, sheet.room.high * HALF))


def _liner(sheet: Sheet) -> Iterator[Block]:
    """Each liner flat with its sizes, and the pieces cut off each roll of fabric."""
    result = sheet.result
    for index, liner in enumerate(result.lining.liners if result.lining else ()):
        flat = liner_blocks(sheet, index, Room(sheet.room.wide, sheet.room.high * HALF))
        rows = [
            row
            for row in sheet.of("liner_length_order", "liner_width_order", "panel_count", "seam_length", "liner_mass")
            if row.subject == liner.name and row.value != "0"
        ]
        rows += [row for row in sheet.of("carriers") if row.subject == liner.name]
        yield from titled(f"Liner: {liner.name}", flat, _figures(rows))
    yield from titled("Fabric by the roll", _rolls(sheet), _to_heed(sheet, ("lining",)))


def _figures(rows: Sequence[FigureRow]) -> tuple[Block, ...]:
    lines = [(figure_of(row), row.text, row.range_text) for row in rows]
    return tabled(("Figure", "Likely", "From, to"), lines, (1, 2))


def _rolls(sheet: Sheet) -> tuple[Block, ...]:
    units = sheet.units
    left = {row.subject: _listed(row, units) for row in sheet.of("fabric_offcut")}
    rows = [
        (row.subject, by_tape(row.si_value, units), _listed(row, units), left.get(row.subject, ""))
        for row in sheet.of("fabric_roll_run")
    ]
    return tabled(("Roll", "Run cut from it", "Cut", "Left"), rows, (1,))


def _listed(row: FigureRow, units: System) -> str:
    """The items that a figure's cautions list, with sizes as a tape reads them and without the introductory words."""
    sentences = (say(caution, units, partial(by_tape, system=units)) for caution in row.entry.cautions)
    return " ".join(text.partition(": ")[2] or text for text in sentences)


def _stones(sheet: Sheet) -> tuple[Block, ...]:
    """One row for each boulder: size, mass, sling, from where to where, and order of setting."""
    result, units = sheet.result, sheet.units
    if result.stone is None:
        return ()
    lifts = {lift.load.subject: lift for lift in (result.lifting.lifts if result.lifting else ())}
    order = {subject: number for number, subject in enumerate(lifts, 1)}
    slings = {row.subject.split(" / ")[0]: row.subject.partition(" / ")[2] for row in sheet.of("sling_to_use")}
    rows, further = [], []
    for kind in result.stone.kinds:
        stone = kind.boulder
        size = by_rule(stone.axes, units)
        mass = planned_mass(sheet.rows, stone.name)
        sling = slings.get(stone.name, "") or BLANK
        for number, (east, north) in enumerate(stone.places, 1):
            name = f"{stone.name} {number}"
            lift = lifts.get(name)
            where = f"{_coordinate(float(east), units)} E, {_coordinate(float(north), units)} N"
            rows.append((order.get(name, len(order) + 1), (name, size, mass, sling, *_from(sheet, lift), where)))
        if count := round(kind.count.value) - len(stone.places):
            cells = (f"{stone.name}, {count} more", size, mass, sling, BLANK, BLANK, "not placed")
            further.append((len(order) + 2, cells))
    rows.sort(key=lambda row: row[0])
    lines = [(str(turn) if turn <= len(order) else BLANK, *cells) for turn, cells in [*rows, *further]]
    head = ("Order", "Stone", "Size", "Plan for", "Sling", "From", "Machine", f"To, {PLAN_UNIT[units]}")
    return tabled(head, lines, (3,))


def _from(sheet: Sheet, lift: Lift | None) -> tuple[str, str]:
    """(place where a stone waits, position of the machine) of a lift; ``BLANK`` if none is planned."""
    lifting = sheet.result.option.lifting
    if lift is None or lifting is None:
        return BLANK, BLANK
    position = lifting.positions[lift.position]
    east, north = (_coordinate(float(value), sheet.units) for value in position.pick_up)
    return f"{east} E, {north} N", position.name


def _coordinate(value: float, units: System) -> str:
    return fixed(value, PLAN_UNIT[units], 1 if units == "us" else 2)


def _passages(sheet: Sheet) -> Iterator[Block]:
    """Runs with their cut lengths, nodes with places and levels, fittings, and the plan of the pipe."""
    result, units, pipes = sheet.result, sheet.units, sheet.result.tunnels
    if pipes is None:
        return
    from_above = tunnels_plan.plan(pipes, result.pools, units)
    if from_above is not None:
        room = Room(sheet.room.wide, sheet.room.high * 0.4)
        yield from scaled(from_above, units, tunnels_plan.alt_plan(pipes, units), room)
    unit, places = PLAN_UNIT[units], TAPE_PLACES[units]
    ends = {name: (start, end) for name, start, end, _ in pipes.lines}
    slope = {row.subject: f"{row.si_value * 100:.1f} %" for row in sheet.of("run_slope")}
    runs = []
    for row in sheet.of("cut_length"):
        start, end = ends.get(row.subject, (None, None))
        shown = [fixed(float(spot[2]), unit, places) if spot is not None else "" for spot in (start, end)]
        cut, least, most = (by_tape(value, units) for value in (row.si_value, row.entry.least, row.entry.most))
        runs.append(
            (row.subject, cut, f"{least} to {most}" if least != most else "", *shown, slope.get(row.subject, ""), BLANK)
        )
    head = ("Run", "Cut", "From, to", f"Level at its start, {unit}", f"At its end, {unit}", "Slope", "Cut, checked")
    yield from tabled(head, runs, (1, 2, 3, 4, 5))
    nodes = [
        (node_called(name, kind), *(fixed(float(value), unit, places) for value in place), BLANK)
        for name, kind, place in pipes.places
    ]
    places_head = ("Node, middle of the pipe", f"East, {unit}", f"North, {unit}", f"Level, {unit}", "As laid")
    yield from tabled(places_head, nodes, (1, 2, 3))
    fittings = [
        (f"{row.label}: {row.subject}", row.text)
        for row in sheet.of("fitting_count", "pipe_lengths_to_buy", "den_lid_order")
    ]
    yield from tabled(("To have at hand", "How many"), fittings, (1,))


def _pipes(sheet: Sheet) -> Iterator[Block]:
    """Lines of the water side with pipe, length, fittings and valves; bodies with place and level."""
    water, units = sheet.result.option.water, sheet.units
    if water is None:
        return
    rows = []
    for line in lines_of(water):
        fittings = [
            f"{count} {what}"
            for what, count in (
                ("elbow 90°", line.elbows_90),
                ("sweep 90°", line.sweeps_90),
                ("elbow 45°", line.elbows_45),
                ("tee through", line.tees_through),
                ("tee branch", line.tees_branch),
            )
            if count
        ]
        valve = line.valve if isinstance(line, Branch) else "none"
        valves = [f"{valve} valve"] if valve != "none" else []
        valves += ["check valve"] if isinstance(line, (Pump, Branch)) and line.check_valve else []
        size = line.own_pipe or line.pipe
        size = f"{size}, hose" if line.hose else size
        goes = (line.pool or line.to) if isinstance(line, Branch) else ""
        rows.append((line.name, size, by_tape(float(line.length), units), "; ".join(fittings), "; ".join(valves), goes))
    yield from tabled(("Line", "Pipe", "Length", "Fittings", "Valves", "Goes to"), rows, (2,))
    unit, places = PLAN_UNIT[units], TAPE_PLACES[units]
    bodies = []
    for structure in sheet.result.structures.each:
        middle = structure.body.foot.centroid
        cells = (middle.x, middle.y, structure.body.bottom)
        rim = fixed(structure.rim, unit, places) if structure.rim is not None else ""
        bodies.append((structure.name, *(fixed(float(value), unit, places) for value in cells), rim, BLANK))
    head = ("Body or wall", f"Middle east, {unit}", f"North, {unit}", f"Base level, {unit}", f"Rim, {unit}", "As set")
    yield from tabled(head, bodies, (1, 2, 3, 4))
