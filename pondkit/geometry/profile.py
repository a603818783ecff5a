"""Depth profiles: how deep a surface lies at a distance inward from an outline.

A profile is a row of lines, each either a face (t = run + batter z) or a level (z = depth), t being the distance
inward from the outline and z the depth below the waterline, both in metres and negative outward and upward. A surface
moved at right angles to itself is the same row of lines, each moved; the corners are where neighbours meet.

Faces fall inward, but for a lip: where the bed under a shelf's gravel lies deeper than that of the next level part, it
rises upright at the edge of that part, so that gravel lies nowhere but where it was entered.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
FAR = 1e4  # m: further than any pond
HIGH = 30.0  # m: how far up the bank is drawn
SLIT = 1e-7  # m: width that an upright face gets where depth is read at a place
SAME = 1e-9  # m: depths nearer than this are one
BANK, SEAT = -1, -2


@dataclass(frozen=True)
class Step:
    """One tier as plain numbers [m]: depth, level width behind it, batter [-] of the face above, gravel on the level
    part."""

    depth: float
    shelf: float
    batter: float
    gravel: float


@dataclass(frozen=True)
class ProfileLine:
    """A face (``level`` None) or a level of a profile.

    Attributes:
        owner: Index of its tier; BANK above the waterline, SEAT for an edging seat.
        level: Depth of a level [m].
        batter: Horizontal run per unit of drop of a face [-].
        run: Distance inward at which the face's plane meets the waterline's depth 0 [m].
        start: Depth from which the face is its tier's where it lies in one plane with the face above [m].
        lip: True for an upright face that rises inward.
    """

    owner: int
    level: float | None = None
    batter: float = 0.0
    run: float = 0.0
    start: float = 0.0
    lip: bool = False

    def at(self, depth: Array) -> Array:
        """Distance inward of a face at depths [m]."""
        return self.run + self.batter * depth

    def moved(self, normal: float) -> "ProfileLine":
        """Moved at right angles to itself, into the ground."""
        if self.level is not None:
            return replace(self, level=self.level + normal)
        if self.lip:
            return replace(self, run=self.run + normal)
        return replace(self, run=self.run - normal * math.hypot(1.0, self.batter))


@dataclass(frozen=True)
class Profile:
    """Lines from the bank inward, with the corner between each and the next: shape (lines - 1, 2) as (t, z) [m]."""

    lines: tuple[ProfileLine, ...]
    corners: tuple[tuple[float, float], ...]

    @cached_property
    def faces(self) -> tuple[tuple[float, float, ProfileLine], ...]:
        """(upper depth, lower depth, line) of every face that falls inward, in order."""
        return tuple((upper, lower, line) for upper, lower, line in self._steep if not line.lip)

    @cached_property
    def lips(self) -> tuple[tuple[float, float, ProfileLine], ...]:
        """(upper depth, lower depth, line) of every face that rises inward, in order."""
        return tuple((upper, lower, line) for lower, upper, line in self._steep if line.lip)

    @cached_property
    def _steep(self) -> tuple[tuple[float, float, ProfileLine], ...]:
        ends = [-HIGH, *(z for _, z in self.corners), math.inf]
        return tuple((ends[i], ends[i + 1], line) for i, line in enumerate(self.lines) if line.level is None)

    @cached_property
    def levels(self) -> tuple[tuple[float, float, ProfileLine], ...]:
        """(inward start, inward end, line) of every level part."""
        ends = [-FAR, *(t for t, _ in self.corners), FAR]
        return tuple((ends[i], ends[i + 1], line) for i, line in enumerate(self.lines) if line.level is not None)

    @cached_property
    def _track(self) -> tuple[Array, Array]:
        first = self.lines[0]
        points = [(first.run - first.batter * HIGH, -HIGH), *self.corners, *self._ends]
        t, z = [points[0][0]], [points[0][1]]
        for run, depth in points[1:]:
            t.append(max(run, t[-1] + SLIT))
            z.append(depth)
        return np.array(t), np.array(z)

    @property
    def _ends(self) -> list[tuple[float, float]]:
        """The last line's way on: a level to ``FAR``; a face, of a profile that is cut off above its floor, down to
        as deep."""
        last = self.lines[-1]
        if last.level is not None:
            return [(FAR, self.corners[-1][1])]
        return [(last.run + last.batter * FAR, FAR), (last.run + last.batter * FAR + FAR, FAR)]

    @property
    def breaks(self) -> Array:
        """Inward distances at which the slope changes, upright faces a slit wide [m]."""
        return self._track[0][:-1]

    def depth(self, inward: Array) -> Array:
        """Depth [m] at distances inward [m], shape as given."""
        return np.interp(inward, *self._track)

    @cached_property
    def _steps(self) -> tuple[Array, Array, Array]:
        """Lower depth, run and batter of every face from the top, and what lies deeper than all of them."""
        rows = [(lower, face.run, face.batter) for _, lower, face in self.faces] + [(math.inf, FAR, 0.0)]
        lower, run, batter = (np.array(column) for column in zip(*rows, strict=True))
        return np.maximum.accumulate(lower) if self.lips else lower, run, batter

    def inward(self, depth: Array, beyond: bool = False) -> Array:
        """Distance inward [m] at which the surface is first at least ``depth`` deep; deeper than it if ``beyond``."""
        lower, run, batter = self._steps
        z = np.asarray(depth, dtype=float)
        face = (
            np.searchsorted(lower[:-1], z + SAME, "right") if beyond else np.searchsorted(lower[:-1], z - SAME, "left")
        )
        return np.asarray(run[face] + batter[face] * z)

    def upper(self, depth: float) -> "Profile":
        """The lines that begin above a depth, the last face going on: equal for all profiles that differ only below."""
        kept = 1 + max((number for number, (_, z) in enumerate(self.corners, 1) if z < depth), default=0)
        while kept < len(self.lines) and (self.lines[kept - 1].level is not None or self.lines[kept - 1].lip):
            kept += 1
        return self if kept >= len(self.lines) else Profile(self.lines[:kept], self.corners[: kept - 1])

    @property
    def floor(self) -> float:
        """Depth of the last level [m]."""
        return self.corners[-1][1]


def profile(
    steps: Sequence[Step],
    *,
    top: float = 0.0,
    bank_batter: float | None = None,
    seat: tuple[float, float] | None = None,
    gravel: bool = False,
    normal: float = 0.0,
) -> Profile:
    """The profile of a pool or a pit.

    Args:
        steps: Tiers from the bank inward, each deeper than the one before.
        top: Depth at which the outline is drawn [m]; 0 for a pool.
        bank_batter: Batter above the waterline; None for a pit, whose edge goes straight up.
        seat: Edging seat outside the outline: width and depth of its base below the waterline [m].
        gravel: True for the surface under the gravel: level parts lie deeper, faces stay in their planes.
        normal: How far the surface is moved at right angles to itself, down and outward [m].
    """
    lines: list[ProfileLine] = []
    if bank_batter is None:
        lines.append(ProfileLine(0))
    elif seat is None or seat[0] <= -bank_batter * seat[1]:  # no seat, or one that the bank is wide enough for as it is
        lines.append(ProfileLine(BANK, batter=bank_batter))
    else:
        width, base = seat
        lines += [ProfileLine(BANK, batter=bank_batter, run=-width - bank_batter * base), ProfileLine(SEAT, level=base)]
        if base < 0:
            lines.append(ProfileLine(BANK, batter=bank_batter))
    t, z = 0.0, top
    faces: list[ProfileLine] = []
    for index, step in enumerate(steps):
        faces.append(ProfileLine(index, batter=step.batter, run=t - step.batter * z, start=z))
        t += step.batter * (step.depth - z)
        z = step.depth
        if index == len(steps) - 1 or step.shelf > 0:
            level = ProfileLine(index, level=z + (step.gravel if gravel else 0.0))
            lines += [*_up_to(lines, faces, level, t), level]
            t += step.shelf
            faces = []
    return _joined([line.moved(normal) for line in lines] if normal else lines)


def _up_to(lines: list[ProfileLine], faces: list[ProfileLine], level: ProfileLine, start: float) -> list[ProfileLine]:
    """The lines from a bed so far to the next level part: the faces in front of it, or the lip where the bed is deeper.

    Args:
        lines: The bed so far. What of it would be deeper than the next level part, but is not before that part begins,
            is cut off at its depth.
        faces: Of the finished surface in front of the next level part.
        level: Bed of that part.
        start: Distance inward at which the finished part begins [m].
    """
    before, bed = lines[-1], level.level
    assert bed is not None
    if before.owner < 0 or before.level is None or before.level <= bed:
        return faces
    # A face in front of it that goes deeper than the gravel ends it there.
    t = np.array([*(face.run + face.batter * face.start for face in faces[1:]), start])
    z = np.array([*(face.start for face in faces[1:]), bed])
    if (_joined(lines).depth(t) > z + SAME).all():
        return [ProfileLine(before.owner, run=start, lip=True)]
    for at in range(len(lines) - 1, -1, -1):
        each = lines[at]
        if each.lip:
            break
        if each.level is not None and each.owner >= 0:
            lines[at] = replace(each, level=min(each.level, bed))
    return faces


def _joined(lines: list[ProfileLine]) -> Profile:
    """Corners of neighbouring lines; a line that its neighbours leave no room is taken out."""
    lines = [line for i, line in enumerate(lines) if i == 0 or not _same(line, lines[i - 1])]
    while True:
        corners = [_corner(a, b) for a, b in itertools.pairwise(lines)]
        reversed_ = [i for i in range(1, len(lines) - 1) if _reversed(lines[i], corners[i - 1], corners[i])]
        if not reversed_:
            return Profile(tuple(lines), tuple(corners))
        first = reversed_[0]
        # Gravel that lies over the whole face behind its shelf takes the face away; else the face ends the gravel.
        over = lines[first].level is not None and first + 1 in reversed_
        if over and _corner(lines[first - 1], lines[first + 1])[1] >= corners[first + 1][1]:
            first += 1
        del lines[first]
        lines = [line for i, line in enumerate(lines) if i == 0 or not _same(line, lines[i - 1])]


def _same(a: ProfileLine, b: ProfileLine) -> bool:
    return a.owner == b.owner and a.level is None and b.level is None and _one_plane(a, b)


def _one_plane(a: ProfileLine, b: ProfileLine) -> bool:
    return abs(a.batter - b.batter) < 1e-12 and abs(a.run - b.run) < 1e-9


def _reversed(line: ProfileLine, before: tuple[float, float], after: tuple[float, float]) -> bool:
    if line.lip:
        return after[1] > before[1] + 1e-12
    return after[0] < before[0] - 1e-12 or after[1] < before[1] - 1e-12


def _corner(a: ProfileLine, b: ProfileLine) -> tuple[float, float]:
    if a.level is not None and b.level is not None:
        return (FAR, max(a.level, b.level))
    if a.level is not None:
        return (b.run + b.batter * a.level, a.level)
    if b.level is not None:
        return (a.run + a.batter * b.level, b.level)
    if _one_plane(a, b):
        return (b.run + b.batter * b.start, b.start)
    if a.lip and b.batter == 0:
        return (b.run, math.inf)  # nothing is left between a lip and an upright face that falls: no lip
    if abs(a.batter - b.batter) < 1e-12:
        # Parallel faces that are not one: the inner one starts where the outer one would end, at no depth of its own.
        return (max(a.run, b.run), -HIGH)
    z = (b.run - a.run) / (a.batter - b.batter)
    return (a.run + a.batter * z, z)
