"""A logger's file from a phone: tried first, with what its columns are taken to be and its faults; then kept."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack

from sqlmodel import Session
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from journal.book import loggerfiles
from journal.book.choosing import word
from journal.book.records import all_records, current_build
from journal.book.tables import LoggerFile, Revision
from journal.errors import GalebookError
from journal.logger import keeping
from journal.logger.channels import CHANNELS
from journal.logger.mapping import read_said
from journal.logger.reading import LoggerRead
from journal.logger.times import zone_named
from journal.screens.logger import LoggerLook, show_logger
from journal.screens.terminal import revision_title
from journal.web.attempts import attempt_field
from journal.web.desk import EARLIER_SESSION, Desk, desk_of
from journal.web.fields import Field, Filled, as_options, hold
from journal.web.pagetext import PageText, Piece
from journal.web.photos import files_of, plain_name
from journal.web.sending import LOGGER_BODY, posted
from journal.web.tray import LARGEST_FILE, WaitingFile

_MB = 1024 * 1024
_ORDERS = ("day-first", "month-first")


def _fields(session: Session) -> list[Field]:
    revisions = all_records(session, Revision, current_build(session))
    whose = tuple((r.ref, revision_title(r)) for r in reversed(revisions))
    return [
        Field("on", "Whose is it? (--on)", "choice", options=(
            ("", "the newest revision; the place where it holds wind alone"), *whose,
            (keeping.SITE, "the place, of no machine"))),
        Field("zone", "Zone of its clock (--zone)", read=zone_named,
              hint="Europe/Dublin, or UTC+1 for a clock never put forward"),
        Field("map", "What its columns are, one a line (--map)", "text", lambda t: read_said(said_of(t)),
              hint="Kanal 3=wind km/h at 8 m; Kanal 4=- leaves it out"),
        Field("days", "How is 03/04/2026 meant? (--days)", "choice", options=(("", "not said"), *as_options(_ORDERS))),
        Field("began", "When was a clock switched on that counts from zero? Each time on a line (--began)", "text",
              hint="2026-06-01 12:00"),
        attempt_field(session),
        Field("note", "Anything that matters", "text", loggerfiles.KIND.readers["note"],
              hint="where it stood, what it read with"),
    ]  # fmt: skip


def said_of(typed: str) -> list[str]:
    r"""What was typed of columns, one a line; as it would stand at a terminal, too, with ``--map`` and quotes.

    Examples
    --------
    >>> said_of("Kanal 3=wind km/h\n\n --map 'Kanal 4=-'\n--map 'Kanal 1'=volts")
    ['Kanal 3=wind km/h', 'Kanal 4=-', 'Kanal 1=volts']
    """
    lines = [line.strip().removeprefix("--map").strip() for line in typed.splitlines()]
    return [line[1:].replace(line[0], "", 1) if line[0] in "'\"" else line for line in lines if line]


def _typed(filled: Filled) -> keeping.LoggerTyped:
    """What was typed, as the service takes it."""
    days = word(filled.get("days"), _ORDERS, "--days")
    began = tuple(filter(None, map(str.strip, (filled.get("began") or "").splitlines())))
    given = filled.given("on", "attempt", "zone", "note")
    return keeping.LoggerTyped(mapped=said_of(filled.get("map") or ""), days=days, began=began, **given)


def choose(request: Request) -> Response:
    """The form for a file."""
    return _chosen(request, Filled())


def _chosen(request: Request, filled: Filled, status: int = 200) -> Response:
    return desk_of(request).page(
        request, "logger_new.html", status, filled=filled, most=LARGEST_FILE // _MB, bytes=LOGGER_BODY
    )


@posted
def take(request: Request, sent: FormData) -> Response:
    """Lay a file down, and go on to what it is found to hold."""
    desk, files, filled = desk_of(request), files_of(sent), Filled()
    if not desk.is_of_session(request, sent):
        filled.wrong[""] = EARLIER_SESSION
        return _chosen(request, filled, 403)
    if len(files) != 1:
        filled.wrong["file"] = "No file was chosen." if not files else "One file at a time is taken."
        return _chosen(request, filled, 422)
    try:
        held = desk.tray.lay(files[0], plain_name(files[0].filename, "logger.csv"))
    except GalebookError as e:
        filled.wrong["file"] = desk.plain(e)
        return _chosen(request, filled, 422)
    return RedirectResponse(f"/loggers/try/{held.token}", 303)


def _read(
    desk: Desk, held: WaitingFile, typed: keeping.LoggerTyped, stack: ExitStack, *, keep: bool
) -> list[LoggerRead]:
    """Read the file; with a folder for its rows, which lasts as long as the stack, where it is to be kept."""
    with desk.tray.alone():
        with desk.reading() as s:
            ways = keeping.ways(s, [held.path], typed)
        return keeping.read_all(ways, stack.enter_context(keeping.workplace(desk.place)) if keep else None)


def _look(desk: Desk, held: WaitingFile, filled: Filled) -> list[Piece]:
    """What would be kept, as ``galebook logger --try`` shows it."""
    typed = _typed(filled)
    with ExitStack() as stack:
        made = _read(desk, held, typed, stack, keep=False)
    with desk.reading() as s:
        notes = [note for one in made for note in keeping.beside(s, one, typed)]
        look = LoggerLook(made, [], keeping.whose_words(s, typed, made), notes)
        show_logger.text(out := PageText(), look)
    return out.pieces_told


def show(request: Request) -> Response:
    """The file that was laid down, tried with what was typed of it."""
    held = desk_of(request).tray.held(request.path_params["token"])
    return _page(request, held, Filled(dict(held.typed)))


def _page(request: Request, held: WaitingFile, filled: Filled, status: int = 200) -> Response:
    desk, pieces, refused = desk_of(request), [], ""
    if not filled.wrong:
        try:
            pieces = _look(desk, held, filled)
        except GalebookError as e:
            refused = desk.plain(e)
    with desk.reading() as s:
        fields = _fields(s)
    return desk.page(
        request, "logger_try.html", status, held=held, fields=fields, filled=filled, pieces=pieces, refused=refused,
        channels=[(name, c.meaning) for name, c in CHANNELS.items()], first=bool(request.query_params.get("first")),
    )  # fmt: skip


@posted
def log(request: Request, sent: FormData) -> Response:
    """Try it once more with what was typed, or keep it."""
    desk = desk_of(request)
    held = desk.tray.held(request.path_params["token"])
    with desk.reading() as s:
        fields = _fields(s)
    if sent.get("then") != "keep" or not _tried(held, hold(fields, sent)):
        return _again(request, sent, held, fields)
    made: list[LoggerRead] = []

    def make(session: Session, filled: Filled) -> Sequence[LoggerFile]:
        return [keeping.keep(session, one, _typed(filled)) for one in made]

    def read(filled: Filled) -> None:
        if not filled.wrong:
            try:
                made.extend(_read(desk, held, _typed(filled), stack, keep=True))
            except GalebookError as e:
                filled.wrong[""] = desk.plain(e)

    with ExitStack() as stack:
        return desk.take(
            request, sent, fields, make, lambda filled, status: _page(request, held, filled, status),
            lambda refs, _: f"/records/{refs[0]}?new=1", read,
        )  # fmt: skip


def _tried(held: WaitingFile, filled: Filled) -> bool:
    """Whether the file was tried with what is typed now: what was never shown is not kept. A note changes nothing."""
    return all(held.typed.get(name, "") == typed for name, typed in filled.typed.items() if name != "note")


def _again(request: Request, sent: FormData, held: WaitingFile, fields: Sequence[Field]) -> Response:
    filled = hold(fields, sent)
    if not desk_of(request).is_of_session(request, sent):
        filled.wrong[""] = EARLIER_SESSION
        return _page(request, held, filled, 403)
    if filled.wrong:
        return _page(request, held, filled, 422)
    held.typed = filled.typed
    asked = "?first=1" if sent.get("then") == "keep" else ""
    return RedirectResponse(f"/loggers/try/{held.token}{asked}", 303)


ROUTES = [
    Route("/loggers/new", choose, methods=["GET"]),
    Route("/loggers/new", take, methods=["POST"]),
    Route("/loggers/try/{token}", show, methods=["GET"]),
    Route("/loggers/try/{token}", log, methods=["POST"]),
]
