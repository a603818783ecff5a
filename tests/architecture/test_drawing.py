"""The drawing of the imports beside these tests is that of the code."""

from tests.architecture.drawing import README, drawn


def test_the_drawing_is_not_stale() -> None:
    assert README.read_text(encoding="utf-8") == drawn(), "write it anew: python -m tests.architecture.drawing"
