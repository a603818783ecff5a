"""Drawings that several papers have: the plan, the section, and each liner flat, with their legends."""

from pondkit.drawing.blocks import Block, Picture, Room, Text
from pondkit.drawing.to_scale import scaled
from pondkit.report import plan, section
from pondkit.report.papers.sheet import Sheet
from pondkit.report.scene import Scene
from pondkit.trades.liner.pictures import LAYOUT, legend


def plan_blocks(
    sheet: Sheet, room: Room, look: plan.Look, *, whole: bool = False, mono: bool = True
) -> tuple[Block, ...]:
    """Legend and plan at a true scale; nothing if there is no pool.

    Args:
        sheet: The paper's subject.
        room: Space for the plan on the paper.
        look: Style of the plan, see ``report.plan.plan``.
        whole: True for a plan with the section line and the picture of the site.
        mono: True for black and white.
    """
    result, units, project = sheet.result, sheet.units, sheet.results.project
    if not result.pools:
        return ()
    line = plan.shown_section(result, sheet.site.section) if whole else None
    figure = plan.plan(result, units, section=line, look=look)
    under = project.picture if whole else None
    pictures = scaled(figure, units, plan.alt_plan(result, units), room, mono=mono, under=under)
    return Text(plan.legend(figure), look="small"), *pictures


def section_pictures(sheet: Sheet, room: Room, *, mono: bool = True) -> tuple[Picture, ...]:
    """The section at a true scale; empty if there is no pool."""
    result, units = sheet.result, sheet.units
    line = plan.shown_section(result, sheet.site.section) if result.pools else None
    if line is None:
        return ()
    figure = section.section(result, line, units, on_paper=True)
    return scaled(figure, units, section.alt_section(result, units), room, mono=mono)


def liner_blocks(sheet: Sheet, index: int, room: Room) -> tuple[Block, ...]:
    """Legend and drawing of one liner, flat."""
    scene = Scene(sheet.result, sheet.units, liner=index)
    figure = scene.draw(LAYOUT)
    if figure is None:
        return ()
    return Text(legend(figure), look="small"), *scaled(figure, sheet.units, scene.alt(LAYOUT), room)
