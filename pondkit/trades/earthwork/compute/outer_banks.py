"""Banks outside the rim lines."""

from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import USER, Range, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.cut_fill import FAR_BANK, TooSteep
from pondkit.geometry.mound import (
    Bank,
    Heaped,
    drawn_bank,
    outer_banks,
)
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import Trenches
from pondkit.trades.earthwork.cautions import (
    BANK_HOLDS_WATER,
    BANK_MAY_SPREAD,
)
from pondkit.trades.earthwork.formulas import berms as rel
from pondkit.trades.earthwork.inputs.earth import Earth
from pondkit.trades.pools.results import PoolResult


@dataclass(frozen=True, eq=False)
class OuterBanks:
    """Banks outside the rim lines: what each takes, and all together; how long each is, its pool's
    ``rim_above_ground`` says.

    ``drawn`` are those that lie anywhere. ``low`` and ``high`` are built narrower and steeper, wider and flatter, by
    the share entered; ``high`` is
    None where those do not meet the ground.
    """

    built: Trenches
    low: Trenches
    high: Trenches | None
    drawn: tuple[Heaped, ...]

    def entries(self) -> dict[str, Any]:
        """Their entries by key; of pools that need none outside their rim there are none."""
        high = self.high or self.built
        some = [ends for ends in zip(self.low.each, self.built.each, high.each, strict=True) if ends[1].volume > 0]
        each = tuple(
            entry(
                rel.outer_bank_volume,
                one.name,
                cautions=[BANK_HOLDS_WATER()],
                built=_range(low.volume, one.volume, most.volume),
            )
            for low, one, most in some
        )
        whole = _range(self.low.together, self.built.together, high.together)
        notes = () if self.high else (BANK_MAY_SPREAD(),)
        return {
            "outer_bank_volume": each,
            "total_outer_bank": entry(rel.total_outer_bank, "", cautions=notes, together=whole),
        }


make_outer_banks = remembered(OuterBanks)


def _range(low: float, typical: float, high: float) -> Range:
    return Range(low, typical, high, USER)


def compute(earth: Earth | None, pools: tuple[PoolResult, ...], ground: Terrain | None) -> OuterBanks | Problem | None:
    """What is built outside the rim lines, or what is wrong with it; None where it is not asked for.

    Args:
        earth: As drawn; None where the option has none.
        pools: Those that could be worked out.
        ground: As it is; None where it is in trouble.
    """
    if earth is None or earth.outer_bank is None or ground is None:
        return None
    (crest, slope), share = earth.outer_bank, float(earth.bank_within)
    banks = tuple(
        Bank(pool.name, dig.surface.pool.shape, dig.placed, dig.rim, dig.rim_level)
        for pool in pools
        for dig in [pool.surfaces.dig]
    )
    try:
        built = outer_banks(banks, crest, slope, ground)
        low = outer_banks(banks, crest * (1 - share), slope * (1 - share), ground) if share else built
        high: Trenches | None = built
        if share:
            try:
                high = outer_banks(banks, crest * (1 + share), slope * (1 + share), ground)
            except TooSteep:
                high = None
        shown = [drawn_bank(bank, crest, slope, ground) for bank in banks]
        return make_outer_banks(built, low, high, tuple(one for one in shown if one))
    except TooSteep:
        return Problem(
            ("earth", "bank_slope"),
            words(
                "a bank that falls outward at {slope} horizontal to 1 vertical does not meet the ground",
                slope=(slope, RATIO),
            ),
            words("one that meets it within {far}", far=(FAR_BANK, LENGTH)),
            words("make its outer slope steeper, hold it by a wall, or lower the rim"),
        )
