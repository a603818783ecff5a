"""One option as a client takes it home: how it looks, its benefits and demands, open points, the choice.

And the paper of all figures, each with its working, range and cautions.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pondkit.core.caution import ACT, CHECK, REMINDER
from pondkit.core.entry import Entry
from pondkit.core.tables import GROUPS
from pondkit.core.units import System
from pondkit.drawing.blocks import Beside, Block, Items, Room, Signature, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.charts import charted
from pondkit.drawing.rows import FigureRow, by_rule
from pondkit.report import table
from pondkit.report.model import projection
from pondkit.report.papers.drawings import plan_blocks, section_pictures
from pondkit.report.papers.quotation import Money, quoted
from pondkit.report.papers.sheet import Sheet, figure_of
from pondkit.study.compare import currency_of
from pondkit.trades.water import pictures

WITH_STONE = "in all, with stone, pipe and gravel in it"  # what then fills it
QUOTED = "Price by the quotation, with tax"
SECTION, VIEW = 60.0, 64.0  # mm: height of these pictures
AROUND, LEAST = 52.0, 90.0  # mm: height of title, headings and captions on the first page; least height of a plan
# Groups whose reminders are for the client; those of all other groups are for crew and hand-over.
FOR_CLIENT = ("totals", "basin", "animals", "water", "intake")
TO_SETTLE = ("basin", "ground", "animals")
# Keys of figures that answer what a client asks: benefits, then demands.
GIVES = (
    "total_surface_area",
    "total_net_volume",
    "turnover",
    "link_drop",
    "boulder_count",
    "edging_count",
    "oxygen_by_night",
)
ASKS = ("make_up", "energy_year", "energy_cost", "time_to_clean_out", "fill_time", "dig_volume", "truck_loads")
COMPARED = (
    "total_surface_area",
    "total_net_volume",
    "zone_area",
    "max_depth",
    "dig_volume",
    "liner_area_order",
    "stone_order",
    "total_flow",
    "total_demands_failed",
    "total_price",
)


def client(sheet: Sheet) -> Iterator[Block]:
    """The paper for the client: one option on three pages."""
    result = sheet.result
    if result.option.note:
        yield Text(result.option.note)
    yield from _pictures(sheet)
    yield from titled("What you get", _zones(sheet))
    gives, asks = _facts(sheet, GIVES), _facts(sheet, ASKS, _quoted(sheet))
    if gives or asks:
        lives = titled("Water and stone", gives, level=2), titled("What it asks of you", asks, level=2)
        yield Beside(lives, (1.0, 1.0))
    yield from titled("What the animals need", _animals(sheet), level=2)
    yield from titled(
        "To settle before building",
        _items(
            sheet.heeded(TO_SETTLE, ACT, machine=False, named=_of_whom),
            sheet.heeded(("basin",), CHECK, named=_of_whom),
        ),
    )
    # What stands before the choice is kept with it: nobody signs a page that says nothing of the pond.
    options = _options(sheet)
    reminders = tuple(sheet.heeded(FOR_CLIENT, REMINDER))
    yield from titled("Please note", (Items(reminders, kept=not options),) if reminders else ())
    yield from titled("Options", options)
    yield from titled(
        "The choice",
        Text(
            f"I have seen these drawings and figures and choose option {result.option.name}. Figures are worked out "
            "from what was entered and are not a survey; local code and licensed practice decide where they ask for "
            "more.",
            look="kept",
        ),
        Signature((sheet.site.job.client or "Client", sheet.site.job.firm.name or "For the firm")),
    )


def _of_whom(row: FigureRow) -> str:
    """The pool or animal that a caution concerns, which a client knows, in place of the figure."""
    return row.subject


def _pictures(sheet: Sheet) -> Iterator[Block]:
    wide = sheet.room.wide
    cuts = section_pictures(sheet, Room(wide, SECTION), mono=False)
    # Plan and section are together on the first page.
    room = Room(wide, max(sheet.room.high - AROUND - sum(picture.high for picture in cuts), LEAST))
    yield from titled("Plan", plan_blocks(sheet, room, "client", whole=True, mono=False))
    yield from titled("Section A to B", cuts)
    if view := projection(sheet.result, sheet.units, Room(wide, VIEW)):
        yield from titled("View", view)


def _zones(sheet: Sheet) -> Sequence[Block]:
    """Zones of each pool: depth, area, share, water."""
    keys = ("zone_depth", "zone_area", "zone_share", "zone_volume")
    texts = {(row.key, row.subject): row.text for row in sheet.of(*keys)}
    texts |= {(row.key, row.subject): _per_cent(row.si_value) for row in sheet.of("zone_share")}
    texts |= {(row.key, row.subject): by_rule((row.si_value,), sheet.units) for row in sheet.of("zone_depth")}
    rows = []
    for pool in sheet.result.pools:
        nets = [row for row in sheet.of("net_volume") if row.subject == pool.name]
        for zone in dict.fromkeys(name for name, *_ in pool.zones):
            subject = f"{pool.name} / {zone}"
            rows.append((pool.name, zone, *(texts.get((key, subject), "") for key in keys)))
        deepest, area = by_rule((pool.max_depth.value,), sheet.units), sheet.shown("surface_area", pool.name)
        rows.append((pool.name, "in all", deepest, area, "", sheet.shown("gross_volume", pool.name)))
        rows += [(pool.name, WITH_STONE, "", "", "", net.text) for net in nets if _differs(net, pool.gross_volume)]
    strong = tuple(index for index, row in enumerate(rows) if row[1] in ("in all", WITH_STONE))
    head = ("Pool", "Zone", "Down to", "Area", "Share", "Water")
    return tabled(head, rows, (2, 3, 4, 5), strong=strong)


def _differs(net: FigureRow, gross: Entry) -> bool:
    """Whether the water beside stone and gravel is worth a row of its own: not within the digits it is known in."""
    return abs(net.si_value - gross.value) > max(0.005 * gross.value, (net.entry.most - net.entry.least) / 10)


def _per_cent(share: float) -> str:
    """A share as people say it: in whole per cent."""
    return f"{share * 100:.0f} %" if share >= 0.005 else "under 1 %"


def _facts(sheet: Sheet, keys: tuple[str, ...], price: str = "") -> Sequence[Block]:
    rows = [(figure_of(row), row.text, row.range_text) for row in sheet.of(*keys)]
    rows += [(QUOTED, price, "")] if price else []
    return tabled(("", "Likely", "From, to"), [row for row in rows if row[1] != "0"], (1, 2))


def _quoted(sheet: Sheet) -> str:
    """Total of the option's quotation; "" if none is entered, or if it has no prices."""
    offer = quoted(sheet) if sheet.results.project.quotation else None
    return Money(currency_of(sheet.result))(offer.total) if offer else ""


def _animals(sheet: Sheet) -> Sequence[Block]:
    """Each requirement of the animals' brief, and whether it is met."""
    rows = [row for row in sheet.rows if row.key.startswith("demand_")]
    kinds: dict[str, tuple[list[str], list[str]]] = {}
    for row in rows:
        kind, _, where = row.subject.partition(" / ")
        met, failed = kinds.setdefault(kind, ([], []))
        what = row.label.removesuffix(", to spare").removesuffix(" to spare").lower()
        if any(caution.rank == ACT for caution in row.cautions):
            failed.append(f"{what} ({where})" if where else what)
        else:
            met.append(what)
    lines = []
    for kind, (met, failed) in kinds.items():
        in_part = {text.partition(" (")[0] for text in failed}
        whole = [what for what in dict.fromkeys(met) if what not in in_part]
        lines.append((kind, "; ".join(whole) or "–", "; ".join(failed) or "–"))
    return tabled(("Animal", "Met as drawn", "Not met"), lines)


def _items(*texts: list[str]) -> list[Block]:
    every = tuple(dict.fromkeys(text for part in texts for text in part))
    return [Items(every)] if every else []


def _options(sheet: Sheet) -> Sequence[Block]:
    """The options beside each other; nothing if there is only one."""
    names = [other.option.name for other in sheet.results.options]
    if len(names) < 2:
        return ()
    chosen = sheet.results.project.chosen
    marked = [f"{name} (chosen)" if name == chosen else name for name in names]
    lines = [
        (f"{line.label}, {line.subject}" if line.subject else line.label, *_texts(line, sheet.units))
        for line in table.summary_rows(sheet.results, sheet.units, keys=COMPARED)
        # With a quotation the client reads the price, not the firm's cost.
        if line.key != "total_price" or not sheet.results.project.quotation
    ]
    prices = [_quoted(replace(sheet, option=index)) for index in range(len(names))]
    if any(prices):
        lines.append((QUOTED, *prices))
    return tabled(("", *marked), lines, range(1, 1 + len(names)), whole=True, kept=True)


def _texts(line: table.SummaryRow, system: System) -> Sequence[str]:
    """Figures of a line; a depth as it is written beside the zones."""
    if line.key != "max_depth":
        return line.texts
    return ["" if cell is None else by_rule((cell.si_value,), system) for cell in line.cells]


def figures(sheet: Sheet) -> Iterator[Block]:
    """The paper of all figures, by group; a reminder is at the first figure that it belongs to."""
    reminders: set[str] = set()
    for group, title in GROUPS.items():
        rows = [row for row in sheet.rows if row.group == group]
        lines = [(row.label, row.subject, row.text, row.range_text, _working(row, reminders)) for row in rows]
        chart = _pumps(sheet) if group == "water" else ()
        yield from titled(title, chart, tabled(("Figure", "Of", "Likely", "From, to", "Working"), lines, (2,)))


def _pumps(sheet: Sheet) -> Iterator[Block]:
    """Chart of pump curves and system curves."""
    if curve := pictures.curves(sheet.result.water, sheet.units):
        yield charted(curve, pictures.alt_curves(sheet.result.water, sheet.units))


def _working(row: FigureRow, reminders: set[str]) -> str:
    """The working of a figure and its cautions, without ``reminders``, to which its own are added."""
    cautions = [caution for caution in row.cautions if caution not in reminders]
    reminders |= {str(caution) for caution in cautions if caution.rank == REMINDER}
    return "\n".join((row.working, *(f"{caution.rank.capitalize()}: {caution}" for caution in cautions)))
