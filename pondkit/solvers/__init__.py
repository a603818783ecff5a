"""Numerical methods that any trade may call: head loss of a pipe (``friction.py``), pump curves (``curves.py``), flows
of pumps and branches, and of a grid of pipes (``pipe_network.py``), and pieces cut from the fewest stock lengths
(``cutting_stock.py``). All quantities are in SI: lengths and heads in m, flows in m³/s.
"""
