"""Depth profiles: depth of a surface at a distance inward from an outline.

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
FAR = 1e4  # m: further than any pond reaches
HIGH = 30.0  # m: height to which the bank is extended
SLIT = 1e-7  # m: width given to an upright face where depth is read at a place
SAME = 1e-9  # m: depths nearer than this are equal
BANK, SEAT = -1, -2


@dataclass(frozen=True)
class Step:
    """One tier as plain numbers [m]: depth, width of its shelf, batter [-] of the face above, gravel on the shelf."""

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
        start: Depth at which the face begins to belong to its tier, if it is in one plane with the face above [m].
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
        """The line offset normal to itself, into the ground."""
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
        """Ends of the profile beyond its last corner: a level to ``FAR``; a face, of a profile cut off above its
        floor, down to the same distance.
        """
        last = self.lines[-1]
        if last.level is not None:
            return [(FAR, self.corners[-1][1])]
        return [(last.run + last.batter * FAR, FAR), (last.run + last.batter * FAR + FAR, FAR)]

    @property
    def breaks(self) -> Array:
        """Inward distances at which the slope changes; upright faces are given a small width [m]."""
        return self._track[0][:-1]

    def depth(self, inward: Array) -> Array:
        """Depth [m] at distances inward [m], shape as given."""
        return np.interp(inward, *self._track)

    @cached_property
    def _steps(self) -> tuple[Array, Array, Array]:
        """Arrays for all faces from the top: lower depth, run, batter; the last values are those below all faces."""
        rows = [(lower, face.run, face.batter) for _, lower, face in self.faces] + [(math.inf, FAR, 0.0)]
        lower, run, batter = (np.array(column) for column in zip(*rows, strict=True))
        return np.maximum.accumulate(lower) if self.lips else lower, run, batter

    def inward(self, depth: Array, beyond: bool = False) -> Array:
        """Distance inward [m] at which the surface is first at least ``depth`` deep; deeper than that if ``beyond``."""
        lower, run, batter = self._steps
        z = np.asarray(depth, dtype=float)
        face = (
            np.searchsorted(lower[:-1], z + SAME, "right") if beyond else np.searchsorted(lower[:-1], z - SAME, "left")
        )
        return np.asarray(run[face] + batter[face] * z)

    def upper(self, depth: float) -> "Profile":
        """The lines that begin above a depth, with the last face extended: equal for all profiles that
        differ only below.
        """
        count = 1 + max((number for number, (_, z) in enumerate(self.corners, 1) if z < depth), default=0)
        while count < len(self.lines) and (self.lines[count - 1].level is not None or self.lines[count - 1].lip):
            count += 1
        return self if count >= len(self.lines) else Profile(self.lines[:count], self.corners[: count - 1])

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
    """Profile of a pool or a pit.

    Args:
        steps: Tiers from the bank inward, each deeper than the one before.
        top: Depth of the outline [m]; 0 for a pool.
        bank_batter: Batter above the waterline; None for a pit, whose edge is vertical.
        seat: Edging seat outside the outline: width and depth of its base below the waterline [m].
        gravel: True for the surface under the gravel, where level parts are deeper and faces stay in their planes.
        normal: Offset of the surface normal to itself, down and outward [m].
    """
    lines: list[ProfileLine] = []
    if bank_batter is None:
        lines.append(ProfileLine(0))
    elif seat is None or seat[0] <= -bank_batter * seat[1]:  # no seat, or one that fits within the bank
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
    """Lines from a bed to the next level part: the faces before it, or the lip if the bed is deeper.

    Args:
        lines: Lines of the bed up to here; those deeper than the next level part after that part begins are cut off at
            its depth.
        faces: Faces of the finished surface before the next level part.
        level: Depth of the bed of that part [m].
        start: Distance inward at which the finished part begins [m].
    """
    before, bed = lines[-1], level.level
    assert bed is not None
    if before.owner < 0 or before.level is None or before.level <= bed:
        return faces
    # A face before it that is deeper than the gravel ends it there.
    t = np.array([*(face.run + face.batter * face.start for face in faces[1:]), start])
    z = np.array([*(face.start for face in faces[1:]), bed])
    if (_joined(lines).depth(t) > z + SAME).all():
        return [ProfileLine(before.owner, run=start, lip=True)]
    for index in range(len(lines) - 1, -1, -1):
        line = lines[index]
        if line.lip:
            break
        if line.level is not None and line.owner >= 0:
            lines[index] = replace(line, level=min(line.level, bed))
    return faces


def _joined(lines: list[ProfileLine]) -> Profile:
    """Profile with the corners of neighbouring lines; lines without room between their neighbours are removed."""
    lines = [line for i, line in enumerate(lines) if i == 0 or not _same(line, lines[i - 1])]
    while True:
        corners = [_corner(a, b) for a, b in itertools.pairwise(lines)]
        reversed_ = [i for i in range(1, len(lines) - 1) if _reversed(lines[i], corners[i - 1], corners[i])]
        if not reversed_:
            return Profile(tuple(lines), tuple(corners))
        first = reversed_[0]
        # Gravel deeper than the whole face behind its shelf removes the face; otherwise the face ends the gravel.
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
        return (b.run, math.inf)  # no room between a lip and a falling upright face: no lip
    if abs(a.batter - b.batter) < 1e-12:
        # Parallel faces in different planes: the inner one starts where the outer one ends, without a depth of its own.
        return (max(a.run, b.run), -HIGH)
    z = (b.run - a.run) / (a.batter - b.batter)
    return (a.run + a.batter * z, z)
