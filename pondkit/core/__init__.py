"""Quantities, entries, problems, declared inputs and tables: what every trade builds on."""
