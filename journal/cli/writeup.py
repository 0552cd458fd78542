"""Write-ups."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from journal.cli.common import Commands, ask, at_terminal, confirm, echo, meant, say, session, waiting
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.publish.finds import Find
    from journal.publish.saving import Made
    from journal.publish.story import Tale
    from journal.publish.writeup import Posting


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Publishing", writeup)


# What the help lists is asked for only where this command is built whole.
def _readers() -> str:
    from journal.publish.readers import READERS

    return ", ".join(READERS)


def _forms() -> str:
    from journal.publish.forms import FORMS

    return ", ".join(FORMS)


def _private() -> str:
    from journal.publish.private import PRIVATE

    return ", ".join(PRIVATE)


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What is to be made, and where it goes: to stdout, into a file, or with all that goes with it into one thing."""

    forms: tuple[str, ...]
    asked: Posting
    out: Path | None
    into: Literal["", "zip", "folder"]

    @property
    def pasted(self) -> bool:
        """Whether its pictures have numbers and places, rather than lie as a page of its own looks for them."""
        alone = self.forms == ("html",) or (self.forms == ("markdown",) and self.out and not self.asked.limit)
        return bool(self.into) or not alone

    def made(self, tale: Tale, reader: str, passed: frozenset[str] = frozenset()) -> list[Made]:
        """The page in each form."""
        from journal.publish import saving, writeup

        if self.pasted:
            return writeup.posts(tale, reader, self.forms, replace(self.asked, passed=passed))
        folder = saving.folder_of(self.out) if self.out else None
        asked = self.asked
        return [
            writeup.render(tale, reader, self.forms[0], asked.own, asked.include, folder, passed, extra=asked.extra)
        ]


def _wanted(
    forms: list[str], limit: int | None, out: str | None, own: Path | None, include: list[str], extra: list[str]
) -> _Wanted:
    """What was typed, held against what is possible."""
    from journal.book.written import word
    from journal.publish.forms import FORMS, SHORTEST, SPELT
    from journal.publish.private import PRIVATE
    from journal.publish.saving import uploads_of
    from journal.publish.writeup import EXTRAS, Posting

    known = (*FORMS, *SPELT)
    chosen = tuple(dict.fromkeys(SPELT.get(w := word(form, known, "--format") or "", w) for form in forms))
    into: Literal["", "zip", "folder"] = ""
    if out is not None and out.endswith((os.sep, "/")):
        into = "folder"
    elif out is not None and out.lower().endswith(".zip"):
        into = "zip"
    chosen = chosen or (tuple(FORMS) if into else ("markdown",))
    if len(chosen) > 1 and not into:
        raise BadInput("Several forms do not go into one file", "Name a zip (--out NAME.zip) or a folder (--out NAME/)")
    if limit is not None and limit < SHORTEST:
        raise BadInput(f"--limit {limit} is too little for a part that makes sense", f"Give {SHORTEST} or more")
    if limit is not None and chosen == ("html",):
        raise BadInput("--limit is for what is pasted, and HTML is a page of its own", "Name another --format")
    file = None if out is None else Path(out)
    let_in = frozenset(word(what, PRIVATE, "--include") or "" for what in include)
    folder = None if file is None else "" if into else uploads_of(file)
    more = frozenset(word(what, EXTRAS, "--with") or "" for what in extra)
    asked = Posting(own, let_in, frozenset(), folder, limit, linked=bool(into), extra=more)
    return _Wanted(chosen, asked, file, into)


def writeup(
    reader: Annotated[str | None, typer.Option("--for", help=f"Who reads it: {_readers()}.")] = None,
    form: Annotated[
        list[str] | None, typer.Option("--format", help=f"{_forms()}; more than one for a zip or folder.")
    ] = None,
    limit: Annotated[
        int | None, typer.Option("--limit", help="Characters a post may have; what is longer is split at chapters.")
    ] = None,
    out: Annotated[
        str | None, typer.Option("--out", help="File; or NAME.zip or NAME/ for all that goes with it; else stdout.")
    ] = None,
    include: Annotated[
        list[str] | None,
        typer.Option("--include", help=f"Let in what is private otherwise: {_private()}."),
    ] = None,
    extra: Annotated[
        list[str] | None, typer.Option("--with", help="appendix: every value, reading and finding behind the story.")
    ] = None,
    templates: Annotated[Path | None, typer.Option(help="Folder of your own templates, used before ours.")] = None,
    over: Annotated[bool, typer.Option("--over", help="Replace files that are not as Galebook wrote them.")] = False,
    trial: Annotated[bool, typer.Option("--try", help="Show what would be left out, and write nothing.")] = False,
) -> None:
    """Write the build history for a reader. Private data stays out for forum and neighbour.

    Example: galebook writeup --for forum --format bbcode --limit 30000 --out history.txt
    """
    from journal.publish import story

    reader = _reader(reader)
    wanted = _wanted(form or [], limit, out, templates, include or [], extra or [])
    if not trial:
        _hold(wanted, over=over)
    fill_gaps(reader, may_ask=not trial)
    with session() as s, waiting("Writing"):
        tale = story.tell(s)
        made = wanted.made(tale, reader)
    _show_finds(made[0], every=trial)
    if not trial and (passed := _asked(made[0])):
        made = wanted.made(tale, reader, passed)
    _give(made, reader, wanted, over=over, trial=trial)
    if made[0].left_out:
        say("Left out: " + ", ".join(made[0].left_out) + ".")


def _give(made: list[Made], reader: str, wanted: _Wanted, *, over: bool, trial: bool) -> None:
    """Print or write it, unless it was only tried."""
    if trial:
        say("Nothing was written.")
    elif wanted.out is None:
        _print(made[0])
    else:
        _write(made, reader, wanted, wanted.out, over=over)


def _reader(given: str | None) -> str:
    """Who reads it, asked for where that was not said."""
    from journal.book.written import word
    from journal.publish.readers import READERS

    readers = tuple(READERS)
    return word(ask(given, "For whom", flag="--for", words=readers), readers, "--for") or ""


def fill_gaps(reader: str, *, may_ask: bool = True) -> None:
    """Ask for what a page must have and only its builder can say, and keep it; where it stays open that is told."""
    from journal.book.builds import KIND
    from journal.book.records import current_build
    from journal.publish.readers import READERS

    gaps = READERS[reader].gaps
    if not gaps:
        return
    with session() as s:
        build = current_build(s)
        still = [gap for gap in gaps if not getattr(build, gap.field)]
    for gap in still:
        line = f'galebook amend build {gap.field}="..." --because "told now"'
        said = None
        if may_ask:
            said = ask(None, gap.question, flag=line, optional=True, check=KIND.readers[gap.field])
        if said:
            _keep(gap.field, said)
        else:
            say(f"Warning: the page {gap.without}; a line stands open there. Say it with: {line}")


def _keep(field: str, said: str) -> None:
    """Keep what was answered as a field of the build."""
    from journal.book import corrections

    with session(write=True) as s:
        corrections.amend(s, "build", field, said, "asked for by the page that needs it")


def _hold(wanted: _Wanted, *, over: bool) -> None:
    """Hold that it may be written, before anything is worked out."""
    from journal.book.places import place_of
    from journal.book.safe_files import OwnFiles
    from journal.publish import saving

    if wanted.out is not None and wanted.into != "folder":
        saving.hold(wanted.out, OwnFiles(place_of(meant.journal)), over=over)


def _print(made: Made) -> None:
    """Give it to stdout; that its pictures are not there is told."""
    from calc.wording import number_of

    echo(made.text, end="")
    if made.pictures:
        many = number_of(len(made.pictures), "picture is", "pictures are")
        say(f"{many} named in it and not written; --out FILE writes them beside it.")


def _write(made: list[Made], reader: str, wanted: _Wanted, out: Path, *, over: bool) -> None:
    """Write it, and tell what there is now and what is to be uploaded."""
    from journal.book.places import place_of
    from journal.publish import carrying, saving

    place, page = place_of(meant.journal), made[0]
    if wanted.into:
        stay = carrying.carry(made, reader, out, place, folder=wanted.into == "folder", over=over)
        say(f"Wrote {out}: {carrying.summary(reader, made)}.")
    else:
        stay = saving.save(page, out, place, over=over)
        say(f"Wrote {', '.join(map(str, saving.texts_of(page, out)))}.")
        if page.pictures:
            say(f"To upload from {out.parent / page.folder}, in this order, where the text names them:")
            for line in carrying.listing(page.pictures, made):
                say(line)
    if stay:
        names = ", ".join(p.name for p in stay)
        say(f"In {stay[0].parent}, but no longer in the page, and not as Galebook wrote it: {names}.")


def _show_finds(made: Made, *, every: bool) -> None:
    """Show what was found in texts, with where it stands."""
    from journal.publish.finds import told

    if made.finds:
        say("Left out of texts:")
        for line in told(made.finds, every=every):
            say(f"  {line}")
    if made.suspects:
        say("Still in it, though it looks private; mark it so, or change it, if it is:")
        for line in told(made.suspects, every=every):
            say(f"  {line}")


def _asked(made: Made) -> frozenset[str]:
    """Of what is only like something private, what the person lets in; where nobody is there, nothing."""
    near = {f.key: f for f in made.finds if not f.certain}
    if not near or not at_terminal():
        return frozenset()
    from journal.publish.private import KINDS

    def leave_out(find: Find) -> bool:
        return confirm(f"Leave out {find.said}, which is like {KINDS[find.what]}?", default=True)

    return frozenset(key for key, find in near.items() if not leave_out(find))
