"""A logger's file read as a stream: a block of lines at a time into minutes, and into files of columns if wanted."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from calc.wording import number_of
from journal.book.safe_files import made_sure
from journal.errors import BadInput
from journal.logger import faults, lines, text, times
from journal.logger.channels import CHANNELS
from journal.logger.mapping import DATE, TIME
from journal.logger.minutes import Gatherer, Minutes, finish
from journal.logger.runs import ClockRuns
from journal.logger.ways import REMEDY, LoggerWay

if TYPE_CHECKING:
    import polars as pl

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: Rows of one file of columns: as many as fit into little memory, and into one attachment.
PART = 2_000_000
#: So many blocks are made numbers at a time: two keep two cores at work, and more would only take memory.
_AT_ONCE = 2
#: A vane that counts to both sides counts so far. [rad]
HALF_TURN = np.pi * (1 + 1e-9)
#: Share of readings that cannot be from which on a column is not what it was taken for, and mean wind from which on a
#: unit that nobody named is asked for. Own choice. [m/s]
MOST_BEYOND, MUCH_WIND = 0.1, 15.0


@dataclass
class LoggerRead:
    """What one file was read to hold, and what was odd about it.

    Parameters
    ----------
    unset, skipped : int
        Rows by a clock that was not set or ran ahead, and at times that its clock never shows.
    empty, beyond : dict of str to int
        Of each channel, rows without a reading, and with one that no such quantity can have.
    parts : list of (Path, str)
        Files into which its rows were written, and their hashes.
    """

    way: LoggerWay
    sha256: str = ""
    size: int = 0
    rows: int = 0
    first: int = 0
    last: int = 0
    unset: int = 0
    skipped: int = 0
    empty: dict[str, int] = field(default_factory=dict)
    beyond: dict[str, int] = field(default_factory=dict)
    order: faults.Order = field(default_factory=lambda: faults.Order(0.0))
    spikes: faults.Tally = field(default_factory=faults.Tally)
    bad: faults.Tally = field(default_factory=faults.Tally)
    minutes: Minutes | None = None
    parts: list[tuple[Path, str]] = field(default_factory=list)

    @property
    def channels(self) -> list[str]:
        """What was read, by name."""
        return list(self.way.mapping.channels)


def read(way: LoggerWay, folder: Path | None = None, far: Callable[[str], None] = lambda _: None) -> LoggerRead:
    """Read a file from its first line to its last.

    Parameters
    ----------
    way : LoggerWay
        How.
    folder : Path or None
        Where its rows are written as files of columns; None where it is only tried.
    far : callable
        Told how far it is.

    Raises
    ------
    BadInput
        If it cannot be read to its end, or most of its lines cannot be used.
    """
    reader = _Reader(way, folder)
    source = text.LoggerSource(way.file)
    skip = way.layout.first - 1
    with ThreadPoolExecutor(1) as ahead, ThreadPoolExecutor(_AT_ONCE) as parsing, reader.writing:
        blocks = source.blocks()
        coming = ahead.submit(next, blocks, None)
        parsed: deque[Future[_Parsed]] = deque()
        while (block := coming.result()) is not None:
            # One more block is fetched, unpacked and hashed, and those before it made numbers, while one is judged.
            coming = ahead.submit(next, blocks, None)
            parsed.append(parsing.submit(_Parser(way).parse, block, skip))
            skip = max(0, skip - block.count(b"\n")) if skip else 0
            if len(parsed) > _AT_ONCE:
                reader.take(parsed.popleft().result())
                far(f"{source.far:.0%}, {reader.made.rows:,} rows")
        while parsed:
            reader.take(parsed.popleft().result())
        return reader.done(source)


@dataclass
class _Parsed:
    """Rows of one block, their times by the logger's clock, and what could not be read of them, by its own lines."""

    lines: lines.LoggerLines
    time: Ints
    values: dict[str, Floats]
    bad: faults.Tally
    resets: faults.Tally


class _Parser:
    """Makes numbers of one block of a file, whatever stands in the others."""

    def __init__(self, way: LoggerWay) -> None:
        self.way, self.bad, self.resets = way, faults.Tally(), faults.Tally()

    def parse(self, block: bytes, skip: int) -> _Parsed:
        """Read a block, but for so many lines at its beginning."""
        fitting, time, values = self._rows(block, skip)
        return _Parsed(fitting, time, values, self.bad, self.resets)

    def _rows(self, block: bytes, skip: int) -> tuple[lines.LoggerLines, Ints, dict[str, Floats]]:
        at = above = 0
        while above < skip and at < len(block):
            at, above = block.find(b"\n", at) + 1, above + 1
        fitting = lines.whole_lines(block[at:], above + 1, self.way.layout, self.bad)
        return self._columns(fitting) if len(fitting) else (fitting, np.zeros(0, np.int64), {})

    def _columns(self, fitting: lines.LoggerLines) -> tuple[lines.LoggerLines, Ints, dict[str, Floats]]:
        """Times by the logger's clock, and values in the units in which they are kept."""
        way = self.way
        time, date = way.mapping.places(TIME)[0], next(iter(way.mapping.places(DATE)), None)
        channels = {n: (way.mapping.places(n)[0], c) for n, c in way.mapping.channels.items()}
        wanted = {i: True for i, _ in channels.values()}
        wanted |= {i: way.form.kind != "text" for i in (time, date) if i is not None}
        fitting, columns = lines.columns_of(fitting, way.layout, wanted, self.bad)
        found = self._times(columns[time] if date is None else columns[date] + " " + columns[time], fitting)
        units = way.layout.cell_units
        holes = [i for i, _ in channels.values() if columns[i].null_count() or (units and units[i])]
        timed = found != times.NO_TIME
        compass = frozenset(i for name, (i, c) in channels.items() if name == "direction" and c.unit == "deg")
        mended = lines.mended(fitting, way.layout, holes, timed, self.bad, compass) if holes else {}
        values = {}
        for name, (i, column) in channels.items():
            factor, added = CHANNELS[name].units[column.unit]
            raw = mended[i] if i in mended else lines.numbers_of(columns[i])
            raw = raw if (factor, added) == (1.0, 0.0) else raw * factor + added
            if name == "direction":
                # Some vanes count from -180 to 180 degrees.
                raw = np.where((raw < 0) & (raw >= -HALF_TURN), raw + 2 * np.pi, raw)
            values[name] = -raw if column.turned else raw
        return fitting, found, values

    def _times(self, column: pl.Series, fitting: lines.LoggerLines) -> Ints:
        found = times.milliseconds(column, self.way.form)
        if (found == times.NO_TIME).any() and self.way.form.kind == "text":
            found = times.other_forms(column, found, self.way.form)
        unread = np.flatnonzero(found == times.NO_TIME)
        if unread.size:
            self._unread(unread, fitting)
        return found

    def _unread(self, rows: Ints, fitting: lines.LoggerLines) -> None:
        """Lines without a time: the heads once more, which is a start of the logger, or bad ones."""
        head = self.way.layout.heads
        again: list[int] = []
        bad: list[int] = []
        for r in rows:
            line = fitting.text(int(r))
            same = self.way.layout.cells(line)[:2] == [h[:80] for h in head][:2]
            (again if same else bad).append(int(r))
        self.resets.add(
            len(again), [{"what": "heads again", "line": int(fitting.numbers[r])} for r in again[: faults.KEPT]]
        )
        self.bad.add(len(bad), [
            {"line": int(fitting.numbers[r]), "why": "has no time that can be read", "text": fitting.text(r)}
            for r in bad[: faults.KEPT]
        ])  # fmt: skip


class _Reader:
    """What is remembered from block to block."""

    def __init__(self, way: LoggerWay, folder: Path | None) -> None:
        self.way, self.folder = way, folder
        self.made = LoggerRead(way, order=faults.Order(way.step, way.backwards))
        self._clock, self._limit = times.Clock(way.zone, hourly=way.step >= 3_600_000), times.past_limit()
        elapsed, began = way.form.kind == "elapsed", way.began
        wraps = elapsed and way.form.scale == 1.0
        self._runs = ClockRuns(began, elapsed, way.step, wraps) if began else None
        self.gatherer = Gatherer()
        self._usual: dict[str, float] = {}
        self._odd: dict[str, float] = {}
        self._totals: dict[str, tuple[int, float]] = {}
        self._lines = 0
        self._held: tuple[Ints, dict[str, Floats]] | None = None
        self._context = 0
        self._frames: list[pl.DataFrame] = []
        self._height = 0
        self.writing = ThreadPoolExecutor(1)
        self._written: Future[tuple[Path, str]] | None = None
        self._energy: float | None = None
        for line, cells, told in way.layout.short:
            lines.tell_length(self.made.bad, line, cells, len(way.layout.heads), told)

    def take(self, parsed: _Parsed) -> None:
        """Keep and judge the rows of one block, in the order of the file."""
        made = self.made
        for tally, some in ((made.bad, parsed.bad), (made.order.resets, parsed.resets)):
            tally.add(some.count, [{**one, "line": self._lines + one["line"]} for one in some.some])
        time, values = self._utc(parsed), parsed.values
        self._lines += parsed.lines.total
        good = time != times.NO_TIME
        if not good.all():
            time, values = time[good], {k: v[good] for k, v in values.items()}
        if len(time):
            self._keep(time, values)
            self._judge(time, values)

    def _utc(self, parsed: _Parsed) -> Ints:
        """Times in UTC; none where the clock was not set, or never shows such a time."""
        found = parsed.time
        if self.way.form.local:
            found = self._clock.utc(found)
            self.made.skipped = self._clock.skipped
        if self._runs is not None and len(found):
            found = self._runs.utc(found, self._lines + parsed.lines.numbers)
        odd = (found != times.NO_TIME) & ((found < times.EARLIEST) | (found > self._limit))
        if not odd.any():
            return found
        self.made.unset += int(odd.sum())
        row = int(np.flatnonzero(odd)[0])
        told = {"what": "clock not set", "line": self._lines + int(parsed.lines.numbers[row]),
                "text": parsed.lines.text(row)}  # fmt: skip
        self.made.order.resets.add(1, [told])
        return np.where(odd, times.NO_TIME, found)

    def _keep(self, time: Ints, values: dict[str, Floats]) -> None:
        """Keep rows as they were read, faults and all."""
        made = self.made
        first, last = int(time.min()), int(time.max())
        made.first, made.last = (min(made.first, first), max(made.last, last)) if made.rows else (first, last)
        made.rows += len(time)
        for name, v in values.items():
            none = np.isnan(v)
            made.empty[name] = made.empty.get(name, 0) + int(np.count_nonzero(none))
            if name in ("wind", "power"):
                many, total = self._totals.get(name, (0, 0.0))
                able = v[~(none | faults.impossible(v, CHANNELS[name]))]
                self._totals[name] = (many + able.size, total + float(able.sum()))
        if self.folder is None:
            return
        import polars as pl

        columns: dict[str, Any] = {"time": pl.Series(time).cast(pl.Datetime("ms", "UTC"))}
        for name, v in values.items():
            columns[name] = v if name == "energy" else v.astype(np.float32)
        self._frames.append(pl.DataFrame(columns))
        self._height += len(time)
        if self._height >= PART:
            self._write()

    def _write(self) -> None:
        import polars as pl

        if not self._frames or self.folder is None:
            return
        whole = pl.concat(self._frames, rechunk=False)
        self._frames, self._height = [], 0
        self._await()
        part = self.folder / f"rows-{len(self.made.parts) + 1}.parquet"
        # Written while the next blocks are read; one at a time, for each takes memory.
        self._written = self.writing.submit(_as_parquet, whole, part)

    def _await(self) -> None:
        if self._written is not None:
            self.made.parts.append(self._written.result())
            self._written = None

    def _judge(self, time: Ints, values: dict[str, Floats]) -> None:
        """Set aside what is no reading, and gather the rest; the last row waits for the one after it."""
        if not self._usual:
            self._usual = {n: _high(v) for n, v in values.items()}
        if self._held is not None:
            time = np.concatenate((self._held[0], time))
            values = {n: np.concatenate((self._held[1][n], v)) for n, v in values.items()}
        self._held = time[-2:].copy(), {n: v[-2:].copy() for n, v in values.items()}
        self._gather(time, values, self._context, len(time) - 1)
        self._context = min(len(time) - 1, 1)

    def _gather(self, time: Ints, values: dict[str, Floats], first: int, end: int) -> None:
        """Judge rows from one to before another; those around them only tell."""
        if end <= first:
            return
        ahead = self.made.order.rows(time[first:end])
        step = np.abs(np.diff(time, prepend=time[0] - 1))
        follows = (step <= 1.5 * self.way.step) & (step > 0)
        clean = {}
        for name, v in values.items():
            beyond = faults.impossible(v, CHANNELS[name])
            if beyond[first:end].any():
                self.made.beyond[name] = self.made.beyond.get(name, 0) + int(beyond[first:end].sum())
                self._odd.setdefault(name, float(v[first:end][beyond[first:end]][0]))
            wrong = beyond | faults.spikes(v, follows, CHANNELS[name], self._usual[name])
            wrong[:first] = wrong[end:] = False
            if wrong.any():
                self._leapt(name, time, v, wrong)
            own = v[first:end]
            clean[name] = np.where(wrong[first:end], np.nan, own) if wrong.any() else own
        if "energy" in clean:
            self._counted(time[first:end], clean.pop("energy"))
        if "power" not in clean and "volts" in clean and "amps" in clean:
            clean["power"] = clean["volts"] * clean["amps"]
        if ahead.all():
            self.gatherer.add(time[first:end], clean)
        else:
            self.gatherer.add(time[first:end][ahead], {n: v[ahead] for n, v in clean.items()})

    def _leapt(self, name: str, time: Ints, values: Floats, wrong: NDArray[np.bool_]) -> None:
        rows = np.flatnonzero(wrong)
        self.made.spikes.add(len(rows), [
            {"channel": name, "at": int(time[r]), "value": float(values[r])} for r in rows[: faults.KEPT]
        ])  # fmt: skip

    def _counted(self, time: Ints, energy: Floats) -> None:
        """A counter of energy that goes down began again."""
        good = np.flatnonzero(np.isfinite(energy))
        if not good.size:
            return
        value = energy[good]
        before = np.concatenate(([value[0] if self._energy is None else self._energy], value[:-1]))
        down = np.flatnonzero(value < before)
        self.made.order.resets.add(
            len(down), [{"what": "counter began again", "to": int(time[good[i]])} for i in down[: faults.KEPT]]
        )
        self._energy = float(value[-1])

    def done(self, source: text.LoggerSource) -> LoggerRead:
        """The last row judged, the minutes joined, and all held against what a file of readings is."""
        made = self.made
        if self._held is not None:
            time, values = self._held
            self._gather(time, values, self._context, len(time))
            self._held = None
        made.sha256, made.size = source.sha256, source.read_bytes
        if self._runs is not None and self._runs.lines:
            self._runs.hold(self.way.file.name, self._limit)
            self._again(self._runs.lines[1:])
        self._hold_of_use()
        self._write()
        names = [n for n in made.channels if n != "energy"]
        self._hold_units()
        if "power" not in names and "volts" in names and "amps" in names:
            names.append("power")
        made.minutes = finish(self.gatherer.joined(), names, self.way.step / 1000)
        self._await()
        return made

    def _again(self, lines_: list[int]) -> None:
        """Tell where the clock was switched on again; the heads that a logger then writes tell the same."""
        resets = self.made.order.resets
        same = [r for r in resets.some if r["what"] == "heads again" and r["line"] + 1 in lines_]
        resets.count -= len(same)
        resets.some = [r for r in resets.some if r not in same]
        resets.add(len(lines_), [{"what": "switched on again", "line": n} for n in lines_])

    def _hold_units(self) -> None:
        """Ask for what nobody said where the numbers speak against what was taken."""
        totals = self._totals
        for name, column in self.way.mapping.channels.items():
            many, total = totals.get(name, (0, 0.0))
            mean = total / many if many else 0.0
            if name == "wind" and column.why == "unit assumed" and mean > MUCH_WIND:
                raise BadInput(
                    f"The winds in {column.head!r} of {self.way.file.name} have a mean of {mean:.3g}, of no unit named",
                    f"Say it: --map '{column.head}=wind km/h' or --map '{column.head}=wind m/s'",
                )
            if name == "power" and mean < 0.0 and not column.turned:
                raise BadInput(
                    f"The power in {column.head!r} of {self.way.file.name} is negative, {mean:.3g} W on average",
                    f"If its sign is turned, say --map '{column.head}=-power'; --map '{column.head}=-' leaves it out",
                )

    def _hold_of_use(self) -> None:
        """Refuse a file most of which cannot be used, saying of what that is so."""
        made, name = self.made, self.way.file.name
        if not made.rows and made.unset:
            all_of = "The only row of {} is" if made.unset == 1 else f"All {made.unset:,} rows of {{}} are"
            raise BadInput(f"{all_of.format(name)} by a clock that was not set, or runs ahead", REMEDY)
        if not made.rows or made.bad.count > max(made.rows, 1):
            first = made.bad.some[0] if made.bad.some else None
            shown = f", the first: line {first['line']:,} {first['why']}" if first else ""
            raise BadInput(
                f"{made.bad.count:,} lines or cells of the {self._lines:,} lines of {name} cannot be read{shown}",
                REMEDY,
            )
        columns = self.way.mapping.channels
        if all(made.empty.get(n, 0) == made.rows for n in columns):
            heads = ", ".join(c.head for c in columns.values())
            raise BadInput(
                f"{name} has times but no readings: all of {number_of(made.rows, 'row')} of {heads} are "
                "empty, NaN or -999",
                REMEDY,
            )
        for channel, column in columns.items():
            there, beyond = made.rows - made.empty.get(channel, 0), made.beyond.get(channel, 0)
            if beyond > MOST_BEYOND * there:
                other = next((u for u in CHANNELS[channel].units if u != column.unit), column.unit)
                raise BadInput(
                    f"{beyond:,} of {number_of(there, 'reading')} in {column.head!r} of {name} can be no "
                    f"{CHANNELS[channel].meaning}, like {CHANNELS[channel].told(self._odd[channel])}",
                    f"Say its unit or what it is, such as --map '{column.head}={channel} {other}'; "
                    f"--map '{column.head}=-' leaves it out",
                )


def _as_parquet(rows: pl.DataFrame, part: Path) -> tuple[Path, str]:
    rows.fill_nan(None).write_parquet(part, compression="zstd", compression_level=1, statistics=False)
    # On the disk and hashed now, while more is read, and not all at once when the file is kept.
    return part, made_sure(part)


def _high(values: Floats) -> float:
    """What is high in a file, and no rarity."""
    some = np.abs(values[np.isfinite(values)])
    return float(np.percentile(some, 99)) if some.size else 0.0
