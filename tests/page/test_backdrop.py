"""The picture under the plan: taken from files good and bad, scaled by its marks,
kept apart from the steps of the work.
"""

import base64
import io
import json
import math
from typing import Any

import numpy as np
import pytest
from PIL import EpsImagePlugin, Image

from pondkit import load, save
from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.drawing.to_scale import aspect
from pondkit.page import handles, images
from pondkit.page.keeping import as_link, from_link
from pondkit.project.files import put
from pondkit.project.project import MOST_PICTURE_LETTERS, PlacedPicture, Project
from tests.designs import demo

FOOT = 0.3048  # m, exact


def file(kind: str, size: tuple[int, int], colour: Any = (200, 180, 40), mode: str = "RGB") -> bytes:
    out = io.BytesIO()
    Image.new(mode, size, colour).save(out, kind)
    return out.getvalue()


def taken(data: bytes, name: str = "garden.jpg") -> Project:
    return images.with_picture(demo("turtle_yard"), name, data, 40 * FOOT, (3 * FOOT, -2 * FOOT), "us")


def picture(project: Project) -> PlacedPicture:
    assert project.picture is not None
    return project.picture


def seen(project: Project) -> Image.Image:
    return Image.open(io.BytesIO(base64.b64decode(picture(project).data)))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_a_file_becomes_a_small_jpeg_of_the_same_shape(kind: str) -> None:
    project = taken(file(kind, (2000, 1000)))
    image = seen(project)
    assert (image.format, image.size) == ("JPEG", (1600, 800))
    assert aspect(picture(project)) == pytest.approx(0.5)
    assert picture(project).width == pytest.approx(40 * FOOT)
    red, green, blue = image.getpixel((800, 400))  # type: ignore[misc]
    assert (red, green, blue) == pytest.approx((200, 180, 40), abs=4)


def test_what_is_clear_becomes_white_and_a_turned_photo_stands_upright() -> None:
    assert seen(taken(file("PNG", (40, 20), (0, 0, 0, 0), "RGBA"))).getpixel((20, 10)) == (255, 255, 255)
    out = io.BytesIO()
    photo = Image.new("RGB", (40, 20))
    exif = photo.getexif()
    exif[0x0112] = 6  # EXIF 2.32, orientation: the camera was held upright
    photo.save(out, "JPEG", exif=exif)
    assert seen(taken(out.getvalue())).size == (20, 40)


def test_a_picture_full_of_detail_still_fits() -> None:
    noise = Image.effect_noise((3000, 3000), 120).convert("RGB")
    out = io.BytesIO()
    noise.save(out, "PNG")
    assert len(picture(taken(out.getvalue())).data) <= MOST_PICTURE_LETTERS


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"\xff\xd8" + bytes(30_000_000), "holds 30.0 MB; a picture may hold at most 20 MB"),
        (b"not a picture", "cannot be read as a JPEG, PNG, WebP or TIFF picture"),
        (file("PNG", (300, 300))[:200], "cannot be read as a JPEG, PNG, WebP or TIFF picture"),
        (b"", "cannot be read as a JPEG, PNG, WebP or TIFF picture"),
        (file("PNG", (12_000, 7_000), 0, "1"), "has 12,000 × 7,000 pixels; at most 80 million"),
    ],
    ids=["30 MB", "text", "cut short", "empty", "too many pixels"],
)
def test_a_bad_file_is_named_with_its_mend(data: bytes, said: str) -> None:
    with pytest.raises(Refused) as refused:
        taken(data, "yard.jpg")
    assert refused.value.reasons[0].startswith("yard.jpg ") and said in refused.value.reasons[0]


def test_two_marks_give_the_scale_and_the_first_stays_where_it_is() -> None:
    project = put(taken(file("JPEG", (400, 300))), ("picture", "turn_deg"), 30)
    project = put(project, ("picture", "marks"), ((-0.4, -0.2), (0.3, 0.1)))
    before = images.mark_places(picture(project))
    scaled = images.with_mark_distance(project, "25 ft", "us")
    after = images.mark_places(picture(scaled))
    assert math.dist(*after) == pytest.approx(25 * FOOT, abs=1e-3)  # of which the width is written to 1e-3 ft
    assert after[0] == pytest.approx(before[0], abs=2e-3)
    # The direction from mark to mark is the picture's own.
    turn = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in (before, after)]
    assert turn[0] == pytest.approx(turn[1], abs=1e-4)


@pytest.mark.parametrize(
    ("marks", "apart", "said"),
    [
        (((0.1, 0.1), (0.1, 0.11)), "20 ft", "almost in one place"),
        (((-0.3, 0.0), (0.3, 0.0)), "0 ft", "not more than 0"),
        (((-0.3, 0.0), (0.3, 0.0)), "3 kg", "Distance between the marks"),
        (((-0.3, 0.0), (0.3, 0.0)), "900000 ft", "10000 ft"),
    ],
)
def test_a_scale_that_cannot_be_is_refused(marks: Any, apart: str, said: str) -> None:
    project = put(taken(file("JPEG", (400, 300))), ("picture", "marks"), marks)
    with pytest.raises(Refused) as refused:
        images.with_mark_distance(project, apart, "us")
    assert said.replace(",", "") in refused.value.reasons[0].replace(",", "")


def test_its_handles_move_turn_and_mark_it() -> None:
    project = taken(file("JPEG", (400, 300)))
    on_site = handles.plan_handles(project, 0, "Site", 0, None).handles
    found = {h.id: h for h in on_site if h.id.startswith("picture/")}
    assert set(found) == {"picture/marks/0", "picture/marks/1", "picture/at", "picture/turn_deg"}
    path, value = handles.drag_edit(project, 0, "picture/at", (1.0, 2.0), None, "si")
    moved = put(project, path, value, "si")
    assert get(moved, ("picture", "at")) == pytest.approx((1.0, 2.0), abs=0.006)
    # A mark dragged to a place on the site lies there, whatever the turn.
    project = put(moved, ("picture", "turn_deg"), 77)
    to = (0.4, 1.1)
    path, value = handles.drag_edit(project, 0, "picture/marks/1", to, None, "si")
    assert images.mark_places(picture(put(project, path, value, "si")))[1] == pytest.approx(to, abs=1e-3)
    project = taken(file("JPEG", (400, 300)))
    for handle in found.values():  # what is put where it lies does not move
        path, value = handles.drag_edit(project, 0, handle.id, handle.at, None, "us")
        still = images.corners(picture(put(project, path, value, "us")))
        assert np.array(still) == pytest.approx(np.array(images.corners(picture(project))), abs=4e-3)


def test_it_is_in_the_file_and_not_in_a_link() -> None:
    project = taken(file("JPEG", (400, 300)))
    assert load(save(project).encode()) == project
    assert from_link(as_link(project)) == put(project, ("picture",), None)


@pytest.mark.parametrize(
    "given",
    [file("JPEG", (400, 300))[:900], file("PNG", (40, 30)), b"%!PS-Adobe-3.0 EPSF-3.0", b"<svg/>"],
    ids=["cut short", "PNG", "EPS", "SVG"],
)
def test_a_project_file_whose_picture_is_no_jpeg_is_refused_with_the_mend(given: bytes) -> None:
    data = json.loads(save(taken(file("JPEG", (400, 300)))))
    data["picture"]["data"] = base64.b64encode(given).decode()
    with pytest.raises(Refused, match=r"picture, data: .* allowed is a whole JPEG .* To mend it, remove the picture"):
        load(json.dumps(data).encode())
    data["picture"]["data"] = "no base64!"
    with pytest.raises(Refused, match="picture, data"):
        load(json.dumps(data).encode())


def test_a_picture_in_a_file_of_too_many_pixels_is_refused() -> None:
    data = json.loads(save(taken(file("JPEG", (400, 300)))))
    data["picture"]["data"] = base64.b64encode(file("JPEG", (5000, 4000), 0, "L")).decode()
    with pytest.raises(Refused, match="5,000 × 4,000 pixels; allowed are 16 million"):
        load(json.dumps(data).encode())


EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 50 50\n%%EndComments\n{} loop\nshowpage\n%%EOF\n"


@pytest.mark.parametrize("data", [EPS, file("GIF", (40, 20)), file("BMP", (40, 20)), file("PPM", (40, 20))])
def test_only_four_kinds_are_read_whatever_the_name(monkeypatch: pytest.MonkeyPatch, data: bytes) -> None:
    """An EPS is a program: its reader hands it to Ghostscript."""
    ran: list[Any] = []

    def ghostscript(*given: Any, **more: Any) -> Image.Image:
        ran.append(given)
        return Image.new("RGB", (50, 50))

    monkeypatch.setattr(EpsImagePlugin, "Ghostscript", ghostscript)
    with pytest.raises(Refused, match="JPEG, PNG, WebP or TIFF"):
        taken(data, "yard.jpg")
    assert not ran
