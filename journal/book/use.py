"""Who has a journal open, and whether the last one to have it ended as it should."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from journal.book.places import kept_folder, log_of
from journal.book.safe_files import make_folder

try:
    import fcntl
except ImportError:
    # Where the system has no such locks, an unclean end is not noticed at once; "galebook doctor" still finds it.
    fcntl = None  # type: ignore[assignment]


@contextlib.contextmanager
def in_use(path: Path, *, write: bool) -> Iterator[None]:
    """Say that a journal is open; after an unclean end it is looked through first.

    Parameters
    ----------
    path : Path
        The journal.
    write : bool
        Whether it may be changed; only then is a folder made beside it.

    Raises
    ------
    Refused
        If it was damaged.
    """
    with contextlib.ExitStack() as stack:
        sign = _sign(path, make=write)
        if sign is not None:
            stack.enter_context(sign)
            if _left_log(path) and _alone(sign):
                from journal.book.health import after_unclean_end

                after_unclean_end(path)
            fcntl.flock(sign, fcntl.LOCK_SH)
        yield


def _sign(path: Path, *, make: bool) -> BinaryIO | None:
    """The file that all who have a journal open share a lock on; none where there is no place for it."""
    folder = kept_folder(path)
    if fcntl is None or not (make or folder.is_dir()) or not os.access(path.parent, os.W_OK):
        return None
    try:
        make_folder(folder)
        return (folder / "in-use").open("ab")
    except OSError:
        return None


def _alone(sign: BinaryIO) -> bool:
    try:
        fcntl.flock(sign, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _left_log(path: Path) -> bool:
    try:
        return log_of(path).stat().st_size > 0
    except OSError:
        return False
