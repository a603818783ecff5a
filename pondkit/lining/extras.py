"""What lies round a liner: strips under links, pads under boulders, folds along the rims, its edge, groundwater under it."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pondkit.document.lining import Lining
from pondkit.lining import edges, ending
from pondkit.lining.fabrics import NO_FABRIC, boulder_pads, burrow_pads, pad_side
from pondkit.lining.rolling import Pad
from pondkit.lining.strips import Fall, strips
from pondkit.lining.under import Under
from pondkit.reference.tables import densest_water
from pondkit.result import Problem, Result
from pondkit.surface.band import Band
from pondkit.surface.path import Laid, ring_outside
from pondkit.takeoff import USER, Entry, Range, Words, entry

STRETCHES = 8  # of a rim, each of one length
CLAWS = Words(
    "Fabric slows claws and roots, it does not stop them: ask what the animals dig through, and lay mesh, stone or concrete over it where they do "
    "(common practice, no source). Lay it under the gravel, over the liner, its edges weighted. This is the net area: the rolls count its pieces with laps and margin."
)


@dataclass(frozen=True)
class Footing:
    """Boulders of one kind that stand on a liner: name, how many, and their two longer axes [m]."""

    name: str
    count: int
    long: float
    wide: float


@dataclass(frozen=True)
class Floor:
    """The lowest part of a pool's liner: the pool, its level, and the gravel on it [m]."""

    name: str
    level: float
    gravel: float


@dataclass(frozen=True)
class Burrowed:
    """A zone in which burrowing is expected: pool and zone, true area of the liner there [m²], the share that gets a pad, and its tiers."""

    name: str
    surface: float
    stretch: float
    bands: tuple[Band, ...] = ()


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
    pads: tuple[Pad, ...]
    anchored: tuple[Under, ...]
    problems: tuple[Problem, ...]


def extras(
    lining: Lining,
    unders: tuple[Under, ...],
    falls: tuple[Fall, ...],
    footings: tuple[Footing, ...],
    floors: tuple[Floor, ...],
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
        floors: Lowest part of each lined pool.
        burrows: Zones in which burrowing is expected, or what is wrong with them.
        soils: The ground beside each rim at which a liner is turned up.
        groundwater: Highest known level [m]; None where unknown.
    """
    under_links = tuple(strips(lining, falls))
    bare = [] if pad_side(lining) else [NO_FABRIC]
    density, source = densest_water()
    water = Range(density, density, density, source)
    return Extras(
        link_strip_length=tuple(length for length, _, _ in under_links),
        link_strip_width=tuple(width for _, width, _ in under_links),
        link_strip_area=tuple(area for _, _, area in under_links),
        pad_area=tuple(
            entry(edges.pad_area, foot.name, source=USER, cautions=bare, count=float(foot.count), long=foot.long, wide=foot.wide, margin=lining.pad_margin)
            for foot in footings
        ),
        burrow_pad_area=tuple(
            entry(edges.burrow_pad_area, one.name, source=USER, cautions=[CLAWS, *bare], surface=one.surface, stretch=one.stretch)
            for one in burrows
            if isinstance(one, Burrowed)
        ),
        rim_fold=tuple(fold for under in unders for fold in _folds(under)),
        trench_edge=tuple(ending.trench_edges(lining, unders)),
        edge_spare=tuple(ending.edge_spare(lining, under) for under in unders),
        edge_above_soil=tuple(ending.edges_above_soil(lining, soils)),
        trench_volume=tuple(ending.trenches(lining, unders)),
        liner_uplift=tuple(
            entry(edges.liner_uplift, floor.name, source=USER, groundwater=groundwater, floor_level=floor.level, gravel=floor.gravel,
                  gravel_density=lining.gravel_density, water_density=water)
            for floor in floors if groundwater is not None and groundwater > floor.level
        ),
        pads=(
            *boulder_pads(lining, [(foot.name, foot.count, foot.long, foot.wide) for foot in footings]),
            *(pad for one in burrows if isinstance(one, Burrowed) for pad in burrow_pads(lining, one.name, one.bands, one.stretch)),
        ),
        anchored=tuple(under for under in unders if under.trench is not None),
        problems=tuple(one for one in burrows if isinstance(one, Problem)),
    )  # fmt: skip


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
