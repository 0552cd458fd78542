"""What else there is to look at: what loggers wrote, and of each revision its measured curve, drawings and list."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from journal.book.records import all_records, count_records, current_build, records_on
from journal.book.tables import LoggerFile, Revision
from journal.screens.terminal import revision_title
from journal.web.desk import desk_of

#: Revisions that are shown at once, the newest; earlier ones stand behind a button.
SHOWN = 2


def show(request: Request) -> Response:
    """The list of what can be opened."""
    desk = desk_of(request)
    with desk.reading() as s:
        build = current_build(s)
        found = [
            (r.ref, revision_title(r), bool(records_on(s, LoggerFile, r)))
            for r in reversed(all_records(s, Revision, build))
        ]
        files = count_records(s, LoggerFile, build)
    return desk.page(request, "more.html", files=files, newest=found[:SHOWN], earlier=found[SHOWN:])


ROUTES = [Route("/more", show, methods=["GET"])]
