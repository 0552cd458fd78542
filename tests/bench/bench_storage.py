"""Time and memory of a battery taken hour by hour through 20 years, by number of variants."""

import resource
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from calc.physics import storage_time
from calc.physics.loads import by_hour
from calc.physics.synthetic_wind import Climate, hourly

YEARS = 20


def main() -> None:
    """Write times for rising numbers of variants of battery, machine and load."""
    start = time.perf_counter()
    V = hourly(Climate(4.8, 2.0), YEARS)
    sys.stdout.write(f"wind of {YEARS} years: {time.perf_counter() - start:.2f} s\n")
    V_grid = np.arange(0.0, 41.0, 0.5)
    for n in (1, 10, 100, 1000):
        rng = np.random.default_rng(1)
        size = rng.uniform(5.0, 30.0, n)[:, None]
        P = np.minimum(size * np.maximum(V_grid - 3.0, 0.0) ** 1.5, 20.0 * size)
        load = by_hour(rng.uniform(20.0, 80.0, n), 6 / 24, 17.0 * 3600.0)
        bank = storage_time.Bank(rng.uniform(0.3, 4.0, n) * 3.6e6, 0.85, 400.0, 800.0, 600.0)
        start = time.perf_counter()
        out = storage_time.simulate(V, V_grid, P, load, bank)
        taken = time.perf_counter() - start
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        sys.stdout.write(
            f"{n:5d} variants: {taken:6.2f} s, {taken / n * 1e3:8.2f} ms each, peak memory {peak:.0f} MB, "
            f"imbalance {np.abs(out.imbalance).max():.1e}, met {out.share_met.mean():.3f}\n"
        )


if __name__ == "__main__":
    main()
