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


def plain(V, V_grid, P, load, bank) -> np.ndarray:
    """The charge alone, one hour after the other in arrays of variants, with nothing added up: the least there is."""
    n = len(P)
    energy = np.broadcast_to(bank.energy, (n,))
    stored = energy * bank.start
    below = np.clip(np.searchsorted(V_grid, V, side="right"), 1, V_grid.size - 1) - 1
    share = (V - V_grid[below]) / np.diff(V_grid)[below]
    P, load = P.T.copy() * 3600.0, load.T.copy() * 3600.0
    rise = np.diff(P, axis=0)
    most_in, most_out = bank.charge_power * bank.efficiency * 3600.0, -bank.discharge_power * 3600.0
    for t in range(V.size):
        net = P[below[t]] + share[t] * rise[below[t]] - load[t % 24]
        change = np.minimum(np.minimum(net * bank.efficiency, net), most_in)
        stored = np.minimum(np.maximum(stored + np.maximum(change, most_out), 0.0), energy)
    return stored


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
        start, working = time.perf_counter(), time.process_time()
        out = storage_time.simulate(V, V_grid, P, load, bank)
        taken, worked = time.perf_counter() - start, time.process_time() - working
        start = time.perf_counter()
        stored = plain(V, V_grid, P, load, bank)
        beside = time.perf_counter() - start
        assert np.allclose(stored, out.stored[:, 1], rtol=1e-6, atol=1.0)
        came = out.generated.sum(-1) + out.stored[:, 0]
        went = (out.met + out.dumped + out.refused + out.lost).sum(-1) + out.stored[:, 1]
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        sys.stdout.write(
            f"{n:5d} variants: {taken:6.2f} s ({worked:.2f} s of the processor's time), a plain loop for the charge "
            f"alone {beside:6.2f} s, {taken / n * 1e3:8.2f} ms each, peak memory {peak:.0f} MB, "
            f"imbalance {np.abs(1.0 - went / came).max():.1e}, met {out.share_met.mean():.3f}\n"
        )


if __name__ == "__main__":
    main()
