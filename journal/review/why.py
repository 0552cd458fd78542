"""Why it failed: what the numbers say beside what the builder believes, and what to measure next. Never a proof."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from itertools import combinations
from typing import Any

from sqlmodel import Session, col, select

from calc.machine.inputs import Inputs
from calc.mechanisms import MECHANISMS, explaining, logged
from calc.mechanisms.base import (
    FUSE,
    Circumstances,
    Mechanism,
    Note,
    Verdict,
    wind_at_rotor,
)
from calc.mechanisms.by_rule import mechanisms_of_rule
from calc.mechanisms.judge import (
    FailedMachine,
    JudgedMechanism,
    SeparatingMeasurement,
    separating_measurement,
)
from calc.mechanisms.look import LookPlace
from calc.mechanisms.sayings import told_odds
from calc.mechanisms.stepping import EVERYWHERE, OVER, Inquiry, next_steps
from calc.mechanisms.urgent import first_of_all, places_left
from calc.mechanisms.verdicts import judged_causes
from calc.mechanisms.words import SYMPTOMS, mechanism_meant
from calc.quantities import LOAD_STATES
from calc.wording import number_of
from journal.book import attachments, failures, observations, sheet
from journal.book.days import earliest, latest
from journal.book.names import BETWEEN, symptoms_named
from journal.book.records import find_record, get_record, records_on, standing_record
from journal.book.tables import Attempt, Cause, Evidence, Failure, LoggerFile, Measurement, Revision
from journal.book.written import read_wind, when, word
from journal.review import kept, verdict
from journal.review.loop import loop
from journal.review.wording import range_text

#: How sure anybody should be, by the best evidence there is. A proposal of our own, published by nobody.
GRADES: dict[str, tuple[float, str]] = {
    "E0": (0.30, "a guess, or what somebody said"),
    "E1": (0.50, "seen by eye, no record made at the time"),
    "E2": (0.70, "a note, photo or part kept from the time"),
    "E3": (0.85, "an instrument's reading, and the calculation agrees"),
    "E4": (0.95, "made to happen again, or taken away and put back"),
}
#: Less sure than this while no rival was looked at, and than that where the numbers contradict.
NO_RIVALS, CONTRADICTED = 0.60, 0.20
#: How many times likelier what was told makes a mechanism that is weighed though the symptom does not name it, and the
#: share of belief from which on such a one is shown. Own choice.
TOLD, LIKELY = 3.0, 0.05
_HEARSAY = re.compile(r"\b(said|says|told|heard|read somewhere|they say|guess)\b", re.IGNORECASE)
#: Words that say of the moment itself that nothing was connected; "unloaded" alone may tell of anything.
_FREED = re.compile(
    r"\bunloaded (rotor|machine|generator|turbine)\b|\b(ran|running|spun|turned|turning) unloaded\b|"
    r"\b(with|had|having) (nothing|no load) (was )?(connected|on it)\b|\bwith no load\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Belief:
    """A cause that somebody believed, beside what the numbers say of it.

    Parameters
    ----------
    number : int
        As ``galebook show`` tells it.
    cause : Cause
        The builder's word.
    mechanism, taken : str or None
        What it was held to mean, and how that is known.
    weighed : Weighed or None
        The numbers' word; None where the cause means no known mechanism.
    explains : bool
        Whether that mechanism explains any of the symptoms.
    grade, cap, advice : str, float, str
        Grade of the evidence, the confidence that it allows, and what to say where the builder is surer.
    """

    number: int
    cause: Cause
    mechanism: str | None
    taken: str
    weighed: JudgedMechanism | None
    explains: bool
    grade: str
    cap: float
    advice: str


@dataclass(frozen=True)
class Pair:
    """Two causes at once, by their ids, and the share of belief of both."""

    names: tuple[str, str]
    belief: float


@dataclass(frozen=True)
class WorkedOut:
    """What was worked out of one failure: mechanisms, steps, and pairs of causes."""

    judged: list[JudgedMechanism]
    steps: list[Inquiry]
    pairs: list[Pair]
    usual: tuple[str, ...] = ()


@dataclass(frozen=True)
class Why:
    """What the numbers say of one failure.

    Parameters
    ----------
    failure, revision : Failure, Revision
        What failed.
    symptoms, taken : tuple of str, str
        What it is taken to look like, and from where; no symptom where none is known, for then all are weighed.
    conditions : tuple of str
        What is known of the moment, as it was taken.
    ranked : list of Weighed
        Every mechanism that could explain the symptoms, the likeliest first.
    beliefs : list of Belief
        The builder's causes, in order.
    rivals : tuple of str
        The two that lead, by title.
    next_measurement : Separating or None
        What would separate them.
    look : list of str
        What the eye can find, for the two.
    on : str
        Day of the calculation.
    next_steps : list of Inquiry
        What to look at or read next, what tells most for its cost first; none of a failure that is closed.
    pairs : list of Pair
        Two causes at once, where these explain what was read better than each alone.
    open : bool
        Whether anything is still to be found out or done about it.
    at_work : bool
        Whether the machine stands and runs, so that it can be watched.
    first : tuple of str
        What must be done before anything else, where what was told is a danger.
    usual : tuple of str
        What the sheet lacked to be solved, and was taken as such machines usually have it.
    places : frozenset of LookPlace
        Where somebody may look.
    """

    failure: Failure
    revision: Revision
    symptoms: tuple[str, ...]
    taken: str
    conditions: tuple[str, ...]
    ranked: list[JudgedMechanism]
    beliefs: list[Belief]
    rivals: tuple[str, ...]
    next_measurement: SeparatingMeasurement | None
    look: list[str]
    on: str
    next_steps: list[Inquiry] = field(default_factory=list)
    pairs: list[Pair] = field(default_factory=list)
    open: bool = True
    at_work: bool = True
    first: tuple[str, ...] = ()
    usual: tuple[str, ...] = ()
    places: frozenset[LookPlace] = EVERYWHERE


def explain(
    session: Session,
    ref: str,
    *,
    symptoms: Sequence[str] = (),
    load: str | None = None,
    wind: str | None = None,
) -> Why:
    """Hold every mechanism that could explain a failure, and every cause believed of it, against the numbers.

    Parameters
    ----------
    ref : str
        The failure, such as ``F1``.
    symptoms : sequence of str, optional
        What it looked like, in words of :data:`calc.mechanisms.words.SYMPTOMS`; else as its builder said, or as is
        heard in the failure's words. With none known every mechanism is weighed.
    load, wind : str, optional
        What was connected, and the wind at the rotor, at the moment; else as in the attempt.

    Raises
    ------
    BadInput
        If a symptom, a load or a wind that was given cannot be used.
    """
    failure = find_record(session, ref, Failure)
    of: Revision = get_record(session, Revision, failure.revision_id)
    (seen, taken), values = _symptoms(failure, symptoms), verdict.opened(session, of)
    circumstances, conditions = _circumstances(session, failure, values, seen or SYMPTOMS, load, wind)
    bench = FailedMachine(values.system, circumstances)
    meant = {number: (c, *_meant(c)) for number, c in failures.numbered_causes(session, failure).items()}
    once, stands, open_ = _keeping(values, circumstances, of), _stands(session, of), _open(session, failure)
    first, places = _first(circumstances.told, going_on=stands and open_)
    found = _worked_out(once, bench, [key for _, key, _ in meant.values() if key], stands, first, places)
    weighed = {w.id: w for w in found.judged}
    ranked = [w for w in weighed.values() if w.explains or (w.belief or 0.0) >= LIKELY]
    rivals = _rivals(ranked, seen[:1]) if open_ else []
    return Why(
        failure=failure,
        revision=of,
        symptoms=seen,
        taken=taken,
        conditions=conditions,
        usual=found.usual,
        ranked=ranked,
        beliefs=[_belief(session, failure, n, *of_cause, weighed, len(meant)) for n, of_cause in meant.items()],
        rivals=tuple(m.title for m in rivals[:2]),
        next_measurement=once(SeparatingMeasurement | None, _ids(rivals), partial(_separating, bench, rivals)),
        look=[f"{m.title}: {m.look}" for m in rivals[:2] if m.look],
        on=when("today"),
        next_steps=found.steps if open_ else [],
        pairs=found.pairs,
        open=open_,
        at_work=stands and not first and not OVER & set(seen),
        first=first,
        places=places,
    )


def _open(session: Session, failure: Failure) -> bool:
    return bool(loop(session, failure).next_step)


def _first(told: str, *, going_on: bool) -> tuple[tuple[str, ...], frozenset[LookPlace]]:
    """What must be done before anything else, and where somebody may look then."""
    first = first_of_all(told) if going_on else ()
    return first, places_left(told) if first else EVERYWHERE


def _ids(mechanisms: Sequence[Mechanism]) -> tuple[str, ...]:
    return tuple(m.id for m in mechanisms)


def _wanted(seen: tuple[str, ...], told: str, meant: list[str]) -> tuple[str, ...]:
    """Mechanisms to be weighed: those that explain what was seen, those that the words speak of, those believed."""
    spoken = [key for key, odds in told_odds(told).items() if odds >= TOLD and key in MECHANISMS]
    return tuple(dict.fromkeys([*(m.id for m in explaining(seen)), *spoken, *meant]))


def _worked_out(
    once: Callable[..., Any],
    bench: FailedMachine,
    believed: list[str],
    stands: bool,
    first: tuple[str, ...],
    places: frozenset[LookPlace],
) -> WorkedOut:
    wanted = _wanted(bench.circumstances.symptoms, bench.circumstances.told, believed)
    work = partial(_found, bench, [MECHANISMS[key] for key in wanted], stands, places)
    found: WorkedOut = once(WorkedOut, (*wanted, *(() if stands else ("gone",)), *first), work)
    return found


def _stands(session: Session, of: Revision) -> bool:
    """Whether no later revision was built in its place."""
    later = select(Revision.id).where(
        Revision.build_id == of.build_id, Revision.number > of.number, col(Revision.frozen_at).is_not(None)
    )
    return session.exec(later.limit(1)).first() is None


def _found(
    bench: FailedMachine, mechanisms: Sequence[Mechanism], stands: bool, places: frozenset[LookPlace]
) -> WorkedOut:
    judged, beliefs = judged_causes(bench, mechanisms)
    c = bench.circumstances
    steps = next_steps(
        beliefs, bench.system.inputs(), c.symptoms, [k.name for k in c.looks], stands=stands, places=places
    )
    pairs = [Pair(names, share) for names, share in beliefs.pairs if share >= LIKELY]
    return WorkedOut(judged, steps, pairs, beliefs.put_in)


def _separating(bench: FailedMachine, rivals: Sequence[Mechanism]) -> SeparatingMeasurement | None:
    """The reading that tells two of the leaders apart, the foremost first, where there are two."""
    found = (separating_measurement(bench, a, b) for a, b in combinations(rivals, 2))
    return next((one for one in found if one is not None), None)


def _keeping(values: sheet.RevisionSheet, circumstances: Circumstances, of: Revision) -> Callable[..., Any]:
    """What computes something of a failure: of a frozen revision once for all, of a draft each time."""

    def once(kind: Any, about: tuple[str, ...], judge: Callable[[], Any]) -> Any:
        return kept.once(kind, (values.key, circumstances, str(kind), about), judge) if of.frozen_at else judge()

    return once


def _symptoms(failure: Failure, given: Sequence[str]) -> tuple[tuple[str, ...], str]:
    if given:
        return tuple(symptoms_named(BETWEEN.join(given)).split(BETWEEN)), "as you said"
    found, said = failures.heard_symptoms(failure)
    if said:
        return found, "as you said"
    if found:
        return found, "from your words; say otherwise with --symptom"
    return (), (
        "your words leave it open, so all that can fail is weighed; say what it looked like with --symptom, or "
        f"once for all with galebook amend {failure.ref} symptoms=..."
    )


def _circumstances(
    session: Session,
    failure: Failure,
    values: sheet.RevisionSheet,
    seen: tuple[str, ...],
    load: str | None,
    wind: str | None,
) -> tuple[Circumstances, tuple[str, ...]]:
    attempt: Attempt | None = standing_record(session, Attempt, failure.attempt_id)
    low, high, wind_said = _wind(values.system.inputs(), attempt, wind)
    connected, load_said = _load(session, failure, attempt, load)
    began = earliest(attempt.began if attempt else failure.happened)
    hours = _hours(attempt)
    conditions = (
        wind_said,
        load_said,
        *((f"It went on for about {number_of(round(hours), 'hour')}.",) if hours else ()),
    )
    earlier = tuple(
        t.reading.ref
        for t in values.told
        if t.last < began and (attempt is None or t.reading.attempt_id != attempt.key)
    )
    written = [f.last_at for f in records_on(session, LoggerFile, get_record(session, Revision, failure.revision_id))]
    if written and max(written)[:10] < began:
        # What a logger wrote until then tells of the machine before it failed.
        earlier += (logged.LABEL,)
    told = " ".join(filter(None, (failure.saw, failure.effect, failure.item, attempt.did if attempt else None)))
    looks = observations.case_looks(session, failure)
    notes = _notes(session, failure.revision_id, values)
    return Circumstances(low, high, connected, seen, hours, earlier, looks, notes, told), conditions


def _notes(session: Session, revision: int, values: sheet.RevisionSheet) -> tuple[Note, ...]:
    """How the readings were taken: in which attempt, on the bench or not, and where."""
    known = {t.reading.ref: t.reading for t in values.told}
    if not known:
        return ()
    tried = {a.key: a for a in session.exec(select(Attempt).where(Attempt.revision_id == revision))}
    rows = session.execute(
        select(Measurement.number, Measurement.where, Measurement.conditions).where(Measurement.revision_id == revision)
    )
    said = {f"{Measurement.letter}{number}": (where or "", conditions or "") for number, where, conditions in rows}
    notes = []
    for ref, m in known.items():
        attempt = tried.get(m.attempt_id) if m.attempt_id is not None else None
        where, conditions = said.get(ref, ("", ""))
        bench = (attempt is not None and attempt.kind == "bench test") or (attempt is None and m.wind_low is None)
        notes.append(Note(ref, attempt.ref if attempt else "", bench, where, "inverter" in conditions))
    return tuple(notes)


def _wind(x: Inputs, attempt: Attempt | None, wind: str | None) -> tuple[float | None, float | None, str]:
    if wind is not None:
        read = read_wind(wind)
        low, high = (wind_at_rotor(x, read[name], read["wind_height"]) for name in ("wind_low", "wind_high"))
        return low, high, f"Wind: {read['wind']}, as you said."
    if attempt is None or attempt.wind_low is None or attempt.wind_high is None:
        return None, None, "Wind: not on record; give it with --wind."
    low, high = (wind_at_rotor(x, V, attempt.wind_height) for V in (attempt.wind_low, attempt.wind_high))
    if low is None or high is None:
        return None, None, f"Wind: {attempt.wind} in {attempt.ref}, too near such ground to tell of that at the rotor."
    how = f", {attempt.wind_how}" if attempt.wind_how else ""
    return low, high, f"Wind: {attempt.wind} in {attempt.ref}{how}; {range_text(low, high, 'm/s')} at the rotor."


def _load(session: Session, failure: Failure, attempt: Attempt | None, load: str | None) -> tuple[str, str]:
    if load is not None:
        connected = word(load, LOAD_STATES, "Load") or "not known"
        return connected, f"Connected: {connected}, as you said."
    earlier: Failure | None = standing_record(session, Failure, failure.caused_by_id)
    if earlier is not None and FUSE in failures.heard_symptoms(earlier)[0]:
        return "nothing connected", f"Connected: nothing, because {earlier.ref} came first; say otherwise with --load."
    if attempt is not None and attempt.load_state:
        return attempt.load_state, f"Connected: {attempt.load_state}, as in {attempt.ref}."
    if _FREED.search(failure.saw):
        return "nothing connected", "Connected: nothing, from your words; say otherwise with --load."
    return "not known", "Connected: not on record; give it with --load."


def _hours(attempt: Attempt | None) -> float | None:
    if attempt is None:
        return None
    if attempt.hours is not None:
        return attempt.hours
    if attempt.ended is None:
        return None
    # Of vague days those that lie closest: it went on for as long at least.
    days = (date.fromisoformat(earliest(attempt.ended)) - date.fromisoformat(latest(attempt.began))).days
    return 24.0 * max(days, 0) or None


def _meant(cause: Cause) -> tuple[str | None, str]:
    """The mechanism of a cause and how that is known: as was said, by the rule that was named, or from the words."""
    if cause.mechanism in MECHANISMS:
        return cause.mechanism, "as you said"
    key = mechanism_meant(cause.what, MECHANISMS)
    by_rule = [k for k in mechanisms_of_rule(cause.rule) if k in MECHANISMS]
    if by_rule and key not in by_rule:
        return by_rule[0], f"by the rule that you named, {cause.rule}"
    return key, "from your words; say otherwise with galebook cause ... --mechanism" if key else ""


def _rivals(ranked: list[JudgedMechanism], first: tuple[str, ...]) -> list[Mechanism]:
    """The few that lead among those that explain what was seen first, or of all where that is not known."""
    open_ = [w for w in ranked if w.verdict is not Verdict.CONTRADICTED and set(first) <= set(w.explains)]
    return [MECHANISMS[w.id] for w in open_[:4]]


def _belief(
    session: Session,
    failure: Failure,
    number: int,
    cause: Cause,
    key: str | None,
    how: str,
    weighed: dict[str, JudgedMechanism],
    count: int,
) -> Belief:
    found = weighed.get(key or "")
    grade = _grade(session, failure, cause, found)
    cap, why = GRADES[grade][0], f"the evidence is {GRADES[grade][1]}"
    if count < 2 and cap > NO_RIVALS:
        cap, why = NO_RIVALS, "no other cause was considered"
    if found is not None and found.verdict is Verdict.CONTRADICTED and cap > CONTRADICTED:
        cap, why = CONTRADICTED, "the numbers speak against it"
    advice = ""
    if cause.standing != "rejected" and cause.sure is not None and cause.sure > cap + 1e-9:
        advice = f"You are {cause.sure:.0%} sure; as long as {why}, more than {cap:.0%} is hard to justify."
        if cap != CONTRADICTED:
            advice += f' Add what you have: galebook evidence {failure.ref} "..." --cause {number} --measurement M1.'
    return Belief(
        number, cause, key if found else None, how if found else "", found, bool(found and found.explains), grade, cap,
        advice,
    )  # fmt: skip


def _grade(session: Session, failure: Failure, cause: Cause, found: JudgedMechanism | None) -> str:
    """Best evidence for a cause. The highest grade is never given here: it needs an experiment and a person."""
    rows = [e for e in failures.evidence(session, failure) if e.cause_id == cause.id and e.leans == "for"]
    agrees = found is not None and found.verdict is Verdict.SUPPORTED
    if agrees and (_read(rows) or any(e.leans == "for" for e in (found.evidence if found else ()))):
        return "E3"
    if rows or attachments.attachments_of(session, failure.ref):
        return "E2"
    if cause.because and not _HEARSAY.search(cause.because):
        return "E1"
    return "E0"


def _read(rows: list[Evidence]) -> bool:
    return any(e.measurement_id is not None for e in rows)
