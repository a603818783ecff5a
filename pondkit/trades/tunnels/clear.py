"""The narrowest way through pipe and fittings between mouths and dens."""

from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.geometry.thread import Spot
from pondkit.trades.tunnels import relations as rel
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.laying import Laying


def clear_bore(tunnels: Tunnels, laid: Laying) -> tuple[Entry, Spot] | None:
    """The least clear bore, its subject the narrowest run or node, and where that lies; None without a passage."""
    on_way = _passages(tunnels, laid)
    measured = {
        (size.own_pipe or size.pipe, size.name): float(size.clear_bore)
        for size in tunnels.fittings
        if size.clear_bore is not None
    }
    found: list[tuple[Range, str, Spot]] = []
    for number, lying in enumerate(laid.runs):
        if number in on_way:
            found.append((lying.leg.pipe.bores, lying.leg.name, lying.start))
            ends = laid.ends[number]
            for node, stops in zip(lying.leg.ends, (ends.start, ends.end) if ends else ((), ()), strict=True):
                for fitting, pipe in stops:
                    if (pipe.name, fitting.removesuffix(" stem")) in measured:
                        bore = measured[pipe.name, fitting.removesuffix(" stem")]
                        found.append(
                            (
                                Range(bore, bore, bore, USER),
                                f"{fitting} at {tunnels.nodes[node].name}",
                                laid.places[node],
                            )
                        )
    if not found:
        return None
    _, name, place = min(found, key=lambda each: each[0].typical)
    bores = [entry(rel.pipe_bore, subject, bore=bore) for bore, subject, _ in found]
    return entry(rel.clear_bore, name, bores=bores), place


def _passages(tunnels: Tunnels, laid: Laying) -> set[int]:
    """Numbers of the runs on a way between mouths and dens: blind branches, such as one for flushing, are left out."""
    made = laid.made.copy()
    while loose := [
        end for end in made if made.degree(end) < 2 and tunnels.nodes[end].kind not in ("mouth", "chamber")
    ]:
        made.remove_nodes_from(loose)
    return {number for _, _, number in made.edges(data="leg")}
