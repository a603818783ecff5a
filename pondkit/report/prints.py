"""What an option's prints show: for the client, for the crew, and the hand-over record."""

import html
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from pondkit.core.tables import table as reference
from pondkit.core.units import LENGTH, System, show
from pondkit.drawing.blocks import BLANK, Room
from pondkit.drawing.cells import figured, listed
from pondkit.drawing.charts import charted
from pondkit.drawing.frame import DEPTH_UNIT, Figure
from pondkit.drawing.rows import FigureRow
from pondkit.drawing.to_scale import scaled
from pondkit.report import differences, plan, section, table
from pondkit.report.paper import faults, figures, page, titled
from pondkit.report.scene import Scene
from pondkit.study.evaluate import OptionResult, Results
from pondkit.trades.earthwork.compute.setting_out import ties
from pondkit.trades.earthwork.pictures import AS_BUILT, haul, levels, setting_out
from pondkit.trades.lifting import pictures as lifting
from pondkit.trades.liner.pictures import LAYOUT, fabric
from pondkit.trades.stone import pictures as pictures_stone
from pondkit.trades.tunnels.pictures import plan as tunnels_plan
from pondkit.trades.walls import pictures as walls
from pondkit.trades.water.pictures import curves, flows

MOST_DIFFERENCES = 12
ROOM = Room(182.0, 180.0)
BUDGET = ("price", "total_price", "contingency")
NOT_DUG_BY = ("price", "totals", "animals", "falls", "filter", "turnover")  # groups; a crew works by all others,
TABLED = ("rod", "marks")  # and has these in tables of their own
# Pumps against lines, where the water goes, and its levels down the chain.
Draw = Callable[[Any, System], Figure | None]  # of a result of one trade, or of an option
Say = Callable[[Any, System], str]
RUNNING: tuple[tuple[Draw, Say], ...] = (
    (
        lambda result, units: curves.curves(result.water, units),
        lambda result, units: curves.alt_curves(result.water, units),
    ),
    (
        lambda result, units: flows.diagram(result.water, result.waters, units),
        lambda result, units: flows.alt_diagram(result.water, units),
    ),
    (
        lambda result, units: flows.profile(result.water, result.waters, units),
        lambda result, units: flows.alt_profile(result.water, units),
    ),
)
FIRST = ("ground", "dig")  # groups whose cautions are read before the first cut, and before the levels
HEAPED = "<p>Areas within a plain line beside or round the pools: berm, and bank built outside a rim.</p>"


def pictures(results: Results, option: int, system: System, *, mono: bool) -> str:
    """Plan and section of an option at a true scale."""
    result, site = results.options[option], results.project.site
    if not result.pools:
        return ""
    line = plan.shown_section(result, site.section)
    parts = _plan(results, option, system, "Plan, north up", mono=mono, crew=False)
    if line:
        cut = section.section(result, line, system)
        text = section.alt_section(result, system)
        parts += titled("Section A–B, heights to the same scale", figured(scaled(cut, system, text, ROOM, mono=mono)))
    return parts


def _plan(results: Results, option: int, system: System, title: str, *, mono: bool, crew: bool) -> str:
    """The plan over the site's picture; for the crew with where the machine stands and reaches."""
    result, site = results.options[option], results.project.site
    line = None if crew else plan.shown_section(result, site.section)
    shown = plan.plan(result, system, limit=site.depth_limit, section=line, look="crew" if crew else "client")
    picture = figured(
        scaled(shown, system, plan.alt_plan(result, system), ROOM, mono=mono, under=results.project.picture)
    )
    return titled(title, picture + (HEAPED if result.earth and result.earth.heaped else ""))


def takeoff(results: Results, option: int, system: System) -> str:
    """Every figure of an option with its working."""
    result = results.options[option]
    return page(
        _title(results, result, "all figures"),
        [
            faults(results, option, system),
            pictures(results, option, system, mono=False),
            figures(table.rows(result, system), working=True),
        ],
        head=result.option.note,
    )


def client(results: Results, option: int, system: System) -> str:
    """One option as a client takes it home, beside the summary of all: pictures, figures, budget, cautions."""
    result = results.options[option]
    names = [other.option.name for other in results.options]
    summary = [(line.label, *line.texts) for line in table.summary_rows(results, system)]
    rows = table.rows(result, system)
    money = [(row.label, row.subject, row.text, row.range_text) for row in rows if row.key in BUDGET]
    heed: dict[str, str] = {}
    for row in rows:
        for caution in row.cautions:
            heed.setdefault(caution, f"{row.label} {row.subject}".strip())
    cautions = "".join(f"<li><b>{html.escape(of)}:</b> {html.escape(text)}</li>" for text, of in heed.items())
    return page(
        _title(results, result, "for the client"),
        [
            faults(results, option, system),
            pictures(results, option, system, mono=False),
            titled("Options", listed(("", *names), summary, range(1, 1 + len(names)))),
            *_against(results, option, system),
            titled("Budget", listed(("Price", "Of", "Likely", "From, to"), money, (2, 3))),
            titled("Cautions", f"<ul>{cautions}</ul>" if cautions else ""),
        ],
        head=result.option.note,
    )


def _against(results: Results, option: int, system: System) -> Iterator[str]:
    """What makes this option differ from each other, in words and as a table."""
    name = results.options[option].option.name
    for index, other in enumerate(results.options):
        if index != option:
            lines = [
                (row.what, row.here, row.there, row.difference)
                for row in differences.told(results, option, index, system)
            ]
            head = ("Largest first", name, other.option.name, "Difference")
            said = differences.sentence(results, option, index, system)
            words = f"<p>{html.escape(said)}</p>" if said else ""
            yield titled(f"Beside {other.option.name}", words, listed(head, lines[:MOST_DIFFERENCES], (1, 2, 3)))


def crew(results: Results, option: int, system: System) -> str:
    """What a crew digs, cuts and lifts by: levels, liner, stone, pipe with the cut list, at true scales."""
    result = results.options[option]
    rows = [row for row in table.rows(result, system) if row.group not in (*NOT_DUG_BY, *TABLED)]
    return page(
        _title(results, result, "for the crew"),
        [
            faults(results, option, system),
            pictures(results, option, system, mono=True),
            titled("Before the first cut", _heed(rows)),
            titled(
                "Levels, above the site datum",
                levels.drawn_levels(result.pools, None, system, "Rod reading"),
            )
            if result.dig is None
            else "",
            titled(
                "Levels to dig by, in the order of digging, above the site datum",
                levels.tables(result.dig.levels if result.dig else None, result.option.dig, system),
            ),
            titled("As-built survey", _as_dug(result, system)),
            titled("Setting out", setting_out.printed(result.dig.setting_out if result.dig else None, system)),
            *_liners(result, system),
            titled(
                "Fabric by the roll",
                *_charts(result.lining.fabrics if result.lining else None, system, (fabric.cuts, fabric.alt_cuts)),
            ),
            titled("Pipe from above", *_pipe(result, system)),
            _plan(results, option, system, "Where the machine stands and reaches", mono=True, crew=True)
            if result.lifting
            else "",
            titled(
                "Bearing under the stones",
                *_charts(result.bearing, system, (pictures_stone.pressures, pictures_stone.alt_pressures)),
            ),
            titled("Lifts", *_charts(result.lifting, system, (lifting.uses, lifting.alt_uses))),
            titled("Walls in section", _walls(result, system)),
            titled("Running water", *_charts(result, system, *RUNNING)),
            titled("Stone in the order in which it is set", haul.printed(result.haul, system)),
            figures(rows, working=False),
        ],
        head=result.option.note,
    )


def _heed(rows: Sequence[FigureRow]) -> str:
    """What to heed of ground and dig, each caution once with the figures that call for it."""
    told: dict[str, list[str]] = {}
    for row in sorted(rows, key=lambda row: row.key != "pool_dig_volume"):  # buried services first
        # The count of keep-outs entered only says again what each of them says.
        for caution in row.cautions if row.group in FIRST and row.key != "keep_outs_entered" else ():
            told.setdefault(caution, []).append(f"{row.label} {row.subject}".strip() + f" {row.text}")
    lines = [f"<li>{html.escape(caution)} <i>({html.escape('; '.join(of))})</i></li>" for caution, of in told.items()]
    return f"<ul>{''.join(lines)}</ul>" if lines else ""


def hand_over(results: Results, option: int, system: System) -> str:
    """The record for whoever keeps the pond: levels as built, liner and seams, what is buried and where, upkeep by
    month.
    """
    result = results.options[option]
    upkeep = [
        (row["months"], row["task"], row["source"])
        for row in reference("report/upkeep")
        if not row["part"] or getattr(result.option, row["part"])
    ]
    return page(
        _title(results, result, "hand-over record"),
        [
            faults(results, option, system),
            pictures(results, option, system, mono=True),
            titled(
                "Levels, above the site datum",
                levels.drawn_levels(result.pools, result.dig.levels if result.dig else None, system, "As built"),
            ),
            *_liners(result, system),
            titled(
                "Seams",
                listed(
                    ("Liner, seam", "Runs", "From the liner's corner", "Depth under water", "As built"),
                    _seams(result, system),
                    (2, 3),
                ),
            ),
            titled(
                "Buried pipe and penetrations",
                listed(
                    (
                        "What",
                        "East of the site's origin",
                        "North of it",
                        "Level",
                        "Tie as drawn",
                        "Tie as drawn",
                        "As built",
                    ),
                    _buried(results, result, system),
                    (1, 2, 3),
                ),
            ),
            titled(
                "Fixed points that ties are measured from",
                listed(
                    ("Point", "East of the site's origin", "North of it"),
                    [(name, *(show(value, LENGTH, system) for value in at)) for name, at in _corners(results)],
                    (1, 2),
                ),
            ),
            titled("Upkeep by month", listed(("When", "What", "From"), upkeep)),
        ],
        head="Drawn figures; write what was built beside them, with two ties to fixed points for all that is "
        "buried; those to corners of the site's buildings stand there as drawn.",
    )


def _title(results: Results, result: OptionResult, what: str) -> str:
    return f"{results.project.title or 'Pond'}, option {result.option.name}: {what}"


def _liners(result: OptionResult, system: System) -> Iterator[str]:
    """Each liner flat, at a true scale."""
    for number, found in enumerate(result.lining.liners if result.lining else ()):
        scene = Scene(result, system, liner=number)
        if flat := scene.draw(LAYOUT):
            yield titled(f"Liner {found.name}, flat", figured(scaled(flat, system, scene.alt(LAYOUT), ROOM)))


def _charts(result: Any, system: System, *drawings: tuple[Draw, Say]) -> Iterator[str]:
    """Charts of what there is, each with its words."""
    for draw, alt in drawings:
        if found := draw(result, system):
            yield figured([charted(found, alt(result, system))])


def _walls(result: OptionResult, system: System) -> str:
    found = walls.sections(result.walls, system)
    return figured(scaled(found, system, walls.alt_sections(result.walls, system), ROOM)) if found else ""


def _as_dug(result: OptionResult, system: System) -> str:
    scene = Scene(result, system)
    found = scene.draw(AS_BUILT)
    return figured(scaled(found, system, scene.alt(AS_BUILT), ROOM)) if found else ""


def _seams(result: OptionResult, system: System) -> Iterator[tuple[str, ...]]:
    for found in result.lining.liners if result.lining else ():
        for number, seam in enumerate(found.panels.seams, 1):
            depth = show(seam.depth, LENGTH, system) if seam.depth > 0 else "above water"
            runs = "along its length" if seam.along else "across it"
            yield f"{found.name}, seam {number}", runs, show(seam.place, LENGTH, system), depth, BLANK


def _pipe(result: OptionResult, system: System) -> Iterator[str]:
    from_above = tunnels_plan.plan(result.tunnels, result.pools, system)
    if from_above is not None:
        yield figured(scaled(from_above, system, tunnels_plan.alt_plan(result.tunnels, system), ROOM))


def _buried(results: Results, result: OptionResult, system: System) -> Iterator[tuple[str, ...]]:
    """Nodes and penetrations, each with its place and two ties to corners of the site's buildings; blank where there
    are none.
    """
    pipes = result.tunnels
    if pipes is None:
        return
    corners = _corners(results)
    spots = [(f"{kind} {name}", at) for name, kind, at in pipes.places]
    wide = {
        each.subject: show(each.value, LENGTH, system, DEPTH_UNIT[system])
        for each in pipes.penetrations.penetration_size
    }
    through = [(f"through the liner: {name}, pipe {wide[name]} outside", at) for name, at in pipes.passes]
    for name, at in [*spots, *through]:
        tied = ties((float(at[0]), float(at[1])), corners)
        said = [f"{show(tie.length, LENGTH, system)} from {tie.name}" for tie in tied or ()] or [BLANK, BLANK]
        yield name, *(show(float(value), LENGTH, system) for value in at), *said, BLANK


def _corners(results: Results) -> list[tuple[str, tuple[float, float]]]:
    """Corners of the site's buildings, by name and number, with their places [m]."""
    buildings = [thing for thing in results.project.site.keep_outs if thing.kind == "building"]
    return [
        (f"{thing.name}, corner {number}", (float(point[0]), float(point[1])))
        for thing in buildings
        for number, point in enumerate(thing.points, 1)
    ]
