"""What is made by a revision's sheet: its drawings, each when it is asked for, and the list that goes to the shop."""

from __future__ import annotations

import hashlib

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from journal.book.choosing import word
from journal.book.records import find_revision
from journal.drawing import saving
from journal.drawing.catalogue import DRAWN
from journal.drawing.sheets import PAPERS
from journal.drawing.subject import TURNS, drawn, subject_of
from journal.errors import NotFound
from journal.publish.sandbox import templates_folder
from journal.review.buying import AtHand, ShoppingLine, shopping
from journal.screens import buying
from journal.screens.terminal import revision_title
from journal.web.desk import desk_of
from journal.web.fields import Field, Filled, as_options

#: What each drawing is for, in a few words.
_FOR = {
    "blade": "to wrap around the pipe", "hub": "plates and packers", "tail": "vane and hinge",
    "angle": "gauges for the blades", "balance": "a sheet to fill in while you weigh",
    "wiring": "one line, for the wall",
}  # fmt: skip
#: What a browser may do with a PDF: show it by what it has for that, and nothing from elsewhere.
_PDF_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'none'"
_KERF = "3 mm"


def _fields() -> list[Field]:
    return [
        Field("paper", "Paper to print on", "choice", options=as_options(tuple(PAPERS))),
        Field("turns", "How the rotor turns, with the wind at your back", "choice", options=as_options(TURNS)),
        Field("pipe", "Length of the pipe at hand", hint="2 m"),
        Field("kerf", "What a cut of the saw takes away", hint=_KERF),
    ]


def drawings(request: Request) -> Response:
    """What can be drawn of a revision, to be opened or kept."""
    desk = desk_of(request)
    with desk.reading() as s:
        of = find_revision(s, request.path_params["ref"])
        title, ref = revision_title(of), of.ref
    what = [(name, _FOR.get(name, "")) for name in DRAWN]
    return desk.page(
        request, "drawings.html", ref=ref, title=title, what=what, fields=_fields(), filled=Filled({"paper": "a4"}),
        printed=saving.PRINTED,
    )  # fmt: skip


def drawing(request: Request) -> Response:
    """The PDF of one drawing, made now."""
    desk, what = desk_of(request), request.path_params["what"]
    if what not in DRAWN:
        raise NotFound(f"There is no drawing called {what!r}", f"There are: {', '.join(DRAWN)}")
    asked = Filled({name: request.query_params.get(name, "") for name in ("paper", "turns", "pipe", "kerf")})
    paper = word(asked.get("paper") or "a4", tuple(PAPERS), "Paper") or ""
    turns = word(asked.get("turns") or TURNS[0], TURNS, "How the rotor turns") or ""
    with desk.reckoning() as s:
        subject = subject_of(s, request.path_params["ref"], turns, asked.get("pipe"), asked.get("kerf") or _KERF)
        ((name, data),) = saving.files_of(
            f"{what}-{subject.ref}", drawn(DRAWN[what], subject), paper, [saving.PDF]
        ).items()  # fmt: skip
    place = "attachment" if request.query_params.get("keep") else "inline"
    headers = {"Content-Disposition": f'{place}; filename="{name}"', "Content-Security-Policy": _PDF_POLICY}
    return Response(data, media_type="application/pdf", headers=headers)


def tick_name(line: ShoppingLine) -> str:
    """What a tick on a list is kept under: another as soon as something else is to be bought.

    The list may be worked out anew while it is ticked; no tick may then come to stand at another thing.
    """
    told = "\0".join([line.needed.kind, line.needed.run, buying.named(line), buying.described(line)])
    return f"t{hashlib.sha256(told.encode()).hexdigest()[:12]}"


def buying_list(request: Request) -> Response:
    """What is to be bought, with boxes to tick; as a file of its own where it is to be kept."""
    desk, alone = desk_of(request), bool(request.query_params.get("keep"))
    with desk.reckoning() as s:
        found = shopping(s, request.path_params["ref"])
        parts = [
            (
                title,
                standing is AtHand.HAVE,
                [(tick_name(n), buying.named(n), buying.described(n), buying.notes(n)) for n in lines],
            )
            for title, standing, lines in buying.sections(found)
        ]
        answer = desk.page(
            request, "buying.html", ref=found.revision.ref, title=revision_title(found.revision), parts=parts,
            warning=buying.warning(found) if found.dangers and found.lines else "", alone=alone,
            absent=buying.absent(found) if found.lines else [], nothing="" if found.lines else buying.NOTHING,
            asked=buying.LACKING, lacking=buying.lacking(found) if found.lines else [],
            totals=buying.totals(found), left_over=buying.left_over(found), heading=buying.UNLISTED,
            unlisted=buying.unlisted(found), caution=buying.CAUTION,
            style=(templates_folder() / "web" / "style.css").read_text(encoding="utf-8") if alone else "",
        )  # fmt: skip
    if alone:
        answer.headers["Content-Disposition"] = f'attachment; filename="buying-{found.revision.ref}.html"'
    return answer


ROUTES = [
    Route("/drawings/{ref}", drawings, methods=["GET"]),
    Route("/drawings/{ref}/{what}", drawing, methods=["GET"]),
    Route("/buying/{ref}", buying_list, methods=["GET"]),
]
