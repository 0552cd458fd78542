"""Blades measured back and held against the sheet: mark by mark, and what the difference does to the machine."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from sqlmodel import Session

from calc.finding import WORST_FIRST, Finding, Status
from calc.machine.inputs import Inputs, Unknown
from calc.machine.measured_blade import (
    BladeRead,
    MarkRead,
    balance_from_scale,
    by_sheet,
    fitting,
    push,
    weighed_values,
)
from calc.machine.rotor_curves import root_radius
from journal.book.plain_quantity import Wanted
from journal.book.quantity import parse
from journal.book.records import find_revision, records_on
from journal.book.tables import Measurement, Revision
from journal.errors import BadInput, Refused
from journal.review import verdict

if TYPE_CHECKING:
    from calc.machine.system import KeyFigure, System

CHORD, ANGLE, MASS = "blade.chord", "blade.gauge_angle", "blade.mass"
POINT, SCALE = "blade.balance_point", "blade.scale_at_mark"
READ = (CHORD, ANGLE, MASS, POINT, SCALE)
#: What the shape and mass of blades do to power, by the names of key figures.
FIGURES = (
    "best_power_coefficient", "best_tip_speed_ratio", "starting_wind", "charging_wind", "greatest_power",
    "yearly_energy", "free_speed",
)  # fmt: skip
#: Rules of strength that are asked of each blade, of which the worst counts.
_STRENGTH = ("blade.", "hub.bolts", "hub.plate", "hub.shaft")
_BALANCE = "hub.balance"
#: By how much a number must move for a finding that stays as it was to be told. Own choice.
_MOVED = 0.01
_FAR = Wanted("m", "mm", 0.005, 8.0, "300 mm")
_LENGTH = re.compile(r"(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in|ft|\"|inch(?:es)?)(?![\w²])", re.IGNORECASE)
_BLADE = re.compile(r"\bblade\s+(?:no\.?\s*|number\s+)?([\w-]{1,20})", re.IGNORECASE)
_LEADING = re.compile(r"^\s*([a-z]|\d{1,2})\s*(?:[,:;]|$)", re.IGNORECASE)


@dataclass(frozen=True)
class AtMark:
    """One quantity at one mark: read, and by the sheet; in SI."""

    ref: str
    blade: str
    r: float
    quantity: str
    read: float
    low: float
    high: float
    sheet: float

    @property
    def off(self) -> float:
        """Read less sheet."""
        return self.read - self.sheet

    @property
    def beyond_doubt(self) -> bool:
        """Whether the sheet's value lies outside the limits of the reading."""
        return not self.low <= self.sheet <= self.high


@dataclass(frozen=True)
class Shifted:
    """A finding with the sheet's blades and with the measured ones; of several blades the worst."""

    title: str
    old: Finding
    new: Finding
    blade: str = ""


@dataclass(frozen=True)
class MeasuredBlades:
    """What blades that were measured come to.

    Parameters
    ----------
    revision : Revision
        Whose.
    blades : list of BladeRead
        What was read of each.
    marks : list of AtMark
        Chord and angle, mark by mark, beside the sheet.
    figures : list of (KeyFigure, KeyFigure)
        What they do to power: by the sheet, and as measured.
    strength, balance, turned : list of Shifted
        What they do to strength and balance, and what else turns.
    pushes : dict of str to float
        Push of the wind on each blade if all were like it [N]; where they differ the rotor rocks once a turn.
    unused : list of (str, str)
        Readings that could not be used, and why.
    """

    revision: Revision
    blades: list[BladeRead]
    marks: list[AtMark]
    figures: list[tuple[KeyFigure, KeyFigure]]
    strength: list[Shifted]
    balance: list[Shifted]
    turned: list[Shifted]
    pushes: dict[str, float]
    unused: list[tuple[str, str]]


@dataclass
class _Reads:
    """Readings of one blade while they are sorted."""

    chords: dict[float, Measurement] = field(default_factory=dict)
    angles: dict[float, Measurement] = field(default_factory=dict)
    scales: dict[float, Measurement] = field(default_factory=dict)
    mass: Measurement | None = None
    point: Measurement | None = None


def place_of(where: str | None) -> tuple[str, float | None]:
    """Which blade and how far from the shaft, of what was said of where a reading was taken.

    Examples
    --------
    >>> place_of("blade b, 300 mm"), place_of("a: 0.3 m from the shaft"), place_of("at 300 mm"), place_of(None)
    (('b', 0.3), ('a', 0.3), ('', 0.3), ('', None))
    """
    told = where or ""
    named = _BLADE.search(told) or _LEADING.match(told)
    length = _LENGTH.search(told)
    far = None
    if length:
        try:
            far = parse(f"{length[1].replace(',', '.')} {length[2]}", _FAR, "Distance from the shaft").value
        except BadInput:
            far = None
    blade = named[1].casefold() if named and not (length and named.start(1) == length.start(1)) else ""
    return blade, None if far is None else round(float(far), 4)


def measured_blades(session: Session, ref: str | None) -> MeasuredBlades:
    """Hold the blades of a revision that were measured against its sheet; without a reference, of the newest.

    Raises
    ------
    Refused
        If nothing was measured that could be used, or the sheet does not tell the shape of its blades.
    """
    of = find_revision(session, ref)
    rows = [m for m in records_on(session, Measurement, of) if m.quantity in READ and m.value is not None]
    x = verdict.opened(session, of).system.inputs()
    blades, unused, reads = _sorted(rows, x)
    if not blades:
        why = f"{unused[0][0]} {unused[0][1]}" if unused else "no blade was measured yet"
        raise Refused(
            f"Nothing of {of.ref} can be held against its sheet: {why}",
            f'Measure like: galebook measure blade.chord "92 mm" --where "blade a, 300 mm" --on {of.ref}',
        )
    marks = _marks(of, x, reads)
    review = verdict.check(session, of.ref)
    return _computed(of, review, blades, marks, unused)


def _sorted(rows: Sequence[Measurement], x: Inputs) -> tuple[list[BladeRead], list[tuple[str, str]], dict[str, _Reads]]:
    """Readings by blade; the newest of one place counts."""
    reads: dict[str, _Reads] = {}
    unused: list[tuple[str, str]] = []
    for m in rows:
        blade, r = place_of(m.where)
        if m.quantity in (CHORD, ANGLE, SCALE) and r is None:
            say = f'galebook amend {m.ref} where="blade a, 300 mm"'
            unused.append((m.ref, f"does not say how far from the shaft: {say}"))
            continue
        of = reads.setdefault(blade, _Reads())
        if m.quantity == MASS:
            of.mass = m
        elif m.quantity == POINT:
            of.point = m
        elif r is not None:
            {CHORD: of.chords, ANGLE: of.angles, SCALE: of.scales}[m.quantity][r] = m
    blades = [_blade(name, of, x, unused) for name, of in sorted(reads.items())]
    return [b for b in blades if b.marks or b.mass is not None or b.balance_point is not None], unused, reads


def _blade(name: str, of: _Reads, x: Inputs, unused: list[tuple[str, str]]) -> BladeRead:
    radii = sorted({*of.chords, *of.angles})
    marks = tuple(
        MarkRead(r, _value(of.chords.get(r)), _value(of.angles.get(r))) for r in radii
    )  # fmt: skip
    mass, point = _value(of.mass), _value(of.point)
    for r, m in of.scales.items():
        if point is not None:
            continue
        if mass is None:
            unused.append((m.ref, f'needs the mass of the blade: galebook measure {MASS} "1.04 kg" --where ...'))
            continue
        try:
            point = balance_from_scale(mass, float(m.value or 0.0), r, float(root_radius(x)))
        except ValueError as e:
            unused.append((m.ref, f"cannot be: {e}"))
    return BladeRead(name, marks, mass, point)


def _value(m: Measurement | None) -> float | None:
    return None if m is None else m.value


def _marks(of: Revision, x: Inputs, reads: dict[str, _Reads]) -> list[AtMark]:
    found = []
    for name, read in sorted(reads.items()):
        for quantity, at in ((CHORD, read.chords), (ANGLE, read.angles)):
            for r, m in sorted(at.items()):
                told = by_sheet(x, np.array([r]))
                if isinstance(told, Unknown):
                    lacks = f": missing {', '.join(told.names)}" if told.missing else f": {told.why}"
                    what = f"{m.ref}, {r * 1e3:g} mm from the shaft, has nothing to be held against"
                    raise Refused(f"{what}{lacks}", f"Say where it was read: galebook amend {m.ref} where=...")
                sheet = float(told[0 if quantity == CHORD else 1][0])
                value = float(m.value or 0.0)
                low, high = (value if v is None else v for v in (m.low, m.high))
                found.append(AtMark(m.ref, name, r, quantity, value, low, high, sheet))
    return found


def _computed(
    of: Revision, review: verdict.Review, blades: list[BladeRead], marks: list[AtMark], unused: list[tuple[str, str]]
) -> MeasuredBlades:
    from calc.machine.system import System

    x = review.system.inputs()
    design = fitting(x, blades)
    if isinstance(design, Unknown):
        raise Refused(f"The blades of {of.ref} as measured cannot be computed: {design.why}", "Look at the readings")
    plain, changed = System(x.design), System(design)
    before, after = _findings(plain), _findings(changed)
    strength = _strength(before, x, blades)
    told = {key for key in before if key[0].startswith(_STRENGTH)} | {(_BALANCE, "hub")}
    balance = _shifted(before, after, [key for key in {**before, **after} if key[0] == _BALANCE])
    turned = [s for s in _shifted(before, after, [k for k in before if k not in told and not before[k].of_reading])
              if s.old.status is not s.new.status]  # fmt: skip
    a, b = plain.figures, changed.figures
    return MeasuredBlades(
        of, blades, marks, [(a[n], b[n]) for n in FIGURES if n in a and n in b], strength,
        balance if len(weighed_values(blades)) >= 2 * float(x.rotor.blades) else [], turned, _pushes(x, blades), unused,
    )  # fmt: skip


def _findings(system: System) -> dict[tuple[str, str], Finding]:
    from calc.rules import RULES, engine

    return {f.key: f for f in engine.judge_rules(RULES, system)}


def _shifted(
    before: dict[tuple[str, str], Finding], after: dict[tuple[str, str], Finding], keys: Sequence[tuple[str, str]]
) -> list[Shifted]:
    found = []
    for key in keys:
        new = after.get(key)
        if new is None:
            continue
        old = before.get(key, new)
        found.append(Shifted(verdict.headline(new), old, new))
    return found


def _strength(before: dict[tuple[str, str], Finding], x: Inputs, blades: Sequence[BladeRead]) -> list[Shifted]:
    """What strength the worst blade leaves, rule by rule."""
    from calc.machine.system import System
    from calc.rules import RULES, engine

    rules = [rule for rule in RULES if rule.id.startswith(_STRENGTH) and rule.id != _BALANCE]
    worst: dict[tuple[str, str], Shifted] = {}
    for b in blades:
        design = fitting(x, [b])
        if isinstance(design, Unknown):
            continue
        for f in engine.judge_rules(rules, System(design)):
            old = before.get(f.key)
            known = worst.get(f.key)
            if old is not None and (known is None or _worse(f, known.new)):
                worst[f.key] = Shifted(verdict.headline(f), old, f, b.name)
    return [s for s in worst.values() if _differs(s)]


def _worse(one: Finding, other: Finding) -> bool:
    a, b = WORST_FIRST.index(one.status), WORST_FIRST.index(other.status)
    return a < b or (a == b and one.margin is not None and other.margin is not None and one.margin < other.margin)


def _differs(s: Shifted) -> bool:
    if s.old.status is not s.new.status:
        return True
    if s.old.value is None or s.new.value is None or s.new.status is Status.UNKNOWN:
        return False
    return abs(s.new.value - s.old.value) > _MOVED * max(abs(s.old.value), 1e-12)


def _pushes(x: Inputs, blades: Sequence[BladeRead]) -> dict[str, float]:
    """Push on each blade, where more than one has its shape measured."""
    shaped = [b for b in blades if b.marks]
    if len(shaped) < 2:
        return {}
    found: dict[str, float] = {}
    for b in shaped:
        design = fitting(x, [b])
        force = design if isinstance(design, Unknown) else push(Inputs(design, None, {}))
        if isinstance(force, Unknown):
            return {}
        found[b.name] = force
    return found
