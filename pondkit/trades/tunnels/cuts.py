"""Cut lengths of the runs, and the stock lengths that they are cut from."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pondkit.core.entry import USER, Entry, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH
from pondkit.solvers.cutting_stock import least_plan
from pondkit.solvers.cutting_stock import plan as quick_plan
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.alignment import Alignment, EndAllowances
from pondkit.trades.tunnels.inputs import Fitting, Node
from pondkit.trades.tunnels.joints import PassagePipe, added, centre_to_stop
from pondkit.trades.tunnels.runs import RunAlignment

StockPieces = tuple[tuple[str, float], ...]  # (run, length [m]) of each piece cut from one stock length


@dataclass(frozen=True)
class RunCut:
    """Pipe to cut for one run, or for the short piece between two fittings.

    Attributes:
        pipe: Its pipe.
        length: Its cut length; subject the run, or the node of the short piece.
        couplings: Number of couplings inside it, where it is longer than a stock length.
    """

    pipe: PassagePipe
    length: Entry
    couplings: int


def cut_of(
    run: RunAlignment, allowances: EndAllowances, stock_length: float, measured: tuple[Fitting, ...], socket: float
) -> RunCut | Problem:
    """Cut length of a run, or the problem that prevents it.

    Args:
        run: The run.
        allowances: What the fittings and mouths at its ends take or add.
        stock_length: Stock length of pipe that has none of its own [m].
        measured: Fittings that the person measured.
        socket: Socket depth of a fitting [m].
    """
    pipe, ends = run.pipe, (allowances.start, allowances.end)
    stock_length = pipe.stock or stock_length
    stops = [[centre_to_stop(fitting, pipe_of_fitting, measured) for fitting, pipe_of_fitting in end] for end in ends]
    first, last = added(stops[0]), added(stops[1])
    coupling = centre_to_stop("coupling", pipe, measured)
    shortening = first.typical + last.typical + allowances.setback
    stop_to_stop = run.length - shortening + allowances.mouth_reach
    sockets = sum(any(fitting != "chamber entry" for fitting, _ in end) for end in ends)
    least = sockets * socket
    if stop_to_stop <= 0 or stop_to_stop < least - 1e-9:
        return _too_short(run, stop_to_stop, shortening, least)
    couplings = relations.couplings(stop_to_stop, stock_length, coupling.size.typical)
    used = [*stops[0], *stops[1], *([coupling] if couplings else [])]
    notes: list[Words] = [size.caution for size in used if size.caution]
    if allowances.level_mouth:
        notes.append(warn.LEVEL_MOUTH())
    figure = entry(
        relations.cut_length,
        run.name,
        cautions=[*allowances.cautions, *notes],
        source=f"{pipe.source}; nodes: {USER}",
        run_length=run.length,
        from_stop=first,
        to_stop=last,
        setback=allowances.setback,
        mouth_reach=allowances.mouth_reach,
        couplings=float(couplings),
        coupling_stop=coupling.size if couplings else 0.0,
    )
    if couplings:
        rest = (relations.pieces(figure.value, stock_length)[-1], LENGTH)
        stock, pieces = (stock_length, LENGTH), (couplings + 1, COUNT)
        figure = with_cautions(figure, warn.IN_PIECES(pieces=pieces, whole=(couplings, COUNT), stock=stock, rest=rest))
    return RunCut(pipe, figure, couplings)


def _too_short(run: RunAlignment, stop_to_stop: float, shortening: float, least: float) -> Problem:
    """Problem of a run with no pipe left between its fittings, or less than their sockets are deep."""
    path = ("tunnels", "runs", run.index)
    if stop_to_stop <= 0:
        return Problem(
            path,
            words(
                "it is {long} from node to node, and the fittings at its ends take {taken} of it",
                long=(run.length, LENGTH),
                taken=(shortening, LENGTH),
            ),
            words("longer than its fittings take"),
            words("move its nodes apart, take a fitting that is shorter, or leave one of the two bends out"),
        )
    return Problem(
        path,
        words("what is left to cut is {cut}", cut=(stop_to_stop, LENGTH)),
        words("at least the depth of its sockets, {least}", least=(least, LENGTH)),
        words(
            "move its nodes apart, or join the two fittings without a piece between them and enter that as one fitting"
        ),
    )


@dataclass(frozen=True)
class StockOrder:
    """Order of one pipe. Subjects are the pipe.

    Attributes:
        lengths: Number of stock lengths to buy.
        order: Their length together.
        offcut: The part of it that is left over.
        cutting_plan: What is cut from each stock length.
        stock_length: Stock length of this pipe [m].
    """

    lengths: Entry
    order: Entry
    offcut: Entry
    cutting_plan: tuple[StockPieces, ...]
    stock_length: float


@remembered
def stubs(alignment: Alignment, nodes: Sequence[Node], socket: Range) -> tuple[RunCut, ...]:
    """Short pieces of pipe between two fittings in series, at each node that has some; ``socket``: socket depth [m]."""
    cuts = []
    for node, pipe_joint in alignment.joints.items():
        for number, pipe in enumerate(pipe_joint.stubs, 1):
            subject = f"{nodes[node].name}, between fittings" + (f" ({number})" if number > 1 else "")
            cuts.append(RunCut(pipe, entry(relations.stub_length, subject, source=USER, socket=socket), 0))
    return tuple(cuts)


@remembered
def stock_order(
    pipe: PassagePipe, cuts: Sequence[RunCut], stock_length: float, kerf: float, proven: bool
) -> StockOrder:
    """Stock lengths of one pipe to order, and what is cut from each.

    A run longer than a stock length takes whole ones and a remainder; only the remainders are planned.

    Args:
        pipe: The pipe.
        cuts: All that is cut from it.
        stock_length: Stock length of pipe that has none of its own [m].
        kerf: Width of a saw cut [m].
        proven: Search for a proven optimum (up to about one second) instead of first-fit.
    """
    figures = [cut.length for cut in cuts]
    stock_length = pipe.stock or stock_length
    pieces_of = [relations.pieces(figure.value, stock_length) for figure in figures]
    planner = least_plan if proven else quick_plan
    plan = planner([pieces[-1] for pieces in pieces_of], stock_length, kerf)
    relation = (
        relations.lengths_searched if proven else relations.lengths_proven if plan.proven else relations.lengths_found
    )
    whole_lengths = sum(len(pieces) - 1 for pieces in pieces_of)
    advice = "" if proven else "Choose the proven cutting plan before you order. "
    fewer = [] if plan.proven else [warn.CUTTING_NOT_PROVEN(least=(plan.least + whole_lengths, COUNT), advice=advice)]
    # The long search is made: the relation takes its result for these lengths, and searches for low and high alone.
    known = {"known_plans": {tuple(f.value for f in figures): len(plan.stock) + whole_lengths}} if proven else {}
    lengths = entry(
        relation,
        pipe.name,
        source=USER,
        cautions=fewer,
        cut_lengths=[_without_cautions(figure) for figure in figures],
        stock_length=stock_length,
        kerf=kerf,
        **known,
    )
    order = entry(
        relations.pipe_length_order, pipe.name, source=USER, pipe_lengths_to_buy=lengths, stock_length=stock_length
    )
    # The offcut has no range: slightly longer pieces may need one more stock length, nearly all of it offcut.
    offcut = entry(
        relations.offcut_length,
        pipe.name,
        pipe_length_order=order.value,
        cut_lengths=[figure.value for figure in figures],
    )
    whole = [
        ((figure.subject, piece),) for figure, pieces in zip(figures, pieces_of, strict=True) for piece in pieces[:-1]
    ]
    shared = [tuple((figures[index].subject, pieces_of[index][-1]) for index in stock) for stock in plan.stock]
    return StockOrder(lengths, order, offcut, (*whole, *shared), stock_length)


def _without_cautions(figure: Entry) -> Entry:
    """A cut length without its cautions, which would come again at each sum of cuts."""
    return replace(figure, cautions=())
