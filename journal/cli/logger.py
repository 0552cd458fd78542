"""What a data logger wrote: tried, kept, listed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli.common import Commands, say, session, waiting
from journal.cli.options import Began, DayOrder, InAttempt, Json, Mapped, Zone
from journal.errors import Refused

if TYPE_CHECKING:
    from sqlmodel import Session

    from journal.logger.keeping import LoggerTyped
    from journal.logger.reading import LoggerRead
    from journal.screens.logger import LoggerLook


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Logging", logger)


def logger(
    files: Annotated[list[Path] | None, typer.Argument(help="Files of one logger, also .gz.")] = None,
    on: Annotated[
        str | None, typer.Option("--on", "-r", help="Revision, e.g. r2; or site, for wind that no machine was in.")
    ] = None,
    attempt: InAttempt = None,
    mapped: Mapped = None,
    zone: Zone = None,
    days: DayOrder = None,
    began: Began = None,
    only_try: Annotated[bool, typer.Option("--try", help="Show what would be kept, and write nothing.")] = False,
    note: Annotated[str | None, typer.Option(help="Anything that matters: where it stood, what it read with.")] = None,
    as_json: Json = False,
) -> None:
    """Read what a data logger wrote: any columns, any separators, any times; bare, list what was read.

    Gaps, resets, stuck sensors, spikes and bad lines are counted and shown. What was said of columns is remembered.

    Example: galebook logger june.csv --on r2 --zone Europe/Dublin --try
    """
    from journal.book.written import word
    from journal.logger.keeping import LoggerTyped

    if not files:
        _listed(as_json)
        return
    order = word(days, ("day-first", "month-first"), "--days")
    typed = LoggerTyped(on, attempt, mapped or [], zone, order, tuple(began or ()), note)
    _read(files, typed, only_try=only_try, as_json=as_json)


def _listed(as_json: bool) -> None:
    from journal.screens.listing import gather_listing, show_listing

    with session() as s:
        show_listing(gather_listing(s, "loggers"), as_json)


def _read(files: list[Path], typed: LoggerTyped, *, only_try: bool, as_json: bool) -> None:
    """Read files, show them, and keep them unless it is a try."""
    from journal.logger import keeping
    from journal.screens.logger import show_logger

    with session() as s:
        ways, place, whose = keeping.ways(s, files, typed), s.info["path"], keeping.whose_words
    if only_try:
        with waiting("Reading") as far:
            made = keeping.read_all(ways, None, far)
        with session() as s:
            look = _look(made, [], whose(s, typed, made), [n for one in made for n in keeping.beside(s, one, typed)])
        show_logger(look, as_json)
        return
    with keeping.workplace(place) as folder:
        with waiting("Reading") as far:
            made = keeping.read_all(ways, folder, far)
        with session(write=True) as s:
            look = _kept(s, made, typed)
    show_logger(look, as_json)
    if not as_json:
        say(f"Next: galebook show {look.refs[0]}")


def _kept(s: Session, made: list[LoggerRead], typed: LoggerTyped) -> LoggerLook:
    """Keep those that were not kept before; of several, those that were are told and passed over."""
    from journal.logger import keeping

    new, refs, notes = [], [], []
    for one in made:
        before = keeping.known(s, one)
        if before is not None and len(made) > 1:
            say(f"{one.way.file.name} was read before, as {before.ref}; it is passed over.")
            continue
        notes += [] if before else keeping.beside(s, one, typed)
        refs.append(keeping.keep(s, one, typed).ref)
        new.append(one)
    if not new:
        raise Refused("All of these files were read before", "See: galebook logger; nothing was kept")
    return _look(new, refs, keeping.whose_words(s, typed, new), notes)


def _look(made: list[LoggerRead], refs: list[str], whose: str, notes: list[str]) -> LoggerLook:
    from journal.screens.logger import LoggerLook

    return LoggerLook(made, refs, whose, notes)
