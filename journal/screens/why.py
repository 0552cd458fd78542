"""What the numbers say of a failure, beside what the builder believes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import Any

from calc.mechanisms import MECHANISMS
from calc.mechanisms.judge import JudgedMechanism
from calc.mechanisms.stepping import Inquiry
from calc.rules.phrases import inside
from calc.units import digits
from journal.book.days import told
from journal.review.why import Belief, Why
from journal.review.wording import day_text
from journal.screens.folding import shortened
from journal.screens.terminal import Terminal, screen

#: Readings that are shown one by one beside a mechanism.
SHOWN = 6
#: Mechanisms that want values of the sheet, from which on these are told once for all.
MANY = 3
_LEANS = {"for": "for it", "against": "against it", "neither": "for neither"}


def _data(answer: Why) -> dict[str, Any]:
    return {
        "failure": answer.failure.ref,
        "revision": answer.revision.ref,
        "on": answer.on,
        "symptoms": answer.symptoms,
        "taken": answer.taken,
        "conditions": answer.conditions,
        "mechanisms": answer.ranked,
        "beliefs": [_belief_data(b) for b in answer.beliefs],
        "rivals": answer.rivals,
        "next_measurement": answer.next_measurement,
        "look": answer.look,
        "next_steps": answer.next_steps,
        "pairs": answer.pairs,
        "open": answer.open,
        "first": answer.first,
        "taken_as_usual": answer.usual,
    }


def _belief_data(b: Belief) -> dict[str, Any]:
    return {
        "number": b.number,
        "what": b.cause.what,
        "said_on": told(b.cause.said_on, b.cause.said_on_typed),
        "sure": b.cause.sure,
        "standing": b.cause.standing,
        "mechanism": b.mechanism,
        "taken": b.taken,
        "verdict": b.weighed.verdict if b.weighed else None,
        "says": b.weighed.says if b.weighed else None,
        "explains": b.explains,
        "grade": b.grade,
        "cap": b.cap,
        "advice": b.advice,
    }


#: Causes and beliefs on the first screen, columns of what is said of one there, and the share below which a cause that
#: does not lead is left to the whole: it fits one window of 25 lines.
FEW, SENTENCE, LIKELY = 3, 150, 0.05
#: Columns below which no line is cut.
NARROW = 72


@screen(_data)
def show_why(out: Terminal, answer: Why) -> None:
    """The leading causes and why, what was believed, and what to do next; the rest behind ``--all``."""
    f = answer.failure
    _one(out, f"{f.ref} {f.saw} ({answer.revision.ref})")
    _one(out, f"  Taken as: {'; '.join(answer.symptoms) or 'not known'} ({answer.taken}).")
    _one(out, f"  {' '.join(answer.conditions)}")
    if answer.usual:
        _one(out, f"  {_as_usual(answer)}")
    for said in answer.first[:1]:
        out.line(f"First: {said}", "bold")
    out.heading(f"What leads, calculated {answer.on}; it proves nothing")
    leading = _leading(answer)[: FEW - len(answer.first[:1]) - len(answer.usual[:1])]
    for i, w in enumerate(leading):
        _one(out, f"{_share(w.belief)}, {_plainly(w)}: {w.title}")
        room = SENTENCE if i == 0 or not answer.open else SENTENCE // 2
        out.indent(_briefly(w.because[0] if w.because else w.says, room))
        if i == 0 and not w.because and (span := _expected_range(w)):
            out.indent(span.strip())
    # A danger takes the room of what was believed earlier, and of a second cause.
    short = bool(answer.first)
    for pair in answer.pairs[: 0 if short else 1]:
        both = " and ".join(inside(MECHANISMS[name].title) for name in pair.names)
        _one(out, f"both at once, {_share(pair.belief)}: {both}")
    for b in answer.beliefs[-(1 if short else FEW) :]:
        _one(out, _believed(b, leading))
    out.heading("What to do next")
    _first_step(out, answer)
    _one(out, f"All of it: galebook why {f.ref} --all")


def _as_usual(answer: Why) -> str:
    return f"Not on the sheet, so taken as usual, within wide limits: {', '.join(answer.usual)}."


def _one(out: Terminal, text: str) -> None:
    """One line where there is room for a sentence; on a narrow screen all of it, in as many as it takes."""
    if out.width >= NARROW:
        out.cut(text)
    else:
        out.line(text)


def _believed(b: Belief, leading: Sequence[JudgedMechanism]) -> str:
    what = f"you said “{b.cause.what}” ({b.cause.standing})"
    if b.weighed is None:
        return f"not known here: {what}"
    if any(b.weighed.id == w.id for w in leading):
        return f"The same: {what}"
    return f"{_share(b.weighed.belief)}, {_plainly(b.weighed)}: {what}"


def _leading(answer: Why) -> list[JudgedMechanism]:
    """The few that may be at work; those hardly believed are left to the whole."""
    left = [w for w in answer.ranked if w.verdict != "contradicted"]
    return [w for i, w in enumerate(left[:FEW]) if i == 0 or (w.belief or 0.0) >= LIKELY]


def _plainly(w: JudgedMechanism) -> str:
    return "the numbers cannot tell yet" if w.verdict == "cannot tell" else str(w.verdict)


def _share(belief: float | None) -> str:
    if belief is None:
        return "not weighed"
    # Nothing is ever sure.
    return "less than 1 %" if belief < 0.01 else "over 99 %" if belief > 0.99 else f"{100 * belief:.0f} %"


def _briefly(text: str, room: int) -> str:
    """As many whole sentences as fit, one shortened where not even the first does."""
    told = ""
    for sentence in re.split(r"(?<=[.]) (?=[A-Z0-9])", text):
        longer = f"{told} {sentence}".strip()
        if len(longer) > room:
            break
        told = longer
    return told or shortened(text, room)


def _first_step(out: Terminal, answer: Why) -> None:
    if not answer.open:
        out.line("It is closed: nothing more is asked about it.")
        return
    if not answer.next_steps:
        over = "Nothing is looked at or read before that is over."
        out.line(over if answer.first else "Nothing that could be looked at or read would change what to do.")
        return
    step = answer.next_steps[0]
    out.indent(_briefly(f"{step.says} {step.how}", SENTENCE))
    for means in step.means[:2]:
        _one(out, f"  {means}")
    out.indent(step.before)
    out.command(step_command(answer, step))


def step_command(answer: Why, step: Inquiry) -> str:
    """The command that takes what a step found."""
    if step.kind == "look":
        return f"galebook look {answer.failure.ref} {step.name} yes"
    return f'galebook measure {step.name} "..." --on {answer.revision.ref}'


@screen(_data)
def show_why_whole(out: Terminal, answer: Why) -> None:
    """How it is taken, every mechanism that could explain it, every belief, and what to measure next."""
    out.title(f"{answer.failure.ref} {answer.failure.saw} ({answer.revision.ref})")
    out.indent(f"Taken as: {'; '.join(answer.symptoms) or 'not known'} ({answer.taken}).")
    for said in answer.first:
        out.line(f"First: {said}", "bold")
    for line in (*answer.conditions, *([_as_usual(answer)] if answer.usual else ())):
        out.indent(line)
    out.heading(f"What the numbers say, calculated {answer.on}; they prove nothing")
    wanting = [w for w in answer.ranked if w.missing and not w.evidence]
    brief = wanting if len(wanting) >= MANY else []
    for w in answer.ranked:
        _mechanism(out, w, answer.symptoms, brief=w in brief)
    if brief:
        names = ", ".join(dict.fromkeys(name for w in brief for name in w.missing))
        out.line(f"Where nothing more is told, the sheet does not say enough. It lacks: {names}.")
    if answer.beliefs:
        out.heading("What was believed, beside it")
    for b in answer.beliefs:
        _belief(out, b)
    out.heading("What to measure next")
    _next(out, answer)


def _mechanism(out: Terminal, w: JudgedMechanism, symptoms: tuple[str, ...], *, brief: bool = False) -> None:
    partly = "" if not symptoms or len(w.explains) == len(symptoms) else f"  (explains: {'; '.join(w.explains)})"
    believed = "" if w.belief is None else f"  {_share(w.belief)}"
    out.line(f"{w.verdict}: {w.title}  {w.id}{believed}{partly}", "bold" if w.verdict == "supported" else "")
    if not brief:
        out.indent(w.says + _expected_range(w) + _agreement(w))
    for line in w.because:
        out.indent(line, 4)
    for e in w.evidence[-SHOWN:]:
        out.indent(f"{e.label}, {e.leans if e.leans != 'neither' else 'for neither'}: {e.says}", 4)
    if beyond := w.evidence[:-SHOWN]:
        counts = Counter(e.leans for e in beyond)
        said = ", ".join(f"{counts[leans]} {words}" for leans, words in _LEANS.items() if counts[leans])
        out.indent(f"And {len(beyond)} earlier: {said}.", 4)
    if w.verdict == "supported":
        out.indent("What answers it: " + "; or ".join(w.corrections) + ".")
    elif w.supports is None and w.look:
        out.indent(f"Look: {w.look}")


def _agreement(w: JudgedMechanism) -> str:
    if w.supports is None or w.contradicts is None:
        return ""
    top = max(w.supports, w.contradicts)
    share = "all" if top >= 0.995 else f"{100 * top:.0f} of 100"
    if w.verdict == "supported":
        return f" For it in {share} ways in which the doubts could turn out."
    if w.verdict == "contradicted":
        return f" Against it in {share} ways in which the doubts could turn out."
    if w.belief is not None and w.contradicts >= 0.5:
        return f" By the sheet alone, against it in {100 * w.contradicts:.0f} of 100 ways; nothing was read that tells."
    if top < 0.005:
        return " It lies between what would speak for it and what against it."
    return f" For it in {100 * w.supports:.0f}, against it in {100 * w.contradicts:.0f} of 100 ways."


def _expected_range(w: JudgedMechanism) -> str:
    if not w.what or w.low is None or w.high is None or digits(w.low, 2) == digits(w.high, 2):
        return ""
    unit = "" if not w.unit else f" {w.unit}"
    return f" {w.what}, with all doubts allowed for: {digits(w.low, 2)} to {digits(w.high, 2)}{unit}."


def _belief(out: Terminal, b: Belief) -> None:
    sure = "" if b.cause.sure is None else f", {b.cause.sure:.0%} sure"
    out.line(f"{b.number}. {day_text(b.cause.said_on)}: {b.cause.what} ({b.cause.standing}{sure})")
    if b.weighed is None:
        out.indent("Means no mechanism known here; name one with galebook cause ... --mechanism.", 3)
        return
    out.indent(f"Taken as: {b.weighed.title.lower()}  {b.mechanism} ({b.taken}).", 3)
    unfit = "" if b.explains else " It does not explain what was seen."
    out.indent(f"The numbers: {b.weighed.verdict}. {b.weighed.says}{unfit}", 3)
    if b.advice:
        out.indent(b.advice, 3)


def _next(out: Terminal, answer: Why) -> None:
    if not answer.open:
        out.indent("It is closed: nothing more is asked about it.")
        return
    for step in answer.next_steps:
        out.indent(f"{step.says} {step.how}")
        out.indent(f"About {step.minutes:.0f} min. {'; '.join(step.means)}. {step.before}", 4)
    if answer.next_measurement is not None:
        out.indent(f"Cheapest to separate the two that lead: {answer.next_measurement.says}")
        if answer.next_measurement.caution:
            out.indent(f"Take care: {answer.next_measurement.caution}")
        return
    if len(answer.rivals) == 2:
        out.indent(
            f"No single reading known here separates “{answer.rivals[0]}” from “{answer.rivals[1]}” with the ranges "
            "as they are."
        )
    else:
        out.indent("No two explanations are left open that a reading could separate.")
    for line in answer.look:
        out.indent(f"Look. {line}")
