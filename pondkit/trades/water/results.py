"""What the water side needs to know of a pool."""

from collections.abc import Mapping
from dataclasses import dataclass

from pondkit.core.entry import Entry, Range
from pondkit.core.result import Problem, Result, ToFill
from pondkit.solvers.pipe_network import Balance, Network


@dataclass(frozen=True)
class PoolWater:
    """One pool's water.

    Attributes:
        name: The pool.
        level, rim_level: Site levels of the water at rest and of the rim [m].
        area: Water surface inside the waterline [m²].
    """

    name: str
    level: float
    rim_level: float
    area: float


@dataclass(frozen=True, eq=False)
class PumpingResult(Result):
    """Pumps and pipes in balance. Subjects are the pump, the branch, the line, or a state of the pumps.

    Attributes:
        network: All lines, as they are; ``sweep`` draws its curves.
        balanced: Its flows and heads.
        problems: What could not be worked out, and how to mend it.
    """

    total_flow: Entry | None
    pump_flow: tuple[Entry, ...]
    pump_head: tuple[Entry, ...]
    branch_flow: tuple[Entry, ...]
    static_head: tuple[Entry, ...]
    line_velocity: tuple[Entry, ...]
    flush_line_velocity: Entry | None
    line_friction_factor: tuple[Entry, ...]
    line_friction: tuple[Entry, ...]
    line_fittings: tuple[Entry, ...]
    line_hazen_williams: tuple[Entry, ...]
    water_power: tuple[Entry, ...]
    pump_power: tuple[Entry, ...]
    energy_year: Entry | None
    energy_cost: Entry | None
    flow_by_pumps: tuple[Entry, ...]
    flow_without: tuple[Entry, ...]
    back_flow: tuple[Entry, ...]
    network: Network | None
    balanced: Balance | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class IntakeResult(Result):
    """Figures of the intake; its subject is the pool that it draws from."""

    screen_area_needed: Entry | None
    approach_velocity: Entry | None
    velocity_through_openings: Entry | None
    velocity_through_clean: Entry | None
    intake_cover: Entry | None
    screen_loss_clean: Entry | None
    screen_loss: Entry | None
    level_behind_screen: Entry | None


@dataclass(frozen=True, eq=False)
class LevelsResult(Result):
    """Levels with the pumps on and off. Subjects are the pool, the branch or the line."""

    running_level: tuple[Entry, ...]
    water_in_transit: tuple[Entry, ...]
    drains_back: tuple[Entry, ...]
    pipe_drains: tuple[Entry, ...]
    return_volume: Entry | None
    drawdown: Entry | None
    level_after_stop: Entry | None


NO_LEVELS = LevelsResult((), (), (), (), None, None, None)


@dataclass(frozen=True, eq=False)
class ChannelResult(Result):
    """Figures of the channels; subject "from – to"."""

    channel_slope: tuple[Entry, ...] = ()
    channel_depth: tuple[Entry, ...] = ()
    channel_velocity: tuple[Entry, ...] = ()
    channel_froude: tuple[Entry, ...] = ()
    channel_freeboard: tuple[Entry, ...] = ()


@dataclass(frozen=True, eq=False)
class LinksResult(Result):
    """Figures of the links, subject "from – to"; oxygen of the option, and of each pool that water runs to.

    Attributes:
        chain: (name, running level [m], oxygen [kg/m³] or None) of each pool in order, for the picture.
        uptake: Flow that all falls together bring from the oxygen at the intake to saturation, low, typical, high
            [m³/s].
    """

    link_flow: tuple[Entry, ...]
    head_over_crest: tuple[Entry, ...]
    flow_per_width: tuple[Entry, ...]
    link_drop: tuple[Entry, ...]
    step_drop: tuple[Entry, ...]
    deficit_ratio: tuple[Entry, ...]
    oxygen_below: tuple[Entry, ...]
    oxygen_saturation: Entry | None
    channels: ChannelResult
    chain: tuple[tuple[str, float, float | None], ...]
    uptake: tuple[float, float, float] | None


NO_LINKS = LinksResult((), (), (), (), (), (), (), None, ChannelResult(), (), None)


@dataclass(frozen=True, eq=False)
class FilterResult(Result):
    """Figures of the filter and of the waste it is given; None where a part is not drawn."""

    overflow_rate: Entry | None
    smallest_kept: Entry | None
    time_to_clean_out: Entry | None
    rise_rate: Entry | None
    media_volume: Entry | None
    contact_time: Entry | None
    media_surface: Entry | None
    ammonia_removed: Entry | None
    ammonia_made: Entry | None
    ammonia_level: Entry | None
    free_ammonia: Entry | None
    ammonia_carried: Entry | None
    feed_carried: Entry | None
    nitrification_oxygen: Entry | None
    alkalinity_used: Entry | None
    oxygen_used: Entry | None
    oxygen_by_night: Entry | None
    oxygen_by_day: Entry | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class FilterLossResult(Result):
    """Figures of the head that the filter takes; None where a part is not drawn."""

    media_size: Entry | None = None
    media_loss: Entry | None = None
    passage_velocity: Entry | None = None
    passage_loss: Entry | None = None
    filter_loss: Entry | None = None
    filter_running_level: Entry | None = None


@dataclass(frozen=True)
class Stream:
    """Water on its way, for the picture: from and to ("pumps", "filter", or a pool), name of the line, flow [m³/s]."""

    start: str
    end: str
    name: str
    flow: float


@dataclass(frozen=True, eq=False)
class RunResult(Result):
    """The water side of an option as it runs, whatever its pools hold.

    Attributes:
        pumping: Pumps and pipes in balance.
        intake: Screen and cover.
        levels: Pumps on and off.
        links: Crests, drops and oxygen.
        filter: The filter's bodies, waste and oxygen.
        head: What the filter takes of the head.
        source: Pool that the pumps draw from.
        through: Flow through each pool [m³/s]; empty where the course is not known.
        streams: Where the water goes, for the picture.
        problems: What could not be worked out, and how to mend it.
        to_fill: What is still to be read off makers' sheets.
    """

    pumping: PumpingResult
    intake: IntakeResult
    levels: LevelsResult
    links: LinksResult
    filter: FilterResult
    head: FilterLossResult
    source: str
    through: Mapping[str, Range]
    streams: tuple[Stream, ...]
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()


@dataclass(frozen=True, eq=False)
class YearResult(Result):
    """Figures of the year. Subjects are the pool, what a test was read with, or the option."""

    storm_flow: Entry | None
    overflow_head: Entry | None
    highest_level: Entry | None
    rise_margin: Entry | None
    fall_margin: Entry | None
    outfall_bore: Entry | None
    fill_time: Entry | None
    empty_time: Entry | None
    evaporation: Entry | None
    evaporation_sun: Entry | None
    evaporation_penman: Entry | None
    make_up: Entry | None
    oxygen_time: Entry | None
    leak: tuple[Entry, ...]
    leak_volume: tuple[Entry, ...]
    pool_turnover: tuple[Entry, ...]
    turnover: Entry | None
    time_to_replace: Entry | None
    dose_pond: Entry | None
    dose_added: Entry | None


@dataclass(frozen=True, eq=False)
class OrdersResult(Result):
    """What is to be ordered; subjects are the pipe, the fitting or valve with its pipe, the pump, and the body of
    the water side.
    """

    line_pipe: tuple[Entry, ...]
    line_pipe_order: tuple[Entry, ...]
    line_fitting_order: tuple[Entry, ...]
    line_valve_order: tuple[Entry, ...]
    pump_order: tuple[Entry, ...]
    body_order: tuple[Entry, ...]
    lid_order: tuple[Entry, ...]
    media_order: Entry | None


@dataclass(frozen=True, eq=False)
class PumpWantedResult(Result):
    """What pump is needed. Subjects are a link or a line; none of it where nothing is wanted."""

    turnover_flow: Entry | None = None
    sheet_flow: tuple[Entry, ...] = ()
    flow_wanted: Entry | None = None
    wanted_lift: Entry | None = None
    wanted_line_head: tuple[Entry, ...] = ()
    head_wanted: Entry | None = None


@dataclass(frozen=True, eq=False)
class WaterResult(Result):
    """The water side of an option: what pump is needed, as it runs, over the year, and what its lines are made of."""

    wanted: PumpWantedResult
    run: RunResult
    year: YearResult
    orders: OrdersResult

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What could not be worked out, and how to mend it."""
        return self.run.problems


@dataclass(frozen=True, eq=False)
class FlotationResult(Result):
    """What empty bodies are lifted by, and what holds them; subjects are their names."""

    body_uplift: tuple[Entry, ...]
    body_held_down: tuple[Entry, ...]
    body_ballast: tuple[Entry, ...]
