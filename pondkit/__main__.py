"""Command line: takeoff, check, schema, drawings, aim, drives."""

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path

from pondkit.core.refusal import Refused
from pondkit.core.units import SYSTEMS, System
from pondkit.drawing.say import say_problem
from pondkit.project.files import load, save, schema
from pondkit.project.project import Project
from pondkit.report import aims, table
from pondkit.report.drawings import write_drawings
from pondkit.study.evaluate import Results, evaluate


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code: 0, or 2 where a file is refused or has problems."""
    parser = argparse.ArgumentParser(
        prog="python -m pondkit", description="Figures for natural-looking, recirculating ponds."
    )
    commands = parser.add_subparsers(dest="command", required=True)
    takeoff = commands.add_parser("takeoff", help="print every entry of every option")
    takeoff.add_argument("file", type=Path)
    takeoff.add_argument("--format", choices=("csv", "json", "table"), default="table")
    takeoff.add_argument("--units", choices=SYSTEMS, help="units on show; the file's own if left out")
    check = commands.add_parser("check", help="exit 0 if the file holds, or 2 with what is wrong")
    check.add_argument("file", type=Path)
    check.add_argument("--units", choices=SYSTEMS)
    commands.add_parser("schema", help="print the JSON Schema of a project file")
    drawings = commands.add_parser("drawings", help="write what is to be printed")
    drawings.add_argument("file", type=Path)
    drawings.add_argument("--out", type=Path, required=True)
    drawings.add_argument("--units", choices=SYSTEMS)
    reach = commands.add_parser("aim", help="reach a target by moving one input, or by scaling a pool")
    reach.add_argument("--target", required=True, help="what the figure shall be: '4500 gal', '900' of money")
    reach.add_argument(
        "--move",
        required=True,
        help="the input's place in the option, counted from 0: pools.0.tiers.1.depth; pools.0 scales it",
    )
    reach.add_argument("--out", type=Path, help="write the design that reaches it")
    drive = commands.add_parser("drives", help="which inputs move a figure most")
    drive.add_argument(
        "--by", type=float, default=0.1, help="change of each input, as a share of itself; a tenth if left out"
    )
    for one in (reach, drive):
        one.add_argument("file", type=Path)
        one.add_argument("--option", default="", help="its name; the first if left out")
        one.add_argument("--figure", required=True, help="its key in the takeoff")
        one.add_argument("--of", default="", help="the pool, liner … that it belongs to; left out for the option")
        one.add_argument("--units", choices=SYSTEMS)
    asked = parser.parse_args(arguments)
    if asked.command == "schema":
        print(json.dumps(schema(), indent=1, ensure_ascii=False))
        return 0
    try:
        project = load(asked.file)
    except Refused as refused:
        print("\n".join(refused.reasons), file=sys.stderr)
        return 2
    except OSError as error:
        print(f"{asked.file}: cannot be read ({error.strerror}).", file=sys.stderr)
        return 2
    system: System = asked.units or project.units
    if asked.command in ("aim", "drives"):
        return _aims(project, asked, system)
    results = evaluate(project)
    for path, problem in results.problems:
        print(say_problem(project, path, problem, system), file=sys.stderr)
    if asked.command == "takeoff":
        print(_takeoff(results, asked.format, system), end="")
    elif asked.command == "drawings":
        for written in write_drawings(results, asked.out, system):
            print(written)
    return 2 if results.problems else 0


def _aims(project: Project, asked: argparse.Namespace, system: System) -> int:
    """Run ``aim`` or ``drives``; what is wrong goes to stderr."""
    try:
        at = aims.option_at(project, asked.option)
        if asked.command == "drives":
            print(aims.drives_text(project, at, asked.figure, asked.of, asked.by, system))
            return 0
        found, said = aims.aim_text(
            project, at, asked.figure, asked.of, asked.target, aims.path_of(at, asked.move), system
        )
    except Refused as refused:
        print("\n".join(refused.reasons), file=sys.stderr)
        return 2
    if found is None:
        print(said, file=sys.stderr)
        return 2
    print(said)
    if asked.out:
        asked.out.write_text(save(found), encoding="utf-8")
    return 0


def _takeoff(results: Results, form: str, system: System) -> str:
    if form == "csv":
        return table.takeoff_csv(results, system)
    written = [row for option in results.options for row in table.rows(option, system)]
    if form == "table":
        return table.table_text(written) + "\n"
    return json.dumps([_record(row) for row in written], indent=1, ensure_ascii=False) + "\n"


def _record(row: table.Row) -> dict[str, object]:
    """A row for JSON: numbers as numbers, cautions as a list."""
    numbers = {name: float(text) if (text := getattr(row, name)) else None for name in ("value", "low", "high")}
    cautions = [{"rank": each.rank, "key": each.key, "text": str(each)} for each in row.cautions]
    return table.record(row) | numbers | {"si_value": row.si_value, "cautions": cautions}


if __name__ == "__main__":
    sys.exit(main())
