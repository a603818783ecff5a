"""Cautions of the earthwork: excavations, stream beds, soil, stone in trucks, levels, setting out, as-built survey."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule

# --- excavations besides the pools ---

TRENCH_PROTECTION = CautionRule(
    "trench_protection",
    ACT,
    "pipe_trench_volume",
    "{deep} deep at most: from 5 ft (1.5 m) on 29 CFR 1926 Subpart P calls for a protective system (slope, bench, "
    "shore) unless in stable rock, and for less where cave-in threatens; the sides that this volume is counted with "
    "are no such system. A competent person judges the soil, and local code decides.",
)
TRENCH_WAY_OUT = CautionRule(
    "trench_way_out",
    CHECK,
    "pipe_trench_volume",
    "{deep} deep at most: from 4 ft (1.2 m) on a ladder, steps or ramp stands within 25 ft of everyone in it (29 CFR "
    "1926.651, secondary source).",
)
TRENCH_ENGINEERED = CautionRule(
    "trench_engineered",
    ACT,
    "pipe_trench_volume",
    "{deep} deep at most: over 20 ft (6.1 m) 29 CFR 1926 Subpart P asks for a registered engineer's design (secondary "
    "source); local code decides.",
)
UPRIGHT_SIDES = CautionRule(
    "upright_sides",
    CHECK,
    "pipe_trench_volume",
    "Counted with upright sides: laid back or shored it takes more. Keep spoil 2 ft back from the edge.",
)
SERVICES_BEFORE_DIG = CautionRule(
    "services_before_dig",
    REMINDER,
    "pool_dig_volume",
    "Before any dig: have buried services located (in the USA about two working days ahead), and keep spoil 2 ft "
    "back from the edge.",
)
EXCAVATION_NOT_SURVEYED = CautionRule(
    "excavation_not_surveyed",
    CHECK,
    "pipe_trench_volume",
    "Part of it lies outside the survey, where the ground is only assumed to go on level: measure it there before "
    "you rely on this figure.",
)
HOLE_IN_GROUNDWATER = CautionRule(
    "hole_in_groundwater",
    ACT,
    "body_hole_volume",
    "Groundwater may stand {over} over the bottom of this hole: pump it out while it is open, and hold an empty body "
    "down, or it floats.",
    most=0.0,
)
TRENCH_IN_GROUNDWATER = CautionRule(
    "trench_in_groundwater",
    ACT,
    "pipe_trench_volume",
    "Groundwater may stand {over} over the bottom of this trench: its sides run; pump it out while it is open, and "
    "hold empty pipe and boxes down.",
    most=0.0,
)
BED_IN_GROUNDWATER = CautionRule(
    "bed_in_groundwater",
    ACT,
    "link_dig_volume",
    "Groundwater may stand {over} over the lowest part of this bed: its sides run, and it lifts the liner until there "
    "is water on it.",
    most=0.0,
)
HOLE_IN_POOL_DIG = CautionRule(
    "hole_in_pool_dig",
    CHECK,
    "body_hole_volume",
    "Its hole cuts into the dig of {pools}: before the dig, settle how the liner is led under it or round it.",
)
COMES_LOOSE = CautionRule(
    "comes_loose",
    REMINDER,
    "seat_order",
    "Counted compacted: crushed stone comes loose and takes more room in the truck.",
)

# --- stream beds ---

BED_LINE_STRAIGHT = CautionRule(
    "bed_line_straight",
    CHECK,
    "link_dig_volume",
    "Its line is taken straight, from the crest to the nearest place of the lower waterline: enter places of its line "
    "where it bends.",
)
BED_EVEN_SLOPE = CautionRule(
    "bed_even_slope",
    CHECK,
    "link_dig_volume",
    "Counted as an even slope from the crest to the lower waterline: what the bedding of its stones and steps takes "
    "beyond that is not.",
)
BED_LENGTH_DIFFERS = CautionRule(
    "bed_length_differs",
    CHECK,
    "link_dig_volume",
    "Its length is entered as {given}, and its line from the crest is drawn {drawn} long: draw its bends as places of "
    "its line.",
    most=0.1,
)
BED_ON_FILL = CautionRule(
    "bed_on_fill",
    REMINDER,
    "link_bank_volume",
    "Filled ground settles, and a bed on it leaks where it does: build it of clean soil, compacted in layers, before "
    "the bed is cut into it.",
)
BED_WITHOUT_BANKS = CautionRule(
    "bed_without_banks",
    CHECK,
    "link_bank_volume",
    "No bank height is entered: only the fill under its bed is counted, not the banks beside it.",
)
BED_WITHOUT_CREST = CautionRule(
    "bed_without_crest",
    CHECK,
    "link_bank_volume",
    "No bank is counted outside its sides: enter the crest of the bank (Earth), which banks round the pools have too.",
)
BED_BANK_HIGH = CautionRule(
    "bed_bank_high",
    CHECK,
    "link_bank_volume",
    "A bank of {tall} under or beside a bed: from 1 m on, fill slides and settles (limit: common practice, no "
    "source). Local code and an engineer decide how it is built and held.",
)

# --- soil: berm, banks, machine, trucks ---

KEEP_BACK = CautionRule(
    "keep_back",
    REMINDER,
    "machine_time",
    "Keep spoil, trucks and machine back from the edge of the cut: spoil at least 2 ft (29 CFR 1926 Subpart P, "
    "secondary source); local code and a competent person decide.",
)
SOIL_MAY_LACK = CautionRule(
    "soil_may_lack",
    CHECK,
    "left_bank",
    "If the soil shrinks more, or the banks come out larger, the bank to build takes up to {short} more than is dug: "
    "settle where more soil would come from.",
    least=0.0,
)
BERM_MAY_LACK = CautionRule(
    "berm_may_lack",
    CHECK,
    "berm_volume",
    "If the soil shrinks more, or the banks come out larger, the spoil is up to {short} short of this berm: build it "
    "last, as high as the soil goes.",
    least=0.0,
)
BERM_UPRIGHT_ENDS = CautionRule(
    "berm_upright_ends",
    CHECK,
    "berm_volume",
    "Its ends are counted upright: loose soil does not stand so; enter a slope of ends, or hold them by stone.",
)
BERM_IN_REACH = CautionRule(
    "berm_in_reach",
    REMINDER,
    "berm_height_allowed",
    "Leave lids, valves and the pump's plug in reach, and the berm's foot outside the liner's edge: soil over the edge "
    "draws water out.",
)
BERM_SETTLES = CautionRule(
    "berm_settles",
    REMINDER,
    "berm_volume",
    "A berm settles: compact it in layers. Its weight by an edge, a wall or a neighbour's ground needs an engineer's "
    "word.",
)
BERM_RIM_UNKNOWN = CautionRule(
    "berm_rim_unknown",
    CHECK,
    "berm_volume",
    "It lies round the {name}, whose rim is not entered: keep its lids and valves in reach.",
)
BERM_MAY_SPREAD = CautionRule(
    "berm_may_spread",
    CHECK,
    "berm_top",
    "If the spoil comes out at its high end, the berm would be so high that its sides do not meet the ground within "
    "reach: stop at {top}, and haul the rest.",
)
BANK_HOLDS_WATER = CautionRule(
    "bank_holds_water",
    CHECK,
    "outer_bank_volume",
    "A bank that holds water is built of soil that packs, keyed into stripped ground and compacted in layers, and "
    "settles; a high one, or one over a path or a neighbour, needs an engineer's word. Local code decides.",
)
BANK_MAY_SPREAD = CautionRule(
    "bank_may_spread",
    CHECK,
    "total_outer_bank",
    "Built flatter by the share entered, a bank would not meet the ground within reach: the high end of this figure "
    "is that of the slope as entered.",
)
TRUCK_PLATE = CautionRule(
    "truck_plate", REMINDER, "truck_loads", "Load no truck past its plate, nor past what the road and the way in carry."
)

# --- stone in trucks ---

STONE_DRY = CautionRule(
    "stone_dry", REMINDER, "class_mass", "Counted dry: wet gravel and bedding weigh more; go by the first weigh ticket."
)
ON_THE_BED = CautionRule(
    "on_the_bed",
    REMINDER,
    "pieces_per_load",
    "Counted by mass alone: how many lie safely on the truck's bed, chocked and tied down, is for the haulier to say.",
)
NO_TRUCK = CautionRule(
    "no_truck", CHECK, "class_mass", "No truck is entered (Earth): how many loads this makes is not worked out."
)
STONE_OVER_PAYLOAD = CautionRule(
    "stone_over_payload",
    ACT,
    "pieces_per_load",
    "One of these may weigh {mass}, more than the truck's payload of {payload}: no load of this truck takes it. "
    "Order a truck whose plate and axles do, and ask what road and way in carry.",
)
STONE_OVER_VOLUME = CautionRule(
    "stone_over_volume",
    ACT,
    "pieces_per_load",
    "One of these may take {loose} in the truck, more than its volume of {volume}: order a larger truck, and enter it "
    "(Earth).",
)

# --- levels to dig by ---

DIG_ORDER = CautionRule(
    "dig_order",
    REMINDER,
    "height_of_instrument",
    "Order of digging: pools from the highest rim down, each from its rim inward; then holes of bodies and walls, "
    "anchor trenches, pits of dens, trenches of pipe, stream beds, crests (common practice, no source).",
)
READ_BENCHMARK_AGAIN = CautionRule(
    "read_benchmark_again",
    REMINDER,
    "height_of_instrument",
    "Read the benchmark again at the end: if it does not read the same, the instrument has moved.",
)
ROD_UPSIDE_DOWN = CautionRule(
    "rod_upside_down",
    CHECK,
    "cut_to_level",
    "A reading below 0: only a rod held upside down reads so; check its sign before anything is dug by it.",
)
OVER_LINE_OF_SIGHT = CautionRule(
    "over_line_of_sight",
    ACT,
    "rod_dig",
    "Over the line of sight: the instrument must stand higher for this level.",
    least=0.0,
)
CUT_OR_FILL = CautionRule("cut_or_fill", CHECK, "cut_to_level", "{do}: outside the tolerance of {by} up and down.")
CREST_STONE_MISSING = CautionRule(
    "crest_stone_missing",
    CHECK,
    "finished_level",
    "The dig lies lower than this, by the thickness of the crest stone and its bed: enter that at the link, and the "
    "level to dig to is listed too.",
)
CREST_ON_FIRM_GROUND = CautionRule(
    "crest_on_firm_ground",
    REMINDER,
    "dig_level",
    "Under a crest stone: firm ground, or bank compacted in layers; a lip that settles at one end takes all the water "
    "there (common practice, no source).",
)
SIDES_MAY_FALL = CautionRule(
    "sides_may_fall",
    REMINDER,
    "dig_level",
    "A trench or hole: sides that stand by themselves today may fall; nobody stands in it without the slope or "
    "support that local code asks for.",
)
BED_DUG_LAST = CautionRule(
    "bed_dug_last",
    REMINDER,
    "dig_level",
    "Levels of a stream bed are of the bed as dug, before liner, fabrics and stones; it falls evenly from one to the "
    "next. Dig its lower end last, from the pool's side.",
)

# --- setting out ---

TAPE_STAKES_FIRST = CautionRule(
    "tape_stakes_first",
    REMINDER,
    "baseline_length",
    "Tape the distance from stake to stake first: everything else depends on it.",
)
TAPE_LEVEL = CautionRule(
    "tape_level",
    REMINDER,
    "baseline_length",
    "Hold tapes level and plumb down; on a slope a tape along the ground reads too long.",
)
STAKES_DUG_AWAY = CautionRule(
    "stakes_dug_away",
    REMINDER,
    "mark_count",
    "Marks on the lines of a dig are dug away: set offset stakes outside the dig before the first cut, and have buried "
    "services located.",
)
LINE_NOT_SURVEYED = CautionRule(
    "line_not_surveyed",
    CHECK,
    "mark_length",
    "Part of this line lies outside the survey, where the ground is only assumed to go on level: measure it there, "
    "and mark the line again.",
)
TAPES_CROSS_FLAT = CautionRule(
    "tapes_cross_flat",
    CHECK,
    "not_by_tapes",
    "Not by tapes from these stakes: {count} points at which the tapes cross under {least} or over {most}. Set these "
    "out by baseline and offset or by coordinates, or move the stakes so that tapes from both cross in the dig at "
    "about a right angle.",
)

# --- as-built survey ---

DUG_OUTSIDE_TOLERANCE = CautionRule(
    "dug_outside_tolerance",
    CHECK,
    "dug_difference",
    "{off} too {way}: outside the tolerance of {what}, {by}. {do} leave it and go by the figures as built.",
)
DUG_RUNS_OUT = CautionRule(
    "dug_runs_out",
    ACT,
    "dug_difference",
    "This place of the bank lies {under} under the water at rest: the pool would run out here. Build the bank up "
    "and compact it before the liner goes in; volumes and liner are worked out with rims as drawn.",
    most=0.0,
)
DUG_TAPE_LONGER = CautionRule(
    "dug_tape_longer",
    CHECK,
    "liner_length_as_dug",
    "A tape over the hole was {longer} longer than the levels measured say; that is added. Measure more places there "
    "before cutting.",
)
DUG_TAPE_PAST = CautionRule(
    "dug_tape_past",
    CHECK,
    "dug_difference",
    "It ends {past} outside the liner's edge. Out there the ground is counted as surveyed: where it is rougher the "
    "tape comes out longer, though the liner does not lie there. Tape from edge to edge of the liner.",
)
DUG_TAPE_NOT_SURVEYED = CautionRule(
    "dug_tape_not_surveyed",
    CHECK,
    "dug_difference",
    "Part of it lies outside the survey, where the ground is only assumed to go on level: survey it, or tape from "
    "nearer to the hole.",
)
DUG_RIMS_AS_DRAWN = CautionRule(
    "dug_rims_as_drawn", REMINDER, "liner_length_as_dug", "Rims are counted as drawn: measure them too."
)
DUG_POOLS_AS_DRAWN = CautionRule(
    "dug_pools_as_drawn", CHECK, "liner_length_as_dug", "No levels were measured in {pools}: counted as drawn."
)
DUG_NOT_COVERED = CautionRule(
    "dug_not_covered",
    ACT,
    "liner_spare_as_dug",
    "The liner ordered may not cover the hole as built: short by up to {short}. Do not cut it: bring the hole back "
    "to the drawing, measure more of it, or order a larger liner.",
    least=0.0,
)
DUG_INTO_SPARE = CautionRule(
    "dug_into_spare",
    CHECK,
    "liner_spare_as_dug",
    "The hole as built takes {used} of the liner that was ordered to spare.",
)
DUG_FEW_LEVELS = CautionRule(
    "dug_few_levels", CHECK, "volume_as_dug", "Only {count} measured: little is known of this hole.", least=3
)
DUG_FAR_FROM_LEVELS = CautionRule(
    "dug_far_from_levels",
    REMINDER,
    "volume_as_dug",
    "The furthest place of this hole is {far} from any level measured: measure there too where it matters.",
)
