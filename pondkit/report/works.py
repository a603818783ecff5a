"""Pictures of earthwork and liners, composed of what the trades hold."""

from pondkit.core.units import System
from pondkit.drawing.frame import Figure
from pondkit.report.plan import extent, works_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.pictures import as_built
from pondkit.trades.earthwork.pictures import cut_fill as picture
from pondkit.trades.earthwork.results.crew import Levels, SettingOut
from pondkit.trades.liner.pictures import lining
from pondkit.trades.liner.results import Fabrics, LinerResult


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


def liner_sheet(result: OptionResult, liner: LinerResult, system: System) -> Figure:
    """One liner of an option, flat, with the folds of its rims and what it meets."""
    option, lined = result.option, result.lining
    assert lined is not None
    assert option.lining is not None
    passes = [(name, (place[0], place[1])) for name, place in result.tunnels.passes] if result.tunnels else []
    stones = [
        (boulder.name, (float(x), float(y)))
        for boulder in (option.stone.boulders if option.stone else ())
        if boulder.pool in liner.footprint.names
        for x, y in boulder.places
    ]
    lap, folds = option.lining.seam_lap, lined.extras.rim_fold
    return lining.layout(liner, system, lap=lap, folds=folds, passes=passes, stones=stones)


def fabrics_of(result: OptionResult) -> Fabrics | None:
    """Rolls of fabric; None where the option has none, or a liner is in trouble."""
    return result.lining.fabrics if result.lining else None
