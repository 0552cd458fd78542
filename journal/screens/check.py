"""What every rule says of a revision: what to do first, then the rest in a line each."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

from calc.finding import Finding, Status
from calc.machine.catalogue import RECORDED
from calc.rules.plan import CLAIM, ToDo
from journal.review.counsel import (
    MOST_NAMED,
    goes_with,
    in_order,
    lead,
    left_over,
    listed,
    quiet,
    shifted,
    short,
    titles,
    verdict_of,
)
from journal.review.verdict import ACCEPTABLE, Review, headline, ways
from journal.screens.terminal import Terminal, plain, revision_title, screen

#: Over findings whose silence can kill.
DEADLY = "Not known, and it can kill: find this out first"
#: Words carry the meaning; the style only helps those who see it.
_STYLE = {
    Status.DANGER: "bold reverse",
    Status.FAIL: "bold",
    Status.MARGINAL: "italic",
    Status.UNKNOWN: "dim",
    Status.STATED: "",
    Status.OK: "",
}
#: Things to do that are told in full beside dangers; the others by name, so that a screen is read.
SHOWN = 5
_WEAK = ("seller's claim", "estimate")


def _data(review: Review) -> dict[str, Any]:
    findings = [
        {**plain(f), "accepted_by": accepted_by(review, f), "of_reading": f.of_reading} for f in review.findings
    ]
    verdict = verdict_of(review)
    lost = {"lost": review.sheet.lost} if review.sheet.lost else {}
    return {
        "revision": review.revision.ref, "verdict": asdict(verdict), "plan": review.plan, "findings": findings, **lost,
    }  # fmt: skip


def accepted_by(review: Review, finding: Finding) -> str | None:
    """The decision that accepts a finding, where it is one that can be accepted."""
    decision = review.accepted.get(finding.key)
    return decision.ref if decision and finding.status in ACCEPTABLE else None


@screen(_data)
def show_check(out: Terminal, review: Review) -> None:
    """The verdict in a line, the few things to do in order, and the rest by name."""
    state = ": as built" if review.revision.frozen_at else ""
    out.title(f"{revision_title(review.revision)}{state}")
    out.line(verdict_of(review).text, "bold")
    out.line()
    _todos(out, review)
    if review.plan.todos or review.deadly:
        out.line()
    for title, text in _rest(review):
        out.hang(f"{title}: ", text, 2)
    _ground(out, review)


def _todos(out: Terminal, review: Review) -> None:
    told_deadly = not review.deadly
    todos = review.plan.todos
    dangers = sum(todo.status is Status.DANGER for todo in todos)
    shown = max(dangers, SHOWN if len(todos) > SHOWN + 1 else len(todos))
    for number, todo in enumerate(todos[:shown], 1):
        if not told_deadly and todo.status is not Status.DANGER:
            told_deadly = True
            _deadly(out, review)
        _todo(out, review, number, todo)
    if not told_deadly:
        _deadly(out, review)
    then = [f.key for todo in todos[shown:] if (f := lead(review, todo)) is not None]
    if then:
        out.hang("Then, in this order: ", _named(review, list(map(review.by_key.__getitem__, then)), MOST_NAMED), 2)


def _deadly(out: Terminal, review: Review) -> None:
    names = ", ".join(titles(review, (f.key for f in review.deadly)))
    out.hang("?  ", f"NOT KNOWN, AND IT CAN KILL  {names}. See: galebook missing {review.revision.ref}", 3, "bold")


def _todo(out: Terminal, review: Review, number: int, todo: ToDo) -> None:
    """What is wrong, what to do about it, and what that changes."""
    leads = lead(review, todo)
    if leads is None:
        return
    accepted = accepted_by(review, leads)
    by = f" (accepted by {accepted})" if accepted else ""
    out.hang(f"{number}  {todo.status.upper()}  ", f"{leads.first}{by} {ways(leads)}".rstrip(), 3, _STYLE[todo.status])
    if todo.remedies:
        # What hurts is seen to whatever the year comes to.
        out.hang("   Do:  ", short(todo, energy=not leads.caution), 8)
    else:
        out.hang("   ", f"No single change settles it; see: galebook check {review.revision.ref} {leads.rule}", 3)
    text = " ".join(filter(None, [goes_with(review, todo), shifted(todo) if number == 1 else ""]))
    if text:
        out.hang("   ", text, 3)


def _rest(review: Review) -> list[tuple[str, str]]:
    """What asks for less than doing something now, a line for each kind."""
    planned = {key for t in review.plan.todos for key in (*t.settles, *t.clears)}
    bad = review.with_status(Status.FAIL, Status.DANGER)
    claims = [f for f in bad if f.subject.startswith(CLAIM)]
    other = [f for f in bad if f.key not in planned and not f.subject.startswith(CLAIM)]
    unknown = sorted((f for f in review.with_status(Status.UNKNOWN) if not f.deadly), key=lambda f: not _hurts(f))
    rows = [
        ("When all is done", left_over(review, review.plan)),
        ("Claims", " ".join(f.first for f in {c.subject: c for c in reversed(claims)}.values())),
        ("Cleared on the way", _named(review, other)),
        ("Worth a look", _named(review, review.with_status(Status.MARGINAL), 2)),
        ("Readings that do not fit", listed([_label(f) for f in review.of_readings(Status.MARGINAL)])),
        ("Unknown, can hurt" if unknown and _hurts(unknown[0]) else "Unknown", _named(review, unknown, 2)),
    ]
    return [(title, text) for title, text in rows if text]


def _label(f: Finding) -> str:
    return f.subject.partition(".")[2]


def _named(review: Review, findings: list[Finding], most: int = 4) -> str:
    return f"{listed(titles(review, (f.key for f in findings)), most)}." if findings else ""


def _ground(out: Terminal, review: Review) -> None:
    """What the verdict rests on, and where the rest is."""
    ref = review.revision.ref
    if review.sheet.lost:
        out.line(lost_text(review))
    out.line(f"{quiet(review)}. In full: galebook check {ref} --all")
    out.line("Only what is listed was checked. Local rules and licensed people decide.")


def lost_text(review: Review) -> str:
    """What was kept of a logger and is not there any more, and what that leaves out."""
    without = "" if review.sheet.curve else ", so the measured curve is not judged"
    return f"{review.sheet.lost}{without}. See: galebook doctor"


def assumptions(review: Review) -> list[str]:
    """What was assumed for the builder, each once."""
    return list(dict.fromkeys(a for f in review.findings for a in f.assumptions))


def claimed(review: Review) -> list[str]:
    """Claims and estimates that findings rest on, each once."""
    inputs = {i.path: i for f in review.findings for i in f.inputs}
    return [f"{i.meaning}: {i.shown} ({i.provenance})" for i in inputs.values() if i.provenance in _WEAK]


@dataclass
class _Notes:
    """Assumptions and sources, numbered as they are first cited."""

    known: dict[str, int] = field(default_factory=dict)

    def cite(self, texts: tuple[str, ...] | list[str]) -> str:
        """Their numbers."""
        return ", ".join(str(self.known.setdefault(t, len(self.known) + 1)) for t in texts)

    def lines(self) -> list[str]:
        """All that was cited, each with its number."""
        return [f"{n}  {text}" for text, n in self.known.items()]


@screen(_data)
def show_findings(out: Terminal, review: Review) -> None:
    """Every finding in full; what they all rest on once, numbered."""
    out.title(revision_title(review.revision))
    out.line(verdict_of(review).text, "bold")
    assumed, sources = _Notes(), _Notes()
    cautions: set[str] = set()
    for finding in review.findings:
        _head(out, finding, accepted_by(review, finding))
        for line in _body(review, finding):
            out.indent(line)
        if finding.caution and finding.caution not in cautions:
            out.indent(f"Take care: {finding.caution}")
            cautions.add(finding.caution)
        used = "; ".join(f"{i.path} {i.shown} ({i.provenance})" for i in finding.inputs if i.provenance != "assumed")
        for title, text in (
            ("Used", used),
            ("Assumed", assumed.cite(finding.assumptions)),
            ("Sources", sources.cite([str(s) for s in finding.sources])),
        ):
            if text:
                out.indent(f"{title}: {text}.")
    if review.sheet.lost:
        out.line(lost_text(review))
    out.block("Claims and estimates of yours", claimed(review))
    out.block("Assumed, because the sheet does not say", assumed.lines())
    out.block("Sources", sources.lines())
    out.line()
    out.line("Only what is listed was checked; local rules and licensed people have the last word.")


@dataclass(frozen=True)
class Asked:
    """The findings of one rule that somebody asked for, with the review they come from."""

    review: Review
    findings: list[Finding]


def _asked_data(asked: Asked) -> dict[str, Any]:
    return {"revision": asked.review.revision.ref, "findings": asked.findings}


@screen(_asked_data)
def show_finding(out: Terminal, asked: Asked) -> None:
    """The findings of one rule in full, with inputs, assumptions and sources."""
    out.title(revision_title(asked.review.revision))
    for finding in asked.findings:
        _head(out, finding, accepted_by(asked.review, finding))
        for line in _body(asked.review, finding):
            out.indent(line)
        if finding.caution:
            out.indent(f"Take care: {finding.caution}")
        out.block(
            "Used", (f"{i.path}: {i.shown} ({i.provenance})" for i in finding.inputs if i.provenance != "assumed")
        )
        out.block("Assumed, because the sheet does not say", finding.assumptions)
        out.block("Sources", map(str, finding.sources))


def _head(out: Terminal, f: Finding, accepted: str | None) -> None:
    out.line()
    by = f"  (accepted by {accepted})" if accepted else ""
    out.pieces((f"{f.status}: ", _STYLE[f.status]), (headline(f), "bold"), (f"  {f.rule}", "dim"), (by, ""))


def _body(review: Review, f: Finding) -> list[str]:
    """What a finding says, how sure it is, what else there is to know, and what to do about it."""
    lines = [" ".join(filter(None, [f.says, ways(f)]))]
    if f.more:
        lines.append(f.more)
    if f.remedy:
        lines.append(f"To do: {f.remedy}")
    if then := in_order(review, f):
        lines.append(f"In the order of check, when what comes before it is done: {then}")
    if f.missing and not f.remedy:
        lines.append(_wanted(f))
    return lines


def _hurts(f: Finding) -> bool:
    from calc.rules import RULES

    return any(rule.caution for rule in RULES if rule.id == f.rule)


def _wanted(f: Finding) -> str:
    # What a record of a reading lacks is no name of the sheet, so there the sentence says more.
    on_sheet = [path for path in f.missing if path.partition(".")[0] not in RECORDED]
    return f"Missing: {', '.join(on_sheet)}." if on_sheet else f.says
