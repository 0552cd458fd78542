"""Print every screen of a journal into a folder, as text at three widths and as JSON.

To read them all, or to see what a change of the program does to any of them::

    python tools/screens.py demo/demo.db before
    python tools/screens.py demo/demo.db after && diff -r before after
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import shlex
import sys
from collections.abc import Iterator
from pathlib import Path

import typer

from journal import cli
from journal.cli.builds import KINDS

#: Columns of the terminal; nought is a pipe.
WIDTHS = (0, 80, 100)


class Screen(io.StringIO):
    """What stands in for the terminal, or for a pipe."""

    encoding = "utf-8"

    def __init__(self, width: int) -> None:
        super().__init__()
        self.width = width

    def isatty(self) -> bool:
        """Whether it is a terminal."""
        return bool(self.width)


def shown(args: list[str], width: int) -> str:
    """What one command prints, with its exit code and what it says on stderr."""
    os.environ.update(COLUMNS=str(width or 100), NO_COLOR="1", TERM="xterm")
    out, err = Screen(width), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = cli.run(args)
    return f"{out.getvalue()}{err.getvalue()}[exit {code}]\n"


def records(kind: str) -> list[str]:
    """References of all records of a kind."""
    return [record["ref"] for record in json.loads(shown(["list", kind, "--json"], 0).rpartition("[exit")[0])]


def calls() -> Iterator[list[str]]:
    """Every reading command, with everything of this journal that it can be asked for."""
    revisions, failures, decisions = (records(kind) for kind in ("revisions", "failures", "decisions"))
    refs = [ref for kind in KINDS for ref in records(kind)]
    asked: dict[str, list[list[str]]] = {
        "show": [[ref] for ref in refs],
        "list": [[kind] for kind in KINDS],
        "history": [[], *([ref] for ref in refs)],
        "names": [[], ["cable"], ["--measured"], ["nothing of that name"]],
        "rules": [[], ["wiring"], ["nothing of that name"]],
        "sheet": [[], *([r] for r in revisions), *([r, "--toml"] for r in revisions)],
        "check": [[], *([r] for r in revisions), *([r, "--all"] for r in revisions)],
        "compare": [[a, b] for a in revisions for b in revisions],
        "weigh": [[d] for d in decisions],
        "why": [[f] for f in failures],
        "years": [[r, "--years", "2"] for r in revisions],
        "vary": [["cable.mast.area=6 mm2, 10 mm2", *more, "--on", r] for r in revisions for more in ([], ["--all"])],
        "turn": [
            ["wiring.voltage-drop", path, "--subject", "cable.mast", "--on", r]
            for r in revisions
            for path in ("cable.mast.area", "storage.chemistry")
        ],
        **{
            name: [[], *([r] for r in revisions)]
            for name in ("part list", "missing", "power", "doubts", "diagram", "buy", "blade")
        },
        **{name: [[]] for name in ("builds", "status", "predictions", "where")},
    }
    for name, command in commands():
        if any("--json" in p.opts for p in command.params):
            for args in asked.get(name) or [example(name, command)]:
                yield [*name.split(), *args]


def example(name: str, command: typer.core.TyperCommand) -> list[str]:
    """What the help of a command gives as an example, without the command."""
    _, _, words = (command.help or "").partition(f"Example: galebook {name}")
    return shlex.split(words)


def commands() -> Iterator[tuple[str, typer.core.TyperCommand]]:
    """Every command with its path, such as ``part list``."""
    root = typer.main.get_command(cli.build())
    for name, command in root.commands.items():  # type: ignore[attr-defined]
        for inner, one in getattr(command, "commands", {"": command}).items():
            yield f"{name} {inner}".strip(), one


def main(journal: Path, folder: Path) -> None:
    """Write one file for each call and form."""
    os.environ["GALEBOOK_JOURNAL"] = str(journal.absolute())
    folder.mkdir(parents=True)
    for args in calls():
        name = "_".join(args).replace("/", "").replace(" ", "-")
        for width in WIDTHS:
            (folder / f"{name}.{width or 'pipe'}.txt").write_text(shown(args, width), encoding="utf-8")
        if "--toml" not in args:
            (folder / f"{name}.json").write_text(shown([*args, "--json"], 0), encoding="utf-8")
    for name, _ in commands():
        (folder / f"help_{name.replace(' ', '_')}.txt").write_text(shown([*name.split(), "--help"], 80))


def asked(typed: list[str]) -> tuple[Path, Path]:
    """The journal and the folder that were named; anything else ends in the usage."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("journal", type=Path, help="the journal whose screens are printed")
    parser.add_argument("folder", type=Path, help="a new folder for them")
    found = parser.parse_args(typed)
    if not found.journal.is_file():
        parser.error(f"there is no journal at {found.journal}")
    if found.folder.exists():
        parser.error(f"{found.folder} exists already; name a new folder")
    return found.journal, found.folder


if __name__ == "__main__":
    main(*asked(sys.argv[1:]))
