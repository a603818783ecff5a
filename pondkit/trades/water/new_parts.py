"""Starting values of new pumps, branches and bodies of the water side."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from pondkit.core.refusal import Refused
from pondkit.core.tables import densest_water
from pondkit.core.units import Typed
from pondkit.geometry.room import Spot
from pondkit.trades.water.inputs.pumping import Branch, Intake, Passage, Pump, PumpPit
from pondkit.trades.water.inputs.water import Filter, Water

PIT_SIZE = {"us": ("20 in", "20 in"), "si": ("50 cm", "50 cm")}
PIT_DEPTH = 0.75  # m: base of a new pit under the ground
GROUND_WITHIN = 0.1  # m: by which the ground may stand higher at another place of the pit than at its middle
FILTER_OVER_POOL = 0.3  # m: water of a new filter over that of the pool that it flows to


def new_pump(name: str) -> Pump:
    """A new pump, its curve still to be read from the manufacturer's sheet."""
    return Pump.model_validate({"name": name})


def new_branch(name: str, levels: Mapping[str, float], typed: Typed) -> Branch:
    """A new branch to the highest pool.

    Args:
        name: Its name.
        levels: Level of each pool by its name [m].
        typed: Writes a quantity as text.
    Raises: Refused if there is no pool.
    """
    if not levels:
        raise Refused("A branch carries water to a pool: draw a pool first.")
    highest = max(levels, key=lambda pool: levels[pool])
    values = {"name": name, "pool": highest, "length": typed.either("20 ft", "6 m")}
    return Branch.model_validate(values, context={"units": typed.system})


def new_intake(place: Spot, pool: str | None, typed: Typed) -> Intake:
    """A new intake; its basin has no size yet.

    Args:
        place: Its middle [m].
        pool: Name of the pool that it draws from; None for the lowest.
        typed: Writes a quantity as text.
    """
    return Intake.model_validate({"at": typed.place(place), "pool": pool}, context={"units": typed.system})


def new_pit(water: Water, place: Spot, ground: float, typed: Typed) -> PumpPit:
    """A new pump pit, with ballast for the flotation check in ground saturated to the surface.

    Args:
        water: Inputs of the water side, with the required safety factor.
        place: Its middle [m].
        ground: Level of the ground there [m].
        typed: Writes a quantity as text.
    """
    values: dict[str, Any] = {
        "at": typed.place(place),
        "plan_size": PIT_SIZE[typed.system],
        "underside": typed.small(ground - PIT_DEPTH, 1.0, math.floor),
    }
    pit = PumpPit.model_validate(values, context={"units": typed.system})
    volume = float(pit.plan_size[0] * pit.plan_size[1]) * (ground - float(pit.underside) + GROUND_WITHIN)
    values["ballast"] = typed.mass(float(water.uplift_safety) * densest_water()[0] * volume)
    return PumpPit.model_validate(values, context={"units": typed.system})


def new_filter(place: Spot, levels: Mapping[str, float], typed: Typed) -> Filter:
    """A new filter above the highest pool, to which it flows.

    Args:
        place: Its middle [m].
        levels: Level of each pool by its name [m].
        typed: Writes a quantity as text.
    Raises: Refused if there is no pool.
    """
    if not levels:
        raise Refused("A filter flows to a pool: draw a pool first.")
    highest = max(levels, key=lambda pool: levels[pool])
    values = {
        "at": typed.place(place),
        "level": typed.small(levels[highest] + FILTER_OVER_POOL, 1.0, math.ceil),
        "to": highest,
    }
    return Filter.model_validate(values, context={"units": typed.system})


def new_passage(water: Water) -> Passage:
    """A new pipe between the filter's two bodies.

    Raises: Refused if an opening joins them.
    """
    if water.filter is None:
        raise Refused("A passage joins the filter's two bodies: add a filter first.")
    if water.filter.passage_area is not None:
        raise Refused(
            "The filter's bodies are joined by an opening: take the opening between bodies out first, "
            "where they stand apart and a pipe joins them."
        )
    return Passage()


def levels_of(pools: Sequence[Any]) -> dict[str, float]:
    """Level of each pool by its name [m]."""
    return {pool.name: float(pool.level) for pool in pools}
