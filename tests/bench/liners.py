"""Liner sizes of random designs against lines laid every centimetre: ``python -m tests.bench.liners 200 [FIRST]``.

A liner should be no shorter than over those lines, to 2 mm, and no longer than over them and the finer ones beside the
longest, to 10 mm: a peak may be narrower than a centimetre. Finer lines alone would ask for too much: within a fraction
of a millimetre of where a line just meets a round upright pit they find ways that no sheet needs.

Convex and concave outlines, pits across slopes, one to three pools under one liner, upright and sloped faces.
"""

import json
import sys
from typing import Any

import numpy as np

from pondkit import load
from pondkit.geometry.lines import rays_at
from pondkit.geometry.outline import Array
from pondkit.geometry.sheet import Ways, edges_across, margin_of, ways_of
from pondkit.geometry.site_surface import grounded, trace
from pondkit.study.evaluate import evaluate
from pondkit.trades.liner.results import LinerFootprint

SPACING = 0.01  # m between lines; beside the longest ones lines lie up to a thousand times as near
PEAKS = 4  # longest lines on each side beside which they lie
SAMPLES = 400  # on each
REFERENCES = 4001  # reference lines tried
AT_ONCE = 60  # lines


def outline(rng: np.random.Generator, long: float, wide: float) -> dict[str, Any]:
    kind = rng.integers(0, 6)
    if kind == 0:
        return {"shape": "ellipse", "length": 2 * long, "width": 2 * wide}
    if kind == 1:
        radius = float(rng.choice([0, 0.3]))
        return {"shape": "rectangle", "length": 2 * long, "width": 2 * wide, "corner_radius": radius}
    count = int(rng.integers(4, 14))
    angle = 2 * np.pi * (np.arange(count) + rng.uniform(-0.35, 0.35, count)) / count
    radius = 1 - rng.uniform(0, 0.6) * rng.uniform(0, 1, count)
    points = np.stack([long * np.cos(angle) * radius, wide * np.sin(angle) * radius], axis=1)
    return {"shape": "points", "points": points.round(3).tolist(), "smooth": bool(rng.random() < 0.3)}


def pool(rng: np.random.Generator, name: str, at: list[float], size: float) -> dict[str, Any]:
    long, wide = size * rng.uniform(2, 6), size * rng.uniform(1.5, 4)
    tiers, depth = [], 0.0
    for index in range(rng.integers(1, 4)):
        depth = round(depth + rng.uniform(0.1, 0.5), 3)
        tier = {"zone": f"zone {index}", "depth": depth, "shelf": float(rng.choice([0, rng.uniform(0.2, 0.9)]))}
        tiers.append(
            tier | {"batter": float(rng.choice([0, rng.uniform(0.2, 2)])), "gravel": float(rng.choice([0, 0.05]))}
        )
    made: dict[str, Any] = {
        "name": name,
        "level": rng.uniform(-0.3, 0.6),
        "freeboard": rng.uniform(0.05, 0.25),
        "bank_batter": float(rng.choice([0, rng.uniform(0.2, 1.5)])),
        "turn_deg": rng.uniform(0, 180),
        "at": at,
        "outline": outline(rng, long, wide),
        "tiers": tiers,
    }
    if rng.random() < 0.45:
        across = rng.uniform(0.6, 1.4)
        rectangle = {"shape": "rectangle", "length": across, "width": 0.6 * across}
        drawn = rectangle if rng.random() < 0.5 else {"shape": "circle", "diameter": across}
        floor = {
            "zone": "pit",
            "depth": depth + rng.uniform(0.1, 0.7),
            "batter": float(rng.choice([0, rng.uniform(0.1, 0.8)])),
        }
        place = [rng.uniform(-0.5, 0.5), rng.uniform(-0.4, 0.4)]
        made["pits"] = [
            {
                "at": place,
                "top": rng.uniform(0.05, depth),
                "turn_deg": rng.uniform(0, 90),
                "outline": drawn,
                "tiers": [floor],
            }
        ]
    return made


def design(seed: int, size: float = 1.0, pools: tuple[int, ...] = (1, 1, 1, 2, 3)) -> LinerFootprint | None:
    """The liner of a random design; None where not all of its pools can be drawn."""
    rng = np.random.default_rng(seed)
    drawn = [
        pool(rng, f"pool {index}", [index * 11.0 * size, rng.uniform(-3, 3)], size)
        for index in range(rng.choice(pools))
    ]
    liner: dict[str, Any] = {"name": "liner", "covers": [one["name"] for one in drawn]}
    if rng.random() < 0.7:
        liner["turn_deg"] = rng.uniform(0, 180)
    lining = {
        "edge": float(rng.choice([0, 0.3, 0.6])),
        "stock_width": "100 m",
        "stock_length": "100 m",
        "underlay": None,
        "liners": [liner],
    }
    option = {"name": "A", "pools": drawn, "lining": lining}
    result = evaluate(load(json.dumps({"pondkit": 1, "units": "si", "options": [option]}).encode())).options[0]
    whole = len(result.pools) == len(drawn) and result.lining is not None and result.lining.liners
    return result.lining.liners[0].footprint if whole and result.lining else None


def dense(under: LinerFootprint, turn_deg: float, spacing: float = SPACING) -> tuple[float, float]:
    """Length of a liner in one direction over evenly spaced lines, and over them and finer ones beside the longest [m].

    Where an outline turns back across lines a pool or an upright face begins at once: there lie lines on either side.
    """
    outlines = tuple(outline for laid in under.surfaces for outline in laid.outlines())
    margin = margin_of(under.surfaces, under.edge)
    turned = np.radians(turn_deg)
    corners = np.concatenate([placed.to_site(shape.coords) for shape, placed in outlines])
    along, across = corners @ [np.cos(turned), np.sin(turned)], corners @ [-np.sin(turned), np.cos(turned)]

    def laid_at(offsets: Array) -> list[Ways]:
        made = []
        for start in range(0, len(offsets), AT_ONCE):
            lines = rays_at(outlines, turn_deg, margin, SAMPLES, tuple(offsets[start : start + AT_ONCE].tolist()))
            nodes = grounded(trace(lines, under.surfaces, under.edge), under.surfaces)
            made.append(ways_of(nodes, lines.offsets, under.surfaces, under.edge))
        return [one for one in made if len(one.rows)]

    def longest(ways: list[Ways], reference: Array) -> tuple[Array, Array]:
        sides = [one.sides(reference) for one in ways]
        left, right = (np.max([both[side].max(axis=0) for both in sides], axis=0) for side in (0, 1))
        return left, right

    def least(ways: list[Ways], lengths: Array) -> float:
        best = int(lengths.argmin())
        finer = np.linspace(reference[max(best - 1, 0)], reference[min(best + 1, REFERENCES - 1)], 201)
        return float(sum(longest(ways, finer)).min())

    even = np.arange(across.min() - margin, across.max() + margin, spacing)
    ways = laid_at(np.unique(np.concatenate([even, *edges_across(under.surfaces, outlines, turn_deg)])))
    reference: Array = np.linspace(along.min() - margin, along.max() + margin, REFERENCES)
    left, right = longest(ways, reference)
    plain = least(ways, left + right)
    for wide in (spacing, spacing / 10, spacing / 100):
        at = reference[[int((left + right).argmin())]]
        near = np.linspace(-wide, wide, 21)[1:-1]
        more = laid_at(np.unique(np.concatenate([peak + near for peak in _peaks(ways, at, 2 * wide)])))
        left, right = np.maximum((left, right), longest(more, reference))
        ways += more
    return plain, least(ways, left + right)


def _peaks(ways: list[Ways], reference: Array, apart: float) -> list[float]:
    """Offsets of the longest lines on each side of a reference line, no two of a side nearer than ``apart`` [m]."""
    offsets = np.concatenate([one.every[one.rows] for one in ways])
    found: list[float] = []
    for side in (0, 1):
        values = np.concatenate([one.sides(reference)[side][:, 0] for one in ways])
        own: list[float] = []
        for at in offsets[np.argsort(-values, kind="stable")]:
            if len(own) < PEAKS and all(abs(at - other) > apart for other in own):
                own.append(float(at))
        found += own
    return found


def differences(under: LinerFootprint, spacing: float = SPACING) -> Array:
    """Length and width of a liner less the dense ones, by even lines and by all, shape (2, 2) [m]."""
    sides = ((under.along, under.turn_deg), (under.across, under.turn_deg + 90.0))
    return np.array([np.subtract(sheet.length, dense(under, turn, spacing)) for sheet, turn in sides])


def main(count: int, first: int) -> None:
    """So many designs, from a seed on."""
    seed, every = first - 1, []
    while len(every) < count:
        seed += 1
        under = design(seed)
        if under is not None:
            every.append(1e3 * differences(under))
            print(seed, *(f"{even:+.1f} ({finer:+.1f}) mm" for even, finer in every[-1]), flush=True)
    even, finer = np.moveaxis(np.array(every), 2, 0)
    print(f"{count} designs: from {even.min():+.1f} mm of even lines to {finer.max():+.1f} mm of all")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
