"""What a quotation states beside the prices: overhead and margin, tax, discount, lines of its own, payment, terms."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core import labels
from pondkit.core.names import lines, text
from pondkit.core.part import Choice, Money, Part, Ratio, Share, Whole, ask
from pondkit.trades.cost.inputs.rates import AMOUNT, TAX

INCLUDED, OPTIONAL, ALTERNATIVE = "included", "optional", "alternative"
PER_CENT = ("1 %", "1 %")
Section = Annotated[str, Choice(tuple(labels.GROUPS), tuple(labels.GROUPS.values()))]
Said = Annotated[str, text(120, 1)]
Thing = Annotated[str, text(120)]
LeftOut = Annotated[str, lines(3000)]
OwnText = Annotated[str, lines(8000)]


class QuoteLine(Part):
    title_of_part: ClassVar[str] = "quotation line"
    what: Said = ask("What", default="work", help="As it stands in the quotation.")
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
    when: Said = ask("When", default="on completion", help="What the payment falls due by.")
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
