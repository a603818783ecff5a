"""Every input of the water side at its ends: figures stay numbers; and a demo's running
reckoned anew from the published formulas.
"""

import math

import fluids
import pytest
from fluids.filters import square_edge_screen
from fluids.packed_bed import Ergun
from scipy.interpolate import PchipInterpolator
from scipy.optimize import fsolve

from pondkit.core.part import ask_of, kind_in, walk
from pondkit.core.refusal import Refused
from pondkit.core.tables import rows_by_name
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.water.compute import compute as compute_water
from pondkit.trades.water.compute import running_water
from pondkit.trades.water.inputs.pumping import Branch, Line
from pondkit.trades.water.results import PoolWater
from tests.designs import demo

G, NU, RHO, ROUGH, INCH = 9.80665, 1.003e-6, 998.2, 1.524e-6, 0.0254
K = {
    "elbows_90": 0.9,
    "sweeps_90": 0.6,
    "elbows_45": 0.4,
    "tees_through": 0.6,
    "tees_branch": 1.8,
}  # EPANET 2.2, Table 3.3
VALVE, CHECK, ENTRANCE, EXIT = {"gate": 0.2, "ball": 0.05, "none": 0.0}, 2.5, 0.5, 1.0


def test_at_the_ends_of_every_input_no_figure_is_without_a_number() -> None:
    project = demo("turtle_yard")
    channel = {"kind": "channel", "length": "4 ft", "bank_height": "3 in"}
    for name, given in channel.items():
        project = put(project, ("options", 0, "links", 0, name), given)
    project = put(project, ("options", 0, "water", "filter", "media_size"), "8 mm")
    result = evaluate(project).options[0]
    bodies = bodies_of(result)
    met = 0
    for path, part, name in walk(project):
        said, kind = ask_of(type(part), name), kind_in(type(part), name)
        if path[:2] != ("options", 0) or path[2] not in ("water", "links") or not said or not kind:
            continue
        for end in (said.low, said.high):
            if end is None or isinstance(getattr(part, name), tuple):
                continue
            try:
                option = put(project, path, end).options[0]
            except Refused:
                continue
            assert option.water is not None
            run = running_water(option.water, option.links, bodies)
            whole = compute_water(option.water, option.links, run, bodies, (0.1, 0.1), (), None)
            for key, figure in whole.entries():
                assert all(map(math.isfinite, (figure.value, figure.least, figure.most))), (path, end, key)
            met += 1
    assert met > 150


def bodies_of(result: OptionResult) -> tuple[PoolWater, ...]:
    return tuple(
        PoolWater(pool.name, pool.surfaces.finished.level, pool.surfaces.finished.rim_level, pool.surface_area.value)
        for pool in result.pools
    )


def lost(flow: float, line: Line, ends: float) -> float:
    """Darcy and Colebrook by the fluids library, K of EPANET's table."""
    bore = float(rows_by_name("trades/water/pipes")[line.pipe]["bore"]) * INCH
    speed = flow / (math.pi / 4 * bore**2)
    f = fluids.friction_factor(Re=abs(speed) * bore / NU, eD=ROUGH / bore, Method="Colebrook")
    k = sum(getattr(line, name) * each for name, each in K.items()) + line.extra_k + ends
    return float((f * line.length / bore + k) * speed * abs(speed) / 2 / G)


def at_valve(branch: Branch) -> float:
    """Open: the table's K; part open: an orifice plate by ISO 5167-2 with C 0.6 besides."""
    a = branch.opening
    part = (math.sqrt(1 - a**2 * (1 - 0.6**2)) / (0.6 * a) - 1) ** 2 if a < 1 else 0.0
    return VALVE[branch.valve] + float(part)


@pytest.mark.parametrize("option", [0, 1])
def test_the_demo_runs_as_reckoned_anew(option: int) -> None:
    """All equations in one, solved by scipy from the published formulas; water of 20 °C by MWH's table C-1."""
    project = demo("turtle_yard")
    for index in range(len(project.options[option].links)):
        project = put(project, ("options", option, "links", index, "crest_ends"), "run on")
    result = evaluate(project).options[option]
    drawn, got = result.option.water, {(key, e.subject): e.value for key, e in result.entries()}
    assert drawn is not None and drawn.filter is not None and drawn.intake is not None and drawn.main is not None
    bed, grid, main = drawn.filter, drawn.intake, drawn.main
    media_area, settling_area, passage = (float(a or 0) for a in (bed.media_area, bed.settling_area, bed.passage_area))
    low, high = (str(name) for name in (grid.pool, bed.to))
    pools = {body.name: body for body in bodies_of(result)}
    curves = [
        PchipInterpolator([float(p.flow) for p in pump.curve], [float(p.head) for p in pump.curve])
        for pump in drawn.pumps
    ]
    to_filter, flush = drawn.branches
    crest = 0.544 * 0.92 * math.sqrt(G) * result.option.links[0].crest_width  # broad, C_d midway of 0.85 to 0.99

    def screen(flow: float) -> float:
        speed = flow / (float(grid.screen_area or 0) * (1 - grid.blocked) * (1 - grid.clogged))
        return float(square_edge_screen(grid.open_share) * speed**2 / 2 / G)

    def bodies(flow: float) -> float:
        size = 6 * (1 - bed.media_voids) / bed.media_surface
        media = Ergun(dp=size, voidage=bed.media_voids, vs=flow / media_area, rho=RHO, mu=NU * RHO, L=bed.media_depth)
        return float(media / RHO / G + (flow / passage / 0.6) ** 2 / 2 / G)

    def fallen(cleaned: float) -> float:
        held = pools[high].area * (cleaned / crest) ** (2 / 3) + settling_area * bodies(cleaned)
        return held / pools[low].area

    count = len(drawn.pumps)

    def wrong(x: list[float]) -> list[float]:
        flows, (cleaned, flushed, head) = x[:count], x[count:]
        all_of_it, level = sum(flows), pools[low].level - fallen(cleaned)
        found = [
            float(curve(q)) - lost(q, pump, ENTRANCE + CHECK) - (head - level + screen(all_of_it))
            for q, curve, pump in zip(flows, curves, drawn.pumps, strict=True)
        ]
        end = head - lost(all_of_it, main, 0.0)
        found.append(end - bed.level - bodies(cleaned) - lost(cleaned, to_filter, EXIT + at_valve(to_filter)))
        found.append(end - level - lost(flushed, flush, EXIT + at_valve(flush)))
        return [*found, 1e3 * (all_of_it - cleaned - flushed)]

    assert all(pump.check_valve for pump in drawn.pumps)  # nothing else comes back
    x = fsolve(wrong, [1.4e-3] * count + [0.9e-3 * count, 0.5e-3 * count, 1.0], xtol=1e-12)
    for pump, flow in zip(drawn.pumps, x, strict=False):
        assert got["pump_flow", pump.name] == pytest.approx(flow, rel=1e-3)
    cleaned, flushed = x[count], x[count + 1]
    assert got["branch_flow", to_filter.name] == pytest.approx(cleaned, rel=1e-3)
    assert got["branch_flow", flush.name] == pytest.approx(flushed, rel=1e-3)
    assert got["drawdown", low] == pytest.approx(fallen(cleaned), rel=1e-3)
    assert got["return_volume", low] == pytest.approx(fallen(cleaned) * pools[low].area, rel=1e-3)
    drop = pools[high].level + (cleaned / crest) ** (2 / 3) - pools[low].level + fallen(cleaned)
    ratio = 1 + 0.38 * 1.6 * 0.8 * drop * (1 - 0.11 * drop) * (1 + 0.046 * 20)  # slightly polluted, flat broad crest
    assert got["deficit_ratio", f"{high} – {low}"] == pytest.approx(ratio, rel=1e-3)
    load, area = drawn.load, sum(body.area for body in pools.values())
    assert load is not None
    made = load.feed * load.protein * 0.092 + load.waste
    used = load.respiration + 4.57 * made
    taken_in = cleaned * (1 - 1 / ratio) + load.exchange * area
    full = got["oxygen_saturation", ""]
    assert got["oxygen_by_night", ""] == pytest.approx(full - used / taken_in, rel=2e-3)
    # Nitrogen over the day: the bed's kinetics at what leaves it take what is made; what
    # comes to it is that and made / flow.
    rate = made * 86400 * 1e6 / (media_area * bed.media_depth * bed.media_surface)
    rate *= 1.043**7.2  # 4.275 % a degree from 27.2 to 20 °C (Zhu and Chen 2002)
    behind = (0.07 * 1859 + 1.93 * rate) / (1859 - rate) / 1000
    assert got["ammonia_level", ""] == pytest.approx(behind + made / cleaned, rel=1e-3)
    assert got["turnover", ""] == pytest.approx(got["total_net_volume", ""] / sum(x[:count]), rel=1e-3)
