"""Where pictures and figures stand on the page: one row per panel. A new picture of a trade is a new row here."""

from collections.abc import Callable
from dataclasses import dataclass

from pondkit.core.units import System
from pondkit.drawing.frame import Figure
from pondkit.page.beside import keys
from pondkit.report import plan as plan_view
from pondkit.report import section as section_view
from pondkit.report import site_plan as site_plan_view
from pondkit.report import works as works_view
from pondkit.study.evaluate import OptionResult, Results
from pondkit.trades.animals import pictures as animals_view
from pondkit.trades.earthwork.pictures import haul as haul_view
from pondkit.trades.earthwork.pictures import levels as levels_view
from pondkit.trades.earthwork.pictures import setting_out as setting_out_view
from pondkit.trades.lifting import pictures as lifting_view
from pondkit.trades.liner.pictures import fabric as fabric_view
from pondkit.trades.liner.pictures import lining as lining_view
from pondkit.trades.pools import pictures as pools_view
from pondkit.trades.stone.pictures import bearing as bearing_view
from pondkit.trades.stone.pictures import slings as slings_view
from pondkit.trades.stone.pictures import stone as stone_view
from pondkit.trades.tunnels.inputs import Node
from pondkit.trades.tunnels.pictures import long_section as long_section_view
from pondkit.trades.tunnels.pictures import pipe_cuts as pipe_cuts_view
from pondkit.trades.tunnels.pictures import plan as tunnels_plan_view
from pondkit.trades.walls import pictures as walls_view
from pondkit.trades.water.pictures import curves as curves_view
from pondkit.trades.water.pictures import flows as flows_view

Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Scene:
    """What a picture is made from: the option, its fellows, units, the chosen pool and liner, and the section line."""

    result: OptionResult
    results: Results
    system: System
    pool: int | None
    line: Line | None
    liner: int = 0

    @property
    def deepest(self) -> float:
        return plan_view.deepest([*self.results.options, self.result])  # the result may be an older one


@dataclass(frozen=True)
class Panel:
    """One picture with the figures that belong to it.

    Attributes:
        title: Its heading.
        trade: The trade whose controls it goes with; "" for the two that are always on show.
        draw: Makes the picture; None where the option has nothing to draw.
        alt: The picture in words.
        keys: Keys of the takeoff that stand beside it.
        height: Height of the picture [px].
        csv: What its table is called and who writes it, where it can be downloaded.
    """

    title: str
    trade: str
    draw: Callable[[Scene], Figure | None]
    alt: Callable[[Scene], str]
    keys: tuple[str, ...]
    height: int = 380
    csv: tuple[str, Callable[[Scene], str]] | None = None


def _plan(scene: Scene) -> Figure:
    limit = scene.results.project.site.depth_limit
    return plan_view.plan(
        scene.result, scene.system, chosen=scene.pool, limit=limit, section=scene.line, scale_to=scene.deepest
    )


def _nodes(scene: Scene) -> tuple[Node, ...]:
    return scene.result.option.tunnels.nodes if scene.result.option.tunnels else ()


def _section(scene: Scene) -> Figure | None:
    return section_view.section(scene.result, scene.line, scene.system) if scene.line else None


def _liner(scene: Scene) -> Figure | None:
    liners = scene.result.lining
    if not liners or not liners.liners:
        return None
    return works_view.liner_sheet(scene.result, liners.liners[min(scene.liner, len(liners.liners) - 1)], scene.system)


def _liner_words(scene: Scene) -> str:
    liners = scene.result.lining
    return (
        lining_view.alt_layout(liners.liners[min(scene.liner, len(liners.liners) - 1)], scene.system)
        if liners and liners.liners
        else ""
    )


PLAN = Panel("Plan", "", _plan, lambda s: plan_view.alt_plan(s.result, s.system), (), 396)
SECTION = Panel("Section A–B", "", _section, lambda s: section_view.alt_section(s.result, s.system), (), 220)
ZONES = Panel(
    "Zones",
    "",
    lambda s: pools_view.zones([(s.result.option.name, s.result.pools)], s.system, s.deepest),
    lambda s: pools_view.alt_zones([(s.result.option.name, s.result.pools)], s.system),
    (),
    150,
)
PANELS = (
    PLAN,
    SECTION,
    ZONES,
    Panel(
        "Water by level",
        "Pools",
        lambda s: pools_view.storage(s.result.pools, s.system),
        lambda s: pools_view.alt_storage(s.result.pools, s.system),
        keys(
            "gross_volume net_volume surface_area open_water_area zone_volume wetted_area area_over_limit "
            "rim_above_ground dig_depth"
        ),
    ),
    Panel(
        "3-D",
        "Pools",
        lambda s: pools_view.solid(s.result.pools, s.system, s.deepest),
        lambda s: plan_view.alt_plan(s.result, s.system),
        ("max_depth", "steepest_batter", "narrowest_shelf"),
        460,
    ),
    Panel(
        "Levels to dig by",
        "Dig",
        lambda s: levels_view.levels(works_view.levels_of(s.result), s.system),
        lambda s: levels_view.alt_levels(works_view.levels_of(s.result), s.system),
        ("height_of_instrument", "cut_to_level"),
        480,
    ),
    Panel(
        "Setting out",
        "Dig",
        lambda s: setting_out_view.plan(works_view.setting_out_of(s.result), s.system),
        lambda s: setting_out_view.alt_plan(works_view.setting_out_of(s.result), s.system),
        ("baseline_length", "not_by_tapes", "mark_count", "mark_length"),
        520,
        csv=(
            "Setting out (CSV)",
            lambda s: setting_out_view.setting_out_csv(works_view.setting_out_of(s.result), s.system),
        ),
    ),
    Panel(
        "As-built survey",
        "Dig",
        lambda s: works_view.as_built_plan(s.result, s.system),
        lambda s: works_view.alt_as_built(s.result, s.system),
        keys(
            "liner_spare_as_dug liner_length_as_dug liner_width_as_dug line_as_dug volume_as_dug wetted_as_dug "
            "dug_difference"
        ),
        420,
    ),
    Panel(
        "Cut and fill",
        "Earth",
        lambda s: works_view.cut_fill(s.result, s.system),
        lambda s: works_view.alt_cut_fill(s.result, s.system),
        keys(
            "dig_volume pool_dig_volume fill_volume rim_above_ground dig_depth steepest_dig_face edge_set_back "
            "body_hole_volume footing_volume link_dig_volume link_bank_volume total_link_bank link_line_length "
            "seat_volume body_ballast seat_order pipe_bedding_volume pipe_bedding_order trench_dig_volume "
            "backfill_volume spoil_volume outer_bank_volume total_outer_bank berm_volume berm_height berm_top "
            "berm_top_allowed berm_area berm_toe_clearance"
        ),
        420,
    ),
    Panel(
        "Site constraints",
        "Site",
        lambda s: site_plan_view.site_plan(s.result, s.system),
        lambda s: site_plan_view.alt_site_plan(s.result, s.system),
        keys(
            "survey_places survey_area outside_survey backsights_less_foresights rises_less_falls last_less_first "
            "misclosure keep_outs_entered keep_out_distance way_spare way_stone_width"
        ),
        420,
    ),
    Panel(
        "Liner layout",
        "Liner",
        _liner,
        _liner_words,
        keys(
            "liner_length liner_width liner_area liner_length_order liner_width_order liner_area_order liner_waste "
            "liner_mass carriers rule_length rule_width rule_shortfall panel_count seam_length seam_depth plan_cost "
            "rolls_to_buy panel_mass panel_carriers panel_seam_length panel_seam_depth offcut_area "
            "link_strip_length link_strip_width rim_fold trench_edge edge_spare edge_above_soil trench_volume "
            "liner_uplift uplift_pressure gravel_holds stone_holds"
        ),
    ),
    Panel(
        "Fabric by the roll",
        "Liner",
        lambda s: fabric_view.cuts(works_view.fabrics_of(s.result), s.system),
        lambda s: fabric_view.alt_cuts(works_view.fabrics_of(s.result), s.system),
        keys(
            "underlay_area_order underlay_pad_order underlay_rolls overlay_area_order overlay_pad_order "
            "overlay_rolls fabric_roll_run pads_from_offcuts pads_off_roll fabric_offcut_area fabric_offcut "
            "pad_area burrow_pad_area"
        ),
        320,
    ),
    Panel(
        "Boulder masses",
        "Stone",
        lambda s: (
            stone_view.masses(s.result.stone, s.system)
            if s.result.stone and s.result.option.stone and s.result.option.stone.boulders
            else None
        ),
        lambda s: stone_view.alt_masses(s.result.stone, s.system),
        keys(
            "boulder_mass boulder_count heaviest_boulder stand_spare boulders_overlapping boulders_on_works "
            "boulders_order edging_count edging_mass stone_order"
        ),
    ),
    Panel(
        "Stone by the load",
        "Stone",
        lambda s: haul_view.loads(s.result.haul, s.system),
        lambda s: haul_view.alt_loads(s.result.haul, s.system),
        keys("total_stone_loads delivery_turn class_mass loose_volume pieces_per_load volume_per_load stone_loads"),
        340,
    ),
    Panel(
        "Slings",
        "Stone",
        lambda s: slings_view.uses(s.result.slings, s.system),
        lambda s: slings_view.alt_uses(s.result.slings, s.system),
        keys("boulders_no_sling sling_to_use sling_use sling_length_needed leg_length sling_rated"),
        300,
    ),
    Panel(
        "Bearing",
        "Stone",
        lambda s: bearing_view.pressures(s.result.bearing, s.system),
        lambda s: bearing_view.alt_pressures(s.result.bearing, s.system),
        keys(
            "bearing_allowed bearing_use bearing_load contact_pressure bearing_pressure bedding_needed shelf_spare "
            "bed_level bedding_volume bedding_order"
        ),
        300,
    ),
    Panel(
        "Lifts",
        "Lifting",
        lambda s: lifting_view.uses(s.result.lifting, s.system),
        lambda s: lifting_view.alt_uses(s.result.lifting, s.system),
        keys(
            "boulders_not_lifted lift_turn lift_radius pick_use swing_use place_use set_back_spare way_out_stones "
            "chart_rated"
        ),
        340,
    ),
    Panel(
        "Walls in section",
        "Walls",
        lambda s: walls_view.sections(s.result.walls, s.system),
        lambda s: walls_view.alt_sections(s.result.walls, s.system),
        keys(
            "walls_unsafe wall_height wall_volume wall_stone_order total_wall_stone_order wall_overturning "
            "wall_sliding wall_eccentricity toe_pressure heel_pressure wall_thrust wall_pressure_share"
        ),
        360,
    ),
    Panel(
        "Tunnels from the side",
        "Tunnels",
        lambda s: long_section_view.long_section(s.result.tunnels, _nodes(s), s.result.pools, s.system),
        lambda s: long_section_view.alt_long_section(s.result.tunnels, s.system),
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
        lambda s: tunnels_plan_view.plan(s.result.tunnels, s.result.pools, s.system),
        lambda s: tunnels_plan_view.alt_plan(s.result.tunnels, s.system),
        keys(
            "fitting_count pipe_length tunnel_volume penetration_count sealed_joint_count clear_bore longest_swim "
            "blocked_swim line_move node_moved sharpest_bend tightest_branch"
        ),
        330,
    ),
    Panel(
        "Pipe to cut",
        "Tunnels",
        lambda s: pipe_cuts_view.cuts(s.result.tunnels, s.system),
        lambda s: pipe_cuts_view.alt_cuts(s.result.tunnels, s.system),
        ("pipe_lengths_to_buy", "pipe_length_order", "offcut_length"),
        260,
    ),
    Panel(
        "Pump and lines",
        "Water",
        lambda s: curves_view.curves(s.result.water, s.system),
        lambda s: curves_view.alt_curves(s.result.water, s.system),
        keys(
            "total_flow pump_flow pump_head branch_flow static_head line_velocity flow_by_pumps flow_without "
            "back_flow pump_power energy_year energy_cost screen_loss_clean screen_loss level_behind_screen "
            "media_loss line_pipe_order line_fitting_order line_valve_order pump_order passage_loss "
            "passage_velocity filter_loss filter_running_level"
        ),
        380,
    ),
    Panel(
        "Flow diagram",
        "Water",
        lambda s: flows_view.diagram(s.result.water, s.result.waters, s.system),
        lambda s: flows_view.alt_diagram(s.result.water, s.system),
        keys("total_flow branch_flow link_flow turnover pool_turnover"),
        380,
    ),
    Panel(
        "Levels and oxygen",
        "Water",
        lambda s: flows_view.profile(s.result.water, s.result.waters, s.system),
        lambda s: flows_view.alt_profile(s.result.water, s.system),
        keys(
            "running_level head_over_crest link_drop step_drop channel_slope channel_depth channel_velocity "
            "channel_froude channel_freeboard oxygen_below oxygen_saturation drawdown return_volume "
            "level_after_stop highest_level fall_margin rise_margin"
        ),
        340,
    ),
    Panel(
        "Animals' brief",
        "Animals",
        lambda s: animals_view.brief(s.result.animals, s.result.pools, s.result.tunnels, s.system),
        lambda s: animals_view.alt_brief(s.result.animals, s.system),
        keys(
            "demands_failed demands_not_checked demand_bore demand_swim demand_area demand_depth demand_bank "
            "demand_ways_out demand_entrance demand_ice mouth_clear_of_ice demand_exits demand_dry demand_fence"
        ),
        360,
    ),
)
