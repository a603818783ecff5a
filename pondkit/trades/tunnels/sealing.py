"""What is part of the vessel: runs outside the liner, and the joints there that must be watertight."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Result
from pondkit.geometry.thread import Spot, at
from pondkit.trades.tunnels import relations as rel
from pondkit.trades.tunnels import seals
from pondkit.trades.tunnels.cuts import Cut
from pondkit.trades.tunnels.filling import joined_waters
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.laying import Laying
from pondkit.trades.tunnels.lying import Lying


@dataclass(frozen=True, eq=False)
class Sealing(Result):
    """What holds water outside the liner. Subjects are a run, a node, or "run, coupling 2".

    Attributes:
        seal_line: Level up to which joints are made watertight at each node that water may reach [m].
        marks: (subject, place on the site [m]) of each joint that must be watertight.
    """

    vessel_length: tuple[Entry, ...]
    joint_below_seal_line: tuple[Entry, ...]
    sealed_joint_count: Entry | None
    seal_line: dict[int, float]
    marks: tuple[tuple[str, Spot], ...]


def sealing(tunnels: Tunnels, laid: Laying, cuts: Sequence[Cut], rise: float, sound: bool) -> Sealing:
    """What must be watertight.

    Args:
        tunnels: As drawn.
        laid: The passages as they lie.
        cuts: What the saw cuts, for the couplings inside long runs.
        rise: How far the highest water stands over the level at rest [m].
        sound: False where some run is in trouble: then nothing is counted.
    """
    waters = joined_waters(laid, 0.0)
    extra = rise + tunnels.seal_margin
    vessel, joints, marks = [], [], []
    for lying in laid.runs:
        water = waters.get(lying.leg.ends[0])
        if water is not None and (outside := lying.outside()):
            half = lying.leg.pipe.outside / 2
            if (below := lying.below(water + extra + half, outside)) > 0:
                vessel.append(entry(seals.vessel_length, lying.leg.name, source=USER, length_below=below))
    for subject, place, outside_diameter, water in _joints(tunnels, laid, cuts, waters):
        figure = entry(
            seals.joint_below_seal_line, subject, source=USER, water_level=water, water_rise=rise,
            seal_margin=tunnels.seal_margin, joint_level=place[2], outside_diameter=outside_diameter,
        )  # fmt: skip
        joints.append(figure)
        if figure.value > 0:
            marks.append((subject, place))
    return Sealing(
        vessel_length=tuple(vessel),
        joint_below_seal_line=tuple(joints),
        sealed_joint_count=entry(rel.counted, "", places=[1.0] * len(marks)) if sound else None,
        seal_line={node: water + extra for node, water in waters.items()},
        marks=tuple(marks),
    )


def _joints(
    tunnels: Tunnels, laid: Laying, cuts: Sequence[Cut], waters: dict[int, float]
) -> Iterator[tuple[str, Spot, float, float]]:
    """(subject, place, outside diameter, water at rest) of every joint outside the liner that water may reach."""
    ending: dict[int, list[tuple[Lying, int]]] = {}
    for lying in laid.runs:
        for side, node in enumerate(lying.leg.ends):
            ending.setdefault(node, []).append((lying, side))
    for node, runs in sorted(ending.items()):
        made = tunnels.nodes[node]
        if made.kind != "mouth" and node in waters and not any(lying.holds(side) for lying, side in runs):
            wide = max(lying.leg.pipe.outside for lying, _ in runs)
            yield made.name, laid.places[node], wide, waters[node]
    joined = {cut.length.subject: cut.joints for cut in cuts}
    for lying in laid.runs:
        count = joined.get(lying.leg.name, 0)
        if not count or lying.leg.ends[0] not in waters:
            continue
        for number in range(1, count + 1):
            along = min(number * (lying.leg.pipe.stock or float(tunnels.stock_length)), lying.length)
            if any(low <= along <= high for low, high in lying.outside()):
                name = f"{lying.leg.name}, coupling {number}"
                yield name, at(lying.line, along), lying.leg.pipe.outside, waters[lying.leg.ends[0]]
