"""Inputs of prices: the rates, the person's own price list, and what a quotation states beside the prices (overhead and
margin, tax, discount, lines of its own, payment, terms).

An *item* is a quantity of the takeoff that the price list can name: something bought, dug, carried or worked. What is
ordered with an allowance is named by its net figure, so that waste is never added twice. A key that ends as an order
does is an item unasked, so that a new trade's goods can be priced without a row here. As a file the list is CSV with a
heading for each column; its faults are told row by row.
"""

import csv
import difflib
import io
from functools import cache
from typing import Annotated, ClassVar

from pydantic import Field, ValidationError

from pondkit.core import tables
from pondkit.core.part import (
    Choice,
    Money,
    Part,
    PriceArea,
    PriceEach,
    PriceLength,
    PriceMass,
    PriceTime,
    PriceVolume,
    Ratio,
    Share,
    Time,
    Whole,
    ask,
    ask_of,
)
from pondkit.core.refusal import MOST_REASONS, Refused, refusal, spreadsheet_cell, spreadsheet_text
from pondkit.core.renamed import takeoff_key
from pondkit.core.text import lines, text
from pondkit.core.units import (
    AREA,
    BULK,
    COUNT,
    LENGTH,
    MASS,
    TIME,
    VOLUME,
    Kind,
    System,
    UnitError,
    brief,
    factor,
    pretty,
    system_of,
)

ORDER_ENDS = ("_order", "_to_buy", "_rolls")  # a key that ends so is something to order
WHOLE_ENDS = ("_to_buy", "_rolls", "_loads")  # a count of goods that includes laps, offcuts and rounding already
ALSO_ORDERED = ("total_gravel_volume", "fitting_count", "boulder_count", "edging_count")
ROW_FOR_EACH_NAME = (
    "fitting_count",
    "pipe_length",
    "pipe_lengths_to_buy",
    "rolls_to_buy",
    "boulder_count",
    "line_pipe",
    "line_fitting_order",
    "line_valve_order",
    "pump_order",
    "body_order",
    "lid_order",
    "den_order",
    "den_lid_order",
)  # in a price list made from a design, each of these has a row of its own by its name
# How each of these is named in the list of what has no price; other items are named as a whole.
NAME_IF_UNPRICED = {
    "body_order": "{}",
    "lid_order": "lid of {}",
    "den_order": "den {}",
    "den_lid_order": "lid of den {}",
    "pump_order": "pump {}",
}
SUM_STARTS = ("total_", "stone_order")  # a key that starts so is a total of other orders
# Items that are not ordered: dug, carried, worked, or a measure of the whole.
WORK_ITEMS = (
    "dig_volume",
    "fill_volume",
    "spoil_volume",
    "topsoil_bank",
    "left_loose",
    "berm_volume",
    "trench_volume",
    "haul_bank",
    "haul_loose",
    "haul_mass",
    "truck_loads",
    "total_stone_loads",
    "seam_length",
    "pad_area",
    "link_strip_area",
    "penetration_count",
    "sealed_joint_count",
    "media_volume",
    "total_surface_area",
    "total_net_volume",
)
# The items that each rate stands for: a price-list line for one of them takes the rate's place.
ITEMS_OF_RATE: dict[str, tuple[str, ...]] = {
    "dig": ("dig_volume",),
    "haul": ("haul_bank", "haul_loose", "haul_mass", "truck_loads", "spoil_volume"),
    "liner": ("liner_area", "liner_length", "liner_width", "rolls_to_buy"),
    "underlay": ("underlay_area", "underlay_rolls"),
    "overlay": ("overlay_area", "overlay_rolls"),
    "boulders": ("boulders_order", "boulder_count"),
    "edging": ("edging_order", "edging_count"),
    "wall_stone": ("wall_stone_order",),
    "crushed": ("seat_volume",),
    "pipe_bedding": ("pipe_bedding_volume",),
    "gravel": ("total_gravel_volume",),
    "pipe": ("pipe_length", "pipe_lengths_to_buy"),
    "fittings": ("fitting_count",),
}
# The figure of the takeoff that each rate is multiplied by; of several the first that the option has.
FIGURES_OF_RATE: dict[str, tuple[str, ...]] = {
    "dig": ("dig_volume",),
    "haul": ("haul_bank", "spoil_volume"),
    "liner": ("total_liner_order",),
    "underlay": ("total_underlay_order",),
    "overlay": ("total_overlay_order",),
    "boulders": ("boulders_order",),
    "edging": ("edging_order",),
    "wall_stone": ("total_wall_stone_order",),
    "crushed": ("seat_order",),
    "pipe_bedding": ("pipe_bedding_order",),
    "gravel": ("total_gravel_volume",),
    "pipe": ("total_pipe_order",),
    "fittings": ("total_fitting_count",),
    "machine": ("machine_time",),
}
BY_ROLL = "rolls_to_buy"  # item of liner by the roll; each size of roll has a price of its own
# Orders whose net figure has another name than the order less "_order".
NET_OF_TOTAL = {
    "total_liner_order": "liner_area",
    "total_underlay_order": "underlay_area",
    "total_overlay_order": "overlay_area",
    "underlay_pad_order": "underlay_area",
    "seat_order": "seat_volume",
    "pipe_bedding_order": "pipe_bedding_volume",
    "total_wall_stone_order": "wall_stone_order",
    "overlay_pad_order": "overlay_area",
    "total_pipe_order": "pipe_length",
    "total_fitting_count": "fitting_count",
}
UNITS = (
    "each",
    "in",
    "ft",
    "yd",
    "cm",
    "m",
    "ft^2",
    "yd^2",
    "m^2",
    "ft^3",
    "yd^3",
    "US gal",
    "L",
    "m^3",
    "lb",
    "short ton",
    "long ton",
    "kg",
    "tonne",
)
LIQUID_UNITS = ("US gal", "L")


def ordered(key: str) -> bool:
    """True for a figure that is something to order."""
    return key in ALSO_ORDERED or (key.endswith(ORDER_ENDS) and not key.startswith(SUM_STARTS))


def is_goods(item: str) -> bool:
    """True for an item that is bought, and so priced at its high figure where goods are ordered at that."""
    return ordered(item) or bool(orders_of(item))


def net_key(key: str) -> str:
    """Key of the item that a figure is priced by: of an order its net figure, if it has one."""
    bare = key.removesuffix("_order")
    return NET_OF_TOTAL.get(key) or (bare if bare in tables.figure_words() else key)


@cache
def orders_of(item: str) -> tuple[str, ...]:
    """Keys of the orders that have an item as their net figure."""
    return tuple(key for key in tables.figure_words() if ordered(key) and key != item and net_key(key) == item)


@cache
def items() -> dict[str, str]:
    """Keys that a price list can name, with their labels, in the order of the table of words."""
    rows = tables.figure_words()
    keys = {net_key(key) if ordered(key) else key for key in rows if ordered(key) or key in WORK_ITEMS}
    return {key: row["label"] for key, row in rows.items() if key in keys}


@cache
def item_kind(item: str) -> Kind:
    """Kind of quantity of an item, by the unit that the table of words shows it in."""
    unit = tables.figure_words()[item]["us"]
    return next((kind for kind in (LENGTH, AREA, BULK, MASS, TIME) if unit and _fits(unit, kind)), COUNT)


@cache
def units_of(item: str) -> tuple[str, ...]:
    """Units that an item can be priced in."""
    kind = item_kind(item)
    return ("each",) if kind is COUNT else tuple(unit for unit in UNITS[1:] if _fits(unit, kind))


def kind_beside_price(item: str, unit: str) -> Kind:
    """Kind of quantity in which an item is shown beside its price: by the gallon or litre, a volume is a liquid."""
    return VOLUME if unit in LIQUID_UNITS else item_kind(item)


def _fits(unit: str, kind: Kind) -> bool:
    """True if a unit measures a kind of quantity."""
    try:
        return factor(unit, kind) > 0
    except UnitError:
        return False


# Least, greatest, and the page's step in either unit system.
PER_AREA = (0, "1000 per ft^2", ("0.05 per ft^2", "0.5 per m^2"))
PER_VOLUME = (0, "10000 per yd^3", ("1 per yd^3", "1 per m^3"))
PER_MASS = (0, "10000 per short ton", ("5 per short ton", "5 per tonne"))
PER_HOUR = (0, "2000 per h", ("1 per h", "1 per h"))
AMOUNT = (0, 100000, (1, 1))
HOURS = ("0 h", "500 h", ("0.05 h", "0.05 h"))
TAX = ("0 %", "50 %", ("0.25 %", "0.25 %"))
MOST_LINES = 200

Item = Annotated[str, Choice(tuple(items()), tuple(items().values()))]
Unit = Annotated[str, Choice(UNITS, tuple(map(pretty, UNITS)))]
ShortText = Annotated[str, text(60)]


class PriceLine(Part):
    """One line of the price list: the price of an item, and how it is sold, delivered and worked."""

    title_of_part: ClassVar[str] = "price line"
    item: Item = ask("Item", help="Net quantity of the takeoff, without an order's own allowance and rounding.")
    of: ShortText = ask(
        "Only of", default="", help="A single pipe, fitting, boulder … by its name; empty for all of them."
    )
    unit: Unit = ask("Unit", default="each", help="Of price, unit of sale, minimum order, load and hours.")
    price: Money | None = ask("Price", *AMOUNT, default=None, help="For one unit, in the currency of the rates.")
    waste: Share = ask(
        "Waste", "0 %", "100 %", ("1 %", "1 %"), default="0 %", help="Bought on top of the net quantity."
    )
    sale_unit: Ratio = ask(
        "Unit of sale", *AMOUNT, default=0, help="Sold in whole multiples of so many units; 0: in any amount."
    )
    minimum: Ratio = ask("Minimum order", *AMOUNT, default=0, help="Fewest units that are sold; 0: no minimum.")
    labour: Time = ask("Labour for one unit", *HOURS, default="0 h", help="Hours of one person, by your own records.")
    machine: Time = ask("Machine for one unit", *HOURS, default="0 h", help="Hours of the machine, by your records.")
    load_size: Ratio = ask(
        "Units in a load",
        *AMOUNT,
        default=0,
        help="How many units come in one delivery; 0: deliveries are not counted.",
    )
    load_price: Money | None = ask("Price of a load", *AMOUNT, default=None, help="Paid for delivery, for each load.")
    tax: Share | None = ask("Tax", *TAX, default=None, help="Rate of this line, where it is not that of the quotation.")
    supplier: ShortText = ask("Supplier", default="", help="Who it is ordered from.")
    lead_days: Whole = ask(
        "Lead time in days", 0, 730, default=0, help="How many days before it is needed it must be ordered."
    )
    note: Annotated[str, lines(300)] = ask("Note", default="", help="For yourself.")


def next_line(lines: tuple[PriceLine, ...], system: System) -> PriceLine:
    """A new line, without a price, for the first item that has no line yet, in a unit of the system."""
    item = next((key for key in items() if key not in {line.item for line in lines}), next(iter(items())))
    possible = units_of(item)
    of_system = [unit for unit in possible if system_of(f"1 {unit}") == system]
    return PriceLine(item=item, unit=of_system[-1] if of_system else possible[0])


class Rates(Part):
    """Rates for kinds of goods and work, and the price list, in one currency."""

    title_of_part: ClassVar[str] = "rates"
    currency: Annotated[str, text(6, 1)] = ask("Currency", default="$", help="Sign or letters put before amounts.")
    note: Annotated[str, lines(300)] = ask("Note", default="", help="Where the rates come from.")
    dig: PriceVolume | None = ask("Dig", *PER_VOLUME, default=None, help="Per bank volume dug.")
    haul: PriceVolume | None = ask("Haul away", *PER_VOLUME, default=None, help="Per bank volume that leaves the site.")
    liner: PriceArea | None = ask("Liner", *PER_AREA, default=None, help="Per area ordered.")
    underlay: PriceArea | None = ask("Underlay", *PER_AREA, default=None, help="Per area ordered.")
    overlay: PriceArea | None = ask("Overlay", *PER_AREA, default=None, help="Per area ordered.")
    boulders: PriceMass | None = ask("Boulders", *PER_MASS, default=None, help="Per mass ordered.")
    edging: PriceMass | None = ask("Edging", *PER_MASS, default=None, help="Per mass ordered.")
    wall_stone: PriceMass | None = ask(
        "Wall stone", *PER_MASS, default=None, help="For dry-stacked walls, per mass ordered."
    )
    crushed: PriceVolume | None = ask(
        "Crushed stone", *PER_VOLUME, default=None, help="Under walls and bodies, per volume as compacted."
    )
    pipe_bedding: PriceVolume | None = ask(
        "Pipe bedding", *PER_VOLUME, default=None, help="Under pipe and dens, per volume as compacted."
    )
    gravel: PriceVolume | None = ask("Gravel", *PER_VOLUME, default=None, help="Per bulk volume ordered.")
    pipe: PriceLength | None = ask(
        "Pipe", 0, "1000 per ft", ("0.25 per ft", "0.5 per m"), default=None, help="Per length bought."
    )
    fittings: PriceEach | None = ask(
        "Fittings", 0, "5000 each", ("1 each", "1 each"), default=None, help="For each, all kinds alike."
    )
    contingency: Share | None = ask(
        "Contingency",
        "0 %",
        "100 %",
        ("1 %", "1 %"),
        default=None,
        help="Your own share of the rough total for what is not foreseen, shown beside it. The ranges of figures are "
        "no contingency.",
    )
    labour: PriceTime | None = ask("Labour", *PER_HOUR, default=None, help="For an hour of one person.")
    machine: PriceTime | None = ask(
        "Machine", *PER_HOUR, default=None, help="For an hour of the machine with its driver."
    )
    lines: Annotated[tuple[PriceLine, ...], Field(max_length=MOST_LINES)] = ask(
        "Price list", default=(), help="Your own prices; a line takes the place of the rate for the same thing."
    )


def rate_label(name: str) -> str:
    """Label of a rate."""
    declared = ask_of(Rates, name)
    assert declared is not None
    return declared.label


INCLUDED, OPTIONAL, ALTERNATIVE = "included", "optional", "alternative"
PER_CENT = ("1 %", "1 %")
Section = Annotated[str, Choice(tuple(tables.GROUPS), tuple(tables.GROUPS.values()))]
NeededText = Annotated[str, text(120, 1)]
LineText = Annotated[str, text(120)]
Paragraph = Annotated[str, lines(3000)]
LongText = Annotated[str, lines(8000)]


class QuoteLine(Part):
    """A line of the quotation for something that no figure of the design stands for."""

    title_of_part: ClassVar[str] = "quotation line"
    what: NeededText = ask("What", default="work", help="As it stands in the quotation.")
    section: Section = ask("Section", default="price", help="Under which it stands.")
    quantity: Ratio = ask("Quantity", *AMOUNT, default=1, help="How many units.")
    unit: Annotated[str, text(20)] = ask("Unit", default="", help="Such as h, day or ft²; empty for one of a thing.")
    price: Money | None = ask(
        "Price", *AMOUNT, default=None, help="What one unit costs you; overhead and margin come on top of it."
    )
    kind: Annotated[str, Choice((INCLUDED, OPTIONAL, ALTERNATIVE))] = ask(
        "Kind", default=INCLUDED, help="What is optional, or an alternative, is not in the total."
    )
    instead_of: LineText = ask("Instead of", default="", help="What an alternative takes the place of.")
    tax: Share | None = ask("Tax", *TAX, default=None, help="Rate of this line, where it is not that of the quotation.")


class PaymentStep(Part):
    """One payment: when it falls due, and its share of the total."""

    title_of_part: ClassVar[str] = "payment step"
    when: NeededText = ask("When", default="on completion", help="What the payment falls due by.")
    share: Share | None = ask(
        "Share", "0 %", "100 %", PER_CENT, default=None, help="Of the total; one step without a share takes the rest."
    )


class Quotation(Part):
    """Terms of a quotation, as entered; ``quotation.Quote`` is what is worked out with them."""

    title_of_part: ClassVar[str] = "quotation"
    number: Annotated[str, text(40)] = ask("Number", default="", help="Your own number of the quotation.")
    valid_days: Whole | None = ask(
        "Valid for", 1, 730, default=None, help="Days from the date of the job; empty: not stated."
    )
    overhead: Share = ask(
        "Overhead", "0 %", "100 %", PER_CENT, default="0 %", help="Share of the cost that is added to it."
    )
    margin: Share = ask(
        "Margin",
        "0 %",
        "80 %",
        PER_CENT,
        default="0 %",
        help="Share of the price that is left after cost and overhead, before any discount.",
    )
    discount: Share = ask("Discount", "0 %", "80 %", PER_CENT, default="0 %", help="Off all lines, before tax.")
    tax_name: Annotated[str, text(20, 1)] = ask("Tax is called", default="Tax", help="As it stands in the quotation.")
    tax: Share | None = ask(
        "Tax", *TAX, default=None, help="Rate of every line that states no other; empty: no tax is stated."
    )
    show_range: bool = ask("Show the range", default=False, help="What the ranges of quantities may add or save.")
    lines: Annotated[tuple[QuoteLine, ...], Field(max_length=100)] = ask(
        "Lines of its own", default=(), help="For what no figure of the design stands for."
    )
    steps: Annotated[tuple[PaymentStep, ...], Field(max_length=12)] = ask(
        "Payment steps", default=(), help="What falls due when."
    )
    excluded: Paragraph = ask("Not included", default="", help="In words, one thing on each line.")
    terms: LongText = ask("Terms", default="", help="Your own text; it is printed as it stands.")


MOST_BYTES = 500_000
# Of each column: heading, field of the line ("" for what is only for the reader), other headings that are read as it.
COLUMNS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("item", "item", ("key", "quantity")),
    ("name", "", ("label",)),
    ("of", "of", ("only of",)),
    ("net", "", ("net quantity",)),
    ("unit", "unit", ()),
    ("price", "price", ("price for one", "unit price")),
    ("waste", "waste", ("waste share",)),
    ("unit of sale", "sale_unit", ("sale unit",)),
    ("minimum order", "minimum", ("minimum",)),
    ("labour hours", "labour", ("labour", "labour for one")),
    ("machine hours", "machine", ("machine", "machine for one")),
    ("supplier", "supplier", ()),
    ("days before need", "lead_days", ("lead time", "lead days", "days")),
    ("note", "note", ("notes",)),
    ("units a load", "load_size", ("load size", "one load holds")),
    ("price a load", "load_price", ("load price", "delivery")),
    ("tax", "tax", ("tax rate",)),
)
NEEDED = ("item", "unit", "price")
# How people write squares and cubes: "ft²", "ft2", "sq ft".
POWERS = {"²": "^2", "³": "^3", "2": "^2", "3": "^3"}
SQUARES = {"sq": "^2", "cu": "^3", "square": "^2", "cubic": "^3"}


def price_list(raw: bytes, system: System) -> tuple[PriceLine, ...]:
    """Lines of a price list from a file. Rows with only item, name, net quantity and unit are skipped.

    Args:
        raw: Bytes of the file: UTF-8, its columns separated by comma, semicolon or tab.
        system: Unit system in which a number without a unit is read.
    Raises: Refused with one reason per fault, with its row and column.
    """
    rows = _rows(raw)
    heads = [_heading(cell) for cell in rows[0][1]]
    lines: list[PriceLine] = []
    row_of: dict[str, dict[str, int]] = {}  # row that prices an item, by the item and its part
    reasons: list[str] = []
    for number, cells in rows[1:]:
        fields = {
            field: text for field, text in zip(heads, map(spreadsheet_cell, cells), strict=False) if field and text
        }
        if not fields.keys() - {"item", "of", "unit"}:
            continue
        row_reasons = [f"row {number}, {reason}" for reason in _resolved(fields, system)]
        if not row_reasons:
            try:
                line = PriceLine.model_validate(fields, context={"units": system})
            except ValidationError as error:
                row_reasons = [f"row {number}, {reason}" for reason in refusal(error, PriceLine, fields).reasons]
            else:
                before = row_of.get(line.item, {}).items()
                first = next((row for of, row in before if "" in (of, line.of) or of == line.of), 0)
                if first:
                    row_reasons.append(_twice(number, line, first))
                else:
                    row_of.setdefault(line.item, {})[line.of] = number
                    lines.append(line)
        reasons += row_reasons
    if len(lines) > MOST_LINES:
        reasons.append(f"The list has {len(lines)} lines; a project holds at most {MOST_LINES}.")
    if reasons:
        more = [f"… and {len(reasons) - MOST_REASONS} more."] if len(reasons) > MOST_REASONS else []
        raise Refused(*reasons[:MOST_REASONS], *more)
    if not lines:
        raise Refused("No row of the list has a price; write one in the column 'price'.")
    return tuple(lines)


def _twice(number: int, line: PriceLine, first: int) -> str:
    """Message for a row whose item, or a part of it, an earlier row prices."""
    part = f"only of {brief(line.of)}" if line.of else "all of it"
    return (
        f"row {number}, item: {items()[line.item]} ({part}) is priced in row {first} already; keep one row for "
        "all of an item, "
        "or one for each of its parts, named in 'of'."
    )


def _rows(raw: bytes) -> list[tuple[int, list[str]]]:
    """(line of the file, cells) of each row that is not empty, the headings first."""
    if len(raw) > MOST_BYTES:
        raise Refused(f"The list holds {len(raw):,} bytes; allowed are {MOST_BYTES:,}. Is it the right file?")
    text = spreadsheet_text(raw, "The list")
    head = text.lstrip().partition("\n")[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=head.count))
    try:
        rows = [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise Refused(f"Row {reader.line_num} of the list cannot be read ({error}); save it as 'CSV UTF-8'.") from None
    if not rows:
        raise Refused("The list is empty; download it here, fill in prices, and load it again.")
    _check_headings(rows[0][1])
    return rows


def _check_headings(cells: list[str]) -> None:
    """Raises: Refused for headings that are unknown, double or missing."""
    headings = {name: field for heading, field, synonyms in COLUMNS for name in (heading, *synonyms)}
    reasons = []
    fields = []
    for cell in cells:
        plain = _plain(cell)
        if plain and plain not in headings:
            near = difflib.get_close_matches(plain, headings, 1, 0.5)
            suggestion = f" Did you mean '{near[0]}'?" if near else ""
            reasons.append(
                f"row 1: {brief(cell)} is no column here.{suggestion} Columns: "
                f"{', '.join(heading for heading, *_ in COLUMNS)}."
            )
        elif headings.get(plain) and headings[plain] in fields:
            reasons.append(f"row 1: the column {brief(cell)} stands twice; keep one of the two.")
        fields.append(headings.get(plain, ""))
    reasons += [f"row 1: the column '{name}' is not there; add it." for name in NEEDED if name not in fields]
    if reasons:
        raise Refused(*reasons[:MOST_REASONS])


def _heading(cell: str) -> str:
    """Field that a heading stands for; "" for none."""
    plain = _plain(cell)
    return next((field for heading, field, synonyms in COLUMNS if plain in (heading, *synonyms)), "")


def _plain(text: str) -> str:
    """A text in small letters with single blanks, for comparison."""
    return " ".join(text.replace("_", " ").casefold().split())


def _resolved(fields: dict[str, str], system: System) -> list[str]:
    """Replace item and unit of a row, as people write them, by those of the document. Returns the faults."""
    if "item" not in fields:
        return ["item: nothing is written; write the key or the name of a quantity."]
    item = _item(fields["item"])
    if item is None:
        names = {_plain(name): name for key, label in items().items() for name in (key, label)}
        near = difflib.get_close_matches(_plain(fields["item"]), names, 1, 0.4)
        suggestion = f" Did you mean '{names[near[0]]}'?" if near else ""
        return [
            f"item: {brief(fields['item'])} is no quantity that can be priced.{suggestion} The list that is downloaded "
            "here has all of them."
        ]
    fields["item"] = item
    possible, unit = units_of(item), fields.get("unit", "")
    allowed = f"write one of {', '.join(possible)}" if len(possible) > 1 else f"write '{possible[0]}'"
    if not unit:
        return [f"unit: nothing is written; {allowed}."]
    unit_key = _unit(unit, system)
    if unit_key not in possible:
        return [f"unit: {brief(unit)} for {items()[item].lower()}, which is {item_kind(item).name}; {allowed}."]
    fields["unit"] = unit_key
    return []


def _item(text: str) -> str | None:
    """Key of the item with this key or label, or of the item that an order of this key or label is priced by; None for
    neither.
    """
    plain = _plain(takeoff_key(text.strip()))
    for key, row in tables.figure_words().items():
        if plain in (_plain(key), _plain(row["label"])):
            item = net_key(key) if ordered(key) or key.startswith("total_") else key
            if item in items():
                return item
    return None


def _unit(text: str, system: System) -> str:
    """A unit as the document writes it: "sq ft", "ft2" and "ft²" are "ft^2". A text that is no unit stays as it is."""
    plain = _plain(text).removeprefix("per ").replace("^", "").rstrip(".")
    head, _, rest = plain.partition(" ")
    if head in SQUARES and rest:
        plain = {"feet": "ft", "foot": "ft"}.get(rest, rest) + SQUARES[head]
    elif plain[-1:] in POWERS:
        plain = plain[:-1].strip() + POWERS[plain[-1]]
    synonyms = {
        **({"gal": "US gal"} if system == "us" else {}),  # elsewhere it may be another gallon
        "inch": "in",
        "inche": "in",
        "ea": "each",
        "piece": "each",
        "ton": "",  # short, long or metric: to be said
        "litre": "L",
        "liter": "L",
        "us gallon": "US gal",
        "feet": "ft",
        "foot": "ft",
    }
    every = {unit.casefold(): unit for item in items() for unit in units_of(item)} | synonyms
    return every.get(plain) or every.get(plain.removesuffix("s")) or text
