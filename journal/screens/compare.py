"""Two revisions side by side: five lines that tell what it came to, then what changed and how each finding turned."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from calc.finding import WORST_FIRST, Finding, Status
from calc.machine.catalogue import Sheet
from calc.rules.logged import MUCH, burnt_text
from calc.units import digits, rounded_up, with_unit
from journal.book.sheet import added_later
from journal.book.tables import Measurement
from journal.review.comparison import Answer, Comparison, Turn
from journal.review.series import parted, series_text
from journal.review.summary import Moved, SummaryLine, put_back, summary
from journal.review.verdict import headline, measured_text
from journal.review.wording import cost_text, lower_first, wind_text
from journal.screens.terminal import Terminal, screen

#: Values that are shown at first, those that move most.
MOST = 8
#: Lines of the summary that tell one figure of both.
_FIGURES = ("yearly_energy", "charging_wind", "cost")
#: Of what a figure in percent is the share.
_SHARE_OF = {
    "hub.bolts": " of what they hold",
    "generator.match": " of what the wind offers",
    "blade.resonance": " apart",
    "tail.resonance": " apart",
    "mast.frequency": " apart",
    "wiring.voltage-drop": " lost",
    "site.shelter": " taken",
    "guy.layout": " of the guys' height",
    "measured.curve": " of the computed",
}
_BAD = (Status.DANGER, Status.FAIL)


@dataclass(frozen=True)
class Contrast:
    """A comparison with its five lines, what changed in the order of what it moves, and what was stated later."""

    comparison: Comparison
    lines: list[SummaryLine]
    moved: list[Moved]
    later: dict[str, dict[str, str]]


def gather_comparison(session: Session, c: Comparison) -> Contrast:
    """Sum a comparison up, and put back every value that changed to see what it moves."""
    later = {r.ref: added_later(session, r) for r in (c.old.revision, c.new.revision)}
    return Contrast(c, summary(session, c), put_back(c), later)


def _data(told: Contrast) -> dict[str, Any]:
    c = told.comparison
    first = {m.changed.path: place for place, m in enumerate(told.moved)}
    return {
        "old": c.old.revision.ref,
        "new": c.new.revision.ref,
        "summary": {line.name: {"says": line.says, **line.data} for line in told.lines},
        "changed": sorted(c.changed, key=lambda row: first.get(row.path, len(first))),
        "left_as_it_was": {
            m.changed.path: {
                "fits": m.exists, "yearly_energy": m.energy, "charging_wind": m.charging, "dangers": m.dangers,
                "fails": m.fails,
            }
            for m in told.moved
        },
        "added_later": told.later,
        "parts": {"gone": c.parts_gone, "new": c.parts_new, "kept": c.parts_kept},
        "cost": {"old": c.cost_old, "new": c.cost_new},
        "findings": [
            {
                "rule": (t.old or t.new).rule,  # type: ignore[union-attr]
                "subject": t.subject,
                "title": t.title,
                "turn": t.turn,
                "old": t.old,
                "new": t.new,
            }
            for t in c.turns
        ],
        "measured": c.measured,
        "curves": c.curves,
        "failures": [{"failure": a.failure.ref, "answered": a.answered, "how": a.how} for a in c.answers],
    }  # fmt: skip


@screen(_data)
def show_comparison(out: Terminal, told: Contrast, *, everything: bool = False) -> None:
    """Five lines; then what changed, how findings turned, what was measured, which failures are answered."""
    c = told.comparison
    old, new = c.old.revision, c.new.revision
    out.title(" and ".join(f"{r.ref} {r.title or ''}".strip() for r in (old, new)))
    for line in told.lines:
        if _is_known(line):
            out.hang(f"{line.title:<9}", line.says, 9, "bold")
    if unknown := [line.title.lower() for line in told.lines if not _is_known(line)]:
        out.hang("Unknown  ", f"Of both: {', '.join(unknown)}.", 9, "bold")
    _sheets(out, told, everything)
    for ref, added in told.later.items():
        if added:
            out.line(f"Added to {ref} after it was built: {', '.join(added)}.")
    _findings(out, c, everything)
    out.block("Parts", _parts(c))
    if c.measured:
        out.heading("Measured")
        out.table(("What", old.ref, new.ref), ((b.meaning, _readings(b.old), _readings(b.new)) for b in c.measured))
    if c.curves:
        out.heading("Measured by loggers, W")
        rows = ((digits(row.wind), _watts(row.old), _watts(row.new)) for row in c.curves)
        out.table(("Wind\nm/s", old.ref, new.ref), rows)
        for ref, values in ((old.ref, c.old.sheet), (new.ref, c.new.sheet)):
            if values.burnt is not None and values.burnt.share >= MUCH:
                full = values.design.get(Sheet.storage.charge_voltage)
                out.line(f"{ref}: {burnt_text(values.burnt, None if full is None else float(full))}")
    out.block(f"Failures of {old.ref}", (_answer(a, new.ref) for a in c.answers))


def _watts(value: float | None) -> str:
    return "not measured" if value is None else "0" if value < 0.5 else digits(value, 2)


def _is_known(line: SummaryLine) -> bool:
    """Whether a line tells something of one of the two at least."""
    return line.name not in _FIGURES or bool(line.data["old"] or line.data["new"])


def _sheets(out: Terminal, told: Contrast, everything: bool) -> None:
    """What both sheets state, what moves most first; what only one does is counted unless everything is asked for."""
    c = told.comparison
    old, new = c.old.revision.ref, c.new.revision.ref
    shown = told.moved if everything else told.moved[:MOST]
    if shown:
        cells = ((m.changed.meaning, m.changed.old, m.changed.new, m.text) for m in shown)
        out.heading(f"What changed, what moves most first; and {new} with that alone left as on {old}")
        out.table(("What", old, new, f"Left as on {old}"), cells)
    elif c.changed:
        out.heading("What changed: nothing that both state")
    alone = [
        (ref, [row for row in c.changed if not getattr(row, other)]) for ref, other in ((old, "new"), (new, "old"))
    ]
    if everything:
        for ref, rows in alone:
            stated = "; ".join(f"{row.meaning}: {row.old or row.new}" for row in rows)
            out.block(f"Stated for {ref} only", [stated] if stated else [])
        return
    folded = [f"{len(told.moved) - len(shown)} more that move less"] if told.moved[len(shown) :] else []
    folded += [f"{len(rows)} that only {ref} states" for ref, rows in alone if rows]
    _fold(out, c, folded)


def _fold(out: Terminal, c: Comparison, folded: list[str]) -> None:
    if folded:
        out.line(f"And {'; '.join(folded)}:")
        out.command(f"galebook compare {c.old.revision.ref} {c.new.revision.ref} --all")


def _findings(out: Terminal, c: Comparison, everything: bool) -> None:
    """How findings turned, the worst first; those that stayed, or came and are fine, are counted."""
    old, new = c.old.revision.ref, c.new.revision.ref
    shown = sorted((t for t in c.turns if everything or _tells(t)), key=_worst)
    dark = [t for t in shown if t.old and t.new and t.old.status == t.new.status == Status.UNKNOWN]
    if rows := [(headline(t), _cell(t.old), _cell(t.new), t.says) for t in shown if t not in dark]:
        out.heading("Findings" if everything else "Findings that turned, or are wrong still")
        out.table(("What", old, new, "Change"), rows)
    deadly = "" if everything else ", and it can kill"
    out.block(f"Unknown of both{deadly}", [", ".join(lower_first(headline(t)) for t in dark)] if dark else [])
    if everything:
        return
    stayed = Counter(t.new.status for t in c.turns if not _tells(t) and t.turn == "same" and t.new)
    come = sum(not _tells(t) and t.turn != "same" for t in c.turns)
    counted = ", ".join(f"{stayed[s]} {s}" for s in WORST_FIRST if stayed[s])
    folded = [f"{stayed.total()} that did not turn ({counted})"] if counted else []
    folded += [f"{come} that are new or gone, none of them a danger or a fail"] if come else []
    _fold(out, c, folded)


def _tells(t: Turn) -> bool:
    """Whether a finding is to be shown at once: it turned, or it is wrong or can kill and stayed so."""
    sides = [f for f in (t.old, t.new) if f is not None]
    return (t.turn != "same" and len(sides) == 2) or any(f.status in _BAD or f.deadly for f in sides)


def _worst(t: Turn) -> float:
    return min(f.rank for f in (t.old, t.new) if f is not None)


def _parts(c: Comparison) -> list[str]:
    named = (("Gone", c.parts_gone), ("New", c.parts_new), ("Carried on", c.parts_kept))
    lines = [f"{title}: {', '.join(f'{p.ref} {p.name}' for p in some)}" for title, some in named if some]
    old, new = cost_text(c.cost_old), cost_text(c.cost_new)
    if not lines or not (old or new):
        return lines
    return [*lines, f"Cost: {old or 'not stated'} before, {new or 'not stated'} after"]


def _cell(f: Finding | None) -> str:
    if f is None:
        return "does not apply"
    # A bare number, such as one of strings, tells nothing without the sentence that it stands in.
    if f.figure is None or not f.unit:
        return str(f.status)
    return f"{f.status}, {_as_said(f.figure, f)}{_SHARE_OF.get(f.rule, '')}"


def _as_said(figure: float, f: Finding) -> str:
    """A figure as the finding itself tells it: rounded up where it warns, or only told to be more than something."""
    plain, up = (with_unit(digits(x, 2), f.unit) for x in (figure, rounded_up(figure, 2)))
    if plain in f.says:
        return plain
    if up in f.says:
        return up
    beyond = re.search(rf"more than ([\d.]+) {re.escape(f.unit)}(?!\w)", f.says)
    return beyond.group() if beyond and float(beyond.group(1)) < figure else plain


def _readings(some: list[Measurement]) -> str:
    singly, many = parted(some, apart=False)
    told = [f"{m.ref}: " + ", ".join(filter(None, [measured_text(m), wind_text(m)])) for m in singly]
    return "\n".join([*told, *map(series_text, many)]) or "-"


def _answer(a: Answer, new: str) -> str:
    return f"{a.failure.ref} {a.failure.saw}\n  answered by {new}: {a.answered}" + (f"; {a.how}" if a.how else "")
