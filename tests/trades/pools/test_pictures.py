"""Zone bars, water against level, and the pools in three dimensions, looked at as data."""

import math

import numpy as np
import pytest

from pondkit.core.units import SYSTEMS, System
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.pools import pictures as pools
from tests.designs import DEMO_NAMES, demo, full_project, option, pool, read
from tests.report.pictures import as_json, lightness, numbers, strings

# One unit in SI: NIST SP 811 (2008), appendix B.8; exact.
SI = {"gal": 3.785411784e-3, "ft²": 0.3048**2, "m³": 1.0, "m²": 1.0}


def unit(figure: dict[str, object]) -> float:
    title = figure["layout"]["xaxis"]["title"]["text"]  # type: ignore[index]
    return SI[title[title.index("[") + 1 : -1]]


def named(*results: OptionResult) -> list[pools.NamedPools]:
    return [(result.option.name, result.pools) for result in results]


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_zone_bars_add_up_to_the_pools(name: str, system: System) -> None:
    for result in evaluate(demo(name)).options:
        for by, key in (("area", "surface_area"), ("volume", "gross_volume")):
            figure = pools.zones(named(result), system, 2.0, by=by)
            as_json(figure)
            for at in result.pools:
                bars = [trace["x"][0] for trace in figure["data"] if trace["y"] == [at.name]]
                # Drawn with three decimals.
                assert sum(bars) == pytest.approx(getattr(at, key).value / unit(figure), rel=1e-4, abs=5e-4 * len(bars))


def test_a_deeper_zone_has_a_darker_bar() -> None:
    result = evaluate(full_project()).options[0]
    bars = [trace for trace in pools.zones(named(result), "us", 1.5)["data"] if trace["y"] == ["lower"]]
    shades = {trace["text"][0]: lightness(trace["marker"]["color"]) for trace in bars}
    assert shades["marsh"] > shades["deep"] > shades["winter"]


def test_words_on_a_bar_stand_out_from_it() -> None:
    """WCAG 2.2, 1.4.3: contrast of 4.5 to 1 for text of this size."""

    def luminance(colour: str) -> float:
        level = lightness(colour)
        return ((level + 16) / 116) ** 3 if level > 8 else level / 903.3

    for share in np.linspace(0, 1, 51):
        tiers = [{"zone": "all", "depth": f"{max(share * 100, 3):.3f} in"}]
        result = evaluate(read(options=[option(pools=[pool(tiers=tiers)])])).options[0]
        (trace,) = pools.zones(named(result), "us", 100 * 0.0254)["data"]
        light, dark = sorted([luminance(trace["marker"]["color"]), luminance(trace["textfont"]["color"])], reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5, share


@pytest.mark.parametrize("count", [2, 6])
def test_options_side_by_side_have_a_bar_each_on_one_colour_scale(count: int) -> None:
    options = [
        option(f"option {i}", pools=[pool(tiers=[{"zone": "deep", "depth": f"{20 + 5 * i} in", "batter": 0.2}])])
        for i in range(count)
    ]
    results = list(evaluate(read(options=options)).options)
    figure = pools.zones(named(*results), "us", 2.0)
    assert figure["layout"]["yaxis"]["categoryarray"][::-1] == [f"option {i}" for i in range(count)]
    shades = [lightness(trace["marker"]["color"]) for trace in figure["data"]]
    assert shades == sorted(shades, reverse=True)


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_water_by_level_goes_from_full_to_nothing(name: str, system: System) -> None:
    for result in evaluate(demo(name)).options:
        figure = pools.storage(result.pools, system)
        as_json(figure)
        for trace, at in zip(figure["data"], result.pools, strict=True):
            held, down = numbers(trace["x"]), numbers(trace["y"])
            assert held[0] == pytest.approx(at.gross_volume.value / unit(figure), abs=6e-4)  # three decimals
            assert held[-1] == pytest.approx(0, abs=1e-3 * held[0])
            assert down[0] == 0
            assert down == sorted(down)
            assert held == sorted(held, reverse=True)
        assert figure["layout"]["yaxis"]["autorange"] == "reversed"  # full is at the top


def test_water_at_half_the_depth_of_a_cylinder_is_half() -> None:
    tub = pool(outline={"shape": "circle", "diameter": "10 ft"}, tiers=[{"zone": "all", "depth": "40 in", "batter": 0}])
    (trace,) = pools.storage(evaluate(read(options=[option(pools=[tub])])).options[0].pools, "si")["data"]
    full = math.pi / 4 * 3.048**2 * 1.016
    assert np.interp(50.8, trace["y"], trace["x"]) == pytest.approx(full / 2, rel=1e-3)


def test_names_are_shown_as_text() -> None:
    odd = "<b>a & b</b>"
    first = pool(odd, tiers=[{"zone": odd, "depth": "20 in"}])
    results = list(evaluate(read(options=[option(odd, pools=[first]), option("B", pools=[first])])).options)
    pictures = [
        pools.zones(named(*results[:1]), "us", 1.0),
        pools.zones(named(*results), "us", 1.0),
        pools.storage(results[0].pools, "us"),
    ]
    for figure in pictures:
        met = [text for text in strings(figure) if "a &" in text]
        assert met
        assert not [text for text in met if odd in text]


def test_the_words_for_the_pictures_name_their_figures() -> None:
    result = evaluate(read()).options[0]
    assert "pool marsh" in pools.alt_zones(named(result), "us")
    assert "ft²" in pools.alt_zones(named(result), "us")
    assert "gal when full" in pools.alt_storage(result.pools, "us")
