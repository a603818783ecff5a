"""Relations of what holds water outside the liner."""

from pondkit.core.entry import holds
from pondkit.core.units import Length
from pondkit.trades.tunnels import cautions as warn


@holds(lambda length_below: length_below <= 0, warn.VESSEL_TESTED)
def vessel_length(length_below: Length) -> Length:
    """Length of a run outside the liner of which some of the pipe lies below the seal line: it holds the pool's water.

    Source: geometry: outside every liner, the pipe's underside below the highest water and the margin (your own rule)
    """
    return length_below


@holds(
    lambda water_level, water_rise, seal_margin, joint_level, outside_diameter: (
        water_level + water_rise + seal_margin <= joint_level - outside_diameter / 2
    ),
    warn.WATERTIGHT_JOINT,
)
def joint_below_seal_line(
    water_level: Length, water_rise: Length, seal_margin: Length, joint_level: Length, outside_diameter: Length
) -> Length:
    """How far the underside of a joint, gate or chamber lies below the highest water and its margin; negative above.

    Source: geometry; the margin: your own rule
    """
    return water_level + water_rise + seal_margin - (joint_level - outside_diameter / 2)
