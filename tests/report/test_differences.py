"""What makes two options differ, in words: by hand for a pool twice as long,
and on the page, the print and the show.
"""

import re

from pondkit import Project
from pondkit.report import table
from pondkit.study.evaluate import evaluate
from tests.designs import option, pool, read


def two(**second: object) -> Project:
    """A round pool of 10 ft and one of 20 ft, both with a price for the dig and the gravel."""
    rates = {"dig": "40 per yd^3", "gravel": "60 per yd^3"}
    tiers = [{"zone": "deep", "depth": "20 in", "gravel": "2 in", "batter": 0}]
    drawn = [pool(outline={"shape": "circle", "diameter": f"{size} ft"}, tiers=tiers) for size in (10, 20)]
    return read(
        options=[option("A", pools=[drawn[0]], rates=rates), option("B", pools=[drawn[1]], rates=rates, **second)]
    )


def test_four_times_the_area_is_told_as_three_times_more() -> None:
    rows = {row.what: row for row in table.difference_rows(evaluate(two()), 1, 0, "us")}
    assert rows["Water surface in all"].difference == "236 ft² more"  # π (10² − 5²) = 235.6 ft², in three digits
    assert rows["Water surface in all"].here == "314.2 ft²"


def test_words_name_the_largest_price_first() -> None:
    said = table.sentence(evaluate(two()), 1, 0, "us")
    assert re.match(r"B costs \$[\d.,]+ more than A; largest: dig \$[\d.,]+ more, gravel \$[\d.,]+ more\.", said)
    back = table.sentence(evaluate(two()), 0, 1, "us")
    assert re.match(r"A costs \$[\d.,]+ less than B; largest: dig \$[\d.,]+ less", back)


def test_what_is_as_good_as_nothing_beside_the_job_is_not_worth_a_word() -> None:
    """A tenth of an inch on 20: half a hundredth of the water and of the dig."""
    made = [
        option(name, pools=[pool(tiers=[{"zone": "deep", "depth": depth, "batter": 0}])])
        for name, depth in (("A", "20 in"), ("B", "20.1 in"), ("C", "20.3 in"))
    ]
    results = evaluate(read(options=made))
    assert "Net volume in all" in {row.what for row in table.difference_rows(results, 1, 0, "us")}
    assert "greatest depth 0.1 in more" in table.sentence(results, 1, 0, "us")
    assert "volume" not in table.sentence(results, 1, 0, "us")
    assert "volume" in table.sentence(results, 2, 0, "us")  # 1.5 in a hundred is told


def test_one_that_has_none_of_a_thing_is_told() -> None:
    lining = {"liners": [{"name": "main", "covers": ["pool"]}]}
    rows = {row.what: row for row in table.difference_rows(evaluate(two(lining=lining)), 1, 0, "us")}
    assert rows["Liner to order"].there == "none"
    assert rows["Liner to order"].difference == f"{rows['Liner to order'].here} more"


def test_a_price_that_one_lacks_is_told_as_that_and_not_as_a_thing_that_is_not_there() -> None:
    lining = {"liners": [{"name": "main", "covers": ["pool"]}]}
    made = [
        option(name, lining=lining, rates={"dig": "40 per yd^3"} | more)
        for name, more in (("A", {"liner": "1 per ft^2"}), ("B", {}))
    ]
    results = evaluate(read(options=made))
    said = table.sentence(results, 1, 0, "us")
    assert "no liner" not in said
    assert "liner without a price" in said
    assert "The two sums do not hold the same" in said
    (row,) = [row for row in table.difference_rows(results, 1, 0, "us") if row.what == "Liner"]
    assert row.here == "not priced"


def test_one_thing_paid_by_rate_here_and_by_a_line_there_is_one_thing() -> None:
    line = {"item": "dig_volume", "unit": "yd^3", "price": 40}
    made = [option("A", rates={"dig": "40 per yd^3"}), option("B", rates={"lines": [line]})]
    results = evaluate(read(options=made))
    assert table.difference_rows(results, 1, 0, "us") == []
    assert "costs as much" in table.sentence(results, 1, 0, "us")


def test_equal_options_have_nothing_to_tell() -> None:
    results = evaluate(read(options=[option("A"), option("B")]))
    assert table.difference_rows(results, 1, 0, "us") == []
    assert table.sentence(results, 1, 0, "us") == ""
