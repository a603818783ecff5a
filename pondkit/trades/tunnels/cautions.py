"""Cautions of the tunnels. Each stands at one figure; its rank says whether to act, to check, or to remember."""

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
    "mouth_not_under_water", CHECK, "mouth_depth", "This mouth is not under water at rest."
)
MOUTH_FREE_IN_POOL = CautionRule(
    "mouth_free_in_pool",
    CHECK,
    "mouth_depth",
    "This mouth lies open in the pool, away from its sides: its run passes through no finished face.",
)
MOUTH_MOVED_BACK = CautionRule(
    "mouth_moved_back", CHECK, "mouth_depth", "Moved {moved} back along its run, to the finished face."
)
MOUTH_CARRIED_ON = CautionRule(
    "mouth_carried_on", CHECK, "mouth_depth", "Extended by {moved} along its run, to the finished face."
)
RUN_UNCOVERED = CautionRule(
    "run_uncovered",
    CHECK,
    "run_in_ground",
    "Part of this run stands above the existing ground, outside the pools: it needs fill over it.",
)
PENETRATION_UNDER_WATER = CautionRule(
    "penetration_under_water",
    CHECK,
    "penetration_depth",
    "This penetration lies under water: a leak here empties the pool down to it. It is best to have none below the "
    "water. If there must be one, take a sealed boot or flange made for that liner, have someone who knows it fit it, "
    "and test it before backfill.",
)
PENETRATION_WITHOUT_MOUTH = CautionRule(
    "penetration_without_mouth",
    ACT,
    "penetration_depth",
    "The pipe passes the liner of '{pool}' under water more often than it has mouths in it: no passage needs this "
    "hole, and a leak there empties the pool down to it. Lead the pipe round the pool, or over its water.",
)
PENETRATION_BY_FITTINGS = CautionRule(
    "penetration_by_fittings",
    CHECK,
    "penetration_depth",
    "As drawn this run passes no liner here: it does since its fittings moved it. Draw its nodes where they are to be "
    "set out, further from the pool.",
)

# ---------------------------------------------------------------- fittings and cuts

CENTRE_TO_STOP_UNMEASURED = CautionRule(
    "centre_to_stop_unmeasured", CHECK, "cut_length", "Centre to stop of {fitting}: {source} before you cut."
)
LEVEL_MOUTH = CautionRule(
    "level_mouth",
    CHECK,
    "cut_length",
    "Its mouth comes out of a shelf or floor: leave that end long, and cut it flush in place.",
)
IN_PIECES = CautionRule(
    "in_pieces",
    CHECK,
    "cut_length",
    "In {pieces} pieces joined by couplings: {whole} of {stock} and one of {rest}.",
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
    "At '{node}' {first} and {second}, turned against each other, make the bend of {bend}, {spacing} apart from centre "
    "to centre. Fit them together dry before you make the joints.",
)
NODE_SET_ASIDE = CautionRule(
    "node_set_aside", CHECK, "node_moved", "Set out '{node}' at {x} east, {y} north, {z} above the datum."
)

# ---------------------------------------------------------------- water and air

RUN_FALLS_AWAY = CautionRule(
    "run_falls_away",
    CHECK,
    "fall_to_pool",
    "This run falls away from the pool: water and dirt stand in it when the pool is low.",
    least=0.0,
)
RUN_TOO_FLAT = CautionRule(
    "run_too_flat",
    CHECK,
    "fall_to_pool",
    "This run falls towards the pool by less than your least fall: dirt settles in it.",
)
AIR_POCKET = CautionRule(
    "air_pocket",
    CHECK,
    "air_pocket",
    "Air is caught here once water fills the pipe below. Without a vent no animal must depend on it to breathe, and it "
    "slows the flow of water. Vent it, or let the pipe rise from the pool all the way to a vented den.",
)
TRAPPED_WATER = CautionRule(
    "trapped_water",
    CHECK,
    "water_trap",
    "Water and dirt stay here when the pool is drained: raise this place, or plan how to rod and flush it.",
)
DEN_FLOODS = CautionRule(
    "den_floods",
    ACT,
    "den_floor_above_water",
    "The den floor lies below the water at rest of a pool that its passages open to: the den floods, unless the "
    "passage rises above that water on its way. Raise the den, or lead the passage to it up over the water.",
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
    "The den floor lies below the highest water of a pool that its passages open to: the den floods then, unless the "
    "passage rises above that water on its way. Raise the den, or lead the passage to it up over the water.",
    least=0.0,
)
NO_AIR_UNDER_LID = CautionRule("no_air_under_lid", ACT, "den_air", "At the highest water no air is left under the lid.")
DEN_WITHOUT_VENT = CautionRule(
    "den_without_vent",
    CHECK,
    "den_air",
    "No vent is entered: the air in this den is used up and not renewed, and no animal must depend on it to breathe. A "
    "vent runs from under the lid to the open air.",
)
LID_ABOVE_GROUND = CautionRule(
    "lid_above_ground",
    CHECK,
    "den_lid_cover",
    "The lid's underside stands above the existing ground: bank soil over it, or the den overheats or freezes, and "
    "is easily found. Walls and lid must carry the soil and whoever stands on it; the lid must still lift off.",
    least=0.0,
)

# ---------------------------------------------------------------- swims

GATES_SHUT = CautionRule(
    "gates_shut",
    CHECK,
    "longest_swim",
    "Drawn shut: {gates}. An animal has to turn back there, and no air comes through: see that every animal inside has "
    "another way out and air to breathe.",
)
SWIM_SEARCH_CUT_SHORT = CautionRule(
    "swim_search_cut_short",
    CHECK,
    "longest_swim",
    "The passages form so many rings that not all routes were searched: this is the length of all the pipe under "
    "water, more than any route.",
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
    "The passages form a ring: part of the water takes the other way round, and the velocity here is lower.",
)
ANIMALS_OUT = CautionRule(
    "animals_out",
    REMINDER,
    "flush_time",
    "Animals out, and kept out, before you flush. Open every gate on the way and stop the other mouths; open those "
    "again afterwards.",
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
    "No flush passes through this run, whichever mouth is open: rod it from its end, or give it a mouth.",
)
ROD_BENDS = CautionRule(
    "rod_bends",
    CHECK,
    "rod_bends",
    "More than 90° of bends between two rod access points: a rod may not pass. Set a chamber or a capped branch "
    "between them.",
    most=90.0,  # degrees: common practice, no source
)
OPEN_FLUSH_SLOW = CautionRule(
    "open_flush_slow",
    ACT,
    "open_velocity",
    "Slower than the velocity wanted, with these mouths open at once: what has settled here stays. Open fewer at once, "
    "or flush it harder.",
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
    "Pipe below the watertight line holds the pool's water: make it watertight, and test it under pressure before it "
    "is buried. A leak there drains the pool, and is hard to find.",
)
WATERTIGHT_JOINT = CautionRule(
    "watertight_joint",
    CHECK,
    "joint_below_seal_line",
    "Watertight joint: it lies outside the liner and below the watertight line. Test it under pressure before it is "
    "buried.",
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
    "No mouth lets water into this pipe: it stays empty, and water lifts it at all times, also while the pond is full.",
)
NEVER_RELY_ON_WATER = CautionRule(
    "never_rely_on_water", REMINDER, "den_ballast", "Never rely on water standing in a den to hold it down."
)
