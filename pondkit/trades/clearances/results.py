"""Results of clearances: how near everything comes to what it keeps clear of, and stones over other works."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.footprint import Footprint, Kept


@dataclass(frozen=True, eq=False)
class KeptResult(Result):
    """How near digs, heaps, walls, machines and booms come to what they keep clear
    of, and what the way in lets through.

    Attributes:
        keep_out_distance: Subject "dig / keep-out", "machine at position / keep-out" or "boom at position / keep-out".
        way_spare, way_stone_width: None where the site has no way in.
        things: Those that could be drawn.
        way: The way in, as far as it is drawn.
        machines: What machines take up, and what their booms sweep.
        problems: What could not be worked out; paths start at the project's ``site``.
    """

    keep_outs_entered: Entry | None
    way_spare: Entry | None
    way_stone_width: Entry | None
    keep_out_distance: tuple[Entry, ...]
    things: tuple[Kept, ...]
    way: Footprint | None
    machines: tuple[Footprint, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class StoneOnWorks(Result):
    """Placed boulders on other works; None where no boulder is placed, or nothing is there to stand on."""

    boulders_on_works: Entry | None
