"""What the page offers for each trade: its pictures, its key figures, and the arrangement of its controls.

``PANELS`` holds all pictures in the order in which they are offered; those of a trade come from its own ``pictures``.
``CONTROLS`` says for each trade that is part of an option what its controls are called and how they are grouped. A new
trade is one line in PICTURES and one entry in CONTROLS.
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


@dataclass(frozen=True)
class TradeControls:
    """How the sidebar arranges the controls of a trade.

    Attributes:
        field: Field of the option that holds the trade.
        purpose: What the trade is for, shown while the option has none of it.
        common: Heading of the fields that are common to all of it.
        lists: Its lists, of which one at a time is on show.
        optional: Names of its parts that may be left out, each in a fold.
        in_front: How many of these stand in front; the others are under "More".
        question: The question that it answers first, above its lists; "" for none.
        question_fields: Names of the fields that the answer depends on.
    """

    field: str
    purpose: str
    common: str
    lists: tuple[ListSection, ...] = ()
    optional: tuple[str, ...] = ()
    in_front: int = 99
    question: str = ""
    question_fields: tuple[str, ...] = ()


# Trades that are parts of an option, by their name on the page.
CONTROLS = {
    "Liner": TradeControls(
        "lining",
        "Sheet and fabric to order, and how they are laid.",
        "Common to all liners",
        (
            ListSection("liners", "Liners", "liner"),
            ListSection("rolls", "Rolls to buy", "roll"),
            ListSection("burrows", "Burrowing", "burrow"),
        ),
        optional=("underlay", "overlay"),
    ),
    "Stone": TradeControls(
        "stone",
        "Boulders and edging: their mass, and what to order.",
        "Common to all stone",
        (
            ListSection("boulders", "Boulders", "boulder"),
            ListSection("edging", "Edging", "edging"),
            ListSection("slings", "Slings", "sling"),
        ),
        optional=("rigging", "bearing", "haul"),
        in_front=0,
    ),
    "Lifting": TradeControls(
        "lifting",
        "Which sling and which machine may lift each stone, and from where.",
        "Machine and limits",
        (ListSection("positions", "Positions", "position"), ListSection("chart", "Lift chart", "chart row")),
    ),
    "Walls": TradeControls(
        "walls",
        "Dry-stacked walls: stone, and whether each joint holds.",
        "Backfill, stone and ground",
        (ListSection("walls", "Walls", "wall"),),
    ),
    "Tunnels": TradeControls(
        "tunnels",
        "Pipe that animals go through, from the water to a den.",
        "Common to all pipe",
        (
            ListSection("nodes", "Nodes", "node"),
            ListSection("runs", "Runs", "run"),
            ListSection("own_pipes", "Own pipes", "own pipe"),
            ListSection("fittings", "Measured fittings", "fitting"),
        ),
    ),
    "Water": TradeControls(
        "water",
        "Pump, pipe and filter: the flow and head wanted, what a pump gives, evaporation, leaks.",
        "Common to all water",
        (
            ListSection("pumps", "Pumps", "pump"),
            ListSection("branches", "Branches", "branch"),
            ListSection("own_pipes", "Own pipes", "own pipe"),
        ),
        optional=("intake", "main", "filter", "pit", "passage", "load", "storm", "season", "dosing"),
        in_front=3,
        question="What pump do I need?",
        question_fields=("turnover", "sheet"),
    ),
    "Animals": TradeControls(
        "animals",
        "What your animals need, held against the design.",
        "Banks, ice and fence",
        (ListSection("kinds", "Kinds", "kind"), ListSection("ways_out", "Ways out", "way out")),
    ),
    "Dig": TradeControls(
        "dig",
        "Stakes to set out, and rod readings that check the hole.",
        "Instrument and tolerances",
        (
            ListSection("readings", "Readings", "reading"),
            ListSection("measured", "Levels measured", "level measured"),
            ListSection("tapes", "Tape lines", "tape line"),
        ),
        optional=("stakes",),
    ),
    "Earth": TradeControls(
        "earth",
        "Where the soil goes: swell, loads by truck, a berm.",
        "Soil, trucks and machine",
        optional=("berm",),
    ),
    "Rates": TradeControls(
        "rates",
        "Your own prices, for a rough total and the quotation.",
        "Rates",
        (ListSection("lines", "Price list", "price line"),),
    ),
}
TRADES = ("Pools", "Links", *CONTROLS, "Site")
# Lists by the field that holds them; the prices of the job are arranged as the rates of an option.
LISTS = {controls.field: controls.lists for controls in CONTROLS.values()} | {"prices": CONTROLS["Rates"].lists}
# Trades that a first visit does without stand under "More", some of them only until the design has them.
UNDER_MORE_UNTIL_USED = {"Tunnels", "Water", "Rates"}
UNDER_MORE = {*UNDER_MORE_UNTIL_USED, "Lifting", "Walls", "Animals", "Dig", "Earth"}
POOL_WATER_FIELDS = ("gravel_porosity", "gravel_porosity_within", "water_rise", "water_fall")  # shown with the pools
# A list inside an item of a list, by the outer list: all its items are on show.
INNER_LISTS = {
    "pumps": ListSection("curve", "Points of the curve", "point"),
    "walls": ListSection("courses", "Courses from the base up", "course"),
    "slings": ListSection("choke", "Maker's choke table", "choke angle"),
}
