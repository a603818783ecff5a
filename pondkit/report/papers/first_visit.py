"""The sheet for a first visit: a list of points to measure, ask, photograph and sketch, to be filled in by pen."""

from collections.abc import Iterator

from pondkit.drawing.blocks import BLANK, Beside, Block, Fields, Grid, Items, NewPage, Picture, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.to_scale import alone, aspect_of
from pondkit.project.answers import HEAD, questions
from pondkit.report.papers.sheet import GUTTER, Sheet
from pondkit.report.table import csv_text

LINE = 8.0  # mm: height of a line to write on
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
PHOTOS = (
    "The place from four sides, with a rod or a person in it for size",
    "From the windows and seats that will look at it",
    "Way in, narrowest gate, overhead lines",
    "Electric supply, taps, drains, manholes",
    "Trees with their roots, neighbours' fences and buildings",
    "The two fixed points and the benchmark, near and from afar",
)
SKETCH = 150.0  # mm
TALLEST = 90.0  # mm of height that a photo may take


def first_visit(sheet: Sheet) -> Iterator[Block]:
    """Client and place, measurements, questions, photos wanted, and a grid to sketch on."""
    job = sheet.site.job
    yield Fields(
        (
            ("Client", job.client),
            ("Date of the visit", ""),
            ("Address", ", ".join(job.address.split("\n"))),
            ("Visited by", job.drawn_by),
            ("Contacts", ", ".join(job.contacts.split("\n"))),
            ("Weather, last rain", ""),
        )
    )
    yield from titled("Measure", _measures(sheet))
    yield from titled("Ask and look", tabled(("Question", "Answer"), [(text, BLANK) for text in ASK], high=LINE))
    yield NewPage()
    yield from titled("Photos wanted", Items(PHOTOS, tick=True))
    yield from titled("Photos of the site", _photos(sheet))
    yield from titled("Sketch", Grid(SKETCH, "One square is ________. Draw north, the house, the two fixed points."))
    yield from titled(
        "Back at the desk",
        Text(
            "What was found is entered in the site's controls; or in the table of these questions (CSV, beside this "
            "sheet in the File menu), in its last column, which the page takes as answers of a first visit.",
            look="small",
        ),
    )


def _photos(sheet: Sheet) -> Iterator[Block]:
    """The photos kept in the job, two beside each other."""
    wide = (sheet.room.wide - GUTTER) / 2
    photos = [(number, photo, aspect_of(photo.data)) for number, photo in enumerate(sheet.site.job.photos, 1)]
    pictures = [
        Picture(
            alone(photo.data),
            min(wide, TALLEST / aspect),
            min(wide * aspect, TALLEST),
            photo.name or f"photo {number}",
            ", ".join(text for text in (photo.name or f"Photo {number}", photo.taken) if text),
        )
        for number, photo, aspect in photos
        if aspect
    ]
    for first in range(0, len(pictures), 2):
        pair = pictures[first : first + 2]
        yield Beside(tuple((picture,) for picture in pair) + ((),) * (2 - len(pair)), (1.0, 1.0))


def visit_csv(sheet: Sheet) -> str:
    """The questions as a table to fill in, which the page reads as answers."""
    return csv_text([HEAD, *((*question, "") for question in questions(sheet.site))])


def _measures(sheet: Sheet) -> tuple[Block, ...]:
    """Every single value that is measured on the site, with its value known so far."""
    rows = [(label, meant, now, BLANK) for _, label, meant, now in questions(sheet.site)]
    return tabled(("Measure", "What is meant", "So far", "Found"), rows, high=LINE)
