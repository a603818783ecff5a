"""What is dug for pipe and dens besides the pools, and what of it is filled in again."""

from dataclasses import dataclass

from pondkit.result import Result
from pondkit.surface.trench import Taken, Trenches
from pondkit.takeoff import Entry, Words, entry, holds
from pondkit.units import Volume

DEEP = (
    "Trench of 5 ft (1.5 m) or more: 29 CFR 1926 Subpart P calls for a protective system (slope, bench, shore) unless in stable rock, and for less "
    "where cave-in threatens; its upright sides are counted here, not proposed. A competent person judges the soil, and local code decides."
)
UPRIGHT = Words("Counted with upright sides: laid back or shored it takes more. Keep spoil 2 ft back from the edge.")


@holds(lambda dug: dug.deepest < 1.524, DEEP)
def pipe_trench_volume(dug: Taken) -> Volume:
    """Bank measure of the trench of one run, under the ground as it is and under what is dug for the pools.

    Working: pipe's outside and room on both sides, from ground or pool's dig down to the bottom of the bedding, over its length
    Source: geometry; room and bedding: user input
    """
    return dug.volume


@holds(lambda dug: dug.deepest < 1.524, DEEP)
def den_pit_volume(dug: Taken) -> Volume:
    """Bank measure of the pit for one den chamber, in line with its run.

    Working: outside of the box and room on both sides, from ground or pool's dig down to the bottom of the bedding
    Source: geometry; room and bedding: user input
    """
    return dug.volume


def trench_dig_volume(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """Bank measure of all trenches and den pits, shared ground once at the deepest.

    Source: geometry
    """
    return sum(each) - shared


def backfill_volume(trenches: Volume, pipes: Volume, boxes: Volume) -> Volume:
    """What is filled in again over pipe and dens, built in and compacted; bedding is not told apart.

    Source: conservation of volume
    """
    return trenches - pipes - boxes


@dataclass(frozen=True, eq=False)
class TrenchesResult(Result):
    """Trenches of the runs and pits of the dens; subjects are run and node names."""

    pipe_trench_volume: tuple[Entry, ...]
    den_pit_volume: tuple[Entry, ...]
    trench_dig_volume: Entry
    backfill_volume: Entry


def trenches(taken: Trenches, runs: int, pipes: float, boxes: float) -> TrenchesResult:
    """Entries of all trenches and pits.

    Args:
        taken: What each takes out; first the runs, then the dens.
        runs: How many of them are runs.
        pipes, boxes: Outside volume of pipe and boxes that lie in them [m³].
    """
    ways = tuple(entry(pipe_trench_volume, dug.name, cautions=[UPRIGHT], dug=dug) for dug in taken.each[:runs])
    pits = tuple(entry(den_pit_volume, dug.name, cautions=[UPRIGHT], dug=dug) for dug in taken.each[runs:])
    alone = [figure.value for figure in (*ways, *pits)]
    whole = entry(trench_dig_volume, "", each=(*ways, *pits), shared=sum(alone) - taken.together)
    return TrenchesResult(ways, pits, whole, entry(backfill_volume, "", trenches=whole.value, pipes=pipes, boxes=boxes))
