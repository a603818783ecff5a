"""Soil balance: where the soil of the dig goes, banks outside the rim lines among it; and stone as it is ordered and
carried, by class, in the order in which it is set, in loads of the truck that hauls the soil.
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
from pondkit.core.units import COUNT, LENGTH, MASS, RATIO, VOLUME
from pondkit.geometry.mound import Bank, Heaped, drawn_bank, outer_banks
from pondkit.geometry.terrain import FAR_BANK, Terrain, TooSteep
from pondkit.geometry.trench import Trenches
from pondkit.trades.earthwork import formulas as rel
from pondkit.trades.earthwork import formulas as soil_relations
from pondkit.trades.earthwork.cautions import (
    BANK_HOLDS_WATER,
    BANK_MAY_SPREAD,
    KEEP_BACK,
    NO_TRUCK,
    ON_THE_BED,
    SOIL_MAY_LACK,
    STONE_DRY,
    STONE_OVER_PAYLOAD,
    STONE_OVER_VOLUME,
    TRUCK_PLATE,
)
from pondkit.trades.earthwork.compute.berms import BermOnGround, drawn_berm, straight_berm
from pondkit.trades.earthwork.formulas import truck_loads
from pondkit.trades.earthwork.inputs import Earth
from pondkit.trades.earthwork.results import EarthResult, ExcavationResult, HaulResult, LooseResult, StoneClass
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs import Haul, Stone, any_rock, rock_density
from pondkit.trades.stone.results import BearingResult, StoneResult
from pondkit.trades.walls.inputs import Walls
from pondkit.trades.walls.results import WallStone


@dataclass(frozen=True, eq=False)
class OuterBanks:
    """Banks outside the rim lines: the soil of each, and of all together. The length of each is that of its pool's
    ``rim_above_ground``.

    ``drawn`` are those with an extent. ``low`` is narrower and steeper, ``high`` wider and flatter, by the share
    entered; ``high`` is None if it does not meet the ground.
    """

    built: Trenches
    low: Trenches
    high: Trenches | None
    drawn: tuple[Heaped, ...]

    def entries(self) -> dict[str, Any]:
        """Their entries by key; pools without a bank outside their rim have none."""
        high = self.high or self.built
        some = [ends for ends in zip(self.low.each, self.built.each, high.each, strict=True) if ends[1].volume > 0]
        bank_entries = tuple(
            entry(
                rel.outer_bank_volume,
                typical.name,
                cautions=[BANK_HOLDS_WATER()],
                built=_range(low.volume, typical.volume, most.volume),
            )
            for low, typical, most in some
        )
        total_bank = _range(self.low.together, self.built.together, high.together)
        notes = () if self.high else (BANK_MAY_SPREAD(),)
        return {
            "outer_bank_volume": bank_entries,
            "total_outer_bank": entry(rel.total_outer_bank, "", cautions=notes, together=total_bank),
        }


make_outer_banks = remembered(OuterBanks)


def _range(low: float, typical: float, high: float) -> Range:
    return Range(low, typical, high, USER)


def banks_outside(
    earth: Earth | None, pools: tuple[PoolResult, ...], ground: Terrain | None
) -> OuterBanks | Problem | None:
    """Banks outside the rim lines, or their problem; None if not required.

    Args:
        earth: Inputs of the earthwork; None if the option has none.
        pools: Those without problems.
        ground: As it is; None if it has a problem.
    """
    if earth is None or earth.outer_bank is None or ground is None:
        return None
    (crest, slope), share = earth.outer_bank, float(earth.bank_within)
    banks = tuple(
        Bank(pool.name, dig.surface.pool.shape, dig.placed, dig.rim, dig.rim_level)
        for pool in pools
        for dig in [pool.surfaces.dig]
    )
    try:
        built = outer_banks(banks, crest, slope, ground)
        low = outer_banks(banks, crest * (1 - share), slope * (1 - share), ground) if share else built
        high: Trenches | None = built
        if share:
            try:
                high = outer_banks(banks, crest * (1 + share), slope * (1 + share), ground)
            except TooSteep:
                high = None
        fills = [drawn_bank(bank, crest, slope, ground) for bank in banks]
        return make_outer_banks(built, low, high, tuple(fill for fill in fills if fill))
    except TooSteep:
        return Problem(
            ("earth", "bank_slope"),
            words(
                "a bank that falls outward at {slope} horizontal to 1 vertical does not meet the ground",
                slope=(slope, RATIO),
            ),
            words("one that meets it within {far}", far=(FAR_BANK, LENGTH)),
            words("make its outer slope steeper, hold it by a wall, or lower the rim"),
        )


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
        dig, fill: Bank volume of the cut, and volume of fills for banks and over pipe [m³].
        banks: Banks outside the rim lines, or their problem; None if not required.
        berm: A berm with an outline on the ground, or its problem; None if it has no outline.
    """
    swell = _swell(earth, soil)
    topsoil = entry(soil_relations.topsoil_bank, "", source=USER, strip_area=earth.strip_area, topsoil=earth.topsoil)
    if swell is None:
        return EarthResult(problems=(_no_swell(soil),))
    if topsoil.value > dig:
        return EarthResult(problems=(_too_much_topsoil(topsoil.value, dig),))
    sub = entry(soil_relations.subsoil_bank, "", dig=dig, topsoil=topsoil)
    figures = _dug(earth, sub, topsoil, swell)
    if isinstance(banks, Problem):
        return EarthResult(**figures, problems=(banks,))
    outer: Entry | float = 0.0
    if banks:
        figures |= banks.entries()
        figures["heaped"] = banks.drawn
        outer = figures["total_outer_bank"]
    shrink = within(earth.shrink, earth.shrink_within)
    soils: dict[str, Any] = {"subsoil": sub, "fill": fill, "outer_bank": outer, "shrink": shrink}
    left = entry(soil_relations.left_bank, "", source=USER, **soils)
    if left.value < 0:
        return EarthResult(**figures, problems=(_too_little(-left.value),))
    packed = entry(soil_relations.left_compacted, "", source=USER, **soils)
    figures |= {
        "left_bank": with_cautions(
            left, *SOIL_MAY_LACK.where(left.least, left.value, left.most, short=(-left.least, VOLUME))
        ),
        "left_loose": entry(soil_relations.loose, "", cautions=[KEEP_BACK()], bank=left, swell=swell),
        "left_compacted": packed,
    }
    built = 0.0
    if earth.berm:
        if isinstance(berm, Problem):
            return EarthResult(**figures, problems=(berm,))
        berm_figures = straight_berm(earth.berm, packed) if berm is None else drawn_berm(earth.berm, packed, berm)
        figures |= berm_figures.entries
        if berm_figures.drawn:
            figures["heaped"] = (berm_figures.drawn, *figures.get("heaped", ()))
        if berm_figures.problem:
            return EarthResult(**figures, problems=(berm_figures.problem,))
        if berm_figures.uses_all:
            return EarthResult(**figures)
        built = figures["berm_volume"].value
    return EarthResult(**figures, **_hauled(earth, soils, built, swell))


def _dug(earth: Earth, subsoil: Entry, topsoil: Entry, swell: Range) -> dict[str, Any]:
    """Excavated soil, loose, and machine time for it; topsoil if there is any."""
    topsoil_swell = within(earth.topsoil_swell, earth.topsoil_swell_within)
    dug = entry(
        soil_relations.dug_loose,
        "",
        source=USER,
        subsoil=subsoil,
        swell=swell,
        topsoil=topsoil,
        topsoil_swell=topsoil_swell,
    )
    figures: dict[str, Any] = {"subsoil_bank": subsoil, "dug_loose": dug, "machine_time": _machine(earth, dug)}
    if topsoil.value > 0:
        heap = entry(soil_relations.loose, "", source=USER, bank=topsoil, swell=topsoil_swell)
        figures |= {"topsoil_bank": topsoil, "topsoil_loose": heap}
    return figures


def _hauled(earth: Earth, soils: dict[str, Any], berm: float, swell: Range) -> dict[str, Any]:
    """Soil hauled away: all that neither banks nor berm use."""
    over = entry(soil_relations.over_bank, "", source=USER, **soils, berm=berm)
    loose = entry(soil_relations.loose, "", bank=over, swell=swell)
    density = within(earth.bank_density, earth.bank_density_within)
    mass = entry(soil_relations.soil_mass, "", source=USER, bank=over, bank_density=density)
    loads = entry(
        truck_loads,
        "",
        source=USER,
        cautions=[TRUCK_PLATE()],
        haul=loose,
        truck_volume=earth.truck_volume,
        mass=mass,
        truck_payload=earth.truck_payload,
    )
    return {"haul_bank": over, "haul_loose": loose, "haul_mass": mass, "truck_loads": loads}


def _machine(earth: Earth, dug: Entry) -> Entry:
    return entry(
        soil_relations.machine_time,
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
    """Swell factor, as entered or from the table of soils; None if the table has none."""
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
        words("the bank to be built takes {short} more than is dug, as it lies", short=(short, VOLUME)),
        words("no more than is dug"),
        words("lower the pools or their rims, or strip less topsoil; else soil must be brought"),
    )


def _no_swell(soil: str) -> Problem:
    return Problem(
        ("earth", "swell"),
        words(f"no swell is known for '{soil}'"),
        words(f"an own swell, or one of {', '.join(rows_by_name('trades/earthwork/swell'))} as the site's soil"),
        words("enter an own swell; or name the soil that seeps, and enter the groundwater's level"),
    )


Truck = tuple[float, float]  # loose volume [m³] and payload [kg] of a load


@dataclass(frozen=True)
class Pieces:
    """A class of stone ordered by number: boulders of one kind, or a row of edging.

    Attributes:
        name: Its name.
        count: Number of stones.
        one: Mass of one stone [kg].
        loose: Volume of one as tipped [m³]; None for boulders, which are loaded one by one.
    """

    name: str
    count: float
    one: Range
    loose: Range | None


@dataclass(frozen=True)
class Bulk:
    """A class delivered loose: volume as laid [m³], porosity as laid, and rock density [kg/m³] (None: that of the
    stone inputs).
    """

    name: str
    laid: float
    porosity: float | Range
    rock: Range | None = None


@dataclass(frozen=True)
class Ordered:
    """Materials ordered by volume.

    Attributes:
        beds: (name, volume to order) of crushed stone and bedding, in laying order; None if there is none, or it has a
            problem.
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


def ordered(
    walls: Walls | None,
    wall_stone: WallStone | None,
    bearing: BearingResult | None,
    dug: ExcavationResult | None,
    gravel: tuple[Entry | None, float],
) -> Ordered:
    """Materials ordered by volume.

    Args:
        walls: Inputs of the walls; None if the option has none.
        wall_stone: Stone of the walls; None if there is none.
        bearing: Bearing under the boulders, with their beds; None if not required.
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
    return Ordered(beds, walls, wall_stone, *gravel, complete)


def compute_loose(stone: Stone | None, ordered: Ordered, gravel_within: float) -> LooseResult | None:
    """Mass of gravel and beds, of the rock that the stone part names or else of any; None if delivery is entered, and
    says it, or where there are none.

    Args:
        stone: As drawn; None if the option has none.
        ordered: What is ordered by volume.
        gravel_within: Share by which the gravel's voids may be off.
    """
    if stone is not None and stone.haul is not None:
        return None
    usual, rock = Haul(), any_rock() if stone is None else rock_density(stone)
    voids = within(usual.bedding_porosity, usual.bedding_porosity_within)
    each = [(name, bed, voids) for name, bed in ordered.beds]
    each.append(("gravel", ordered.gravel, within(ordered.gravel_porosity, gravel_within)))
    masses = tuple(
        _bulk_mass(name, figure.value, porosity, rock, (STONE_DRY(),))
        for name, figure, porosity in each
        if figure and not nothing(figure.value, VOLUME)
    )
    return LooseResult(masses) if masses else None


@remembered
def _bulk_mass(name: str, volume: float, porosity: float | Range, rock: Range, notes: tuple[Words, ...]) -> Entry:
    return entry(rel.bulk_mass, name, source=USER, cautions=notes, laid_volume=volume, porosity=porosity, density=rock)


def compute_haul(
    stone: Stone | None,
    truck: Truck | None,
    stones: StoneResult | None,
    order: tuple[int, ...],
    ordered: Ordered,
) -> HaulResult | None:
    """Stone of an option by class; None if it has none.

    Args:
        stone, stones: Inputs and result of the stone; None if the option has none.
        truck: Loose volume [m³] and payload [kg] of a load; None if not entered.
        order: Kind of boulder of each lift, in setting order.
        ordered: Materials ordered by volume.
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
    classes = tuple(_class(index, kind, haul, rock, truck) for index, kind in enumerate(every))
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
    """Kinds in the order in which the lift plan first sets one of each, then the rest, supporting stones first."""
    kinds = {kind.index: kind for kind in stones.kinds}
    index_by_name = {kind.boulder.name: kind.index for kind in stones.kinds}
    turns: dict[int, None] = dict.fromkeys(order)

    def base_first(index: int, above: tuple[int, ...] = ()) -> None:
        under = index_by_name.get(kinds[index].boulder.rests_on or "")
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
        unit_mass = Range(mass.least / many, mass.value / many, mass.most / many, mass.source)
        box = row.along * row.across * row.height
        voids = within(haul.loose_porosity, haul.loose_porosity_within)
        low, typical, high = (
            rel.loose_volume(box, stone.porosity, porosity) for porosity in (voids.low, voids.typical, voids.high)
        )
        yield Pieces(count.subject, many, unit_mass, Range(low, typical, high, USER))


@remembered
def _class(index: int, kind: Pieces | Bulk, haul: Haul, rock: Range, truck: Truck | None) -> StoneClass:
    turn = entry(rel.delivery_turn, kind.name, set_before=index)
    return _pieces(turn, kind, truck) if isinstance(kind, Pieces) else _bulk(turn, kind, haul, rock, truck)


def _pieces(turn: Entry, pieces: Pieces, truck: Truck | None) -> StoneClass:
    name, high = pieces.name, pieces.one.high
    none = () if truck else (NO_TRUCK(),)
    mass = entry(rel.class_mass, name, cautions=none, unit_mass=pieces.one, count=pieces.count)
    loose = (
        None
        if pieces.loose is None
        else entry(rel.row_loose, name, source=USER, one_loose=pieces.loose, count=pieces.count)
    )
    if truck is None:
        return StoneClass(pieces.count, turn, mass, loose, None, None, None)
    volume, payload = truck
    if pieces.loose is None:
        notes = [*_too_heavy(pieces.one, payload), TRUCK_PLATE(), ON_THE_BED()]
        per = entry(rel.pieces_by_mass, name, source=USER, cautions=notes, truck_payload=payload, high_mass=high)
    else:
        per = entry(
            rel.pieces_by_both,
            name,
            source=USER,
            cautions=[*_too_heavy(pieces.one, payload), *_too_big(pieces.loose, volume), TRUCK_PLATE()],
            truck_payload=payload,
            high_mass=high,
            truck_volume=volume,
            one_loose=pieces.loose.high,
        )
    loads = entry(rel.piece_loads, name, count=pieces.count, per_load=per.bare) if per.value > 0 else None
    return StoneClass(pieces.count, turn, mass, loose, per, None, loads)


def _bulk(turn: Entry, bulk: Bulk, haul: Haul, rock: Range, truck: Truck | None) -> StoneClass:
    name = bulk.name
    notes = (STONE_DRY(),) if truck else (STONE_DRY(), NO_TRUCK())
    mass = _bulk_mass(name, bulk.laid, bulk.porosity, bulk.rock or rock, notes)
    voids = within(haul.loose_porosity, haul.loose_porosity_within)
    loose = entry(
        rel.loose_volume, name, source=USER, laid_volume=bulk.laid, porosity=bulk.porosity, loose_porosity=voids
    )
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
        density=(bulk.rock or rock).high,
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
