"""Quantities, entries, problems, declared inputs and tables: the basis of every trade."""
