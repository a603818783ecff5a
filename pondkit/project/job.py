"""For whom a project is, by which firm, of which date and revision. Papers print it; no figure depends on it."""

from datetime import date
from typing import Annotated, ClassVar

from pydantic import AfterValidator, Field
from pydantic_core import PydanticCustomError

from pondkit.core.part import Part, ask
from pondkit.core.text import lines, text

MOST_LETTERS = 60_000  # of a logo's or photo's text: 45 kB of JPEG
MOST_PHOTOS = 8


def _date(given: str) -> str:
    try:
        whole = not given or date.fromisoformat(given).isoformat() == given
    except ValueError:
        whole = False
    if not whole:
        reason = {"reason": f"{given!r} is not a date", "mend": "write year, month and day, such as 2026-05-31"}
        raise PydanticCustomError("quantity", "{reason}", reason)
    return given


Line = Annotated[str, text(120)]
Lines = Annotated[str, lines(600)]
Day = Annotated[str, text(60), AfterValidator(_date)]


class Firm(Part):
    """The builder's firm, as it heads the papers."""

    title_of_part: ClassVar[str] = "firm"
    name: Line = ask("Firm", default="", help="The firm that designs or builds, as it signs.")
    address: Lines = ask("Firm's address", default="", help="As it stands on a letter; several lines.")
    contacts: Lines = ask("Firm's contacts", default="", help="Telephone, mail, site; several lines.")
    licence: Line = ask("Licence", default="", help="Number of the firm's licence or registration, and who gave it.")
    logo: Annotated[str, text(MOST_LETTERS)] = Field(default="", description="The firm's logo as JPEG, in base64.")


class Photo(Part):
    """A photo of the site, small; place and time are told only where the person wants it."""

    title_of_part: ClassVar[str] = "photo"
    name: Annotated[str, text(120)] = Field(default="", description="What the photo shows, or its file's name.")
    taken: Annotated[str, text(120)] = Field(default="", description="When and where, if that is to be kept.")
    data: Annotated[str, text(MOST_LETTERS)] = Field(default="", description="The photo as JPEG, in base64.")


class Job(Part):
    """For whom, by whom and when: what heads the papers."""

    title_of_part: ClassVar[str] = "job"
    client: Line = ask("Client", default="", help="For whom the pond is built.")
    address: Lines = ask("Address of the site", default="", help="Where it is built; several lines.")
    contacts: Lines = ask("Client's contacts", default="", help="Telephone, mail, who is on site; several lines.")
    date: Day = ask("Date", default="", help="Of this revision, such as 2026-05-31; papers print it.")
    revision: Annotated[str, text(20)] = ask("Revision", default="", help="Such as 1, 2 or A, B; papers print it.")
    drawn_by: Line = ask("Drawn by", default="", help="Who made the design.")
    photos: Annotated[tuple[Photo, ...], Field(max_length=MOST_PHOTOS)] = Field(
        default=(), description="Photos of the site, for the papers."
    )
    firm: Firm = ask("Firm", default={}, help="Who designs or builds.")
