"""Result types of the liner trade, which other trades, pictures and papers read."""

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
    """A liner's footprint: the liner with the pools under it.

    Attributes:
        liner: Inputs of the liner.
        names: Pools under it that have no problem.
        surfaces: Liner surface of each.
        areas: Per pool: true area up to the rim, and plan area of the edge strip [m²].
        rims: The rims under it.
        turn_deg: Direction of its length.
        along, across: Its span along its length and across.
        edge: Width of liner beyond the rims, measured along it [m].
        trench: Centre line of the anchor trench; None without one.
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
        """The liner's own axes: x along its length, from the site's origin."""
        return Placed(0.0, 0.0, self.turn_deg)


@dataclass(frozen=True)
class Seam:
    """One straight seam.

    Attributes:
        along: True if it runs along the liner's length.
        place: Distance from the liner's left (or lower) end, on the sheet [m].
        length: Its length [m].
        depth: Its greatest depth below the highest water [m]; 0 or less above water.
        lowest: True if it crosses the lowest part of a pool.
        start: Distance of its start from the liner's corner, along the seam [m].
    """

    along: bool
    place: float
    length: float
    depth: float
    lowest: bool
    start: float = 0.0


@dataclass(frozen=True)
class LinerPanel:
    """A panel: its number in the order of laying, the stock it is cut from, its lower left corner and its sides [m]."""

    name: str
    stock: str
    x: float
    y: float
    along: float
    across: float


@dataclass(frozen=True)
class Panels:
    """Panels of a liner: their number, their seams, the panels cut from given rolls, and whether joins of neighbours
    line up.
    """

    count: int
    seams: tuple[Seam, ...]
    pieces: tuple[LinerPanel, ...] = ()
    stacked: bool = False

    @property
    def depth(self) -> float:
        """Greatest depth of any seam below water [m]; 0 without seams."""
        return max((seam.depth for seam in self.seams), default=0.0)


@dataclass(frozen=True, eq=False)
class Purchase(Result):
    """Purchase and cutting plan of one liner. Subjects are the liner, "liner / roll", "liner / panel 2", "liner / seam
    1".
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
class Strips:
    """Strips of one liner: its name, their number, the length of each, and the width trimmed off the last [m]."""

    liner: str
    count: int
    along: float
    trimmed: float


@dataclass(frozen=True)
class Pad:
    """Pads of one size: purpose, count, and sides, the longer first [m]."""

    name: str
    count: int
    long: float
    wide: float


@dataclass(frozen=True)
class RollPiece:
    """A rectangle on a roll: name, distance from the roll's free end, distance from its edge, length, width [m]."""

    what: str
    x: float
    y: float
    along: float
    across: float
    pad: bool = False

    @property
    def area(self) -> float:
        return self.along * self.across


@dataclass(frozen=True)
class RollCut:
    """One roll: pieces cut from it, offcuts, and the lengths of its strips and of the rows of pads beyond them [m]."""

    pieces: tuple[RollPiece, ...]
    offcuts: tuple[RollPiece, ...]
    runs: tuple[float, ...]


@dataclass(frozen=True)
class FabricRolls:
    """Cutting plan of the rolls of one fabric.

    Attributes:
        rolls: The rolls, one by one.
        least: True if no plan has fewer rolls.
        from_offcuts, off_rolls: Number of pads cut from the offcuts of strips, and from further rolls.
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
        panels: Its panels.
        footprint: Its footprint, for pictures.
        strips: Strips of each fabric, as cut from rolls.
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
    strips: dict[str, Strips]


@dataclass(frozen=True, eq=False)
class Fabrics(Result):
    """Rolls of both fabrics. Subjects are a fabric, or "underlay / roll 1".

    Attributes:
        cuts: (fabric, its inputs, cutting plan of its rolls), for pictures.
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
    """Uplift of the liners of empty pools by groundwater, pool by pool."""

    liner_uplift: tuple[Entry, ...]
    uplift_pressure: tuple[Entry, ...]
    gravel_holds: tuple[Entry, ...]
    stone_holds: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class Extras(Result):
    """Figures of strips, pads, edges, trenches and groundwater. Subjects are a link, a boulder, "liner / pool, stretch
    3", a liner, a pool, or "pool / zone".

    Attributes:
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
    """All liners of an option; totals are None if one has a problem."""

    liners: tuple[LinerResult, ...]
    total_liner_order: Entry | None
    total_underlay_order: Entry | None
    total_overlay_order: Entry | None
    fabrics: Fabrics | None
    extras: Extras
    problems: tuple[Problem, ...]
