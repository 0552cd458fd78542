"""A logger's file between being tried and being kept: one at a time, in a folder that is gone when the pages end."""

from __future__ import annotations

import contextlib
import gzip
import math
import secrets
import tempfile
import threading
import time
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from starlette.datastructures import UploadFile

from journal.errors import BadInput, NotFound, Refused

#: The largest file that is taken, and the most that may come out of one that is packed. [bytes]
LARGEST_FILE, LARGEST_UNPACKED = 100 * 1024 * 1024, 500 * 1024 * 1024
#: How long a file waits to be kept. [s]
WAITS = 3600.0
_PIECE = 1024 * 1024
_MB = 1024 * 1024


@dataclass
class WaitingFile:
    """A file that came and is not kept yet, what was typed of it, and when it came."""

    token: str
    path: Path
    at: float
    typed: dict[str, str] = field(default_factory=dict)


def write_down(file: UploadFile, path: Path) -> None:
    """A file that came, under a name."""
    with path.open("wb") as out:
        file.file.seek(0)
        while piece := file.file.read(_PIECE):
            out.write(piece)


class Tray:
    """Where one file lies; a later one takes its place.

    Parameters
    ----------
    clock : callable
        Gives seconds that only grow.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._busy = threading.Lock()
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._held: WaitingFile | None = None

    @contextlib.contextmanager
    def alone(self) -> Iterator[None]:
        """Read, or take another in: one at a time, for the machine has other things to do.

        Raises
        ------
        Refused
            If one is being read.
        """
        if not self._busy.acquire(blocking=False):
            raise Refused("A logger's file is being read here already", "Send this again when that is done")
        try:
            yield
        finally:
            self._busy.release()

    def lay(self, file: UploadFile, name: str) -> WaitingFile:
        """Take a file in, in the place of the one before.

        Raises
        ------
        BadInput
            If it is too large, also unpacked.
        Refused
            If it cannot be written.
        """
        if (size := file.size or 0) > LARGEST_FILE:
            raise BadInput(
                f"{name} has {math.ceil(size / _MB)} MB; at most {LARGEST_FILE // _MB} are taken from a phone",
                "Pack it with gzip, or take it in at the desk: galebook logger FILE",
            )
        with self.alone():
            self.clear()
            try:
                self._folder = tempfile.TemporaryDirectory(prefix="galebook-")
                path = Path(self._folder.name) / name
                write_down(file, path)
            except OSError as e:
                self.clear()
                raise Refused(f"{name} cannot be laid down here ({e.strerror})", "Nothing was kept") from e
            if not _unpacks_within(path):
                self.clear()
                raise BadInput(
                    f"{name} unpacks to more than {LARGEST_UNPACKED // _MB} MB",
                    "Take it in at the desk: galebook logger FILE",
                )
            self._held = WaitingFile(secrets.token_urlsafe(18), path, self._clock())
            return self._held

    def held(self, token: str) -> WaitingFile:
        """The file that a page tells of.

        Raises
        ------
        NotFound
            If it is no longer there.
        """
        found = self._held
        if found is None or not secrets.compare_digest(found.token.encode(), token.encode()):
            raise NotFound("That file is no longer here; the last one lies ready for an hour", "Choose it again")
        if self._clock() > found.at + WAITS:
            with self.alone():
                self.clear()
            raise NotFound("That file is no longer here; the last one lies ready for an hour", "Choose it again")
        return found

    def clear(self) -> None:
        """Let go of what lies there."""
        folder, self._folder, self._held = self._folder, None, None
        if folder is not None:
            folder.cleanup()


def _unpacks_within(path: Path) -> bool:
    """Whether a file that is packed holds no more than is taken; what is damaged is told by who reads it."""
    with path.open("rb") as raw:
        if raw.read(2) != b"\x1f\x8b":
            return True
    seen = 0
    with contextlib.suppress(OSError, EOFError, zlib.error), gzip.open(path) as packed:
        while piece := packed.read(_PIECE):
            seen += len(piece)
            if seen > LARGEST_UNPACKED:
                return False
    return True
