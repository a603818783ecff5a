"""What boulders stand on: bearing of the ground under them, with the bedding that it requires (``compute``), and, for
those without a bearing check, how they sit on shelf, floor or face (``compute_seating``).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.caution import CHECK, Caution
from pondkit.core.constants import GRAVITY
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, total, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import words
from pondkit.core.tables import bears_as_listed, number, rows_by_name
from pondkit.core.units import COUNT, LENGTH, PRESSURE, RATIO, VOLUME, factor
from pondkit.geometry.site_surface import Stand, stands
from pondkit.geometry.terrain import Terrain
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone import cautions as rules
from pondkit.trades.stone import formulas as rel
from pondkit.trades.stone.inputs import Bearing, Boulder, Stone, sorted_axes
from pondkit.trades.stone.results import BearingResult, SeatingResult, StoneResult

ROUNDING = 1e-9  # m, and shares: figures nearer than this are equal


@dataclass(frozen=True)
class KindOnGround:
    """A kind of boulder, and the ground at its places.

    Attributes:
        index: Its index among the boulders of the project file.
        boulder: Inputs of the kind.
        high_mass: High mass of one boulder [kg].
        stands: The dig of its pool, or the ground outside the rim, at each of its places; empty if it names no pool
            without problems.
    """

    index: int
    boulder: Boulder
    high_mass: float
    stands: tuple[Stand, ...]


def compute(
    stone: Stone | None,
    stones: StoneResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    soil: str,
) -> BearingResult | None:
    """Bearing of the ground under the boulders; None if no bearing is entered.

    Args:
        stone: Inputs of the stone; None if the option has none.
        stones: Result of boulders and edging; None if the option has none.
        pools: Results of the pools without problems.
        ground: Existing ground in site axes; None if it has a problem.
        soil: Soil of the site, a name in the table of soils.
    """
    if stone is None or stones is None or stone.bearing is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools} if ground else {}
    kinds = tuple(
        KindOnGround(
            kind.index,
            kind.boulder,
            kind.mass.most,
            stands(digs[kind.boulder.pool], ground, kind.boulder.places)
            if ground and kind.boulder.pool in digs
            else (),
        )
        for kind in stones.kinds
    )
    return bearing_figures(stone.bearing, kinds, soil)


@remembered
def bearing_figures(inputs: Bearing, kinds: tuple[KindOnGround, ...], soil: str) -> BearingResult:
    """Bearing under every kind of boulder that stands on the ground, and at each of its places.

    Args:
        inputs: Inputs of the bearing.
        kinds: Kinds of boulder without problems.
        soil: Soil of the site, a name in the table of soils.
    """
    stacked, problems = stacked_masses([(kind.index, kind.boulder, kind.high_mass) for kind in kinds])
    ground_problems = list(_ground_faults(inputs, soil))
    loads = {
        kind.index: entry(
            rel.bearing_load,
            kind.boulder.name,
            cautions=[rules.STONES_STACKED()] if stacked[kind.index] else [],
            high_mass=kind.high_mass,
            stacked_mass=stacked[kind.index],
        )
        for kind in kinds
        if kind.index in stacked and kind.boulder.rests_on is None
    }
    if ground_problems:
        return BearingResult(bearing_load=tuple(loads.values()), problems=(*problems, *ground_problems))
    allowed = _allowed(inputs)
    figures: dict[str, list[Entry]] = {}
    for kind in kinds:
        if kind.index in loads:
            figures_of_kind, problems_of_kind = _kind_figures(inputs, kind, loads[kind.index], allowed)
            problems += problems_of_kind
            for key, entries in figures_of_kind.items():
                figures.setdefault(key, []).extend(entries)
    beds = figures.get("bedding_volume", [])
    return BearingResult(
        bearing_allowed=allowed,
        bearing_load=tuple(loads.values()),
        bedding_order=total("", beds, VOLUME) if not problems else None,
        problems=tuple(problems),
        **{key: tuple(entries) for key, entries in figures.items()},
    )


def _allowed(inputs: Bearing) -> Entry:
    if inputs.pressure is not None:
        return input_entry("", inputs.pressure, PRESSURE, [rules.BEARING_GROUND()])
    row = rows_by_name("trades/stone/bearing")[inputs.ground]
    value = float(row["pressure_psf"]) * factor("psf", PRESSURE)
    return entry(rel.bearing_allowed, "", source=row["source"], cautions=[rules.BEARING_GROUND()], pressure=value)


def _kind_figures(
    inputs: Bearing, kind: KindOnGround, load: Entry, allowed: Entry
) -> tuple[dict[str, list[Entry]], list[Problem]]:
    """(figures of one kind and of its places by their keys, their problems)."""
    boulder, name = kind.boulder, kind.boulder.name
    longest, middle, _ = sorted_axes(boulder)
    low, high = float(inputs.contact_low), float(inputs.contact_high)
    contact: dict[str, Any] = {
        "bearing_load": load,
        "gravity": GRAVITY,
        "longest": longest,
        "middle": middle,
        "contact_share": Range(low, (low + high) / 2, high, USER),
    }
    allowed_pressure = float(allowed.value)
    needed = entry(
        rel.bedding_needed,
        name,
        cautions=[rules.BEARING_GROUND()],
        allowed=allowed_pressure,
        **contact | {"contact_share": low},
    )
    bedding = needed.value if boulder.bedding is None else float(boulder.bedding)
    pressure = entry(rel.spread_pressure, name, bedding=bedding, **contact)
    figures = {
        "contact_pressure": [entry(rel.contact_pressure, name, **contact)],
        "bedding_needed": [needed],
        "bearing_pressure": [pressure],
        "bearing_use": [_bearing_use(name, pressure, allowed_pressure, needed.value)],
    }
    if bedding > 0:
        figures["bedding_volume"] = [
            entry(rel.bedding_volume, name, count=boulder.count, longest=longest, middle=middle, bedding=bedding)
        ]
    problems = []
    path: Path = ("stone", "boulders", kind.index, "places")
    for index, stand in enumerate(kind.stands):
        if problem := _place_fault(inputs, stand, index, path, boulder.pool or "", middle, bedding):
            problems.append(problem)
            continue
        subject = f"{name} {index + 1}"
        figures.setdefault("bed_level", []).append(
            entry(
                rel.bed_level,
                subject,
                source=USER,
                cautions=_bed_in_face(stand, middle, bedding),
                dig_level=stand.level,
                bedding=bedding,
            )
        )
        if math.isfinite(stand.front):
            figures.setdefault("shelf_spare", []).append(_room_to_front(inputs, subject, stand, middle, bedding))
    return figures, problems


def _bearing_use(name: str, pressure: Entry, allowed: float, needed: float) -> Entry:
    """Pressure under a kind of boulder in relation to the allowed pressure; with the bedding needed [m], for the
    caution.
    """
    use = entry(rel.bearing_use, name, cautions=[rules.BEARING_GROUND()], pressure=pressure, allowed=allowed)
    return with_cautions(
        use,
        *rules.BEARING_EXCEEDED.where(
            use.least - ROUNDING,
            use.value - ROUNDING,
            use.most - ROUNDING,
            pressure=(pressure.most, PRESSURE),
            allowed=(allowed, PRESSURE),
            needed=(needed, LENGTH),
        ),
    )


def _room_to_front(inputs: Bearing, subject: str, stand: Stand, stone_width: float, bedding: float) -> Entry:
    spare = entry(
        rel.shelf_spare,
        subject,
        source=USER,
        cautions=[rules.STONE_ALONG_SHELF()],
        to_front=stand.front,
        stone_width=stone_width,
        bedding=bedding,
        setback=inputs.set_back,
    )
    room = spare.value + ROUNDING
    return with_cautions(spare, *rules.STONE_NEAR_FRONT.where(room, room, room, short=(-spare.value, LENGTH)))


def _bed_in_face(stand: Stand, stone_width: float, bedding: float) -> tuple[Caution, ...]:
    """The caution where stone or bedding reaches into the face behind the shelf or floor; 'check' if only the bedding
    does, which is trimmed on site.
    """
    reach = (stone_width + bedding) / 2 - stand.back
    if reach <= ROUNDING:
        return ()
    stone_in_face = stone_width / 2 - stand.back > ROUNDING
    return (rules.BED_IN_FACE(None if stone_in_face else CHECK, short=(reach, LENGTH)),)


def _place_fault(
    inputs: Bearing, stand: Stand, index: int, path: Path, pool: str, stone_width: float, bedding: float
) -> Problem | None:
    """Problem of a place on a face, or on a shelf or floor without room for stone, load spread and setback."""
    if not stand.flat:
        return Problem(
            path,
            words(f"place {{number}} lies on a face of '{pool}'", number=(index + 1, COUNT)),
            words("on a shelf, on a floor, or outside the rim"),
            words("move the stone onto a level part, or widen the shelf under it"),
        )
    floor = math.isinf(stand.front)  # the ground falls away nowhere in front of it
    required = stone_width + bedding + (0.0 if floor else inputs.set_back)
    if stand.width < required - ROUNDING:
        return Problem(
            path,
            words(
                f"place {{number}} lies on a {'floor' if floor else 'shelf'} of '{pool}' that the dig makes "
                f"{{width}} wide",
                number=(index + 1, COUNT),
                width=(stand.width, LENGTH),
            ),
            words(
                f"{{wanted}} or wider, for stone{' and' if floor else ','} spread of its "
                f"bedding{'' if floor else ' and setback'}",
                wanted=(required, LENGTH),
            ),
            words("widen it, take a narrower stone or less bedding, or set the stone elsewhere"),
        )
    return None


def _ground_faults(inputs: Bearing, soil: str) -> Iterator[Problem]:
    """Problems of shares of contact the wrong way round, and of ground without an allowable pressure."""
    if inputs.contact_low > inputs.contact_high + ROUNDING:
        yield Problem(
            ("stone", "bearing", "contact_low"),
            words("the least share in contact, {low}, is over the greatest", low=(inputs.contact_low, RATIO)),
            words("at most {high}", high=(inputs.contact_high, RATIO)),
            words("enter the two the other way round"),
        )
    if inputs.pressure is not None:
        return
    if number(rows_by_name("trades/stone/bearing")[inputs.ground], "pressure_psf") is None:
        yield _unsuitable_ground(("stone", "bearing", "ground"), inputs.ground)
    # In soft clay the pressure of the table is more than a third of the ultimate bearing capacity.
    elif not bears_as_listed(soil):
        yield _unsuitable_ground(("stone", "bearing", "pressure"), f"{soil}, the site's soil")


def _unsuitable_ground(path: Path, ground: str) -> Problem:
    return Problem(
        path,
        words(f"the stones would stand on {ground}"),
        words("firm ground: no presumptive pressure holds for this"),
        words("dig down to firm ground and choose that, or have it tested and enter the allowable pressure"),
    )


def stacked_masses(kinds: Sequence[tuple[int, Boulder, float]]) -> tuple[dict[int, float], list[Problem]]:
    """(mass [kg] that rests on one boulder of each kind, by the kind's index; problems of the stacks).

    Where stones share the boulders under them unevenly, the mass is that on the boulder that bears most of them.

    Args:
        kinds: (index among the boulders of the project file, inputs of the kind, high mass of one boulder [kg]).
    """
    by_name = {boulder.name: (index, boulder) for index, boulder, _ in kinds}
    problems: list[Problem] = []
    faulty: set[int] = set()
    for index, boulder, _ in kinds:
        path: Path = ("stone", "boulders", index, "rests_on")
        if boulder.rests_on is not None and boulder.rests_on not in by_name:
            problems.append(no_such(path, "boulder", boulder.rests_on, by_name))
            faulty.add(index)
        elif _rests_on_itself(boulder, by_name):
            problems.append(
                Problem(
                    path,
                    words(f"'{boulder.name}' comes to rest on itself"),
                    words("a stack that ends on the ground"),
                    words("leave out what the lowest of them rests on"),
                )
            )
            faulty.add(index)

    def mass_above(lower: Boulder) -> float:
        resting = [
            (upper, mass) for index, upper, mass in kinds if upper.rests_on == lower.name and index not in faulty
        ]
        return sum(math.ceil(upper.count / lower.count) * (mass + mass_above(upper)) for upper, mass in resting)

    return {index: mass_above(boulder) for index, boulder, _ in kinds if index not in faulty}, problems


def _rests_on_itself(boulder: Boulder, by_name: dict[str, tuple[int, Boulder]]) -> bool:
    """True if the stack under a kind of boulder leads back to it."""
    visited: set[str] = set()
    lower: Boulder | None = boulder
    while lower is not None and lower.rests_on is not None and lower.name not in visited:
        visited.add(lower.name)
        lower = by_name[lower.rests_on][1] if lower.rests_on in by_name else None
        if lower is not None and lower.name == boulder.name:
            return True
    return False


def compute_seating(
    stones: StoneResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    bearing: BearingResult | None,
) -> SeatingResult | None:
    """How placed boulders sit on the dig, for those without a bearing check, which refuses unsuitable places itself;
    None if there are none.

    Args:
        stones: Result of boulders and edging; None if the option has none.
        pools: Results of the pools without problems.
        ground: Existing ground in site axes; None if it has a problem.
        bearing: Result of the bearing; None if none is entered.
    """
    if stones is None or ground is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    bearing_is_checked = bearing is not None and bearing.bearing_allowed is not None
    figures: list[Entry] = []
    for kind in stones.kinds:
        boulder = kind.boulder
        if boulder.rests_on is not None or not boulder.places or (bearing_is_checked and boulder.pool in digs):
            continue
        # A boulder that names no pool may lie in any of them: the lowest dig at its place is where it stands.
        possible = {boulder.pool: digs[boulder.pool]} if boulder.pool in digs else digs
        stands_in = [(name, stands(dig, ground, boulder.places)) for name, dig in possible.items()]
        lowest = tuple(
            min(((name, at_places[place]) for name, at_places in stands_in), key=lambda stand_in: stand_in[1].level)
            for place in range(len(boulder.places) if stands_in else 0)
        )
        figures += seating_figures(boulder, lowest)
    return _seating_result(tuple(figures)) if figures else None


# Equal figures give the same object, so that nothing that depends on it is computed again.
_seating_result = remembered(SeatingResult)


@remembered
def seating_figures(boulder: Boulder, stands: tuple[tuple[str, Stand], ...]) -> tuple[Entry, ...]:
    """Shelf width to spare of each placed boulder of a kind that lies within a rim.

    Args:
        boulder: Inputs of the kind.
        stands: (name of the pool, its dig at the place) for each place, in order.
    """
    stone_width = sorted_axes(boulder)[1]
    return tuple(
        entry(
            rel.stand_spare,
            f"{boulder.name} {index + 1}",
            source=USER,
            cautions=_seating_cautions(pool, stand, stone_width),
            shelf_width=stand.width,
            stone_width=stone_width,
        )
        for index, (pool, stand) in enumerate(stands)
        if math.isfinite(stand.width)
    )


def _seating_cautions(pool: str, stand: Stand, stone_width: float) -> Iterator[Caution]:
    spare = stand.width - stone_width + ROUNDING
    if not stand.flat:
        yield rules.STONE_ON_FACE(pool=pool)
    elif narrow := rules.SHELF_TOO_NARROW.where(
        spare, spare, spare, pool=pool, part="floor" if math.isinf(stand.front) else "shelf"
    ):
        yield from narrow
    else:
        overhang, reach = stone_width / 2 - stand.front, stone_width / 2 - stand.back
        if overhang > ROUNDING:
            yield rules.STONE_OVER_FRONT(pool=pool, short=(overhang, LENGTH))
        if reach > ROUNDING:
            yield rules.STONE_IN_FACE(pool=pool, short=(reach, LENGTH))
