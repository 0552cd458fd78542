"""The design sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from journal.cli.common import Commands, ask, confirm, echo, say, session
from journal.cli.editor import MOST_BYTES, decoded, edited, is_kept, read_text
from journal.cli.options import Correct, Json, OfRevision, On
from journal.cli.typed import front, let_go
from journal.cli.unclear import beside, one_reading
from journal.errors import BadInput, NotFound, Refused

if TYPE_CHECKING:
    from sqlmodel import Session

    from calc.machine.entry import Entry
    from journal.book import sheet_toml

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
    more: Annotated[
        list[str] | None, typer.Argument(help="More words, where name or value were typed in several.", metavar="...")
    ] = None,
    provenance: From = None,
    doubt: Annotated[str | None, typer.Option("--doubt", help='Uncertainty, e.g. "5 %" or "1 cm".')] = None,
    note: Annotated[str | None, typer.Option("--note", help="A note kept beside the value.")] = None,
    on: On = None,
    correct: Correct = None,
) -> None:
    """Set a value on the sheet; as NAME=VALUE several at once.

    Example: galebook set rotor.diameter "2.2 m" --from measured
    """
    from calc.machine.catalogue import catalogue
    from journal.book import naming, sheet
    from journal.book.tables import PROVENANCES
    from journal.cli.picking import correction

    if pairs := naming.pairs_typed(filter(None, (path, value, *(more or ())))):
        with session(write=True) as s:
            told = _set_all(s, pairs, provenance, doubt, note, on, correct)
        say("\n".join(told))
        return
    if more:
        path, value = sheet.name_and_value([path or "", value or "", *more])
    path = ask(path, "Name on the sheet", flag='galebook set rotor.diameter "2.2 m"', check=sheet.named_input,
               completions=tuple(catalogue())) or ""  # fmt: skip
    typed_name, path = path, sheet.named_input(path)
    entry, _ = sheet.entry_of(path)
    value = one_reading(value, entry.meaning, lambda typed: sheet.read_value(path, typed))
    if value is None:
        # Nobody answers in vain where it would be refused.
        correct = correction(on, path, correct)
    value = value if value is not None else _answer(path, entry)
    provenance = ask(provenance, "Where it comes from", flag="--from", default="estimate", words=PROVENANCES)
    with session(write=True) as s:
        told = _set_all(s, {typed_name: value or ""}, provenance, doubt, note, on, correct)
    say("\n".join(told))


def _set_all(
    s: Session, pairs: dict[str, str], provenance: str | None, doubt: str | None, note: str | None, on: str | None,
    correct: str | None,
) -> list[str]:  # fmt: skip
    """Set all of several values or none; how each was read, in words."""
    from journal.book import records, sheet

    items = {n: {"typed": typed, "provenance": provenance, "doubt": doubt, "note": note} for n, typed in pairs.items()}
    of = records.find_revision(s, on)
    rows = sheet.set_values(s, of, items, correct)
    later, told = sheet.added_later(s, of), []
    for row in rows:
        entry, _ = sheet.entry_of(row.path)
        shown = entry.text(row.number) if row.number is not None else row.word or ""
        added = f", added after {of.ref} was built" if row.path in later else ""
        told.append(f"{of.ref} {row.path} = {row.typed}{beside(row.typed, shown)}, {row.provenance}{added}")
    return told


def _answer(path: str, entry: Entry[Any]) -> str:
    """A value as somebody answers who sees its unit in the question."""
    from journal.book import sheet
    from journal.book.plain_quantity import in_unit_of
    from journal.review.asking import help_of, wording

    def whole(typed: str) -> str:
        return in_unit_of(entry, typed) if entry.kind == "number" else typed

    answer = ask(
        None,
        f"{entry.meaning}, like {entry.example}",
        flag=f'galebook set {path} "{entry.example}"',
        check=lambda typed: sheet.read_value(path, whole(typed)),
        words=entry.choices or (("yes", "no") if entry.kind == "flag" else ()),
        help=help_of(wording(path)),
    )
    return whole(answer or "")


def unset(
    paths: Annotated[list[str], typer.Argument(help="Names to take off the sheet.")],
    on: On = None,
    correct: Correct = None,
) -> None:
    """Take values off the sheet.

    Example: galebook unset mast.tube_wall
    """
    from journal.book import records, sheet

    with session(write=True) as s:
        gone = sheet.unset(s, records.find_revision(s, on), [sheet.named_input(path) for path in paths], correct)
    say(f"Took off: {', '.join(gone)}.")


def sheet(
    revision: OfRevision = None,
    edit: Annotated[bool, typer.Option("--edit", help="Edit the whole sheet as text in $EDITOR.")] = False,
    file: Annotated[Path | None, typer.Option("--file", help="Set what a TOML file names; - for stdin.")] = None,
    toml: Annotated[bool, typer.Option("--toml", help="Write the sheet as commented TOML.")] = False,
    take_off: Annotated[
        bool, typer.Option("--take-off", help="Take off every value that the text does not name, without asking.")
    ] = False,
    correct: Correct = None,
    as_json: Json = False,
) -> None:
    """Show the design sheet; or edit it as text, or read it from a file.

    Example: galebook sheet r2 --edit
    """
    if edit:
        _edit(revision, correct, take_off)
    elif file is not None:
        _take_in(file, revision, correct, take_off)
    elif toml:
        _write_toml(revision)
    else:
        from journal.screens.sheet import gather_sheet, show_sheet

        with session() as s:
            show_sheet(gather_sheet(s, revision), as_json)


def _write_toml(revision: str | None) -> None:
    from journal.book import records, sheet_toml

    with session() as s:
        echo(sheet_toml.to_toml(s, records.find_revision(s, revision)))


def _take_in(file: Path, revision: str | None, correct: str | None, take_off: bool) -> None:
    from calc.wording import number_of
    from journal.book import records, sheet_toml

    text = text_of(file)
    with session(write=True) as s:
        of = records.find_revision(s, revision)
        name = "stdin" if str(file) == "-" else file.name
        taken = sheet_toml.read_sheet(s, of, text, name, correct, take_off=take_off)
    say(_taken(of.ref, taken.changed, taken.gone))
    if is_kept(file):
        let_go(file)
        if taken.left:
            stay = "value that your text does not name stays", "values that your text does not name stay"
            say(f"{number_of(taken.left, *stay)}; galebook unset takes values off.")


def _taken(ref: str, changed: int, gone: int) -> str:
    from calc.wording import number_of

    return f"Set {number_of(changed, 'value')} on {ref}" + (f" and took {gone} off." if gone else ".")


def text_of(file: Path) -> str:
    """The text of a file of values, or of stdin for ``-``.

    Raises
    ------
    NotFound, BadInput
        If it cannot be read as one.
    """
    import sys

    try:
        if str(file) == "-":
            return decoded(sys.stdin.buffer.read(MOST_BYTES + 1), "stdin")
        return read_text(file)
    except FileNotFoundError:
        raise NotFound(f"There is no file {file}") from None
    except OSError as e:
        raise BadInput(f"{file} cannot be read as text ({e})", "A TOML file in UTF-8 is accepted") from None


def _edit(revision: str | None, correct: str | None, take_off: bool) -> None:
    from journal.book import records, sheet_toml

    with session() as s:
        of = records.find_revision(s, revision)
        text = sheet_toml.to_toml(s, of)
        if of.frozen_at and correct is None:
            say(f"{of.ref} is built: what was never stated can be added; to change what is stated, add --correct.")
    with edited(text, f"{of.ref}-sheet.toml", _going_on(of.ref, correct)) as (before, after):
        if after == before or not after.strip():
            say("Nothing changed.")
            return
        _may_take_off(sheet_toml.taken_off(before, after), take_off)
        with session(write=True) as s:
            of = records.find_revision(s, of.ref)
            changed, gone, around = sheet_toml.edit_sheet(s, of, before, after, correct)
    if changed or gone:
        say(_taken(of.ref, changed, gone))
    elif around:
        say(f"The values of {of.ref} stay as they were; what you wrote around them is kept.")
    else:
        say("Nothing changed.")


def _going_on(ref: str, correct: str | None) -> str:
    """The command that takes over a kept text, up to the name of its file."""
    import shlex

    words = ["galebook", *front(), "sheet", ref, *(["--correct", correct] if correct is not None else []), "--file"]
    return shlex.join(words)


def _may_take_off(gone: sheet_toml.TakenOff, take_off: bool) -> None:
    """Ask before many values are taken off: a line deleted too far, or one mark too many, would do it."""
    from calc.wording import number_of

    if not gone.many or take_off:
        return
    first = ", ".join([*gone.paths[:3], *(["..."] if len(gone.paths) > 3 else [])])
    what = (
        f"{len(gone.paths)} of {number_of(gone.of, 'value')} {'is' if len(gone.paths) == 1 else 'are'} "
        f"not in your text any more ({first})"
    )
    if not confirm(f"{what}. Take them off"):
        raise Refused(what, "To take them off, add --take-off")


def missing(
    revision: OfRevision = None,
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
