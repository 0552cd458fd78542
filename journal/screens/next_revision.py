"""Ways to the next revision, side by side."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from calc.finding import Status, first_sentence
from calc.machine.system import KeyFigure
from calc.rules.plan import CLAIM
from calc.units import show
from calc.wording import number_of
from journal.review.counsel import listed, titles
from journal.review.next_revision import Offered, Proposal
from journal.review.wording import figure_data, range_text
from journal.screens.terminal import Terminal, plain, revision_title, screen

MONEY = "least money"
_ASKING = (Status.DANGER, Status.FAIL, Status.MARGINAL)


def _data(found: Proposal) -> dict[str, Any]:
    return {
        "revision": found.old.revision.ref,
        "matters": found.matters,
        "keep": found.keep,
        "tried": found.tried,
        "stands_in_the_way": found.stands,
        "ways": [
            {
                "number": w.number,
                "name": w.name,
                **plain(w.way),
                "yearly_energy": w.energy and figure_data(w.energy),
                "charging_wind": w.charging and figure_data(w.charging),
                "findings": {str(s): len(w.review.with_status(s)) for s in Status},
                "gives_up": w.gives_up,
            }
            for w in found.ways
        ],
    }


@screen(_data)
def show_proposal(out: Terminal, found: Proposal) -> None:
    """The ways in a table, then what each changes, what all of them change, and what is left to find out."""
    ref = found.old.revision.ref
    out.title(f"From {revision_title(found.old.revision)} to the next")
    if not found.ways:
        _none(out, found)
        return
    many = "One way leaves" if len(found.ways) == 1 else f"{len(found.ways)} ways that differ in kind leave"
    kept = f" with {', '.join(found.keep)} kept" if found.keep else ""
    out.line(
        f"{many} no danger{kept}; {found.matters} first. "
        f"{number_of(found.tried, 'machine was', 'machines were')} solved and judged."
    )
    if found.matters == MONEY and all(w.way.cost is None for w in found.ways):
        out.line("No price is on the sheet, so money could not be weighed.")
    out.line()
    out.table(("", *(f"{w.number}  {w.name}" for w in found.ways)), _rows(found))
    shared = _shared(found)
    if shared and len(found.ways) > 1:
        out.heading("All of them")
        for says in shared:
            out.hang("   ", says, 3)
    for w in found.ways:
        own = [s for s in w.way.steps if len(found.ways) == 1 or s.says not in shared]
        if own:
            out.heading(f"{w.number}  {w.name[0].upper()}{w.name[1:]}")
        for step in own:
            needed = titles(w.review, step.needed) or titles(found.old, step.needed)
            out.hang("   ", step.says, 3)
            if needed:
                out.hang("      ", f"Without it: {listed(needed, 3)}.", 6)
    _open(out, found)
    out.line()
    out.line(f"Leaving out any one of these changes was tried too. Make a draft of one: galebook next {ref} --write 1")
    out.line("Only what is listed was checked; local rules and licensed people have the last word.")


def _none(out: Terminal, found: Proposal) -> None:
    """Why there is no way."""
    if not found.stands:
        unknown, deadly = len(found.old.with_status(Status.UNKNOWN)), len(found.old.deadly)
        out.line(
            f"Nothing that was judged asks for a change; {number_of(unknown, 'finding is', 'findings are')} "
            f"not known, of which {deadly} can kill."
        )
        out.line(f"See: galebook missing {found.old.revision.ref}")
        return
    names = titles(found.old, [(rule, subject) for rule, subject, _ in found.stands])
    stands = listed(names) or "nothing that can be changed on the sheet"
    out.line(
        "No set of changes that was tried leaves it without danger; "
        f"{number_of(found.tried, 'machine was', 'machines were')} looked at."
    )
    out.line(f"In the way: {stands}.")
    if found.keep:
        out.line(f"It may go if less is kept: {', '.join(found.keep)}.")


def _rows(found: Proposal) -> list[tuple[str, ...]]:
    cells: list[tuple[str, Callable[[Offered], str]]] = [
        ("Changes", lambda w: str(len(w.way.steps))),
        ("Energy in a year", lambda w: _figure(w.energy)),
        ("Charging begins at", lambda w: _figure(w.charging)),
        ("Dangers, fails, marginal", _counted),
        ("Not known, can kill", lambda w: str(len(w.review.deadly) or "-")),
        ("More cable", lambda w: show(w.way.metal, "kg", 2) if w.way.metal > 0 else "-"),
        ("Gives up", lambda w: "; ".join(w.gives_up) or "-"),
    ]
    if any(w.way.cost is not None for w in found.ways):
        cells.insert(5, ("Cable costs more", lambda w: "-" if w.way.cost is None else f"{w.way.cost:.0f}"))
    rows = [(title, *(of(w) for w in found.ways)) for title, of in cells]
    return [row for row in rows if set(row[1:]) != {"-"}]


def _figure(f: KeyFigure | None) -> str:
    if f is None:
        return "not known"
    ends = "" if math.isnan(f.low) else f" ({range_text(f.low, f.high, f.unit)})"
    return f"{show(f.value, f.unit, 2)}{ends}"


def _counted(w: Offered) -> str:
    """Findings of the machine itself; what was claimed of it no change can make true."""
    each = [[f for f in w.review.with_status(s) if not f.subject.startswith(CLAIM)] for s in _ASKING]
    return ", ".join(str(len(some)) for some in each)


def _shared(found: Proposal) -> list[str]:
    """What every way does."""
    first, *others = ([s.says for s in w.way.steps] for w in found.ways)
    return [says for says in first if all(says in other for other in others)]


def _open(out: Terminal, found: Proposal) -> None:
    """What none of the ways settles: fails that stay, and what can kill and is not known."""
    best = found.ways[0]
    left = titles(best.review, [(rule, subject) for rule, subject, _ in best.way.left])
    if left:
        out.block("Left all the same", [f"{listed(left)}."])
    deadly = [f"{f.title}: {first_sentence(f.remedy or f.says)}" for f in best.review.deadly]
    out.block("Not known, and it can kill: find this out first", deadly)
