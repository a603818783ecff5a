"""A rough price of an option, and the quotation that is made of it.

How to read it: ``inputs.py`` is what a person enters (rates for kinds of goods and work, a price list line by line, the
terms of a quotation), with the items that can be priced and the file of the price list; ``formulas.py`` the relations,
decimals and cents; ``compute.py`` each line of the list for an option, then rolls, rates and hours, and their sum;
``results.py`` the figures, and each cost as a quotation takes it; ``quotation.py`` the arithmetic of the quotation;
``cautions.py`` and ``pictures.py`` what to heed and to show.

Choices, with their reasons:
- A price is for the amount ordered, at its high figure where goods are ordered at that; what is dug or carried keeps
its range.
- A line of the list takes the place of the rate for the same thing. Prices of liner rolls take the place of a price by
area, as they are what is paid; a line by the roll takes the place of the roll's own price. Whatever is replaced so is
named at the sum.
- What has a quantity and no price, or a price and no quantity, is named and never counted as 0; so is a load without
its price or its size.
- The figure ``contingency`` (high total less typical) is only what the few figures with a range may add; a person's own
share for what is not foreseen stands beside the sum as ``own_contingency``.
- Prices belong to the job: one list for all options, unless an option has prices of its own; a line of the list may
name a part that only one option has.
- Money is decimal, made from the text as typed; a quantity is priced as it is printed beside its price, so that
quantity times price is the amount, to the cent, and sums are those of the lines.
- In a quotation overhead comes on top of the cost, and margin is a share of the price; both are in the price of each
line and never printed for the client. Tax is worked out by rate, on the lines of that rate less their discount.
- A key that ends as an order does (``_order``, ``_to_buy``, ``_rolls``) can be priced unasked, so that a new trade's
goods need no row here.
"""
