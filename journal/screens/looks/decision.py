"""A decision with its options."""

from __future__ import annotations

from sqlmodel import Session

from journal.book.tables import Decision
from journal.review.options import OptionView, view_decision
from journal.review.wording import day_text
from journal.screens.looks.look import RecordLook, View, known_facts
from journal.screens.terminal import record_data


def _row(session: Session, d: Decision, on: str) -> tuple[str, ...]:
    return on, d.question, day_text(d.decided_on) or "open", d.result or ""


def _view(session: Session, d: Decision) -> View:
    view = view_decision(session, d.ref)
    facts = known_facts(
        ("Revision", view.revision),
        ("Context", d.context),
        ("Replaces", view.supersedes),
        ("Decided", day_text(d.decided_on) or "not yet"),
        ("Because", d.because),
        ("Expected", d.expected),
        ("Odds given", f"{d.odds:.0%}" if d.odds is not None else None),
        ("Odds by the numbers", f"{d.tool_odds:.0%}" if d.tool_odds is not None else None),
        ("Look again", day_text(d.review_on or d.until)),
        ("Came of it", f"{d.result}{f': {d.result_note}' if d.result_note else ''}" if d.result else None),
        ("Private note", d.private_note),
    )
    data = {**record_data(d), "on": view.revision, "options": view.options}
    return View(f"{d.ref} {d.question}", facts, [("Options", [_option_line(o) for o in view.options])], data)


def _option_line(o: OptionView) -> str:
    mark = "chosen: " if o.chosen else "refused, people can be hurt: " if o.refused else ""
    sets = ", ".join(f"{k} = {v}" for k, v in o.changes.items())
    return f"{o.position}. {mark}{o.name}" + (f" ({sets})" if sets else "")


LOOK = RecordLook("decisions", Decision, ("On", "Question", "Decided", "Came of it"), _row, _view)
