"""The controls of what is chosen: option, trade, part. One part's controls are on show at a time."""

from collections.abc import Callable
from functools import partial

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.page import edits
from pondkit.page.components import Button
from pondkit.page.contents import (
    ABOUT,
    ASKED,
    COMMON,
    FAR,
    ITEMS,
    LATER,
    OPTION_TRADES,
    ROWS,
    TRADES,
    WATER_OF_POOLS,
    WHERE_THERE,
    WITHIN,
    ListSection,
)
from pondkit.page.controls import fields_of, fold, ident, item_bar, part_controls, union_control
from pondkit.page.form import Form
from pondkit.page.images import picture_controls
from pondkit.page.prices import own_prices, price_file, prices_of
from pondkit.page.state import Desk, is_open


def sidebar(desk: Desk, *, follows: bool = False) -> None:
    """Everything that can be entered for the chosen part.

    Args:
        desk: The person's work.
        follows: Whether it stands in the part of the page that follows the hand.
    """
    form = Form(desk, "parts", follows=follows)
    _options(form)
    trade = str(desk.chosen.get("trade", "Pools"))
    form.pick(
        "trade",
        "Part",
        [(name, name, name in LATER and not _in_front(desk, name)) for name in TRADES],
        trade,
        lambda name: desk.chosen.__setitem__("trade", name),
    )
    here = ("options", desk.option)
    match trade:
        case "Pools":
            _pools(form, here)
        case "Links":
            _items(form, here, ListSection("links", "Links", "link"))
        case "Site":
            _site(form)
        case "Rates":
            _trade(form, prices_of(form), "rates")
            own_prices(form)
        case _:
            _trade(form, (*here, OPTION_TRADES[trade]), trade.lower())
    form.show()


def _in_front(desk: Desk, trade: str) -> bool:
    """Whether a part that a first visit does without stands in front, as it is there already."""
    part = getattr(desk.project.options[desk.option], OPTION_TRADES[trade])
    return trade in WHERE_THERE and (part is not None or (trade == "Rates" and desk.project.prices is not None))


def _options(form: Form) -> None:
    desk = form.desk
    form.pick(
        "option",
        "Option",
        [(str(index), option.name, False) for index, option in enumerate(desk.project.options)],
        str(desk.option),
        lambda index: desk.chosen.__setitem__("option", int(index)),
    )
    with form.fold(
        "edit option", "Edit this option", help_="Name, note, copy, order and removal of this option"
    ) as opened:
        if opened:
            here = ("options", desk.option)
            part_controls(form, here, less=WATER_OF_POOLS)
            item_bar(form, here, lambda index: desk.chosen.__setitem__("option", index), least=1, what="option")


def _pools(form: Form, here: Path) -> None:
    held = (*here, "pools")
    if not get(form.desk.project, held):
        form.words("No pool yet.")
        form.buttons(_add(form, held, "pool"))
        return
    path = (*held, _choose(form, held, "pool"))
    union_control(form, path, "outline")
    part_controls(form, path, front=True)
    _tiers(form, (*path, "tiers"))
    _pits(form, path)
    with form.fold("fold:pool", "More about this pool") as more:
        if more:
            part_controls(form, path, front=False)
            item_bar(form, path, partial(_select, form.desk, held), what="pool")
    with form.fold("fold:water of pools", "Gravel, high and low water of all pools") as more:
        if more:
            part_controls(form, here, only=WATER_OF_POOLS)


def _tiers(form: Form, held: Path) -> None:
    """Every tier's front controls; the rest of it in a fold under its name."""
    desk = form.desk
    for number, tier in enumerate(get(desk.project, held)):
        path = (*held, number)
        with form.fold(
            f"fold:tier{number}",
            f"{number + 1} · {tier.zone}",
            help_="Name, gravel, copy, order and removal of this tier",
            look="part",
        ) as more:
            if more:
                part_controls(form, path, front=False)
                item_bar(form, path, lambda index: None, least=1, what="tier")
        part_controls(form, path, front=True)
    form.buttons(_new_tier(form, held, "Add a tier"))


def _new_tier(form: Form, held: Path, label: str) -> Button:
    desk = form.desk
    return form.button(f"{ident(held)}:add", label, lambda: desk.edit(lambda: edits.add_item(desk.project, held)[0]))


def _pits(form: Form, pool: Path) -> None:
    held = (*pool, "pits")
    with form.fold("fold:pits", "Pits") as pits:
        if not pits:
            return
        if not get(form.desk.project, held):
            form.buttons(_add(form, held, "pit"))
            return
        path = (*held, _choose(form, held, "pit"))
        part_controls(form, path)
        union_control(form, path, "outline")
        tiers = (*path, "tiers")
        for number in range(len(get(form.desk.project, tiers))):
            form.head(f"{ident(tiers)}/{number}", f"Tier {number + 1}")
            part_controls(form, (*tiers, number))
        form.buttons(_new_tier(form, tiers, "Add a tier to the pit"))
        item_bar(form, path, partial(_select, form.desk, held), what="pit")


def _trade(form: Form, path: Path, what: str) -> None:
    """An optional part of the option: its own fields, the parts in it, and its lists."""
    desk, field = form.desk, str(path[-1])
    if get(desk.project, path) is None:
        form.words(f"{ABOUT[field]} This {'job' if field == 'prices' else 'option'} has no {what} yet.")
        form.buttons(_switch(form, path, f"Add {what}", True))
        return
    lists = ITEMS[field]
    if field in ("rates", "prices"):
        form.show()
        if not form.part:
            price_file(desk, path)
    heading, asked = ASKED.get(field, ("", ()))
    if asked:
        with form.fold(f"fold:asked {field}", heading, opened=True) as first:
            if first:
                part_controls(form, path, only=asked)
    if lists:
        key = f"list {field}"
        at = min(int(desk.chosen.get(key, 0)), len(lists) - 1)
        if len(lists) > 1:
            form.pick(
                f"list:{field}",
                "List",
                [(str(index), items.heading, False) for index, items in enumerate(lists)],
                str(at),
                lambda index: desk.chosen.__setitem__(key, int(index)),
            )
        _items(form, path, lists[at])
    with form.fold(f"fold:{field}", COMMON[field], opened=not lists or field in ("rates", "prices")) as common:
        if common:
            part_controls(form, path, less=asked)
    within, near = WITHIN.get(field, ()), FAR.get(field, 99)
    _within(form, path, within[:near])
    if within[near:]:
        with form.fold(f"fold:far {field}", f"More {what}") as far:
            if far:
                _within(form, path, within[near:])
    form.buttons(_switch(form, path, f"Remove {what}", False))


def _within(form: Form, path: Path, names: tuple[str, ...]) -> None:
    """Parts that may be left out, each in a fold."""
    for name in names:
        with form.fold(f"fold:{name}", name.capitalize()) as opened:
            if opened:
                _optional(form, (*path, name), name)


def _switch(form: Form, path: Path, label: str, wanted: bool) -> Button:
    """A button that puts a part in, or takes it out."""
    desk = form.desk
    return form.button(
        f"{ident(path)}:{'add' if wanted else 'drop'}",
        label,
        lambda: desk.edit(lambda: edits.set_part(desk.project, path, wanted)),
        strong=wanted,
    )


def _optional(form: Form, path: Path, what: str) -> None:
    part = get(form.desk.project, path)
    if part is None:
        form.buttons(_switch(form, path, f"Add {what}", True))
        return
    part_controls(form, path)
    if "outline" in type(part).model_fields:
        _outline(form, path)
    form.buttons(_switch(form, path, f"Remove {what}", False))


def _outline(form: Form, path: Path) -> None:
    """An outline that may be left out."""
    here = (*path, "outline")
    drawn = get(form.desk.project, here) is not None
    if drawn:
        union_control(form, path, "outline")
    form.buttons(_switch(form, here, "Remove its outline" if drawn else "Draw its outline", not drawn))


def _items(form: Form, path: Path, items: ListSection) -> None:
    desk, held = form.desk, (*path, items.field)
    if not get(desk.project, held):
        form.words(f"No {items.what} yet.")
        form.buttons(_add(form, held, items.what))
        return
    index = _choose(form, held, items.what)
    here = (*held, index)
    fronts = any(asked.declared.said.front for asked in fields_of(get(desk.project, here), ()))
    part_controls(form, here, front=True if fronts else None)
    if items.field == "liners":
        form.buttons(
            form.button(
                f"{ident(held)}:least",
                "Find the turn that takes least liner",
                lambda: desk.edit(lambda: edits.least_turn(desk.project, desk.option, index)),
                "Turned to the least area, or from your own rolls to the least cost; takes some seconds.",
            )
        )
    if items.field in ROWS:
        _rows(form, here, ROWS[items.field])
    if fronts:
        # One for all lists: it stays open from one to the next.
        with form.fold(f"fold:more {path[-1]}", "More") as more:
            if more:
                part_controls(form, here, front=False)
    item_bar(form, here, partial(_select, desk, held), what=items.what)


def _rows(form: Form, path: Path, items: ListSection) -> None:
    """A list inside a part, each of its parts with its controls."""
    desk, held = form.desk, (*path, items.field)

    def drop(here: Path) -> Callable[[], None]:
        return lambda: desk.edit(lambda: edits.remove_item(desk.project, here))

    with form.fold(f"fold:{items.field}", items.heading) as rows:
        if not rows:
            return
        form.buttons(_add(form, held, items.what))
        for number in range(len(get(desk.project, held))):
            here = (*held, number)
            away = form.button(f"{ident(here)}:x", "×", drop(here), f"Remove this {items.what}")
            form.head(ident(here), str(number + 1), away)
            part_controls(form, here)


def _site(form: Form) -> None:
    form.words("What all options share.")
    part_controls(form, ("site",))
    union_control(form, ("site",), "ground")
    form.show()
    if form.part:
        if is_open("fold:picture"):
            picture_controls(form)
    else:
        with fold("Picture under the plan", "fold:picture") as picture:
            if picture.open:
                picture_controls(form)
    form.head("keep-outs", "Keep-outs")
    _items(form, ("site",), ListSection("keep_outs", "Keep-outs", "keep-out"))
    with form.fold("fold:way_in", "Way in") as way:
        if way:
            _optional(form, ("site", "way_in"), "way in")


def _choose(form: Form, held: Path, what: str) -> int:
    """Which part of a list is on show, with a button to add one."""
    desk, items = form.desk, get(form.desk.project, held)
    index = min(int(desk.chosen.get(str(held), 0)), len(items) - 1)
    form.choice(
        f"{ident(held)}:chosen",
        what.capitalize(),
        [(str(i), edits.title(item, i)) for i, item in enumerate(items)],
        str(index),
        lambda chosen: _select(desk, held, int(chosen)),
        buttons=[_add(form, held, what, short=True)],
    )
    return index


def _select(desk: Desk, held: Path, index: int) -> None:
    desk.chosen[str(held)] = index


def _add(form: Form, held: Path, what: str, *, short: bool = False) -> Button:
    desk = form.desk

    def add() -> None:
        desk.edit(lambda: edits.add_item(desk.project, held)[0])
        _select(desk, held, len(get(desk.project, held)) - 1)

    label = f"Add {'an' if what[0] in 'aeiou' else 'a'} {what}"
    return form.button(f"{ident(held)}:plus", "+" if short else label, add, label)
