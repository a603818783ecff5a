"""Works the tunnels of an option out: runs, fittings, cut list, what lies in water, penetrations."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pondkit.document.tunnels import Tunnels
from pondkit.result import Problem, Result
from pondkit.surface.ground import Plane
from pondkit.surface.thread import Segment, Spot, Thread
from pondkit.takeoff import USER, Entry, Words, entry, total, with_cautions, words
from pondkit.tunnels import cutting
from pondkit.tunnels import relations as rel
from pondkit.tunnels.cuts import Cut, buy, cut_of
from pondkit.tunnels.lying import Lying, Side, drowned, laid_out
from pondkit.tunnels.net import Net, Outlet, draining, graph, net, no_drain, reached
from pondkit.units import LENGTH, VOLUME
