"""Small projects with passages, in SI: a pool of 8 x 6 m with faces of batter 0.5, level 0, ground level 0."""

import json
from collections.abc import Sequence
from typing import Any

from pondkit import load
from pondkit.core.entry import Entry
from pondkit.study.evaluate import OptionResult, evaluate

POOL = {
    "name": "pool",
    "level": 0,
    "outline": {"shape": "rectangle", "length": 8, "width": 6},
    "tiers": [{"zone": "deep", "depth": 1.2, "batter": 0.5}],
}
LINED = {"liners": [{"name": "liner", "covers": ["pool"]}]}
Node = tuple[str, str, tuple[float, float, float]]


def sketch(
    nodes: Sequence[Node],
    runs: Sequence[tuple[str, ...]],
    pools: Sequence[dict[str, Any]] = (POOL,),
    lining: dict[str, Any] | None = None,
    site: dict[str, Any] | None = None,
    option: dict[str, Any] | None = None,
    **tunnels: Any,
) -> OptionResult:
    """One option worked out, with ``option`` as further keys of it. A run is (from, to) or
    (from, to, pipe); a chamber gets a size.
    """
    made = [
        {"name": name, "kind": kind, "at": list(at)}
        | ({"size": ["60 cm", "45 cm", "40 cm"]} if kind == "chamber" else {})
        for name, kind, at in nodes
    ]
    drawn = [{"from": run[0], "to": run[1]} | ({"pipe": run[2]} if len(run) > 2 else {}) for run in runs]
    made_option = (
        {
            "name": "A",
            "pools": list(pools),
            "tunnels": {"pipe": "sch40 4 in", "stock_length": "3 m", "nodes": made, "runs": drawn} | tunnels,
        }
        | ({"lining": lining} if lining else {})
        | (option or {})
    )
    file = {"pondkit": 1, "units": "si", "site": site or {}, "options": [made_option]}
    return evaluate(load(json.dumps(file).encode())).options[0]


def figures(result: OptionResult, key: str) -> dict[str, Entry]:
    """Entries of a key, by subject."""
    return {figure.subject: figure for name, figure in result.entries() if name == key}


def value(result: OptionResult, key: str, subject: str = "") -> float:
    return figures(result, key)[subject].value


def said(result: OptionResult) -> str:
    """All problems in one text."""
    return " | ".join(f"{p.given.text}; {p.allowed.text}; {p.mend.text}" for p in result.problems)


def cautions(figure: Entry) -> str:
    return " | ".join(caution.text for caution in figure.cautions)
