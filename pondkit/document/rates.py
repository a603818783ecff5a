"""Money per unit: the person's own."""

from typing import Annotated, ClassVar

from pydantic import StringConstraints

from pondkit.document.base import Part, PriceArea, PriceEach, PriceLength, PriceMass, PriceVolume, ask

AREA = (0, "1000 per ft^2", ("0.05 per ft^2", "0.5 per m^2"))
VOLUME = (0, "10000 per yd^3", ("1 per yd^3", "1 per m^3"))
MASS = (0, "10000 per short ton", ("5 per short ton", "5 per tonne"))


class Rates(Part):
    title_of_part: ClassVar[str] = "rates"
    currency: Annotated[str, StringConstraints(min_length=1, max_length=6)] = ask(
        "Currency", default="$", help="Sign or letters put before amounts."
    )
    note: Annotated[str, StringConstraints(max_length=300)] = ask("Note", default="", help="Where the rates come from.")
    dig: PriceVolume | None = ask("Dig", *VOLUME, default=None, help="Per bank volume dug.")
    haul: PriceVolume | None = ask("Haul away", *VOLUME, default=None, help="Per bank volume that leaves the site.")
    liner: PriceArea | None = ask("Liner", *AREA, default=None, help="Per area ordered.")
    underlay: PriceArea | None = ask("Underlay", *AREA, default=None, help="Per area ordered.")
    overlay: PriceArea | None = ask("Overlay", *AREA, default=None, help="Per area ordered.")
    boulders: PriceMass | None = ask("Boulders", *MASS, default=None, help="Per mass ordered.")
    edging: PriceMass | None = ask("Edging", *MASS, default=None, help="Per mass ordered.")
    gravel: PriceVolume | None = ask("Gravel", *VOLUME, default=None, help="Per bulk volume ordered.")
    pipe: PriceLength | None = ask(
        "Pipe", 0, "1000 per ft", ("0.25 per ft", "0.5 per m"), default=None, help="Per length bought."
    )
    fittings: PriceEach | None = ask(
        "Fittings", 0, "5000 each", ("1 each", "1 each"), default=None, help="For one, all kinds alike."
    )
