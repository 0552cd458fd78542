"""The options of a decision, side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from calc.units import digits, show
from journal.book.decisions import FIGURES
from journal.review import weighing
from journal.review.options import DecisionView, OptionView, view_decision
from journal.review.weighing import Matrix
from journal.screens.terminal import Terminal, screen


@dataclass(frozen=True)
class Weighing:
    """A decision with its options, and their marks where it has criteria."""

    view: DecisionView
    matrix: Matrix | None


def gather_weighing(session: Session, ref: str) -> Weighing:
    """A decision, its options as they were computed, and the marks they get."""
    return Weighing(view_decision(session, ref), weighing.decision_matrix(session, ref))


def _data(weighing: Weighing) -> dict[str, Any]:
    view = weighing.view
    return {
        "ref": view.decision.ref,
        "question": view.decision.question,
        "on": view.revision,
        "conclusion": _conclusion(weighing),
        "options": view.options,
        "matrix": weighing.matrix,
    }


@screen(_data)
def show_weighing(out: Terminal, weighing: Weighing) -> None:
    """What it comes to; then figures of each option, findings that fail, what each moves, and the weighted marks."""
    decision, options = weighing.view.decision, weighing.view.options
    out.title(f"{decision.ref} {decision.question} ({weighing.view.revision})")
    if not options:
        out.line(f'No options yet. Add one with: galebook option {decision.ref} "..."')
        return
    out.line(_conclusion(weighing), "bold")
    out.line(f"Each option as it was computed on {weighing.view.revision}.")
    out.table(("", *(f"{o.position}. {o.name}{_mark(o)}" for o in options)), _figures(options))
    for o in options:
        _option(out, o)
    if weighing.matrix is not None:
        _matrix(out, weighing.matrix)


def _conclusion(weighing: Weighing) -> str:
    """Who leads and how firmly, and whether that one was chosen; without criteria, what can be chosen."""
    options, m = weighing.view.options, weighing.matrix
    chosen = next((o.name for o in options if o.chosen), None)
    if m is None:
        able = [o.name for o in options if not o.refused]
        if chosen is not None:
            return f"Chosen: {chosen}."
        if not able:
            return "None can be chosen: people can be hurt by each of them."
        return f"{len(able)} of {len(options)} can be chosen; nothing was said yet of what matters."
    if m.leader is None:
        return "Marks are missing, so nobody leads yet."
    if m.turning:
        leads = f"{m.leader.name} leads, but not firmly: another draws level with {'; or with '.join(m.turning)}."
    else:
        leads = f"{m.leader.name} leads, and still does when any one weight is moved by 20 %."
    return leads if chosen in (None, m.leader.name) else f"{leads} Chosen was {chosen}."


def _mark(o: OptionView) -> str:
    return " (chosen)" if o.chosen else " (refused: people can be hurt)" if o.refused else ""


def _figures(options: list[OptionView]) -> Iterator[tuple[str, ...]]:
    for name, figure in FIGURES.items():
        values = [_figure_text(o, name) for o in options]
        if any(values):
            yield figure.meaning, *(v or "not known" for v in values)


def _figure_text(o: OptionView, name: str) -> str:
    if name == "cost":
        return o.cost
    value = o.mass if name == "mass" else o.figures.get(name)
    return "" if value is None else show(value, FIGURES[name].unit, 2)


def _option(out: Terminal, o: OptionView) -> None:
    out.heading(f"{o.position}. {o.name}{_mark(o)}")
    lines = [o.summary] if o.summary else []
    lines += [f"Refused because {o.refused}"] if o.refused else []
    if o.changes:
        lines.append("Sets " + ", ".join(f"{path} = {typed}" for path, typed in o.changes.items()))
    turned = [m for m in o.moved if m["before"] != m["status"]]
    lines += [f"{m['title']}: from {m['before'] or 'not applying'} to {m['status']}" for m in turned]
    stay = [m for m in o.worst if not any(t["rule"] == m["rule"] and t["subject"] == m["subject"] for t in turned)]
    if stay:
        lines.append("Stays as bad: " + "; ".join(dict.fromkeys(f"{m['title']} ({m['status']})" for m in stay)))
    for line in lines or ["Changes no finding."]:
        out.indent(line, 3)


def _matrix(out: Terminal, m: Matrix) -> None:
    out.heading("Weighed by your criteria (marks 0 to 10)")
    out.table(("", *(f"{c.name} (weight {c.weight:g})" for c in m.criteria), "Total"), _marks(m))


def _marks(m: Matrix) -> Iterator[tuple[str, ...]]:
    for option, values, marks, total in zip(m.options, m.values, m.marks, m.totals, strict=True):
        cells = (v if k is None else f"{digits(k, 2)} ({v})" for v, k in zip(values, marks, strict=True))
        yield option.name, *cells, "not known" if total is None else digits(total, 2)
