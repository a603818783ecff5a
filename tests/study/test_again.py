"""What of the heavy option is worked out again when one input moves: only what depends on it."""

from collections import Counter
from typing import Any

import pytest

from pondkit.core.remembered import Memory
from pondkit.project.files import put
from tests.bench import designs
from tests.memory import asked


@pytest.fixture(scope="module")
def memory() -> Memory:
    memory = Memory()
    assert not asked(designs.heavy(), memory).problems
    return memory


def worked(memory: Memory, path: tuple[str | int, ...], value: Any) -> Counter[str]:
    asked(designs.heavy(), memory)
    memory.worked.clear()
    changed = put(designs.heavy(), path, value)
    warm = asked(changed, memory)
    found = Counter(memory.worked)
    cold = asked(changed, Memory())
    figures = [
        [(key, e.subject, e.value, e.least, e.most) for key, e in results.options[0].entries()]
        for results in (warm, cold)
    ]
    assert figures[0] == figures[1]
    return found


def test_a_moved_floor_lifts_the_stones_on_it_again_and_no_others(memory: Memory) -> None:
    found = worked(memory, (*designs.OPTION, "pools", 0, "tiers", 1, "depth"), "21 in")
    assert found["best_lift"] == found["lift_figures"] == 40  # of 80, those that stand in the pool


def test_a_moved_floor_below_the_mouths_works_out_no_pipe_again(memory: Memory) -> None:
    found = worked(memory, (*designs.OPTION, "pools", 0, "tiers", 1, "depth"), "22 in")
    assert found["drawn_alignment"] == 1
    assert not {"run_figures", "stock_order"} & set(found)


def test_a_moved_position_writes_out_only_the_lifts_that_it_makes(memory: Memory) -> None:
    found = worked(memory, (*designs.POSITIONS, 0, "at"), ["-28.5 ft", "30 ft"])
    assert found["best_lift"] == 80
    assert 0 < found["lift_figures"] < 80
    assert not {"drawn_alignment", "rig_of", "lay_out"} & set(found)


def test_a_moved_node_works_out_its_own_runs_again(memory: Memory) -> None:
    found = worked(memory, (*designs.NODES, 1, "at"), ["-38 ft", "-12.5 ft", "-14 in"])
    assert 1 <= found["run_figures"] <= 3
    assert "best_lift" not in found
