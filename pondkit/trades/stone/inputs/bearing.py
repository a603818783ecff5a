"""What the ground under the stones may bear, and how they stand on it."""

from typing import Annotated, ClassVar

from pondkit.core.part import Choice, Length, Part, Pressure, Ratio, ask
from pondkit.core.tables import names

Bears = Annotated[str, Choice(names("trades/stone/bearing"))]


class Bearing(Part):
    title_of_part: ClassVar[str] = "bearing"
    ground: Bears = ask(
        "Ground under the stones", default="clay, silt", help="Undisturbed, as dug; gives the presumptive pressure."
    )
    pressure: Pressure | None = ask(
        "Own allowable pressure",
        "100 psf",
        "50000 psf",
        ("100 psf", "5 kPa"),
        default=None,
        help="In place of the table's, where the ground was tested.",
    )
    contact_low: Ratio = ask(
        "Contact share, low",
        0.05,
        1,
        (0.05, 0.05),
        default=0.3,
        help="Least share of the stone's length times width that touches the ground (from memory, confirm).",
    )
    contact_high: Ratio = ask(
        "Contact share, high",
        0.05,
        1,
        (0.05, 0.05),
        default=0.8,
        help="Greatest share of the stone's length times width that touches the ground (from memory, confirm).",
    )
    set_back: Length = ask(
        "Set-back from a front",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="Ground left between what bears and the front of a shelf (common practice, no source).",
    )
