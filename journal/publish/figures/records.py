"""Picture of what the checks said of one or two revisions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from calc.finding import WORST_FIRST, Finding, Status
from calc.wording import number_of
from journal.book.shown import remembered
from journal.publish.figures.canvas import FAINT, INK, LIGHT, MIDDLE, SIZE, SOFT, Picture, plain, sheet
from journal.publish.story import Checked
from journal.review.verdict import of_machine

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: How each status is drawn: marker, fill, size.
MARKS = {
    Status.DANGER: ("X", INK, 13),
    Status.FAIL: ("s", MIDDLE, 10),
    Status.MARGINAL: ("^", LIGHT, 10),
    Status.UNKNOWN: ("?", INK, 0),
    # Said by the sheet and held against nothing: a ring that is empty.
    Status.STATED: ("o", "white", 8),
    Status.OK: (".", INK, 8),
}
#: Most marks in a row; of more findings the worst are drawn and the rest counted.
MOST = 12
#: StatusMarks in a row that the key, and the name of a revision with its dangers, take the room of.
WIDEST_KEY, LEAST_WIDE = 16.0, 8
#: What a group of the sheet is called here, where its own name says too little.
NAMES = {"claim": "claims", "measured": "readings", "storage": "battery", "dump": "dump load", "cable": "cables",
         "load": "loads", "energy": "year's energy"}  # fmt: skip


@dataclass(frozen=True)
class StatusMarks:
    """What the checks said of one revision: of each finding its group and status, and the titles of the dangers."""

    ref: str
    each: tuple[tuple[str, Status], ...]
    dangers: tuple[str, ...]


def findings(reviews: Sequence[Checked]) -> Picture | None:
    """What the checks said of one or two revisions: one mark for each finding; None if there are no findings.

    Parameters
    ----------
    reviews : sequence of Checked
        One revision, or an older and a newer one.
    """
    told = tuple(
        StatusMarks(
            r.revision.ref,
            tuple((_group(f), f.status) for f in of_machine(r.findings)),
            tuple(dict.fromkeys(f.title.lower() for f in r.with_status(Status.DANGER))),
        )
        for r in reviews
        if of_machine(r.findings)
    )
    return _checked(told) if told else None


@remembered(2)
def _checked(told: tuple[StatusMarks, ...]) -> Picture:
    texts = []
    for r in told:
        counts = Counter(status for _, status in r.each)
        texts.append(f"{r.ref}: {', '.join(f'{counts[s]} {s}' for s in WORST_FIRST if counts[s])}.")
    newest = told[-1]
    texts += [f"Danger in {newest.ref}: {', '.join(newest.dangers)}."] if newest.dangers else []
    return Picture(
        f"findings-{told[-1].ref}",
        f"What the checks say, {' and '.join(r.ref for r in told)}",
        f"One mark for each finding, by what it is about. {' '.join(texts)}",
        partial(_findings, told),
    )


def _findings(reviews: Sequence[StatusMarks]) -> Figure:
    groups = list(dict.fromkeys(group for r in reviews for group, _ in r.each))
    rows = {
        (i, g): sorted((status for group, status in r.each if group == g), key=WORST_FIRST.index)
        for i, r in enumerate(reviews)
        for g in groups
    }
    most = [max(min(len(rows[i, g]), MOST) for g in groups) for i in range(len(reviews))]
    figure, (axes,) = sheet(1.9 + 0.31 * len(groups))
    marks: list[tuple[Status, float, float]] = []
    gap = 1.8
    starts = [0.0]
    for wide in most[:-1]:
        starts.append(starts[-1] + max(wide, LEAST_WIDE) + gap)
    right = starts[-1] + max(most[-1], LEAST_WIDE)
    for y, g in enumerate(groups):
        axes.axhline(-y, color=FAINT, linewidth=0.6, zorder=0)
        for i, start in enumerate(starts):
            every = rows[i, g]
            shown = every if len(every) <= MOST else every[: MOST - 3]
            for n, status in enumerate(shown):
                marks.append((status, start + n, float(-y)))
            if len(shown) < len(every):
                axes.annotate(f"+{len(every) - len(shown)}", (start + MOST - 3.3, -y), ha="left", va="center")
    for i, (r, start) in enumerate(zip(reviews, starts, strict=True)):
        axes.annotate(_dangers(r), (start - 0.3, 1.0), weight="bold", ha="left", va="center")
        if i:
            axes.plot([start - (gap + 1) / 2] * 2, [1.4, 0.6 - len(groups)], color=SOFT, linewidth=0.8)
    _mark(axes, [*marks, *_key(axes, max(right, WIDEST_KEY), -len(groups) - 0.4)])
    axes.set_xlim(-0.8, max(right, WIDEST_KEY))
    axes.set_ylim(-len(groups) - 2.0, 1.6)
    axes.set_yticks([-y for y in range(len(groups))], [plain(NAMES.get(g, g)) for g in groups])
    axes.tick_params(axis="y", length=0)
    axes.set_xticks([])
    for spine in axes.spines.values():
        spine.set_visible(False)
    return figure


def _dangers(r: StatusMarks) -> str:
    """The revision, and how many dangers it has: that number must not be searched for."""
    count = sum(status is Status.DANGER for _, status in r.each)
    return f"{plain(r.ref)}: {number_of(count, 'danger') if count else 'no dangers'}"


def _group(f: Finding) -> str:
    return f.subject.partition(".")[0]


def _mark(axes: Axes, marks: Sequence[tuple[Status, float, float]]) -> None:
    """Draw marks by their status, across and up; those of one status at once, for there are hundreds."""
    for status, (marker, fill, size) in MARKS.items():
        at = [(x, y) for s, x, y in marks if s is status]
        if marker == "?":
            for place in at:
                axes.annotate(marker, place, ha="center", va="center", weight="bold", zorder=4)
        elif at:
            axes.plot(*zip(*at, strict=True), marker=marker, linestyle="none", color=INK, markerfacecolor=fill,
                      markersize=size, markeredgewidth=1.1, zorder=3)  # fmt: skip


#: The key: what each mark is called, in two rows, and where its three columns begin as shares of the width.
_KEY = (("danger", "fail", "marginal"), ("unknown", "ok", "stated, not checked"))
_COLUMNS = (0.0, 0.3, 0.52)


def _key(axes: Axes, right: float, y: float) -> list[tuple[Status, float, float]]:
    """Words of the key; gives the marks that belong beside them."""
    marks = []
    for row, names in enumerate(_KEY):
        for share, name in zip(_COLUMNS, names, strict=True):
            x, at = share * right - 0.3, y - 0.95 * row
            marks.append((Status(name.partition(",")[0]), x, at))
            axes.annotate(name, (x, at), xytext=(12, 0), textcoords="offset points", va="center", fontsize=SIZE)
    return marks
