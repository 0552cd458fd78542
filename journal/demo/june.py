"""What a logger on the second machine's mast wrote in June: invented, and the same every time.

A wind with gusts, a machine that follows it a little late, a battery that is full on some days; and what loggers do: it
loses power one night and begins anew with its heads, its anemometer sticks for an hour, one reading is nonsense.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from journal.demo.scene import Scene, Step

#: The file, among those of the story.
JUNE_FILE = "june.csv"
#: Seconds from row to row.
STEP = 20
_DAY = 86_400 // STEP
_ROWS = 30 * _DAY
_BEGAN = np.datetime64("2026-06-01T00:00:00", "ms")
#: What the machine gives into its battery and dump load: wind [m/s], power [W]; a little less than computed.
_WIND = (0.0, 3.8, 4.2, 4.6, 5.0, 5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 9.5, 10.0, 10.5, 11.0, 12.0, 14.0, 25.0)
_POWER = (0, 0, 13, 38, 61, 90, 120, 150, 178, 203, 224, 239, 248, 251, 246, 233, 219, 214, 208, 205)
#: Speed of its rotor at those winds. [rpm]
_TURNS = (0, 196, 205, 209, 212, 216, 220, 225, 229, 233, 236, 239, 241, 242, 242, 240, 238, 238, 238, 238)
_FULL = 100.0 * 26.4
#: From which row to which the logger had no power; and the anemometer stuck; and where it read nonsense.
DARK = (10 * _DAY + 2 * 180 + 7, 10 * _DAY + 7 * 180 + 61)
STUCK = (16 * _DAY + 14 * 180, 16 * _DAY + 15 * 180 + 1)
NONSENSE = 20 * _DAY + 9 * 180 + 33

JUNE = Scene(
    told="Read what a logger on r2's mast wrote in June: a gap, a reset, a stuck anemometer and a spike were found.",
    steps=(Step("logger", file=JUNE_FILE, on="r2", note="anemometer on a boom of its own, 1.2 m ahead of the mast"),),
)

Floats = NDArray[np.float64]


def _lagged(noise: Floats, rows: float) -> Floats:
    """Noise that remembers itself for some rows, with a scatter of 1."""
    kernel = np.exp(-np.arange(int(6 * rows) + 1) / rows)
    return np.convolve(noise, kernel / np.sqrt((kernel**2).sum()))[: len(noise)]


def _slow(random: np.random.Generator, hours: float) -> Floats:
    """What changes over hours, row by row, with a scatter of 1."""
    many = _ROWS * STEP // 3600 + 2
    before = int(5 * hours)
    hourly = _lagged(random.standard_normal(many + before), hours)[before:]
    return np.interp(np.arange(_ROWS) * STEP / 3600, np.arange(many), hourly)


def _winds(random: np.random.Generator) -> Floats:
    """Wind at the hub: weather over days, more of it in the afternoon, gusts over seconds."""
    slow = _slow(random, 22.0)
    day = np.cos(2 * np.pi * (np.arange(_ROWS) / _DAY - 15 / 24))
    mean = np.clip(4.0 + 2.4 * slow + 0.7 * day, 0.4, None)
    gusts = _lagged(random.standard_normal(_ROWS), 3.0)
    return np.clip(mean * (1 + 0.17 * gusts), 0.0, None)


def _stored(power: Floats, hour: Floats) -> tuple[Floats, Floats]:
    """What the battery holds, and what went into the dump load: once it is full, all that is left over."""
    lights = np.where((hour > 20.5) | (hour < 1.0), 24.0, 0.0) + 55.0 * ((hour > 6.0) & (hour < 10.0))
    each = 15
    flow = (power - lights).reshape(-1, each).mean(axis=1) * each * STEP / 3600
    held = np.empty(len(flow))
    now = 0.55 * _FULL
    for i, more in enumerate(flow.tolist()):
        now = min(max(now + more, 0.15 * _FULL), _FULL)
        held[i] = now
    full = np.repeat(held >= _FULL, each)
    return np.repeat(held, each), np.where(full, np.maximum(power - lights, 0.0), 0.0)


def logged_in_june() -> bytes:
    """The file as the logger wrote it."""
    import polars as pl

    random = np.random.default_rng(20260601)
    wind = _winds(random)
    hour = (np.arange(_ROWS) % _DAY) * STEP / 3600
    late = 0.6 * wind + 0.4 * np.concatenate((wind[:1], wind[:-1]))
    power = np.interp(late, _WIND, _POWER) * (1 + 0.03 * random.standard_normal(_ROWS))
    held, dump = _stored(power, hour)
    volts = 25.6 + 1.6 * held / _FULL + power / 900 + 0.8 * (dump > 0) + 0.02 * random.standard_normal(_ROWS)
    read = np.round(wind + 0.05 * random.standard_normal(_ROWS), 2).clip(0.0)
    read[STUCK[0] : STUCK[1]] = read[STUCK[0]]
    read[NONSENSE] = 63.8
    warm = 13.5 + 4.5 * np.cos(2 * np.pi * (hour / 24 - 15 / 24)) + _slow(random, 20.0)
    air = 1009 + 6 * _slow(random, 50.0)
    time = pl.Series(_BEGAN + np.arange(_ROWS) * np.timedelta64(STEP * 1000, "ms"))
    frame = pl.DataFrame({
        "time (UTC)": time.dt.to_string("%Y-%m-%d %H:%M:%S"),
        "wind 8 m (m/s)": read,
        "generator (W)": power.round(1),
        "battery (V)": volts.round(2),
        "dump (W)": dump.round(1),
        "rotor (rpm)": np.interp(late, _WIND, _TURNS).round(),
        "air (degC)": warm.round(1),
        "pressure (hPa)": air.round(1),
    })  # fmt: skip
    return _as_logged(frame.write_csv().encode())


def _as_logged(text: bytes) -> bytes:
    """The file with what a loss of power does to it: a line cut off, a gap, the heads once more."""
    lines = text.split(b"\n")
    head, rows = lines[0], lines[1:-1]
    before, after = rows[: DARK[0]], rows[DARK[1] :]
    return b"\n".join([head, *before, rows[DARK[0]][:24], head, *after, b""])
