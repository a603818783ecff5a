"""Stone as it is ordered and carried: by class, in the order in which it is set, in loads of the truck that hauls the soil."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, Range, entry, rounded_up, total
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.sentence import Words
from pondkit.core.units import COUNT, MASS, VOLUME, Count, Density, Mass, Ratio, Volume
from pondkit.project.project import Option
from pondkit.trades.earthwork.cautions import (
    NO_TRUCK,
    ON_THE_BED,
    STONE_DRY,
    STONE_OVER_PAYLOAD,
    STONE_OVER_VOLUME,
    TRUCK_PLATE,
)
from pondkit.trades.earthwork.inputs.hauling import Haul
from pondkit.trades.earthwork.relations import truck_loads
from pondkit.trades.earthwork.work import within
from pondkit.trades.lifting.work import LiftingResult
from pondkit.trades.stone.kinds import rock_of
from pondkit.trades.stone.work import StoneResult
from pondkit.trades.walls.ordering import WallStone

Truck = tuple[float, float]  # loose volume [m³] and payload [kg] of a load


@dataclass(frozen=True)
class Pieces:
    """A class that is counted: boulders of one kind, or a row of edging.

    Attributes:
        name: What it is called.
        count: How many.
        one: Mass of one [kg].
        loose: Volume of one as tipped [m³]; None for boulders, which are set on the truck one by one.
    """

    name: str
    count: float
    one: Range
    loose: Range | None


@dataclass(frozen=True)
class Bulk:
    """A class that comes loose: its volume as laid [m³], and its voids there; its rock [kg/m³], None for that of the stone."""

    name: str
    laid: float
    porosity: float | Range
    rock: Range | None = None


@dataclass(frozen=True, eq=False)
class ClassResult(Result):
    """One class of stone. Subject is the boulder's or wall's name, "pool / seat" of edging, or what it is.

    Loads are None without a truck, and where one stone alone is more than the truck takes.

    Attributes:
        count: How many stones; None where they are not counted.
    """

    count: float | None
    delivery_turn: Entry
    class_mass: Entry
    loose_volume: Entry | None
    pieces_per_load: Entry | None
    volume_per_load: Entry | None
    stone_loads: Entry | None


@dataclass(frozen=True, eq=False)
class HaulResult(Result):
    """The stone of an option as it comes: classes in the order in which they are set.

    ``total_stone_loads`` is None where the loads of a class are not known.
    """

    classes: tuple[ClassResult, ...]
    total_stone_loads: Entry | None


def delivery_turn(set_before: Count) -> Count:
    """Turn in which a class comes.

    Source: order of setting
    """
    return set_before + 1


def class_mass(one: Mass, count: Count) -> Mass:
    """Mass of all stones of a class, dry.

    Source: mass of one times the count
    """
    return one * count


def bulk_mass(laid: Volume, porosity: Ratio, density: Density) -> Mass:
    """Mass of gravel or bedding by its volume as laid, dry.

    Source: bulk density = density of the rock × (1 − porosity), definition of porosity as voids over bulk volume
    """
    return laid * (1 - porosity) * density


def loose_volume(laid: Volume, porosity: Ratio, loose_porosity: Ratio) -> Volume:
    """Volume in the truck of what is laid with other voids.

    Source: conservation of rock; definition of porosity as voids over bulk volume
    """
    return laid * (1 - porosity) / (1 - loose_porosity)


def row_loose(one_loose: Volume, count: Count) -> Volume:
    """Volume in the truck of a row of edging.

    Source: volume of one as tipped times the count
    """
    return one_loose * count


def pieces_by_mass(truck_payload: Mass, high_mass: Mass) -> Count:
    """How many stones a load takes.

    Working: truck payload / high mass of one, rounded down
    Source: the truck's plate: user input
    """
    return math.floor(truck_payload / high_mass + 1e-9)


def pieces_by_both(truck_payload: Mass, high_mass: Mass, truck_volume: Volume, one_loose: Volume) -> Count:
    """How many tipped stones a load takes.

    Working: the lesser of truck payload / high mass of one and truck volume / loose volume of one, rounded down
    Source: the truck's plate: user input
    """
    return math.floor(min(truck_payload / high_mass, truck_volume / one_loose) + 1e-9)


def volume_per_load(truck_volume: Volume, truck_payload: Mass, loose_porosity: Ratio, density: Density) -> Volume:
    """Loose volume that a load takes, at the least voids and the highest density.

    Working: the lesser of the truck's volume and truck payload / ((1 − loose porosity) × density)
    Source: the truck's plate: user input; bulk density by the definition of porosity
    """
    return min(truck_volume, truck_payload / ((1 - loose_porosity) * density))


def piece_loads(count: Count, per_load: Count) -> Count:
    """Loads of stones that are counted.

    Working: count / how many a load takes, rounded up
    Source: arithmetic
    """
    return rounded_up(count / per_load)


def work_out(
    option: Option,
    stones: StoneResult | None,
    lifts: LiftingResult | None,
    laid: tuple[tuple[str, Entry | None], ...],
    walled: WallStone | None,
    gravel: Entry | None,
    whole: bool,
) -> HaulResult | None:
    """Every class of stone; None where the option asks for none of it.

    Args:
        option: As drawn.
        stones: The stone; None where the option has none.
        lifts: The lift plan, whose order of setting the boulders come in; None where the option has none.
        laid: (name, what is ordered) of crushed stone and bedding in the order in which it is laid; None where there is none, or in trouble.
        walled: Stone of the walls; None where the option has none.
        gravel: On the pools' level parts; None where a pool is in trouble.
        whole: False where a part is in trouble: then loads have no sum.
    """
    if option.stone is None or option.stone.haul is None or stones is None:
        return None
    haul = option.stone.haul
    truck = (float(option.earth.truck_volume), float(option.earth.truck_payload)) if option.earth else None
    rock = rock_of(option.stone)
    voids = within(haul.bedding_porosity, haul.bedding_porosity_within)
    beds = [Bulk(name, bed.value, voids) for name, bed in laid if bed and bed.value > 0]
    fine = [Bulk("gravel", gravel.value, float(option.gravel_porosity))] if gravel and gravel.value > 0 else []
    every: list[Pieces | Bulk] = [
        *beds,
        *_walls(option, walled),
        *_boulders(stones, lifts),
        *_edging(option, stones, haul),
        *fine,
    ]
    classes = tuple(_class(at, one, haul, rock, truck) for at, one in enumerate(every))
    loads = [each.stone_loads for each in classes if each.stone_loads]
    known = whole and classes and len(loads) == len(classes) and gravel is not None
    return HaulResult(classes, total("", loads, COUNT) if known else None)


def _walls(option: Option, walled: WallStone | None) -> Iterator[Bulk]:
    if walled is None or option.walls is None:
        return
    porosity = float(option.walls.porosity)
    for bulk, order in zip(walled.wall_volume, walled.wall_stone_order, strict=True):
        solid = bulk.value * (1 - porosity)
        rock = Range(order.least / solid, order.value / solid, order.most / solid, order.source)
        yield Bulk(f"wall {bulk.subject}", bulk.value, porosity, rock)


def _boulders(stones: StoneResult, lifts: LiftingResult | None) -> Iterator[Pieces]:
    """Kinds as the lift plan first sets one of each, then the rest, those that bear others first."""
    kinds = {kind.index: kind for kind in stones.kinds}
    named = {kind.boulder.name: kind.index for kind in stones.kinds}
    turns: dict[int, None] = dict.fromkeys(lift.load.index for lift in lifts.lifts) if lifts else {}

    def base_first(index: int, above: tuple[int, ...] = ()) -> None:
        under = named.get(kinds[index].boulder.rests_on or "")
        if under is not None and under not in (*above, index):
            base_first(under, (*above, index))
        turns.setdefault(index)

    for index in kinds:
        base_first(index)
    for index in turns:
        kind = kinds[index]
        mass = kind.mass
        yield Pieces(kind.boulder.name, kind.count.value, Range(mass.least, mass.value, mass.most, mass.source), None)


def _edging(option: Option, stones: StoneResult, haul: Haul) -> Iterator[Pieces]:
    assert option.stone is not None
    rows = {f"{row.pool} / {row.seat}": row for row in option.stone.edging}
    for count, mass in zip(stones.edging_count, stones.edging_mass, strict=True):
        row, many = rows[count.subject], count.value
        one = Range(mass.least / many, mass.value / many, mass.most / many, mass.source)
        box = row.along * row.across * row.height
        voids = within(haul.loose_porosity, haul.loose_porosity_within)
        low, typical, high = (
            loose_volume(box, option.stone.porosity, each) for each in (voids.low, voids.typical, voids.high)
        )
        yield Pieces(count.subject, many, one, Range(low, typical, high, USER))


@remembered
def _class(at: int, one: Pieces | Bulk, haul: Haul, rock: Range, truck: Truck | None) -> ClassResult:
    turn = entry(delivery_turn, one.name, set_before=at)
    return _pieces(turn, one, truck) if isinstance(one, Pieces) else _bulk(turn, one, haul, rock, truck)


def _pieces(turn: Entry, drawn: Pieces, truck: Truck | None) -> ClassResult:
    name, high = drawn.name, drawn.one.high
    none = () if truck else (NO_TRUCK(),)
    mass = entry(class_mass, name, cautions=none, one=drawn.one, count=drawn.count)
    loose = (
        None if drawn.loose is None else entry(row_loose, name, source=USER, one_loose=drawn.loose, count=drawn.count)
    )
    if truck is None:
        return ClassResult(drawn.count, turn, mass, loose, None, None, None)
    volume, payload = truck
    if drawn.loose is None:
        notes = [*_too_heavy(drawn.one, payload), TRUCK_PLATE(), ON_THE_BED()]
        per = entry(pieces_by_mass, name, source=USER, cautions=notes, truck_payload=payload, high_mass=high)
    else:
        per = entry(
            pieces_by_both, name, source=USER, cautions=[*_too_heavy(drawn.one, payload), *_too_big(drawn.loose, volume), TRUCK_PLATE()],
            truck_payload=payload, high_mass=high, truck_volume=volume, one_loose=drawn.loose.high,
        )  # fmt: skip
    loads = entry(piece_loads, name, count=drawn.count, per_load=per.value) if per.value > 0 else None
    return ClassResult(drawn.count, turn, mass, loose, per, None, loads)


def _bulk(turn: Entry, drawn: Bulk, haul: Haul, rock: Range, truck: Truck | None) -> ClassResult:
    name = drawn.name
    notes = [STONE_DRY()] if truck else [STONE_DRY(), NO_TRUCK()]
    mass = entry(
        bulk_mass,
        name,
        source=USER,
        cautions=notes,
        laid=drawn.laid,
        porosity=drawn.porosity,
        density=drawn.rock or rock,
    )
    voids = within(haul.loose_porosity, haul.loose_porosity_within)
    loose = entry(loose_volume, name, source=USER, laid=drawn.laid, porosity=drawn.porosity, loose_porosity=voids)
    if truck is None:
        return ClassResult(None, turn, mass, loose, None, None, None)
    volume, payload = truck
    per = entry(
        volume_per_load, name, source=USER, cautions=[TRUCK_PLATE()], truck_volume=volume, truck_payload=payload,
        loose_porosity=voids.low, density=(drawn.rock or rock).high,
    )  # fmt: skip
    loads = entry(truck_loads, name, haul=loose, truck_volume=volume, mass=mass, truck_payload=payload)
    return ClassResult(None, turn, mass, loose, None, per, loads)


def _too_heavy(one: Range, payload: float) -> Iterable[Words]:
    return STONE_OVER_PAYLOAD.where(
        one.low, one.typical, one.high, most=payload, mass=(one.high, MASS), payload=(payload, MASS)
    )


def _too_big(loose: Range, volume: float) -> Iterable[Words]:
    return STONE_OVER_VOLUME.where(
        loose.low, loose.typical, loose.high, most=volume, loose=(loose.high, VOLUME), volume=(volume, VOLUME)
    )
