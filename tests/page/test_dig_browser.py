"""What the crew digs by in a real browser: a survey is pasted, a level found, the setting out read, a
passage gets a gate. By own reckoning.
"""

import csv
import io
import json
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from first_screen import expect_first_screen
from playwright.sync_api import Locator, Page, expect
from screen import PATIENCE, box, choose, enter, part, radio, settled

from tests.designs import option, small

LONG, WIDE, DEEP, FREEBOARD = 6.0, 4.0, 1.0, 0.2  # m: a box of a pool, its bank at 1 to 1
# 0.1 m at the middle, 1 in 20 up to the east
SURVEY = "east, north, level\n-20, -20, -0.9\n20, -20, 1.1\n20, 20, 1.1\n-20, 20, -0.9"
LEVEL = "-20, -20, 0.1\n20, -20, 0.1\n20, 20, 0.1\n-20, 20, 0.1"
EDGE = 0.3  # m of liner beyond the rim
STAKES = ((-5.0, -5.0), (5.0, -5.0))
THIN = "5 mil"  # of liner, the least that there is: it takes 2e-4 of the cut
DOOR, VALVE = (3.0, 0.0, -0.5), (5.0, 0.0, -0.3)  # of a passage that rises 1 in 10
EMERGES = (8.0, 0.0, 0.0)
SHARE = 5e-4  # of a figure of four places


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One box of a pool with liner, level readings and stakes, and a passage from its east face to a den."""
    file = tmp_path_factory.mktemp("yard") / "yard.json"
    pool = {
        "name": "pool",
        "freeboard": FREEBOARD,
        "bank_batter": 1,
        "level": 0,
        "outline": {"shape": "rectangle", "length": LONG, "width": WIDE},
        "tiers": [{"zone": "deep", "depth": DEEP, "batter": 0}],
    }
    made = option(
        water_rise=0,
        pools=[pool],
        lining={"thickness": THIN, "edge": EDGE, "underlay": None, "liners": [{"name": "main", "covers": ["pool"]}]},
        dig={
            "backsight": 1.5,
            "readings": [{"row": "pool: tier 1 floor", "rod": 2.45}],
            "measured": [{"pool": "pool", "at": [0, 0], "level": -1.0}],
            "stakes": {"a": list(STAKES[0]), "b": list(STAKES[1]), "spacing": 2},
        },
        tunnels={
            "nodes": [
                {"name": "door", "kind": "mouth", "at": list(DOOR)},
                {"name": "valve", "kind": "junction", "at": list(VALVE)},
                {"name": "den", "kind": "chamber", "at": [11, 0, 0.3], "size": [0.8, 0.6, 0.5], "vent": True},
            ],
            "runs": [{"from": "door", "to": "valve"}, {"from": "valve", "to": "den"}],
        },
    )
    file.write_text(
        json.dumps(small(units="si", site={"ground": {"kind": "level", "level": 0.3}}, options=[made])),
        encoding="utf-8",
    )
    return file


def figure(page: Page, name: str) -> Locator:
    """The figure of a label and a subject, in the list beside the plan."""
    return page.locator(".pk-takeoff details", has_text=name).first


def number(page: Page, name: str) -> float:
    """The number in full, as it stands behind the working."""
    full = figure(page, name).locator("p", has_text="Working").locator("b").last.text_content() or ""
    return float(full.split()[0].replace(",", "").replace("−", "-"))


def follows(page: Page, name: str, expected: float, share: float = SHARE) -> None:
    """Waits until a figure is what it should be."""
    for _ in range(round(PATIENCE * 10)):
        if figure(page, name).count() and number(page, name) == pytest.approx(expected, rel=share, abs=1e-9):
            return
        page.wait_for_timeout(100)
    assert number(page, name) == pytest.approx(expected, rel=share, abs=1e-9)


def by_grid(middle: float, slope: float, level: float = 0.0) -> tuple[float, float]:
    """Cut, and fill within the rim line, of the box in ground that rises to the east, from cells of 1 cm [m³]."""
    side = 0.01
    x, y = np.meshgrid(np.arange(-8 + side / 2, 8, side), np.arange(-6 + side / 2, 6, side))
    out = np.hypot(np.maximum(np.abs(x) - LONG / 2, 0), np.maximum(np.abs(y) - WIDE / 2, 0))
    dig, ground = np.where(out > 0, level + out, level - DEEP), middle + slope * x
    cut = float(np.maximum(ground - dig, 0).sum()) * side**2
    fill = float(np.where(out <= FREEBOARD, np.maximum(dig - ground, 0), 0).sum()) * side**2
    return cut, fill


def paste(page: Page, text: str) -> None:
    area = page.get_by_label("Survey points", exact=True)
    area.fill(text)
    area.press("Control+Enter")
    settled(page)


def test_a_survey_is_pasted_and_cut_fill_and_levels_follow(
    browser_page: Page, server: Callable[[Path | str], str], yard: Path
) -> None:
    page = browser_page
    expect_first_screen(page, server(yard))
    radio(page, "Site").click()
    settled(page)
    choose(page, "Ground", "points")
    settled(page)
    paste(page, SURVEY)
    cut, fill = by_grid(0.1, 0.05)
    follows(page, "Dig volume", cut)
    follows(page, "Fill for banks", fill, 5e-3)
    paste(page, LEVEL)
    # Level ground 0.1 m over the water: a frustum with round corners, and a ring of bank; in closed form.
    around, g = 2 * (LONG + WIDE), 0.1
    follows(page, "Dig volume", LONG * WIDE * (DEEP + g) + around * g**2 / 2 + math.pi * g**3 / 3)
    bank = around * (FREEBOARD - g) ** 2 / 2 + 2 * math.pi * ((FREEBOARD**3 - g**3) / 3 - g * (FREEBOARD**2 - g**2) / 2)
    follows(page, "Fill for banks", bank)
    follows(page, "Rim length above ground", around + 2 * math.pi * FREEBOARD)
    part(page, "Dig")
    settled(page)
    follows(page, "Rod on the dig pool: tier 1 floor", 1.5 + DEEP)
    follows(page, "Rod on the dig pool: rim", 1.5 - FREEBOARD)
    follows(page, "Cut remaining pool: tier 1 floor", 5.0, 5e-3)  # cm: the rod reads 2.45 m and shall read 2.5 m
    radio(page, "Pools").click()
    settled(page)
    enter(box(page, "Level"), "10 cm")
    settled(page)
    part(page, "Dig")
    settled(page)
    follows(page, "Rod on the dig pool: tier 1 floor", 1.5 + DEEP - 0.1)
    follows(page, "Cut remaining pool: tier 1 floor", -5.0, 5e-3)
    radio(page, "Site").click()
    settled(page)
    follows(page, "Dig volume", LONG * WIDE * DEEP)


def test_a_level_found_takes_the_liner_with_it_and_tapes_lead_to_the_points(
    browser_page: Page, server: Callable[[Path | str], str], yard: Path
) -> None:
    page = browser_page
    expect_first_screen(page, server(yard))
    part(page, "Dig")
    settled(page)
    radio(page, "Levels measured").click()
    settled(page)
    enter(box(page, "Level measured"), "-1.1 m")
    # 10 cm deeper all over, rims as drawn: each side is 10 cm longer, and the water's edge stays where it is drawn.
    more = 0.1
    down = 2 * (math.hypot(FREEBOARD, FREEBOARD) + DEEP + more + EDGE)
    follows(page, "Liner length, as built", LONG + down, 1e-3)
    follows(page, "Liner width, as built", WIDE + down, 1e-3)
    follows(page, "Volume, as built pool", LONG * WIDE * (DEEP + more))
    radio(page, "Setting out").click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Setting out (CSV)").click()
    text = Path(download.value.path()).read_text(encoding="utf-8-sig")
    rows = [row for row in csv.DictReader(io.StringIO(text)) if row["No."] not in ("A", "B")]
    corners = {(x, y) for x in (-LONG / 2, LONG / 2) for y in (-WIDE / 2, WIDE / 2)}
    met = set()
    for row in rows:
        east, north = (float(row[f"{way} [m]"]) for way in ("East", "North"))
        for stake, at in zip("AB", STAKES, strict=True):
            if row[f"Tape from {stake} [m]"]:
                assert float(row[f"Tape from {stake} [m]"]) == pytest.approx(math.dist(at, (east, north)), abs=1e-3)
        met |= {corner for corner in corners if "waterline" in row["Line"] and math.dist(corner, (east, north)) < 1e-3}
    assert met == corners


SYMBOLS = """() => [...document.querySelectorAll('.pondkit-plot')].flatMap(plot => (plot.data || [])
  .flatMap(trace => trace.marker && Array.isArray(trace.marker.symbol) ? trace.marker.symbol : []))"""


def test_a_gate_is_set_and_shut_and_plan_table_and_words_follow(
    browser_page: Page, server: Callable[[Path | str], str], yard: Path
) -> None:
    page = browser_page
    expect_first_screen(page, server(yard))
    radio(page, "Tunnels").click()
    settled(page)
    choose(page, "Node", "valve")
    settled(page)
    shut = figure(page, "Swim there and back valve shut")
    expect(shut).to_have_count(0)
    assert "bowtie-open" not in page.evaluate(SYMBOLS)
    choose(page, "Kind", "gate")
    settled(page)
    radio(page, "Tunnels from above").click()
    # There and back: from the open water over the door down to it and along the pipe, or from
    # where the pipe comes out of the water.
    sides = -DOOR[2] + math.dist(DOOR, VALVE), math.dist(VALVE, EMERGES)
    follows(page, "Swim there and back valve shut", 2 * max(sides))
    page.wait_for_function(f"({SYMBOLS})().includes('bowtie-open')")
    page.get_by_text("Shut", exact=True).click()
    settled(page)
    follows(page, "Longest swim", 2 * max(sides))
    expect(page.get_by_text("Drawn shut: 'valve'").first).to_be_attached()
    page.wait_for_function(f"({SYMBOLS})().includes('bowtie')")
    enter(box(page, "Place, north"), "0.5 m")
    expect(page.get_by_text("A gate is straight, but at 'valve' the pipe bends").first).to_be_attached()
