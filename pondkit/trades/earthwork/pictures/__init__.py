"""What this trade draws, and the panels that it shows on the page and on paper."""

from pondkit.drawing.frame import Panel, keys
from pondkit.trades.earthwork.pictures import excavation, levels, setting_out

AS_BUILT = Panel(
    "As-built survey",
    "Dig",
    excavation.as_built_plan,
    excavation.alt_as_built,
    ("dig.as_built", "pools", "option.dig.floor_within", "span"),
    ("dig.as_built",),
    keys(
        "liner_spare_as_dug liner_length_as_dug liner_width_as_dug line_as_dug volume_as_dug wetted_as_dug "
        "dug_difference"
    ),
    420,
)
CUT_FILL = Panel(
    "Cut and fill",
    "Earth",
    excavation.cut_fill,
    excavation.alt_cut_fill,
    ("pools", "works", "excavation.cuts", "ground", "span"),
    ("option.name", "pools", "excavation", "earthwork.dig_volume", "earthwork.fill_volume"),
    keys(
        "dig_volume pool_dig_volume fill_volume rim_above_ground dig_depth steepest_dig_face edge_set_back "
        "body_hole_volume footing_volume link_dig_volume link_bank_volume total_link_bank link_line_length "
        "seat_volume body_ballast seat_order pipe_bedding_volume pipe_bedding_order trench_dig_volume "
        "backfill_volume spoil_volume outer_bank_volume total_outer_bank berm_volume berm_height berm_top "
        "berm_top_allowed berm_area berm_toe_clearance"
    ),
    420,
)
SETTING_OUT = Panel(
    "Setting out",
    "Dig",
    setting_out.plan,
    setting_out.alt_plan,
    ("dig.setting_out",),
    ("dig.setting_out",),
    ("baseline_length", "not_by_tapes", "mark_count", "mark_length"),
    520,
    csv=("Setting out (CSV)", setting_out.setting_out_csv),
)
PANELS = (
    Panel(
        "Levels to dig by",
        "Dig",
        levels.levels,
        levels.alt_levels,
        ("dig.levels",),
        ("dig.levels",),
        ("height_of_instrument", "cut_to_level"),
        480,
    ),
    SETTING_OUT,
    AS_BUILT,
    CUT_FILL,
    Panel(
        "Stone by the load",
        "Stone",
        excavation.loads,
        excavation.alt_loads,
        ("haul",),
        ("haul",),
        keys("total_stone_loads delivery_turn class_mass loose_volume pieces_per_load volume_per_load stone_loads"),
        340,
    ),
)
BESIDE = {
    "Dig": keys(
        "liner_spare_as_dug liner_length_as_dug liner_width_as_dug volume_as_dug height_of_instrument cut_to_level "
        "rod_dig rod_finished dig_level finished_level"
    ),
    "Earth": keys(
        "dig_volume topsoil_bank topsoil_loose subsoil_bank dug_loose total_outer_bank left_bank left_loose "
        "left_compacted berm_height berm_height_allowed berm_top berm_top_allowed berm_toe_clearance berm_volume "
        "berm_base haul_bank haul_loose haul_mass truck_loads machine_time"
    ),
}
