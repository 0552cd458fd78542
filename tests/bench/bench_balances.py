"""How many stable balances of rotor and generator the solver loses, of random machines in winds of 2 to 25 m/s.

Run it with the environment's Python: ``.venv/bin/python tests/bench/bench_balances.py [MACHINES [SEED]]``
"""

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from calc.physics.balance import operate
from tests.calc import scanned
from tests.outside.random_machines import draw

WINDS = np.arange(2.0, 26.0)
SHOWN = 20


def main(n: int, seed: int) -> None:
    """Solve, scan and count."""
    many = scanned.machines(seed, n, *scanned.rotors(draw(s) for s in range(20)))
    start = time.perf_counter()
    got = operate(many, WINDS)
    took = time.perf_counter() - start
    lost = scanned.lost(many, WINDS, got)
    sys.stdout.write(
        f"{n} machines, {n * len(WINDS)} winds, solved in {took:.2f} s; {got.balances.sum()} stable balances\n"
    )
    sys.stdout.write(
        f"two ends {np.mean(got.forked):.1%}, charging {np.mean(got.running.current > 0):.1%}, "
        f"winding above 200 degC {np.mean(got.running.winding > 473.15):.1%}\n"
    )
    sys.stdout.write(f"winds in which a balance is lost: {len(lost)}\n")
    for one in lost[:SHOWN]:
        sys.stdout.write(f"  machine {one.machine}, {one.wind:g} m/s: {one.why}\n")


if __name__ == "__main__":
    main(*(int(n) for n in (sys.argv[1:] + ["2000", "1"][len(sys.argv) - 1 :])))
