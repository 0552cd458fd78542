"""A logger's file: what its columns are taken to be, what was read, and all that was odd about it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from calc.units import show
from calc.wording import number_of
from journal.logger.channels import CHANNELS
from journal.logger.keeping import found_of
from journal.logger.mapping import DATE, LEFT_OUT, TIME, LoggerColumn
from journal.logger.reading import LoggerRead
from journal.logger.text import SEPARATORS
from journal.logger.times import as_text
from journal.screens.terminal import Terminal, screen

#: Faults of one kind of which each is told; the rest is counted.
SHOWN = 5
_HOW = {
    "head": "by its head", "cells": "by its head and the unit in its cells", "said": "as you said",
    "remembered": "as in the last such file",
    "unit assumed": "its head names no unit: this one was assumed", "": "not known",
}  # fmt: skip
_TIMES = {"text": "", "seconds": "Unix seconds", "milliseconds": "Unix milliseconds",
          "microseconds": "Unix microseconds", "nanoseconds": "Unix nanoseconds", "days": "days of a spreadsheet",
          "elapsed": "counted from when it was switched on"}  # fmt: skip


@dataclass(frozen=True)
class LoggerLook:
    """Files that were read, with the references of what was kept of them; none where it was only a try."""

    read: list[LoggerRead]
    refs: list[str]
    whose: str
    notes: list[str]

    @property
    def kept(self) -> bool:
        """Whether anything was written."""
        return bool(self.refs)


def _data(look: LoggerLook) -> dict[str, Any]:
    return {
        "kept": look.kept,
        "of": look.whose,
        "notes": look.notes,
        "files": [_file_data(r, look.refs[i] if look.kept else None) for i, r in enumerate(look.read)],
    }


def _file_data(r: LoggerRead, ref: str | None) -> dict[str, Any]:
    return {
        "ref": ref, "file": r.way.file.name, "sha256": r.sha256, "size": r.size,
        "separator": SEPARATORS[r.way.layout.separator], "decimal": "comma" if r.way.layout.comma else "point",
        "columns": [asdict(c) for c in r.way.mapping.columns],
        "times": r.way.form.pattern or r.way.form.kind, "zone": str(r.way.zone), "zone_assumed": r.way.assumed,
        "first": as_text(r.first), "last": as_text(r.last), "step_s": r.way.step / 1000, "rows": r.rows,
        "minutes": len(r.minutes.columns["time"]) if r.minutes else 0,
        "counts": {"gaps": r.order.gaps.count, "resets": r.order.resets.count,
                   "stuck": len(r.minutes.still) if r.minutes else 0, "spikes": r.spikes.count, "bad": r.bad.count},
        "found": found_of(r),
    }  # fmt: skip


@screen(_data)
def show_logger(out: Terminal, look: LoggerLook) -> None:
    """Each file, its columns, its counts; what was kept."""
    for i, r in enumerate(look.read):
        _file(out, r, look.refs[i] if look.kept else "")
    for note in look.notes:
        out.line(note)
    if not look.kept:
        out.line("Only tried: nothing was kept.")
    else:
        out.line(f"Kept {', '.join(look.refs)}, of {look.whose}.")


def _file(out: Terminal, r: LoggerRead, ref: str) -> None:
    layout = r.way.layout
    marks = f"cells divided by {SEPARATORS[layout.separator]}{', decimals with a comma' if layout.comma else ''}"
    out.title(f"{ref} {r.way.file.name}".strip() + f": {number_of(r.rows, 'row')}, {marks}")
    out.table(("Column", "Is", "In", ""), (_row(c) for c in r.way.mapping.columns))
    every = f", a row every {show(r.way.step / 1000, 's', 3)}" if r.way.step else ""
    out.line(f"From {_when(r.first)} to {_when(r.last)} UTC{every}. {_zone(r)}")
    for line in told_of(found_of(r), _counts(r)):
        out.line(line)


def _counts(r: LoggerRead) -> dict[str, int]:
    return {"gaps": r.order.gaps.count, "resets": r.order.resets.count, "spikes": r.spikes.count, "bad": r.bad.count,
            "stuck": len(r.minutes.still) if r.minutes else 0}  # fmt: skip


def _when(ms: int) -> str:
    return clock(as_text(ms))


def clock(at: str) -> str:
    """A moment of the record as people read it."""
    return at[:16].replace("T", " ") if at[17:19] == "00" else at[:19].replace("T", " ")


def _zone(r: LoggerRead) -> str:
    if r.way.assumed:
        return (
            "Its times name no zone and were taken as UTC; if its clock goes otherwise, say --zone, like Europe/Dublin."
        )
    if r.way.form.local:
        return f"Its clock goes by {r.way.zone}."
    return f"Times are {_TIMES[r.way.form.kind]}." if _TIMES[r.way.form.kind] else ""


def _row(c: LoggerColumn) -> tuple[str, ...]:
    if c.what == LEFT_OUT:
        return c.head, "left out", "", _left(c)
    what = {TIME: "time", DATE: "day"}.get(c.what) or CHANNELS[c.what].meaning
    at = f"at {c.height:g} m, " if c.height else ""
    doubt = f", ± {stated.typed}" if (stated := c.stated) else ""
    return c.head, what, c.unit, f"{at}{_HOW.get(c.why, '')}{doubt}"


def _left(c: LoggerColumn) -> str:
    """Why a column is left out, and what could be said of it."""
    if c.why.startswith("another "):
        return f"{c.why}; choose with --map"
    return _HOW[c.why] if c.why else "not known; say with --map"


def told_of(found: dict[str, Any], counts: dict[str, int]) -> list[str]:
    """All that was odd, kind by kind, with its count and the first of them."""
    told = [
        _gaps(found, counts["gaps"]), _resets(found, counts["resets"]), _aside(found), _stuck(found, counts["stuck"]),
        _held(found),
        _spikes(found, counts["spikes"]), _bad(found, counts["bad"]), _empty(found),
    ]  # fmt: skip
    lines = [line for line in told if line]
    return lines or ["No gap, reset, stuck sensor, spike or bad line was found."]


def _some(rows: list[str], count: int) -> str:
    more = count - len(rows[:SHOWN])
    return "; ".join(rows[:SHOWN]) + (f"; and {more:,} more" if more > 0 else "")


def _gaps(found: dict[str, Any], count: int) -> str:
    if not count:
        return ""
    rows = [f"{clock(g['from'])} to {clock(g['to'])}" for g in found["gaps"]]
    return f"{number_of(count, 'gap')}, {show(found['missing_s'], 'h', 3)} in all: {_some(rows, count)}."


def _resets(found: dict[str, Any], count: int) -> str:
    if not count:
        return ""
    rows = [_reset(r) for r in found["resets"]]
    return f"{number_of(count, 'reset')}: {_some(rows, count)}."


def _reset(r: dict[str, Any]) -> str:
    if r["what"] == "clock went back":
        return f"clock went back from {clock(r['from'])} to {clock(r['to'])}"
    if r["what"] == "counter began again":
        return f"counter began again at {clock(r['to'])}"
    # Its head stands again in the file where it was switched on again.
    return f"logger restarted at line {r['line']:,}"


def _aside(found: dict[str, Any]) -> str:
    told = []
    if found["aside"]:
        told.append(f"{number_of(found['aside'], 'row')} after the clock went back stand at times that were "
                    "read already: "
                    "kept, and left out of the means")  # fmt: skip
    if found["unset"]:
        told.append(f"{number_of(found['unset'], 'row')} by a clock that was not set: left out")
    if found["skipped"]:
        still = found.get("never_forward", "UTC+0")
        told.append(f"{number_of(found['skipped'], 'row')} at times that its clock never shows, as summer time begins: "
                    f"left out; a clock that nobody puts forward is --zone {still}")  # fmt: skip
    if found["twice"]:
        told.append(f"{number_of(found['twice'], 'row')} at the same time as the one before")
    return f"{'. '.join(told)}." if told else ""


def _value(s: dict[str, Any]) -> str:
    channel = CHANNELS[s["channel"]]
    return f"{channel.meaning} {channel.told(s['value'])}"


def _stuck(found: dict[str, Any], count: int) -> str:
    if not count:
        return ""
    rows = [f"{_value(s)} from {clock(s['from'])} to {clock(s['to'])}" for s in found["stuck"]]
    return (
        f"{number_of(count, 'stuck sensor')}, {number_of(found['stuck_minutes'], 'minute')} left out: "
        f"{_some(rows, count)}."
    )


def _held(found: dict[str, Any]) -> str:
    rows = [f"{_value(h)} for {number_of(h['minutes'], 'minute')} in {number_of(h['spans'], 'span')}"
            for h in found.get("held", [])]  # fmt: skip
    if not rows:
        return ""
    return f"Held at a limit while other things moved, taken for no fault and counted: {_some(rows, len(rows))}."


def _spikes(found: dict[str, Any], count: int) -> str:
    if not count:
        return ""
    rows = [f"{_value(s)} at {clock(s['at'])}" for s in found["spikes"]]
    return f"{number_of(count, 'spike')}, left out: {_some(rows, count)}."


def _bad(found: dict[str, Any], count: int) -> str:
    if not count:
        return ""
    # Of many alike one is shown in full: what is wrong with it, and at which lines others are.
    reasons: dict[str, list[dict[str, Any]]] = {}
    for b in found["bad"]:
        reasons.setdefault(b["why"], []).append(b)
    rows = [_reason(why, some) for why, some in list(reasons.items())[:SHOWN]]
    told = sum(len(some[:SHOWN]) for some in list(reasons.values())[:SHOWN])
    more = f"; and {count - told:,} more" if count > told else ""
    return f"{count:,} bad {'line or cell' if count == 1 else 'lines or cells'}, left out: {'; '.join(rows)}{more}."


def _reason(why: str, some: list[dict[str, Any]]) -> str:
    numbers = ", ".join(f"{b['line']:,}" for b in some[:SHOWN])
    return f"{some[0]['text'][:40]!r} {why} (line{'s' if len(some) > 1 else ''} {numbers})"


def _empty(found: dict[str, Any]) -> str:
    told = [f"{CHANNELS[name].meaning} in {'all rows' if all_ else number_of(count, 'row')}"
            for name, (count, all_) in found.get("empty", {}).items() if name in CHANNELS]  # fmt: skip
    return f"No reading of {', of '.join(told)}." if told else ""
