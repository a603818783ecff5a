"""Sizes of pipe and fittings: as printed, from memory as the notes have them, and a person's own pipe."""

import math

import pytest

from pondkit.core.tables import table
from pondkit.trades.tunnels import pictures
from pondkit.trades.tunnels.joints import centre_to_stop, pipe
from tests.cautions import told
from tests.trades.tunnels.sketch import LINED, Node, figures, said, sketch, value

IN = 0.0254

# (outside diameter, average inside diameter, least wall [in], pounds a foot): ASTM D1785 Schedule 40, pipe-data page.
SCHEDULE_40 = {
    "1 1/2": (1.900, 1.592, 0.145, 0.509),
    "2": (2.375, 2.049, 0.154, 0.682),
    "3": (3.500, 3.042, 0.216, 1.409),
    "4": (4.500, 3.998, 0.237, 2.006),
    "6": (6.625, 6.031, 0.280, 3.535),
    "8": (8.625, 7.943, 0.322, 5.305),
    "10": (10.750, 9.976, 0.365, 7.532),
    "12": (12.750, 11.890, 0.406, 9.949),
}
# Outside diameters of ASTM D3034 SDR 35 [in], secondary source; walls are 0.12 to 0.437 in, masses 1.03 to 13.39 lb/ft.
SDR_35 = {"4": 4.215, "6": 6.275, "8": 8.4, "10": 10.5, "12": 12.5, "15": 15.3}


def test_pipe_as_printed() -> None:
    rows = {row["pipe"]: row for row in table("trades/water/pipes")}
    for size, (outside, inside, wall, mass) in SCHEDULE_40.items():
        row = rows[f"sch40 {size} in"]
        printed = (row["outside_diameter"], row["bore"], row["min_wall"], row["mass"])
        assert tuple(map(float, printed)) == (outside, inside, wall, mass), size
    for size, outside in SDR_35.items():
        row = rows[f"sdr35 {size} in"]
        wall = float(row["min_wall"])
        assert float(row["outside_diameter"]) == outside, size
        assert outside / wall == pytest.approx(35, rel=0.005), f"{size}: SDR 35 is outside diameter over least wall"
        assert float(row["bore"]) == pytest.approx(outside - 2 * wall, abs=6e-4), size
        # PVC of one density: the mass is in proportion to the area of the wall, as in
        # the two sizes whose mass is printed.
        assert float(row["mass"]) == pytest.approx(13.39 * (outside - wall) * wall / (14.863 * 0.437), rel=0.02), size
    assert (rows["sdr35 4 in"]["mass"], rows["sdr35 15 in"]["mass"]) == ("1.03", "13.39")


def test_the_bore_ranges_over_the_walls_that_the_standard_allows() -> None:
    """ASTM D1785 data sheet, 4 in: walls of 6.02 to 6.73 mm on 114.3 mm; 1 1/2 in: 3.68 to 4.19 mm on 48.26 mm."""
    for name, outside, least, greatest in (("sch40 4 in", 114.3, 6.02, 6.73), ("sch40 1 1/2 in", 48.26, 3.68, 4.19)):
        bores = pipe(name).bores
        assert 1000 * bores.low == pytest.approx(outside - 2 * greatest, abs=0.04)
        assert 1000 * bores.high == pytest.approx(outside - 2 * least, abs=0.04)
        assert bores.low < bores.typical < bores.high


def test_volumes_of_pipe_carry_the_range_of_its_bore() -> None:
    nodes: list[Node] = [("m", "mouth", (3.7, 0, -0.6)), ("den", "chamber", (9.0, 0, 0.3))]
    found = sketch(nodes, [("m", "den")], lining=LINED, flush_from="den", flush_flow="100 L/min")
    bores, volume = pipe("sch40 4 in").bores, figures(found, "tunnel_volume")[""]
    assert volume.least / volume.value == pytest.approx((bores.low / bores.typical) ** 2)
    assert volume.most / volume.value == pytest.approx((bores.high / bores.typical) ** 2)
    for key in ("run_volume", "flush_velocity", "flush_time", "flush_flow_needed", "clear_bore"):
        for figure in figures(found, key).values():
            assert figure.least < figure.most, key


def test_what_is_from_memory_carries_its_range() -> None:
    """Soil of 2000 kg/m³ within 10 %, sockets of 4 cm within 25 %: by hand at both ends."""
    shares = {"cover_density": "2000 kg/m^3", "socket": "4 cm", "socket_within": "25 %"}
    straight: list[Node] = [("m", "mouth", (3.9, 0, -0.2)), ("den", "chamber", (9.0, 0, -0.2))]
    found = sketch(straight, [("m", "den")], site={"groundwater": "0 m"}, **shares)
    hold, length = figures(found, "pipe_held_down")["m – den"], value(found, "run_in_ground", "m – den")
    four = pipe("sch40 4 in")
    cover = 0.2 - four.outside / 2
    for figure, density in ((hold.least, 1800), (hold.value, 2000), (hold.most, 2200)):
        assert figure == pytest.approx((four.mass + (density - 1000) * four.outside * cover) * length)
    bent: list[Node] = [
        ("m", "mouth", (3.9, 0, -0.2)),
        ("j", "junction", (6.5, 0, -0.2)),
        ("k", "junction", (8.5, 1.0, -0.2)),
    ]
    stub = figures(sketch(bent, [("m", "j"), ("j", "k")], **shares), "cut_length")["j, between fittings"]
    assert (stub.least, stub.value, stub.most) == pytest.approx((0.06, 0.08, 0.10))


def test_fittings_from_memory_as_the_notes_have_them() -> None:
    """Reference notes 9.2 [memory]: quarter bends 1 3/4, 2 5/16, 3 1/16, 3 7/8 in, eighth
    bend of 4 in 2 3/16 in; allow 1/4 in.
    """
    quarter = {"sch40 1 1/2 in": 1.75, "sch40 2 in": 2.3125, "sch40 3 in": 3.0625, "sch40 4 in": 3.875}
    wanted = {("elbow 90", name): size for name, size in quarter.items()} | {("elbow 45", "sch40 4 in"): 2.1875}
    for (fitting, name), size in wanted.items():
        found = centre_to_stop(fitting, pipe(name), ()).size
        assert (found.low, found.typical, found.high) == pytest.approx(
            ((size - 0.25) * IN, size * IN, (size + 0.25) * IN)
        )
        assert "from memory, confirm" in found.source


def test_ends_that_follow_from_what_the_node_is_take_nothing_and_are_not_in_doubt() -> None:
    for fitting in ("chamber entry", "cap", "flush inlet"):
        found = centre_to_stop(fitting, pipe("sch40 4 in"), ())
        assert (found.size.low, found.size.high, found.caution) == (0.0, 0.0, None)
    ridge = centre_to_stop(
        "coupling", pipe("sch40 4 in"), ()
    ).size  # half the stop's ridge, between nothing and an eighth of an inch
    assert (ridge.low, ridge.high) == pytest.approx((0.0, 0.125 * IN))


OTTER = {
    "name": "big",
    "outside": "12 in",
    "bore": "11 in",
    "bore_within": "2 %",
    "stock_length": "20 ft",
    "mass": "100 lb",
}
NODES: list[Node] = [
    ("m", "mouth", (3.7, 0, -0.6)),
    ("j", "junction", (6.7, 0, -0.2)),
    ("den", "chamber", (9.7, 0, 0.6)),
]
RUNS = [("m", "j"), ("j", "den")]


def test_an_own_pipe_goes_through_every_figure() -> None:
    found = sketch(NODES, RUNS, lining=LINED, own_pipe="big", own_pipes=[OTTER])
    assert not found.problems
    length = value(found, "run_length", "m – j")
    assert value(found, "run_volume", "m – j") == pytest.approx(math.pi / 4 * (11 * IN) ** 2 * length)
    bore = figures(found, "clear_bore")["m – j"]
    assert (bore.least, bore.value, bore.most) == pytest.approx((10.78 * IN, 11 * IN, 11.22 * IN))
    (size,) = figures(found, "penetration_size").values()
    assert size.value == pytest.approx(12 * IN)
    assert value(found, "pipe_length_order", "big") == pytest.approx(6.096)  # one length of 20 ft
    assert "centre_to_stop_unmeasured" in told(figures(found, "cut_length")["j – den"])


def test_an_own_pipe_on_one_run_takes_a_reducer_and_measured_fittings() -> None:
    size = {"name": "reducer", "pipe": "sch40 4 in", "own_pipe": "big", "centre_to_stop": "2 in"}
    project = sketch(NODES, RUNS, lining=LINED, own_pipes=[OTTER], fittings=[size])
    assert "big to sch40 4 in reducer" not in figures(project, "fitting_count")
    drawn = {
        "pipe": "sch40 4 in",
        "nodes": [
            {"name": n, "kind": k, "at": list(at)} | ({"size": ["60 cm", "45 cm", "40 cm"]} if k == "chamber" else {})
            for n, k, at in NODES
        ],
    }
    runs = [{"from": "m", "to": "j", "own_pipe": "big"}, {"from": "j", "to": "den"}]
    found = sketch(
        [], [], lining=LINED, option={"tunnels": drawn | {"runs": runs, "own_pipes": [OTTER], "fittings": [size]}}
    )
    assert not found.problems
    assert "big to sch40 4 in reducer" in figures(found, "fitting_count")
    assert {"big", "sch40 4 in"} == set(figures(found, "pipe_length"))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"own_pipe": "bog"}, "no own pipe is called 'bog'"),
        ({"own_pipes": [OTTER | {"bore": "12 in"}]}, "an inside diameter less than the outside one"),
        ({"own_pipes": [OTTER | {"name": "sch40 6 in"}], "own_pipe": "sch40 6 in"}, "the name of a pipe of the table"),
        ({"own_pipes": [OTTER, OTTER]}, "big"),
    ],
)
def test_an_own_pipe_that_cannot_be_is_named(change: dict[str, object], words: str) -> None:
    found = sketch(NODES, RUNS, lining=LINED, **({"own_pipe": "big", "own_pipes": [OTTER]} | change))
    assert words in said(found)


def test_the_flush_comes_in_by_an_inlet_and_not_by_a_cap() -> None:
    nodes: list[Node] = [*NODES[:2], ("den", "chamber", (9.7, 0, 0.2)), ("feed", "junction", (6.7, 2, -0.2))]
    runs = [*RUNS, ("j", "feed", "sch40 2 in")]
    capped = sketch(nodes, runs, lining=LINED)
    fed = sketch(nodes, runs, lining=LINED, flush_from="feed", flush_flow="100 L/min")
    assert {"sch40 2 in cap", "sch40 2 in flush inlet"} & set(figures(capped, "fitting_count")) == {"sch40 2 in cap"}
    assert {"sch40 2 in cap", "sch40 2 in flush inlet"} & set(figures(fed, "fitting_count")) == {
        "sch40 2 in flush inlet"
    }
    assert value(fed, "total_fitting_count") == value(capped, "total_fitting_count")
    assert figures(fed, "rod_bends").keys() == figures(capped, "rod_bends").keys()  # it is still a way in for a rod


def test_nothing_writes_into_the_remembered_graph() -> None:
    found = sketch(NODES, RUNS, lining=LINED, flush_from="den", flush_flow="100 L/min")
    assert found.tunnels is not None
    graph, drawn = found.tunnels.alignment.graph, found.option.tunnels.nodes if found.option.tunnels else ()
    before = {frozenset(ends[:2]): dict(ends[2]) for ends in graph.edges(data=True)}
    wanted = {run.nodes: run.length for run in found.tunnels.alignment.runs}
    assert all(
        before[frozenset(ends)] == {"run": at, "length": length} for at, (ends, length) in enumerate(wanted.items())
    )
    assert (
        pictures.long_section(found.tunnels, drawn, found.pools, "si")
        and pictures.plan(found.tunnels, found.pools, "us")
        and list(found.entries())
    )
    assert {frozenset(ends[:2]): dict(ends[2]) for ends in graph.edges(data=True)} == before
    with pytest.raises(Exception, match=r"[Ff]rozen"):
        graph.add_node(99)


# What an estimate may be off, over the estimate.
OFF = {"elbow 22.5": 0.2, "elbow 45": 0.2, "elbow 90": 0.2, "tee": 0.2, "wye": 0.25, "wye stem": 0.5}
OFF |= {"reducer": 0.6, "gate": 0.6}


def test_an_estimate_is_in_proportion_to_the_outside_diameter_as_it_says() -> None:
    """Of the size for 4 in pipe, to a sixteenth of an inch; and every size is in whole sixteenths."""
    rows = table("trades/tunnels/fittings")
    sizes = {(row["pipe"], row["fitting"]): float(row["centre_to_stop_in"]) for row in rows}
    estimates = 0
    for row in rows:
        size, off = float(row["centre_to_stop_in"]), float(row["within_in"])
        assert (size * 16).is_integer() and (off * 16).is_integer(), row
        if "in proportion" in row["source"]:
            estimates += 1
            kind, nominal, _ = row["pipe"].replace("1 1/2", "1_1/2").split()
            outside = SDR_35[nominal] if kind == "sdr35" else SCHEDULE_40[nominal.replace("_", " ")][0]
            assert size == pytest.approx(sizes["sch40 4 in", row["fitting"]] * outside / 4.5, abs=1 / 16), row
            assert off == pytest.approx(OFF[row["fitting"]] * size, abs=1 / 16), row
    assert estimates == 43


def test_a_fitting_turns_by_the_angle_in_its_name() -> None:
    """A tee leads off square, a wye and its stem at 45 degrees, a coupling goes straight on; the rest turn nothing."""
    turns = {"tee": "90", "wye": "45", "wye stem": "45", "coupling": "0"}
    for row in table("trades/tunnels/fittings"):
        name = row["fitting"]
        assert row["angle_deg"] == (name.removeprefix("elbow ") if "elbow" in name else turns.get(name, "")), row
