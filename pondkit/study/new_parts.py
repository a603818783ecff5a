"""New parts of a design, placed so that a sound design stays sound: where there is room, at levels that work.

The trade, or the part's class (``first_values``), gives the values of a new part; the functions here find a place for
it and the parts that it joins. Each takes the place that a person points at, and finds one if there is none. Parts of
pools, stone, tunnels and links come first, then works beside the pools: bodies of the water side, walls, machines,
stakes, keep-outs.
"""

import math
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any, get_args

from pondkit.core.part import Ask, Part, ask_of, get, kind_in, walk
from pondkit.core.refusal import Refused
from pondkit.core.result import Path
from pondkit.core.units import Entered, Kind, System, magnitude, read, system_of
from pondkit.geometry.room import Spot, nearest_on
from pondkit.project.files import put
from pondkit.project.project import Option, Project
from pondkit.study.evaluate import evaluate
from pondkit.study.site_room import APART, SiteRoom, fresh_name, soundest
from pondkit.trades.animals.inputs import AnimalWayOut
from pondkit.trades.clearances.inputs import KeepOut
from pondkit.trades.cost.inputs import PriceLine, Rates, next_line
from pondkit.trades.earthwork import new_parts as earthwork
from pondkit.trades.earthwork.compute import excavation, levels
from pondkit.trades.earthwork.inputs import Berm, Measured, Reading, Stakes, Tape, straight_as_outline
from pondkit.trades.lifting.inputs import ChartRow, Lifting, Position, next_row
from pondkit.trades.liner.inputs import TRENCH, Burrow, Liner, Lining, lined_pools, one_piece_stock
from pondkit.trades.pools import new_parts as pools
from pondkit.trades.pools.inputs import Link, Pit, Pool, Tier
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone import new_parts as stone
from pondkit.trades.stone.inputs import Boulder, Edging, Sling
from pondkit.trades.tunnels import new_parts as tunnels
from pondkit.trades.tunnels.inputs import Fitting, Node, Run, Tunnels
from pondkit.trades.walls.inputs import Wall
from pondkit.trades.walls.new_parts import new_wall
from pondkit.trades.water import new_parts as water
from pondkit.trades.water.inputs.pumping import Branch, Intake, Passage, Pump, PumpPit
from pondkit.trades.water.inputs.water import Filter

Addition = Part | Project  # a new part for the end of its list, or the whole design if further parts come with it


def new_intake(site: SiteRoom) -> Part:
    """An intake beside the lowest pool, or at the place wanted."""
    lowest = min(site.result.pools, key=lambda pool: pool.surfaces.finished.level, default=None)
    start = site.beside
    if lowest:
        start = nearest_on(lowest.surfaces.finished, (-1e3, 0.0), 0.0)[0]
    return water.new_intake(site.free(APART, start), None, site.typed)


def new_pump_pit(site: SiteRoom) -> Part:
    """A pump pit at a free place, with its base in the ground."""
    place = site.free(APART + 0.5)
    return water.new_pit(get(site.project, site.path[:-1]), place, site.ground(place), site.typed)


def new_filter(site: SiteRoom) -> Part:
    """A filter at a free place, above the highest pool."""
    return water.new_filter(site.free(APART + 0.5), water.levels_of(site.inputs.pools), site.typed)


def new_passage(site: SiteRoom) -> Part:
    """The pipe between the filter's two bodies."""
    return water.new_passage(get(site.project, site.path[:-1]))


# --- walls, lifting, earth ---


def new_drawn_wall(site: SiteRoom) -> Part:
    """A low wall at a free place, wide enough to be stable."""
    place = site.free(APART + 0.8)
    trade = get(site.project, site.path[:-1])
    return new_wall(trade, site.name("wall"), place, site.ground(place), site.project.site.soil, site.typed)


def new_position(site: SiteRoom) -> Addition:
    """A machine position clear of every edge, as near to the place wanted as the soil allows; stones wait behind the
    machine.
    """
    return soundest(site.project, site.option, _positions(site, get(site.project, site.path[:-1])))


def _positions(site: SiteRoom, trade: Lifting) -> Iterator[Project]:
    positions, size = trade.positions, float(trade.size)
    wanted = site.place or site.beside
    for more in (1.4, 2.0, 3.0, 4.5, 6.0, 9.0):
        stand = site.room.near(wanted, size + more)
        if stand is None:
            continue
        pick = site.room.near(stand, 1.6, partial(_clear_of_machine, stand, size))
        if pick is None:
            continue
        values = {
            "name": fresh_name("position", [other.name for other in positions]),
            "at": site.typed.place(stand),
            "pick_up": site.typed.place(pick),
        }
        position = Position.model_validate(values, context={"units": site.project.units})
        path = (*site.path[:-1], "positions")
        yield put(site.project, path, (*positions, position))


def _clear_of_machine(stand: Spot, size: float, spot: Spot) -> bool:
    """True if stones may wait at a spot beside a machine of a given size [m] that stands at ``stand``."""
    return math.dist(spot, stand) >= size + 1.5


def new_berm_outline(site: SiteRoom) -> Addition:
    """The outline of a berm with the size that it had as a straight one, far enough from everything else for its
    slopes.
    """
    berm: Berm = get(site.project, site.path[:-1])
    box = straight_as_outline(berm)
    half = math.hypot(float(box.length), float(box.width)) / 2
    tried = []
    for far in (half + 2.0, half + 4.0, half + 8.0):
        place = site.place or site.room.near(site.beside, far)
        if place is not None:
            moved = put(site.project, (*site.path[:-1], "at"), site.typed.place(place))
            tried.append(put(moved, site.path, box))
    return soundest(site.project, site.option, tried)


def new_lifting(site: SiteRoom) -> Addition:
    """The lift plan with a first position."""
    after = put(site.project, site.path, Lifting())
    inner = SiteRoom(after, site.option, (*site.path, "positions"), site.place)
    return soundest(site.project, site.option, _positions(inner, Lifting()))


# --- animals, dig, site, prices ---


def new_way_out(site: SiteRoom) -> Part:
    """A way out at the waterline: of the pool nearest to the place wanted, else of the first pool that has none."""
    pool_results = site.result.pools
    if not pool_results:
        raise Refused("A way out leads out of a pool: draw a pool first.")
    ways_out = get(site.project, site.path)
    served = {way_out.pool for way_out in ways_out}
    bare = [pool for pool in pool_results if pool.name not in served] or list(pool_results)
    wanted = site.place
    pool = bare[0] if wanted is None else min(pool_results, key=lambda pool: _distance(pool, wanted))
    place = nearest_on(pool.surfaces.finished, wanted or (1e3, 0.0), 0.0)[0]
    values = {"name": site.name("ramp"), "pool": pool.name, "at": site.typed.place(place, 0.01)}
    return AnimalWayOut.model_validate(values, context={"units": site.project.units})


def _distance(pool: PoolResult, place: Spot) -> float:
    return math.dist(nearest_on(pool.surfaces.finished, place, 0.0)[0], place)


def new_reading(site: SiteRoom) -> Part:
    """A rod reading for the first level to dig by that has none. Raises: Refused if there is no such level."""
    rows = row_names(site.inputs)
    if not rows:
        raise Refused("There is no level to dig by yet: draw a pool first.")
    rows_read = {reading.row for reading in get(site.project, site.path)}
    return Reading(row=next((row for row in rows if row not in rows_read), rows[0]))


def new_measured(site: SiteRoom) -> Part:
    """A measured level in the pool at the place wanted, else in the first pool that has none."""
    pool_results, measured = site.result.pools, {level.pool for level in get(site.project, site.path)}
    if not pool_results:
        raise Refused("Levels are found in the hole of a pool: draw a pool first.")
    place = site.place
    pool = next((pool for pool in pool_results if pool.name not in measured), pool_results[0])
    if place is not None:
        pool = next((inner for inner in pool_results if inner.surfaces.finished.holds(place)), pool)
    return earthwork.new_measured(pool, place, site.typed)


def new_tape(site: SiteRoom) -> Addition:
    """A tape line across the next pool, in the direction with the fewest faults. Raises: Refused if
    there is no pool.
    """
    if not site.result.pools:
        raise Refused("A tape line goes over a pool: draw a pool first.")
    tapes = get(site.project, site.path)
    pool = site.result.pools[min(len(tapes), len(site.result.pools) - 1)]
    turns = [earthwork.new_tape(pool, site.name("line"), turn, site.typed) for turn in range(0, 180, 15)]
    return soundest(site.project, site.option, [put(site.project, site.path, (*tapes, tape)) for tape in turns])


def new_stakes(site: SiteRoom) -> Part:
    """Two stakes outside all excavations."""
    return earthwork.new_stakes(site.result.pools, site.typed)


def new_keep_out(site: SiteRoom) -> Part:
    """A keep-out at its place; the person enters its clearance."""
    kind = site.kind or "tree"
    place = site.free(APART + 1.0)
    values: dict[str, Any] = {"name": site.name(kind), "kind": kind, "points": [site.typed.place(place)]}
    return KeepOut.model_validate(values, context={"units": site.project.units})


def row_names(option: Option) -> list[str]:
    """Names of the levels to dig by."""
    in_trench = option.lining is not None and option.lining.edge_kind == TRENCH
    anchored = lined_pools(option.lining) if in_trench else frozenset()
    standing = excavation.structures_entered(option.water, option.walls)
    return levels.row_names(option.pools, option.links, option.stone, anchored, option.tunnels, standing)


NODE_CLEARANCE = 0.6  # m: clear ground that the place of a new node must have round it
MOST_RUNS_TRIED = 12
# Multiples of an input's step that count as round, the roundest first, and the share by which rounding may change it.
ROUNDEST, MOST_CHANGE = (20, 10, 5, 2, 1, 0.5), 0.02


def add(project: Project, list_path: Path, place: Spot | None = None, kind: str = "") -> tuple[Project, Path]:
    """(design with a new part at the end of a list, path of the new part).

    Args:
        project: The design.
        list_path: Path of the list.
        place: Place wanted, east and north [m]; if left out, a free one is found.
        kind: Kind of a node or a keep-out.
    Raises: Refused if no such part can be placed.
    """
    items = get(project, list_path)
    part = _new_part(project, list_path, place, kind)
    path = (*list_path, len(items))
    added = part if isinstance(part, Project) else put(project, list_path, (*items, part))
    return in_round_numbers(added, path), path


def add_part(project: Project, path: Path, place: Spot | None = None) -> Project:
    """The design with an optional part added, at a place if one is wanted.

    Raises: Refused if no such part can be placed.
    """
    part = _new_part(project, path, place, "")
    return in_round_numbers(part if isinstance(part, Project) else put(project, path, part), path)


def in_round_numbers(project: Project, path: Path) -> Project:
    """The design with a new part, or with the whole design at (), in round numbers of its own units where defaults are
    written in the other system's: 12 in become 30 cm, not 30.48 cm.
    """
    whole = get(project, path)
    for inner, part, name in walk(whole) if isinstance(whole, Part) else ():
        declaration, kind, value = ask_of(type(part), name), kind_in(type(part), name), getattr(part, name)
        default = type(part).model_fields[name].default
        if not (declaration and kind) or kind.plain or not isinstance(value, Entered) or value.text != default:
            continue
        if system_of(value.text) not in ("", project.units):
            project = put(project, (*path, *inner), _rounded(value, declaration, kind, project.units))
    return project


def _rounded(value: Entered, declaration: Ask, kind: Kind, system: System) -> str:
    """The nearest multiple of the roundest step that is near enough; the text as written if there is none within
    bounds.
    """
    step, unit = declaration.stride(kind, system)
    exact = magnitude(value, kind, unit, system)
    low, high = (declaration.bound(side, kind) for side in ("low", "high"))
    for steps in ROUNDEST:
        number = round(exact / (step * steps)) * step * steps
        text = f"{number:.6g} {unit}"
        back = float(read(text, kind, system))
        if (
            abs(number - exact) <= MOST_CHANGE * abs(exact)
            and (low is None or low <= back)
            and (high is None or back <= high)
        ):
            return text
    return value.text


def _new_part(project: Project, path: Path, place: Spot | None, kind: str) -> Addition:
    site = SiteRoom(project, int(path[1]) if path[:1] == ("options",) and len(path) > 1 else 0, path, place, kind)
    if path[-1] == "outline":
        return new_berm_outline(site)
    part = kind_of_items(type(get(project, path[:-1])), str(path[-1]))
    maker = MAKERS.get(part)
    return maker(site) if maker else _plain(site, part)


def kind_of_items(holder: type[Part], name: str) -> type[Part]:
    """Class of the parts that a list, or an optional field, holds."""
    members = [arg for arg in get_args(holder.model_fields[name].annotation) if isinstance(arg, type)]
    parts = [member for member in members if issubclass(member, Part)]
    if not parts:
        raise ValueError(f"{name!r} of {holder.__name__} holds no part")
    return parts[0]


def _plain(site: SiteRoom, part: type[Part]) -> Part:
    """A part with its defaults, and with its class's first values."""
    values = dict(part.first_values[0 if site.project.units == "us" else 1])
    items = get(site.project, site.path)
    if "name" in part.model_fields and isinstance(items, tuple):
        values["name"] = fresh_name(values.get("name", part.title_of_part), [item.name for item in items])
    return part.model_validate(values, by_name=True, context={"units": site.project.units})


# --- pools ---


def _pool(site: SiteRoom) -> Addition:
    pool_inputs = site.inputs.pools
    last = pool_inputs[-1].at if pool_inputs else (0.0, 0.0)
    start = float(last[0]), float(last[1])
    place = site.free(pools.room_wanted(not pool_inputs, site.conditions, start), start)
    pool = pools.new_pool(pool_inputs, site.name("pool"), place, site.room.clear(place), site.conditions, site.typed)
    after = put(site.project, site.path, (*pool_inputs, pool))
    # Add the ways out that the animals' brief asks for in each pool.
    brief = site.inputs.animals
    ways_out = max((kind.ways_out for kind in brief.kinds if kind.steepest_way_out), default=0) if brief else 0
    for number in range(ways_out):
        after, _ = add(
            after, (*site.path[:-1], "animals", "ways_out"), (place[0] + 0.1 * (1 - number % 2 * 2), place[1])
        )
    return after


def _pit(site: SiteRoom) -> Part:
    pool = _pool_result(site, int(site.path[3]))
    return pools.new_pit(pool, site.project.site.soil, site.place, site.typed)


def _pool_result(site: SiteRoom, index: int) -> PoolResult:
    """Result of a pool.

    Raises: Refused if it has a problem.
    """
    result = next((pool for pool in site.result.pools if pool.index == index), None)
    if result is None:
        raise Refused("This pool cannot be worked out as it is drawn: mend it first.")
    return result


def _tier(site: SiteRoom) -> Addition:
    tiers = get(site.project, site.path)
    worked = next((pool for pool in site.result.pools if pool.index == site.path[3]), None)
    name = fresh_name("deep", [tier.zone for tier in tiers])
    last, further = pools.new_tier(tiers, name, pools.most_depth(worked) if worked else None, site.typed)
    return put(site.project, site.path, (*tiers[:-1], last, further))


def _link(site: SiteRoom) -> Part:
    return pools.new_link(site.result.pools, site.inputs.links, site.place, site.typed)


# --- liner and stone ---


def _lining(site: SiteRoom) -> Part:
    """A liner for each group of pools that links join, from a stock that makes it in one piece if there is one."""
    liners = [
        Liner(
            name=fresh_name("liner", [f"liner {earlier}" if earlier > 1 else "liner" for earlier in range(1, number)]),
            covers=names,
        )
        for number, names in enumerate(_joined(site.inputs), 1)
    ]
    units = site.project.units
    whole = Lining(liners=tuple(liners), stock_width="400 ft", stock_length="400 ft")  # type: ignore[arg-type]
    lining = evaluate(put(site.project, site.path, whole)).options[site.option].lining
    sides = [(side.liner_width_order.value, side.liner_length_order.value) for side in lining.liners] if lining else []
    return whole.changed(**one_piece_stock(sides, units))


def _joined(option: Option) -> Iterator[tuple[str, ...]]:
    """Names of the pools of each group that links join, in the order of the pools."""
    left = [pool.name for pool in option.pools]
    while left:
        group = {left[0]}
        for _ in left:
            for link in option.links:
                if group & {link.from_, link.to}:
                    group |= {link.from_, link.to}
        yield tuple(name for name in left if name in group)
        left = [name for name in left if name not in group]


def _liner(site: SiteRoom) -> Part:
    covered = {name for liner in get(site.project, site.path) for name in liner.covers}
    free = tuple(pool.name for pool in site.inputs.pools if pool.name not in covered)
    if not free:
        raise Refused("Every pool lies under a liner: take a pool out of one first, or draw another pool.")
    return Liner(name=site.name("liner"), covers=free)


def _burrow(site: SiteRoom) -> Part:
    zones_listed = {(burrow.pool, burrow.zone) for burrow in get(site.project, site.path)}
    free = [(pool.name, tier.zone) for pool in site.inputs.pools for tier in pool.tiers]
    pair = next((pair for pair in free if pair not in zones_listed), None)
    if pair is None:
        raise Refused("Every zone of every pool is listed already.")
    return Burrow(pool=pair[0], zone=pair[1])


def _boulder(site: SiteRoom) -> Addition:
    boulders = get(site.project, site.path)
    half = stone.boulder_half(boulders)
    place = site.free(half + APART / 2)
    pool = next((result.name for result in site.result.pools if result.surfaces.finished.holds(place)), None)
    return stone.new_boulder(boulders, site.name("boulder"), place, pool, site.typed)


def _edging(site: SiteRoom) -> Addition:
    rows = get(site.project, site.path)
    tried = stone.new_edgings(rows, site.inputs.pools, site.typed)
    return soundest(site.project, site.option, (put(site.project, site.path, (*rows, row)) for row in tried))


def _sling(site: SiteRoom) -> Addition:
    """A sling whose tag is still to be read; the first one comes with the rigging of the stones."""
    sling, trade = _plain(site, Sling), site.path[:-1]
    after = put(site.project, site.path, (*get(site.project, site.path), sling))
    return after if get(after, trade).rigging else put(after, (*trade, "rigging"), {})


# --- tunnels ---


def _node(site: SiteRoom) -> Addition:
    trade: Tunnels = get(site.project, site.path[:-1])
    nodes, kind = trade.nodes, site.kind or ("junction" if trade.nodes else "mouth")
    worked, option = site.result.pools, site.inputs
    last = nodes[-1] if nodes else None
    if kind == "mouth":
        return tunnels.new_mouth(trade, worked, site.name("mouth"), site.place, float(option.water_fall), site.typed)
    start = (float(last.at[0]), float(last.at[1])) if last else site.beside
    far = tunnels.DEN_DISTANCE if kind == "chamber" else tunnels.NODE_DISTANCE
    place = site.place or tunnels.away_from_pools(worked, start, far)
    if site.place is None and site.room.clear(place) < NODE_CLEARANCE:
        place = site.free(APART, place)
    if kind == "chamber":
        level = tunnels.den_level(trade, worked, float(option.water_rise), site.project.site.groundwater)
        return tunnels.new_den(trade, site.name("den"), place, level, site.typed)
    return tunnels.new_node(last, site.name("node"), place, site.typed).changed(kind=kind)


def _run(site: SiteRoom) -> Addition:
    trade: Tunnels = get(site.project, site.path[:-1])
    tried = [put(site.project, site.path, (*trade.runs, run)) for run in tunnels.open_runs(trade)[:MOST_RUNS_TRIED]]
    if not tried:
        raise Refused("A run joins two nodes that have room for it: draw a further node first.")
    after = soundest(site.project, site.option, tried)
    if len(evaluate(after).options[site.option].problems) > len(site.result.problems):
        raise Refused(
            "No two nodes that have room for it are joined by straight pipe and the fittings listed: draw a node "
            "between them, or move one."
        )
    return after


def _fitting(site: SiteRoom) -> Part:
    return tunnels.new_fitting(get(site.project, site.path[:-1]), site.typed)


# --- water ---


def _pump(site: SiteRoom) -> Addition:
    """A pump; the first one comes with a branch for its water."""
    pump, trade = water.new_pump(site.name("pump")), site.path[:-1]
    after = put(site.project, site.path, (*get(site.project, site.path), pump))
    if get(after, trade).branches or not site.inputs.pools:
        return after
    return add(after, (*trade, "branches"))[0]


def _branch(site: SiteRoom) -> Part:
    return water.new_branch(site.name("branch"), water.levels_of(site.inputs.pools), site.typed)


def _price_line(site: SiteRoom) -> Part:
    return next_line(get(site.project, site.path), site.project.units)


def _chart_row(site: SiteRoom) -> Part:
    return next_row(get(site.project, site.path), site.project.units)


def _rates(site: SiteRoom) -> Part:
    """Rates without prices; for an option's own, a copy of the job's to be changed."""
    return (site.project.prices if site.path[0] == "options" else None) or Rates()


def _option(site: SiteRoom) -> Part:
    """A copy of the last option, to be changed."""
    options = site.project.options
    return options[-1].changed(name=fresh_name(options[-1].name, [option.name for option in options]))


MAKERS: dict[type[Part], Callable[[SiteRoom], Addition]] = {
    Pool: _pool,
    Pit: _pit,
    Tier: _tier,
    Link: _link,
    Lining: _lining,
    Liner: _liner,
    Burrow: _burrow,
    Boulder: _boulder,
    Edging: _edging,
    Sling: _sling,
    Node: _node,
    Run: _run,
    Fitting: _fitting,
    Pump: _pump,
    Branch: _branch,
    Intake: new_intake,
    PumpPit: new_pump_pit,
    Filter: new_filter,
    Passage: new_passage,
    Wall: new_drawn_wall,
    Position: new_position,
    Lifting: new_lifting,
    AnimalWayOut: new_way_out,
    Reading: new_reading,
    Measured: new_measured,
    Tape: new_tape,
    Stakes: new_stakes,
    KeepOut: new_keep_out,
    Rates: _rates,
    PriceLine: _price_line,
    ChartRow: _chart_row,
    Option: _option,
}
