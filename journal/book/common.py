"""What every service needs: the build meant, references, numbers, dates, words, and corrections."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any, TypeVar, overload

from sqlmodel import Session, col, func, select

from journal.book.quantity import Wanted, clean, is_beaufort, parse
from journal.book.store import because, now, settle
from journal.book.tables import NUMBERED, Attempt, Build, Numbered, Record, Revision, Setting
from journal.errors import BadInput, NotFound, Refused, nearest

N = TypeVar("N", bound=Numbered)
_REF = re.compile(r"([A-Za-z])(\d{1,9})")
_CURRENCY = re.compile(r"[A-Z]{3}")
_HEIGHT = Wanted("m", "m", 0.5, 200.0, "2 m")


def current_build(session: Session) -> Build:
    """The build meant: named for this command, or chosen, or the only one.

    Raises
    ------
    NotFound
        If there is none of that name.
    Refused
        If there are several and none was chosen.
    """
    builds = list(session.exec(select(Build).order_by(col(Build.id))))
    name = session.info.get("build")
    if name is None and (setting := session.get(Setting, "build")):
        return session.get_one(Build, int(setting.value))
    if name is not None:
        for build in builds:
            if build.name.casefold() == name.casefold():
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


def numbered(session: Session, cls: type[N], build: Build, *, withdrawn: bool = False) -> list[N]:
    """All records of a kind in a build, by number."""
    query = select(cls).where(cls.build_id == build.id).order_by(col(cls.number))
    if not withdrawn:
        query = query.where(col(cls.withdrawn_because).is_(None))
    return list(session.exec(query))


def next_number(session: Session, cls: type[Numbered], build: Build) -> int:
    """The next number of a kind of record in a build; numbers are never used again."""
    return (session.exec(select(func.max(cls.number)).where(cls.build_id == build.id)).one() or 0) + 1


def add(session: Session, cls: type[N], **fields: Any) -> N:
    """Add a numbered record to the build meant."""
    build = current_build(session)
    record = cls(build_id=build.key, number=next_number(session, cls, build), recorded_at=now(), **fields)
    session.add(record)
    session.flush()
    return record


@overload
def find(session: Session, ref: str, *, withdrawn: bool = False) -> Numbered: ...
@overload
def find(session: Session, ref: str, cls: type[N], *, withdrawn: bool = False) -> N: ...
def find(session: Session, ref: str, cls: type[Any] | None = None, *, withdrawn: bool = False) -> Any:
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
    name = cls.__name__.lower()
    return f"an {name}" if name[0] in "aeiou" else f"a {name}"


def get(session: Session, cls: type[Any], key: int | None) -> Any:
    """The record of a kind with a key, or None."""
    return None if key is None else session.get(cls, key)


def standing(session: Session, cls: type[Any], key: int | None) -> Any:
    """The record of a kind with a key, or None if there is none or it was withdrawn."""
    record = get(session, cls, key)
    return None if record is None or record.withdrawn_because else record


def revision(session: Session, ref: str | None = None) -> Revision:
    """The revision that a reference names; without one, the newest."""
    if ref:
        return find(session, ref, Revision)
    revisions = numbered(session, Revision, current_build(session))
    if not revisions:
        raise NotFound("This build has no revision", "Make one with: galebook revise")
    return revisions[-1]


def text(value: str | None, what: str, *, limit: int = 10_000) -> str | None:
    """A text, cleaned; None stays None."""
    return None if value is None else clean(value, what, limit=limit)


def word(value: str | None, words: tuple[str, ...], what: str) -> str | None:
    """One of a closed set of words; an unmistakable beginning is enough.

    Raises
    ------
    BadInput
        With the nearest right word and the whole set.
    """
    if value is None:
        return None
    typed = clean(value, what, limit=200).casefold()
    exact = [w for w in words if w.casefold() == typed]
    begun = exact or [w for w in words if w.casefold().startswith(typed)]
    if len(begun) == 1:
        return begun[0]
    close = nearest(value, words)
    hint = f"Did you mean {close!r}? " if close else ""
    raise BadInput(f"{what}: {value!r} is not one of its words", f"{hint}Accepted: {'; '.join(words)}")


def when(value: str | None, what: str = "Date") -> str:
    """A day, or a moment as UTC, in ISO 8601; without one, today.

    Accepts 2026-01-12, "2026-01-12 21:40" in local time, today, yesterday and now.
    """
    typed = "today" if value is None else value.strip().casefold()
    today = datetime.now().astimezone().date()
    days = {"today": today, "yesterday": today - timedelta(days=1)}
    if typed in days:
        return days[typed].isoformat()
    if typed == "now":
        return now()
    try:
        if len(typed) <= 10:
            return date.fromisoformat(typed).isoformat()
        moment = datetime.fromisoformat(typed.upper())
        return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%MZ")
    except (ValueError, OverflowError):
        raise BadInput(
            f"{what}: {value!r} is not a date",
            'Accepted: 2026-01-12, "2026-01-12 21:40", today, yesterday, now',
        ) from None


def in_order(began: str, ended: str | None) -> None:
    """Hold that nothing ends before it begins; a day and a moment are compared as days.

    Raises
    ------
    BadInput
        If it does.
    """
    if ended is not None and ended[: len(began)] < began[: len(ended)]:
        raise BadInput(f"It ended ({ended}) before it began ({began})", "Give the dates in order")


def wind(value: str | None, height: str | None = None) -> dict[str, Any]:
    """Wind as typed, with its limits (``Bft 5``, ``6 to 8 m/s``, ``9 m/s``) and the height at which it blew.

    A Beaufort number holds at 10 m by its definition; any other wind of no height is that at the rotor.
    """
    if value is None:
        if height is not None:
            raise BadInput("A height was given but no wind", 'Add --wind, like --wind "6 m/s"')
        return {}
    from calc.quantities import QUANTITIES

    reading = parse(value, QUANTITIES["wind.speed"], "Wind")
    low = reading.value if reading.low is None else reading.low
    high = reading.value if reading.high is None else reading.high
    above = 10.0 if is_beaufort(value) else None
    if height is not None:
        above = parse(height, _HEIGHT, "Height of the wind").value
    return {"wind": reading.typed, "wind_low": low, "wind_high": high, "wind_height": above}


def share(value: str | float | None, what: str) -> float | None:
    """A share typed as 0.7 or 70 %."""
    if value is None:
        return None
    typed = str(value).strip()
    try:
        number = float(typed.rstrip("% ")) / (100 if typed.endswith("%") else 1)
    except ValueError:
        number = float("nan")
    if not 0 <= number <= 1:
        raise BadInput(f"{what}: {value!r} is not a share", "Accepted: 0 to 1, or 0 % to 100 %")
    return number


def money(cost: str | None, currency: str | None) -> dict[str, Any]:
    """A cost with its currency, such as ``30`` and ``EUR``, or ``30 EUR`` in one."""
    if cost is None:
        return {}
    amount, _, unit = cost.strip().partition(" ")
    code = (unit or currency or "").strip().upper()
    try:
        number = float(amount)
    except ValueError:
        number = float("nan")
    if not 0 <= number < 1e9:
        raise BadInput(f"Cost: {cost!r} is not an amount", 'Type it like "30 EUR"')
    if not _CURRENCY.fullmatch(code):
        raise BadInput(f"Cost: {cost!r} has no currency", 'Type it like "30 EUR", with a three-letter code of ISO 4217')
    return {"cost": number, "currency": code}


def amend(session: Session, ref: str, field: str, value: str, why: str) -> Any:
    """Correct one field of a record; the history keeps what stood there and why it was changed.

    Raises
    ------
    BadInput
        If the record has no such field, or the value does not fit it.
    """
    record: Any = current_build(session) if ref.strip().casefold() == "build" else find(session, ref)
    cls = type(record)
    if field not in cls.editable:
        close = nearest(field, cls.editable)
        hint = f"Did you mean {close!r}? " if close else ""
        raise BadInput(f"{ref} has no field {field!r} to correct", f"{hint}Accepted: {', '.join(cls.editable)}")
    because(session, clean(why, "The reason"))
    session.info["correcting"] = True
    if isinstance(record, Build) and field == "name":
        from journal.book import builds

        changes: dict[str, Any] = {field: builds.unused(session, value, but=record)}
    else:
        changes = _typed(record, field, value)
    for name, changed in changes.items():
        setattr(record, name, changed)
    if field in ("began", "ended"):
        in_order(record.began, record.ended)
    session.add(record)
    settle(session)
    return record


def _typed(record: Any, field: str, value: str) -> dict[str, Any]:
    if field == "wind":
        return wind(value)
    if field == "wind_height":
        return {field: parse(value, _HEIGHT, "Height of the wind").value}
    if field == "value":
        from journal.book import measurements

        return measurements.read(record.quantity, value)
    if field == "said":
        from journal.book import claims

        return claims.read(value)
    if field in ("cost", "currency"):
        return money(value, record.currency) if field == "cost" else money(f"{record.cost or 0:g}", value)
    if field in ("mass", "quantity"):
        from journal.book import parts

        return {field: parts.weight(value) if field == "mass" else parts.count(value)}
    if field == "hours":
        from journal.book import attempts

        return {field: attempts.duration(value)}
    if field in type(record).words:
        return {field: word(value, type(record).words[field], field)}
    if field in ("began", "ended", "happened", "taken", "review_on"):
        return {field: when(value, field)}
    if field == "severity":
        if value not in ("1", "2", "3", "4"):
            raise BadInput(f"Severity: {value!r} is not one of its levels", "Accepted: 1 (worst) to 4 (least)")
        return {field: int(value)}
    if field == "private":
        return {field: word(value, ("yes", "no"), field) == "yes"}
    return {field: clean(value, field)}


def _thaw(session: Session, attempt: Attempt) -> None:
    """Make a revision a draft again when the only attempt that froze it is withdrawn."""
    tried = numbered(session, Attempt, current_build(session))
    if not any(a.revision_id == attempt.revision_id and a.key != attempt.key for a in tried):
        of: Revision = get(session, Revision, attempt.revision_id)
        of.frozen_at = None
        session.add(of)


def withdraw(session: Session, ref: str, why: str) -> Numbered:
    """Take a record out of all reports; it keeps its number and stays in the history."""
    record = find(session, ref)
    if isinstance(record, Revision):
        tried = [a.ref for a in numbered(session, Attempt, current_build(session)) if a.revision_id == record.key]
        if tried:
            raise Refused(
                f"{record.ref} has attempts logged on it: {', '.join(tried)}",
                "Withdraw those first, or keep it as a failed revision",
            )
    because(session, clean(why, "The reason"))
    record.withdrawn_because = why.strip()
    if isinstance(record, Attempt):
        _thaw(session, record)
    session.add(record)
    settle(session)
    return record
