"""Looking for a cause on a phone: the cheapest looks of a failure with how they are done, and a form for one answer."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import Session
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from journal.book import observations
from journal.book.records import all_records, current_build
from journal.book.tables import ANSWERS, Failure, Observation
from journal.errors import NotFound
from journal.review.looking import Looking, looks_for
from journal.web.desk import desk_of
from journal.web.fields import Field, Filled, as_options
from journal.web.sending import posted

_READ = observations.KIND.readers


def _failure_field(session: Session) -> Field:
    """The failure that is looked into, the newest first.

    Raises
    ------
    NotFound
        If there is none.
    """
    found = all_records(session, Failure, current_build(session))[:-41:-1]
    if not found:
        raise NotFound("No failure is on record to look into", "Log it first: Something failed")
    options = tuple((f.ref, f"{f.ref} {f.saw}"[:80]) for f in found)
    return Field("failure", "For which failure?", "choice", needed=True, options=options)


def _fields(session: Session, told: Looking) -> list[Field]:
    looks = tuple((k.name, k.question) for k in told.open)
    return [
        _failure_field(session),
        Field("look", "What did you look at?", "choice", _READ["look"], needed=True, options=looks),
        Field("answer", "What is the answer?", "words", _READ["answer"], needed=True, options=as_options(ANSWERS)),
        Field("note", "What did you find?", "text", _READ["note"], hint="the plus screw at the rectifier"),
        Field("seen", "When?", read=_READ["seen"], hint="left empty, today"),
    ]


def _told(session: Session, wanted: str | None) -> Looking:
    known = [value for value, _ in _failure_field(session).options]
    return looks_for(session, wanted if wanted in known else known[0], everything=True)


def show(request: Request) -> Response:
    """The looks of a failure, and the empty form."""
    wanted = request.query_params.get("failure")
    return _page(request, Filled({"failure": wanted} if wanted else {}))


def _page(request: Request, filled: Filled, status: int = 200) -> Response:
    desk = desk_of(request)
    with desk.reckoning() as s:
        told = _told(s, filled.get("failure"))
        fields = _fields(s, told)
    filled.typed["failure"] = told.failure.ref
    return desk.page(request, "look.html", status, fields=fields, filled=filled, looks=told.open, first=told.first)


def _log(session: Session, filled: Filled) -> Sequence[Observation]:
    typed = observations.ObservationTyped(
        filled.get("look") or "", filled.get("answer") or "", seen=filled.get("seen"), note=filled.get("note")
    )
    return [observations.log_observation(session, filled.get("failure") or "", typed)]


@posted
def log(request: Request, sent: FormData) -> Response:
    """Log it, and show the record."""
    desk = desk_of(request)
    named = sent.get("failure")
    with desk.reckoning() as s:
        fields = _fields(s, _told(s, named if isinstance(named, str) else None))
    return desk.take(
        request, sent, fields, _log, lambda filled, status: _page(request, filled, status),
        lambda refs, _: f"/records/{refs[0]}?new=1",
    )  # fmt: skip


ROUTES = [Route("/look", show, methods=["GET"]), Route("/look", log, methods=["POST"])]
