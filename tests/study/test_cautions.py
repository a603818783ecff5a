"""Cautions on figures of the option as a whole, just inside and just outside."""

from pondkit.core.entry import Entry, entry
from pondkit.study import totals
from pondkit.study.evaluate import evaluate
from pondkit.study.problems import ELECTRICITY_NEAR_WATER, FILL_SETTLES
from pondkit.trades.earthwork.cautions import SERVICES_BEFORE_DIG
from tests.cautions import cases, edge
from tests.designs import read


def test_a_hundredth_of_a_cubic_metre_is_no_fill() -> None:
    def fill(volume: float) -> Entry:
        return entry(totals.fill_volume, "", fill=(volume - 0.004, 0.001), links=0.003)

    edge(FILL_SETTLES, fill, inside=0.00999, outside=0.01001)


def test_reminders_stand_at_water_and_dig_and_not_at_other_figures() -> None:
    option = evaluate(read()).options[0]
    found = option.totals
    cases(ELECTRICITY_NEAR_WATER, without=found.total_gross_volume, with_it=found.total_net_volume)
    cases(SERVICES_BEFORE_DIG, without=found.open_water_area, with_it=option.earthwork.pool_dig_volume)
