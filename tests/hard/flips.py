"""Flip bits of a journal, or cut it off, and look at what is told, mended and kept.

Run it with the environment's Python: ``.venv/bin/python tests/hard/flips.py [--count 300] [--seed 1]``. It prints how
many of the flips in pages that are used the doctor found, how many files were whole again once they were mended, how
many rows of the history were lost with which kind of damage, and every traceback; it exits with 1 where a command ended
with a traceback, or the doctor called a journal whole of which a record was changed.
"""

from __future__ import annotations

import argparse
import contextlib
import random
import re
import sqlite3
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests import faults

READING = (
    ("status",), ("list", "attempts"), ("list", "measurements"), ("show", "A1"), ("show", "F1"), ("show", "D1"),
    ("history",), ("sheet", "r2"), ("missing",), ("backups",), ("where",), ("why", "F1"),
)  # fmt: skip


#: Tables that are made of the others.
_DERIVED = re.compile(r"sqlite_sequence|search")


def records(path: Path) -> list[str]:
    """Everything that is kept in a journal, without what is made of it; empty where it cannot be read."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.text_factory = lambda b: b.decode(errors="surrogateescape")
        with contextlib.suppress(sqlite3.DatabaseError):
            return sorted(line for line in connection.iterdump() if not _DERIVED.search(line[:60]))
    return []


def hurt(data: bytearray, chance: random.Random) -> str:
    """Do one of several kinds of harm to the bytes of a file."""
    way = chance.choice(("one bit",) * 5 + ("a sector", "cut off", "zeros"))
    at = chance.randrange(len(data))
    if way == "one bit":
        data[at] ^= 1 << chance.randrange(8)
    elif way == "a sector":
        data[at : at + 512] = chance.randbytes(len(data[at : at + 512]))
    elif way == "zeros":
        data[at : at + 4096] = bytes(len(data[at : at + 4096]))
    else:
        del data[at:]
    return way


def flips(worlds: faults.Worlds, count: int, chance: random.Random) -> tuple[Counter[str], list[str]]:
    """Do harm to so many copies; what came of it, and what was wrong."""
    counts, found = Counter[str](), faults.Found()
    folder = worlds.copy("ready")
    with contextlib.closing(sqlite3.connect(folder / faults.NAME)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    whole, before = (folder / faults.NAME).read_bytes(), records(folder / faults.NAME)
    for number in faults.in_time(range(count)):
        data, path = bytearray(whole), folder / faults.NAME
        way = hurt(data, chance)
        path.write_bytes(data)
        for end in ("-wal", "-shm"):
            path.with_name(path.name + end).unlink(missing_ok=True)
        changed = records(path) != before
        counts[f"{way}: tried"] += 1
        counts[f"{way}: changed what is kept, or made it unreadable"] += changed
        where = f"{way}, number {number}"
        for words in chance.sample(READING, 3):
            ended = faults.run(words, folder)
            if ended.code not in (0, 1, 3) or "Traceback" in ended.err:
                found += [f"{where}: {' '.join(words)}: {ended.code} {ended.err[-700:]}"]
        looked = faults.run(("doctor",), folder)
        counts[f"{way}: told by the doctor"] += looked.code == 1
        if looked.code not in (0, 1) or (changed and not looked.code):
            found += [f"{where}: doctor: {looked.code} {looked.err[-900:]} {_difference(before, path)}"]
        if looked.code:
            found += [f"{where}: {w}" for w in _mended(folder, way, counts, before)]
    return counts, found


def _difference(before: list[str], path: Path) -> str:
    now = records(path)
    return f"{sorted(set(before) - set(now))[:2]} {sorted(set(now) - set(before))[:2]}"[:900]


def _mended(folder: Path, way: str, counts: Counter[str], before: list[str]) -> list[str]:
    path = folder / faults.NAME
    mended = faults.run(("doctor", "--mend"), folder)
    if mended.code not in (0, 1) or "Traceback" in mended.err:
        return [f"doctor --mend: {mended.code} {mended.err[-900:]}"]
    now = records(path)
    told = "Lost" in mended.out or "galebook restore" in mended.err or bool(mended.code)
    counts[f"{way}: whole again"] += mended.code == 0
    counts[f"{way}: whole again, and nothing lost"] += now == before
    counts[f"{way}: something lost, and told so"] += now != before and told
    kept = {line for line in before if not line.startswith('INSERT INTO "history"')}
    if not told and not kept <= set(now):
        return [f"lost, and not told so: {sorted(kept - set(now))[:2]} {mended.out}"]
    return []


def main() -> int:
    """Read the arguments, do it, tell it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    with faults.scratch() as home:
        counts, found = flips(faults.worlds(home), given.count, random.Random(given.seed))
    for what, many in sorted(counts.items()):
        print(f"{what}: {many}")
    print(f"{sum(n for what, n in counts.items() if what.endswith('tried'))} files, {len(found)} faults")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
