"""One revision as a forum page tells it, in about a screen: what it was made of, what was tried, what went wrong.

Attempts and readings are told as far as the story turns on them; of the others it is said how many there were, so that
a page grows by revisions and failures and not by readings.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from calc.finding import Finding, Status, first_sentence
from calc.quantities import QUANTITIES
from calc.units import show
from calc.wording import number_of
from journal.book.days import day_in_words, days_in_words, order
from journal.book.tables import Attachment, Measurement
from journal.publish.figures.series import picture_of
from journal.publish.opening import gave_up, open_words
from journal.publish.redact import Redacted
from journal.publish.story import Chapter, Failed, Tried
from journal.publish.telling import HARM, Sentence, brief, by_numbers, clauses, full, still_held, weighed_of, wind_said
from journal.review.comparison import ANSWERED, BETTER
from journal.review.counsel import listed
from journal.review.options import DecisionView
from journal.review.series import Series, series_text
from journal.review.wording import lower_first

#: Attempts, readings of one, series and parts that are told of a revision; words of one text of the builder's.
ATTEMPTS, READINGS, SERIES, PARTS, TEXT = 4, 3, 1, 6, 24
#: Of attempts on which nothing turns so many are told all the same.
LEAST = 2
#: Attempts of which the wind belongs to what is told.
_WINDY = ("run", "storm")
#: Readings that say most, told before others.
_TELLING = ("blade.thrown", "charge.power", "charge.current", "rotor.speed", "battery.voltage", "generator.emf")


@dataclass(frozen=True)
class Try:
    """One attempt: when, what kind and how it came out, and the rest in a few sentences; its photos.

    Of each series of readings the line, and the name of its small picture.
    """

    head: str
    says: str
    ref: str
    files: list[Attachment]
    series: list[tuple[str, str]]


@dataclass(frozen=True)
class Mishap:
    """One failure: a heading, when and whom it hurt, what was believed, what is done; its photos."""

    ref: str
    saw: str
    seen: str
    harm: Sentence | None
    beliefs: list[str]
    answer: str
    torque: bool
    files: list[Attachment]


@dataclass(frozen=True)
class Choice:
    """One decision: the question, what was chosen and why, and what came of it."""

    ref: str
    question: str
    says: str
    refused: list[tuple[str, str]]


@dataclass(frozen=True)
class Episode:
    """One revision as it is told."""

    chapter: Chapter
    made: str
    claims: list[str]
    tried: list[Try]
    more: str
    mishaps: list[Mishap]
    choices: list[Choice]
    against: str


def episodes(told: Redacted) -> list[Episode]:
    """Every revision of a story, as it is told."""
    return [episode(c) for c in told.story.chapters]


def episode(c: Chapter) -> Episode:
    """One revision, as it is told."""
    notable = _notable(c)
    return Episode(
        c,
        _made(c),
        [_claim(claim.ref, claim.said, claim.who, findings) for claim, findings in c.claims],
        [_try(t) for t in notable],
        _more(c, notable),
        [_mishap(f) for f in c.failed],
        [_choice(d) for d in c.decisions],
        _against(c),
    )


def _made(c: Chapter) -> str:
    """What it was made of, by the names of its parts: what is new, and what was kept."""
    both = c.compared
    if both is None:
        return f"Made of: {'; '.join(_cut([p.name for p, _ in c.parts]))}." if c.parts else ""
    old, new, kept = both.old.revision.ref, *([p.name for p in some] for some in (both.parts_new, both.parts_kept))
    if kept and not new:
        return f"The parts of {old}{', fewer by some' if both.parts_gone else ''}."
    said = [f"{'New' if kept else 'Made of'}: {'; '.join(_cut(new))}." if new else ""]
    said.append(f"Kept from {old}: {'; '.join(_cut(kept))}." if kept else "")
    return " ".join(filter(None, said))


def _cut(names: list[str]) -> list[str]:
    more = len(names) - PARTS
    return [*names[:PARTS], f"and {more} more"] if more > 0 else names


def _claim(ref: str, said: str, who: str, findings: list[Finding]) -> str:
    held = f" {full(findings[-1].first.rpartition('; ')[2])}" if findings else ""
    return f"{ref}, {who}: “{said}”.{held}"


def _notable(c: Chapter) -> list[Tried]:
    """The attempts on which the story turns: where something failed or was shown, storms, raisings, what has photos."""
    proofs = {f.proof.ref for f in c.failed if f.proof} | {f.attempt.ref for f in c.failed if f.attempt}
    shown = {e.measurement_id for f in c.failed for b in f.believed for e in b.evidence}

    def weight(t: Tried) -> int:
        a, read = t.attempt, {m.id for m in t.read}
        told = a.ref in proofs, bool(read & shown), a.kind == "storm", a.outcome == "failed", bool(t.files), bool(read)
        return sum(w for w, yes in zip((16, 8, 8, 4, 2, 1), told, strict=True) if yes)

    ranked = sorted(c.tried, key=lambda t: (-weight(t), order(t.attempt.began)))
    some = [t for i, t in enumerate(ranked[:ATTEMPTS]) if weight(t) > 1 or i < LEAST]
    return sorted(some, key=lambda t: order(t.attempt.began))


def _more(c: Chapter, told: list[Tried]) -> str:
    """How many attempts there were beside those that are told, and how they came out."""
    rest = [t.attempt for t in c.tried if t not in told]
    if not rest:
        return ""
    kinds, came = Counter(a.kind for a in rest), Counter(a.outcome for a in rest if a.outcome != "not said")
    named = ", ".join(_several(n, kind) for kind, n in kinds.most_common())
    how = ", ".join(f"{n} {word}" for word, n in came.most_common())
    if len(came) == 1 and came.total() == len(rest):
        (word,) = came
        how = f"{'all' if len(rest) > 2 else 'both' if len(rest) > 1 else 'it'} {word}"
    return f"And {len(rest)} more: {named}{f'; {how}' if how else ''}."


def _several(n: int, kind: str) -> str:
    """So many attempts of a kind."""
    return kind if n == 1 else f"{n} {'others' if kind == 'other' else f'{kind}s'}"


def _try(t: Tried) -> Try:
    a = t.attempt
    came = "" if a.outcome in ("worked", "not said") else f", {a.outcome}"
    says = [full(brief(a.did, TEXT)), full(brief(a.saw, TEXT))]
    wind = wind_said(a)
    says.append(f"Wind: {wind.removeprefix('a ')}." if wind and a.kind in _WINDY else "")
    # Of several readings of one kind the greatest is told.
    most = {m.quantity: m for m in sorted(t.read, key=lambda m: m.value or 0.0) if m.value is not None}
    read = sorted(most.values(), key=_telling)[:READINGS]
    if read:
        says.append(f"Read: {'; '.join(map(reading_words, read))}.")
    return Try(
        f"{days_in_words(a.began, a.ended)}, {a.kind}{came}",
        " ".join(filter(None, says)),
        a.ref,
        _photos(t.files),
        [(full(series_text(s)), picture_of(t, s)) for s in sorted(t.series, key=_telling)[:SERIES]],
    )


def _photos(files: list[Attachment]) -> list[Attachment]:
    """What can be looked at; other files are named in the appendix."""
    return [a for a in files if a.media_type.startswith("image/")]


#: Quantities of which the catalogue's own name is too long for a story.
_CALLED = {
    "blade.thrown": "a piece lay {} off",
    "charge.current": "{} into the battery",
    "charge.power": "{} into the battery",
    "battery.voltage": "{} at the battery",
    "rotor.speed": "{}",
    "generator.emf": "{}",
    "generator.open_voltage": "{} with nothing connected",
    "generator.resistance": "{} between two leads",
    "stop.time": "braked in {}",
}


def reading_words(m: Measurement) -> str:
    """One reading in a few words."""
    q = QUANTITIES[m.quantity]
    value = show(m.value or 0.0, q.shown)
    return _CALLED.get(m.quantity, f"{lower_first(q.meaning)} {{}}").format(value)


def _telling(m: Measurement | Series) -> int:
    return _TELLING.index(m.quantity) if m.quantity in _TELLING else len(_TELLING)


def _mishap(x: Failed) -> Mishap:
    f = x.failure
    seen = [f"{day_in_words(f.happened)}."]
    if x.brought_about_by:
        seen.append(f"It followed from {x.brought_about_by.ref}.")
    seen += [full(brief(f.effect, TEXT))] if f.effect else []
    return Mishap(
        f.ref, full(brief(f.saw, TEXT)).rstrip("."), " ".join(seen), HARM.get(f.harm), _beliefs(x), _answer(x),
        x.turns_on_torque, _photos(x.files),
    )  # fmt: skip


def _beliefs(x: Failed) -> list[str]:
    """What was believed, in its order: what was given up and why, what is held, and what the numbers say."""
    said: list[str] = []
    gone = [b for b in x.believed if b.cause.standing == "rejected"]
    for i, b in enumerate(gone):
        said.append(gave_up(x, b, TEXT, "then" if i else "first"))
    believed = still_held(x)
    for i, b in enumerate([*believed, *(b for b in x.believed if b.cause.standing == "contributing")]):
        part = b.cause.standing == "contributing"
        sure = "" if b.cause.sure is None else f" ({100 * b.cause.sure:.0f} % sure)"
        how = "Part of it, perhaps" if part else "What I think" if i == 0 else "Or"
        numbers = by_numbers(weighed_of(x, b), plainly=part or x.correction is None)
        what = lower_first(brief(b.cause.what, TEXT)).rstrip(".")
        said.append(f"{how}{sure}: {what}.{f' {full(numbers)}' if numbers else ''}")
    named = [w for w in x.also if w.verdict == "supported"][:1]
    titles = [lower_first(clauses(w.title, 8).rstrip(".")) for w in named]
    said += [f"Nobody named it, yet the numbers support it: {title}." for title in titles]
    return said


def _answer(x: Failed) -> str:
    """What is done about it, and whether that was shown to work; else what would settle it."""
    if x.correction is None:
        return f"Still open: {open_words(x).rpartition(': ')[2]}{_settling(x)}"
    chose = f" chose “{x.chosen}”" if x.chosen else ""
    fitted = f", built into {x.fitted.ref}" if x.fitted else ""
    note = f": {brief(x.failure.verified_note, TEXT).rstrip('.')}" if x.failure.verified_note else ""
    shown = f" Shown by {x.proof.ref}{note}." if x.proof else " Not shown to work yet." if x.fitted else ""
    return f"{x.correction.ref}{chose}{fitted}.{shown}"


def _settling(x: Failed) -> str:
    best = next(iter(x.why.next_steps), None) if x.why else None
    return (
        f" What would settle it: {lower_first(best.says).rstrip('.?')}{'?' if best.says.endswith('?') else '.'}"
        if best
        else ""
    )


def _choice(d: DecisionView) -> Choice:
    """A decision in a few sentences; an option that was refused is never left out."""
    chosen = next((o.name for o in d.options if o.chosen), "")
    others = [o.name for o in d.options if not o.chosen and not o.refused]
    x = d.decision
    if x.decided_on is None and not x.because:
        says = [f"Not decided yet ({', '.join(o.name for o in d.options)})." if d.options else "Not decided yet."]
    else:
        beside = f" (not {', '.join(others)})" if others else ""
        says = [
            f"{full(chosen).rstrip('.')}{beside}." if chosen else "",
            full(brief(x.because, TEXT)),
        ]
    if x.expected:
        came = x.result or "too early to say"
        says.append(f"Expected: {brief(x.expected, TEXT).rstrip('.')}; {came}.")
    refused = [(o.name, first_reason(o.refused)) for o in d.options if o.refused]
    return Choice(x.ref, x.question, " ".join(filter(None, says)), refused)


def first_reason(refused: str | None) -> str:
    """Why an option was refused, in its first sentence."""
    said = (refused or "").partition(": ")[2] or (refused or "")
    return full(clauses(first_sentence(said), 22))


#: How failures are told that a later revision has answered, in the order of :data:`ANSWERED`.
_ANSWERED = ("Answered and shown to work", "Answered, not shown yet", "Not answered")


def _against(c: Chapter) -> str:
    """What came of a revision beside the one that it was made from: failures answered, findings better and worse."""
    both = c.compared
    if both is None:
        return ""
    better = sum(t.turn == BETTER for t in both.turns)
    worse = sum(t.turn == "worse" for t in both.turns)
    old = both.old.revision.ref
    said = [f"By the check {number_of(better, 'finding is', 'findings are')} better than with {old}, {worse} worse."]
    if not better and not worse:
        said = [f"By the check it is as good or bad as {old}."]
    for words, called in zip(ANSWERED, _ANSWERED, strict=True):
        refs = [a.failure.ref for a in both.answers if a.answered == words]
        if refs:
            said.append(f"{called}: {', '.join(refs)}.")
    return " ".join(said)


@dataclass(frozen=True)
class CheckedLine:
    """One cause among what the check found: how bad it is, what is wrong, what else goes with it, what to do."""

    status: str
    says: str
    also: str
    do: str
    accepted: str


def checked_lines(c: Chapter) -> list[CheckedLine]:
    """What must be put right of a revision, a line for each cause, and what its builder lives with for now."""
    until = {f.key: f"{d.ref}, until {day_in_words(d.until)}" for d, f in c.accepted}
    return [
        CheckedLine(
            g.status.value,
            full(clauses(g.lead.first, 22)),
            listed(list(g.also), 3),
            full(g.do),
            until.get(g.lead.key, ""),
        )
        for g in c.review.groups
    ]


#: What the rest of the findings come to, in words; of what is marginal, what is over its limit is told apart.
_CHECKED = {
    Status.OK: "within limits as far as checked",
    Status.STATED: "on the builder's word alone",
    Status.MARGINAL: "near a limit",
    Status.UNKNOWN: "not to be told yet",
}


def checked_text(findings: list[Finding]) -> str:
    """How much was checked, and that this promises nothing."""
    rest = [f for f in findings if not f.of_reading]
    beyond = sum(f.over for f in rest)
    counted = Counter(f.status for f in rest if not f.over)
    told = [f"{beyond} past a limit, yet not failing"] if beyond else []
    told += [f"{counted[status]} {words}" for status, words in _CHECKED.items() if counted[status]]
    return f"Beside these: {', '.join(told)}." if told else ""
