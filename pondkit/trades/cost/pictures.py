"""Figures of the price that are shown beside the plan with the controls of the rates; this trade has no picture."""

from pondkit.drawing.frame import Panel, keys

PANELS: tuple[Panel, ...] = ()
BESIDE = {
    "Rates": keys("total_price contingency own_contingency price line_amount total_labour_time total_machine_time"),
}
