"""Result types of the liner trade: sizes and panels of each liner, rolls of fabric, edges, strips and uplift.

A liner is a rectangle: its length runs along its turn, its width across. A fabric is the underlay or the overlay.
"""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.outline import Placed
from pondkit.geometry.sheet import Rims, SheetSpan
from pondkit.geometry.site_line import Traced
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.liner.inputs import Fabric, Liner


@dataclass(frozen=True, eq=False)
class LinerFootprint:
    """A liner with the pools that it covers.

    Attributes:
        liner: Inputs of the liner.
        names: Names of the pools that it covers and that have no problem.
        surfaces: Liner surface of each of them.
        areas: For each: true area up to the rim, and plan area of the edge strip [m²].
        rims: Their rims.
        turn_deg: Direction of its length, anticlockwise from east.
        along, across: Its span along its length and across.
        edge: Width of liner beyond the rims, measured along it [m].
        trench: Centre line of the anchor trench on the site; None without one.
    """

    liner: Liner
    names: tuple[str, ...]
    surfaces: tuple[SiteSurface, ...]
    areas: tuple[tuple[float, float], ...]
    rims: Rims
    turn_deg: float
    along: SheetSpan
    across: SheetSpan
    edge: float
    trench: Traced | None

    @property
    def axes(self) -> Placed:
        """Axes of the liner on the site: x along its length, from the site's origin."""
        return Placed(0.0, 0.0, self.turn_deg)


@dataclass(frozen=True)
class Seam:
    """One straight seam of a liner as it lies flat.

    Attributes:
        along: True if it runs along the liner's length.
        place: Distance of its middle from the liner's lower side if it runs along, from its left end if across [m].
        length: Its length [m].
        depth: Its greatest depth below the highest water [m]; 0 or less above water.
        lowest: True if it crosses the lowest part of a pool.
        start: Distance of its start from the liner's left end if it runs along, from its lower side if across [m].
    """

    along: bool
    place: float
    length: float
    depth: float
    lowest: bool
    start: float = 0.0


@dataclass(frozen=True)
class LinerPanel:
    """A panel of a liner as it lies flat.

    Attributes:
        name: Its number in the order of laying.
        stock: Name of the roll that it is cut from.
        x, y: Its lower left corner, from that of the liner [m].
        along, across: Its sides along the liner's length and across it [m].
    """

    name: str
    stock: str
    x: float
    y: float
    along: float
    across: float


@dataclass(frozen=True)
class Panels:
    """The panels that a liner is made up of.

    Attributes:
        count: Number of panels.
        seams: Their seams.
        pieces: The panels one by one, where rolls are entered; else empty.
        joins_line_up: True if joins of neighbouring strips meet, where four layers lie.
    """

    count: int
    seams: tuple[Seam, ...]
    pieces: tuple[LinerPanel, ...] = ()
    joins_line_up: bool = False

    @property
    def depth(self) -> float:
        """Greatest depth of any seam below water [m]; 0 without seams."""
        return max((seam.depth for seam in self.seams), default=0.0)


@dataclass(frozen=True, eq=False)
class Purchase(Result):
    """The rolls to buy for one liner, and what is cut from them. Subjects are the liner, "liner / roll",
    "liner / panel 2", "liner / seam 1", "liner / roll, offcut 1".
    """

    plan_cost: Entry
    fewest_seams_cost: Entry | None
    fewest_seams_pieces: Entry | None
    fewest_seams_length: Entry | None
    rolls_to_buy: tuple[Entry, ...]
    panel_area: tuple[Entry, ...]
    panel_mass: tuple[Entry, ...]
    panel_carriers: tuple[Entry, ...]
    panel_seam_length: tuple[Entry, ...]
    panel_seam_depth: tuple[Entry, ...]
    offcut_area: tuple[Entry, ...]
    panels: Panels


@dataclass(frozen=True)
class FabricStrips:
    """Strips of one fabric for one liner, side by side.

    Attributes:
        liner: Name of the liner.
        count: Number of strips.
        length: Length of each [m].
        trimmed: Width trimmed off the last [m].
    """

    liner: str
    count: int
    length: float
    trimmed: float


@dataclass(frozen=True)
class Pad:
    """Pads of one size: what they are for, their number, and their sides, the longer first [m]."""

    name: str
    count: int
    long: float
    wide: float


@dataclass(frozen=True)
class RollPiece:
    """A rectangle of a roll of fabric: piece of a strip, pad or offcut.

    Attributes:
        name: Strip that it is of, what a pad is for, or name of the offcut.
        x, y: Distance from the roll's free end and from its edge [m].
        along, across: Its sides along the roll and across it [m].
        pad: True for a pad.
    """

    name: str
    x: float
    y: float
    along: float
    across: float
    pad: bool = False

    @property
    def area(self) -> float:
        """Its area [m²]."""
        return self.along * self.across


@dataclass(frozen=True)
class RollCut:
    """One roll of fabric.

    Attributes:
        pieces: Pieces of strips and pads cut from it.
        offcuts: What is left of it.
        runs: Lengths cut off it: of each piece of a strip, and of each row of pads beyond the strips [m].
    """

    pieces: tuple[RollPiece, ...]
    offcuts: tuple[RollPiece, ...]
    runs: tuple[float, ...]


@dataclass(frozen=True)
class FabricRolls:
    """Cutting plan of the rolls of one fabric.

    Attributes:
        rolls: The rolls, one by one.
        least: Number of rolls that no plan can do with less than; as many as ``rolls`` if this one is proven least.
        from_offcuts, off_rolls: Number of pads cut from what the strips leave, and from further rolls.
        pad_run: Length of roll cut for pads beyond the strips [m].
    """

    rolls: tuple[RollCut, ...]
    least: int
    from_offcuts: int
    off_rolls: int
    pad_run: float


@dataclass(frozen=True, eq=False)
class LinerResult(Result):
    """Result of one liner.

    Attributes:
        name: Name of the liner.
        purchase: The rolls to buy; None if no rolls are entered.
        panels: Its panels.
        footprint: The liner with the pools that it covers, for pictures.
        strips: Strips of each fabric, by its name.
    """

    name: str
    liner_length: Entry
    liner_width: Entry
    liner_area: Entry
    liner_turn: Entry
    liner_length_order: Entry
    liner_width_order: Entry
    liner_area_order: Entry
    liner_waste: Entry
    liner_mass: Entry
    carriers: Entry
    rule_length: Entry
    rule_width: Entry
    rule_shortfall: tuple[Entry, ...]
    panel_count: Entry
    seam_length: Entry
    seam_lap_area: Entry
    liner_made_area: Entry
    seam_depth: Entry | None
    underlay_area: Entry | None
    underlay_strips: Entry | None
    underlay_area_order: Entry | None
    underlay_waste: Entry | None
    underlay_mass: Entry | None
    overlay_area: Entry | None
    overlay_strips: Entry | None
    overlay_area_order: Entry | None
    overlay_waste: Entry | None
    overlay_mass: Entry | None
    purchase: Purchase | None
    panels: Panels
    footprint: LinerFootprint
    strips: dict[str, FabricStrips]


@dataclass(frozen=True, eq=False)
class Fabrics(Result):
    """Rolls of both fabrics. Subjects are a fabric, or "underlay / roll 1".

    Attributes:
        cuts: (name of a fabric, its inputs, cutting plan of its rolls), for pictures.
        problems: Problems of pads too large for a roll.
    """

    underlay_rolls: Entry | None
    overlay_rolls: Entry | None
    underlay_pad_order: Entry | None
    overlay_pad_order: Entry | None
    fabric_roll_run: tuple[Entry, ...]
    fabric_offcut: tuple[Entry, ...]
    fabric_offcut_area: tuple[Entry, ...]
    pads_from_offcuts: tuple[Entry, ...]
    pads_off_roll: tuple[Entry, ...]
    cuts: tuple[tuple[str, Fabric, FabricRolls], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class Uplift(Result):
    """Uplift of the liners of empty pools by groundwater. Subjects are pools."""

    liner_uplift: tuple[Entry, ...]
    uplift_pressure: tuple[Entry, ...]
    gravel_holds: tuple[Entry, ...]
    stone_holds: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class Extras(Result):
    """What belongs to the liners besides their size: strips under links, pads, folds, edges, anchor trenches and
    uplift. Subjects are a link, a kind of boulder, "pool / zone", "liner / pool, stretch 3", a liner, or "liner /
    pool".

    Attributes:
        uplift: Uplift of the liners of empty pools.
        pads: Pads under boulders and against burrowing, as cut.
        anchored: Liners that end in an anchor trench.
        problems: Problems of the zones in which burrowing is expected.
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
    uplift: Uplift
    pads: tuple[Pad, ...]
    anchored: tuple[LinerFootprint, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class LiningResult(Result):
    """All liners of an option. Totals and rolls of fabric are None if a pool or a liner has a problem."""

    liners: tuple[LinerResult, ...]
    total_liner_order: Entry | None
    total_underlay_order: Entry | None
    total_overlay_order: Entry | None
    fabrics: Fabrics | None
    extras: Extras
    problems: tuple[Problem, ...]
