"""The water side: intake, pumps, lines, filter, falls and channels, levels, waste and oxygen, and the year's water.

How to read it: ``inputs`` is what is asked for; ``formulas`` are the relations, by topic; ``results`` all that others
may import; ``compute`` puts it together. ``running_water`` brings pumps and lines (``pumping``, ``lines``), levels and
links (``levels``, ``links``) and the bodies that the water runs through into balance, for pools at rest, whatever
their tiers; ``compute`` adds the filter's figures and losses (``filtration``), what depends on volumes (``year``),
what pump is wanted (``pump_wanted``), and what is ordered (``lines``). ``flotation`` is asked for by itself;
``faults`` says what is wrong with what is drawn, ``cautions`` what to heed, and ``new_parts`` draws new bodies and
lines. ``pictures`` take results.

Choices, with their reasons:

- One trade: parted into hydraulics and treatment it had 23 imports to and fro.
- Ranges: the running water is solved at typical coefficients and at both ends of all that takes head (K of the tables
that ship, hoses, voids, bores of own pipes, idle pumps), each with both ends of the crests' coefficients, and each
figure spans what comes out. K tables alone move a pump's flow by -5 and +9 %. A run costs about 3 ms of processor
time, so the four ends cost 12 ms when cold; no tier moves them.
- Evaporation's constants differ from site to site (Singh and Xu 1997): a leak is told only where it exceeds them.
- Nitrification was measured at 27.2 °C; a factor from print with its range carries it to the water's temperature.
- A crest between side walls passes all its width, one in a wider pool is contracted (Francis); where that is unknown
the range spans both.
- Pipe without print (EN ISO 1452, flexible PVC hose) is entered as a person's own pipe (``inputs.pumping.OwnPipe``).
Water side and tunnels each have a list of them; a name counts in its own trade.
- The solvers of pumps and of passages stay apart: see ``solvers.pipe_network``.
"""
