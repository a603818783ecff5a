"""The paper for a permit office and a safety meeting: answers that the design gives, and fields for those that it
cannot.
"""

from collections.abc import Iterator

from pondkit.core.caution import ACT
from pondkit.core.units import LENGTH, VOLUME, show
from pondkit.drawing.blocks import BLANK, Block, Fields, Items, Room, Signature, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.rows import by_rod
from pondkit.report.papers.drawings import plan_blocks
from pondkit.report.papers.sheet import NOT_CHECKED, Sheet, figure_of, planned_mass

SPADEFUL = 0.01  # m³ of a dig: less is none
PLAN = 160.0  # mm: height of the plan
# groups whose faults are printed for an office
SAFETY = ("basin", "ground", "dig", "earth", "walls", "levels", "tunnels")
LICENSED = (
    "Electrician: supply, residual-current (ground-fault) protection, bonding",
    "Plumber: supply of water, stop against backflow",
    "Competent person for cuts and trenches",
    "Rigger and operator of the lifting machine",
    "Engineer: walls, banks that hold water, loads beside an edge",
    "Wildlife authority or species adviser",
)


def permit(sheet: Sheet) -> Iterator[Block]:
    """The paper for the office and the safety file."""
    yield from titled("Depth and barrier", _depth(sheet))
    yield from titled("Water", _water(sheet))
    yield from titled("Nearest distances", _distances(sheet))
    yield from titled("Protected animals", _animals(sheet))
    yield from titled("Cuts, lifts and services", _cuts(sheet))
    faults = sheet.heeded(SAFETY, ACT)
    yield from titled("Still to settle in this design", (Items(tuple(faults)),) if faults else ())
    yield from titled("Site plan", plan_blocks(sheet, Room(sheet.room.wide, PLAN), "client"))
    licensed = [(work, BLANK, BLANK, BLANK) for work in LICENSED]
    yield from titled(  # on one page with what is signed, which would else stand on a page alone
        "Who is licensed for what",
        tabled(("Work", "Name and firm", "Licence number", "Until"), licensed, whole=True, kept=True),
    )
    yield from titled(
        "What this page does not check",
        Text(
            f"{NOT_CHECKED} This page is no permit and no approval: local code and the authority decide, and where "
            "they ask for more than is drawn here, they hold.",
            look="kept",
        ),
        Signature((sheet.site.job.firm.name or "For the firm", "For the authority")),
    )


def _depth(sheet: Sheet) -> Iterator[Block]:
    texts = {(row.key, row.subject): row.text for row in sheet.of("max_depth", "surface_area", "area_over_limit")}
    keys = ("max_depth", "surface_area", "area_over_limit")
    rows = [(pool.name, *(texts.get((key, pool.name), "") for key in keys)) for pool in sheet.result.pools]
    yield from tabled(("Pool", "Greatest depth", "Water surface", "Area over the limit"), rows, (1, 2, 3))
    limit = sheet.site.depth_limit
    known = show(float(limit), LENGTH, sheet.units) if limit is not None else ""
    yield Fields(
        (
            ("Depth limit entered for this site", known),
            ("Rule that it is from", ""),
            ("Barrier asked for by local code", ""),
            ("Barrier that is built: kind, height, gate", ""),
        )
    )


def _water(sheet: Sheet) -> Iterator[Block]:
    keys = ("total_net_volume", "net_volume", "highest_level", "storm_flow", "outfall_bore", "empty_time", "make_up")
    rows = []
    for row in sheet.of(*keys):
        shown = row.text, row.range_text
        if row.key == "highest_level":  # a level, written as all levels are
            low, high = (by_rod(end, sheet.units) for end in (row.entry.least, row.entry.most))
            shown = sheet.level(row.key), f"{low} to {high}" if low != high else ""
        rows.append((figure_of(row), *shown))
    yield from tabled(("Figure", "Likely", "From, to"), rows, (1, 2))
    ground = sheet.site.groundwater
    lowest = min(
        (pool.surfaces.dig.level - pool.surfaces.dig.surface.deepest for pool in sheet.result.pools), default=None
    )
    yield Fields(
        (
            (
                "Highest known groundwater",
                "" if ground is None else f"{by_rod(float(ground), sheet.units)} from the datum",
            ),
            (
                "Lowest level of the dig",
                "" if lowest is None else f"{by_rod(lowest, sheet.units)} from the datum",
            ),
            ("Overflow and emptying go to", ""),
            ("Allowed by", ""),
        )
    )


def _distances(sheet: Sheet) -> Iterator[Block]:
    """For each keep-out, the nearest of all works that are dug, heaped or built."""
    nearest: dict[str, tuple[float, str]] = {}
    names = sorted({thing.name for thing in sheet.site.keep_outs}, key=len, reverse=True)
    for row in sheet.of("keep_out_distance"):
        # A keep-out's own name may have a stroke in it.
        name = next((each for each in names if row.subject.endswith(f" / {each}")), "")
        if name not in nearest or row.si_value < nearest[name][0]:
            nearest[name] = (row.si_value, row.subject.removesuffix(f" / {name}"))
    rows = []
    for thing in sheet.site.keep_outs:
        away, what = nearest.get(thing.name, (None, ""))
        # Both as a rod is read: 97 cm beside 3 m is overlooked.
        distance, clearance = (
            BLANK if value is None else by_rod(value, sheet.units) for value in (away, float(thing.clearance))
        )
        rows.append((thing.kind, thing.name, what, distance, clearance))
    yield from tabled(("Kind", "Which", "Nearest to it", "Distance", "Clearance entered"), rows, (3, 4))
    kinds = {thing.kind for thing in sheet.site.keep_outs}
    missing = [kind for kind in ("boundary", "building", "buried service", "tree") if kind not in kinds]
    if missing:
        yield Fields(tuple((f"Nearest {kind}, distance", "") for kind in missing))


def _animals(sheet: Sheet) -> Iterator[Block]:
    kinds = sheet.result.option.animals.kinds if sheet.result.option.animals else ()
    rows = [(kind.name, "yes, or not known" if kind.protected else "no, as entered", BLANK, BLANK) for kind in kinds]
    yield from tabled(("Kind", "Protected by law", "Authority asked", "Permit, date"), rows)
    if not rows:
        yield Fields((("Kinds that live here or will", ""), ("Wildlife authority asked, date", "")))


def _cuts(sheet: Sheet) -> Iterator[Block]:
    keys = ("dig_depth", "steepest_dig_face", "trench_dig_volume", "heaviest_boulder", "edge_set_back")
    rows = []
    for row in sheet.of(*keys):
        text = by_rod(row.si_value, sheet.units) if row.entry.kind is LENGTH else row.text
        if row.entry.kind is VOLUME and row.si_value < SPADEFUL:
            continue
        if row.key == "steepest_dig_face":  # a bare number says nothing of which is which
            text = f"{text} across for 1 down"
        elif row.key == "heaviest_boulder":  # as crew and order have it
            text = planned_mass(sheet.rows, row.subject) or text
        rows.append((figure_of(row), text))
    yield from tabled(("Figure", "Likely"), rows, (1,))
    yield Fields(
        (
            ("Soil, judged by", ""),
            ("Protection of the cut: slope, bench, shore", ""),
            ("Services located, ticket", ""),
            ("Date of it, valid until", ""),
            ("Lifting machine and its chart", ""),
            ("Method for lifts, written by", ""),
        )
    )
