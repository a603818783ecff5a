"""Temporary slopes of a dig: how steep it is cut against what its soil allows, and how far back spoil and machine keep.

They say nothing about how a bank stands in the long run.
"""

import numpy as np

from pondkit.core.caution import CHECK
from pondkit.core.entry import Entry, entry
from pondkit.core.sentence import Words
from pondkit.core.tables import SEEPING, Row, gathered, soil_row
from pondkit.core.units import LENGTH, RATIO, read
from pondkit.geometry.pool_surface import PoolSurface
from pondkit.trades.pools import cautions as rules
from pondkit.trades.pools import formulas


def temporary_slopes(
    name: str, surface: PoolSurface, high: float, soil: str, seeps: bool
) -> tuple[Entry, Entry | None]:
    """Steepest face and set-back of one dig; no set-back where nothing is cut.

    Args:
        name: The pool.
        surface: Its dig surface.
        high: Height of the highest ground at its outline above the waterline [m].
        soil: The site's, a name in the table of soils.
        seeps: True where groundwater stands above its floor.
    """
    row = soil_row(soil, seeps)
    allowed = float(row["steepest_h_per_v"])
    faces = [
        face
        for part in surface.parts
        for upper, lower, face in part.profile.faces
        if upper < part.reached and lower > -high
    ]
    steepest = min((face.batter for face in faces), default=surface.pool.profile.lines[0].batter)
    steep = entry(
        formulas.steepest_dig_face,
        name,
        cautions=_cautions(row, allowed, steepest, seeps, high + surface.deepest),
        batters=[face.batter for face in faces] or [steepest],
    )
    feet = _feet(surface, high)
    if not feet:
        return steep, None
    row_of_limit = gathered("limits")["spoil set-back at least"]
    least = float(read(f"{row_of_limit['value']} {row_of_limit['unit']}", LENGTH, "us"))
    depths, runs = zip(*feet, strict=True)
    sources = f"{row['source']}; {row_of_limit['source']}"
    return steep, entry(
        formulas.edge_set_back,
        name,
        source=sources,
        cautions=[rules.MACHINE_FURTHER_BACK()],
        depths=depths,
        runs=runs,
        allowed=allowed,
        least=least,
    )


def _cautions(row: Row, allowed: float, steepest: float, seeps: bool, cut: float) -> list[Words]:
    """The temporary slope of the soil where a face is cut steeper: to be checked by a competent person where the cut
    [m] is less deep than the depth from which a protective system is called for, else to be changed.
    """
    if cut <= 0 or steepest >= allowed - 1e-9:
        return []
    steep = rules.STEEPER_THAN_SOIL(
        CHECK if cut < rules.PROTECTED_FROM else None,
        soil=row["soil"],
        slope_type=row["slope_type"],
        source=row["source"],
        allowed=(allowed, RATIO),
        steepest=(steepest, RATIO),
    )
    return [steep, rules.SEEPS_AS_TYPE_C()] if seeps and row["soil"] == SEEPING else [steep]


def _feet(surface: PoolSurface, high: float) -> list[tuple[float, float]]:
    """Depth under the ground of the foot of each face, and its level distance inward from the edge of the cut [m]."""
    edge = float(surface.pool.profile.inward(np.array(-high)))
    found = []
    for part in surface.parts:
        for run, depth in part.profile.corners:
            if -high < depth <= part.reached + 1e-9:
                # From a pit's own edge its pool's is at least as far as the least distance between the two.
                found.append((depth + high, part.clear + run - edge))
    return found
