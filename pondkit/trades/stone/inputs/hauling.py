"""How stone comes to the site: what loose stone is worth in a truck. The truck itself is that of the earth."""

from typing import ClassVar

from pondkit.core.part import Part, Ratio, ask


class Haul(Part):
    title_of_part: ClassVar[str] = "haul"
    loose_porosity: Ratio = ask(
        "Voids in the truck",
        0.2,
        0.6,
        (0.01, 0.01),
        default=0.4,
        help="Voids over bulk volume of gravel, bedding and edging as tipped (from memory, confirm).",
    )
    loose_porosity_within: Ratio = ask(
        "Voids in the truck within",
        0,
        0.5,
        (0.05, 0.05),
        default=0.1,
        help="May be this share off either way (from memory).",
    )
    bedding_porosity: Ratio = ask(
        "Voids in the bedding",
        0.05,
        0.5,
        (0.01, 0.01),
        default=0.25,
        help="Voids over bulk volume of compacted bedding (from memory, confirm).",
    )
    bedding_porosity_within: Ratio = ask(
        "Voids in the bedding within",
        0,
        0.5,
        (0.05, 0.05),
        default=0.2,
        help="May be this share off either way (from memory).",
    )
