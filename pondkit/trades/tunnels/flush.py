"""Flushing the passages from one node, mouth by mouth: with one mouth open and the others stopped, all the water takes that way."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import networkx as nx

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Problem, Result, no_such
from pondkit.core.sentence import words
from pondkit.core.units import COUNT
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import flushes
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.joins import Join
from pondkit.trades.tunnels.laying import Laying, barred


@dataclass(frozen=True, eq=False)
class Flush(Result):
    """Flushing. Subjects are a run, or a mouth."""

    flush_velocity: tuple[Entry, ...]
    flush_time: tuple[Entry, ...]
    flush_flow_needed: tuple[Entry, ...]
    unswept_length: tuple[Entry, ...]
    rod_bends: tuple[Entry, ...]
    problems: tuple[Problem, ...]


def flush(tunnels: Tunnels, laid: Laying, volumes: Sequence[Entry], given: float | None) -> Flush:
    """What the flush does in each run, and what a rod meets between its ways in.

    Args:
        tunnels: As drawn.
        laid: The passages as they lie.
        volumes: Inner volume of each of its runs.
        given: What the flush branch gives [m³/s]; None where there is none, or it is not known: then the flow entered counts.
    """
    flow = tunnels.flush_flow if given is None else given
    rods = tuple(_rods(tunnels, laid))
    names = {node.name: index for index, node in enumerate(tunnels.nodes)}
    if tunnels.flush_from is None or flow is None:
        return Flush((), (), (), (), rods, ())
    if tunnels.flush_from not in names:
        return Flush((), (), (), (), rods, (no_such(("tunnels", "flush_from"), "node", tunnels.flush_from, names),))
    made, start = laid.made, names[tunnels.flush_from]
    _, paths = nx.single_source_dijkstra(made, start, weight="length")
    mouths = [end for end in sorted(laid.mouths) if end in paths and end != start]
    if not mouths:
        return Flush((), (), (), (), rods, (_no_mouth(names[tunnels.flush_from], tunnels.flush_from),))
    notes = [warn.ANIMALS_OUT(), *([] if tunnels.flush_check else [warn.FLUSH_SIPHON()])]
    ring = [warn.FLUSH_RING()] if nx.cycle_basis(made, start) else []
    shut = {end for end in made if barred(tunnels.nodes[end])}
    swept: dict[int, None] = {}
    times = []
    for mouth in mouths:
        runs = [made[a][b]["leg"] for a, b in itertools.pairwise(paths[mouth])]
        swept |= dict.fromkeys(runs)
        closed = [warn.GATE_SHUT_ON_FLUSH(gate=tunnels.nodes[end].name) for end in paths[mouth] if end in shut]
        times.append(
            entry(flushes.flush_time, tunnels.nodes[mouth].name, source=USER, cautions=[*closed, *notes, *ring],
                  run_volumes=[volumes[number] for number in runs], flush_flow=flow)
        )  # fmt: skip
    bores = {number: laid.runs[number].leg.pipe.bores for number in swept}
    return Flush(
        flush_velocity=tuple(
            entry(flushes.flush_velocity, laid.runs[number].leg.name, source=USER, cautions=ring, flush_flow=flow,
                  bore=bore, wanted=tunnels.flush_speed)
            for number, bore in bores.items()
        ),
        flush_time=tuple(times),
        flush_flow_needed=(
            entry(flushes.flush_flow_needed, "", source=USER, wanted=tunnels.flush_speed, widest_bore=max(bores.values(), key=lambda bore: bore.typical)),
        ),
        unswept_length=tuple(
            entry(flushes.unswept_length, run.leg.name, source=USER, run_length=run.length)
            for number, run in enumerate(laid.runs) if number not in swept
        ),
        rod_bends=rods,
        problems=(),
    )  # fmt: skip


def _rods(tunnels: Tunnels, laid: Laying) -> "list[Entry]":
    """Bends between each two neighbouring ways in for a rod: mouths, chambers and capped ends."""
    ways_in = [end for end in laid.made if laid.made.degree(end) == 1 or tunnels.nodes[end].kind == "chamber"]
    found = []
    for start in ways_in:
        for path in _onward(laid.made, start, set(ways_in)):
            if start < path[-1]:
                bends = [bend for node in path[1:-1] if node in laid.joins for bend in _met(laid.joins[node])]
                subject = f"{tunnels.nodes[start].name} – {tunnels.nodes[path[-1]].name}"
                found.append(entry(flushes.rod_bends, subject, bends=bends))
    return found


def _met(join: Join) -> Sequence[float]:
    return join.turns if len(join.stops) < 3 else (join.turns[:1] or ())


def _onward(made: "nx.Graph[int]", start: int, ends: set[int]) -> "list[list[int]]":
    """Shortest ways from a way in to the next ones, through none on the way."""
    found, seen, todo = [], {start}, [[start]]
    while todo:
        path = todo.pop(0)
        for other in made[path[-1]]:
            if other in seen:
                continue
            seen.add(other)
            if other in ends:
                found.append([*path, other])
            else:
                todo.append([*path, other])
    return found


def _no_mouth(index: int, name: str) -> Problem:
    return Problem(
        ("tunnels", "nodes", index),
        words(
            f"no mouth is joined to '{name}', from which the passages are flushed ({{mouths}} mouths)",
            mouths=(0, COUNT),
        ),
        words("a node with a way to a mouth"),
        words("choose another node, or draw the run that is missing"),
    )
