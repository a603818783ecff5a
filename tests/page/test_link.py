"""A design as a piece of text that fits into a link."""

import base64
import io
import zlib

import pytest
from PIL import Image

from pondkit import save
from pondkit.core.refusal import Refused
from pondkit.page.images import with_logo, with_photo
from pondkit.page.keeping import as_link, from_link
from pondkit.project.files import MOST_BYTES
from tests.designs import DEMO_NAMES, demo, full_project, read


@pytest.mark.parametrize("project", [*map(demo, DEMO_NAMES), full_project()])
def test_a_design_comes_back_as_it_was(project: object) -> None:
    text = as_link(project)  # type: ignore[arg-type]
    assert save(from_link(text)) == save(project)  # type: ignore[arg-type]
    assert text.replace("-", "").replace("_", "").isalnum()
    assert len(text) < 8000  # what browsers and mail programs take without cutting


def test_photos_logo_and_picture_stay_out_of_a_link() -> None:
    file = io.BytesIO()
    Image.effect_noise((900, 600), 60).convert("RGB").save(file, "JPEG")
    bare = read()
    project = with_photo(bare, "gate.jpg", file.getvalue(), keep_time_and_place=False)
    project = with_logo(project, "logo.jpg", file.getvalue())
    assert as_link(project) == as_link(bare)


@pytest.mark.parametrize("keep", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_a_link_that_was_cut_short_is_refused_in_words(keep: float) -> None:
    text = as_link(demo("turtle_yard"))
    with pytest.raises(Refused, match="cut short"):
        from_link(text[: int(keep * len(text))])


@pytest.mark.parametrize("text", ["!!!", "a", "%%%%", "é" * 40, "A" * 4000])
def test_a_text_that_is_no_design_is_refused_in_words(text: str) -> None:
    with pytest.raises(Refused, match="cut short or changed"):
        from_link(text)


def test_a_small_text_that_unpacks_to_a_huge_one_is_refused() -> None:
    packed = base64.urlsafe_b64encode(zlib.compress(b" " * (40 * MOST_BYTES), 9)).decode()
    with pytest.raises(Refused, match="bytes"):
        from_link(packed)
