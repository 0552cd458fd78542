"""Verdicts of frozen revisions and of their failures, kept from one command to the next.

A frozen revision does not change, and judging it takes longer than all else that a command does. What is kept is
found again by a digest of everything that it depends on: the sheet with its doubts, provenance and readings, the
number of samples, the code and the tables of ``calc``, and the versions of Python and NumPy. Anything that differs
makes another name, so nothing kept can be out of date; a file that is not whole is passed over and written anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from collections.abc import Callable, Hashable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

if TYPE_CHECKING:
    from calc.rules.plan import Advice

T = TypeVar("T")

#: As many verdicts as a few builds have, with two for each failure; the oldest go first.
MOST = 1000
_DIGEST = 64


def folder() -> Path:
    """Where verdicts are kept: by GALEBOOK_CACHE, else in the user's cache folder."""
    if named := os.environ.get("GALEBOOK_CACHE"):
        return Path(named)
    import platformdirs

    return Path(platformdirs.user_cache_dir("galebook", appauthor=False)) / "verdicts"


@cache
def _program() -> str:
    """Tells one state of the code and tables that judge from another."""
    import calc

    root = Path(calc.__file__).parent
    files = sorted(p for p in root.rglob("*") if p.suffix in (".py", ".csv"))
    stats = [(str(p.relative_to(root)), (s := p.stat()).st_size, s.st_mtime_ns) for p in files]
    import numpy as np

    return repr((sys.version, np.__version__, stats))


def _name(key: Hashable) -> str:
    return hashlib.sha256(f"{key!r}\n{_program()}".encode()).hexdigest()


@cache
def _form(of: Any) -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(of)


def verdict(key: Hashable, judge: Callable[[], Advice]) -> Advice:
    """The findings of a sheet, and what to do first: as kept under its key, or judged now and kept."""
    from calc.rules.plan import Advice

    return once(Advice, key, judge)


def once(of: Any, key: Hashable, judge: Callable[[], T]) -> T:
    """What is computed of a sheet: as kept under its key, or computed now and kept.

    Parameters
    ----------
    of : type
        What it is: a dataclass, or what consists of such.
    key : hashable
        All on the side of the sheet that it depends on; its ``repr`` must tell different keys apart.
    judge : callable
        Called where nothing is kept.
    """
    path = folder() / _name(key)
    with contextlib.suppress(OSError, ValueError):
        digest, data = path.read_bytes().split(b"\n", 1)
        if digest.decode() == hashlib.sha256(data).hexdigest():
            return cast(T, _form(of).validate_json(data))
    found = judge()
    data = _form(of).dump_json(found)
    # JSON knows no infinite numbers: what would not come back as it went is not kept.
    with contextlib.suppress(OSError, ValueError):
        if _form(of).validate_json(data) == found:
            _keep(path, data)
    return found


def _keep(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, and let the oldest go."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    half = path.with_name(f"{path.name}.{os.getpid()}")
    half.write_bytes(hashlib.sha256(data).hexdigest().encode() + b"\n" + data)
    half.replace(path)
    kept = sorted(path.parent.iterdir(), key=lambda p: p.stat().st_mtime_ns, reverse=True)
    for old in kept[MOST:]:
        if len(old.name.split(".")[0]) == _DIGEST:
            old.unlink(missing_ok=True)
