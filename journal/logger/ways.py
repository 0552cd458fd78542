"""How one file of a logger is to be read: its times looked at, and refused where they cannot be used."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, tzinfo
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from journal.errors import BadInput
from journal.logger import text, times
from journal.logger.channels import CHANNELS
from journal.logger.mapping import DATE, TIME, Mapping

Ints = NDArray[np.int64]
#: What to do about a file of which nothing can be used.
REMEDY = "Nothing was kept; see what stands in it, or say what its columns are with --map"


@dataclass(frozen=True)
class LoggerWay:
    """How one file is to be read.

    Parameters
    ----------
    file : Path
        Where it is.
    layout, mapping, form : Layout, Mapping, TimeForm
        How it is written, what its columns are, how its times are.
    zone : tzinfo
        Of its clock.
    assumed : bool
        Whether nobody said which zone.
    step : float
        Time from row to row, as the first tell, lost lines not counted. [ms]
    backwards : bool
        Whether the newest row stands first.
    began : tuple of int
        When each run of a clock began that counts from zero or was never set, UTC; none for one that was set. [ms]
    first : int
        Time of the first row, UTC. [ms]
    """

    file: Path
    layout: text.Layout
    mapping: Mapping
    form: times.TimeForm
    zone: tzinfo
    assumed: bool
    step: float
    backwards: bool
    began: tuple[int, ...]
    first: int


def way_of(
    file: Path, sample: list[str], layout: text.Layout, mapping: Mapping, began: Sequence[str] = ()
) -> LoggerWay:
    """How a file is to be read, its times looked at.

    Raises
    ------
    BadInput
        If its times cannot be read, nothing of it is known, or its zone is none.
    """
    _hold_known(file, layout, mapping)
    time, date = mapping.places(TIME)[0], next(iter(mapping.places(DATE)), None)
    split = [layout.cells(line) for line in sample[layout.first - 1 : layout.first + 3000]]
    right = [c for c in split if len(c) == len(layout.heads)]
    cells = [c[time] if date is None else f"{c[date]} {c[time]}" for c in right]
    form = times.form_of(cells, layout.heads[time], mapping.days)
    zone = times.zone_named(mapping.zone)
    clock = times.Clock(zone or UTC)
    starts = tuple(times.began_at(one, clock) for one in began)
    if form.kind == "elapsed" and not starts:
        raise BadInput(
            f"The clock of {file.name} counts from zero", "Say when it was switched on: --began '2026-06-01 12:00'"
        )
    known = _sampled(cells, form, layout)
    if form.local:
        known = clock.utc(known)
    known = known[known != times.NO_TIME]
    if not len(known):
        raise BadInput(f"No time of {file.name} can be read: {cells[0]!r}", REMEDY)
    if form.kind != "elapsed":
        _hold_set(file, known, starts)
    steps = np.diff(known)
    _hold_in_order(file, steps)
    going = np.abs(steps[steps != 0])
    # Where lines are lost some steps are doubled, and few are shorter than the clock goes.
    step = float(np.quantile(going, 0.3, method="lower")) if len(going) else 0.0
    backwards, first = bool(len(steps)) and float(np.median(steps)) < 0, starts[0] if starts else int(known[0])
    return LoggerWay(
        file, layout, mapping, form, zone or UTC, zone is None and form.local, step, backwards, starts, first
    )


def _hold_known(file: Path, layout: text.Layout, mapping: Mapping) -> None:
    """Refuse a file of which no column is known."""
    if mapping.channels:
        return
    if layout.unlike:
        raise BadInput(
            layout.unlike,
            "Mend the line of heads, or say each column by its place, such as --map 1=time --map 2=wind; "
            f"it begins {layout.begins!r}",
        )
    raise BadInput(
        f"No column of {file.name} is known",
        f"Say which is which, such as --map {layout.heads[-1]!r}=wind; quantities: {', '.join(CHANNELS)}; "
        f"it begins {layout.begins!r}",
    )


def _hold_in_order(file: Path, steps: Ints) -> None:
    """Refuse rows that go on in time neither forward nor backward."""
    ahead, back = int((steps > 0).sum()), int((steps < 0).sum())
    if min(ahead, back) > 0.2 * max(ahead + back, 10):
        raise BadInput(f"The rows of {file.name} stand in no order of time", "Sort them by time; nothing was kept")


def _hold_set(file: Path, known: Ints, began: tuple[int, ...]) -> None:
    """Refuse a clock that was never set, or runs ahead, if nobody said when it began; and a set one if one did."""
    middle = int(np.median(known))
    late = middle > times.past_limit()
    if middle >= times.EARLIEST and not late:
        if began:
            raise BadInput(
                f"The clock of {file.name} was set: it begins {_shown(known)}",
                "--began is for clocks that count from zero, or were never set",
            )
        return
    if not began:
        raise BadInput(
            f"The clock of {file.name} {'runs ahead' if late else 'was never set'}: it begins {_shown(known)}",
            "Say when its first row was written: --began '2026-06-01 12:00'",
        )


def _shown(known: Ints) -> str:
    return times.as_text(int(known[0])).replace("T", " ").replace("Z", " UTC")


def _sampled(cells: list[str], form: times.TimeForm, layout: text.Layout) -> Ints:
    import polars as pl

    column = pl.Series(cells, dtype=pl.String)
    if form.kind != "text":
        column = (column.str.replace(",", ".", literal=True) if layout.comma else column).cast(pl.Float64, strict=False)
        column = column.fill_null(float("nan"))
    found: Ints = times.milliseconds(column, form)
    return np.asarray(found[found != times.NO_TIME], np.int64)
