"""Soil balance: where the soil of the dig goes, banks outside the rim lines among it."""

from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import USER, Entry, Range, entry, with_cautions, within
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH, RATIO, VOLUME
from pondkit.geometry.cut_fill import FAR_BANK, TooSteep
from pondkit.geometry.mound import Bank, Heaped, drawn_bank, outer_banks
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import Trenches
from pondkit.trades.earthwork.cautions import BANK_HOLDS_WATER, BANK_MAY_SPREAD, KEEP_BACK, SOIL_MAY_LACK, TRUCK_PLATE
from pondkit.trades.earthwork.compute.berms import BermOnGround, drawn_berm, straight_berm
from pondkit.trades.earthwork.formulas import excavation as rel
from pondkit.trades.earthwork.formulas import soil as soil_relations
from pondkit.trades.earthwork.formulas.soil import truck_loads
from pondkit.trades.earthwork.inputs.earth import Earth
from pondkit.trades.earthwork.results.excavation import EarthResult
from pondkit.trades.pools.results import PoolResult


@dataclass(frozen=True, eq=False)
class OuterBanks:
    """Banks outside the rim lines: the soil of each, and of all together. The length of each is its pool's
    ``rim_above_ground`` says.

    ``drawn`` are those that lie anywhere. ``low`` and ``high`` are built narrower and steeper, wider and flatter, by
    the share entered; ``high`` is
    None where those do not meet the ground.
    """

    built: Trenches
    low: Trenches
    high: Trenches | None
    drawn: tuple[Heaped, ...]

    def entries(self) -> dict[str, Any]:
        """Their entries by key; of pools that need none outside their rim there are none."""
        high = self.high or self.built
        some = [ends for ends in zip(self.low.each, self.built.each, high.each, strict=True) if ends[1].volume > 0]
        each = tuple(
            entry(
                rel.outer_bank_volume,
                typical.name,
                cautions=[BANK_HOLDS_WATER()],
                built=_range(low.volume, typical.volume, most.volume),
            )
            for low, typical, most in some
        )
        whole = _range(self.low.together, self.built.together, high.together)
        notes = () if self.high else (BANK_MAY_SPREAD(),)
        return {
            "outer_bank_volume": each,
            "total_outer_bank": entry(rel.total_outer_bank, "", cautions=notes, together=whole),
        }


make_outer_banks = remembered(OuterBanks)


def _range(low: float, typical: float, high: float) -> Range:
    return Range(low, typical, high, USER)


def banks_outside(
    earth: Earth | None, pools: tuple[PoolResult, ...], ground: Terrain | None
) -> OuterBanks | Problem | None:
    """What is built outside the rim lines, or what is wrong with it; None where it is not asked for.

    Args:
        earth: As drawn; None where the option has none.
        pools: Those that could be worked out.
        ground: As it is; None where it is in trouble.
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
        shown = [drawn_bank(bank, crest, slope, ground) for bank in banks]
        return make_outer_banks(built, low, high, tuple(one for one in shown if one))
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
    """Where the soil goes.

    Args:
        earth: As entered.
        soil: The site's, a name in the table of soils.
        dig, fill: Bank measure of the cut, and volume of what is built in again: bank, and filling over pipe [m³].
        banks: What is built outside the rim lines, or what is wrong with that; None where it is not asked for.
        berm: The berm on its ground where it has an outline, or what is wrong with that; None where it has none.
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
        made = straight_berm(earth.berm, packed) if berm is None else drawn_berm(earth.berm, packed, berm)
        figures |= made.entries
        if made.drawn:
            figures["heaped"] = (made.drawn, *figures.get("heaped", ()))
        if made.problem:
            return EarthResult(**figures, problems=(made.problem,))
        if made.uses_all:
            return EarthResult(**figures)
        built = figures["berm_volume"].value
    return EarthResult(**figures, **_hauled(earth, soils, built, swell))


def _dug(earth: Earth, subsoil: Entry, topsoil: Entry, swell: Range) -> dict[str, Any]:
    """What is dug, loose, and the machine's time for it; topsoil where there is any."""
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
    """What trucks carry: all that neither banks nor berm use."""
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
    """Swell as entered, or of the soil's row; None where the table has none."""
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
