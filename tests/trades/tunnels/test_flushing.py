"""The flush where tunnels and pumps meet: random nets as EPANET solves them, conservation,
closed forms, the flow that is handed on.
"""

import random
import tempfile
import warnings
from pathlib import Path
from typing import Any

import pytest

from pondkit.solvers.friction import Conduit
from pondkit.solvers.pipe_network import GridPipe, solve_pipe_grid
from pondkit.study.evaluate import OptionResult, evaluate
from tests.designs import read
from tests.solvers.test_pipe_network import INCH, ROUGH
from tests.trades.tunnels.sketch import POOL, figures

NU = 1.0e-6


def random_net(seed: int) -> tuple[list[GridPipe], dict[int, float], dict[int, float]]:
    """A tree with some rings, fed at node 0, with 2 to 5 open ends."""
    rng = random.Random(seed)
    nodes = rng.randint(6, 14)
    ends = [(rng.randrange(at), at) for at in range(1, nodes)]
    for _ in range(rng.randint(0, 3)):
        a, b = sorted(rng.sample(range(nodes), 2))
        if (a, b) not in ends:
            ends.append((a, b))
    pipes = [
        GridPipe(
            *pair,
            Conduit(rng.choice([3.042, 3.998, 6.031]) * INCH, rng.uniform(0.5, 8), rng.choice([0.0, 1.0]), ROUGH, NU),
        )
        for pair in ends
    ]
    opened = rng.sample(range(1, nodes), rng.randint(2, 5))
    return pipes, {0: rng.uniform(2e-3, 12e-3)}, {node: rng.choice([0.0, 0.0, -0.02, 0.01]) for node in opened}


def by_epanet(pipes: list[GridPipe], supply: dict[int, float], heads: dict[int, float]) -> list[float]:
    wntr = pytest.importorskip("wntr")
    model = wntr.network.WaterNetworkModel()
    hydraulic = model.options.hydraulic
    with warnings.catch_warnings(action="ignore"):  # says that roughness is now a length: it is one
        hydraulic.headloss = "D-W"
    hydraulic.viscosity, hydraulic.accuracy, hydraulic.trials = NU / 1.02193e-6, 1e-6, 400
    model.options.time.duration = 0
    for node in sorted({end for pipe in pipes for end in (pipe.start, pipe.end)}):
        if node in heads:
            model.add_reservoir(f"n{node}", base_head=heads[node])
        else:
            model.add_junction(f"n{node}", elevation=-50.0, base_demand=-supply.get(node, 0.0))
    for number, pipe in enumerate(pipes):
        own = pipe.conduit
        model.add_pipe(
            f"p{number}",
            f"n{pipe.start}",
            f"n{pipe.end}",
            length=own.length,
            diameter=own.bore,
            roughness=own.roughness,
            minor_loss=own.k,
            initial_status="OPEN",
        )
    flows = (
        wntr.sim.EpanetSimulator(model)
        .run_sim(file_prefix=str(Path(tempfile.mkdtemp()) / "net"))
        .link["flowrate"]
        .iloc[0]
    )
    return [float(flows[f"p{number}"]) for number in range(len(pipes))]


@pytest.mark.parametrize("seed", range(14))
def test_random_nets_as_epanet_solves_them(seed: int) -> None:
    """EPANET takes Swamee-Jain for the friction factor, up to 2 % off Colebrook, and
    another line between 2000 and 4000.
    """
    pipes, supply, heads = random_net(seed)
    found = solve_pipe_grid(pipes, supply, heads)
    assert found is not None
    assert list(found) == pytest.approx(by_epanet(pipes, supply, heads), rel=0.02, abs=0.01 * supply[0])


@pytest.mark.parametrize("seed", range(40))
def test_what_flows_in_flows_out_and_heads_agree_round_every_ring(seed: int) -> None:
    pipes, supply, heads = random_net(100 + seed)
    found = solve_pipe_grid(pipes, supply, heads)
    assert found is not None
    sums: dict[int, float] = dict(supply)
    for pipe, flow in zip(pipes, found, strict=True):
        sums[pipe.start] = sums.get(pipe.start, 0.0) - flow
        sums[pipe.end] = sums.get(pipe.end, 0.0) + flow
    assert all(abs(left) < 1e-9 for node, left in sums.items() if node not in heads)
    assert sum(sums[node] for node in heads) == pytest.approx(supply[0], rel=1e-7)
    level = dict(heads)
    for _ in pipes:  # heads, worked out pipe by pipe from the open ends, agree wherever they meet
        for pipe, flow in zip(pipes, found, strict=True):
            lost = pipe.conduit.loss(flow)[0]
            if pipe.start in level:
                assert level.setdefault(pipe.end, level[pipe.start] - lost) == pytest.approx(
                    level[pipe.start] - lost, abs=1e-6
                )
            elif pipe.end in level:
                level[pipe.start] = level[pipe.end] + lost


@pytest.mark.parametrize("datum", [0.0, 5.0, 18.0, -18.0])
@pytest.mark.parametrize(("bore", "length", "flow"), [(0.2, 0.3, 1e-3), (0.3, 0.3, 3e-3), (0.38, 1.0, 3e-3)])
def test_a_site_far_above_its_datum_takes_the_same_flows(bore: float, length: float, flow: float, datum: float) -> None:
    """Two alike ways and a pipe across between them: half the flow each and none across, at any level that a site may
    have (60 ft).
    """
    pipe = Conduit(bore, length, 0.0, 1.5e-6, 1e-6)
    pipes = [GridPipe(*ends, pipe) for ends in ((0, 1), (0, 2), (1, 3), (2, 3), (1, 2))]
    found = solve_pipe_grid(pipes, {0: flow}, {3: datum})
    assert found == pytest.approx([flow / 2] * 4 + [0.0], abs=1e-8 * flow)


def test_two_alike_ways_take_half_each_and_an_open_end_takes_by_its_square_root() -> None:
    way = Conduit(0.1, 5.0, 1.0, ROUGH, NU)
    found = solve_pipe_grid([GridPipe(0, 1, way), GridPipe(0, 2, way)], {0: 6e-3}, {1: 0.0, 2: 0.0})
    assert found == pytest.approx((3e-3, 3e-3))
    short = [Conduit(0.1, 1e-7, k, ROUGH, NU) for k in (1.0, 4.0)]  # h = K v²/2g: v as 1 to 1/2
    found = solve_pipe_grid([GridPipe(0, 1, short[0]), GridPipe(0, 2, short[1])], {0: 6e-3}, {1: 0.0, 2: 0.0})
    assert found == pytest.approx((4e-3, 2e-3), rel=1e-4)


# ---------------------------------------------------------------- in an option

NODES = [
    {"name": "m1", "kind": "mouth", "at": ["3.7 m", "0 m", "-60 cm"]},
    {"name": "j", "at": ["5.5 m", "0 m", "-60 cm"]},
    {"name": "k", "at": ["5.5 m", "1.8 m", "-60 cm"]},
    {"name": "m2", "kind": "mouth", "at": ["3.7 m", "1.8 m", "-60 cm"]},
    {"name": "feed", "kind": "junction", "at": ["9 m", "0 m", "-60 cm"]},
]
RUNS = [{"from": "m1", "to": "j"}, {"from": "j", "to": "k"}, {"from": "k", "to": "m2"}, {"from": "j", "to": "feed"}]
PUMP = {
    "name": "one",
    "curve": [
        {"flow": "0 L/min", "head": "6 m"},
        {"flow": "200 L/min", "head": "4 m"},
        {"flow": "400 L/min", "head": "0 m"},
    ],
}
BRANCHES = [
    {"name": "up", "length": "3 m", "outlet_level": "1 m"},
    {"name": "flush", "to": "flush", "length": "6 m", "opening": 0},
]


def worked(water: dict[str, Any] | None = None, **tunnels: Any) -> OptionResult:
    drawn = {"pipe": "sch40 4 in", "nodes": NODES, "runs": RUNS, "flush_from": "feed"} | tunnels
    one = {"name": "A", "pools": [POOL], "tunnels": drawn} | ({"water": water} if water else {})
    return evaluate(read(units="si", site={}, options=[one])).options[0]


def test_the_flush_takes_the_branchs_flow_before_the_one_entered() -> None:
    plain = worked(flush_flow="100 L/min")
    pumped = worked({"pumps": [PUMP], "branches": BRANCHES}, flush_flow="100 L/min")
    assert not pumped.problems
    given = figures(pumped, "flush_branch_flow")["flush"].value
    shut = worked({"pumps": [PUMP], "branches": BRANCHES[:1]}, flush_flow="100 L/min")
    for result, flow in ((plain, 0.1 / 60), (pumped, given), (shut, 0.1 / 60)):
        velocity = figures(result, "flush_velocity")["j – feed"]
        assert velocity.value == pytest.approx(flow / (3.141592653589793 / 4 * (3.998 * INCH) ** 2))
    assert given > 0.2 / 60
    assert "flush_branch_flow" not in dict(plain.entries())


def test_the_branchs_flow_is_that_of_its_pump_with_the_others_shut() -> None:
    """By the curve and the line: head given at the flow is what the line takes, for ends at one level."""
    pumped = worked({"pumps": [PUMP], "branches": BRANCHES}, flush_flow="100 L/min")
    alone = worked({"pumps": [PUMP], "branches": [BRANCHES[1] | {"opening": 1}]}, flush_flow="100 L/min")
    assert pumped.water is not None and alone.water is not None
    given = figures(pumped, "flush_branch_flow")["flush"].value
    assert given == pytest.approx(figures(alone, "branch_flow")["flush"].value, rel=1e-6)


def test_mouths_open_at_once_share_the_flow_and_the_nearer_takes_more() -> None:
    result = worked(flush_flow="300 L/min", flush_open=["m1", "m2"])
    assert not result.problems
    out = {name: figure.value for name, figure in figures(result, "open_mouth_flow").items()}
    assert sum(out.values()) == pytest.approx(0.3 / 60)
    assert out["m1"] > out["m2"] > 0
    speeds = figures(result, "open_velocity")
    area = 3.141592653589793 / 4 * (3.998 * INCH) ** 2
    assert speeds["j – feed"].value == pytest.approx(0.3 / 60 / area)
    assert speeds["k – m2"].value == pytest.approx(out["m2"] / area)
    assert any("Slower than the velocity wanted" in caution.text for caution in speeds["k – m2"].cautions)


def test_a_single_open_mouth_takes_it_all_as_mouth_by_mouth() -> None:
    result = worked(flush_flow="300 L/min", flush_open=["m2"])
    one = figures(result, "flush_velocity")
    for run, figure in figures(result, "open_velocity").items():
        assert figure.value == pytest.approx(0.0 if run == "m1 – j" else one[run].value, abs=1e-9)


@pytest.mark.parametrize(("name", "said"), [("nowhere", "no node is called"), ("j", "no mouth that the flush")])
def test_a_mouth_that_is_none_is_named(name: str, said: str) -> None:
    result = worked(flush_flow="300 L/min", flush_open=["m1", name])
    assert any(said in problem.given.text and problem.path == ("tunnels", "flush_open") for problem in result.problems)
    assert not figures(result, "open_mouth_flow")
    assert figures(result, "flush_velocity")
