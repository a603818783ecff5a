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
    """Finished, liner and dig surface of one pool, placed on the site.

    Attributes:
        finished: Finished surface by the tiers, top of the gravel.
        under_gravel: The finished surface less the gravel.
        liner: The same with the edging's seat.
        dig: The liner surface offset normal to itself by the layers on the dig.
        placed: Placement of the pool's own axes.
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
        ground: Where the ground intersects the dig, with cut and fill there; None if the ground has a problem, as are
            all figures that depend on it.
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
        """Volume of the dig below the level where the ground begins to intersect it [m³]."""
        return self.surfaces.dig.surface.volume(self.ground.below) if self.ground else 0.0
