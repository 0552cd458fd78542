"""Let many processes write into one journal at once, and others read it.

Run it with the environment's Python: ``.venv/bin/python tests/hard/writers.py [--count 100] [--writers 20]``. It prints
how many commands were refused, how long the slowest took, and what was lost; it exits with 1 where a command was
refused, a number was lost or given twice, or the journal is not whole.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests import faults, hold


def _worker(folder: Path, number: int, commands: int) -> None:
    """One of the writers: its commands, and every fifth time a look at all of them."""
    own, told = folder.parent / f"worker-{number}", []
    own.mkdir()
    for n in range(commands):
        words = ("list", "attempts") if n % 5 == 4 else ("attempt", f"run {n} of {number}", "--on", "r1")
        ended = faults.run(words, folder, beside=own)
        told.append(f"{words[0]} {ended.code} {ended.seconds:.2f} {ended.out.split()[:1]} {ended.err.strip()[:150]!r}")
    (own / "told").write_text("\n".join(told))
    os._exit(0)


def at_once(worlds: faults.Worlds, writers: int, commands: int) -> tuple[list[str], float, list[str]]:
    """So many writers with so many commands each; what they told, the slowest in seconds, and what was wrong."""
    folder = worlds.copy("ready")
    had = hold.one(folder / faults.NAME, "SELECT count(*) FROM attempt")
    children = []
    for number in range(writers):
        if not (child := os.fork()):
            _worker(folder, number, commands)
        children.append(child)
    for child in children:
        os.waitpid(child, 0)
    told = [line for n in range(writers) for line in (worlds.home / f"worker-{n}" / "told").read_text().splitlines()]
    done = [line.split()[3] for line in told if line.startswith("attempt 0")]
    found = hold.in_journal(folder / faults.NAME)
    if len(set(done)) != len(done):
        found.append("a number was given twice")
    if (now := hold.one(folder / faults.NAME, "SELECT count(*) FROM attempt")) != had + len(done):
        found.append(f"{had} attempts were there, {len(done)} were logged, and now there are {now}")
    return told, max(float(line.split()[2]) for line in told), found


def main() -> int:
    """Read the arguments, do it, tell it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--writers", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1, help="not used: the system decides who comes first")
    given = parser.parse_args()
    began = time.monotonic()
    with faults.scratch() as home:
        told, slowest, found = at_once(faults.worlds(home), given.writers, -(-given.count // given.writers))
    refused = [line for line in told if line.split()[1] != "0"]
    for line in [*found, *refused]:
        print(line)
    print(
        f"{given.writers} writers, {len(told)} commands, {len(refused)} refused, the slowest took {slowest:.1f} s, "
        f"all {time.monotonic() - began:.0f} s, {len(found)} faults"
    )
    return 1 if found or refused else 0


if __name__ == "__main__":
    sys.exit(main())
