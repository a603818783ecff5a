"""Cautions of stone: boulders and edging, the ground under them, slings."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule
from pondkit.core.entry import limit
from pondkit.core.units import ANGLE

STONE_LIFTING = CautionRule(
    "stone_lifting",
    REMINDER,
    "boulder_mass",
    "Before any lift: weigh the stone, or plan by the high figure. Slings by the rating on their tags, the machine "
    "by its own rated chart on firm, level ground, nobody under or beside a hanging load. Lifting is for trained "
    "people, licensed where local law asks for it.",
)
STONE_AT_WATER = CautionRule(
    "stone_at_water",
    REMINDER,
    "boulder_mass",
    "Set at the water: a wet or undercut bank may give way under machine and stone; "
    "let a competent person judge it first.",
)
STONE_ON_SOFT_GROUND = CautionRule(
    "stone_on_soft_ground",
    CHECK,
    "boulder_mass",
    "Soft or loose ground ({soil}): it may not carry machine and stone; have its bearing judged, "
    "and spread the load under both.",
)
STONE_AXES_ORDER = CautionRule(
    "stone_axes_order",
    CHECK,
    "boulder_volume",
    "Length, width and height are not entered as longest, middle, shortest; taken as {longest}, {middle}, {shortest}.",
)
STONE_OVER_ITS_BOX = CautionRule(
    "stone_over_its_box",
    CHECK,
    "boulder_volume",
    "By its middle axis alone the stone would hold {volume}, more than its box of {box}: "
    "choose another form, or measure again.",
)
STONE_OUTSIDE_WATERLINE = CautionRule(
    "stone_outside_waterline",
    CHECK,
    "boulder_displaced",
    "{out} of {placed} places lie outside the waterline of '{pool}': a stone there displaces none of its water.",
)
STONES_OVERLAP = CautionRule(
    "stones_overlap",
    ACT,
    "boulders_overlapping",
    "They overlap however they are turned: {pairs}. Move one of each pair, or enter which rests on the other.",
)
STONES_MAY_OVERLAP = CautionRule(
    "stones_may_overlap",
    CHECK,
    "boulders_overlapping",
    "They overlap as drawn, at the sizes entered and with their longest sides eastward: {pairs}. Turn them on site, "
    "or move them apart.",
)
ROW_FILLS_NECK = CautionRule(
    "row_fills_neck",
    CHECK,
    "edging_count",
    "The pool has a neck that the row fills from both sides, and its centre line stops short there: "
    "count the stones of the neck by hand.",
)
ROW_ABOVE_FLOOR = CautionRule(
    "row_above_floor",
    CHECK,
    "edging_displaced",
    "Its base lies {gap} above the floor of the first tier: what is laid under it is not counted.",
)
ROW_OVER_FACE = CautionRule(
    "row_over_face",
    ACT,
    "edging_displaced",
    "It is wider than the face and shelf of the first tier together, {wide}: part of it stands over the next face.",
)

# The ground under the stones
BEARING_GROUND = CautionRule(
    "bearing_ground",
    REMINDER,
    "bearing_allowed",
    "A presumptive pressure holds for undisturbed ground, not for mud, organic soil or fresh fill; a tested one only "
    "where the ground was tested. Settlement, frost and the slope as a whole are not checked; local code and a "
    "geotechnical engineer decide.",
)
STONES_STACKED = CautionRule(
    "stones_stacked",
    CHECK,
    "bearing_load",
    "Stones rest on stones: whether the stack stands firm is not checked; chock it, and let nobody climb it before "
    "that. The stones on top are taken to be shared evenly among those under them.",
)
BEARING_EXCEEDED = CautionRule(
    "bearing_exceeded",
    ACT,
    "bearing_use",
    "Not to be set so: with the least contact the pressure on the ground is {pressure} where {allowed} is allowed; "
    "{needed} of bedding would be enough.",
    most=1.0,
)
STONE_ALONG_SHELF = CautionRule(
    "stone_along_shelf",
    REMINDER,
    "shelf_spare",
    "This is for a stone laid lengthwise along its shelf. The slope under the shelf is not checked: it may slide with "
    "the stone, however far back that stands.",
)
STONE_NEAR_FRONT = CautionRule(
    "stone_near_front",
    ACT,
    "shelf_spare",
    "Too near the front, where the ground falls away: move it back by {short}, or it may break away under the stone.",
    least=0.0,
)
BED_IN_FACE = CautionRule(
    "bed_in_face",
    ACT,
    "bed_level",
    "Stone and bed reach {short} into the face behind: move the stone forward, or cut a seat into the face, which "
    "is not in the dig.",
)
STONE_ON_FACE = CautionRule(
    "stone_on_face",
    ACT,
    "stand_spare",
    "It lies on a face of '{pool}', where a stone slides or rolls: set it on a level part, or widen the shelf "
    "under it.",
)
SHELF_TOO_NARROW = CautionRule(
    "shelf_too_narrow",
    ACT,
    "stand_spare",
    "The {part} of '{pool}' is narrower than the stone: widen it, take a narrower stone, or set it elsewhere.",
    least=0.0,
)
STONE_OVER_FRONT = CautionRule(
    "stone_over_front",
    ACT,
    "stand_spare",
    "It overhangs the front of its shelf in '{pool}' by {short}: move it back by as much at least, or the front "
    "breaks away and the stone tips.",
)
STONE_IN_FACE = CautionRule(
    "stone_in_face",
    ACT,
    "stand_spare",
    "It reaches {short} into the face behind, in '{pool}': move it forward, or cut a seat into the face, which "
    "is not in the dig.",
)

# Slings
SLINGS_INSPECTED = CautionRule(
    "slings_inspected",
    REMINDER,
    "sling_rated",
    "Inspect every sling before each use: one with its tag missing or unreadable, cuts, holes, burns, melting or "
    "broken stitching lifts nothing (WAC 296-155-55820, table 25). No knots, no kinks, no jerks, no dragging from "
    "under a resting stone; try the lift a hand's breadth high first. A qualified rigger and local rules decide.",
)
LEG_BELOW_60 = CautionRule(
    "leg_below_60",
    CHECK,
    "sling_use",
    "Legs at {angle}: the tension is {factor} times that of a straight pull, and rises fast with every degree "
    "below {kept}. Measure the angle at the first try; take longer slings if it is less.",
    least=limit("leg angle without caution", ANGLE)[0],
)
LEG_BELOW_45 = CautionRule(
    "leg_below_45",
    ACT,
    "sling_use",
    "Legs at {angle}, flatter than the {kept} that they should keep: the tension is {factor} times that of a "
    "straight pull. Take longer slings, unless a qualified rigger has planned this lift.",
    least=limit("leg angle to keep", ANGLE)[0],
)
SLING_OVER_RATING = CautionRule(
    "sling_over_rating",
    ACT,
    "sling_use",
    "Over the sling's rating: this lift is not to be made with it.",
    most=1.0,
)
SLING_OVER_LIMIT = CautionRule("sling_over_limit", CHECK, "sling_use", "Over your own limit of {limit}.")
SLING_TOO_SHORT = CautionRule(
    "sling_too_short",
    ACT,
    "sling_use",
    "Too short: {length} where {needed} is needed; the legs would hang flatter than the angle entered.",
)
SLINGS_TOO_FEW = CautionRule(
    "slings_too_few", ACT, "sling_use", "Only {count} at hand of the {legs} slings that a lift takes."
)
SLING_UNPROTECTED = CautionRule(
    "sling_unprotected",
    ACT,
    "sling_use",
    "No edge protection: rock cuts a loaded sling; do not lift without it.",
)
NO_SLING_HOLDS = CautionRule(
    "no_sling_holds",
    ACT,
    "boulders_no_sling",
    "'{boulder}', up to {mass}: none of the slings may lift it as rigged; do not lift it with them.",
)
