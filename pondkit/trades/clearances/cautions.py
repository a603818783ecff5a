"""Cautions of clearances: keep-outs too near, limits of the way in, boulders over other works."""

from pondkit.core.caution import ACT, CHECK, CautionRule

KEEP_OUT_NEAR = CautionRule("keep_out_near", ACT, "keep_out_distance", "{nearness}.")
DIG_NEAR = CautionRule("dig_near", ACT, "keep_out_distance", "{advice}.")
HEAP_NEAR = CautionRule("heap_near", ACT, "keep_out_distance", "{advice}.")
MACHINE_NEAR = CautionRule("machine_near", ACT, "keep_out_distance", "{advice}.")
BOOM_NEAR = CautionRule("boom_near", ACT, "keep_out_distance", "{advice}.")
CLEARANCE_NOT_KEPT = CautionRule("clearance_not_kept", ACT, "keep_outs_entered", "{pair}: {away}.")
KEEP_OUT_ENTERED = CautionRule(
    "keep_out_entered",
    ACT,
    "keep_outs_entered",
    "Nearer than the clearances that you gave, as listed: change the design, or agree it with the owner.",
    most=0.0,
)
MACHINE_TOO_WIDE = CautionRule(
    "machine_too_wide",
    ACT,
    "way_spare",
    "The machine does not pass the way in with this room on each side: take a narrower machine, widen the opening, or "
    "work by hand.",
    least=0.0,
)
WAY_TOO_STEEP = CautionRule(
    "way_too_steep", ACT, "way_spare", "The way in is steeper than the machine may climb with its load."
)
CLIMB_NOT_ENTERED = CautionRule(
    "climb_not_entered",
    CHECK,
    "way_spare",
    "The steepest slope that the machine climbs with its load is not entered: see its maker's manual.",
)
WAY_OF_ONE_PLACE = CautionRule(
    "way_of_one_place",
    CHECK,
    "way_spare",
    "One place does not make a way in: enter two or more to check it against the keep-outs.",
)
WAY_SHUT = CautionRule(
    "way_shut",
    ACT,
    "way_stone_width",
    "Nothing passes the way in with this room on each side: widen the opening, or leave less room.",
    least=0.0,
    reached=True,
)
STONE_TOO_WIDE = CautionRule(
    "stone_too_wide",
    ACT,
    "way_stone_width",
    "'{boulder}' is too wide for the way in: {width}, with its longest side along the way.",
)
STONE_ON_MOUTH = CautionRule(
    "stone_on_mouth",
    ACT,
    "boulders_on_works",
    "Stones over a mouth in plan that do not lie wholly below it: {pairs}. They block the animals' way: move the "
    "stone, or lay a lower one that leaves the front of the mouth free.",
)
STONE_ON_DEN = CautionRule(
    "stone_on_den",
    ACT,
    "boulders_on_works",
    "Stones on a den: {pairs}. Neither its lid nor its walls are designed for that load, and nobody can open it again: "
    "move the stone.",
)
STONE_ON_BODY = CautionRule(
    "stone_on_body",
    ACT,
    "boulders_on_works",
    "Stones on a body or a wall: {pairs}. It is not designed for that load, and nobody can reach it again: move the "
    "stone.",
)
STONE_ON_PIPE = CautionRule(
    "stone_on_pipe",
    CHECK,
    "boulders_on_works",
    "Stones over a pipe in plan: {pairs}. The load on the pipe is not worked out: move the stone, or have the pipe's "
    "maker judge the cover.",
)
STONE_OVER_PIT_EDGE = CautionRule(
    "stone_over_pit_edge",
    CHECK,
    "boulders_on_works",
    "Stones over the edge of a pit: {pairs}. The edge may break out under the stone: move it back, or wholly into "
    "the pit.",
)
