"""The summary over options: sums, greatest, least, and differences from a chosen option."""

import pytest

from pondkit.core import tables
from pondkit.core.entry import total
from pondkit.report.table import sentence
from pondkit.study import compare
from pondkit.study.evaluate import Results, evaluate
from pondkit.study.problems import CURRENCIES_DIFFER
from tests.cautions import cases
from tests.designs import DEMO_NAMES, demo, option, pool, read


def found(results: Results, against: int = 0) -> dict[str, compare.SummaryLine]:
    return {line.key: line for line in compare.summary(results, against) if not line.subject}


def values(results: Results, option: int, key: str) -> list[float]:
    return [figure.value for name, figure in results.options[option].entries() if name == key]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_each_line_is_the_sum_greatest_or_least_of_its_figures(name: str) -> None:
    results = evaluate(demo(name))
    lines = found(results)
    for row in tables.figure_words().values():
        if row["summary"] in ("", compare.EACH):
            assert row["key"] not in lines
            continue
        how = {"greatest": max, "least": min}.get(row["summary"], sum)
        for index in range(len(results.options)):
            met = values(results, index, row["key"])
            if met:
                assert lines[row["key"]].figures[index].value == pytest.approx(how(met), rel=1e-12)
            elif row["key"] in lines:
                assert lines[row["key"]].figures[index] is None


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_differences_are_from_the_chosen_option(name: str) -> None:
    results = evaluate(demo(name))
    for against in range(len(results.options)):
        for line in compare.summary(results, against):
            base = line.figures[against]
            for figure, difference in zip(line.figures, line.differences, strict=True):
                if figure is None or base is None:
                    assert difference is None
                else:
                    assert difference == figure.value - base.value
            assert line.differences[against] in (0, None)


def test_rows_stand_in_the_order_of_the_words() -> None:
    keys = list(found(evaluate(demo("turtle_yard"))))
    assert keys == [row["key"] for row in tables.figure_words().values() if row["key"] in keys]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_line_for_each_pool_and_zone_holds_its_own_figure(name: str) -> None:
    results = evaluate(demo(name))
    lines = {(line.key, line.subject): line for line in compare.summary(results) if line.subject}
    met = set()
    for index, result in enumerate(results.options):
        for key, figure in result.entries():
            if tables.figure_words()[key]["summary"] == compare.EACH:
                assert lines[key, figure.subject].figures[index] is figure
                met.add((key, figure.subject))
    assert met == set(lines)


def test_a_pool_named_as_a_zone_of_another_keeps_its_figures_apart_from_that_zone_s() -> None:
    named = [pool("a", at=["0 ft", "0 ft"]), pool("a / marsh", at=["90 ft", "0 ft"])]
    lines = [line for line in compare.summary(evaluate(read(options=[option(pools=named)]))) if line.subject]
    places = [(line.key, line.subject) for line in lines]
    assert len(set(places)) == len(places) == 2 * (2 * 4 + 4)  # of each pool two zones with four figures, and its own
    assert places.index(("zone_area", "a / marsh")) < places.index(("surface_area", "a"))
    assert places.index(("surface_area", "a")) < places.index(("zone_area", "a / marsh / marsh"))
    assert places.index(("zone_area", "a / marsh / deep")) < places.index(("surface_area", "a / marsh"))


def test_a_deeper_copy_holds_more_and_a_true_copy_the_same() -> None:
    deeper = pool(tiers=[{"zone": "marsh", "depth": "9 in", "shelf": "2 ft"}, {"zone": "deep", "depth": "40 in"}])
    lines = found(evaluate(read(options=[option("A"), option("A 2"), option("B", pools=[deeper])])))
    for key in ("total_gross_volume", "dig_volume", "max_depth"):
        assert lines[key].differences[1] == 0
        assert lines[key].differences[2] > 0


def test_an_option_in_trouble_has_no_figure_and_no_difference() -> None:
    flat = pool(outline={"shape": "points", "points": [["0 ft", "0 ft"], ["1 ft", "0 ft"], ["2 ft", "0 ft"]]})
    results = evaluate(read(options=[option("A"), option("B", pools=[flat])]))
    assert results.options[1].problems
    for against in (0, 1):
        for line in compare.summary(results, against):
            assert line.figures[0] is not None
            assert line.figures[1] is None
            assert line.differences[1 - against] is None


def test_a_project_in_which_no_option_holds_has_an_empty_summary() -> None:
    flat = pool(outline={"shape": "points", "points": [["0 ft", "0 ft"], ["1 ft", "0 ft"], ["2 ft", "0 ft"]]})
    assert compare.summary(evaluate(read(options=[option(pools=[flat])]))) == ()


def test_a_summed_figure_carries_the_cautions_of_its_parts() -> None:
    results = evaluate(demo("turtle_yard"))
    figures = [figure for key, figure in results.options[0].entries() if key == "area_over_limit"]
    assert figures
    assert set(found(results)["area_over_limit"].figures[0].cautions) == set(total("", figures).cautions)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_what_makes_two_options_differ_adds_up_and_is_ranked(name: str) -> None:
    results = evaluate(demo(name))
    for here in range(len(results.options)):
        for there in range(len(results.options)):
            prices, figures = compare.differences(results, here, there)
            totals = [results.options[index].price.total_price.value for index in (here, there)]
            assert sum(found.difference for found in prices) == pytest.approx(totals[0] - totals[1], abs=1e-6)
            sizes = [abs(found.difference) for found in prices]
            assert sizes == sorted(sizes, reverse=True)
            shares = [found.share for found in figures]
            assert shares == sorted(shares, reverse=True)
            assert all(0 < share <= 2 for share in shares)
            assert not (here == there and (prices or figures))


def test_the_other_way_round_every_difference_turns() -> None:
    results = evaluate(demo("turtle_yard"))
    for one, other in zip(compare.differences(results, 0, 1), compare.differences(results, 1, 0), strict=True):
        assert {(f.key, f.difference) for f in one} == {(f.key, -f.difference) for f in other}


def test_money_of_two_currencies_is_not_set_side_by_side() -> None:
    """By hand: one pool dug at 40 and at 50 a cubic yard; in one currency a fifth of the second is
    the difference, in two there is none.
    """

    def results(currency: str) -> Results:
        rates = [{"currency": "$", "dig": "40 per yd^3"}, {"currency": currency, "dig": "50 per yd^3"}]
        return evaluate(read(options=[option(name, rates=each) for name, each in zip("AB", rates, strict=True)]))

    same, other = results("$"), results("€")
    (dig,) = compare.differences(same, 1, 0)[0]
    assert dig.difference == pytest.approx(dig.here.value / 5)
    assert compare.differences(other, 1, 0)[0] == ()
    lines = [found(each)["total_price"] for each in (same, other)]
    assert lines[0].differences == (0, pytest.approx(lines[0].figures[1].value / 5))
    assert lines[1].differences == (0, None)
    cases(CURRENCIES_DIFFER, without=lines[0].figures, with_it=lines[1].figures)


def test_an_option_in_trouble_is_not_told_apart() -> None:
    flat = pool(outline={"shape": "points", "points": [["0 ft", "0 ft"], ["1 ft", "0 ft"], ["2 ft", "0 ft"]]})
    assert compare.differences(evaluate(read(options=[option("A"), option("B", pools=[flat])])), 1, 0) == ((), ())


PAIR = [pool("a"), pool("b", at=["60 ft", "0 ft"])]
LINERS = [{"name": "la", "covers": ["a"]}, {"name": "lb", "covers": ["b"]}]
SEAT = {"name": "seat", "count": 3, "axes": ["3 ft", "2 ft", "2 ft"], "under_water": 0.5}


@pytest.mark.parametrize(
    ("sound", "troubled", "key", "number"),
    [
        (
            {"lining": {"liners": LINERS}},
            {"lining": {"liners": [LINERS[0], LINERS[1] | {"covers": ["none"]}]}},
            "panel_count",
            2,
        ),
        (
            {"stone": {"boulders": [SEAT | {"pool": "a"}, SEAT | {"name": "two", "pool": "b"}]}},
            {"stone": {"boulders": [SEAT | {"pool": "a"}, SEAT | {"name": "two", "pool": "none"}]}},
            "boulder_count",
            6,
        ),
    ],
)
def test_a_sum_that_lacks_a_part_in_trouble_is_not_made_nor_compared(
    sound: dict[str, object], troubled: dict[str, object], key: str, number: int
) -> None:
    """One of two liners, or of two kinds of boulder, names a pool that is not there."""
    results = evaluate(read(options=[option("A", pools=PAIR, **sound), option("B", pools=PAIR, **troubled)]))
    line = found(results)[key]
    assert line.figures[0] is not None and line.figures[0].value == number
    assert line.figures[1] is None and line.differences[1] is None
    for here, there in ((0, 1), (1, 0)):
        assert key not in {each.key for each in compare.differences(results, here, there)[1]}
        assert compare.unknown_in(results, here, there) == ("B",)
    assert "B lacks because of a problem" in sentence(results, 1, 0, "us")


def test_a_part_that_an_option_has_not_is_a_difference_without_a_problem() -> None:
    results = evaluate(read(options=[option("A", pools=PAIR, lining={"liners": LINERS}), option("B", pools=PAIR)]))
    (none,) = [each for each in compare.differences(results, 1, 0)[1] if each.key == "panel_count"]
    assert (none.here, none.difference) == (None, -2)
    assert compare.unknown_in(results, 1, 0) == ()
