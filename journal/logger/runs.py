"""A clock that begins anew whenever the logger is switched on: each of its runs laid where somebody says it began."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from journal.errors import BadInput
from journal.logger.times import FULL, NO_TIME, as_text

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
#: A clock that goes back to this share of where it stood, or less, began anew; else rows are out of order. Own choice.
_ANEW = 0.5
#: Restarts of which the line is told.
_TOLD = 4


@dataclass
class ClockRuns:
    """Turns what such a clock shows into UTC, block by block in the order of the file.

    Parameters
    ----------
    began : tuple of int
        When each run was switched on, or its first row written, UTC. [ms]
    elapsed : bool
        Whether it counts from zero; else it begins each time at some day of its own.
    step : float
        Time from row to row. [ms]
    wraps : bool
        Whether it counts milliseconds, of which many loggers have 32 bits.
    """

    began: tuple[int, ...]
    elapsed: bool
    step: float
    wraps: bool = False
    #: Lines at which a run begins, and the last time of each in UTC.
    lines: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    _last: int | None = None
    _zero: int = 0
    _full: int = 0

    def utc(self, shown: Ints, lines: Ints) -> Ints:
        """UTC of what the clock shows, in milliseconds; ``NO_TIME`` stays.

        Parameters
        ----------
        shown : array, shape (n,)
            Time since it was switched on, or as its clock shows it. [ms]
        lines : array of int, shape (n,)
            Of the file, where each stands.
        """
        rows = np.flatnonzero(shown != NO_TIME)
        made = shown.copy()
        if not rows.size:
            return made
        values = shown[rows] + self._full
        if self._last is None:
            self._begin(int(values[0]), int(lines[rows[0]]))
            self._last = int(values[0])
        if self.wraps:
            self._go_on(values)
        cuts = [0, *np.flatnonzero(self._anew(values)), len(values)]
        for i, (a, b) in enumerate(pairwise(cuts)):
            if i:
                self._begin(int(values[a]), int(lines[rows[a]]))
            if b > a:
                made[rows[a:b]] = values[a:b] - self._zero + self._start()
                self.ends[-1] = max(self.ends[-1], int(made[rows[a:b]].max()))
        self._last = int(values[-1])
        return made

    def _start(self) -> int:
        # Of a run that nobody told of the file is refused at its end.
        return self.began[min(len(self.lines), len(self.began)) - 1]

    def _begin(self, value: int, line: int) -> None:
        self.lines.append(line)
        self._zero = 0 if self.elapsed else value
        self.ends.append(self._start())

    def _go_on(self, values: Ints) -> None:
        """Let a counter that was full go on, in place."""
        before = np.concatenate(([self._last or 0], values[:-1]))
        for at in np.flatnonzero((before % FULL > FULL - 60_000 - 2 * self.step) & (values < before - FULL // 2)):
            values[at:] += FULL
            self._full += FULL

    def _anew(self, values: Ints) -> Bools:
        """Before which rows the clock was switched on again; a single row that stands too early is none."""
        before = np.concatenate(([self._last or 0], values[:-1]))
        after = np.concatenate((values[1:], values[-1:]))
        base = 0 if self.elapsed else self._zero
        return (before - values > 1.5 * self.step) & (values - base <= _ANEW * (before - base)) & (after < before)

    def hold(self, name: str, latest: int) -> None:
        """Refuse a file with more runs, or fewer, than somebody told of, or with one that begins within another.

        So is one whose rows would lie in the future, later than ``latest``: it was switched on before.

        Raises
        ------
        BadInput
            With the lines at which the runs begin.
        """
        many, said = len(self.lines), len(self.began)
        at = ", ".join(f"{line:,}" for line in self.lines[:_TOLD]) + (" and on" if many > _TOLD else "")
        if many != said:
            raise BadInput(
                f"The clock of {name} begins again: {many} runs, from line {at}; --began tells of {said}"
                if many > 1
                else f"The clock of {name} runs on from its first row to its last, and --began tells of {said} runs",
                "Say when each began, in their order: --began '2026-06-01 12:00'"
                + (" --began '2026-06-03 09:00'" if many > 1 else "") + (f" and on, {many} in all" if many > 2 else "")
                + ("; or cut the file at these lines and leave out what nobody knows" if many > 1 else ""),
            )  # fmt: skip
        for i, end in enumerate(self.ends):
            if end > latest:
                raise BadInput(
                    f"Run {i + 1} of {name}, from line {self.lines[i]:,}, cannot begin at {_told(self.began[i])}: "
                    f"it would go on until {_told(end)}, which is still to come",
                    "Give --began for each run, in the past",
                )
        for i in range(1, many):
            if self.began[i] <= self.ends[i - 1]:
                raise BadInput(
                    f"Run {i + 1} of {name}, from line {self.lines[i]:,}, cannot begin at {_told(self.began[i])}: "
                    f"run {i} goes on until {_told(self.ends[i - 1])}",
                    "Give --began for each run, in the order of the file",
                )


def _told(ms: int) -> str:
    return as_text(ms).replace("T", " ").replace("Z", " UTC")
