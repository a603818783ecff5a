"""Answers of a first visit, entered into the site: the visit's table, filled in with a spreadsheet program; or a JSON
object with "pondkit_visit": 1 and "answers" by name of the field.
"""

import csv
import io
import json
from collections.abc import Iterator
from typing import Any, get_args

from pondkit.core.part import Part, ask_of, choices_in, get
from pondkit.core.refusal import Refused, spreadsheet_cell, spreadsheet_text
from pondkit.core.units import Entered
from pondkit.project.files import plain, put
from pondkit.project.project import Job, Project, Site

VISIT = 1
KIND = "kind"
# columns of the table; only the first and the last are read
HEAD = ("name", "measure", "what is meant", "so far", "found")
MOST_CHOICES = 6  # choices up to which all are listed with a question


def fields_of_site(part: type[Part] = Site, head: str = "") -> Iterator[tuple[str, type[Part], str]]:
    """(dotted name, class of the part that declares it, field) of every single value of the site that is measured or
    asked for there, each once. Left out are kinds of a part, lists, pairs, and the job, which has its own card.
    """
    met = set()
    for name, field in part.model_fields.items():
        if field.annotation is Job:
            continue
        members = [
            m for m in (field.annotation, *get_args(field.annotation)) if isinstance(m, type) and issubclass(m, Part)
        ]
        for member in members:
            if any("tuple[" in str(inner.annotation) for inner in member.model_fields.values()):
                continue  # a kind of ground that consists of lists is not answered line by line
            for question in fields_of_site(member, f"{head}{name}."):
                if question[0] not in met:
                    met.add(question[0])
                    yield question
        if not members and ask_of(part, name) and "tuple[" not in str(field.annotation):
            yield f"{head}{name}", part, name


def _plain(value: Any) -> str:
    """A value that is no quantity, as a person writes it: 240 degrees, not 240.0."""
    return f"{value:g}" if isinstance(value, float) else str(value)


def questions(site: Site) -> Iterator[tuple[str, str, str, str]]:
    """(name, quantity to measure, its meaning, value known so far) of each question of a visit."""
    yield f"ground.{KIND}", "Lie of the ground", "Level, or one even fall (level, plane).", site.ground.kind
    for name, part, field in fields_of_site():
        declaration = ask_of(part, field)
        assert declaration is not None
        try:
            value = get(site, tuple(name.split(".")))
        except AttributeError:  # the kind of ground entered has no such field
            value = None
        now = "not known" if value is None else value.text if isinstance(value, Entered) else _plain(value)
        choices = choices_in(part, field)
        names = f" ({', '.join(choices)})" if 0 < len(choices) <= MOST_CHOICES else ""
        yield name, declaration.label, f"{declaration.help}{names}", now


def _answers(given: bytes) -> dict[str, Any]:
    """Answers by name, from a table or from a JSON object."""
    if not given.lstrip(b"\xef\xbb\xbf \r\n\t").startswith((b"{", b"[")):
        return _of_table(given)
    try:
        data = json.loads(given)
    except (ValueError, RecursionError):
        raise Refused("The answers are not JSON; take the file that the first-visit checklist saves.") from None
    if not isinstance(data, dict) or data.get("pondkit_visit") != VISIT or not isinstance(data.get("answers"), dict):
        raise Refused(
            f'The file holds no answers of a first visit: it needs "pondkit_visit": {VISIT} and "answers"; a '
            "project file is opened above."
        )
    answers: dict[str, Any] = data["answers"]
    return answers


def _of_table(given: bytes) -> dict[str, str]:
    """Answers from the table, by the name in each row."""
    text = spreadsheet_text(given, "The file of answers")
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=text.partition("\n")[0].count)))
    except csv.Error as error:
        raise Refused(f"The file of answers cannot be read ({error}); save it as 'CSV UTF-8'.") from None
    heads = [cell.strip().lower() for cell in rows[0]] if rows else []
    if not {HEAD[0], HEAD[-1]} <= set(heads):
        raise Refused(
            f"The file of answers has the columns {', '.join(filter(None, heads))[:120] or 'none'}; it needs "
            f"'{HEAD[0]}' and '{HEAD[-1]}': take the table that stands beside the sheet of the first visit."
        )
    name, answer = heads.index(HEAD[0]), heads.index(HEAD[-1])
    cells = ((row[name].strip(), spreadsheet_cell(row[answer])) for row in rows[1:] if len(row) > max(name, answer))
    return {key: value for key, value in cells if value}


def answered(project: Project, given: bytes) -> Project:
    """The project with the answers entered into its site; empty answers change nothing.

    Raises: Refused if the file is no list of answers, or if a value is not allowed.
    """
    answers = _answers(given)
    site: dict[str, Any] = plain(project.site)
    known = {name for name, _, _ in fields_of_site()} | {f"ground.{KIND}"}
    for name, value in answers.items():
        if name not in known:
            raise Refused(f"answers: no question is called {name!r}; the questions are {', '.join(sorted(known))}.")
        if not isinstance(value, str | int | float) or isinstance(value, bool):
            raise Refused(
                f'answers: {name} holds {json.dumps(value)[:40]}; write a text such as "-6 ft", or leave it empty.'
            )
        if value == "":
            continue
        head, *rest = name.split(".")
        if rest:
            site[head] = {**site[head], rest[0]: value}
        else:
            site[head] = value
    fields = {"level": (KIND, "level"), "plane": (KIND, "level", "fall", "toward_deg")}.get(site["ground"][KIND])
    # Level ground has no fall, a plane no points: such fields of the former ground are dropped, an answer is refused.
    if fields:
        entered = {name.split(".")[1] for name, value in answers.items() if name.startswith("ground.") and value != ""}
        site["ground"] = {k: v for k, v in site["ground"].items() if k in fields or k in entered}
    return put(project, ("site",), site, project.units)
