"""Works out where the soil of the dig goes."""

import math
from dataclasses import dataclass
from typing import Any

from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import VOLUME
from pondkit.geometry.mound import Heaped
from pondkit.trades.earthwork import relations as rel
from pondkit.trades.earthwork.berms import Banks, BermDrawn, drawn_berm, straight_berm
from pondkit.trades.earthwork.cautions import KEEP_BACK, SOIL_MAY_LACK, TRUCK_PLATE
from pondkit.trades.earthwork.inputs.earth import Earth


@dataclass(frozen=True, eq=False)
class EarthResult(Result):
    """Volumes of soil. None where there is none of it, or a problem keeps it from being worked out.

    Attributes:
        heaped: The berm and the banks outside the rim lines as they are drawn; a berm without an outline has no place.
        problems: What could not be worked out, and how to mend it.
    """

    topsoil_bank: Entry | None = None
    topsoil_loose: Entry | None = None
    subsoil_bank: Entry | None = None
    dug_loose: Entry | None = None
    machine_time: Entry | None = None
    outer_bank_volume: tuple[Entry, ...] = ()
    total_outer_bank: Entry | None = None
    left_bank: Entry | None = None
    left_loose: Entry | None = None
    left_compacted: Entry | None = None
    berm_volume: Entry | None = None
    berm_height: Entry | None = None
    berm_height_allowed: Entry | None = None
    berm_base: Entry | None = None
    berm_top: Entry | None = None
    berm_top_allowed: Entry | None = None
    berm_area: Entry | None = None
    berm_toe_clearance: tuple[Entry, ...] = ()
    haul_bank: Entry | None = None
    haul_loose: Entry | None = None
    haul_mass: Entry | None = None
    truck_loads: Entry | None = None
    heaped: tuple[Heaped, ...] = ()
    problems: tuple[Problem, ...] = ()


@remembered
def work_out(
    earth: Earth, soil: str, dig: float, fill: float, banks: Banks | Problem | None, berm: BermDrawn | Problem | None
) -> EarthResult:
    """Where the soil goes.

    Args:
        earth: As entered.
        soil: The site's, a name of ``reference/soils.csv``.
        dig, fill: Bank measure of the cut, and volume of what is built in again: bank, and filling over pipe [m³].
        banks: What is built outside the rim lines, or what is wrong with that; None where it is not asked for.
        berm: The berm on its ground where it has an outline, or what is wrong with that; None where it has none.
    """
    swell = _swell(earth, soil)
    topsoil_swell = within(earth.topsoil_swell, earth.topsoil_swell_within)
    topsoil = entry(rel.topsoil_bank, "", source=USER, strip_area=earth.strip_area, topsoil=earth.topsoil)
    if swell is None:
        return EarthResult(problems=(_no_swell(soil),))
    if topsoil.value > dig:
        given = words("{topsoil} of topsoil", topsoil=(topsoil.value, VOLUME))
        allowed = words("no more than the dig, {dig}", dig=(dig, VOLUME))
        return EarthResult(
            problems=(Problem(("earth", "strip_area"), given, allowed, words("strip less area or depth")),)
        )
    sub = entry(rel.subsoil_bank, "", dig=dig, topsoil=topsoil)
    dug = entry(rel.dug_loose, "", source=USER, subsoil=sub, swell=swell, topsoil=topsoil, topsoil_swell=topsoil_swell)
    found: dict[str, Any] = {"subsoil_bank": sub, "dug_loose": dug, "machine_time": _machine(earth, dug)}
    if topsoil.value > 0:
        heap = entry(rel.loose, "", source=USER, bank=topsoil, swell=topsoil_swell)
        found |= {"topsoil_bank": topsoil, "topsoil_loose": heap}
    if isinstance(banks, Problem):
        return EarthResult(**found, problems=(banks,))
    outer: Entry | float = 0.0
    if banks:
        found |= banks.entries()
        found["heaped"] = banks.drawn
        outer = found["total_outer_bank"]
    shrink = within(earth.shrink, earth.shrink_within)
    soils: dict[str, Any] = {"subsoil": sub, "fill": fill, "outer_bank": outer, "shrink": shrink}
    left = entry(rel.left_bank, "", source=USER, **soils)
    if left.value < 0:
        given = words("the bank to be built takes {short} more than is dug, as it lies", short=(-left.value, VOLUME))
        mend = words("lower the pools or their rims, or strip less topsoil; else soil must be brought")
        return EarthResult(**found, problems=(Problem(("earth",), given, words("no more than is dug"), mend),))
    left = with_cautions(left, *SOIL_MAY_LACK.where(left.least, left.value, left.most, short=(-left.least, VOLUME)))
    packed = entry(rel.left_compacted, "", source=USER, **soils)
    found |= {
        "left_bank": left,
        "left_loose": entry(rel.loose, "", cautions=[KEEP_BACK()], bank=left, swell=swell),
        "left_compacted": packed,
    }
    built = 0.0
    if earth.berm:
        if isinstance(berm, Problem):
            return EarthResult(**found, problems=(berm,))
        made = straight_berm(earth.berm, packed) if berm is None else drawn_berm(earth.berm, packed, berm)
        found |= made.entries
        if made.drawn:
            found["heaped"] = (made.drawn, *found.get("heaped", ()))
        if made.problem:
            return EarthResult(**found, problems=(made.problem,))
        if made.uses_all:
            return EarthResult(**found)
        built = found["berm_volume"].value
    over = entry(rel.over_bank, "", source=USER, **soils, berm=built)
    haul = entry(rel.loose, "", bank=over, swell=swell)
    density = within(earth.bank_density, earth.bank_density_within)
    mass = entry(rel.soil_mass, "", source=USER, bank=over, bank_density=density)
    loads = entry(
        rel.truck_loads, "", source=USER, cautions=[TRUCK_PLATE()], haul=haul, truck_volume=earth.truck_volume, mass=mass,
        truck_payload=earth.truck_payload,
    )  # fmt: skip
    return EarthResult(**found, haul_bank=over, haul_loose=haul, haul_mass=mass, truck_loads=loads)


def _machine(earth: Earth, dug: Entry) -> Entry:
    return entry(
        rel.machine_time, "", source=USER, cautions=[KEEP_BACK()], dug=dug, bucket=earth.bucket,
        fill_factor=within(earth.fill_factor, earth.fill_factor_within), cycle=within(earth.cycle, earth.cycle_within),
        efficiency=within(earth.efficiency, earth.efficiency_within, most=1.0),
        trimming=Range(0.0, 0.0, float(earth.trimming), USER),
    )  # fmt: skip


def within(value: float, share: float, most: float = math.inf) -> Range:
    """An input that may be a share off either way, and no more than ``most``."""
    return Range(float(value) * (1 - share), float(value), min(float(value) * (1 + share), most), USER)


def _swell(earth: Earth, soil: str) -> Range | None:
    """Swell as entered, or of the soil's row; None where the table has none."""
    if earth.swell is not None:
        return within(earth.swell, earth.swell_within)
    row = rows_by_name("trades/earthwork/swell").get(soil)
    return Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"]) if row else None


def _no_swell(soil: str) -> Problem:
    return Problem(
        ("earth", "swell"),
        words(f"no swell is known for '{soil}'"),
        words(f"an own swell, or one of {', '.join(rows_by_name('trades/earthwork/swell'))} as the site's soil"),
        words("enter an own swell; or name the soil that seeps, and enter the groundwater's level"),
    )
