"""Let the disk be full at every stage of every writing command.

Run it with the environment's Python, as root (a small disk in memory is mounted for it):
``.venv/bin/python tests/hard/full_disk.py [--count 10] [--seed 1]``. Each command finds so many amounts of room, from
nothing to what it takes; then files may only be so long. It prints how many stages were tried and how many of the
commands could not do their work, and every fault; it exits with 1 where there was one.
"""

from __future__ import annotations

import argparse
import contextlib
import random
import resource
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests import faults, hold

#: Of the small disk. [KB]
SIZE = 24_000
_FILLER = "filler"


@contextlib.contextmanager
def small_disk(folder: Path) -> Iterator[Path | None]:
    """A small disk in memory; None where none can be mounted."""
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={SIZE}k", "none", str(folder)], capture_output=True, check=False
    )
    try:
        yield folder if mounted.returncode == 0 else None
    finally:
        subprocess.run(["umount", str(folder)], capture_output=True, check=False)


def fill(disk: Path, leave: int) -> None:
    """Fill the disk up to so many KB."""
    free = shutil.disk_usage(disk).free // 1024
    with (disk / _FILLER).open("wb") as stream:
        for _ in range(max(0, free - leave) // 4):
            stream.write(b"\0" * 4096)


def _told_badly(ended: faults.Ended) -> Iterator[str]:
    if ended.code not in (0, 1):
        yield f"ended with {ended.code}: {ended.err[-600:]}"
    if ended.code and not (ended.err.startswith("galebook: ") or "\ngalebook: " in ended.err):
        yield f"did not say what was wrong: {ended}"
    if ended.code and ended.err.count("\n") > 2:
        yield f"said it in many lines: {ended.err}"


def _in_room(worlds: faults.Worlds, disk: Path, command: faults.Command, leave: int) -> tuple[faults.Ended, list[str]]:
    """Run one command where so many KB are left."""
    folder = disk / "try"
    shutil.rmtree(folder, ignore_errors=True)
    (disk / _FILLER).unlink(missing_ok=True)
    shutil.copytree(worlds.home / command.state, folder)
    had = hold.changes(folder / faults.NAME)
    fill(disk, leave)
    before = worlds.before(command.state)
    ended = faults.run(command.words, folder, before=before, beside=worlds.home)
    found = [f"not to be read: {r}" for r in [faults.run(("list", "attempts"), folder, before=before,
             beside=worlds.home)] if r.code and command.state == "ready"]  # fmt: skip
    (disk / _FILLER).unlink()
    return ended, [*found, *_told_badly(ended), *hold.wrong(folder, command, ended, had, beside=worlds.home)]


def in_small_rooms(
    worlds: faults.Worlds, disk: Path, count: int, chance: random.Random, only: str = ""
) -> tuple[int, int, list[str]]:
    """Every command with so many amounts of room; how many tries, how many were not done, and what was wrong."""
    tried = refused = 0
    found = faults.Found()
    for command in faults.in_time([c for c in faults.COMMANDS if only in c.name and c.words[0] not in faults.SLOW]):
        for leave in [0, *sorted(int(2 ** chance.uniform(2, 12)) for _ in range(count - 1))]:
            ended, wrong = _in_room(worlds, disk, command, leave)
            tried, refused = tried + 1, refused + bool(ended.code)
            found += [f"{command.name} with {leave} KB: {w}" for w in wrong]
    return tried, refused, found


def with_short_files(
    worlds: faults.Worlds, count: int, chance: random.Random, only: str = ""
) -> tuple[int, int, list[str]]:
    """Every command where no file may grow beyond some length, as quotas have it."""
    tried = refused = 0
    found = faults.Found()
    for command in faults.in_time([c for c in faults.COMMANDS if only in c.name and c.words[0] not in faults.SLOW]):
        for _ in range(count):
            most = int(2 ** chance.uniform(5, 11)) * 1024
            folder, before = worlds.copy(command.state), worlds.before(command.state)
            had = hold.changes(folder / faults.NAME)

            def limited(before: faults.Before = before, most: int = most) -> None:
                before()
                resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

            ended = faults.run(command.words, folder, before=limited)
            tried, refused = tried + 1, refused + bool(ended.code)
            wrong = [*_told_badly(ended), *hold.wrong(folder, command, ended, had)]
            found += [f"{command.name} with files of {most} bytes: {w}" for w in wrong]
    return tried, refused, found


def main() -> int:
    """Read the arguments, do it, tell it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=10)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    with faults.scratch() as home, small_disk(home.with_name(f"{home.name}-disk")) as disk:
        worlds, chance = faults.worlds(home), random.Random(given.seed)
        tried, refused, found = with_short_files(worlds, max(1, given.count // 3), chance, given.only)
        print(f"{tried} commands with files of limited length, {refused} could not do it, {len(found)} faults")
        if disk is None:
            print("No small disk can be mounted here.")
        else:
            tried, refused, more = in_small_rooms(worlds, disk, given.count, chance, given.only)
            found += more
            print(f"{tried} commands on a disk that is nearly full, {refused} could not do it, {len(more)} faults")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
