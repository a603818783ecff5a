"""Names and free text of the document."""

from typing import Annotated

from pydantic import StringConstraints

Name = Annotated[str, StringConstraints(min_length=1, max_length=60, pattern=r"^[^\x00-\x1f]*$")]
Note = Annotated[str, StringConstraints(max_length=2000)]
