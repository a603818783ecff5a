"""Where soil and stone go: soil balance, and stone by class as it is hauled."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.mound import Heaped


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


@dataclass(frozen=True, eq=False)
class StoneClass(Result):
    """One class of stone. Subject is the boulder's or wall's name, "pool / seat" of edging, or what it is.

    Loads are None without a truck, and where one stone alone is more than the truck takes.

    Attributes:
        count: How many stones; None where they are not counted.
    """

    count: float | None
    delivery_turn: Entry
    class_mass: Entry
    loose_volume: Entry | None
    pieces_per_load: Entry | None
    volume_per_load: Entry | None
    stone_loads: Entry | None


@dataclass(frozen=True, eq=False)
class HaulResult(Result):
    """The stone of an option as it comes: classes in the order in which they are set.

    ``total_stone_loads`` is None where the loads of a class are not known.
    """

    classes: tuple[StoneClass, ...]
    total_stone_loads: Entry | None
