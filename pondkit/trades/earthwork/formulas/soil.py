"""Relations of soil: bank, loose and compacted volumes, loads and machine time."""

import math

from pondkit.core.entry import rounded_up
from pondkit.core.units import Area, Bulk, Count, Density, Length, Mass, Ratio, Time, Volume


def topsoil_bank(strip_area: Area, topsoil: Length) -> Volume:
    """Topsoil over the dig, as it lies.

    Source: geometry
    """
    return strip_area * topsoil


def subsoil_bank(dig: Volume, topsoil: Volume) -> Volume:
    """What is dug under the topsoil, as it lies.

    Source: conservation of volume
    """
    return dig - topsoil


def left_bank(subsoil: Volume, fill: Volume, outer_bank: Volume, shrink: Ratio) -> Volume:
    """Subsoil left when what is built is filled and compacted, as it lay; negative where soil must be brought.

    Source: conservation of mass
    """
    return subsoil - (fill + outer_bank) / (1 - shrink)


def loose(bank: Volume, swell: Ratio) -> Volume:
    """Volume of dug soil in a heap or a truck.

    Source: loose = bank x (1 + swell), the definition of swell
    """
    return bank * (1 + swell)


def left_compacted(subsoil: Volume, fill: Volume, outer_bank: Volume, shrink: Ratio) -> Volume:
    """Subsoil left when what is built is filled and compacted, itself built in and compacted.

    Source: conservation of mass; compacted = bank x (1 - shrink), the definition of shrink

    100 m³ dug, 20 m³ and 10 m³ of banks built, a tenth lost in compaction:

    >>> left_compacted(100, 20, 10, 0.1)
    60.0
    """
    return subsoil * (1 - shrink) - fill - outer_bank


def dug_loose(subsoil: Volume, swell: Ratio, topsoil: Volume, topsoil_swell: Ratio) -> Volume:
    """All that the machine digs, loose: subsoil and topsoil.

    Source: loose = bank x (1 + swell), the definition of swell
    """
    return subsoil * (1 + swell) + topsoil * (1 + topsoil_swell)


def over_bank(subsoil: Volume, fill: Volume, outer_bank: Volume, berm: Volume, shrink: Ratio) -> Volume:
    """Spoil that neither bank nor berm uses, as it lay; nothing where there is less.

    Source: conservation of mass
    """
    return max(subsoil - (fill + outer_bank + berm) / (1 - shrink), 0 * subsoil)


def soil_mass(bank: Volume, bank_density: Density) -> Mass:
    """Mass of soil by its volume as it lay.

    Source: mass = volume x density
    """
    return bank * bank_density


def machine_time(dug: Bulk, bucket: Bulk, fill_factor: Ratio, cycle: Time, efficiency: Ratio, trimming: Ratio) -> Time:
    """Time on the machine for all that is dug, once handled; trimming of shelves and faces is in its high end.

    Source: output = bucket x fill factor / cycle x job efficiency, the usual form of excavator output
    """
    return dug * cycle / (bucket * fill_factor * efficiency) * (1 + trimming)


def truck_loads(haul: Bulk, truck_volume: Bulk, mass: Mass, truck_payload: Mass) -> Count:
    """Loads by the larger of loose volume and mass.

    Working: the larger of haul / truck volume and mass / truck payload, each rounded up
    Source: geometry and the truck's plate: user input
    """
    return float(max(rounded_up(haul / truck_volume), rounded_up(mass / truck_payload)))


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


def pieces_by_both(truck_payload: Mass, high_mass: Mass, truck_volume: Bulk, one_loose: Volume) -> Count:
    """How many tipped stones a load takes.

    Working: the lesser of truck payload / high mass of one and truck volume / loose volume of one, rounded down
    Source: the truck's plate: user input
    """
    return math.floor(min(truck_payload / high_mass, truck_volume / one_loose) + 1e-9)


def volume_per_load(truck_volume: Bulk, truck_payload: Mass, loose_porosity: Ratio, density: Density) -> Volume:
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
