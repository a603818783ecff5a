"""The Streamlit page. It asks, calls and shows: figures come from ``study/evaluate.py``, pictures from ``report/``.

How to read it:

- ``main`` runs once after each change. It shows the ``header`` (title, views, undo, menus) and one view, or the
``start`` while no project is open. What lasts from one run to the next is one object, the desk in ``state``; only
callbacks change it: ``Desk.enter`` for a slider's step, ``Desk.edit`` for a step of its own.
- The views are ``sketch_view`` (plan, section, key figures), ``comparison`` (options side by side, and large for the
client) and ``figures`` (every figure with its working). What each trade brings to them stands in ``contents``.
- The controls: ``sidebar`` arranges those of the chosen trade, ``controls`` makes their rows from the declarations of
the inputs, and ``form`` shows the rows as one component. ``tables``, ``prices`` and ``images`` are the controls of
pasted lists, of prices, and of photos. Changes to lists and parts are functions of the document in ``edits``.
- The plan: ``handles`` are what can be dragged, ``tools`` what can be drawn, and ``plan_edit`` does what the events of
the plan ask for.
- ``keeping`` keeps the work in the browser, in a folder and in a link. ``components`` are the page's own Streamlit
components. While the hand moves, only what follows it runs and is sent (``components/live.py``).
"""

import gc

# Nearly all that is made at the start stays, and little of what a run makes refers back to itself. Collecting garbage
# as often as Python does by default takes a tenth of the start.
gc.set_threshold(50_000, 10, 10)
