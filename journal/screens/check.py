"""What every rule says of a revision."""

from __future__ import annotations

from typing import Any

from calc.finding import Finding, Status
from calc.machine.catalogue import RECORDED
from journal.review.verdict import ACCEPTABLE, Review, headline, passed, ways
from journal.screens.terminal import Terminal, plain, revision_title, screen

#: Over findings whose silence can kill.
DEADLY = "Not known, and it can kill: find this out first"
#: Words carry the meaning; the style only helps those who see it.
_STYLE = {
    Status.DANGER: "bold reverse",
    Status.FAIL: "bold",
    Status.MARGINAL: "italic",
    Status.UNKNOWN: "dim",
    Status.OK: "",
}
_WEAK = ("seller's claim", "estimate")


def _data(review: Review) -> dict[str, Any]:
    findings = [
        {**plain(f), "accepted_by": accepted_by(review, f), "of_reading": f.of_reading} for f in review.findings
    ]
    return {"revision": review.revision.ref, "findings": findings}


def accepted_by(review: Review, finding: Finding) -> str | None:
    """The decision that accepts a finding, where it is one that can be accepted."""
    decision = review.accepted.get(finding.key)
    return decision.ref if decision and finding.status in ACCEPTABLE else None


@screen(_data)
def show_check(out: Terminal, review: Review, *, everything: bool = False) -> None:
    """Findings, worst first; what passed in one line each unless everything is asked for."""
    out.title(revision_title(review.revision))
    _findings(out, review, everything)
    _readings(out, review)
    if not everything:
        _unknown(out, review)
        checked, stated = passed(review)
        out.block("Within limits as far as checked", map(headline, checked))
        out.block("Stated on the sheet, not checked", (f"{headline(f)}: {f.says}" for f in stated))
    _ground(out, review, everything)
    counts = ", ".join(f"{len(review.with_status(s))} {s}" for s in Status if review.with_status(s))
    out.line()
    out.line(f"{counts}. Only what is listed was checked; local rules and licensed people have the last word.")


def _findings(out: Terminal, review: Review, everything: bool) -> None:
    """Each finding at length; what is not known and can kill after the dangers; a shared caution is said once."""
    brief = () if everything else (Status.OK, Status.UNKNOWN)
    cautions: set[str] = set()
    named = everything
    for finding in review.findings:
        if not named and finding.status is not Status.DANGER:
            named = True
            _deadly(out, review)
        if finding.status in brief or finding.of_reading:
            continue
        _head(out, finding, accepted_by(review, finding))
        caution = "" if finding.caution in cautions else finding.caution
        for line in _lines(finding, caution, everything):
            out.indent(line)
        cautions.add(finding.caution)


def _deadly(out: Terminal, review: Review) -> None:
    out.block(DEADLY, (f"{headline(f)}. {_wanted(f)}" for f in review.deadly))


def _readings(out: Terminal, review: Review) -> None:
    """What readings say beside the computed machine: first those that disagree."""
    for title, status in (
        ("Readings that do not fit the computed machine", Status.MARGINAL),
        ("Readings that fit it", Status.OK),
        ("Readings that settle nothing", Status.UNKNOWN),
    ):
        told = review.of_readings(status)
        out.block(title, (f"{f.subject.partition('.')[2]}: {_wanted(f)}" for f in told))
        if told and status is Status.MARGINAL:
            out.indent(f"What to do: {told[0].remedy}")


def _head(out: Terminal, f: Finding, accepted: str | None) -> None:
    out.line()
    by = f"  (accepted by {accepted})" if accepted else ""
    out.pieces((f"{f.status}: ", _STYLE[f.status]), (headline(f), "bold"), (f"  {f.rule}", "dim"), (by, ""))


def _lines(f: Finding, caution: str, everything: bool) -> list[str]:
    lines = [" ".join(filter(None, [f.says, ways(f)]))]
    if f.remedy:
        lines.append(f"To put it right: {f.remedy}")
    if caution:
        lines.append(f"Take care: {caution}")
    if everything:
        used = "; ".join(f"{i.meaning} {i.shown} ({i.provenance})" for i in f.inputs)
        lines += [f"Used: {used}."] if used else []
        lines.append("Source: " + "; ".join(str(s) for s in f.sources) + ".")
    return lines


def _unknown(out: Terminal, review: Review) -> None:
    """What else cannot be judged: what can hurt people first."""
    unknown = [f for f in review.with_status(Status.UNKNOWN) if not f.deadly]
    for title, some in (
        ("Not known, and people can be hurt by it", [f for f in unknown if _hurts(f)]),
        ("Cannot be judged yet", [f for f in unknown if not _hurts(f)]),
    ):
        out.block(title, (f"{headline(f)}. {_wanted(f)}" for f in some))


def _hurts(f: Finding) -> bool:
    from calc.rules import RULES

    return any(rule.caution for rule in RULES if rule.id == f.rule)


def _wanted(f: Finding) -> str:
    # What a record of a reading lacks is no name of the sheet, so there the sentence says more.
    on_sheet = [path for path in f.missing if path.partition(".")[0] not in RECORDED]
    return f"Missing: {', '.join(on_sheet)}." if on_sheet else f.says


def _ground(out: Terminal, review: Review, everything: bool) -> None:
    """What all findings together rest on: claims and estimates, and assumptions made for the builder."""
    inputs = {i.path: i for f in review.findings for i in f.inputs}
    weak = [f"{i.meaning}: {i.shown} ({i.provenance})" for i in inputs.values() if i.provenance in _WEAK]
    assumed = list(dict.fromkeys(a for f in review.findings for a in f.assumptions))
    if everything:
        out.block("These findings rest on claims and estimates", weak)
        out.block("Assumed, because the sheet does not say", assumed)
    elif weak or assumed:
        out.line()
        out.line(
            f"They rest on {len(weak)} claims and estimates of yours and on {len(assumed)} assumptions made for you. "
            f"Read them with: galebook check {review.revision.ref} --all"
        )
