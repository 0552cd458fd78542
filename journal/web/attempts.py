"""Logging an attempt."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import Session
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from journal.book import attempts
from journal.book.records import all_records, current_build
from journal.book.tables import ATTEMPT_KINDS, LOAD_STATES, OUTCOMES, Attempt, Revision
from journal.book.written import read_wind
from journal.web.desk import desk_of
from journal.web.fields import Field, Filled, as_options
from journal.web.sending import posted

_READ = attempts.KIND.readers


def _fields(session: Session) -> list[Field]:
    revisions = all_records(session, Revision, current_build(session))
    named = tuple((r.ref, f"{r.ref} {r.title or ''}".strip()) for r in reversed(revisions))
    return [
        Field("did", "What did you do?", "text", _READ["did"], needed=True, hint="raised it and let it run"),
        *([Field("on", "On which revision?", "choice", options=named)] if len(named) > 1 else []),
        Field("kind", "Kind", "words", _READ["kind"], options=as_options(ATTEMPT_KINDS)),
        Field("began", "When?", read=_READ["began"], hint="today, yesterday or 2026-01-12 21:40; left empty, today"),
        Field("wind", "Wind", read=read_wind, hint="Bft 5, or 6 to 8 m/s"),
        Field("load_state", "What was connected?", "choice", _READ["load_state"],
              options=(("", "not said"), *as_options(LOAD_STATES))),
        Field("saw", "What did you see?", "text", _READ["saw"]),
        Field("outcome", "How did it go?", "words", _READ["outcome"], options=as_options(OUTCOMES)),
    ]  # fmt: skip


def show(request: Request) -> Response:
    """The empty form."""
    return _page(request, Filled({"kind": "run"}))


def _page(request: Request, filled: Filled, status: int = 200) -> Response:
    desk = desk_of(request)
    with desk.reading() as s:
        fields = _fields(s)
        revisions = all_records(s, Revision, current_build(s))
    newest = revisions[-1] if revisions else None
    freezes = newest.ref if newest is not None and not newest.frozen_at else ""
    return desk.page(request, "attempt.html", status, fields=fields, filled=filled, freezes=freezes)


def _log(session: Session, filled: Filled) -> Sequence[Attempt]:
    given = filled.given("on", "kind", "began", "wind", "load_state", "saw", "outcome")
    return [attempts.log_attempt(session, attempts.AttemptTyped(filled.get("did") or "", **given))]


@posted
def log(request: Request, sent: FormData) -> Response:
    """Log it, and show the record."""
    desk = desk_of(request)
    with desk.reading() as s:
        fields = _fields(s)
    return desk.take(
        request, sent, fields, _log, lambda filled, status: _page(request, filled, status),
        lambda refs, _: f"/records/{refs[0]}?new=1",
    )  # fmt: skip


def attempt_field(session: Session, needed: bool = False) -> Field:
    """The attempt that something belongs to, the newest first."""
    found = all_records(session, Attempt, current_build(session))[:-41:-1]
    options = tuple((a.ref, f"{a.ref} {a.did}"[:80]) for a in found)
    none = () if needed else (("", "none of these"),)
    return Field("attempt", "In which attempt?", "choice", options=(*options, *none))


def chosen_attempt(request: Request, field: Field) -> str:
    """The attempt that a link names, else the newest."""
    named = request.query_params.get("attempt")
    known = [value for value, _ in field.options]
    return named if named in known else known[0]


ROUTES = [Route("/attempt", show, methods=["GET"]), Route("/attempt", log, methods=["POST"])]
