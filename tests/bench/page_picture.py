"""Makes README's picture of the page from the first example: ``python -m tests.bench.page_picture``.

The picture carries what stands on the page while it is made, so that a test can tell when it has grown old
(``tests/page/test_page_picture.py``).
"""

import io
import json
import sys
import tempfile
from pathlib import Path

from PIL import Image
from PIL.PngImagePlugin import PngInfo

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "page"))  # where the tests' server and browser stand

import chromium  # noqa: E402
import serving  # noqa: E402
from first_screen import expect_first_screen  # noqa: E402
from screen import settled  # noqa: E402

EXAMPLE = ROOT / "demo_data" / "frog_garden.json"
PICTURE = ROOT / "demo_data" / "page.png"
SIZE = {"width": 1280, "height": 800}
COLOURS = 128  # of its palette: it is then a quarter as large
LABELS = "labels"  # key of the text that the picture carries


def main() -> int:
    """Serve the example, look at it, and write the picture."""
    executable = chromium.path()
    if executable is None:
        sys.stderr.write(f"{chromium.MISSING}\n")
        return 2
    with tempfile.TemporaryDirectory() as folder:
        server, url = serving.start("app.py", [str(EXAMPLE)], Path(folder) / "log")
        try:
            with chromium.started(executable) as browser:
                page = browser.new_page(viewport=SIZE)  # type: ignore[arg-type]
                expect_first_screen(page, url)
                settled(page)
                labels = {
                    "title": page.get_by_role("heading", level=1).inner_text(),
                    "figures": page.locator(".pk-label").evaluate_all("all => all.map((one) => one.firstChild.data)"),
                    "views": page.locator(".st-key-view").get_by_role("radio").all_inner_texts(),
                }
                shot = page.screenshot()
        finally:
            serving.stop(server)
    carried = PngInfo()
    carried.add_text(LABELS, json.dumps(labels))
    Image.open(io.BytesIO(shot)).convert("RGB").quantize(COLOURS).save(PICTURE, pnginfo=carried, optimize=True)
    sys.stdout.write(f"{PICTURE.relative_to(ROOT)}: {PICTURE.stat().st_size / 1000:.0f} kB\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
