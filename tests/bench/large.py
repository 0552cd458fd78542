"""How long commands take on a journal of many years beside the demo's, and how much memory, in one run.

Medians of whole processes, in seconds of the processor's time, which does not depend on what else runs; the most
memory of any round. Frozen verdicts are kept from one command to the next, but where a line says anew.

Run it with the environment's Python: ``.venv/bin/python tests/bench/large.py [ROUNDS [READINGS ...]]``
"""

from __future__ import annotations

import os
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

SIZES = (5_000, 20_000)
#: What is asked for of the demo and of the large ones: the two newest revisions, and the newest failure and attempt.
ASKED = (
    {"old": "r1", "new": "r2", "failure": "F4", "attempt": "A9"},
    {"old": "r9", "new": "r10", "failure": "F60", "attempt": "A480"},
)
COMMANDS = (
    "status", "check {new}", "check {new} (anew)", "check {new} --json", "compare {old} {new}", "why F1",
    "why {failure}", "show A3", "show {attempt}", "show {new}", "missing", "power", "list failures", "list decisions",
    "list attempts", "list measurements", "list measurements --json", "history", "history A3", "history --json",
    "writeup --for forum", "writeup --for forum --format html", "writeup --for neighbour",
    "writeup --for neighbour --format html", "writeup --for workshop", "writeup --for workshop --format html",
)  # fmt: skip


def _journals(folder: Path, sizes: tuple[int, ...]) -> dict[str, Path]:
    """The demo, and copies of it that were filled.

    They are made in a process of its own, for a child begins as large as its parent.
    """
    made = {"demo": folder / "demo" / "demo.db"} | {str(size): folder / str(size) / "demo.db" for size in sizes}
    if pid := os.fork():
        if os.waitpid(pid, 0)[1]:
            sys.exit("The journals could not be made")
        return made
    _make(folder, sizes)
    os._exit(0)


def _make(folder: Path, sizes: tuple[int, ...]) -> None:
    from journal import demo
    from tests.journal.large_journal import Size, fill

    first = folder / "demo"
    first.mkdir()
    for _ in demo.play(first):
        pass
    for size in sizes:
        copy = folder / str(size)
        shutil.copytree(first, copy)
        (copy / "files").mkdir()
        fill(copy / "demo.db", Size(readings=size), copy / "files")


def _run(command: str, journal: Path, folder: Path) -> tuple[float, float, int]:
    """Seconds of the processor, megabytes at most, and bytes written by one command."""
    words, anew, _ = command.partition(" (anew)")
    env = {
        **os.environ,
        "GALEBOOK_JOURNAL": str(journal),
        "GALEBOOK_CACHE": str(journal / "no folder" if anew else folder / "verdicts"),
        "PYTHONPATH": str(ROOT),
        "COLUMNS": "100",
    }
    out = os.open(folder / "out", os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    argv = [sys.executable, "-m", "journal", *words.split()]
    actions = [(os.POSIX_SPAWN_DUP2, out, 1), (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0)]
    pid = os.posix_spawn(sys.executable, argv, env, file_actions=actions)
    _, status, used = os.wait4(pid, 0)
    os.close(out)
    if os.waitstatus_to_exitcode(status) not in (0, 3):
        sys.exit(f"{command} failed on {journal}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, (folder / "out").stat().st_size


def main(rounds: int, sizes: tuple[int, ...]) -> None:
    """Each command in turn on each journal, round by round."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        journals = _journals(folder, sizes)
        heads = "".join(f"{j:>9} s {'x demo':>7} {'MB':>5} {'kB out':>7}" for j in journals)
        print(f"{'':40}{heads}")
        for command in COMMANDS:
            cells, base = "", 0.0
            for label, journal in journals.items():
                asked = command.format(**ASKED[label != "demo"])
                runs = [_run(asked, journal, folder) for _ in range(rounds + 1)][1:]
                took, most, size = statistics.median(r[0] for r in runs), max(r[1] for r in runs), runs[-1][2]
                base = base or took
                cells += f"{took:11.2f} {took / base:7.1f} {most:5.0f} {size / 1024:7.0f}"
            print(f"{command.format(old='OLD', new='NEW', failure='F60', attempt='A480'):40}{cells}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3, tuple(map(int, sys.argv[2:])) or SIZES)
