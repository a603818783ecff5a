"""Clearances: what the dig keeps clear of, the way in, and stones over other works.

Read ``inputs``, ``formulas``, ``compute`` (distance of each footprint to everything that is kept clear, the way in,
and boulders over mouths, pipes, dens, pits' edges, bodies and walls), ``cautions``, ``results``,
``pictures``.

Choices:
- A dig counts as far out as it meets the ground anywhere, a machine as far as its furthest corner all round.
- A keep-out that is entered counts once; each pair of a work and a keep-out is named.
"""
