"""Cautions of the water side, each declared once; ``judged`` gives a figure those whose limits it exceeds."""

from pondkit.core.caution import ACT, CHECK, REMINDER, CautionRule
from pondkit.core.entry import Entry, limit, with_cautions
from pondkit.core.units import CONCENTRATION, LENGTH, SPEED, TEMPERATURE, TIME

_FASTEST, _FASTEST_OF = limit("pipe velocity at most", SPEED)
_SLOWEST, _SLOWEST_OF = limit("main velocity at least", SPEED)
_PASSIVE, _PASSIVE_OF = limit("approach velocity passive", SPEED)
_ACTIVE, _ACTIVE_OF = limit("approach velocity active", SPEED)
_OPENINGS, _OPENINGS_OF = limit("velocity through openings", SPEED)
_MESH, _MESH_OF = limit("opening woven or perforated", LENGTH)
_WIRE, _WIRE_OF = limit("opening profile wire", LENGTH)
_CLINGS, _CLINGS_OF = limit("head where a sheet clings", LENGTH)
_OXYGEN, _OXYGEN_OF = limit("oxygen for a biofilter", CONCENTRATION)
_COLDEST, _COLDEST_OF = limit("nitrification measured down to", TEMPERATURE)

# Pumps and lines.
ELECTRICITY_BY_WATER = CautionRule(
    "electricity_by_water",
    REMINDER,
    "pump_power",
    "Electricity near water: residual-current (ground-fault) protection, a licensed electrician, pumps off "
    "and unplugged before anyone reaches in; local code decides.",
)
RUNS_BACK = CautionRule(
    "runs_back",
    CHECK,
    "pump_flow",
    "Water runs back through this pump while it stands still: fit a check valve, or shut its line.",
)
FORCED_BACK = CautionRule(
    "forced_back",
    ACT,
    "pump_flow",
    "The other pumps force water back through this one as it runs: it will overheat. Choose pumps of like head.",
)
HELD_SHUT = CautionRule(
    "held_shut",
    ACT,
    "pump_flow",
    "The other pumps hold this one's check valve shut: it runs and gives nothing, and will overheat.",
)
PAST_CURVE = CautionRule(
    "past_curve",
    CHECK,
    "pump_flow",
    "Its flow is {past} past the last point entered of its curve, where the head is only carried on in a straight "
    "line: enter the points beyond.",
)
BRANCH_RUNS_BACK = CautionRule(
    "branch_runs_back",
    CHECK,
    "branch_flow",
    "Water runs back out of this branch's pool: raise its outlet over the water, or fit a check valve.",
)
LINE_FAST = CautionRule(
    "line_fast",
    CHECK,
    "line_velocity",
    f"Over {{limit}}, the most for {_FASTEST_OF}: noise, wear and pressure surges.",
    most=_FASTEST,
)
LINE_SLOW = CautionRule(
    "line_slow",
    CHECK,
    "line_velocity",
    f"Under {{limit}}, the least for {_SLOWEST_OF}: solids may settle in the pipe.",
    least=_SLOWEST,
)

CURVE_ASSUMED = CautionRule(
    "curve_assumed",
    CHECK,
    "total_flow",
    "The curve of {pumps} is assumed from a single point, with {more} times the head of that point at no flow: read a "
    "second point off the maker's sheet.",
)
CIRCLES = CautionRule(
    "circles",
    CHECK,
    "total_flow",
    "All of the flow returns to '{pool}', the pool that it is drawn from, and no other pool gets any. Lead a branch to "
    "the highest pool.",
)
LIFT_ALONE = CautionRule(
    "lift_alone",
    CHECK,
    "head_wanted",
    "No branch leads to where the water is lifted: the lift alone is counted, without the losses of pipe and fittings. "
    "Add a branch with its pipe and length.",
)

# Intake.
SUCTION_ENTRAPMENT = CautionRule(
    "suction_entrapment",
    REMINDER,
    "screen_area_needed",
    "Suction can hold an animal, a hand or hair: never run a pump with its screen off or broken; where "
    "people may enter the water, local code on suction entrapment decides.",
)
APPROACH_NOT_PASSIVE = CautionRule(
    "approach_not_passive",
    CHECK,
    "screen_area_needed",
    f"Over {{limit}}, the most for a {_PASSIVE_OF}: good only for a screen that cleans itself.",
    most=_PASSIVE,
)
APPROACH_FAST = CautionRule(
    "approach_fast", ACT, "screen_area_needed", f"Over {{limit}}, the most for a {_ACTIVE_OF}.", most=_ACTIVE
)
SCREEN_SMALL = CautionRule(
    "screen_small", ACT, "approach_velocity", "Faster than the {chosen} chosen: enlarge the screen."
)
OPENINGS_FAST = CautionRule(
    "openings_fast",
    ACT,
    "velocity_through_openings",
    f"Over {{limit}} ({_OPENINGS_OF}): small animals may be held. Clean the screen sooner, or enlarge it.",
    most=_OPENINGS,
)
OPENINGS_WIDE = CautionRule(
    "openings_wide",
    CHECK,
    "screen_area_needed",
    f"Openings over {{limit}} ({_MESH_OF}): fry and small amphibians get through.",
    most=_MESH,
)
WIRE_WIDE = CautionRule(
    "wire_wide",
    CHECK,
    "screen_area_needed",
    f"Of profile wire, openings over {{limit}} are too wide ({_WIRE_OF}).",
    most=_WIRE,
)
SCREEN_BARE = CautionRule(
    "screen_bare",
    ACT,
    "level_behind_screen",
    "Behind the clogged screen the water falls to the screen's top: the pumps may draw air. Clean it sooner, enlarge "
    "it, or lower it.",
)
SCREEN_OUT = CautionRule(
    "screen_out",
    ACT,
    "intake_cover",
    "The screen comes out of the water while the pumps run: they draw air. Lower it, or fill higher.",
)

# Levels.
EMPTIES_AT_STOP = CautionRule(
    "empties_at_stop",
    CHECK,
    "drains_back",
    "Each time the pumps stop, water drains back through this branch down to its open end: fit a check valve, or raise "
    "the open end above the water.",
)
STOP_OVER_RIM = CautionRule(
    "stop_over_rim",
    ACT,
    "level_after_stop",
    "It runs over the rim by {over}: keep the water from draining back, raise the freeboard, or set automatic filling "
    "no higher than the running level.",
)
FILL_NO_HIGHER = CautionRule(
    "fill_no_higher",
    REMINDER,
    "running_level",
    "Set automatic filling no higher than the running level of the pool that the pumps draw from, or each "
    "stop sends the surplus over the overflow.",
)
RUNS_OVER_RIM = CautionRule(
    "runs_over_rim", ACT, "running_level", "It runs over the rim by {over}: widen the crest, or raise the freeboard."
)

# Links.
DROP_HIGH = CautionRule(
    "drop_high",
    CHECK,
    "deficit_ratio",
    "Past a drop of 4.5 m this formula gives less oxygen for more height: do not use it.",
)
FALL_DROWNED = CautionRule(
    "fall_drowned", CHECK, "deficit_ratio", "The lower pool stands above the crest: the fall is drowned."
)
SHEET_CLINGS = CautionRule(
    "sheet_clings",
    CHECK,
    "head_over_crest",
    f"Under {{limit}} the sheet may cling to the lip: the head is a range ({_CLINGS_OF}).",
    least=_CLINGS,
)
CREST_NARROW = CautionRule(
    "crest_narrow",
    CHECK,
    "head_over_crest",
    "The crest is narrower than four heads: Francis' formula for contracted ends is not tested there. Widen the crest.",
)
CHANNEL_STEEP = CautionRule(
    "channel_steep",
    CHECK,
    "channel_depth",
    "Steeper than 1 in 10 water tumbles from stone to stone: Manning's formula is a guess there.",
)
UNIFORM_FLOW = CautionRule(
    "uniform_flow",
    REMINDER,
    "channel_depth",
    "Uniform flow on a straight bed: bends, stones and plants raise the water; give the bank height to spare.",
)
CHANNEL_BACKS_UP = CautionRule(
    "channel_backs_up",
    CHECK,
    "channel_depth",
    "The channel backs up over its crest: the upper pool may stand {up} higher than its figures say. Widen or steepen "
    "the channel.",
)
CHANNEL_DROWNED = CautionRule(
    "channel_drowned",
    CHECK,
    "channel_slope",
    "On this slope its bed ends {under} under the running water of the lower pool, which stands in it.",
)
CHANNEL_SHOOTS = CautionRule(
    "channel_shoots",
    CHECK,
    "channel_froude",
    "The flow may be supercritical (Froude number over 1): it splashes out at bends and jumps where it slows. Flatten, "
    "widen or roughen the channel.",
    most=1.0,
)
CHANNEL_OVERTOPS = CautionRule(
    "channel_overtops",
    ACT,
    "channel_freeboard",
    "It may run over its bank by {over}: raise the bank, or widen the channel.",
    least=0.0,
)

# Filter, waste and oxygen.
MEDIA_CLOG = CautionRule(
    "media_clog",
    REMINDER,
    "filter_running_level",
    "With clean media: dirt raises this level. Leave height below the filter's rim, and clean the media when the level "
    "in the first body rises.",
)
CHAMBER_FAST = CautionRule(
    "chamber_fast",
    ACT,
    "overflow_rate",
    "Not even a particle of {particle} settles for sure at this rate: enlarge the settling chamber.",
)
PASSAGE_FAST = CautionRule(
    "passage_fast", CHECK, "passage_velocity", f"Over {{limit}}, the most for {_FASTEST_OF}.", most=_FASTEST
)
BED_FAST = CautionRule(
    "bed_fast",
    CHECK,
    "media_loss",
    "Faster than Ergun's formula was tested for (modified Reynolds number over 2300, fluids library): it gives too "
    "much head loss.",
)
BED_OPEN = CautionRule(
    "bed_open",
    CHECK,
    "media_loss",
    "Ergun measured beds of spheres, sand and coke; for media as open as these, enter the maker's head loss where "
    "there is one.",
)
TEST_FOR_LIFE = CautionRule(
    "test_for_life",
    REMINDER,
    "free_ammonia",
    "An estimate of the filter alone: plants, sediment and cold change it. Test the water, start with few "
    "animals, and have a vet or keeper of the species agree to the numbers.",
)
NITRIFICATION_COLD = CautionRule(
    "nitrification_cold",
    CHECK,
    "ammonia_level",
    f"Colder than {{limit}}, where nitrification was last measured ({_COLDEST_OF}): count on no removal by the media.",
    least=_COLDEST,
)
FREE_AMMONIA_HIGH = CautionRule(
    "free_ammonia_high",
    ACT,
    "free_ammonia",
    "It may pass {limit}, the limit entered: more media, less feed, or fewer animals.",
)
NO_FEED = CautionRule(
    "no_feed",
    ACT,
    "feed_carried",
    "The filter can treat no feed: the waste of air-breathers alone is as much as it can treat. More media, or fewer "
    "animals.",
)
OXYGEN_LOW = CautionRule(
    "oxygen_low",
    ACT,
    "oxygen_by_night",
    f"It may fall under {{limit}} ({_OXYGEN_OF}): more falls, more surface, fewer animals.",
    least=_OXYGEN,
)
OXYGEN_OVER = CautionRule(
    "oxygen_over",
    CHECK,
    "oxygen_by_day",
    "Over saturation, {saturation}: the excess bubbles off, so that the real figure is lower.",
)
OXYGEN_SLOW = CautionRule(
    "oxygen_slow",
    CHECK,
    "oxygen_time",
    "Longer than a night of {limit}: morning comes before the oxygen has fallen to the figure for night, and evening "
    "before it has risen to that for day.",
    most=limit("night", TIME)[0],
)

# The year.
STORM_OVER_RIM = CautionRule(
    "storm_over_rim",
    ACT,
    "highest_level",
    "It may run over the rim by {over}: lower or widen the overflow, or raise the freeboard.",
)
OVERFLOW_LOW = CautionRule(
    "overflow_low",
    CHECK,
    "highest_level",
    "The overflow lies {under} under the level at rest: the pool never fills to it.",
)
STOP_OVERFLOWS = CautionRule(
    "stop_overflows",
    CHECK,
    "highest_level",
    "Each time the pumps stop, the water rises {over} over the crest of the overflow and runs out, if the pool was "
    "topped up while they ran.",
)
RISE_UNPLANNED = CautionRule(
    "rise_unplanned",
    ACT,
    "rise_margin",
    "The water may rise by {change}, but mouths, dens and the animals' brief are worked out for {planned}: enter it as "
    "the option's highest water over rest.",
    least=0.0,
)
FALL_UNPLANNED = CautionRule(
    "fall_unplanned",
    ACT,
    "fall_margin",
    "The water falls by {change}, but mouths, dens and the animals' brief are worked out for {planned}: enter it as "
    "the option's lowest water under rest.",
    least=0.0,
)
DISCHARGE_RULED = CautionRule(
    "discharge_ruled",
    REMINDER,
    "empty_time",
    "Where pond water may be discharged is regulated: not into a stream, and often not into the storm drain; ask the "
    "local authority, also for chlorinated and treated water.",
)
EMPTYING_SLOWS = CautionRule(
    "emptying_slows",
    REMINDER,
    "empty_time",
    "At the flow of the running pumps; it takes longer as the level falls, and pumps must not run dry.",
)
TAP_WATER = CautionRule(
    "tap_water",
    REMINDER,
    "fill_time",
    "Tap water is treated with chlorine or chloramine, which harms animals and filter: neutralize it, or "
    "let it stand, as the supplier of the water advises, before animals meet it. Local code asks for a "
    "backflow stop on the hose.",
)
LEAK_TEST = CautionRule(
    "leak_test",
    REMINDER,
    "leak",
    "To find a leak: mark the water, pumps off, and read again after 24 h. Then switch the pumps on, mark the water "
    "anew once it stands at its running level, or its drawdown is read as a leak, and read again after 24 h. "
    "Less evaporation, a fall with the pumps off is a leak of the pool; what comes on top with the pumps on is one of "
    "falls, pipes or filter.",
)
NO_LEAK_TOLD = CautionRule(
    "no_leak_told",
    CHECK,
    "leak",
    "Evaporation may explain all of the fall: no leak can be told from it. Measure again on a cool, still, damp day.",
)
DOSE_BY_LABEL = CautionRule(
    "dose_by_label",
    REMINDER,
    "dose_pond",
    "Its range is that of the net volume: take the low figure for what harms in excess, and the high one for what must "
    "be enough, such as what binds chlorine. Follow the label; have a vet of the species agree.",
)

# Bodies.
KEEP_FILLED = CautionRule(
    "keep_filled",
    ACT,
    "body_ballast",
    "Until it is held down, keep it filled, or have the groundwater lowered before it is emptied or pumped dry, also "
    "while it is built. How it is held down is designed by a licensed engineer; local code decides.",
)
BODY_IN_POOL = CautionRule(
    "body_in_pool",
    CHECK,
    "body_uplift",
    "It stands in '{pool}': the pool's water, up to {level}, lifts it, also where the groundwater is low.",
)


def judged(figure: Entry, *rules: CautionRule, limit: float | None = None) -> Entry:
    """The figure, with those cautions whose limits it exceeds.

    Args:
        figure: With its range.
        rules: Cautions, each with its own limit [SI].
        limit: A limit of this design, used in place of the rule's own.
    """
    for rule in rules:
        threshold = limit if limit is not None else rule.most if rule.most is not None else rule.least
        assert threshold is not None
        ends = (figure.least, figure.value, figure.most)
        figure = with_cautions(figure, *rule.where(*ends, most=limit, limit=(threshold, figure.kind)))
    return figure
