"""Photos of the site: kept small, stripped of place and time unless wanted, printed on the first visit's sheet."""

import base64
import io

import pytest
from PIL import ExifTags, Image

from pondkit import load, save
from pondkit.core.refusal import Refused
from pondkit.page.photos import with_photo
from pondkit.project.project import MOST_LETTERS, MOST_PHOTOS
from pondkit.report.drawings import paper
from pondkit.study.evaluate import evaluate
from tests.designs import read
from tests.report.papers import reading


def photo() -> bytes:
    """A large JPEG that says when and where it was taken."""
    image = Image.effect_noise((2400, 1600), 60).convert("RGB")
    about = image.getexif()
    about[ExifTags.Base.DateTime] = "2026:05:31 10:20:30"
    place = about.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (40.0, 30.0, 0.0)
    place[ExifTags.GPS.GPSLongitudeRef], place[ExifTags.GPS.GPSLongitude] = "W", (75.0, 15.0, 0.0)
    out = io.BytesIO()
    image.save(out, "JPEG", exif=about)
    return out.getvalue()


def test_a_photo_is_small_and_says_neither_place_nor_time_unless_wanted() -> None:
    bare = with_photo(read(), "gate.jpg", photo(), wanted=False).site.job.photos[0]
    assert len(bare.data) <= MOST_LETTERS and bare.taken == ""
    with Image.open(io.BytesIO(base64.b64decode(bare.data))) as kept:
        assert not kept.getexif() and max(kept.size) <= 720
    told = with_photo(read(), "gate.jpg", photo(), wanted=True).site.job.photos[0]
    assert told.taken == "2026:05:31 10:20:30, 40.50000° N, 75.25000° W"  # by hand: 30 and 15 minutes of 60


def test_photos_are_printed_saved_and_refused_beyond_their_number() -> None:
    project = read()
    for number in range(MOST_PHOTOS):
        project = with_photo(project, f"view {number}", photo(), wanted=False)
    with pytest.raises(Refused, match="remove one before"):
        with_photo(project, "one more", photo(), wanted=False)
    with pytest.raises(Refused, match="cannot be read"):
        with_photo(read(), "x.jpg", b"no picture", wanted=False)
    again = load(save(project).encode())
    assert again.site.job.photos == project.site.job.photos
    text = reading.text(paper(reading.kind_of("first_visit"), evaluate(again), 0, "us"))
    assert all(f"view {number}" in text for number in range(MOST_PHOTOS))
