"""Jobs as files in a folder: ``FOLDER/<job_id>/job.json`` and its dated versions. No streamlit.

A file is written beside its place and then put there by one rename, so that it is whole or not at all. Nothing outside
the folder is read or written: an id that is no plain name, and whatever is a symbolic link, is refused.
"""

import os
import re
import stat
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import blake2b
from pathlib import Path
from threading import Lock

from pondkit.core.refusal import Refused
from pondkit.core.remembered import remembered
from pondkit.core.units import brief
from pondkit.page.history import changed_last
from pondkit.project.files import MOST_BYTES, load, load_unseen, save
from pondkit.project.project import Project

JOB, VERSIONS = "job.json", "versions"
MOST_VERSIONS = 50
_ID = re.compile(r"[0-9A-Za-z_][0-9A-Za-z_.+-]{0,59}")
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.I)  # no file on Windows can be called so
_VERSION = re.compile(r"\d{4}-\d\d-\d\dT\d\d-\d\d-\d\d\.\d{6}Z\.json")
_writing = Lock()  # tabs of one server write one after the other


@dataclass(frozen=True)
class FiledJob:
    """A job of the folder: its id, title, when it was changed last [s since 1970], and why it cannot be read; "" if it
    can."""

    id: str
    title: str
    when: float
    fault: str = ""


class JobFolder:
    """The folder that jobs are kept in."""

    def __init__(self, folder: Path | str) -> None:
        """Raises: Refused where there is no such folder."""
        self.folder = Path(folder).expanduser().absolute()
        if not self.folder.is_dir():
            raise Refused(
                f"--jobs {folder}: there is no such folder. Make it, or name another; until then jobs are kept in the "
                "browser alone."
            )

    def jobs(self) -> list[FiledJob]:
        """Every job of the folder, the one changed last first."""
        found = []
        with os.scandir(self.folder) as entries:
            for entry in entries:
                if not (_plain(entry.name) and entry.is_dir(follow_symlinks=False)):
                    continue
                with suppress(OSError):
                    state = os.lstat(os.path.join(entry.path, JOB))
                    if stat.S_ISREG(state.st_mode):
                        found.append((state.st_mtime_ns, entry.name, state.st_size))
        return [_head(str(self.folder), name, when, size) for when, name, size in sorted(found, reverse=True)]

    def changed_last(self, job: FiledJob) -> str:
        """What was changed last in a job, in words, from its last two versions; "" where that cannot be told."""
        return "" if job.fault else _changed_last(str(self.folder), job.id, job.when)

    def read(self, job: str) -> tuple[Project, str]:
        """A job as it was written last, and the mark of its text.

        Raises: Refused where the id is no plain name, a link stands in its place, or the file is refused; OSError.
        """
        raw = _bytes(self._place(job) / JOB)
        return load(raw), mark(raw)

    def write(self, project: Project, known: Callable[[bytes], bool]) -> bool:
        """Keep a job: as a dated version, and as its ``job.json`` unless that holds what this session has not seen.

        Args:
            project: With its id.
            known: Whether a text is one that this session has read or written, or a step that led to the project.
        Returns: False where ``job.json`` was left as it is, as another tab or program has changed it.
        Raises: Refused where the id is no plain name or a link stands in its place; OSError.
        """
        place, raw = self._place(project.job_id), save(project).encode()
        with _writing:
            versions = place / VERSIONS
            for folder in (place, versions):
                folder.mkdir(exist_ok=True)
                _no_link(folder)
            _put(versions / f"{datetime.now(UTC):%Y-%m-%dT%H-%M-%S.%fZ}.json", raw)
            for old in sorted(name for name in os.listdir(versions) if _VERSION.fullmatch(name))[:-MOST_VERSIONS]:
                (versions / old).unlink(missing_ok=True)
            job = place / JOB
            if os.path.lexists(job):
                held = _bytes(job)
                if held != raw and not known(held):
                    return False
            _put(job, raw)
        return True

    def _place(self, job: str) -> Path:
        if not _plain(job):
            raise Refused(
                f"{brief(job)} cannot be the name of a job's folder; allowed are letters, digits, '_', '.', '+' and "
                "'-', the first a letter or digit. Save a copy under File: it gets another id."
            )
        place = self.folder / job
        _no_link(place)
        return place


def mark(raw: bytes) -> str:
    """What a text is told by."""
    return blake2b(raw, digest_size=16).hexdigest()


def _plain(name: str) -> bool:
    return bool(_ID.fullmatch(name)) and not _DEVICES.fullmatch(name) and not name.endswith(".")


def _no_link(path: Path) -> None:
    if path.is_symlink():
        raise Refused(f"{path} is a symbolic link; jobs are kept in plain folders and files. Take the link away.")


def _bytes(path: Path) -> bytes:
    """A plain file, read no further than the first byte that is too many."""
    _no_link(path)
    file = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(file, "rb") as opened:
        if not stat.S_ISREG(os.fstat(file).st_mode):
            raise Refused(f"{path} is no plain file; take it away.")
        return opened.read(MOST_BYTES + 1)


def _put(path: Path, raw: bytes) -> None:
    """A file in its place, whole or not at all."""
    file, beside = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(file, "wb") as opened:
            opened.write(raw)
            opened.flush()
            os.fsync(opened.fileno())
        os.replace(beside, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise


@remembered
def _changed_last(folder: str, job: str, when: float) -> str:
    """See ``JobFolder.changed_last``; read once as long as the job's file stays as it is."""
    versions = Path(folder) / job / VERSIONS
    try:
        _no_link(versions)
        last = sorted(name for name in os.listdir(versions) if _VERSION.fullmatch(name))[-2:]
        before, now = (load_unseen(_bytes(versions / name)) for name in last)
    except (Refused, OSError, ValueError):
        return ""
    return changed_last(before, now)


@remembered
def _head(folder: str, job: str, when: int, size: int) -> FiledJob:
    """A job's line; read once as long as its file stays as it is."""
    try:
        title, fault = load(_bytes(Path(folder) / job / JOB)).title, ""
    except Refused as refused:
        title, fault = "", refused.reasons[0]
    except OSError as error:
        title, fault = "", f"It cannot be read ({error.strerror})."
    return FiledJob(job, title, when / 1e9, fault)
