"""Results of the tunnels, as other trades, pictures and papers read them."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels.alignment import AdjustmentFigures
from pondkit.trades.tunnels.alignment import Alignment as Alignment
from pondkit.trades.tunnels.cuts import StockPieces
from pondkit.trades.tunnels.flotation import FlotationCheck
from pondkit.trades.tunnels.flushing import FlushByMouth
from pondkit.trades.tunnels.flushing import FlushingResult as FlushingResult
from pondkit.trades.tunnels.swims import Swims
from pondkit.trades.tunnels.water_and_air import WaterAndAir, WatertightJoints


@dataclass(frozen=True)
class MouthLevels:
    """A mouth in a pool.

    Attributes:
        name: Name of its node.
        at: Its place on the site [m].
        level: Level of its centre [m].
        bore: Bore of its pipe [m].
        water_level: Level at rest of the pool that it opens to [m].
    """

    name: str
    at: tuple[float, float]
    level: float
    bore: float
    water_level: float


@dataclass(frozen=True)
class DenExits:
    """A den with a run: its name, its place on the site [m], and the number of mouths that it is connected to without
    passing a shut gate.
    """

    name: str
    at: tuple[float, float]
    mouths: int


@dataclass(frozen=True)
class DenBox:
    """A den box in its excavation.

    Attributes:
        name: Name of its node.
        size: Inside length, width, height [m].
        wall: Thickness of walls, floor and lid [m].
        pipe_outside: Outside diameter of the first pipe that ends there [m].
        at_den, far_end: End of that pipe at the den, and its other end [m]; the box lies in line with it.
    """

    name: str
    size: tuple[float, float, float]
    wall: float
    pipe_outside: float
    at_den: Spot
    far_end: Spot

    @property
    def underside(self) -> float:
        """Level to which the pit is dug for the box [m]: its wall below the outside of the pipe.

        The floor itself lies at the pipe's invert, higher by the thickness of the pipe's wall: bedding makes that up.
        """
        return self.at_den[2] - self.pipe_outside / 2 - self.wall


@dataclass(frozen=True, eq=False)
class RunsResult(Result):
    """Lengths, slopes and volumes of the runs. Subjects are a run ("from – to"); of cut lengths also the short piece
    between two fittings at a node.
    """

    run_length: tuple[Entry, ...]
    run_slope: tuple[Entry, ...]
    cut_length: tuple[Entry, ...]
    run_in_water: tuple[Entry, ...]
    run_in_ground: tuple[Entry, ...]
    run_free: tuple[Entry, ...]
    run_volume: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class NodesResult(Result):
    """Levels of mouths and dens, and dens to order. Subjects are a node."""

    mouth_depth: tuple[Entry, ...]
    den_floor_above_water: tuple[Entry, ...]
    chamber_volume: tuple[Entry, ...]
    den_order: tuple[Entry, ...]
    den_lid_order: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class Penetrations(Result):
    """Penetrations of a liner by a run. Subjects are "run / pool", numbered from the second.

    Attributes:
        places: (subject, place on the site [m]) of each.
    """

    penetration_depth: tuple[Entry, ...]
    penetration_below_rim: tuple[Entry, ...]
    penetration_size: tuple[Entry, ...]
    penetration_count: Entry | None
    places: tuple[tuple[str, Spot], ...]


@dataclass(frozen=True, eq=False)
class PipeOrder(Result):
    """Pipe and fittings to order. Subjects are a pipe, or pipe and fitting; totals are None if a part has a problem.

    Attributes:
        cutting_plan: (pipe, its stock length [m], what is cut from each stock length) of each pipe.
    """

    fitting_count: tuple[Entry, ...]
    total_fitting_count: Entry | None
    pipe_length: tuple[Entry, ...]
    pipe_lengths_to_buy: tuple[Entry, ...]
    pipe_length_order: tuple[Entry, ...]
    total_pipe_order: Entry | None
    offcut_length: tuple[Entry, ...]
    cutting_plan: tuple[tuple[str, float, tuple[StockPieces, ...]], ...]


@dataclass(frozen=True, eq=False)
class TunnelsResult(Result):
    """The tunnels of an option. Totals are None if a part has a problem.

    Attributes:
        pipe_displaced: Subjects are a pool.
        adjustment: How far the line is moved so that listed fittings make its bends.
        filling: Water and air in the passages.
        sealing: Pipe and joints that must be watertight.
        in_doubt: Names of the pools in which the length of pipe under water is unknown.
        lines: (run, start and end on the site, outside diameter) [m] of each run, after fitting adjustment.
        places: (name, kind, place on the site [m]) of each node, after fitting adjustment; the kind of a gate that is
            shut is "shut gate".
        alignment: Alignment of the passages.
        narrowest: Place of the ``clear_bore`` on the site [m].
        mouths: Mouths in pools.
        exits: Dens with a run, and the number of mouths that an animal can reach from each.
        dens: Dens with a size and a run, as boxes.
        ground: Existing ground in site axes.
        problems: Figures that could not be computed, why, and the remedy.
    """

    runs: RunsResult
    nodes: NodesResult
    penetrations: Penetrations
    order: PipeOrder
    pipe_displaced: tuple[Entry, ...]
    adjustment: AdjustmentFigures
    clear_bore: Entry | None
    swims: Swims
    filling: WaterAndAir
    sealing: WatertightJoints
    uplift: FlotationCheck
    flush: FlushByMouth
    tunnel_volume: Entry | None
    flooded_pipe_volume: Entry | None
    in_doubt: frozenset[str]
    lines: tuple[tuple[str, Spot, Spot, float], ...]
    places: tuple[tuple[str, str, Spot], ...]
    alignment: Alignment
    narrowest: Spot | None
    mouths: tuple[MouthLevels, ...]
    exits: tuple[DenExits, ...]
    dens: tuple[DenBox, ...]
    ground: Terrain
    problems: tuple[Problem, ...]

    @property
    def penetration_places(self) -> tuple[tuple[str, Spot], ...]:
        """("run / pool", place on the site [m]) of each penetration."""
        return self.penetrations.places
