"""Cut lengths of the runs, and the stock lengths to cut them from."""

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
from pondkit.trades.tunnels import formulas as pipe_formulas
from pondkit.trades.tunnels.alignment import Alignment, RunEnds
from pondkit.trades.tunnels.inputs import Fitting, Node
from pondkit.trades.tunnels.joints import PassagePipe, added, centre_to_stop
from pondkit.trades.tunnels.runs import RunAlignment

StockLength = tuple[tuple[str, float], ...]  # (run, length [m]) of the pieces cut from one stock length


@dataclass(frozen=True)
class RunCut:
    """Cut length of one run, and the couplings inside it."""

    pipe: PassagePipe
    length: Entry
    joints: int


def cut_of(
    run: RunAlignment, ends: RunEnds, stock_length: float, measured: tuple[Fitting, ...], socket: float
) -> RunCut | Problem:
    """Cut length of a run, or the problem that prevents it.

    Args:
        run: The run.
        ends: Its end allowances.
        stock_length: Stock length of the pipe [m].
        measured: Sizes of fittings that the person measured.
        socket: Socket depth of a fitting [m].
    """
    pipe = run.pipe
    stock_length = pipe.stock or stock_length
    stops = [[centre_to_stop(fitting, wide, measured) for fitting, wide in end] for end in (ends.start, ends.end)]
    first, last = added(stops[0]), added(stops[1])
    coupling = centre_to_stop("coupling", pipe, measured)
    clear = run.length - first.typical - last.typical - ends.setback + ends.reach
    sockets = sum(any(fitting != "chamber entry" for fitting, _ in end) for end in (ends.start, ends.end))
    allowance, least = first.typical + last.typical + ends.setback, sockets * socket
    if clear <= 0 or clear < least - 1e-9:
        return _too_short(run, clear, allowance, least)
    joints = pipe_formulas.joints(clear, stock_length, coupling.size.typical)
    used = [*stops[0], *stops[1], *([coupling] if joints else [])]
    notes: list[Words] = [size.caution for size in used if size.caution]
    if ends.level_mouth:
        notes.append(warn.LEVEL_MOUTH())
    figure = entry(
        pipe_formulas.cut_length,
        run.name,
        cautions=[*ends.bends, *notes],
        source=f"{pipe.source}; nodes: {USER}",
        run_length=run.length,
        from_stop=first,
        to_stop=last,
        setback=ends.setback,
        mouth_reach=ends.reach,
        joints=float(joints),
        coupling_stop=coupling.size if joints else 0.0,
    )
    if joints:
        rest = (pipe_formulas.pieces(figure.value, stock_length)[-1], LENGTH)
        stock, pieces = (stock_length, LENGTH), (joints + 1, COUNT)
        figure = with_cautions(figure, warn.IN_PIECES(pieces=pieces, whole=(joints, COUNT), stock=stock, rest=rest))
    return RunCut(pipe, figure, joints)


def _too_short(run: RunAlignment, clear: float, allowance: float, least: float) -> Problem:
    """Problem of a run too short for pipe between its fittings, or for the depth of their sockets."""
    path = ("tunnels", "runs", run.index)
    if clear <= 0:
        return Problem(
            path,
            words(
                "it is {long} from node to node, and the fittings at its ends take {taken} of it",
                long=(run.length, LENGTH),
                taken=(allowance, LENGTH),
            ),
            words("longer than its fittings take"),
            words("move its nodes apart, take a fitting that is shorter, or leave one of the two bends out"),
        )
    return Problem(
        path,
        words("what is left to cut is {cut}", cut=(clear, LENGTH)),
        words("at least the depth of its sockets, {least}", least=(least, LENGTH)),
        words(
            "move its nodes apart, or join the two fittings without a piece between them and enter that as one fitting"
        ),
    )


@dataclass(frozen=True)
class StockOrder:
    """Order of one pipe: what to buy, its cutting plan, and its stock length [m]."""

    lengths: Entry
    order: Entry
    offcut: Entry
    stock: tuple[StockLength, ...]
    size: float


@remembered
def stubs(alignment: Alignment, nodes: Sequence[Node], socket: Range) -> tuple[RunCut, ...]:
    """Short connecting pieces between two fittings in series at a node."""
    cuts = []
    for node, pipe_joint in alignment.joints.items():
        for number, pipe in enumerate(pipe_joint.stubs, 1):
            subject = f"{nodes[node].name}, between fittings" + (f" ({number})" if number > 1 else "")
            cuts.append(RunCut(pipe, entry(pipe_formulas.stub_length, subject, source=USER, socket=socket), 0))
    return tuple(cuts)


@remembered
def stock_order(pipe: PassagePipe, cuts: Sequence[RunCut], size: float, kerf: float, proven: bool) -> StockOrder:
    """Stock lengths of one pipe to order, and their cutting plan.

    Args:
        pipe: The pipe.
        cuts: The pieces to cut from it.
        size, kerf: Default stock length, and width of a saw cut [m].
        proven: Search for a proven optimum (up to about one second) instead of first-fit.
    """
    figures = [cut.length for cut in cuts]
    size = pipe.stock or size
    split = [pipe_formulas.pieces(figure.value, size) for figure in figures]
    make = least_plan if proven else quick_plan
    plan = make([pieces[-1] for pieces in split], size, kerf)
    relation = (
        pipe_formulas.lengths_searched
        if proven
        else pipe_formulas.lengths_proven
        if plan.proven
        else pipe_formulas.lengths_found
    )
    whole_lengths = sum(len(pieces) - 1 for pieces in split)
    look_on = "" if proven else "Choose the proven cutting plan before you order. "
    fewer = [] if plan.proven else [warn.CUTTING_NOT_PROVEN(least=(plan.least + whole_lengths, COUNT), look_on=look_on)]
    known = {"known_plans": {tuple(f.value for f in figures): len(plan.stock) + whole_lengths}} if proven else {}
    lengths = entry(
        relation,
        pipe.name,
        source=USER,
        cautions=fewer,
        cut_lengths=[_bare(figure) for figure in figures],
        stock_length=size,
        kerf=kerf,
        **known,
    )
    order = entry(
        pipe_formulas.pipe_length_order, pipe.name, source=USER, pipe_lengths_to_buy=lengths, stock_length=size
    )
    # The offcut has no range: slightly longer pieces may need one more stock length, nearly all of it offcut.
    offcut = entry(
        pipe_formulas.offcut_length,
        pipe.name,
        pipe_length_order=order.value,
        cut_lengths=[figure.value for figure in figures],
    )
    single_pieces = [
        ((figure.subject, piece),) for figure, pieces in zip(figures, split, strict=True) for piece in pieces[:-1]
    ]
    rests = [tuple((figures[index].subject, split[index][-1]) for index in stock) for stock in plan.stock]
    return StockOrder(lengths, order, offcut, (*single_pieces, *rests), size)


def _bare(figure: Entry) -> Entry:
    """A figure without its cautions, which belong to the cut rather than to each sum of cuts."""
    return replace(figure, cautions=())
