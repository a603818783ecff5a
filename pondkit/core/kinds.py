"""Kinds of quantity: the SI unit of floats of each, how a person may write one, and the units in which it is shown."""

from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_origin


@dataclass(frozen=True)
class Kind:
    """A kind of quantity.

    Attributes:
        name: Its name with the article, for messages ("a length").
        si: SI unit of its floats, as pint writes it.
        example: How a person may write one.
        bare: Unit of a bare number in a file, by system.
        ladder: Units in which it is shown, as (least SI magnitude, unit) from small to large, by system.
    """

    name: str
    si: str
    example: str
    bare: dict[str, str]
    ladder: dict[str, tuple[tuple[float, str], ...]]

    def __hash__(self) -> int:
        return hash((self.name, self.si))

    @property
    def plain(self) -> bool:
        """True for kinds that are plain numbers in JSON: ratios, some shares, counts, degrees."""
        return not self.bare


def _kind(name: str, si: str, example: str, us_unit: str = "", si_unit: str = "", **ladder: Any) -> Kind:
    bare = {"us": us_unit, "si": si_unit} if us_unit else {}
    steps = {"us": ladder.get("us", ((0.0, us_unit),)), "si": ladder.get("metric", ((0.0, si_unit),))}
    return Kind(name, si, example, bare, steps)


LENGTH = _kind(
    "a length",
    "m",
    "'30 in', '2 ft 6 in' or '0.6 m'",
    "ft",
    "m",
    us=((0.0, "mil"), (0.00254, "in"), (0.9144, "ft")),
    metric=((0.0, "mm"), (0.01, "cm"), (1.0, "m")),
)
AREA = _kind("an area", "m^2", "'120 ft^2' or '11 m^2'", "ft^2", "m^2")
VOLUME = _kind(
    "a volume",
    "m^3",
    "'300 gal' or '1.2 m^3'",
    "ft^3",
    "m^3",
    us=((0.0, "gal"), (10.0, "yd^3")),
    metric=((0.0, "L"), (1.0, "m^3")),
)
BULK = _kind(
    "a volume", "m^3", "'3 yd^3' or '2 m^3'", "yd^3", "m^3"
)  # bulk goods and excavation: shown so at every size
MASS = _kind(
    "a mass",
    "kg",
    "'150 lb' or '70 kg'",
    "lb",
    "kg",
    us=((0.0, "lb"), (4535.0, "short ton")),
    metric=((0.0, "kg"), (5000.0, "tonne")),
)
DENSITY = _kind("a density", "kg/m^3", "'165 lb/ft^3' or '2650 kg/m^3'", "lb/ft^3", "kg/m^3")
AREAL_MASS = _kind("a mass per area", "kg/m^2", "'12 oz/yd^2' or '400 g/m^2'", "oz/yd^2", "g/m^2")
RATIO = _kind("a plain number", "1", "0.5")
SHARE = _kind("a share in per cent", "1", "'80 %'", "%", "%")
# One that is a plain number in a file, 0.8, and is shown as the others are, as 80 %.
PORTION = _kind("a share", "1", "'80 %' or 0.8", us=((0.0, "%"),), metric=((0.0, "%"),))
COUNT = _kind("a whole number", "1", "3")
ANGLE = _kind("an angle in degrees", "deg", "45", us=((0.0, "°"),), metric=((0.0, "°"),))
MONEY = _kind("an amount of money", "1", "120")
PRICE_LENGTH = _kind("a price per length", "1/m", "'3.20 per ft'", "per ft", "per m")
PRICE_AREA = _kind("a price per area", "1/m^2", "'1.10 per ft^2'", "per ft^2", "per m^2")
PRICE_VOLUME = _kind("a price per volume", "1/m^3", "'45 per yd^3'", "per yd^3", "per m^3")
PRICE_MASS = _kind("a price per mass", "1/kg", "'180 per short ton'", "per short ton", "per tonne")
PRICE_EACH = _kind("a price for one", "1", "'12.50 each'", "each", "each")
PRICE_TIME = _kind("a price per time", "1/s", "'45 per h'", "per h", "per h")
PRICE_ENERGY = _kind("a price per energy", "1/J", "'0.15 per kWh'", "per kWh", "per kWh")
FLOW = _kind(
    "a flow",
    "m^3/s",
    "'40 gal/min', '9 m^3/h' or '150 L/min'",
    "gal/min",
    "L/min",
    us=((0.0, "gal/day"), (1e-6, "gal/min")),
    metric=((0.0, "L/day"), (1e-6, "L/min"), (0.005, "m^3/h")),
)
SPEED = _kind(
    "a speed",
    "m/s",
    "'2 ft/s', '1 in/h' or '0.6 m/s'",
    "ft/s",
    "m/s",
    us=((0.0, "in/day"), (1e-6, "in/h"), (1e-4, "ft/s")),
    metric=((0.0, "mm/day"), (1e-6, "mm/h"), (1e-4, "mm/s"), (0.01, "m/s")),
)
ACCELERATION = _kind("an acceleration", "m/s^2", "'9.80665 m/s^2'", "ft/s^2", "m/s^2")
VISCOSITY = _kind("a kinematic viscosity", "m^2/s", "'1 mm^2/s'", "ft^2/s", "mm^2/s", us=((0.0, "mm^2/s"),))
TIME = _kind(
    "a time",
    "s",
    "'90 min', '6 h' or '2 day'",
    "h",
    "h",
    us=((0.0, "s"), (120.0, "min"), (7200.0, "h"), (172800.0, "day")),
    metric=((0.0, "s"), (120.0, "min"), (7200.0, "h"), (172800.0, "day")),
)
POWER = _kind(
    "a power",
    "W",
    "'180 W' or '0.25 hp'",
    "W",
    "W",
    us=((0.0, "W"), (2000.0, "kW")),
    metric=((0.0, "W"), (2000.0, "kW")),
)
ENERGY = _kind("an energy", "J", "'12 kWh'", "kWh", "kWh")
FLOW_PER_WIDTH = _kind("a flow per width", "m^2/s", "'20 gal/min/ft'", "gal/min/ft", "L/min/m")
PRESSURE = _kind("a pressure", "Pa", "'1500 psf' or '72 kPa'", "psf", "kPa")
HEAT_FLUX = _kind("a power per area", "W/m^2", "'150 W/m^2'", "W/m^2", "W/m^2")
HEAT_PER_MASS = _kind("a heat per mass", "J/kg", "'2450 kJ/kg'", "kJ/kg", "kJ/kg")
FORCE = _kind("a force", "N", "'400 lbf' or '1.8 kN'", "lbf", "kN")
THRUST = _kind("a force per length", "N/m", "'400 lbf/ft' or '6 kN/m'", "lbf/ft", "kN/m")
MASS_RATE = _kind(
    "a mass per time",
    "kg/s",
    "'2 oz/day', '0.2 lb/day' or '80 g/day'",
    "lb/day",
    "g/day",
    metric=((0.0, "g/day"), (1e-4, "kg/day")),
)
AREAL_RATE = _kind("a mass per area and time", "kg/m^2/s", "'0.5 g/m^2/day'", "g/ft^2/day", "g/m^2/day")
SPECIFIC_AREA = _kind("an area per volume", "1/m", "'60 ft^2/ft^3' or '200 m^2/m^3'", "ft^2/ft^3", "m^2/m^3")
CONCENTRATION = _kind("a concentration", "kg/m^3", "'6 mg/L'", "mg/L", "mg/L")
TEMPERATURE = _kind("a temperature", "degC", "'68 °F' or '20 °C'", "°F", "°C")

Length = Annotated[float, LENGTH]
Area = Annotated[float, AREA]
Volume = Annotated[float, VOLUME]
Bulk = Annotated[float, BULK]
Mass = Annotated[float, MASS]
Density = Annotated[float, DENSITY]
ArealMass = Annotated[float, AREAL_MASS]
Ratio = Annotated[float, RATIO]
Share = Annotated[float, SHARE]
Count = Annotated[float, COUNT]
Angle = Annotated[float, ANGLE]
Money = Annotated[float, MONEY]
PriceLength = Annotated[float, PRICE_LENGTH]
PriceArea = Annotated[float, PRICE_AREA]
PriceVolume = Annotated[float, PRICE_VOLUME]
PriceMass = Annotated[float, PRICE_MASS]
PriceEach = Annotated[float, PRICE_EACH]
PriceTime = Annotated[float, PRICE_TIME]
PriceEnergy = Annotated[float, PRICE_ENERGY]
Flow = Annotated[float, FLOW]
Speed = Annotated[float, SPEED]
Acceleration = Annotated[float, ACCELERATION]
Viscosity = Annotated[float, VISCOSITY]
Time = Annotated[float, TIME]
Power = Annotated[float, POWER]
Energy = Annotated[float, ENERGY]
FlowPerWidth = Annotated[float, FLOW_PER_WIDTH]
HeatFlux = Annotated[float, HEAT_FLUX]
HeatPerMass = Annotated[float, HEAT_PER_MASS]
Force = Annotated[float, FORCE]
Thrust = Annotated[float, THRUST]
Pressure = Annotated[float, PRESSURE]
MassRate = Annotated[float, MASS_RATE]
ArealRate = Annotated[float, AREAL_RATE]
SpecificArea = Annotated[float, SPECIFIC_AREA]
Concentration = Annotated[float, CONCENTRATION]
Temperature = Annotated[float, TEMPERATURE]

KINDS = (
    LENGTH,
    AREA,
    VOLUME,
    BULK,
    MASS,
    DENSITY,
    AREAL_MASS,
    RATIO,
    SHARE,
    PORTION,
    COUNT,
    ANGLE,
    MONEY,
    PRICE_LENGTH,
    PRICE_AREA,
    PRICE_VOLUME,
    PRICE_MASS,
    PRICE_EACH,
    PRICE_TIME,
    PRICE_ENERGY,
    FLOW,
    SPEED,
    ACCELERATION,
    VISCOSITY,
    TIME,
    POWER,
    ENERGY,
    FLOW_PER_WIDTH,
    PRESSURE,
    HEAT_FLUX,
    HEAT_PER_MASS,
    FORCE,
    THRUST,
    MASS_RATE,
    AREAL_RATE,
    SPECIFIC_AREA,
    CONCENTRATION,
    TEMPERATURE,
)

# Smaller values, in SI, count as zero: 0.1 mm, 0.1 l, 1 g, half a cent.
TOLERANCE: dict[Kind, float] = {LENGTH: 1e-4, VOLUME: 1e-4, BULK: 1e-4, MASS: 1e-3, MONEY: 0.005}


def nothing(value: float, kind: Kind) -> bool:
    """True for a value that counts as zero: 0, or smaller than the tolerance of its kind."""
    return abs(value) < TOLERANCE.get(kind, 0.0) or value == 0


def kind_of(annotation: Any) -> Kind | None:
    """The kind in an annotation such as ``Length``, ``tuple[Length, ...]`` or ``Length | None``; None
    if there is none.
    """
    if isinstance(annotation, Kind):
        return annotation
    if get_origin(annotation) is Annotated or get_origin(annotation) is not None:
        for arg in get_args(annotation):
            if kind := kind_of(arg):
                return kind
    return None
