"""A design as a piece of text that fits into a link."""

import base64
import binascii
import json
import zlib

from pondkit.core.refusal import Refused
from pondkit.project.files import MOST_BYTES, load, plain, put
from pondkit.project.project import Project

CUT_SHORT = (
    "The link was cut short or changed on its way, so that its design cannot be read; copy it whole, or send the "
    "project file."
)


def as_link(project: Project) -> str:
    """The design, packed into the letters that a link may hold; a picture under the plan is too large for one, and so
    is a logo. What is made of it is another job."""
    bare = put(project.changed(picture=None, job_id=""), ("site", "job", "firm", "logo"), "")
    text = json.dumps(plain(bare), ensure_ascii=False, separators=(",", ":"))
    return base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def from_link(text: str) -> Project:
    """The design that a link carries.

    Raises: Refused where the text is not whole, or the design in it is refused.
    """
    try:
        packed = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
        unpacking = zlib.decompressobj()
        raw = unpacking.decompress(packed, MOST_BYTES + 1)
    except (binascii.Error, ValueError, zlib.error):
        raise Refused(CUT_SHORT) from None
    if not unpacking.eof and len(raw) <= MOST_BYTES:
        raise Refused(CUT_SHORT)
    return load(raw).changed(job_id="")
