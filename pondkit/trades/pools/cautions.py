"""Cautions of the pools: water and banks, tiers that the outline has no room for, the cut, the ground."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule
from pondkit.core.entry import limit
from pondkit.core.units import LENGTH

WAY_OUT_FROM, _ = limit("way out of a trench from", LENGTH)
PROTECTED_FROM, _ = limit("protective system from", LENGTH)
ENGINEERED_OVER, _ = limit("engineered cut above", LENGTH)

# --- water and banks ---

CHILDREN = CautionRule(
    "children",
    REMINDER,
    "max_depth",
    "Children drown in very shallow water, and in any of these pools: ask which barrier your local code wants (many "
    "codes: over 24 in), and keep a way out.",
)
OVER_DEPTH_LIMIT = CautionRule(
    "over_depth_limit",
    CHECK,
    "max_depth",
    "Deeper than the depth limit entered for this site, {limit}: a barrier may be called for; your local code decides.",
)
STEEP_BANK = CautionRule(
    "steep_bank",
    CHECK,
    "steepest_batter",
    "Steeper than 1 in 1: a person or an animal that falls in may not climb out; give a way out.",
    least=1.0,
)
TIER_IN_PART = CautionRule(
    "tier_in_part",
    CHECK,
    "zone_area",
    "Reaches {reached} of {drawn}: the outline is too narrow for its batters and shelves.",
)
TIER_NEVER_REACHED = CautionRule(
    "tier_never_reached", CHECK, "zone_area", "Never reached: the outline is used up at {reached}."
)
ONE_SIDE_MEASURED = CautionRule(
    "one_side_measured",
    CHECK,
    "surface_area",
    "Measured on one side of the baseline only: the outline closes straight from the last point to the first. Where "
    "the water reaches the baseline, add its ends with offset 0.",
)

# --- the cut ---

CUT_WAY_OUT = CautionRule(
    "cut_way_out",
    CHECK,
    "dig_depth",
    "Cut of 4 ft (1.2 m) or more: a way out within 25 ft of everyone in it (29 CFR 1926.651, secondary source).",
    most=WAY_OUT_FROM,
    reached=True,
)
CUT_PROTECTION = CautionRule(
    "cut_protection",
    ACT,
    "dig_depth",
    "Cut of 5 ft (1.5 m) or more: 29 CFR 1926 Subpart P calls for a protective system (slope, bench, shore) "
    "unless in stable rock; a competent person judges the soil, and local code decides.",
    most=PROTECTED_FROM,
    reached=True,
)
CUT_ENGINEERED = CautionRule(
    "cut_engineered",
    ACT,
    "dig_depth",
    "Cut of more than 20 ft (6.1 m): 29 CFR 1926 Subpart P asks for a registered engineer's design (secondary "
    "source); local code decides.",
    most=ENGINEERED_OVER,
)
FLOOR_ABOVE_GROUND = CautionRule(
    "floor_above_ground",
    ACT,
    "dig_depth",
    "The floor lies above the ground as it is: the pool would stand on fill.",
    least=0.0,
    reached=True,
)
CUT_IN_GROUNDWATER = CautionRule(
    "cut_in_groundwater",
    ACT,
    "dig_depth",
    "Groundwater may stand {over} over the floor of this dig: sides run and the floor goes soft. Have it drawn down or "
    "pumped out, by someone who knows how, before the floor is cut and until the pool is full; no liner on standing "
    "water. Local rules say where pumped water may go.",
    most=0.0,
)
GROUNDWATER_UNKNOWN = CautionRule(
    "groundwater_unknown",
    REMINDER,
    "dig_depth",
    "The groundwater's highest level is not entered (Site): water in the cut, and uplift of the liner when the pool is "
    "emptied, are not checked. Dig a trial hole and look after rain.",
)
STEEPER_THAN_SOIL = CautionRule(
    "steeper_than_soil",
    ACT,
    "steepest_dig_face",
    "Cut steeper than {allowed} horizontal to 1 vertical, the most for {soil} (type {slope_type}) where people "
    "work in the cut: {steepest} here. Under 5 ft (1.5 m) a competent person may find that it stands; from there on "
    "it is laid back, benched or shored. {source}. These slopes say nothing about how the bank stands in the long run.",
)
SEEPS_AS_TYPE_C = CautionRule(
    "seeps_as_type_c",
    CHECK,
    "steepest_dig_face",
    "The highest known groundwater stands above the dig's floor: seeping ground counts as type C, whatever the soil.",
)
MACHINE_FURTHER_BACK = CautionRule(
    "machine_further_back",
    REMINDER,
    "edge_set_back",
    "A machine stands further back from the cut than the setback worked out here wherever its maker, the ground or a "
    "competent person asks for it; nobody stands under the edge while it works there.",
)

# --- the ground ---

DIG_NOT_SURVEYED = CautionRule(
    "dig_not_surveyed",
    CHECK,
    "outside_survey",
    "Part of this dig lies outside the survey: there the ground is assumed to go on at the level of the survey's "
    "nearest edge. Measure it before you rely on this figure.",
)
BANK_ON_FILL = CautionRule(
    "bank_on_fill",
    CHECK,
    "rim_above_ground",
    "Part of the rim stands above the ground as it is: a bank must be built there, and filled ground settles.",
    most=0.01,
)
