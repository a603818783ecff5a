"""Problems between parts of an option (names, links, pools that overlap, stone that leaves no water), and cautions on
figures of the option as a whole.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from pondkit.core import tables
from pondkit.core.caution import CHECK, REMINDER, Caution, CautionRule
from pondkit.core.result import Holder, Path, Problem, ToFill, no_such
from pondkit.core.sentence import words
from pondkit.core.units import AREA, LENGTH, VOLUME
from pondkit.geometry.footprint import Gap
from pondkit.project.project import Option, Project, Site
from pondkit.trades.cost.quotation import step_faults
from pondkit.trades.cost.results import Price
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import StoneResult

SHARED = ("site", "prices")  # paths of shared parts, whose problems are reported once


def of_parts(parts: Iterable[Any]) -> Iterator[Problem]:
    """Problems of some results; None stands for a part that the option does not have."""
    for part in parts:
        if part is not None:
            yield from part.problems


def overfull(pools: Sequence[PoolResult], stone: StoneResult) -> Iterator[Problem]:
    """Problem of stone that displaces all the water of its pool."""
    gross = {pool.name: pool.gross_volume.value for pool in pools}
    for figure in stone.stone_displaced:
        if figure.value >= gross[figure.subject]:
            yield Problem(
                ("stone",),
                words(f"the stone in '{figure.subject}' displaces {{stone}}", stone=(figure.value, VOLUME)),
                words("less than its gross volume, {gross}", gross=(gross[figure.subject], VOLUME)),
                words("set fewer or smaller stones there, less of each under water, or deepen the pool"),
            )


def names_twice(option: Option) -> Iterator[Problem]:
    """Problem of a name that two parts of one kind share: pools, liners, boulders, lines of pipe and the like."""
    groups: dict[Path, Sequence[Any]] = {
        ("pools",): option.pools,
        ("lining", "liners"): option.lining.liners if option.lining else (),
        ("stone", "boulders"): option.stone.boulders if option.stone else (),
        ("lifting", "positions"): option.lifting.positions if option.lifting else (),
        ("walls", "walls"): option.walls.walls if option.walls else (),
        ("stone", "slings"): option.stone.slings if option.stone else (),
        ("tunnels", "nodes"): option.tunnels.nodes if option.tunnels else (),
        ("tunnels", "own_pipes"): option.tunnels.own_pipes if option.tunnels else (),
        ("water", "own_pipes"): option.water.own_pipes if option.water else (),
        ("dig", "tapes"): option.dig.tapes if option.dig else (),
        ("animals", "kinds"): option.animals.kinds if option.animals else (),
    }
    for path, parts in groups.items():
        yield from twice(path, parts)
    if water := option.water:
        # Figures of lines are told apart by name alone, whatever the line is.
        lines: list[tuple[Path, Any]] = [(("water", "pumps", index), pump) for index, pump in enumerate(water.pumps)]
        lines += [(("water", name), line) for name in ("main", "passage") if (line := getattr(water, name))]
        lines += [(("water", "branches", index), branch) for index, branch in enumerate(water.branches)]
        yield from _named_twice(lines)


def of_project(
    project: Project, of_options: Sequence[tuple[Problem, ...]], prices: Sequence[Price]
) -> Iterator[tuple[Path, Problem]]:
    """Every problem of a project with its path, beginning with those of shared parts, each once.

    Args:
        project: The design.
        of_options: Problems of each option, with paths in it or in a part that all share.
        prices: Prices of the options that use the job's price list.
    """
    yield from ((problem.path, problem) for problem in _priced_nowhere(prices))
    yield from placed(of_options)
    steps = step_faults(project.quotation.steps) if project.quotation else ()
    for problem in (*twice(("options",), project.options), *_chosen_unknown(project), *steps):
        yield problem.path, problem


def placed(of_options: Sequence[tuple[Any, ...]]) -> Iterator[tuple[Path, Any]]:
    """Items of each option with their paths in the project; those of shared parts first, each once."""
    every = [(index, item) for index, items in enumerate(of_options) for item in items]
    for item in dict.fromkeys(item for _, item in every if item.path[0] in SHARED):
        yield item.path, item
    for index, item in every:
        if item.path[0] not in SHARED:
            yield ("options", index, *item.path), item


def _priced_nowhere(prices: Sequence[Price]) -> Iterator[Problem]:
    """Problem of a line in the job's price list that names a part which none of the options has that use the list."""
    absent = [dict(price.absent) for price in prices]
    for line in sorted(set.intersection(*map(set, absent))) if absent else ():
        yield absent[0][line]


def _chosen_unknown(project: Project) -> Iterator[Problem]:
    """Problem of a chosen option that does not exist."""
    names = [option.name for option in project.options]
    if project.chosen and project.chosen not in names:
        yield no_such(("chosen",), "option", project.chosen, names)


def twice(path: Path, parts: Sequence[Any]) -> Iterator[Problem]:
    """Problem of a name that two parts of a list share."""
    yield from _named_twice(((*path, index), part) for index, part in enumerate(parts))


def _named_twice(named: Iterable[tuple[Path, Any]]) -> Iterator[Problem]:
    """Problem of a name that two parts share, each given with its path."""
    met: set[str] = set()
    for path, part in named:
        if part.name in met:
            yield Problem(
                (*path, "name"),
                words(f"'{part.name}' stands twice"),
                words("each has a name of its own"),
                words("rename one of the two"),
            )
        met.add(part.name)


def link_problems(option: Option) -> Iterator[Problem]:
    """Problems of links: to no pool, from a pool to itself, or uphill."""
    levels = {pool.name: pool.level for pool in option.pools}
    for index, link in enumerate(option.links):
        path = ("links", index)
        for field, name in (("from_", link.from_), ("to", link.to)):
            if name not in levels:
                yield no_such((*path, field), "pool", name, levels)
        if link.from_ == link.to:
            yield Problem(
                (*path, "to"),
                words("the link runs from a pool to itself"),
                words("two pools"),
                words("choose another pool, or remove the link"),
            )
        elif link.from_ in levels and link.to in levels and levels[link.from_] < levels[link.to]:
            given = words(
                "it runs uphill, from {upper} to {lower}",
                upper=(levels[link.from_], LENGTH),
                lower=(levels[link.to], LENGTH),
            )
            yield Problem(
                (*path, "from_"),
                given,
                words("from the higher level to the lower"),
                words("exchange the two pools, or change a level"),
            )


def over_ground(pools: Sequence[PoolResult]) -> Iterator[Problem]:
    """Problem of a pool whose dig surface is entirely above the ground, so that it is built up instead of dug."""
    for pool in pools:
        if pool.dig_depth is not None and pool.dig_depth.value <= 0:
            yield Problem(
                ("pools", pool.index, "level"),
                words(
                    "the floor of its dig stands {over} over the highest ground round it",
                    over=(-pool.dig_depth.value, LENGTH),
                ),
                words("a level at which it is dug into the ground"),
                words(
                    "lower its level, or check the levels of the ground and the datum; what is built up needs "
                    "an engineer's design"
                ),
            )


def to_fill(site: Site, pools: Sequence[PoolResult]) -> Iterator[ToFill]:
    """Missing inputs of the site, which only the person can find out."""
    if site.groundwater is None and pools:
        yield ToFill(
            ("site", "groundwater"),
            words("the highest level of the groundwater: dig a trial hole, and look after rain"),
            words("water in the cut, and what lifts the liner when a pool is emptied"),
        )


def overlaps(pools: Sequence[PoolResult], gaps: Sequence[tuple[int, int, Gap]]) -> Iterator[Problem]:
    """Problem of pools whose waterlines overlap. ``gaps``: those of pools that are near enough."""
    for i, j, gap in gaps:
        if gap.shared > 1e-4:
            yield Problem(
                ("pools", pools[j].index, "at"),
                words(f"it overlaps '{pools[i].name}' by {{area}}", area=(gap.shared, AREA)),
                words("waterlines that lie apart"),
                words("move one of the two, or make it smaller"),
            )


ELECTRICITY_NEAR_WATER = CautionRule(
    "electricity_near_water",
    REMINDER,
    "total_net_volume",
    "A pump will stand in or by this water: electricity near water needs residual-current (ground-fault) "
    "protection and a licensed "
    "electrician; local code decides.",
)
FILL_SETTLES = CautionRule(
    "fill_settles",
    REMINDER,
    "fill_volume",
    "Part of the bank must be built up: filled ground settles; compact it in layers. Only what lies inside the "
    "rim line counts here, and under links; the "
    "slope outside the rim is counted where the bank's crest is entered (Earth).",
    most=0.01,  # m³: less than a wheelbarrow's load does not count as fill
)
CURRENCIES_DIFFER = CautionRule(
    "currencies_differ",
    CHECK,
    "total_price",
    "The options' prices are in different currencies ({currencies}): they are not compared. Enter the prices of "
    "all options in one.",
)


def reminders(holders: Iterable[Holder]) -> dict[str, tuple[Caution, ...]]:
    """Reminders, which apply to every job of this kind: each that some figure calls for, once, by the group of that
    figure.
    """
    by_key: dict[str, tuple[str, Caution]] = {}
    for holder in holders:
        for key, figure in holder.entries():
            for each in figure.cautions:
                if isinstance(each, Caution) and each.rank == REMINDER:
                    by_key.setdefault(each.key, (tables.group_of(key), each))
    grouped = {
        group: tuple(each for caution_group, each in by_key.values() if caution_group == group)
        for group in tables.GROUPS
    }
    return {group: cautions for group, cautions in grouped.items() if cautions}
