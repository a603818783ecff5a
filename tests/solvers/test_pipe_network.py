"""The network of pumps and pipes: worked cases, EPANET on random ones, conservation at every node."""

import itertools
import random
import time

import pytest

from pondkit.solvers.curves import Curve, PumpPath, curve_through
from pondkit.solvers.friction import Conduit, Resistance, Series
from pondkit.solvers.pipe_network import BranchPath, Network, balance, bracketed_solve, newton_solve

INCH, NU, ROUGH = 0.0254, 1.0034e-6, 1.524e-6
WIDE = 10.0  # m: a bore in which nothing is lost


def falling(shutoff: float, square: float, most: float, points: int = 25) -> Curve:
    """The curve shutoff - square · q²."""
    flows = tuple(most * i / (points - 1) for i in range(points))
    return curve_through(flows, tuple(shutoff - square * q * q for q in flows))


def pump(curve: Curve, name: str = "p", conduit: Conduit | None = None, **more: object) -> PumpPath:
    set_up = {"running": True, "check_valve": True, "idle_k": 10.0} | more
    return PumpPath(name, conduit or Conduit(WIDE, 0.1, 0.0, ROUGH, NU), curve, **set_up)  # type: ignore[arg-type]


def loop(count: int) -> Network:
    """2 in schedule 40, 20 m, K 7.65, 1.5 m up; pumps 6.0 - 1e6 Q²."""
    pipe = Conduit(2.067 * INCH, 20.0, 7.65, ROUGH, NU)
    pumps = tuple(pump(falling(6.0, 1e6, 2.4e-3), f"p{i}") for i in range(count))
    return Network(0.0, pumps, None, (BranchPath("b", pipe, 1.5, False, False),))


@pytest.mark.parametrize(("count", "flow", "head"), [(1, 1.960e-3, 2.158), (2, 3.305e-3, 3.269)])
def test_the_full_loop_with_one_and_two_pumps(count: int, flow: float, head: float) -> None:
    """Solved apart with fluids 1.3.1 and scipy 1.17.1 (library)."""
    found = balance(loop(count))
    assert found.flow == pytest.approx(flow, rel=0.002)
    assert found.pump_head == pytest.approx(head, rel=0.002)
    assert found.pump_flows[0] == pytest.approx(found.flow / count, rel=1e-6)


# Hp = 10 - 0.20 q², Hs = 2 + 0.30 q² (m, L/s), closed form: one pump 4.000 L/s, 6.80 m; two alike 4.781 L/s, 8.857 m
@pytest.mark.parametrize(("count", "flow", "head"), [(1, 4.000e-3, 6.80), (2, 4.781e-3, 8.857)])
def test_operating_points_of_plain_squares(count: int, flow: float, head: float) -> None:
    bore = 2.067 * INCH
    area = 3.141592653589793 / 4 * bore**2
    k = 0.30e6 * 2 * 9.80665 * area**2  # a short line whose loss is 0.30 q²
    line = Conduit(bore, 1e-7, k, ROUGH, NU)
    pumps = tuple(pump(falling(10.0, 0.20e6, 6.5e-3, 60), f"p{i}") for i in range(count))
    found = balance(Network(0.0, pumps, None, (BranchPath("b", line, 2.0, False, False),)))
    assert found.flow == pytest.approx(flow, rel=3e-4)
    assert found.pump_head == pytest.approx(head, rel=3e-4)


# Free outlets on one head, C_d 0.62 (scipy): 50/40/32 mm, 6.0 L/s in all
@pytest.mark.parametrize(
    ("levels", "head", "shares"),
    [((0, 0, 0), 0.2948, (2.927, 1.874, 1.199)), ((0, 0.10, 0.30), 0.4002, (3.411, 1.890, 0.699))],
)
def test_a_manifold_splits_as_its_outlets_do(levels: tuple[float, ...], head: float, shares: tuple[float, ...]) -> None:
    k = 1 / 0.62**2  # an outlet q = C_d A sqrt(2 g h) takes h = K v²/2g
    branches = tuple(
        BranchPath(f"b{mm}", Conduit(mm / 1000, 1e-7, k, ROUGH, NU), z, False, True)
        for mm, z in zip((50, 40, 32), levels, strict=True)
    )
    # A pump so steep that it gives 6.0 L/s at any such head.
    steep = Curve((0.0, 6.0e-3), (1e4, 0.0), (-1e4 / 6e-3, -1e4 / 6e-3))
    found = balance(Network(0.0, (pump(steep),), None, branches))
    assert found.branch_head == pytest.approx(head, rel=0.002)
    assert [q * 1000 for q in found.branch_flows] == pytest.approx(shares, rel=0.002)


# --- against EPANET, through WNTR ---


def random_network(seed: int) -> Network:
    rng = random.Random(seed)

    def line(long: float) -> Conduit:
        return Conduit(
            rng.choice([1.592, 2.049, 3.042]) * INCH, rng.uniform(1, long), rng.uniform(0.5, 8), ROUGH, 1.0e-6
        )

    pumps = tuple(
        pump(falling(rng.uniform(5, 9), rng.uniform(2e5, 1e6), 2.2e-3, 50), f"p{i}", line(5), check_valve=True)
        for i in range(rng.randint(1, 4))
    )
    branches = tuple(
        BranchPath(f"b{i}", line(20), rng.uniform(0.2, 1.2), False, True) for i in range(rng.randint(1, 8))
    )
    return Network(rng.uniform(-1, 0), pumps, line(15), branches)


def by_epanet(network: Network) -> tuple[list[float], list[float]]:
    """Flows of pumps and branches by EPANET 2.2; its viscosity is set to that of the lines."""
    import warnings

    wntr = pytest.importorskip("wntr")
    model = wntr.network.WaterNetworkModel()
    hydraulic = model.options.hydraulic
    with warnings.catch_warnings(action="ignore"):  # says that roughness is now a length: it is one
        hydraulic.headloss = "D-W"
    hydraulic.viscosity, hydraulic.accuracy, hydraulic.trials = (
        1.0e-6 / 1.02193e-6,
        1e-6,
        400,
    )
    model.options.time.duration = 0
    model.add_reservoir("in", base_head=network.source)
    model.add_junction("meet", elevation=-50.0)
    model.add_junction("part", elevation=-50.0)

    def pipe(name: str, a: str, b: str, conduit: Conduit, check: bool = False) -> None:
        model.add_pipe(
            name,
            a,
            b,
            length=conduit.length,
            diameter=conduit.bore,
            roughness=conduit.roughness,
            minor_loss=conduit.k,
            initial_status="OPEN",
            check_valve=check,
        )

    for index, path in enumerate(network.pumps):
        model.add_junction(f"u{index}", elevation=-50.0)
        points = list(zip(path.curve.flows, path.curve.heads, strict=True))
        model.add_curve(f"c{index}", "HEAD", points)
        model.add_pump(f"p{index}", "in", f"u{index}", "HEAD", f"c{index}")
        pipe(f"d{index}", f"u{index}", "meet", path.conduit, True)
    assert network.main is not None
    pipe("main", "meet", "part", network.main)
    for index, branch in enumerate(network.branches):
        model.add_reservoir(f"o{index}", base_head=branch.level)
        pipe(f"b{index}", "part", f"o{index}", branch.conduit, True)
    flows = wntr.sim.EpanetSimulator(model).run_sim(file_prefix=str(_here() / "net")).link["flowrate"].iloc[0]
    return [float(flows[f"d{i}"]) for i in range(len(network.pumps))], [
        float(flows[f"b{i}"]) for i in range(len(network.branches))
    ]


def _here():  # type: ignore[no-untyped-def]
    import tempfile
    from pathlib import Path

    return Path(tempfile.mkdtemp())


@pytest.mark.parametrize("seed", range(12))
def test_random_networks_as_epanet_solves_them(seed: int) -> None:
    """EPANET takes Swamee-Jain for the friction factor, up to 2 % off Colebrook, and a
    straight line between curve points.
    """
    network = random_network(seed)
    pumps, branches = by_epanet(network)
    found = balance(network)
    whole = sum(pumps)
    assert found.flow == pytest.approx(whole, rel=0.01)
    assert list(found.pump_flows) == pytest.approx(pumps, rel=0.02, abs=0.01 * whole)
    assert list(found.branch_flows) == pytest.approx(branches, rel=0.02, abs=0.01 * whole)


# --- what must hold of any network ---


@pytest.mark.parametrize("seed", range(30))
def test_flow_is_kept_and_heads_agree_along_every_line(seed: int) -> None:
    rng = random.Random(1000 + seed)
    network = random_network(seed)
    pumps = tuple(
        PumpPath(p.name, p.conduit, p.curve, rng.random() < 0.7 or i == 0, rng.random() < 0.5, p.idle_k)
        for i, p in enumerate(network.pumps)
    )
    branches = tuple(
        BranchPath(b.name, b.conduit, b.level, rng.random() < 0.2 and i > 0, rng.random() < 0.5)
        for i, b in enumerate(network.branches)
    )
    network = Network(network.source, pumps, network.main, branches)
    found = balance(network)
    assert sum(found.branch_flows) == pytest.approx(found.flow, rel=1e-6, abs=1e-9)
    assert network.main is not None
    assert found.pump_head - network.main.loss(found.flow)[0] == pytest.approx(found.branch_head, abs=1e-7)
    for path, flow in zip(network.pumps, found.pump_flows, strict=True):
        lift = found.pump_head - network.source
        if path.running and flow > 0:
            assert path.curve.head(flow)[0] - path.conduit.loss(flow)[0] == pytest.approx(lift, abs=1e-6)
        elif path.running and path.check_valve:
            assert lift >= path.curve.shutoff - 1e-6
        elif not path.running and path.check_valve:
            assert flow == 0 or lift < 0
    for branch, flow in zip(network.branches, found.branch_flows, strict=True):
        if branch.shut:
            assert flow == 0
        elif flow:
            assert branch.conduit.loss(flow)[0] == pytest.approx(found.branch_head - branch.level, abs=1e-6)
        else:
            assert branch.one_way
            assert found.branch_head <= branch.level + 1e-9


def test_a_still_pump_without_its_check_valve_costs_flow_and_runs_backward() -> None:
    line = Conduit(2.049 * INCH, 3.0, 4.0, ROUGH, NU)
    for check, sign in ((True, 0), (False, -1)):
        pumps = (
            pump(falling(6.0, 1e6, 2.4e-3), "a", line),
            pump(falling(6.0, 1e6, 2.4e-3), "b", line, running=False, check_valve=check),
        )
        branch = BranchPath("b", Conduit(2.049 * INCH, 10.0, 4.0, ROUGH, NU), 1.5, False, False)
        found = balance(Network(0.0, pumps, None, (branch,)))
        assert (found.pump_flows[1] < 0) == (sign < 0)
        if sign:
            with_valve = balance(
                Network(0.0, (pumps[0], pump(pumps[1].curve, "b", line, running=False)), None, (branch,))
            )
            assert found.branch_flows[0] < with_valve.branch_flows[0]
            # What the first gives is split between the branch and the way back.
            assert found.pump_flows[0] == pytest.approx(found.branch_flows[0] - found.pump_flows[1], rel=1e-6)


def test_shutting_a_branch_sends_more_to_the_others_and_less_in_all() -> None:
    network = random_network(3)
    assert len(network.branches) > 1
    shut = Network(
        network.source,
        network.pumps,
        network.main,
        (
            *network.branches[:-1],
            BranchPath("shut", network.branches[-1].conduit, network.branches[-1].level, True, True),
        ),
    )
    before, after = balance(network), balance(shut)
    assert before.branch_flows[-1] > 0
    assert after.flow < before.flow
    assert all(b > a for a, b in zip(before.branch_flows[:-1], after.branch_flows[:-1], strict=True) if a > 0)


def test_four_pumps_and_eight_branches_are_balanced_quickly() -> None:
    """The bar is 5 ms."""
    line = Conduit(2.049 * INCH, 3.0, 4.0, ROUGH, NU)
    pumps = tuple(
        pump(falling(6 + 0.3 * i, 1e6, 2.4e-3, 6), f"p{i}", line, check_valve=False, running=i != 2) for i in range(4)
    )
    branches = tuple(
        BranchPath(
            f"b{i}", Conduit((1.6 + 0.3 * i) * INCH, 3.0 + i, 3.0 + i, ROUGH, NU), 0.5 + 0.1 * i, False, i % 2 == 0
        )
        for i in range(8)
    )
    network = Network(0.0, pumps, Conduit(3.042 * INCH, 10.0, 4.0, ROUGH, NU), branches)
    balance(network)
    took = []
    for _ in range(9):
        started = time.process_time()
        balance(network)
        took.append(time.process_time() - started)
    assert sorted(took)[4] < 0.005


# --- curves ---


def test_a_curve_passes_its_points_and_falls_everywhere() -> None:
    flows, heads = (0.0, 1e-3, 2e-3, 3e-3, 4e-3), (6.0, 5.9, 5.0, 4.9, 2.0)
    curve = curve_through(flows, heads)
    for q, h in zip(flows, heads, strict=True):
        assert curve.head(q)[0] == pytest.approx(h, abs=1e-12)
    row = [curve.head(i * 1e-5)[0] for i in range(600)]
    assert all(b < a for a, b in itertools.pairwise(row))
    for q in (0.5e-3, 1.7e-3, 2.2e-3, 3.9e-3, 5e-3):
        step = 1e-8
        assert curve.head(q)[1] == pytest.approx(
            (curve.head(q + step)[0] - curve.head(q - step)[0]) / (2 * step), rel=1e-4
        )


# --- steps on all lines at once, against the search ---


def any_network(seed: int) -> Network:
    """A random one with still pumps, shut branches, water that may run back, a screen and a filter."""
    rng = random.Random(seed)
    network = random_network(seed)
    pumps = tuple(
        PumpPath(p.name, p.conduit, p.curve, rng.random() < 0.7 or i == 0, rng.random() < 0.5, p.idle_k)
        for i, p in enumerate(network.pumps)
    )
    branches = tuple(
        BranchPath(
            b.name,
            b.conduit,
            b.level,
            rng.random() < 0.2 and i > 0,
            rng.random() < 0.5,
            rng.random() < 0.4,
            b.level + rng.uniform(-0.3, 0.3),
        )
        for i, b in enumerate(network.branches)
    )
    screen = Series((Resistance(square=rng.uniform(0, 3e4)),))
    bodies = Series((Resistance(0.0, rng.uniform(0, 80), rng.uniform(0, 1e5)),))
    return Network(network.source, pumps, network.main, branches, screen, bodies)


@pytest.mark.parametrize("seed", range(150))
def test_the_quick_way_gives_what_the_search_gives_from_wherever_it_starts(seed: int) -> None:
    network = any_network(seed)
    slow = bracketed_solve(network)
    starts = [None, bracketed_solve(any_network_like(network, seed))]
    for near in starts:
        quick = newton_solve(network, near)
        if quick is not None:
            scale = max(abs(q) for q in (*slow.pump_flows, *slow.branch_flows))
            assert quick.pump_flows == pytest.approx(slow.pump_flows, abs=1e-7 * scale)
            assert quick.branch_flows == pytest.approx(slow.branch_flows, abs=1e-7 * scale)
            assert quick.pump_head == pytest.approx(slow.pump_head, abs=1e-7)
            assert quick.branch_head == pytest.approx(slow.branch_head, abs=1e-7)


def any_network_like(network: Network, seed: int) -> Network:
    """The same lines with other pumps running."""
    return network.with_running([i == seed % len(network.pumps) for i in range(len(network.pumps))])


def test_the_quick_way_settles_mostly() -> None:
    done = sum(newton_solve(any_network(seed)) is not None for seed in range(150))
    assert done > 100


def wide_network(seed: int) -> Network:
    """A random one of pipes from a hose's width to one's own, the valves of some nearly shut."""
    rng = random.Random(seed)

    def line() -> Conduit:
        k = rng.choice([1, rng.uniform(1, 20), 10 ** rng.uniform(0, 4)])
        return Conduit(rng.uniform(0.02, 0.2), rng.uniform(0.1, 60), k, ROUGH, NU)

    pumps = tuple(
        pump(
            falling(rng.uniform(2, 25), rng.uniform(1e5, 1e7), 3e-3, 6), f"p{i}", line(), check_valve=rng.random() < 0.5
        )
        for i in range(rng.randint(1, 3))
    )
    basin = rng.uniform(-2, 8)
    branches = []
    for i in range(rng.randint(1, 5)):
        filtered = rng.random() < 0.4
        level = basin if filtered else rng.uniform(-2, 8)
        branches.append(BranchPath(f"b{i}", line(), level, False, rng.random() < 0.5, filtered))
    bodies = Series((Resistance(0.0, 10 ** rng.uniform(0, 3), 10 ** rng.uniform(1, 6)),))
    return Network(rng.uniform(-2, 2), pumps, line(), tuple(branches), bodies=bodies)


@pytest.mark.parametrize("start", range(0, 600, 100))
def test_the_search_keeps_the_flow_where_a_wide_branch_is_about_to_shut(start: int) -> None:
    """Continuity, and the head loss of each line by itself. In a wide pipe a hundredth of a micrometre of head makes
    a flow that counts beside what the pumps give.
    """
    for seed in range(start, start + 100):
        network = wide_network(seed)
        now = bracketed_solve(network)
        largest = max(abs(q) for q in (*now.pump_flows, *now.branch_flows))
        assert sum(now.branch_flows) == pytest.approx(now.flow, abs=1e-6 * largest + 1e-10), seed
        for branch, flow, end in zip(network.branches, now.branch_flows, now.ends, strict=True):
            if flow:
                assert branch.conduit.loss(flow)[0] == pytest.approx(now.branch_head - end, abs=1e-6), seed
