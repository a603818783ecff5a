"""Names and free text of the document, and which names refer to other parts."""

from dataclasses import dataclass
from typing import Annotated

from pydantic import StringConstraints

from pondkit.core.characters import LINES, ONE_LINE


@dataclass(frozen=True)
class Refers:
    """Marks a name as that of another part: one of the option's pools, of the boulders, of the tunnels' nodes, of the
    own pipes of its trade, of the project's options; or as that of a "row" of the levels to dig by, which begins with
    the name of a pool, node, body or wall and a colon.
    """

    to: str


def text(most: int, least: int = 0) -> StringConstraints:
    """What a text on one line may hold: so many characters, none of them a control."""
    return StringConstraints(min_length=least, max_length=most, pattern=ONE_LINE)


def lines(most: int) -> StringConstraints:
    """What a text that may have several lines may hold."""
    return StringConstraints(max_length=most, pattern=LINES)


Name = Annotated[str, text(60, 1)]
Note = Annotated[str, lines(2000)]
PoolName = Annotated[str, text(60, 1), Refers("pools")]
BoulderName = Annotated[str, text(60, 1), Refers("boulders")]
NodeName = Annotated[str, text(60, 1), Refers("nodes")]
OwnPipeName = Annotated[str, text(60, 1), Refers("own_pipes")]
RowName = Annotated[str, text(120, 1), Refers("rows")]
