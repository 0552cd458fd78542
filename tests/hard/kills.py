"""Kill every writing command at random moments, and look at what is left.

Run it with the environment's Python: ``.venv/bin/python tests/hard/kills.py [--count 600] [--seed 1]``. It prints
how many commands were killed before they ended, and every fault; it exits with 1 where there was one.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests import faults, hold

#: How many of each were tried, how many of those killed before they ended, and what was wrong.
Kills = tuple[Counter[str], Counter[str], list[str]]


def kills(worlds: faults.Worlds, count: int, chance: random.Random, only: str = "") -> Kills:
    """Kill commands in turn at random moments."""
    quick = [c for c in faults.COMMANDS if only in c.name and c.words[0] not in faults.SLOW]
    slow = [c for c in faults.COMMANDS if only in c.name and c.words[0] in faults.SLOW]
    commands = quick * 4 + slow or quick
    took: dict[str, float] = {}
    tried, killed, found = Counter[str](), Counter[str](), faults.Found()
    for number in faults.in_time(range(count)):
        command = commands[number % len(commands)]
        folder, before = worlds.copy(command.state), worlds.before(command.state)
        had = hold.changes(folder / faults.NAME)
        line = " ".join(command.words)
        if line not in took:
            ended = faults.run(command.words, folder, before=before)
            took[line] = ended.seconds
            if ended.code:
                found += [f"{command.name}: does not work at all: {ended}"]
            found += [f"{command.name}, not killed: {w}" for w in hold.wrong(folder, command, ended, had)]
            folder = worlds.copy(command.state)
        # What reckons for seconds and then writes for a moment is mostly killed at about that moment.
        early = 0.9 if took[line] > 3 and number % 5 else 0
        kill_after = chance.uniform(early, 1.1) * took[line]
        ended = faults.run(command.words, folder, kill_after=kill_after, before=before)
        tried[command.name] += 1
        killed[command.name] += ended.killed
        found += [f"{command.name}: {w}" for w in hold.wrong(folder, command, ended, had)]
    return tried, killed, found


def main() -> int:
    """Read the arguments, do it, tell it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    with faults.scratch() as home:
        worlds = faults.worlds(Path(home))
        tried, killed, found = kills(worlds, given.count, random.Random(given.seed), given.only)
    print(f"{sum(tried.values())} commands, {sum(killed.values())} killed before they ended, {len(found)} faults")
    print(", ".join(f"{name} {many}" for name, many in killed.items()))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
