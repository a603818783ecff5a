"""The order list: each item once, with its size and everything else that a supplier must know, by supplier and by the
day of need; also without prices, as a request for quotes; on paper and as CSV.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from pondkit.core import tables
from pondkit.core.units import AREAL_MASS, LENGTH, Kind, System, figures, grouped, magnitude, pretty, show, unit_for
from pondkit.drawing.blocks import BLANK, Block, Fields, NewPage, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.rows import FigureRow, by_rule, by_tape
from pondkit.report import table
from pondkit.report.papers.quotation import Money
from pondkit.report.papers.sheet import Sheet, planned_mass
from pondkit.study.compare import currency_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.cost.compute import unit_price
from pondkit.trades.cost.formulas import exact
from pondkit.trades.cost.inputs import is_goods, net_key, ordered
from pondkit.trades.cost.quotation import plain
from pondkit.trades.cost.results import PricedLine
from pondkit.trades.liner.inputs import Fabric, Lining
from pondkit.trades.water.inputs.water import all_bodies

# Kind of goods of each group, and stage of the work before which it is needed; any other group stands under its
# own name.
BOUGHT: dict[str, tuple[str, str]] = {
    "totals": ("Gravel and stone yard", "5. Gravel, before the fill"),
    "lining": ("Liner and fabric", "2. Once the dig is measured, before laying"),
    "stone": ("Gravel and stone yard", "4. Stone, once the liner is protected"),
    "tunnels": ("Pipe and fittings", "3. Pipe, while the dig is open"),
    "water": ("Pumps, pipe and valves", "3. Pipe, while the dig is open"),
    "filter": ("Pumps, pipe and valves", "6. Filter, before the water runs"),
}
PAIR = 2  # people who set a stone by hand
HIRE, HIRED = "Hire", "4. Stone, once the liner is protected"
# Items that are needed at another stage than their group: beds are below the liner.
BEDDING = "1. Bedding, while the dig is open, before the liner"
EARLIER = {"bedding_order": BEDDING, "seat_order": BEDDING, "pipe_bedding_order": BEDDING}
ELSE = "As the work asks"
# Figures of the takeoff that are part of another row, so that nothing is ordered twice.
WITHIN = (
    "liner_length_order",
    "liner_width_order",
    "underlay_area_order",
    "overlay_area_order",
    "underlay_pad_order",
    "overlay_pad_order",
    "boulders_order",
    "edging_order",
    "pipe_length_order",
)
# Item of the price list for the same goods by another measure.
MEASURED = {
    "rolls_to_buy": "liner_area",
    "underlay_rolls": "underlay_area",
    "overlay_rolls": "overlay_area",
    "boulder_count": "boulders_order",
    "edging_count": "edging_order",
    "pipe_lengths_to_buy": "pipe_length",
}
# Figures whose subject is the size.
SIZES = ("fitting_count", "line_fitting_order", "line_valve_order", "line_pipe_order", "pipe_lengths_to_buy")
NAMES = {
    "boulder_count": "Boulder",
    "edging_count": "Edging stone",
    "fitting_count": "Fitting",
    "line_fitting_order": "Fitting",
    "line_valve_order": "Valve",
    "line_pipe_order": "Pipe of the pump's lines",
    "pipe_lengths_to_buy": "Passage pipe, stock length",
    "pump_order": "Pump",
    "total_gravel_volume": "Gravel, washed",
    "liner_area_order": "Liner",
    "rolls_to_buy": "Liner by the roll",
    "underlay_rolls": "Underlay, roll",
    "overlay_rolls": "Overlay, roll",
}


LINE = "________"  # a space to be filled in by pen


def to_fill(what: str) -> str:
    """A space to be filled in before the list is sent, for a property that the design does not give."""
    return f"{what}: {LINE}"


@dataclass(frozen=True)
class Good:
    """One row of the order list.

    Attributes:
        what, size, of: Name of the item, its size with everything else that a supplier must know, and the part that it
            is for.
        number, unit, text: Quantity as a plain number, its unit, and both as text for people.
        spare: Contingency beside the quantity.
        by_list: Quantity in the unit of the price list; "" if the list has no line for it.
        price: Price of one unit, as entered in the price list; "" if there is none.
        supplier: Supplier, as entered in the price list; "" if there is none.
        goods: Kind of goods, which replaces a supplier that is not entered.
        stage: Stage of the work before which it is needed.
        lead_days: Days before that stage on which it is ordered.
        key: Key of the figure in the takeoff; "" for a hired item.
    """

    what: str
    size: str
    of: str
    number: str
    unit: str
    text: str
    spare: str = ""
    by_list: str = ""
    price: str = ""
    supplier: str = ""
    goods: str = ""
    stage: str = ELSE
    lead_days: int = 0
    key: str = ""

    @property
    def seller(self) -> str:
        """The supplier, else the kind of goods."""
        return self.supplier or self.goods

    @property
    def open(self) -> tuple[str, ...]:
        """Parts of its size that are still to be filled in."""
        return tuple(re.findall(rf"(\w[\w ]*): {LINE}", self.size))


def bought(result: OptionResult, units: System) -> Iterator[Good]:
    """Everything to order, each item once and none of quantity zero: figures of the takeoff, further lines of the price
    list, and hired items.
    """
    priced = result.price.lines if result.price else ()
    rows = table.rows(result, units)
    say = _Sizes(result, rows, units)
    high, money = result.option.order_takes == "high", Money(currency_of(result))
    amounts = {row.subject: row for row in rows if row.key == "line_amount"}
    rolled = {row.subject.partition(" / ")[0] for row in rows if row.key == "rolls_to_buy"}
    met: set[int] = set()
    for row in rows:
        if not ordered(row.key) or row.value == "0" or row.key in WITHIN:
            continue
        if row.key == "liner_area_order" and row.subject in rolled:
            continue  # its rolls are ordered
        line = next(_lines_of(row, priced), None)
        by_list = ""
        if line is not None:
            met.add(id(line))
            by_list = _in_price_unit(amounts[line.amount.subject], high, line) if line.amount else ""
            by_list += " in all" * (bool(by_list) and not line.line.of and _has_further_names(row, rows))
        yield _order_row(row, high, by_list, _terms(line, money), say.size(row))
    for line in priced:
        if line.amount and id(line) not in met and not is_goods(line.line.item) and line.line.supplier:
            amount_rows = (row for row in rows if row.key == "line_amount" and row.subject == line.amount.subject)
            yield _service_row(next(amount_rows), high, line, money)
    yield from say.hired()


def _order_row(row: FigureRow, high: bool, by_list: str, terms: tuple[str, str, int], size: str) -> Good:
    """A row of the order list from a figure of the takeoff."""
    what = NAMES.get(row.key, row.label.removesuffix(" to order").removesuffix(" to buy"))
    number, text, spare = _ordered_quantity(row, high)
    (goods, stage), (price, supplier, days) = _goods_and_stage(row.key, row.group), terms
    of = row.subject
    if row.key in SIZES:
        size, of = ", ".join(filter(None, (row.subject, size))), ""
    elif row.key == "body_order":
        what, of = row.subject.capitalize(), ""
    what_of = (what, size, of, number, row.unit, text, spare)
    return Good(*what_of, by_list, price, supplier, goods, stage, days, row.key)


def _service_row(row: FigureRow, high: bool, line: PricedLine, money: Money) -> Good:
    """A row for work or goods of a supplier in the price list that no figure of the takeoff orders."""
    item = line.line.item
    number, text, _ = _ordered_quantity(row, high)
    (goods, stage), (price, supplier, days) = _goods_and_stage(item, tables.group_of(item)), _terms(line, money)
    by_list = _in_price_unit(row, high, line)
    return Good(row.subject, "", "", number, row.unit, text, "", by_list, price, supplier, goods, stage, days, item)


def _goods_and_stage(key: str, group: str) -> tuple[str, str]:
    goods, stage = BOUGHT.get(group, (tables.GROUPS[group], ELSE))
    return goods, EARLIER.get(key, stage)


def _in_price_unit(row: FigureRow, high: bool, line: PricedLine) -> str:
    """Quantity bought by a line of the price list, in the unit of its price."""
    each = unit_price(line.line)
    quantity = each.bought(row.entry.most if high and row.range_text else row.si_value, row.entry.kind)
    return f"{grouped(plain(quantity))} {each.unit}".strip()


def _terms(line: PricedLine | None, money: Money) -> tuple[str, str, int]:
    """(price of one unit, supplier, days before need) of a line of the price list."""
    if line is None:
        return "", "", 0
    unit = unit_price(line.line).unit
    price = "" if line.line.price is None else f"{money(exact(line.line.price))} {f'per {unit}' if unit else 'each'}"
    return price, line.line.supplier, line.line.lead_days


def _lines_of(row: FigureRow, priced: Sequence[PricedLine]) -> Iterator[PricedLine]:
    """Lines of the price list for a figure of the order: lines of its own item and name first, then lines of the same
    item by another measure, then lines for all names.
    """
    for item in filter(None, (net_key(row.key), MEASURED.get(row.key, ""))):
        for of in dict.fromkeys((row.subject, "")):
            yield from (line for line in priced if line.line.item == item and line.line.of == of)


def _has_further_names(row: FigureRow, rows: Sequence[FigureRow]) -> bool:
    """True if further rows of the order have the same item under other names."""
    return any(other.key == row.key and other.subject != row.subject for other in rows)


def _ordered_quantity(row: FigureRow, high: bool) -> tuple[str, str, str]:
    """(quantity as a number, quantity as text, contingency as text)."""
    if not row.range_text:
        return row.value, row.text, ""
    return (row.high, row.high_text, "in the order") if high else (row.value, row.text, row.spare_text)


class _Sizes:
    """Sizes and other properties that a supplier must know of each item."""

    def __init__(self, result: OptionResult, rows: Sequence[FigureRow], units: System) -> None:
        self.result, self.units = result, units
        self.option = result.option
        self.texts = {(row.key, row.subject): row.text for row in rows}
        self.rows = rows
        self.makers: dict[str, Callable[[str], str]] = {
            "liner_area_order": self._liner,
            "rolls_to_buy": self._roll,
            "underlay_rolls": lambda _: self._fabric(self.option.lining.underlay if self.option.lining else None),
            "overlay_rolls": lambda _: self._fabric(self.option.lining.overlay if self.option.lining else None),
            "boulder_count": self._boulder,
            "edging_count": self._edging,
            "total_gravel_volume": lambda _: self._loose(self.option.gravel_size, "gravel"),
            "seat_order": lambda _: self._loose(self.option.bedding_size, "crushed stone under bodies and walls"),
            "bedding_order": lambda _: self._loose(self.option.bedding_size, "bedding"),
            "pipe_bedding_order": lambda _: self._loose(self.option.bedding_size, "bedding under pipe"),
            "pump_order": self._pump,
            "pipe_lengths_to_buy": self._pipe,
            "media_order": self._media,
            "wall_stone_order": lambda _: to_fill("rock and size of its stones"),
            "body_order": self._body,
            "den_order": self._den,
        }

    def size(self, row: FigureRow) -> str:
        """Size and kind of a row's item; "" if its name is enough."""
        maker = self.makers.get(row.key)
        return maker(row.subject) if maker else ""

    def _length(self, value: float) -> str:
        """A size of goods: in feet and inches, or in metres to the centimetre."""
        return by_tape(value, self.units) if self.units == "us" else show(round(value, 2), LENGTH, self.units, "m")

    def _brief(self, value: float, kind: Kind, unit: str) -> str:
        """A property of goods in three digits, as the trade names it."""
        return f"{figures(magnitude(value, kind, unit), 3)} {pretty(unit)}"

    def _sheet_kind(self) -> str:
        lining = self.option.lining
        assert lining is not None
        thick = self._brief(lining.thickness, LENGTH, {"us": "mil", "si": "mm"}[self.units])
        return f"{lining.material or to_fill('material')}, {thick}"

    def _liner(self, name: str) -> str:
        size = f"{self.texts['liner_length_order', name]} × {self.texts['liner_width_order', name]}"
        return f"{self._sheet_kind()}, {size}, {self._sheets_and_seams(name)}"

    def _sheets_and_seams(self, name: str) -> str:
        """Number of sheets of which a liner is made, with the length of their seams."""
        sheets, seams = self.texts["panel_count", name], self.texts["seam_length", name]
        return "one sheet" if sheets == "1" else f"{sheets} sheets with {seams} of seams"

    def _roll(self, subject: str) -> str:
        lining, (name, _, roll) = self.option.lining, subject.partition(" / ")
        assert lining is not None
        of = next((each for each in lining.rolls if each.name == roll), None)
        size = f", {self._length(of.width)} × {self._length(of.length)}" if of else ""
        return f"{self._sheet_kind()}{size}; the liner is {self._sheets_and_seams(name)}"

    def _fabric(self, fabric: Fabric | None) -> str:
        if fabric is None:
            return ""
        mass = self._brief(fabric.mass, AREAL_MASS, unit_for(fabric.mass, AREAL_MASS, self.units))
        return f"geotextile, {mass}, {self._length(fabric.roll_width)} × {self._length(fabric.roll_length)}"

    def _boulder(self, name: str) -> str:
        stone = self.option.stone
        of = next((each for each in stone.boulders if each.name == name), None) if stone else None
        if stone is None or of is None:
            return ""
        axes = by_rule(of.axes, self.units)
        each, spread = self.texts.get(("boulder_mass", name), ""), self._spread("boulder_mass", name)
        return f"{stone.rock}, {of.form}, {axes}, each axis within {of.axes_within * 100:g} %; {each} each{spread}"

    def _spread(self, key: str, subject: str) -> str:
        range_text = next((row.range_text for row in self.rows if (row.key, row.subject) == (key, subject)), "")
        return f" ({range_text})" if range_text else ""

    def _edging(self, subject: str) -> str:
        stone, (pool, _, seat) = self.option.stone, subject.rpartition(" / ")
        of = next((e for e in stone.edging if (e.pool, e.seat) == (pool, seat)), None) if stone else None
        if stone is None or of is None:
            return ""
        sides = by_rule((of.along, of.across, of.height), self.units)
        in_all = self.texts.get(("edging_order", ""), "")
        return f"{stone.rock}, {sides}" + (f"; all edging together {in_all}" if in_all else "")

    def _pump(self, name: str) -> str:
        flow, head = self.texts.get(("pump_flow", name), ""), self.texts.get(("pump_head", name), "")
        power = self.texts.get(("pump_power", name), "")
        if not (flow and head):  # nothing of its curve is entered yet
            return to_fill("flow and head")
        return f"{flow} at a head of {head}" + (f", about {power}" if power else "")

    def _pipe(self, name: str) -> str:
        """Stock length and length in all, both to the tape's last place: what is printed can be multiplied."""
        rows = (row for row in self.rows if (row.key, row.subject) == ("pipe_length_order", name))
        whole = next((by_tape(row.si_value, self.units) for row in rows), "")
        plans = self.result.tunnels.order.cutting_plan if self.result.tunnels else ()
        stock = next((stock_length for pipe, stock_length, _ in plans if pipe == name), None)  # its own, if it has one
        return f"{by_tape(stock, self.units)} each, {whole} in all" if stock and whole else whole

    def _loose(self, size: str, name: str) -> str:
        """Grain size and mass of loose goods; the mass is known if rock and voids are entered."""
        mass, spread = self.texts.get(("class_mass", name), ""), self._spread("class_mass", name)
        kind = size or ("" if name == "gravel" else "crushed, ") + to_fill("size")
        return f"{kind}; {f'{mass}{spread} dry' if mass else to_fill('mass')}"

    def _media(self, subject: str) -> str:
        size = self.texts.get(("media_size", subject), "")
        return f"grain of {size}" if size else to_fill("kind and size")

    def _body(self, name: str) -> str:
        """Outer size of a basin, pit or filter, and its height above its seat."""
        water = self.option.water
        placed = next((body for body in (all_bodies(water) if water else ()) if body.name == name), None)
        if placed is None or not placed.size:
            return to_fill("size")
        body, size = placed.part, " × ".join(self._length(float(side)) for side in placed.size)
        high = None if body.rim is None or body.underside is None else float(body.rim) - float(body.underside)
        round_ = "round, " if body.round else ""
        return f"{round_}{size} outside, {to_fill('height') if high is None else f'{self._length(high)} high'}"

    def _den(self, name: str) -> str:
        """Inner size of a den chamber."""
        nodes = self.option.tunnels.nodes if self.option.tunnels else ()
        size = next((node.size for node in nodes if node.name == name), None)
        return f"{' × '.join(self._length(float(side)) for side in size)} inside" if size else to_fill("size")

    def _by_hand(self, mass: float) -> bool:
        """Whether two people carry a stone, each at the load entered for carrying, where neither machine nor sling is
        planned: common practice, no source.
        """
        stone = self.option.stone
        if self.option.lifting is not None or (stone is not None and (stone.slings or stone.rigging)):
            return False
        return mass <= PAIR * (self.option.lining or Lining()).carry

    def hired(self) -> Iterator[Good]:
        """Machine and slings, with the load for which they must be rated."""
        heaviest = next((row for row in self.rows if row.key == "heaviest_boulder"), None)
        if heaviest is None or heaviest.value == "0" or self._by_hand(heaviest.entry.most):
            return
        radii = [row for row in self.rows if row.key == "lift_radius"]
        far = max(radii, key=lambda row: row.si_value, default=None)
        radius = f"at {far.text} from its middle of slewing" if far else to_fill("at the radius it works at")
        mass = planned_mass(self.rows, heaviest.subject) or heaviest.text
        load = f"{mass}, the heaviest boulder at most"
        needed = [row for row in self.rows if row.key == "sling_length_needed"]
        longest = max(needed, key=lambda row: row.si_value, default=None)
        length = f", at least {longest.text} long" if longest else ""
        kinds = (
            ("Machine to set stone", f"rated by its chart for {load}, with its slings, {radius}"),
            ("Slings, as rigged", f"rated by the tag for {load}{length}, with edge protection"),
        )
        for what, size in kinds:
            yield Good(what, size, "", "1", "", "1", goods=HIRE, stage=HIRED)


TAKES = {
    "typical": "The order takes the typical figure; the contingency beside it, high less typical, is to be kept "
    "in hand.",
    "high": "The order takes the high figure of each: the contingency, high less typical, is in it.",
}
STAGES = (
    "The order of the stages is common practice, no source. Measure the hole as it was dug before any liner is cut."
)
ASKED = "Please give a price and the days to deliver for each line, with what you would supply in place of it."
TO_QUOTE = ("Price for one", "Amount", "Days to deliver")
RATED = (
    "Have the hire firm confirm what it rents: the machine by its own chart for the radius and the ground, each sling "
    "by its tag, with a person who is competent to plan and lead the lifts under your local code."
)


@dataclass(frozen=True)
class _Column:
    """One column of the list: head, text of a row, whether it is right-aligned, and not for a supplier."""

    head: str
    cell: Callable[[Good], str]
    right: bool = False
    own: bool = False


COLUMNS = (
    _Column("What", lambda good: good.what),
    _Column("Size and kind", lambda good: good.size),
    _Column("For", lambda good: good.of),
    _Column("Order", lambda good: good.text, right=True),
    _Column("Contingency", lambda good: good.spare, right=True, own=True),
    _Column("By the price list", lambda good: good.by_list, right=True, own=True),
    _Column("Price", lambda good: good.price, right=True, own=True),
    _Column("Needed", lambda good: good.stage.partition(".")[0] if good.stage[1:2] == "." else "", own=True),
    _Column("To be ordered", lambda good: f"{good.lead_days} days before" if good.lead_days else "", own=True),
)


def order(sheet: Sheet) -> Iterator[Block]:
    """The order list by supplier, then by the day of need."""
    yield from _list(sheet)


def quote_request(sheet: Sheet) -> Iterator[Block]:
    """The order list without prices, with a page for each supplier to fill in and send back."""
    job, firm = sheet.site.job, sheet.site.job.firm
    goods = list(bought(sheet.result, sheet.units))
    for number, (seller, lot) in enumerate(_by_seller(goods)):
        if number:
            yield NewPage()
        yield Fields(
            (
                ("To", lot[0].supplier),
                ("From", ", ".join(filter(None, (firm.name, *firm.contacts.splitlines())))),
                ("Deliver to", ", ".join(job.address.splitlines())),
                ("Needed on, reply by", ""),
            )
        )
        yield Text(ASKED, look="small")
        yield from titled(lot[0].supplier or seller, *_table(lot, asking=True))
        yield Fields(
            (("Delivery, for how many loads", ""), ("Tax", ""), ("Prices hold until", ""), ("Quoted by, on", ""))
        )


def _list(sheet: Sheet) -> Iterator[Block]:
    goods = list(bought(sheet.result, sheet.units))
    ranged = any(good.spare for good in goods)
    takes = f"{TAKES[sheet.result.option.order_takes]} " if ranged else ""
    yield Text(f"{takes}{STAGES}", look="small")
    missing = [
        f"{good.what}{f' for {good.of}' if good.of else ''}: {', '.join(good.open)}" for good in goods if good.open
    ]
    if missing:
        yield Text("; ".join(missing) + ".", lead="To be filled in before it is sent:", look="box")
    for seller, lot in _by_seller(goods):
        name = seller if lot[0].supplier else f"{seller}: ____________________"
        yield from titled(name, *_table(lot))
    early = any(good.lead_days for good in goods)
    days = ("Stage", "What must be there", "From", *(("To be ordered",) if early else ()), "Day")
    yield from titled("By day of need", tabled(days, _by_day(goods, early=early)))


def _by_seller(goods: Sequence[Good]) -> Iterator[tuple[str, list[Good]]]:
    """Each supplier with its goods, in the order in which they are needed."""
    for seller in dict.fromkeys(good.seller for good in goods):
        yield seller, sorted((good for good in goods if good.seller == seller), key=lambda good: good.stage)


def _table(lot: Sequence[Good], *, asking: bool = False) -> Iterator[Block]:
    """Table of one supplier's goods; in a request for quotes without prices, with columns to fill in."""
    columns = [column for column in COLUMNS if not (asking and column.own)]
    head = [*(column.head for column in columns), *(TO_QUOTE if asking else ())]
    right = [index for index, column in enumerate(columns) if column.right]
    blank = (BLANK,) * len(TO_QUOTE) if asking else ()
    if lot[0].goods == HIRE:
        yield Text(RATED, look="small")
    yield from tabled(head, [(*(column.cell(good) for column in columns), *blank) for good in lot], right)


def order_csv(sheet: Sheet, *, asking: bool = False) -> str:
    """The list as one plain table; in a request price and days are left to be filled in."""
    head = ("supplier", "goods", "what", "size", "for", "quantity", "unit", "contingency", "needed", "days before need")
    rows = [(*head, *(("price", "days to deliver") if asking else ("by price list", "price")), "key")]
    for good in bought(sheet.result, sheet.units):
        cells = (good.supplier, good.goods, good.what, good.size, good.of, good.number, good.unit, good.spare)
        last = ("", "") if asking else (good.by_list, good.price)
        rows.append((*cells, good.stage, str(good.lead_days or ""), *last, good.key))
    return table.csv_text(rows)


def quote_request_csv(sheet: Sheet) -> str:
    """The request for quotes as a table for suppliers to fill in."""
    return order_csv(sheet, asking=True)


def _by_day(goods: Sequence[Good], *, early: bool) -> Iterator[tuple[str, ...]]:
    """A row for each stage, supplier and lead time; within a stage the item to be ordered first comes first."""
    heads = {(good.stage, -good.lead_days, good.seller) for good in goods}
    for head in sorted(heads):
        batch = [good for good in goods if (good.stage, -good.lead_days, good.seller) == head]
        what = "; ".join(_briefly([good for good in batch if good.what == each]) for each in _names(batch))
        ahead = (f"{-head[1]} days before" if head[1] else "",) if early else ()
        yield head[0], what, head[2], *ahead, BLANK


def _names(goods: Sequence[Good]) -> dict[str, None]:
    return dict.fromkeys(good.what for good in goods)


def _briefly(goods: Sequence[Good]) -> str:
    """Several rows of one name in brief: the quantity of a single one, else the number of kinds."""
    first = goods[0]
    return f"{first.what} {first.by_list or first.text}" if len(goods) == 1 else f"{first.what}, {len(goods)} kinds"
