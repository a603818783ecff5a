"""The firm's logo: kept small and printed at every head, or refused in words with nothing lost."""

import base64
import io
from collections.abc import Callable

import pytest
from PIL import Image

from pondkit import load, save
from pondkit.core.refusal import Refused
from pondkit.page.images import FIRM, LONGEST_LOGO, with_logo
from pondkit.project.files import put
from pondkit.project.project import MOST_LETTERS
from pondkit.report.papers import paper
from pondkit.report.papers.sheet import LOGO_HIGH, LOGO_WIDE
from pondkit.study.evaluate import evaluate
from tests.designs import read, small
from tests.page.sketch import Sketch
from tests.report.papers import reading

Start = Callable[..., Sketch]


def logo(size: tuple[int, int] = (3000, 1200)) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 80).convert("RGB").save(out, "PNG")
    return out.getvalue()


def test_a_large_logo_is_kept_small_and_stands_at_the_head_of_a_paper() -> None:
    marked = with_logo(read(), "mark.png", logo())
    kept = marked.site.job.firm.logo
    assert 0 < len(kept) <= MOST_LETTERS
    assert load(save(marked).encode()).site.job.firm.logo == kept
    with Image.open(io.BytesIO(base64.b64decode(kept))) as small_one:
        assert max(small_one.size) == LONGEST_LOGO
    client = reading.kind_of("client")
    plain, with_mark = (paper(client, evaluate(project), 0, "us") for project in (read(), marked))
    assert len(reading.images(with_mark)) > len(reading.images(plain))


@pytest.mark.parametrize("size", [(2400, 200), (200, 2400), (300, 300)])
def test_a_logo_of_any_shape_leaves_the_firm_s_name_on_a_line(size: tuple[int, int]) -> None:
    marked = with_logo(put(read(), (*FIRM, "name"), "Sedge and Stone Ponds"), "mark.png", logo(size))
    made = paper(reading.kind_of("first_visit"), evaluate(marked), 0, "us")
    mark = reading.images(made)[0]
    assert mark.wide <= LOGO_WIDE + 0.1 and mark.high <= LOGO_HIGH + 0.1
    assert mark.high / mark.wide == pytest.approx(size[1] / size[0], rel=0.05)
    name = [word for word in reading.words(made) if word["text"] in ("Sedge", "and", "Stone", "Ponds")][:4]
    assert len({round(word["top"]) for word in name}) == 1
    assert all(word["x0"] * reading.MM > mark.left + mark.wide for word in name)


@pytest.mark.parametrize(
    ("file", "words"),
    [
        (b"\x89PNG" + bytes(30_000_000), r"logo.png holds 30\.0 MB; a picture may hold at most 20 MB: save it smaller"),
        (b"no picture", "cannot be read as a JPEG"),
        (b"", "cannot be read as a JPEG"),
    ],
)
def test_a_logo_too_large_or_no_picture_is_refused_in_words(file: bytes, words: str) -> None:
    before = with_logo(read(), "mark.png", logo((40, 20)))
    held = save(before)
    with pytest.raises(Refused, match=words):
        with_logo(before, "logo.png", file)
    assert save(before) == held


def test_a_logo_of_30_mb_through_the_page_is_refused_and_nothing_is_lost(start: Start) -> None:
    page = start(small()).unfold("job card")
    before = page.saved
    (chooser,) = [each for each in page.app.file_uploader if each.label == "Firm's logo"]
    chooser.upload("logo.png", b"\x89PNG" + bytes(30_000_000), "image/png")
    page.run()
    (said,) = page.problems  # in the card, which lies over the place of others
    assert "logo.png holds 30.0 MB; a picture may hold at most 20 MB" in said
    assert page.saved == before
    (chooser,) = [each for each in page.app.file_uploader if each.label == "Firm's logo"]
    chooser.upload("logo.png", logo((40, 20)), "image/png")
    page.run()
    assert page.project.site.job.firm.logo and not page.problems
