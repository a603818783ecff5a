"""Temporary slopes: 29 CFR 1926 Subpart P, App. B, table B-1 (read in secondary sources), and closed forms."""

from typing import Any

import pytest

from pondkit import Project
from pondkit.core.units import System
from pondkit.drawing.rows import row_of
from pondkit.study.evaluate import evaluate
from pondkit.trades.pools.results import PoolResult
from tests.by_grid import pit_of, pool_of
from tests.designs import option, pool, read

FOOT = 0.3048


def dug(pool: Any, soil: str, groundwater: float | None = None, level: float = 0.0) -> PoolResult:
    site = {"soil": soil, "groundwater": groundwater, "ground": {"kind": "level", "level": level}}
    data = {"units": "si", "site": site, "options": [{"name": "A", "pools": [pool]}]}
    return evaluate(Project.model_validate(data, context={"units": "si"})).options[0].pools[0]


TRENCH = pool_of(
    {"shape": "rectangle", "length": 20 * FOOT, "width": 4 * FOOT}, [(6 * FOOT, 0, 0)], bank_batter=0, freeboard=0
)


@pytest.mark.parametrize(("soil", "top"), [("stiff clay", 13), ("clay", 16), ("sand", 22)])
def test_a_trench_of_4_by_6_ft_laid_back_for_types_a_b_c(soil: str, top: float) -> None:
    """Top widths of the notes' trench; an upright cut asks for the same strip on each side to be kept clear."""
    found = dug(TRENCH, soil)
    assert found.edge_set_back and found.steepest_dig_face
    assert 4 * FOOT + 2 * found.edge_set_back.value == pytest.approx(top * FOOT)
    assert found.steepest_dig_face.value == 0
    assert "Cut steeper than" in found.steepest_dig_face.cautions[0].text


@pytest.mark.parametrize(
    ("soil", "allowed"), [("stiff clay", 0.75), ("clay", 1.0), ("sand", 1.5), ("stable rock", 0.0)]
)
def test_a_face_as_flat_as_the_soil_allows_needs_no_caution_and_the_least_set_back(soil: str, allowed: float) -> None:
    pool = pool_of({"shape": "circle", "diameter": 8}, [(1.0, 0, allowed)], bank_batter=allowed, freeboard=0.1)
    found = dug(pool, soil, level=0.3)
    assert found.edge_set_back and found.steepest_dig_face
    assert found.steepest_dig_face.cautions == ()
    assert found.edge_set_back.value == pytest.approx(2 * FOOT)  # spoil 2 ft back, whatever the slope


@pytest.mark.parametrize(("system", "text"), [("us", "2 ft"), ("si", "0.61 m")])
def test_the_least_set_back_is_written_as_it_is_staked_and_never_below_the_rule(system: System, text: str) -> None:
    """The rule's 2 ft are 0.6096 m: 0.61 m keeps it, 0.6 m would not."""
    pool = pool_of({"shape": "circle", "diameter": 8}, [(1.0, 0, 1.0)], bank_batter=1, freeboard=0.1)
    figure = dug(pool, "clay", level=0.3).edge_set_back
    assert figure
    row = row_of("A", "$", "edge_set_back", figure, system)
    assert row.text == text
    assert row.si_value == figure.value == pytest.approx(2 * FOOT)
    deeper = dug(TRENCH, "clay").edge_set_back  # 6 ft of clay at 1 to 1: 6 ft, 1.8288 m
    assert deeper
    assert row_of("A", "$", "edge_set_back", deeper, "si").text == "1.83 m"
    assert row_of("A", "$", "edge_set_back", deeper, "si").full_text == "1.8288 m"


def test_a_shelf_counts_as_level_run_before_the_deeper_face() -> None:
    """Clay, 1:1. Feet at 0.5 m and, behind a shelf of 0.4 m, at 1.5 m under the edge: 0.5 and 1.5 - 0.4."""
    pool = pool_of({"shape": "circle", "diameter": 8}, [(0.5, 0.4, 0), (1.5, 0, 0)], bank_batter=0, freeboard=0.1)
    found = dug(pool, "clay").edge_set_back
    assert found
    assert found.value == pytest.approx(1.1)


def test_a_pit_is_looked_at_too() -> None:
    """An upright pit down to 2 m, its edge 1 m from the outline of a pool with 1:1 faces: 2 - 1."""
    pit = pit_of((0, 0), {"shape": "circle", "diameter": 4}, [(2.0, 0, 0)], top=0.5)
    pool = pool_of({"shape": "circle", "diameter": 6}, [(0.5, 0, 1)], bank_batter=1, freeboard=0.1, pits=[pit])
    found = dug(pool, "clay")
    assert found.edge_set_back and found.steepest_dig_face
    assert found.steepest_dig_face.value == 0
    assert found.edge_set_back.value == pytest.approx(1.0, abs=0.01)


def test_seeping_ground_counts_as_type_c() -> None:
    pool = pool_of({"shape": "circle", "diameter": 8}, [(1.0, 0, 1.2)], bank_batter=1.2, freeboard=0.1)
    assert not dug(pool, "clay", groundwater=-1.5).steepest_dig_face.cautions  # type: ignore[union-attr]
    wet = dug(pool, "clay", groundwater=-0.5).steepest_dig_face
    assert wet
    said = " ".join(caution.text for caution in wet.cautions)
    assert "type C" in said
    assert "stands above the dig's floor" in said
    assert not dug(TRENCH, "stable rock", groundwater=-0.5).steepest_dig_face.cautions  # type: ignore[union-attr]


def test_ground_below_the_whole_pool_is_not_cut() -> None:
    found = dug(TRENCH, "sand", level=-4.0)
    assert found.edge_set_back is None
    assert found.steepest_dig_face and not found.steepest_dig_face.cautions


def test_more_than_20_ft_asks_for_an_engineer() -> None:
    pool = pool_of({"shape": "circle", "diameter": 30}, [(3.0, 0, 0.5)], bank_batter=0.5, freeboard=0.1, level=-4.0)
    deep, less = dug(pool, "clay", level=0.0), dug(pool, "clay", level=-1.0)
    assert deep.dig_depth and any("registered engineer" in caution.text for caution in deep.dig_depth.cautions)
    assert less.dig_depth and not any("registered engineer" in caution.text for caution in less.dig_depth.cautions)


@pytest.mark.parametrize("batter", [0.0, 3.0])
def test_groundwater_over_the_floor_is_told_at_the_depth_of_cut_however_flat_the_faces(batter: float) -> None:
    pool = pool_of({"shape": "circle", "diameter": 9}, [(1.0, 0, batter)], bank_batter=batter, freeboard=0.1)
    wet, dry = (dug(pool, "clay", groundwater=level).dig_depth for level in (-0.4, -1.2))
    assert wet and dry
    (told,) = [caution for caution in wet.cautions if "no liner on standing water" in caution.text]
    assert told.terms[0].value == pytest.approx(0.6)
    assert not any("Groundwater" in caution.text for caution in dry.cautions)


def test_groundwater_that_is_not_entered_is_said() -> None:
    unknown, known = dug(TRENCH, "clay").dig_depth, dug(TRENCH, "clay", groundwater=-9.0).dig_depth
    assert unknown and any("not entered" in caution.text for caution in unknown.cautions)
    assert known and not any("not entered" in caution.text for caution in known.cautions)


@pytest.mark.parametrize(("ground", "steepest"), [("5 cm", 0.25), ("-30 cm", 1.0)])
def test_a_bank_counts_as_a_face_of_the_dig_where_the_ground_stands_over_its_foot(ground: str, steepest: float) -> None:
    """A shelf 20 cm down with a face of 1 to 1 under a bank of 1 in 4, and a floor 60 cm down; the ground at the
    outline is over the foot of the bank, or under the shelf.
    """
    tiers = [
        {"zone": "shelf", "depth": "20 cm", "shelf": "30 cm", "batter": 1},
        {"zone": "deep", "depth": "60 cm", "batter": 1},
    ]
    drawn = pool("p", level="0 cm", bank_batter=0.25, tiers=tiers)
    site = {"ground": {"kind": "level", "level": ground}}
    (found,) = evaluate(read(units="si", site=site, options=[option(pools=[drawn])])).options[0].pools
    assert found.steepest_dig_face is not None
    assert found.steepest_dig_face.value == steepest


def test_a_dig_is_as_deep_as_the_ground_stands_above_it_whatever_the_levels_are_counted_from() -> None:
    """The trench with its water 1 m under level ground; once with the ground at 1 m, once with the water at -1 m."""
    deep, shifted = dug(TRENCH, "clay", level=1.0), dug(TRENCH.model_copy(update={"level": -1.0}), "clay", level=0.0)
    assert deep.edge_set_back and shifted.edge_set_back and shifted.steepest_dig_face and deep.steepest_dig_face
    assert shifted.edge_set_back.value == pytest.approx(6 * FOOT + 1.0) == deep.edge_set_back.value  # clay, 1:1
    assert shifted.steepest_dig_face.cautions == deep.steepest_dig_face.cautions != ()
