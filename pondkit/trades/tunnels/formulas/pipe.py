"""Runs longer than a stock length: their pieces, the couplings between, and the lengths that all runs take."""

import math
from collections.abc import Callable, Mapping, Sequence

from pondkit.core.entry import holds
from pondkit.core.units import Angle, Count, Length, Ratio, Volume
from pondkit.solvers.cutting_stock.plan import CLOSE, Plan, plan
from pondkit.solvers.cutting_stock.proving import full_plan
from pondkit.trades.tunnels import cautions as warn


def pieces(cut_length: float, stock_length: float) -> tuple[float, ...]:
    """Pieces of one run [m]: whole stock lengths and a rest, joined with couplings; one piece where a length is
    enough."""
    whole = max(math.ceil(cut_length / stock_length - CLOSE) - 1, 0)
    return (stock_length,) * whole + (cut_length - whole * stock_length,)


def joints(length: float, stock_length: float, coupling_stop: float) -> int:
    """Couplings inside a run of pipe that is ``length`` from stop to stop [m]; each sets its two pipes apart by twice
    its stop."""
    return max(math.ceil((length + 2 * coupling_stop) / (stock_length + 2 * coupling_stop) - CLOSE) - 1, 0)


def lengths_needed(
    cut_lengths: Sequence[float],
    stock_length: float,
    kerf: float,
    make: "Callable[[Sequence[float], float, float], Plan] | None" = None,
) -> int:
    """Stock lengths of the best plan found, for runs of these cut lengths [m], by ``plan`` or another maker of
    plans."""
    split = [pieces(length, stock_length) for length in cut_lengths]
    return sum(len(own) - 1 for own in split) + len(
        (make or plan)([own[-1] for own in split], stock_length, kerf).stock
    )


def run_length(east: Length, north: Length, rise: Length) -> Length:
    """True length of a run, node to node, along the pipe's centre line.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2 + rise**2)


def run_slope(rise: Length, level_distance: Length) -> Ratio:
    """Rise per horizontal distance from the run's first node to its second; negative where it falls.

    Source: geometry
    """
    return rise / level_distance


def cut_length(
    run_length: Length,
    from_stop: Length,
    to_stop: Length,
    setback: Length,
    mouth_reach: Length,
    joints: Count,
    coupling_stop: Length,
) -> Length:
    """Length of pipe that the saw cuts for a run; pipe ends bottom at the stops, kerf apart.

    Source: node to node less centre-to-stop of the fitting at each end (common practice, no source); at a mouth the
    pipe reaches on by half its outside diameter times the batter of the face; set back where two fittings make a bend
    beside the node

    3 m from node to node, an elbow of 0.10 m at one end and a tee of 0.15 m at the other:

    >>> cut_length(3.0, 0.10, 0.15, 0, 0, 0, 0)
    2.75
    """
    return run_length - from_stop - to_stop - setback + mouth_reach - 2 * joints * coupling_stop


def stub_length(socket: Length) -> Length:
    """The short piece between two fittings that stand one behind the other: it fills both their sockets.

    Source: common practice, no source
    """
    return 2 * socket


def turn_move(far: Length, bend: Angle, made: Angle) -> Length:
    """How far the furthest place moves when the line beyond a node is turned to the angle of one fitting.

    Working: chord of the circle at distance far, over the angle between bend, as drawn, and made, the fitting's own
    Source: geometry
    """
    return 2 * far * math.sin(math.radians(abs(made - bend)) / 2)


def shift_move(spacing: Length, aside: Ratio) -> Length:
    """How far the line beyond a node is shifted by two fittings turned against each other.

    Source: geometry: their spacing centre to centre, times the share of it that leaves the plane of the bend
    """
    return spacing * aside


def sharpest_bend(bends: tuple[Angle, ...]) -> Angle:
    """The sharpest single bend that an animal or a drain rod must pass.

    Working: greatest of bends
    Source: angles of the fittings
    """
    return max(bends)


def node_moved(east: Length, north: Length, up: Length) -> Length:
    """How far a node lies from where it is drawn, once listed fittings make all bends.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2 + up**2)


def mouth_reach(outside_diameter: Length, batter: Ratio) -> Length:
    """How far a pipe reaches past its mouth's node, so that all of its end can be cut to the face.

    Source: geometry
    """
    return outside_diameter / 2 * batter


def run_in_water(pieces: tuple[Length, ...]) -> Length:
    """Length of the centre line that lies in a pool below its level.

    Source: geometry: stretches between the places where the run passes a pool's surface or level
    """
    return sum(pieces)


def run_free(pieces: tuple[Length, ...]) -> Length:
    """Length of the centre line that lies inside a rim, above the finished surface and above the water.

    Source: geometry: stretches between the places where the run passes a pool's surface or level
    """
    return sum(pieces)


def run_in_ground(run_length: Length, run_in_water: Length, run_free: Length) -> Length:
    """Length of the centre line below the finished surface, or outside every rim.

    Source: geometry
    """
    return run_length - run_in_water - run_free


def run_volume(bore: Length, run_length: Length) -> Volume:
    """Inner volume of a run, node to node.

    Source: geometry: area of the bore times length
    """
    return math.pi / 4 * bore**2 * run_length


def wall_volume(outside_diameter: Length, bore: Length, length_in_water: Length) -> Volume:
    """What a pipe open to the basin displaces there: its walls.

    Source: geometry: area of the ring of wall times length
    """
    return math.pi / 4 * (outside_diameter**2 - bore**2) * length_in_water


def sealed_volume(outside_diameter: Length, length_in_water: Length) -> Volume:
    """What a sealed dry pipe displaces: its whole outer volume.

    Source: geometry: area of the outside diameter times length
    """
    return math.pi / 4 * outside_diameter**2 * length_in_water


def flooded_volume(bore: Length, flooded_length: Length) -> Volume:
    """Water that stands in a pipe outside the basins.

    Source: geometry: area of the bore times the length below the level of the water that reaches it
    """
    return math.pi / 4 * bore**2 * flooded_length


@holds(lambda water_level, node_level: node_level < water_level, warn.MOUTH_NOT_UNDER_WATER)
def mouth_depth(water_level: Length, node_level: Length) -> Length:
    """Depth of a mouth's centre below the water at rest; negative above it.

    Source: geometry
    """
    return water_level - node_level


@holds(
    lambda node_level, bore, water_level: node_level - bore / 2 >= water_level,
    warn.DEN_FLOODS,
)
def den_floor_above_water(node_level: Length, bore: Length, water_level: Length) -> Length:
    """Den floor above the highest water that its passages open to; the floor lies at the pipe's invert.

    Source: geometry; floor at the invert: common practice, no source
    """
    return node_level - bore / 2 - water_level


def swim(stretches: tuple[Length, ...]) -> Length:
    """Length of a way under water from one place with open air to the next, down to a mouth and up from it as well.

    Source: geometry: true lengths of the pipe's centre line below the highest water
    """
    return sum(stretches)


def swim_back(stretches: tuple[Length, ...]) -> Length:
    """Length of a way under water to a place that is blocked, and back the same way.

    Source: geometry: true lengths of the pipe's centre line below the highest water, there and back
    """
    return 2 * sum(stretches)


def pipe_bore(bore: Length) -> Length:
    """Inside diameter of a pipe, or the clear bore of a fitting.

    Source: the pipe's table, or as measured
    """
    return bore


def clear_bore(bores: tuple[Length, ...]) -> Length:
    """The narrowest clear way through all pipe and fittings between mouths and dens.

    Source: bores of the pipe; fittings as measured, else taken as wide as their pipe (common practice, no source)
    """
    return min(bores)


def chamber_volume(length: Length, width: Length, height: Length) -> Volume:
    """Inside volume of a chamber as a box.

    Source: geometry
    """
    return length * width * height


def chamber_displaced(
    length: Length, width: Length, water_level: Length, floor_level: Length, height: Length
) -> Volume:
    """What a dry chamber that stands in a pool's water displaces; its walls are not counted.

    Source: geometry: inside length and width times the height below the water
    """
    return length * width * min(water_level - floor_level, height)


@holds(
    lambda water_level, crossing_level: crossing_level >= water_level,
    warn.PENETRATION_UNDER_WATER,
)
def penetration_depth(water_level: Length, crossing_level: Length) -> Length:
    """Depth below the water at rest at which a pipe passes the liner; negative above the water.

    Source: geometry; the caution: common practice, no source
    """
    return water_level - crossing_level


def penetration_below_rim(rim_level: Length, crossing_level: Length) -> Length:
    """Depth below the rim at which a pipe passes the liner.

    Source: geometry
    """
    return rim_level - crossing_level


def penetration_size(outside_diameter: Length) -> Length:
    """Outside diameter of the pipe where it passes the liner: what its boot or flange is ordered for.

    Source: the pipe's table
    """
    return outside_diameter


def counted(places: tuple[Count, ...]) -> Count:
    """How many of one thing there are, summed over the places where it stands.

    Source: counted over nodes, joints and crossings
    """
    return sum(places)


def lengths_proven(cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length) -> Count:
    """Stock lengths to buy; no fewer would do.

    Working: pieces longest first, each into the first length with room for it and its kerf, then a search for a plan
    with fewer lengths; proven least, by the length of all pieces or by the search
    Source: first-fit-decreasing with the length bound and an exhaustive search
    """
    return lengths_needed(cut_lengths, stock_length, kerf)


def lengths_found(cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length) -> Count:
    """Stock lengths to buy, where the search for fewer was broken off.

    Working: pieces longest first, each into the first length with room for it and its kerf, then a search for a plan
    with fewer lengths, broken off at its limit
    Source: first-fit-decreasing with the length bound and a limited search
    """
    return lengths_needed(cut_lengths, stock_length, kerf)


def lengths_searched(
    cut_lengths: tuple[Length, ...], stock_length: Length, kerf: Length, found: Mapping[tuple[float, ...], int]
) -> Count:
    """Stock lengths to buy, looked for further; ``found`` holds what was found for some cut lengths [m].

    Working: the best of the quick plan, of fills of one length after the other, and of patterns of a linear program,
    against dual feasible functions and the bound of that program; low and high by the fills alone
    Source: minimum bin slack (Gupta and Ho 1999); bounds of Fekete and Schepers (2001); column generation (Gilmore and
        Gomory 1961) with Farley's bound
    """
    return found.get(cut_lengths) or lengths_needed(cut_lengths, stock_length, kerf, full_plan)


def pipe_length_order(pipe_lengths_to_buy: Count, stock_length: Length) -> Length:
    """Length of pipe bought.

    Source: stock lengths times their length
    """
    return pipe_lengths_to_buy * stock_length


def offcut_length(pipe_length_order: Length, cut_lengths: tuple[Length, ...]) -> Length:
    """What is left of the lengths bought, saw kerfs among it.

    Source: conservation of length
    """
    return pipe_length_order - sum(cut_lengths)
