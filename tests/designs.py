"""Small projects for tests, written as a person writes a file, and the demos."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

from pondkit import Project, load
from pondkit.core.part import Part

DEMOS = Path(__file__).parents[1] / "demo_data"
FULL_DESIGN = Path(__file__).with_name("full_design.json")
DEMO_FILES = {path.stem: path for path in sorted(DEMOS.glob("*.json"))} | {"turtle_yard": FULL_DESIGN}
DEMO_NAMES = tuple(DEMO_FILES)
"""The shipped examples, none of which holds all parts of a job, and the full design, which does."""


def demo(name: str) -> Project:
    """One of the shipped examples; "turtle_yard" is the full design."""
    return load(DEMO_FILES[name])


def full_design() -> Project:
    """A whole job with all trades in three options, as it was when speed was first measured; it stays as it is."""
    return load(FULL_DESIGN)


def read(**changes: Any) -> Project:
    """The small project, with some of its keys as given."""
    return load(json.dumps(small(**changes)).encode())


def small(**changes: Any) -> dict[str, Any]:
    """One option with an ellipse of two tiers, as it stands in a file of US units."""
    return {
        "pondkit": 1,
        "title": "small",
        "units": "us",
        "site": {"depth_limit": "20 in"},
        "options": [option()],
    } | changes


def option(name: str = "A", **changes: Any) -> dict[str, Any]:
    """An option with one pool."""
    return {"name": name, "pools": [pool()]} | changes


def pool(name: str = "pool", **changes: Any) -> dict[str, Any]:
    """An ellipse of 18 x 12 ft with a marsh shelf and a deep floor."""
    return {
        "name": name,
        "outline": {"shape": "ellipse", "length": "18 ft", "width": "12 ft"},
        "tiers": [
            {"zone": "marsh", "depth": "9 in", "shelf": "2 ft", "batter": 0.5},
            {"zone": "deep", "depth": "30 in", "batter": 0.5},
        ],
    } | changes


KEEP_OUTS = [
    {"name": "oak", "clearance": "6 ft", "points": [["-14 ft", "16 ft"]]},
    {
        "name": "garden",
        "kind": "boundary",
        "points": [["-40 ft", "-40 ft"], ["60 ft", "-40 ft"], ["60 ft", "40 ft"], ["-40 ft", "40 ft"]],
    },
]


def full() -> dict[str, Any]:
    """Every kind of part at least once: two linked pools, a pit, lining, stone, tunnels and rates."""
    upper = pool(
        "upper",
        level="2 in",
        at=["26 ft", "0 ft"],
        outline={"shape": "circle", "diameter": "9 ft"},
        tiers=[{"zone": "shallow", "depth": "10 in", "gravel": "2 in"}],
    )
    lower = pool(
        "lower",
        pits=[
            {
                "at": ["2 ft", "0 ft"],
                "outline": {"shape": "circle", "diameter": "4 ft"},
                "tiers": [{"zone": "winter", "depth": "48 in"}],
            }
        ],
    )
    return small(
        site={
            "depth_limit": "20 in",
            "keep_outs": KEEP_OUTS,
            "way_in": {"machine_slope": 0.2, "points": [["-30 ft", "-40 ft"], ["-8 ft", "-12 ft"]]},
        },
        options=[
            option(
                pools=[lower, upper],
                links=[{"from": "upper", "to": "lower", "at": ["15 ft", "0 ft"]}],
                lining={
                    "liners": [{"name": "main", "covers": ["lower", "upper"]}],
                    "overlay": {},
                    "burrows": [{"pool": "lower", "zone": "marsh", "stretch": "50 %"}],
                    "rolls": [{"name": "wide", "width": "20 ft", "length": "100 ft", "price": "900 each"}],
                },
                stone={
                    "boulders": [
                        {
                            "name": "seat",
                            "count": 3,
                            "axes": ["30 in", "24 in", "18 in"],
                            "pool": "lower",
                            "places": [["-3 ft", "0 ft"]],
                        }
                    ],
                    "edging": [{"pool": "upper", "base_level": "-5 in"}],
                    "slings": [
                        {
                            "name": "web",
                            "vertical": "3000 lb",
                            "length": "9 ft",
                            "width": "2 in",
                            "edge_protection": True,
                            "choke": [{"angle_deg": 90, "share": 0.8}],
                        }
                    ],
                    "rigging": {},
                    "bearing": {},
                    "haul": {},
                },
                lifting={
                    "positions": [{"name": "west", "at": ["-26 ft", "0 ft"], "pick_up": ["-34 ft", "0 ft"]}],
                    "chart": [
                        {"radius": f"{out} ft", "height": f"{high} ft", "front": "3000 lb", "side": "2500 lb"}
                        for out in (8, 40)
                        for high in (-6, 20)
                    ],
                },
                walls={
                    "walls": [
                        {
                            "name": "bank",
                            "base_level": "-18 in",
                            "points": [["-6 ft", "14 ft"], ["6 ft", "16 ft"]],
                            "courses": [{"width": "30 in"}, {}],
                        }
                    ]
                },
                tunnels={
                    "nodes": [
                        {"name": "door", "kind": "mouth", "at": ["-6 ft", "0 ft", "-14 in"]},
                        {"name": "bend", "kind": "junction", "at": ["-14 ft", "0 ft", "-6 in"]},
                        {
                            "name": "den",
                            "kind": "chamber",
                            "at": ["-19 ft", "5 ft", "4 in"],
                            "size": ["30 in", "24 in", "18 in"],
                        },
                    ],
                    "runs": [{"from": "door", "to": "bend"}, {"from": "bend", "to": "den"}],
                    "fittings": [{"name": "elbow 45", "pipe": "sch40 4 in", "centre_to_stop": "2 in"}],
                },
                water={
                    "energy_price": "0.15 per kWh",
                    "intake": {
                        "pool": "lower",
                        "at": ["-11 ft", "-4 ft"],
                        "plan_size": ["3 ft", "3 ft"],
                        "underside": "-3 ft",
                        "screen_top": "-20 in",
                        "screen_area": "2 ft^2",
                    },
                    "pit": {"at": ["-16 ft", "-8 ft"]},
                    "main": {},
                    "passage": {},
                    "filter": {
                        "level": "30 in",
                        "to": "upper",
                        "settling_area": "6 ft^2",
                        "media_area": "6 ft^2",
                        "at": ["34 ft", "6 ft"],
                        "plan_size": ["4 ft", "3 ft"],
                        "underside": "-6 in",
                        "second_size": ["3 ft", "3 ft"],
                        "second_at": ["38 ft", "8 ft"],
                    },
                    "storm": {"overflow_level": "1 in", "roof_area": "300 ft^2"},
                    "season": {"fall_off": "0.5 in", "fall_on": "0.75 in"},
                    "dosing": {},
                    "load": {"feed": "0.1 lb/day", "waste": "0.01 lb/day"},
                    "pumps": [
                        {
                            "name": "one",
                            "power": "150 W",
                            "curve": [
                                {"flow": "0 L/min", "head": "18 ft"},
                                {"flow": "95 L/min", "head": "13 ft"},
                                {"flow": "170 L/min", "head": "5 ft"},
                            ],
                        }
                    ],
                    "branches": [
                        {"name": "filter", "to": "filter", "length": "8 ft"},
                        {"name": "spout", "pool": "upper", "outlet_level": "36 in", "opening": 0.5},
                    ],
                },
                animals={
                    "kinds": [{"name": "turtle", "body_width": "5 in", "steepest_way_out": 2}],
                    "ways_out": [{"pool": "lower", "at": ["7 ft", "-2 ft"]}],
                },
                dig={
                    "backsight": "4.5 ft",
                    "readings": [{"row": "lower: tier 1 floor", "rod": "5.3 ft"}],
                    "stakes": {},
                    "measured": [{"pool": "lower", "at": ["-2 ft", "0 ft"], "level": "-2.6 ft"}],
                    "tapes": [{"name": "long", "start": ["-12 ft", "0 ft"], "end": ["12 ft", "0 ft"]}],
                },
                earth={"topsoil": "4 in", "strip_area": "50 ft^2", "berm": {}},
                rates={
                    "dig": "40 per yd^3",
                    "liner": "1.10 per ft^2",
                    "boulders": "160 per short ton",
                    "pipe": "5 per ft",
                    "fittings": "12 each",
                    "labour": "38 per h",
                    "machine": "85 per h",
                    "lines": [
                        {
                            "item": "liner_area",
                            "of": "main",
                            "unit": "ft^2",
                            "price": 1.2,
                            "waste": "5 %",
                            "sale_unit": 10,
                        },
                        {
                            "item": "underlay_area",
                            "unit": "ft^2",
                            "price": 0.5,
                            "minimum": 300,
                            "labour": "0.01 h",
                            "supplier": "Reed & Rush",
                            "lead_days": 10,
                            "note": "by the roll",
                        },
                        {"item": "pipe_length", "unit": "ft", "price": 4.5, "machine": "0.02 h"},
                    ],
                },
            )
        ],
    )


def full_project() -> Project:
    """The project of ``full``, read."""
    return load(json.dumps(full()).encode())


def part_classes(holder: type[Part] = Project) -> Iterator[type[Part]]:
    """Every class of the document, each as often as it is met."""
    yield holder
    for field in holder.model_fields.values():
        for member in _members(field.annotation):
            yield from part_classes(member)


def _members(annotation: Any) -> Iterator[type[Part]]:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
    for arg in get_args(annotation):
        yield from _members(arg)
