"""What is heaped, gathered from all trades: the berm, what it hides and keeps clear of; banks outside the rim lines."""

import math

from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Trouble
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.ground import FAR_BANK, TooSteep
from pondkit.geometry.kept import dig_footprint
from pondkit.geometry.mound import CELLS, Bank, Heap, Mound, drawn_bank, heap, mound, outer_banks
from pondkit.geometry.outline import Placed, entered_shape
from pondkit.geometry.trench import Trenches
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.trades.earthwork.berms import Banks, BermDrawn, make_banks, make_berm_drawn, make_hidden
from pondkit.trades.earthwork.holes import Stood
from pondkit.trades.liner import between
from pondkit.trades.liner.ending import reach_of
from pondkit.trades.pools.results import PoolResult

RUNG = 0.5  # m: tops for which a heap is looked at stand so far over the ground, or twice, four times as far
RUNGS = 8
ROUGH = 1000  # cells by which a rung is found, and by how much its volume has to be over what is wanted there
SPARE = 0.1


def berm_of(
    option: Option, pools: tuple[PoolResult, ...], ground: Terrain | None, stood: Stood, dig: float
) -> BermDrawn | Problem | None:
    """The berm on its ground, or what is wrong with it; None where none is drawn with an outline.

    Args:
        option: As drawn.
        pools: Those that could be worked out.
        ground: As it is, in site axes; None where it is in trouble.
        stood: What stands in a hole.
        dig: Bank measure of the cut, which no berm can outgrow [m³].
    """
    berm = option.earth.berm if option.earth else None
    if berm is None or berm.outline is None or ground is None:
        return None
    try:
        shape = entered_shape(berm.outline, ("earth", "berm", "outline"))
        bodies = tuple(one for one in stood.standing if not one.wall)
        placed = Placed(float(berm.at[0]), float(berm.at[1]), float(berm.turn_deg))
        made = mound(shape, placed, float(berm.side_slope), tuple(one.body.foot for one in bodies))
        top = None if berm.top_level is None else float(berm.top_level)
        held = _heap(made, ground, dig + float(berm.body), top)
    except Trouble as trouble:
        return trouble.problems[0]
    edge = reach_of(option.lining)
    lined = between.lined_of(option)
    liners = tuple(
        dig_footprint(
            pool.name,
            laid.bowl.pool.shape,
            laid.placed,
            laid.rim + (edge if pool.name in lined else 0.0),
        )
        for pool in pools
        for laid in [pool.surfaces.liner]
    )
    hides = tuple(make_hidden(one.name, one.body.foot, one.rim) for one in bodies)
    return make_berm_drawn(made, held, ground, hides, liners)


def _heap(made: Mound, ground: Terrain, volume: float, top: float | None) -> Heap:
    """A heap high enough for a top, or for a volume: the same one as long as a volume changes little.

    Raises: Trouble where its sides do not come down to the ground.
    """
    if top is not None:
        return _heaped(made, top, ground)
    base = math.floor(float(ground.at(made.line).min()))
    found = base
    for rung in range(RUNGS):
        most = base + 1.0 + RUNG * 2**rung
        try:
            rough = _heaped(made, most, ground, ROUGH)
        except Trouble:
            if found == base:
                raise
            break  # as high as it goes
        found = most
        if rough.volume(most) >= (1 + SPARE) * volume:
            break
    return _heaped(made, found, ground)


@remembered
def _heaped(made: Mound, most: float, ground: Terrain, cells: int = CELLS) -> Heap:
    try:
        return heap(made, most, ground, cells)
    except TooSteep:
        raise Trouble(
            Problem(
                ("earth", "berm", "side_slope"),
                words("sides of {slope} horizontal to 1 vertical do not bring the berm down to the ground", slope=(made.slope, RATIO)),
                words("sides that meet the ground within {far} of its top", far=(FAR_BANK, LENGTH)),
                words("make the sides steeper, set it where the ground falls less, or enter a lower top"),
            )
        ) from None  # fmt: skip


def banks_of(option: Option, pools: tuple[PoolResult, ...], ground: Terrain | None) -> Banks | Problem | None:
    """What is built outside the rim lines, or what is wrong with it; None where it is not asked for."""
    drawn = option.earth
    if drawn is None or drawn.bank_crest is None or ground is None:
        return None
    crest, slope = float(drawn.bank_crest), float(drawn.bank_slope)
    banks = tuple(
        Bank(pool.name, dig.bowl.pool.shape, dig.placed, dig.rim, dig.rim_level)
        for pool in pools
        for dig in [pool.surfaces.dig]
    )
    try:
        built = outer_banks(banks, crest, slope, ground)
        share = float(drawn.bank_within)
        low = outer_banks(banks, crest * (1 - share), slope * (1 - share), ground) if share else built
        high: Trenches | None = built
        if share:
            try:
                high = outer_banks(banks, crest * (1 + share), slope * (1 + share), ground)
            except TooSteep:
                high = None
        shown = [drawn_bank(bank, crest, slope, ground) for bank in banks]
        return make_banks(built, low, high, tuple(one for one in shown if one))
    except TooSteep:
        return Problem(
            ("earth", "bank_slope"),
            words("a bank that falls outward at {slope} horizontal to 1 vertical does not meet the ground", slope=(slope, RATIO)),
            words("one that meets it within {far}", far=(FAR_BANK, LENGTH)),
            words("make its outer slope steeper, hold it by a wall, or lower the rim"),
        )  # fmt: skip
