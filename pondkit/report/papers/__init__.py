"""The papers: each a PDF, typeset from blocks of plain text, tables and drawings at a true scale.

To add a paper:

- Write a function that takes a ``Sheet`` (``papers/sheet.py``: results, option, units, size of the paper) and yields
blocks of ``drawing/blocks.py``, in the order in which they are read: ``Heading``, ``Text``, ``Items``, ``Table``,
``Picture``, ``Fields``, ``Signature``, ``Grid``, ``Beside``, ``NewPage``. Headings are those of its parts: title, job
and page number stand on every page by themselves. ``table(...)`` and ``titled(...)`` leave out what is empty.
- All words are plain text. Nothing in them is markup, whoever typed it; a cell of ``BLANK`` is left for the pen.
- A drawing comes from ``drawing/to_scale.py: scaled`` or ``drawing/charts.py: charted``, with ``sheet.room``.
- Give it a row in ``PAPERS`` (``report/drawings.py``). Page, command line and the tests of all papers then have it.

Numbers come from ``report/table.py: rows`` or ``core/units.py: show``, as everywhere.
"""
