"""The design sheet: text with units on one side, a design in SI on the other, provenance kept throughout."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from sqlmodel import Session, col, select

from calc.machine import catalogue, spread
from calc.machine.design import Design, build
from calc.machine.entry import Assumed, Entry, Value
from journal.book.common import numbered, text, word
from journal.book.quantity import clean, is_awg, parse_with
from journal.book.store import because, settle
from journal.book.tables import PROVENANCES, Build, Claim, Measurement, Revision, SheetValue
from journal.errors import BadInput, Refused, nearest

if TYPE_CHECKING:
    from calc.machine.system import System

_LABEL = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
_FLAGS = {"yes": "yes", "no": "no", "true": "yes", "false": "no", "y": "yes", "n": "no"}


@dataclass(frozen=True)
class RevisionSheet:
    """One revision's sheet, ready for :mod:`calc`.

    Parameters
    ----------
    values : dict of str to SheetValue
        What the builder stated, by full name.
    claims : tuple of Claim
        Claims recorded on the revision.
    readings : tuple of Measurement
        What was measured on the revision.
    """

    values: dict[str, SheetValue]
    claims: tuple[Claim, ...] = ()
    readings: tuple[Measurement, ...] = ()

    @cached_property
    def design(self) -> Design:
        """The design, scalar."""
        stated: dict[str, Value] = {path: _value(v) for path, v in self.values.items()}
        for claim in self.claims:
            if claim.power is not None:
                stated[f"claim.{claim.ref}.power"] = claim.power
            if claim.wind_speed is not None:
                stated[f"claim.{claim.ref}.wind_speed"] = claim.wind_speed
        for reading in self.readings:
            stated |= _reading(reading)
        return build(stated, self.assumed)

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
        for reading in self.readings:
            known |= dict.fromkeys(_reading(reading), "measured")
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

    @property
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


def limits_of(m: Measurement) -> tuple[float, float]:
    """Limits of a reading that has a value; where none were given, those that a measured value implies."""
    value = m.value or 0.0
    low, high = (value if end is None else end for end in (m.low, m.high))
    half = abs(value) * spread.PROVENANCE_DOUBT["measured"] if low == high else 0.0
    return low - half, high + half


def _reading(m: Measurement) -> dict[str, Value]:
    """One measurement as the rules see it."""
    if m.value is None:
        return {}
    low, high = limits_of(m)
    fields: dict[str, Value | None] = {
        "quantity": m.quantity,
        "value": m.value,
        "low": low,
        "high": high,
        "wind_low": m.wind_low,
        "wind_high": m.wind_high,
        "wind_height": m.wind_height,
        "load": m.load_state,
    }
    return {f"measured.{m.ref}.{name}": value for name, value in fields.items() if value is not None}


def of(session: Session, revision: Revision, changes: Mapping[str, str] | None = None) -> RevisionSheet:
    """The sheet of a revision, optionally with some values replaced as typed, without touching the record."""
    rows = session.exec(select(SheetValue).where(SheetValue.revision_id == revision.id))
    order = {name: i for i, name in enumerate(catalogue.catalogue())}
    values = {row.path: row for row in sorted(rows, key=lambda r: (order[catalogue.split(r.path)[0]], r.path))}
    for path, typed in (changes or {}).items():
        values[path] = SheetValue(revision_id=revision.key, path=path, **read(path, typed, "calculated"))
    build = session.get_one(Build, revision.build_id)
    claims = tuple(c for c in numbered(session, Claim, build) if c.revision_id == revision.id)
    readings = tuple(m for m in numbered(session, Measurement, build) if m.revision_id == revision.id)
    return RevisionSheet(values, claims, readings)


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
            "measured": 'galebook measure "12.1 V" battery.voltage',
        }
        raise BadInput(f"{path!r} is not set on the sheet", f"Log it with: {how[entry.group]}")
    if label is not None and not _LABEL.fullmatch(label):
        raise BadInput(
            f"{path!r}: {label!r} cannot be a label",
            "Accepted: small letters, digits, - and _, at most 40 of them",
        )
    return entry, label


def _suggest(path: str) -> str:
    group, *rest = path.split(".")
    names = [e.named("LABEL") for e in catalogue.catalogue().values() if not e.recorded]
    if group in catalogue.LABELLED and rest:
        label = rest[0] if len(rest) > 1 else "main"
        names = [e.named(label) for e in catalogue.catalogue().values() if e.group == group]
        path = path if len(rest) > 1 else f"{group}.{label}.{rest[0]}"
    close = nearest(path, names)
    return f"Did you mean {close}?" if close else "See the names with: galebook names"


def read(
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
        "typed": clean(typed, path, limit=200),
        "number": None,
        "word": None,
        "low": None,
        "high": None,
        "doubt": None,
        "provenance": word(provenance or "estimate", PROVENANCES, "Provenance"),
        "note": text(note, "Note"),
    }
    if entry.kind == "choice":
        fields["word"] = word(typed, entry.choices, path)
    elif entry.kind == "flag":
        if typed.strip().casefold() not in _FLAGS:
            raise BadInput(f"{path}: {typed!r} is neither yes nor no", "Accepted: yes or no")
        fields["word"] = _FLAGS[typed.strip().casefold()]
    else:
        reading = parse_with(typed, doubt, entry, path)
        fields.update(number=reading.value, low=reading.low, high=reading.high, doubt=reading.doubt)
    return fields


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
        The reason, needed once the revision is frozen.

    Raises
    ------
    Refused
        If the revision is frozen and no reason was given.
    BadInput
        If any one of the values cannot be used; then none is set.
    """
    read_items = {path: read(path, **item) for path, item in items.items()}
    permit(session, revision, correction)
    rows = []
    for path, fields in read_items.items():
        row = session.exec(
            select(SheetValue).where(SheetValue.revision_id == revision.id, col(SheetValue.path) == path)
        ).one_or_none() or SheetValue(revision_id=revision.key, path=path, typed="", provenance="estimate")
        for name, value in fields.items():
            setattr(row, name, value)
        session.add(row)
        rows.append(row)
    settle(session)
    return rows


def unset(session: Session, revision: Revision, paths: Iterable[str], correction: str | None = None) -> list[str]:
    """Take values off the sheet; the history keeps them."""
    rows = of(session, revision).values
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


def permit(session: Session, revision: Revision, correction: str | None) -> None:
    """Let a draft be changed, and a frozen revision only as a correction with a reason."""
    if correction is not None:
        because(session, clean(correction, "The reason"))
        session.info["correcting"] = True
    elif revision.frozen_at:
        raise Refused(
            f"{revision.ref} is frozen: attempts were logged on it, so its sheet says what was built",
            f'Make a new revision with: galebook revise {revision.ref}; or correct the record with --correct "reason"',
        )


def to_toml(session: Session, revision: Revision) -> str:
    """The whole sheet as commented TOML: what is set, and beside it all that could be."""
    rows = of(session, revision).values
    lines = [
        f"# Design sheet of {revision.ref}. Lines that begin with # are not set.",
        '# A value is text with its unit, or { value = "...", from = "...", doubt = "...", note = "..." }.',
        f'# from is one of: {", ".join(PROVENANCES)}. doubt is like "5 %" or "1 cm".',
        "",
    ]
    for group in catalogue.GROUPS:
        if group in catalogue.RECORDED:
            continue
        entries = [e for e in catalogue.catalogue().values() if e.group == group]
        labels: list[str | None] = [None]
        if group in catalogue.LABELLED:
            labels = sorted({catalogue.split(p)[1] or "" for p in rows if p.startswith(f"{group}.")}) or ["main"]  # type: ignore[assignment]
        for label in labels:
            lines.append(f"[{group}.{label}]" if label else f"[{group}]")
            for entry in entries:
                lines.append(f"# {entry.meaning}. {entry.accepts[:1].upper()}{entry.accepts[1:]}.")
                row = rows.get(entry.named(label))
                lines.append(_toml_line(entry, row))
            lines.append("")
    return "\n".join(lines)


def _quote(value: str) -> str:
    return '"' + "".join(_ESCAPES.get(c, c) for c in value) + '"'


_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}


def _toml_line(entry: Entry[Any], row: SheetValue | None) -> str:
    if row is None:
        return f"# {entry.name} = {{ value = {_quote(entry.example)}, from = {_quote('estimate')} }}"
    parts = {"value": row.typed, "from": row.provenance, "doubt": row.doubt, "note": row.note}
    # A doubt that was typed with the value is read from there again.
    if row.doubt and read(row.path, row.typed)["doubt"] == row.doubt:
        parts["doubt"] = None
    inner = ", ".join(f"{k} = {_quote(v)}" for k, v in parts.items() if v is not None)
    return f"{entry.name} = {{ {inner} }}"


def from_toml(source: str, name: str = "sheet") -> dict[str, dict[str, Any]]:
    """Read a sheet from TOML.

    Returns
    -------
    items : dict
        As :func:`set_values` takes them.

    Raises
    ------
    BadInput
        With the name of the file and the line.
    """
    try:
        data = tomllib.loads(source)
    except tomllib.TOMLDecodeError as e:
        raise BadInput(f"{name}: not valid TOML: {e}", "Nothing was saved") from None
    items: dict[str, dict[str, Any]] = {}
    for path, value in _leaves(data, ""):
        place = f"{name}, line {_line(source, path)}"
        item = {"value": value} if not isinstance(value, dict) else value
        unknown = set(item) - {"value", "from", "doubt", "note"}
        if unknown or "value" not in item or not all(isinstance(v, str | int | float | bool) for v in item.values()):
            raise BadInput(
                f"{place}: cannot read {path}",
                'Accepted: "2.2 m" or { value = "2.2 m", from = "measured" }. Nothing was saved',
            )
        typed = {True: "yes", False: "no"}.get(item["value"]) if isinstance(item["value"], bool) else str(item["value"])
        given = {
            "typed": typed,
            "provenance": item.get("from"),
            "doubt": item.get("doubt"),
            "note": item.get("note"),
        }
        items[path] = {k: str(v) for k, v in given.items() if v is not None}
        try:
            read(path, **items[path])
        except BadInput as e:
            raise BadInput(f"{place}: {e.what}", f"{e.accepted.rstrip('.')}. Nothing was saved") from None
    return items


def _leaves(data: Mapping[str, Any], prefix: str) -> Iterable[tuple[str, Any]]:
    for key, value in data.items():
        path = f"{prefix}.{key}" if prefix else key
        depth = 2 if path.split(".")[0] in catalogue.LABELLED else 1
        if isinstance(value, dict) and path.count(".") < depth:
            yield from _leaves(value, path)
        else:
            yield path, value


def _line(source: str, path: str) -> int | str:
    """The line that sets a name; TOML readers do not tell."""
    section = ""
    for number, line in enumerate(source.splitlines(), 1):
        stripped = line.strip()
        if stripped.startswith("["):
            section = stripped.split("]")[0].strip("[ ").replace('"', "")
            if section == path:
                return number
        elif "=" in stripped and not stripped.startswith("#"):
            key = stripped.split("=")[0].strip().replace('"', "")
            if f"{section}.{key}".strip(".") == path:
                return number
    return "?"
