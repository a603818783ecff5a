"""Result types of clearances, and of stones on other works."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.footprint import Footprint, SiteConstraint


@dataclass(frozen=True, eq=False)
class ClearancesResult(Result):
    """Clearances of digs, fills, walls, machines and booms to keep-outs, and limits of the way in.

    Attributes:
        keep_out_distance: Subject "dig / keep-out", "machine at position / keep-out" or "boom at position / keep-out".
        way_spare, way_stone_width: None if the site has no way in.
        things: The valid keep-outs.
        way: Footprint of the way in, as far as it is entered.
        machines: Footprints of machines, and areas swept by their booms.
        problems: What could not be worked out; paths start at the project's ``site``.
    """

    keep_outs_entered: Entry | None
    way_spare: Entry | None
    way_stone_width: Entry | None
    keep_out_distance: tuple[Entry, ...]
    things: tuple[SiteConstraint, ...]
    way: Footprint | None
    machines: tuple[Footprint, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class StoneOnWorks(Result):
    """Placed boulders on other works; None if no boulder is placed, or there are no such works."""

    boulders_on_works: Entry | None
