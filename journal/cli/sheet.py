"""The design sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, Correct, Json, On, ask, say, session
from journal.errors import BadInput, GalebookError, NotFound, Refused

_PANEL = "Design sheet"
From = Annotated[
    str | None,
    typer.Option("--from", help="Where it comes from: measured, data plate, seller's claim, calculated, estimate."),
]


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add(_PANEL, set_value, name="set")
    to.add(_PANEL, unset, sheet, missing, names)


def set_value(
    path: Annotated[str | None, typer.Argument(help="Name, e.g. rotor.diameter or cable.main.length.")] = None,
    value: Annotated[str | None, typer.Argument(help='Value with its unit, e.g. "2.2 m +- 1 cm".')] = None,
    provenance: From = None,
    doubt: Annotated[str | None, typer.Option("--doubt", help='Uncertainty, e.g. "5 %" or "1 cm".')] = None,
    note: Annotated[str | None, typer.Option("--note", help="A note kept beside the value.")] = None,
    on: On = None,
    correct: Correct = None,
) -> None:
    """Set one value on the sheet.

    Example: galebook set rotor.diameter "2.2 m" --from measured
    """
    from journal.book import common
    from journal.book import sheet as service
    from journal.book.tables import PROVENANCES

    path = ask(path, "Name on the sheet", flag='galebook set rotor.diameter "2.2 m"', check=service.entry_of) or ""
    entry, _ = service.entry_of(path)
    value = ask(
        value,
        f"{entry.meaning}, like {entry.example}",
        flag=f'galebook set {path} "{entry.example}"',
        check=lambda typed: service.read(path, typed),
        words=entry.choices,
    )
    provenance = ask(provenance, "Where it comes from", flag="--from", default="estimate", words=PROVENANCES)
    with session(write=True) as s:
        of = common.revision(s, on)
        item = {"typed": value or "", "provenance": provenance, "doubt": doubt, "note": note}
        row = service.set_values(s, of, {path: item}, correct)[0]
    shown = entry.text(row.number) if row.number is not None else row.word
    same = shown is None or shown.replace(" ", "") == row.typed.replace(" ", "")
    say(f"{of.ref} {path} = {row.typed}{'' if same else f' ({shown})'}, {row.provenance}")


def unset(
    paths: Annotated[list[str], typer.Argument(help="Names to take off the sheet.")],
    on: On = None,
    correct: Correct = None,
) -> None:
    """Take values off the sheet.

    Example: galebook unset mast.tube_wall
    """
    from journal.book import common
    from journal.book import sheet as service

    with session(write=True) as s:
        gone = service.unset(s, common.revision(s, on), paths, correct)
    say(f"Took off: {', '.join(gone)}.")


def sheet(
    revision: Annotated[str | None, typer.Argument(help="Revision, e.g. r2; else the newest.")] = None,
    edit: Annotated[bool, typer.Option("--edit", help="Edit the whole sheet as text in $EDITOR.")] = False,
    file: Annotated[Path | None, typer.Option("--file", help="Set what a TOML file names; - for stdin.")] = None,
    toml: Annotated[bool, typer.Option("--toml", help="Write the sheet as commented TOML.")] = False,
    correct: Correct = None,
    as_json: Json = False,
) -> None:
    """Show the design sheet; or edit it as text, or read it from a file.

    Example: galebook sheet r2 --edit
    """
    from journal.book import common
    from journal.book import sheet as service
    from journal.screens.sheet import gather_sheet, show_sheet

    if edit:
        _edit(revision, correct)
        return
    if file is not None:
        items = service.from_toml(_read(file), "stdin" if str(file) == "-" else file.name)
        with session(write=True) as s:
            of = common.revision(s, revision)
            service.set_values(s, of, items, correct)
        say(f"Set {len(items)} values on {of.ref}.")
        return
    with session() as s:
        if toml:
            typer.echo(service.to_toml(s, common.revision(s, revision)))
        else:
            show_sheet(gather_sheet(s, revision), as_json)


def _read(file: Path) -> str:
    import sys

    try:
        return sys.stdin.read() if str(file) == "-" else file.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise NotFound(f"There is no file {file}") from None
    except (OSError, UnicodeDecodeError) as e:
        raise BadInput(f"{file} cannot be read as text ({e})", "A TOML file in UTF-8 is accepted") from None


def _edit(revision: str | None, correct: str | None) -> None:
    from journal.book import common
    from journal.book import sheet as service

    with session() as s:
        of = common.revision(s, revision)
        service.permit(s, of, correct)
        before = service.to_toml(s, of)
        known = set(service.of(s, of).values)
    after = _in_editor(before)
    if after == before or not after.strip():
        say("Nothing changed.")
        return
    old = service.from_toml(before)
    try:
        items = service.from_toml(after)
        changed = {path: item for path, item in items.items() if old.get(path) != item}
        gone = sorted(known - set(items))
        with session(write=True) as s:
            of = common.revision(s, of.ref)
            if changed:
                service.set_values(s, of, changed, correct)
            if gone:
                service.unset(s, of, gone, correct)
    except GalebookError:
        # What was typed must not be lost to one wrong line.
        kept = _keep(after, f"galebook-{of.ref}-sheet")
        say(f"Your text is kept in {kept}; mend it and read it with: galebook sheet {of.ref} --file {kept}")
        raise
    say(f"Set {len(changed)} values on {of.ref}" + (f" and took {len(gone)} off." if gone else "."))


def _keep(text: str, name: str) -> Path:
    """Write a text to a new file, here or where temporary files go."""
    import tempfile

    for folder in (Path(), Path(tempfile.gettempdir())):
        for number in range(1, 100):
            kept = folder / f"{name}{f'-{number}' if number > 1 else ''}.toml"
            try:
                with kept.open("x", encoding="utf-8") as file:
                    file.write(text)
            except FileExistsError:
                continue
            except OSError:
                break
            return kept
    raise Refused("Your text could not be kept anywhere", "Nothing was saved")


def _in_editor(text: str) -> str:
    """Let the person edit a text."""
    import os
    import shlex
    import subprocess
    import tempfile

    editor = os.environ.get("VISUAL") or os.environ.get("EDITOR") or "vi"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.toml"
        path.write_text(text, encoding="utf-8")
        try:
            subprocess.run([*shlex.split(editor), str(path)], check=True)
            return path.read_text(encoding="utf-8")
        except (OSError, ValueError, subprocess.CalledProcessError) as e:
            raise BadInput(f"The editor {editor!r} could not be used ({e})", "Set EDITOR, or use --file") from None


def missing(
    revision: Annotated[str | None, typer.Argument(help="Revision, e.g. r2; else the newest.")] = None,
    as_json: Json = False,
) -> None:
    """List what the sheet still lacks, and which findings wait for it.

    Example: galebook missing r2
    """
    from journal.review import verdict
    from journal.screens.missing import show_missing

    with session() as s:
        show_missing(verdict.check(s, revision), as_json)


def names(
    about: Annotated[str | None, typer.Argument(help="Only names that hold this, e.g. cable.")] = None,
    measured: Annotated[bool, typer.Option("--measured", help="Quantities that can be measured instead.")] = False,
    as_json: Json = False,
) -> None:
    """List the names the sheet knows, or the quantities that can be measured.

    Example: galebook names cable
    """
    from journal.screens.names import gather_names, show_names

    show_names(gather_names(about, measured=measured), as_json)
