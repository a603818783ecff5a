"""Results of clearances, and of boulders over other works."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.footprint import Footprint, SiteConstraint


@dataclass(frozen=True, eq=False)
class ClearancesResult(Result):
    """Clearances of digs, fills, walls, machines and booms to keep-outs, and limits of the way in.

    Attributes:
        keep_outs_entered: None if there is no keep-out.
        way_spare, way_stone_width: None if the site has no way in.
        keep_out_distance: Subjects are "dig / keep-out", "machine at position / keep-out" and so on.
        keep_outs: The keep-outs that can be drawn.
        way: Footprint of the way in; None if fewer than two places of it are entered.
        machines: Footprints of machines, and areas swept by their booms.
        problems: Keep-outs that cannot be drawn; their paths start at the project's ``site``.
    """

    keep_outs_entered: Entry | None
    way_spare: Entry | None
    way_stone_width: Entry | None
    keep_out_distance: tuple[Entry, ...]
    keep_outs: tuple[SiteConstraint, ...]
    way: Footprint | None
    machines: tuple[Footprint, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class StoneOnWorks(Result):
    """Placed boulders over other works; the figure is None if no boulder is placed, or if there are no such works."""

    boulders_on_works: Entry | None
