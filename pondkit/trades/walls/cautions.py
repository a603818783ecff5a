"""Cautions of dry-stacked walls: joints that fail, heights at which codes ask for more, what is not checked."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule
from pondkit.core.entry import limit
from pondkit.core.units import LENGTH

WALL_OVERALL = CautionRule(
    "wall_overall",
    REMINDER,
    "wall_height",
    "Overall stability is not checked: the slope that wall, backfill and ground make together, settlement, frost, soil "
    "washing out between the stones. Tiers nearer than twice the height of the lower one count as one wall. Local "
    "code and an engineer decide.",
)
WALL_BACKFILLED_FIRST = CautionRule(
    "wall_backfilled_first",
    REMINDER,
    "walls_unsafe",
    "Never load the ground behind a wall before its backfill is in and drained; nobody in front of it while it is "
    "stacked.",
)
WALL_GROUND = CautionRule(
    "wall_ground",
    REMINDER,
    "toe_pressure",
    "Compared with the pressure that undisturbed ground may bear: not mud, organic soil or fresh fill. Settlement "
    "and frost are not checked; local code and a geotechnical engineer decide.",
)
WALL_UNSAFE = CautionRule(
    "wall_unsafe",
    ACT,
    "walls_unsafe",
    "'{wall}' does not hold at the joint under course {course}: see its figures.",
)
WALL_TIPS = CautionRule(
    "wall_tips", ACT, "wall_overturning", "Less than {required}: the wall above this joint may tip over its toe."
)
WALL_SLIDES = CautionRule(
    "wall_slides", ACT, "wall_sliding", "Less than {required}: the wall above this joint may slide."
)
WALL_LIFTED = CautionRule(
    "wall_lifted", ACT, "wall_sliding", "Water under the joint lifts more than the wall above it weighs."
)
WALL_FRICTION_AND_ADHESION = CautionRule(
    "wall_friction_and_adhesion",
    CHECK,
    "wall_sliding",
    "Friction and adhesion are added: IBC table 1806.2 gives friction for sand and gravel, adhesion for clay; both "
    "at once only where both were tested.",
)
WALL_JOINT_OPENS = CautionRule(
    "wall_joint_opens",
    ACT,
    "wall_eccentricity",
    "The resultant lies outside the middle third, {third} from the middle: the joint opens on the other side.",
)
WALL_FALLS = CautionRule(
    "wall_falls", ACT, "wall_eccentricity", "The resultant leaves the joint: the wall above it falls."
)
WALL_PRESSES = CautionRule(
    "wall_presses",
    ACT,
    "toe_pressure",
    "More than the {allowed} that the ground may bear ({source}): widen the base, or set it on bedding.",
)
WALL_DESIGN_ASKED = CautionRule(
    "wall_design_asked",
    CHECK,
    "wall_height",
    "Over {limit} a design is asked for ({source}).",
    most=limit("wall designed above", LENGTH)[0],
)
WALL_PERMIT_ASKED = CautionRule(
    "wall_permit_asked",
    CHECK,
    "wall_height",
    "Over {limit}, measured from the bottom of the footing, a permit is asked for ({source}).",
    most=limit("wall permit above", LENGTH)[0],
)
WALL_NOT_EXEMPT = CautionRule(
    "wall_not_exempt",
    CHECK,
    "wall_height",
    "With a surcharge or a slope behind it no height is exempt from a permit (IBC 105.2, IRC R105.2, secondary "
    "source).",
)
WALL_WITHOUT_LENGTH = CautionRule(
    "wall_without_length",
    CHECK,
    "wall_height",
    "Neither its line nor its length is entered: its stone is not in the order.",
)
WALL_STONE_FITS = CautionRule(
    "wall_stone_fits",
    REMINDER,
    "wall_stone_order",
    "Ask for stone that can be laid in courses of the heights entered, and for more than this where it is dressed on "
    "site, as chips are lost.",
)
WALL_STONE_LACKS = CautionRule(
    "wall_stone_lacks",
    CHECK,
    "total_wall_stone_order",
    "Not counted, as neither line nor length is entered: {walls}.",
)
WALL_ROCK_NOT_NAMED = CautionRule(
    "wall_rock_not_named",
    CHECK,
    "wall_stone_order",
    "Counted with the density entered for the walls, which is the least: no rock is named with the stone that would "
    "give a higher one.",
)
