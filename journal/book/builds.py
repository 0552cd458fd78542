"""Builds: one machine over its whole life."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from sqlalchemy.orm import object_session
from sqlmodel import Session, col, select

from journal.book.history import now
from journal.book.kinds import Kind, a_text
from journal.book.plain_text import alike, clean_line
from journal.book.tables import Build, Revision, Setting
from journal.book.written import text
from journal.errors import NotFound, Refused, nearest


def _renamed(build: Build, typed: str) -> dict[str, Any]:
    return {"name": unused_name(cast(Session, object_session(build)), typed, but=build)}


KIND = Kind(
    Build,
    readers={
        "purpose": a_text("Purpose"),
        "region": a_text("Region"),
        "place": a_text("Place"),
        "builder": a_text("Builder"),
        "contact": a_text("Contact"),
        "private_note": a_text("Note"),
    },
    together={"name": _renamed},
)


@dataclass(frozen=True, slots=True)
class BuildTyped:
    """What a person typed of a build that begins; ``title`` is that of its first revision."""

    name: str
    purpose: str | None = None
    region: str | None = None
    place: str | None = None
    builder: str | None = None
    contact: str | None = None
    title: str | None = None


def read_build(typed: BuildTyped) -> tuple[dict[str, Any], str | None]:
    """The columns of a build, and the title of its first revision.

    Raises
    ------
    BadInput
        If one of the texts cannot be used.
    """
    name = clean_line(typed.name, "The name", limit=120)
    return {"name": name, **KIND.columns(typed)}, text(typed.title, "Title")


def start(session: Session, typed: BuildTyped) -> tuple[Build, Revision]:
    """Begin a build with an empty first revision, and choose it.

    Raises
    ------
    Refused
        If there is a build of that name.
    """
    columns, title = read_build(typed)
    build = Build(**columns | {"name": unused_name(session, typed.name)}, recorded_at=now())
    session.add(build)
    session.flush()
    first = Revision(build_id=build.key, number=1, title=title, recorded_at=now())
    session.add(first)
    use(session, build.name)
    return build, first


def unused_name(session: Session, typed: str, but: Build | None = None) -> str:
    """A name for a build that no other has."""
    name = clean_line(typed, "The name", limit=120)
    if any(alike(b.name) == alike(name) for b in all_builds(session) if b is not but):
        raise Refused(f"There is already a build called {name!r}", "Choose another name")
    return name


def all_builds(session: Session) -> list[Build]:
    """Every build, oldest first."""
    return list(session.exec(select(Build).order_by(col(Build.id))))


def use(session: Session, name: str) -> Build:
    """Choose the build that later commands mean."""
    builds = all_builds(session)
    for build in builds:
        if alike(build.name) == alike(name):
            session.merge(Setting(key=session.info.get("choice", "build"), value=str(build.key)))
            session.flush()
            return build
    close = nearest(name, [b.name for b in builds])
    raise NotFound(
        f"There is no build called {name!r}", f"Did you mean {close!r}?" if close else "See: galebook builds"
    )
