"""Cut the power at any system call of every writing command, as far as the system has promised nothing yet.

Run it with the environment's Python: ``.venv/bin/python tests/hard/power_cuts.py [--count 400] [--seed 1]``. ``strace``
(a package of Debian) records what a command asks of the system; each try builds the disk as it could be after a cut
behind one of these calls. What was written to a file and not synced may be there, not, or be zeros; names in a folder
may be as they were when it was last synced, or as at any moment since. It prints how many cuts were tried, among them
those after the command had said that it was done, and every fault; it exits with 1 where there was one.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests import faults, hold

_CALLS = (
    "openat,open,creat,close,write,pwrite64,writev,pwritev,ftruncate,fsync,fdatasync,rename,renameat,renameat2,link,"
    "linkat,unlink,unlinkat,mkdir,mkdirat,rmdir,lseek,sendfile,copy_file_range,dup,dup2,dup3,fcntl,fallocate"
)
_LINE = re.compile(r"^\d+ +(\w+)\((.*)\) += (-?\d+)", re.S)
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
SECTOR = 512


@dataclass
class Inode:
    """A file: what is certain of it, what is there now, and the writes in between."""

    now: bytearray = field(default_factory=bytearray)
    sure: bytes = b""
    since: list[tuple[int, bytes]] = field(default_factory=list)
    cut: list[int] = field(default_factory=list)

    def write(self, at: int, data: bytes) -> None:
        """Write, without any promise."""
        if len(self.now) < at:
            self.now.extend(b"\0" * (at - len(self.now)))
        self.now[at : at + len(data)] = data
        self.since.append((at, data))

    def truncate(self, size: int) -> None:
        """Cut off or lengthen; taken to be lost or kept as any write."""
        del self.now[size:]
        self.now.extend(b"\0" * (size - len(self.now)))
        self.since.append((-1, size.to_bytes(8, "big")))

    def sync(self) -> None:
        """Now it is certain."""
        self.sure, self.since = bytes(self.now), []

    def after_cut(self, chance: random.Random, way: str) -> bytes:
        """What may be read after a cut."""
        if way == "all":
            return bytes(self.now)
        data = bytearray(self.sure)
        for at, piece in self.since if way != "none" else []:
            if at < 0:
                size = int.from_bytes(piece, "big")
                del data[size:]
                data.extend(b"\0" * (size - len(data)))
                continue
            for start in range(0, len(piece), SECTOR):
                sector, there = piece[start : start + SECTOR], chance.random()
                if way == "zeros":
                    there, sector = 0, b"\0" * len(sector)
                if there < 0.5:
                    end = at + start + len(sector)
                    data.extend(b"\0" * (end - len(data)))
                    data[at + start : end] = sector
        return bytes(data)


#: The names in a folder: of files, and of folders (which are never lost once they are made: None).
Names = dict[str, Inode | None]


class Disk:
    """What a command did to a folder, call by call."""

    def __init__(self, home: Path, root: Path) -> None:
        self.root, self.names, self.history = root, {}, {}
        self.handles: dict[int, list[object]] = {}
        self.said = b""
        for folder in [home, *(p for p in home.rglob("*") if p.is_dir())]:
            where = root / folder.relative_to(home)
            self.names[where] = {}
            for file in folder.iterdir():
                inode = None if file.is_dir() else Inode(bytearray(file.read_bytes()), file.read_bytes())
                self.names[where][file.name] = inode
            self.history[where] = [dict(self.names[where])]

    def _at(self, path: Path) -> Inode | None:
        return self.names.get(path.parent, {}).get(path.name)

    def _name(self, path: Path, inode: Inode | None, *, gone: bool = False) -> None:
        if path.parent not in self.names:
            return
        if gone:
            self.names[path.parent].pop(path.name, None)
        else:
            self.names[path.parent][path.name] = inode
        self.history[path.parent].append(dict(self.names[path.parent]))

    def apply(self, call: str, given: str, result: int) -> None:
        """One call of the system, as it was recorded."""
        if result < 0:
            return
        texts = [bytes.fromhex(t.replace("\\x", "")) for t in _TEXT.findall(given)]
        paths = [self.root / os.fsdecode(t) for t in texts]
        number = int(m[0]) if (m := re.match(r"\d+", given)) else -1
        getattr(self, f"_{call}", self._other)(number, texts, paths, given, result)

    def _other(self, *_: object) -> None:
        """What changes nothing."""

    def _openat(self, _n: int, _t: list[bytes], paths: list[Path], given: str, result: int) -> None:
        path = Path(os.path.normpath(paths[0]))
        self.handles.pop(result, None)
        if path in self.names:
            self.handles[result] = [path, 0, False]
        elif path.parent in self.names and "O_DIRECTORY" not in given:
            if "O_CREAT" in given and self._at(path) is None:
                self._name(path, Inode())
            inode = self._at(path)
            if inode is not None:
                if "O_TRUNC" in given and inode.now:
                    inode.truncate(0)
                self.handles[result] = [inode, 0, "O_APPEND" in given]

    _open = _openat

    def _close(self, number: int, *_: object) -> None:
        self.handles.pop(number, None)

    def _fcntl(self, number: int, _t: list[bytes], _p: list[Path], given: str, result: int) -> None:
        if "F_DUPFD" in given and number in self.handles:
            self.handles[result] = self.handles[number]

    def _dup2(self, number: int, _t: list[bytes], _p: list[Path], _given: str, result: int) -> None:
        if number in self.handles:
            self.handles[result] = self.handles[number]

    _dup = _dup3 = _dup2

    def _write(self, number: int, texts: list[bytes], _p: list[Path], _given: str, result: int) -> None:
        if number in (1, 2) and number not in self.handles:
            self.said += texts[0][:result]
        handle = self.handles.get(number)
        if handle and isinstance(handle[0], Inode):
            at = len(handle[0].now) if handle[2] else int(str(handle[1]))
            handle[0].write(at, texts[0][:result])
            handle[1] = at + result

    def _pwrite64(self, number: int, texts: list[bytes], _p: list[Path], given: str, result: int) -> None:
        handle = self.handles.get(number)
        if handle and isinstance(handle[0], Inode):
            handle[0].write(int(given.rsplit(",", 1)[1]), texts[0][:result])

    def _lseek(self, number: int, _t: list[bytes], _p: list[Path], _given: str, result: int) -> None:
        if number in self.handles:
            self.handles[number][1] = result

    def _ftruncate(self, number: int, _t: list[bytes], _p: list[Path], given: str, _result: int) -> None:
        handle = self.handles.get(number)
        if handle and isinstance(handle[0], Inode):
            handle[0].truncate(int(given.rsplit(",", 1)[1]))

    def _sendfile(self, number: int, _t: list[bytes], _p: list[Path], given: str, result: int) -> None:
        source, out = self.handles.get(int(given.split(",")[1])), self.handles.get(number)
        if source and out and isinstance(source[0], Inode) and isinstance(out[0], Inode):
            at = int(str(out[1]))
            out[0].write(at, bytes(source[0].now[at : at + result]))
            out[1] = at + result

    def _fsync(self, number: int, *_: object) -> None:
        handle = self.handles.get(number)
        if handle and isinstance(handle[0], Inode):
            handle[0].sync()
        elif handle and isinstance(handle[0], Path):
            self.history[handle[0]] = [dict(self.names[handle[0]])]

    _fdatasync = _fsync

    def _rename(self, _n: int, _t: list[bytes], paths: list[Path], _given: str, _result: int) -> None:
        inode = self._at(paths[0])
        if paths[0].parent == paths[1].parent and paths[0].parent in self.names:
            # One step within one folder.
            names = self.names[paths[0].parent]
            names.pop(paths[0].name, None)
            self._name(paths[1], inode)
        else:
            self._name(paths[1], inode)
            self._name(paths[0], None, gone=True)

    _renameat = _renameat2 = _rename

    def _link(self, _n: int, _t: list[bytes], paths: list[Path], _given: str, _result: int) -> None:
        self._name(paths[1], self._at(paths[0]))

    _linkat = _link

    def _unlink(self, _n: int, _t: list[bytes], paths: list[Path], _given: str, _result: int) -> None:
        self._name(paths[0], None, gone=True)

    def _unlinkat(self, _n: int, _t: list[bytes], paths: list[Path], given: str, _result: int) -> None:
        inside = re.match(r"(\d+),", given)
        handle = self.handles.get(int(inside[1])) if inside else None
        folder = handle[0] if handle and isinstance(handle[0], Path) else self.root
        self._name(Path(os.path.normpath(folder / paths[0].relative_to(self.root))), None, gone=True)

    _rmdir = _unlink

    def _mkdir(self, _n: int, _t: list[bytes], paths: list[Path], _given: str, _result: int) -> None:
        path = Path(os.path.normpath(paths[0]))
        self._name(path, None)
        if path.parent in self.names:
            self.names[path], self.history[path] = {}, [{}]

    _mkdirat = _mkdir

    def after_cut(self, target: Path, chance: random.Random, way: str) -> None:
        """Lay down the disk after a cut, with ``all``, ``none``, ``zeros`` or ``some`` of what was not synced."""
        shutil.rmtree(target, ignore_errors=True)
        target.mkdir()
        contents: dict[int, bytes] = {}
        self._lay(self.root, target, chance, way, contents)

    def _lay(self, folder: Path, target: Path, chance: random.Random, way: str, contents: dict[int, bytes]) -> None:
        states = self.history[folder]
        pick = {"all": len(states) - 1, "none": 0, "zeros": len(states) - 1}.get(way, chance.randrange(len(states)))
        for name, inode in states[pick].items():
            if inode is None:
                (target / name).mkdir(exist_ok=True)
                if folder / name in self.names:
                    self._lay(folder / name, target / name, chance, way, contents)
            else:
                if id(inode) not in contents:
                    contents[id(inode)] = inode.after_cut(chance, way)
                (target / name).write_bytes(contents[id(inode)])


def recorded(command: faults.Command, folder: Path, newer: str) -> Iterator[tuple[str, str, int]]:
    """Run a command under strace; its calls in order."""
    log = folder.parent / "calls"
    code = f"import sys; {newer}; from journal.cli import main; sys.argv[0] = 'galebook'; main()"
    env = {
        **os.environ, "GALEBOOK_JOURNAL": faults.NAME, "GALEBOOK_CACHE": str(folder.parent / "verdicts"),
        "PYTHONPATH": str(Path(__file__).resolve().parents[2]), "NO_COLOR": "1",
    }  # fmt: skip
    done = subprocess.run(
        ["strace", "-f", "-xx", "-s", "99999999", "-o", str(log), "-e", f"trace={_CALLS}", sys.executable, "-c", code,
         *command.words],
        cwd=folder, env=env, capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, (command, done)
    with log.open(encoding="ascii") as lines:
        for line in lines:
            if match := _LINE.match(line):
                yield match[1], match[2], int(match[3])


def cuts(worlds: faults.Worlds, count: int, chance: random.Random, only: str = "") -> tuple[int, int, list[str]]:
    """Cut the power so many times in all commands together; how many cuts, those after it had said so, the faults."""
    commands = [c for c in faults.COMMANDS if only in c.name and c.words[0] not in faults.SLOW]
    tried = late = 0
    found = faults.Found()
    for command in faults.in_time(commands):
        each = max(4, count // len(commands))
        home = worlds.home / command.state
        had = hold.changes(home / faults.NAME)
        folder = worlds.copy(command.state, "recorded")
        calls = list(recorded(command, folder, worlds.newer(command.state)))
        writing = [n for n, c in enumerate(calls) if c[0] not in ("openat", "lseek", "close", "fcntl", "dup")]
        moments = sorted([*chance.choices(writing, k=each - 3), *[len(calls) - 1] * 3])
        disk, done = Disk(home, folder), 0
        for moment in moments:
            for call in calls[done : moment + 1]:
                disk.apply(*call)
            done = max(done, moment + 1)
            way = chance.choice(("all", "none", "zeros", "some", "some", "some"))
            cut = worlds.home / "cut"
            disk.after_cut(cut, chance, way)
            said = disk.said.decode(errors="replace")
            tried, late = tried + 1, late + bool(said)
            ended = faults.Ended(-9, "\n".join(x for x in said.splitlines() if " " not in x), said, 0.0)
            wrong = hold.wrong(cut, command, ended, had)
            found += [f"{command.name}, {way} at {moment} of {len(calls)}: {w}" for w in wrong]
    return tried, late, found


def main() -> int:
    """Read the arguments, do it, tell it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    if shutil.which("strace") is None:
        print("There is no strace here; it is a package of Debian.")
        return 0
    with faults.scratch() as home:
        tried, late, found = cuts(faults.worlds(home), given.count, random.Random(given.seed), given.only)
    print(f"{tried} power cuts, {late} of them after something was said, {len(found)} faults")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
