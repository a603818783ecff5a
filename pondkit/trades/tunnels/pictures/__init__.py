"""What this trade draws, and the panels that it shows on the page and on paper."""

from pondkit.drawing.panel import Panel, keys
from pondkit.trades.tunnels.pictures import long_section, plan

PANELS = (
    Panel(
        "Tunnels from the side",
        "Tunnels",
        long_section.long_section,
        long_section.alt_long_section,
        ("tunnels", "option.tunnels.nodes", "pools"),
        ("tunnels",),
        keys(
            "run_length run_slope cut_length mouth_depth den_floor_above_water run_in_water run_in_ground "
            "penetration_depth penetration_size flooded_pipe_volume vessel_length joint_below_seal_line run_filled "
            "fall_to_pool air_pocket water_trap den_above_highest den_air den_lid_cover den_ballast "
            "pipe_cover_spare pipe_ballast pipe_trench_volume den_pit_volume trench_dig_volume backfill_volume "
            "flush_branch_flow flush_branch_velocity flush_velocity open_mouth_flow open_velocity flush_time "
            "flush_flow_needed unswept_length rod_bends"
        ),
        330,
    ),
    Panel(
        "Tunnels from above",
        "Tunnels",
        plan.plan,
        plan.alt_plan,
        ("tunnels", "pools"),
        ("tunnels",),
        keys(
            "fitting_count pipe_length tunnel_volume penetration_count sealed_joint_count clear_bore longest_swim "
            "blocked_swim line_move node_moved sharpest_bend tightest_branch"
        ),
        330,
    ),
    Panel(
        "Pipe to cut",
        "Tunnels",
        plan.cuts,
        plan.alt_cuts,
        ("tunnels",),
        ("tunnels",),
        ("pipe_lengths_to_buy", "pipe_length_order", "offcut_length"),
        260,
    ),
)
BESIDE = {
    "Tunnels": keys(
        "mouth_depth den_floor_above_water cut_length pipe_length_order fitting_count penetration_count "
        "sealed_joint_count longest_swim fall_to_pool tunnel_volume"
    ),
}
