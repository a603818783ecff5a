"""Photos of the site: kept small, stripped of place and time unless wanted, printed on the first visit's sheet."""

import ast
import base64
import io
from pathlib import Path

import pytest
from PIL import ExifTags, Image

import pondkit
from pondkit import load, save
from pondkit.core.refusal import Refused
from pondkit.page.images import with_photo
from pondkit.project.project import MOST_LETTERS, MOST_PHOTOS
from pondkit.report.papers import paper
from pondkit.report.papers.sheet import BOTTOM, SHEETS, SIDE, TOP
from pondkit.study.evaluate import evaluate
from tests.designs import read
from tests.report.papers import reading


def photo(size: tuple[int, int] = (2400, 1600)) -> bytes:
    """A large JPEG that says when and where it was taken."""
    image = Image.effect_noise(size, 60).convert("RGB")
    about = image.getexif()
    about[ExifTags.Base.DateTime] = "2026:05:31 10:20:30"
    place = about.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (40.0, 30.0, 0.0)
    place[ExifTags.GPS.GPSLongitudeRef], place[ExifTags.GPS.GPSLongitude] = "W", (75.0, 15.0, 0.0)
    out = io.BytesIO()
    image.save(out, "JPEG", exif=about)
    return out.getvalue()


def test_a_photo_is_small_and_says_neither_place_nor_time_unless_wanted() -> None:
    bare = with_photo(read(), "gate.jpg", photo(), keep_time_and_place=False).site.job.photos[0]
    assert len(bare.data) <= MOST_LETTERS and bare.taken == ""
    with Image.open(io.BytesIO(base64.b64decode(bare.data))) as kept:
        assert not kept.getexif() and max(kept.size) <= 720
    told = with_photo(read(), "gate.jpg", photo(), keep_time_and_place=True).site.job.photos[0]
    assert told.taken == "2026:05:31 10:20:30, 40.50000° N, 75.25000° W"  # by hand: 30 and 15 minutes of 60


def test_a_photo_is_turned_upright_whatever_else_its_record_holds() -> None:
    """Orientation 6 is a quarter turn. A resolution that has become a text cannot be written anew, and need not be."""
    image, file = Image.new("RGB", (90, 60)), io.BytesIO()
    about = image.getexif()
    about[ExifTags.Base.Orientation] = 6
    about[ExifTags.Base.XResolution] = 72.0
    image.save(file, "JPEG", exif=about)
    whole = file.getvalue()
    tag = whole.index(ExifTags.Base.XResolution.to_bytes(2, "big"))  # its number, then the kind of its value
    for kind in (1, 2, 5, 7):
        damaged = whole[: tag + 2] + kind.to_bytes(2, "big") + whole[tag + 4 :]
        kept = with_photo(read(), "gate.jpg", damaged, keep_time_and_place=True).site.job.photos[0]
        with Image.open(io.BytesIO(base64.b64decode(kept.data))) as turned:
            assert turned.size == (60, 90)


def test_every_reader_of_pictures_names_the_formats_that_it_takes() -> None:
    """Left to itself the library tries all it knows, and some of those start other programs."""
    opened = 0
    for path in sorted(Path(pondkit.__path__[0]).rglob("*.py")):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and ast.unparse(call.func) == "Image.open":
                opened += 1
                assert "formats" in {given.arg for given in call.keywords}, f"{path}:{call.lineno}"
    assert opened >= 4


def test_photos_are_printed_saved_and_refused_beyond_their_number() -> None:
    project, shapes = read(), ((2400, 1600), (300, 2400), (2400, 300), (40, 40))
    for number in range(MOST_PHOTOS):
        picture = photo(shapes[number % len(shapes)])
        project = with_photo(project, f"view {number}", picture, keep_time_and_place=False)
    with pytest.raises(Refused, match="remove one before"):
        with_photo(project, "one more", photo(), keep_time_and_place=False)
    with pytest.raises(Refused, match="cannot be read"):
        with_photo(read(), "x.jpg", b"no picture", keep_time_and_place=False)
    again = load(save(project).encode())
    assert again.site.job.photos == project.site.job.photos
    made = paper(reading.kind_of("first_visit"), evaluate(again), 0, "us")
    assert all(f"view {number}" in reading.text(made) for number in range(MOST_PHOTOS))
    images = reading.images(made)
    assert len(images) == MOST_PHOTOS
    for number, image in enumerate(images):
        wide, high = shapes[number % len(shapes)]
        assert image.high / image.wide == pytest.approx(high / wide, rel=0.05)
        assert image.left > SIDE - 0.1 and image.left + image.wide < SHEETS["letter"][1] - SIDE + 0.1
        assert image.top > TOP - 0.1 and image.top + image.high < SHEETS["letter"][2] - BOTTOM + 0.1
