"""The controls of what is chosen: option, trade, part. One part's controls are on show at a time."""

import html
from dataclasses import dataclass
from functools import partial

import streamlit as st

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.page import edits
from pondkit.page.controls import fields_of, fold, item_bar, part_controls, union_control
from pondkit.page.price_list import own_prices, price_file, prices_of
from pondkit.page.site_picture import picture_controls
from pondkit.page.state import Desk, guarded, widget
from pondkit.page.text import unmarked

OPTION_TRADES = {
    "Liner": "lining",
    "Stone": "stone",
    "Lifting": "lifting",
    "Walls": "walls",
    "Tunnels": "tunnels",
    "Water": "water",
    "Animals": "animals",
    "Dig": "dig",
    "Earth": "earth",
    "Rates": "rates",
}
COMMON = {
    "lining": "Common to all liners",
    "stone": "Common to all stone",
    "lifting": "Machine and limits",
    "walls": "Backfill, stone and ground",
    "tunnels": "Common to all pipe",
    "water": "Common to all water",
    "animals": "Banks, ice and fence",
    "dig": "Instrument and tolerances",
    "earth": "Soil, trucks and machine",
    "rates": "Rates",
    "prices": "Rates",
}
TRADES = ("Pools", "Links", *OPTION_TRADES, "Site")


@dataclass(frozen=True)
class Items:
    """A list of parts that are chosen from one at a time."""

    field: str
    heading: str
    what: str


ITEMS = {
    "lining": (
        Items("liners", "Liners", "liner"),
        Items("rolls", "Rolls to buy", "roll"),
        Items("burrows", "Burrowing", "burrow"),
    ),
    "stone": (
        Items("boulders", "Boulders", "boulder"),
        Items("edging", "Edging", "edging"),
        Items("slings", "Slings", "sling"),
    ),
    "lifting": (Items("positions", "Positions", "position"), Items("chart", "Lift chart", "chart row")),
    "walls": (Items("walls", "Walls", "wall"),),
    "tunnels": (
        Items("nodes", "Nodes", "node"),
        Items("runs", "Runs", "run"),
        Items("own_pipes", "Own pipes", "own pipe"),
        Items("fittings", "Measured fittings", "fitting"),
    ),
    "water": (
        Items("pumps", "Pumps", "pump"),
        Items("branches", "Branches", "branch"),
        Items("own_pipes", "Own pipes", "own pipe"),
    ),
    "animals": (Items("kinds", "Kinds", "kind"), Items("ways_out", "Ways out", "way out")),
    "dig": (
        Items("readings", "Readings", "reading"),
        Items("measured", "Levels found", "level found"),
        Items("tapes", "Tape lines", "tape line"),
    ),
    "earth": (),
    **dict.fromkeys(("rates", "prices"), (Items("lines", "Price list", "price line"),)),
}
WITHIN = {
    "dig": ("stakes",),
    "earth": ("berm",),
    "lining": ("underlay", "overlay"),
    "stone": ("rigging", "bearing", "haul"),
    "water": ("intake", "pit", "main", "filter", "passage", "load", "storm", "season", "dosing"),
}  # parts that may be left out
ROWS = {
    "pumps": Items("curve", "Points of the curve", "point"),
    "walls": Items("courses", "Courses from the base up", "course"),
    "slings": Items("choke", "Maker's choke table", "choke angle"),
}  # lists inside a part, all of them on show


def sidebar(desk: Desk) -> None:
    """Everything that can be entered for the chosen part."""
    _options(desk)
    trade = st.pills(
        "Part",
        TRADES,
        default=desk.chosen.get("trade", "Pools"),
        key=f"trade{desk.chosen.get('trade')}",
        label_visibility="collapsed",
        required=True,
        on_change=guarded(_chose, desk, "trade", f"trade{desk.chosen.get('trade')}"),
    )
    here = ("options", desk.option)
    match trade:
        case "Pools":
            _pools(desk, here)
        case "Links":
            _items(desk, here, Items("links", "Links", "link"))
        case "Site":
            _site(desk, here)
        case "Rates":
            _trade(desk, prices_of(desk), "rates")
            own_prices(desk)
        case _:
            _trade(desk, (*here, OPTION_TRADES[str(trade)]), str(trade).lower())


def _chose(desk: Desk, what: str, key: str) -> None:
    desk.chosen[what] = widget(key)


def _options(desk: Desk) -> None:
    names = [option.name for option in desk.project.options]
    key = f"{desk.history.revision}:option{desk.option}"
    left, right = st.columns([3, 1.5], vertical_alignment="bottom")
    left.segmented_control(
        "Option",
        range(len(names)),
        default=desk.option,
        format_func=lambda i: unmarked(names[i]),
        key=key,
        required=True,
        on_change=guarded(_chose, desk, "option", key),
    )
    with right.popover(
        "Edit",
        help="Name, note, copy, order and removal of this option",
        width="stretch",
        key="edit option",
        on_change="rerun",
    ) as edit:
        if edit.open:
            here = ("options", desk.option)
            part_controls(desk, here)
            item_bar(desk, here, lambda index: desk.chosen.__setitem__("option", index), least=1, what="option")


def _pools(desk: Desk, here: Path) -> None:
    if not get(desk.project, (*here, "pools")):
        st.caption("No pool yet.")
        _add(desk, (*here, "pools"), "pool")
        return
    index = _choose(desk, (*here, "pools"), "pool")
    path = (*here, "pools", index)
    union_control(desk, path, "outline")
    part_controls(desk, path, front=True)
    _tiers(desk, (*path, "tiers"))
    _pits(desk, path)
    with fold("More about this pool", "fold:pool") as more:
        if more.open:
            part_controls(desk, path, front=False)
            item_bar(desk, path, partial(_select, desk, (*here, "pools")), what="pool")


def _tiers(desk: Desk, held: Path) -> None:
    """Every tier's front controls; the rest of it in a fold beside its name."""
    tiers = get(desk.project, held)
    for number, tier in enumerate(tiers):
        path = (*held, number)
        left, right = st.columns([4, 1.3], vertical_alignment="center")
        left.html(f"<p class='pk-tier'>{number + 1} · {html.escape(tier.zone)}</p>")
        with right.popover(
            "⋯",
            help="Name, gravel, copy, order and removal of this tier",
            width="stretch",
            key=f"fold:tier{number}",
            on_change="rerun",
        ) as more:
            if more.open:
                part_controls(desk, path, front=False)
                item_bar(desk, path, lambda index: None, least=1, what="tier")
        part_controls(desk, path, front=True)
    st.button(
        "Add a tier",
        key=f"{desk.history.revision}:{held}:add",
        width="stretch",
        on_click=guarded(lambda: desk.edit(lambda: edits.add_tier(desk.project, held)[0])),
    )


def _pits(desk: Desk, pool: Path) -> None:
    held = (*pool, "pits")
    count = len(get(desk.project, held))
    with fold("Pits", "fold:pits") as pits:  # a label that changes would close the fold
        if not pits.open:
            return
        if count:
            index = _choose(desk, held, "pit", least=0)
            path = (*held, index)
            part_controls(desk, path)
            union_control(desk, path, "outline")
            tiers = (*path, "tiers")
            for number in range(len(get(desk.project, tiers))):
                st.markdown(f"**Tier {number + 1}**")
                part_controls(desk, (*tiers, number))
            st.button(
                "Add a tier to the pit",
                key=f"{desk.history.revision}:{tiers}:add",
                on_click=guarded(lambda: desk.edit(lambda: edits.add_tier(desk.project, tiers)[0])),
            )
            item_bar(desk, path, partial(_select, desk, held), what="pit")
        else:
            _add(desk, held, "pit")


def _trade(desk: Desk, path: Path, what: str) -> None:
    """An optional part of the option: its own fields, the parts in it, and its lists."""
    part = get(desk.project, path)
    field = str(path[-1])
    if part is None:
        st.caption(f"This {'job' if field == 'prices' else 'option'} has no {what} yet.")
        st.button(
            f"Add {what}",
            key=f"{desk.history.revision}:{path}:add",
            type="primary",
            on_click=guarded(lambda: desk.edit(lambda: edits.set_part(desk.project, path, True))),
        )
        return
    lists = ITEMS[field]
    if field in ("rates", "prices"):
        price_file(desk, path)
    if lists:
        names = [items.heading for items in lists]
        shown = lists[0]
        if len(lists) > 1:
            number = int(desk.chosen.get(f"list {field}", 0))
            key = f"list:{field}:{number}"
            at = st.segmented_control(
                "List",
                range(len(lists)),
                default=number,
                format_func=lambda i: names[i],
                key=key,
                label_visibility="collapsed",
                required=True,
                on_change=guarded(_chose, desk, f"list {field}", key),
            )
            shown = lists[int(at)]
        _items(desk, path, shown)
    with fold(COMMON[field], f"fold:{field}", expanded=not lists or field in ("rates", "prices")) as common:
        if common.open:
            part_controls(desk, path)
    for name in WITHIN.get(field, ()):
        with fold(name.capitalize(), f"fold:{name}") as fabric:
            if fabric.open:
                _optional(desk, (*path, name), name)
    st.button(
        f"Remove {what}",
        key=f"{desk.history.revision}:{path}:drop",
        on_click=guarded(lambda: desk.edit(lambda: edits.set_part(desk.project, path, False))),
    )


def _optional(desk: Desk, path: Path, what: str) -> None:
    if get(desk.project, path) is None:
        st.button(
            f"Add {what}",
            key=f"{desk.history.revision}:{path}:add",
            on_click=guarded(lambda: desk.edit(lambda: edits.set_part(desk.project, path, True))),
        )
    else:
        part_controls(desk, path)
        if "outline" in type(get(desk.project, path)).model_fields:
            _outline(desk, path)
        st.button(
            f"Remove {what}",
            key=f"{desk.history.revision}:{path}:drop",
            on_click=guarded(lambda: desk.edit(lambda: edits.set_part(desk.project, path, False))),
        )


def _outline(desk: Desk, path: Path) -> None:
    """An outline that may be left out."""
    here = (*path, "outline")
    drawn = get(desk.project, here) is not None
    if drawn:
        union_control(desk, path, "outline")
    st.button(
        "Remove its outline" if drawn else "Draw its outline",
        key=f"{desk.history.revision}:{here}:{'drop' if drawn else 'add'}",
        on_click=guarded(lambda: desk.edit(lambda: edits.set_part(desk.project, here, not drawn))),
    )


def _items(desk: Desk, path: Path, items: Items) -> None:
    held = (*path, items.field)
    if not get(desk.project, held):
        st.caption(f"No {items.what} yet.")
        _add(desk, held, items.what)
        return
    index = _choose(desk, held, items.what)
    fronts = any(asked.said.front for asked in fields_of(get(desk.project, (*held, index)), ()))
    part_controls(desk, (*held, index), front=True if fronts else None)
    if items.field == "liners":
        st.button(
            "Solve the turn of least area, or cost",
            key=f"{desk.history.revision}:{held}:least",
            width="stretch",
            help="For the least area, or from your rolls the least cost; takes some seconds.",
            on_click=guarded(lambda: desk.edit(lambda: edits.least_turn(desk.project, desk.option, index))),
        )
    if items.field in ROWS:
        _rows(desk, (*held, index), ROWS[items.field])
    if fronts:
        with fold("More", f"fold:more {path[-1]}") as more:  # one for all lists: it stays open from one to the next
            if more.open:
                part_controls(desk, (*held, index), front=False)
    item_bar(desk, (*held, index), partial(_select, desk, held), what=items.what)


def _rows(desk: Desk, path: Path, items: Items) -> None:
    """A list inside a part, each of its parts with its controls."""
    held = (*path, items.field)
    with fold(items.heading, f"fold:{items.field}") as rows:
        if not rows.open:
            return
        for number in range(len(get(desk.project, held))):
            here = (*held, number)
            left, drop = st.columns([4, 1], vertical_alignment="center")
            left.markdown(f"**{number + 1}**")
            drop.button(
                "×",
                key=f"{desk.history.revision}:{held}:{number}x",
                help=f"Remove this {items.what}",
                on_click=guarded(lambda p=here: desk.edit(lambda: edits.remove_item(desk.project, p))),
            )
            part_controls(desk, here)
        _add(desk, held, items.what)


def _site(desk: Desk, here: Path) -> None:
    st.caption("What all options share.")
    part_controls(desk, ("site",))
    union_control(desk, ("site",), "ground")
    with fold("Picture under the plan", "fold:picture") as picture:
        if picture.open:
            picture_controls(desk)
    st.divider()
    _items(desk, ("site",), Items("keep_outs", "Keep-outs", "keep-out"))
    with fold("Way in", "fold:way_in") as way:
        if way.open:
            _optional(desk, ("site", "way_in"), "way in")


def _choose(desk: Desk, held: Path, what: str, least: int = 1) -> int:
    """Which part of a list is on show, with a button to add one."""
    items = get(desk.project, held)
    index = min(int(desk.chosen.get(str(held), 0)), len(items) - 1)
    key = f"{desk.history.revision}:{held}:{index}"
    left, right = st.columns([4, 1], vertical_alignment="bottom")
    left.selectbox(
        what.capitalize(),
        range(len(items)),
        index=index,
        format_func=lambda i: edits.title(items[i], i),
        key=key,
        on_change=guarded(lambda: _select(desk, held, widget(key))),
    )
    with right:
        _add(desk, held, what, short=True)
    return index


def _select(desk: Desk, held: Path, index: int) -> None:
    desk.chosen[str(held)] = index


def _add(desk: Desk, held: Path, what: str, *, short: bool = False) -> None:
    def add() -> None:
        desk.edit(lambda: edits.add_item(desk.project, held)[0])
        _select(desk, held, len(get(desk.project, held)) - 1)

    st.button(
        "+" if short else f"Add a {what}",
        key=f"{desk.history.revision}:{held}:plus",
        help=f"Add a {what}",
        width="stretch",
        on_click=guarded(add),
    )
