"""Keys of the figures that stand beside the plan while a trade's controls are on show."""


def keys(names: str) -> tuple[str, ...]:
    """Keys of the takeoff, written as one text with blanks between."""
    return tuple(names.split())


BESIDE = {
    "Pools": keys(
        "total_net_volume total_surface_area surface_area max_depth net_volume zone_area zone_volume "
        "area_over_limit dig_depth"
    ),
    "Links": keys(
        "link_flow head_over_crest flow_per_width link_drop step_drop channel_depth channel_velocity "
        "channel_freeboard oxygen_below running_level total_net_volume total_surface_area max_depth "
        "rim_above_ground"
    ),
    "Dig": keys(
        "liner_spare_as_dug liner_length_as_dug liner_width_as_dug volume_as_dug height_of_instrument cut_to_level "
        "rod_dig rod_finished dig_level finished_level"
    ),
    "Earth": keys(
        "dig_volume topsoil_bank topsoil_loose subsoil_bank dug_loose total_outer_bank left_bank left_loose "
        "left_compacted berm_height berm_height_allowed berm_top berm_top_allowed berm_toe_clearance berm_volume "
        "berm_base haul_bank haul_loose haul_mass truck_loads machine_time"
    ),
    "Liner": keys(
        "liner_length liner_width liner_area_order liner_mass carriers panel_count seam_length seam_depth "
        "rule_shortfall underlay_area_order overlay_area_order"
    ),
    "Stone": keys(
        "heaviest_boulder boulder_mass stand_spare sling_to_use boulders_no_sling stone_displaced boulders_order "
        "edging_count edging_order stone_order total_stone_loads"
    ),
    "Lifting": keys(
        "boulders_not_lifted heaviest_boulder lift_turn lift_radius pick_use swing_use place_use set_back_spare "
        "way_out_stones"
    ),
    "Walls": keys("walls_unsafe wall_height wall_overturning wall_sliding wall_eccentricity toe_pressure"),
    "Tunnels": keys(
        "mouth_depth den_floor_above_water cut_length pipe_length_order fitting_count penetration_count "
        "sealed_joint_count longest_swim fall_to_pool tunnel_volume"
    ),
    "Water": keys(
        "total_flow pump_flow pump_head branch_flow line_velocity pump_power energy_year energy_cost flow_without "
        "back_flow screen_area_needed approach_velocity velocity_through_openings intake_cover body_ballast "
        "screen_loss filter_running_level running_level drawdown level_after_stop oxygen_below overflow_rate "
        "smallest_kept time_to_clean_out rise_rate contact_time ammonia_made ammonia_level free_ammonia "
        "feed_carried oxygen_by_night oxygen_by_day turnover pool_turnover storm_flow highest_level outfall_bore "
        "fill_time evaporation evaporation_penman make_up leak dose_pond dose_added line_pipe_order "
        "line_fitting_order"
    ),
    "Animals": keys("demands_failed demand_bore demand_swim demand_ways_out demand_entrance demand_dry demand_depth"),
    "Rates": keys("total_price contingency own_contingency price line_amount total_labour_time total_machine_time"),
    "Site": keys(
        "dig_volume fill_volume spoil_volume dig_depth steepest_dig_face edge_set_back rim_above_ground "
        "outside_survey misclosure keep_outs_entered way_spare way_stone_width area_over_limit"
    ),
}
