"""Drawings to print: one self-contained HTML page an option, with its pictures, problems and takeoff."""

import html
import json
import re
from pathlib import Path
from typing import Any

import numpy as np

from pondkit.evaluate import Results
from pondkit.units import System
from pondkit.view import plan, pools, section, table
from pondkit.view.say import say_problem
from pondkit.view.script import plotly_script

_STYLE = """
body { font: 11pt/1.4 sans-serif; color: #222; margin: 12mm; max-width: 186mm; }
h1 { font-size: 16pt; margin: 0 0 2mm; } h2 { font-size: 12pt; margin: 6mm 0 1mm; } p { margin: 1mm 0; }
.picture { width: 186mm; break-inside: avoid; }
table { border-collapse: collapse; width: 100%; font-size: 8.5pt; }
th, td { border-bottom: 0.2mm solid #bbb; padding: 0.8mm 1.5mm; text-align: left; vertical-align: top; }
td.n { text-align: right; white-space: nowrap; } tr { break-inside: avoid; }
.caution { color: #7c2a1b; } .fault { border: 0.3mm solid #7c2a1b; padding: 1mm 2mm; }
@page { margin: 12mm; }
"""


def drawing(results: Results, option: int, system: System) -> str:
    """One option as a page to print, complete in itself.

    Args:
        results: The project worked out.
        option: Index of the option.
        system: Units on show.
    """
    result = results.options[option]
    site = results.project.site
    line = plan.shown_section(result, site.section)
    pictures: list[tuple[str, dict[str, Any], int]] = [
        ("Plan", plan.plan(result, system, limit=site.depth_limit, section=line), 130),
        *([("Section A–B", section.section(result, line, system, site.ground), 65)] if line else []),
        ("Zones", pools.zones([result], system, plan.deepest([result])), 50),
    ]
    e = html.escape
    faults = "".join(
        f"<p class='fault'>{e(say_problem(results.project, path, p, system))}</p>"
        for path, p in results.problems
        if path[1] == option
    )
    shapes = "".join(
        f"<h2>{e(title)}</h2><div class='picture' id='p{i}' style='height:{height}mm'></div>"
        for i, (title, _, height) in enumerate(pictures)
    )
    draw = "".join(
        f"Plotly.newPlot('p{i}',{_json(figure)},{{staticPlot:true,responsive:true}});"
        for i, (_, figure, _) in enumerate(pictures)
    )
    return (
        f"<!doctype html><html lang='en'><head><meta charset='utf-8'><title>{e(results.project.title)}: {e(result.option.name)}</title><style>{_STYLE}</style></head><body>"
        f"<h1>{e(results.project.title)}</h1><p>Option <b>{e(result.option.name)}</b>. {e(result.option.note)}</p>{faults}{shapes}{_takeoff(results, option, system)}"
        f"<script>{plotly_script()}</script><script>{draw}</script></body></html>"
    )


def _takeoff(results: Results, option: int, system: System) -> str:
    e = html.escape
    parts, group = [], ""
    for row in table.rows(results.options[option], system):
        if row.group != group:
            parts.append(
                ("</table>" if group else "")
                + f"<h2>{e(table.GROUPS[row.group])}</h2><table><tr><th>Figure</th><th>Of</th><th></th><th>Range</th><th>Working</th></tr>"
            )
            group = row.group
        cautions = "".join(f"<br><span class='caution'>{e(caution)}</span>" for caution in row.cautions)
        parts.append(
            f"<tr><td>{e(row.label)}</td><td>{e(row.subject)}</td><td class='n'><b>{e(row.text)}</b></td><td class='n'>{e(row.range_text)}</td><td>{e(row.working)}{cautions}</td></tr>"
        )
    return "".join(parts) + ("</table>" if group else "")


def _json(figure: dict[str, Any]) -> str:
    # A '</script>' in a name would end the page's script: its stroke is escaped, which JSON allows.
    return re.sub("</", "<\\\\/", f'{{"data":{_dumped(figure["data"])},"layout":{_dumped(figure["layout"])}}}')


def _dumped(value: Any) -> str:
    return json.dumps(
        value, default=lambda item: item.tolist() if isinstance(item, np.ndarray | np.generic) else str(item)
    )


def write_drawings(results: Results, out: Path, system: System) -> list[Path]:
    """Write every option's page into a folder, made if it is not there; returns the files."""
    out.mkdir(parents=True, exist_ok=True)
    written = []
    for index, result in enumerate(results.options):
        stem = "".join(c if c.isalnum() else "_" for c in result.option.name).strip("_") or "option"
        path = out / f"{index + 1}_{stem}.html"
        path.write_text(drawing(results, index, system), encoding="utf-8")
        written.append(path)
    return written
