"""Records chosen from a list of the newest ones, by number, reference or a part of their text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from journal.cli.common import ask, at_terminal, session
from journal.cli.talk import told
from journal.errors import NotFound

if TYPE_CHECKING:
    from journal.book.tables import Numbered

#: So many are listed; any other is named by its reference. A line of one is no longer than this.
NEWEST, _LONGEST = 9, 60
#: What is said of a record, by its kind: columns, the first that is there.
_SAID = {
    "Revision": ("title",), "Part": ("name",), "Claim": ("said",), "Attempt": ("did",), "Failure": ("saw",),
    "Decision": ("question",), "Instrument": ("name",), "Paper": ("what",), "Observation": ("look",),
}  # fmt: skip


def pick(
    given: str | None,
    kind: type[Numbered],
    question: str,
    *,
    flag: str,
    optional: bool = False,
    newest: bool = False,
    own: bool = False,
    only: Callable[[Any], bool] = lambda _: True,
    first: str = "",
) -> str | None:
    """The reference that was given; or, at a terminal, that of a record the person picks.

    Parameters
    ----------
    newest : bool
        Whether Enter takes the newest.
    own : bool
        Whether words will do that are no reference.
    only : callable
        Which of them are listed; any other can be named all the same.
    first : str
        The command that makes one, where there is none yet.

    Raises
    ------
    NotFound
        If one is needed and there is none.
    BadInput
        If one is needed, was not given, and nobody is there to ask.
    """
    if given is not None or not at_terminal():
        return ask(given, question, flag=flag, optional=optional)
    listed = _listed((kind,), NEWEST, only)
    if not listed and not own:
        if optional:
            return None
        raise NotFound(f"There is no {kind.__name__.casefold()} to choose from", f"Begin with: {first or flag}")
    default = next(iter(listed)) if newest else None
    return _asked(listed, question, flag, None if own else partial(_there, kind), optional=optional, default=default)


def pick_any(given: str | None, question: str, kinds: Sequence[type[Numbered]], *, flag: str) -> str:
    """The reference that was given; or, at a terminal, that of a record of several kinds."""
    if given is not None or not at_terminal():
        return ask(given, question, flag=flag) or ""
    listed = _listed(kinds, max(2, NEWEST // len(kinds)), lambda _: True)
    return _asked(listed, question, flag, partial(_there, None)) or ""


def _there(kind: type[Numbered] | None, typed: str) -> None:
    """Hold that a reference is that of a record, of some kind or any; D1.2 goes by what it belongs to."""
    from journal.book import records

    with session() as s:
        if kind is not None:
            records.find_record(s, typed, kind)
        elif typed.strip().casefold() != "build":
            records.find_record(s, typed.partition(".")[0])


def _asked(
    listed: dict[str, str],
    question: str,
    flag: str,
    check: Callable[[str], None] | None,
    *,
    optional: bool = False,
    default: str | None = None,
) -> str | None:
    return ask(
        None, question, flag=flag, check=check, optional=optional, default=default, words=tuple(listed), own=True,
        labels=listed, help="Any reference will do, such as those in the list; galebook list tells all.",
    )  # fmt: skip


def _listed(kinds: Sequence[type[Numbered]], most: int, only: Callable[[Any], bool]) -> dict[str, str]:
    """Newest records of some kinds by reference, the newest first, each with what is said of it."""
    from journal.book import records

    with session() as s:
        build = records.current_build(s)
        return {
            r.ref: _said(r)
            for kind in kinds
            for r in reversed([r for r in records.newest_records(s, kind, build, 5 * most) if only(r)][-most:])
        }


def _said(record: Any) -> str:
    if type(record).__name__ == "Measurement":
        text = f"{record.quantity} {record.typed or 'not measured'}"
    else:
        text = next((getattr(record, name) for name in _SAID.get(type(record).__name__, ()) if name), None) or ""
    text = " ".join(text.split())
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 3]}..."


def correction(on: str | None, path: str, given: str | None) -> str | None:
    """Why a value is another than stated on a revision that says what was built; asked before the value is."""
    from journal.book import records, sheet

    if given is not None or not at_terminal():
        return given
    with session() as s:
        of = records.find_revision(s, on)
        ref, stated = of.ref, of.frozen_at is not None and path in sheet.load_sheet(s, of).values
    if not stated:
        return None
    told(f"{ref} says what was built. Another value corrects the record, with your reason; a change of the machine is "
         f"a new revision: galebook revise {ref}")  # fmt: skip
    return ask(None, "Why it is changed", flag='--correct "reason"')
