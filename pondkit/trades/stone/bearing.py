"""Bearing of the ground under placed boulders, the bedding required, and their seating on shelf, floor or face."""

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
from pondkit.trades.stone.inputs import Bearing, Boulder, Stone, in_order
from pondkit.trades.stone.results import BearingResult, SeatingResult, StoneResult

SAME = 1e-9


@dataclass(frozen=True)
class Resting:
    """A kind of boulder, with its ground conditions.

    Attributes:
        index: Its index in the document.
        boulder: Its inputs.
        high_mass: High mass of one stone [kg].
        stands: Ground conditions at each of its places; empty if its pool is unknown.
    """

    index: int
    boulder: Boulder
    high_mass: float
    stands: tuple[Stand, ...]


@remembered
def bearing(inputs: Bearing, kinds: tuple[Resting, ...], soil: str) -> BearingResult:
    """Bearing under every kind of boulder, and at each of its places.

    Args:
        inputs: Inputs of the bearing.
        kinds: Boulders without problems.
        soil: Soil of the site, a name in the table of soils.
    """
    stacks, problems = stacked([(kind.index, kind.boulder, kind.high_mass) for kind in kinds])
    faults = list(_ground_faults(inputs, soil))
    loads = {
        kind.index: entry(
            rel.bearing_load,
            kind.boulder.name,
            cautions=[rules.STONES_STACKED()] if stacks[kind.index] else [],
            high_mass=kind.high_mass,
            stacked_mass=stacks[kind.index],
        )
        for kind in kinds
        if kind.index in stacks and kind.boulder.rests_on is None
    }
    if faults:
        return BearingResult(bearing_load=tuple(loads.values()), problems=(*problems, *faults))
    allowed = _allowed(inputs)
    figure_entries: dict[str, list[Entry]] = {}
    for kind in kinds:
        if kind.index in loads:
            figures, problems_of_kind = _kind(inputs, kind, loads[kind.index], allowed)
            problems += problems_of_kind
            for key, entries in figures.items():
                figure_entries.setdefault(key, []).extend(entries)
    beds = figure_entries.get("bedding_volume", [])
    return BearingResult(
        bearing_allowed=allowed,
        bearing_load=tuple(loads.values()),
        bedding_order=total("", beds, VOLUME) if not problems else None,
        problems=tuple(problems),
        **{key: tuple(entries) for key, entries in figure_entries.items()},
    )


def _allowed(inputs: Bearing) -> Entry:
    if inputs.pressure is not None:
        return input_entry("", inputs.pressure, PRESSURE, [rules.BEARING_GROUND()])
    row = rows_by_name("trades/stone/bearing")[inputs.ground]
    value = float(row["pressure_psf"]) * factor("psf", PRESSURE)
    return entry(rel.bearing_allowed, "", source=row["source"], cautions=[rules.BEARING_GROUND()], pressure=value)


def _kind(inputs: Bearing, kind: Resting, load: Entry, allowed: Entry) -> tuple[dict[str, list[Entry]], list[Problem]]:
    """(figures of one kind and of its places, their problems)."""
    boulder, name = kind.boulder, kind.boulder.name
    longest, middle, _ = in_order(boulder)
    low, high = float(inputs.contact_low), float(inputs.contact_high)
    pressed: dict[str, Any] = {
        "bearing_load": load,
        "gravity": GRAVITY,
        "longest": longest,
        "middle": middle,
        "contact_share": Range(low, (low + high) / 2, high, USER),
    }
    most = float(allowed.value)
    needed = entry(
        rel.bedding_needed, name, cautions=[rules.BEARING_GROUND()], allowed=most, **pressed | {"contact_share": low}
    )
    bedding = needed.value if boulder.bedding is None else float(boulder.bedding)
    under = entry(rel.spread_pressure, name, bedding=bedding, **pressed)
    use = entry(rel.bearing_use, name, cautions=[rules.BEARING_GROUND()], pressure=under, allowed=most)
    use = with_cautions(
        use,
        *rules.BEARING_EXCEEDED.where(
            use.least - SAME,
            use.value - SAME,
            use.most - SAME,
            pressure=(under.most, PRESSURE),
            allowed=(most, PRESSURE),
            needed=(needed.value, LENGTH),
        ),
    )
    figures = {
        "contact_pressure": [entry(rel.contact_pressure, name, **pressed)],
        "bedding_needed": [needed],
        "bearing_pressure": [under],
        "bearing_use": [use],
    }
    if bedding > 0:
        figures["bedding_volume"] = [
            entry(rel.bedding_volume, name, count=boulder.count, longest=longest, middle=middle, bedding=bedding)
        ]
    problems = []
    path: Path = ("stone", "boulders", kind.index, "places")
    for index, stand in enumerate(kind.stands):
        if fault := _place_fault(inputs, stand, index, path, boulder.pool or "", middle, bedding):
            problems.append(fault)
            continue
        subject = f"{name} {index + 1}"
        figures.setdefault("bed_level", []).append(
            entry(
                rel.bed_level,
                subject,
                source=USER,
                cautions=_behind(stand, middle, bedding),
                dig_level=stand.level,
                bedding=bedding,
            )
        )
        if math.isfinite(stand.front):
            figures.setdefault("shelf_spare", []).append(_spare(inputs, subject, stand, middle, bedding))
    return figures, problems


def _spare(inputs: Bearing, subject: str, stand: Stand, middle: float, bedding: float) -> Entry:
    spare = entry(
        rel.shelf_spare,
        subject,
        source=USER,
        cautions=[rules.STONE_ALONG_SHELF()],
        to_front=stand.front,
        middle=middle,
        bedding=bedding,
        set_back=inputs.set_back,
    )
    room = spare.value + SAME
    return with_cautions(spare, *rules.STONE_NEAR_FRONT.where(room, room, room, short=(-spare.value, LENGTH)))


def _behind(stand: Stand, middle: float, bedding: float) -> tuple[Caution, ...]:
    """Cautions where stone or bedding reaches into the face behind the shelf or floor; 'check' if only the bedding
    does, which is trimmed on site.
    """
    short = (middle + bedding) / 2 - stand.back
    if short <= SAME:
        return ()
    return (rules.BED_IN_FACE(None if middle / 2 - stand.back > SAME else CHECK, short=(short, LENGTH)),)


def _place_fault(
    inputs: Bearing, stand: Stand, index: int, path: Path, pool: str, middle: float, bedding: float
) -> Problem | None:
    """Problem of a place on a face, or on a shelf without room for stone, load spread and setback."""
    if not stand.flat:
        return Problem(
            path,
            words(f"place {{number}} lies on a face of '{pool}'", number=(index + 1, COUNT)),
            words("on a shelf, on a floor, or outside the rim"),
            words("move the stone onto a level part, or widen the shelf under it"),
        )
    floor = math.isinf(stand.front)  # nothing falls away in front of it
    required = middle + bedding + (0.0 if floor else inputs.set_back)
    if stand.width < required - SAME:
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
                f"bedding{'' if floor else ' and set-back'}",
                wanted=(required, LENGTH),
            ),
            words("widen it, take a narrower stone or less bedding, or set the stone elsewhere"),
        )
    return None


def _ground_faults(inputs: Bearing, soil: str) -> Iterator[Problem]:
    if inputs.contact_low > inputs.contact_high + SAME:
        yield Problem(
            ("stone", "bearing", "contact_low"),
            words("the low share of contact, {low}, is over the high one", low=(inputs.contact_low, RATIO)),
            words("at most {high}", high=(inputs.contact_high, RATIO)),
            words("exchange the two"),
        )
    if inputs.pressure is not None:
        return
    if number(rows_by_name("trades/stone/bearing")[inputs.ground], "pressure_psf") is None:
        yield _not_on(("stone", "bearing", "ground"), inputs.ground)
    # in soft clay the table's pressure exceeds a third of the ultimate bearing capacity
    elif not bears_as_listed(soil):
        yield _not_on(("stone", "bearing", "pressure"), f"{soil}, the site's soil")


def _not_on(path: Path, ground: str) -> Problem:
    return Problem(
        path,
        words(f"the stones would stand on {ground}"),
        words("not on this: no presumptive pressure holds for it"),
        words("dig down to firm ground and choose that, or have it tested and enter the allowable pressure"),
    )


def stacked(kinds: Sequence[tuple[int, Boulder, float]]) -> tuple[dict[int, float], list[Problem]]:
    """(mass [kg] that rests on one boulder of each kind, by its index; problems of the stacks).

    If more stones rest on a kind than it has, the most heavily loaded of its stones counts.

    Args:
        kinds: (index in the document, boulder, high mass of one [kg]).
    """
    by_name = {boulder.name: (index, boulder) for index, boulder, _ in kinds}
    problems: list[Problem] = []
    faulty: set[int] = set()
    for index, boulder, _ in kinds:
        path: Path = ("stone", "boulders", index, "rests_on")
        if boulder.rests_on is not None and boulder.rests_on not in by_name:
            problems.append(no_such(path, "boulder", boulder.rests_on, by_name))
            faulty.add(index)
        elif _rounds(boulder, by_name):
            problems.append(
                Problem(
                    path,
                    words(f"'{boulder.name}' comes to rest on itself"),
                    words("a stack that ends on the ground"),
                    words("leave out what the lowest of them rests on"),
                )
            )
            faulty.add(index)

    def above(name: str, count: int) -> float:
        rests = [(b, mass) for index, b, mass in kinds if b.rests_on == name and index not in faulty]
        return sum(math.ceil(b.count / count) * (mass + above(b.name, b.count)) for b, mass in rests)

    return {index: above(b.name, b.count) for index, b, _ in kinds if index not in faulty}, problems


def _rounds(boulder: Boulder, by_name: dict[str, tuple[int, Boulder]]) -> bool:
    """True if the boulders that a boulder rests on lead back to it."""
    met: set[str] = set()
    lower: Boulder | None = boulder
    while lower is not None and lower.rests_on is not None and lower.name not in met:
        met.add(lower.name)
        lower = by_name[lower.rests_on][1] if lower.rests_on in by_name else None
        if lower is not None and lower.name == boulder.name:
            return True
    return False


def compute(
    stone: Stone | None,
    stones: StoneResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    soil: str,
) -> BearingResult | None:
    """Bearing of the ground under the boulders; None if not required.

    Args:
        stone, stones: Inputs and result of the stone.
        pools: Those without problems.
        ground: Existing ground in site axes; None if it has a problem.
        soil: Soil of the site, a name in the table of soils.
    """
    if stone is None or stones is None or stone.bearing is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools} if ground else {}
    resting = tuple(
        Resting(
            kind.index,
            kind.boulder,
            kind.mass.most,
            stands(digs[kind.boulder.pool], ground, kind.boulder.places)
            if ground and kind.boulder.pool in digs
            else (),
        )
        for kind in stones.kinds
    )
    return bearing(stone.bearing, resting, soil)


make_seating_result = remembered(SeatingResult)


@remembered
def seating(boulder: Boulder, stands: tuple[tuple[str, Stand], ...]) -> tuple[Entry, ...]:
    """Seating figure of each placed boulder of a kind; those outside all rims have none.

    Args:
        boulder: Inputs of the boulder.
        stands: (pool, ground conditions of its dig) at each place, in order.
    """
    middle = in_order(boulder)[1]
    return tuple(
        entry(
            rel.stand_spare,
            f"{boulder.name} {index + 1}",
            source=USER,
            cautions=_notes(pool, stand, middle),
            width=stand.width,
            middle=middle,
        )
        for index, (pool, stand) in enumerate(stands)
        if math.isfinite(stand.width)
    )


def _notes(pool: str, stand: Stand, middle: float) -> Iterator[Caution]:
    spare = stand.width - middle + SAME
    if not stand.flat:
        yield rules.STONE_ON_FACE(pool=pool)
    elif narrow := rules.SHELF_TOO_NARROW.where(
        spare, spare, spare, pool=pool, part="floor" if math.isinf(stand.front) else "shelf"
    ):
        yield from narrow
    else:
        over, behind = middle / 2 - stand.front, middle / 2 - stand.back
        if over > SAME:
            yield rules.STONE_OVER_FRONT(pool=pool, short=(over, LENGTH))
        if behind > SAME:
            yield rules.STONE_IN_FACE(pool=pool, short=(behind, LENGTH))


def seats(
    stones: StoneResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    borne: BearingResult | None,
) -> SeatingResult | None:
    """Seating of placed stones without a bearing check (which refuses unsuitable places itself); None
    if there are none.
    """
    if stones is None or ground is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    able = borne is not None and borne.bearing_allowed is not None
    figures: list[Entry] = []
    for kind in stones.kinds:
        boulder = kind.boulder
        if boulder.rests_on is not None or not boulder.places or (able and boulder.pool in digs):
            continue
        near = {boulder.pool: digs[boulder.pool]} if boulder.pool in digs else digs
        met = [(name, stands(dig, ground, boulder.places)) for name, dig in near.items()]
        lowest = tuple(
            min(((name, places[place]) for name, places in met), key=lambda level_part: level_part[1].level)
            for place in range(len(boulder.places) if met else 0)
        )
        figures += seating(boulder, lowest)
    return make_seating_result(tuple(figures)) if figures else None
