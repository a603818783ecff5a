"""Declarations, and the one way to edit."""

import pytest
from pydantic import ValidationError

from pondkit.core.part import Choice, ask_of, choices_in, get, kind_in, put, refers_in, walk
from pondkit.core.refusal import refusal
from pondkit.core.units import LENGTH, RATIO, Entered
from pondkit.geometry.shapes import Circle
from pondkit.project.project import Option
from pondkit.trades.pools.inputs import Pool, Tier
from pondkit.trades.stone.inputs import Boulder, Edging, Stone
from pondkit.trades.tunnels.inputs import Run
from tests.designs import full_project

DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")


FIRST = {
    Tier: {"zone": "deep", "depth": "30 cm"},
    Pool: {"name": "pool", "tiers": [{"zone": "deep", "depth": "30 cm"}]},
}


def test_put_makes_only_the_parts_along_the_path_anew() -> None:
    before = full_project()
    after = put(before, DEPTH, "25 in")
    assert get(after, DEPTH) == pytest.approx(25 * 0.0254)
    assert get(after, DEPTH).text == "25 in"
    assert before == full_project()
    assert after.site is before.site
    old, new = before.options[0], after.options[0]
    assert new.stone is old.stone
    assert new.pools[1] is old.pools[1]
    assert new.pools[0].outline is old.pools[0].outline
    assert new.pools[0].tiers[0] is old.pools[0].tiers[0]
    assert new.pools[0].tiers[1] is not old.pools[0].tiers[1]


def test_putting_the_old_value_back_gives_an_equal_project() -> None:
    before = full_project()
    again = put(put(before, DEPTH, "25 in"), DEPTH, get(before, DEPTH))
    assert again == before
    assert hash(again) == hash(before)


def test_put_reads_a_bare_number_in_the_system_that_is_on_show() -> None:
    assert get(put(full_project(), DEPTH, 1, "us"), DEPTH).text == "1 ft"
    assert get(put(full_project(), DEPTH, 1, "si"), DEPTH).text == "1 m"


def test_put_one_number_of_a_list_one_part_of_a_list_and_a_part_or_none() -> None:
    project = full_project()
    axes = put(project, ("options", 0, "stone", "boulders", 0, "axes", 1), "25 in").options[0].stone
    assert axes is not None
    assert [getattr(a, "text", "") for a in axes.boulders[0].axes] == ["30 in", "25 in", "18 in"]
    tier = Tier(zone="new", depth="20 in")  # type: ignore[arg-type]
    assert (
        get(put(project, ("options", 0, "pools", 0, "tiers", 0), tier), ("options", 0, "pools", 0, "tiers", 0)) == tier
    )
    assert put(project, ("options", 0, "stone"), None).options[0].stone is None
    ring = put(project, ("options", 0, "pools", 0, "outline"), Circle(diameter="9 ft"))  # type: ignore[arg-type]
    assert ring.options[0].pools[0].outline == Circle(diameter="9 ft")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (DEPTH, "3 kg"),
        (DEPTH, "13 ft"),
        (DEPTH, None),
        (("options", 0, "stone", "rock"), "chalk"),
        (("options", 0, "pools", 0, "name"), ""),
        (("options",), ()),
        (("options", 0, "pools", 0, "tiers"), ()),
        (("options", 0, "stone", "boulders", 0, "axes", 0), "0 in"),
    ],
)
def test_put_checks_as_a_file_would_be(path: tuple[str | int, ...], value: object) -> None:
    with pytest.raises(ValidationError):
        put(full_project(), path, value)


def test_a_part_cannot_be_changed_in_place() -> None:
    project = full_project()
    with pytest.raises(ValidationError, match="frozen"):
        project.title = "other"  # type: ignore[misc]


def test_walk_meets_every_leaf_once_and_get_finds_it() -> None:
    project = full_project()
    met = [path for path, _, _ in walk(project)]
    assert len(met) == len(set(met))
    for path, part, field in walk(project):
        assert get(project, path) is getattr(part, field) or get(project, path) == getattr(part, field)
    assert DEPTH in met
    assert ("options", 0, "stone", "boulders", 0, "places") in met


def test_equal_values_typed_otherwise_are_equal_parts() -> None:
    a, b = (Tier(zone="a", depth=text) for text in ("30 in", "2 ft 6 in"))  # type: ignore[arg-type]
    assert a == b
    assert hash(a) == hash(b)
    assert isinstance(a.depth, Entered)


def test_a_declaration_gives_bounds_and_steps_of_its_kind() -> None:
    said = ask_of(Tier, "depth")
    assert said is not None
    assert said.bound("low", LENGTH) == pytest.approx(0.0254)
    assert said.bound("high", LENGTH) == pytest.approx(12 * 0.3048)
    assert said.stride(LENGTH, "us") == (pytest.approx(1.0), "in")
    assert said.stride(LENGTH, "si") == (pytest.approx(2.0), "cm")
    assert kind_in(Tier, "batter") is RATIO
    assert kind_in(Boulder, "axes") is kind_in(Boulder, "places") is LENGTH
    assert kind_in(Boulder, "name") is None


def test_choices_and_references_are_found_behind_optional_ones_too() -> None:
    assert "granite" in choices_in(Stone, "rock")
    assert choices_in(Edging, "seat") == ("outside", "inside")
    assert "sch40 4 in" in choices_in(Run, "pipe")
    assert choices_in(Option, "name") == ()
    assert refers_in(Boulder, "pool") == refers_in(Edging, "pool") == "pools"
    assert refers_in(Run, "from_") == "nodes"
    assert refers_in(Boulder, "name") == ""


def test_a_choice_answers_with_the_nearest() -> None:
    with pytest.raises(Exception, match="none of the choices") as caught:
        Choice(("outside", "inside"))._check("outsid")
    assert getattr(caught.value, "context", {})["near"] == "outside"


def test_bounds_typed_in_the_other_system_are_within() -> None:
    # 12 ft = 3.6576 m exactly (NIST SP 811): the bound itself, typed in metres.
    assert Tier(zone="a", depth="3.6576 m").depth == pytest.approx(12 * 0.3048)  # type: ignore[arg-type]
    with pytest.raises(ValidationError):
        Tier(zone="a", depth="3.6577 m")  # type: ignore[arg-type]


def test_a_bound_is_said_in_the_units_of_the_file_and_can_be_typed_as_said() -> None:
    """12 ft are 3.6576 m, 60 ft 18.288 m: in four figures, rounded inward."""
    for kind, name, said in ((Tier, "depth", ("2.54 cm", "3.657 m")), (Pool, "level", ("-18.28 m", "18.28 m"))):
        declared = ask_of(kind, name)
        assert declared
        assert (declared.written("low", LENGTH, "si"), declared.written("high", LENGTH, "si")) == said
        assert declared.written("high", LENGTH, "us") == declared.high
        for text in said:
            kind.model_validate(FIRST[kind] | {name: text}, context={"units": "si"})
    with pytest.raises(ValidationError) as raised:
        Tier.model_validate({"zone": "deep", "depth": "4 m"}, context={"units": "si"})
    assert str(refusal(raised.value, Tier)) == "Depth is 4 m; allowed is 2.54 cm to 3.657 m."
