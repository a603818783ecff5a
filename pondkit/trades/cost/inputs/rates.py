"""Money per unit, the person's own price list, and what a quotation states beside the prices: overhead and margin, tax,
discount, lines of its own, payment, terms."""

from typing import Annotated, ClassVar

from pydantic import Field

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
from pondkit.core.text import lines, text
from pondkit.core.units import System, pretty, system_of
from pondkit.trades.cost.inputs.items import UNITS, items, units_of

AREA = (0, "1000 per ft^2", ("0.05 per ft^2", "0.5 per m^2"))
VOLUME = (0, "10000 per yd^3", ("1 per yd^3", "1 per m^3"))
MASS = (0, "10000 per short ton", ("5 per short ton", "5 per tonne"))
HOUR = (0, "2000 per h", ("1 per h", "1 per h"))
AMOUNT = (0, 100000, (1, 1))
EFFORT = ("0 h", "500 h", ("0.05 h", "0.05 h"))
TAX = ("0 %", "50 %", ("0.25 %", "0.25 %"))
MOST_LINES = 200

Item = Annotated[str, Choice(tuple(items()), tuple(items().values()))]
Unit = Annotated[str, Choice(UNITS, tuple(map(pretty, UNITS)))]
Said = Annotated[str, text(60)]


class PriceLine(Part):
    title_of_part: ClassVar[str] = "price line"
    item: Item = ask("Item", help="Quantity of the takeoff; an order's own allowance and rounding are left out of it.")
    of: Said = ask("Only of", default="", help="One pipe, fitting, boulder … by its name; empty for all of them.")
    unit: Unit = ask("Unit", default="each", help="What the price, the unit of sale and the hours are for.")
    price: Money | None = ask("Price", *AMOUNT, default=None, help="For one unit, in the currency of the rates.")
    waste: Share = ask(
        "Waste", "0 %", "100 %", ("1 %", "1 %"), default="0 %", help="Bought on top of the net quantity."
    )
    sale_unit: Ratio = ask(
        "Unit of sale", *AMOUNT, default=0, help="Sold in whole multiples of so many units; 0: in any amount."
    )
    minimum: Ratio = ask("Minimum order", *AMOUNT, default=0, help="Fewest units that are sold; 0: no minimum.")
    labour: Time = ask("Labour for one unit", *EFFORT, default="0 h", help="Hours of one person, by your own records.")
    machine: Time = ask("Machine for one unit", *EFFORT, default="0 h", help="Hours of the machine, by your records.")
    load_size: Ratio = ask(
        "One load holds", *AMOUNT, default=0, help="So many units come in one delivery; 0: delivery is not counted."
    )
    load_price: Money | None = ask("Delivery of one load", *AMOUNT, default=None, help="Paid for each load.")
    tax: Share | None = ask("Tax", *TAX, default=None, help="Where it is not the rate that the quotation names.")
    supplier: Said = ask("Supplier", default="", help="Who it is ordered from.")
    lead_days: Whole = ask("Days before need", 0, 730, default=0, help="How long before the day of need it is ordered.")
    note: Annotated[str, lines(300)] = ask("Note", default="", help="For yourself.")


def next_line(lines: tuple[PriceLine, ...], system: System) -> PriceLine:
    """A line without a price for the first item that has none yet, in a unit of the system."""
    item = next((key for key in items() if key not in {line.item for line in lines}), next(iter(items())))
    fit = units_of(item)
    mine = [unit for unit in fit if system_of(f"1 {unit}") == system]
    return PriceLine(item=item, unit=mine[-1] if mine else fit[0])


class Rates(Part):
    title_of_part: ClassVar[str] = "rates"
    currency: Annotated[str, text(6, 1)] = ask("Currency", default="$", help="Sign or letters put before amounts.")
    note: Annotated[str, lines(300)] = ask("Note", default="", help="Where the rates come from.")
    dig: PriceVolume | None = ask("Dig", *VOLUME, default=None, help="Per bank volume dug.")
    haul: PriceVolume | None = ask("Haul away", *VOLUME, default=None, help="Per bank volume that leaves the site.")
    liner: PriceArea | None = ask("Liner", *AREA, default=None, help="Per area ordered.")
    underlay: PriceArea | None = ask("Underlay", *AREA, default=None, help="Per area ordered.")
    overlay: PriceArea | None = ask("Overlay", *AREA, default=None, help="Per area ordered.")
    boulders: PriceMass | None = ask("Boulders", *MASS, default=None, help="Per mass ordered.")
    edging: PriceMass | None = ask("Edging", *MASS, default=None, help="Per mass ordered.")
    wall_stone: PriceMass | None = ask(
        "Wall stone", *MASS, default=None, help="Of dry-stacked walls, per mass ordered."
    )
    crushed: PriceVolume | None = ask(
        "Crushed stone", *VOLUME, default=None, help="Under walls and bodies, per volume as compacted."
    )
    pipe_bedding: PriceVolume | None = ask(
        "Pipe bedding", *VOLUME, default=None, help="Under pipe and dens, per volume as compacted."
    )
    gravel: PriceVolume | None = ask("Gravel", *VOLUME, default=None, help="Per bulk volume ordered.")
    pipe: PriceLength | None = ask(
        "Pipe", 0, "1000 per ft", ("0.25 per ft", "0.5 per m"), default=None, help="Per length bought."
    )
    fittings: PriceEach | None = ask(
        "Fittings", 0, "5000 each", ("1 each", "1 each"), default=None, help="For one, all kinds alike."
    )
    contingency: Share | None = ask(
        "Contingency",
        "0 %",
        "100 %",
        ("1 %", "1 %"),
        default=None,
        help="Your own share of the total for what is not foreseen, shown beside it; the ranges of figures are "
        "no contingency.",
    )
    labour: PriceTime | None = ask("Labour", *HOUR, default=None, help="For an hour of one person.")
    machine: PriceTime | None = ask("Machine", *HOUR, default=None, help="For an hour of the machine with its driver.")
    lines: Annotated[tuple[PriceLine, ...], Field(max_length=MOST_LINES)] = ask(
        "Price list", default=(), help="Your own prices; a line takes the place of the rate for the same thing."
    )


def rate_label(name: str) -> str:
    """What a rate is called."""
    said = ask_of(Rates, name)
    assert said is not None
    return said.label


INCLUDED, OPTIONAL, ALTERNATIVE = "included", "optional", "alternative"
PER_CENT = ("1 %", "1 %")
Section = Annotated[str, Choice(tuple(tables.GROUPS), tuple(tables.GROUPS.values()))]
Stated = Annotated[str, text(120, 1)]
Thing = Annotated[str, text(120)]
LeftOut = Annotated[str, lines(3000)]
OwnText = Annotated[str, lines(8000)]


class QuoteLine(Part):
    title_of_part: ClassVar[str] = "quotation line"
    what: Stated = ask("What", default="work", help="As it stands in the quotation.")
    section: Section = ask("Section", default="price", help="Under which it stands.")
    quantity: Ratio = ask("Quantity", *AMOUNT, default=1, help="How many units.")
    unit: Annotated[str, text(20)] = ask("Unit", default="", help="Such as h, day or ft²; empty for one of a thing.")
    price: Money | None = ask(
        "Price", *AMOUNT, default=None, help="What one unit costs you; overhead and margin come on top of it."
    )
    kind: Annotated[str, Choice((INCLUDED, OPTIONAL, ALTERNATIVE))] = ask(
        "Kind", default=INCLUDED, help="What is optional, or an alternative, is not in the total."
    )
    instead_of: Thing = ask("Instead of", default="", help="What an alternative takes the place of.")
    tax: Share | None = ask("Tax", *TAX, default=None, help="Where it is not the quotation's own rate.")


class PaymentStep(Part):
    title_of_part: ClassVar[str] = "payment step"
    when: Stated = ask("When", default="on completion", help="What the payment falls due by.")
    share: Share | None = ask(
        "Share", "0 %", "100 %", PER_CENT, default=None, help="Of the total; one step without a share takes the rest."
    )


class Quotation(Part):
    title_of_part: ClassVar[str] = "quotation"
    number: Annotated[str, text(40)] = ask("Number", default="", help="Your own number of the quotation.")
    valid_days: Whole | None = ask(
        "Valid for", 1, 730, default=None, help="Days from the date of the job; empty: not stated."
    )
    overhead: Share = ask("Overhead", "0 %", "100 %", PER_CENT, default="0 %", help="On top of what the work costs.")
    margin: Share = ask(
        "Margin", "0 %", "80 %", PER_CENT, default="0 %", help="Share of the price that is left over cost and overhead."
    )
    discount: Share = ask("Discount", "0 %", "80 %", PER_CENT, default="0 %", help="Off all lines, before tax.")
    tax_name: Annotated[str, text(20, 1)] = ask("Tax is called", default="Tax", help="As it stands in the quotation.")
    tax: Share | None = ask(
        "Tax", *TAX, default=None, help="Rate of every line that states no other; empty: no tax is stated."
    )
    show_range: bool = ask("Show the range", default=False, help="What the ranges of quantities may add or save.")
    lines: Annotated[tuple[QuoteLine, ...], Field(max_length=100)] = ask(
        "Lines of its own", default=(), help="What no figure of the design stands for."
    )
    steps: Annotated[tuple[PaymentStep, ...], Field(max_length=12)] = ask(
        "Payment steps", default=(), help="What falls due when."
    )
    excluded: LeftOut = ask("Not included", default="", help="In words, one thing on each line.")
    terms: OwnText = ask("Terms", default="", help="Your own text; it is printed as it stands.")
