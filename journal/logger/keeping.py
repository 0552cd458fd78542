"""Files of loggers kept with the journal: their rows and minutes as columns among the attached files."""

from __future__ import annotations

import contextlib
import json
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from sqlmodel import Session, select

from journal.book import attachments
from journal.book.kinds import a_text
from journal.book.loggerfiles import found_in
from journal.book.places import Place, files_folder
from journal.book.records import add_record, current_build, find_record, find_revision, get_record
from journal.book.safe_files import clear_left_over, made_sure, make_folder, temporary_name
from journal.book.tables import Attempt, LoggerFile, Revision
from journal.errors import BadInput, Refused
from journal.logger import mapping, text
from journal.logger.channels import CHANNELS
from journal.logger.faults import Still, Tally
from journal.logger.reading import LoggerRead, read
from journal.logger.times import as_text, never_forward
from journal.logger.ways import LoggerWay, way_of

#: How the file of minute means is called among the attached ones.
MINUTES = "minutes.parquet"
#: Said of a file that belongs to no machine: what the wind does at the place.
SITE = "site"
#: What only a machine gives.
_OF_A_MACHINE = {"power", "dump", "volts", "amps", "rpm", "energy"}


@dataclass(frozen=True)
class LoggerTyped:
    """What a person typed of logger files: whose they are, what is in them, how their clock goes."""

    on: str | None = None
    attempt: str | None = None
    mapped: list[str] = field(default_factory=list)
    zone: str | None = None
    days: str | None = None
    began: tuple[str, ...] = ()
    note: str | None = None


def ways(session: Session, files: list[Path], typed: LoggerTyped) -> list[LoggerWay]:
    """How files are to be read, the one that begins first ahead.

    Raises
    ------
    GalebookError
        If one of them cannot be read, or something typed of them cannot be used.
    """
    said = mapping.read_said(typed.mapped)
    _whose(session, typed, set(CHANNELS))
    found = []
    for file in files:
        sample = text.sample_of(file)
        layout = text.layout_of(sample, file.name)
        kept = mapping.remembered(session, layout)
        meant = mapping.propose(layout, said, kept, typed.zone, typed.days)
        found.append(way_of(file, sample, layout, meant, typed.began))
    if len(found) > 1 and typed.began:
        raise BadInput("--began tells of the runs of one file", "Read such files one by one, each with its own")
    return sorted(found, key=lambda w: w.first)


def read_all(
    ways_: list[LoggerWay], folder: Path | None, far: Callable[[str], None] = lambda _: None
) -> list[LoggerRead]:
    """Read files, one after the other; into a folder of its own each, where one is given."""
    made = []
    for number, way in enumerate(ways_):
        own = folder / str(number) if folder else None
        if own:
            own.mkdir()
        made.append(read(way, own, lambda told, way=way: far(f"{way.file.name} {told}")))  # type: ignore[misc]
    return made


@contextlib.contextmanager
def workplace(journal: Place) -> Iterator[Path]:
    """A folder beside the journal for what is being made, gone again whatever happens.

    Raises
    ------
    Refused
        If it cannot be written.
    """
    among = files_folder(journal)
    own = among / temporary_name()
    try:
        make_folder(among)
        clear_left_over(among)
        own.mkdir()
        yield own
    except OSError as e:
        raise Refused(f"{among} cannot be written ({e.strerror})", "Nothing was saved") from e
    finally:
        shutil.rmtree(own, ignore_errors=True)


def known(session: Session, made: LoggerRead) -> LoggerFile | None:
    """The record of a file that was read before, by its bytes, or by its rows where it is packed otherwise."""
    build = current_build(session)
    query = select(LoggerFile).where(LoggerFile.build_id == build.id, LoggerFile.rows == made.rows)
    same = [f for f in session.exec(query) if not f.withdrawn_because]
    span, ranges = (as_text(made.first), as_text(made.last)), _ranges(made)
    return next((f for f in same if f.sha256 == made.sha256), None) or next(
        (f for f in same if (f.first_at, f.last_at) == span and found_in(f).get("ranges") == ranges), None
    )


def beside(session: Session, made: LoggerRead, typed: LoggerTyped) -> list[str]:
    """What was kept before and bears on a file that is read now, in sentences."""
    name = made.way.file.name
    if (before := known(session, made)) is not None:
        return [f"The rows of {name} were read before, as {before.ref} {before.filename}."]
    revision, _ = _whose(session, typed, set(made.channels))
    query = select(LoggerFile).where(
        LoggerFile.build_id == current_build(session).id,
        LoggerFile.revision_id == (revision.key if revision else None),
        LoggerFile.first_at <= as_text(made.last),
        LoggerFile.last_at >= as_text(made.first),
    )
    refs = [f.ref for f in session.exec(query) if not f.withdrawn_because]
    if not refs:
        return []
    return [f"{name} tells of times of which {', '.join(refs)} told before: each minute counts once, by the earlier."]


def keep(session: Session, made: LoggerRead, typed: LoggerTyped) -> LoggerFile:
    """Keep what was read of a file: a record, its minutes, its rows.

    Raises
    ------
    Refused
        If the same was read before, or the folder beside the journal cannot be written.
    """
    name = made.way.file.name
    if (before := known(session, made)) is not None:
        alike = f"{name} was read before" if before.sha256 == made.sha256 else f"The rows of {name} were read before"
        raise Refused(
            f"{alike}, as {before.ref} {before.filename}", f"See: galebook show {before.ref}; nothing was kept"
        )
    revision, attempt = _whose(session, typed, set(made.channels))
    record = add_record(
        session, LoggerFile, revision_id=revision.key if revision else None,
        attempt_id=attempt.key if attempt else None,
        filename=a_text("The name of the file", limit=255)(name), sha256=made.sha256, size=made.size,
        mapping=made.way.mapping.text(), zone=str(made.way.zone) if made.way.form.local else "UTC",
        first_at=as_text(made.first), last_at=as_text(made.last), step=made.way.step / 1000 or None, rows=made.rows,
        gaps=made.order.gaps.count, resets=made.order.resets.count, stuck=len(_still(made)), spikes=made.spikes.count,
        bad=made.bad.count, found=json.dumps(found_of(made)), note=a_text("Note")(typed.note) if typed.note else None,
    )  # fmt: skip
    folder = made.parts[0][0].parent
    minutes = folder / f"{record.ref}-{MINUTES}"
    _write_minutes(made, minutes)
    attachments.attach(session, minutes, record.ref, caption=f"minute means of {name}", made=made_sure(minutes))
    for number, (part, digest) in enumerate(made.parts, 1):
        own = part.rename(folder / f"{record.ref}-rows-{number}.parquet")
        told = f"rows of {name}, part {number} of {len(made.parts)}"
        attachments.attach(session, own, record.ref, caption=told, made=digest)
    return record


def _whose(session: Session, typed: LoggerTyped, channels: set[str]) -> tuple[Revision | None, Attempt | None]:
    """The revision and the attempt that a file belongs to; neither where it tells of the place alone."""
    attempt = find_record(session, typed.attempt, Attempt) if typed.attempt else None
    if typed.on and typed.on.strip().casefold() == SITE:
        if attempt:
            raise BadInput(f"A file of {attempt.ref} is of a machine", "Leave out --on site, or --attempt")
        return None, None
    if attempt is not None:
        of: Revision = get_record(session, Revision, attempt.revision_id)
        if typed.on and find_revision(session, typed.on).key != of.key:
            raise BadInput(f"{attempt.ref} was on {of.ref}, not on {typed.on}", f"Accepted: --on {of.ref}, or neither")
        return of, attempt
    if typed.on or channels & _OF_A_MACHINE:
        return find_revision(session, typed.on), None
    return None, None


def whose_words(session: Session, typed: LoggerTyped, made: list[LoggerRead]) -> str:
    """Whose the files are, in words."""
    told = []
    for one in made:
        of = [r.ref for r in _whose(session, typed, set(one.channels)) if r]
        told.append(" ".join(of) or "the place, of no machine")
    return ", ".join(dict.fromkeys(told))


def _write_minutes(made: LoggerRead, file: Path) -> None:
    import polars as pl

    if made.minutes is None:
        raise ValueError("the file was not read to its end")
    columns = {n: v if n in ("time", "rows") else v.astype(np.float32) for n, v in made.minutes.columns.items()}
    pl.DataFrame(columns).fill_nan(None).write_parquet(file, compression="zstd", compression_level=3)


def _still(made: LoggerRead) -> list[Still]:
    return made.minutes.still if made.minutes else []


def _span(s: Still) -> dict[str, Any]:
    return {"channel": s.channel, "from": as_text(s.first * 1000), "to": as_text(s.last * 1000 + 59_000),
            "value": round(s.value, 4)}  # fmt: skip


def _held(made: LoggerRead) -> list[dict[str, Any]]:
    """What was held at which limit, how often and how long; the limit that held longest first."""
    spans: dict[tuple[str, float], list[Still]] = {}
    for s in made.minutes.held if made.minutes else []:
        spans.setdefault((s.channel, round(s.value, 4)), []).append(s)
    long = {of: sum((s.last - s.first) // 60 + 1 for s in some) for of, some in spans.items()}
    return [
        {"channel": of[0], "value": of[1], "spans": len(spans[of]), "minutes": long[of]}
        for of in sorted(spans, key=lambda of: -long[of])[:50]
    ]


def found_of(made: LoggerRead) -> dict[str, Any]:
    """What was odd about a file, with some of each kind; times in UTC."""
    order = made.order
    spans = [{**s, "from": as_text(int(str(s["from"]))), "to": as_text(int(str(s["to"])))} for s in order.gaps.some]
    return {
        "gaps": sorted(spans, key=lambda s: s["from"]),
        "missing_s": round(order.missing, 1),
        "resets": _timed(order.resets),
        "aside": order.aside,
        "unset": made.unset,
        "skipped": made.skipped,
        **({"never_forward": never_forward(made.way.zone, made.first)} if made.skipped else {}),
        "empty": {name: [count, count == made.rows] for name, count in made.empty.items() if count},
        "twice": order.twice,
        "stuck": [_span(s) for s in _still(made)[:50]],
        "stuck_minutes": made.minutes.flagged if made.minutes else 0,
        "held": _held(made),
        "spikes": _timed(made.spikes),
        "bad": made.bad.some,
        "ranges": _ranges(made),
    }  # fmt: skip


def _timed(tally: Tally) -> list[dict[str, Any]]:
    """Some faults with their times as text."""
    moments = ("from", "to", "at")
    return [{k: as_text(v) if k in moments and isinstance(v, int) else v for k, v in one.items()} for one in tally.some]


def _ranges(made: LoggerRead) -> dict[str, list[float]]:
    """The least, the middle and the most minute mean of each channel."""
    if made.minutes is None:
        return {}
    told = {}
    for name, values in made.minutes.columns.items():
        if name not in CHANNELS:
            continue
        some = np.asarray(values, float)
        some = some[np.isfinite(some)]
        if some.size:
            told[name] = [round(float(x), 4) for x in (some.min(), some.mean(), some.max())]
    return told
