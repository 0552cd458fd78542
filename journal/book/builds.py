"""Builds: one machine over its whole life."""

from __future__ import annotations

from sqlmodel import Session, col, select

from journal.book.common import text
from journal.book.quantity import clean
from journal.book.store import now
from journal.book.tables import Build, Revision, Setting
from journal.errors import NotFound, Refused, nearest


def start(
    session: Session,
    name: str,
    *,
    purpose: str | None = None,
    region: str | None = None,
    place: str | None = None,
    builder: str | None = None,
    contact: str | None = None,
    title: str | None = None,
) -> tuple[Build, Revision]:
    """Begin a build with an empty first revision, and choose it.

    Raises
    ------
    Refused
        If there is a build of that name.
    """
    name = unused(session, name)
    build = Build(
        name=name,
        purpose=text(purpose, "Purpose"),
        region=text(region, "Region"),
        place=text(place, "Place"),
        builder=text(builder, "Builder"),
        contact=text(contact, "Contact"),
        recorded_at=now(),
    )
    session.add(build)
    session.flush()
    first = Revision(build_id=build.key, number=1, title=text(title, "Title"), recorded_at=now())
    session.add(first)
    use(session, name)
    return build, first


def name_of(typed: str) -> str:
    """A name that a build can have."""
    return clean(typed, "The name", limit=120)


def unused(session: Session, name: str, but: Build | None = None) -> str:
    """A name for a build that no other has."""
    name = name_of(name)
    if any(b.name.casefold() == name.casefold() for b in all_builds(session) if b is not but):
        raise Refused(f"There is already a build called {name!r}", "Choose another name")
    return name


def all_builds(session: Session) -> list[Build]:
    """Every build, oldest first."""
    return list(session.exec(select(Build).order_by(col(Build.id))))


def use(session: Session, name: str) -> Build:
    """Choose the build that later commands mean."""
    builds = all_builds(session)
    for build in builds:
        if build.name.casefold() == name.strip().casefold():
            session.merge(Setting(key="build", value=str(build.key)))
            session.flush()
            return build
    close = nearest(name, [b.name for b in builds])
    raise NotFound(
        f"There is no build called {name!r}", f"Did you mean {close!r}?" if close else "See: galebook builds"
    )
