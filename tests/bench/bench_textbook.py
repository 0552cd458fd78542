"""How far the program lies from ``tests/outside/textbook_machine.py``, as a distribution.

Random machines in winds of 3 to 20 m/s, twice: with the current behind the bridge taken as smooth, as the program
takes it, and followed in time without any smoothing, windings as warm as the air and no dump load.

Run it with the environment's Python: ``.venv/bin/python tests/bench/bench_textbook.py [MACHINES [WINDS]]``
"""

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.outside import random_machines, textbook_machine
from tests.outside.random_machines import LEAST, QUANTITIES, Pair, pairs, winds_of

PERCENTILES = (0, 25, 50, 75, 90, 95, 99, 100)
HEADS = ("least", "25 %", "50 %", "75 %", "90 %", "95 %", "99 %", "most")


def row(name: str, values: np.ndarray, scale: float = 100.0) -> str:
    """One line of a table."""
    return f"{name:28s}" + "".join(f"{x * scale:9.2f}" for x in np.percentile(values, PERCENTILES)) + "\n"


def table(title: str, all_pairs: list[Pair]) -> str:
    """The distribution of differences, in percent."""
    charging = [p for p in all_pairs if p.charging]
    off = np.array([p.off for p in charging])
    machines = len({p.seed for p in all_pairs})
    says = [f"{title}: {machines} machines, {len(all_pairs)} winds, {len(charging)} with more than {LEAST:.0%} of the "]
    says += [
        "wind's power into the battery by both. In percent:\n",
        " " * 28 + "".join(f"{h:>9s}" for h in HEADS) + "\n",
    ]
    for n, name in enumerate(QUANTITIES):
        says.append(row(f"{name}, with sign", off[:, n]))
        says.append(row(f"{name}, without", np.abs(off[:, n])))
    says.append(row("power, of the wind's, all", np.array([p.apart for p in all_pairs])))
    return "".join(says)


def farthest(all_pairs: list[Pair], n: int) -> str:
    """The pairs that lie farthest apart in battery power."""
    worst = sorted((p for p in all_pairs if p.charging), key=lambda p: -abs(p.off[2]))[:n]
    return "".join(
        f"  machine {p.seed:4d}, {p.wind:5.2f} m/s, tip-speed ratio {p.ratio:4.1f}: {p.ours[2]:8.1f} W, "
        f"textbook {p.theirs[2]:8.1f} W\n"
        for p in worst
    )


def main(machines: int, winds: int) -> None:
    """Write the tables."""
    smooth = [p for seed in range(machines) for p in pairs(seed, winds_of(seed, winds))]
    sys.stdout.write(table("Current smooth, as in the program", smooth) + farthest(smooth, 12) + "\n")
    seeds = range(machines)
    stepped = [
        p
        for seed in seeds
        for p in pairs(seed, winds_of(seed, winds), textbook_machine.stepped_curves, random_machines.bare)
    ]
    sys.stdout.write(table("Followed in time, winding as the air, no dump load", stepped) + farthest(stepped, 6))


if __name__ == "__main__":
    main(*(int(n) for n in (sys.argv[1:] + ["300", "3"][len(sys.argv) - 1 :])))
