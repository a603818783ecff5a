"""Cautions of the tunnels. Each belongs to one figure; its rank says how urgent it is."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule

# ---------------------------------------------------------------- passages as a whole

PROTECTED_BURROWS = CautionRule(
    "protected_burrows",
    REMINDER,
    "tunnel_volume",
    "Water vole, otter, platypus and many turtles are protected by law: interfering with a burrow or holt can be an "
    "offence. "
    "Ask the wildlife authority and someone who knows the species before you build, open or close a passage.",
)
CLEAR_SIZE_IS_YOURS = CautionRule(
    "clear_size_is_yours",
    REMINDER,
    "tunnel_volume",
    "No standard gives the clear size of a passage for an animal: the bore is your choice, and it is not checked here.",
)
NODE_WITHOUT_RUN = CautionRule("node_without_run", CHECK, "tunnel_volume", "No run reaches node '{node}'.")
DEN_WITHOUT_SIZE = CautionRule(
    "den_without_size", CHECK, "tunnel_volume", "Den '{node}' has no size: enter it to have its volume."
)

# ---------------------------------------------------------------- mouths, runs and penetrations

MOUTH_NOT_UNDER_WATER = CautionRule(
    "mouth_not_under_water", CHECK, "mouth_depth", "This mouth is not under water when the pool is full."
)
MOUTH_FREE_IN_POOL = CautionRule(
    "mouth_free_in_pool", CHECK, "mouth_depth", "It lies free in the pool: its run meets no face."
)
MOUTH_MOVED_BACK = CautionRule(
    "mouth_moved_back", CHECK, "mouth_depth", "Moved {moved} back along its run, to the finished face."
)
MOUTH_CARRIED_ON = CautionRule(
    "mouth_carried_on", CHECK, "mouth_depth", "Carried {moved} on along its run, to the finished face."
)
RUN_UNCOVERED = CautionRule(
    "run_uncovered",
    CHECK,
    "run_in_ground",
    "Part of this run lies above the ground as it is, with no pool round it: it needs fill over it.",
)
PENETRATION_UNDER_WATER = CautionRule(
    "penetration_under_water",
    CHECK,
    "penetration_depth",
    "This penetration lies under water: a leak here empties the pool down to it. None below the water is best; else a "
    "sealed boot or flange "
    "made for that liner, fitted by someone who knows it, and tested before backfill.",
)
PENETRATION_WITHOUT_MOUTH = CautionRule(
    "penetration_without_mouth",
    ACT,
    "penetration_depth",
    "The pipe passes the liner of '{pool}' under water more often than it opens into it: a hole that no passage "
    "needs, and a leak there empties the pool down to it. Lead the pipe round the pool, or over its water.",
)
PENETRATION_BY_FITTINGS = CautionRule(
    "penetration_by_fittings",
    CHECK,
    "penetration_depth",
    "As drawn this run passes no liner here: its fittings bring it there. Draw its nodes where they are set, further "
    "from the pool.",
)

# ---------------------------------------------------------------- fittings and cuts

CENTRE_TO_STOP_UNMEASURED = CautionRule(
    "centre_to_stop_unmeasured", CHECK, "cut_length", "Centre to stop of {fitting}: {source} before the saw."
)
LEVEL_MOUTH = CautionRule(
    "level_mouth",
    CHECK,
    "cut_length",
    "It comes out of a level part: leave the end long, and cut it to the floor in place.",
)
IN_PIECES = CautionRule(
    "in_pieces",
    CHECK,
    "cut_length",
    "In {pieces} pieces with couplings between: {whole} of {stock} and one of {rest}.",
)
CUTTING_NOT_PROVEN = CautionRule(
    "cutting_not_proven",
    CHECK,
    "pipe_lengths_to_buy",
    "{advice}This is not proven to be the fewest: {least} may be enough.",
)
BLIND_END = CautionRule("blind_end", CHECK, "fitting_count", "Node '{node}' is a blind end: counted with a cap.")
GATE_BENT = CautionRule(
    "gate_bent",
    ACT,
    "fitting_count",
    "A gate is straight, but at '{node}' the pipe bends {bend}: set the bend at a node beside it.",
    most=3.0,  # degrees: deviation tolerated between a gate's two sockets (common practice, no source)
)
TWO_FITTINGS = CautionRule(
    "two_fittings",
    CHECK,
    "fitting_count",
    "At '{node}' {first} and {second}, turned against each other, make the bend of {bend}; centre to centre they are "
    "{spacing} apart. "
    "Try it dry before the joints are made.",
)
NODE_SET_ASIDE = CautionRule(
    "node_set_aside", CHECK, "node_moved", "Set '{node}' at {x} east, {y} north, {z} above the datum."
)

# ---------------------------------------------------------------- water and air

RUN_FALLS_AWAY = CautionRule(
    "run_falls_away",
    CHECK,
    "fall_to_pool",
    "It falls away from the pool: water and dirt stand in it when the pool is low.",
    least=0.0,
)
RUN_TOO_FLAT = CautionRule(
    "run_too_flat", CHECK, "fall_to_pool", "It falls less towards the pool than your least fall: dirt stays in it."
)
AIR_POCKET = CautionRule(
    "air_pocket",
    CHECK,
    "air_pocket",
    "Air is caught here once water closes the pipe below: without a vent it is no breathing place, and water runs "
    "past it slowly. "
    "Vent it, or let the pipe rise from the pool all the way to a vented den.",
)
TRAPPED_WATER = CautionRule(
    "trapped_water",
    CHECK,
    "water_trap",
    "Water and dirt stay here when the pool is drained: raise this place, or plan how it is rodded and flushed.",
)
DEN_FLOODS = CautionRule(
    "den_floods",
    ACT,
    "den_floor_above_water",
    "The den floor lies below the water of the pool that it opens to: the den floods, unless the passage rises above "
    "that water on its way. "
    "Raise the den, or lead the passage to it up over the water.",
    least=0.0,
)
DEN_BELOW_GROUNDWATER = CautionRule(
    "den_below_groundwater",
    ACT,
    "den_floor_above_water",
    "The floor of '{node}' lies {below} below the highest known groundwater: it may stand in water.",
)
DEN_FLOODS_AT_HIGHEST = CautionRule(
    "den_floods_at_highest",
    ACT,
    "den_above_highest",
    "The den floor lies below the highest water of a pool that it is joined to: it floods then, unless the passage "
    "rises above that water on its way. "
    "Raise the den, or lead the passage to it up over the water.",
    least=0.0,
)
NO_AIR_UNDER_LID = CautionRule("no_air_under_lid", ACT, "den_air", "At the highest water no air is left under the lid.")
DEN_WITHOUT_VENT = CautionRule(
    "den_without_vent",
    CHECK,
    "den_air",
    "No vent is entered: the air in it is used up and not renewed, and it is no breathing place. A vent runs from "
    "under the lid to the open air.",
)
LID_ABOVE_GROUND = CautionRule(
    "lid_above_ground",
    CHECK,
    "den_lid_cover",
    "The lid's underside lies above the ground as it is: bank soil over it, or it warms, freezes and is found. Walls "
    "and lid carry the soil "
    "and whoever stands on it; leave the lid to be lifted.",
    least=0.0,
)

# ---------------------------------------------------------------- swims

GATES_SHUT = CautionRule(
    "gates_shut",
    CHECK,
    "longest_swim",
    "Drawn shut: {gates}. A swim turns back there, and no air comes by: see that every animal inside has another way "
    "out and air to breathe.",
)
SWIM_SEARCH_CUT_SHORT = CautionRule(
    "swim_search_cut_short",
    CHECK,
    "longest_swim",
    "The passages close so many rings that not all routes were looked at: this is all of the pipe under water, more "
    "than any route.",
)

# ---------------------------------------------------------------- flushing

FLUSH_SLOW = CautionRule(
    "flush_slow",
    ACT,
    "flush_velocity",
    "Slower than the velocity wanted: what has settled here stays. Flush it harder, or rod it.",
)
FLUSH_RING = CautionRule(
    "flush_ring",
    CHECK,
    "flush_velocity",
    "The passages close a ring: part of the water takes the other way round, and less than this goes here.",
)
ANIMALS_OUT = CautionRule(
    "animals_out",
    REMINDER,
    "flush_time",
    "Animals out, and kept out, before you flush; every gate on the way open; the other mouths stopped, and "
    "opened again afterwards.",
)
GATE_SHUT_ON_FLUSH = CautionRule(
    "gate_shut_on_flush",
    ACT,
    "flush_time",
    "Gate '{gate}' on this way is drawn shut: nothing goes through until it is opened.",
)
FLUSH_SIPHON = CautionRule(
    "flush_siphon",
    ACT,
    "flush_time",
    "No check valve or air break is entered: when the pump stops, pond water runs back through the flush "
    "branch, and may empty the "
    "pool down to its lowest open end.",
)
UNSWEPT = CautionRule(
    "unswept",
    CHECK,
    "unswept_length",
    "No flush goes through it with any mouth open: rod it from its end, or give it a mouth.",
)
ROD_BENDS = CautionRule(
    "rod_bends",
    CHECK,
    "rod_bends",
    "More than 90° of bends between two ways in: a rod may not pass; set a chamber or a capped branch between.",
    most=90.0,  # degrees: common practice, no source
)
OPEN_FLUSH_SLOW = CautionRule(
    "open_flush_slow",
    ACT,
    "open_velocity",
    "Slower than the velocity wanted with these mouths open at once: what has settled here stays. Open fewer at "
    "a time, or flush it harder.",
)
OPEN_MOUTH_DRAWS_IN = CautionRule(
    "open_mouth_draws_in",
    ACT,
    "open_mouth_flow",
    "Water comes in here while the others are open: stop this mouth.",
    least=0.0,
)
FLUSH_BRANCH_FAST = CautionRule(
    "flush_branch_fast",
    CHECK,
    "flush_branch_velocity",
    "Over {most_wanted}: water hammer and wear in the branch while it flushes. Take wider pipe for it, or throttle it.",
)

# ---------------------------------------------------------------- watertight joints, flotation

VESSEL_TESTED = CautionRule(
    "vessel_tested",
    REMINDER,
    "vessel_length",
    "Pipe below the watertight line is part of the vessel: make it watertight, and test it under pressure before it "
    "is buried. What leaks there drains the pool, and is found last.",
)
WATERTIGHT_JOINT = CautionRule(
    "watertight_joint",
    CHECK,
    "joint_below_seal_line",
    "Watertight joint: it lies outside the liner and below the highest water and its margin. Test it under "
    "pressure before it is buried.",
    most=0.0,
)
COVER_TOO_THIN = CautionRule(
    "cover_too_thin",
    ACT,
    "pipe_cover_spare",
    "Too little cover: empty pipe may float up in groundwater as high as this. Cover it deeper, or strap it "
    "down. Frost and loads may ask for more.",
    least=0.0,
)
PIPE_STAYS_EMPTY = CautionRule(
    "pipe_stays_empty",
    CHECK,
    "pipe_uplift",
    "No mouth lets water into this pipe: it stays empty, and is lifted at all times, also while the pond is full.",
)
NEVER_RELY_ON_WATER = CautionRule(
    "never_rely_on_water", REMINDER, "den_ballast", "Never rely on water standing in a den to hold it down."
)
