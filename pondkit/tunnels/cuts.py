"""What the saw cuts for each run, and the stock lengths that it is cut from."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pondkit.document.tunnels import Fitting, Tunnels
from pondkit.result import Problem
from pondkit.takeoff import USER, Entry, Words, entry, with_cautions, words
from pondkit.tunnels import cutting
from pondkit.tunnels import relations as rel
from pondkit.tunnels.laying import Ends
from pondkit.tunnels.lying import Lying
from pondkit.tunnels.sizes import Pipe, added, stop
from pondkit.units import COUNT, LENGTH

LEVEL_MOUTH = Words("It comes out of a level part: leave the end long, and cut it to the floor in place.")
Stock = tuple[tuple[str, float], ...]  # (run, length [m]) of the pieces cut from one stock length


@dataclass(frozen=True)
class Cut:
    """Length that the saw cuts for one run, and the couplings inside it."""

    pipe: Pipe
    length: Entry
    joints: int


def cut_of(lying: Lying, ends: Ends, stock_length: float, measured: tuple[Fitting, ...]) -> Cut | Problem:
    """What the saw cuts for a run.

    Args:
        lying: The run.
        ends: Its fittings.
        stock_length: Length that the pipe is sold in [m].
        measured: Sizes of fittings that the person measured.
    """
    pipe = lying.leg.pipe
    stops = [[stop(fitting, name, measured) for fitting, name in end] for end in (ends.start, ends.end)]
    first, last = added(stops[0]), added(stops[1])
    coupling = stop("coupling", pipe.name, measured)
    clear = lying.length - first.typical - last.typical + ends.reach
    if clear <= 0:
        return Problem(
            ("tunnels", "runs", lying.leg.index),
            words(
                "it is {long} from node to node, and the fittings at its ends take {taken} of it",
                long=(lying.length, LENGTH),
                taken=(first.typical + last.typical, LENGTH),
            ),
            words("longer than its fittings take"),
            words("move its nodes apart, take a fitting that is shorter, or leave one of the two bends out"),
        )
    joints = cutting.joints(clear, stock_length, coupling.size.typical)
    used = [*stops[0], *stops[1], *([coupling] if joints else [])]
    notes = [size.caution for size in used if size.caution]
    if ends.level_mouth:
        notes.append(LEVEL_MOUTH)
    figure = entry(
        rel.cut_length, lying.leg.name, cautions=[*ends.bends, *notes], source=f"{pipe.source}; nodes: {USER}", run_length=lying.length, from_stop=first,
        to_stop=last, mouth_reach=ends.reach, joints=float(joints), coupling_stop=coupling.size if joints else 0.0,
    )  # fmt: skip
    if joints:
        rest = cutting.pieces(figure.value, stock_length)[-1]
        figure = with_cautions(figure, words("In {pieces} pieces with couplings between: {whole} of {stock} and one of {rest}.", pieces=(joints + 1, COUNT),
                                             whole=(joints, COUNT), stock=(stock_length, LENGTH), rest=(rest, LENGTH)))  # fmt: skip
    return Cut(pipe, figure, joints)


@dataclass(frozen=True)
class Bought:
    """What is bought of one pipe, and how it is cut."""

    lengths: Entry
    order: Entry
    offcut: Entry
    stock: tuple[Stock, ...]


def buy(pipe: Pipe, cuts: Sequence[Cut], tunnels: Tunnels) -> Bought:
    """Stock lengths of one pipe for the runs that are cut from it."""
    size, kerf = float(tunnels.stock_length), float(tunnels.kerf)
    figures = [cut.length for cut in cuts]
    split = [cutting.pieces(figure.value, size) for figure in figures]
    plan = cutting.plan([own[-1] for own in split], size, kerf)
    relation = rel.lengths_proven if plan.proven else rel.lengths_found
    lengths = entry(
        relation,
        pipe.name,
        source=USER,
        cut_lengths=[_bare(figure) for figure in figures],
        stock_length=size,
        kerf=kerf,
    )
    order = entry(rel.pipe_length_order, pipe.name, source=USER, pipe_lengths_to_buy=lengths, stock_length=size)
    # The offcut is no range of its own: pieces a little longer may take a further length, of which nearly all is left.
    offcut = entry(
        rel.offcut_length, pipe.name, pipe_length_order=order.value, cut_lengths=[figure.value for figure in figures]
    )
    whole = [((figure.subject, piece),) for figure, own in zip(figures, split, strict=True) for piece in own[:-1]]
    rests = [tuple((figures[at].subject, split[at][-1]) for at in stock) for stock in plan.stock]
    return Bought(lengths, order, offcut, (*whole, *rests))


def _bare(figure: Entry) -> Entry:
    """A figure without its cautions: they stand at the cut, not at each sum of cuts."""
    return replace(figure, cautions=())
