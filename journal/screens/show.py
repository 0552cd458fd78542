"""What a terminal shows: tables for people, the same data as JSON for scripts. The only importer of rich."""

from __future__ import annotations

import dataclasses
import json
import math
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.status import Status as Status_
from rich.table import Table
from rich.text import Text
from sqlmodel import SQLModel

from calc.evidence.scores import FEWEST
from calc.finding import Finding, Source, Status
from calc.machine import catalogue
from calc.quantities import QUANTITIES
from calc.rules import RULES
from calc.units import digits, to_shown
from calc.units import show as number
from journal.book import sheet as sheets
from journal.book.tables import Build, Decision, Failure, History, Measurement, Numbered, Part, PartUse, Revision
from journal.review import overview as overviews
from journal.review import verdict as reviews
from journal.review.decisions import FIGURES, Matrix
from journal.review.electric import Diagram, Range, Years
from journal.review.explore import PowerCurve, Turning, Variation

if TYPE_CHECKING:
    # Loading every way of failing takes time that other screens need not spend.
    from calc.mechanisms.judge import Weighed
    from journal.review.predictions import Predictions
    from journal.review.why import Belief, Why

#: Words carry the meaning; the style only helps those who see it.
_STYLE = {
    Status.DANGER: "bold reverse",
    Status.FAIL: "bold",
    Status.MARGINAL: "italic",
    Status.UNKNOWN: "dim",
    Status.OK: "",
}
_WIDTH = 100
_WEAK = ("seller's claim", "estimate")


def _console() -> Console:
    return Console(width=None if sys.stdout.isatty() else _WIDTH, highlight=False, soft_wrap=False)


def working(what: str) -> Status_:
    """A sign on stderr that work goes on."""
    return Console(stderr=True).status(escape(what))


def _json(data: Any) -> None:
    json.dump(plain(data), sys.stdout, indent=2, ensure_ascii=False)
    sys.stdout.write("\n")


def plain(value: Any) -> Any:
    """Records, findings and dataclasses as what JSON can hold."""
    if isinstance(value, Source):
        return {"title": value.title, "place": value.place, "standing": value.standing}
    if isinstance(value, Numbered | Build):
        return plain(overviews.data_of(value))
    if isinstance(value, SQLModel):
        return plain(value.model_dump())
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    # JSON has no word for what is not finite.
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _table(*columns: str) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for column in columns:
        # A name that is cut in two cannot be copied.
        table.add_column(column, overflow="fold", no_wrap=column in ("", "Name", "Rule"))
    return table


def _row(table: Table, *cells: Any) -> None:
    table.add_row(*(c if isinstance(c, Text) else escape(str(c)) for c in cells))


def _status(status: Status) -> Text:
    return Text(str(status), style=_STYLE[status])


def builds(rows: list[Build], chosen: str | None, *, as_json: bool) -> None:
    """Builds, the chosen one marked."""
    if as_json:
        _json([{**overviews.data_of(b), "chosen": b.name == chosen} for b in rows])
        return
    table = _table("", "Build", "Purpose")
    for b in rows:
        _row(table, "*" if b.name == chosen else "", b.name, b.purpose or "")
    _console().print(table)


def overview(screen: overviews.Overview, *, as_json: bool) -> None:
    """A build on one screen."""
    if as_json:
        _json(
            {
                "build": screen.build.name,
                "revisions": [
                    {"ref": r.ref, "title": r.title, "frozen": bool(r.frozen_at), "findings": counts}
                    for r, counts, _ in screen.revisions
                ],
                "open_failures": [
                    {"ref": f.ref, "saw": f.saw, "next": loop.next_step, "how": loop.how}
                    for f, loop in screen.open_failures
                ],
                "open_decisions": [d.ref for d in screen.open_decisions],
                "due": [d.ref for d in screen.due],
            }
        )
        return
    out = _console()
    out.print(Text(screen.build.name, style="bold"))
    if screen.build.purpose:
        out.print(escape(screen.build.purpose))
    table = _table("", "Revision", "State", "Findings")
    for r, counts, _ in screen.revisions:
        said = ", ".join(f"{n} {status}" for status, n in counts.items())
        _row(table, r.ref, r.title or "", "as built" if r.frozen_at else "draft", said)
    out.print(table)
    newest = screen.revisions[-1][0].ref if screen.revisions else ""
    _block(out, f"Dangers on {newest}", [f"{title}: {says}" for title, says in screen.dangers])
    _block(
        out, "Failures still open",
        [f"{f.ref} {f.saw}\n   next, {loop.todo}: {loop.how}" for f, loop in screen.open_failures],
    )  # fmt: skip
    _block(out, "Decisions to take", [f"{d.ref} {d.question}" for d in screen.open_decisions])
    _block(out, "Decisions to look at again", [_due(d) for d in screen.due])


def _due(d: Decision) -> str:
    return f"{d.ref} accepted until {d.until}: {d.question}" if d.until else f"{d.ref} expected: {d.expected}"


def _block(out: Console, title: str, lines: list[str]) -> None:
    if lines:
        out.print()
        out.print(Text(title, style="bold"))
        for line in lines:
            out.print(Padding(escape(line), (0, 0, 0, 2)))


def record(view: overviews.View, *, as_json: bool) -> None:
    """One record with what belongs to it."""
    if as_json:
        _json(view.data)
        return
    out = _console()
    out.print(Text(view.heading, style="bold"))
    _facts(out, view.facts)
    for title, lines in view.sections:
        _block(out, title, lines)


def _facts(out: Console, facts: overviews.Facts) -> None:
    grid = Table.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for label, value in facts:
        grid.add_row(Text(label, style="dim"), escape(value))
    out.print(grid)


def listing(kind: str, rows: overviews.Listing, *, as_json: bool) -> None:
    """Records of one kind."""
    if as_json:
        _json(rows.data)
        return
    if not rows.rows:
        _console().print(f"No {kind} yet.")
        return
    table = _table(*rows.columns)
    for row in rows.rows:
        _row(table, *row)
    _console().print(table)


def history(rows: list[History], *, as_json: bool) -> None:
    """Changes, oldest first."""
    if as_json:
        _json(
            [
                {
                    **row.model_dump(exclude={"id", "build_id", "record_id"}),
                    "before": json.loads(row.before) if row.before else None,
                    "after": json.loads(row.after) if row.after else None,
                }
                for row in rows
            ]
        )
        return
    table = _table("When", "What", "Change", "Why")
    for row in rows:
        _row(table, overviews.day(row.at), f"{row.action} {row.ref}", _difference(row), row.why or "")
    _console().print(table)


def _difference(row: History) -> str:
    before: dict[str, Any] = json.loads(row.before) if row.before else {}
    after: dict[str, Any] = json.loads(row.after) if row.after else {}
    if row.action == "add":
        told = [after.get(k) for k in ("typed", "did", "saw", "question", "what", "name", "title", "said")]
        return next((str(t) for t in told if t), "")
    return "; ".join(
        f"{k}: {before.get(k, '')} -> {after.get(k, '')}"
        for k in dict.fromkeys([*before, *after])
        if before.get(k) != after.get(k)
    )


def sheet(of: Revision, values: sheets.RevisionSheet, *, as_json: bool) -> None:
    """The design sheet with provenance and doubt."""
    if as_json:
        _json(
            {
                "revision": of.ref,
                "frozen": bool(of.frozen_at),
                "values": [v.model_dump(exclude={"id", "revision_id"}) for v in values.values.values()],
            }
        )
        return
    out = _console()
    out.print(Text(f"{of.ref} {of.title or ''}", style="bold"))
    if not values.values:
        out.print(
            f'Nothing is set yet. Begin with: galebook sheet {of.ref} --edit, or galebook set rotor.diameter "2.2 m"'
        )
        return
    table = _table("Name", "Value", "From", "Doubt", "Meaning")
    for path, v in values.values.items():
        entry = sheets.entry_of(path)[0]
        doubt = ""
        if v.number is not None:
            doubt = v.doubt or ("" if entry.exact else reviews.implied_doubt(v.provenance))
        _row(table, path, reviews.value_text(v) if v.number is not None else v.word, v.provenance, doubt, entry.meaning)
    out.print(table)


def missing(result: reviews.Review, *, as_json: bool) -> None:
    """Sheet values still missing, with what waits for them."""
    if as_json:
        _json(
            {
                "revision": result.revision.ref,
                "missing": [
                    {"path": path, "blocks": [{"rule": f.rule, "subject": f.subject} for f in findings]}
                    for path, findings in result.missing.items()
                ],
            }
        )
        return
    if not result.missing:
        _console().print(f"Nothing is missing that a rule needs on {result.revision.ref}.")
        return
    table = _table("Name", "Meaning", "Type it like", "Waiting for it")
    for path, findings in result.missing.items():
        entry = catalogue.catalogue()[catalogue.split(path)[0]]
        _row(table, path, entry.meaning, entry.example, "; ".join(dict.fromkeys(f.title for f in findings)))
    _console().print(table)


def names(about: str | None, *, measured: bool, as_json: bool) -> None:
    """Names the sheet knows, or quantities that can be measured."""
    table = _table("Name", "Meaning", "Accepted")
    data: list[Any] = []
    if measured:
        for q in QUANTITIES.values():
            if about is None or about in q.name:
                data.append(q)
                _row(table, q.name, q.meaning + (f" ({q.note})" if q.note else ""), f"like {q.example}")
    else:
        for entry in catalogue.catalogue().values():
            if not entry.recorded and (about is None or about in entry.path):
                data.append(entry)
                _row(table, entry.named("LABEL"), entry.meaning, entry.accepts)
    if as_json:
        _json(data)
    elif not data:
        _console().print(f"No name holds {about!r}.")
    else:
        _console().print(table)


def parts(of: Revision, rows: list[tuple[Part, PartUse]], *, as_json: bool) -> None:
    """The bill of materials."""
    from journal.book.parts import cost

    if as_json:
        _json(
            {
                "revision": of.ref,
                "parts": [{**overviews.data_of(p), "fate": u.fate, "fate_note": u.fate_note} for p, u in rows],
                "cost": cost(rows),
            }
        )
        return
    out = _console()
    if not rows:
        out.print(f"{of.ref} has no parts yet.")
        return
    table = _table("", "Part", "Role", "Condition", "Cost", "Mass", "Became")
    for p, u in rows:
        paid = f"{p.cost:g} {p.currency}" if p.cost is not None else ""
        mass = f"{p.mass:g} kg" if p.mass is not None else ""
        became = u.fate + (f": {u.fate_note}" if u.fate_note else "")
        _row(table, p.ref, p.name, p.role or "", p.condition or "", paid, mass, became)
    out.print(table)
    if total := cost(rows):
        out.print(f"Cost: {overviews.cost_text(total)}")


def options(view: overviews.DecisionView, matrix: Matrix | None, *, as_json: bool) -> None:
    """A decision's options side by side: figures, findings that fail, what each moves, and the weighted marks."""
    if as_json:
        _json({"ref": view.decision.ref, "question": view.decision.question, "options": view.options, "matrix": matrix})
        return
    out = _console()
    out.print(Text(f"{view.decision.ref} {view.decision.question}", style="bold"))
    if not view.options:
        out.print(f'No options yet. Add one with: galebook option {view.decision.ref} "..."')
        return
    table = _table("", *(f"{o.position}. {o.name}{_mark(o)}" for o in view.options))
    for name, figure in FIGURES.items():
        values = [_figure_text(o, name) for o in view.options]
        if any(values):
            _row(table, figure.meaning, *(v or "not known" for v in values))
    out.print(table)
    for o in view.options:
        _option(out, o)
    if matrix is not None:
        _matrix(out, matrix)


def _mark(o: overviews.Weighed) -> str:
    return " (chosen)" if o.chosen else " (refused: people can be hurt)" if o.refused else ""


def _figure_text(o: overviews.Weighed, name: str) -> str:
    if name == "cost":
        return o.cost
    value = o.mass if name == "mass" else o.figures.get(name)
    return "" if value is None else number(value, FIGURES[name].unit)


def _option(out: Console, o: overviews.Weighed) -> None:
    out.print()
    out.print(Text(f"{o.position}. {o.name}{_mark(o)}", style="bold"))
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
        out.print(Padding(escape(line), (0, 0, 0, 3)))


def _matrix(out: Console, m: Matrix) -> None:
    _heading(out, "Weighed by your criteria (marks 0 to 10)")
    table = _table("", *(f"{c.name} (weight {c.weight:g})" for c in m.criteria), "Total")
    for option, values, marks, total in zip(m.options, m.values, m.marks, m.totals, strict=True):
        cells = [v if k is None else f"{digits(k, 2)} ({v})" for v, k in zip(values, marks, strict=True)]
        _row(table, option.name, *cells, "not known" if total is None else digits(total, 2))
    out.print(table)
    if m.leader is None:
        out.print("Marks are missing, so nobody leads yet.")
    elif m.turning:
        out.print(f"{m.leader.name} leads, but not firmly: another draws level with {'; or with '.join(m.turning)}.")
    else:
        out.print(f"{m.leader.name} leads, and still does when any one weight is moved by 20 %.")


def review(result: reviews.Review, *, everything: bool, as_json: bool) -> None:
    """Findings, worst first; what passed in one line each unless everything is asked for."""
    if as_json:
        findings = [{**plain(f), "accepted_by": _accepted(result, f)} for f in result.findings]
        _json({"revision": result.revision.ref, "findings": findings})
        return
    out = _console()
    out.print(Text(f"{result.revision.ref} {result.revision.title or ''}".strip(), style="bold"))
    brief = () if everything else (Status.OK, Status.UNKNOWN)
    cautions: set[str] = set()
    for finding in result.findings:
        if finding.status not in brief:
            _finding(out, finding, _accepted(result, finding), finding.caution not in cautions, everything)
            cautions.add(finding.caution)
    if not everything:
        _unknown(out, result)
        checked, stated = reviews.passed(result)
        _block(out, "Within limits as far as checked", [reviews.headline(f) for f in checked])
        _block(out, "Stated on the sheet, not checked", [f"{reviews.headline(f)}: {f.says}" for f in stated])
    weak, assumed = _ground(result.findings)
    if everything:
        _block(out, "These findings rest on claims and estimates", weak)
        _block(out, "Assumed, because the sheet does not say", assumed)
    elif weak or assumed:
        out.print()
        out.print(
            f"They rest on {len(weak)} claims and estimates of yours and on {len(assumed)} assumptions made for you. "
            f"Read them with: galebook check {result.revision.ref} --all"
        )
    counts = ", ".join(f"{len(result.with_status(s))} {s}" for s in Status if result.with_status(s))
    out.print()
    out.print(f"{counts}. Only what is listed was checked; local rules and licensed people have the last word.")


def _unknown(out: Console, result: reviews.Review) -> None:
    """What cannot be judged: what can hurt people first."""
    for title, some in (
        ("Not known, and people can be hurt by it", [f for f in result.with_status(Status.UNKNOWN) if _hurts(f)]),
        ("Cannot be judged yet", [f for f in result.with_status(Status.UNKNOWN) if not _hurts(f)]),
    ):
        _block(out, title, [f"{reviews.headline(f)}. {_wanted(f)}" for f in some])


def _hurts(f: Finding) -> bool:
    return any(rule.caution for rule in RULES if rule.id == f.rule)


def _wanted(f: Finding) -> str:
    return f"Missing: {', '.join(f.missing)}." if f.missing else f.says


def _accepted(result: reviews.Review, finding: Finding) -> str | None:
    decision = result.accepted.get(finding.key)
    return decision.ref if decision and finding.status in reviews.ACCEPTABLE else None


def _finding(out: Console, f: Finding, accepted: str | None, caution: bool, everything: bool) -> None:
    out.print()
    head = Text.assemble((f"{f.status}: ", _STYLE[f.status]), (reviews.headline(f), "bold"), (f"  {f.rule}", "dim"))
    if accepted:
        head.append(f"  (accepted by {accepted})")
    out.print(head)
    lines = [" ".join(filter(None, [f.says, reviews.ways(f)]))]
    if f.remedy:
        lines.append(f"To put it right: {f.remedy}")
    if f.caution and caution:
        lines.append(f"Take care: {f.caution}")
    if everything:
        lines += [f"Used: {_used(f)}."] if f.inputs else []
        lines.append("Source: " + "; ".join(str(s) for s in f.sources) + ".")
    for line in lines:
        out.print(Padding(escape(line), (0, 0, 0, 2)))


def _used(f: Finding) -> str:
    return "; ".join(f"{i.meaning} {i.shown} ({i.provenance})" for i in f.inputs)


def _ground(findings: list[Finding]) -> tuple[list[str], list[str]]:
    """What all findings together rest on: claims and estimates, and assumptions made for the builder."""
    inputs = {i.path: i for f in findings for i in f.inputs}
    weak = [f"{i.meaning}: {i.shown} ({i.provenance})" for i in inputs.values() if i.provenance in _WEAK]
    assumed = list(dict.fromkeys(a for f in findings for a in f.assumptions))
    return weak, assumed


def comparison(c: reviews.Comparison, *, as_json: bool) -> None:
    """Two revisions side by side."""
    old, new = c.old.revision.ref, c.new.revision.ref
    if as_json:
        _json(
            {
                "old": old,
                "new": new,
                "changed": c.changed,
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
                "failures": [{"failure": a.failure.ref, "answered": a.answered, "how": a.how} for a in c.answers],
            }
        )
        return
    out = _console()
    out.print(Text(f"{old} and {new}", style="bold"))
    _heading(out, "What changed on the sheet")
    table = _table("What", old, new)
    both = [row for row in c.changed if row.old and row.new]
    for row in both:
        _row(table, row.meaning, row.old, row.new)
    out.print(table if both else "Nothing that both state.")
    for ref, rows in ((old, [(r.meaning, r.old) for r in c.changed if not r.new]),
                      (new, [(r.meaning, r.new) for r in c.changed if not r.old])):  # fmt: skip
        _block(
            out, f"Stated for {ref} only", ["; ".join(f"{meaning}: {value}" for meaning, value in rows)] if rows else []
        )
    _block(out, "Parts", _part_lines(c))
    _heading(out, "Findings")
    table = _table("What", old, new, "Turn")
    for t in c.turns:
        _row(table, reviews.headline(t), _cell(t.old), _cell(t.new), t.turn)
    out.print(table)
    if c.measured:
        _heading(out, "Measured")
        table = _table("What", old, new)
        for b in c.measured:
            _row(table, b.meaning, _readings(b.old), _readings(b.new))
        out.print(table)
    if c.answers:
        _block(out, f"Failures of {old}", [_answer(a, new) for a in c.answers])


def _heading(out: Console, title: str) -> None:
    out.print()
    out.print(Text(title, style="bold"))


def _part_lines(c: reviews.Comparison) -> list[str]:
    named = (("Gone", c.parts_gone), ("New", c.parts_new), ("Carried on", c.parts_kept))
    lines = [f"{title}: {', '.join(f'{p.ref} {p.name}' for p in some)}" for title, some in named if some]
    old, new = overviews.cost_text(c.cost_old), overviews.cost_text(c.cost_new)
    return [*lines, f"Cost: {old or 'not stated'} before, {new or 'not stated'} after"] if lines else []


def _cell(f: Finding | None) -> str:
    if f is None:
        return "does not apply"
    value = f", {digits(f.value)} {f.unit}".rstrip() if f.value is not None else ""
    return f"{f.status}{value}"


def _readings(some: list[Measurement]) -> str:
    return "\n".join(
        f"{m.ref}: {reviews.measured_text(m)}" + (f", {w}" if (w := overviews.wind_text(m)) else "") for m in some
    ) or "-"  # fmt: skip


def _answer(a: reviews.Answer, new: str) -> str:
    failure: Failure = a.failure
    return f"{failure.ref} {failure.saw}\n   answered by {new}: {a.answered}" + (f"; {a.how}" if a.how else "")


def rules(about: str | None, *, as_json: bool) -> None:
    """The rule book."""
    from calc.rules import RULES

    chosen = [r for r in RULES if about is None or about in r.id]
    if as_json:
        _json(
            [
                {
                    "id": r.id,
                    "title": r.title,
                    "subject": r.subject,
                    "needs": [e.path for e in r.needs],
                    "sources": r.sources,
                    "caution": r.caution,
                }
                for r in chosen
            ]
        )
        return
    table = _table("Rule", "What it checks", "Needs", "Sources")
    for r in chosen:
        _row(table, r.id, r.title, ", ".join(e.path for e in r.needs), "; ".join(str(s) for s in r.sources))
    _console().print(table if chosen else f"No rule holds {about!r}.")


def variation(v: Variation, *, everything: bool, as_json: bool) -> None:
    """Findings of every combination, those that move first."""
    if as_json:
        _json({"revision": v.revision.ref, "varied": v.paths, "combinations": v.combinations, "findings": v.rows})
        return
    out = _console()
    out.print(Text(f"{v.revision.ref}, varied: {', '.join(v.paths)}", style="bold"))
    rows = v.rows if everything else v.moving
    if not rows:
        out.print("No finding changes its verdict. See every value with --all.")
        return
    # People compare down a column: combinations run down, findings across.
    table = _table(*v.paths, *(r.title + _about(r.subject) for r in rows))
    for i, picked in enumerate(v.combinations):
        _row(table, *picked, *(_verdict(r.statuses[i], r.values[i], r.unit) for r in rows))
    out.print(table)


def _about(subject: str) -> str:
    return f" ({subject.partition('.')[2]})" if "." in subject else ""


def _verdict(status: Status, value: float | None, unit: str) -> str:
    return str(status) if value is None else f"{status}, {digits(value)} {unit}".rstrip()


def turning(t: Turning, *, as_json: bool) -> None:
    """Where a finding turns as one value grows."""
    if as_json:
        _json(
            {
                "revision": t.revision.ref,
                "rule": t.finding.rule,
                "subject": t.finding.subject,
                "path": t.path,
                "now": t.now,
                "turns": [{"value": v, "before": a, "after": b} for v, a, b in t.turns],
            }
        )
        return
    out = _console()
    out.print(Text(f"{reviews.headline(t.finding)}: {t.finding.status} at {t.path} = {t.now}", style="bold"))
    words = sheets.entry_of(t.path)[0].kind != "number"
    for value, before, after in t.turns:
        out.print(f"  {value}: {after}" if words else f"  from {value} on: {after}, before that {before}")
    if not t.turns:
        out.print("  It does not turn anywhere in the permitted range.")


def doubts(result: reviews.Review, *, as_json: bool) -> None:
    """Doubtful values that could still turn a verdict, the one that decides most first."""
    unsure = [f for f in result.findings if f.probability is not None and 0 < f.probability < 1 and f.ranking]
    totals: dict[str, float] = {}
    for f in unsure:
        for i in f.ranking:
            totals[i.path] = totals.get(i.path, 0.0) + i.share
    ranked = sorted(totals.items(), key=lambda item: -item[1])
    if as_json:
        _json(
            {
                "revision": result.revision.ref,
                "findings": [
                    {"rule": f.rule, "subject": f.subject, "probability": f.probability, "ranking": f.ranking}
                    for f in unsure
                ],
                "measure_next": [path for path, _ in ranked],
            }
        )
        return
    out = _console()
    if not unsure:
        out.print(
            f"No doubt decides a finding of {result.revision.ref}: every verdict holds however your values turn out."
        )
        return
    table = _table("Finding", "Verdict", "Fails in", "Decided most by")
    for f in unsure:
        by = "; ".join(
            f"{i.meaning.lower() if i.meaning[1:2].islower() else i.meaning} ({i.share:.0%})" for i in f.ranking[:3]
        )
        _row(table, reviews.headline(f), f.status, f"{100 * (f.probability or 0):.0f} of 100", by)
    out.print(table)
    out.print("To settle most, find out better: " + ", ".join(path for path, _ in ranked[:3]) + ".")


def power(curve: PowerCurve, *, as_json: bool) -> None:
    """The power curve, where the power goes, and the key figures with their ranges."""
    if as_json:
        _json(
            {
                "revision": curve.revision.ref,
                "figures": curve.figures,
                "curve": [{"wind_speed": v, **row} for v, row in zip(curve.winds, curve.rows, strict=True)],
                "forked": curve.forked,
            }
        )
        return
    out = _console()
    out.print(Text(f"{curve.revision.ref} {curve.revision.title or ''}".strip(), style="bold"))
    table = _table("", "Computed", "90 of 100 ways lie between")
    for f in curve.figures:
        _row(table, f.meaning, number(f.value, f.unit), f"{_two(f.low, f.unit)} and {_two(f.high, f.unit)}")
    out.print(table)
    _heading(out, "In each wind, once it runs")
    table = _table(
        "Wind m/s", "Speed rpm", "Tip ratio", "Rotor W", "Drag W", "Winding W", "Diodes W", "Cable W", "Battery W",
        "Dump W", "Current A",
    )  # fmt: skip
    for v, r in zip(curve.winds, curve.rows, strict=True):
        if v != int(v) or (curve.limit is not None and v > curve.limit + 0.99):
            continue
        shares = [_short(r[k]) for k in ("rotor", "drag", "copper", "diodes", "cable", "battery", "dump")]
        _row(table, f"{v:g}", f"{to_shown(r['omega'], 'rpm'):.0f}", digits(r["tsr"], 2), *shares, _short(r["current"]))
    out.print(table)
    if curve.limit is not None:
        out.print(
            f"From {number(curve.limit, 'm/s')} on the rotor is held back; the last row is taken to hold above it."
        )
    if curve.forked:
        out.print(
            f"From {digits(min(curve.forked))} to {digits(max(curve.forked))} m/s a rotor that comes from standstill "
            "stays slower than shown."
        )


def plots(curve: PowerCurve, drawings: Sequence[Callable[..., list[str] | None]]) -> None:
    """Small plots of a solved machine; what the terminal's encoding cannot show is drawn in plain characters."""
    from journal.screens.plots import can_show_blocks

    out = _console()
    for draw in drawings:
        for line in draw(curve, blocks=can_show_blocks(sys.stdout)) or ():
            out.print(Text(line), soft_wrap=True)


def _short(value: float) -> str:
    return digits(value, 3 if value >= 100 else 2) if value >= 0.05 else "0"


def _two(value: float, unit: str) -> str:
    return number(value, unit, 2)


def diagram(drawn: Diagram, *, as_json: bool) -> None:
    """The one-line diagram; its lines are not folded, for a folded one joins what is apart."""
    if as_json:
        _json({"revision": drawn.revision.ref, "lines": drawn.lines})
        return
    out = _console()
    for line in drawn.lines:
        for piece in _pieces(line):
            out.print(Text(piece), soft_wrap=True)


def _pieces(line: str) -> list[str]:
    """A line of the diagram with its facts carried on below where they do not fit."""
    pieces, rail = [], "  |" if line.lstrip().startswith(("+", "[", "|")) and not line.startswith("[ House") else ""
    while len(line) > _WIDTH:
        cut = line.rfind(", ", 0, _WIDTH) + 1
        if cut <= len(rail) + 8:
            break
        pieces.append(line[:cut])
        line = f"{rail:<8}{line[cut:].strip()}"
    return [*pieces, line]


def years(found: Years, *, as_json: bool) -> None:
    """The battery through the years: how much of the demand was met, the dark spells, and how deep it was used."""
    if as_json:
        _json({**plain(found), "revision": found.revision.ref})
        return
    out = _console()
    out.print(Text(f"{found.revision.ref} {found.revision.title or ''}".strip(), style="bold"))
    many = "1 year" if found.years == 1 else f"{found.years} years"
    out.print(f"{many} of wind, {found.weather}, {_two(found.mean_wind, 'm/s')} on average at the rotor.")
    table = _table("In a year", "Usual year", "In 8 of 10 years between")
    for name, spread, unit in (
        ("Share of the demand met", found.met, "%"),
        ("Hours without full supply", found.unmet, "h"),
        ("Longest dark spell", found.dark, "days"),
        ("Energy that came to the battery", found.generated, "kWh"),
        ("Energy the loads asked for", found.demanded, "kWh"),
        ("Energy into the dump load", found.dumped, "kWh"),
        ("Energy neither could take", found.refused, "kWh"),
        ("Full cycles of the usable part", found.cycles, ""),
    ):
        _row(table, name, _yearly(spread.middle, unit), _between(spread, unit))
    out.print(table)
    _heading(out, "Days of a year by how far the usable part of the battery was emptied")
    top = max(found.depth) or 1.0
    for tenth, days in enumerate(found.depth):
        bar = "#" * math.ceil(40 * days / top) if round(days) else ""
        out.print(f"  {10 * tenth:>3} to {10 * tenth + 10:>3} %  {bar} {days:.0f}".rstrip())
    out.print("Gusts within an hour are not seen, and the battery is taken to be the same in all seasons.")


def _between(spread: Range, unit: str) -> str:
    return f"{_yearly(spread.low, unit)} and {_yearly(spread.high, unit)}"


def _yearly(value: float, unit: str) -> str:
    # Shares near the whole need their third figure, for what is missing is what counts.
    return number(value, unit, 3 if unit == "%" and value > 0.9 else 2)


def _agreement(w: Weighed) -> str:
    if w.supports is None or w.contradicts is None:
        return ""
    top = max(w.supports, w.contradicts)
    share = "all" if top >= 0.995 else f"{100 * top:.0f} of 100"
    if w.verdict == "supported":
        return f" For it in {share} ways in which the doubts could turn out."
    if w.verdict == "contradicted":
        return f" Against it in {share} ways in which the doubts could turn out."
    if top < 0.005:
        return " It lies between what would speak for it and what against it."
    return f" For it in {100 * w.supports:.0f}, against it in {100 * w.contradicts:.0f} of 100 ways."


def _expected_range(w: Weighed) -> str:
    if not w.what or w.low is None or w.high is None or digits(w.low, 2) == digits(w.high, 2):
        return ""
    unit = "" if not w.unit else f" {w.unit}"
    return f" {w.what}, with all doubts allowed for: {digits(w.low, 2)} to {digits(w.high, 2)}{unit}."


def why(answer: Why, *, as_json: bool) -> None:
    """What the numbers say of a failure, beside what the builder believes."""
    f = answer.failure
    if as_json:
        _json({
            "failure": f.ref,
            "revision": answer.revision.ref,
            "on": answer.on,
            "symptoms": answer.symptoms,
            "taken": answer.taken,
            "conditions": answer.conditions,
            "mechanisms": answer.ranked,
            "beliefs": [
                {
                    "number": b.number,
                    "what": b.cause.what,
                    "said_on": b.cause.said_on,
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
                for b in answer.beliefs
            ],
            "rivals": answer.rivals,
            "next_measurement": answer.next_measurement,
            "look": answer.look,
        })  # fmt: skip
        return
    out = _console()
    out.print(Text(f"{f.ref} {f.saw} ({answer.revision.ref})", style="bold"))
    _indent(out, f"Taken as: {'; '.join(answer.symptoms)} ({answer.taken}).", 2)
    for line in answer.conditions:
        _indent(out, line, 2)
    _heading(out, f"What the numbers say, calculated {answer.on}; they prove nothing")
    for w in answer.ranked:
        partly = "" if len(w.explains) == len(answer.symptoms) else f"  (explains: {'; '.join(w.explains)})"
        out.print(Text(f"{w.verdict}: {w.title}  {w.id}{partly}", style="bold" if w.verdict == "supported" else ""))
        _indent(out, w.says + _expected_range(w) + _agreement(w), 2)
        for e in w.evidence:
            _indent(out, f"{e.label}, {e.leans if e.leans != 'neither' else 'for neither'}: {e.says}", 4)
        if w.verdict == "supported":
            _indent(out, "What answers it: " + "; or ".join(w.corrections) + ".", 2)
        elif w.supports is None and w.look:
            _indent(out, f"Look: {w.look}", 2)
    if answer.beliefs:
        _heading(out, "What was believed, beside it")
    for b in answer.beliefs:
        _belief(out, b)
    _heading(out, "What to measure next")
    _next(out, answer)


def _belief(out: Console, b: Belief) -> None:
    sure = "" if b.cause.sure is None else f", {b.cause.sure:.0%} sure"
    out.print(Text(f"{b.number}. {b.cause.said_on}: {b.cause.what} ({b.cause.standing}{sure})"))
    if b.weighed is None:
        _indent(out, "Means no mechanism known here; name one with galebook cause ... --mechanism.", 3)
        return
    _indent(out, f"Taken as: {b.weighed.title.lower()}  {b.mechanism} ({b.taken}).", 3)
    unfit = "" if b.explains else " It does not explain what was seen."
    _indent(out, f"The numbers: {b.weighed.verdict}. {b.weighed.says}{unfit}", 3)
    if b.advice:
        _indent(out, b.advice, 3)


def _next(out: Console, answer: Why) -> None:
    if answer.next_measurement is not None:
        _indent(out, f"Cheapest to separate the two that lead: {answer.next_measurement.says}", 2)
        if answer.next_measurement.caution:
            _indent(out, f"Take care: {answer.next_measurement.caution}", 2)
        return
    if len(answer.rivals) == 2:
        _indent(
            out,
            f"No single reading known here separates “{answer.rivals[0]}” from “{answer.rivals[1]}” with the ranges "
            "as they are.",
            2,
        )
    else:
        _indent(out, "No two explanations are left open that a reading could separate.", 2)
    for line in answer.look:
        _indent(out, f"Look. {line}", 2)


def _indent(out: Console, text: str, by: int) -> None:
    out.print(Padding(Text(text), (0, 0, 0, by)))


def predictions(record: Predictions, *, as_json: bool) -> None:
    """What was expected, what came of it, and the score of builder and tool."""
    if as_json:
        _json(
            {
                "predictions": [
                    {
                        "decision": d.ref,
                        "expected": d.expected,
                        "odds": d.odds,
                        "tool_odds": d.tool_odds,
                        "result": d.result,
                        "review_on": d.review_on,
                    }
                    for d in record.decisions
                ],
                "scores": record.scores,
            }
        )
        return
    out = _console()
    if not record.decisions:
        out.print('Nothing was expected of a decision yet. Say it when you choose: --expect "..." --odds 70%')
        return
    table = _table("", "Expected", "You", "By the numbers", "Came of it")
    for d in record.decisions:
        odds = (f"{p:.0%}" if p is not None else "" for p in (d.odds, d.tool_odds))
        came = d.result or (f"look again on {d.review_on}" if d.review_on else "not said yet")
        _row(table, d.ref, d.expected or "", *odds, came)
    out.print(table)
    for score in record.scores:
        out.print(score.words)
        if score.bins:
            table = _table("Odds given", "How many", "On average", "Came true")
            for b in score.bins:
                _row(table, f"{b.low:.0%} to {b.high:.0%}", str(b.count), f"{b.odds:.0%}", f"{b.came_true:.0%}")
            out.print(table)
    fewest = max(score.count for score in record.scores)
    if fewest < FEWEST:
        out.print(f"How each kind of odds came true is shown from {FEWEST} of a side on; fewer say little.")
