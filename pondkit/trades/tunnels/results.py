"""Results of the tunnels: all of it that other trades, pictures and papers read, besides the inputs."""

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
    """A den that a run reaches: name, place [m], and how many mouths it is joined to, past no shut gate."""

    name: str
    at: tuple[float, float]
    mouths: int


@dataclass(frozen=True)
class DenBox:
    """A den as it stands in its pit.

    Attributes:
        name: Its node's.
        size: Inside length, width, height [m].
        wall: Thickness of walls, floor and lid [m].
        outside: Outside diameter of the first pipe that ends there [m].
        here, there: Where that pipe ends, and its other end [m].
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
    """Lengths and levels of the runs. Subjects are a run ("from – to"); of a cut also the short piece at a node."""

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
    """Where runs pass a liner. Subjects are "run / pool".

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
    """What is bought. Subjects are a pipe, or pipe and fitting; sums are None where a part is in trouble.

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
    """The tunnels of an option. Sums are None where a part is in trouble.

    Attributes:
        pipe_displaced: Subject the pool.
        in_doubt: Pools of which it is not known what pipe stands in their water.
        lines: (run, start, end on the site, outside diameter) of each run, as its fittings make it [m].
        places: (name, kind, of a gate whether it is shut, place on the site [m]) of each node, as its fittings make it.
        alignment: The runs as they lie.
        narrowest: Where ``clear_bore`` lies on the site [m].
        mouths: Mouths in pools.
        exits: Dens with their mouths.
        dens: Dens that have a size and a run.
        ground: The ground as it is, site axes.
        problems: What could not be worked out, and how to mend it.
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
