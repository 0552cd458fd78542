"""Blades measured back and held against the sheet: mark by mark, and what the difference does to the machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from sqlmodel import Session

from calc.finding import WORST_FIRST, Finding, Status
from calc.machine.blade_limits import CHORD_TIMES, TURNED
from calc.machine.inputs import Inputs, Unknown
from calc.machine.measured_blade import (
    BladeRead,
    MarkRead,
    balance_from_scale,
    by_sheet,
    fitting,
    on_scale,
    push,
)
from calc.machine.rotor_curves import root_radius
from journal.book.on_blade import ANGLE, AT_MARK, CHORD, MASS, OF_BLADE, POINT, SCALE, cannot_be, place_on_blade
from journal.book.records import find_revision, records_on
from journal.book.tables import Measurement, Revision
from journal.errors import Refused
from journal.review import verdict
from journal.review.blades_on_scale import ScaledSet, scaled_set

if TYPE_CHECKING:
    from calc.machine.system import KeyFigure, System

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
#: How a blade is measured back.
_MEASURE_LIKE = 'Measure like: galebook measure blade.chord "92 mm" --where "blade a, 300 mm" --on {}'
#: As many readings as are tried one by one for what keeps the blades from being computed. Own choice.
_TRIED = 60


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
class SetAside:
    """A reading that is not used.

    Parameters
    ----------
    ref : str
        Its reference.
    why : str
        As it goes on after the reference and its place.
    do : tuple of str
        Commands that would put it right, best first; none where nothing is wrong with it.
    place, read : str
        Which blade and mark, as it was said, and what was read, as it was typed.
    accepted : str
        What would be plausible, where it cannot be.
    """

    ref: str
    why: str
    do: tuple[str, ...] = ()
    place: str = ""
    read: str = ""
    accepted: str = ""


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
    unused : list of SetAside
        Readings that are not used, and why.
    scale : ScaledSet
        All blades on the scale, as read or as the sheet has them.
    notes : list of str
        What the readings leave open, such as a blade of which nobody read anything.
    """

    revision: Revision
    blades: list[BladeRead]
    marks: list[AtMark]
    figures: list[tuple[KeyFigure, KeyFigure]]
    strength: list[Shifted]
    balance: list[Shifted]
    turned: list[Shifted]
    pushes: dict[str, float]
    unused: list[SetAside]
    scale: ScaledSet
    notes: list[str]


@dataclass
class _Reads:
    """Readings of one blade while they are sorted."""

    chords: dict[float, Measurement] = field(default_factory=dict)
    angles: dict[float, Measurement] = field(default_factory=dict)
    scales: dict[float, Measurement] = field(default_factory=dict)
    mass: Measurement | None = None
    point: Measurement | None = None


def measured_blades(session: Session, ref: str | None) -> MeasuredBlades:
    """Hold the blades of a revision that were measured against its sheet; without a reference, of the newest.

    Raises
    ------
    Refused
        If nothing was measured that could be used and the sheet has no blade weighed, or it does not tell the shape of
        its blades.
    """
    of = find_revision(session, ref)
    rows = [m for m in records_on(session, Measurement, of) if m.quantity in OF_BLADE and m.value is not None]
    x = verdict.opened(session, of).system.inputs()
    unused: list[SetAside] = []
    reads = _sorted([m for m in rows if not _odd(m, x, unused)], x, unused)
    reads = _computable(reads, x, unused)
    blades = _blades(reads, x, unused)
    if not blades and not any(b.mass or b.balance_point for b in on_scale(x, ())):
        raise _nothing(of, unused)
    marks = _marks(of, x, reads)
    return _computed(of, verdict.check(session, of.ref), blades, reads, marks, unused)


def _nothing(of: Revision, unused: Sequence[SetAside]) -> Refused:
    """Why there is nothing to compare, reading by reading, with what would put the first right."""
    why = "; ".join(f"{_called(a)} {a.why}" for a in unused) or "no blade was measured yet"
    like = _MEASURE_LIKE.format(of.ref)
    first = next((a for a in unused if a.do), None)
    do = f"{first.accepted and f'Accepted: {first.accepted}. '}{' or '.join(first.do)}" if first else like
    return Refused(f"Nothing of {of.ref} can be held against its sheet: {why}", do)


def _called(aside: SetAside) -> str:
    return f"{aside.ref} ({aside.place})" if aside.place else aside.ref


def _set_aside(m: Measurement, why: str, do: tuple[str, ...] = (), accepted: str = "") -> SetAside:
    return SetAside(m.ref, why, do, m.where or "", m.typed or "", accepted)


def _odd(m: Measurement, x: Inputs, unused: list[SetAside]) -> bool:
    """Set a reading aside that cannot be of a blade of this sheet, or does not say where it was taken."""
    away = f'galebook withdraw {m.ref} --because "..."'
    if m.quantity in AT_MARK and place_on_blade(m.where).radius(x) is None:
        say = f'galebook amend {m.ref} where="blade a, 300 mm" --because "..."'
        unused.append(_set_aside(m, "does not say how far from the shaft", (say,)))
        return True
    wrong = cannot_be(x, m.quantity, m.where, float(m.value or 0.0))
    if wrong is None:
        return False
    amend = f'galebook amend {m.ref} {wrong.field}="..." --because "..."'
    unused.append(_set_aside(m, f"cannot be: {wrong.what}", (amend, away), wrong.accepted))
    return True


def _sorted(rows: Sequence[Measurement], x: Inputs, unused: list[SetAside]) -> dict[str, _Reads]:
    """Readings by blade; the newest of one place counts."""
    reads: dict[str, _Reads] = {}
    for m in rows:
        place = place_on_blade(m.where)
        r = place.radius(x)
        of = reads.setdefault(place.blade, _Reads())
        before: Measurement | None
        if m.quantity in (MASS, POINT):
            name = "mass" if m.quantity == MASS else "point"
            before = getattr(of, name)
            setattr(of, name, m)
        else:
            at = {CHORD: of.chords, ANGLE: of.angles, SCALE: of.scales}[m.quantity]
            before = at.get(r or 0.0)
            at[r or 0.0] = m
        if before is not None:
            unused.append(_set_aside(before, f"was read again at the same place: {m.ref} counts"))
    return dict(sorted(reads.items()))


def _computable(reads: dict[str, _Reads], x: Inputs, unused: list[SetAside]) -> dict[str, _Reads]:
    """The readings without those that keep the blades from being computed, though each could be by itself.

    Of those without one of which the rest can be computed, the one that lies furthest from the sheet is set aside.
    """
    for _ in range(_TRIED):
        blades = _blades(reads, x, [])
        design = fitting(x, blades) if blades else None
        if not isinstance(design, Unknown):
            return reads
        off = [(abs(_share_off(m, r, x)), blade, r, m) for blade, of in reads.items()
               for at in (of.chords, of.angles) for r, m in at.items()]  # fmt: skip
        if not off:
            return reads
        cures = [o for o in off if not isinstance(fitting(x, _blades(_without(reads, o[3]), x, [])), Unknown)]
        _, _, _, m = max(cures or off, key=lambda o: (o[0], o[3].number))
        do = (f'galebook amend {m.ref} value="..." --because "..."',
              f'galebook withdraw {m.ref} --because "..."')  # fmt: skip
        unused.append(_set_aside(m, f"does not go with the others: {_small(design.why)}", do))
        reads = _without(reads, m)
    return reads


def _small(why: str) -> str:
    return why[:1].lower() + why[1:]


def _share_off(m: Measurement, r: float, x: Inputs) -> float:
    """By what share of what is plausible a reading lies off the sheet."""
    told = by_sheet(x, np.array([r]))
    if isinstance(told, Unknown):
        return 0.0
    read, (chord, twist) = float(m.value or 0.0), (float(column[0]) for column in told)
    return (read - twist) / TURNED if m.quantity == ANGLE else float(np.log(read / chord) / np.log(CHORD_TIMES))


def _without(reads: dict[str, _Reads], m: Measurement) -> dict[str, _Reads]:
    def kept(at: dict[float, Measurement]) -> dict[float, Measurement]:
        return {r: other for r, other in at.items() if other is not m}

    return {name: replace(of, chords=kept(of.chords), angles=kept(of.angles)) for name, of in reads.items()}


def _blades(reads: dict[str, _Reads], x: Inputs, unused: list[SetAside]) -> list[BladeRead]:
    blades = [_blade(name, of, x, unused) for name, of in reads.items()]
    return [b for b in blades if b.marks or b.mass is not None or b.balance_point is not None]


def _blade(name: str, of: _Reads, x: Inputs, unused: list[SetAside]) -> BladeRead:
    radii = sorted({*of.chords, *of.angles})
    marks = tuple(
        MarkRead(r, _value(of.chords.get(r)), _value(of.angles.get(r))) for r in radii
    )  # fmt: skip
    mass, point = _value(of.mass), _value(of.point)
    for r, m in of.scales.items():
        if point is not None:
            unused.append(_set_aside(m, "is not needed: where this blade balances is known"))
            continue
        if mass is None:
            where = f"blade {name}" if name else "..."
            say = f'galebook measure {MASS} "1.04 kg" --where "{where}"'
            unused.append(_set_aside(m, "needs the mass of the blade", (say,)))
            continue
        try:
            point = balance_from_scale(mass, float(m.value or 0.0), r, float(root_radius(x)))
        except ValueError as e:
            say = f'galebook amend {m.ref} value="..." --because "..."'
            unused.append(_set_aside(m, f"cannot be: {e}", (say, f'galebook withdraw {m.ref} --because "..."')))
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
                    raise Refused(f"{what}{lacks}", f"Complete the sheet: galebook missing {of.ref}")
                sheet = float(told[0 if quantity == CHORD else 1][0])
                value = float(m.value or 0.0)
                low, high = (value if v is None else v for v in (m.low, m.high))
                found.append(AtMark(m.ref, name, r, quantity, value, low, high, sheet))
    return found


def _notes(of: Revision, x: Inputs, blades: Sequence[BladeRead]) -> list[str]:
    """What the readings leave open: blades of which nothing was read, readings of more blades than there are."""
    count, names = int(x.rotor.blades), [b.name or "no name" for b in blades]
    if len(blades) > count:
        return [
            f"Readings name {len(blades)} blades ({', '.join(names)}), the sheet has {count}: one may be named twice."
        ]
    found = []
    if len(blades) > 1 and not all(b.name for b in blades):
        found.append("Some readings do not say of which blade: they are taken as one blade more.")
    shaped = len([b for b in blades if b.marks])
    balanced = len([b for b in on_scale(x, blades) if b.mass is not None and b.balance_point is not None])
    if not shaped:
        found.append(f"No blade was measured at its marks yet. {_MEASURE_LIKE.format(of.ref)}")
    elif shaped < count:
        found.append(f"Marks were read on {shaped} of {count} blades; the others are taken to be like these.")
    if 0 < balanced < count:
        found.append(f"{balanced} of {count} blades were weighed and balanced: balance needs all.")
    return found


def _computed(
    of: Revision,
    review: verdict.Review,
    blades: list[BladeRead],
    reads: dict[str, _Reads],
    marks: list[AtMark],
    unused: list[SetAside],
) -> MeasuredBlades:
    from calc.machine.system import System

    x = review.system.inputs()
    design = fitting(x, blades) if blades else x.design
    if isinstance(design, Unknown):
        raise Refused(f"The blades of {of.ref} as measured cannot be computed: {design.why}", "Look at the readings")
    plain = System(x.design)
    changed = System(design) if blades else plain
    before = _findings(plain)
    after = before if changed is plain else _findings(changed)
    strength = _strength(before, x, blades)
    told = {key for key in before if key[0].startswith(_STRENGTH)} | {(_BALANCE, "hub")}
    balance = _shifted(before, after, [key for key in {**before, **after} if key[0] == _BALANCE])
    turned = [s for s in _shifted(before, after, [k for k in before if k not in told and not before[k].of_reading])
              if s.old.status is not s.new.status]  # fmt: skip
    figures = [(plain.figures[n], changed.figures[n]) for n in FIGURES if n in plain.figures and n in changed.figures]
    scale = scaled_set(x, blades, {name: _refs(read) for name, read in reads.items()}, review.sheet, changed)
    return MeasuredBlades(
        of, blades, marks, figures if blades else [], strength, balance if scale.left is not None else [], turned,
        _pushes(x, blades), unused, scale, _notes(of, x, blades),
    )  # fmt: skip


def _refs(read: _Reads) -> tuple[str, str]:
    """From which readings mass and balance point are: that on an edge, else a scale under a mark."""
    point = read.point or (next(iter(read.scales.values()), None) if read.mass is not None else None)
    return "" if read.mass is None else read.mass.ref, "" if point is None else point.ref


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
