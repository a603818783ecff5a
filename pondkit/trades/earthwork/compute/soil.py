"""Soil balance: how much is dug, what banks and berm take of it, what is hauled; and the stone to be delivered, by
class in the order in which it is set, in loads of the truck that hauls the soil.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import USER, Entry, Range, entry, total, with_cautions, within
from pondkit.core.kinds import nothing
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import Words, words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import COUNT, MASS, VOLUME
from pondkit.trades.earthwork import formulas as rel
from pondkit.trades.earthwork.cautions import (
    KEEP_BACK,
    NO_TRUCK,
    ON_THE_BED,
    SOIL_MAY_LACK,
    STONE_DRY,
    STONE_OVER_PAYLOAD,
    STONE_OVER_VOLUME,
    TRUCK_PLATE,
)
from pondkit.trades.earthwork.compute.berms import BermOnGround, OuterBanks, outlined_berm, straight_berm
from pondkit.trades.earthwork.inputs import Earth
from pondkit.trades.earthwork.results import BulkStone, EarthResult, ExcavationResult, HaulResult, StoneClass
from pondkit.trades.stone.inputs import Haul, Stone, any_rock, rock_density
from pondkit.trades.stone.results import BearingResult, StoneResult
from pondkit.trades.walls.inputs import Walls
from pondkit.trades.walls.results import WallStone


@remembered
def compute(
    earth: Earth,
    soil: str,
    dig: float,
    fill: float,
    banks: OuterBanks | Problem | None,
    berm: BermOnGround | Problem | None,
) -> EarthResult:
    """The soil balance.

    Args:
        earth: Inputs of the earthwork.
        soil: Soil of the site, a name in the table of soils.
        dig: Bank volume of all that is dug [m³].
        fill: Compacted volume of banks and backfill to be built of it, without the banks outside the rim lines [m³].
        banks: Banks outside the rim lines, or their problem; None if there are none.
        berm: A berm with an outline on the ground, or its problem; None if it has no outline.
    """
    swell = _swell(earth, soil)
    topsoil = entry(rel.topsoil_bank, "", source=USER, strip_area=earth.strip_area, topsoil=earth.topsoil)
    if swell is None:
        return EarthResult(problems=(_no_swell(soil),))
    if topsoil.value > dig:
        return EarthResult(problems=(_too_much_topsoil(topsoil.value, dig),))
    subsoil = entry(rel.subsoil_bank, "", dig=dig, topsoil=topsoil)
    figures = _dug(earth, subsoil, topsoil, swell)
    if isinstance(banks, Problem):
        return EarthResult(**figures, problems=(banks,))
    outer_bank: Entry | float = 0.0
    if banks:
        figures |= banks.entries()
        figures["heaped"] = banks.plans
        outer_bank = figures["total_outer_bank"]
    shrink = within(earth.shrink, earth.shrink_within)
    soils: dict[str, Any] = {"subsoil": subsoil, "fill": fill, "outer_bank": outer_bank, "shrink": shrink}
    left = entry(rel.left_bank, "", source=USER, **soils)
    if left.value < 0:
        return EarthResult(**figures, problems=(_too_little(-left.value),))
    spoil = entry(rel.left_compacted, "", source=USER, **soils)
    figures |= {
        "left_bank": with_cautions(
            left, *SOIL_MAY_LACK.where(left.least, left.value, left.most, short=(-left.least, VOLUME))
        ),
        "left_loose": entry(rel.loose, "", cautions=[KEEP_BACK()], bank=left, swell=swell),
        "left_compacted": spoil,
    }
    berm_volume = 0.0
    if earth.berm:
        if isinstance(berm, Problem):
            return EarthResult(**figures, problems=(berm,))
        berm_figures = straight_berm(earth.berm, spoil) if berm is None else outlined_berm(earth.berm, spoil, berm)
        figures |= berm_figures.entries
        if berm_figures.plan:
            figures["heaped"] = (berm_figures.plan, *figures.get("heaped", ()))
        if berm_figures.problem:
            return EarthResult(**figures, problems=(berm_figures.problem,))
        if berm_figures.uses_all:
            return EarthResult(**figures)
        berm_volume = figures["berm_volume"].value
    return EarthResult(**figures, **_hauled(earth, soils, berm_volume, swell))


def _dug(earth: Earth, subsoil: Entry, topsoil: Entry, swell: Range) -> dict[str, Any]:
    """Figures of what is dug, by key: subsoil, all of it loose, machine time; topsoil if there is any."""
    topsoil_swell = within(earth.topsoil_swell, earth.topsoil_swell_within)
    dug = entry(
        rel.dug_loose,
        "",
        source=USER,
        subsoil=subsoil,
        swell=swell,
        topsoil=topsoil,
        topsoil_swell=topsoil_swell,
    )
    figures: dict[str, Any] = {"subsoil_bank": subsoil, "dug_loose": dug, "machine_time": _machine_time(earth, dug)}
    if topsoil.value > 0:
        heap = entry(rel.loose, "", source=USER, bank=topsoil, swell=topsoil_swell)
        figures |= {"topsoil_bank": topsoil, "topsoil_loose": heap}
    return figures


def _hauled(earth: Earth, soils: dict[str, Any], berm: float, swell: Range) -> dict[str, Any]:
    """Figures of the soil hauled away, by key: what neither banks nor berm use.

    Args:
        earth: Inputs of the earthwork.
        soils: Terms of the balance, as of ``formulas.left_bank``.
        berm: Compacted volume of the berm [m³].
        swell: Swell of the subsoil.
    """
    bank = entry(rel.haul_bank, "", source=USER, **soils, berm=berm)
    loose = entry(rel.loose, "", bank=bank, swell=swell)
    density = within(earth.bank_density, earth.bank_density_within)
    mass = entry(rel.haul_mass, "", source=USER, haul_bank=bank, bank_density=density)
    loads = entry(
        rel.truck_loads,
        "",
        source=USER,
        cautions=[TRUCK_PLATE()],
        haul=loose,
        truck_volume=earth.truck_volume,
        mass=mass,
        truck_payload=earth.truck_payload,
    )
    return {"haul_bank": bank, "haul_loose": loose, "haul_mass": mass, "truck_loads": loads}


def _machine_time(earth: Earth, dug: Entry) -> Entry:
    return entry(
        rel.machine_time,
        "",
        source=USER,
        cautions=[KEEP_BACK()],
        dug=dug,
        bucket=earth.bucket,
        fill_factor=within(earth.fill_factor, earth.fill_factor_within),
        cycle=within(earth.cycle, earth.cycle_within),
        efficiency=within(earth.efficiency, earth.efficiency_within, most=1.0),
        trimming=Range(0.0, 0.0, float(earth.trimming), USER),
    )


def _swell(earth: Earth, soil: str) -> Range | None:
    """Swell as entered, or from the table of soils; None if that has none for the soil."""
    if earth.swell is not None:
        return within(earth.swell, earth.swell_within)
    row = rows_by_name("trades/earthwork/swell").get(soil)
    return Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"]) if row else None


def _too_much_topsoil(topsoil: float, dig: float) -> Problem:
    return Problem(
        ("earth", "strip_area"),
        words("{topsoil} of topsoil", topsoil=(topsoil, VOLUME)),
        words("no more than the dig, {dig}", dig=(dig, VOLUME)),
        words("strip less area or depth"),
    )


def _too_little(short: float) -> Problem:
    return Problem(
        ("earth",),
        words("the banks to be built take {short} of soil (bank measure) more than is dug", short=(short, VOLUME)),
        words("no more than is dug"),
        words("lower the pools or their rims, or strip less topsoil; else soil must be brought in"),
    )


def _no_swell(soil: str) -> Problem:
    return Problem(
        ("earth", "swell"),
        words(f"no swell is known for '{soil}'"),
        words(f"a swell of your own, or one of {', '.join(rows_by_name('trades/earthwork/swell'))} as the site's soil"),
        words("enter its swell; or name the soil itself that the water stands in, and enter the groundwater's level"),
    )


Truck = tuple[float, float]  # loose volume [m³] and payload [kg] of a load


@dataclass(frozen=True)
class CountedStones:
    """A class of stone ordered by number: boulders of one kind, or a row of edging.

    Attributes:
        name: Its name.
        count: Number of stones.
        mass: Mass of one stone [kg].
        loose: Loose volume of one stone in the truck [m³]; None for boulders, which are loaded one by one.
    """

    name: str
    count: float
    mass: Range
    loose: Range | None


@dataclass(frozen=True)
class BulkMaterial:
    """A class of stone ordered by volume and tipped: crushed stone, bedding, gravel, stone of a wall.

    Attributes:
        name: Its name.
        volume: Volume as laid [m³].
        porosity: Porosity as laid, voids over bulk volume.
        rock: Density of the rock [kg/m³]; None for that of the stone inputs.
    """

    name: str
    volume: float
    porosity: float | Range
    rock: Range | None = None


@dataclass(frozen=True)
class BulkOrders:
    """Stone ordered by volume.

    Attributes:
        beds: (name, volume to order) of crushed stone and bedding, in laying order; no volume if there is none, or it
            has a problem.
        walls, wall_stone: Inputs of the walls, and their stone; None if the option has none.
        gravel: Gravel on shelves and floors of pools; None if a pool has a problem.
        gravel_porosity: Its porosity, voids over bulk volume.
        whole: False if a part has a problem: then loads have no sum.
    """

    beds: tuple[tuple[str, Entry | None], ...]
    walls: Walls | None
    wall_stone: WallStone | None
    gravel: Entry | None
    gravel_porosity: float
    whole: bool


def bulk_orders(
    walls: Walls | None,
    wall_stone: WallStone | None,
    bearing: BearingResult | None,
    dug: ExcavationResult | None,
    gravel: tuple[Entry | None, float],
) -> BulkOrders:
    """Stone ordered by volume.

    Args:
        walls: Inputs of the walls; None if the option has none.
        wall_stone: Stone of the walls; None if there is none.
        bearing: Bearing under the boulders, with their bedding; None if there is none.
        dug: Excavation besides the pools.
        gravel: Gravel on shelves and floors of pools, and its porosity.
    """
    beds = (
        ("crushed stone under bodies and walls", dug.seat_order if dug else None),
        ("bedding under pipe", dug.pipe_bedding_order if dug else None),
        ("bedding", bearing.bedding_order if bearing else None),
    )
    faulty = (bearing and bearing.problems) or (dug and dug.problems)
    complete = not faulty and not (wall_stone and wall_stone.unknown)
    return BulkOrders(beds, walls, wall_stone, *gravel, complete)


def compute_bulk(stone: Stone | None, orders: BulkOrders, gravel_within: float) -> BulkStone | None:
    """Mass of gravel, crushed stone and bedding, of the rock named with the stone, or of any rock if none is named.
    None if there are none, or if deliveries are entered: then ``compute_haul`` has them.

    Args:
        stone: Inputs of the stone; None if the option has none.
        orders: Stone ordered by volume.
        gravel_within: Share by which the gravel's voids may be off.
    """
    if stone is not None and stone.haul is not None:
        return None
    usual, rock = Haul(), any_rock() if stone is None else rock_density(stone)
    voids = within(usual.bedding_porosity, usual.bedding_porosity_within)
    each = [(name, bed, voids) for name, bed in orders.beds]
    each.append(("gravel", orders.gravel, within(orders.gravel_porosity, gravel_within)))
    masses = tuple(
        _bulk_mass(name, figure.value, porosity, rock, (STONE_DRY(),))
        for name, figure, porosity in each
        if figure and not nothing(figure.value, VOLUME)
    )
    return BulkStone(masses) if masses else None


@remembered
def _bulk_mass(name: str, volume: float, porosity: float | Range, rock: Range, notes: tuple[Words, ...]) -> Entry:
    return entry(rel.bulk_mass, name, source=USER, cautions=notes, laid_volume=volume, porosity=porosity, density=rock)


def compute_haul(
    stone: Stone | None,
    truck: Truck | None,
    stones: StoneResult | None,
    lifted: tuple[int, ...],
    orders: BulkOrders,
) -> HaulResult | None:
    """Stone to be delivered, by class in the order in which it is set; None if no deliveries are entered.

    Args:
        stone, stones: Inputs and result of the stone; None if the option has none.
        truck: The truck; None if not entered.
        lifted: Index of the kind of boulder of each lift, in setting order.
        orders: Stone ordered by volume.
    """
    if stone is None or stone.haul is None or stones is None:
        return None
    haul, gravel, rock = stone.haul, orders.gravel, rock_density(stone)
    voids = within(haul.bedding_porosity, haul.bedding_porosity_within)
    every: list[CountedStones | BulkMaterial] = [
        *(BulkMaterial(name, bed.value, voids) for name, bed in orders.beds if bed and bed.value > 0),
        *_wall_stone(orders),
        *_boulders(stones, lifted),
        *_edging(stone, stones, haul),
        *([BulkMaterial("gravel", gravel.value, orders.gravel_porosity)] if gravel and gravel.value > 0 else []),
    ]
    classes = tuple(_class(index, material, haul, rock, truck) for index, material in enumerate(every))
    loads = [each.stone_loads for each in classes if each.stone_loads]
    whole = orders.whole and not stones.problems and gravel is not None
    known = whole and classes and len(loads) == len(classes)
    return HaulResult(classes, total("", loads, COUNT) if known else None)


def _wall_stone(orders: BulkOrders) -> Iterator[BulkMaterial]:
    """Stone of each wall."""
    if orders.wall_stone is None or orders.walls is None:
        return
    porosity = float(orders.walls.porosity)
    figures = zip(orders.wall_stone.wall_volume, orders.wall_stone.wall_stone_order, strict=True)
    for volume, order in figures:
        # The density at which its volume has the mass ordered, so that the range of that is kept.
        solid = volume.value * (1 - porosity)
        rock = Range(order.least / solid, order.value / solid, order.most / solid, order.source)
        yield BulkMaterial(f"wall {volume.subject}", volume.value, porosity, rock)


def _boulders(stones: StoneResult, lifted: tuple[int, ...]) -> Iterator[CountedStones]:
    """Kinds in the order in which the lift plan first sets one of each, then the others, a stone that bears another
    before it.
    """
    kinds = {kind.index: kind for kind in stones.kinds}
    index_by_name = {kind.boulder.name: kind.index for kind in stones.kinds}
    in_order: dict[int, None] = dict.fromkeys(lifted)

    def base_first(index: int, above: tuple[int, ...] = ()) -> None:
        under = index_by_name.get(kinds[index].boulder.rests_on or "")
        if under is not None and under not in (*above, index):
            base_first(under, (*above, index))
        in_order.setdefault(index)

    for index in kinds:
        base_first(index)
    for index in in_order:
        kind = kinds[index]
        mass = kind.mass
        mass_range = Range(mass.least, mass.value, mass.most, mass.source)
        yield CountedStones(kind.boulder.name, kind.count.value, mass_range, None)


def _edging(stone: Stone, stones: StoneResult, haul: Haul) -> Iterator[CountedStones]:
    """Rows of edging, whose mass and count stand for a stone each."""
    rows = {f"{row.pool} / {row.seat}": row for row in stone.edging}
    for count, mass in zip(stones.edging_count, stones.edging_mass, strict=True):
        row, many = rows[count.subject], count.value
        unit_mass = Range(mass.least / many, mass.value / many, mass.most / many, mass.source)
        box = row.along * row.across * row.height
        voids = within(haul.loose_porosity, haul.loose_porosity_within)
        low, typical, high = (
            rel.loose_volume(box, stone.porosity, porosity) for porosity in (voids.low, voids.typical, voids.high)
        )
        yield CountedStones(count.subject, many, unit_mass, Range(low, typical, high, USER))


@remembered
def _class(
    index: int, material: CountedStones | BulkMaterial, haul: Haul, rock: Range, truck: Truck | None
) -> StoneClass:
    """A class of stone: its place in the order of delivery (``index``, from 0), its mass and loads."""
    turn = entry(rel.delivery_turn, material.name, set_before=index)
    if isinstance(material, CountedStones):
        return _counted_class(turn, material, truck)
    return _bulk_class(turn, material, haul, rock, truck)


def _counted_class(turn: Entry, stones: CountedStones, truck: Truck | None) -> StoneClass:
    """Figures of stones ordered by number."""
    name, high = stones.name, stones.mass.high
    no_truck = () if truck else (NO_TRUCK(),)
    mass = entry(rel.class_mass, name, cautions=no_truck, unit_mass=stones.mass, count=stones.count)
    loose = (
        None
        if stones.loose is None
        else entry(rel.loose_edging, name, source=USER, one_loose=stones.loose, count=stones.count)
    )
    if truck is None:
        return StoneClass(stones.count, turn, mass, loose, None, None, None)
    volume, payload = truck
    if stones.loose is None:
        notes = [*_too_heavy(stones.mass, payload), TRUCK_PLATE(), ON_THE_BED()]
        per_load = entry(rel.pieces_by_mass, name, source=USER, cautions=notes, truck_payload=payload, high_mass=high)
    else:
        per_load = entry(
            rel.pieces_by_mass_and_volume,
            name,
            source=USER,
            cautions=[*_too_heavy(stones.mass, payload), *_too_big(stones.loose, volume), TRUCK_PLATE()],
            truck_payload=payload,
            high_mass=high,
            truck_volume=volume,
            one_loose=stones.loose.high,
        )
    loads = entry(rel.piece_loads, name, count=stones.count, per_load=per_load.bare) if per_load.value > 0 else None
    return StoneClass(stones.count, turn, mass, loose, per_load, None, loads)


def _bulk_class(turn: Entry, bulk: BulkMaterial, haul: Haul, rock: Range, truck: Truck | None) -> StoneClass:
    """Figures of stone ordered by volume, of its own rock or else of ``rock``."""
    name = bulk.name
    notes = (STONE_DRY(),) if truck else (STONE_DRY(), NO_TRUCK())
    mass = _bulk_mass(name, bulk.volume, bulk.porosity, bulk.rock or rock, notes)
    voids = within(haul.loose_porosity, haul.loose_porosity_within)
    loose = entry(
        rel.loose_volume, name, source=USER, laid_volume=bulk.volume, porosity=bulk.porosity, loose_porosity=voids
    )
    if truck is None:
        return StoneClass(None, turn, mass, loose, None, None, None)
    volume, payload = truck
    per_load = entry(
        rel.volume_per_load,
        name,
        source=USER,
        cautions=[TRUCK_PLATE()],
        truck_volume=volume,
        truck_payload=payload,
        loose_porosity=voids.low,
        density=(bulk.rock or rock).high,
    )
    loads = entry(rel.truck_loads, name, haul=loose, truck_volume=volume, mass=mass, truck_payload=payload)
    return StoneClass(None, turn, mass, loose, None, per_load, loads)


def _too_heavy(mass: Range, payload: float) -> Iterable[Words]:
    return STONE_OVER_PAYLOAD.where(
        mass.low, mass.typical, mass.high, most=payload, mass=(mass.high, MASS), payload=(payload, MASS)
    )


def _too_big(loose: Range, volume: float) -> Iterable[Words]:
    return STONE_OVER_VOLUME.where(
        loose.low, loose.typical, loose.high, most=volume, loose=(loose.high, VOLUME), volume=(volume, VOLUME)
    )
