"""A figure's group is one of those that the page and the papers have an order for."""

import pytest

from pondkit.core import labels


def test_a_group_without_a_place_in_the_order_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(labels, "gathered", lambda name: {"fence_length": {"group": "fences"}})
    with pytest.raises(ValueError, match=r"groups that core/labels.py does not have: fences"):
        labels.rows.__wrapped__()


def test_every_group_has_its_place_once() -> None:
    assert sorted(labels.ORDER) == sorted(labels.GROUPS)
