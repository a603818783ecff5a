"""Every cell of the water side's tables that comes from print, as printed."""

import pytest

from pondkit.core.constants import fluid
from pondkit.core.tables import rows_by_name, table

# trades/water/limits.csv: value and unit as the source in the row prints it; the
# sources are those of the reference notes
LIMITS = {
    "pipe velocity at most": (5, "ft/s"),  # 2004 Florida plumbing code, Appendix F
    "main velocity at least": (2, "ft/s"),  # New Hampshire Env-Wq 704.07
    "approach velocity passive": (0.2, "ft/s"),  # NMFS pump-intake addendum
    "approach velocity active": (0.4, "ft/s"),
    "velocity through openings": (0.5, "ft/s"),  # 40 CFR 125.84(b)(2)
    "opening woven or perforated": (3 / 32, "in"),  # NMFS 1997
    "opening profile wire": (0.0689, "in"),
    "head where a sheet clings": (0.2, "ft"),  # USBR Water Measurement Manual, chapter 7
    "solids density low": (1050, "kg/m^3"),  # World Aquaculture Society abstract
    "solids density high": (1190, "kg/m^3"),
    "ammonia removal low": (0.02, "g/ft^2/day"),  # tilapia text
    "ammonia removal high": (0.10, "g/ft^2/day"),
    "ammonia from feed": (0.16 * 0.80 * 0.80 * 0.90, "1"),  # Timmons
    "oxygen for nitrification": (2 * 32 / 14, "1"),  # stoichiometry
    "alkalinity for nitrification": (100 / 14, "1"),
    "oxygen for a biofilter": (2, "mg/L"),  # tilapia text
    "harmful free ammonia": (0.05, "mg/L"),  # UF/IFAS FA16
    "nitrification per degree low": (1.01108, "1"),  # Zhu and Chen 2002
    "nitrification per degree": (1.04275, "1"),
    "nitrification per degree high": (1.098, "1"),  # Salvetti et al. 2006
    "nitrification measured down to": (1, "°C"),  # Hoang et al. 2014
    "night": (12, "h"),
}


def test_limits_are_those_printed() -> None:
    shipped = rows_by_name("trades/water/limits")
    assert set(shipped) == set(LIMITS)
    for name, (value, unit) in LIMITS.items():
        assert shipped[name]["unit"] == unit, name
        assert float(shipped[name]["value"]) == pytest.approx(value, rel=2e-3), name


def test_crests_are_those_printed() -> None:
    """Q = 0.544 C_d √g b h^1.5, C_d 0.85 to 0.99 (Table 8.1); 3.33 in feet over √g; b by Butts and Evans 1983."""
    cells = {
        name: tuple(float(row[column]) for column in ("low", "typical", "high", "b_low", "b_typical", "b_high"))
        for name, row in rows_by_name("trades/pools/crests").items()
    }
    francis = 3.33 / 32.174**0.5
    broad = tuple(0.544 * share for share in (0.85, 0.92, 0.99))
    assert cells == {
        "broad": pytest.approx((*broad, 0.70, 0.80, 0.90), rel=2e-4),
        "sharp": pytest.approx((francis,) * 3 + (0.80,) * 3, rel=2e-4),
        "sharp sloping": pytest.approx((francis,) * 3 + (1.05,) * 3, rel=2e-4),
    }


# MWH's Water Treatment, 3rd ed. 2012, Table C-1: °C, kg/m³, mm²/s, kPa
C_1 = [
    (0, 999.8, 1.785),
    (5, 1000.0, 1.519),
    (10, 999.7, 1.306),
    (15, 999.1, 1.139),
    (20, 998.2, 1.003),
    (25, 997.0, 0.893),
    (30, 995.7, 0.800),
]


def test_water_is_as_printed_and_every_column_is_read() -> None:
    rows = table("core/water")
    assert len(rows) == len(C_1)
    assert set(rows[0]) == {
        "temperature_c",
        "density_kg_m3",
        "kinematic_viscosity_mm2_s",
        "source",
    }
    for celsius, density, viscosity in C_1:
        assert (fluid(celsius).density, fluid(celsius).viscosity) == pytest.approx(
            (density, viscosity * 1e-6), rel=1e-9
        )


@pytest.mark.parametrize("celsius", [-0.5, 30.5, 40])
def test_nothing_is_carried_on_past_the_table_of_water(celsius: float) -> None:
    with pytest.raises(ValueError, match="the table has 0 to 30 °C"):
        fluid(celsius)
