"""Who has a journal open, and whether the last one to have it ended as it should."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from journal.book.places import kept_folder, log_of
from journal.book.safe_files import is_database, make_folder
from journal.errors import Refused

try:
    import fcntl
except ImportError:
    # Where the system has no such locks, an unclean end is not noticed at once; "galebook doctor" still finds it.
    fcntl = None  # type: ignore[assignment]

#: How long others are waited for before a journal is replaced. [s]
PATIENCE = 15.0


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


@contextlib.contextmanager
def alone_with(path: Path) -> Iterator[None]:
    """Wait until nobody else has a journal open, and keep others waiting meanwhile.

    Raises
    ------
    Refused
        If somebody keeps it open.
    """
    with contextlib.ExitStack() as stack:
        sign = _sign(path, make=True)
        if sign is not None:
            stack.enter_context(sign)
            until = time.monotonic() + PATIENCE
            while not _alone(sign):
                if time.monotonic() > until:
                    raise Refused(f"Another program has {path} open", "Nothing was changed; close it and try again")
                time.sleep(0.05)
        yield


def _sign(path: Path, *, make: bool) -> BinaryIO | None:
    """The file that all who have a journal open share a lock on; none where there is no place for it."""
    folder = kept_folder(path)
    if fcntl is None or not (make or folder.is_dir()) or not os.access(path.parent, os.W_OK) or _is_other(path):
        return None
    try:
        make_folder(folder)
        return (folder / "in-use").open("ab")
    except OSError:
        return None


def _is_other(path: Path) -> bool:
    """Whether a file is no database; nothing is made beside what is somebody's text."""
    try:
        return path.exists() and not is_database(path)
    except OSError:
        return True


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
