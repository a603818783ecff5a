"""Every caution of the tunnels, just inside its limit and just outside. A pool of 8 x 6
m, batter 0.5, level 0, ground at 0.
"""

import itertools
import math
import random
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.entry import Entry, entry
from pondkit.core.units import LENGTH
from pondkit.report.plan import faults_at
from pondkit.solvers.cutting_stock import plan
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as pipe_formulas
from pondkit.trades.tunnels import formulas as water_formulas
from pondkit.trades.tunnels.cuts import RunCut, stock_order
from pondkit.trades.tunnels.joints import pipe
from tests.cautions import cases, edge, told
from tests.designs import read
from tests.trades.tunnels.sketch import LINED, POOL, Node, figures, sketch
from tests.trades.tunnels.test_flushing import BRANCHES, PUMP

BORE, OUTSIDE = 3.998 * 0.0254, 4.5 * 0.0254  # m: ASTM D1785, 4 in
MM = 0.001  # one step of what is shown
STILL = {"option": {"water_rise": "0 cm", "water_fall": "0 cm"}}


def passage(*levels: float, kind: str = "junction", **tunnels: Any) -> OptionResult:
    """A mouth on the face at -0.6 m, nodes every 2.5 m beyond it at some levels, the last a den."""
    nodes: list[Node] = [("m", "mouth", (3.7, 0, -0.6))]
    for at, level in enumerate(levels, 1):
        name, own = ("den", "chamber") if at == len(levels) else (f"n{at}", kind)
        nodes.append((name, own, (3.7 + 2.5 * at, 0, level)))
    runs = [(a[0], b[0]) for a, b in itertools.pairwise(nodes)]
    return sketch(nodes, runs, **({"lining": LINED} | STILL | tunnels))


def with_nodes(nodes: list[dict[str, Any]], runs: list[tuple[str, str]], **tunnels: Any) -> OptionResult:
    """Passages whose nodes are written out."""
    drawn = {"pipe": "sch40 4 in", "nodes": nodes, "runs": [{"from": a, "to": b} for a, b in runs]} | tunnels
    return sketch([], [], lining=LINED, option={"water_rise": "0 cm", "water_fall": "0 cm", "tunnels": drawn})


# ---------------------------------------------------------------- as a whole


def test_passages_as_a_whole() -> None:
    found, none = passage(0.3), sketch([], [], option={"tunnels": None})
    cases(warn.PROTECTED_BURROWS, without=none, with_it=found.tunnels)
    cases(warn.CLEAR_SIZE_IS_YOURS, without=none, with_it=found.tunnels)
    mouth = {"name": "m", "kind": "mouth", "at": [3.7, 0, -0.6]}
    den = {"name": "den", "kind": "chamber", "at": [6.2, 0, 0.3]}
    sized = den | {"size": ["60 cm", "45 cm", "40 cm"]}
    loose = {"name": "loose", "at": [9, 9, 0]}
    cases(
        warn.DEN_WITHOUT_SIZE,
        without=with_nodes([mouth, sized], [("m", "den")]).tunnels,
        with_it=with_nodes([mouth, den], [("m", "den")]).tunnels,
    )
    cases(
        warn.NODE_WITHOUT_RUN, without=found.tunnels, with_it=with_nodes([mouth, sized, loose], [("m", "den")]).tunnels
    )


# ---------------------------------------------------------------- mouths, runs, penetrations


def test_a_mouth_above_the_water() -> None:
    at = lambda level: entry(pipe_formulas.mouth_depth, "m", water_level=0.0, node_level=level)  # noqa: E731
    edge(warn.MOUTH_NOT_UNDER_WATER, at, inside=-MM, outside=0.0, step=MM)


def test_mouths_that_are_not_drawn_on_the_face() -> None:
    """The face is at x = 3.7 m at that level; an inch from it a mouth stays, up to a
    foot in the ground it is carried on.
    """
    from_x = lambda x: sketch([("m", "mouth", (x, 0, -0.6)), ("e", "junction", (9, 0, -0.6))], [("m", "e")]).tunnels  # noqa: E731
    edge(warn.MOUTH_MOVED_BACK, from_x, inside=3.7 - 0.0252, outside=3.7 - 0.0256)
    edge(warn.MOUTH_CARRIED_ON, from_x, inside=3.7 + 0.0252, outside=3.7 + 0.0256)
    free = sketch([("m", "mouth", (-2, 0, -0.6)), ("n", "junction", (2, 0, -0.6))], [("m", "n")])
    cases(warn.MOUTH_FREE_IN_POOL, without=from_x(3.7), with_it=free.tunnels)


def test_a_run_that_comes_out_of_the_ground() -> None:
    """Ground at 0: an inch over it the crown is let off."""

    def nodes(level):
        return sketch([("a", "junction", (8, 0, level)), ("b", "junction", (12, 0, -0.5))], [("a", "b")]).tunnels

    limit = 0.0254 - OUTSIDE / 2
    edge(warn.RUN_UNCOVERED, nodes, inside=limit - 0.2 * MM, outside=limit + 0.2 * MM, step=MM)


def test_a_penetration_under_water_and_one_that_only_fittings_bring_about() -> None:
    at = lambda level: entry(pipe_formulas.penetration_depth, "m", water_level=0.0, penetration_level=level)  # noqa: E731
    edge(warn.PENETRATION_UNDER_WATER, at, inside=0.0, outside=-MM, step=MM)
    # Drawn 20 degrees off, the line beyond is made straight on: through a pool that it passes by as drawn.
    off = math.radians(20)
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.4)),
        ("j", "junction", (6, 0, -0.4)),
        ("e", "junction", (6 + 2.6 * math.cos(off), 2.6 * math.sin(off), -0.4)),
    ]
    beside: dict[str, Any] = POOL | {
        "name": "beside",
        "at": [8.6, -0.6],
        "outline": {"shape": "rectangle", "length": 2, "width": 1.8},
    }
    beside["tiers"] = [{"zone": "deep", "depth": 0.8, "batter": 0.5}]
    lining = {"liners": [{"name": "liner", "covers": ["pool", "beside"]}]}
    runs = [("m", "j"), ("j", "e")]
    both = [
        sketch(nodes, runs, [POOL, beside], lining, elbows="90", most_move=most).tunnels for most in ("1 cm", "1 m")
    ]
    cases(warn.PENETRATION_BY_FITTINGS, without=both[0], with_it=both[1])


def test_a_pipe_that_passes_a_pool_under_water_without_a_mouth_there() -> None:
    """From a pool in the west past one that lies between to a den: two holes in the liner that nobody needs."""
    between = POOL | {"name": "between", "at": [9, 0], "outline": {"shape": "rectangle", "length": 3, "width": 3}}
    lining = {"liners": [{"name": "liner", "covers": ["pool", "between"]}]}

    def across(y: float) -> OptionResult:
        nodes: list[Node] = [("m", "mouth", (3.7, y, -0.6)), ("den", "chamber", (13, y, -0.3))]
        return sketch(nodes, [("m", "den")], [POOL, between], lining, **STILL)

    # Rim and dig of the smaller pool end 1.5 m north of its middle, the water there 0.5 m per m of depth before.
    past, through = across(2.0), across(0.0)
    cases(warn.PENETRATION_WITHOUT_MOUTH, without=past.tunnels, with_it=through.tunnels)
    marked = {
        subject: "penetration_without_mouth" in {each.key for each in figure.cautions if isinstance(each, Caution)}
        for subject, figure in figures(through, "penetration_depth").items()
    }
    assert marked == {"m – den / pool": False, "m – den / between": True, "m – den / between (2)": True}
    at = [round(x) for x, _ in sorted(faults_at(through))]
    assert at[:2] == [8, 10]  # marked on the plan where it is drawn, beside the den that floods
    # Above the water the same way is only a hole to seal.
    nodes: list[Node] = [("m", "mouth", (3.95, 0, 0.05)), ("den", "chamber", (13, 0, 0.07))]
    dry = sketch(nodes, [("m", "den")], [POOL, between], lining, **STILL)
    assert "penetration_without_mouth" not in told(dry.tunnels)


# ---------------------------------------------------------------- fittings and cuts


def bend(degrees: float, kind: str = "junction", **tunnels: Any) -> OptionResult:
    """A level run of 2.3 m, then one of 2 m that bends by an angle."""
    far = (6 + 2 * math.cos(math.radians(degrees)), 2 * math.sin(math.radians(degrees)), -0.4)
    nodes: list[Node] = [("m", "mouth", (3.8, 0, -0.4)), ("j", kind, (6, 0, -0.4)), ("e", "chamber", far)]
    return sketch(nodes, [("m", "j"), ("j", "e")], **({"most_move": "1 cm"} | tunnels))


def test_what_the_crew_must_know_of_fittings() -> None:
    measured = [{"name": name, "pipe": "sch40 4 in", "centre_to_stop": "5 cm"} for name in ("elbow 45", "coupling")]
    cases(warn.CENTRE_TO_STOP_UNMEASURED, without=bend(45, fittings=measured).tunnels, with_it=bend(45).tunnels)
    edge(warn.GATE_BENT, lambda degrees: bend(degrees, "gate").tunnels, inside=2.98, outside=3.02)
    cases(warn.TWO_FITTINGS, without=bend(45).tunnels, with_it=bend(67.5).tunnels)
    capped: list[Node] = [("m", "mouth", (3.8, 0, -0.4)), ("e", "junction", (6, 0, -0.4))]
    cases(warn.BLIND_END, without=bend(0).tunnels, with_it=sketch(capped, [("m", "e")]).tunnels)
    # Drawn at 45 degrees nothing moves; at 46 the end of the second run, 2 m off, moves by 2 sin 1° or 35 mm.
    cases(warn.NODE_SET_ASIDE, without=bend(45).tunnels, with_it=bend(46, most_move="5 cm").tunnels)


def test_what_the_crew_must_know_of_cuts() -> None:
    def straight(end):
        return sketch([("m", "mouth", (3.7, 0, -0.6)), ("e", "junction", (end, 0, -0.6))], [("m", "e")]).tunnels

    # Stock of 3 m; the pipe reaches past its mouth by half its outside diameter times the batter.
    limit = 3.7 + 3.0 - OUTSIDE / 2 * 0.5
    edge(warn.IN_PIECES, straight, inside=limit - 0.002, outside=limit + 0.002)
    shelf = {
        **POOL,
        "tiers": [
            {"zone": "shelf", "depth": 0.4, "shelf": 2, "batter": 0.5},
            {"zone": "deep", "depth": 1.2, "batter": 0.5},
        ],
    }
    level = sketch([("m", "mouth", (3.0, 0, -0.4)), ("e", "junction", (3.0, 0.2, -1.4))], [("m", "e")], pools=[shelf])
    cases(warn.LEVEL_MOUTH, without=straight(6.0), with_it=level.tunnels)


def test_a_cutting_plan_that_is_not_proven_least() -> None:
    """20 pieces drawn at random between 0.3 and 1.1 m of stock of 3 m: the quick plan may
    not say how few do; one piece does.
    """
    four = pipe("sch40 4 in")

    def bought(lengths: list[float]) -> Any:
        cuts = tuple(
            RunCut(four, Entry(f"run {at}", long, LENGTH, "", "", (), ""), 0) for at, long in enumerate(lengths)
        )
        return stock_order(four, cuts, 3.0, 0.003, False).lengths

    for seed in range(400):
        rng = random.Random(seed)
        lengths = [rng.uniform(0.8, 1.6) for _ in range(24)]
        made = plan(lengths, 3.0, 0.003)
        if not made.proven:
            break
    assert made.least < len(made.stock)
    cases(warn.CUTTING_NOT_PROVEN, without=bought(lengths[:1]), with_it=bought(lengths))


# ---------------------------------------------------------------- water and air


def test_fall_towards_the_pool() -> None:
    """2.5 m on the level: from -0.6 m on the face, 1 in 100 wanted."""
    falls = lambda rise: figures(passage(-0.6 + rise, 0.5), "fall_to_pool")["m – n1"]  # noqa: E731
    edge(warn.RUN_FALLS_AWAY, falls, inside=0.0, outside=-MM, step=MM)
    edge(warn.RUN_TOO_FLAT, falls, inside=0.0251, outside=0.0249)
    assert "run_too_flat" not in told(falls(-MM))


def test_places_where_air_or_water_is_caught() -> None:
    air = lambda level: entry(water_formulas.air_pocket, "n", node_level=level, escape_level=-1.0)  # noqa: E731
    edge(warn.AIR_POCKET, air, inside=-1.0, outside=-1.0 + MM, step=MM)
    water = lambda level: entry(water_formulas.water_trap, "n", spill_level=-1.0, invert_level=level)  # noqa: E731
    edge(warn.TRAPPED_WATER, water, inside=-1.0, outside=-1.0 - MM, step=MM)
    # In a design: a dip 2 mm below the mouth catches water, a hump 2 mm below the mouth no air.
    cases(warn.TRAPPED_WATER, without=passage(-0.598, 0.3).tunnels, with_it=passage(-0.602, 0.3).tunnels)


def test_dens_that_flood() -> None:
    """The floor lies at the pipe's invert, half the bore under its centre line: 50.8 mm for 4 in pipe (ASTM D1785)."""
    found = figures(passage(0.3), "den_floor_above_water")["den"]
    assert abs(found.value - (0.3 - BORE / 2)) < 1e-9
    at_rest = lambda level: figures(passage(level), "den_floor_above_water")["den"]  # noqa: E731
    edge(warn.DEN_FLOODS, at_rest, inside=0.0510, outside=0.0505)
    edge(
        warn.DEN_FLOODS_AT_HIGHEST,
        lambda level: figures(passage(level), "den_above_highest")["den"],
        inside=0.0510,
        outside=0.0505,
    )
    higher = passage(0.3, option={"water_rise": "30 cm", "water_fall": "0 cm"})
    cases(warn.DEN_FLOODS_AT_HIGHEST, without=passage(0.3).tunnels, with_it=higher.tunnels)
    wet = lambda level: figures(passage(0.3, site={"groundwater": f"{level} m"}), "den_floor_above_water")["den"]  # noqa: E731
    edge(warn.DEN_BELOW_GROUNDWATER, wet, inside=0.3 - BORE / 2 - 0.002, outside=0.3 - BORE / 2 + 0.002)


def test_air_and_cover_of_a_den() -> None:
    def air(level):
        return entry(
            water_formulas.den_air, "den", length=1.0, width=1.0, height=0.4, floor_level=0.0, water_level=level
        )

    edge(warn.NO_AIR_UNDER_LID, air, inside=0.399, outside=0.4)
    cover = lambda ground: entry(water_formulas.den_lid_cover, "den", ground_level=ground, floor_level=0.0, height=0.4)  # noqa: E731
    edge(warn.LID_ABOVE_GROUND, cover, inside=0.4, outside=0.399)
    den = {"name": "den", "kind": "chamber", "at": [6.2, 0, 0.3], "size": ["60 cm", "45 cm", "40 cm"]}
    both = [
        with_nodes([{"name": "m", "kind": "mouth", "at": [3.7, 0, -0.6]}, den | {"vent": vent}], [("m", "den")]).tunnels
        for vent in (True, False)
    ]
    cases(warn.DEN_WITHOUT_VENT, without=both[0], with_it=both[1])


# ---------------------------------------------------------------- swims


def gated(shut: bool, **tunnels: Any) -> OptionResult:
    nodes = [
        {"name": "m", "kind": "mouth", "at": [3.7, 0, -0.6]},
        {"name": "g", "kind": "gate", "at": [6.2, 0, -0.6], "shut": shut},
        {"name": "den", "kind": "chamber", "at": [8.7, 0, -0.6], "size": ["60 cm", "45 cm", "40 cm"]},
    ]
    return with_nodes(nodes, [("m", "g"), ("g", "den")], **tunnels)


def ladder(rungs: int) -> OptionResult:
    """Two mouths and a ladder of rungs: 2 to the power of the rungs' number of ways."""
    nodes: list[Node] = [("a", "mouth", (3.7, -0.5, -0.6)), ("b", "mouth", (3.7, 0.5, -0.6))]
    nodes += [
        (f"{side}{i}", "junction", (5.0 + i, at, -0.6)) for i in range(rungs) for side, at in (("s", -0.5), ("n", 0.5))
    ]
    runs = [("a", "s0"), ("b", "n0"), *((f"s{i}", f"n{i}") for i in range(rungs))]
    runs += [(f"{side}{i}", f"{side}{i + 1}") for i in range(rungs - 1) for side in "sn"]
    return sketch(nodes, runs, lining=LINED, **STILL)


def test_swims() -> None:
    cases(warn.GATES_SHUT, without=gated(False).tunnels, with_it=gated(True).tunnels)
    cases(warn.SWIM_SEARCH_CUT_SHORT, without=ladder(4).tunnels, with_it=ladder(16).tunnels)


# ---------------------------------------------------------------- flushing


def test_flush_velocities() -> None:
    """Wanted 1 m/s in 4 in pipe: by its bore of 3.998 in, and at the unsafe end by the widest that the wall leaves."""
    slow = lambda flow: entry(water_formulas.flush_velocity, "m", flush_flow=flow, bore=BORE, velocity_required=1.0)  # noqa: E731
    area = math.pi / 4 * BORE**2
    edge(warn.FLUSH_SLOW, slow, inside=1.005 * area, outside=0.995 * area)
    widest = pipe("sch40 4 in").bores
    between = entry(water_formulas.flush_velocity, "m", flush_flow=1.005 * area, bore=widest, velocity_required=1.0)
    assert told(between)["flush_slow"].rank == "check"
    several = lambda flow: entry(water_formulas.open_velocity, "m", flow=flow, bore=BORE, velocity_required=1.0)  # noqa: E731
    edge(warn.OPEN_FLUSH_SLOW, several, inside=1.005 * area, outside=0.995 * area)


def test_what_to_do_before_a_flush() -> None:
    flushed: dict[str, Any] = {"flush_from": "den", "flush_flow": "100 L/min"}
    plain = gated(False).tunnels
    cases(warn.ANIMALS_OUT, without=plain, with_it=gated(False, **flushed).tunnels)
    cases(
        warn.FLUSH_SIPHON,
        without=gated(False, flush_check=True, **flushed).tunnels,
        with_it=gated(False, **flushed).tunnels,
    )
    cases(warn.GATE_SHUT_ON_FLUSH, without=gated(False, **flushed).tunnels, with_it=gated(True, **flushed).tunnels)
    ring: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("a", "junction", (5.7, 0, -0.6)),
        ("b", "junction", (7.7, 0, -0.6)),
        ("c", "junction", (5.7, 2, -0.6)),
        ("d", "junction", (7.7, 2, -0.6)),
    ]
    runs = [("m", "a"), ("a", "b"), ("a", "c"), ("c", "d")]
    both = [sketch(ring, [*runs, *more], flush_from="d", flush_flow="100 L/min").tunnels for more in ([], [("b", "d")])]
    cases(warn.FLUSH_RING, without=both[0], with_it=both[1])


def test_what_no_flush_sweeps_and_no_rod_passes() -> None:
    edge(
        warn.UNSWEPT,
        lambda long: entry(water_formulas.unswept_length, "m", run_length=long),
        inside=0.0,
        outside=MM,
        step=MM,
    )
    edge(
        warn.ROD_BENDS, lambda more: entry(water_formulas.rod_bends, "m", bends=(45.0, more)), inside=45.0, outside=45.5
    )


def pumped(length: str, opening: float) -> OptionResult:
    """A pump whose flush branch of 2 in pipe is so long and stands so open, besides one to the pool."""
    tunnels = {
        "pipe": "sch40 4 in",
        "nodes": [
            {"name": "m", "kind": "mouth", "at": ["3.7 m", "0 m", "-60 cm"]},
            {"name": "feed", "at": ["9 m", "0 m", "-60 cm"]},
        ],
        "runs": [{"from": "m", "to": "feed"}],
        "flush_from": "feed",
    }
    water = {"pumps": [PUMP], "branches": [BRANCHES[0], BRANCHES[1] | {"length": length, "opening": opening}]}
    option = {"name": "A", "pools": [POOL], "tunnels": tunnels, "water": water}
    return evaluate(read(units="si", site={}, options=[option])).options[0]


def test_a_shut_flush_branch_has_a_judged_velocity() -> None:
    """At most 5 ft/s (Florida plumbing code, Appendix F); 1 1/2 in pipe of 1.592 in bore. With the
    valve shut it is worked out wide open.
    """
    velocity = figures(pumped("6 m", 0), "flush_branch_velocity")["flush"]
    flow = figures(pumped("6 m", 0), "flush_branch_flow")["flush"]
    assert abs(velocity.value - flow.value / (math.pi / 4 * (1.592 * 0.0254) ** 2)) < 1e-9
    low, high = 1.0, 300.0  # m: bisect the length of the branch at which it is just 5 ft/s
    for _ in range(30):
        middle = (low + high) / 2
        fast = figures(pumped(f"{middle} m", 0), "flush_branch_velocity")["flush"].value > 5 * 0.3048
        low, high = (middle, high) if fast else (low, middle)
    at = lambda long: figures(pumped(f"{long} m", 0), "flush_branch_velocity")["flush"]  # noqa: E731
    edge(warn.FLUSH_BRANCH_FAST, at, inside=1.005 * low, outside=0.995 * low)


def test_a_mouth_that_draws_water_in() -> None:
    """Two mouths in pools of different level, both open: a small flush cannot hold the
    higher pool back, a large one does.
    """
    upper = {**POOL, "name": "upper", "level": 0.05, "at": [0, 20]}
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("j", "junction", (6.5, 0, -0.6)),
        ("k", "junction", (6.5, 20, -0.6)),
        ("n", "mouth", (3.675, 20, -0.6)),
        ("feed", "junction", (8.5, 0, -0.6)),
    ]
    runs = [("m", "j"), ("j", "k"), ("k", "n"), ("j", "feed")]
    both = [
        sketch(nodes, runs, pools=[POOL, upper], flush_from="feed", flush_flow=flow, flush_open=["m", "n"]).flushing
        for flow in ("4000 L/min", "10 L/min")
    ]
    cases(warn.OPEN_MOUTH_DRAWS_IN, without=both[0], with_it=both[1])


# ---------------------------------------------------------------- watertight, afloat


def test_what_must_be_watertight() -> None:
    edge(
        warn.VESSEL_TESTED,
        lambda long: entry(water_formulas.vessel_length, "m", length_below=long),
        inside=0.0,
        outside=MM,
        step=MM,
    )
    at = lambda level: entry(  # noqa: E731
        water_formulas.joint_below_seal_line,
        "j",
        water_level=0.0,
        water_rise=0.1,
        seal_margin=0.2,
        joint_level=level,
        outside_diameter=OUTSIDE,
    )
    edge(warn.WATERTIGHT_JOINT, at, inside=0.3 + OUTSIDE / 2 + 0.1 * MM, outside=0.3 + OUTSIDE / 2 - 0.1 * MM)


def test_pipe_that_may_float() -> None:
    """Reference notes 9.4: 4 in Schedule 40 in soil of 120 lb/ft³ with a safety of 1.5 wants 0.386 ft of cover."""
    exact = {"cover_density": "120 lb/ft^3", "cover_density_within": 0, "uplift_safety": 1.5}

    def spare(cover_ft: float, **more: Any) -> Any:
        level = -cover_ft * 0.3048 - OUTSIDE / 2
        nodes: list[Node] = [("a", "junction", (8, 0, level)), ("b", "junction", (12, 0, level))]
        return figures(sketch(nodes, [("a", "b")], site={"groundwater": "0 m"}, **(exact | more)), "pipe_cover_spare")[
            "a – b"
        ]

    edge(warn.COVER_TOO_THIN, spare, inside=0.388, outside=0.384)
    doubt = told(spare(0.388, cover_density_within="10 %"))["cover_too_thin"]
    assert doubt.rank == "check"  # enough cover of typical soil, too little of the lightest
    nodes: list[Node] = [("a", "junction", (-2, 0, -0.6)), ("b", "junction", (2, 0, -0.6))]
    closed = sketch(nodes, [("a", "b")], site={"groundwater": "-5 m"}).tunnels
    opened = sketch([("a", "mouth", (-2, 0, -0.6)), nodes[1]], [("a", "b")], site={"groundwater": "-5 m"}).tunnels
    cases(warn.PIPE_STAYS_EMPTY, without=opened, with_it=closed)
    cases(warn.NEVER_RELY_ON_WATER, without=opened, with_it=closed)
