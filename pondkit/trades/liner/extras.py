"""What lies round a liner: strips under links, pads under boulders, folds along the rims, its edge, groundwater under it."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.core.tables import densest_water
from pondkit.core.units import COUNT, LENGTH
from pondkit.geometry.band import TierBand
from pondkit.geometry.path import Laid, ring_outside
from pondkit.trades.liner import cautions as rules
from pondkit.trades.liner import edges, ending
from pondkit.trades.liner.fabrics import boulder_pads, burrow_pads, pad_side
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.rolling import Pad
from pondkit.trades.liner.strips import Fall, strips
from pondkit.trades.liner.under import Under

STRETCHES = 8  # of a rim, each of one length


@dataclass(frozen=True)
class Footing:
    """Boulders of one kind that stand on a liner: name, how many, and their two longer axes [m]."""

    name: str
    count: int
    long: float
    wide: float


@dataclass(frozen=True)
class Floor:
    """Level parts of a pool's liner: the pool, and (level, gravel on it) of each [m]."""

    name: str
    parts: tuple[tuple[float, float], ...]

    def worst(self, gravel_weight: float) -> tuple[float, float]:
        """The part that groundwater lifts first; ``gravel_weight`` is gravel's density over water's."""
        return min(self.parts, key=lambda part: part[0] + part[1] * gravel_weight)

    @property
    def foot(self) -> float:
        """Level at which the lowest face comes out of the gravel [m]."""
        return min(level + gravel for level, gravel in self.parts)


@dataclass(frozen=True)
class Ballast:
    """Stone that stands on a pool's liner where groundwater pushes: the pool, low masses, dry [kg], and how many stones have no place on the plan."""

    name: str
    masses: tuple[float, ...]
    unplaced: int


@dataclass(frozen=True)
class Burrowed:
    """A zone in which burrowing is expected: pool and zone, true area of the liner there [m²], the share that gets a pad, and its tiers."""

    name: str
    surface: float
    stretch: float
    bands: tuple[TierBand, ...] = ()


@dataclass(frozen=True, eq=False)
class Extras(Result):
    """Round the liners. Subjects are a link, a boulder, "liner / pool, stretch 3", a liner, a pool, or "pool / zone".

    Attributes:
        pads: Under boulders and against burrowing, as they are cut.
        anchored: Liners that end in an anchor trench.
        problems: Of the zones in which burrowing is expected.
    """

    link_strip_length: tuple[Entry, ...]
    link_strip_width: tuple[Entry, ...]
    link_strip_area: tuple[Entry, ...]
    pad_area: tuple[Entry, ...]
    burrow_pad_area: tuple[Entry, ...]
    rim_fold: tuple[Entry, ...]
    trench_edge: tuple[Entry, ...]
    edge_spare: tuple[Entry, ...]
    edge_above_soil: tuple[Entry, ...]
    trench_volume: tuple[Entry, ...]
    liner_uplift: tuple[Entry, ...]
    uplift_pressure: tuple[Entry, ...]
    gravel_holds: tuple[Entry, ...]
    stone_holds: tuple[Entry, ...]
    pads: tuple[Pad, ...]
    anchored: tuple[Under, ...]
    problems: tuple[Problem, ...]


@remembered
def extras(
    lining: Lining,
    unders: tuple[Under, ...],
    falls: tuple[Fall, ...],
    footings: tuple[Footing, ...],
    floors: tuple[Floor, ...],
    ballast: tuple[Ballast, ...],
    burrows: tuple[Burrowed | Problem, ...],
    soils: tuple[ending.Soil, ...],
    groundwater: float | None,
) -> Extras:
    """Every figure round the liners.

    Args:
        lining: As entered.
        unders: The liners with their pools.
        falls: Links between pools that could be worked out.
        footings: Boulders that stand on a liner.
        floors: Level parts of each lined pool.
        ballast: Stone that stands on them where groundwater pushes.
        burrows: Zones in which burrowing is expected, or what is wrong with them.
        soils: The ground beside each rim at which a liner is turned up.
        groundwater: Highest known level [m]; None where unknown.
    """
    under_links = tuple(strips(lining, falls))
    bare = [] if pad_side(lining) else [rules.PADS_WITHOUT_FABRIC()]
    return Extras(
        link_strip_length=tuple(length for length, _, _ in under_links),
        link_strip_width=tuple(width for _, width, _ in under_links),
        link_strip_area=tuple(area for _, _, area in under_links),
        pad_area=tuple(
            entry(edges.pad_area, foot.name, source=USER, cautions=bare, count=float(foot.count), long=foot.long, wide=foot.wide, margin=lining.pad_margin)
            for foot in footings
        ),
        burrow_pad_area=tuple(
            entry(edges.burrow_pad_area, one.name, source=USER, cautions=[rules.FABRIC_SLOWS_CLAWS(), *bare], surface=one.surface, stretch=one.stretch)
            for one in burrows
            if isinstance(one, Burrowed)
        ),
        rim_fold=tuple(fold for under in unders for fold in _folds(under)),
        trench_edge=tuple(ending.trench_edges(lining, unders)),
        edge_spare=tuple(ending.edge_spare(lining, under) for under in unders),
        edge_above_soil=tuple(ending.edges_above_soil(lining, soils)),
        trench_volume=tuple(ending.trenches(lining, unders)),
        **_uplift(lining, floors, ballast, groundwater),
        pads=(
            *boulder_pads(lining, [(foot.name, foot.count, foot.long, foot.wide) for foot in footings]),
            *(pad for one in burrows if isinstance(one, Burrowed) for pad in burrow_pads(lining, one.name, one.bands, one.stretch)),
        ),
        anchored=tuple(under for under in unders if under.trench is not None),
        problems=tuple(one for one in burrows if isinstance(one, Problem)),
    )  # fmt: skip


def _uplift(
    lining: Lining, floors: tuple[Floor, ...], ballast: tuple[Ballast, ...], groundwater: float | None
) -> dict[str, tuple[Entry, ...]]:
    """Groundwater under each empty pool, against the gravel on the part that it lifts first, and the stone as a weight of its own."""
    density, source = densest_water()
    water = Range(density, density, density, source)
    typical, share = float(lining.gravel_density), float(lining.gravel_density_within)
    bulk = Range(typical * (1 - share), typical, typical * (1 + share), "density of the gravel: user input")
    left, pushed, held = [], [], []
    for floor in floors:
        level, gravel = floor.worst(float(lining.gravel_density) / density)
        if groundwater is None or groundwater <= min(level for level, _ in floor.parts):
            continue
        given: dict[str, Any] = {"groundwater": groundwater, "floor_level": level, "water_density": water}
        laid: dict[str, Any] = {"gravel": gravel, "gravel_density": bulk}
        bare = groundwater - floor.foot
        faces = [rules.FACES_WITHOUT_GRAVEL(head=(bare, LENGTH))] if bare > 0 else []
        left.append(entry(edges.liner_uplift, floor.name, source=USER, cautions=faces, **given, **laid))
        pushed.append(entry(edges.uplift_pressure, floor.name, source=USER, gravity=GRAVITY, **given))
        held.append(entry(edges.gravel_holds, floor.name, source=USER, gravity=GRAVITY, **laid))
    stones = [
        entry(
            edges.stone_holds,
            one.name,
            cautions=[rules.LIFTS_BETWEEN_STONES(), *_unplaced(one)],
            masses=one.masses,
            gravity=GRAVITY,
        )
        for one in ballast
    ]
    return {
        "liner_uplift": tuple(left),
        "uplift_pressure": tuple(pushed),
        "gravel_holds": tuple(held),
        "stone_holds": tuple(stones),
    }


def _unplaced(ballast: Ballast) -> tuple[Caution, ...]:
    return (rules.STONES_WITHOUT_PLACE(count=(ballast.unplaced, COUNT)),) if ballast.unplaced else ()


def _folds(under: Under) -> Iterator[Entry]:
    """Liner in folds by stretches of each rim, from its first point on, each of one length."""
    for name, laid in zip(under.names, under.laid, strict=True):
        ring = ring_outside(laid, laid.rim)
        sides = np.diff(ring, axis=0)
        bearing = np.arctan2(sides[:, 1], sides[:, 0])
        # At each corner how far the rim turns, the way in which it closes on itself being positive.
        turn = np.mod(np.diff(bearing, append=bearing[0]) + math.pi, 2 * math.pi) - math.pi
        turn *= math.copysign(1.0, float(turn.sum()))
        ends = np.cumsum(np.linalg.norm(sides, axis=1))
        stretch = np.minimum(ends / ends[-1] * STRETCHES, STRETCHES - 1).astype(int)
        way, run = _face(laid)
        for number in range(STRETCHES):
            turned = math.degrees(float(turn[stretch == number].sum()))
            subject = f"{under.liner.name} / {name}, stretch {number + 1}"
            yield entry(edges.fold, subject, way=way, run=run, turned=turned)


def _face(laid: Laid) -> tuple[float, float]:
    """(way over the surface, level distance) from the rim down to the floor, where the outline's middle is reached [m]."""
    part = laid.bowl.pool
    inner = part.shape.inradius
    top = laid.level - laid.rim_level
    points = [
        (-laid.rim, top),
        *((t, z) for t, z in part.profile.corners if z > top and t < inner),
        (inner, part.reached),
    ]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(points)]
    return sum(math.hypot(*step) for step in steps), sum(abs(t) for t, _ in steps)
