"""Relations of the soil: bank is as it lies, loose as it is carried, compacted as it is built in."""

from pondkit.core.units import Area, Bulk, Density, Length, Mass, Ratio, Time, Volume


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
