"""Command line: takeoff, summary, check, schema, drawings, aim, drives."""

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from pondkit.core.refusal import Refused
from pondkit.core.units import SYSTEMS, System
from pondkit.drawing.rows import say_problem, say_to_fill
from pondkit.project.files import load_mended, save, schema
from pondkit.project.project import Project
from pondkit.study.evaluate import Results, evaluate

# What a command prints or writes with is loaded by that command: `check` needs none of it.

SYMBOLS = "²³°–×€"  # what figures are printed with


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code: 0, or 2 where a file is refused or has problems, or nothing can be
    written.
    """
    request = _parser().parse_args(arguments)
    try:
        if request.command != "check":
            _check_symbols()
        return _run(request)
    except Refused as refused:
        print("\n".join(refused.reasons), file=sys.stderr)
    except UnicodeEncodeError as error:
        print(_no_symbol(error.object[error.start], error.encoding), file=sys.stderr)
    except (
        BrokenPipeError
    ):  # whoever read the output has stopped: nothing more is written, at the end of the program neither
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        print(f"{error.filename or 'the output'}: cannot be written ({error.strerror}).", file=sys.stderr)
    return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m pondkit", description="Figures for natural-looking, recirculating ponds."
    )
    commands = parser.add_subparsers(dest="command", required=True)
    takeoff = commands.add_parser("takeoff", help="print every entry of every option")
    takeoff.add_argument("file", type=Path)
    takeoff.add_argument("--format", choices=("csv", "json", "table"), default="table")
    takeoff.add_argument("--units", choices=SYSTEMS, help="units on show; the file's own if left out")
    summary = commands.add_parser("summary", help="print the table that compares options")
    summary.add_argument("file", type=Path)
    summary.add_argument("--format", choices=("csv", "json", "table"), default="table")
    summary.add_argument("--units", choices=SYSTEMS, help="units on show; the file's own if left out")
    check = commands.add_parser("check", help="exit 0 if the file holds, or 2 with what is wrong")
    check.add_argument("file", type=Path)
    check.add_argument("--units", choices=SYSTEMS)
    commands.add_parser("schema", help="print the JSON Schema of a project file")
    drawings = commands.add_parser("drawings", help="write the papers as PDF")
    drawings.add_argument("file", type=Path)
    drawings.add_argument("--out", type=Path, required=True)
    drawings.add_argument("--paper", choices=("letter", "a4"), help="its size; usual with the units if left out")
    drawings.add_argument("--option", default="", help="its name; all options if left out")
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
    for command in (reach, drive):
        command.add_argument("file", type=Path)
        command.add_argument("--option", default="", help="its name; the first if left out")
        command.add_argument("--figure", required=True, help="its key in the takeoff")
        command.add_argument("--of", default="", help="the pool, liner … that it belongs to; left out for the option")
        command.add_argument("--units", choices=SYSTEMS)
    return parser


def _run(request: argparse.Namespace) -> int:
    """Run a command that was read.

    Raises: Refused with what is wrong; OSError where something cannot be written; UnicodeEncodeError where it cannot
    be printed.
    """
    if request.command == "schema":
        print(json.dumps(schema(), indent=1, ensure_ascii=False))
        return 0
    try:
        project, mended = load_mended(request.file)
    except OSError as error:
        raise Refused(f"{request.file}: cannot be read ({error.strerror}).") from None
    for text in mended:
        print(text, file=sys.stderr)
    system: System = request.units or project.units
    if request.command in ("aim", "drives"):
        return _aims(project, request, system)
    if request.command == "drawings":
        _check_option(project, request.option)
        _make_folder(request.out)
    results = evaluate(project)
    for path, problem in results.problems:
        print(say_problem(project, path, problem, system), file=sys.stderr)
    if request.command == "check":
        for path, item in results.to_fill:
            print(_printable(say_to_fill(project, path, item, system)))
    elif request.command == "takeoff":
        print(_takeoff(results, request.format, system), end="")
    elif request.command == "summary":
        print(_summary(results, request.format, system), end="")
    elif request.command == "drawings":
        from pondkit.report.papers import write_drawings

        for written in write_drawings(results, request.out, system, request.paper, request.option):
            print(written)
    return 2 if results.problems else 0


def _aims(project: Project, request: argparse.Namespace, system: System) -> int:
    """Run ``aim`` or ``drives``; why a target is not reached goes to stderr."""
    from pondkit.report import aims

    option = aims.option_at(project, request.option)
    if request.command == "drives":
        print(aims.drives_text(project, option, request.figure, request.of, request.by, system))
        return 0
    if request.out:
        _check_file(request.out)
    design, message = aims.aim_text(
        project, option, request.figure, request.of, request.target, aims.path_of(option, request.move), system
    )
    if design is None:
        print(message, file=sys.stderr)
        return 2
    if request.out:
        request.out.write_text(save(design), encoding="utf-8")
    print(message)
    return 0


def _check_option(project: Project, name: str) -> None:
    """Refuse the name of an option that is not there, before anything is written."""
    names = [option.name for option in project.options]
    if name and name not in names:
        raise Refused(f"--option {name!r}: no option is called so; the options are {', '.join(names)}.")


def _make_folder(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise Refused(f"--out {path}: this is a file; write the name of a folder.") from None
    except OSError as error:
        raise Refused(f"--out {path}: the folder cannot be made ({error.strerror}); write another place.") from None


def _check_file(path: Path) -> None:
    """Refuse, before anything is searched for, a place at which no file can be written."""
    try:
        if path.is_dir():
            raise Refused(f"--out {path}: this is a folder; write the name of a file in it.")
        if not path.parent.is_dir():
            raise Refused(f"--out {path}: there is no folder {path.parent}; make it, or write another place.")
        there = path.exists()
    except OSError as error:
        raise Refused(f"--out {path}: no file can be written there ({error.strerror}).") from None
    if not os.access(path if there else path.parent, os.W_OK):
        raise Refused(f"--out {path}: no file can be written there (not allowed); write another place.")


def _check_symbols() -> None:
    """Refuse an output that cannot take the symbols of figures, before anything is worked out for it."""
    encoding = getattr(sys.stdout, "encoding", None)
    errors = getattr(sys.stdout, "errors", None)
    try:
        SYMBOLS[:2].encode(encoding or "utf-8", errors or "strict")
    except UnicodeEncodeError as error:
        raise Refused(_no_symbol(error.object[error.start], error.encoding)) from None


def _printable(text: str) -> str:
    """A text that the output can take in its encoding, whatever names are in it: nothing that is only told fails."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    return text.encode(encoding, "backslashreplace").decode(encoding)


def _no_symbol(symbol: str, encoding: str) -> str:
    return (
        f"The output cannot take {symbol!a} in its encoding, {encoding}; set PYTHONIOENCODING=utf-8 and run it again."
    )


def _takeoff(results: Results, form: str, system: System) -> str:
    from pondkit.report import table

    if form == "csv":
        return table.takeoff_csv(results, system)
    written = [row for option in results.options for row in table.rows(option, system)]
    if form == "table":
        return table.table_text(written) + "\n"
    return _json([table.json_record(row) for row in written])


def _summary(results: Results, form: str, system: System) -> str:
    from pondkit.report import table
    from pondkit.study.compare import chosen

    against = chosen(results.project)
    if form == "csv":
        return table.summary_csv(results, system, against)
    if form == "table":
        return table.summary_text(results, system, against) + "\n"
    return _json(table.summary_records(results, system, against))


def _json(records: list[dict[str, object]]) -> str:
    return json.dumps(records, indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.exit(main())
