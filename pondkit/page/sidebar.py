"""The sidebar: choice of option and trade, and the controls of the chosen one. Of each list one item at a time is on
show.
"""

from collections.abc import Callable
from functools import partial

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.page import edits
from pondkit.page.components import Button
from pondkit.page.contents import (
    CONTROLS,
    INNER_LISTS,
    POOL_WATER_FIELDS,
    TRADES,
    UNDER_MORE,
    UNDER_MORE_UNTIL_USED,
    ListSection,
)
from pondkit.page.controls import copy_button, fields_of, ident, item_bar, part_controls, stock_fold, union_control
from pondkit.page.form import Form
from pondkit.page.images import picture_controls
from pondkit.page.prices import own_prices, price_file, prices_of
from pondkit.page.state import Desk, is_open


def sidebar(desk: Desk, *, follows: bool = False) -> None:
    """Shows all inputs of the chosen trade.

    Args:
        desk: The person's work.
        follows: Whether the sidebar stands in the part of the page that follows the hand.
    """
    form = Form(desk, "parts", follows=follows)
    _option(form)
    trade = desk.trade
    form.pick(
        "trade",
        "Part",
        [(name, name, name in UNDER_MORE and not _in_front(desk, name)) for name in TRADES],
        trade,
        lambda name: desk.chosen.__setitem__("trade", name),
    )
    option_path = ("options", desk.option)
    match trade:
        case "Pools":
            _pools(form, option_path)
        case "Links":
            _list(form, option_path, ListSection("links", "Links", "link"))
        case "Site":
            _site(form)
        case "Rates":
            _trade(form, prices_of(form), trade)
            own_prices(form)
        case _:
            _trade(form, (*option_path, CONTROLS[trade].field), trade)
    form.show()


def _in_front(desk: Desk, trade: str) -> bool:
    """Whether a trade stands in front, and not under "More", because the design has it already."""
    part = getattr(desk.project.options[desk.option], CONTROLS[trade].field)
    used = part is not None or (trade == "Rates" and desk.project.prices is not None)
    return used and trade in UNDER_MORE_UNTIL_USED


def _option(form: Form) -> None:
    """Which option is on show, with a button to add a copy of it; its name, note, order and removal in a fold."""
    desk = form.desk
    option_path = ("options", desk.option)

    def choose(index: int) -> None:
        desk.chosen["option"] = index

    form.pick(
        "option",
        "Option",
        [(str(index), option.name, False) for index, option in enumerate(desk.project.options)],
        str(desk.option),
        lambda index: choose(int(index)),
        [copy_button(form, option_path, choose, "+", "Add an option: a copy of this one, to be changed")],
    )
    with form.fold("edit option", "Edit this option", help_="Name, note, order and removal of this option") as opened:
        if opened:
            part_controls(form, option_path, without=POOL_WATER_FIELDS)
            item_bar(form, option_path, choose, least=1, noun="option", copies=False)


def _pools(form: Form, option_path: Path) -> None:
    list_path = (*option_path, "pools")
    if not get(form.desk.project, list_path):
        form.words("No pool yet.")
        form.buttons(_add(form, list_path, "pool"))
        return
    path = (*list_path, _choose(form, list_path, "pool"))
    union_control(form, path, "outline")
    part_controls(form, path, front=True)
    _tiers(form, (*path, "tiers"))
    _pits(form, path)
    with form.fold("fold:pool", "More about this pool") as more:
        if more:
            part_controls(form, path, front=False)
            item_bar(form, path, partial(_select, form.desk, list_path), noun="pool")
    with form.fold("fold:water of pools", "Gravel, high and low water of all pools") as more:
        if more:
            part_controls(form, option_path, only=POOL_WATER_FIELDS)


def _tiers(form: Form, list_path: Path) -> None:
    """Each tier's main controls; the others in a fold under the tier's name."""
    desk = form.desk
    for number, tier in enumerate(get(desk.project, list_path)):
        path = (*list_path, number)
        with form.fold(
            f"fold:tier{number}",
            f"{number + 1} · {tier.zone}",
            help_="Name, gravel, copy, order and removal of this tier",
            look="part",
        ) as more:
            if more:
                part_controls(form, path, front=False)
                item_bar(form, path, lambda index: None, least=1, noun="tier")
        part_controls(form, path, front=True)
    form.buttons(_new_tier(form, list_path, "Add a tier"))


def _new_tier(form: Form, list_path: Path, label: str) -> Button:
    desk = form.desk
    return form.button(
        f"{ident(list_path)}:add", label, lambda: desk.edit(lambda: edits.add_item(desk.project, list_path)[0])
    )


def _pits(form: Form, pool: Path) -> None:
    list_path = (*pool, "pits")
    with form.fold("fold:pits", "Pits") as pits:
        if not pits:
            return
        if not get(form.desk.project, list_path):
            form.buttons(_add(form, list_path, "pit"))
            return
        path = (*list_path, _choose(form, list_path, "pit"))
        part_controls(form, path)
        union_control(form, path, "outline")
        tiers = (*path, "tiers")
        for number in range(len(get(form.desk.project, tiers))):
            form.head(f"{ident(tiers)}/{number}", f"Tier {number + 1}")
            part_controls(form, (*tiers, number))
        form.buttons(_new_tier(form, tiers, "Add a tier to the pit"))
        item_bar(form, path, partial(_select, form.desk, list_path), noun="pit")


def _trade(form: Form, path: Path, trade: str) -> None:
    """A trade of the option: its lists, its common fields, and its optional parts."""
    desk, field, noun, controls = form.desk, str(path[-1]), trade.lower(), CONTROLS[trade]
    if get(desk.project, path) is None:
        form.words(f"{controls.purpose} This {'job' if field == 'prices' else 'option'} has no {noun} yet.")
        form.buttons(_switch(form, path, f"Add {noun}", True))
        return
    lists = controls.lists
    if field in ("rates", "prices"):
        form.show()
        if not form.partial_run:
            price_file(desk, path)
    if controls.question:
        with form.fold(f"fold:asked {field}", controls.question, initially_open=True) as is_unfolded:
            if is_unfolded:
                part_controls(form, path, only=controls.question_fields)
    if lists:
        key = f"list {field}"
        number = min(int(desk.chosen.get(key, 0)), len(lists) - 1)
        if len(lists) > 1:
            form.pick(
                f"list:{field}",
                "List",
                [(str(index), items.heading, False) for index, items in enumerate(lists)],
                str(number),
                lambda index: desk.chosen.__setitem__(key, int(index)),
            )
        _list(form, path, lists[number])
    alone = not lists or field in ("rates", "prices")
    with form.fold(f"fold:{field}", controls.common, initially_open=alone) as is_unfolded:
        if is_unfolded:
            part_controls(form, path, without=controls.question_fields)
    in_front, others = controls.optional[: controls.in_front], controls.optional[controls.in_front :]
    _optional_parts(form, path, in_front)
    if others:
        with form.fold(f"fold:far {field}", f"More {noun}") as more:
            if more:
                _optional_parts(form, path, others)
    form.buttons(_switch(form, path, f"Remove {noun}", False))


def _optional_parts(form: Form, path: Path, names: tuple[str, ...]) -> None:
    """Parts that may be left out, each in a fold."""
    for name in names:
        with form.fold(f"fold:{name}", name.capitalize()) as is_unfolded:
            if is_unfolded:
                _optional_part(form, (*path, name), name)


def _switch(form: Form, path: Path, label: str, present: bool) -> Button:
    """A button that adds a part (``present``) or removes it."""
    desk = form.desk
    return form.button(
        f"{ident(path)}:{'add' if present else 'drop'}",
        label,
        lambda: desk.edit(lambda: edits.set_part(desk.project, path, present)),
        strong=present,
    )


def _optional_part(form: Form, path: Path, noun: str) -> None:
    """The controls of a part that may be left out, or a button to add it."""
    part = get(form.desk.project, path)
    if part is None:
        form.buttons(_switch(form, path, f"Add {noun}", True))
        return
    part_controls(form, path)
    if "outline" in type(part).model_fields:
        _outline(form, path)
    form.buttons(_switch(form, path, f"Remove {noun}", False))


def _outline(form: Form, path: Path) -> None:
    """An outline that may be left out."""
    outline_path = (*path, "outline")
    present = get(form.desk.project, outline_path) is not None
    if present:
        union_control(form, path, "outline")
    form.buttons(_switch(form, outline_path, "Remove its outline" if present else "Draw its outline", not present))


def _list(form: Form, path: Path, items: ListSection) -> None:
    """One item of a list: which, its controls, and its place in the list."""
    desk, list_path = form.desk, (*path, items.field)
    if not get(desk.project, list_path):
        form.words(f"No {items.noun} yet.")
        form.buttons(_add(form, list_path, items.noun))
        return
    index = _choose(form, list_path, items.noun)
    item_path = (*list_path, index)
    has_front = any(field.declaration.ask.front for field in fields_of(get(desk.project, item_path), ()))
    part_controls(form, item_path, front=True if has_front else None)
    if items.field == "liners":
        form.buttons(
            form.button(
                f"{ident(list_path)}:least",
                "Find the turn that takes least liner",
                lambda: desk.edit(lambda: edits.least_turn(desk.project, desk.option, index)),
                "Turned to the least area, or from your own rolls to the least cost; takes some seconds.",
            )
        )
    if items.field in INNER_LISTS:
        _inner_list(form, item_path, INNER_LISTS[items.field])
    if has_front:
        # The same id for all lists of a trade, so that it stays open from one list to the next.
        with form.fold(f"fold:more {path[-1]}", "More") as more:
            if more:
                part_controls(form, item_path, front=False)
    item_bar(form, item_path, partial(_select, desk, list_path), noun=items.noun)


def _inner_list(form: Form, path: Path, items: ListSection) -> None:
    """A list inside an item: the controls of all its items, one below the other."""
    desk, list_path = form.desk, (*path, items.field)

    def remove(row_path: Path) -> Callable[[], None]:
        return lambda: desk.edit(lambda: edits.remove_item(desk.project, row_path))

    with form.fold(f"fold:{items.field}", items.heading) as rows:
        if not rows:
            return
        form.buttons(_add(form, list_path, items.noun))
        for number in range(len(get(desk.project, list_path))):
            row_path = (*list_path, number)
            remove_button = form.button(f"{ident(row_path)}:x", "×", remove(row_path), f"Remove this {items.noun}")
            form.head(ident(row_path), str(number + 1), remove_button)
            part_controls(form, row_path)


def _site(form: Form) -> None:
    form.words("What all options share.")
    part_controls(form, ("site",))
    union_control(form, ("site",), "ground")
    form.show()
    if form.partial_run:
        if is_open("fold:picture"):
            picture_controls(form)
    else:
        with stock_fold("Picture under the plan", "fold:picture") as picture:
            if picture.open:
                picture_controls(form)
    form.head("keep-outs", "Keep-outs")
    _list(form, ("site",), ListSection("keep_outs", "Keep-outs", "keep-out"))
    with form.fold("fold:way_in", "Way in") as is_unfolded:
        if is_unfolded:
            _optional_part(form, ("site", "way_in"), "way in")


def _choose(form: Form, list_path: Path, noun: str) -> int:
    """Choice of the item on show, with a button to add one. Returns its index."""
    desk, items = form.desk, get(form.desk.project, list_path)
    index = min(int(desk.chosen.get(str(list_path), 0)), len(items) - 1)
    form.choice(
        f"{ident(list_path)}:chosen",
        noun.capitalize(),
        [(str(i), edits.title(item, i)) for i, item in enumerate(items)],
        str(index),
        lambda number: _select(desk, list_path, int(number)),
        buttons=[_add(form, list_path, noun, short=True)],
    )
    return index


def _select(desk: Desk, list_path: Path, index: int) -> None:
    desk.chosen[str(list_path)] = index


def _add(form: Form, list_path: Path, noun: str, *, short: bool = False) -> Button:
    desk = form.desk

    def add() -> None:
        desk.edit(lambda: edits.add_item(desk.project, list_path)[0])
        _select(desk, list_path, len(get(desk.project, list_path)) - 1)

    label = f"Add {'an' if noun[0] in 'aeiou' else 'a'} {noun}"
    return form.button(f"{ident(list_path)}:plus", "+" if short else label, add, label)
