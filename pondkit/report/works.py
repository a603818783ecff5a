"""Pictures of the earthwork, composed of what pools, ground and earthwork hold."""

from pondkit.core.units import System
from pondkit.drawing.frame import Figure
from pondkit.report.plan import extent, works_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.pictures import as_built
from pondkit.trades.earthwork.pictures import cut_fill as picture
from pondkit.trades.earthwork.results.crew import Levels, SettingOut


def levels_of(result: OptionResult) -> Levels | None:
    """Levels to dig by; None where the option has none."""
    return result.dig.levels if result.dig else None


def setting_out_of(result: OptionResult) -> SettingOut | None:
    """What is set out from stakes; None where the option has none."""
    return result.dig.setting_out if result.dig else None


def cut_fill(result: OptionResult, system: System) -> Figure | None:
    """Cut and fill from above; None where the ground is in trouble or nothing is drawn."""
    cuts = result.excavation.cuts if result.excavation else ()
    return picture.cut_fill(result.pools, works_of(result), cuts, result.ground, extent([result]), system)


def alt_cut_fill(result: OptionResult, system: System) -> str:
    """Cut and fill in words."""
    sums = result.totals.dig_volume, result.totals.fill_volume
    return picture.alt_cut_fill(result.option.name, result.pools, result.excavation, sums, system)


def as_built_plan(result: OptionResult, system: System) -> Figure | None:
    """The as-built survey from above; None where nothing was measured."""
    dig = result.option.dig
    if result.dig is None or dig is None:
        return None
    return as_built.plan(result.dig.as_built, result.pools, float(dig.floor_within), extent([result]), system)


def alt_as_built(result: OptionResult, system: System) -> str:
    """The as-built survey in words."""
    return as_built.alt_plan(result.dig.as_built if result.dig else None, system)
