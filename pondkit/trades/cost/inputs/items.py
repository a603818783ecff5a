"""What a price list can name: the quantities that are bought, dug, carried or worked, each by its net figure.

A key that ends as an order does is one of them unasked, so that a new trade's goods can be priced without a row here.
"""

from functools import cache

from pondkit.core import tables
from pondkit.core.units import AREA, BULK, COUNT, LENGTH, MASS, TIME, VOLUME, Kind, UnitError, factor

ORDER_ENDS = ("_order", "_to_buy", "_rolls")  # a key that ends so is something to order
WHOLE_ENDS = ("_to_buy", "_rolls", "_loads")  # counts made of what holds its laps, offcuts and rounding already
ALSO_ORDERED = ("total_gravel_volume", "fitting_count", "boulder_count", "edging_count")
NAMED = (
    "fitting_count",
    "pipe_length",
    "pipe_lengths_to_buy",
    "rolls_to_buy",
    "boulder_count",
    "line_pipe",
    "line_fitting_order",
    "line_valve_order",
    "pump_order",
    "body_order",
    "lid_order",
    "den_order",
    "den_lid_order",
)  # each priced by its name
# What is named one by one where it has no price: "lid of {}" with the name of each.
BY_NAME = {
    "body_order": "{}",
    "lid_order": "lid of {}",
    "den_order": "den {}",
    "den_lid_order": "lid of den {}",
    "pump_order": "pump {}",
}
SUMS = ("total_", "stone_order")  # what adds up other lines of the order
WORKED = (
    "dig_volume",
    "fill_volume",
    "spoil_volume",
    "topsoil_bank",
    "left_loose",
    "berm_volume",
    "trench_volume",
    "haul_bank",
    "haul_loose",
    "haul_mass",
    "truck_loads",
    "total_stone_loads",
    "seam_length",
    "pad_area",
    "link_strip_area",
    "penetration_count",
    "sealed_joint_count",
    "media_volume",
    "total_surface_area",
    "total_net_volume",
)
# Which items a rate of the same name stands for: a line for one of them takes the rate's place.
FAMILIES: dict[str, tuple[str, ...]] = {
    "dig": ("dig_volume",),
    "haul": ("haul_bank", "haul_loose", "haul_mass", "truck_loads", "spoil_volume"),
    "liner": ("liner_area", "liner_length", "liner_width", "rolls_to_buy"),
    "underlay": ("underlay_area", "underlay_rolls"),
    "overlay": ("overlay_area", "overlay_rolls"),
    "boulders": ("boulders_order", "boulder_count"),
    "edging": ("edging_order", "edging_count"),
    "wall_stone": ("wall_stone_order",),
    "crushed": ("seat_volume",),
    "pipe_bedding": ("pipe_bedding_volume",),
    "gravel": ("total_gravel_volume",),
    "pipe": ("pipe_length", "pipe_lengths_to_buy"),
    "fittings": ("fitting_count",),
}
# The figure of the takeoff that each rate is for; of several the first that the option has.
RATED: dict[str, tuple[str, ...]] = {
    "dig": ("dig_volume",),
    "haul": ("haul_bank", "spoil_volume"),
    "liner": ("total_liner_order",),
    "underlay": ("total_underlay_order",),
    "overlay": ("total_overlay_order",),
    "boulders": ("boulders_order",),
    "edging": ("edging_order",),
    "wall_stone": ("total_wall_stone_order",),
    "crushed": ("seat_order",),
    "pipe_bedding": ("pipe_bedding_order",),
    "gravel": ("total_gravel_volume",),
    "pipe": ("total_pipe_order",),
    "fittings": ("total_fitting_count",),
    "machine": ("machine_time",),
}
BY_ROLL = "rolls_to_buy"  # of liner; each kind of roll has a price of its own
TOTALS = {
    "total_liner_order": "liner_area",
    "total_underlay_order": "underlay_area",
    "total_overlay_order": "overlay_area",
    "underlay_pad_order": "underlay_area",
    "seat_order": "seat_volume",
    "pipe_bedding_order": "pipe_bedding_volume",
    "total_wall_stone_order": "wall_stone_order",
    "overlay_pad_order": "overlay_area",
    "total_pipe_order": "pipe_length",
    "total_fitting_count": "fitting_count",
}
UNITS = (
    "each",
    "in",
    "ft",
    "yd",
    "cm",
    "m",
    "ft^2",
    "yd^2",
    "m^2",
    "ft^3",
    "yd^3",
    "US gal",
    "L",
    "m^3",
    "lb",
    "short ton",
    "long ton",
    "kg",
    "tonne",
)
LIQUID = ("US gal", "L")


def ordered(key: str) -> bool:
    """True for a figure that is something to order."""
    return key in ALSO_ORDERED or (key.endswith(ORDER_ENDS) and not key.startswith(SUMS))


def is_goods(item: str) -> bool:
    """True for an item that is bought by the order list, and so at its high figure where the order takes that."""
    return ordered(item) or bool(orders_of(item))


def net_key(key: str) -> str:
    """The figure that a key is priced by: an order's own net, where the table of words has one, so that waste is never
    added twice.
    """
    bare = key.removesuffix("_order")
    return TOTALS.get(key) or (bare if bare in tables.figure_words() else key)


@cache
def orders_of(item: str) -> tuple[str, ...]:
    """Keys of what is ordered that an item is the net figure of."""
    return tuple(key for key in tables.figure_words() if ordered(key) and key != item and net_key(key) == item)


@cache
def items() -> dict[str, str]:
    """Keys that a price list can name, with their labels, in the order of the table of words."""
    rows = tables.figure_words()
    found = {net_key(key) if ordered(key) else key for key in rows if ordered(key) or key in WORKED}
    return {key: row["label"] for key, row in rows.items() if key in found}


@cache
def item_kind(item: str) -> Kind:
    """Kind of quantity of an item, by the unit that the table of words shows it in."""
    unit = tables.figure_words()[item]["us"]
    return next((kind for kind in (LENGTH, AREA, BULK, MASS, TIME) if unit and _fits(unit, kind)), COUNT)


@cache
def units_of(item: str) -> tuple[str, ...]:
    """Units that an item can be priced in."""
    kind = item_kind(item)
    return ("each",) if kind is COUNT else tuple(unit for unit in UNITS[1:] if _fits(unit, kind))


def kind_by(item: str, unit: str) -> Kind:
    """Kind in which an item is shown beside its price: a volume sold by the gallon or litre as a liquid is."""
    return VOLUME if unit in LIQUID else item_kind(item)


def _fits(unit: str, kind: Kind) -> bool:
    try:
        return factor(unit, kind) > 0
    except UnitError:
        return False
