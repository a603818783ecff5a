"""A picture of the site that lies under the plan: a photo from above, or a survey drawing."""

import base64
import io
from typing import Annotated, ClassVar

from pydantic import Field, StringConstraints

from pondkit.core.part import Angle, Length, Part, Point, Ratio, ask
from pondkit.core.refusal import Refused
from pondkit.core.text import text

MOST_LETTERS = 1_400_000  # of the picture's text: 1 MB of JPEG
MOST_PIXELS = 16_000_000  # of a picture in a file; what the page takes in is made smaller
Mark = tuple[Ratio, Ratio]


class PlacedPicture(Part):
    """A photo or drawing of the site, to scale under the plan."""

    title_of_part: ClassVar[str] = "picture"
    name: Annotated[str, text(120, 1)] = ask(
        "Picture", default="picture", help="What the picture shows, or its file's name."
    )
    data: Annotated[str, StringConstraints(min_length=1, max_length=MOST_LETTERS)] = Field(
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
    strength: Ratio = ask("Strength", 0.05, 1, (0.05, 0.05), default=0.6, help="1 as it is; less is fainter.")
    marks: tuple[Mark, Mark] = ask(
        "Marks",
        -20,
        20,
        (0.01, 0.01),
        default=((-0.3, 0), (0.3, 0)),
        help="Two places by which the picture is scaled: right of its middle and up, in shares of its width.",
    )


def look_into(data: str, where: str = "picture, data") -> None:
    """Read a picture's text as a browser would.

    Args:
        data: As ``Picture.data``.
        where: Its place in the file, in words.
    Raises: Refused where it is no JPEG in base64, is cut short, or has too many pixels.
    """
    from PIL import Image  # here, as few projects have a picture and its import takes as long as reading one

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
