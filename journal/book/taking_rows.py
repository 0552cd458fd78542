"""The lines of a table as records: read all of them first, then log all or none.

Readings go in together, through the same reading of what was typed as one by one; an attempt, a part, a failure or a
claim goes through the very function that logs one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from sqlmodel import Session, col, select

from calc.quantities import QUANTITIES
from journal.book import attempts, claims, failures, measurements, parts
from journal.book.kinds import Kind
from journal.book.records import add_records, current_build, find_record
from journal.book.store import because
from journal.book.table_numbers import decimal_mark, with_point
from journal.book.table_text import TableLine, TableText
from journal.book.table_words import EITHER_VOLTAGE, FREQUENCY, LEFT_OUT
from journal.book.tables import Attempt, Claim, Failure, Measurement, Numbered, Part, Revision
from journal.book.taking_table import TableColumn, TakenTable
from journal.book.written import read_wind, read_wind_height, share
from journal.errors import BadInput, GalebookError

#: What people write where nothing was read.
_NOTHING = frozenset(("", "-", "--", "–", "—", "n/a", "na", "n.a.", "nil", "?", "/"))
_NUMBER_ALONE = re.compile(r"[+-]?[\d.,]*\d[\d.,]*(?:\s*(?:to|-|–|\.\.)\s*[\d.,]*\d)?")
_SLASHED = re.compile(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4})(.*)")
#: Fields that hold numbers, beside the quantities.
_NUMBERS = frozenset(
    ("value", "doubt", "wind", "wind_height", "hours", "mass", "cost", "power", FREQUENCY, EITHER_VOLTAGE)
)
_DAYS = frozenset(("taken", "began", "ended", "happened"))
_REFERENCES: dict[str, type[Numbered]] = {"attempt": Attempt, "on": Revision, "part": Part, "caused_by": Failure}
#: Which day a line needs once its table has a column for it.
_DAY_OF = {"readings": "taken", "attempts": "began", "failures": "happened"}
NOTHING = "nothing connected"
#: Records that are logged between two signs of life.
_AT_ONCE = 1000


@dataclass(frozen=True, slots=True)
class ClaimTyped:
    """What a person typed of a claim."""

    said: str
    who: str
    on: str | None = None


@dataclass(frozen=True, slots=True)
class _Sort:
    """What one kind of table is made of: its record, what is typed of one, how it is read and logged."""

    record: type[Numbered]
    typed: Any
    kind: Kind
    read: Callable[[Session, Any], object]
    log: Callable[[Session, Any, str | None], Numbered]
    #: Columns in which a record stands already that says the same.
    same: tuple[str, ...]


_SORTS = {
    "readings": _Sort(
        Measurement, measurements.MeasurementTyped, measurements.KIND, lambda s, t: None,
        lambda s, t, _: measurements.log_measurement(s, t), ("quantity", "value", "attempt_id", "taken"),
    ),
    "attempts": _Sort(
        Attempt, attempts.AttemptTyped, attempts.KIND, lambda s, t: attempts.read_attempt(t),
        lambda s, t, _: attempts.log_attempt(s, t), ("did", "began"),
    ),
    "parts": _Sort(
        Part, parts.PartTyped, parts.KIND, lambda s, t: parts.read_part(t), parts.add_part, ("name", "serial"),
    ),
    "failures": _Sort(
        Failure, failures.FailureTyped, failures.KIND, failures.read_failure,
        lambda s, t, _: failures.log_failure(s, t), ("saw", "happened"),
    ),
    "claims": _Sort(
        Claim, ClaimTyped, claims.KIND, lambda s, t: {"who": t.who, **claims.read_claim(t.said)},
        lambda s, t, why: claims.log_claim(s, t.said, t.who, on=t.on, correction=why), ("who", "said"),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class BadCell:
    """A cell, or a whole line, that cannot be used."""

    line: int
    column: str
    what: str
    accepted: str

    def __str__(self) -> str:
        where = f"Line {self.line}" + (f", column {self.column!r}" if self.column else "")
        return f"{where}: {GalebookError(self.what, self.accepted)}"


@dataclass(frozen=True, slots=True)
class TableEntry:
    """One record that a table gives: its line and column, what was typed of it, and its columns as they are read.

    ``known`` is the reference of one that stands already and says the same.
    """

    line: int
    column: str
    typed: Any
    columns: dict[str, Any] = field(default_factory=dict)
    known: str = ""


@dataclass(frozen=True)
class TablePlan:
    """What a table would log.

    Parameters
    ----------
    taken : TakenTable
        How it is taken.
    entries : list of TableEntry
        In the order of its lines.
    bad : list of BadCell
        All that cannot be used; then nothing is logged.
    empty : list of int
        Lines in which nothing was read.
    mark : str
        What stands ahead of decimals.
    """

    taken: TakenTable
    entries: list[TableEntry]
    bad: list[BadCell]
    empty: list[int]
    mark: str

    @property
    def known(self) -> list[TableEntry]:
        """Entries that stand in the journal already."""
        return [e for e in self.entries if e.known]


def read_rows(
    session: Session,
    table: TableText,
    taken: TakenTable,
    *,
    mark: str = "",
    month_first: bool | None = None,
    far: Callable[[str], object] = lambda _: None,
) -> TablePlan:
    """Read every line of a table; nothing is written.

    Parameters
    ----------
    mark : str
        What stands ahead of decimals; else the table's numbers tell it.
    month_first : bool, optional
        How days such as 03/04/2023 are meant; else they are read as any day is.
    far : callable
        Is told how far it is.
    """
    numeric = [i for i, c in enumerate(taken.columns) if c.target in _NUMBERS or c.target in QUANTITIES]
    mark = mark or decimal_mark((line.number, line.cells[i]) for line in table.lines for i in numeric)
    reader = _Reader(session, taken, mark, month_first)
    entries: list[TableEntry] = []
    empty = []
    for count, line in enumerate(table.lines):
        if count % _AT_ONCE == 0 and count:
            far(f"line {line.number}")
        bad_before = len(reader.bad)
        made = list(reader.line(line))
        entries += made
        if not made and len(reader.bad) == bad_before:
            empty.append(line.number)
    return TablePlan(taken, _against_journal(session, taken.kind, entries), reader.bad, empty, mark)


def for_all_lines(session: Session, taken: TakenTable, day: str | None) -> TakenTable:
    """How a table is taken, with the day that holds for its lines; what holds for all of them is tried once.

    Raises
    ------
    BadInput
        If something does not concern such records, or cannot be used.
    """
    shared = dict(taken.shared)
    if day is not None:
        shared[_DAY_OF.get(taken.kind, "day")] = day
    sort = _SORTS[taken.kind]
    known = {f.name for f in fields(sort.typed)}
    if odd := [name for name in shared if name not in known]:
        raise BadInput(f"{taken.kind.capitalize()} have no {odd[0].replace('_', ' ')}", "Leave that flag out")
    taken = replace(taken, shared=shared)
    reader = _Reader(session, taken, ".", None)
    for name, value in shared.items():
        reader.check(name, value)
    return taken


class _Reader:
    """Reads lines one after the other; what many lines share is looked up and read but once."""

    def __init__(self, session: Session, taken: TakenTable, mark: str, month_first: bool | None) -> None:
        self.session, self.taken, self.mark, self.month_first = session, taken, mark, month_first
        self.sort = _SORTS[taken.kind]
        self.bad: list[BadCell] = []
        self._checked: dict[tuple[str, str], GalebookError | None] = {}
        self._around: dict[tuple[str | None, ...], measurements.Around] = {}
        self._beside: dict[Any, dict[str, Any]] = {}
        self._may_be_typed = {f.name for f in fields(self.sort.typed)}
        self._needed = {"attempts": "did", "parts": "name", "failures": "saw", "claims": "who"}.get(taken.kind)

    def line(self, line: TableLine) -> Iterator[TableEntry]:
        """The records that a line gives; what is wrong with it goes to ``bad``."""
        cells: dict[str, str] = {}
        bad = len(self.bad)
        for column, cell in zip(self.taken.columns, line.cells, strict=True):
            if column.target == LEFT_OUT or cell.casefold() in _NOTHING:
                continue
            try:
                self._cell(cells, column, cell)
            except GalebookError as e:
                self._tell(line, column.head, e)
        if not cells or len(self.bad) > bad:
            return
        try:
            yield from self._readings(line, cells) if self.taken.kind == "readings" else self._one(line, cells)
        except GalebookError as e:
            self._tell(line, "", e)

    def _tell(self, line: TableLine, column: str, e: GalebookError) -> None:
        self.bad.append(BadCell(line.number, column, e.what, e.accepted))

    def _cell(self, cells: dict[str, str], column: TableColumn, cell: str) -> None:
        """Read one cell into what is typed of its line."""
        if cell.startswith("="):
            raise BadInput(f"{cell[:40]!r} is a formula", "Its value is accepted: save the table with values")
        target = column.target
        if target in _DAYS:
            cell = _turned(cell, self.month_first)
        elif target in _NUMBERS or target in QUANTITIES:
            cell = _with_unit(with_point(cell, self.mark), column.unit)
        if target == FREQUENCY:
            target, cell = "conditions", f"{cell} from the generator"
        if target in cells:
            cell = f"{cells[target]}; {cell}"
        self.check(target, cell)
        cells[target] = cell

    def check(self, target: str, cell: str) -> None:
        """Hold that a cell can be used, so that its column can be named; each text but once."""
        if (target, cell) not in self._checked:
            self._checked[target, cell] = None
            try:
                self._try(target, cell)
            except GalebookError as e:
                self._checked[target, cell] = e
        if (refused := self._checked[target, cell]) is not None:
            raise refused

    def _try(self, target: str, cell: str) -> None:
        if target in _REFERENCES:
            find_record(self.session, cell, _REFERENCES[target])
        elif target == "wind" and self.taken.kind != "claims":
            read_wind(cell)
        elif target == "wind_height":
            read_wind_height(cell)
        elif target == "quantity" and self.taken.kind == "readings":
            measurements.quantity_named(cell)
        elif target == "sure":
            share(cell, "How sure")
        elif target in self.sort.kind.readers and target in self._may_be_typed:
            self.sort.kind.readers[target](cell)

    def _fields(self, cells: Mapping[str, str]) -> dict[str, Any]:
        """The fields of a record by the cells of its line, else by what holds for the whole table."""
        day = _DAY_OF.get(self.taken.kind)
        given = {**self.taken.shared, **cells}
        if "time" in given and (when := given.get("taken") or self._attempts_day(given)):
            given["taken"] = f"{when} {given['time'].rjust(5, '0') if ':' in given['time'] else given['time']}"
            self.check("taken", given["taken"])
        elif "time" in given:
            raise BadInput("A time of day without its day", "Give the day in a column, or with --when")
        if day and self.taken.has(day) and not given.get(day) and not given.get("attempt"):
            raise BadInput(
                "The date is empty", "Fill it in, vaguely where it must be, like spring 2023; or give --when"
            )
        return {name: value for name, value in given.items() if name in self._may_be_typed}

    def _attempts_day(self, given: Mapping[str, str]) -> str:
        """The day of a line's attempt, where it was a single one."""
        if not given.get("attempt"):
            return ""
        began = find_record(self.session, given["attempt"], Attempt).began
        return began if re.fullmatch(r"\d{4}-\d\d-\d\d", began) else ""

    def _readings(self, line: TableLine, cells: Mapping[str, str]) -> Iterator[TableEntry]:
        common = self._fields(cells)
        if self.taken.has("value"):
            if not cells.get("value") and not cells.get("missing"):
                return
            head = next(c.head for c in self.taken.columns if c.target == "value")
            unit = cells.get("unit", "")
            yield from self._read(
                line, head, common.pop("quantity", ""), _with_unit(cells.get("value", ""), unit), common
            )
            return
        if EITHER_VOLTAGE in cells:
            common["load_state"] = _connected(cells, common.get("load_state"))
        for column in self.taken.columns:
            if column.is_read and column.target in cells:
                quantity = _voltage(column.target, common.get("load_state"))
                yield from self._read(line, column.head, quantity, cells[column.target], common)

    def _read(
        self, line: TableLine, head: str, quantity: str, value: str, common: dict[str, Any]
    ) -> Iterator[TableEntry]:
        """One reading; a text without a number where a value stands is why there is none."""
        said = {"missing": value} if value and not re.search(r"\d", value) else {"value": value or None}
        typed = measurements.MeasurementTyped(quantity, **{**common, **said})
        try:
            yield TableEntry(line.number, head, typed, self._columns(typed))
        except GalebookError as e:
            if e.what.endswith("has no unit"):
                unit = QUANTITIES[measurements.quantity_named(quantity)].shown
                e = BadInput(e.what, f'Say it once in the head, like "{head} ({unit})"')
            self._tell(line, head, e)

    def _columns(self, typed: measurements.MeasurementTyped) -> dict[str, Any]:
        whose = typed.attempt, typed.on, typed.instrument
        if whose not in self._around:
            self._around[whose] = measurements.around(self.session, typed)
        other = replace(typed, quantity="", value=None, missing=None, doubt=None)
        if other not in self._beside:
            self._beside[other] = measurements.beside_value(other)
        return measurements.columns_of(typed, self._around[whose], self._beside[other])

    def _one(self, line: TableLine, cells: Mapping[str, str]) -> Iterator[TableEntry]:
        """The one record that a line of another kind of table gives."""
        given = self._fields(cells)
        if self.taken.kind == "claims":
            said = cells.get("said") or cells.get("power", "")
            given["said"] = f"{said} at {cells['wind']}" if cells.get("wind") and "at" not in said.split() else said
        needed = self._needed
        if needed and not given.get(needed):
            raise BadInput(f"It says nothing of {needed!r}", "Fill in its cell")
        typed = self.sort.typed(**given)
        read = self.sort.read(self.session, typed)
        yield TableEntry(line.number, "", typed, dict(read) if isinstance(read, dict) else {})


def _connected(cells: Mapping[str, str], load: str | None) -> str:
    """What was connected on a line whose voltage was read open or loaded, by whether a current flowed."""
    if load is not None:
        return load
    current = re.match(r"[+-]?([\d.]+)", cells.get("charge.current", ""))
    return "not known" if current and float(current[1]) > 0 else NOTHING


def _voltage(target: str, load: str | None) -> str:
    """The quantity that a column is on a line with something connected, or nothing."""
    if target != EITHER_VOLTAGE:
        return target
    return "generator.open_voltage" if NOTHING.startswith((load or "").casefold()) else "generator.loaded_voltage"


def _with_unit(cell: str, unit: str) -> str:
    """A number alone with the unit of its column."""
    if not unit or not _NUMBER_ALONE.fullmatch(cell):
        return cell
    return f"Bft {cell}" if unit == "Bft" else f"{cell} {unit}"


def _turned(cell: str, month_first: bool | None) -> str:
    """A day such as 03/04/2023 the way round in which it cannot be misread, where the person said how it is meant."""
    match = _SLASHED.fullmatch(cell)
    if match is None or month_first is None:
        return cell
    one, other, year, rest = match.groups()
    month, day = (one, other) if month_first else (other, one)
    return f"{year}-{int(month):02}-{int(day):02}{rest}"


def _against_journal(session: Session, kind: str, entries: list[TableEntry]) -> list[TableEntry]:
    """Entries, those named that stand in the journal already."""
    sort = _SORTS[kind]
    standing: Any = sort.record
    rows = session.execute(
        select(standing.number, *(getattr(standing, name) for name in sort.same))
        .where(standing.build_id == current_build(session).key, standing.withdrawn_because.is_(None))
        .order_by(col(standing.number))
    )
    known = {tuple(row[1:]): f"{standing.letter}{row[0]}" for row in rows}
    if not known:
        return entries
    return [replace(e, known=known.get(tuple(e.columns.get(name) for name in sort.same), "")) for e in entries]


def log_rows(
    session: Session,
    plan: TablePlan,
    *,
    skip_known: bool = False,
    correction: str | None = None,
    source: str = "",
    far: Callable[[str], object] = lambda _: None,
) -> list[Numbered]:
    """Log all that a table gives; ``source`` is what the history says of whence it came.

    Raises
    ------
    BadInput
        If a line of it cannot be used.
    """
    if plan.bad:
        raise BadInput(str(plan.bad[0]), "Nothing was logged")
    entries = [e for e in plan.entries if not (skip_known and e.known)]
    made: list[Numbered] = []
    for chunk in _chunks(entries):
        far(f"{len(made)} of {len(entries)}")
        if plan.taken.kind == "readings":
            because(session, source)
            made += add_records(session, Measurement, (e.columns for e in chunk))
            continue
        for e in chunk:
            # Logging one may forget the reason given for it.
            because(session, source)
            made.append(_SORTS[plan.taken.kind].log(session, e.typed, correction))
    because(session, None)
    return made


def _chunks(entries: list[TableEntry]) -> Iterable[list[TableEntry]]:
    return (entries[i : i + _AT_ONCE] for i in range(0, len(entries), _AT_ONCE))
