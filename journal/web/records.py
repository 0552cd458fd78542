"""The first page, the newest records, and one record with all that belongs to it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from journal.book import attachments
from journal.book.records import current_build, find_record, newest_records
from journal.book.tables import Attachment, Attempt, Decision, Failure, LoggerFile, Measurement, Numbered, Part
from journal.review.wording import day_text
from journal.screens.looks.measurement import measurement_line
from journal.screens.record import gather_record
from journal.web.desk import desk_of

#: Records on the list, and on the first page.
LISTED, NEWEST = 40, 6
#: Pictures that can be shown small; of others the name is told.
_SHOWN = ("image/jpeg", "image/png", "image/webp", "image/gif", "image/tiff", "image/bmp")


@dataclass(frozen=True)
class Logged:
    """A record in a list: its reference, when it was recorded, and its own words."""

    ref: str
    at: str
    says: str


def newest(session: Session, most: int) -> list[Logged]:
    """The records that were logged last, the newest first."""
    build = current_build(session)
    found: list[Numbered] = []
    for kind in (Attempt, Measurement, Failure, Decision, Attachment, Part, LoggerFile):
        found += newest_records(session, kind, build, most)
    found.sort(key=lambda r: (r.recorded_at, r.number), reverse=True)
    return [Logged(r.ref, day_text(r.recorded_at), words_of(r)) for r in found[:most]]


def words_of(record: Numbered) -> str:
    """A record in its own words, on one line."""
    if isinstance(record, Measurement):
        return measurement_line(record).partition(" ")[2]
    if isinstance(record, Attachment):
        return f"{record.caption or record.filename} (about {record.about})"
    for name in ("did", "saw", "question", "name", "filename"):
        if said := getattr(record, name, None):
            return " ".join(str(said).split())
    return ""


def first(request: Request) -> Response:
    """What can be logged, and what was logged last."""
    desk = desk_of(request)
    with desk.reading() as s:
        name, rows = desk.build_name(s), newest(s, NEWEST)
    return desk.page(request, "first.html", name=name, rows=rows)


def listing(request: Request) -> Response:
    """The newest records."""
    desk = desk_of(request)
    with desk.reading() as s:
        rows = newest(s, LISTED)
    return desk.page(request, "records.html", rows=rows, most=LISTED)


def one(request: Request) -> Response:
    """One record; where a file lies is the machine's own business."""
    desk = desk_of(request)
    with desk.reckoning() as s:
        found = find_record(s, request.path_params["ref"], withdrawn=True)
        view = gather_record(s, found.ref)
        files = attachments.attachments_of(s, found.ref)
        facts = [(label, value) for label, value in view.facts if label != "Kept at"]
    shown = [a for a in ([found] if isinstance(found, Attachment) else files) if a.media_type in _SHOWN]
    return desk.page(
        request, "record.html", view=view, facts=facts, shown=shown, ref=found.ref, letter=found.ref[0],
        new=bool(request.query_params.get("new")), understood=desk.understood.get(found.ref, ()),
    )  # fmt: skip


ROUTES = [
    Route("/", first, methods=["GET"]),
    Route("/records", listing, methods=["GET"]),
    Route("/records/{ref}", one, methods=["GET"]),
]
