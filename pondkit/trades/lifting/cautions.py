"""Cautions of the lift plan: the chart, the positions of the machine, and what is in its way out."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule

LIFT_BY_THE_PLATE = CautionRule(
    "lift_by_the_plate",
    REMINDER,
    "swing_use",
    "Lift by the machine's own plate, on firm, level ground, with slings, hook and attachments counted. Nobody under "
    "the load or within the swing; no lift below overhead lines; a trained operator and a slinger in sight of each "
    "other. Local law may ask for a licence and a lift plan by a competent person.",
)
LIFT_OVER_RATING = CautionRule(
    "lift_over_rating",
    ACT,
    "swing_use",
    "Over the machine's rating {phase}: this lift is not to be made.",
    most=1.0,
)
LIFT_OVER_LIMIT = CautionRule("lift_over_limit", CHECK, "swing_use", "Over your own limit of {limit} {phase}.")
LIFTING_DEVICES = CautionRule(
    "lifting_devices",
    CHECK,
    "swing_use",
    "This machine is rated over 1,000 kg at its least radius, or for a moment over 40 kN m: it lifts loads only "
    "with a lifting hook, an overload warning and boom-lowering control (ISO 10567:1992, 3.4, as an operator manual "
    "quotes it).",
)
MACHINE_NOT_LEVEL = CautionRule(
    "machine_not_level",
    CHECK,
    "swing_use",
    "The ground falls {fall} under the machine, and its ratings hold on level ground only: make a level pad.",
)
MACHINE_BEHIND_WALL = CautionRule(
    "machine_behind_wall",
    CHECK,
    "swing_use",
    "The machine stands behind '{wall}', nearer to it than the wall is high, and presses on it: enter its load there "
    "as surcharge, and stand here only once the wall is backfilled as it was computed.",
)
HEAPED_AFTER_LIFTS = CautionRule(
    "heaped_after_lifts",
    CHECK,
    "swing_use",
    "The machine stands where '{heap}' is to be heaped: heap it only once the machine has left; no chart holds on "
    "what is heaped.",
)
LIFT_NOT_WITHIN_LIMIT = CautionRule(
    "lift_not_within_limit",
    ACT,
    "boulders_not_lifted",
    "'{boulder}' uses {use} of the chart from '{position}', {phase}, at {radius}.",
)
LIFTS_NOT_CHECKED = CautionRule(
    "lifts_not_checked",
    CHECK,
    "boulders_not_lifted",
    "{count} boulders have no place on the plan, or name a pool that is not there: their lift is not checked.",
)
HOOK_OVER_ENTERED = CautionRule(
    "hook_over_entered",
    ACT,
    "boulders_not_lifted",
    "The slings of '{boulder}' hold the hook {over} over it, but the load point is entered as {entered} over the "
    "stone, so that the chart is read too low: enter {over} or more.",
)
WAY_IN_NOT_DRAWN = CautionRule(
    "way_in_not_drawn",
    CHECK,
    "boulders_not_lifted",
    "No way in is drawn (Site: way in, its last place at the dig): the positions are taken in the order entered, and "
    "the way out from the last is not checked.",
)
EDGE_UNDER_MACHINE = CautionRule(
    "edge_under_machine",
    REMINDER,
    "set_back_spare",
    "The slope is that of 29 CFR 1926 Subpart P for people in a cut, not for a machine that stands over it: wet, "
    "cracked or filled ground asks for more; a competent person judges the edge before the machine comes near it.",
)
STONES_IN_WAY_OUT = CautionRule(
    "stones_in_way_out",
    ACT,
    "way_out_stones",
    "Stones already set in the straight way to {to}: {stones}. Go round, or set them from another position.",
)
WAY_OUT_OVER_DIG = CautionRule(
    "way_out_over_dig", ACT, "way_out_stones", "The straight way to {to} crosses {digs}: go round."
)
