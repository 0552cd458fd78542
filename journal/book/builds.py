"""Builds: one machine over its whole life."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from sqlalchemy.orm import object_session
from sqlmodel import Session, col, select

from journal.book.heard import is_in_feet
from journal.book.history import now
from journal.book.kinds import Kind, a_text
from journal.book.plain_text import alike, clean_line
from journal.book.records import current_build
from journal.book.shown import FEET, METRIC, SYSTEMS, told_in
from journal.book.tables import Build, Measurement, Revision, Setting, SheetValue
from journal.book.written import text, word
from journal.errors import GalebookError, NotFound, Refused, nearest

#: What else people say for the two systems.
_ALSO = {
    **dict.fromkeys(("ft", "foot", "imperial", "us", "american", "english", "inches", "inch", "fahrenheit"), FEET),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "si", "celsius"), METRIC),
}


def _renamed(build: Build, typed: str) -> dict[str, Any]:
    return {"name": unused_name(cast(Session, object_session(build)), typed, but=build)}


def _units(typed: str) -> str | None:
    """The word for the units of a build; what people say for feet and for metres is taken too."""
    said = typed.strip().casefold()
    return word(_ALSO.get(said, said), SYSTEMS, "Units")


KIND = Kind(
    Build,
    readers={
        "purpose": a_text("Purpose"),
        "region": a_text("Region"),
        "place": a_text("Place"),
        "builder": a_text("Builder"),
        "contact": a_text("Contact"),
        "private_note": a_text("Note"),
        "units": _units,
        "questions": a_text("Questions to readers"),
        "promise": a_text("What you promise to do in a storm"),
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
    units: str | None = None
    questions: str | None = None
    promise: str | None = None


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
    told_in(build.units)
    return build, first


def first_in_feet(session: Session, typed: set[str]) -> bool:
    """Whether nothing else was typed so before on a build for which nobody has said in what it is told."""
    try:
        build = current_build(session)
    except GalebookError:
        return False
    if build.units is not None:
        return False
    values = select(SheetValue.typed).join(Revision).where(Revision.build_id == build.key).distinct()
    readings = select(Measurement.typed).where(Measurement.build_id == build.key).distinct()
    before = {text for rows in (session.exec(values), session.exec(readings)) for text in rows if text}
    return not any(is_in_feet(text) for text in before - typed)


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
