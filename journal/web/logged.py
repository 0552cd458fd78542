"""What loggers wrote: the list of their files, the measured power curve of a revision, the wind at the place."""

from __future__ import annotations

from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from journal.book.records import all_records, current_build, find_revision, records_on
from journal.book.tables import LoggerFile, Revision
from journal.errors import NotFound
from journal.logger.keeping import SITE
from journal.publish.figures.machine import power
from journal.publish.figures.measured import machine_of
from journal.review import logged, logged_wind, verdict
from journal.screens.curve import show_curve
from journal.screens.listing import gather_listing
from journal.screens.wind import show_wind
from journal.web.desk import desk_of
from journal.web.fields import Field, Filled
from journal.web.pagetext import PageText

#: What corrects the wind of a few days, as ``galebook wind`` takes it.
_STATION = (
    Field("station", "Mean wind of a station over many years (--station)", hint="5.1 m/s"),
    Field("then", "Its mean over the same days as the logger (--then)", hint="4.4 m/s"),
    Field("height", "Height of the cup, where the logger has none (--height)", hint="8 m"),
)


def listing(request: Request) -> Response:
    """All files, as ``galebook logger`` lists them."""
    desk = desk_of(request)
    with desk.reading() as s:
        found = gather_listing(s, "loggers")
        of = _revisions(s)
    return desk.page(request, "loggers.html", heads=found.columns[1:], rows=found.rows[::-1], of=of)


def _revisions(session: Session) -> list[str]:
    """Revisions of which loggers wrote, the newest first."""
    every = all_records(session, Revision, current_build(session))
    return [r.ref for r in reversed(every) if records_on(session, LoggerFile, r)]


def _whole(request: Request) -> bool:
    return bool(request.query_params.get("all"))


def curve(request: Request) -> Response:
    """The measured power curve beside the computed one."""
    desk = desk_of(request)
    with desk.reckoning() as s:
        found = logged.curve(s, request.path_params["ref"])
        show_curve.text(out := PageText(), found, whole=_whole(request))
        picture = power((machine_of(found.revision.ref, found.sheet),))
        return desk.page(
            request, "curve.html", ref=found.revision.ref, pieces=out.pieces_told, whole=_whole(request),
            picture=picture,
        )  # fmt: skip


def picture(request: Request) -> Response:
    """Its picture, large enough for a phone held sideways."""
    desk = desk_of(request)
    with desk.reckoning() as s:
        of = find_revision(s, request.path_params["ref"])
        made = power((machine_of(of.ref, verdict.opened(s, of)),))
        if made is None:
            raise NotFound(f"{of.ref} cannot be computed, so there is no picture", "See, at the desk: galebook missing")
        return Response(made.png, media_type="image/png")


def wind(request: Request) -> Response:
    """The wind: of a revision or the place, else of that of which most was written."""
    desk = desk_of(request)
    asked = Filled({name: request.query_params.get(name, "") for name in ("height", "station", "then")})
    with desk.reckoning() as s:
        given = asked.given("height", "station", "then")
        found = logged_wind.wind(s, request.path_params.get("ref"), **given)
        show_wind.text(out := PageText(), found, whole=_whole(request), leads_on=False)
        here = found.revision.ref if found.revision else SITE
        others = [name.partition(" ")[0] for name in found.others]
        return desk.page(
            request, "wind.html", pieces=out.pieces_told, whole=_whole(request), here=here, others=others,
            fields=_STATION, filled=asked,
        )  # fmt: skip


ROUTES = [
    Route("/loggers", listing, methods=["GET"]),
    Route("/curve/{ref}", curve, methods=["GET"]),
    Route("/curve/{ref}/picture", picture, methods=["GET"]),
    Route("/wind", wind, methods=["GET"]),
    Route("/wind/{ref}", wind, methods=["GET"]),
]
