"""Where pictures and figures stand on the page: every trade's own panels, and those of the whole design.

A new trade is one line in TRADES.
"""

from pondkit.core.units import System
from pondkit.drawing.frame import Figure, Panel, keys
from pondkit.report import model as model_view
from pondkit.report import plan as plan_view
from pondkit.report import plan as site_plan_view
from pondkit.report import section as section_view
from pondkit.report.scene import Scene
from pondkit.trades.animals import pictures as animals
from pondkit.trades.clearances import pictures as clearances
from pondkit.trades.cost import pictures as cost
from pondkit.trades.earthwork import pictures as earthwork
from pondkit.trades.lifting import pictures as lifting
from pondkit.trades.liner import pictures as liner
from pondkit.trades.pools import pictures as pools
from pondkit.trades.stone import pictures as stone
from pondkit.trades.tunnels import pictures as tunnels
from pondkit.trades.walls import pictures as walls
from pondkit.trades.water import pictures as water

# In the order in which their pictures are offered.
TRADES = (pools, earthwork, clearances, liner, stone, lifting, walls, tunnels, water, animals, cost)


def _plan(scene: Scene, system: System) -> Figure:
    assert scene.results
    limit = scene.results.project.site.depth_limit
    drawn = plan_view.plan(
        scene.result,
        system,
        chosen=scene.pool,
        limit=limit,
        section=scene.line,
        scale_to=scene.deepest,
        span=scene.shown,
        look="screen",
    )
    drawn["layout"]["uirevision"] = f"frame {scene.frame}"  # a person's zoom stays as long as the frame does
    return drawn


def _section(scene: Scene, system: System) -> Figure | None:
    return section_view.section(scene.result, scene.line, system, scene.reach) if scene.line else None


def _zones(scene: Scene, system: System) -> Figure:
    return pools.zones([(scene.result.option.name, scene.result.pools)], system, scene.deepest)


def _zone_words(scene: Scene, system: System) -> str:
    return pools.alt_zones([(scene.result.option.name, scene.result.pools)], system)


PLAN = Panel("Plan", "", _plan, plan_view.alt_plan, ("scene",), ("result",), takes="plan")
SECTION = Panel("Section A–B", "", _section, section_view.alt_section, ("scene",), ("result",), takes="section")
ZONES = Panel("Zones", "", _zones, _zone_words, ("scene",), ("scene",), height=150)
SITE = Panel(
    "Site constraints",
    "Site",
    site_plan_view.site_plan,
    site_plan_view.alt_site_plan,
    ("result",),
    ("result",),
    keys(
        "survey_places survey_area outside_survey backsights_less_foresights rises_less_falls last_less_first "
        "misclosure keep_outs_entered keep_out_distance way_spare way_stone_width"
    ),
    420,
)
MODEL = Panel(
    "3-D",
    "Pools",
    model_view.model,
    model_view.alt_model,
    ("result", "deepest"),
    ("result",),
    keys("max_depth steepest_batter narrowest_shelf"),
    460,
)
PANELS = (PLAN, SECTION, ZONES, MODEL, *(panel for trade in TRADES for panel in trade.PANELS), SITE)
# Keys of the figures that stand beside the plan while a part's controls are on show.
BESIDE = {part: figures for trade in TRADES for part, figures in trade.BESIDE.items()}
