"""Pictures of the records: when what happened, and what the checks said of two revisions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from calc.finding import WORST_FIRST, Finding, Status
from journal.book.days import earliest, is_vague, latest
from journal.book.shown import remembered
from journal.publish.figures.canvas import DARK, FAINT, INK, LIGHT, MIDDLE, SOFT, Picture, label, plain, sheet
from journal.publish.story import Chapter, Checked, Story
from journal.review.verdict import of_machine

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Lanes of the timeline, from the top.
LANES = ("revisions", "tried", "went wrong", "decided")
#: How an attempt or failure is drawn: marker, fill.
_TRIED = {"worked": ("o", DARK), "partly": ("o half", DARK), "failed": ("X", DARK), "still running": ("o", "white"),
          "not said": ("s", "white")}  # fmt: skip
#: What the marks mean, by lane, marker and fill.
_KEY = {
    (1, "o", DARK): "● worked",
    (1, "o half", DARK): "◐ partly",
    (1, "X", DARK): "✖ failed",
    (1, "o", "white"): "○ still running",
    (1, "s", "white"): "□ not said",
    (2, "v", DARK): "▼ closed",
    (2, "v", "white"): "▽ open",
    (3, "D", DARK): "◆ decided",
    (3, "D", "white"): "◇ accepted",
}


@dataclass(frozen=True)
class Event:
    """One thing that happened, from its first to its last day; of a vague one those between which it was."""

    lane: int
    ref: str
    first: date
    last: date
    marker: str = "o"
    fill: str = DARK
    vague: bool = False

    @property
    def at(self) -> date:
        """Where it is marked: its last day, or the middle of where it can have been."""
        return self.first + (self.last - self.first) / 2 if self.vague else self.last


def timeline(story: Story) -> Picture | None:
    """What was tried, went wrong and was decided, and on which revision; None if nothing has a date.

    Parameters
    ----------
    story : Story
        The whole build.
    """
    events = tuple(e for c in story.chapters for e in _events(c))
    return _history(tuple(_bars(story.chapters)), events, len(story.open)) if events else None


@remembered(2)
def _history(bars: tuple[Event, ...], events: tuple[Event, ...], still: int) -> Picture:
    first, last = min(e.first for e in events), max(e.last for e in events)
    attempts, failed = (sum(e.lane == lane for e in events) for lane in (1, 2))
    decided = sum(e.lane == 3 for e in events)
    alt = (
        f"From {first.isoformat()} to {last.isoformat()}: {_count(len(bars), 'revision')} "
        f"({', '.join(f'{b.ref} from {b.first.isoformat()}' for b in bars)}), {_count(attempts, 'attempt')}, "
        f"{_count(failed, 'failure')}, {still} of them still open, {_count(decided, 'decision')}."
    )
    if any(e.vague for e in events):
        alt += " What is known only between two days has a dotted bar, with its mark in the middle."
    return Picture("timeline", "What happened when", alt, partial(_timeline, bars, events))


def _count(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"


def _day(day: str) -> date:
    return date.fromisoformat(day)


def _event(lane: int, ref: str, began: str | None, ended: str | None, marker: str, fill: str) -> list[Event]:
    if began is None:
        return []
    vague, until = is_vague(began) or is_vague(ended or ""), ended or began
    return [Event(lane, ref, _day(earliest(began)), _day(latest(until)), marker, fill, vague)]


def _events(c: Chapter) -> list[Event]:
    found = []
    for t in c.tried:
        found += _event(1, t.attempt.ref, t.attempt.began, t.attempt.ended, *_TRIED[t.attempt.outcome])
    for f in c.failed:
        found += _event(2, f.failure.ref, f.failure.happened, None, "v", "white" if f.loop.next_step else DARK)
    for d in c.decisions:
        found += _event(3, d.decision.ref, d.decision.decided_on, None, "D", DARK)
    for accepted, _ in c.accepted:
        found += _event(3, accepted.ref, accepted.decided_on, None, "D", "white")
    return found


def _bars(chapters: Sequence[Chapter]) -> list[Event]:
    """Each revision from the first to the last thing that is dated on it."""
    bars = []
    for c in chapters:
        events = _events(c)
        if events:
            bars.append(Event(0, c.revision.ref, min(e.first for e in events), max(e.last for e in events)))
    return bars


def _timeline(bars: tuple[Event, ...], events: tuple[Event, ...]) -> Figure:
    figure, (axes,) = sheet(4.4)
    every = [*bars, *events]
    low, high = (_number(d) for d in (min(e.first for e in every), max(e.last for e in every)))
    edge = max(0.05 * (high - low), 3.0)
    axes.set_xlim(low - edge, high + edge)
    for lane in range(len(LANES)):
        axes.axhline(-lane, color=FAINT, linewidth=0.8, zorder=0)
    for i, bar in enumerate(bars):
        start, end = _number(bar.first), _number(bar.last)
        axes.barh(0, max(end - start, edge / 2), 0.34, start, facecolor=LIGHT if i % 2 else "white", edgecolor=DARK,
                  linewidth=1.2, zorder=2)  # fmt: skip
        axes.annotate(bar.ref, ((start + end) / 2, 0), ha="center", va="center", weight="bold", zorder=4)
    for lane in range(1, len(LANES)):
        _lane(axes, [e for e in events if e.lane == lane], -lane, (high - low + 2 * edge))
    axes.set_ylim(-3.75, 0.45)
    axes.set_yticks([-i for i in range(len(LANES))], LANES)
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)
    _dates(axes, high - low)
    seen = {(e.lane, e.marker, e.fill) for e in events}
    key = [text for mark, text in _KEY.items() if mark in seen]
    rows = [key] if len(key) <= 6 else [key[: len(key) // 2], key[len(key) // 2 :]]
    axes.set_xlabel("\n".join("   ".join(row) for row in rows), fontsize=12, labelpad=8)
    return figure


def _lane(axes: Axes, events: list[Event], y: float, whole: float) -> None:
    """Marks of a lane with their names; those that stand close together share one name."""
    heaps: list[list[Event]] = []
    for e in sorted(events, key=lambda e: (e.at, int(e.ref[1:]))):
        start, end = _number(e.first), _number(e.last)
        if end > start:
            axes.plot([start, end], [y, y], color=DARK, linewidth=3, zorder=2, solid_capstyle="butt",
                      linestyle=(0, (1, 1)) if e.vague else "-")  # fmt: skip
        end = _number(e.at)
        half = "left" if e.marker.endswith("half") else "full"
        axes.plot(end, y, e.marker[0], color=DARK, markerfacecolor=e.fill, markersize=9.5, markeredgewidth=1.5,
                  fillstyle=half, markerfacecoloralt="white", zorder=3)  # fmt: skip
        if heaps and end - _number(heaps[-1][-1].at) < (0.025 + 0.016 * len(e.ref)) * whole:
            heaps[-1].append(e)
        else:
            heaps.append([e])
    free = {0.22: -1e9, -0.24: -1e9}
    for heap in heaps:
        refs = sorted((e.ref for e in heap), key=lambda ref: int(ref[1:]))
        text = refs[0] if len(refs) == 1 else f"{refs[0]}{', ' if len(refs) == 2 else ' to '}{refs[-1]}"
        place, reach = (_number(heap[0].at) + _number(heap[-1].at)) / 2, (0.01 + 0.0085 * len(text)) * whole
        height = next((h for h, until in free.items() if place - reach > until), None)
        if height is not None:
            free[height] = place + reach
            label(axes, place, y + height, text, ha="center", fontsize=12)


def _number(day: date) -> float:
    from matplotlib.dates import date2num

    return float(date2num(day))  # type: ignore[no-untyped-call]


def _dates(axes: Axes, days: float) -> None:
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter

    locator = AutoDateLocator(minticks=3, maxticks=7)  # type: ignore[no-untyped-call]
    axes.xaxis.set_major_locator(locator)
    axes.xaxis.set_major_formatter(ConciseDateFormatter(locator, show_offset=False))  # type: ignore[no-untyped-call]


#: How each status is drawn: marker, fill, size.
MARKS = {
    Status.DANGER: ("X", INK, 14),
    Status.FAIL: ("s", MIDDLE, 10),
    Status.MARGINAL: ("^", LIGHT, 10),
    Status.UNKNOWN: ("o", "white", 9),
    Status.STATED: ("d", "white", 8),
    Status.OK: (".", INK, 8),
}
#: Most marks in a row; of more findings the worst are drawn and the rest counted.
MOST = 14
#: Marks in a row that the key takes the room of.
WIDEST_KEY = 13.2
#: What a group of the sheet is called here, where its own name says too little.
NAMES = {"claim": "claims", "measured": "readings", "storage": "battery", "dump": "dump load", "cable": "cables",
         "load": "loads", "energy": "year's energy"}  # fmt: skip


@dataclass(frozen=True)
class Marks:
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
        Marks(
            r.revision.ref,
            tuple((_group(f), f.status) for f in of_machine(r.findings)),
            tuple(dict.fromkeys(f.title.lower() for f in r.with_status(Status.DANGER))),
        )
        for r in reviews
        if of_machine(r.findings)
    )
    return _checked(told) if told else None


@remembered(2)
def _checked(told: tuple[Marks, ...]) -> Picture:
    texts = []
    for r in told:
        counts = Counter(status for _, status in r.each)
        texts.append(f"{r.ref}: {', '.join(f'{counts[s]} {s}' for s in WORST_FIRST if counts[s])}.")
    newest = told[-1]
    texts += [f"Danger in {newest.ref}: {', '.join(newest.dangers)}."] if newest.dangers else []
    return Picture(
        "findings",
        f"What the checks say, {' and '.join(r.ref for r in told)}",
        f"One mark for each finding, by what it is about. {' '.join(texts)}",
        partial(_findings, told),
    )


def _findings(reviews: Sequence[Marks]) -> Figure:
    groups = list(dict.fromkeys(group for r in reviews for group, _ in r.each))
    rows = {
        (i, g): sorted((status for group, status in r.each if group == g), key=WORST_FIRST.index)
        for i, r in enumerate(reviews)
        for g in groups
    }
    most = [max(min(len(rows[i, g]), MOST) for g in groups) for i in range(len(reviews))]
    figure, (axes,) = sheet(1.35 + 0.31 * len(groups))
    gap = 1.6
    starts = [0.0]
    for width in most[:-1]:
        starts.append(starts[-1] + width + gap)
    right = starts[-1] + most[-1]
    for y, g in enumerate(groups):
        axes.axhline(-y, color=FAINT, linewidth=0.6, zorder=0)
        for i, start in enumerate(starts):
            every = rows[i, g]
            shown = every if len(every) <= MOST else every[: MOST - 3]
            for n, status in enumerate(shown):
                _mark(axes, start + n, -y, status)
            if len(shown) < len(every):
                axes.annotate(f"+{len(every) - len(shown)}", (start + MOST - 3.3, -y), ha="left", va="center")
    for i, (r, start) in enumerate(zip(reviews, starts, strict=True)):
        axes.annotate(plain(r.ref), (start - 0.3, 1.0), weight="bold", ha="left", va="center")
        if i:
            axes.plot([start - (gap + 1) / 2] * 2, [1.4, 0.6 - len(groups)], color=SOFT, linewidth=0.8)
    _key(axes, right, -len(groups) - 0.3)
    axes.set_xlim(-0.8, max(right, WIDEST_KEY))
    axes.set_ylim(-len(groups) - 0.9, 1.6)
    axes.set_yticks([-y for y in range(len(groups))], [plain(NAMES.get(g, g)) for g in groups])
    axes.tick_params(axis="y", length=0)
    axes.set_xticks([])
    for spine in axes.spines.values():
        spine.set_visible(False)
    return figure


def _group(f: Finding) -> str:
    return f.subject.partition(".")[0]


def _mark(axes: Axes, x: float, y: float, status: Status) -> None:
    marker, fill, size = MARKS[status]
    axes.plot(x, y, marker, color=INK, markerfacecolor=fill, markersize=size, markeredgewidth=1.1, zorder=3)
    if status is Status.UNKNOWN:
        axes.annotate("?", (x, y), ha="center", va="center", fontsize=8, zorder=4)


def _key(axes: Axes, right: float, y: float) -> None:
    step = max(right, WIDEST_KEY) / len(WORST_FIRST)
    for i, status in enumerate(WORST_FIRST):
        _mark(axes, i * step - 0.3, y, status)
        axes.annotate(str(status), (i * step - 0.3, y), xytext=(12, 0), textcoords="offset points", va="center",
                      fontsize=12)  # fmt: skip
