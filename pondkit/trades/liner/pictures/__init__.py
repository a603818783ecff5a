"""What this trade draws, and the panels that it shows on the page and on paper."""

from pondkit.drawing.panel import Panel, keys
from pondkit.trades.liner.pictures import fabric, lining

LAYOUT = Panel(
    "Liner layout",
    "Liner",
    lining.sheet,
    lining.alt_sheet,
    ("sheet", "option.lining.seam_lap", "lining.extras.rim_fold", "tunnels.passes", "option.stone.boulders"),
    ("sheet",),
    keys(
        "liner_length liner_width liner_area liner_length_order liner_width_order liner_area_order liner_waste "
        "liner_mass carriers rule_length rule_width rule_shortfall panel_count seam_length seam_depth plan_cost "
        "rolls_to_buy panel_mass panel_carriers panel_seam_length panel_seam_depth offcut_area "
        "link_strip_length link_strip_width rim_fold trench_edge edge_spare edge_above_soil trench_volume "
        "liner_uplift uplift_pressure gravel_holds stone_holds"
    ),
)
FABRIC = Panel(
    "Fabric by the roll",
    "Liner",
    fabric.cuts,
    fabric.alt_cuts,
    ("lining.fabrics",),
    ("lining.fabrics",),
    keys(
        "underlay_area_order underlay_pad_order underlay_rolls overlay_area_order overlay_pad_order "
        "overlay_rolls fabric_roll_run pads_from_offcuts pads_off_roll fabric_offcut_area fabric_offcut "
        "pad_area burrow_pad_area"
    ),
    320,
)
PANELS = (LAYOUT, FABRIC)
BESIDE = {
    "Liner": keys(
        "liner_length liner_width liner_area_order liner_mass carriers panel_count seam_length seam_depth "
        "rule_shortfall underlay_area_order overlay_area_order"
    ),
}
