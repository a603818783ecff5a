"""Bearing: what the ground under placed boulders takes, the bedding that makes it hold, and how each lies on shelf,
floor or face."""

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
    """A kind of boulder, with what the ground under it depends on.

    Attributes:
        index: Its place in the document.
        boulder: As drawn.
        high_mass: Of one [kg].
        stands: The ground under each of its places; none where its pool is not known.
    """

    index: int
    boulder: Boulder
    high_mass: float
    stands: tuple[Stand, ...]


@remembered
def bearing(drawn: Bearing, kinds: tuple[Resting, ...], soil: str) -> BearingResult:
    """Bearing of every kind of boulder, and of every place of it.

    Args:
        drawn: The ground, as entered.
        kinds: The boulders that could be worked out.
        soil: The site's, a name in the table of soils.
    """
    stacks, problems = stacked([(kind.index, kind.boulder, kind.high_mass) for kind in kinds])
    faults = list(_ground_faults(drawn, soil))
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
    allowed = _allowed(drawn)
    found: dict[str, list[Entry]] = {}
    for kind in kinds:
        if kind.index in loads:
            figures, problems_of_kind = _kind(drawn, kind, loads[kind.index], allowed)
            problems += problems_of_kind
            for key, entries in figures.items():
                found.setdefault(key, []).extend(entries)
    beds = found.get("bedding_volume", [])
    return BearingResult(
        bearing_allowed=allowed,
        bearing_load=tuple(loads.values()),
        bedding_order=total("", beds, VOLUME) if not problems else None,
        problems=tuple(problems),
        **{key: tuple(entries) for key, entries in found.items()},
    )


def _allowed(drawn: Bearing) -> Entry:
    if drawn.pressure is not None:
        return input_entry("", drawn.pressure, PRESSURE, [rules.BEARING_GROUND()])
    row = rows_by_name("trades/stone/bearing")[drawn.ground]
    value = float(row["pressure_psf"]) * factor("psf", PRESSURE)
    return entry(rel.bearing_allowed, "", source=row["source"], cautions=[rules.BEARING_GROUND()], pressure=value)


def _kind(drawn: Bearing, kind: Resting, load: Entry, allowed: Entry) -> tuple[dict[str, list[Entry]], list[Problem]]:
    """Figures of one kind and of its places, with what is wrong with them."""
    boulder, name = kind.boulder, kind.boulder.name
    longest, middle, _ = in_order(boulder)
    low, high = float(drawn.contact_low), float(drawn.contact_high)
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
    for at, stand in enumerate(kind.stands):
        if fault := _place_fault(drawn, stand, at, path, boulder.pool or "", middle, bedding):
            problems.append(fault)
            continue
        subject = f"{name} {at + 1}"
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
            figures.setdefault("shelf_spare", []).append(_spare(drawn, subject, stand, middle, bedding))
    return figures, problems


def _spare(drawn: Bearing, subject: str, stand: Stand, middle: float, bedding: float) -> Entry:
    spare = entry(
        rel.shelf_spare,
        subject,
        source=USER,
        cautions=[rules.STONE_ALONG_SHELF()],
        to_front=stand.front,
        middle=middle,
        bedding=bedding,
        set_back=drawn.set_back,
    )
    room = spare.value + SAME
    return with_cautions(spare, *rules.STONE_NEAR_FRONT.where(room, room, room, short=(-spare.value, LENGTH)))


def _behind(stand: Stand, middle: float, bedding: float) -> tuple[Caution, ...]:
    """What to heed where stone and bed reach into the face behind their shelf or floor: to be checked where only the
    bed does, which is trimmed on site."""
    short = (middle + bedding) / 2 - stand.back
    if short <= SAME:
        return ()
    return (rules.BED_IN_FACE(None if middle / 2 - stand.back > SAME else CHECK, short=(short, LENGTH)),)


def _place_fault(
    drawn: Bearing, stand: Stand, at: int, path: Path, pool: str, middle: float, bedding: float
) -> Problem | None:
    """A place on a face, or on a shelf that has no room for stone, spread and set-back."""
    if not stand.flat:
        return Problem(
            path,
            words(f"place {{number}} lies on a face of '{pool}'", number=(at + 1, COUNT)),
            words("on a shelf, on a floor, or outside the rim"),
            words("move the stone onto a level part, or widen the shelf under it"),
        )
    floor = math.isinf(stand.front)  # nothing falls away in front of it
    wanted = middle + bedding + (0.0 if floor else drawn.set_back)
    if stand.width < wanted - SAME:
        return Problem(
            path,
            words(
                f"place {{number}} lies on a {'floor' if floor else 'shelf'} of '{pool}' that the dig makes "
                f"{{width}} wide",
                number=(at + 1, COUNT),
                width=(stand.width, LENGTH),
            ),
            words(
                f"{{wanted}} or wider, for stone{' and' if floor else ','} spread of its "
                f"bedding{'' if floor else ' and set-back'}",
                wanted=(wanted, LENGTH),
            ),
            words("widen it, take a narrower stone or less bedding, or set the stone elsewhere"),
        )
    return None


def _ground_faults(drawn: Bearing, soil: str) -> Iterator[Problem]:
    if drawn.contact_low > drawn.contact_high + SAME:
        yield Problem(
            ("stone", "bearing", "contact_low"),
            words("the low share of contact, {low}, is over the high one", low=(drawn.contact_low, RATIO)),
            words("at most {high}", high=(drawn.contact_high, RATIO)),
            words("exchange the two"),
        )
    if drawn.pressure is not None:
        return
    if number(rows_by_name("trades/stone/bearing")[drawn.ground], "pressure_psf") is None:
        yield _not_on(("stone", "bearing", "ground"), drawn.ground)
    elif not bears_as_listed(soil):  # in soft clay the table's pressure is more than a third of what breaks the ground
        yield _not_on(("stone", "bearing", "pressure"), f"{soil}, the site's soil")


def _not_on(path: Path, ground: str) -> Problem:
    return Problem(
        path,
        words(f"the stones would stand on {ground}"),
        words("not on this: no presumptive pressure holds for it"),
        words("dig down to firm ground and choose that, or have it tested and enter the allowable pressure"),
    )


def stacked(kinds: Sequence[tuple[int, Boulder, float]]) -> tuple[dict[int, float], list[Problem]]:
    """Mass [kg] that rests on one boulder of each kind, by its index; and what is wrong with the stacks.

    Where more stones rest on a kind than it has, the fullest of its stones counts.

    Args:
        kinds: (index in the document, boulder, high mass of one [kg]).
    """
    named = {boulder.name: (index, boulder) for index, boulder, _ in kinds}
    problems: list[Problem] = []
    faulty: set[int] = set()
    for index, boulder, _ in kinds:
        path: Path = ("stone", "boulders", index, "rests_on")
        if boulder.rests_on is not None and boulder.rests_on not in named:
            problems.append(no_such(path, "boulder", boulder.rests_on, named))
            faulty.add(index)
        elif _rounds(boulder, named):
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


def _rounds(boulder: Boulder, named: dict[str, tuple[int, Boulder]]) -> bool:
    """True where what a boulder rests on leads back to it."""
    met: set[str] = set()
    at: Boulder | None = boulder
    while at is not None and at.rests_on is not None and at.name not in met:
        met.add(at.name)
        at = named[at.rests_on][1] if at.rests_on in named else None
        if at is not None and at.name == boulder.name:
            return True
    return False


def compute(
    drawn: Stone | None,
    stones: StoneResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    soil: str,
) -> BearingResult | None:
    """What the ground under the boulders bears; None where nobody asks.

    Args:
        drawn, stones: The stone as drawn, and worked out.
        pools: Those that could be worked out.
        ground: As it is, in site axes; None where it is in trouble.
        soil: The site's, a name in the table of soils.
    """
    if drawn is None or stones is None or drawn.bearing is None:
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
    return bearing(drawn.bearing, resting, soil)


make_seating_result = remembered(SeatingResult)


@remembered
def seating(boulder: Boulder, stands: tuple[tuple[str, Stand], ...]) -> tuple[Entry, ...]:
    """How each placed boulder of a kind lies; nothing of those outside all rims.

    Args:
        boulder: As drawn.
        stands: (pool, the ground of its dig) at each place, in their order.
    """
    middle = in_order(boulder)[1]
    return tuple(
        entry(
            rel.stand_spare,
            f"{boulder.name} {at + 1}",
            source=USER,
            cautions=_notes(pool, stand, middle),
            width=stand.width,
            middle=middle,
        )
        for at, (pool, stand) in enumerate(stands)
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
    """How placed stones lie that no bearing is worked out for, which refuses such
    places itself; None where there are none.
    """
    if stones is None or ground is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    able = borne is not None and borne.bearing_allowed is not None
    figures: list[Entry] = []
    for kind in stones.kinds:
        drawn = kind.boulder
        if drawn.rests_on is not None or not drawn.places or (able and drawn.pool in digs):
            continue
        near = {drawn.pool: digs[drawn.pool]} if drawn.pool in digs else digs
        met = [(name, stands(dig, ground, drawn.places)) for name, dig in near.items()]
        lowest = tuple(
            min(((name, at[place]) for name, at in met), key=lambda one: one[1].level)
            for place in range(len(drawn.places) if met else 0)
        )
        figures += seating(drawn, lowest)
    return make_seating_result(tuple(figures)) if figures else None
