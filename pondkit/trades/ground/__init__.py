"""Existing ground: level, one even fall, a survey's points, or a level book.

How to read it: ``inputs`` -> ``compute`` checks and reduces a level book, and makes a terrain and the figures of
``results`` by ``formulas`` -> ``pictures`` draw them. What to heed is in ``cautions``.

Choices: Levels of a book or survey count from any benchmark; ``datum`` says which of them the site counts as 0. The
site's own range (60 ft) holds differences from it, so that pools and groundwater keep sliders that can be dragged. A
book
    that misses its closing level by more than is allowed makes no ground: a wrong level is worse than none. Beyond the
        survey the ground goes on at the level of its nearest edge, and what relies on that says so.
"""
