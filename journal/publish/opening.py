"""The first screen of a forum page: a title from what happened, the first machine and the newest, and what is open.

It has room for :data:`MOST` words, whatever the journal holds; what weighs least is left to the chapters below it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.curve.events import Burnt
from calc.finding import Finding
from calc.machine.catalogue import Sheet
from calc.rules.logged import MUCH
from calc.units import show
from calc.wording import number_of
from journal.book.days import day_in_words, earliest, is_vague
from journal.book.tables import Attachment
from journal.publish.chain import chain
from journal.publish.numbers import NOT_KNOWN, MachineTold
from journal.publish.redact import Redacted
from journal.publish.story import Believed, Chapter, Failed, Story
from journal.publish.telling import (
    HARM,
    Paragraph,
    Sentence,
    brief,
    by_numbers,
    clauses,
    did,
    evidence_of,
    full,
    gives,
    gravest,
    gravity,
    month,
    ordinal,
    period,
    still_held,
    weighed_of,
    wind_said,
    within,
    words_in,
)
from journal.review.counsel import holds_mast, listed
from journal.review.verdict import headline
from journal.review.wording import lower_first

#: Words on the first screen, and in one text of the builder's on it.
MOST, TEXT = 268, 24
#: Of what is not settled so many words are told, and of the machines between the first and the newest so many.
UNSETTLED, BETWEEN = 52, 4


@dataclass(frozen=True)
class Opening:
    """The first screen.

    Parameters
    ----------
    title, period : str
        What happened, and from which month to which.
    paragraphs : list of Paragraph
        The first machine, those between, and the newest.
    failure : str
        Reference of the failure whose chain is shown; empty for none.
    photo : Attachment or None
        Where there is no chain, a photo of what went wrong.
    heads, rows : tuple of str, list of tuple of str
        The table of what decides: a name and a cell for each machine.
    unsettled : list of str
        What is not settled, a sentence each.
    questions : str
        What the builder would like to know.
    """

    title: str
    period: str
    paragraphs: list[Paragraph]
    failure: str
    photo: Attachment | None
    heads: tuple[str, ...]
    rows: list[tuple[str, ...]]
    unsettled: list[str]
    questions: str


def opening(told: Redacted) -> Opening:
    """The first screen of a story."""
    story = told.story
    shown = _first_and_last(story)
    rows = _table(told, shown)
    unsettled = _as_far(_unsettled(told), UNSETTLED)
    questions = brief(story.build.questions, 40)
    title, when = _title(told, shown), period(story)
    taken = sum(
        map(
            words_in,
            [title, when, story.build.region or "", questions, *unsettled, *(cell for row in rows for cell in row)],
        )
    )
    # Heads of the table, of what is open and of the questions; and that it is no plan to copy.
    told_of = within(_paragraphs(told, shown), MOST - taken - 18)
    chained = _chained(told)
    photo = None if chained else _photo(story)
    return Opening(title, when, told_of, chained, photo, _heads(shown), rows, unsettled, questions)


def _first_and_last(story: Story) -> list[Chapter]:
    """The first machine and the one that stands; a draft only where nothing else is."""
    last = story.standing or story.newest
    built = [c for c in story.chapters if c.revision.frozen_at]
    first = built[0] if built else last
    return [] if last is None or first is None else [first] if first is last else [first, last]


def _by_gravity(story: Story) -> list[Failed]:
    return sorted((f for c in story.chapters for f in c.failed), key=gravity)


def _chained(told: Redacted) -> str:
    """The gravest failure of which it is known how it came about."""
    return next((str(f.failure.ref) for f in _by_gravity(told.story) if chain(f, told.story, told.machines)), "")


def _photo(story: Story) -> Attachment | None:
    """A photo of the gravest failure of which there is one."""
    return next((a for f in _by_gravity(story) for a in f.files if a.media_type.startswith("image/")), None)


def _title(told: Redacted, shown: list[Chapter]) -> str:
    """What happened: what the first machine did, and what the newest does."""
    story = told.story
    if not shown:
        return f"{story.build.name}: nothing is built yet"
    last = shown[-1]
    before = [c for c in story.chapters if c.revision.number < last.revision.number]
    worst = gravest(before) or gravest([last])
    most = gives(last, told.machines[last.revision.ref])
    pieces = []
    if worst is not None:
        of = next(c for c in story.chapters if worst in c.failed)
        pieces.append(_piece(story, of, _did(worst)))
    if most and (worst is None or worst not in last.failed):
        pieces.append(_piece(story, last, f"gives {most}"))
    elif most:
        pieces.append(f"it gives {most}")
    if not pieces:
        tried = last.tried[-1].attempt if last.tried else None
        pieces.append(lower_first(brief(tried.did, 12).rstrip(".")) if tried else "on paper so far")
    return f"{story.build.name}: {', '.join(pieces)}"


def _did(failed: Failed) -> str:
    return did(failed) or f"“{brief(failed.failure.saw, 12).rstrip('.')}”"


def _piece(story: Story, of: Chapter, words: str) -> str:
    """What one machine did, by its place where there are several."""
    if len(story.chapters) == 1:
        return words if words.startswith("“") else f"it {words}"
    called = f"the {ordinal(_place(story, of))}"
    return f"{called}, {words}" if words.startswith("“") else f"{called} {words}"


def _place(story: Story, of: Chapter) -> int:
    return 1 + [c.revision.ref for c in story.chapters].index(of.revision.ref)


def _heads(shown: list[Chapter]) -> tuple[str, ...]:
    return ("", *(c.revision.ref for c in shown))


def _paragraphs(told: Redacted, shown: list[Chapter]) -> list[Paragraph]:
    story = told.story
    if not shown:
        return []
    found = [_of_machine(told, shown[0])]
    last = shown[-1]
    between = [c for c in story.chapters if shown[0].revision.number < c.revision.number < last.revision.number]
    if between:
        found.append(Paragraph("In between", tuple(_between(story, between))))
    if last is not shown[0]:
        found.append(_of_machine(told, last))
    drafts = [c for c in story.planned if c is not last]
    if drafts:
        names = ", ".join(c.revision.ref for c in drafts)
        found.append(Paragraph("Planned", (Sentence(f"{names}, not built yet.", 6),)))
    return found


def _between(story: Story, some: list[Chapter]) -> list[Sentence]:
    told = []
    for c in some[-BETWEEN:]:
        worst = gravest([c])
        came = _did(worst) if worst else "nothing failed" if c.revision.frozen_at else "stayed on paper"
        told.append(Sentence(f"{c.revision.ref}: {came}.", 6))
    more = len(some) - len(told)
    return [Sentence(f"{number_of(more, 'more revision')}, told below.", 6), *told] if more > 0 else told


def _of_machine(told: Redacted, c: Chapter) -> Paragraph:
    """What a machine was, what went wrong with it, and what it gives."""
    story = told.story
    place = ordinal(_place(story, c))
    head = "The machine" if len(story.chapters) == 1 else f"The {place}"
    stands = c is (story.standing or story.newest)
    title = f", {lower_first(c.revision.title)}:" if c.revision.title else ":"
    said = [Sentence(f"({c.revision.ref}){title} {made_of(c)}.", 20)]
    if c.revision.because and stands:
        said.append(Sentence(f"Why: {lower_first(brief(c.revision.because, TEXT)).rstrip('.')}.", 4))
    for failed in sorted(_told_first(c), key=lambda f: f.failure.number):
        said += _of_failure(failed, stands=stands and len(story.chapters) > 1)
    if stands and (does := _does(c, told.machines[c.revision.ref])):
        said.append(Sentence(does, 12))
    return Paragraph(head, tuple(said))


def _does(c: Chapter, machine: MachineTold) -> str:
    """What it does, as far as that is computed and read."""
    begins, most = machine.charging, gives(c, machine)
    charges = (
        f"charges by the sums from {show(begins, 'm/s', 2)} on" if begins is not None and np.isfinite(begins) else ""
    )
    read = f"gave {most}" if most else ""
    return full(f"It {' and '.join(filter(None, [charges, read]))}") if charges or read else ""


def _told_first(c: Chapter) -> list[Failed]:
    """Of a machine's failures those that are told at once: the gravest, and one of which a belief was given up."""
    worst = min(c.failed, key=gravity, default=None)
    learnt = next((f for f in c.failed if any(b.cause.standing == "rejected" for b in f.believed)), None)
    return list({f.failure.ref: f for f in (worst, learnt) if f}.values())


def made_of(c: Chapter) -> str:
    """What a machine is made of, in one clause: its generator, and where it stands; its sizes are in the table."""
    by_role = {(p.role or "").casefold(): p.name for p, _ in reversed(c.parts)}
    pieces = [brief(by_role.get("generator"), 9).rstrip(".")]
    kind = c.design.get(Sheet.mast.kind)
    where = f"on a {kind} mast" if kind in _AS_MASTS else kind
    return ", ".join(filter(None, [*pieces, where])) or "what it is made of is not on record"


#: Kinds of mast as the sheet has them that stand ahead of the word itself.
_AS_MASTS = ("guyed tilt-up",)


def _of_failure(failed: Failed, *, stands: bool) -> list[Sentence]:
    """What was seen, what was believed of it and given up, and what it is held to be.

    Of what stands less is told: it is not settled yet, and told as that.
    """
    f = failed.failure
    saw = full(brief(f.saw, TEXT))
    if failed.brought_about_by:
        saw = f"{full(brief(failed.brought_about_by.saw, 14))} Then: {lower_first(saw)}"
    when = day_in_words(f.happened) if is_vague(f.happened) else month(earliest(f.happened))
    storm = "in a storm, " if failed.attempt and failed.attempt.kind == "storm" else ""
    said = [Sentence(f"{saw.rstrip('.')} ({storm}{when}).", 10 if stands else 15)]
    if stands:
        return said
    gone = next((b for b in failed.believed if b.cause.standing == "rejected"), None)
    if gone is not None:
        said.append(Sentence(gave_up(failed, gone, TEXT), 14))
    for cause in still_held(failed)[:1]:
        numbers = by_numbers(weighed_of(failed, cause))
        first = "What I think now" if gone is not None else "What I think"
        what = clauses(brief(cause.cause.what, TEXT), 14)
        said.append(Sentence(f"{first}: {lower_first(what).rstrip('.')}.", 13))
        if numbers:
            said.append(Sentence(full(numbers), 8))
    if f.effect:
        said.append(Sentence(full(brief(f.effect, TEXT)), 9 if f.harm in ("near miss", "injury") else 3))
    if f.harm in ("near miss", "injury"):
        said.append(HARM[f.harm])
    return said


def gave_up(failed: Failed, b: Believed, most: int, when: str = "first") -> str:
    """A belief that was given up, and what settled it: the builder's reason, else the numbers."""
    why = brief(evidence_of(b), most) or by_numbers(weighed_of(failed, b))
    settled = f" What settled it: {lower_first(why).rstrip('.')}." if why else ""
    return f"I {when} thought: {lower_first(brief(b.cause.what, most)).rstrip('.')}.{settled}"


def _table(told: Redacted, shown: list[Chapter]) -> list[tuple[str, ...]]:
    """At most seven rows of what decides; a row of which nothing is known is left out."""
    if not shown:
        return []
    machines = [told.machines[c.revision.ref] for c in shown]
    columns = [_cells(c, m) for c, m in zip(shown, machines, strict=True)]
    names = ("rotor", "generator", "battery", "charges from (computed)", "most read", "in a storm")
    rows = [(name, *(cells[i] or NOT_KNOWN for cells in columns)) for i, name in enumerate(names)]
    return [row for row in rows if set(row[1:]) != {NOT_KNOWN}]


def _cells(c: Chapter, m: MachineTold) -> list[str]:
    said = c.design.get
    across, pipe = said(Sheet.rotor.diameter), said(Sheet.blade.pipe_diameter)
    blades = f"{show(pipe, 'mm')} pipe" if pipe else str(said(Sheet.blade.material) or "")
    begins = m.charging
    volts, kind = said(Sheet.storage.voltage), said(Sheet.storage.chemistry)
    return [
        ", ".join(filter(None, [_shown(across, "m"), blades])),
        _shown(said(Sheet.generator.emf_constant), "rpm/V"),
        " ".join(filter(None, [_shown(volts, "V"), str(kind) if kind else ""])),
        "" if begins is None else show(begins, "m/s", 2) if np.isfinite(begins) else "never",
        gives(c, m),
        _in_storm(c, m),
    ]  # fmt: skip


def _shown(value: Any, unit: str) -> str:
    return "" if value is None else show(value, unit, 3)


def _in_storm(c: Chapter, m: MachineTold) -> str:
    """What holds it back, and how fast it was read to turn in the hardest blow."""
    blows = [t for t in c.tried if t.attempt.kind == "storm"]
    read = [(x.value, t.attempt) for t in blows for x in t.read if x.quantity == "rotor.speed" and x.value is not None]
    fast = max(read, key=lambda item: item[0], default=None)
    seen = f"{show(fast[0], 'rpm', 2)} read in {wind_said(fast[1])}" if fast and wind_said(fast[1]) else ""
    return "; ".join(filter(None, ["" if m.held == NOT_KNOWN else m.held, seen]))


#: How a loop that is open is told, by the step that is missing.
_OPEN = {
    "cause believed": "no cause is known",
    "evidence weighed": "its cause is not shown",
    "correction chosen": "nothing done yet",
    "built in": "decided, not built in yet",
}


def _as_far(sentences: list[str], most: int) -> list[str]:
    """As many sentences as so many words go, the first at any rate."""
    kept: list[str] = []
    for s in sentences:
        if kept and sum(map(words_in, [*kept, s])) > most:
            break
        kept.append(s)
    return kept


def _unsettled(told: Redacted) -> list[str]:
    """What is not settled, the gravest first, each in a short sentence."""
    story = told.story
    now = story.standing or story.newest
    dangers: list[str] = []
    weak: list[str] = []
    if now is not None:
        weak = _weak(now, told.machines[now.revision.ref].burnt)
        named = _named(now.findings("danger"))
        dangers += [f"By the check a danger still: {named}."] if named else []
        unknown = _named(now.review.deadly)
        dangers += [f"Not known, and it can kill: {unknown}."] if unknown else []
    waiting = [open_words(f) for f in sorted(story.open, key=gravity)]
    # What failed is never driven out by what only might.
    return [*waiting[:1], *dangers, *weak, *waiting[1:]]


def _weak(now: Chapter, burnt: Burnt | None) -> list[str]:
    """What may come down, what nobody has shown, and what the dump load burns; the gravest first."""
    accepted = {f.key for _, f in now.accepted}
    fails = (f for f in now.findings("fail") if f.key not in accepted and holds_mast(f))
    told = ["It may come down in a storm."] if any(fails) else []
    if stated := len(now.findings("stated")):
        told.append(f"On my word alone: {number_of(stated, 'thing')}.")
    if burnt is not None and burnt.share >= MUCH:
        told.append(f"{show(burnt.share, '%', 2)} was burnt in the dump load.")
    return told


def _named(some: list[Finding]) -> str:
    """Findings by name, the first few."""
    return listed(list(dict.fromkeys(lower_first(headline(f)) for f in some)), 2)


def open_words(f: Failed) -> str:
    """A failure whose loop is open, and what is missing."""
    if f.loop.next_step == "verified":
        what = lower_first(brief(f.chosen, 10)).rstrip(".") if f.chosen else f"what answers {f.failure.ref}"
        return f"Not shown to work yet ({f.failure.ref}): {what}."
    missing = _OPEN.get(f.loop.next_step, f.loop.todo)
    return f"{f.failure.ref}, {lower_first(brief(f.failure.saw, 6)).rstrip('.')}: {missing}."
