"""Stone as it is ordered and carried: by class, in the order in which it is set, in loads of the truck that hauls the
soil."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, Range, entry, total, within
from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words
from pondkit.core.units import COUNT, MASS, VOLUME
from pondkit.trades.earthwork.cautions import (
    NO_TRUCK,
    ON_THE_BED,
    STONE_DRY,
    STONE_OVER_PAYLOAD,
    STONE_OVER_VOLUME,
    TRUCK_PLATE,
)
from pondkit.trades.earthwork.formulas import soil as rel
from pondkit.trades.earthwork.results.excavation import ExcavationResult, HaulResult, StoneClass
from pondkit.trades.stone.inputs import Haul, Stone, rock_density
from pondkit.trades.stone.results import BearingResult, StoneResult
from pondkit.trades.walls.inputs import Walls
from pondkit.trades.walls.results import WallStone

Truck = tuple[float, float]  # loose volume [m³] and payload [kg] of a load


@dataclass(frozen=True)
class Pieces:
    """A class of stone that is ordered by number: boulders of one kind, or a row of edging.

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
    """A class that is delivered loose: its volume as laid [m³], the voids in it as laid, and the density of its rock
    [kg/m³], None for that of the stone part.
    """

    name: str
    laid: float
    porosity: float | Range
    rock: Range | None = None


@dataclass(frozen=True)
class Ordered:
    """What is ordered by volume.

    Attributes:
        beds: (name, what is ordered) of crushed stone and bedding in the order in which it is laid; None where there
        is none, or in trouble.
        walls, wall_stone: As drawn, and their stone; None where the option has none.
        gravel: On the pools' level parts; None where a pool is in trouble.
        gravel_porosity: Its voids over its bulk volume.
        whole: False where a part is in trouble: then loads have no sum.
    """

    beds: tuple[tuple[str, Entry | None], ...]
    walls: Walls | None
    wall_stone: WallStone | None
    gravel: Entry | None
    gravel_porosity: float
    whole: bool


def ordered(
    walls: Walls | None,
    wall_stone: WallStone | None,
    bearing: BearingResult | None,
    dug: ExcavationResult | None,
    gravel: tuple[Entry | None, float],
) -> Ordered:
    """What is ordered by volume.

    Args:
        walls: As drawn; None where the option has none.
        wall_stone: Stone of the walls; None without any.
        bearing: Of the ground under the boulders, with their beds; None where nobody asks.
        dug: What is dug besides the pools.
        gravel: On the pools' level parts, and its voids over its bulk volume.
    """
    beds = (
        ("crushed stone under bodies and walls", dug.seat_order if dug else None),
        ("bedding under pipe", dug.pipe_bedding_order if dug else None),
        ("bedding", bearing.bedding_order if bearing else None),
    )
    faulty = (bearing and bearing.problems) or (dug and dug.problems)
    whole = not faulty and not (wall_stone and wall_stone.unknown)
    return Ordered(beds, walls, wall_stone, *gravel, whole)


def compute(
    stone: Stone | None,
    truck: Truck | None,
    stones: StoneResult | None,
    order: tuple[int, ...],
    ordered: Ordered,
) -> HaulResult | None:
    """Every class of stone; None where the option asks for none of it.

    Args:
        stone, stones: As drawn, and as worked out; None where the option has none.
        truck: Loose volume and payload of a load; None where none is entered.
        order: Of each lift the kind of boulder, in the order of setting, in which they come.
        ordered: What is ordered by volume.
    """
    if stone is None or stone.haul is None or stones is None:
        return None
    haul, gravel, rock = stone.haul, ordered.gravel, rock_density(stone)
    voids = within(haul.bedding_porosity, haul.bedding_porosity_within)
    every: list[Pieces | Bulk] = [
        *(Bulk(name, bed.value, voids) for name, bed in ordered.beds if bed and bed.value > 0),
        *_walls(ordered),
        *_boulders(stones, order),
        *_edging(stone, stones, haul),
        *([Bulk("gravel", gravel.value, ordered.gravel_porosity)] if gravel and gravel.value > 0 else []),
    ]
    classes = tuple(_class(at, kind, haul, rock, truck) for at, kind in enumerate(every))
    loads = [each.stone_loads for each in classes if each.stone_loads]
    whole = ordered.whole and not stones.problems and gravel is not None
    known = whole and classes and len(loads) == len(classes)
    return HaulResult(classes, total("", loads, COUNT) if known else None)


def _walls(ordered: Ordered) -> Iterator[Bulk]:
    if ordered.wall_stone is None or ordered.walls is None:
        return
    porosity = float(ordered.walls.porosity)
    figures = zip(ordered.wall_stone.wall_volume, ordered.wall_stone.wall_stone_order, strict=True)
    for bulk, order in figures:
        solid = bulk.value * (1 - porosity)
        rock = Range(order.least / solid, order.value / solid, order.most / solid, order.source)
        yield Bulk(f"wall {bulk.subject}", bulk.value, porosity, rock)


def _boulders(stones: StoneResult, order: tuple[int, ...]) -> Iterator[Pieces]:
    """Kinds as the lift plan first sets one of each, then the rest, those that bear others first."""
    kinds = {kind.index: kind for kind in stones.kinds}
    named = {kind.boulder.name: kind.index for kind in stones.kinds}
    turns: dict[int, None] = dict.fromkeys(order)

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


def _edging(stone: Stone, stones: StoneResult, haul: Haul) -> Iterator[Pieces]:
    rows = {f"{row.pool} / {row.seat}": row for row in stone.edging}
    for count, mass in zip(stones.edging_count, stones.edging_mass, strict=True):
        row, many = rows[count.subject], count.value
        one = Range(mass.least / many, mass.value / many, mass.most / many, mass.source)
        box = row.along * row.across * row.height
        voids = within(haul.loose_porosity, haul.loose_porosity_within)
        low, typical, high = (
            rel.loose_volume(box, stone.porosity, each) for each in (voids.low, voids.typical, voids.high)
        )
        yield Pieces(count.subject, many, one, Range(low, typical, high, USER))


@remembered
def _class(at: int, kind: Pieces | Bulk, haul: Haul, rock: Range, truck: Truck | None) -> StoneClass:
    turn = entry(rel.delivery_turn, kind.name, set_before=at)
    return _pieces(turn, kind, truck) if isinstance(kind, Pieces) else _bulk(turn, kind, haul, rock, truck)


def _pieces(turn: Entry, drawn: Pieces, truck: Truck | None) -> StoneClass:
    name, high = drawn.name, drawn.one.high
    none = () if truck else (NO_TRUCK(),)
    mass = entry(rel.class_mass, name, cautions=none, one=drawn.one, count=drawn.count)
    loose = (
        None
        if drawn.loose is None
        else entry(rel.row_loose, name, source=USER, one_loose=drawn.loose, count=drawn.count)
    )
    if truck is None:
        return StoneClass(drawn.count, turn, mass, loose, None, None, None)
    volume, payload = truck
    if drawn.loose is None:
        notes = [*_too_heavy(drawn.one, payload), TRUCK_PLATE(), ON_THE_BED()]
        per = entry(rel.pieces_by_mass, name, source=USER, cautions=notes, truck_payload=payload, high_mass=high)
    else:
        per = entry(
            rel.pieces_by_both,
            name,
            source=USER,
            cautions=[*_too_heavy(drawn.one, payload), *_too_big(drawn.loose, volume), TRUCK_PLATE()],
            truck_payload=payload,
            high_mass=high,
            truck_volume=volume,
            one_loose=drawn.loose.high,
        )
    loads = entry(rel.piece_loads, name, count=drawn.count, per_load=per.bare) if per.value > 0 else None
    return StoneClass(drawn.count, turn, mass, loose, per, None, loads)


def _bulk(turn: Entry, drawn: Bulk, haul: Haul, rock: Range, truck: Truck | None) -> StoneClass:
    name = drawn.name
    notes = [STONE_DRY()] if truck else [STONE_DRY(), NO_TRUCK()]
    mass = entry(
        rel.bulk_mass,
        name,
        source=USER,
        cautions=notes,
        laid=drawn.laid,
        porosity=drawn.porosity,
        density=drawn.rock or rock,
    )
    voids = within(haul.loose_porosity, haul.loose_porosity_within)
    loose = entry(rel.loose_volume, name, source=USER, laid=drawn.laid, porosity=drawn.porosity, loose_porosity=voids)
    if truck is None:
        return StoneClass(None, turn, mass, loose, None, None, None)
    volume, payload = truck
    per = entry(
        rel.volume_per_load,
        name,
        source=USER,
        cautions=[TRUCK_PLATE()],
        truck_volume=volume,
        truck_payload=payload,
        loose_porosity=voids.low,
        density=(drawn.rock or rock).high,
    )
    loads = entry(rel.truck_loads, name, haul=loose, truck_volume=volume, mass=mass, truck_payload=payload)
    return StoneClass(None, turn, mass, loose, None, per, loads)


def _too_heavy(mass: Range, payload: float) -> Iterable[Words]:
    return STONE_OVER_PAYLOAD.where(
        mass.low, mass.typical, mass.high, most=payload, mass=(mass.high, MASS), payload=(payload, MASS)
    )


def _too_big(loose: Range, volume: float) -> Iterable[Words]:
    return STONE_OVER_VOLUME.where(
        loose.low, loose.typical, loose.high, most=volume, loose=(loose.high, VOLUME), volume=(volume, VOLUME)
    )
