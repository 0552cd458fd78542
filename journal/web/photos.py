"""Photos from the camera: attached to a record as the command line attaches files, and looked at."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from contextlib import ExitStack

from sqlmodel import Session
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from journal.book import attachments
from journal.book.records import current_build, find_record, newest_records
from journal.book.tables import Attachment, Attempt, Failure, Part
from journal.errors import NotFound
from journal.publish import photos
from journal.web.desk import desk_of, laid_down
from journal.web.fields import Field, Filled
from journal.web.sending import LARGEST_PHOTO, MOST_PHOTOS, PHOTOS_BODY, posted

#: Longest edge of a photo as it is looked at here. [pixels]
_SHOWN = 1000
#: How a picture begins, whatever its name says; at which byte, and what.
_BEGINNINGS = (
    (0, b"\xff\xd8\xff"), (0, b"\x89PNG\r\n\x1a\n"), (0, b"GIF8"), (8, b"WEBP"), (4, b"ftyp"), (0, b"II*\0"),
    (0, b"MM\0*"), (0, b"BM"),
)  # fmt: skip
_MB = 1024 * 1024


def is_picture(beginning: bytes) -> bool:
    """Whether a file begins as pictures of cameras do."""
    return any(beginning[at : at + len(mark)] == mark for at, mark in _BEGINNINGS)


def plain_name(name: str | None, other: str = "photo.jpg") -> str:
    r"""The name of a file that came, without a folder or a letter that no name should have; another where it has none.

    Examples
    --------
    >>> plain_name("../../etc/x.jpg"), plain_name("C:\\shed\\gale.jpg"), plain_name(".."), plain_name("a\x00b.png")
    ('x.jpg', 'gale.jpg', 'photo.jpg', 'ab.png')
    """
    last = re.split(r"[/\\]", name or "")[-1]
    kept = "".join(c for c in last if unicodedata.category(c)[0] != "C" and c not in ':*?"<>|').strip(" .")
    return kept[-100:] if kept and "." in kept else other


def _fields(session: Session) -> list[Field]:
    build = current_build(session)
    found: list[Attempt | Failure | Part] = []
    for kind in (Attempt, Failure, Part):
        found += newest_records(session, kind, build, 20)
    found.sort(key=lambda r: r.recorded_at, reverse=True)
    options = tuple((r.ref, f"{r.ref} {_called(r)}"[:80]) for r in found)
    return [
        Field("about", "What do they belong to?", "choice", needed=True, options=options),
        Field("caption", "What do they show?", read=attachments.KIND.readers["caption"], hint="the torn root"),
        Field("private", "Never in a write-up for others", "tick"),
    ]


def _called(record: Attempt | Failure | Part) -> str:
    if isinstance(record, Attempt):
        return record.did
    return record.saw if isinstance(record, Failure) else record.name


def show(request: Request) -> Response:
    """The form for photos of a record."""
    return _page(request, Filled({"about": request.query_params.get("about", "")}))


def _page(request: Request, filled: Filled, status: int = 200) -> Response:
    desk = desk_of(request)
    with desk.reading() as s:
        fields = _fields(s)
    bounds = {"most": MOST_PHOTOS, "each": LARGEST_PHOTO // _MB, "all": PHOTOS_BODY // _MB, "bytes": PHOTOS_BODY}
    made = request.query_params.get("made", "")
    made = made if re.fullmatch(r"(X\d{1,9} ?){1,12}", made) else ""
    return desk.page(request, "photos.html", status, fields=fields, filled=filled, bounds=bounds, made=made)


def files_of(sent: FormData) -> list[UploadFile]:
    """The files that came; a field in which none was chosen comes as an empty one."""
    return [f for _, f in sent.multi_items() if isinstance(f, UploadFile) and (f.filename or f.size)]


def _held(files: Sequence[UploadFile], filled: Filled) -> None:
    if not files:
        filled.wrong["photos"] = "No photo was chosen."
    elif len(files) > MOST_PHOTOS:
        filled.wrong["photos"] = f"These are {len(files)} photos; at most {MOST_PHOTOS} are taken at once."
    for file in files:
        name = plain_name(file.filename)
        size = file.size or 0
        if size > LARGEST_PHOTO:
            filled.wrong["photos"] = f"{name} has {size / _MB:.0f} MB; at most {LARGEST_PHOTO // _MB} are taken."
        elif not is_picture(file.file.read(16)):
            filled.wrong["photos"] = f"{name} is no picture."
        file.file.seek(0)
    if "photos" in filled.wrong:
        filled.wrong["photos"] += " Nothing was saved; choose the photos again."


@posted
def log(request: Request, sent: FormData) -> Response:
    """Attach them, all or none."""
    desk = desk_of(request)
    with desk.reading() as s:
        fields = _fields(s)
    files = files_of(sent)

    def make(session: Session, filled: Filled) -> Sequence[Attachment]:
        caption, private = filled.get("caption"), bool(filled.get("private"))
        with ExitStack() as stack:
            paths = [stack.enter_context(laid_down(f, plain_name(f.filename))) for f in files]
            about = filled.get("about") or ""
            return [attachments.attach(session, p, about, caption=caption, private=private) for p in paths]

    def onward(refs: Sequence[str], filled: Filled) -> str:
        return f"/photos?about={filled.typed['about']}&made={'+'.join(refs)}"

    return desk.take(
        request, sent, fields, make, lambda filled, status: _page(request, filled, status), onward,
        lambda filled: _held(files, filled),
    )  # fmt: skip


def look(request: Request) -> Response:
    """A photo upright and small enough for a phone, without what the camera wrote into it."""
    desk = desk_of(request)
    with desk.reckoning() as s:
        attached = find_record(s, request.path_params["ref"], Attachment)
        file = attachments.stored_at(s, attached)
        if not attachments.is_copy(file):
            raise NotFound(f"The copy of {attached.ref} is not there", "See, at the desk: galebook doctor")
        shot = photos.clean(file.read_bytes(), attached.ref, _SHOWN)
    return Response(shot.data, media_type=shot.media_type, headers={"Cache-Control": "private, max-age=3600"})


ROUTES = [
    Route("/photos", show, methods=["GET"]),
    Route("/photos", log, methods=["POST"]),
    Route("/photos/{ref}", look, methods=["GET"]),
]
