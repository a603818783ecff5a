"""Bounds of pools and ground that are physical: each is held by itself, against what nature allows."""

from typing import Any

import pytest
from pydantic import ValidationError

from pondkit.core.part import Part
from pondkit.project.project import Option
from pondkit.trades.ground.inputs import LevelBook, PlaneGround
from pondkit.trades.pools.inputs import Link, Pool, Tier

TIER = {"zone": "deep", "depth": 0.5}
POOL = {"name": "pool", "tiers": [TIER]}
LINK = {"from": "a", "to": "b", "at": [0, 0]}
CASES: list[tuple[type[Part], dict[str, Any], str, float, float]] = [
    # part, its other fields, field, a value that nature allows, one that it does not
    (Tier, TIER, "depth", 0.1, 0.0),  # a tier is under water
    (Tier, TIER, "shelf", 0.0, -0.01),
    (Tier, TIER, "gravel", 0.0, -0.01),
    (Tier, TIER, "batter", 0.0, -0.01),  # upright is the steepest: beyond it the face overhangs
    (Pool, POOL, "freeboard", 0.0, -0.01),
    (Pool, POOL, "bank_batter", 0.0, -0.01),
    (Link, LINK, "crest_width", 0.1, 0.0),
    (Link, LINK, "slope", 0.01, 0.0),  # water runs down
    (Link, LINK, "slope", 1.0, 1.01),  # fall over length along the bed
    (Link, LINK, "side_batter", 0.0, -0.01),
    (Link, LINK, "layer", 0.0, -0.01),
    (Link, LINK, "steps", 1, 0),
    (PlaneGround, {}, "fall", 0.0, -0.01),  # its direction says which way it falls
    (LevelBook, {}, "allowed", 0.0, -0.001),
    (Option, {"name": "A", "pools": [POOL]}, "gravel_porosity", 0.0, -0.01),  # voids over bulk volume
    (Option, {"name": "A", "pools": [POOL]}, "gravel_porosity", 0.5, 1.01),
]


@pytest.mark.parametrize(
    ("part", "fields", "name", "sound", "unsound"), CASES, ids=[f"{c[0].__name__}.{c[2]}" for c in CASES]
)
def test_what_nature_does_not_allow_is_refused(
    part: type[Part], fields: dict[str, Any], name: str, sound: float, unsound: float
) -> None:
    part.model_validate(fields | {name: sound}, context={"units": "si"})
    with pytest.raises(ValidationError, match=name):
        part.model_validate(fields | {name: unsound}, context={"units": "si"})
