"""The command line: what is printed, where, and the exit code."""

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from pondkit import load, save
from pondkit.__main__ import main
from pondkit.report import table
from pondkit.report.papers import PAPERS, file_name
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_FILES, DEMO_NAMES, DEMOS, FULL_DESIGN, full, option, pool, read, small
from tests.report.papers import reading

COLUMNS = [
    "option",
    "subject",
    "key",
    "group",
    "label",
    "value",
    "unit",
    "si_value",
    "si_unit",
    "working",
    "source",
    "low",
    "high",
    "cautions",
    "text",
]
OVERLAP = small(options=[option("A", pools=[pool("one"), pool("two", at=["5 ft", "0 ft"])])])


@pytest.fixture
def written(tmp_path: Path) -> Any:
    """``written(data)`` puts data as JSON, or bytes as they are, into a file and gives its path."""

    def write(data: Any) -> str:
        path = tmp_path / "project.json"
        path.write_bytes(data if isinstance(data, bytes) else json.dumps(data).encode())
        return str(path)

    return write


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """(exit code, what was printed, what was said on stderr)."""
    code = main(arguments)
    out = capsys.readouterr()
    return code, out.out, out.err


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_demo_holds(capsys: pytest.CaptureFixture[str], name: str) -> None:
    code, out, err = told(capsys, "check", str(DEMO_FILES[name]))
    assert (code, err) == (0, "")
    assert all("to be filled in: " in line for line in out.splitlines())


def test_what_is_still_to_be_filled_in_is_told_with_what_waits_for_it_and_is_no_fault(
    capsys: pytest.CaptureFixture[str], written: Any
) -> None:
    whole = full()
    assert told(capsys, "check", written(whole))[0] == 0
    (drawn,) = whole["options"]
    del drawn["stone"]["slings"][0]["vertical"], drawn["water"]["pumps"][0]["curve"][1:], drawn["dig"]["backsight"]
    drawn["lifting"]["chart"] = []
    whole["site"]["groundwater"] = "-9 ft"
    code, out, err = told(capsys, "check", written(whole))
    assert (code, err) == (0, "")
    places = [line.split(": to be filled in")[0] for line in out.splitlines()]
    assert places == [
        "Prices",
        "Option 'A', stone, sling 'web', vertical rating",
        "Option 'A', lifting, lift chart",
        "Option 'A', water, pump 'one'",
        "Option 'A', dig, backsight",
        "Option 'A', dig, tape line 'long', tape over the hole",
    ]
    assert all(". Until then not worked out: " in line for line in out.splitlines())


def test_what_is_to_be_filled_in_is_told_in_any_encoding(written: Any) -> None:
    file = written(small(title="", options=[option("池")]))
    run = [sys.executable, "-m", "pondkit", "check", file]
    env = os.environ | {"PYTHONIOENCODING": "latin-1"}
    done = subprocess.run(run, cwd=DEMOS.parent, capture_output=True, timeout=60, check=False, env=env)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("units", [None, "us", "si"])
def test_json_holds_every_entry_with_its_columns(
    capsys: pytest.CaptureFixture[str], name: str, units: str | None
) -> None:
    file = str(DEMO_FILES[name])
    code, out, err = told(capsys, "takeoff", file, "--format", "json", *(["--units", units] if units else []))
    assert (code, err) == (0, "")
    records = json.loads(out, parse_constant=pytest.fail)
    project = load(file)
    rows = [row for result in evaluate(project).options for row in table.rows(result, units or project.units)]  # type: ignore[arg-type]
    assert len(records) == len(rows)
    for record, row in zip(records, rows, strict=True):
        assert list(record) == COLUMNS
        assert (record["option"], record["subject"], record["key"]) == (row.option, row.subject, row.key)
        assert record["si_value"] == row.si_value
        assert [record[name] for name in ("value", "low", "high")] == list(row.numbers.values())
        ends = [end for end in (record["low"], record["high"]) if end is not None]
        half = max((abs(end - record["value"]) for end in ends), default=0.0) / 2
        # as shown: four digits, 0.1 mm, and no digit that the range does not support
        assert record["value"] == pytest.approx(float(row.value), rel=5.1e-4, abs=max(0.1, half))
        assert record["text"] == row.text
        assert [each["text"] for each in record["cautions"]] == list(row.cautions)
        assert (record["low"] is None) == (row.low == "")


def test_csv_is_the_page_s_csv(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(FULL_DESIGN)
    code, out, _ = told(capsys, "takeoff", file, "--format", "csv", "--units", "si")
    assert code == 0
    assert out == table.takeoff_csv(evaluate(load(file)), "si")
    assert next(csv.reader(io.StringIO(out.removeprefix("\ufeff")))) == COLUMNS  # the takeoff alone


def test_the_summary_is_a_file_of_its_own_in_each_form(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(FULL_DESIGN)
    results = evaluate(load(file))
    code, out, _ = told(capsys, "summary", file, "--format", "csv", "--units", "si")
    assert (code, out) == (0, table.summary_csv(results, "si"))
    code, out, _ = told(capsys, "summary", file, "--format", "json")
    records = json.loads(out)
    assert code == 0
    assert all(list(record) == ["key", "label", "subject", "unit", "values", "differences"] for record in records)
    assert [record["key"] for record in records] == [row.key for row in table.summary_rows(results, "us")]
    code, out, _ = told(capsys, "summary", file)
    assert code == 0
    assert len(out.splitlines()) == 1 + len(records)


def test_the_summary_takes_its_differences_from_the_chosen_option(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "chosen.json"
    file.write_text(save(read(options=[option("A"), option("B")], chosen="B")), encoding="utf-8")
    code, out, _ = told(capsys, "summary", str(file), "--format", "csv")
    assert code == 0
    assert out.removeprefix("\ufeff").splitlines()[0] == "label,subject,unit,A,B,A less B,act,check,key"


def test_the_summary_of_a_file_in_trouble_says_why_and_exits_two(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    flat = pool(outline={"shape": "points", "points": [["0 ft", "0 ft"], ["1 ft", "0 ft"], ["2 ft", "0 ft"]]})
    file = tmp_path / "flat.json"
    file.write_text(save(read(options=[option(pools=[flat])])), encoding="utf-8")
    code, out, err = told(capsys, "summary", str(file), "--format", "csv")
    assert code == 2
    assert "outline" in err
    assert out.removeprefix("\ufeff").splitlines() == ["label,subject,unit,A,act,check,key"]


def test_the_table_is_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = told(capsys, "takeoff", str(DEMOS / "salamander_seep.json"))
    assert code == 0
    assert "Gross volume in all" in out
    assert " gal" in out


def test_a_problem_is_told_on_stderr_and_the_rest_printed(capsys: pytest.CaptureFixture[str], written: Any) -> None:
    code, out, err = told(capsys, "takeoff", written(OVERLAP), "--format", "json")
    assert code == 2
    assert err.startswith("Option 'A', pool 'two'")
    assert "overlaps 'one'" in err
    keys = {record["key"] for record in json.loads(out)}
    assert "gross_volume" in keys
    assert "total_gross_volume" not in keys


def test_check_tells_problems_in_the_units_asked_for(capsys: pytest.CaptureFixture[str], written: Any) -> None:
    code, out, err = told(capsys, "check", written(OVERLAP), "--units", "si")
    assert code == 2
    assert " m²" in err
    assert " m²" not in out


BAD = {
    "no JSON": (b"{oops", "not JSON"),
    "not UTF-8": (b'{"pondkit": 1, "title": "\xff\xfe"}', "UTF-8"),
    "empty": (b"", "empty"),
    "a list": ([1, 2], "a list"),
    "another version": (small(pondkit=7), "version"),
    "an unknown key": (small(options=[option(pool=[])]), "pools"),
    "a wrong kind": (small(options=[option(pools=[pool(level="3 kg")])]), "mass"),
    "NaN": (b'{"pondkit": 1, "options": NaN}', "NaN"),
    "seven options": (small(options=[option(str(i)) for i in range(7)]), "at most 6"),
}


@pytest.mark.parametrize("command", ["check", "takeoff", "drawings"])
@pytest.mark.parametrize("what", BAD)
def test_a_refused_file_is_told_in_plain_words(
    capsys: pytest.CaptureFixture[str], written: Any, tmp_path: Path, what: str, command: str
) -> None:
    data, said = BAD[what]
    more = ["--out", str(tmp_path / "out")] if command == "drawings" else []
    code, out, err = told(capsys, command, written(data), *more)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("path", ["no such file.json", "."])
def test_a_path_that_cannot_be_read_is_told(capsys: pytest.CaptureFixture[str], path: str) -> None:
    code, out, err = told(capsys, "check", path)
    assert (code, out) == (2, "")
    assert f"{path}: cannot be read" in err


def test_drawings_writes_the_papers_of_an_option_on_the_paper_asked_for(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file, out = str(FULL_DESIGN), tmp_path / "out"
    name = load(file).options[1].name
    asked = ("drawings", file, "--out", str(out), "--option", name, "--paper", "a4", "--units", "us")
    code, said, _ = told(capsys, *asked)
    assert code == 0
    files = sorted(out.iterdir())
    assert [str(path) for path in files] == sorted(said.split("\n")[:-1])
    papers = {path.name for path in files if path.suffix == ".pdf"}
    assert papers == {f"2_{file_name(name)}_{one.key}.pdf" if one.each_option else f"{one.key}.pdf" for one in PAPERS}
    for path in files:
        if path.suffix == ".pdf":
            assert path.read_bytes().startswith(b"%PDF-")
    assert reading.size((out / "first_visit.pdf").read_bytes()) == pytest.approx((210, 297), abs=0.1)  # ISO 216
    code, _, err = told(capsys, "drawings", file, "--out", str(tmp_path / "none"), "--option", "Q")
    assert code == 2 and "no option is called so" in err and not (tmp_path / "none").exists()


def test_the_schema_takes_every_demo_and_refuses_what_the_program_refuses(capsys: pytest.CaptureFixture[str]) -> None:
    """By jsonschema, a general library."""
    code, out, _ = told(capsys, "schema")
    assert code == 0
    schema = json.loads(out)
    check = jsonschema.Draft202012Validator(schema)
    check.check_schema(schema)
    for path in DEMOS.glob("*.json"):
        check.validate(json.loads(path.read_text(encoding="utf-8")))
    assert not check.is_valid(small(pondkit=2))
    assert not check.is_valid(small(options=[]))
    assert not check.is_valid(small(options=[option(pool=[])]))
    assert not check.is_valid(small(options=[option(pools=[pool(level=["3 in"])])]))
    assert not check.is_valid(small(options=[option(stone={"rock": "granit"})]))


@pytest.mark.parametrize(
    "arguments", [[], ["takeoff"], ["takeoff", "x", "--format", "pdf"], ["check", "x", "--units", "metric"]]
)
def test_a_command_that_is_none_is_explained(capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as end:
        main(arguments)
    assert end.value.code == 2
    assert "usage:" in capsys.readouterr().err


def test_the_package_runs_as_a_program_with_its_symbols_whole() -> None:
    """In a terminal of any encoding: the output is UTF-8 with the symbols of the table."""
    command = [sys.executable, "-m", "pondkit", "takeoff", str(DEMOS / "platypus_creek.json"), "--format", "csv"]
    done = subprocess.run(command, cwd=DEMOS.parent, capture_output=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode("utf-8-sig")
    assert "m²" in text
    assert "€" in text
    lines = [line for line in csv.reader(io.StringIO(text.replace("\r\n", "\n"))) if line]
    assert COLUMNS in lines


AIM = ["aim", "--figure", "total_gross_volume", "--target", "2000 gal", "--move", "pools.0"]


@pytest.fixture
def no_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fails where anything is searched for."""

    def search(*args: object) -> None:
        pytest.fail("a search was paid for")

    monkeypatch.setattr("pondkit.study.aim._figure", search)
    monkeypatch.setattr("pondkit.report.papers.PAPERS", ())


def test_an_out_that_cannot_be_written_is_told_before_a_search(
    capsys: pytest.CaptureFixture[str], written: Any, tmp_path: Path, no_search: None
) -> None:
    file = written(small())
    taken = tmp_path / "taken"
    taken.write_text("", encoding="utf-8")
    for out, words in (
        (taken, "this is a file"),
        (taken / "in", "cannot be made"),
        (Path("/proc/x"), "cannot be made"),
    ):
        code, printed, err = told(capsys, "drawings", file, "--out", str(out))
        assert (code, printed) == (2, "")
        assert words in err, out
        assert "Traceback" not in err
    for out, words in (
        (tmp_path, "this is a folder"),
        (tmp_path / "no" / "x.json", "there is no folder"),
        (taken / "x", "there is no folder"),
        (tmp_path / ("x" * 300), "no file can be written"),
    ):
        code, printed, err = told(capsys, *AIM, file, "--out", str(out))
        assert (code, printed) == (2, "")
        assert words in err, out


@pytest.mark.parametrize(
    "move",
    [
        "pools.0.__class__",
        "pools.²",
        "pools." + "9" * 5000,
        "pools.-1",
        "pools.0.tiers",
        "",
        ".",
        "pools.0.tiers.0.depth.x",
        "__dict__",
        "note",
    ],
)
def test_a_move_of_what_is_no_input_is_told(
    capsys: pytest.CaptureFixture[str], written: Any, no_search: None, move: str
) -> None:
    code, out, err = told(capsys, *AIM[:-1], move, written(small()))
    assert (code, out) == (2, "")
    assert "no such input" in err or "no single quantity" in err
    assert len(err) < 400


@pytest.mark.parametrize(
    "target", ["2000 g\nal", "2000\u2028gal", "", "9" * 5000, "2000 furlongs", "nan", "-1e308 gal", "1.1e15 m^3"]
)
def test_a_target_that_is_no_quantity_is_told(
    capsys: pytest.CaptureFixture[str], written: Any, no_search: None, target: str
) -> None:
    arguments = ["aim", "--figure", "total_gross_volume", "--target", target, "--move", "pools.0", written(small())]
    code, out, err = told(capsys, *arguments)
    assert (code, out) == (2, "")
    assert err.startswith("target: ")
    assert len(err) < 400


@pytest.mark.parametrize(
    "command", [["takeoff"], ["drives", "--figure", "gross_volume", "--of", "pool"], AIM, ["schema"]]
)
def test_an_output_that_cannot_take_a_symbol_is_told(written: Any, command: list[str]) -> None:
    """In a terminal of 7 bits, told before anything is worked out."""
    file = [] if command == ["schema"] else [written(small())]
    run = [sys.executable, "-m", "pondkit", *command, *file]
    done = subprocess.run(
        run,
        cwd=DEMOS.parent,
        capture_output=True,
        timeout=60,
        check=False,
        env=os.environ | {"PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 2
    assert done.stdout == b""
    assert b"set PYTHONIOENCODING=utf-8" in done.stderr
    assert b"Traceback" not in done.stderr


def test_a_name_that_the_output_cannot_take_is_told(written: Any) -> None:
    file = written(small(options=[option("池")]))
    run = [sys.executable, "-m", "pondkit", "takeoff", file]
    done = subprocess.run(
        run,
        cwd=DEMOS.parent,
        capture_output=True,
        timeout=60,
        check=False,
        env=os.environ | {"PYTHONIOENCODING": "latin-1"},
    )
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"\\u6c60" in done.stderr


def test_texts_of_an_older_file_are_mended_and_told(capsys: pytest.CaptureFixture[str], written: Any) -> None:
    code, out, err = told(capsys, "check", written(small(title="two\x07tones")))
    assert code == 0
    assert "title: " not in out
    assert "title: " in err
    assert "a space stands for each" in err


def test_a_check_of_a_small_file_loads_no_library_that_it_does_not_need(written: Any) -> None:
    heavy = {"networkx", "scipy.optimize", "scipy.special", "fluids", "PIL", "pandas", "plotly", "streamlit"}
    run = f"import sys; from pondkit.__main__ import main; main(['check', {written(small())!r}])"
    code = f"{run}; print(*sorted({heavy} & set(sys.modules)), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], cwd=DEMOS.parent, capture_output=True, timeout=60, check=True)
    assert done.stderr.strip() == b""
