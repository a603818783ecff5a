"""One kind of boulder: its figures, faults and cautions."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.entry import USER, Entry, Range, entry, input_entry, with_cautions
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.tables import Row, rows_by_name
from pondkit.core.units import COUNT, LENGTH, VOLUME
from pondkit.geometry.outline import Array
from pondkit.geometry.strip import ellipse_ring, inside_of
from pondkit.trades.stone import boulders as relations
from pondkit.trades.stone.inputs.stone import Boulder, Stone
from pondkit.trades.stone.standing import Water

LIFTING = Words(
    "Before any lift: weigh the stone, or plan by the high figure. Slings by the rating on their tags, the machine "
    "by its own rated chart on firm, level ground, nobody under or beside a hanging load. Lifting is for trained "
    "people, licensed where local law asks for it."
)
WATER_EDGE = Words(
    "Set at the water: a wet or undercut bank may give way under machine and stone; "
    "let a competent person judge it first."
)


@dataclass(frozen=True, eq=False)
class Kind:
    """Boulders of one size; in no pool they displace and cover nothing. ``of_all`` lacks what lifting one calls for."""

    boulder: Boulder
    index: int
    count: Entry
    volume: Entry
    mass: Entry
    of_all: Entry
    displaced: Entry | None
    cover: Entry | None

    @property
    def rings(self) -> tuple[Array, ...]:
        """Closed line on the site of each that is placed, longest axis eastward, shape (n, 2) [m]."""
        longest, middle, _ = in_order(self.boulder)
        return tuple(ellipse_ring(place, longest, middle) for place in self.boulder.places)


def in_order(boulder: Boulder) -> tuple[float, float, float]:
    """Longest, middle and shortest axis [m], however they were entered."""
    longest, middle, shortest = sorted(boulder.axes, reverse=True)
    return longest, middle, shortest


def span(row: Row, low: str, typical: str, high: str) -> Range:
    """The range that a row of a shipped table gives."""
    return Range(float(row[low]), float(row[typical]), float(row[high]), row["source"])


def rock_of(drawn: Stone) -> Range:
    """Density of the rock that a stone part names [kg/m³]."""
    return span(rows_by_name("trades/stone/rocks")[drawn.rock], "low_kg_m3", "typical_kg_m3", "high_kg_m3")


def kind(boulder: Boulder, index: int, rock: Range, water: Water | None, soil: str) -> Kind:
    """Figures of one kind of boulder.

    Args:
        boulder: As drawn.
        index: Its place in the document.
        rock: Density of the rock, where the boulder has none of its own [kg/m³].
        water: Its pool; None where it names none, or the pool is in trouble.
        soil: Name in the table of soils.
    """
    name, within = boulder.name, boulder.axes_within
    form = rows_by_name("trades/stone/forms")[boulder.form]
    share = span(form, "low_share", "typical_share", "high_share")
    factor = Range(1 - within, 1, 1 + within, USER)
    longest, middle, shortest = in_order(boulder)
    order = list(_order_note(boulder))
    if form["basis"] == "box":
        volume = entry(
            relations.box_volume,
            name,
            cautions=order,
            source=USER,
            share=share,
            longest=longest,
            middle=middle,
            shortest=shortest,
            axes_factor=factor,
        )
    else:
        notes = [*order, *_box_note(share.typical * middle**3, longest * middle * shortest)]
        volume = entry(
            relations.riprap_volume, name, cautions=notes, source=USER, share=share, middle=middle, axes_factor=factor
        )
    count = input_entry(name, boulder.count, COUNT)
    density = rock if boulder.density is None else boulder.density
    source = "" if density is rock else "density: user input"
    mass = entry(relations.boulder_mass, name, source=source, boulder_volume=volume, density=density)
    displaced = cover = None
    if boulder.pool is not None:
        outside = list(_outside_note(boulder, water))
        displaced = entry(
            relations.boulder_displaced,
            name,
            cautions=outside,
            source=USER,
            boulder_volume=volume,
            boulder_count=count,
            under_water=boulder.under_water,
        )
        if 0 < boulder.under_water < 1:
            cover = entry(
                relations.boulder_cover,
                name,
                cautions=[*order, *outside],
                source=USER,
                longest=longest,
                middle=middle,
                axes_factor=factor,
                boulder_count=count,
            )
    return Kind(
        boulder=boulder,
        index=index,
        count=count,
        volume=volume,
        mass=with_cautions(mass, LIFTING, *([WATER_EDGE] if boulder.pool is not None else []), *_soil_note(soil)),
        of_all=entry(relations.boulder_mass_all, name, boulder_mass=mass, boulder_count=count),
        displaced=displaced,
        cover=cover,
    )


def kind_faults(boulder: Boulder, index: int, pools: Sequence[str]) -> Iterator[Problem]:
    """A pool that is not there; more places than stones."""
    path: Path = ("stone", "boulders", index)
    if boulder.pool is not None and boulder.pool not in pools:
        yield no_such((*path, "pool"), "pool", boulder.pool, pools)
    if len(boulder.places) > boulder.count:
        yield Problem(
            (*path, "places"),
            words("{places} places are given", places=(len(boulder.places), COUNT)),
            words("at most {count}, as many as there are", count=(boulder.count, COUNT)),
            words("raise the count, or remove places"),
        )


def heaviest(kinds: Sequence[Kind]) -> Entry | None:
    """The high mass of the heaviest boulder, with the cautions of lifting it; None without boulders."""
    if not kinds:
        return None
    masses = [kind.mass for kind in kinds]
    most = max(masses, key=lambda mass: mass.most)
    highs = [mass.most for mass in masses]
    return entry(
        relations.heaviest_boulder, most.subject, cautions=most.cautions, source=most.source, high_masses=highs
    )


def _order_note(boulder: Boulder) -> Iterator[Words]:
    longest, middle, shortest = in_order(boulder)
    if tuple(boulder.axes) != (longest, middle, shortest):
        yield words(
            "The axes are not entered as longest, middle, shortest; taken as {longest}, {middle}, {shortest}.",
            longest=(longest, LENGTH),
            middle=(middle, LENGTH),
            shortest=(shortest, LENGTH),
        )


def _box_note(volume: float, box: float) -> Iterator[Words]:
    if volume > box:
        yield words(
            "By its middle axis alone the stone would hold {volume}, more than its box of {box}: "
            "choose another form, or measure again.",
            volume=(volume, VOLUME),
            box=(box, VOLUME),
        )


def _outside_note(boulder: Boulder, water: Water | None) -> Iterator[Words]:
    if water is None or not boulder.places or boulder.under_water == 0:
        return
    inside = inside_of(water.shape, water.placed, np.array(boulder.places, dtype=float))
    if not all(inside):
        yield words(
            f"{{out}} of {{placed}} places lie outside the waterline of '{boulder.pool}': "
            "a stone there takes less of its water than is counted.",
            out=(inside.count(False), COUNT),
            placed=(len(inside), COUNT),
        )


def _soil_note(soil: str) -> Iterator[Words]:
    if rows_by_name("trades/ground/soils")[soil]["slope_type"] == "C":
        yield Words(
            f"Soft or loose ground ({soil}): it may not carry machine and stone; have its bearing judged, "
            "and spread the load under both."
        )
