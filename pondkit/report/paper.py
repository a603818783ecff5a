"""What all prints share: a page complete in itself, black and white safe, right on A4 and Letter; tables of figures."""

import html
from collections.abc import Iterable, Sequence

from pondkit.core.labels import GROUPS
from pondkit.core.units import System
from pondkit.drawing.rows import FigureRow
from pondkit.drawing.say import say_problem
from pondkit.study.evaluate import Results

# 186 mm is what A4 leaves between its margins, and 250 mm of height what Letter leaves: a page of either holds both.
_STYLE = """
@page { margin: 12mm; }
body { font: 10pt/1.4 sans-serif; color: #000; background: #fff; margin: 0 auto; max-width: 186mm; }
h1 { font-size: 16pt; margin: 0 0 2mm; } h2 { font-size: 12pt; margin: 6mm 0 1mm; break-after: avoid; }
h3 { font-size: 10pt; margin: 3mm 0 0; break-after: avoid; } p { margin: 1mm 0; }
figure { margin: 2mm 0; break-inside: avoid; } figure svg { display: block; overflow: hidden; }
figcaption { font-size: 8.5pt; }
svg text { font-family: sans-serif; } svg text.on { paint-order: stroke; stroke: #fff; stroke-width: 0.9px; }
table { border-collapse: collapse; width: 100%; font-size: 8.5pt; } th { border-bottom: 0.4mm solid #000; }
th, td { padding: 0.8mm 1.5mm; text-align: left; vertical-align: top; overflow-wrap: anywhere; }
th { overflow-wrap: normal; } td { border-bottom: 0.2mm solid #999; }
th.n, td.n { text-align: right; } td.n { white-space: nowrap; } td.blank { min-width: 24mm; }
tr { break-inside: avoid; }
table.figures { table-layout: fixed; } table.figures td { border: 0; }
table.figures tbody { break-inside: avoid; border-bottom: 0.2mm solid #999; }
table.figures td.n { white-space: normal; } table.figures tr.more td { padding: 0 1.5mm 0.8mm 6mm; }
.caution { font-style: italic; } .fault { border: 0.4mm solid #000; padding: 1mm 2mm; }
input, select {
  font: inherit; border: 0.2mm solid #777; width: 40mm; min-height: 6mm; box-sizing: border-box; background: #fff;
}
@media print { button { display: none; } }
"""
WIDTHS = "<colgroup><col width='30%'><col width='30%'><col width='18%'><col width='22%'></colgroup>"
HEAD = "<thead><tr><th>Figure</th><th>Of</th><th></th><th class=n>Range</th></tr></thead>"


def page(title: str, parts: Iterable[str], *, head: str = "") -> str:
    """A whole page: ``parts`` are markup, ``title`` and ``head`` are text."""
    e = html.escape
    return (
        "<!doctype html><html lang='en'><head><meta charset='utf-8'><meta name='viewport' "
        f"content='width=device-width'><title>{e(title)}</title>"
        f"<style>{_STYLE}</style></head><body><h1>{e(title)}</h1>{f'<p>{e(head)}</p>' if head else ''}"
        f"{''.join(parts)}</body></html>"
    )


def faults(results: Results, option: int, system: System) -> str:
    """What of an option could not be worked out, with the mend."""
    said = [
        say_problem(results.project, path, p, system)
        for path, p in results.problems
        if path[0] != "options" or path[1] == option
    ]
    return "".join(f"<p class='fault'>{html.escape(text)}</p>" for text in said)


def titled(title: str, *parts: str) -> str:
    """Parts under a heading; nothing where there are none."""
    inner = "".join(parts)
    return f"<h2>{html.escape(title)}</h2>{inner}" if inner else ""


def figures(rows: Sequence[FigureRow], *, working: bool) -> str:
    """Figures under the heading of their group, with their cautions; with the working of each where asked.

    Without the working a caution is written out at the first figure that calls for it, with a number by which the
    others name it.
    """
    e, parts = html.escape, []
    told: dict[str, int] = {}

    def caution(text: str) -> str:
        if working:
            return f"<br><span class='caution'>{e(text)}</span>"
        if text in told:
            return f"<span class='caution'>Caution {told[text]}.</span> "
        told[text] = len(told) + 1
        return f"<span class='caution'>Caution {told[text]}: {e(text)}</span> "

    for group, title in GROUPS.items():
        body = ""
        for row in (row for row in rows if row.group == group):
            more = (e(row.working) if working else "") + "".join(caution(text) for text in row.cautions)
            body += (
                f"<tbody><tr><td>{e(row.label)}</td><td>{e(row.subject)}</td><td class='n'><b>{e(row.text)}</b></td>"
                f"<td class='n'>{e(row.range_text)}</td></tr>"
                + (f"<tr class='more'><td colspan='4'>{more}</td></tr>" if more else "")
                + "</tbody>"
            )
        if body:
            parts.append(titled(title, f"<table class='figures'>{WIDTHS}{HEAD}{body}</table>"))
    return "".join(parts)
