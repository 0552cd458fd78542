"""Minute means of what loggers wrote of a revision, or of the place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from sqlmodel import Session, col, select

from calc.curve.base import MinuteMeans
from journal.book.attachments import attachments_of, is_copy, stored_at
from journal.book.records import current_build
from journal.book.tables import Attempt, LoggerFile, Revision
from journal.errors import Refused
from journal.logger.keeping import MINUTES
from journal.logger.mapping import mapping_of
from journal.logger.stated import StatedDoubt

Arrays = dict[str, NDArray[np.float64]]
_NUMBERS = ("time", "rows")
_CHANNELS = tuple(f.name for f in fields(MinuteMeans) if f.name not in (*_NUMBERS, "height", "height_low", "step"))


def logger_files(
    session: Session, revision: Revision | None = None, *, attempt: Attempt | None = None
) -> list[LoggerFile]:
    """The logger files of a revision or an attempt, or of the place alone, oldest reading first."""
    build = current_build(session)
    query = select(LoggerFile).where(LoggerFile.build_id == build.id, col(LoggerFile.withdrawn_because).is_(None))
    if attempt is not None:
        query = query.where(LoggerFile.attempt_id == attempt.key)
    else:
        query = query.where(LoggerFile.revision_id == (revision.key if revision else None))
    return list(session.exec(query.order_by(col(LoggerFile.first_at), col(LoggerFile.number))))


def stated_doubts(own: Sequence[LoggerFile], place: Sequence[LoggerFile]) -> dict[str, StatedDoubt]:
    """What was stated of each channel by files of a machine; by those of the place where they alone read it.

    Of several files the greatest counts; a channel of which one of them states nothing is left out.
    """
    made: dict[str, StatedDoubt] = {}
    for files in (place, own):
        of: dict[str, list[StatedDoubt | None]] = {}
        for file in files:
            kept = mapping_of(file.mapping)
            for name, column in (kept.channels if kept else {}).items():
                of.setdefault(name, []).append(column.stated)
        for name, all_ in of.items():
            made.pop(name, None)
            told = [s for s in all_ if s is not None]
            if len(told) == len(all_):
                made[name] = max(told, key=lambda s: (s.share, s.amount))
    return made


def minute_means(session: Session, revision: Revision | None = None, *, attempt: Attempt | None = None) -> MinuteMeans:
    """Means over whole minutes of all that loggers wrote.

    Several files are joined: what one does not read another may, and where two read the same the earlier record counts.
    What a logger of the place alone read meanwhile fills what those of a machine do not tell.

    Parameters
    ----------
    session : Session
        The journal.
    revision : Revision or None
        Whose files; None for those that belong to the build alone, such as a wind logger's before anything is built.
    attempt : Attempt or None
        Only files of this attempt.

    Returns
    -------
    means : MinuteMeans
        In order of time, of several files joined; without any file it has no entries.

    Raises
    ------
    Refused
        If what was kept of a file is missing or damaged.
    """
    files = logger_files(session, revision, attempt=attempt)
    place = logger_files(session) if files and (revision or attempt) else []
    joined = _joined([_of(session, f) for f in files])
    if place and len(joined["time"]):
        beside = _joined([_of(session, f) for f in place])
        joined = _filled(joined, beside)
    heights = [_heights(f) for f in [*files, *place]]
    step = next((f.step for f in files if f.step), None)
    joined = _held(joined, step or 0.0)
    return MinuteMeans(
        time=joined["time"].astype(np.int64),
        rows=joined["rows"].astype(np.int64),
        **{name: joined[name] for name in _CHANNELS},
        height=next((h for h, _ in heights if h), float("nan")),
        height_low=next((h for _, h in heights if h), float("nan")),
        step=step if step else float("nan"),
    )


def _held(joined: Arrays, step: float) -> Arrays:
    """Rows farther apart than a minute stand for all the minutes until the next."""
    each = round(step / 60.0)
    if each < 2 or not len(joined["time"]):
        return joined
    time = (joined["time"][:, None] + 60.0 * np.arange(each)).ravel()
    spread = {name: np.repeat(values, each) for name, values in joined.items()} | {"time": time}
    # A row that came early cuts short the one before it.
    order = np.argsort(time, kind="stable")
    last = np.append(np.diff(time[order]) > 0, True)
    return {name: values[order][last] for name, values in spread.items()}


def _heights(file: LoggerFile) -> tuple[float | None, float | None]:
    kept = mapping_of(file.mapping)
    return (kept.height("wind"), kept.height("wind_low")) if kept else (None, None)


def _of(session: Session, file: LoggerFile) -> Arrays:
    """The minutes of one file."""
    where = _kept_at(session, file)
    if where is None:
        raise Refused(_gone(file), "See: galebook doctor")
    import polars as pl

    try:
        frame = pl.read_parquet(where, memory_map=False)
        found = {n: frame[n].to_numpy().astype(np.float64) for n in frame.columns}
        time = found["time"]
        rows = found["rows"]
    except (pl.exceptions.PolarsError, OSError, KeyError, ValueError, TypeError) as e:
        raise Refused(f"What was kept of {file.ref} {file.filename} is damaged", "See: galebook doctor") from e
    nothing = np.full(len(time), np.nan)
    return {"time": time, "rows": rows, **{n: found.get(n, nothing) for n in _CHANNELS}}


def _kept_at(session: Session, file: LoggerFile) -> Path | None:
    """Where the minutes of a file are kept; None where they are not."""
    kept = next((a for a in attachments_of(session, file.ref) if a.filename.endswith(MINUTES)), None)
    where = stored_at(session, kept) if kept else None
    return where if where is not None and is_copy(where) else None


def _gone(file: LoggerFile) -> str:
    return f"What was kept of {file.ref} {file.filename} is missing"


def lost(session: Session, files: Iterable[LoggerFile]) -> str:
    """Of which of these files what was kept is missing, in a sentence; empty where all is there."""
    gone = [_gone(f) for f in files if _kept_at(session, f) is None]
    more = f", and of {len(gone) - 1} more" if len(gone) > 1 else ""
    return f"{gone[0]}{more}" if gone else ""


def _joined(files: list[Arrays]) -> Arrays:
    """Minutes of several files, each once; a value is that of the first file that has one."""
    if len(files) == 1:
        return files[0]
    time = np.unique(np.concatenate([f["time"] for f in files])) if files else np.zeros(0)
    made: Arrays = {"time": time, "rows": np.zeros(len(time))}
    made |= {n: np.full(len(time), np.nan) for n in _CHANNELS}
    for f in files:
        at = np.searchsorted(time, f["time"])
        made["rows"][at] = np.maximum(made["rows"][at], f["rows"])
        for n in _CHANNELS:
            made[n][at] = np.where(np.isnan(made[n][at]), f[n], made[n][at])
    return made


def _filled(own: Arrays, beside: Arrays) -> Arrays:
    """What is missing in minutes, from those of others at the same time."""
    at = np.searchsorted(beside["time"], own["time"])
    at = np.minimum(at, max(len(beside["time"]) - 1, 0))
    same = beside["time"][at] == own["time"] if len(beside["time"]) else np.zeros(len(own["time"]), bool)
    made = dict(own)
    for n in _CHANNELS:
        made[n] = np.where(np.isnan(own[n]) & same, beside[n][at] if len(beside["time"]) else np.nan, own[n])
    return made
