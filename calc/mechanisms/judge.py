"""Mechanisms held against the numbers: verdicts, evidence, and the measurement that would separate two of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.inputs import CannotTellError, Unknown
from calc.machine.site import over_winds
from calc.machine.solving import Solved
from calc.machine.system import System
from calc.mechanisms.base import (
    ENOUGH,
    LOADED,
    OPEN,
    Case,
    CaseReading,
    Circumstances,
    Correction,
    Indication,
    Mechanism,
    Telling,
    Verdict,
)
from calc.mechanisms.instruments import INSTRUMENT_FOR
from calc.physics import generator
from calc.quantities import QUANTITIES
from calc.rules.phrases import inside, not_stated
from calc.units import Num, show, to_shown
from calc.wording import with_article

#: Readings from which on their winds are solved together. Own choice.
MANY = 8
#: Said before anybody reads a voltage with nothing connected in the wind.
UNLOADING = (
    "A rotor unloaded in the wind runs away. Read this with the rotor tied and the generator spun "
    "by hand or by a drill, never on a mast."
)


@dataclass(frozen=True, slots=True)
class ReadingEvidence:
    """One reading beside a mechanism: ``leans`` is ``for``, ``against`` or ``neither``."""

    label: str
    leans: str
    says: str


@dataclass(frozen=True, slots=True)
class JudgedMechanism:
    """What the numbers say of one mechanism.

    Parameters
    ----------
    id, title : str
        The mechanism.
    verdict : Verdict
        Supported or contradicted only where :data:`calc.mechanisms.base.ENOUGH` of the samples agree.
    explains : tuple of str
        Symptoms of this failure that it explains.
    says : str
        One sentence with figures, or why nothing can be said.
    value, limit : float or None
        What was judged and from where on it speaks for the mechanism, in ``unit``.
    what : str
        What the value is.
    unit : str
        Unit of both.
    low, high : float or None
        Between what limits 90 of 100 samples put the value.
    supports, contradicts : float or None
        Shares of the samples.
    strength : float
        Mean of how strongly they speak, -1 to 1.
    evidence : tuple of ReadingEvidence
        Readings that say something of it.
    tells : tuple of str
        Measurements that would speak for or against it.
    corrections, look, sources, assumptions, missing : tuple of str, or str
        What answers it, what the eye can find, where the limits come from, what was assumed, names not on the sheet.
    belief : float or None
        Share of belief beside all others, 0 to 1; None where they were not weighed beside each other.
    because : tuple of str
        What was read or looked at that moved that share.
    """

    id: str
    title: str
    verdict: Verdict
    explains: tuple[str, ...]
    says: str
    what: str
    value: float | None
    limit: float | None
    unit: str
    low: float | None
    high: float | None
    supports: float | None
    contradicts: float | None
    strength: float
    evidence: tuple[ReadingEvidence, ...]
    tells: tuple[str, ...]
    corrections: tuple[str, ...]
    look: str
    sources: tuple[str, ...]
    assumptions: tuple[str, ...]
    missing: tuple[str, ...]
    belief: float | None = None
    because: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SeparatingMeasurement:
    """The cheapest measurement whose values, as two mechanisms would have them, do not overlap."""

    quantity: str
    meaning: str
    instrument: str
    load: str
    first: str
    second: str
    says: str
    caution: str


@dataclass(frozen=True, slots=True)
class FailedMachine:
    """One failed machine in the circumstances of its failure, laid out for judging."""

    system: System
    circumstances: Circumstances

    @property
    def plain(self) -> Case:
        """The sheet as it stands, with nothing yet looked at."""
        return Case(self.system.inputs(), self.circumstances)

    @property
    def many(self) -> Case:
        """The samples of its doubts; the sheet itself where there are none."""
        return Case(self.system.drawn() or self.system.inputs(), self.circumstances)


def judge_mechanisms(failed: FailedMachine, mechanisms: Iterable[Mechanism]) -> list[JudgedMechanism]:
    """Hold mechanisms against the numbers, the likeliest first.

    Parameters
    ----------
    failed : FailedMachine
        The failed machine.
    mechanisms : iterable of Mechanism
        Which; those that cannot happen to this design are left out.

    Returns
    -------
    judged : list of JudgedMechanism
        Supported ones first, then those that the numbers leave open, then contradicted ones; within each, those
        that explain more of the symptoms first, then by strength.
    """
    rows = [_one(failed, m) for m in mechanisms if m.applies(failed.system.inputs())]
    order = list(Verdict)
    return sorted(rows, key=lambda w: (order.index(w.verdict), -len(w.explains), w.supports is None, -w.strength))


def _one(failed: FailedMachine, m: Mechanism) -> JudgedMechanism:
    case, many = failed.plain, failed.many
    found, sampled = _indicated(m, case), _indicated(m, many)
    evidence = tuple(e for t in m.tells for e in _evidence(case, many, t))
    says, value, limit, unit = _sentence(found, m), None, None, ""
    share: tuple[float, float] | None = None
    strength, low, high = 0.0, None, None
    if isinstance(found, Indication):
        speaks = np.asarray(found.speaks if isinstance(sampled, Unknown) else sampled.speaks, dtype=float)
        share = float(np.mean(speaks > 0)), float(np.mean(speaks < 0))
        strength = float(np.mean(speaks))
        if isinstance(sampled, Indication) and sampled.value is not None:
            low, high = _ends(sampled.value, found.unit)
        value, limit, unit = _number(found.value, found.unit), _number(found.limit, found.unit), found.unit
    return JudgedMechanism(
        id=m.id,
        title=m.title,
        verdict=_verdict(share, evidence),
        explains=tuple(s for s in case.c.symptoms if s in m.symptoms),
        says=says,
        what=found.what if isinstance(found, Indication) else "",
        value=value,
        limit=limit,
        unit=unit,
        low=low,
        high=high,
        supports=share[0] if share else None,
        contradicts=share[1] if share else None,
        strength=strength,
        evidence=evidence,
        tells=tuple(measurement_text(t) for t in m.tells),
        corrections=tuple(_corrected(c) for c in m.corrections),
        look=m.look,
        sources=tuple(str(s) for s in m.sources),
        assumptions=tuple(f"{entry.meaning}: {entry.text(v)} ({why})" for entry, v, why in case.x.used.values() if why),
        missing=found.names if isinstance(found, Unknown) else (),
    )


def _indicated(m: Mechanism, case: Case) -> Indication | Unknown:
    try:
        return m.indicate(case)
    except CannotTellError as e:
        return e.unknown


def _verdict(share: tuple[float, float] | None, evidence: tuple[ReadingEvidence, ...]) -> Verdict:
    if share is None:
        # Where the sheet tells nothing, readings may.
        leans = {e.leans for e in evidence} - {"neither"}
        return {frozenset({"for"}): Verdict.SUPPORTED, frozenset({"against"}): Verdict.CONTRADICTED}.get(
            frozenset(leans), Verdict.CANNOT_TELL
        )
    if share[0] >= ENOUGH:
        return Verdict.SUPPORTED
    return Verdict.CONTRADICTED if share[1] >= ENOUGH else Verdict.CANNOT_TELL


def _corrected(c: Correction) -> str:
    return c.what + (f" ({', '.join(e.full for e in c.changes)})" if c.changes else "")


def _sentence(found: Indication | Unknown, m: Mechanism) -> str:
    if isinstance(found, Indication):
        return found.says()
    if found.why:
        return found.why.rstrip(".") + "."
    lacking = not_stated(found.missing)
    return f"{lacking[0].upper()}{lacking[1:]}."


def _ends(value: Num, unit: str) -> tuple[float | None, float | None]:
    ends = np.percentile(np.nan_to_num(np.asarray(value, dtype=float), posinf=1e9), [5, 95])
    shown = sorted(n for n in (_number(float(end), unit) for end in ends) if n is not None)
    return (shown[0], shown[1]) if len(shown) == 2 and shown[1] < 1e8 else (None, None)


def _number(value: Num | None, unit: str) -> float | None:
    if value is None:
        return None
    number = float(np.asarray(to_shown(cast(Num, np.asarray(value, dtype=float)[()]), unit)))
    return number if np.isfinite(number) else None


def measurement_text(t: Telling) -> str:
    """A measurement that tells, in one line."""
    q = QUANTITIES[t.quantity]
    load = f", {_with(t.loads)}" if t.loads else ""
    return f"{q.meaning}{load} ({INSTRUMENT_FOR[t.quantity]}): for it, {t.supports}; against it, {t.contradicts}"


def _with(loads: tuple[str, ...]) -> str:
    return "nothing connected" if loads == OPEN else "battery connected" if loads == LOADED else " or ".join(loads)


def as_designed(case: Case, quantity: str, loads: tuple[str, ...] = ()) -> Num | None:
    """What a sound machine of this sheet shows of a quantity in the circumstances, in SI; None where unknown."""
    x = case.x
    if quantity == "generator.resistance":
        return x.maybe(Sheet.generator.winding_resistance)
    if quantity == "generator.emf":
        k, form, phases = (
            x.maybe(Sheet.generator.emf_constant),
            x.maybe(Sheet.generator.emf_form),
            x.maybe(Sheet.generator.phases),
        )
        return None if k is None else generator.emf_rectified(k, str(form), str(phases))
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown) or V is None:
        return None
    if quantity == "generator.open_voltage" or (quantity == "rotor.speed" and loads == OPEN):
        omega, volts = solved.unloaded(over_winds(np.broadcast_to(V, solved.machine.variants)))
        return np.asarray(omega if quantity == "rotor.speed" else volts)[..., 0]
    if loads != LOADED and case.c.load not in LOADED:
        return None
    points = solved.at(np.broadcast_to(V, solved.machine.variants))
    found = {
        "rotor.speed": points.omega, "charge.current": points.current, "charge.power": points.charge,
        "cable.drop": points.current * solved.machine.R_c,
    }  # fmt: skip
    return found.get(quantity)


def _range(low: Num, high: Num) -> tuple[float, float]:
    """Where 95 of 100 samples lie."""
    return float(np.percentile(low, 2.5)), float(np.percentile(high, 97.5))


def _designed_range(case: Case, key: tuple[str, tuple[str, ...]]) -> tuple[float, float] | None:
    value = as_designed(case, *key)
    return None if value is None else _range(value, value)


def _work_range(case: Case, t: Telling) -> tuple[float, float] | None:
    found = None if t.expects is None else t.expects(case)
    if found is None:
        return None
    low, high = _range(*found)
    return (low, high) if low <= high else None


def _evidence(plain: Case, many: Case, t: Telling) -> list[ReadingEvidence]:
    rows, read = [], plain.readings(t.quantity, t.loads, since=t.since)
    if len(read) > MANY:
        _solve_ahead(many, read)
    for r in read:
        case = many.but(wind_low=r.wind_low, wind_high=r.wind_high, load=r.load)
        at_work, sound = _work_range(case, t), _designed_range(case, t.key)
        if at_work is not None or sound is not None:
            rows.append(_leaning(r, t, at_work, sound))
    return rows


def _solve_ahead(many: Case, read: list[CaseReading]) -> None:
    """Solve the winds of many readings at once."""
    solved = many.solved()
    if isinstance(solved, Solved):
        winds = (many.but(wind_low=r.wind_low, wind_high=r.wind_high, load=r.load).wind for r in read)
        solved.ahead(over_winds(np.broadcast_to(V, solved.machine.variants)) for V in winds if V is not None)


def _leaning(
    r: CaseReading, t: Telling, at_work: tuple[float, float] | None, sound: tuple[float, float] | None
) -> ReadingEvidence:
    q = QUANTITIES[t.quantity]
    fits, fits_sound = (band is not None and r.low <= band[1] and r.high >= band[0] for band in (at_work, sound))
    leans = "neither"
    if at_work is not None:
        leans = "against" if not fits else "for" if sound is not None and not fits_sound else "neither"
    read = "was read" if r.count == 1 else f"is the middle of {r.count} readings"
    words = [f"{q.meaning}: {show(r.value, q.shown)} {read}"]
    if at_work is not None:
        words.append(f"{value_span(at_work, q.shown)} if it were so")
    if sound is not None:
        words.append(f"{value_span(sound, q.shown)} if not")
    return ReadingEvidence(r.label, leans, ", ".join(words) + ".")


def value_span(band: tuple[float, float], unit: str, digits: int = 2) -> str:
    """Between what limits a value lies, in words."""
    low, high = band
    if not np.isfinite(high) or high >= 1e6:
        return f"{show(low, unit)} or more"
    if low <= 0 and unit != "degC":
        # What is shown the other way up has no upper end where the value itself goes to nothing.
        return f"{show(high, unit)} or {'more' if unit == 'rpm/V' else 'less'}"
    ends = sorted((float(to_shown(low, unit)), float(to_shown(high, unit))))
    if show(low, unit, digits) == show(high, unit, digits):
        return f"about {show(low, unit, digits)}"
    turned = to_shown(low, unit) != ends[0]
    first, second = (show(v, unit, digits) for v in ((high, low) if turned else (low, high)))
    return f"{first} to {second}"


def separating_measurement(failed: FailedMachine, first: Mechanism, second: Mechanism) -> SeparatingMeasurement | None:
    """The cheapest measurement that would tell two mechanisms apart; None where none of theirs does.

    Parameters
    ----------
    failed : FailedMachine
        The failed machine.
    first, second : Mechanism
        Two that are still open.

    Returns
    -------
    separating : SeparatingMeasurement or None
        Only one whose computed ranges do not overlap, and which has not been read on this revision yet.
    """
    tells = sorted((*first.tells, *second.tells), key=lambda t: t.cost)
    plain, case = failed.plain, failed.many
    for t in tells:
        if plain.readings(t.quantity, t.loads, since=True):
            continue
        one, other = _predicts(case, first, t), _predicts(case, second, t)
        if one is None or other is None or (one[0] <= other[1] and other[0] <= one[1]):
            continue
        q = QUANTITIES[t.quantity]
        caution = UNLOADING if t.loads == OPEN or t.quantity == "generator.open_voltage" else ""
        return SeparatingMeasurement(
            quantity=q.name,
            meaning=q.meaning,
            instrument=INSTRUMENT_FOR[q.name],
            load=_with(t.loads) if t.loads else "",
            first=value_span(one, q.shown),
            second=value_span(other, q.shown),
            says=(
                f"{q.meaning}{f', {_with(t.loads)}' if t.loads else ''}, with {with_article(INSTRUMENT_FOR[q.name])}: "
                f"{value_span(one, q.shown)} would point to “{inside(first.title)}”, {value_span(other, q.shown)} to "
                f"“{inside(second.title)}”."
            ),
            caution=caution,
        )
    return None


def _predicts(case: Case, m: Mechanism, t: Telling) -> tuple[float, float] | None:
    own = next((o for o in m.tells if o.key == t.key and o.expects is not None), None)
    if own is not None:
        return _work_range(case, own)
    return _designed_range(case, t.key) if t.quantity in m.leaves else None
