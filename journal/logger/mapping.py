"""Which column of a logger's file is what: proposed from its heads, said by the person, remembered from the last."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, dataclass, replace
from typing import Any

from sqlmodel import Session, col, select

from journal.book.records import current_build
from journal.book.tables import LoggerFile
from journal.errors import BadInput, nearest
from journal.logger.channels import CHANNELS, Guess, guess, unit_in, unit_named
from journal.logger.stated import StatedDoubt, read_stated
from journal.logger.text import Layout

#: Said of a column that is not wanted, and of those that hold the time, or day and clock apart.
LEFT_OUT, TIME, DATE = "-", "time", "date"
_TIME_WORDS = re.compile(
    r"\b(time ?stamp|date ?time|time|date|day|zeit\w*|datum\w*|uhrzeit|ts|utc|epoch|unix\w*|tmstamp|heure|hora|fecha"
    r"|millis|elapsed|clock)\b"
)
#: What names a time only where nothing else does: a clock that counts from zero, mostly.
_COUNTS = re.compile(r"\b(seconds?|secs?|minutes?|mins?|hours?|ms|t|runtime|uptime)\b")
_HOUR = re.compile(r"time|zeit|clock|hour|heure|hora", re.IGNORECASE)
_SAID = re.compile(
    r"(?P<what>none|time|date|lower wind|-?[a-z_]+|-)(?:\s*[\[(]?\s*(?P<unit>(?!at\b)[^\s\])@]+)\s*[\])]?)?"
    r"(?:\s*(?:at|@)\s*(?P<height>\d+(?:[.,]\d+)?)\s*m)?",
    re.IGNORECASE,
)
_DOUBT = re.compile(r"\+-|\+/-|±")
_ACCEPTED = (
    "Accepted: COLUMN=QUANTITY, like 'Kanal 3=wind', 'Kanal 3=wind km/h at 8 m +-0.3', 'Kanal 4=-'; quantities: "
)


@dataclass(frozen=True, slots=True)
class LoggerColumn:
    """What one column is.

    Parameters
    ----------
    head : str
        As it stands in the file.
    what : str
        A channel, ``time``, ``date``, or ``-`` where it is left out.
    unit : str
        Of its numbers.
    why : {"head", "cells", "said", "remembered", "unit assumed", "another wind", ""}
        How that is known, or which channel it could be as well; empty where nothing is.
    height : float or None
        Of an anemometer. [m]
    turned : bool
        Whether its numbers have the other sign.
    doubt : str
        How far a reading may be off, as it was typed behind ``+-``; see :mod:`journal.logger.stated`.
    """

    head: str
    what: str
    unit: str = ""
    why: str = ""
    height: float | None = None
    turned: bool = False
    doubt: str = ""

    @property
    def stated(self) -> StatedDoubt | None:
        """What was stated of how far a reading may be off; None where nothing was."""
        return read_stated(self.doubt, self.what, self.unit) if self.doubt else None


@dataclass(frozen=True)
class Mapping:
    """What the columns of a file are, how its times are meant, and in which zone."""

    columns: tuple[LoggerColumn, ...]
    zone: str | None = None
    days: str | None = None
    comma: bool = False

    @property
    def channels(self) -> dict[str, LoggerColumn]:
        """The columns that are read, by channel."""
        return {c.what: c for c in self.columns if c.what in CHANNELS}

    def places(self, what: str) -> list[int]:
        """Where the columns of one kind stand, from 0."""
        return [i for i, c in enumerate(self.columns) if c.what == what]

    def height(self, channel: str) -> float | None:
        """How high an anemometer stands, where that is known, in metres."""
        column = self.channels.get(channel)
        return column.height if column else None

    def text(self) -> str:
        """As the journal keeps it."""
        return json.dumps({"columns": [asdict(c) for c in self.columns], "zone": self.zone, "days": self.days})


def read_said(typed: list[str]) -> dict[str, LoggerColumn]:
    """What a person said of columns, by head in small letters.

    Raises
    ------
    BadInput
        If it cannot be read.
    """
    said = {}
    for one in typed:
        head, equals, meant = one.rpartition("=")
        meant, apart, doubt = _DOUBT.sub("±", meant.strip(), count=1).partition("±")
        found = _SAID.fullmatch(meant.strip())
        if not equals or not head.strip() or found is None or (apart and not doubt.strip()):
            raise BadInput(f"--map {one!r} cannot be read", _ACCEPTED + ", ".join(CHANNELS))
        what = found["what"].casefold().replace("lower wind", "wind_low").replace("none", LEFT_OUT)
        said[head.strip().casefold()] = _said(one, head.strip(), what, found["unit"] or "", found["height"])
        said[head.strip().casefold()] = _doubted(said[head.strip().casefold()], doubt.strip(), one)
    return said


def _doubted(column: LoggerColumn, doubt: str, one: str) -> LoggerColumn:
    """A column with what was said of its doubt."""
    if not doubt:
        return column
    if column.what not in CHANNELS:
        raise BadInput(f"--map {one!r}: a column of {column.what!r} has no doubt", _ACCEPTED + ", ".join(CHANNELS))
    read_stated(doubt, column.what, column.unit or next(iter(CHANNELS[column.what].units)))
    return replace(column, doubt=doubt)


def _said(one: str, head: str, what: str, unit: str, height: str | None) -> LoggerColumn:
    if what in (LEFT_OUT, TIME, DATE):
        return LoggerColumn(head, what, why="said")
    turned, what = what.startswith("-"), what.removeprefix("-")
    if what not in CHANNELS:
        close = nearest(what, list(CHANNELS))
        raise BadInput(f"--map {one!r}: {what!r} is no quantity",
                       f"Did you mean {close}?" if close else _ACCEPTED + ", ".join(CHANNELS))  # fmt: skip
    named = unit_named(unit) if unit else ""
    if unit and named not in CHANNELS[what].units:
        raise BadInput(f"--map {one!r}: {unit!r} is no unit of {what}", f"Accepted: {', '.join(CHANNELS[what].units)}")
    return LoggerColumn(head, what, named, "said",
                        float(height.replace(",", ".")) if height else None, turned)  # fmt: skip


def propose(
    layout: Layout, said: dict[str, LoggerColumn], kept: Mapping | None, zone: str | None, days: str | None
) -> Mapping:
    """What the columns are: as said, else as such a file was read before, else as their heads tell.

    Raises
    ------
    BadInput
        If somebody said something of a column that is not there, or no column holds the time.
    """
    _hold_named(layout, said)
    before = {c.head: c for c in kept.columns} if kept else {}
    columns = []
    for i, head in enumerate(layout.heads):
        own = said.get(head.casefold()) or said.get(str(i + 1)) or before.get(head)
        below = layout.units[i] or (layout.cell_units[i] if layout.cell_units else "")
        columns.append(_column(head, below) if own is None else _taken(own, head, below, said))
    if sum(c.what == TIME for c in columns) > 1:
        raise BadInput("Two columns are said to be the time", "Day and hour apart: --map 'HEAD=date' --map 'HEAD=time'")
    columns = _one_each(columns)
    columns = [_of_cells(c, i, layout) for i, c in enumerate(_with_time(columns, layout))]
    zone = zone or (kept.zone if kept else None) or _zone_in(columns)
    return Mapping(tuple(columns), zone, days or (kept.days if kept else None), layout.comma)


def _zone_in(columns: list[LoggerColumn]) -> str | None:
    """The zone that the head of the time names; only UTC can be told so."""
    heads = " ".join(c.head for c in columns if c.what in (TIME, DATE))
    return "UTC" if re.search(r"\b(utc|gmt|zulu)\b", heads.casefold().replace("_", " ")) else None


def _hold_named(layout: Layout, said: dict[str, LoggerColumn]) -> None:
    known = {h.casefold() for h in layout.heads} | {str(i + 1) for i in range(len(layout.heads))}
    for head, column in said.items():
        if head not in known:
            close = nearest(column.head, layout.heads)
            there = f"Columns: {', '.join(layout.heads[:40])}"
            raise BadInput(f"There is no column {column.head!r}", f"Did you mean {close!r}?" if close else there)


def _taken(own: LoggerColumn, head: str, below: str, said: dict[str, LoggerColumn]) -> LoggerColumn:
    """A column as somebody said, in the unit that was said, else in that of its cells or its head."""
    if own.what in CHANNELS and not own.unit:
        units = CHANNELS[own.what].units
        told = (u for u in (unit_named(below), unit_in(head)) if u in units)
        own_unit = next(told, next(iter(units)))
    else:
        own_unit = own.unit
    return replace(
        own, head=head, unit=own_unit, why="said" if own in said.values() else "remembered" if own.why else ""
    )


def _column(head: str, unit_below: str) -> LoggerColumn:
    found = guess(head, unit_below)
    if found is None:
        return LoggerColumn(head, LEFT_OUT)
    return LoggerColumn(head, found.channel, found.unit, "head" if found.named else "unit assumed", found.height)


def _of_cells(c: LoggerColumn, at: int, layout: Layout) -> LoggerColumn:
    """A column held against the units in its cells.

    Raises
    ------
    BadInput
        If they end with several, with none that is known for it, or with another than was named.
    """
    if c.what not in CHANNELS or not layout.cell_units:
        return c
    accepted = (
        f"Write the column in plain numbers, or in one of {', '.join(CHANNELS[c.what].units)} in every cell; "
        f"--map '{c.head}=-' leaves it out"
    )
    if at in layout.odd_cells:
        raise BadInput(
            f"The cells of {c.head!r} do not all end with one unit that is known, like {layout.odd_cells[at]!r}",
            accepted,
        )
    unit = layout.cell_units[at]
    if not unit:
        return c
    if unit not in CHANNELS[c.what].units:
        raise BadInput(f"The cells of {c.head!r} end with {unit}, which is no unit of {c.what}", accepted)
    # A head such as "amps" names a quantity, not its unit.
    by_head = unit_named(layout.units[at]) or ("" if unit_named(c.head) else unit_in(c.head))
    named = c.unit if c.why in ("said", "remembered") else by_head
    if named in CHANNELS[c.what].units and named != unit:
        raise BadInput(
            f"The cells of {c.head!r} end with {unit}, but {named} is named for it",
            f"If the cells are right, say --map '{c.head}={c.what} {unit}'; if not, write it in plain numbers",
        )
    return replace(c, why="cells") if c.why in ("head", "unit assumed") else c


def _one_each(columns: list[LoggerColumn]) -> list[LoggerColumn]:
    """Each channel once: what was said, else what fits best; of two anemometers the lower is another channel."""
    made = list(columns)
    for name in CHANNELS:
        of = [i for i, c in enumerate(made) if c.what == name]
        if len(of) < 2:
            continue
        best = max(of, key=lambda i: (made[i].why == "said", *_order(made[i]), -i))
        for i in of:
            if i == best:
                continue
            lower = name == "wind" and made[i].height is not None and (made[i].height or 0) < (made[best].height or 0)
            taken = any(c.what == "wind_low" for c in made)
            made[i] = (
                replace(made[i], what="wind_low")
                if lower and not taken
                else LoggerColumn(made[i].head, LEFT_OUT, why=f"another {name}")
            )
    return made


def _order(c: LoggerColumn) -> tuple[float, int]:
    found: Guess | None = guess(c.head)
    return c.height or 0.0, found.fit if found else 0


def _with_time(columns: list[LoggerColumn], layout: Layout) -> list[LoggerColumn]:
    """The column of time, or those of day and clock."""
    if any(c.what == TIME for c in columns):
        return columns
    free = [i for i, c in enumerate(columns) if c.what == LEFT_OUT and c.why != "said"]
    heads = [layout.heads[i].casefold().replace("_", " ") for i in free]
    named = [i for i, head in zip(free, heads, strict=True) if _TIME_WORDS.search(head)]
    named = named or [i for i, head in zip(free, heads, strict=True) if _COUNTS.search(head)][:1]
    if not named and layout.heads[0] == "column 1":
        named = free[:1]
    if not named:
        raise BadInput(
            "No column is known to hold the time",
            f"Say which: --map 'HEAD=time'. Columns: {', '.join(layout.heads[:40])}; it begins {layout.begins!r}",
        )
    made = list(columns)
    first = named[0]
    day = [i for i in named if re.search(r"date|datum|day|fecha", layout.heads[i].casefold())]
    clock = [i for i in named if i not in day and _HOUR.search(layout.heads[i])]
    if day and not clock and "time" not in layout.heads[day[0]].casefold():
        # A day alone is no time: an hour beside it is its clock.
        clock = [
            i for i in free if i not in day and re.search(r"\b(hour|hr|uhr|stunde)s?\b", layout.heads[i].casefold())
        ]
    if day and clock and "time" not in layout.heads[day[0]].casefold():
        made[day[0]] = LoggerColumn(layout.heads[day[0]], DATE, why="head")
        first = clock[0]
    made[first] = LoggerColumn(layout.heads[first], TIME, why="head")
    return made


def remembered(session: Session, layout: Layout) -> Mapping | None:
    """What was said of the last file of this build that had the same heads."""
    build = current_build(session)
    query = select(LoggerFile.mapping).where(
        LoggerFile.build_id == build.id, col(LoggerFile.withdrawn_because).is_(None)
    ).order_by(col(LoggerFile.number).desc())  # fmt: skip
    for text in session.exec(query.limit(200)):
        kept = mapping_of(text)
        if kept is not None and [c.head for c in kept.columns] == layout.heads:
            return kept
    return None


def mapping_of(text: str) -> Mapping | None:
    """A mapping that the journal keeps; None where it is none."""
    try:
        data: dict[str, Any] = json.loads(text)
        columns = tuple(LoggerColumn(**c) for c in data["columns"])
        return Mapping(columns, data.get("zone"), data.get("days"))
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
