"""The first-visit checklist: what to measure and to ask, filled in by pen or on the screen; the answers load back as
the site.
"""

import html
import json

from pondkit.core.part import ask_of, choices_in, get
from pondkit.core.units import Entered, System
from pondkit.drawing.blocks import BLANK
from pondkit.drawing.cells import listed
from pondkit.project.answers import KIND, VISIT, fields_of_site
from pondkit.report.paper import page, titled
from pondkit.study.evaluate import Results

KINDS = (("plane", "falls one way"), ("level", "level"))
# What a visit must bring home that no field of the site holds.
ASK = (
    "Which animals, how many, and how large they grow; licences held or needed",
    "Who decides, the budget, and the day it must be ready",
    "Buried services: located, and by whom",
    "Overhead lines, septic field, wells, trees to keep with their root spread",
    "Electric supply near the pond, and its protection",
    "Access for machine and truck: narrowest gate, turns, bearing of the drive",
    "Where spoil and stone can lie; where storm water runs and may go",
    "Local rules on barriers, water, protected animals and distances to boundaries",
    "Two fixed points (corners of a building) and the benchmark: mark and photograph them",
    "Levels by rod at the corners of the pond: height of instrument, backsight, rod readings",
)
_SAVE = """
document.getElementById('save').onclick = () => {
  const answers = {};
  for (const f of document.querySelectorAll('[data-field]'))
    if (f.value.trim()) answers[f.dataset.field] = f.value.trim();
  const text = JSON.stringify({ pondkit_visit: %d, answers }, null, 1);
  const a = document.createElement('a');
  a.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  a.download = 'first_visit.json'; a.click();
};
"""


def checklist(results: Results, option: int, system: System) -> str:
    """The checklist of a project; ``option`` and ``system`` are not needed, as it is for the site and holds no figure
    worked out.
    """
    del option, system
    e, site = html.escape, results.project.site
    lines = ""
    for name, part, field in fields_of_site():
        said = ask_of(part, field)
        assert said is not None
        try:
            held = get(site, tuple(name.split(".")))
        except AttributeError:  # the ground that is drawn has no such field
            held = None
        now = "not known" if held is None else held.text if isinstance(held, Entered) else str(held)
        names = [(choice, choice) for choice in choices_in(part, field)]
        box = _choice(name, said.label, names) if names else _box(name, said.label)
        lines += f"<tr><td>{e(said.label)}</td><td>{e(said.help)}</td><td>{e(now)}</td><td>{box}</td></tr>"
    kind = (
        "<tr><td>Lie of the ground</td><td>Level, or one even "
        f"fall.</td><td>{e(site.ground.kind)}</td><td>{_choice(f'ground.{KIND}', 'Lie of the ground', KINDS)}</td></tr>"
    )
    table = f"<table><tr><th>Measure</th><th>What is meant</th><th>So far</th><th>Found</th></tr>{kind}{lines}</table>"
    return page(
        f"{results.project.title or 'Pond'}: first visit",
        [
            titled("Measure", table, "<p><button id='save' type='button'>Save the answers</button></p>"),
            titled("Ask and look", listed(("Question", "Answer"), ((question, BLANK) for question in ASK))),
            f"<script>{_SAVE % VISIT}</script>",
        ],
        head="Fill in by pen, or on the screen and save: File, Answers of a first visit then sets the site. An "
        "empty field leaves it as it is.",
    )


def _box(name: str, label: str) -> str:
    return f"<input data-field={json.dumps(name)} aria-label='{html.escape(label, quote=True)}'>"


def _choice(name: str, label: str, choices: list[tuple[str, str]] | tuple[tuple[str, str], ...]) -> str:
    options = "".join(f"<option value='{html.escape(value)}'>{html.escape(text)}</option>" for value, text in choices)
    return (
        f"<select data-field={json.dumps(name)} aria-label='{html.escape(label, quote=True)}'><option "
        f"value=''></option>{options}</select>"
    )
