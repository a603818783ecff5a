"""Edits of lists and parts: each gives a new project that loads back equal, and leaves the old one as it was."""

import pytest

from pondkit import Project, load, save
from pondkit.core import units
from pondkit.core.part import Part, ask_of, get, kind_in, walk
from pondkit.core.refusal import Refused
from pondkit.geometry.shapes import Circle, Ellipse, Offsets, Points, Rectangle
from pondkit.page import edits
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.ground.inputs import LevelGround, PlaneGround
from tests.designs import DEMO_NAMES, demo, full_project, option, part_classes, read

OPTION = ("options", 0)
POOLS = (*OPTION, "pools")
LISTS = (  # each has room for one more in the whole project
    POOLS,
    (*POOLS, 0, "tiers"),
    (*POOLS, 0, "pits"),
    (*OPTION, "links"),
    (*OPTION, "lining", "liners"),
    (*OPTION, "stone", "boulders"),
    (*OPTION, "stone", "edging"),
    (*OPTION, "tunnels", "nodes"),
    (*OPTION, "tunnels", "runs"),
    (*OPTION, "tunnels", "fittings"),
    ("options",),
)


def roomy(held: tuple[str | int, ...]) -> Project:
    """The whole project, with room for one more in a list: a pool under no liner, nodes that no run joins."""
    project = full_project()
    if held[-1] == "liners":
        return put(project, (*held, 0, "covers"), ("lower",))
    return put(project, held, get(project, held)[:1]) if held[-1] == "runs" else project


def same(project: Project) -> str:
    """The project's text, after it was proven to load back equal."""
    text = save(project)
    assert save(load(text.encode())) == text
    return text


def ids(path: tuple[object, ...]) -> str:
    return str(path[-1])


@pytest.mark.parametrize("held", LISTS, ids=ids)
def test_a_part_is_added_at_the_end_of_its_list(held: tuple[str | int, ...]) -> None:
    before = roomy(held)
    text = save(before)
    after, path = edits.add_item(before, held)
    assert len(get(after, held)) == len(get(before, held)) + 1
    assert get(after, path) is get(after, held)[-1]
    same(after)
    assert save(before) == text


@pytest.mark.parametrize(
    "held", [held for held in LISTS if held not in (POOLS, ("options",), (*POOLS, 0, "tiers"))], ids=ids
)
@pytest.mark.parametrize("system", ["us", "si"])
def test_a_first_part_is_made_where_there_is_none(held: tuple[str | int, ...], system: str) -> None:
    project = put(put(full_project(), held, ()), ("units",), system)
    after, path = edits.add_item(project, held)
    assert len(get(after, held)) == 1
    assert path == (*held, 0)
    same(after)


@pytest.mark.parametrize("held", LISTS, ids=ids)
def test_a_copy_stands_behind_its_original_under_a_name_of_its_own(held: tuple[str | int, ...]) -> None:
    before = full_project()
    after, path = edits.copy_item(before, (*held, 0))
    assert path == (*held, 1)
    items = get(after, held)
    assert items[0] == get(before, held)[0]
    names = [item.name for item in items if hasattr(item, "name") and held[-1] != "fittings"]
    assert len(set(names)) == len(names)
    same(after)


def test_copies_of_a_copy_are_counted_on() -> None:
    project = full_project()
    for _ in range(3):
        project, _ = edits.copy_item(project, (*OPTION, "stone", "boulders", 0))
    assert [b.name for b in project.options[0].stone.boulders] == ["seat", "seat 4", "seat 3", "seat 2"]


@pytest.mark.parametrize("demo_name", DEMO_NAMES)
def test_a_copied_pool_lies_clear_of_its_original(demo_name: str) -> None:
    project = demo(demo_name)
    for index in range(len(project.options[0].pools)):
        after, path = edits.copy_item(project, (*POOLS, index))
        own = {pool.name for pool in (get(project, (*POOLS, index)), get(after, path))}
        met = [
            p
            for p in evaluate(after).options[0].problems
            if p.path[:1] == ("pools",) and any(f"'{name}'" in p.given.text for name in own)
        ]
        assert not met


@pytest.mark.parametrize("held", LISTS, ids=ids)
def test_a_removed_part_is_gone_and_adding_it_again_restores_the_count(held: tuple[str | int, ...]) -> None:
    before, path = edits.add_item(roomy(held), held)
    after = edits.remove_item(before, path)
    assert len(get(after, held)) == len(get(before, held)) - 1
    same(after)


def test_with_a_pool_goes_all_that_cannot_be_without_it() -> None:
    after = edits.remove_item(full_project(), (*POOLS, 1)).options[0]
    assert [pool.name for pool in after.pools] == ["lower"]
    assert after.links == ()
    assert after.stone.edging == ()
    assert after.lining.liners[0].covers == ("lower",)
    assert len(after.stone.boulders) == 1  # it stands in the other pool


def test_boulders_of_a_removed_pool_stay_without_a_pool() -> None:
    boulder = edits.remove_item(full_project(), (*POOLS, 0)).options[0].stone.boulders[0]
    assert (boulder.name, boulder.pool) == ("seat", None)


def test_a_liner_of_only_the_removed_pool_goes_with_it() -> None:
    project = put(full_project(), (*OPTION, "lining", "liners", 0, "covers"), ("upper",))
    assert edits.remove_item(project, (*POOLS, 1)).options[0].lining.liners == ()


def test_with_a_node_go_its_runs() -> None:
    after = edits.remove_item(full_project(), (*OPTION, "tunnels", "nodes", 1)).options[0].tunnels
    assert [node.name for node in after.nodes] == ["door", "den"]
    assert after.runs == ()


def test_the_last_tier_and_the_last_option_stay() -> None:
    project = read()
    for path in (("options", 0), (*POOLS, 0, "tiers", 0)):
        project_with_one = edits.remove_item(project, (*POOLS, 0, "tiers", 1)) if "tiers" in path else project
        with pytest.raises(Refused, match="at least 1"):
            edits.remove_item(project_with_one, path)


def test_a_seventh_option_is_refused() -> None:
    project = read()
    for _ in range(5):
        project, _ = edits.copy_item(project, ("options", 0))
    with pytest.raises(Refused, match="at most 6"):
        edits.copy_item(project, ("options", 0))


@pytest.mark.parametrize("held", LISTS, ids=ids)
def test_moving_forth_and_back_changes_no_byte(held: tuple[str | int, ...]) -> None:
    project, _ = edits.copy_item(full_project(), (*held, 0))
    moved, path = edits.move_item(project, (*held, 0), 1)
    assert get(moved, path) == get(project, (*held, 0))
    assert same(moved) != save(project) or get(project, held)[0] == get(project, held)[1]
    back, home = edits.move_item(moved, path, -1)
    assert (save(back), home) == (save(project), (*held, 0))


def test_beyond_the_end_of_a_list_nothing_moves() -> None:
    project = full_project()
    assert edits.move_item(project, (*POOLS, 0), -1) == (project, (*POOLS, 0))
    assert edits.move_item(project, (*POOLS, 1), 1) == (project, (*POOLS, 1))


def test_a_renamed_pool_keeps_its_name_everywhere() -> None:
    after = edits.rename(full_project(), (*POOLS, 0), "wide pool").options[0]
    assert after.pools[0].name == "wide pool"
    assert after.links[0].to == "wide pool"
    assert after.lining.liners[0].covers == ("wide pool", "upper")
    assert after.stone.boulders[0].pool == "wide pool"
    assert after.stone.edging[0].pool == "upper"


def test_a_renamed_node_keeps_its_runs() -> None:
    runs = edits.rename(full_project(), (*OPTION, "tunnels", "nodes", 1), "corner").options[0].tunnels.runs
    assert [(run.from_, run.to) for run in runs] == [("door", "corner"), ("corner", "den")]


def test_an_own_pipe_is_renamed_and_removed_in_its_own_trade_alone() -> None:
    """Water side and tunnels each have a list of their own: one name may stand in both."""
    project, pipe = full_project(), {"name": "hose", "outside": "3 in", "bore": "2.5 in"}
    for trade in ("water", "tunnels"):
        project = put(project, (*OPTION, trade, "own_pipes"), (pipe,))
    project = put(project, (*OPTION, "tunnels", "runs", 0, "own_pipe"), "hose")
    project = put(project, (*OPTION, "water", "branches", 0, "own_pipe"), "hose")
    renamed = edits.rename(project, (*OPTION, "water", "own_pipes", 0), "coil").options[0]
    assert (renamed.water.own_pipes[0].name, renamed.water.branches[0].own_pipe) == ("coil", "coil")
    assert (renamed.tunnels.own_pipes[0].name, renamed.tunnels.runs[0].own_pipe) == ("hose", "hose")
    removed = edits.remove_item(project, (*OPTION, "water", "own_pipes", 0)).options[0]
    assert (removed.water.own_pipes, removed.water.branches[0].own_pipe) == ((), None)
    assert removed.tunnels.runs[0].own_pipe == "hose"


def test_a_rename_in_one_option_leaves_the_others() -> None:
    project, _ = edits.copy_item(full_project(), ("options", 0))
    after = edits.rename(project, (*POOLS, 0), "wide pool")
    assert after.options[1] is project.options[1]


def test_a_rename_changes_no_figure() -> None:
    before, after = full_project(), edits.rename(full_project(), (*POOLS, 0), "wide pool")
    found = [
        [(key, figure.value) for key, figure in evaluate(project).options[0].entries()] for project in (before, after)
    ]
    assert found[0] == found[1]


def test_a_nameless_pool_is_refused() -> None:
    with pytest.raises(Refused, match="Name is ''"):
        edits.rename(full_project(), (*POOLS, 0), "")


@pytest.mark.parametrize("part", [(*OPTION, "lining"), (*OPTION, "stone"), (*OPTION, "tunnels"), ("prices",)])
@pytest.mark.parametrize("system", ["us", "si"])
def test_an_optional_part_is_put_in_and_taken_out(part: tuple[str | int, ...], system: str) -> None:
    project = put(read(), ("units",), system)
    with_it = edits.set_part(project, part, True)
    assert get(with_it, part) is not None
    same(with_it)
    assert save(edits.set_part(with_it, part, False)) == save(project)


def test_prices_of_an_option_s_own_begin_with_the_job_s() -> None:
    project = full_project()
    own = edits.set_part(project, (*OPTION, "rates"), True)
    assert own.options[0].rates == project.prices
    assert own.prices == project.prices
    same(own)


@pytest.mark.parametrize("fabric", ["underlay", "overlay"])
def test_a_fabric_is_taken_out_and_put_in(fabric: str) -> None:
    path = (*OPTION, "lining", fabric)
    without = edits.set_part(full_project(), path, False)
    assert get(without, path) is None
    assert get(edits.set_part(without, path, True), path).thickness > 0


def test_a_new_lining_covers_every_pool() -> None:
    path = (*OPTION, "lining")
    lining = edits.set_part(put(full_project(), path, None), path, True).options[0].lining
    assert lining.liners[0].covers == ("lower", "upper")


@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize("name", ["groundwater", "depth_limit", "section"])
def test_an_optional_quantity_of_the_site_is_put_in_and_taken_out(name: str, system: str) -> None:
    project = put(put(read(), ("units",), system), ("site", name), None)
    with_it = edits.set_quantity(project, ("site", name), True)
    assert get(with_it, ("site", name)) is not None
    assert save(edits.set_quantity(with_it, ("site", name), False)) == save(project)


@pytest.mark.parametrize("system", ["us", "si"])
def test_every_quantity_that_may_be_left_out_can_be_put_in_within_its_bounds(system: str) -> None:
    project = put(full_project(), ("units",), system)
    found = [path for path, part, name in walk(project) if kind_in(type(part), name) and _may_be_left_out(part, name)]
    assert len(found) > 12
    for path in found:
        same(edits.set_quantity(put(project, path, None), path, True))


def test_what_an_input_begins_with_is_nearly_alike_in_both_systems_and_what_is_declared() -> None:
    declared = [
        (said, kind_in(part, name))
        for part in dict.fromkeys(part_classes())
        for name in part.model_fields
        if (said := ask_of(part, name)) and said.first
    ]
    assert len(declared) > 8
    for said, kind in declared:
        assert kind is not None and said.first is not None
        us, si = (units.read(text, kind, "us") for text in said.first)
        assert us == pytest.approx(si, rel=0.1)
        assert units.system_of(said.first[0]) in ("us", "") and units.system_of(said.first[1]) in ("si", "")
    water = edits.set_part(full_project(), (*OPTION, "water"), True)
    for system, text in (("us", "1 in"), ("si", "25 mm")):
        project = edits.set_quantity(put(water, ("units",), system), (*OPTION, "water", "sheet"), True)
        assert get(project, (*OPTION, "water", "sheet")).text == text


def _may_be_left_out(part: Part, name: str) -> bool:
    field = type(part).model_fields[name]
    return not field.is_required() and field.default is None


KINDS = (Circle, Ellipse, Rectangle, Points, Offsets)


@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize("new", KINDS)
@pytest.mark.parametrize("old", KINDS)
def test_another_kind_of_outline_is_about_as_large(old: type, new: type, system: str) -> None:
    path = (*POOLS, 0, "outline")
    start = edits.change_kind(put(read(), ("units",), system), path, old)
    after = edits.change_kind(start, path, new)
    assert type(get(after, path)) is new
    same(after)
    areas = [evaluate(project).options[0].pools[0].surface_area.value for project in (start, after)]
    # A circle takes the smaller side, and the other shapes fill their box by π/4 to 1.
    assert 0.45 < areas[1] / areas[0] < 1.6


@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize("old", [Circle, Ellipse, Rectangle, Offsets])
def test_an_outline_turned_into_points_keeps_its_shape(old: type, system: str) -> None:
    path = (*POOLS, 0, "outline")
    start = edits.change_kind(put(read(), ("units",), system), path, old)
    if old is Rectangle:
        start = put(start, (*path, "corner_radius"), "2 ft", "us") if system == "us" else start
    after = edits.change_kind(start, path, Points)
    same(after)
    pools = [evaluate(project).options[0].pools[0] for project in (start, after)]
    for figure in ("surface_area", "perimeter"):
        assert getattr(pools[1], figure).value == pytest.approx(getattr(pools[0], figure).value, rel=0.005)


def test_an_outline_of_its_own_kind_stays_as_it_is() -> None:
    project = read()
    assert edits.change_kind(project, (*POOLS, 0, "outline"), Ellipse) is project


def test_ground_keeps_its_level_when_its_kind_changes() -> None:
    project = put(read(), ("site", "ground", "level"), "7 in")
    sloping = edits.change_kind(project, ("site", "ground"), PlaneGround)
    assert sloping.site.ground.level.text == "7 in"
    assert save(edits.change_kind(sloping, ("site", "ground"), LevelGround)) == save(project)


@pytest.mark.parametrize("system", ["us", "si"])
def test_a_new_tier_is_deeper_and_changes_the_floor_to_a_shelf(system: str) -> None:
    project = put(read(), ("units",), system)
    after, path = edits.add_item(project, (*POOLS, 0, "tiers"))
    tiers = after.options[0].pools[0].tiers
    assert len(tiers) == 3
    assert get(after, path) is tiers[2]
    assert tiers[2].depth > tiers[1].depth
    assert tiers[1].shelf > 0
    same(after)


def test_added_tiers_end_with_a_message_not_an_error() -> None:
    project, held = read(), (*POOLS, 0, "tiers")
    for _ in range(6):
        project, _ = edits.add_item(project, held)
        same(project)
    with pytest.raises(Refused, match="at most 8"):
        edits.add_item(project, held)


def test_a_place_is_added_half_way_to_the_next_and_removed() -> None:
    path = (*POOLS, 0, "outline")
    project = edits.change_kind(read(), path, Points)
    places = (*path, "points")
    before = get(project, places)
    after = edits.add_place(project, places, 2)
    added = get(after, places)
    assert len(added) == len(before) + 1
    middle = [(a + b) / 2 for a, b in zip(before[2], before[3], strict=True)]
    assert added[3] == pytest.approx(middle, abs=0.0501 * 0.3048)  # written to 0.1 ft
    assert save(edits.remove_place(after, places, 3)) == save(project)


def test_a_first_and_a_second_place_of_a_boulder() -> None:
    places = (*OPTION, "stone", "boulders", 0, "places")
    project = put(full_project(), places, ())
    first = edits.add_place(project, places, 0)
    second = edits.add_place(first, places, 0)
    assert len(get(second, places)) == 2
    assert get(second, places)[0] != get(second, places)[1]


def test_an_outline_keeps_three_points() -> None:
    path = (*POOLS, 0, "outline", "points")
    project = put(
        edits.change_kind(read(), path[:-1], Points), path, (("0 ft", "0 ft"), ("9 ft", "0 ft"), ("0 ft", "9 ft"))
    )
    with pytest.raises(Refused, match="at least 3"):
        edits.remove_place(project, path, 0)


@pytest.mark.parametrize(
    ("value", "inner", "expected"),
    [
        (1.0, (), "7 ft"),
        ((1.0, 2.0), (1,), (1.0, "7 ft")),
        (((1.0, 2.0), (3.0, 4.0)), (1, 0), ((1.0, 2.0), ("7 ft", 4.0))),
    ],
)
def test_one_number_of_a_value_is_replaced(value: object, inner: tuple[int, ...], expected: object) -> None:
    assert edits.with_number(value, inner, "7 ft") == expected


@pytest.mark.parametrize(
    ("name", "taken", "expected"),
    [
        ("seat", set(), "seat"),
        ("seat", {"seat"}, "seat 2"),
        ("seat 2", {"seat 2", "seat 3"}, "seat 4"),
        ("4", {"4"}, "4 2"),
    ],
)
def test_a_fresh_name(name: str, taken: set[str], expected: str) -> None:
    assert edits.fresh_name(name, taken) == expected


def test_a_fresh_name_fits_a_name_of_greatest_length() -> None:
    project = edits.rename(read(), (*POOLS, 0), "p" * 60)
    after, _ = edits.copy_item(project, (*POOLS, 0))
    assert len({pool.name for pool in after.options[0].pools}) == 2


def test_the_chosen_option_is_still_chosen_by_its_new_name_and_no_more_when_it_is_gone() -> None:
    project = put(read(options=[option("A"), option("B")]), ("chosen",), "B")
    assert edits.rename(project, ("options", 1), "wide").chosen == "wide"
    assert edits.rename(project, ("options", 0), "wide").chosen == "B"
    assert edits.remove_item(project, ("options", 1)).chosen == ""
    assert edits.remove_item(project, ("options", 0)).chosen == "B"
