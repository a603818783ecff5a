"""New parts with their defaults: to a sound design any of them, on any free place, brings no fault."""

import json
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from pondkit import Project, load, save
from pondkit.core.part import Part, get
from pondkit.core.refusal import Refused
from pondkit.core.result import Path
from pondkit.geometry.room import Spot
from pondkit.study import new_parts
from pondkit.study.site_room import SiteRoom, faults

OPTION = ("options", 0)
CLEAR = 1.0  # m: a place so far from all that stands is free
LINING = (*OPTION, "lining")
SOILS = ("stiff clay", "clay", "silt", "angular gravel", "sand", "gravel")
PARTS: tuple[Path, ...] = tuple(
    (*OPTION, name) for name in ("lining", "stone", "lifting", "walls", "tunnels", "water", "animals", "earth", "dig")
)
INNER: tuple[Path, ...] = (
    *((*OPTION, "lining", name) for name in ("underlay", "overlay")),
    *((*OPTION, "stone", name) for name in ("rigging", "bearing", "haul")),
    *(
        (*OPTION, "water", name)
        for name in ("intake", "pit", "main", "filter", "passage", "load", "storm", "season", "dosing")
    ),
    (*OPTION, "dig", "stakes"),
    (*OPTION, "earth", "berm"),
    (*OPTION, "earth", "berm", "outline"),
    ("site", "way_in"),
    ("prices",),
)
LISTS: tuple[tuple[Path, str], ...] = (
    ((*OPTION, "pools"), ""),
    ((*OPTION, "pools"), ""),
    ((*OPTION, "pools", 0, "tiers"), ""),
    ((*OPTION, "pools", 0, "pits"), ""),
    ((*OPTION, "links"), ""),
    ((*OPTION, "lining", "liners"), ""),
    ((*OPTION, "lining", "rolls"), ""),
    ((*OPTION, "lining", "burrows"), ""),
    ((*OPTION, "stone", "boulders"), ""),
    ((*OPTION, "stone", "edging"), ""),
    ((*OPTION, "stone", "slings"), ""),
    ((*OPTION, "lifting", "positions"), ""),
    ((*OPTION, "lifting", "chart"), ""),
    ((*OPTION, "walls", "walls"), ""),
    ((*OPTION, "tunnels", "nodes"), "mouth"),
    ((*OPTION, "tunnels", "nodes"), "junction"),
    ((*OPTION, "tunnels", "nodes"), "chamber"),
    ((*OPTION, "tunnels", "runs"), ""),
    ((*OPTION, "tunnels", "own_pipes"), ""),
    ((*OPTION, "tunnels", "fittings"), ""),
    ((*OPTION, "water", "pumps"), ""),
    ((*OPTION, "water", "branches"), ""),
    ((*OPTION, "water", "own_pipes"), ""),
    ((*OPTION, "animals", "kinds"), ""),
    ((*OPTION, "animals", "ways_out"), ""),
    ((*OPTION, "dig", "readings"), ""),
    ((*OPTION, "dig", "measured"), ""),
    ((*OPTION, "dig", "tapes"), ""),
    (("prices", "lines"), ""),
    (("site", "keep_outs"), ""),
    (("site", "keep_outs"), "buried service"),
)
Step = tuple[str, Path, str]
STEPS: tuple[Step, ...] = (
    *(("part", path, "") for path in (*PARTS, *INNER)),
    *(("list", path, kind) for path, kind in LISTS),
)


def blank(units: str, soil: str, fall: float, toward: float, level: float) -> Project:
    """A design without anything in it, on ground that falls evenly."""
    ground = {"kind": "plane", "level": f"{level:.2f} m", "fall": round(fall, 3), "toward_deg": round(toward)}
    site = {"soil": soil, "ground": ground}
    whole: dict[str, Any] = {"pondkit": 1, "units": units, "site": site, "options": [{"name": "A", "pools": []}]}
    return load(json.dumps(whole).encode())


def there(project: Project, path: Path) -> bool:
    """Whether what holds a path is there."""
    held: Any = project
    for step in path[:-1]:
        if isinstance(step, int):
            if step >= len(held):
                return False
            held = held[step]
        else:
            held = getattr(held, step)
        if held is None:
            return False
    return isinstance(held, Part)


def taken(project: Project, step: Step, place: Spot | None) -> Project:
    """A design with one more part; as it is where that is refused in words, or is there already."""
    what, path, kind = step
    if not there(project, path) or (what == "part" and get(project, path) is not None):
        return project
    if place is not None and SiteRoom(project, 0, path, None).room.clear(place) < CLEAR:
        place = None
    try:
        if what == "part":
            return new_parts.add_part(project, path, place)
        return new_parts.add(project, path, place, kind)[0]
    except Refused:
        return project


grounds = st.builds(
    blank,
    st.sampled_from(["us", "si"]),
    st.sampled_from(SOILS),
    st.floats(0, 0.2),
    st.floats(0, 359),
    st.floats(-3, 3),
)
places = st.none() | st.tuples(st.floats(-12, 12), st.floats(-12, 12))


# The same designs each time, as a gate wants it; nothing is made smaller, which takes long.
@settings(
    max_examples=30,
    deadline=None,
    derandomize=True,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
@given(grounds, st.lists(st.tuples(st.sampled_from(STEPS), places), min_size=6, max_size=14), st.integers(1, 2))
def test_any_part_added_with_its_defaults_on_a_free_place_brings_no_fault(
    project: Project, steps: list[tuple[Step, Spot | None]], pools: int
) -> None:
    """The design grows by new parts alone, so that each of them meets what any others made, and stays sound."""
    first: list[tuple[Step, Spot | None]] = [(("list", (*OPTION, "pools"), ""), None)] * pools
    for step, place in first + steps:
        if step[0] == "list" and not there(project, step[1]):  # the trade that it belongs to comes first
            project = taken(project, ("part", step[1][:1] if step[1][0] == "prices" else step[1][:3], ""), None)
        after = taken(project, step, place)
        assert not faults(after, 0), f"{step} at {place}: {faults(after, 0)}"
        project = after
    text = save(project)
    assert save(load(text.encode())) == text


def test_defaults_are_round_numbers_of_the_design_s_own_units() -> None:
    """12 in, 6 in, 15 ft and 8 oz/yd² in centimetres, metres and grams; 3 mm and 1150 kg/m³ in mils and pounds."""
    wanted = {
        "si": {"edge": "30 cm", "seam_lap": "15 cm", "roll_width": "4.5 m", "mass": "270 g/m²", "thickness": "3 mm"},
        "us": {"edge": "12 in", "seam_lap": "6 in", "roll_width": "15 ft", "mass": "8 oz/yd^2", "thickness": "120 mil"},
    }
    for system, texts in wanted.items():
        project = load(json.dumps({"pondkit": 1, "units": system, "options": [{"name": "A", "pools": []}]}).encode())
        project = new_parts.in_round_numbers(project, ())
        assert project.options[0].water_rise.text == ("2 in" if system == "us" else "5 cm")
        project, _ = new_parts.add(project, (*OPTION, "pools"))
        for part in (LINING, (*LINING, "underlay")):
            project = new_parts.add_part(project, part)
        lining = get(project, LINING)
        for name, text in texts.items():
            assert getattr(lining.underlay if name not in ("edge", "seam_lap") else lining, name).text == text
        assert lining.density.text == ("72 lb/ft³" if system == "us" else "1150 kg/m^3")
