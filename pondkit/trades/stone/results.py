"""Result types of stone: boulders and edging, bearing of the ground, seating, slings.

A field of a result that holds entries is a key of the takeoff. A kind of boulder is all boulders of one size; the
subject of one boulder with a place is "name number", such as "slab 2".
"""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result, ToFill
from pondkit.core.tables import rows_by_name
from pondkit.geometry.footprint import StonePlan, Strip, plan_ring
from pondkit.geometry.outline import Array
from pondkit.trades.stone.inputs import Boulder, Edging, sorted_axes


@dataclass(frozen=True, eq=False)
class BoulderKind:
    """Figures of one kind of boulder.

    Attributes:
        boulder: Inputs of the kind.
        index: Its index among the boulders of the project file.
        count: Number of boulders.
        volume: Volume of one.
        mass: Mass of one, with the cautions for lifting it.
        mass_of_all: Mass of all, without those cautions.
        displaced: Water that all displace; None if they name no pool.
        cover: Water surface that all cover; None if they name no pool, or none breaks the surface.
    """

    boulder: Boulder
    index: int
    count: Entry
    volume: Entry
    mass: Entry
    mass_of_all: Entry
    displaced: Entry | None
    cover: Entry | None

    @property
    def rings(self) -> tuple[Array, ...]:
        """Outline on the site of each boulder with a place: closed, shape (n, 2) [m]."""
        return tuple(plan_ring(plan) for plan in self.plans)

    @property
    def plans(self) -> tuple[StonePlan, ...]:
        """Plan on the site of each boulder with a place, its longest axis eastward."""
        longest, middle, _ = sorted_axes(self.boulder)
        ellipse = rows_by_name("trades/stone/forms")[self.boulder.form]["plan"] == "ellipse"
        return tuple(StonePlan(float(x), float(y), longest, middle, ellipse) for x, y in self.boulder.places)


@dataclass(frozen=True, eq=False)
class EdgingRow:
    """Figures of one row of edging.

    Attributes:
        edging: Inputs of the row.
        strip: The strip of ground that it stands on.
        count: Number of stones.
        mass: Dry mass.
        seat_width, seat_level: Seat of a row outside the outline; None inside.
        displaced: Water displaced by a row inside; None outside.
        cover: Water surface covered by a row inside that breaks it; else None.
    """

    edging: Edging
    strip: Strip
    count: Entry
    mass: Entry
    seat_width: Entry | None
    seat_level: Entry | None
    displaced: Entry | None
    cover: Entry | None


@dataclass(frozen=True, eq=False)
class StoneResult(Result):
    """The stone of an option. Masses to order are None if any of it has a problem.

    Subjects are the name of a kind of boulder, "pool / inside" or "pool / outside" for a row of edging, and the pool
    for all stone that displaces its water or covers its surface.

    Attributes:
        kinds: Kinds of boulder without problems.
        rows: Rows of edging without problems.
        in_doubt: Names of the pools whose stone is uncertain, as some of it has a problem.
        boulder_rings: (name, outlines on the site: closed, shape (n, 2) each [m]) of each kind that has places.
        boulder_plans: ("name number", plan on the site) of each boulder with a place.
        boulder_tops: For each of these, the highest site level that its top may have [m]; inf if it names no pool, or
            its pool has a problem.
        edging_rings: (subject, outlines of its strip on the site: closed, shape (n, 2) each [m]) of each row.
        problems: What keeps figures from being computed, and the mend.
    """

    boulder_count: tuple[Entry, ...]
    boulder_volume: tuple[Entry, ...]
    boulder_mass: tuple[Entry, ...]
    boulder_mass_all: tuple[Entry, ...]
    heaviest_boulder: Entry | None
    boulder_displaced: tuple[Entry, ...]
    boulder_cover: tuple[Entry, ...]
    boulders_overlapping: Entry | None
    edging_count: tuple[Entry, ...]
    edging_mass: tuple[Entry, ...]
    edging_seat_width: tuple[Entry, ...]
    edging_seat_level: tuple[Entry, ...]
    edging_displaced: tuple[Entry, ...]
    edging_cover: tuple[Entry, ...]
    stone_displaced: tuple[Entry, ...]
    stone_cover: tuple[Entry, ...]
    stone_mass: Entry | None
    boulders_order: Entry | None
    edging_order: Entry | None
    stone_order: Entry | None
    kinds: tuple[BoulderKind, ...]
    rows: tuple[EdgingRow, ...]
    in_doubt: tuple[str, ...]
    boulder_rings: tuple[tuple[str, tuple[Array, ...]], ...]
    boulder_plans: tuple[tuple[str, StonePlan], ...]
    boulder_tops: tuple[float, ...]
    edging_rings: tuple[tuple[str, tuple[Array, ...]], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class BearingResult(Result):
    """Bearing of the ground under the boulders. Subjects are the name of a kind, or "name number" for one place.

    Attributes:
        problems: What keeps figures from being computed, and the mend.
    """

    bearing_allowed: Entry | None = None
    bearing_load: tuple[Entry, ...] = ()
    contact_pressure: tuple[Entry, ...] = ()
    bedding_needed: tuple[Entry, ...] = ()
    bearing_pressure: tuple[Entry, ...] = ()
    bearing_use: tuple[Entry, ...] = ()
    shelf_spare: tuple[Entry, ...] = ()
    bed_level: tuple[Entry, ...] = ()
    bedding_volume: tuple[Entry, ...] = ()
    bedding_order: Entry | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def bed_excavation(self) -> float | None:
        """Soil dug for the beds under all boulders, in place [m³]; None if one of them has a problem."""
        return self.bedding_order.value if self.bedding_order else None


@dataclass(frozen=True, eq=False)
class SeatingResult(Result):
    """How boulders with a place sit on shelf, floor or face; subjects are "name number"."""

    stand_spare: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class SlingsResult(Result):
    """The slings of an option as rigged. Subjects are a sling, "boulder / sling", or a kind of boulder.

    Attributes:
        limit: The limit entered for the use of a sling, as a share of its rated capacity.
        hooks: (kind of boulder, height of the hook above where the legs leave the stone [m]).
        problems: What keeps figures from being computed, and the mend.
        to_fill: Ratings still to be read off the tags of slings.
    """

    sling_rated: tuple[Entry, ...]
    sling_use: tuple[Entry, ...]
    leg_length: tuple[Entry, ...]
    sling_length_needed: tuple[Entry, ...]
    sling_to_use: tuple[Entry, ...]
    boulders_no_sling: Entry | None
    limit: float
    hooks: tuple[tuple[str, float], ...]
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()
