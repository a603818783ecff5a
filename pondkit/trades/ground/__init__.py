"""Existing ground: level, one even fall, a survey's points, or a level book.

Start with ``inputs``. ``compute`` checks and reduces a level book, and makes from any of the four a terrain and, by
``formulas``, the figures of ``results``. ``pictures`` draws contours and survey points; ``cautions`` holds the
cautions. ``soils.csv`` lists the soils that a site may have, with their steepest temporary slopes; other trades read
it by ``core/tables.py``.

Choices, with their reasons:

- Levels of a level book or survey count from any benchmark; ``datum`` says which of them the site counts as 0. The
  site's own levels reach 60 ft either way of that, so that their sliders stay fine enough to drag.
- A level book that misses its closing level by more than is allowed gives no ground: a wrong level is worse than none.
- Beyond the survey the ground goes on at the level of its nearest edge, and figures that rely on that say so.
"""
