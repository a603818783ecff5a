"""Cautions of liners and fabrics: size and load, seams and rolls, strips, pads and folds, the edge, groundwater."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule
from pondkit.core.entry import limit
from pondkit.core.units import LENGTH

TRENCH_DEPTH, TRENCH_SOURCE = limit("anchor trench depth at least", LENGTH)
TRENCH_WIDTH, _ = limit("anchor trench width at least", LENGTH)
TRENCH_BACK, _ = limit("anchor trench back at least", LENGTH)

# --- size and load ---

POOLS_WITHOUT_LINER = CautionRule("pools_without_liner", CHECK, "liner_area", "No liner covers: {names}.")
MEASURE_BEFORE_CUT = CautionRule(
    "measure_before_cut", REMINDER, "liner_area_order", "Measure the hole as it was dug before any liner is cut."
)
RULE_FALLS_SHORT = CautionRule(
    "rule_falls_short",
    CHECK,
    "rule_shortfall",
    "The rule of thumb falls short here by {short}: {lines} of {looked_at} lines measured over the surface are longer, "
    "as they go down more than once, or do not end at one straight edge.",
)
LIFT_LINER_TOGETHER = CautionRule(
    "lift_liner_together",
    REMINDER,
    "carriers",
    "Lifting: share the load, lift with the legs, and agree who gives the word; follow your local rules on manual "
    "handling.",
)
LINER_TOO_HEAVY = CautionRule(
    "liner_too_heavy",
    CHECK,
    "carriers",
    "More than four people would carry it: unroll it by machine, or order it in panels.",
)
PANEL_TOO_HEAVY = CautionRule(
    "panel_too_heavy",
    CHECK,
    "panel_carriers",
    "More than four people would carry it: unroll it by machine, or cut it smaller.",
)

# --- seams and rolls ---

SEAM_AT_LOWEST = CautionRule(
    "seam_at_lowest",
    ACT,
    "panel_count",
    "A seam crosses the lowest part of a pool, where it leaks most and is found last: turn the liner, or find wider "
    "stock.",
)
SEAM_UNDER_WATER = CautionRule(
    "seam_under_water",
    CHECK,
    "seam_depth",
    "It lies below the highest water: have it made by the maker's method, and test it before the fill.",
    most=1e-9,
)
SEAM_MEETS = CautionRule("seam_meets", CHECK, "panel_seam_depth", "It meets {what}: shift one of the two.")
JOINS_IN_ONE_LINE = CautionRule(
    "joins_in_one_line",
    ACT,
    "plan_cost",
    "Joins of strips that lie side by side line up, so that four layers meet: no order of these strips keeps "
    "them apart. Choose longer rolls, or shift one join by a lap and buy the length that this takes.",
)

# --- strips, fabric and pads ---

LAP_OVER_LOWER = CautionRule(
    "lap_over_lower",
    REMINDER,
    "link_strip_length",
    "Lap it over the lower liner and under the upper one, so that water runs from liner to liner and never behind.",
)
LINK_ON_ONE_LINER = CautionRule(
    "link_on_one_liner",
    CHECK,
    "liner_area",
    "This liner itself lies under {links}, so that no strip is ordered: see that it follows the bed and is turned up "
    "on both sides.",
)
CHANNEL_WITHOUT_LENGTH = CautionRule(
    "channel_without_length",
    CHECK,
    "link_strip_length",
    "The channel's length is not entered: the strip runs straight from the crest to the lower waterline, and one that "
    "winds takes more.",
)
CHANNEL_TOO_SHORT = CautionRule(
    "channel_too_short",
    CHECK,
    "link_strip_length",
    "The channel as entered is shorter than the straight way from its crest to the lower waterline, which is counted "
    "instead: enter its whole length, or move the crest.",
)
CHANNEL_WITHOUT_BANK = CautionRule(
    "channel_without_bank",
    CHECK,
    "link_strip_width",
    "The height of the channel's bank is not entered: its sides are counted only as high as the water that runs in it; "
    "enter the bank before you cut.",
)
CHANNEL_WITHOUT_SIDES = CautionRule(
    "channel_without_sides",
    ACT,
    "link_strip_width",
    "The height of the channel's bank is not entered, and how deep it runs is not known: its sides are not counted, so "
    "the strip is too narrow; enter the bank before you cut.",
)
FABRIC_JOINED = CautionRule(
    "fabric_joined",
    CHECK,
    "underlay_area_order",
    "A strip is longer than a roll: join its parts end to end with the lap of the fabric, or sew them, lower part "
    "first.",
)
FABRIC_NOT_LEAST = CautionRule(
    "fabric_not_least",
    CHECK,
    "underlay_rolls",
    "This may not be the least: as few as {least} may be enough; lay the pads out by hand before you buy.",
)
PADS_WITHOUT_FABRIC = CautionRule(
    "pads_without_fabric", CHECK, "pad_area", "No fabric is entered that the pads could be cut from."
)
FABRIC_SLOWS_CLAWS = CautionRule(
    "fabric_slows_claws",
    CHECK,
    "burrow_pad_area",
    "Fabric slows claws and roots, it does not stop them: ask what the animals dig through, and lay mesh, stone or "
    "concrete over it where they do (common practice, no source). Lay it under the gravel, over the liner, its edges "
    "weighted. This is the net area: the rolls count its pieces with laps and margin.",
)
FOLDS = CautionRule(
    "folds",
    REMINDER,
    "rim_fold",
    "Lay the folds flat, all one way, where no water runs over them and no stone stands on them.",
)

# --- the edge ---

EDGE_TOO_SHORT = CautionRule(
    "edge_too_short",
    ACT,
    "edge_spare",
    "The edge is too short to be turned up as high as this: soil that touches the liner's upper side draws water over "
    "it. Make the edge longer.",
)
SOIL_OVER_EDGE = CautionRule(
    "soil_over_edge",
    ACT,
    "edge_above_soil",
    "Soil beside the rim stands {under} over the liner's upper edge at {east} east, {north} north, where it is "
    "highest: it draws and washes water over it. Turn the liner up higher, raise the rim, or take the soil away there, "
    "falling from the pool.",
    least=-1e-9,
)
SERVICES_AT_ANCHOR = CautionRule(
    "services_at_anchor",
    REMINDER,
    "trench_volume",
    "Have buried services located before any dig (in the USA about two working days ahead).",
)
ONE_ANCHOR_TRENCH = CautionRule(
    "one_anchor_trench",
    CHECK,
    "trench_volume",
    "One trench goes round all pools of this liner, and none between them, where the liner runs on: from one pool to "
    "the next its bottom changes from the level beside one rim to that beside the other (common practice, no source).",
)
ANCHOR_SHALLOW = CautionRule(
    "anchor_shallow",
    CHECK,
    "trench_volume",
    f"The anchor trench is {{has}} deep, less than the {{least}} that {TRENCH_SOURCE} asks for.",
)
ANCHOR_NARROW = CautionRule(
    "anchor_narrow",
    CHECK,
    "trench_volume",
    f"The anchor trench is {{has}} wide, less than the {{least}} that {TRENCH_SOURCE} asks for.",
)
ANCHOR_NEAR_RIM = CautionRule(
    "anchor_near_rim",
    CHECK,
    "trench_volume",
    f"The anchor trench is {{has}} back from the rim, less than the {{least}} that {TRENCH_SOURCE} asks for.",
)

# --- groundwater ---

LINER_LIFTS = CautionRule(
    "liner_lifts",
    ACT,
    "liner_uplift",
    "Groundwater lifts the liner when the pool is empty: never empty it while the groundwater stands this high; drain "
    "it from below first, or hold the liner down. Stones hold it only where they stand, and are not counted here.",
)
FACES_WITHOUT_GRAVEL = CautionRule(
    "faces_without_gravel",
    ACT,
    "liner_uplift",
    "No gravel lies on the faces: at the foot of the lowest, groundwater pushes with {head} of water behind the empty "
    "pool's liner, and it comes off the ground there; gravel and stones on level parts do not hold it.",
)
LIFTS_BETWEEN_STONES = CautionRule(
    "lifts_between_stones",
    CHECK,
    "stone_holds",
    "A stone holds the liner only where it stands: between the stones, and on every other floor, the liner lifts all "
    "the same. No other figure of uplift counts it.",
)
STONES_WITHOUT_PLACE = CautionRule(
    "stones_without_place",
    CHECK,
    "stone_holds",
    "{count} of the boulders have no place on the plan: they are counted as if they stood where groundwater pushes.",
)
