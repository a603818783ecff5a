"""What this trade draws, and the panels that it shows on the page and on paper."""

from pondkit.drawing.panel import Panel, keys
from pondkit.trades.stone.pictures import bearing, slings, stone

PANELS = (
    Panel(
        "Boulder masses",
        "Stone",
        stone.masses,
        stone.alt_masses,
        ("stone",),
        ("stone",),
        keys(
            "boulder_mass boulder_count heaviest_boulder stand_spare boulders_overlapping boulders_on_works "
            "boulders_order edging_count edging_mass stone_order"
        ),
    ),
    Panel(
        "Slings",
        "Stone",
        slings.uses,
        slings.alt_uses,
        ("slings",),
        ("slings",),
        keys("boulders_no_sling sling_to_use sling_use sling_length_needed leg_length sling_rated"),
        300,
    ),
    Panel(
        "Bearing",
        "Stone",
        bearing.pressures,
        bearing.alt_pressures,
        ("bearing",),
        ("bearing",),
        keys(
            "bearing_allowed bearing_use bearing_load contact_pressure bearing_pressure bedding_needed shelf_spare "
            "bed_level bedding_volume bedding_order"
        ),
        300,
    ),
)
BESIDE = {
    "Stone": keys(
        "heaviest_boulder boulder_mass stand_spare sling_to_use boulders_no_sling stone_displaced boulders_order "
        "edging_count edging_order stone_order total_stone_loads"
    ),
}
