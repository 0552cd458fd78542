"""Rows gathered into whole minutes, a block at a time, and the minutes joined at the end."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from journal.logger.faults import Still, stuck_spans

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: How two parts of one minute are joined, by the end of a column's name.
_JOINED = {".sum": np.add, ".squares": np.add, ".count": np.add, ".least": np.fmin, ".most": np.fmax,
           ".sin": np.add, ".cos": np.add}  # fmt: skip


#: Length of the mean of its directions below which a minute has none. Own choice.
_ONE_WAY = 0.1


def _parts(values: Floats, starts: Ints, name: str) -> dict[str, Floats]:
    """Sums, counts and ends of one channel in each run of rows of one minute."""
    good = np.isfinite(values)
    whole = bool(good.all())
    filled = values if whole else np.where(good, values, 0.0)
    # Most blocks have no gap, and then nothing needs to be looked for row by row.
    count = np.diff(starts, append=len(values)) if whole else np.add.reduceat(good, starts, dtype=np.int32)
    made = {f"{name}.count": count.astype(np.float64)}
    if name == "direction":
        return {**made, "direction.sin": np.add.reduceat(np.where(good, np.sin(filled), 0.0), starts),
                "direction.cos": np.add.reduceat(np.where(good, np.cos(filled), 0.0), starts),
                **_ends(values, starts, name, whole)}  # fmt: skip
    made[f"{name}.sum"] = np.add.reduceat(filled, starts)
    if name == "wind":
        made["wind.squares"] = np.add.reduceat(filled * filled, starts)
    return {**made, **_ends(values, starts, name, whole)}


def _ends(values: Floats, starts: Ints, name: str, whole: bool) -> dict[str, Floats]:
    least, most = (np.minimum, np.maximum) if whole else (np.fmin, np.fmax)
    return {f"{name}.least": least.reduceat(values, starts), f"{name}.most": most.reduceat(values, starts)}


@dataclass
class Gatherer:
    """Minutes that are being gathered."""

    _pieces: list[dict[str, NDArray[np.generic]]] = field(default_factory=list)

    def add(self, time: Ints, channels: dict[str, Floats]) -> None:
        """Gather some rows.

        Parameters
        ----------
        time : array, shape (n,)
            UTC of each row. [ms]
        channels : dict of str to array, shape (n,)
            Their values; NaN where there is none, or a fault.
        """
        if not len(time):
            return
        minute = time // 60_000
        starts = np.flatnonzero(np.diff(minute, prepend=minute[0] - 1))
        piece: dict[str, NDArray[np.generic]] = {
            "minute": minute[starts],
            "rows": np.diff(np.append(starts, len(minute))),
        }
        for name, values in channels.items():
            piece |= _parts(values, starts, name)
        self._pieces.append(piece)

    def joined(self) -> dict[str, NDArray[np.generic]]:
        """All minutes, each once, in order of time."""
        names = list(self._pieces[0])
        all_: dict[str, NDArray[np.generic]] = {}
        for name in names:
            all_[name] = np.concatenate([p.pop(name) for p in self._pieces])
        self._pieces = []
        minute = np.asarray(all_["minute"], np.int64)
        order: slice | Ints = slice(None)
        if (np.diff(minute) < 0).any():
            order = np.argsort(minute, kind="stable")
            minute = minute[order]
        starts = np.flatnonzero(np.diff(minute, prepend=minute[0] - 1))
        made: dict[str, NDArray[np.generic]] = {"minute": minute[starts]}
        for name in names[1:]:
            how = _JOINED.get(name[name.rfind(".") :], np.add) if "." in name else np.add
            made[name] = how.reduceat(all_.pop(name)[order], starts)
        return made


@dataclass(frozen=True)
class Minutes:
    """Minutes of one file as they are kept, where its sensors stood still, and where something was held at a limit."""

    columns: dict[str, NDArray[np.generic]]
    still: list[Still]
    flagged: int
    held: list[Still] = field(default_factory=list)


def finish(joined: dict[str, NDArray[np.generic]], channels: list[str], step: float) -> Minutes:
    """Means of each minute, without those in which a sensor stood still.

    Parameters
    ----------
    joined : dict of str to array
        As a gatherer gives them.
    channels : list of str
        What was read.
    step : float
        Time from row to row. [s]
    """
    time = np.asarray(joined["minute"], np.int64) * 60
    means = {name: _mean(joined, name) for name in channels}
    wind, power = means.get("wind"), means.get("power")
    columns: dict[str, NDArray[np.generic]] = {"time": time, "rows": np.asarray(joined["rows"], np.int64)}
    ends = {n: (np.asarray(joined[f"{n}.least"], float), np.asarray(joined[f"{n}.most"], float)) for n in channels}
    still: list[Still] = []
    held: list[Still] = []
    flagged = 0
    for name in channels:
        flags, spans = stuck_spans(name, time, ends, step, wind, power)
        still += [s for s in spans if not s.held]
        held += [s for s in spans if s.held]
        flagged += int(flags.sum())
        columns[name] = np.where(flags, np.nan, means[name])
        if name == "wind":
            columns["wind_sd"] = np.where(flags, np.nan, _scatter(joined))
            columns["gust"] = np.where(flags, np.nan, np.asarray(joined["wind.most"], float))
    return Minutes(columns, still, flagged, held)


def _mean(joined: dict[str, NDArray[np.generic]], name: str) -> Floats:
    count = np.asarray(joined[f"{name}.count"], float)
    some = np.where(count > 0, count, np.nan)
    if name == "direction":
        east, north = (np.asarray(joined[f"direction.{part}"], float) for part in ("sin", "cos"))
        # Of a wind that came from all sides alike no mean tells from where.
        return np.where(np.hypot(east, north) > _ONE_WAY * some, np.arctan2(east, north) % (2 * np.pi), np.nan)
    return np.asarray(np.asarray(joined[f"{name}.sum"], float) / some)


def _scatter(joined: dict[str, NDArray[np.generic]]) -> Floats:
    """Standard deviation of the rows of each minute; NaN of one row."""
    n = np.asarray(joined["wind.count"], float)
    total, squares = (np.asarray(joined[f"wind.{k}"], float) for k in ("sum", "squares"))
    some = np.where(n > 1, n, np.nan)
    return np.asarray(np.sqrt(np.maximum(squares - total * total / some, 0.0) / (some - 1)))
