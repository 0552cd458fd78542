"""What stands: the next step, and the verdict of the newest revision in short, as ``check`` has it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from calc.finding import Status
from calc.rules.plan import ToDo
from journal.review.counsel import Headline, lead, quiet, short, titles, verdict_of
from journal.review.next_step import BuildStatus, status_of
from journal.review.verdict import Review, check, ways
from journal.web.desk import desk_of

#: Things to do that are told; dangers all the same.
SHOWN = 4


@dataclass(frozen=True)
class Urgent:
    """One thing to do: how bad it is, what is wrong, what to do, and what to take care of."""

    status: str
    says: str
    do: str
    caution: str


@dataclass(frozen=True)
class Standing:
    """What is shown of a build, and of its newest revision where it has one."""

    status: BuildStatus
    review: Review
    verdict: Headline
    todos: list[Urgent]
    left: int
    deadly: list[str]
    quiet: str


def gather_standing(session: Session) -> Standing:
    """The state of the build, and the verdict of its newest revision."""
    status = status_of(session)
    review = check(session, advise=True)
    todos = [_todo(review, t) for t in review.plan.todos]
    told = [t for i, t in enumerate(todos) if t is not None and (i < SHOWN or t.status == Status.DANGER)]
    deadly = titles(review, (f.key for f in review.deadly))
    return Standing(status, review, verdict_of(review), told, len(todos) - len(told), deadly, quiet(review))


def _todo(review: Review, todo: ToDo) -> Urgent | None:
    leads = lead(review, todo)
    if leads is None:
        return None
    # What hurts is seen to whatever the year comes to.
    do = short(todo, energy=not leads.caution) if todo.remedies else ""
    return Urgent(str(todo.status), f"{leads.first} {ways(leads)}".strip(), do, leads.caution)


def show(request: Request) -> Response:
    """What stands."""
    desk = desk_of(request)
    with desk.reckoning() as s:
        told = gather_standing(s)
        return desk.page(request, "standing.html", told=told)


ROUTES = [Route("/standing", show, methods=["GET"])]
