"""What this trade draws, and the panels that it shows on the page and on paper."""

from pondkit.drawing.panel import Panel, keys
from pondkit.trades.water.pictures import curves, flows

PANELS = (
    Panel(
        "Pump and lines",
        "Water",
        curves.curves,
        curves.alt_curves,
        ("water",),
        ("water",),
        keys(
            "flow_wanted head_wanted total_flow pump_flow pump_head branch_flow static_head line_velocity "
            "flow_by_pumps flow_without "
            "back_flow pump_power energy_year energy_cost screen_loss_clean screen_loss level_behind_screen "
            "media_loss line_pipe_order line_fitting_order line_valve_order pump_order passage_loss "
            "passage_velocity filter_loss filter_running_level"
        ),
        380,
    ),
    Panel(
        "Flow diagram",
        "Water",
        flows.diagram,
        flows.alt_diagram,
        ("water", "waters"),
        ("water",),
        keys("total_flow branch_flow link_flow turnover pool_turnover"),
        380,
    ),
    Panel(
        "Levels and oxygen",
        "Water",
        flows.profile,
        flows.alt_profile,
        ("water", "waters"),
        ("water",),
        keys(
            "running_level head_over_crest link_drop step_drop channel_slope channel_depth channel_velocity "
            "channel_froude channel_freeboard oxygen_below oxygen_saturation drawdown return_volume "
            "level_after_stop highest_level fall_margin rise_margin"
        ),
        340,
    ),
)
BESIDE = {
    "Water": keys(
        "flow_wanted head_wanted turnover_flow sheet_flow wanted_lift wanted_line_head "
        "total_flow pump_flow pump_head branch_flow line_velocity pump_power energy_year energy_cost flow_without "
        "back_flow screen_area_needed approach_velocity velocity_through_openings intake_cover body_ballast "
        "screen_loss filter_running_level running_level drawdown level_after_stop oxygen_below overflow_rate "
        "smallest_kept time_to_clean_out rise_rate contact_time ammonia_made ammonia_level free_ammonia "
        "feed_carried oxygen_by_night oxygen_by_day turnover pool_turnover storm_flow highest_level outfall_bore "
        "fill_time evaporation evaporation_penman make_up leak dose_pond dose_added line_pipe_order "
        "line_fitting_order"
    ),
}
