"""The picture of the site as a part of a drawing: how high it is, and where it lies."""

import base64
import io
from collections.abc import Sequence
from typing import Protocol

HEAD = 80_000  # letters in which a JPEG says its size


class SitePicture(Protocol):
    """What a drawing needs of the picture of the site: JPEG in base64, its middle and width on the site [m], its turn
    and strength.
    """

    @property
    def data(self) -> str: ...
    @property
    def at(self) -> Sequence[float]: ...
    @property
    def width(self) -> float: ...
    @property
    def turn_deg(self) -> float: ...
    @property
    def strength(self) -> float: ...


def aspect(picture: SitePicture) -> float:
    """Its height over its width; 0 where the file holds something else than a picture."""
    return aspect_of(picture.data)


def aspect_of(data: str) -> float:
    """Height over width of a JPEG in base64; 0 where the text holds something else."""
    from PIL import Image

    try:
        head = base64.b64decode(data[:HEAD])
        with Image.open(io.BytesIO(head), formats=["JPEG"]) as image:
            return image.height / image.width
    except (OSError, SyntaxError, ValueError):
        return 0.0


def image(picture: SitePicture, middle: tuple[float, float], width: float, *, mono: bool) -> str:
    """The picture as SVG; "" where it is none.

    Args:
        picture: As the project holds it.
        middle, width: Of the picture in the drawing, in the drawing's own unit, y downward.
        mono: True for greys.
    """
    high = width * aspect(picture)
    if not high:
        return ""
    x, y = middle
    grey = " style='filter:grayscale(1)'" if mono else ""
    return (
        f"<image href='data:image/jpeg;base64,{picture.data}' x='{x - width / 2:.2f}' y='{y - high / 2:.2f}' "
        f"width='{width:.2f}' height='{high:.2f}' "
        f"preserveAspectRatio='none' opacity='{float(picture.strength):g}' "
        f"transform='rotate({-float(picture.turn_deg):g} {x:.2f} {y:.2f})'{grey}/>"
    )


def alone(data: str) -> str:
    """A logo or photo, a JPEG in base64, as SVG 100 wide; "" where it is none."""
    high = aspect_of(data) if data else 0.0
    if not high:
        return ""
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 100 {100 * high:.2f}'>"
        f"<image href='data:image/jpeg;base64,{data}' x='0' y='0' width='100' height='{100 * high:.2f}'/></svg>"
    )
