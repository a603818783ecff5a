"""The first look: short enough for a minute, and the words that the controls use are in it."""

from collections.abc import Callable

from sketch import Sketch

from pondkit.core.part import ask_of
from pondkit.page.header import STEPS, WORDS
from pondkit.trades.pools.inputs import Pool, Tier
from tests.designs import full

WORDS_A_MINUTE = 240  # of silent reading: common practice, no source


def test_it_is_read_within_a_minute() -> None:
    assert sum(len(step.split()) for step in STEPS) <= WORDS_A_MINUTE
    assert sum(len(meaning.split()) for meaning in WORDS.values()) <= WORDS_A_MINUTE


def test_the_front_inputs_of_pool_and_tier_are_explained() -> None:
    explained = " ".join([*WORDS, *WORDS.values()]).lower()
    for part in (Pool, Tier):
        for name in part.model_fields:
            said = ask_of(part, name)
            if said is not None and said.front:
                assert said.label.lower().split()[-1] in explained, said.label


def test_it_opens_from_the_head(start: Callable[..., Sketch]) -> None:
    page = start(full())
    assert STEPS[0] not in page.texts
    page.unfold("first look")
    assert STEPS[0] in page.texts and "**Batter**" in page.texts
