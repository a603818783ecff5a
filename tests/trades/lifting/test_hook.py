"""The load point of the lift plan against the slings that hold the stone under it."""

import math

import pytest

from pondkit.study.evaluate import evaluate
from tests.designs import option, pool, read

CHART = [
    {"radius": f"{out} ft", "height": f"{high} ft", "front": "30000 lb", "side": "25000 lb"}
    for out in (2, 60)
    for high in (-10, 40)
]
SEAT = {"name": "seat", "axes": ["40 in", "30 in", "20 in"], "axes_within": 0, "places": [["-10 ft", "0 ft"]]}
SLING = {"name": "web", "vertical": "9000 lb", "length": "20 ft", "width": "3 in", "edge_protection": True}


@pytest.mark.parametrize(("hook_over", "said"), [("30 in", True), ("36 in", False)])
def test_a_load_point_lower_than_the_slings_hold_the_hook_is_said(hook_over: str, said: bool) -> None:
    """Two legs at 60 degrees, their feet 36 in apart: the hook stands 18 in x tan 60 = 31.2 in over them."""
    rigging = {"hitch": "choker", "legs": 2, "angle_deg": 60, "spread": 0.9}
    lifting = {
        "hook_over": hook_over,
        "positions": [{"name": "west", "at": ["-30 ft", "0 ft"], "pick_up": ["-30 ft", "-10 ft"]}],
        "chart": CHART,
    }
    stone = {"boulders": [SEAT], "slings": [SLING], "rigging": rigging}
    result = evaluate(
        read(options=[option(pools=[pool(at=["40 ft", "40 ft"])], stone=stone, lifting=lifting)])
    ).options[0]
    assert result.slings is not None and result.lifting is not None
    assert result.slings.hooks == (("seat", pytest.approx(18 * 0.0254 * math.tan(math.radians(60)))),)
    count = result.lifting.boulders_not_lifted
    assert count is not None
    assert any("The slings of 'seat' hold the hook" in caution.text for caution in count.cautions) == said
