"""Names and free text of the document, and which names refer to other parts."""

from dataclasses import dataclass
from typing import Annotated

from pydantic import StringConstraints


@dataclass(frozen=True)
class Refers:
    """Marks a name as that of another part: one of the option's pools, of the boulders or of the tunnels' nodes; or as that of
    a "row" of the levels to dig by, which begins with the name of a pool, node, body or wall and a colon."""

    to: str


Name = Annotated[str, StringConstraints(min_length=1, max_length=60, pattern=r"^[^\x00-\x1f]*$")]
Note = Annotated[str, StringConstraints(max_length=2000)]
PoolName = Annotated[str, StringConstraints(min_length=1, max_length=60), Refers("pools")]
BoulderName = Annotated[str, StringConstraints(min_length=1, max_length=60), Refers("boulders")]
NodeName = Annotated[str, StringConstraints(min_length=1, max_length=60), Refers("nodes")]
RowName = Annotated[str, StringConstraints(min_length=1, max_length=120), Refers("rows")]
