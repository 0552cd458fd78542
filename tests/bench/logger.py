"""How long a year of a logger takes at one row a second, beside what the library alone needs to scan and group it.

The file (31.5 million rows, 1.4 GB) is made in a temporary folder and taken away again. Whole processes, medians of as
many rounds; the most memory of any. Run it with the environment's Python: ``.venv/bin/python tests/bench/logger.py
[ROUNDS [ROWS]]``
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
YEAR = 31_536_000
_MONTH = 2_628_000
#: The library alone: scan, read the times, group by minutes.
ALONE = """
import sys, polars as pl
columns = ["wind (m/s)", "power (W)", "volts (V)", "amps (A)", "rotor (rpm)"]
time = pl.col("time").str.to_datetime("%Y-%m-%d %H:%M:%S")
query = pl.scan_csv(sys.argv[1]).group_by(time.dt.truncate("1m")).agg(
    [pl.col(c).mean() for c in columns] + [pl.col(columns[0]).std().alias("sd"), pl.len()])
print(len(query.collect(engine="streaming")), "minutes")
"""


def _made(file: Path, rows: int) -> None:
    """A year of invented readings, a month at a time."""
    import numpy as np
    import polars as pl

    random = np.random.default_rng(1)
    with file.open("wb") as stream:
        for first in range(0, rows, _MONTH):
            many = min(_MONTH, rows - first)
            at = np.datetime64("2025-01-01T00:00:00", "ms") + (first + np.arange(many)) * np.timedelta64(1000, "ms")
            slow = 5 + 2 * np.sin(np.arange(many) / 9000)
            wind = np.clip(slow + np.convolve(random.standard_normal(many), np.ones(5) / 5, "same"), 0, None)
            columns = {
                "time": pl.Series(at), "wind (m/s)": wind.round(2), "power (W)": (0.9 * wind**3).round(1),
                "volts (V)": (26 + 0.1 * random.standard_normal(many)).round(2), "amps (A)": (0.034 * wind**3).round(2),
                "rotor (rpm)": (40 * wind).round(),
            }  # fmt: skip
            pl.DataFrame(columns).write_csv(stream, include_header=not first, datetime_format="%Y-%m-%d %H:%M:%S")
            print(f"\rMaking the file: {(first + many) / rows:.0%} ", end="", flush=True)
    print(f"\r{file.stat().st_size / 1e9:.2f} GB, {rows:,} rows")


def _run(words: list[str], env: dict[str, str]) -> tuple[float, float, float]:
    """Wall time and the processor's time of a process, and the most memory it had: seconds, seconds, MB."""
    began = time.perf_counter()
    child = subprocess.Popen(words, env={**os.environ, **env}, cwd=ROOT)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{words[:4]} ended with {child.returncode}")
    return time.perf_counter() - began, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def main() -> None:
    """Both in turn, side by side in one run."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    rows = int(sys.argv[2]) if len(sys.argv) > 2 else YEAR
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "year.csv"
        _made(file, rows)
        told: dict[str, list[tuple[float, float, float]]] = {"the library alone": [], "galebook logger": []}
        for number in range(rounds):
            own = {"GALEBOOK_JOURNAL": str(Path(folder) / f"{number}.db"), "GALEBOOK_BACKUPS": "none"}
            _run([sys.executable, "-m", "journal", "start", "Year"], own)
            told["the library alone"].append(_run([sys.executable, "-c", ALONE, str(file)], own))
            told["galebook logger"].append(_run([sys.executable, "-m", "journal", "logger", str(file)], own))
        for name, all_ in told.items():
            wall, used, most = (
                statistics.median(x) if i < 2 else max(x) for i, x in enumerate(zip(*all_, strict=True))
            )
            print(f"{name:20} {wall:7.1f} s, {used:7.1f} s of the processor, {most:6.0f} MB at most")
        alone, ours = (statistics.median(w for w, _, _ in told[n]) for n in told)
        print(f"{ours / alone:.2f} times")


if __name__ == "__main__":
    main()
