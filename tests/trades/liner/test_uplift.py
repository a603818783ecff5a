"""Groundwater under an empty pool's liner against gravel and stone, by hydrostatics by hand."""

import json
import math
from typing import Any

import pytest

from pondkit import load
from pondkit.core.entry import Entry
from pondkit.core.tables import densest_water
from pondkit.study.evaluate import OptionResult, evaluate

G = 9.80665
WATER = densest_water()[0]
ROCK = "2600 kg/m^3"


def design(
    groundwater: str | None, stone: dict[str, Any] | None = None, tiers: list[dict[str, Any]] | None = None, **pool: Any
) -> OptionResult:
    """A round pool of 8 m: a shelf 1.5 m wide at 40 cm, and a floor at 1 m; upright faces."""
    drawn = {
        "name": "pool",
        "level": 0,
        "freeboard": 0.1,
        "bank_batter": 0,
        "outline": {"shape": "circle", "diameter": 8},
        "tiers": tiers
        or [
            {"zone": "shelf", "depth": 0.4, "shelf": 1.5, "batter": 0},
            {"zone": "deep", "depth": 1, "batter": 0, "gravel": 0.2},
        ],
    } | pool
    lining = {"liners": [{"name": "main", "covers": ["pool"]}], "gravel_density": "1600 kg/m^3"}
    option = {"name": "A", "pools": [drawn], "lining": lining, "stone": stone}
    file = {"pondkit": 1, "units": "si", "site": {"groundwater": groundwater}, "options": [option]}
    return evaluate(load(json.dumps(file).encode())).options[0]


def figure(found: OptionResult, key: str) -> Entry | None:
    return next((figure for name, figure in found.entries() if name == key), None)


def said(entry: Entry | None) -> str:
    assert entry is not None
    return " ".join(caution.text for caution in entry.cautions)


def boulder(**more: Any) -> dict[str, Any]:
    """A block of 1.0 x 0.6 x 0.5 m that fills its box, its size and density as entered: 780 kg."""
    return {
        "name": "seat",
        "axes": ["1 m", "60 cm", "50 cm"],
        "axes_within": 0,
        "form": "block",
        "density": ROCK,
        "pool": "pool",
    } | more


def low_mass(found: OptionResult, name: str = "seat") -> float:
    mass = next(entry for key, entry in found.entries() if key == "boulder_mass" and entry.subject == name)
    return mass.least


def test_gravel_holds_by_its_weight_and_water_pushes_by_its_head() -> None:
    """Floor 1.2 m down under 20 cm of gravel, groundwater at 70 cm: 0.5 m of water pushes, 0.32 m of it is held."""
    found = design("-70 cm")
    left, pushed, held = (figure(found, key) for key in ("liner_uplift", "uplift_pressure", "gravel_holds"))
    assert pushed and held and left
    assert pushed.value == pytest.approx(0.5 * WATER * G) and held.value == pytest.approx(0.2 * 1600 * G)
    assert left.value == pytest.approx((pushed.value - held.value) / (WATER * G))
    assert "never empty it" in said(left)
    assert figure(design(None), "uplift_pressure") is None and figure(design("-1.3 m"), "uplift_pressure") is None


def test_gravel_on_the_floor_excuses_no_bare_shelf() -> None:
    """The floor's 40 cm of gravel hold 64 cm of water, and 60 push; on the shelf lies none, and there 10 cm push."""
    tiers = [
        {"zone": "shelf", "depth": 0.4, "shelf": 1.5, "batter": 0},
        {"zone": "deep", "depth": 0.5, "batter": 0, "gravel": 0.4},
    ]
    left = figure(design("-30 cm", tiers=tiers), "liner_uplift")
    assert left and left.value == pytest.approx(0.1) and "never empty it" in said(left)


def test_faces_over_the_gravel_are_told_though_the_floor_is_held() -> None:
    """Groundwater 25 cm over a liner with 20 cm of gravel: 0.25 < 0.32, held; 5 cm
    of water stand behind the bare face.
    """
    found = design("-95 cm")
    left = figure(found, "liner_uplift")
    assert left and left.value < 0 and "never empty it" not in said(left)
    (faces,) = [caution for caution in left.cautions if "faces" in caution.text]
    assert faces.terms[0].value == pytest.approx(0.05)
    assert "faces" not in said(figure(design("-1.05 m"), "liner_uplift"))


def test_stones_hold_by_their_low_mass_and_change_no_other_figure() -> None:
    stone = {"boulders": [boulder(count=2, places=[["0 m", "0 m"], ["1 m", "0 m"]], axes_within=0.1)]}
    found, bare = design("-70 cm", stone), design("-70 cm")
    held = figure(found, "stone_holds")
    assert held and held.value == pytest.approx(2 * low_mass(found) * G)
    # A block's low share of its box, and all axes a tenth short: less than its box by the cube of that.
    assert low_mass(found) <= 0.3 * 2600 * 0.9**3 + 1e-9
    assert "only where it stands" in said(held) and "no place" not in said(held)
    for key in ("liner_uplift", "uplift_pressure", "gravel_holds"):
        with_stone, without = figure(found, key), figure(bare, key)
        assert with_stone and without and with_stone.value == without.value
        assert with_stone.cautions == without.cautions


def test_a_stone_on_a_shelf_above_the_groundwater_holds_nothing() -> None:
    """The shelf lies at 40 cm, from 2.5 m outward; groundwater at 70 cm pushes under the floor alone."""
    on_shelf = {"boulders": [boulder(count=1, places=[["3.2 m", "0 m"]])]}
    assert figure(design("-70 cm", on_shelf), "stone_holds") is None
    assert figure(design("-35 cm", on_shelf), "stone_holds")  # there groundwater stands over the shelf too


def test_a_stone_without_a_place_counts_and_says_so() -> None:
    stone = {"boulders": [boulder(count=3, places=[["3.2 m", "0 m"]])]}
    found = design("-70 cm", stone)
    held = figure(found, "stone_holds")
    assert held and held.value == pytest.approx(2 * low_mass(found) * G)
    (note,) = [caution for caution in held.cautions if "no place" in caution.text]
    assert note.terms[0].value == 2


def test_a_pool_above_the_groundwater_has_no_stone_against_it() -> None:
    """Placed or not: under a floor that lies dry nothing pushes."""
    stone = {"boulders": [boulder(count=3, places=[["0 m", "0 m"]])]}
    assert figure(design("-1.3 m", stone), "stone_holds") is None


def test_what_rests_on_a_stone_in_the_pool_counts_and_a_stone_of_no_pool_does_not() -> None:
    stone = {
        "boulders": [
            boulder(places=[["0 m", "0 m"]]),
            boulder(name="cap", pool=None, rests_on="seat", places=[["0 m", "0 m"]]),
            boulder(name="lawn", pool=None, places=[["9 m", "0 m"]]),
            boulder(name="perch", rests_on="lawn"),
        ]
    }
    found = design("-70 cm", stone)
    held = figure(found, "stone_holds")
    assert held and held.value == pytest.approx((low_mass(found) + low_mass(found, "cap")) * G)


@pytest.mark.parametrize(
    ("seat", "groundwater", "counts"),
    [("inside", "-35 cm", True), ("inside", "-70 cm", False), ("outside", "-5 cm", False)],
)
def test_edging_counts_where_it_is_set_inside_and_groundwater_stands_over_its_base(
    seat: str, groundwater: str, counts: bool
) -> None:
    row = {"pool": "pool", "seat": seat, "base_level": "-40 cm", "along": "40 cm", "across": "30 cm", "height": "45 cm"}
    found = design(groundwater, {"rock": "granite", "edging": [row]})
    held, mass = figure(found, "stone_holds"), figure(found, "edging_mass")
    assert mass and (held is not None) == counts
    # The middle line lies 15 cm in or out; 35 % of the boxes of its stones is gaps.
    stones = math.ceil(2 * math.pi * (3.85 if seat == "inside" else 4.15) / 0.4)
    assert mass.least < stones * 0.4 * 0.3 * 0.45 * 0.65 * 2700
    if held:
        assert held.value == pytest.approx(mass.least * G)
