"""The fields that papers need: the job, the firm and its logo, the chosen option, reminders that were read."""

import base64
import io
import json
from typing import Any

import pytest
from PIL import Image

from pondkit import evaluate, load, save
from pondkit.core.refusal import Refused
from pondkit.project.files import put
from pondkit.project.project import Project
from tests.designs import option, read, small

FIRM = ("site", "job", "firm")


def logo(kind: str = "JPEG") -> str:
    out = io.BytesIO()
    Image.new("RGB", (40, 16), "teal").save(out, kind)
    return base64.b64encode(out.getvalue()).decode()


def test_a_job_card_is_saved_and_loaded_with_its_lines() -> None:
    job: dict[str, Any] = {
        "client": "Ada Reed",
        "address": "4 Mill Lane\nLower Green",
        "contacts": "555 0100\nada@example.org",
        "date": "2026-05-31",
        "revision": "B",
        "drawn_by": "J. Rush",
        "firm": {"name": "Rush & Co", "address": "1 Quay\nPort", "licence": "C-27 100", "logo": logo()},
    }
    project = read(site={"job": job})
    assert project.site.job.address.splitlines() == ["4 Mill Lane", "Lower Green"]
    assert project.site.job.firm.contacts == ""
    assert load(save(project).encode()) == project


@pytest.mark.parametrize("date", ["31 May 2026", "2026-02-30", "20260531", "2026-5-31"])
def test_a_date_that_is_none_is_refused_with_the_way_to_write_it(date: str) -> None:
    with pytest.raises(Refused, match=f"job: Date: '{date}' is not a date; write year, month and day, such as 2026-"):
        read(site={"job": {"date": date}})


@pytest.mark.parametrize("given", [logo("PNG"), "none", logo()[:200]], ids=["PNG", "no picture", "cut short"])
def test_a_logo_that_no_browser_reads_as_jpeg_is_refused_with_its_place(given: str) -> None:
    with pytest.raises(Refused, match=r"^job, firm, logo: it holds no JPEG"):
        read(site={"job": {"firm": {"logo": given}}})


def test_an_unknown_chosen_option_is_a_problem_that_names_what_there_is() -> None:
    options = [option("wide"), option("deep")]
    assert not evaluate(read(options=options, chosen="deep")).problems
    project = read(options=options, chosen="wild")
    ((path, problem),) = evaluate(project).problems
    assert path == ("chosen",)
    assert (problem.given.text, problem.allowed.text) == ("no option is called 'wild'", "one of wide, deep")
    assert load(save(project).encode()) == project  # saved without harm


def test_ticked_reminders_are_kept() -> None:
    assert put(read(), ("reminders_read",), ("children_near_water",)).reminders_read == ("children_near_water",)
    with pytest.raises(Refused, match="reminders_read"):
        read(reminders_read=[""])


def test_a_file_without_the_new_keys_is_as_it_was() -> None:
    data = small()
    project = load(json.dumps(data).encode())
    assert (project.chosen, project.reminders_read, project.site.job) == ("", (), Project.model_validate(data).site.job)
