"""What the page offers for each trade: its pictures, its key figures, and the lists and groups of its controls.

``PANELS`` holds all pictures in the order in which they are offered; those of a trade come from its own ``pictures``.
The tables below it arrange the controls in the sidebar: name of each trade, heading of its common fields, lists of
parts in it, and what stands under "More". A new trade is one line in PICTURES and one in OPTION_TRADES.
"""

from dataclasses import dataclass

from pondkit.core.units import System
from pondkit.drawing.frame import Figure, Panel, keys
from pondkit.report import model as model_view
from pondkit.report import plan as plan_view
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

# In the order in which the pictures of the trades are offered.
PICTURES = (pools, earthwork, clearances, liner, stone, lifting, walls, tunnels, water, animals, cost)


def _plan(scene: Scene, system: System) -> Figure:
    figure = plan_view.plan(
        scene.result,
        system,
        chosen=scene.pool,
        section=scene.line,
        scale_to=scene.deepest,
        span=scene.shown,
        look="screen",
    )
    figure["layout"]["uirevision"] = f"frame {scene.frame}"  # a person's zoom stays as long as the frame does
    return figure


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
    plan_view.site_plan,
    plan_view.alt_site_plan,
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
PANELS = (PLAN, SECTION, ZONES, MODEL, *(panel for trade in PICTURES for panel in trade.PANELS), SITE)
# Keys of the figures that stand beside the plan while the controls of a trade are on show.
BESIDE = {part: figures for trade in PICTURES for part, figures in trade.BESIDE.items()}
# Trades that are parts of an option, by their name on the page: the field of the option.
OPTION_TRADES = {
    "Liner": "lining",
    "Stone": "stone",
    "Lifting": "lifting",
    "Walls": "walls",
    "Tunnels": "tunnels",
    "Water": "water",
    "Animals": "animals",
    "Dig": "dig",
    "Earth": "earth",
    "Rates": "rates",
}
# Heading of the fields that are common to all of a trade, by its field.
COMMON_HEADING = {
    "lining": "Common to all liners",
    "stone": "Common to all stone",
    "lifting": "Machine and limits",
    "walls": "Backfill, stone and ground",
    "tunnels": "Common to all pipe",
    "water": "Common to all water",
    "animals": "Banks, ice and fence",
    "dig": "Instrument and tolerances",
    "earth": "Soil, trucks and machine",
    "rates": "Rates",
    "prices": "Rates",
}
# The question that a trade answers first, above its lists: heading, and the fields that the answer depends on.
FIRST_QUESTION = {"water": ("What pump do I need?", ("turnover", "sheet"))}
# What a trade is for, shown while the option has none of it.
PURPOSE = {
    "lining": "Sheet and fabric to order, and how they are laid.",
    "stone": "Boulders and edging: their mass, and what to order.",
    "lifting": "Which sling and which machine may lift each stone, and from where.",
    "walls": "Dry-stacked walls: stone, and whether each joint holds.",
    "tunnels": "Pipe that animals go through, from the water to a den.",
    "water": "Pump, pipe and filter: the flow and head wanted, what a pump gives, evaporation, leaks.",
    "animals": "What your animals need, held against the design.",
    "dig": "Stakes to set out, and rod readings that check the hole.",
    "earth": "Where the soil goes: swell, loads by truck, a berm.",
    **dict.fromkeys(("rates", "prices"), "Your own prices, for a rough total and the quotation."),
}
TRADES = ("Pools", "Links", *OPTION_TRADES, "Site")
# Trades that a first visit does without stand under "More", some of them only until the design has them.
UNDER_MORE_UNTIL_USED = {"Tunnels", "Water", "Rates"}
UNDER_MORE = {*UNDER_MORE_UNTIL_USED, "Lifting", "Walls", "Animals", "Dig", "Earth"}


@dataclass(frozen=True)
class ListSection:
    """A list of parts of which one at a time is chosen and shown.

    Attributes:
        field: Name of the list in its part.
        heading: Its heading.
        noun: What one item is called.
    """

    field: str
    heading: str
    noun: str


# The lists of a trade, of which one at a time is on show.
LISTS = {
    "lining": (
        ListSection("liners", "Liners", "liner"),
        ListSection("rolls", "Rolls to buy", "roll"),
        ListSection("burrows", "Burrowing", "burrow"),
    ),
    "stone": (
        ListSection("boulders", "Boulders", "boulder"),
        ListSection("edging", "Edging", "edging"),
        ListSection("slings", "Slings", "sling"),
    ),
    "lifting": (ListSection("positions", "Positions", "position"), ListSection("chart", "Lift chart", "chart row")),
    "walls": (ListSection("walls", "Walls", "wall"),),
    "tunnels": (
        ListSection("nodes", "Nodes", "node"),
        ListSection("runs", "Runs", "run"),
        ListSection("own_pipes", "Own pipes", "own pipe"),
        ListSection("fittings", "Measured fittings", "fitting"),
    ),
    "water": (
        ListSection("pumps", "Pumps", "pump"),
        ListSection("branches", "Branches", "branch"),
        ListSection("own_pipes", "Own pipes", "own pipe"),
    ),
    "animals": (ListSection("kinds", "Kinds", "kind"), ListSection("ways_out", "Ways out", "way out")),
    "dig": (
        ListSection("readings", "Readings", "reading"),
        ListSection("measured", "Levels found", "level found"),
        ListSection("tapes", "Tape lines", "tape line"),
    ),
    "earth": (),
    **dict.fromkeys(("rates", "prices"), (ListSection("lines", "Price list", "price line"),)),
}
# Parts of a trade that may be left out, each in a fold.
OPTIONAL_PARTS = {
    "dig": ("stakes",),
    "earth": ("berm",),
    "lining": ("underlay", "overlay"),
    "stone": ("rigging", "bearing", "haul"),
    "water": ("intake", "main", "filter", "pit", "passage", "load", "storm", "season", "dosing"),
}
OPTIONAL_IN_FRONT = {"water": 3, "stone": 0}  # how many of them stand in front; the others are under "More"
POOL_WATER_FIELDS = ("gravel_porosity", "gravel_porosity_within", "water_rise", "water_fall")  # shown with the pools
# A list inside an item of a list, by the outer list: all its items are on show.
INNER_LISTS = {
    "pumps": ListSection("curve", "Points of the curve", "point"),
    "walls": ListSection("courses", "Courses from the base up", "course"),
    "slings": ListSection("choke", "Maker's choke table", "choke angle"),
}
