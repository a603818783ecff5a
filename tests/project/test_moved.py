"""Older files: what stood elsewhere is carried over where nothing is lost, else refused with the mend."""

import json
from typing import Any

import pytest

from pondkit import Project, load, save
from pondkit.core.refusal import Refused
from pondkit.study.evaluate import evaluate
from tests.designs import option, small

HERE, THERE = ["-60 ft", "3 ft"], ["10 ft", "44 ft"]


def opened(*places: Any, site: dict[str, Any] | None = None) -> Project:
    drawn = [option(name=f"option {at}", lifting={"way_in": place} if place else {}) for at, place in enumerate(places)]
    return load(json.dumps(small(options=drawn, site=site or {})).encode())


def ends(project: Project) -> list[str]:
    assert project.site.way_in is not None
    return [" ".join(getattr(value, "text", "") for value in place) for place in project.site.way_in.points]


def test_the_place_of_an_older_file_becomes_the_sites() -> None:
    assert ends(opened(HERE)) == ["-60 ft 3 ft"]
    assert ends(opened(HERE, None, HERE)) == ["-60 ft 3 ft"]
    kept = opened(HERE, site={"way_in": {"clear_width": "7 ft"}})
    assert ends(kept) == ["-60 ft 3 ft"] and kept.site.way_in and kept.site.way_in.clear_width.text == "7 ft"  # type: ignore[attr-defined]


def test_the_end_of_the_sites_own_line_is_the_same_thing_twice() -> None:
    assert ends(opened(HERE, site={"way_in": {"points": [THERE, HERE]}})) == ["10 ft 44 ft", "-60 ft 3 ft"]


@pytest.mark.parametrize(
    ("places", "site", "reasons"),
    [
        ((HERE,), {"way_in": {"points": [HERE, THERE]}}, ["option 1", "where the site's way in ends too"]),
        ((THERE, HERE), {"way_in": {"points": [THERE]}}, ["option 2"]),
        ((HERE, THERE), {}, ["option 1", "option 2", "as in the other options"]),
    ],
)
def test_another_place_is_refused_with_the_mend(places: Any, site: dict[str, Any], reasons: list[str]) -> None:
    with pytest.raises(
        Refused, match="Take the key out, and enter the place as the last of site, way_in, points"
    ) as caught:
        opened(*places, site=site)
    said = str(caught.value)
    assert all(reason in said for reason in reasons)
    assert ("option 1" in said) == ("option 1" in reasons)


@pytest.mark.parametrize("way", ["here", 3, ["x"], {"points": "none"}])
def test_what_is_no_way_in_at_all_is_refused_as_ever(way: Any) -> None:
    with pytest.raises(Refused):
        opened(HERE, site={"way_in": way})
    with pytest.raises(Refused):
        opened("nowhere")


DIG, DEARER = {"dig": "40 per yd^3"}, {"dig": "50 per yd^3"}


def priced(*rates: Any, prices: Any = None) -> Project:
    drawn = [option(f"option {at}", rates=each) for at, each in enumerate(rates)]
    return load(json.dumps(small(options=drawn) | ({"prices": prices} if prices else {})).encode())


def test_prices_that_every_option_states_alike_become_the_job_s() -> None:
    for project in (priced(DIG), priced(DIG, DIG, DIG)):
        assert project.prices is not None and project.prices.dig.text == "40 per yd^3"  # type: ignore[union-attr]
        assert all(option.rates is None for option in project.options)
        assert load(save(project).encode()) == project


@pytest.mark.parametrize("rates", [(DIG, DEARER), (DIG, None), (None, DIG)])
def test_prices_that_differ_stay_each_option_s_own(rates: tuple[Any, ...]) -> None:
    project = priced(*rates)
    assert project.prices is None
    assert [bool(option.rates) for option in project.options] == [bool(each) for each in rates]


def test_an_option_s_own_prices_take_the_place_of_the_job_s() -> None:
    """By hand: one pool; the second option is dug at 50 where the job says 40."""
    first, second = evaluate(priced(None, DEARER, prices=DIG)).options
    assert first.price is not None and second.price is not None
    dug = [float(each.price.costs[0].quantity) for each in (first, second)]
    assert [each.price.total_price.value for each in (first, second)] == [round(dug[0] * 40, 2), round(dug[1] * 50, 2)]
    assert priced(DIG, DIG, prices=DEARER).prices.dig.text == "50 per yd^3"  # type: ignore[union-attr]
