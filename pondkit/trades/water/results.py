"""Result types of the water side."""

from collections.abc import Mapping
from dataclasses import dataclass

from pondkit.core.entry import Entry, Range
from pondkit.core.result import Problem, Result, ToFill
from pondkit.solvers.pipe_network import Balance, Network


@dataclass(frozen=True)
class PoolWater:
    """Water surface and levels of one pool at rest.

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
    """Pumps and lines in balance. Subjects are the pump, the branch, the line, or how many pumps run.

    Attributes:
        network: Network of all lines, for the pump curves.
        balanced: Its flows and heads in balance.
        problems: Figures that could not be computed, why, and the remedy.
    """

    total_flow: Entry | None = None
    pump_flow: tuple[Entry, ...] = ()
    pump_head: tuple[Entry, ...] = ()
    branch_flow: tuple[Entry, ...] = ()
    static_head: tuple[Entry, ...] = ()
    line_velocity: tuple[Entry, ...] = ()
    flush_line_velocity: Entry | None = None
    line_friction_factor: tuple[Entry, ...] = ()
    line_friction: tuple[Entry, ...] = ()
    line_fittings: tuple[Entry, ...] = ()
    line_hazen_williams: tuple[Entry, ...] = ()
    water_power: tuple[Entry, ...] = ()
    pump_power: tuple[Entry, ...] = ()
    energy_year: Entry | None = None
    energy_cost: Entry | None = None
    flow_by_pumps: tuple[Entry, ...] = ()
    flow_without: tuple[Entry, ...] = ()
    back_flow: tuple[Entry, ...] = ()
    network: Network | None = None
    balanced: Balance | None = None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, eq=False)
class IntakeResult(Result):
    """Figures of the intake; its subject is the pool that it draws from."""

    screen_area_needed: Entry | None = None
    approach_velocity: Entry | None = None
    velocity_through_openings: Entry | None = None
    velocity_through_clean: Entry | None = None
    intake_cover: Entry | None = None
    screen_loss_clean: Entry | None = None
    screen_loss: Entry | None = None
    level_behind_screen: Entry | None = None


@dataclass(frozen=True, eq=False)
class LevelsResult(Result):
    """Levels with the pumps on and off. Subjects are the pool, the branch or the line."""

    running_level: tuple[Entry, ...] = ()
    water_in_transit: tuple[Entry, ...] = ()
    drains_back: tuple[Entry, ...] = ()
    pipe_drains: tuple[Entry, ...] = ()
    return_volume: Entry | None = None
    drawdown: Entry | None = None
    level_after_stop: Entry | None = None


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
    """Figures of the links, with subject "from – to".

    Attributes:
        chain: (name, running level [m], dissolved oxygen [kg/m³] or None) of each pool, upstream first, for the
            picture.
        aeration: Flow that, brought from the oxygen at the intake to saturation, would take up as much oxygen as all
            falls together: low, typical, high [m³/s]; None if unknown.
    """

    link_flow: tuple[Entry, ...] = ()
    head_over_crest: tuple[Entry, ...] = ()
    flow_per_width: tuple[Entry, ...] = ()
    link_drop: tuple[Entry, ...] = ()
    step_drop: tuple[Entry, ...] = ()
    deficit_ratio: tuple[Entry, ...] = ()
    oxygen_below: tuple[Entry, ...] = ()
    oxygen_saturation: Entry | None = None
    channels: ChannelResult = ChannelResult()
    chain: tuple[tuple[str, float, float | None], ...] = ()
    aeration: tuple[float, float, float] | None = None


@dataclass(frozen=True, eq=False)
class FilterResult(Result):
    """Figures of the filter and of its waste load; None for parts that are not entered."""

    overflow_rate: Entry | None = None
    smallest_kept: Entry | None = None
    time_to_clean_out: Entry | None = None
    rise_rate: Entry | None = None
    media_volume: Entry | None = None
    contact_time: Entry | None = None
    media_surface: Entry | None = None
    ammonia_removed: Entry | None = None
    ammonia_made: Entry | None = None
    ammonia_level: Entry | None = None
    free_ammonia: Entry | None = None
    ammonia_carried: Entry | None = None
    feed_carried: Entry | None = None
    nitrification_oxygen: Entry | None = None
    alkalinity_used: Entry | None = None
    oxygen_used: Entry | None = None
    oxygen_by_night: Entry | None = None
    oxygen_by_day: Entry | None = None
    problems: tuple[Problem, ...] = ()


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
    """A stream of the flow diagram.

    Attributes:
        start, end: "pumps", "filter", or the name of a pool.
        name: Name of the line; "" for a link, or from the filter on.
        flow: Flow [m³/s]; negative if it runs back.
    """

    start: str
    end: str
    name: str
    flow: float


@dataclass(frozen=True, eq=False)
class RunResult(Result):
    """The water side in operation, which depends on the pools' levels and areas but not on their volumes.

    Attributes:
        pumping: Pumps and lines in balance.
        intake: Screen and the water over it.
        levels: Levels with the pumps on and off.
        links: Crests, drops, channels and oxygen.
        filter: The filter's bodies, waste and oxygen.
        filter_loss: Head loss of the filter.
        source: Name of the pool that the pumps draw from.
        through: Flow through each pool [m³/s] by its name; empty if the watercourse is unknown.
        streams: Streams of the flow diagram.
        problems: Figures that could not be computed, why, and the remedy.
        to_fill: Values still to be read from manufacturers' sheets.
    """

    pumping: PumpingResult
    intake: IntakeResult
    levels: LevelsResult
    links: LinksResult
    filter: FilterResult
    filter_loss: FilterLossResult
    source: str
    through: Mapping[str, Range]
    streams: tuple[Stream, ...]
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()


@dataclass(frozen=True, eq=False)
class YearResult(Result):
    """Figures of the year. Subjects are a pool, a reading of the leak test ("pumps off"), or "" for the option."""

    storm_flow: Entry | None = None
    overflow_head: Entry | None = None
    highest_level: Entry | None = None
    rise_margin: Entry | None = None
    fall_margin: Entry | None = None
    outfall_bore: Entry | None = None
    fill_time: Entry | None = None
    empty_time: Entry | None = None
    evaporation: Entry | None = None
    evaporation_sun: Entry | None = None
    evaporation_penman: Entry | None = None
    make_up: Entry | None = None
    oxygen_time: Entry | None = None
    leak: tuple[Entry, ...] = ()
    leak_volume: tuple[Entry, ...] = ()
    pool_turnover: tuple[Entry, ...] = ()
    turnover: Entry | None = None
    time_to_replace: Entry | None = None
    dose_pond: Entry | None = None
    dose_added: Entry | None = None


@dataclass(frozen=True, eq=False)
class OrdersResult(Result):
    """Goods to order. Subjects are a pipe, a fitting or valve with its pipe, a pump, or a body of the water side."""

    line_pipe: tuple[Entry, ...] = ()
    line_pipe_order: tuple[Entry, ...] = ()
    line_fitting_order: tuple[Entry, ...] = ()
    line_valve_order: tuple[Entry, ...] = ()
    pump_order: tuple[Entry, ...] = ()
    body_order: tuple[Entry, ...] = ()
    lid_order: tuple[Entry, ...] = ()
    media_order: Entry | None = None


@dataclass(frozen=True, eq=False)
class PumpWantedResult(Result):
    """Pump required. Subjects are a link or a line; without figures if neither turnover nor sheet is entered."""

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
