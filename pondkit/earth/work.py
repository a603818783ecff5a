"""Works out where the soil of the dig goes."""

from dataclasses import dataclass
from typing import Any

from pondkit.document.earth import Berm, Earth
from pondkit.earth import relations as rel
from pondkit.reference.tables import rows_by_name
from pondkit.result import Problem, Result
from pondkit.takeoff import USER, Entry, Range, Words, entry, words
from pondkit.units import LENGTH, VOLUME

KEEP_BACK = Words(
    "Keep spoil, trucks and machine back from the edge of the cut: spoil at least 2 ft (29 CFR 1926 Subpart P, secondary source); "
    "local code and a competent person decide."
)
LEVEL_GROUND = Words("For level ground: a slope under the berm is not counted.")
UPRIGHT_ENDS = Words(
    "Its ends are counted upright: loose soil does not stand so; enter a slope of ends, or hold them by stone."
)
REACHABLE = Words(
    "Leave lids, valves and the pump's plug in reach, and its foot outside the liner's edge: soil over the edge draws water out."
)
SETTLES = Words(
    "A berm settles: compact it in layers. Its weight by an edge, a wall or a neighbour's ground needs an engineer's word."
)
LOADED = Words("Load no truck past its plate, nor past what the road and the way in carry.")


@dataclass(frozen=True, eq=False)
class EarthResult(Result):
    """Volumes of soil. None where there is none of it, or a problem keeps it from being worked out.

    Attributes:
        problems: What could not be worked out, and how to mend it.
    """

    topsoil_bank: Entry | None = None
    topsoil_loose: Entry | None = None
    subsoil_bank: Entry | None = None
    dug_loose: Entry | None = None
    machine_time: Entry | None = None
    left_bank: Entry | None = None
    left_loose: Entry | None = None
    left_compacted: Entry | None = None
    berm_volume: Entry | None = None
    berm_height: Entry | None = None
    berm_height_allowed: Entry | None = None
    berm_base: Entry | None = None
    haul_bank: Entry | None = None
    haul_loose: Entry | None = None
    haul_mass: Entry | None = None
    truck_loads: Entry | None = None
    problems: tuple[Problem, ...] = ()


def work_out(earth: Earth, soil: str, dig: float, fill: float) -> EarthResult:
    """Where the soil goes.

    Args:
        earth: As entered.
        soil: The site's, a name of ``reference/soils.csv``.
        dig, fill: Bank measure of the cut, and volume of what is built in again: bank, and filling over pipe [m³].
    """
    swell = _swell(earth, soil)
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
    dug = entry(
        rel.dug_loose, "", source=USER, subsoil=sub, swell=swell, topsoil=topsoil, topsoil_swell=earth.topsoil_swell
    )
    machine = entry(
        rel.machine_time, "", source=USER, cautions=[KEEP_BACK], dug=dug, bucket=earth.bucket,
        fill_factor=earth.fill_factor, cycle=earth.cycle, efficiency=earth.efficiency,
    )  # fmt: skip
    found: dict[str, Any] = {"subsoil_bank": sub, "dug_loose": dug, "machine_time": machine}
    if topsoil.value > 0:
        heap = entry(rel.loose, "", source=USER, bank=topsoil, swell=earth.topsoil_swell)
        found |= {"topsoil_bank": topsoil, "topsoil_loose": heap}
    left = entry(rel.left_bank, "", source=USER, subsoil=sub, fill=fill, shrink=earth.shrink)
    if left.value < 0:
        given = words("the bank to be built takes {short} more than is dug, as it lies", short=(-left.value, VOLUME))
        mend = words("lower the pools or their rims, or strip less topsoil; else soil must be brought")
        return EarthResult(**found, problems=(Problem(("earth",), given, words("no more than is dug"), mend),))
    packed = entry(rel.compacted, "", source=USER, bank=left, shrink=earth.shrink)
    found |= {
        "left_bank": left,
        "left_loose": entry(rel.loose, "", cautions=[KEEP_BACK], bank=left, swell=swell),
        "left_compacted": packed,
    }
    built = 0.0
    if earth.berm:
        heaped, problem = _heaped(earth.berm, packed)
        found |= heaped
        if problem:
            return EarthResult(**found, problems=(problem,))
        built = heaped["berm_volume"].value
        if earth.berm.height is None and "berm_height_allowed" not in heaped:
            return EarthResult(**found)  # all the spoil is in it
    over = entry(rel.over_bank, "", source=USER, left=left, berm=built, shrink=earth.shrink)
    haul = entry(rel.loose, "", bank=over, swell=swell)
    mass = entry(rel.soil_mass, "", source=USER, bank=over, bank_density=earth.bank_density)
    loads = entry(
        rel.truck_loads, "", source=USER, cautions=[LOADED], haul=haul, truck_volume=earth.truck_volume, mass=mass,
        truck_payload=earth.truck_payload,
    )  # fmt: skip
    return EarthResult(**found, haul_bank=over, haul_loose=haul, haul_mass=mass, truck_loads=loads)


def _heaped(berm: Berm, packed: Entry) -> tuple[dict[str, Entry], Problem | None]:
    """The berm's entries, and what is wrong with it: as entered, or as high as the spoil and what it hides allow."""
    shape = {
        "length": berm.length, "top_width": berm.top_width, "side_slope": berm.side_slope,
        "end_slope": 0.0 if berm.end_slope is None else berm.end_slope, "body": berm.body,
    }  # fmt: skip
    notes = [LEVEL_GROUND, SETTLES, *([UPRIGHT_ENDS] if berm.end_slope is None else [])]
    found: dict[str, Entry] = {}
    most = entry(rel.berm_height, "", source=USER, cautions=notes, berm=packed, **shape)
    height = most.value if berm.height is None else float(berm.height)
    if height > most.value + 1e-9:
        return found, _too_high(berm, most.value)
    if berm.height is None:
        found["berm_height"] = most
    if berm.hidden_rim is not None:
        allowed = entry(
            rel.berm_height_allowed, "", cautions=[REACHABLE], hidden_rim=berm.hidden_rim, rim_margin=berm.rim_margin
        )
        if allowed.value <= 0 or (berm.height is not None and height > allowed.value + 1e-9):
            return found, _buries(berm, height, allowed.value)
        if height > allowed.value or berm.height is not None:
            found["berm_height_allowed"] = allowed  # what it cannot take is hauled
        height = min(height, allowed.value)
    volume = entry(rel.berm_volume, "", source=USER, cautions=notes, height=height, **shape)
    if volume.value <= 0:
        return found, _no_room(berm, volume.value + berm.body)
    found["berm_volume"] = volume
    found["berm_base"] = entry(
        rel.berm_base, "", source=USER, top_width=berm.top_width, side_slope=berm.side_slope, height=height
    )
    return found, None


def _buries(berm: Berm, height: float, allowed: float) -> Problem:
    return Problem(
        ("earth", "berm", "hidden_rim" if berm.height is None else "height"),
        words("a berm {high} high buries the rim of what it hides", high=(height, LENGTH)),
        words("no higher than {allowed}", allowed=(max(allowed, 0.0), LENGTH)),
        words(
            "lower the berm, raise what it hides, or leave its height out to have it solved up to there"
            if allowed > 0
            else "enter a smaller margin, or raise the rim of what it hides"
        ),
    )


def _no_room(berm: Berm, whole: float) -> Problem:
    return Problem(
        ("earth", "berm", "body"),
        words("the body inside takes {body}", body=(float(berm.body), VOLUME)),
        words("less than the berm itself, {whole}", whole=(whole, VOLUME)),
        words("make the berm longer, wider or higher, or the body smaller"),
    )


def _swell(earth: Earth, soil: str) -> Range | None:
    """Swell as entered, or of the soil's row; None where the table has none."""
    if earth.swell is not None:
        own = float(earth.swell)
        return Range(own, own, own, USER)
    row = rows_by_name("swell").get(soil)
    return Range(float(row["low"]), float(row["typical"]), float(row["high"]), row["source"]) if row else None


def _no_swell(soil: str) -> Problem:
    return Problem(
        ("earth", "swell"),
        words(f"no swell is known for '{soil}'"),
        words(f"an own swell, or one of {', '.join(rows_by_name('swell'))} as the site's soil"),
        words("enter an own swell; or name the soil that seeps, and enter the groundwater's level"),
    )


def _too_high(berm: Berm, most: float) -> Problem:
    return Problem(
        ("earth", "berm", "height"),
        words("the spoil does not fill a berm {high} high", high=(float(berm.height or 0.0), LENGTH)),
        words("no higher than {most}", most=(most, LENGTH)),
        words("lower, shorten or narrow the berm, or leave its height out to have it solved"),
    )
