"""Levels to dig by: the level book of print, tiers of a known pool, readings that
call for cut or fill, and their faults.
"""

from typing import Any

import pytest

from pondkit.core.part import get
from pondkit.page import edits
from pondkit.project.files import put
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.study.new_parts import row_names
from pondkit.trades.earthwork import formulas as rel
from tests.designs import full_project
from tests.trades.tunnels.sketch import LINED, POOL, cautions, figures, said, sketch, value

TIERS = [
    {"zone": "marsh", "depth": 0.3, "shelf": 0.5, "batter": 0.5, "gravel": 0.1},
    {"zone": "deep", "depth": 1.2, "batter": 0.5},
]


def dug(
    pool: dict[str, Any] | None = None,
    lining: dict[str, Any] | None = None,
    option: dict[str, Any] | None = None,
    **dig: Any,
) -> OptionResult:
    made = POOL | {"tiers": TIERS, "freeboard": 0.1} | (pool or {})
    return sketch((), (), pools=[made], lining=lining, option={"dig": dig} | (option or {}))


# N. N. Basak, Surveying and Levelling, ch. 5, p. 163 problem 1, by height of instrument
# from a first benchmark of 100.000.
BOOK = [
    (100.000, 2.375, [(1.730, 100.645), (0.615, 101.760), (3.450, 98.925)]),
    (98.925, 2.835, [(2.070, 99.690), (1.835, 99.925), (0.985, 100.775)]),
    (100.775, 0.435, [(1.630, 99.580), (2.255, 98.955), (3.630, 97.580)]),
]


@pytest.mark.parametrize(("benchmark", "backsight", "sights"), BOOK)
def test_the_level_book_of_print(benchmark: float, backsight: float, sights: list[tuple[float, float]]) -> None:
    height = rel.height_of_instrument(benchmark, backsight, 0.0)
    for rod, level in sights:
        assert rel.rod_reading(height, level) == pytest.approx(rod, abs=1e-9)
        assert rel.cut_to_level(height, rod, level) == pytest.approx(0, abs=1e-9)


def test_levels_of_a_known_pool_and_the_rod_on_them() -> None:
    """Rim 0.1 over the water, floors 0.3 and 1.2 under it; the dig under the marsh lower by 0.1 of gravel."""
    result = dug(benchmark="0.25 m", backsight="1.30 m")
    assert value(result, "height_of_instrument") == pytest.approx(1.55)
    finished = {name: figure.value for name, figure in figures(result, "finished_level").items()}
    assert finished == pytest.approx({"pool: rim": 0.1, "pool: tier 1 floor": -0.3, "pool: tier 2 floor": -1.2})
    dig = {name: figure.value for name, figure in figures(result, "dig_level").items()}
    assert dig == pytest.approx({"pool: rim": 0.1, "pool: tier 1 floor": -0.4, "pool: tier 2 floor": -1.2})
    for key in ("dig", "finished"):
        rods, levels = figures(result, f"rod_{key}"), figures(result, f"{key}_level")
        assert list(rods) == list(levels)
        for name, figure in rods.items():
            assert figure.value + levels[name].value == pytest.approx(1.55)


@pytest.mark.parametrize("datum", [100.0, -40.0, 812.4])
@pytest.mark.parametrize("stood", [{"backsight": 1.3}, {"instrument": 1.55}, {"backsight": 1.3, "instrument": 1.55}])
def test_an_assumed_benchmark_of_100_m_reads_as_one_that_counts_from_the_site_datum(
    datum: float, stood: dict[str, float]
) -> None:
    """Only differences count: what is counted from another zero gives the same rods."""
    reading = [{"row": "pool: tier 2 floor", "rod": 2.7}]
    own = dug(benchmark=0.25, readings=reading, **stood)
    sight = {key: value + (datum if key == "instrument" else 0.0) for key, value in stood.items()}
    other = dug(benchmark=datum + 0.25, datum=datum, readings=reading, **sight)
    assert other.problems == ()
    assert value(other, "height_of_instrument") == pytest.approx(1.55)
    for key in ("rod_dig", "rod_finished", "dig_level", "cut_to_level"):
        said_own, said_other = ({n: f.value for n, f in figures(r, key).items()} for r in (own, other))
        assert said_own and said_other == pytest.approx(said_own)


@pytest.mark.parametrize(
    ("dig", "path"),
    [
        ({"benchmark": "160 ft", "datum": "{} ft"}, "benchmark"),
        ({"instrument": "160 ft", "datum": "{} ft"}, "instrument"),
    ],
)
def test_a_benchmark_counted_from_elsewhere_asks_for_the_datum(dig: dict[str, str], path: str) -> None:
    """No level of the site lies further than 60 ft from its datum."""
    near, far = ({key: text.format(datum) for key, text in dig.items()} for datum in (100, 99.9))
    rest = {"benchmark": "100 ft"} if path == "instrument" else {"backsight": "4 ft"}
    assert dug(**(rest | near)).problems == ()
    (problem,) = dug(**(rest | far)).problems
    assert problem.path == ("dig", path) and "site datum of the dig" in said(dug(**(rest | far)))
    assert problem.given.terms[0].value == pytest.approx(60.1 * 0.3048)


def test_the_dig_lies_lower_by_all_that_is_laid() -> None:
    bare, lined = dug(), dug(lining=LINED | {"thickness": "1 mm", "underlay": {"thickness": "4 mm"}, "overlay": None})
    before, after = figures(bare, "dig_level"), figures(lined, "dig_level")
    for name in ("pool: tier 1 floor", "pool: tier 2 floor"):
        assert before[name].value - after[name].value == pytest.approx(0.005)
    assert {n: f.value for n, f in figures(bare, "finished_level").items()} == {
        n: f.value for n, f in figures(lined, "finished_level").items()
    }


def test_low_and_high_are_the_tolerance_tighter_for_rims_than_for_floors() -> None:
    result = dug(backsight="1 m", rim_within="5 mm", floor_within="30 mm")
    for key in ("dig_level", "rod_dig", "finished_level", "rod_finished"):
        for name, figure in figures(result, key).items():
            by = 0.005 if name.endswith("rim") else 0.03
            assert (figure.value - figure.least, figure.most - figure.value) == pytest.approx((by, by))


def test_without_a_backsight_there_are_levels_and_no_rod_readings() -> None:
    result = dug()
    assert figures(result, "dig_level")
    assert not figures(result, "rod_dig") and not figures(result, "height_of_instrument")
    assert not result.problems


@pytest.mark.parametrize(
    ("rod", "off", "call"),
    [(2.70, 0.05, "Cut {off} more"), (2.80, -0.05, "Fill {off}"), (2.73, 0.02, ""), (2.77, -0.02, "")],
)
def test_a_reading_calls_for_cut_or_fill_or_neither(rod: float, off: float, call: str) -> None:
    """Height of instrument 1.55 over a floor at -1.2: the rod should read 2.75."""
    result = dug(
        benchmark="0.25 m",
        backsight="1.3 m",
        floor_within="25 mm",
        readings=[{"row": "pool: tier 2 floor", "rod": rod}],
    )
    (figure,) = figures(result, "cut_to_level").values()
    assert figure.value == pytest.approx(off)
    assert call in cautions(figure) and bool(call) == bool(figure.cautions)


def test_a_seat_a_pit_and_a_crest_have_their_rows_in_the_order_of_digging() -> None:
    pit = {"at": [0, 0], "outline": {"shape": "circle", "diameter": 1}, "tiers": [{"zone": "pit", "depth": 1.6}]}
    upper = POOL | {"name": "upper", "level": 0.5, "at": [12, 0]}
    lower = POOL | {"tiers": TIERS, "pits": [pit]}
    result = sketch(
        (),
        (),
        pools=[lower, upper],
        option={
            "dig": {},
            "links": [{"from": "upper", "to": "pool", "at": [6, 0], "crest_level": 0.52}],
            "stone": {"edging": [{"pool": "pool", "base_level": -0.15, "seat": "outside"}]},
        },
    )
    assert result.dig
    assert [level.row for level in result.dig.levels.levels] == [
        "upper: rim",
        "upper: tier 1 floor",
        "pool: rim",
        "pool: seat",
        "pool: tier 1 floor",
        "pool: tier 2 floor",
        "pool: pit 1 tier 1 floor",
        "upper: bed 1, crest",
        "upper: bed 1, lower end",
        "upper: crest 1",
    ]
    levels = figures(result, "finished_level")
    assert levels["pool: seat"].value == pytest.approx(-0.15)
    assert levels["pool: pit 1 tier 1 floor"].value == pytest.approx(-1.6)
    assert levels["upper: crest 1"].value == pytest.approx(0.52)
    assert "upper: crest 1" not in figures(result, "dig_level")


def test_a_trench_has_the_pipes_underside_less_its_bedding_where_it_lies_in_the_ground() -> None:
    """4 in pipe of schedule 40 is 4.500 in outside (ASTM D1785)."""
    nodes = (("mouth", "mouth", (3.4, 0.0, -0.5)), ("bend", "junction", (6.0, 0.0, -0.4)))
    result = sketch(nodes, (("mouth", "bend"),), option={"dig": {"bedding": "5 cm"}})
    under = -0.4 - 4.5 * 0.0254 / 2
    assert value(result, "finished_level", "bend: trench") == pytest.approx(under)
    assert value(result, "dig_level", "bend: trench") == pytest.approx(under - 0.05)
    assert "mouth: trench" not in figures(result, "dig_level")


def test_under_a_crest_stone_the_dig_lies_lower_by_the_stone_and_all_that_is_laid() -> None:
    """Lip at the upper water, 0.5 m; stone and bed 12 cm; liner 1 mm, underlay 4 mm and overlay 3 mm under them."""
    upper = POOL | {"name": "upper", "level": 0.5, "at": [12, 0]}
    lining = LINED | {"thickness": "1 mm", "underlay": {"thickness": "4 mm"}, "overlay": {"thickness": "3 mm"}}
    link = {"from": "upper", "to": "pool", "at": [6, 0], "crest_stone": "12 cm"}
    option = {"dig": {"backsight": 1.5, "readings": [{"row": "upper: crest 1", "rod": 1.1}]}, "links": [link]}
    result = sketch((), (), pools=[POOL, upper], lining=lining, option=option)
    assert not said(result)
    figure = figures(result, "dig_level")["upper: crest 1"]
    assert figure.value == pytest.approx(0.5 - 0.12 - 0.008)
    assert (figure.most - figure.value) == pytest.approx(0.25 * 0.0254)  # as tight as a rim
    assert "firm ground" in cautions(figure)
    assert value(result, "rod_dig", "upper: crest 1") == pytest.approx(1.5 - 0.372)
    assert value(result, "cut_to_level", "upper: crest 1, dig, reading 1") == pytest.approx(1.5 - 1.1 - 0.372)
    bare = sketch((), (), pools=[POOL, upper], lining=lining, option=option | {"links": [link | {"crest_stone": None}]})
    assert "enter that at the link" in cautions(figures(bare, "finished_level")["upper: crest 1"])
    assert "has no level of its dig" in said(bare)


def test_a_den_has_the_bottom_of_its_pit_before_the_trenches() -> None:
    """Its floor lies as deep as the outside of the pipe, 4.500 in; under it 1 in of box and 5 cm of bedding."""
    nodes = (("mouth", "mouth", (3.4, 0.0, -0.5)), ("den", "chamber", (6.0, 0.0, -0.4)))
    result = sketch(nodes, (("mouth", "den"),), option={"dig": {"bedding": "5 cm"}})
    assert result.dig
    rows = [level.row for level in result.dig.levels.levels]
    assert rows[-2:] == ["den: pit", "den: trench"]
    under = -0.4 - 4.5 * 0.0254 / 2 - 0.0254  # walls of 1 in by default
    assert value(result, "finished_level", "den: pit") == pytest.approx(under)
    assert value(result, "dig_level", "den: pit") == pytest.approx(under - 0.05)
    assert "nobody stands in it" in cautions(figures(result, "dig_level")["den: pit"])
    # The same pit that its volume is worked out from: level ground at 0 over it.
    dug = sketch(nodes, (("mouth", "den"),), option={"dig": {"bedding": "5 cm"}}, trench_room="0 cm")
    pit = (0.6 + 2 * 0.0254) * (0.45 + 2 * 0.0254) * -(under - 0.05)
    assert value(dug, "den_pit_volume", "den") == pytest.approx(pit, rel=1e-3)
    assert "den: pit" in row_names(dug.option)


def test_a_den_over_the_ground_has_no_pit() -> None:
    nodes = (("mouth", "mouth", (3.4, 0.0, -0.5)), ("den", "chamber", (12.0, 0.0, 0.4)))
    assert "den: pit" not in figures(sketch(nodes, (("mouth", "den"),), option={"dig": {}}), "finished_level")


def test_a_trench_has_its_low_end_at_the_liner_with_the_size_of_its_pipe() -> None:
    nodes = (("mouth", "mouth", (3.4, 0.0, -0.5)), ("bend", "junction", (6.0, 0.0, -0.4)))
    option = {"dig": {"bedding": "5 cm"}, "lining": {"liners": [{"name": "liner", "covers": ["pool"]}]}}
    result = sketch(nodes, (("mouth", "bend"),), option=option)
    # The run falls 0.1 on 2.6 and meets the face, x = 4 + 0.5 z, where z = -0.5 + (x - 3.4) / 26.
    x = (4 - 0.25 - 0.5 * 3.4 / 26) / (1 - 0.5 / 26)
    under = -0.5 + (x - 3.4) / 26 - 4.5 * 0.0254 / 2
    assert value(result, "finished_level", "mouth: trench at the liner") == pytest.approx(under, abs=1e-4)
    assert value(result, "dig_level", "mouth: trench at the liner") == pytest.approx(under - 0.05, abs=1e-4)
    assert "mouth: trench at the liner" in row_names(result.option) and "bend: trench" in row_names(result.option)
    assert value(result, "penetration_size", "mouth – bend / pool") == pytest.approx(4.5 * 0.0254)


def test_a_tier_that_is_nowhere_reached_has_no_row() -> None:
    narrow = [*TIERS, {"zone": "nowhere", "depth": 9, "batter": 3}]
    result = dug(pool={"tiers": [{**TIERS[0]}, TIERS[1] | {"shelf": 1}, narrow[2] | {"depth": 3.5}]})
    assert "pool: tier 3 floor" not in figures(result, "finished_level")
    assert "pool: tier 2 floor" in figures(result, "finished_level")


@pytest.mark.parametrize(
    ("dig", "words"),
    [
        ({"readings": [{"row": "pool: tier 1 flor", "rod": 1}], "backsight": 1}, "write 'pool: tier 1 floor'"),
        ({"backsight": 1, "benchmark": 0, "instrument": 1.2}, "benchmark and backsight give"),
    ],
)
def test_faults_are_named_and_mended_and_the_rest_stands(dig: dict[str, Any], words: str) -> None:
    result = dug(**dig)
    assert words in said(result)
    assert all(problem.path[0] == "dig" for problem in result.problems)
    assert figures(result, "dig_level") and result.whole


def test_what_is_still_to_be_read_on_site_is_no_fault_and_is_left_out() -> None:
    read, unread = {"row": "pool: rim", "rod": 1}, {"row": "pool: tier 1 floor"}
    result = dug(readings=[read, unread])
    assert result.problems == ()
    assert [item.path for item in result.dig.to_fill] == [("dig", "backsight"), ("dig", "readings", 1, "rod")]
    result = dug(readings=[read, unread], backsight=1, measured=[{"pool": "pool", "at": [0, 0]}])
    assert result.problems == ()
    paths = [("dig", "readings", 1, "rod"), ("dig", "measured", 0, "level")]
    assert [item.path for item in result.dig.to_fill] == paths
    assert len(result.dig.levels.cut_to_level) == 1
    assert result.dig.as_built.levels == ()


def test_a_level_over_the_line_of_sight_says_so() -> None:
    result = dug(instrument="0.05 m")
    assert "must stand higher" in cautions(figures(result, "rod_dig")["pool: rim"])
    assert "must stand higher" not in cautions(figures(result, "rod_dig")["pool: tier 1 floor"])


def test_readings_follow_a_pool_that_is_renamed_and_go_with_one_that_is_removed() -> None:
    project = full_project()
    rows = ("options", 0, "dig", "readings")
    renamed = edits.rename(project, ("options", 0, "pools", 0), "deep one")
    assert get(renamed, (*rows, 0, "row")) == "deep one: tier 1 floor"
    assert not [problem for path, problem in evaluate(renamed).problems if path[2] == "dig"]
    assert get(edits.remove_item(project, ("options", 0, "pools", 0)), rows) == ()
    assert get(edits.remove_item(project, ("options", 0, "pools", 1)), rows) == get(project, rows)


def test_a_part_that_is_left_out_shows_nothing() -> None:
    project = put(full_project(), ("options", 0, "dig"), None)
    result = evaluate(project).options[0]
    assert result.dig is None
    assert not figures(result, "dig_level")


def test_a_rod_that_reads_less_than_nothing_is_asked_about() -> None:
    result = dug(
        benchmark=0,
        backsight="1.3 m",
        readings=[{"row": "pool: rim", "rod": "-20 cm"}, {"row": "pool: rim", "rod": "1.2 m"}],
    )
    wrong, right = figures(result, "cut_to_level").values()
    assert "check its sign" in cautions(wrong) and "check its sign" not in cautions(right)
    assert "check its sign" not in cautions(figures(result, "height_of_instrument")[""])
    assert "check its sign" in cautions(figures(dug(backsight="-50 cm"), "height_of_instrument")[""])
