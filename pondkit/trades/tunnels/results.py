"""Result types of the tunnels, which other trades, pictures and papers read."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels.alignment import AdjustmentFigures
from pondkit.trades.tunnels.alignment import Alignment as Alignment
from pondkit.trades.tunnels.cuts import StockLength
from pondkit.trades.tunnels.flotation import FlotationCheck
from pondkit.trades.tunnels.flushing import FlushByMouth
from pondkit.trades.tunnels.flushing import FlushingResult as FlushingResult
from pondkit.trades.tunnels.swims import Swims
from pondkit.trades.tunnels.water_and_air import WaterAndAir, WatertightJoints


@dataclass(frozen=True)
class MouthLevels:
    """A mouth in a pool: name, place, level of its centre, bore, and the pool's level at rest [m]."""

    name: str
    at: tuple[float, float]
    level: float
    bore: float
    water: float


@dataclass(frozen=True)
class DenExits:
    """A den with a run: name, place [m], and number of mouths it is connected to without passing a shut gate."""

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
        outside: Outside diameter of the first pipe that ends there [m].
        here, there: End of that pipe at the den, and its other end [m].
    """

    name: str
    size: tuple[float, float, float]
    wall: float
    outside: float
    here: Spot
    there: Spot

    @property
    def underside(self) -> float:
        """Base level of the box [m]: its floor lies as deep as the outside of the pipe."""
        return self.here[2] - self.outside / 2 - self.wall


@dataclass(frozen=True, eq=False)
class RunsResult(Result):
    """Lengths and levels of the runs. Subjects are a run ("from – to"); for cuts also the short piece at a node."""

    run_length: tuple[Entry, ...]
    run_slope: tuple[Entry, ...]
    cut_length: tuple[Entry, ...]
    run_in_water: tuple[Entry, ...]
    run_in_ground: tuple[Entry, ...]
    run_free: tuple[Entry, ...]
    run_volume: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class NodesResult(Result):
    """Levels of mouths and dens. Subjects are a node."""

    mouth_depth: tuple[Entry, ...]
    den_floor_above_water: tuple[Entry, ...]
    chamber_volume: tuple[Entry, ...]
    den_order: tuple[Entry, ...]
    den_lid_order: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class Penetrations(Result):
    """Liner penetrations of runs. Subjects are "run / pool".

    Attributes:
        passes: (subject, place on the site [m]) of each.
    """

    penetration_depth: tuple[Entry, ...]
    penetration_below_rim: tuple[Entry, ...]
    penetration_size: tuple[Entry, ...]
    penetration_count: Entry | None
    passes: tuple[tuple[str, Spot], ...]


@dataclass(frozen=True, eq=False)
class PipeOrder(Result):
    """Goods to order. Subjects are a pipe, or pipe and fitting; totals are None if a part has a problem.

    Attributes:
        stock: (pipe, its stock length [m], pieces cut from each) of each pipe.
    """

    fitting_count: tuple[Entry, ...]
    total_fitting_count: Entry | None
    pipe_length: tuple[Entry, ...]
    pipe_lengths_to_buy: tuple[Entry, ...]
    pipe_length_order: tuple[Entry, ...]
    total_pipe_order: Entry | None
    offcut_length: tuple[Entry, ...]
    stock: tuple[tuple[str, float, tuple[StockLength, ...]], ...]


@dataclass(frozen=True, eq=False)
class TunnelsResult(Result):
    """The tunnels of an option. Totals are None if a part has a problem.

    Attributes:
        pipe_displaced: Subject the pool.
        in_doubt: Pools whose length of submerged pipe is unknown.
        lines: (run, start, end on the site, outside diameter) of each run, after fitting adjustment [m].
        places: (name, kind, of a gate whether it is shut, place on the site [m]) of each node, after fitting
            adjustment.
        alignment: Alignment of the passages.
        narrowest: Place of the ``clear_bore`` on the site [m].
        mouths: Mouths in pools.
        exits: Dens with their mouths.
        dens: Dens with a size and a run.
        ground: Existing ground in site axes.
        problems: Figures that could not be computed, why, and the remedy.
    """

    runs: RunsResult
    nodes: NodesResult
    penetrations: Penetrations
    order: PipeOrder
    pipe_displaced: tuple[Entry, ...]
    bends: AdjustmentFigures
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
    def passes(self) -> tuple[tuple[str, Spot], ...]:
        """("run / pool", place on the site [m]) of each penetration."""
        return self.penetrations.passes
