"""What the machine would do: in each wind, with other values, and where a finding turns. Nothing is recorded."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from sqlmodel import Session

from calc.finding import Finding
from calc.machine.battery import has_battery
from calc.machine.entry import Value
from calc.machine.inputs import Unknown
from calc.machine.system import KeyFigure, Sampling
from calc.physics.generator import BURNT_WINDING
from calc.rules import RULES, whatif
from calc.rules.engine import Variants
from journal.book import names, sheet
from journal.book.quantity import parse
from journal.book.records import find_revision
from journal.book.tables import Revision
from journal.errors import BadInput, NotFound, Refused
from journal.review import enough, verdict

#: More combinations than anyone reads.
MOST = 2000
#: Of a longer text every way to part it would be tried.
_STEPS_LENGTH = 200
_STEPS = re.compile(r"\s*(\S+)(.*?)\s+to\s+(\S+)\s*(.*?)\s+in\s+(\d+)\s*")


@dataclass(frozen=True)
class Variation:
    """What rules say of every combination of some values.

    Parameters
    ----------
    revision : Revision
        What was varied.
    paths : tuple of str
        The inputs varied.
    combinations : list of tuple of str
        Each combination, as shown.
    rows : list of Variants
        One for each finding, with a status and value for every combination.
    as_it_is : bool
        Whether the first combination is that of the sheet, beside those asked for.
    """

    revision: Revision
    paths: tuple[str, ...]
    combinations: list[tuple[str, ...]]
    rows: list[Variants]
    as_it_is: bool = False

    @property
    def moving(self) -> list[Variants]:
        """Findings that differ between combinations in more than digits."""
        return [row for row in self.rows if len(set(row.statuses)) > 1]


def read_values(path: str, typed: str) -> list[Value]:
    """Read a list of values (``6 mm2, 10 mm2``) or even steps (``1.5 m to 3 m in 4``).

    Raises
    ------
    BadInput
        If one of them does not fit the sheet.
    """
    entry, _ = sheet.entry_of(path)
    if entry.kind == "number" and len(typed) <= _STEPS_LENGTH and (match := _STEPS.fullmatch(typed)):
        first, unit, last, last_unit, count = match.groups()
        if len(count) > len(str(MOST)) or not 2 <= int(count) <= MOST:
            raise BadInput(f"{path}: {count} steps", f"Accepted: 2 to {MOST}")
        ends = [
            parse(f"{n} {u or last_unit}".strip(), entry, path).value
            for n, u in ((first, unit.strip()), (last, last_unit))
        ]
        return [float(v) for v in np.linspace(ends[0], ends[1], int(count))]
    values: list[Value] = []
    pieces = typed.split(";" if ";" in typed else ",", MOST)
    if len(pieces) > MOST:
        raise BadInput(f"{path}: more than {MOST} values", f"At most {MOST} are accepted")
    for piece in pieces:
        fields = sheet.read_value(path, piece)
        number = fields["number"]
        values.append(
            number if number is not None else fields["word"] == "yes" if entry.kind == "flag" else fields["word"]
        )
    return values


def vary(session: Session, ref: str | None, changes: Mapping[str, str]) -> Variation:
    """Run the rules over every combination of the values given for some inputs.

    Raises
    ------
    BadInput
        If nothing is varied, a value does not fit, or there are more than 2,000 combinations.
    """
    of = find_revision(session, ref)
    if not changes:
        raise BadInput("Nothing is varied", 'Type it like cable.mast.area="6 mm2, 10 mm2, 16 mm2"')
    lists = {path: read_values(path, typed) for path, typed in changes.items()}
    count = math.prod(len(v) for v in lists.values())
    if count > MOST:
        raise BadInput(f"That makes {count} combinations", f"At most {MOST} are accepted")
    design = sheet.load_sheet(session, of).design
    combined = whatif.combinations(lists)
    now = {path: value for path in lists if (value := design.values.get(path)) is not None}
    as_it_is = len(now) == len(lists) and now not in combined
    if as_it_is:
        # What a change does is seen beside what the sheet has.
        combined = [now, *combined]
    rows = whatif.across(RULES, design, combined)
    shown = [tuple(sheet.entry_of(path)[0].text(picked[path]) for path in lists) for picked in combined]
    return Variation(of, tuple(lists), shown, rows, as_it_is)


@dataclass(frozen=True)
class Turning:
    """Where one finding turns as one input grows."""

    revision: Revision
    finding: Finding
    path: str
    now: str
    turns: list[tuple[str, str, str]]


def turn(session: Session, ref: str | None, rule: str, path: str, subject: str | None = None) -> Turning:
    """Find the values of an input at which a finding turns.

    Raises
    ------
    BadInput
        If the rule judged several things and none was named.
    NotFound
        If the rule says nothing of this revision.
    """
    entry, _ = sheet.entry_of(path)
    known = names.rule_named(rule)
    result = verdict.check(session, ref)
    found = [f for f in result.findings if f.rule == rule and subject in (None, f.subject, f.subject.partition(".")[2])]
    if not found:
        raise NotFound(f"{rule} says nothing of {subject or result.revision.ref}", "See: galebook check")
    if len(found) > 1:
        raise BadInput(f"{rule} judged several things", f"Add --subject, one of: {'; '.join(f.subject for f in found)}")
    design = result.sheet.design
    try:
        turns = whatif.turning_points(known, found[0].subject, design, path)
    except KeyError:
        raise NotFound(
            f"{path} is not set on {result.revision.ref}", "Set it first, or vary it with: galebook vary"
        ) from None
    shown = [(t.value if isinstance(t.value, str) else entry.text(t.value), str(t.before), str(t.after)) for t in turns]
    if entry.shown == "rpm/V":
        # Shown the other way up, so what grows in SI falls in the eyes of the reader.
        shown = [(value, after, before) for value, before, after in reversed(shown)]
    row = result.sheet.values.get(path)
    assumed = entry.text(entry.assumed.value) + ", assumed" if entry.assumed else "not stated"
    return Turning(
        result.revision,
        found[0],
        path,
        verdict.value_text(row, limits=False) if row else assumed,
        shown,
    )


@dataclass(frozen=True)
class PowerCurve:
    """What the machine of a revision does in each wind, and its key figures.

    Parameters
    ----------
    revision, sheet : Revision, Sheet
        Whose machine.
    winds : list of float
        Wind speeds. [m/s]
    rows : list of dict
        For each wind, by name and in SI: what the running machine does and where its power goes.
    limit : float or None
        Wind from which the rotor is held back; above it the rows repeat that one, unless its tail is computed. [m/s]
    stopped : float or None
        Wind from which a computed tail lies at its stop; infinite where it never does. [m/s]
    forked : list of float
        Winds in which a rotor that comes from standstill ends up at another speed than one that was fast. [m/s]
    figures : list of KeyFigure
        Starting, charging, runaway, yield.
    sampling : Sampling or None
        How far their ranges carry.
    burns : float or None
        Wind from which on the winding would burn out; of that wind and those above it there is no row. [m/s]
    lamps : bool
        Whether lamps or heaters hang straight at the rectifier, and no battery.
    conclusion : Conclusion
        How the year's energy stands to what the loads ask for.
    """

    revision: Revision
    sheet: sheet.RevisionSheet
    winds: list[float]
    rows: list[dict[str, float]]
    limit: float | None
    stopped: float | None
    forked: list[float]
    figures: list[KeyFigure]
    sampling: Sampling | None
    burns: float | None
    lamps: bool
    conclusion: enough.Conclusion


_COLUMNS = (
    "omega", "tip_speed", "tsr", "cp", "current", "voltage", "wind", "rotor", "drive", "drag", "copper", "diodes",
    "cable", "converter", "field", "inside_battery", "stored", "dump", "winding",
)  # fmt: skip


def power(session: Session, ref: str | None) -> PowerCurve:
    """Solve the machine of a revision over the winds.

    Raises
    ------
    Refused
        If the sheet does not say enough, naming what is missing.
    """
    of = find_revision(session, ref)
    values = verdict.opened(session, of)
    solved = values.system.solved
    if isinstance(solved, Unknown):
        if solved.missing:
            raise Refused(
                f"The machine of {of.ref} cannot be solved: missing {', '.join(solved.names)}",
                "See: galebook missing",
            )
        raise Refused(f"The machine of {of.ref} cannot be solved: {solved.why}", "See: galebook check")
    points = solved.operation.running
    # What is computed for a winding that has burnt is not the machine's any more, and is not told.
    burnt = points.winding > BURNT_WINDING
    lasts = int(np.argmax(burnt)) if burnt.any() else len(solved.winds)
    rows = [
        {name: float(getattr(points, name)[i]) for name in _COLUMNS} | {"battery": float(points.battery[i])}
        for i in range(lasts)
    ]
    return PowerCurve(
        of,
        values,
        [float(v) for v in solved.winds[:lasts]],
        rows,
        float(np.asarray(solved.limit)) if np.isfinite(solved.limit) else None,
        None if solved.furling is None else float(solved.furling.loaded.ends),
        [float(v) for v, fork in zip(solved.winds[:lasts], solved.operation.forked[:lasts], strict=True) if fork],
        list(values.system.figures.values()),
        values.system.sampling,
        float(solved.winds[lasts]) if lasts < len(solved.winds) else None,
        not has_battery(values.system.inputs()),
        enough.of_year(values.system),
    )
