"""Looking records up, and adding them: the build meant, short references, numbers."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import partial
from typing import Any, TypeVar, overload

from sqlmodel import Session, col, func, select

from calc.wording import with_article
from journal.book.history import now
from journal.book.plain_text import alike
from journal.book.shown import told_in
from journal.book.tables import NUMBERED, Attempt, Build, History, Numbered, Record, Revision, Setting
from journal.errors import BadInput, NotFound, Refused, nearest

N = TypeVar("N", bound=Numbered)
R = TypeVar("R", bound=Record)
_REF = re.compile(r"([A-Za-z])(\d{1,9})")


def current_build(session: Session) -> Build:
    """The build meant: named for this command, or chosen, or the only one; people are told in its units from here on.

    Raises
    ------
    NotFound
        If there is none of that name.
    Refused
        If there are several and none was chosen.
    """
    build = _meant(session)
    told_in(build.units, partial(_own_words, session))
    return build


def _own_words(session: Session) -> list[str]:
    from journal.book.own_words import own_words

    return own_words(session)


def _meant(session: Session) -> Build:
    builds = list(session.exec(select(Build).order_by(col(Build.id))))
    name = session.info.get("build")
    if name is None and (setting := session.get(Setting, session.info.get("choice", "build"))):
        return session.get_one(Build, int(setting.value))
    if name is not None:
        for build in builds:
            if alike(build.name) == alike(name):
                return build
        close = nearest(name, [b.name for b in builds])
        raise NotFound(
            f"There is no build called {name!r}",
            f"Did you mean {close!r}?" if close else "See: galebook builds",
        )
    if len(builds) == 1:
        return builds[0]
    if not builds:
        raise NotFound("There is no build in this journal", 'Begin one with: galebook start "Name of the machine"')
    raise Refused(f"There are {len(builds)} builds and none was chosen", "Choose one with: galebook use NAME")


def all_records(session: Session, cls: type[N], build: Build, *, withdrawn: bool = False) -> list[N]:
    """All records of a kind in a build, by number; a session that only reads asks for them once."""
    if session.autoflush:
        return _all_records(session, cls, build, withdrawn)
    known: dict[tuple[type[Numbered], int, bool], list[Any]] = session.info.setdefault("records", {})
    key = (cls, build.key, withdrawn)
    if key not in known:
        known[key] = _all_records(session, cls, build, withdrawn)
    return list(known[key])


def _all_records(session: Session, cls: type[N], build: Build, withdrawn: bool) -> list[N]:
    query = select(cls).where(cls.build_id == build.id).order_by(col(cls.number))
    if not withdrawn:
        query = query.where(col(cls.withdrawn_because).is_(None))
    return list(session.exec(query))


def newest_records(session: Session, cls: type[N], build: Build, most: int | None) -> list[N]:
    """The newest records of a kind in a build that were not withdrawn, at most so many, by number."""
    if most is None:
        return all_records(session, cls, build)
    query = select(cls).where(cls.build_id == build.id, col(cls.withdrawn_because).is_(None))
    return list(session.exec(query.order_by(col(cls.number).desc()).limit(most)))[::-1]


def count_records(session: Session, cls: type[N], build: Build) -> int:
    """How many records of a kind a build has, without those that were withdrawn."""
    query = select(func.count()).where(cls.build_id == build.id, col(cls.withdrawn_because).is_(None))
    return session.exec(query).one()


def records_on(session: Session, cls: type[R], revision: Revision) -> list[R]:
    """Records of a kind that belong to a revision, by number, without those that were withdrawn."""
    of: Any = cls
    query = select(of).where(of.revision_id == revision.key, of.withdrawn_because.is_(None)).order_by(of.number)
    return list(session.exec(query))


def records_in(session: Session, cls: type[R], attempt: Attempt) -> list[R]:
    """Records of a kind that belong to an attempt, by number, without those that were withdrawn."""
    of: Any = cls
    query = select(of).where(of.attempt_id == attempt.key, of.withdrawn_because.is_(None)).order_by(of.number)
    return list(session.exec(query))


def next_number(session: Session, cls: type[Numbered], build: Build) -> int:
    """The next number of a kind of record in a build; numbers are never used again."""
    return (session.exec(select(func.max(cls.number)).where(cls.build_id == build.id)).one() or 0) + 1


def add_record(session: Session, cls: type[N], **fields: Any) -> N:
    """Add a numbered record to the build meant."""
    build = current_build(session)
    record = cls(build_id=build.key, number=next_number(session, cls, build), recorded_at=now(), **fields)
    session.add(record)
    session.flush()
    return record


def add_records(session: Session, cls: type[N], rows: Iterable[dict[str, Any]]) -> list[N]:
    """Add many numbered records of a kind to the build meant, in their order, each by its columns."""
    build, at = current_build(session), now()
    first = next_number(session, cls, build)
    made = [cls(build_id=build.key, number=n, recorded_at=at, **columns) for n, columns in enumerate(rows, first)]
    session.add_all(made)
    session.flush()
    return made


@overload
def find_record(session: Session, ref: str, *, withdrawn: bool = False) -> Numbered: ...
@overload
def find_record(session: Session, ref: str, cls: type[N], *, withdrawn: bool = False) -> N: ...
def find_record(session: Session, ref: str, cls: type[Any] | None = None, *, withdrawn: bool = False) -> Any:
    """The record that a short reference names; a withdrawn one only to look at it.

    Raises
    ------
    BadInput
        If it does not look like a reference, or names another kind of record than the one asked for.
    NotFound
        If the build has no such record.
    Refused
        If it was withdrawn, and is not only to be looked at.
    """
    match = _REF.fullmatch(ref.strip())
    letters = {letter.lower(): kind for letter, kind in NUMBERED.items()}
    kind: Any = letters.get(match[1].lower()) if match else None
    if match is None or kind is None:
        wanted = f"{cls.letter}1" if cls else "r2, A3, M12, F1, D4, P7"
        raise BadInput(f"{ref!r} is not a reference", f"References look like {wanted}")
    if cls is not None and kind is not cls:
        raise BadInput(
            f"{ref} is {_a(kind)}, but {_a(cls)} is wanted here", f"Those have references like {cls.letter}1"
        )
    build = current_build(session)
    record = session.exec(select(kind).where(kind.build_id == build.id, kind.number == int(match[2]))).one_or_none()
    if record is None:
        last = next_number(session, kind, build) - 1
        raise NotFound(
            f"There is no {kind.__name__.lower()} {kind.letter}{match[2]} in {build.name!r}",
            f"The last is {kind.letter}{last}" if last else "There are none yet",
        )
    if record.withdrawn_because and not withdrawn:
        raise Refused(f"{record.ref} was withdrawn: {record.withdrawn_because}", f"See: galebook show {record.ref}")
    return record


def _a(cls: type[Record]) -> str:
    return with_article(cls.__name__.lower())


def numbered_within(session: Session, owner: Numbered, rows: Sequence[R]) -> dict[int, R]:
    """Rows that belong to a record, by the numbers in which they were added; that of one taken back is not used again.

    Parameters
    ----------
    rows : sequence of Record
        All of one kind that the record has, oldest first.
    """
    if not rows:
        return {}
    kind = type(rows[0]).__name__.lower()
    added = session.exec(
        select(History.record_id)
        .where(History.build_id == owner.build_id, History.kind == kind, History.action == "add")
        .where(History.ref == f"{owner.ref} {kind}")
        .order_by(col(History.id))
    )
    order = {key: number for number, key in enumerate(added, 1)}
    return {order.get(row.id, place): row for place, row in enumerate(rows, 1)}


def get_record(session: Session, cls: type[Any], key: int | None) -> Any:
    """The record of a kind with a key, or None."""
    return None if key is None else session.get(cls, key)


def standing_record(session: Session, cls: type[Any], key: int | None) -> Any:
    """The record of a kind with a key, or None if there is none or it was withdrawn."""
    record = get_record(session, cls, key)
    return None if record is None or record.withdrawn_because else record


def find_revision(session: Session, ref: str | None = None) -> Revision:
    """The revision that a reference names; without one, the newest."""
    if ref:
        return find_record(session, ref, Revision)
    revisions = all_records(session, Revision, current_build(session))
    if not revisions:
        raise NotFound("This build has no revision", "Make one with: galebook revise")
    return revisions[-1]
