"""Result types of a pool: its figures, and its surfaces for other trades and for pictures."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Result
from pondkit.geometry.outline import Placed
from pondkit.geometry.pool_surface import PoolSurface
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import DaylightBand


@dataclass(frozen=True, eq=False)
class Surfaces:
    """The surfaces of one pool; all but ``under_gravel`` are placed on the site.

    Attributes:
        finished: By the tiers as drawn: the top of the gravel.
        under_gravel: The finished surface, lower by the gravel.
        liner: That surface with the seat of the edging cut into it.
        dig: The liner surface moved square to itself by the thickness of the layers on the dig.
        placed: Placement of the pool's own axes on the site.
    """

    finished: SiteSurface
    under_gravel: PoolSurface
    liner: SiteSurface
    dig: SiteSurface
    placed: Placed


@dataclass(frozen=True, eq=False)
class PoolResult(Result):
    """Result of one pool. Entries are its keys in the takeoff; the rest is geometry for other parts and for pictures.

    Attributes:
        name, index: Name of the pool, and its index in the option.
        surfaces: Finished, liner and dig surface on the site.
        ground: The band where the ground meets the dig, with cut and fill there; None if the ground has a problem, as
            all figures that depend on it are then.
        zones: (zone, design depth [m], plan area [m²], water [m³]) from shallow to deep, for pictures.
    """

    name: str
    index: int
    surface_area: Entry
    perimeter: Entry
    max_depth: Entry
    mean_depth: Entry
    gross_volume: Entry
    zone_area: tuple[Entry, ...]
    zone_volume: tuple[Entry, ...]
    zone_depth: tuple[Entry, ...]
    zone_share: tuple[Entry, ...]
    shelf_area: tuple[Entry, ...]
    wetted_area: Entry
    narrowest_shelf: Entry | None
    steepest_batter: Entry
    rim_length: Entry
    rim_above_ground: Entry | None
    area_over_limit: Entry | None
    gravel_volume: Entry
    dig_depth: Entry | None
    steepest_dig_face: Entry | None
    edge_set_back: Entry | None
    outside_survey: Entry | None
    surfaces: Surfaces
    ground: DaylightBand | None
    zones: tuple[tuple[str, float, float, float], ...]

    @property
    def cut_below(self) -> float:
        """Volume of the dig below the band where the ground meets it [m³]; 0 if the ground has a problem."""
        return self.surfaces.dig.surface.volume(self.ground.below) if self.ground else 0.0
