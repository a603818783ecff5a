"""Cautions of the animals' requirements, each at the figure that fails."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule

PROTECTED_KINDS = CautionRule(
    "protected_kinds",
    REMINDER,
    "demands_failed",
    "Protected kinds: to disturb, catch or keep them, or to build, open or close their burrows and holts, can be an "
    "offence. Ask the wildlife authority and someone who knows the species before you build.",
)
DEMANDS_ARE_YOURS = CautionRule(
    "demands_are_yours",
    REMINDER,
    "demands_failed",
    "The requirements are your own: no standard gives them, and none is shipped here.",
)
NOT_CHECKED = CautionRule("not_checked", CHECK, "demands_not_checked", "Not checked: {what}, because {why}.")
SOME_NOT_CHECKED = CautionRule(
    "some_not_checked",
    CHECK,
    "total_demands_failed",
    "{count} more requirements could not be checked: they are neither met nor failed.",
)

BORE_TOO_NARROW = CautionRule(
    "bore_too_narrow", ACT, "demand_bore", "Fails the brief: narrower than the clear way wanted.", least=0.0
)
SWIM_TOO_LONG = CautionRule(
    "swim_too_long", ACT, "demand_swim", "Fails the brief: the swim is longer than allowed.", least=0.0
)
DEEP_AREA_TOO_SMALL = CautionRule(
    "deep_area_too_small", ACT, "demand_area", "Fails the brief: too little area of the depth wanted.", least=0.0
)
WATER_TOO_SHALLOW = CautionRule(
    "water_too_shallow", ACT, "demand_depth", "Fails the brief: too shallow at the deepest place.", least=0.0
)
BANK_TOO_STEEP = CautionRule("bank_too_steep", CHECK, "demand_bank", "Too steep to be a way out all round.", least=0.0)
TOO_FEW_WAYS_OUT = CautionRule(
    "too_few_ways_out", ACT, "demand_ways_out", "Fails the brief: too few ways out that count.", least=0.0
)
WAY_OUT_TOO_STEEP = CautionRule(
    "way_out_too_steep",
    CHECK,
    "demand_ways_out",
    "'{name}' does not count as a way out: {slope} to 1 on {surface} is too steep.",
)
WAY_OUT_TOO_FAR = CautionRule(
    "way_out_too_far",
    CHECK,
    "demand_ways_out",
    "'{name}' does not count as a way out: its place lies {off} from the waterline of {pool}, and you allow "
    "{most_allowed} at most.",
)
ENTRANCE_MISPLACED = CautionRule(
    "entrance_misplaced",
    ACT,
    "demand_entrance",
    "Fails the brief: the mouth is not deep enough below the lowest water, or not above the highest.",
    least=0.0,
)
TOO_FEW_EXITS = CautionRule(
    "too_few_exits", ACT, "demand_exits", "Fails the brief: too few mouths to the den.", least=0.0
)
DEN_TOO_WET = CautionRule(
    "den_too_wet",
    ACT,
    "demand_dry",
    "Fails the brief: the den floor is not high enough above the highest water.",
    least=0.0,
)
FENCE_TOO_SMALL = CautionRule(
    "fence_too_small", ACT, "demand_fence", "Fails the brief: the fence is smaller than wanted.", least=0.0
)
MOUTH_UNDER_ICE_TOO_LOW = CautionRule(
    "mouth_under_ice_too_low",
    ACT,
    "demand_ice",
    "Fails the brief: ice leaves too little of the mouth open. Set the mouth deeper, under the ice at the "
    "lowest water.",
    least=0.0,
)
ICE_IN_MOUTH = CautionRule(
    "ice_in_mouth",
    CHECK,
    "mouth_clear_of_ice",
    "At some water level ice reaches into this mouth: animals may be shut in, or out.",
)
