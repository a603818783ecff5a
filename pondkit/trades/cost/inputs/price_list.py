"""A price list as a file: CSV with a heading a column, read into lines of the document; what is wrong is told row by
row.
"""

import csv
import difflib
import io

from pydantic import ValidationError

from pondkit.core import tables
from pondkit.core.refusal import MOST_REASONS, Refused, refusal, spreadsheet_cell, spreadsheet_text
from pondkit.core.renamed import takeoff_key
from pondkit.core.units import System, brief
from pondkit.trades.cost.inputs.items import item_kind, items, net_key, ordered, units_of
from pondkit.trades.cost.inputs.rates import MOST_LINES, PriceLine

MOST_BYTES = 500_000
# Heading, field of the line ("" for what is only for the reader), and other headings for the same.
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
POWERS = {"²": "^2", "³": "^3", "2": "^2", "3": "^3"}
SQUARES = {"sq": "^2", "cu": "^3", "square": "^2", "cubic": "^3"}


def price_list(raw: bytes, system: System) -> tuple[PriceLine, ...]:
    """Lines of a price list. A row that gives no more than item, name and unit is passed over.

    Args:
        raw: Bytes of the file: UTF-8, columns apart by comma, semicolon or tab.
        system: How a bare number of hours or per cent is read.
    Raises: Refused with what is wrong, a reason a fault, with the row and column of each.
    """
    rows = _rows(raw)
    heads = [_heading(cell) for cell in rows[0][1]]
    lines: list[PriceLine] = []
    met: dict[str, dict[str, int]] = {}
    reasons: list[str] = []
    for number, cells in rows[1:]:
        given = {
            field: text for field, text in zip(heads, map(spreadsheet_cell, cells), strict=False) if field and text
        }
        if not given.keys() - {"item", "of", "unit"}:
            continue
        told = [f"row {number}, {reason}" for reason in _resolved(given, system)]
        if not told:
            try:
                line = PriceLine.model_validate(given, context={"units": system})
            except ValidationError as error:
                told = [f"row {number}, {reason}" for reason in refusal(error, PriceLine, given).reasons]
            else:
                first = next(
                    (row for of, row in met.get(line.item, {}).items() if "" in (of, line.of) or of == line.of), 0
                )
                if first:
                    told.append(_twice(number, line, first))
                else:
                    met.setdefault(line.item, {})[line.of] = number
                    lines.append(line)
        reasons += told
    if len(lines) > MOST_LINES:
        reasons.append(f"The list has {len(lines)} lines; a project holds at most {MOST_LINES}.")
    if reasons:
        more = [f"… and {len(reasons) - MOST_REASONS} more."] if len(reasons) > MOST_REASONS else []
        raise Refused(*reasons[:MOST_REASONS], *more)
    if not lines:
        raise Refused("No row of the list has a price; write one in the column 'price'.")
    return tuple(lines)


def _twice(number: int, line: PriceLine, first: int) -> str:
    """What is said of a row whose item, or a part of it, an earlier row prices."""
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
    known = {name: field for heading, field, others in COLUMNS for name in (heading, *others)}
    reasons = []
    fields = []
    for cell in cells:
        plain = _plain(cell)
        if plain and plain not in known:
            near = difflib.get_close_matches(plain, known, 1, 0.5)
            meant = f" Did you mean '{near[0]}'?" if near else ""
            reasons.append(
                f"row 1: {brief(cell)} is no column here.{meant} Columns: "
                f"{', '.join(heading for heading, *_ in COLUMNS)}."
            )
        elif known.get(plain) and known[plain] in fields:
            reasons.append(f"row 1: the column {brief(cell)} stands twice; keep one of the two.")
        fields.append(known.get(plain, ""))
    reasons += [f"row 1: the column '{name}' is not there; add it." for name in NEEDED if name not in fields]
    if reasons:
        raise Refused(*reasons[:MOST_REASONS])


def _heading(cell: str) -> str:
    """Field that a heading stands for; "" for none."""
    plain = _plain(cell)
    return next((field for heading, field, others in COLUMNS if plain in (heading, *others)), "")


def _plain(text: str) -> str:
    return " ".join(text.replace("_", " ").casefold().split())


def _resolved(given: dict[str, str], system: System) -> list[str]:
    """Puts the key of the item and the unit as the document writes it into a row; returns what is wrong with them."""
    if "item" not in given:
        return ["item: nothing is written; write the key or the name of a quantity."]
    item = _item(given["item"])
    if item is None:
        names = {_plain(name): name for key, label in items().items() for name in (key, label)}
        near = difflib.get_close_matches(_plain(given["item"]), names, 1, 0.4)
        meant = f" Did you mean '{names[near[0]]}'?" if near else ""
        return [
            f"item: {brief(given['item'])} is no quantity that can be priced.{meant} The list that is downloaded "
            "here has all of them."
        ]
    given["item"] = item
    fit, unit = units_of(item), given.get("unit", "")
    allowed = f"write one of {', '.join(fit)}" if len(fit) > 1 else f"write '{fit[0]}'"
    if not unit:
        return [f"unit: nothing is written; {allowed}."]
    found = _unit(unit, system)
    if found not in fit:
        return [f"unit: {brief(unit)} for {items()[item].lower()}, which is {item_kind(item).name}; {allowed}."]
    given["unit"] = found
    return []


def _item(text: str) -> str | None:
    """Key of an item by its key or label, or by those of an order that is priced by its net; None for neither."""
    plain = _plain(takeoff_key(text.strip()))
    for key, row in tables.figure_words().items():
        if plain in (_plain(key), _plain(row["label"])):
            item = net_key(key) if ordered(key) or key.startswith("total_") else key
            if item in items():
                return item
    return None


def _unit(text: str, system: System) -> str:
    """A unit as the document writes it: "sq ft", "ft2" and "ft²" are "ft^2"; what is no unit comes back as it is."""
    plain = _plain(text).removeprefix("per ").replace("^", "").rstrip(".")
    head, _, rest = plain.partition(" ")
    if head in SQUARES and rest:
        plain = {"feet": "ft", "foot": "ft"}.get(rest, rest) + SQUARES[head]
    elif plain[-1:] in POWERS:
        plain = plain[:-1].strip() + POWERS[plain[-1]]
    others = {
        **({"gal": "US gal"} if system == "us" else {}),  # elsewhere it may be another gallon
        "inch": "in",
        "inche": "in",
        "ea": "each",
        "piece": "each",
        "ton": "",
        "litre": "L",
        "liter": "L",
        "us gallon": "US gal",
        "feet": "ft",
        "foot": "ft",
    }
    every = {unit.casefold(): unit for item in items() for unit in units_of(item)} | others
    return every.get(plain) or every.get(plain.removesuffix("s")) or text
