"""The project: a site that the options share, and one to six options; the job (client, firm, date and revision, which
papers print and no figure depends on); and a picture of the site under the plan.
"""

import base64
import io
from calendar import month_name
from datetime import date
from typing import Annotated, ClassVar, Literal

from pydantic import AfterValidator, Field, StringConstraints
from pydantic_core import PydanticCustomError

from pondkit.core.part import Angle, Choice, Length, Part, Point, Portion, Ratio, Share, ask
from pondkit.core.refusal import Refused
from pondkit.core.tables import names
from pondkit.core.text import Name, Note, Refers, lines, text
from pondkit.trades.animals.inputs import Animals
from pondkit.trades.clearances.inputs import KeepOut, WayIn
from pondkit.trades.cost.inputs import Quotation, Rates
from pondkit.trades.earthwork.inputs import Dig, Earth
from pondkit.trades.ground.inputs import SITE_LEVEL, Ground
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.pools.inputs import Link, Pool
from pondkit.trades.stone.inputs import Stone
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.walls.inputs import Walls
from pondkit.trades.water.inputs.water import Water

MOST_LETTERS = 60_000  # letters of a logo or photo: 45 kB of JPEG
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
    """The builder's firm, for the head of the papers."""

    title_of_part: ClassVar[str] = "firm"
    name: Line = ask("Firm", default="", help="The firm that designs or builds, as it signs.")
    address: Lines = ask("Firm's address", default="", help="As it stands on a letter; several lines.")
    contacts: Lines = ask("Firm's contacts", default="", help="Telephone, mail, site; several lines.")
    licence: Line = ask("Licence", default="", help="Number of the firm's licence or registration, and who gave it.")
    logo: Annotated[str, text(MOST_LETTERS)] = Field(default="", description="The firm's logo as JPEG, in base64.")


class Photo(Part):
    """A small photo of the site; place and time are kept only if the person wants it."""

    title_of_part: ClassVar[str] = "photo"
    name: Annotated[str, text(120)] = Field(default="", description="What the photo shows, or its file's name.")
    taken: Annotated[str, text(120)] = Field(default="", description="When and where, if that is to be kept.")
    data: Annotated[str, text(MOST_LETTERS)] = Field(default="", description="The photo as JPEG, in base64.")


class Job(Part):
    """The job: client, firm, date and revision, for the head of the papers."""

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


MOST_PICTURE_LETTERS = 1_400_000  # letters of the site picture: 1 MB of JPEG
MOST_PIXELS = 16_000_000  # pixels of a picture in a file; the page reduces larger ones
Mark = tuple[Ratio, Ratio]


class PlacedPicture(Part):
    """A photo or drawing of the site, placed to scale under the plan."""

    title_of_part: ClassVar[str] = "picture"
    name: Annotated[str, text(120, 1)] = ask(
        "Picture", default="picture", help="What the picture shows, or its file's name."
    )
    data: Annotated[str, StringConstraints(min_length=1, max_length=MOST_PICTURE_LETTERS)] = Field(
        description="The picture as JPEG, in base64."
    )
    at: Point = ask(
        "Middle",
        "-5000 ft",
        "5000 ft",
        ("6 in", "10 cm"),
        default=("0 ft", "0 ft"),
        help="Its middle on the site, east and north.",
    )
    width: Length = ask(
        "Width on the site",
        "1 ft",
        "10000 ft",
        ("6 in", "10 cm"),
        default="60 ft",
        help="What the picture spans from its left to its right edge.",
    )
    turn_deg: Angle = ask("Turned", -360, 360, (1, 1), default=0, help="Anticlockwise.")
    strength: Portion = ask(
        "Strength", "5 %", "100 %", ("5 %", "5 %"), default="60 %", help="100 % as it is; less is fainter."
    )
    marks: tuple[Mark, Mark] = ask(
        "Marks",
        -20,
        20,
        (0.01, 0.01),
        default=((-0.3, 0), (0.3, 0)),
        help="Two places by which the picture is scaled: right of its middle and up, in shares of its width.",
    )


def look_into(data: str, where: str = "picture, data") -> None:
    """Check a picture's text by opening it, as a browser would.

    Args:
        data: A JPEG in base64, as in ``PlacedPicture.data``.
        where: Its place in the file, in words.
    Raises: Refused if it is no JPEG in base64, is cut short, or has too many pixels.
    """
    from PIL import Image  # imported here, as few projects have a picture and the import takes as long as reading one

    mend = "remove the picture from the file, and choose it again on the page."
    try:
        with Image.open(io.BytesIO(base64.b64decode(data, validate=True)), formats=["JPEG"]) as image:
            if image.width * image.height > MOST_PIXELS:
                raise Refused(
                    f"{where}: the JPEG has {image.width:,} × {image.height:,} pixels; allowed are "
                    f"{MOST_PIXELS / 1e6:.0f} million. To mend it, {mend}"
                )
            image.load()
    except Refused:
        raise
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise Refused(
            f"{where}: it holds no JPEG that can be read; allowed is a whole JPEG in base64. To mend it, {mend}"
        ) from None


VERSION: Literal[1] = 1
Soil = Annotated[str, Choice(names("trades/ground/soils"))]


MONTHS = tuple(month_name)[1:]
Month = Annotated[str, Choice(MONTHS)]


class Site(Part):
    """The site, which all options share: ground, soil, groundwater, way in, keep-outs, the job."""

    title_of_part: ClassVar[str] = "site"
    ground: Ground = ask("Ground", default={"kind": "level"}, help="The ground as it is before the dig.")
    soil: Soil = ask("Soil", default="clay", help="What the dig is cut in; sets the slope at which a cut may stand.")
    groundwater: Length | None = ask(
        "Groundwater",
        *SITE_LEVEL,
        default=None,
        help="Highest known level, above the site datum; left out where unknown.",
    )
    depth_limit: Length | None = ask(
        "Depth limit",
        "1 in",
        "20 ft",
        ("1 in", "2 cm"),
        default=None,
        help="Water deeper than this calls for a barrier under your local rule.",
    )
    section: tuple[Point, Point] | None = ask(
        "Section line",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=None,
        help="Two points, east and north; left out, along the longest way through the pools.",
    )
    keep_outs: Annotated[tuple[KeepOut, ...], Field(max_length=60)] = ask(
        "Keep-outs", default=(), help="Boundary, buildings, trees, services and places that the dig keeps clear of."
    )
    way_in: WayIn | None = ask("Way in", default=None, help="By which machine and stone come to the dig.")
    coldest_month: Month = ask(
        "Coldest month", default="January", help="Of the site's own climate; upkeep by the month goes by it."
    )
    warmest_month: Month = ask("Warmest month", default="July", help="The same: upkeep goes by it.")
    job: Job = ask("Job", default={}, help="For whom it is built and by which firm, for the papers.")


class Option(Part):
    """One design of the pond."""

    title_of_part: ClassVar[str] = "option"
    name: Name = ask("Name", help="Each option has a name of its own.")
    note: Note = ask("Note", default="", help="What sets this option apart.")
    gravel_size: Annotated[str, text(60)] = ask(
        "Gravel size", default="", help="As your yard calls it, such as 3/4 in washed; the order list prints it."
    )
    bedding_size: Annotated[str, text(60)] = ask(
        "Bedding size",
        default="",
        help="Of crushed stone and bedding under bodies, walls, boulders and pipe, as your yard calls it; the order "
        "list prints it.",
    )
    gravel_porosity: Portion = ask(
        "Gravel porosity",
        "0 %",
        "60 %",
        ("1 %", "1 %"),
        default="35 %",
        help="Voids over bulk volume of the gravel (from memory, confirm).",
    )
    gravel_porosity_within: Share = ask(
        "Gravel porosity within",
        "0 %",
        "50 %",
        ("1 %", "1 %"),
        default="15 %",
        help="That may be this share off either way: 30 to 40 % for washed gravel (from memory, confirm).",
    )
    water_rise: Length = ask(
        "Highest water over rest",
        "0 in",
        "6 ft",
        ("0.5 in", "1 cm"),
        default="2 in",
        help="How far water may stand above the level at rest, running or after rain; your own figure.",
    )
    water_fall: Length = ask(
        "Lowest water under rest",
        "0 in",
        "6 ft",
        ("0.5 in", "1 cm"),
        default="2 in",
        help="How far it may fall below the level at rest while the pump runs or in a dry spell; your own figure.",
    )
    order_takes: Annotated[str, Choice(("typical", "high"))] = ask(
        "Order takes",
        default="typical",
        help="Which figure of a quantity with a range is ordered: the typical one with its contingency beside it, "
        "or the high one.",
    )
    pools: Annotated[tuple[Pool, ...], Field(max_length=60)] = ask("Pools", help="In any order; none yet is sound.")
    links: Annotated[tuple[Link, ...], Field(max_length=60)] = ask(
        "Links", default=(), help="Falls and channels between pools."
    )
    lining: Lining | None = ask("Lining", default=None, help="Liner, underlay and overlay.")
    stone: Stone | None = ask("Stone", default=None, help="Boulders and edging.")
    lifting: Lifting | None = ask("Lifting", default=None, help="The machine, its chart and where it stands.")
    walls: Walls | None = ask("Walls", default=None, help="Dry-stacked walls that hold soil back.")
    tunnels: Tunnels | None = ask("Tunnels", default=None, help="Pipe passages.")
    water: Water | None = ask("Water", default=None, help="Intake, pumps, pipes, filter and falls.")
    animals: Animals | None = ask("Animals", default=None, help="What the animals need.")
    earth: Earth | None = ask("Earth", default=None, help="Where the soil goes.")
    dig: Dig | None = ask("Dig", default=None, help="What the crew digs by.")
    rates: Rates | None = ask(
        "Own prices", default=None, help="Prices of this option alone, in place of those of the job."
    )


class Project(Part):
    """A project file as a whole: the site, one to six options, prices."""

    title_of_part: ClassVar[str] = "project"
    pondkit: Literal[1] = Field(default=VERSION, description="Version of the file's form.")
    job_id: Annotated[str, StringConstraints(max_length=60, pattern=r"^[0-9A-Za-z_.+-]*$")] = Field(
        default="", description="Id of the job, by which a browser keeps one record of it; the page sets it."
    )
    title: Annotated[str, text(120)] = ask("Title", default="", help="What the project is called.")
    units: Annotated[Literal["us", "si"], Choice(("us", "si"))] = ask(
        "Units of the file",
        default="us",
        help="How bare numbers in the file are read, and which units are shown first.",
    )
    site: Site = ask("Site", default={}, help="What the options share.")
    picture: PlacedPicture | None = ask("Picture under the plan", default=None, help="A photo or drawing of the site.")
    chosen: Annotated[str, text(60), Refers("options")] = ask(
        "Chosen option", default="", help="The option that is to be built; empty while it is open."
    )
    reminders_read: Annotated[tuple[Annotated[str, text(120, 1)], ...], Field(max_length=200)] = Field(
        default=(), description="Keys of the reminders that were read and ticked."
    )
    prices: Rates | None = ask("Prices", default=None, help="Money per unit, one list for all options.")
    quotation: Quotation | None = ask(
        "Quotation", default=None, help="What a quotation states beside the prices: margin, tax, payment, terms."
    )
    options: Annotated[tuple[Option, ...], Field(min_length=1, max_length=6)] = ask("Options", help="Ways to build it.")
