"""Relations of pumping: pumps and lines, the intake's screen, the pump required, and what is ordered for them."""

import math

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import rounded_up
from pondkit.core.units import (
    LENGTH,
    Acceleration,
    Area,
    Bulk,
    Count,
    Density,
    Energy,
    Flow,
    Length,
    Money,
    Power,
    PriceEnergy,
    Ratio,
    Speed,
    Time,
    Viscosity,
    Volume,
    factor,
)
from pondkit.solvers import friction as pipes
from pondkit.solvers.pipe_network import Balance
from pondkit.trades.water.formulas.open_water import crest_flow


def pump_flow(balanced: Balance, index: int, level_drawn_from: Length, level_where_lines_meet: Length) -> Flow:
    """Flow of one pump with the pipe network in balance; negative if water runs back through it.

    Working: flow at which the pump's curve, less the losses of its own line, lifts the water from the level it draws
    from to the level at which it would stand where the pumps' lines meet
    Source: conservation of mass and energy in all lines at once
    """
    return balanced.pump_flows[index]


def branch_flow(balanced: Balance, index: int, level_where_branches_part: Length, level_it_ends_at: Length) -> Flow:
    """Flow out of one branch with the pipe network in balance; negative if water runs back through it.

    Working: flow at which the losses of its line take all the head from the level at which water would stand where the
    branches part to the level it ends at
    Source: conservation of mass and energy in all lines at once
    """
    return balanced.branch_flows[index]


def total_flow(flows: tuple[Flow, ...]) -> Flow:
    """Total discharge of all pumps, less backflow.

    Source: conservation of mass
    """
    return sum(flows)


def static_head(outlet_level: Length, intake_level: Length) -> Length:
    """Static head: from the water that the pumps draw from to the water, or free outlet, at the end of a branch.

    Source: geometry
    """
    return outlet_level - intake_level


def pump_head(curve_head: Length) -> Length:
    """Total dynamic head of a pump, from its curve at its flow.

    Working: head on the curve through the points entered, at the pump's flow
    Source: curve entered by the user; monotone cubic between its points (SIAM J. Numer. Anal. 17, 1980, 238)
    """
    return curve_head


def line_velocity(flow: Flow, bore: Length) -> Speed:
    """Mean velocity in the bore of a pipe.

    Source: conservation of mass
    """
    return flow / (math.pi / 4 * bore**2)


def friction_factor(
    velocity: Speed, bore: Length, roughness: Length, viscosity: Viscosity, over_smooth: Ratio
) -> Ratio:
    """Darcy friction factor.

    Working: Colebrook's formula from a Reynolds number of 4000 on, 64 / Reynolds number up to 2000, a straight line
    between; times the factor of a flexible hose over smooth pipe, 1 for a pipe
    Source: Colebrook, solved by the fluids library (Clamond's method); laminar 64/Re
    """
    return over_smooth * pipes.friction(abs(velocity) * bore / viscosity, roughness / bore)[0]


def friction_head(
    friction_factor: Ratio, length: Length, bore: Length, velocity: Speed, gravity: Acceleration
) -> Length:
    """Friction head loss of the pipe.

    Source: Darcy-Weisbach
    """
    return friction_factor * length / bore * velocity**2 / (2 * gravity)


def fitting_head(sum_of_k: Ratio, velocity: Speed, gravity: Acceleration) -> Length:
    """Head loss of bends, tees, valves, entrance and exit.

    Source: K times velocity head
    """
    return sum_of_k * velocity**2 / (2 * gravity)


def hazen_williams_head(velocity: Speed, bore: Length, length: Length, hazen_williams_c: Ratio) -> Length:
    """Friction head loss by the Hazen-Williams formula, for comparison only.

    Working: 4.727 L q^1.852 / (C^1.852 d^4.871) in feet and cubic feet a second, with the flow of this velocity in
    this bore; too low for slow flow in small smooth pipe
    Source: Hazen-Williams, EPANET 2.2 User Manual, Table 3.1
    """
    foot = factor("ft", LENGTH)
    d, q = bore / foot, abs(velocity) * math.pi / 4 * bore**2 / foot**3
    return float(4.727 * (length / foot) * q**1.852 / (hazen_williams_c**1.852 * d**4.871) * foot)


def water_power(density: Density, gravity: Acceleration, flow: Flow, pump_head: Length) -> Power:
    """Hydraulic power, delivered to the water.

    Source: Fair, Geyer and Okun's Water and Wastewater Engineering, eq. 8.7
    """
    return density * gravity * flow * pump_head


def electric_power(water_power: Power, efficiency: Ratio) -> Power:
    """Electric power drawn: hydraulic power over the combined efficiency of pump and motor.

    Source: Fair, Geyer and Okun's Water and Wastewater Engineering, eq. 8.9
    """
    return water_power / efficiency


def energy_year(power: tuple[Power, ...], runs_a_day: Time, days: Count) -> Energy:
    """Energy that the running pumps use in a year.

    Source: power times time
    """
    return sum(power) * runs_a_day * days


def energy_cost(energy: Energy, price: PriceEnergy) -> Money:
    """Cost of a year's energy.

    Source: energy times price; the price: user input
    """
    return energy * price


def flow_with(balanced: Balance, flows: tuple[Flow, ...]) -> Flow:
    """Discharge at the intake with another set of pumps running, with the pipe network in balance.

    Working: sum of the flows of the pumps in that state, water that runs back taken off
    Source: conservation of mass and energy in all lines at once
    """
    return sum(flows)


def back_flow(balanced: Balance, index: int, level_where_lines_meet: Length) -> Flow:
    """Backflow through a stopped pump without a check valve, while the others run.

    Working: flow at which the losses of its line and of the stopped pump take the height from the level at which water
    would stand where the pumps' lines meet down to the intake
    Source: conservation of mass and energy in all lines at once; the loss of the stopped pump: user input
    """
    return -balanced.pump_flows[index]


SCREEN_K = (
    "K of a screen or perforated plate with square edges by its open share: Blevins, Applied "
    "Fluid Dynamics Handbook, 1984 (fluids library)"
)


def screen_area_needed(flow: Flow, approach_velocity: Speed, blocked: Ratio) -> Area:
    """Gross screen area required for the approach velocity chosen.

    Source: area is flow over approach velocity, blocked parts taken off (NMFS Juvenile Fish Screen Criteria for Pump
    Intakes)
    """
    return flow / approach_velocity / (1 - blocked)


def approach_velocity(flow: Flow, screen_area: Area, blocked: Ratio) -> Speed:
    """Approach velocity at the screen as built.

    Source: conservation of mass, blocked parts taken off
    """
    return flow / (screen_area * (1 - blocked))


def velocity_through_openings(
    flow: Flow, screen_area: Area, blocked: Ratio, open_share: Ratio, clogged: Ratio
) -> Speed:
    """Velocity in the screen openings that are not clogged.

    Source: conservation of mass
    """
    return flow / (screen_area * (1 - blocked) * open_share * (1 - clogged))


def intake_cover(running_level: Length, screen_top: Length) -> Length:
    """Submergence of the screen while the pumps run: water over its top.

    Source: geometry
    """
    return running_level - screen_top


def screen_loss(approach_velocity: Speed, clogged: Ratio, screen_k: Ratio, gravity: Acceleration) -> Length:
    """Head loss of the screen; the water behind it, which the pumps draw, stands lower by this.

    Source: K times velocity head of the water that approaches the part which is not clogged
    """
    return screen_k * (approach_velocity / (1 - clogged)) ** 2 / (2 * gravity)


def level_behind_screen(running_level: Length, screen_loss: Length) -> Length:
    """Level of the water behind the screen, from which the pumps draw.

    Source: running level of the pool, less the head loss of the screen
    """
    return running_level - screen_loss


def screen_k(open_share: float) -> float:
    """Loss coefficient of a screen, referred to the approach velocity.

    Source: square-edged screen or perforated plate, Blevins, Applied Fluid Dynamics Handbook, 1984, by the fluids
    library
    """
    from fluids.filters import square_edge_screen

    return float(square_edge_screen(open_share))


def turnover_flow(net_volume: Volume, turnover: Time) -> Flow:
    """Flow that turns all the water over in the time required.

    Source: volume over time
    """
    return net_volume / turnover


def sheet_flow(head: Length, width: Length, coefficient: Ratio, contraction: Ratio) -> Flow:
    """Flow that gives the sheet required over a crest, by its head upstream of the drawdown.

    Working: coefficient × √g × effective width × head^1.5; the effective width is the crest's, less the contraction at
    its ends
    Source: weir formula; coefficients of crests and of their ends as at the head over the crest
    """
    return crest_flow(head, width, coefficient, contraction)


def flow_wanted(flows: tuple[Flow, ...]) -> Flow:
    """Required pump discharge: the greatest of the flows required.

    Source: the turnover and the sheets wanted: user input
    """
    return max(flows)


def flow_of_falls(flows: tuple[Flow, ...]) -> Flow:
    """Flow through a pool that feeds all its falls at once.

    Source: conservation of mass
    """
    return sum(flows)


def wanted_line_head(
    flow: Flow,
    bore: Length,
    length: Length,
    sum_of_k: Ratio,
    roughness: Length,
    viscosity: Viscosity,
    over_smooth: Ratio,
) -> Length:
    """Head loss of a line at the required flow.

    Working: (friction factor × length / bore + sum of K) × velocity² / 2g, with the friction factor at that velocity
    Source: Darcy-Weisbach with Colebrook, and K times velocity head
    """
    velocity = line_velocity(flow, bore)
    factor = friction_factor(velocity, bore, roughness, viscosity, over_smooth)
    return friction_head(factor, length, bore, velocity, GRAVITY) + fitting_head(sum_of_k, velocity, GRAVITY)


def wanted_lift(highest: Length, drawn_from: Length) -> Length:
    """Static lift at the required flow, with the pools at rest.

    Source: geometry
    """
    return highest - drawn_from


def head_wanted(lift: Length, line_heads: tuple[Length, ...]) -> Length:
    """Total dynamic head at the required flow: static lift and head losses.

    Source: conservation of energy
    """
    return lift + sum(line_heads)


def line_pipe(lengths: tuple[Length, ...]) -> Length:
    """Total length of pipe of one size in all lines, as entered; fittings are included in the length.

    Source: sum of the lines' lengths
    """
    return sum(lengths)


def line_pipe_order(line_pipe: Length, stock_length: Length) -> Length:
    """Pipe of one size to buy.

    Working: whole stock lengths that the pipe is cut from, joined with couplings, times the stock length
    Source: arithmetic; offcuts are used up in the next line
    """
    return rounded_up(line_pipe / stock_length) * stock_length


def line_fitting_order(counts: tuple[Count, ...]) -> Count:
    """Number of one fitting or valve in all lines.

    Source: counts as entered; couplings: one between each two stock lengths of a line
    """
    return sum(counts)


def media_order(area: Area, depth: Length, sale_unit: Bulk) -> Bulk:
    """Media to buy: bulk volume of the bed, rounded up to whole sacks, boxes or other units of sale.

    Working: area × depth, rounded up to a multiple of the unit of sale where one is entered
    Source: geometry
    """
    bulk = area * depth
    return bulk if sale_unit == 0 else rounded_up(bulk / sale_unit) * sale_unit
