"""Time of a rotor curve (20 stations, 40 tip-speed ratios) by number of variants."""

import statistics
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from calc.physics import rotor
from calc.physics.blade import cut_from_pipe

REPEATS = 5


def blades(n: int):
    """Random blades cut from 160 mm pipe."""
    rng = np.random.default_rng(1)
    chord_root, chord_tip = rng.uniform(0.07, 0.11, n), rng.uniform(0.04, 0.06, n)
    R, angle = rng.uniform(0.5, 0.8, n), np.radians(rng.uniform(10.0, 30.0, n))
    return cut_from_pipe(0.160, 0.004, chord_root, chord_tip, R, 0.08, angle)


def main() -> None:
    """Write the median time per variant for rising numbers of variants."""
    rotor.curve(blades(1), 6.0)
    for n in (1, 10, 100, 1000, 10000):
        some = blades(n)
        times = []
        for _ in range(REPEATS if n < 10000 else 2):
            start = time.perf_counter()
            rotor.curve(some, 6.0)
            times.append(time.perf_counter() - start)
        median = statistics.median(times)
        sys.stdout.write(f"{n:6d} variants: {median:8.3f} s, {median / n * 1e3:6.3f} ms each\n")


if __name__ == "__main__":
    main()
