"""Slings: rated capacity as rigged, load of each boulder in percent of it, length required, and the sling to use."""

import math
from collections.abc import Iterator
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, ToFill
from pondkit.core.sentence import words
from pondkit.core.tables import gathered, rows_by_name
from pondkit.core.units import ANGLE, COUNT, LENGTH, MASS, RATIO, SHARE
from pondkit.trades.stone import cautions as rules
from pondkit.trades.stone import formulas as relations
from pondkit.trades.stone.inputs import Boulder, Rigging, Sling, Stone, in_order
from pondkit.trades.stone.results import SlingsResult, StoneResult

PLUMB = 90.0
ROUNDING = 1e-9
Stones = tuple[tuple[Boulder, float], ...]


@remembered
def slings(slings: tuple[Sling, ...], rigging: Rigging | None, stones: Stones) -> SlingsResult:
    """Figures of every sling with every boulder, at the boulder's high mass.

    Args:
        slings: Inputs of the slings, from their tags.
        rigging: Rigging of the stones; nothing is computed without it.
        stones: (boulder, its high mass [kg]) of each kind without problems.
    """
    if rigging is None:
        return SlingsResult((), (), (), (), (), None, 0.0, (), (_no_rigging(),))
    sound, problems = _sound(slings, rigging)
    uses, legs, lengths, chosen, lacking = [], [], [], [], []
    for boulder, mass in stones if sound else ():
        leg = _leg(boulder, rigging)
        length = _length(boulder, rigging, leg)
        trials = [(sling, *_use(boulder, mass, sling, rated, rigging, length.value)) for sling, rated in sound]
        legs.append(leg)
        lengths.append(length)
        uses += [use for _, use, _ in trials]
        good = [(sling, use) for sling, use, holds in trials if holds]
        if good:
            chosen.append(_to_use(boulder, good))
        else:
            lacking.append(rules.NO_SLING_HOLDS(boulder=boulder.name, mass=(mass, MASS)))
    count = None
    if sound and stones:
        count = entry(
            relations.boulders_no_sling,
            "",
            cautions=[*lacking, rules.STONE_LIFTING(), rules.SLINGS_INSPECTED()],
            kinds=len(stones),
            with_sling=len(chosen),
        )
    return SlingsResult(
        sling_rated=tuple(rated for _, rated in sound),
        sling_use=tuple(uses),
        leg_length=tuple(legs),
        sling_length_needed=tuple(lengths),
        sling_to_use=tuple(chosen),
        boulders_no_sling=count,
        limit=float(rigging.limit),
        hooks=tuple((leg.subject, _rise(leg.value, rigging)) for leg in legs),
        problems=tuple(problems),
        to_fill=tuple(_no_tag(index, sling) for index, sling in enumerate(slings) if sling.vertical is None),
    )


def _no_rigging() -> Problem:
    return Problem(
        ("stone", "rigging"),
        words("how the stones hang in the slings is not said"),
        words("hitch, number of slings and angle"),
        words("add the rigging, or remove the slings"),
    )


def _sound(slings: tuple[Sling, ...], rigging: Rigging) -> tuple[list[tuple[Sling, Entry]], list[Problem]]:
    """(sound slings with their rated capacities as rigged, problems of the others)."""
    if problems := list(_rigging_faults(rigging)):
        return [], problems
    sound: list[tuple[Sling, Entry]] = []
    for index, sling in enumerate(slings):
        if sling.vertical is None:
            continue  # to be filled in
        faults = list(_sling_faults(sling, index, rigging))
        problems += faults
        if not faults:
            sound.append((sling, _rated(sling, rigging)))
    return sound, problems


def _to_use(boulder: Boulder, good: list[tuple[Sling, Entry]]) -> Entry:
    """The narrowest of the slings that hold a boulder; of several, the least loaded."""
    best = min(good, key=lambda pair: (pair[0].width, pair[1].value))[0]
    return entry(
        relations.sling_to_use,
        f"{boulder.name} / {best.name}",
        source=USER,
        cautions=[rules.STONE_LIFTING(), rules.SLINGS_INSPECTED()],
        widths_that_hold=[sling.width for sling, _ in good],
    )


def _rated(sling: Sling, rigging: Rigging) -> Entry:
    """Rated capacity of a sound sling in its hitch; a printed rating is used unchanged."""
    printed = {"vertical": sling.vertical, "choker": sling.choker, "basket": sling.basket}[rigging.hitch]
    row = rows_by_name("trades/stone/hitches")[rigging.hitch]
    source = USER if printed is not None else f"{USER}; {row['source']}"
    share = _choker_reduction(sling, rigging) if rigging.hitch == "choker" else 1.0
    assert share is not None
    assert sling.vertical is not None
    return entry(
        relations.sling_rated,
        sling.name,
        source=source,
        cautions=[rules.SLINGS_INSPECTED()],
        tag_rating=sling.vertical if printed is None else printed,
        hitch_factor=float(row["share_of_vertical"]) if printed is None else 1.0,
        choker_reduction=share,
    )


def _choker_reduction(sling: Sling, rigging: Rigging) -> float | None:
    """Choker reduction at the choke angle; None if the maker's table does not cover it and the choke is tight."""
    reached = [row for row in sling.choke if row.angle_deg <= rigging.choke_angle_deg + ROUNDING]
    if reached:
        return float(max(reached, key=lambda row: row.angle_deg).share)
    least, _ = _least("choke angle at least")
    return 1.0 if rigging.choke_angle_deg >= least - ROUNDING and not sling.choke else None


def _leg(boulder: Boulder, rigging: Rigging) -> Entry:
    longest, middle, _ = in_order(boulder)
    high = 1 + boulder.axes_within
    if not _angled(rigging):
        return entry(relations.straight_length, boulder.name, source=USER, leg=rigging.hook_height)
    across = rigging.hitch == "basket" or rigging.legs > 2
    return entry(
        relations.leg_length,
        boulder.name,
        source=USER,
        lengthwise=longest * high * rigging.spread / 2 if rigging.legs > 1 else 0.0,
        crosswise=middle * high / 2 if across else 0.0,
        leg_angle=rigging.angle_deg,
    )


def _rise(leg: float, rigging: Rigging) -> float:
    """Height of the hook above the foot of a leg [m]."""
    return leg * math.sin(math.radians(rigging.angle_deg)) if _angled(rigging) else leg


def _length(boulder: Boulder, rigging: Rigging, leg: Entry) -> Entry:
    _, middle, shortest = in_order(boulder)
    if rigging.hitch == "vertical":
        return entry(relations.straight_length, boulder.name, source=USER, leg=leg)
    round_it: dict[str, Any] = {"middle": middle, "shortest": shortest, "axes_factor": 1 + boulder.axes_within}
    relation = relations.choker_length if rigging.hitch == "choker" else relations.basket_length
    return entry(relation, boulder.name, source=USER, leg=leg, **round_it)


def _use(
    boulder: Boulder, mass: float, sling: Sling, rated: Entry, rigging: Rigging, needed: float
) -> tuple[Entry, bool]:
    """(load of a sling by a boulder in percent of rated, with cautions; True if there are none)."""
    share = float(rigging.heavier_share)
    within = float(rigging.heavier_within)
    use = entry(
        relations.sling_use,
        f"{boulder.name} / {sling.name}",
        source=USER,
        high_mass=mass,
        load_share=Range(max(share * (1 - within), 0.5), share, min(share * (1 + within), 1.0), USER)
        if rigging.legs > 1
        else 1.0,
        sling_rated=rated.bare,
        leg_angle=rigging.angle_deg if _angled(rigging) else PLUMB,
    )
    span = (use.least - ROUNDING, use.value - ROUNDING, use.most - ROUNDING)
    against = [*rules.SLING_OVER_RATING.where(*span)]
    if not against:
        against += rules.SLING_OVER_LIMIT.where(*span, most=rigging.limit, limit=(rigging.limit, SHARE))
    if sling.length < needed - ROUNDING:
        against.append(rules.SLING_TOO_SHORT(length=(sling.length, LENGTH), needed=(needed, LENGTH)))
    if sling.count < rigging.legs:
        against.append(rules.SLINGS_TOO_FEW(count=(sling.count, COUNT), legs=(rigging.legs, COUNT)))
    if not sling.edge_protection:
        against.append(rules.SLING_UNPROTECTED())
    return with_cautions(use, *against, *_flat_legs(rigging)), not against


def _flat_legs(rigging: Rigging) -> tuple[Caution, ...]:
    """Cautions for flat legs: the stronger of two."""
    if not _angled(rigging):
        return ()
    angle = float(rigging.angle_deg)
    factor = 1 / math.sin(math.radians(angle))
    for rule in (rules.LEG_BELOW_45, rules.LEG_BELOW_60):
        assert rule.least is not None
        figures = {"angle": (angle, ANGLE), "kept": (rule.least, ANGLE), "factor": (factor, RATIO)}
        if angle < rule.least - ROUNDING:
            return (rule(None, **figures),)
    return ()


def _angled(rigging: Rigging) -> bool:
    """False for a single straight pull, which hangs vertically."""
    return rigging.legs > 1 or rigging.hitch == "basket"


def _least(name: str) -> tuple[float, str]:
    row = gathered("limits")[name]
    return float(row["value"]), row["source"]


def _rigging_faults(rigging: Rigging) -> Iterator[Problem]:
    least, source = _least("leg angle at least")
    if _angled(rigging) and rigging.angle_deg < least - ROUNDING:
        yield Problem(
            ("stone", "rigging", "angle_deg"),
            words("the legs hang at {angle} from the horizontal", angle=(rigging.angle_deg, ANGLE)),
            words(f"{{least}} or steeper ({source})", least=(least, ANGLE)),
            words("take longer slings, so that the legs stand steeper, or bring them nearer together"),
        )


def _no_tag(index: int, sling: Sling) -> ToFill:
    return ToFill(
        ("stone", "slings", index, "vertical"),
        words(
            "the vertical rating on its tag; without a legible tag the sling lifts nothing: take it out of use, and "
            "out of this list"
        ),
        words(f"what '{sling.name}' may hold, and its use by every boulder"),
    )


def _sling_faults(sling: Sling, index: int, rigging: Rigging) -> Iterator[Problem]:
    """Problems of ratings that no tag has, and of a choke that no table covers."""
    path: Path = ("stone", "slings", index)
    assert sling.vertical is not None
    for field, most in (("choker", sling.vertical), ("basket", sling.vertical * 2)):
        printed = getattr(sling, field)
        if printed is not None and printed > most * (1 + ROUNDING):
            yield Problem(
                (*path, field),
                words(f"a {field} rating of {{printed}}", printed=(printed, MASS)),
                words(
                    f"at most {{most}}, {'the' if field == 'choker' else 'twice the'} vertical rating",
                    most=(most, MASS),
                ),
                words("read the tag again"),
            )
    if rigging.hitch == "choker" and _choker_reduction(sling, rigging) is None:
        least, source = _least("choke angle at least")
        table = "the least angle in the maker's table" if sling.choke else f"{{least}} or more ({source})"
        end = min((row.angle_deg for row in sling.choke), default=least)
        yield Problem(
            (*path, "choke"),
            words("it is choked at {angle}", angle=(rigging.choke_angle_deg, ANGLE)),
            words(table + (", {least}" if sling.choke else ""), least=(end, ANGLE)),
            words("choke it less tightly, enter the maker's table for this sling, or take a basket"),
        )


def compute(stone: Stone | None, stones: StoneResult | None) -> SlingsResult | None:
    """The slings with every boulder; None if there are none. Inputs are compared by value, so that a stone's place
    changes nothing.
    """
    if stone is None or stones is None or not stone.slings:
        return None
    high = tuple((kind.boulder, kind.mass.most) for kind in stones.kinds)
    return slings(stone.slings, stone.rigging, high)
