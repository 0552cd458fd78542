"""Time of the coupled machine (60 winds) by number of variants."""

import statistics
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from calc.physics.balance import Machine, charging_wind, operate, unloaded
from calc.physics.energy import mean_power

REPEATS = 7
TSR = np.linspace(0.0, 14.0, 141)
WINDS = np.linspace(0.5, 30.0, 60)


def machines(n: int) -> Machine:
    """Random hub-motor machines with rotor curves at three winds."""
    rng = np.random.default_rng(1)
    cq = 0.0167 * (1.0 + TSR) * (1.0 - TSR / 8.0) * np.array([0.8, 0.9, 1.0])[:, None]
    return Machine(
        TSR,
        np.array([3.0, 6.0, 12.0]),
        cq * rng.uniform(0.7, 1.2, n)[:, None, None],
        R=rng.uniform(0.6, 1.3, n),
        rho=1.225,
        k=rng.uniform(0.5, 1.5, n),
        R_w=rng.uniform(0.1, 0.5, n),
        V_d=1.8,
        V_oc=26.4,
        L=0.2e-3,
        p=20.0,
        T_0=0.2,
        b=0.005,
        R_c=rng.uniform(0.02, 0.3, n),
        R_b=0.02,
        V_max=28.8,
        R_th=1.0,
    )


def median(call):
    """Median time of a call, in seconds."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    """Write the medians."""
    for n in (1, 10, 100, 300, 1000, 3000):
        m = machines(n)
        took = median(lambda m=m: operate(m, WINDS))
        sys.stdout.write(f"operate      {n:5d} variants: {took:8.4f} s, {took / n * 1e3:7.3f} ms each\n")
    m = machines(300)
    power = operate(m, WINDS).running.battery
    sys.stdout.write(f"unloaded       300 variants: {median(lambda: unloaded(m, WINDS)):8.4f} s\n")
    sys.stdout.write(f"charging wind  300 variants: {median(lambda: charging_wind(m)):8.4f} s\n")
    sys.stdout.write(f"mean power     300 variants: {median(lambda: mean_power(WINDS, power, 5.6, 2.0)):8.4f} s\n")


if __name__ == "__main__":
    main()
