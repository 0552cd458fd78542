"""Logging a failure: what was seen, what is believed, and whether anybody was hurt."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import Session
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from calc.mechanisms.words import SYMPTOMS, symptoms_of
from journal.book import failures
from journal.book.tables import HARMS, Failure
from journal.errors import BadInput
from journal.web.attempts import attempt_field, chosen_attempt
from journal.web.desk import desk_of
from journal.web.fields import Field, Filled, as_options
from journal.web.sending import posted

_READ, _CAUSE = failures.KIND.readers, failures.CAUSE.readers
#: What it looked like, as a list to choose from; the last leaves it open.
NONE = "none of these"
_LIKE = (("", "as your words say"), *as_options((*SYMPTOMS, NONE)))


def per_cent(typed: str) -> str:
    """What stands in a field of per cent, with the sign that belongs to it.

    Examples
    --------
    >>> per_cent("60"), per_cent("60 %")
    ('60 %', '60 %')
    """
    return typed if typed.endswith("%") else f"{typed} %"


def _like(typed: str) -> str | None:
    return None if typed == NONE else _READ["symptoms"](typed)


def _fields(session: Session) -> list[Field]:
    return [
        Field("saw", "What did you see, not why?", "text", _READ["saw"], needed=True, hint="turned but hardly charged"),
        attempt_field(session),
        Field("symptoms", "What did it look like?", "choice", _like, options=_LIKE),
        Field("harm", "Was anybody hurt, or nearly?", "words", _READ["harm"], options=as_options(HARMS)),
        Field("contained", "What did you do at once?", "text", _READ["contained"], hint="lowered it, pulled the fuse"),
        Field("happened", "When?", read=_READ["happened"], hint="left empty, the day of the attempt"),
        Field("cause", "What do you believe caused it?", "text", _CAUSE["what"], hint="may stay empty"),
        Field("sure", "How sure, in per cent?", read=lambda t: _CAUSE["sure"](per_cent(t)), mode="decimal", hint="60"),
        Field("evidence", "On what evidence?", "text", _CAUSE["because"]),
    ]


def show(request: Request) -> Response:
    """The empty form."""
    with desk_of(request).reading() as s:
        chosen = chosen_attempt(request, attempt_field(s))
    return _page(request, Filled({"attempt": chosen}))


def _page(request: Request, filled: Filled, status: int = 200) -> Response:
    desk = desk_of(request)
    with desk.reading() as s:
        fields = _fields(s)
    return desk.page(request, "failure.html", status, fields=fields, filled=filled)


def _held(filled: Filled) -> None:
    if filled.get("cause") is None and (filled.get("sure") or filled.get("evidence")):
        filled.wrong.setdefault("cause", str(BadInput("How sure, and on what evidence, belong to what you believe")))
    saw = filled.get("saw")
    if saw and filled.get("symptoms") is None and not symptoms_of(saw):
        asked = f"Your words leave it open: choose what it was most like, or {NONE}"
        filled.wrong.setdefault("symptoms", str(BadInput(asked)))


def _log(session: Session, filled: Filled) -> Sequence[Failure]:
    sure, like = filled.get("sure"), filled.get("symptoms")
    given = filled.given("attempt", "harm", "contained", "happened", "cause", "evidence")
    typed = failures.FailureTyped(
        filled.get("saw") or "", sure=sure and per_cent(sure), symptoms=like and _like(like), **given
    )
    return [failures.log_failure(session, typed)]


@posted
def log(request: Request, sent: FormData) -> Response:
    """Log it, and show the record."""
    desk = desk_of(request)
    with desk.reading() as s:
        fields = _fields(s)
    return desk.take(
        request, sent, fields, _log, lambda filled, status: _page(request, filled, status),
        lambda refs, _: f"/records/{refs[0]}?new=1", _held,
    )  # fmt: skip


ROUTES = [Route("/failure", show, methods=["GET"]), Route("/failure", log, methods=["POST"])]
