"""Designs that the benchmark works out."""

import itertools
import json
import math
from typing import Any

import numpy as np

from pondkit import Project, load

DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")


def _pool(number: int) -> dict[str, Any]:
    """A pool of three tiers with gravel, every other one a curved outline, every third with a pit."""
    corners = [(-9, -3), (-4, -6), (2, -5), (9, -4), (10, 2), (4, 6), (-3, 5), (-8, 3)]
    curved = {"shape": "points", "points": [[f"{x} ft", f"{y} ft"] for x, y in corners]}
    pit = {
        "at": ["2.75 ft", "0.55 ft"] if number % 2 == 0 else ["0 ft", "0 ft"],
        "outline": {"shape": "circle", "diameter": "3 ft"},
        "tiers": [{"zone": "wintering", "depth": "48 in"}],
    }
    return {
        "name": f"pool {number + 1}",
        "level": f"{-3 + 8 * number % 40} in",
        "at": [f"{26 * (number % 6)} ft", f"{20 * (number // 6)} ft"],
        "outline": curved if number % 2 == 0 else {"shape": "ellipse", "length": "18 ft", "width": "12 ft"},
        "tiers": [
            {"zone": "marsh", "depth": "8 in", "shelf": "18 in", "gravel": "2 in"},
            {"zone": "middle", "depth": "20 in", "shelf": "12 in"},
            {"zone": "deep", "depth": "32 in"},
        ],
        "pits": [pit] if number % 3 == 0 else [],
    }


def project(pools: int, **parts: Any) -> Project:
    """One option with so many pools, and further parts of the option."""
    option = {"name": "A", "pools": [_pool(number) for number in range(pools)]} | parts
    site = {"ground": {"kind": "plane", "level": "4 in", "fall": 0.02, "toward_deg": 240}, "depth_limit": "24 in"}
    return load(json.dumps({"pondkit": 1, "units": "us", "site": site, "options": [option]}).encode())


def whole() -> Project:
    """Three pools under two liners, stone, and a tunnel of ten runs with rates."""
    names = ["pool 1", "pool 2", "pool 3"]
    # A first bend of 45 degrees: between mouth and penetration nothing may move.
    turns = [(-8 - 4 * i, 4.754 * math.sin(i), -6 + 1.5 * i) for i in range(9)]
    nodes = [{"name": "mouth", "kind": "mouth", "at": ["-5 ft", "0 ft", "-7.5 in"]}]
    nodes += [
        {"name": f"bend {i}", "kind": "junction", "at": [f"{x} ft", f"{y:.2f} ft", f"{z} in"]}
        for i, (x, y, z) in enumerate(turns)
    ]
    nodes += [
        {"name": "den", "kind": "chamber", "at": ["-45 ft", "3 ft", "10 in"], "size": ["30 in", "24 in", "18 in"]}
    ]
    ends = [str(node["name"]) for node in nodes]
    seat = {
        "name": "seat",
        "count": 6,
        "axes": ["40 in", "30 in", "20 in"],
        "pool": "pool 1",
        "places": [["7 ft", "3 ft"], ["-6 ft", "2 ft"]],
    }
    bank = {"name": "bank", "count": 20, "axes": ["24 in", "18 in", "14 in"]}
    return project(
        3,
        links=[{"from": "pool 2", "to": "pool 1", "at": ["13 ft", "0 ft"]}],
        lining={
            "liners": [{"name": "main", "covers": names[:2]}, {"name": "third", "covers": names[2:]}],
            "overlay": {},
        },
        stone={"boulders": [seat, bank], "edging": [{"pool": "pool 2", "base_level": "0 in"}]},
        tunnels={"nodes": nodes, "runs": [{"from": a, "to": b} for a, b in itertools.pairwise(ends)]},
        rates={"dig": "40 per yd^3", "liner": "1.10 per ft^2", "boulders": "160 per short ton", "pipe": "5 per ft"},
    )


OPTION = ("options", 0)
NODES = (*OPTION, "tunnels", "nodes")
POSITIONS = (*OPTION, "lifting", "positions")
BOULDERS = (*OPTION, "stone", "boulders")


def heavy() -> Project:
    """A long pool with 20 mouths and 60 runs of pipe, 80 boulders in it and beside it, and three machine positions."""
    names = [f"{number}" for number in range(20)]
    nodes: list[dict[str, Any]] = []
    runs: list[dict[str, str]] = []
    for number, name in enumerate(names):
        east = -38 + 4 * number
        way = [(f"mouth {name}", "mouth", -7.5), (f"turn {name}", "junction", -13), (f"line {name}", "junction", -17)]
        if number == len(names) - 1:
            del way[1]  # its place among the runs is taken by the rise to the den
        nodes += [
            {"name": node, "kind": kind, "at": [f"{east} ft", f"{north} ft", "-14 in"]} for node, kind, north in way
        ]
        runs += [{"from": first, "to": then} for (first, *_), (then, *_) in itertools.pairwise(way)]
        if number:
            runs.append({"from": f"line {names[number - 1]}", "to": f"line {name}"})
    # Up at 22.5 degrees, to a floor above the water.
    nodes += [
        {"name": "rise", "kind": "junction", "at": ["44 ft", "-17 ft", "-14 in"]},
        {
            "name": "den",
            "kind": "chamber",
            "at": ["50 ft", "-17 ft", f"{72 * math.tan(math.pi / 8) - 14:.3f} in"],
            "size": ["30 in", "24 in", "18 in"],
        },
    ]
    runs += [{"from": "line 19", "to": "rise"}, {"from": "rise", "to": "den"}]
    boulders = [
        {
            "name": f"kind {kind}",
            "count": 4,
            "axes": [f"{30 - kind % 7} in", "22 in", "16 in"],
            **({"pool": "long"} if kind % 2 else {}),
            "places": [
                [f"{-38 + 4 * kind} ft", f"{north} ft"] for north in ((3, 1, -1, -3) if kind % 2 else (16, 18, 20, 22))
            ],
        }
        for kind in range(20)
    ]
    pool = {
        "name": "long",
        "outline": {"shape": "rectangle", "length": "84 ft", "width": "20 ft"},
        "tiers": [
            {"zone": "marsh", "depth": "9 in", "shelf": "18 in"},
            {"zone": "deep", "depth": "20 in"},
        ],
    }
    chart = [
        {
            "radius": f"{out} ft",
            "height": f"{high} ft",
            "front": f"{30000 - 300 * out} lb",
            "side": f"{25000 - 300 * out} lb",
        }
        for out in (6, 12, 20, 30, 45, 60)
        for high in (-8, 0, 8, 20)
    ]
    option = {
        "name": "A",
        "pools": [pool],
        "lining": {"liners": [{"name": "main", "covers": ["long"]}], "overlay": {}},
        "stone": {
            "boulders": boulders,
            "bearing": {},
            "haul": {},
            "rigging": {},
            "slings": [
                {"name": "web", "vertical": "9000 lb", "length": "14 ft", "width": "3 in", "edge_protection": True}
            ],
        },
        "tunnels": {
            "nodes": nodes,
            "runs": runs,
            "trench_room": "4 in",
            "flush_from": "den",
            "flush_flow": "60 gal/min",
        },
        "lifting": {
            "positions": [
                {"name": f"north {number}", "at": [f"{east} ft", "30 ft"], "pick_up": [f"{east} ft", "40 ft"]}
                for number, east in enumerate((-28, 0, 28))
            ],
            "chart": chart,
        },
        "earth": {},
        "rates": {"dig": "40 per yd^3", "boulders": "160 per short ton", "pipe": "5 per ft"},
    }
    return load(
        json.dumps(
            {"pondkit": 1, "units": "us", "site": {"way_in": {"points": [["0 ft", "60 ft"]]}}, "options": [option]}
        ).encode()
    )


def surveyed() -> Project:
    """Ten pools under ten liners on 500 survey points, with a berm, banks outside the rims,
    levels, stakes and an as-dug level.
    """
    east, north = (400 * (np.arange(500) * share % 1) - 40 for share in (0.7549, 0.5698))  # evenly strewn
    high = 0.02 * north + 1.2 * np.sin(east / 30) - 0.3
    points = np.stack([east, north, high], axis=1).round(3).tolist()
    pools = [_pool(number) for number in range(10)]
    heights = [float(0.02 * 20 * (number // 6) + 1.2 * np.sin(26 * (number % 6) / 30)) for number in range(10)]
    for pool, ground in zip(pools, heights, strict=True):
        pool["level"] = f"{ground - 0.5:.2f} ft"
    berm = {"outline": {"shape": "rectangle", "length": "40 ft", "width": "5 ft"}, "at": ["60 ft", "60 ft"]}
    option = {
        "name": "A",
        "pools": pools,
        "lining": {"liners": [{"name": pool["name"], "covers": [pool["name"]]} for pool in pools], "overlay": {}},
        "earth": {"bank_crest": "18 in", "berm": berm, "topsoil": "6 in", "strip_area": "2000 ft^2"},
        "dig": {
            "benchmark": "0 ft",
            "backsight": "4 ft",
            "stakes": {"a": ["-20 ft", "-20 ft"], "b": ["60 ft", "-20 ft"]},
            "measured": [{"pool": "pool 2", "at": ["26 ft", "0 ft"], "level": f"{heights[1] - 3.3:.2f} ft"}],
        },
        "rates": {"dig": "40 per yd^3", "liner": "1.10 per ft^2"},
    }
    site = {"ground": {"kind": "points", "points": points}}
    return load(json.dumps({"pondkit": 1, "units": "us", "site": site, "options": [option]}).encode())


CURVE = [{"flow": f"{flow} L/min", "head": f"{head} m"} for flow, head in ((0, 6), (80, 4.5), (150, 1))]


def water() -> Project:
    """Two pools with four pumps and eight branches, screen, filter, storm, weather and doses."""
    data = {
        "pondkit": 1,
        "title": "bench",
        "units": "si",
        "options": [
            {
                "name": "A",
                "pools": [_pool(1) | {"name": "low", "level": "-10 cm"}, _pool(3) | {"name": "high", "level": "50 cm"}],
                "links": [{"from": "high", "to": "low", "at": ["0 m", "0 m"]}],
                "water": {
                    "pumps": [{"name": f"p{i}", "check_valve": i % 2 == 0, "curve": CURVE} for i in range(4)],
                    "main": {"pipe": "sch40 4 in", "length": "5 m"},
                    "branches": [
                        {"name": f"b{i}", "to": "filter" if i < 2 else "pool", "pool": "high", "length": f"{4 + i} m"}
                        for i in range(8)
                    ],
                    "filter": {
                        "level": "80 cm",
                        "settling_area": "0.7 m^2",
                        "media_area": "0.7 m^2",
                        "passage_area": "60 cm^2",
                    },
                    "intake": {"screen_area": "0.1 m^2"},
                    "load": {"feed": "20 g/day"},
                    "storm": {},
                    "season": {"sun": "150 W/m^2"},
                    "dosing": {},
                },
            }
        ],
    }
    return load(json.dumps(data).encode())
