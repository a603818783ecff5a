"""Figures of the price that stand beside the plan while rates are on show; this trade draws no picture."""

from pondkit.drawing.frame import Panel, keys

PANELS: tuple[Panel, ...] = ()
BESIDE = {
    "Rates": keys("total_price contingency own_contingency price line_amount total_labour_time total_machine_time"),
}
