"""Slings: their rated capacity as rigged, the load that each kind of boulder puts on them, the length that they need,
and the sling to use.
"""

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
from pondkit.trades.stone import formulas as rel
from pondkit.trades.stone.inputs import Boulder, Rigging, Sling, Stone, sorted_axes
from pondkit.trades.stone.results import SlingsResult, StoneResult

PLUMB = 90.0  # degrees
ROUNDING = 1e-9  # shares, angles and lengths nearer than this are equal
HighMasses = tuple[tuple[Boulder, float], ...]  # (inputs of a kind of boulder, high mass of one [kg])


def compute(stone: Stone | None, stones: StoneResult | None) -> SlingsResult | None:
    """The slings with every kind of boulder; None if no slings are entered.

    Args:
        stone: Inputs of the stone; None if the option has none.
        stones: Result of boulders and edging; None if the option has none.
    """
    if stone is None or stones is None or not stone.slings:
        return None
    return sling_figures(stone.slings, stone.rigging, tuple((kind.boulder, kind.mass.most) for kind in stones.kinds))


@remembered
def sling_figures(slings: tuple[Sling, ...], rigging: Rigging | None, boulders: HighMasses) -> SlingsResult:
    """Figures of every sling with every kind of boulder, at the boulder's high mass.

    Args:
        slings: Inputs of the slings.
        rigging: How the boulders are slung; without it nothing is computed but a problem.
        boulders: Kinds of boulder without problems.
    """
    if rigging is None:
        return SlingsResult(
            sling_rated=(),
            sling_use=(),
            leg_length=(),
            sling_length_needed=(),
            sling_to_use=(),
            boulders_no_sling=None,
            limit=0.0,
            hooks=(),
            problems=(_no_rigging(),),
        )
    rated_slings, problems = _rated_slings(slings, rigging)
    uses, legs, lengths, slings_to_use, no_sling_cautions = [], [], [], [], []
    for boulder, mass in boulders if rated_slings else ():
        leg = _leg(boulder, rigging)
        length = _length(boulder, rigging, leg)
        trials = [(sling, *_use(boulder, mass, sling, rated, rigging, length.value)) for sling, rated in rated_slings]
        legs.append(leg)
        lengths.append(length)
        uses += [use for _, use, _ in trials]
        usable = [(sling, use) for sling, use, is_usable in trials if is_usable]
        if usable:
            slings_to_use.append(_sling_to_use(boulder, usable))
        else:
            no_sling_cautions.append(rules.NO_SLING_HOLDS(boulder=boulder.name, mass=(mass, MASS)))
    count = None
    if rated_slings and boulders:
        count = entry(
            rel.boulders_no_sling,
            "",
            cautions=[*no_sling_cautions, rules.STONE_LIFTING(), rules.SLINGS_INSPECTED()],
            kinds=len(boulders),
            with_sling=len(slings_to_use),
        )
    return SlingsResult(
        sling_rated=tuple(rated for _, rated in rated_slings),
        sling_use=tuple(uses),
        leg_length=tuple(legs),
        sling_length_needed=tuple(lengths),
        sling_to_use=tuple(slings_to_use),
        boulders_no_sling=count,
        limit=float(rigging.limit),
        hooks=tuple((leg.subject, _hook_height(leg.value, rigging)) for leg in legs),
        problems=tuple(problems),
        to_fill=tuple(_no_tag(index, sling) for index, sling in enumerate(slings) if sling.vertical is None),
    )


def _no_rigging() -> Problem:
    return Problem(
        ("stone", "rigging"),
        words("no rigging is entered, so that the load on the slings is not known"),
        words("hitch, number of slings and angle of the legs"),
        words("add the rigging, or remove the slings"),
    )


def _rated_slings(slings: tuple[Sling, ...], rigging: Rigging) -> tuple[list[tuple[Sling, Entry]], list[Problem]]:
    """(slings without problems, each with its rated capacity as rigged; problems of the others). A sling whose tag is
    still to be read is in neither.
    """
    if problems := list(_rigging_faults(rigging)):
        return [], problems
    rated_slings: list[tuple[Sling, Entry]] = []
    for index, sling in enumerate(slings):
        if sling.vertical is None:
            continue  # to be filled in
        faults = list(_sling_faults(sling, index, rigging))
        problems += faults
        if not faults:
            rated_slings.append((sling, _rated(sling, rigging)))
    return rated_slings, problems


def _sling_to_use(boulder: Boulder, usable: list[tuple[Sling, Entry]]) -> Entry:
    """The narrowest of the slings that may lift a boulder; of equally narrow ones, the least loaded.

    Args:
        boulder: Inputs of the kind.
        usable: (sling, its load) of each that may lift it.
    """
    best = min(usable, key=lambda sling_and_load: (sling_and_load[0].width, sling_and_load[1].value))[0]
    return entry(
        rel.sling_to_use,
        f"{boulder.name} / {best.name}",
        source=USER,
        cautions=[rules.STONE_LIFTING(), rules.SLINGS_INSPECTED()],
        widths_that_hold=[sling.width for sling, _ in usable],
    )


def _rated(sling: Sling, rigging: Rigging) -> Entry:
    """Rated capacity of a sling without problems in the hitch chosen: the rating on its tag for that hitch, else a
    share of the vertical one.
    """
    printed = {"vertical": sling.vertical, "choker": sling.choker, "basket": sling.basket}[rigging.hitch]
    row = rows_by_name("trades/stone/hitches")[rigging.hitch]
    source = USER if printed is not None else f"{USER}; {row['source']}"
    reduction = _choker_reduction(sling, rigging) if rigging.hitch == "choker" else 1.0
    assert reduction is not None
    assert sling.vertical is not None
    return entry(
        rel.sling_rated,
        sling.name,
        source=source,
        cautions=[rules.SLINGS_INSPECTED()],
        tag_rating=sling.vertical if printed is None else printed,
        hitch_factor=float(row["share_of_vertical"]) if printed is None else 1.0,
        choker_reduction=reduction,
    )


def _choker_reduction(sling: Sling, rigging: Rigging) -> float | None:
    """Share of the choker rating that holds at the choke angle; None if the choke is tight and the maker's table does
    not cover it.
    """
    reached = [row for row in sling.choke if row.angle_deg <= rigging.choke_angle_deg + ROUNDING]
    if reached:
        return float(max(reached, key=lambda row: row.angle_deg).share)
    least, _ = _limit("choke angle at least")
    return 1.0 if rigging.choke_angle_deg >= least - ROUNDING and not sling.choke else None


def _leg(boulder: Boulder, rigging: Rigging) -> Entry:
    longest, middle, _ = sorted_axes(boulder)
    size_factor = 1 + boulder.axes_within
    if not _angled(rigging):
        return entry(rel.straight_length, boulder.name, source=USER, leg=rigging.hook_height)
    legs_from_both_sides = rigging.hitch == "basket" or rigging.legs > 2
    return entry(
        rel.leg_length,
        boulder.name,
        source=USER,
        lengthwise=longest * size_factor * rigging.spread / 2 if rigging.legs > 1 else 0.0,
        crosswise=middle * size_factor / 2 if legs_from_both_sides else 0.0,
        leg_angle=rigging.angle_deg,
    )


def _hook_height(leg: float, rigging: Rigging) -> float:
    """Height of the hook above where a leg of this length leaves the stone [m]."""
    return leg * math.sin(math.radians(rigging.angle_deg)) if _angled(rigging) else leg


def _length(boulder: Boulder, rigging: Rigging, leg: Entry) -> Entry:
    _, middle, shortest = sorted_axes(boulder)
    if rigging.hitch == "vertical":
        return entry(rel.straight_length, boulder.name, source=USER, leg=leg)
    girth: dict[str, Any] = {"middle": middle, "shortest": shortest, "axes_factor": 1 + boulder.axes_within}
    relation = rel.choker_length if rigging.hitch == "choker" else rel.basket_length
    return entry(relation, boulder.name, source=USER, leg=leg, **girth)


def _use(
    boulder: Boulder, mass: float, sling: Sling, rated: Entry, rigging: Rigging, needed: float
) -> tuple[Entry, bool]:
    """(load of a sling over its rated capacity, True if the sling may lift this boulder).

    Args:
        boulder: Inputs of the kind.
        mass: High mass of one boulder [kg].
        sling, rated: The sling and its rated capacity as rigged.
        rigging: How the boulders are slung.
        needed: Length that the sling needs [m].
    """
    share = float(rigging.heavier_share)
    within = float(rigging.heavier_within)
    use = entry(
        rel.sling_use,
        f"{boulder.name} / {sling.name}",
        source=USER,
        high_mass=mass,
        load_share=Range(max(share * (1 - within), 0.5), share, min(share * (1 + within), 1.0), USER)
        if rigging.legs > 1
        else 1.0,
        sling_rated=rated.bare,
        leg_angle=rigging.angle_deg if _angled(rigging) else PLUMB,
    )
    low_to_high = (use.least - ROUNDING, use.value - ROUNDING, use.most - ROUNDING)
    objections = [*rules.SLING_OVER_RATING.where(*low_to_high)]
    if not objections:
        objections += rules.SLING_OVER_LIMIT.where(*low_to_high, most=rigging.limit, limit=(rigging.limit, SHARE))
    if sling.length < needed - ROUNDING:
        objections.append(rules.SLING_TOO_SHORT(length=(sling.length, LENGTH), needed=(needed, LENGTH)))
    if sling.count < rigging.legs:
        objections.append(rules.SLINGS_TOO_FEW(count=(sling.count, COUNT), legs=(rigging.legs, COUNT)))
    if not sling.edge_protection:
        objections.append(rules.SLING_UNPROTECTED())
    return with_cautions(use, *objections, *_leg_angle_cautions(rigging)), not objections


def _leg_angle_cautions(rigging: Rigging) -> tuple[Caution, ...]:
    """The caution for flat legs: the graver of the two where both would do."""
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
    """False for a single straight pull, which hangs plumb."""
    return rigging.legs > 1 or rigging.hitch == "basket"


def _limit(name: str) -> tuple[float, str]:
    """(value in the unit of its row, source) of a limit by its name."""
    row = gathered("limits")[name]
    return float(row["value"]), row["source"]


def _rigging_faults(rigging: Rigging) -> Iterator[Problem]:
    """Problem of legs so flat that no lift is computed."""
    least, source = _limit("leg angle at least")
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
        words(f"the rated capacity of '{sling.name}', and its load with every boulder"),
    )


def _sling_faults(sling: Sling, index: int, rigging: Rigging) -> Iterator[Problem]:
    """Problems of ratings higher than any tag prints, and of a choke tighter than the maker's table covers."""
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
        least, source = _limit("choke angle at least")
        table = "the least angle in the maker's table" if sling.choke else f"{{least}} or more ({source})"
        end = min((row.angle_deg for row in sling.choke), default=least)
        yield Problem(
            (*path, "choke"),
            words("it is choked at {angle}", angle=(rigging.choke_angle_deg, ANGLE)),
            words(table + (", {least}" if sling.choke else ""), least=(end, ANGLE)),
            words("choke it less tightly, enter the maker's table for this sling, or use a basket hitch"),
        )
