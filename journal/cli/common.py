"""What every command shares: which journal and build are meant, sessions, and questions."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Any, TypeVar

import typer
import typer.core

from journal.cli import talk
from journal.cli.streams import say as say
from journal.cli.streams import somebody
from journal.cli.streams import tell as tell
from journal.cli.typed import dialogue
from journal.cli.typed import meant as meant
from journal.errors import BadInput

if TYPE_CHECKING:
    from sqlmodel import Session

#: What the shell sets while it asks what could stand where the cursor is.
COMPLETING = "_GALEBOOK_COMPLETE"
T = TypeVar("T")
#: What names a file though it is read as text.
_PLACES = frozenset({"--out"})
_NEGATIVE = re.compile(r"-\.?\d")


class Negatives(typer.core.TyperCommand):
    """A command that takes ``-12 V`` for a value; no option begins with a digit."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for parameter in self.params:
            hold_named(parameter)
        if COMPLETING in os.environ:
            for parameter in self.params:
                if not getattr(parameter, "is_flag", False):
                    _let_complete(self.name or "", parameter)

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Parse, with values behind a double dash where one of them is negative."""
        taking = {name for p in self.params if not getattr(p, "is_flag", False) for name in p.opts}
        return super().parse_args(ctx, _values_last(args, taking))


def empty_place(called: str, shown: str = "") -> BadInput:
    """What is said where a file or folder is meant and its name is empty."""
    like = f", as {shown}" if shown else ""
    return BadInput(f"{called} is empty", f"Accepted: the name of a file or folder{like}; . is the folder here")


def hold_named(parameter: Any) -> None:
    """Let a parameter refuse an empty text where a file or folder is meant: it would be taken for the one we are in.

    A variable of a shell that was never set gives one.
    """
    # Where the type stands is told by no name that all versions of the library have.
    told = getattr(parameter, "type_descriptor", None) or getattr(parameter, "type", None)
    if "Path" not in repr(getattr(told, "annotation", told)) and not {*parameter.opts} & _PLACES:
        return
    called = next((name for name in parameter.opts if name.startswith("-")), parameter.name.upper())
    process = parameter.process_value

    def named(ctx: Any, value: Any) -> Any:
        if "" in (value if isinstance(value, list | tuple) else (value,)):
            raise empty_place(called, parameter.metavar or "")
        return process(ctx, value)

    parameter.process_value = named


def _let_complete(command: str, parameter: Any) -> None:
    """Let a parameter offer what fits; files where nothing of ours does."""
    otherwise = parameter.shell_complete

    def offered(ctx: Any, begun: str) -> list[Any]:
        from journal.cli.completing import complete

        core: Any = typer.core
        found = complete(command, parameter.name, ctx.params, begun)
        return [core.CompletionItem(word, help=means) for word, means in found] or otherwise(ctx, begun)

    parameter.shell_complete = offered


def _values_last(args: list[str], taking: set[str]) -> list[str]:
    if "--" in args or not any(_NEGATIVE.match(arg) for arg in args):
        return args
    options: list[str] = []
    values: list[str] = []
    waiting = iter(args)
    for arg in waiting:
        if arg.startswith("-") and not _NEGATIVE.match(arg):
            options += [arg, *(islice(waiting, 1) if arg in taking else ())]
        else:
            values.append(arg)
    return [*options, "--", *values]


@dataclass
class Commands:
    """The commands being built for one run.

    Building a command from its signature costs more than running a small one, so only the command that was
    asked for is built whole; of the others the help knows name and text.
    """

    app: typer.Typer
    wanted: str | None

    def add(self, panel: str, *commands: Callable[..., None], name: str | None = None) -> None:
        """Add commands under a heading of the help; each is named like its function unless a name is given."""
        for command in commands:
            called = name or command.__name__
            whole = self.wanted is None or called == self.wanted
            made = command if whole else _help_only(command)
            self.app.command(called, cls=Negatives, rich_help_panel=panel)(made)


def _help_only(command: Callable[..., None]) -> Callable[[], None]:
    def known() -> None: ...

    known.__doc__ = command.__doc__
    return known


@contextlib.contextmanager
def session(*, write: bool = False) -> Iterator[Session]:
    """Open the journal that is meant, as one transaction."""
    from journal.book import store
    from journal.book.heard import hearing

    with hearing() as heard, store.journal(meant.journal, write=write, build=meant.build) as opened:
        if opened.info["said"]:
            say(opened.info["said"])
        yield opened
        hint = _units_hint(opened, heard.in_feet) if write and heard.in_feet else ""
    if write:
        for line in filter(None, [*heard, hint]):
            say(line)
        meant.saved = True
        if meant.dialogue:
            meant.dialogue.saved()


def _units_hint(session: Session, typed: set[str]) -> str:
    """How to be told in feet, where somebody types so for the first time and nobody has said what is wanted."""
    from journal.book import builds

    if not builds.first_in_feet(session, typed):
        return ""
    return "To be told in feet, inches, pounds, mph and Fahrenheit too: galebook amend build units=feet"


@contextlib.contextmanager
def waiting(what: str) -> Iterator[Callable[[str], None]]:
    """Show at a terminal that work goes on; what is given can be told how far it is."""
    if not talk.capable():
        yield lambda _: None
        return
    from journal.screens.terminal import as_plain, working

    with working(what) as sign:
        yield lambda far: sign.update(as_plain(f"{what}: {far}"))


def echo(text: str, *, end: str = "\n") -> None:
    """Write data to stdout, in which nothing steers the terminal."""
    from journal.book.plain_text import harmless

    typer.echo(harmless(text) + end, nl=False)


def at_terminal() -> bool:
    """Whether somebody is there to answer."""
    return somebody()


def ask(
    given: str | None,
    question: str,
    *,
    flag: str,
    check: Callable[[str], Any] | None = None,
    optional: bool = False,
    default: str | None = None,
    words: tuple[str, ...] = (),
    own: bool = False,
    labels: Mapping[str, str] | None = None,
    help: str = "",  # noqa: A002 - what every command calls it
    completions: tuple[str, ...] = (),
) -> str | None:
    """What was given; or, at a terminal, what the person answers, asked again until it can be used.

    See :class:`journal.cli.talk.Question` for what a question can have.

    Raises
    ------
    BadInput
        If it is needed, was not given, and nobody is there to ask.
    """
    if given is not None:
        return given
    if not at_terminal():
        if optional or default is not None:
            return default
        raise BadInput(f"{question} is missing", f"Give it as {flag}")
    how = " ".join(filter(None, [help, f"On one line: {flag}" if flag else ""]))
    edit = None if (words and not own) or check or completions else _in_editor
    if edit:
        how = f"{how} A long text is written in your own editor: type edit.".strip()
    return talk.asked(
        talk.Question(question, words, own, labels or {}, check, optional, default, how,
                      completions=completions, edit=edit)
    )  # fmt: skip


def _in_editor(begun: str) -> str:
    from journal.cli.editor import written_in

    return written_in(begun)


def confirm(question: str, *, default: bool = False) -> bool:
    """Ask a yes or no at the terminal; no when nobody is there."""
    return at_terminal() and talk.confirmed(question, default=default)


def in_turn(words: Sequence[str], run: Callable[[], T]) -> T:
    """Let a part of a command ask on its own, to be gone on with as the command of these words.

    What it saves is not gone back behind, nor what was saved before it.
    """
    with dialogue(words) as opened:
        return talk.again(opened, run)


def pairs(typed: list[str]) -> dict[str, str]:
    """Read NAME=VALUE pairs.

    Raises
    ------
    BadInput
        If one has no equals sign.
    """
    changes = {}
    for pair in typed:
        path, equals, value = pair.partition("=")
        if not equals:
            raise BadInput(f"{pair!r} names no value", 'Type it like storage.voltage="24 V"')
        changes[path.strip()] = value.strip()
    return changes
