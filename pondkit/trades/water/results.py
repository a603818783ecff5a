"""Result types of the water side."""

from collections.abc import Mapping
from dataclasses import dataclass

from pondkit.core.entry import Entry, Range
from pondkit.core.result import Problem, Result, ToFill
from pondkit.solvers.pipe_network import Balance, Network


@dataclass(frozen=True)
class PoolWater:
    """Water surface and levels of one pool.

    Attributes:
        name: Name of the pool.
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
        network: Network of all lines; its ``sweep`` gives pump curves.
        balanced: Flows and heads in balance.
        problems: Figures that could not be computed, why, and the remedy.
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
    """Figures of the links, with subject "from – to", and dissolved oxygen of the option and of each pool with a flow.

    Attributes:
        chain: (name, running level [m], oxygen [kg/m³] or None) of each pool in order, for the picture.
        uptake: Equivalent flow that all falls together aerate from the oxygen at the intake to saturation: low,
            typical, high [m³/s].
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
    """Figures of the filter and of its waste load; None for parts that are not entered."""

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
    """Figures of the filter's head loss; None for parts that are not entered."""

    media_size: Entry | None = None
    media_loss: Entry | None = None
    passage_velocity: Entry | None = None
    passage_loss: Entry | None = None
    filter_loss: Entry | None = None
    filter_running_level: Entry | None = None


@dataclass(frozen=True)
class Stream:
    """A stream of the flow diagram: start and end ("pumps", "filter", or a pool), name of the line, flow [m³/s]."""

    start: str
    end: str
    name: str
    flow: float


@dataclass(frozen=True, eq=False)
class RunResult(Result):
    """The water side in operation, which depends on the pools' levels and areas but not on their volumes.

    Attributes:
        pumping: Pumps and pipes in balance.
        intake: Screen and cover.
        levels: Pumps on and off.
        links: Crests, drops and oxygen.
        filter: The filter's bodies, waste and oxygen.
        head: Head loss of the filter.
        source: Pool that the pumps draw from.
        through: Flow through each pool [m³/s]; empty if the watercourse is unknown.
        streams: Streams of the flow diagram.
        problems: Figures that could not be computed, why, and the remedy.
        to_fill: Values still to be read from manufacturers' sheets.
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
    """Figures of the year. Subjects are a pool, the name of a reading, or the option."""

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
    """Goods to order. Subjects are a pipe, a fitting or valve with its pipe, a pump, or a body of the water side."""

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
    """Pump required. Subjects are a link or a line; empty if nothing is required."""

    turnover_flow: Entry | None = None
    sheet_flow: tuple[Entry, ...] = ()
    flow_wanted: Entry | None = None
    wanted_lift: Entry | None = None
    wanted_line_head: tuple[Entry, ...] = ()
    head_wanted: Entry | None = None


@dataclass(frozen=True, eq=False)
class WaterResult(Result):
    """The water side of an option: pump required, operation, the year, and goods to order."""

    wanted: PumpWantedResult
    run: RunResult
    year: YearResult
    orders: OrdersResult

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Figures that could not be computed, why, and the remedy."""
        return self.run.problems


@dataclass(frozen=True, eq=False)
class FlotationResult(Result):
    """Flotation check of empty bodies; subjects are their names."""

    body_uplift: tuple[Entry, ...]
    body_held_down: tuple[Entry, ...]
    body_ballast: tuple[Entry, ...]
