"""How long the write-up of a large journal takes beside the demo's: 200 attempts, 2,000 measurements, 40 failures.

Run it with the environment's Python: ``.venv/bin/python tests/bench/bench_writeup.py [ROUNDS]``
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from journal import demo
from journal.book import attempts, failures, measurements, store
from journal.publish import story, writeup

ATTEMPTS, MEASUREMENTS, FAILURES = 200, 2000, 40
READINGS = (("26.4 V", "battery.voltage"), ("3.1 A", "charge.current"), ("230 rpm", "rotor.speed"))
SEEN = ("It hardly charged the battery", "The fuse was found blown", "A blade broke", "The inverter cut out")


def fill(path: Path) -> None:
    """Bring the demo's journal up to the size."""
    with store.journal(path, write=True) as s:
        refs = []
        for i in range(ATTEMPTS - 9):
            day = f"2026-{4 + i % 5:02d}-{1 + i % 28:02d}"
            a = attempts.log_attempt(
                s,
                attempts.AttemptTyped(
                    f"Ran it, day {i}", on="r2", began=day, outcome="worked", wind=f"Bft {1 + i % 6}"
                ),
            )
            refs.append(a.ref)
        for i in range(MEASUREMENTS - 12):
            typed, quantity = READINGS[i % len(READINGS)]
            measurements.log_measurement(
                s, measurements.MeasurementTyped(quantity, typed, attempt=refs[i % len(refs)], load_state="battery")
            )
        for i in range(FAILURES - 4):
            failures.log_failure(
                s,
                failures.FailureTyped(
                    SEEN[i % len(SEEN)], attempt=refs[i], cause="the wind was too low for it", sure="40%"
                ),
            )


def seconds(path: Path, rounds: int) -> float:
    """Median time from the open journal to the forum's page, HTML with all pictures."""
    taken = []
    for _ in range(rounds):
        with store.journal(path) as s:
            start = time.perf_counter()
            writeup.render(story.tell(s), "forum", "html")
            taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def main(rounds: int) -> None:
    """Both in one run."""
    with tempfile.TemporaryDirectory() as name:
        for _ in demo.play(Path(name)):
            pass
        path = Path(name) / "demo.db"
        small = seconds(path, rounds)
        fill(path)
        large = seconds(path, rounds)
        print(f"demo   {small:6.2f} s")
        print(f"large  {large:6.2f} s   {large / small:.2f} times (under 3 is wanted)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
