"""The design sheet: values with units as typed on one side, a design in SI on the other, provenance throughout."""

from __future__ import annotations

import re
import shlex
from collections.abc import Hashable, Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from sqlmodel import Session, col, select

from calc.machine import catalogue, spread
from calc.machine.catalogue import Sheet
from calc.machine.design import Design, build_design
from calc.machine.entry import Assumed, Entry, Value
from calc.quantities import FORMED
from journal.book.heard import hear, hearing, unheard
from journal.book.plain_quantity import NOT_KNOWN, is_awg
from journal.book.plain_text import clean_text
from journal.book.quantity import parse_with
from journal.book.readings import Taken, Told, failing_days, taken_on, together
from journal.book.records import records_on
from journal.book.store import because, settle
from journal.book.tables import PROVENANCES, Claim, History, Measurement, Revision, SheetValue
from journal.book.written import text, word
from journal.errors import MISTYPED, BadInput, Refused, nearest

if TYPE_CHECKING:
    from calc.curve.events import Burnt
    from calc.curve.shape import CurvePoint
    from calc.machine.system import System

#: What stands between several NAME=VALUE in one text; a value may hold a comma of its own.
PAIR = re.compile(r"[;,]\s*(?=[a-z][\w-]*\.[\w.-]+\s*=)")
#: Why something was added to a revision that was built, as the history tells it.
LATER = "never stated before, and added after"
#: As many names as a hint can hold.
_FEW_NAMES = 3
_LABEL = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
_FLAGS = {
    **dict.fromkeys(("yes", "true", "y", "yep", "yeah", "1", "on", "ja", "sure"), "yes"),
    **dict.fromkeys(("no", "false", "n", "nope", "0", "off", "none", "not"), "no"),
}


@dataclass(frozen=True)
class RevisionSheet:
    """One revision's sheet, ready for :mod:`calc`.

    Parameters
    ----------
    values : dict of str to SheetValue
        What the builder stated, by full name.
    claims, readings : tuple of Claim, tuple of Taken
        Claims recorded, and what was measured, on the revision.
    failed : tuple of str
        Days on which something failed on it.
    curve : tuple of CurvePoint
        The power curve that loggers measured on it, bin by bin.
    burnt, lost : Burnt or None, str
        What loggers saw go into the dump load; and what was kept of them and is gone or damaged, as a sentence.
    """

    values: dict[str, SheetValue]
    claims: tuple[Claim, ...] = ()
    readings: tuple[Taken, ...] = ()
    failed: tuple[str, ...] = ()
    curve: tuple[CurvePoint, ...] = ()
    burnt: Burnt | None = None
    lost: str = ""

    @cached_property
    def told(self) -> list[Told]:
        """The readings as the rules see them, many of a kind laid together."""
        return together(self.readings, self.failed)

    @cached_property
    def design(self) -> Design:
        """The design, scalar."""
        stated: dict[str, Value] = {path: _value(v) for path, v in self.values.items()}
        for claim in self.claims:
            if claim.power is not None:
                stated[f"claim.{claim.ref}.power"] = claim.power
            if claim.wind_speed is not None:
                stated[f"claim.{claim.ref}.wind_speed"] = claim.wind_speed
        for reading in self.told:
            stated |= _reading(reading, self.rectified(reading.reading))
        for point in self.curve:
            stated |= {f"curve.{label_of(point)}.{name}": value for name, value in asdict(point).items()}
        return build_design(stated, self.assumed)

    def rectified(self, m: Measurement | Taken) -> float:
        """By what a voltage without load is multiplied to be that behind the rectifier, in which rules compare it.

        A constant of which nobody says how it was read was read as the sheet's own.
        """
        form = m.form or (self._word(Sheet.generator.emf_form) if m.quantity == "generator.emf" else None)
        if form is None or m.quantity not in FORMED:
            return 1.0
        from calc.physics.generator import emf_rectified

        try:
            return float(emf_rectified(1.0, form, self._word(Sheet.generator.phases) or "three-phase"))
        except ValueError:
            return 1.0

    def _word(self, entry: Entry[str]) -> str | None:
        row = self.values.get(entry.path)
        return row.word if row else None

    @cached_property
    def assumed(self) -> dict[str, Assumed]:
        """What is assumed of this sheet in place of what the catalogue assumes of any."""
        in_gauges = any(catalogue.split(p)[0] == "cable.area" and is_awg(v.typed) for p, v in self.values.items())
        return {"site.wiring_practice": Assumed("NEC", "cable sizes were typed in AWG")} if in_gauges else {}

    @cached_property
    def provenance(self) -> dict[str, str]:
        """Where each value comes from."""
        known = {path: v.provenance for path, v in self.values.items()}
        for claim in self.claims:
            known |= {f"claim.{claim.ref}.{name}": "seller's claim" for name in ("power", "wind_speed")}
        for reading in self.told:
            known |= dict.fromkeys(_reading(reading, 1.0), "measured")
        for point in self.curve:
            known |= dict.fromkeys((f"curve.{label_of(point)}.{name}" for name in asdict(point)), "measured")
        return known

    @cached_property
    def doubts(self) -> dict[str, tuple[float, float]]:
        """Limits of each doubtful number: as typed, or implied by its provenance."""
        limits: dict[str, tuple[float, float]] = {}
        for path, v in self.values.items():
            if v.number is None:
                continue
            if v.low is not None and v.high is not None:
                limits[path] = (v.low, v.high)
            elif not entry_of(path)[0].exact and (share := spread.PROVENANCE_DOUBT.get(v.provenance)):
                limits[path] = spread.limits(path, v.number, share)
        return limits

    @cached_property
    def system(self) -> System:
        """The design and its doubts, on which everything is computed once for all who ask."""
        from calc.machine.system import System

        return System(self.design, self.doubts)

    def share(self, system: System) -> None:
        """Take over what was computed before of a sheet of the same :attr:`key`."""
        vars(self)["system"] = system

    @cached_property
    def key(self) -> tuple[Hashable, ...]:
        """All that a verdict depends on: equal keys give equal findings."""
        return (
            tuple(self.design.values.items()),
            tuple(self.assumed.items()),
            tuple(self.doubts.items()),
            tuple(self.provenance.items()),
            spread.SAMPLES,
        )


def _value(row: SheetValue) -> Value:
    entry = entry_of(row.path)[0]
    if entry.kind == "number" and row.number is not None:
        return row.number
    return row.word == "yes" if entry.kind == "flag" else str(row.word)


def limits_of(m: Measurement | Taken) -> tuple[float, float]:
    """Limits of a reading that has a value; where none were given, those that a measured value implies."""
    value = m.value or 0.0
    low, high = (value if end is None else end for end in (m.low, m.high))
    half = abs(value) * spread.PROVENANCE_DOUBT["measured"] if low == high else 0.0
    return low - half, high + half


def _reading(told: Told, factor: float) -> dict[str, Value]:
    """One reading as the rules see it, or the middle of several; its numbers times a factor."""
    m = told.reading
    if m.value is None:
        return {}
    low, high = (factor * end for end in limits_of(m))
    fields: dict[str, Value | None] = {
        "quantity": m.quantity,
        "value": factor * m.value,
        "low": low,
        "high": high,
        "wind_low": told.wind[0],
        "wind_high": told.wind[1],
        "wind_height": m.wind_height,
        "load": m.load_state,
    }
    if told.count > 1:
        fields |= {"count": float(told.count), "least": factor * told.least, "most": factor * told.most}
    return {f"measured.{m.ref}.{name}": value for name, value in fields.items() if value is not None}


def label_of(point: CurvePoint) -> str:
    """Name of a bin of the measured curve: ten times the wind in its middle."""
    return f"at{round(20 * point.wind) * 5:04d}"


def load_sheet(session: Session, revision: Revision, changes: Mapping[str, str] | None = None) -> RevisionSheet:
    """The sheet of a revision, optionally with some values replaced as typed, without touching the record."""
    rows = session.exec(select(SheetValue).where(SheetValue.revision_id == revision.id))
    order = {name: i for i, name in enumerate(catalogue.catalogue())}
    values = {row.path: row for row in sorted(rows, key=lambda r: (order[catalogue.split(r.path)[0]], r.path))}
    for path, typed in (changes or {}).items():
        values[path] = SheetValue(revision_id=revision.key, path=path, **read_value(path, typed, "calculated"))
    claims = tuple(records_on(session, Claim, revision))
    return RevisionSheet(values, claims, taken_on(session, revision), tuple(failing_days(session, revision)))


def is_named(path: str) -> bool:
    """Whether a text is the full name of a value of the sheet."""
    try:
        catalogue.split(path.strip())
    except KeyError:
        return False
    return True


def entry_of(path: str) -> tuple[Entry[Any], str | None]:
    """The catalogue's entry for a full name, and its label.

    Raises
    ------
    BadInput
        If there is none of that name, with the nearest right one.
    """
    try:
        bare, label = catalogue.split(path)
    except KeyError:
        raise BadInput(f"The sheet has no value called {path!r}", _suggest(path)) from None
    entry = catalogue.catalogue()[bare]
    if entry.recorded:
        how = {
            "claim": 'galebook claim "400 W at 9 m/s" --by WHO',
            "measured": 'galebook measure battery.voltage "12.1 V"',
            "curve": "galebook logger FILE",
        }
        raise BadInput(f"{path!r} is not set on the sheet", f"Log it with: {how[entry.group]}")
    if label is not None and not _LABEL.fullmatch(label):
        raise BadInput(
            f"{path!r}: {label!r} cannot be a label",
            "Accepted: small letters, digits, - and _, at most 40 of them",
        )
    return entry, label


def named_input(typed: str) -> str:
    """The full name of an input that was typed so, or with blanks for its dots, or with another word for its group.

    Raises
    ------
    BadInput
        If there is none, or several.
    """
    try:
        entry_of(typed)
    except BadInput:
        from journal.book import naming

        small = typed.strip().casefold()
        found = [small] if _is_name(small) else list(filter(None, [naming.parted(typed)]))
        found = found or naming.meant(typed, naming.inputs())
        if len(found) != 1 or not _is_name(found[0]):
            raise
        hear(f"{typed} = {found[0]}")
        return found[0]
    return typed


def name_and_value(words: list[str]) -> tuple[str, str]:
    """A name and a value that were typed in more than two words: the longest name there is goes first."""
    for count in range(len(words) - 1, 0, -1):
        typed = " ".join(words[:count])
        try:
            with unheard():
                named_input(typed)
        except BadInput:
            continue
        return typed, " ".join(words[count:])
    return words[0], " ".join(words[1:])


def _is_name(path: str) -> bool:
    try:
        entry_of(path)
    except BadInput:
        return False
    return True


def _suggest(path: str) -> str:
    from journal.book import naming

    group, *rest = path.split(".")
    names = [e.named("LABEL") for e in catalogue.catalogue().values() if not e.recorded]
    if group in catalogue.LABELLED and rest:
        label = rest[0] if len(rest) > 1 else "main"
        names = [e.named(label) for e in catalogue.catalogue().values() if e.group == group]
        path = path if len(rest) > 1 else f"{group}.{label}.{rest[0]}"
    if close := nearest(path, names, MISTYPED):
        return f"Did you mean {close}?"
    found = naming.meant(path, naming.inputs()) or naming.about(path, naming.inputs())
    if 0 < len(found) <= _FEW_NAMES:
        entries = (catalogue.catalogue()[name] for name in found)
        return f"Did you mean {' or '.join(e.named('LABEL') for e in entries)}?"
    if found:
        return f"See: galebook names {shlex.quote(path.replace('.', ' '))}"
    close = nearest(path, names) or _by_own_part(path, names)
    return f"Did you mean {close}?" if close else "See the names with: galebook names"


def _by_own_part(typed: str, names: list[str]) -> str:
    """The first name whose last part is spelt nearly so."""
    own = nearest(typed.split(".")[-1], dict.fromkeys(name.split(".")[-1] for name in names), MISTYPED)
    return next((name for name in names if own and name.split(".")[-1] == own), "")


def read_value(
    path: str, typed: str, provenance: str | None = None, doubt: str | None = None, note: str | None = None
) -> dict[str, Any]:
    """Read one value as typed into the columns of its record.

    Raises
    ------
    BadInput
        If the name is unknown, the unit wrong, the number out of range or the word not one of its set.
    """
    entry, _ = entry_of(path)
    if doubt is not None and entry.kind != "number":
        raise BadInput(f"{path} is a word and has no uncertainty", "Leave it out")
    fields: dict[str, Any] = {
        "typed": clean_text(typed, path, limit=200),
        "number": None,
        "word": None,
        "low": None,
        "high": None,
        "doubt": None,
        "provenance": word(provenance or "estimate", PROVENANCES, "Provenance"),
        "note": text(note, "Note"),
    }
    if entry.kind == "choice":
        fields["word"] = word(typed, entry.choices, path, entry.also, _of(entry))
    elif entry.kind == "flag":
        if NOT_KNOWN.fullmatch(typed.strip()):
            raise BadInput(f"{path}: {typed!r} is neither yes nor no", "Leave it out, what is not known stays so")
        if (said := typed.strip().casefold().rstrip(".!")) not in _FLAGS:
            raise BadInput(f"{path}: {typed!r} is neither yes nor no", "Accepted: yes or no")
        fields["word"] = _FLAGS[said]
        if said != _FLAGS[said]:
            hear(f"{path}: {typed.strip()} = {_FLAGS[said]}")
    else:
        reading = parse_with(typed, doubt, entry, path)
        fields.update(number=reading.value, low=reading.low, high=reading.high, doubt=reading.doubt)
    return fields


def _of(entry: Entry[Any]) -> str:
    """The words of a question, and what people call the thing."""
    place = vars(catalogue.Sheet)[entry.group]
    return " ".join([entry.meaning, entry.name.replace("_", " "), entry.group, *place.group.said])


def heard_of(path: str, typed: str) -> str | None:
    """How a value was read, as it was told when it was typed; None where it was typed in its plain form."""
    # What an older Galebook took may be asked about today.
    with hearing() as heard, suppress(BadInput):
        read_value(path, typed)
    return next(iter(heard), "").removeprefix(f"{path}: ") or None


def set_values(
    session: Session,
    revision: Revision,
    items: Mapping[str, Mapping[str, Any]],
    correction: str | None = None,
) -> list[SheetValue]:
    """Set values, all or none.

    Parameters
    ----------
    items : mapping of str to mapping
        By full name: ``typed`` and optionally ``provenance``, ``doubt``, ``note``.
    correction : str, optional
        The reason, needed where a value that was stated is changed on a frozen revision.

    Raises
    ------
    Refused
        If a stated value of a frozen revision would be changed and no reason was given.
    BadInput
        If any one of the values cannot be used; then none is set.
    """
    read_items = {path: read_value(path, **item) for path, item in ((named_input(p), i) for p, i in items.items())}
    found = session.exec(
        select(SheetValue).where(SheetValue.revision_id == revision.id, col(SheetValue.path).in_(read_items))
    )
    stated = {row.path: row for row in found}
    _permit_setting(session, revision, read_items, stated, correction)
    rows = []
    for path, fields in read_items.items():
        row = stated.get(path) or SheetValue(revision_id=revision.key, path=path, typed="", provenance="estimate")
        for name, value in fields.items():
            setattr(row, name, value)
        session.add(row)
        rows.append(row)
    settle(session)
    return rows


def _permit_setting(
    session: Session,
    revision: Revision,
    items: Mapping[str, Mapping[str, Any]],
    stated: Mapping[str, SheetValue],
    correction: str | None,
) -> None:
    """Let values be set on a frozen revision where that only says more of what was built."""
    other = [path for path, row in stated.items() if any(getattr(row, name) != v for name, v in items[path].items())]
    if correction is None and revision.frozen_at and other:
        told = "; ".join(f"{path} is stated as {stated[path].typed}" for path in other[:3])
        raise Refused(
            f"{revision.ref} is frozen: attempts were logged on it, and {told}{' ...' if other[3:] else ''}",
            f"Make a new revision with: galebook revise {revision.ref}; or correct the record with "
            '--correct "reason". What was never stated is added without',
        )
    permit_adding(session, revision, correction)


def permit_adding(session: Session, revision: Revision, correction: str | None) -> None:
    """Let something be added that was never stated; of a frozen revision the history tells that it came later."""
    if correction is not None:
        permit(session, revision, correction)
    elif revision.frozen_at:
        because(session, f"{LATER} {revision.ref} was built")


def unset(session: Session, revision: Revision, paths: Iterable[str], correction: str | None = None) -> list[str]:
    """Take values off the sheet; the history keeps them."""
    rows = load_sheet(session, revision).values
    gone = []
    for path in paths:
        entry_of(path)
        if path not in rows:
            raise Refused(f"{path} is not set on {revision.ref}", f"See: galebook sheet {revision.ref}")
        gone.append(path)
    permit(session, revision, correction)
    for path in gone:
        session.delete(rows[path])
    settle(session)
    return gone


def added_later(session: Session, revision: Revision) -> dict[str, str]:
    """What was added to a revision after it was built, by path or reference, with the moment."""
    rows = session.exec(
        select(History.ref, History.at)
        .where(History.build_id == revision.build_id, History.action == "add")
        .where(
            col(History.kind).in_(("sheetvalue", "part", "claim")), History.why == f"{LATER} {revision.ref} was built"
        )
        .order_by(col(History.id))
    )
    return {ref.removeprefix(f"{revision.ref} "): at for ref, at in rows} if revision.frozen_at else {}


def permit(session: Session, revision: Revision, correction: str | None) -> None:
    """Let a draft be changed, and what stands on a frozen revision only as a correction with a reason."""
    if correction is not None:
        because(session, clean_text(correction, "The reason"))
        session.info["correcting"] = True
    elif revision.frozen_at:
        raise Refused(
            f"{revision.ref} is frozen: attempts were logged on it, so its sheet says what was built",
            f'Make a new revision with: galebook revise {revision.ref}; or correct the record with --correct "reason"',
        )
