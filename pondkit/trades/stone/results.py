"""Result types of stone: boulders and edging, bearing, seating, slings."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result, ToFill
from pondkit.core.tables import rows_by_name
from pondkit.geometry.footprint import StonePlan, Strip, plan_ring
from pondkit.geometry.outline import Array
from pondkit.trades.stone.inputs import Boulder, Edging, in_order


@dataclass(frozen=True, eq=False)
class BoulderKind:
    """One kind of boulder. Outside every pool it displaces and covers nothing. ``mass`` carries the cautions for
    lifting one; ``of_all``, the mass of all, does not.
    """

    boulder: Boulder
    index: int
    count: Entry
    volume: Entry
    mass: Entry
    of_all: Entry
    displaced: Entry | None
    cover: Entry | None

    @property
    def rings(self) -> tuple[Array, ...]:
        """Closed line on the site of each placed boulder, shape (n, 2) [m]."""
        return tuple(plan_ring(plan) for plan in self.plans)

    @property
    def plans(self) -> tuple[StonePlan, ...]:
        """Plan of each placed boulder, longest axis eastward."""
        longest, middle, _ = in_order(self.boulder)
        ellipse = rows_by_name("trades/stone/forms")[self.boulder.form]["plan"] == "ellipse"
        return tuple(StonePlan(float(x), float(y), longest, middle, ellipse) for x, y in self.boulder.places)


@dataclass(frozen=True, eq=False)
class EdgingRow:
    """A row of edging. Outside an outline it has a seat; inside it displaces water, and covers surface
    if it breaks it.
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
    """The stone of an option. Entries are its keys in the takeoff; sums are None if a part has a problem.

    Subjects are a boulder's name, "pool / seat" for a row of edging, and the pool for displacement and cover.

    Attributes:
        kinds: Kinds of boulder without problems.
        rows: Rows of edging without problems.
        in_doubt: Pools with uncertain stone.
        boulder_rings: (name, closed lines on the site, shape (n, 2) each [m]) of each kind of boulder that is placed.
        boulder_plans: ("boulder number", plan on the site) of each boulder that is placed.
        boulder_tops: Highest level of the top of each of them [m]; infinite where it is unknown.
        edging_rings: (subject, closed lines on the site) of each row.
        problems: Figures that could not be computed, why, and the remedy.
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
    """Bearing of the ground under the boulders. Subjects are a boulder's name, or "boulder number" for one place.

    Attributes:
        problems: Figures that could not be computed, why, and the remedy.
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
    def dug(self) -> float | None:
        """Excavation for beds under boulders [m³]; None if that has a problem."""
        return self.bedding_order.value if self.bedding_order else None


@dataclass(frozen=True, eq=False)
class SeatingResult(Result):
    """Seating of placed boulders; subjects are "boulder number"."""

    stand_spare: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class SlingsResult(Result):
    """The slings of an option as rigged. Subjects are a sling, "boulder / sling", or a boulder.

    Attributes:
        limit: The person's own limit on a sling's rating, as a share.
        hooks: (boulder, height of the hook above the foot of its legs [m]) of each kind.
        problems: Figures that could not be computed, why, and the remedy.
        to_fill: Sling tags still to be read.
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
