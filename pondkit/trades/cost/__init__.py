"""A rough price of an option, and the quotation that is made of it.

How to read it: ``inputs.py`` holds what a person enters (a rate for each kind of goods, and a price list line by line),
which figures of the takeoff can be priced and which of them each rate is for, and the list as a table; ``formulas.py``
the relations, decimals and cents; ``compute.py`` each line of the list against the option, all prices and their sum;
``results.py`` what comes of it; ``quotation.py`` the arithmetic of a quotation; ``cautions.py`` and ``pictures.py``
what to heed and to show.

Choices, with their reasons:
- A price is on what is ordered, and at its high figure where the order takes that; what is dug or carried keeps its
  range.
- A line takes the place of the rate for the same thing; the prices of liner rolls take the place of a price by area, as
  they are what is paid; a line by the roll takes the place of the roll's own price. What gives way is named at the sum.
- What has a quantity and no price, or a price and no quantity, is named and never counted as 0.
- ``contingency`` (high total less typical) is only what the few figures with a range may add; a person's own per cent
  stands beside the sum as ``own_contingency``.
- Prices belong to the job: one list for all options, unless an option has prices of its own; a line of the list may
  name a part that only one option has.
- Money is decimal, made from the text as typed; a quantity is priced as it is printed beside its price, so that
  quantity times price is the amount, to the cent, and sums are those of the lines.
- In a quotation overhead comes on top of the cost, and margin is a share of the price; both are in the price of each
  line and never printed for the client. Tax is worked out by rate, on the lines of that rate less their discount.
- A key that ends as an order does (``_order``, ``_to_buy``, ``_rolls``) can be priced unasked, so that a new trade's
  goods need no row here.
"""
