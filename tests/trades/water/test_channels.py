"""Channels by Manning's formula: a printed example, the library's formula and
table, limits, and a pond's own channel.
"""

from typing import Any

import pytest
from fluids.open_flow import V_Manning, n_excavated_dredged, n_lined_built, n_natural

from pondkit.core.tables import rows_by_name, table
from pondkit.drawing.rows import say
from pondkit.trades.water.formulas import open_water
from tests.trades.water.test_levels import worked
from tests.trades.water.test_pumping import value

LIBRARY = {
    "trowelled concrete": n_lined_built["Concrete"]["Trowel finish"],
    "stone in mortar": n_lined_built["Masonry"]["Cemented rubble"],
    "dry stone": n_lined_built["Masonry"]["Dry rubble"],
    "gravel, sides of dry stone": n_lined_built["Gravel bottom"]["Sides of dry rubble or riprap"],
    "cobbles, clean sides": n_excavated_dredged["Earth, winding and sluggish"]["Cobble bottom; clean sides"],
    "jagged rock": n_excavated_dredged["Rock cuts"]["Jaged and Irregular"],
    "stones and weeds": n_natural["Minor streams"]["Clean, winding, some pools and shoals, some weeds and stones"],
    "cobbles and large boulders": next(
        n
        for name, n in n_natural["Minor streams"].items()
        if name.startswith("Mountain") and name.endswith("large boulders on bottom")
    ),
}


def test_every_roughness_is_as_the_library_quotes_it() -> None:
    """fluids 1.3.1, of Chow 1959; plastic: EPANET 2.2 User Manual, Table 3.2, 0.011 to 0.015."""
    assert set(LIBRARY) | {"bare liner"} == {row["bed"] for row in table("trades/pools/channels")}
    for bed, given in LIBRARY.items():
        row = rows_by_name("trades/pools/channels")[bed]
        assert [float(row[name]) for name in ("low", "typical", "high")] == list(given)
    plastic = rows_by_name("trades/pools/channels")["bare liner"]
    assert tuple(float(plastic[name]) for name in ("low", "typical", "high")) == (0.011, 0.013, 0.015)  # its middle


def test_the_example_of_a_textbook() -> None:
    """Cengel and Cimbala 2006, quoted by the fluids library: hydraulic radius
    0.2859 m, slope 0.005236, n 0.03: 1.047 m/s.
    """
    wide = 1000.0  # m: so wide that the radius is the depth
    flow = 1.0467781958 * 0.2859 * wide
    assert open_water.channel_depth(flow, wide, 0.0, 0.005236, 0.03) == pytest.approx(0.2859, rel=1e-3)


@pytest.mark.parametrize("depth", [0.01, 0.05, 0.3])
@pytest.mark.parametrize("batter", [0.0, 1.0, 2.5])
@pytest.mark.parametrize("slope", [0.002, 0.05])
def test_the_depth_carries_the_flow_by_the_librarys_formula(depth: float, batter: float, slope: float) -> None:
    bed, n = 0.4, 0.033
    area = bed * depth + batter * depth**2
    radius = area / (bed + 2 * (depth**2 + (batter * depth) ** 2) ** 0.5)
    flow = V_Manning(radius, slope, n) * area
    found = open_water.channel_depth(flow, bed, batter, slope, n)
    assert found == pytest.approx(depth, rel=1e-9)
    assert open_water.channel_velocity(flow, found, bed, batter) * area == pytest.approx(flow, rel=1e-9)


def test_the_froude_number_is_one_where_a_rectangle_runs_critical() -> None:
    """Critical depth of a rectangle: (q²/g)^(1/3) (closed form)."""
    per_width = 0.02
    critical = (per_width**2 / 9.80665) ** (1 / 3)
    assert open_water.channel_froude(per_width * 0.5, critical, 0.5, 0.0, 9.80665) == pytest.approx(1.0)


def way(**more: Any) -> list[dict[str, Any]]:
    set_up = {
        "kind": "channel",
        "from": "high",
        "to": "low",
        "at": ["6 m", "0 m"],
        "crest_width": "60 cm",
        "length": "6 m",
    }
    return [set_up | more]


def test_a_channel_of_a_pond_has_depth_velocity_and_freeboard_with_their_ranges() -> None:
    found = worked(way(bank_height="10 cm"))
    links, name = found.links, "high – low"
    own = links.channels
    drop = value(links.link_drop, name)
    assert value(own.channel_slope, name) == pytest.approx(drop / 6.0)
    depth = own.channel_depth[0]
    assert depth.least < depth.value < depth.most
    assert value(own.channel_freeboard, name) == pytest.approx(0.10 - depth.value)
    assert value(own.channel_velocity, name) * depth.value * 0.6 == pytest.approx(value(links.link_flow, name))


def test_a_flat_narrow_channel_backs_up_and_a_steep_smooth_one_shoots() -> None:
    flat = worked(way(slope=0.0005, bed_width="15 cm", bed="cobbles and large boulders")).links.channels
    assert any("backs up" in say(c, "si") for c in flat.channel_depth[0].cautions)
    assert not any("supercritical" in say(c, "si") for c in flat.channel_froude[0].cautions)
    steep = worked(way(bed="bare liner")).links.channels
    assert any("supercritical" in say(c, "si") for c in steep.channel_froude[0].cautions)
    low = worked(way(slope=0.0005, bank_height="2 cm", bed_width="15 cm")).links.channels
    assert any("over its bank" in say(c, "si") for c in low.channel_freeboard[0].cautions)


def test_a_bed_that_ends_under_the_lower_water_is_said() -> None:
    deep = worked(way(slope=0.5)).links.channels
    assert any("under the running water" in say(c, "si") for c in deep.channel_slope[0].cautions)


def test_without_a_length_and_for_a_fall_nothing_is_worked_out() -> None:
    assert worked(way(length=None)).links.channels.channel_depth == ()
    assert worked([way()[0] | {"kind": "fall"}]).links.channels.channel_depth == ()
