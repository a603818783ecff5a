"""The water side: intake, pumps, lines, filter, falls and channels, levels, waste and oxygen, and the year's water.

How to read it: ``inputs`` is what is entered: in ``pumping`` pipes, lines, pumps, intake and pump pit, in ``water`` the
filter, load and weather, and the whole. ``formulas`` are the relations: ``pumping``, ``filters``, and ``open_water``
for crests, channels, levels and weather. ``results`` hold the figures, by key. ``compute`` puts them together:
``running_water`` brings into balance, for pools at rest, pumps, lines and intake (``pumping``, ``lines``), the
watercourse over the crests (``levels``) and its links (``links``), and adds filter, ammonia and oxygen
(``filtration``). It needs levels and areas of the pools, and no volume. ``compute`` adds what needs volumes (``year``),
the pump that is required (``pump_wanted``) and what is ordered (``lines``). ``flotation`` is asked for by itself.
``faults`` are problems of the inputs, ``cautions`` what to heed at a figure, ``new_parts`` starting values of new
parts. ``pictures`` take results.

Words: a *body* is an intake basin, a pump pit or a part of the filter, never a pool. A *line* is a pump's pipe, the
main, a branch, or the passage between the filter's bodies. A *link* is a fall or a channel from pool to pool, and
begins at a *crest*. The *source* is the pool that the pumps draw from.

Choices, with their reasons:

- Low, typical, high: the water is solved for each *case* of the coefficients. Low losses give the greatest flow; low
crest coefficients the highest heads. Bores, voids and contractions work the other way and take the opposite end.
- Ranges: the running water is solved at typical coefficients and at both ends of all head losses (K of the tables,
hoses, voids, bores of own pipes, stopped pumps), each with both ends of the crests, and each figure spans what comes
out. The tables of K alone change a pump's flow by -5 to +9 %. A run takes about 3 ms of processor time, all four ends
12 ms; a change of a pool's depths needs none of them.
- Levels and flow are settled round by round. Where much water is in transit over a small pool, the rounds swing, and a
solver for several unknowns takes over.
- One trade: as hydraulics and treatment apart, the two imported each other 23 times.
- The constants of evaporation differ from site to site (Singh and Xu 1997): a leak is reported only where the measured
fall exceeds the top of evaporation's range.
- Nitrification was measured at 27.2 °C; a printed factor with its range corrects it to the water's temperature.
- A crest between side walls works over its full width, one in a wider pool is contracted (Francis); where that is
unknown, the range spans both.
- Pipe whose sizes were not found in print (EN ISO 1452, flexible PVC hose) is entered as a person's own pipe
(``inputs.pumping.OwnPipe``). Water side and tunnels each have a list of own pipes; a name counts in its own trade.
- The solvers of pumps and of passages stay apart: see ``solvers.pipe_network``.
"""
