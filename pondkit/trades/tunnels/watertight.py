"""What is part of the vessel: runs outside the liner, and the joints there that must be watertight."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Result
from pondkit.geometry.line_intersection import Spot, at
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.cuts import RunCut
from pondkit.trades.tunnels.formulas import pipe as pipe_formulas
from pondkit.trades.tunnels.formulas import watertight as watertight_formulas
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.runs import RunAlignment
from pondkit.trades.tunnels.water_and_air import highest_waters


@dataclass(frozen=True, eq=False)
class WatertightJoints(Result):
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


def watertight_joints(
    tunnels: Tunnels, alignment: Alignment, cuts: Sequence[RunCut], rise: float, sound: bool
) -> WatertightJoints:
    """What must be watertight.

    Args:
        tunnels: As drawn.
        alignment: Where mouths, runs and joints lie.
        cuts: What the saw cuts, for the couplings inside long runs.
        rise: How far the highest water stands over the level at rest [m].
        sound: False where some run is in trouble: then nothing is counted.
    """
    waters = highest_waters(alignment, 0.0)
    extra = rise + tunnels.seal_margin
    vessel, joints, marks = [], [], []
    for run in alignment.runs:
        water = waters.get(run.ends[0])
        if water is not None and (outside := run.outside()):
            half = run.pipe.outside / 2
            if (below := run.below(water + extra + half, outside)) > 0:
                vessel.append(entry(watertight_formulas.vessel_length, run.name, source=USER, length_below=below))
    for subject, place, outside_diameter, water in _joints(tunnels, alignment, cuts, waters):
        figure = entry(
            watertight_formulas.joint_below_seal_line,
            subject,
            source=USER,
            water_level=water,
            water_rise=rise,
            seal_margin=tunnels.seal_margin,
            joint_level=place[2],
            outside_diameter=outside_diameter,
        )
        joints.append(figure)
        if figure.value > 0:
            marks.append((subject, place))
    return WatertightJoints(
        vessel_length=tuple(vessel),
        joint_below_seal_line=tuple(joints),
        sealed_joint_count=entry(pipe_formulas.counted, "", places=[1.0] * len(marks)) if sound else None,
        seal_line={node: water + extra for node, water in waters.items()},
        marks=tuple(marks),
    )


def _joints(
    tunnels: Tunnels, alignment: Alignment, cuts: Sequence[RunCut], waters: dict[int, float]
) -> Iterator[tuple[str, Spot, float, float]]:
    """(subject, place, outside diameter, water at rest) of every joint outside the liner that water may reach."""
    ending: dict[int, list[tuple[RunAlignment, int]]] = {}
    for run in alignment.runs:
        for side, node in enumerate(run.ends):
            ending.setdefault(node, []).append((run, side))
    for node, runs in sorted(ending.items()):
        drawn_node = tunnels.nodes[node]
        if drawn_node.kind != "mouth" and node in waters and not any(run.holds(side) for run, side in runs):
            wide = max(run.pipe.outside for run, _ in runs)
            yield drawn_node.name, alignment.places[node], wide, waters[node]
    joined = {cut.length.subject: cut.joints for cut in cuts}
    for run in alignment.runs:
        count = joined.get(run.name, 0)
        if not count or run.ends[0] not in waters:
            continue
        for number in range(1, count + 1):
            along = min(number * (run.pipe.stock or float(tunnels.stock_length)), run.length)
            if any(low <= along <= high for low, high in run.outside()):
                name = f"{run.name}, coupling {number}"
                yield name, at(run.line, along), run.pipe.outside, waters[run.ends[0]]
