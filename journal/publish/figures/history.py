"""Picture of the records in time: what was tried, went wrong and was decided on which revision, failures in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from calc.wording import number_of
from journal.book.days import earliest, is_vague, latest
from journal.book.shown import remembered
from journal.publish.figures.board import LINE, WIDE, PointSheet, width, wrapped
from journal.publish.figures.canvas import DARK, FAINT, LIGHT, SOFT, Picture
from journal.publish.story import Chapter, Story

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: Lanes of the timeline, from the top.
LANES = ("revisions", "tried", "decided", "went wrong")
#: Fewer events than these need no picture.
FEWEST = 3
#: Most failures told in words, the worst; and most events of a lane that are named.
MOST, NAMED = 8, 12
#: How an attempt is drawn: marker, fill.
_TRIED = {"worked": ("o", DARK), "partly": ("o half", DARK), "failed": ("X", DARK), "still running": ("o", "white"),
          "not said": ("s", "white")}  # fmt: skip
#: What the marks mean, by lane, marker and fill.
_KEY = {
    (1, "o", DARK): "● worked",
    (1, "o half", DARK): "◐ partly",
    (1, "X", DARK): "✖ failed",
    (1, "o", "white"): "○ still running",
    (1, "s", "white"): "□ not said",
    (2, "D", DARK): "◆ decided",
    (2, "D", "white"): "◇ accepted",
    (3, "v", DARK): "▼ closed",
    (3, "v", "white"): "▽ open",
}
#: Where the days begin and end, room of a mark, and the height that a heap of marks may take. [points]
_BEGIN, _END, _MARK, _HEAP = 118.0, WIDE - 14.0, 12.0, 72.0


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
    words: str = ""
    severity: int = 5

    @property
    def at(self) -> date:
        """Where it is marked: its last day, or the middle of where it can have been."""
        return self.first + (self.last - self.first) / 2 if self.vague else self.last

    @property
    def order(self) -> tuple[date, int]:
        """Its place among others: by day, and by number in a day."""
        return self.at, int(self.ref[1:])


def timeline(story: Story) -> Picture | None:
    """What was tried, went wrong and was decided, and on which revision; None of fewer than three events with a date.

    Parameters
    ----------
    story : Story
        The whole build.
    """
    events = tuple(e for c in story.chapters for e in _events(c))
    return _history(tuple(_bars(story.chapters)), events, len(story.open)) if len(events) >= FEWEST else None


@remembered(2)
def _history(bars: tuple[Event, ...], events: tuple[Event, ...], still: int) -> Picture:
    first, last = min(e.first for e in events), max(e.last for e in events)
    attempts, decided, failed = (sum(e.lane == lane for e in events) for lane in (1, 2, 3))
    alt = (
        f"From {first.isoformat()} to {last.isoformat()}: {number_of(len(bars), 'revision')} "
        f"({', '.join(f'{b.ref} from {b.first.isoformat()}' for b in bars)}), {number_of(attempts, 'attempt')}, "
        f"{number_of(failed, 'failure')}, {still} of them still open, {number_of(decided, 'decision')}."
    )
    shown, more = _worst(events)
    alt += "".join(f" {e.ref}, {e.at.isoformat()}: {e.words.rstrip('. ')}." for e in shown if e.words)
    alt += f" And {number_of(more, 'more failure')}." if more else ""
    if any(e.vague for e in events):
        alt += " What is known only between two days has a dotted bar, with its mark in the middle."
    return Picture("timeline", "What happened when", alt, partial(_timeline, bars, events))


def _worst(events: Sequence[Event]) -> tuple[list[Event], int]:
    """The failures to be told in words, in their order, and how many more there are."""
    failures = sorted((e for e in events if e.lane == 3), key=lambda e: e.order)
    # Open ones and those that could hurt first; a sort leaves the others in their order.
    kept = sorted(failures, key=lambda e: (e.severity, e.fill != "white"))[:MOST]
    return sorted(kept, key=lambda e: e.order), len(failures) - len(kept)


def _event(
    lane: int, ref: str, began: str | None, ended: str | None, look: tuple[str, str], words: str = "", severity: int = 5
) -> list[Event]:
    if began is None:
        return []
    vague, until = is_vague(began) or is_vague(ended or ""), ended or began
    first, last = date.fromisoformat(earliest(began)), date.fromisoformat(latest(until))
    return [Event(lane, ref, first, last, *look, vague, words, severity)]


def _events(c: Chapter) -> list[Event]:
    found = []
    for t in c.tried:
        found += _event(1, t.attempt.ref, t.attempt.began, t.attempt.ended, _TRIED[t.attempt.outcome])
    for f in c.failed:
        x, look = f.failure, ("v", "white" if f.loop.next_step else DARK)
        found += _event(3, x.ref, x.happened, None, look, x.saw, x.severity or 5)
    for d in c.decisions:
        found += _event(2, d.decision.ref, d.decision.decided_on, None, ("D", DARK))
    for accepted, _ in c.accepted:
        found += _event(2, accepted.ref, accepted.decided_on, None, ("D", "white"))
    return found


def _bars(chapters: Sequence[Chapter]) -> list[Event]:
    """Each revision from the first to the last thing that is dated on it."""
    bars = []
    for c in chapters:
        events = _events(c)
        if events:
            bars.append(Event(0, c.revision.ref, min(e.first for e in events), max(e.last for e in events)))
    return bars


@dataclass(frozen=True)
class _Days:
    """Where each day stands on the sheet."""

    low: date
    high: date

    def __call__(self, day: date) -> float:
        whole = max((self.high - self.low).days, 1)
        return _BEGIN + (_END - _BEGIN) * (day - self.low).days / whole


def _timeline(bars: tuple[Event, ...], events: tuple[Event, ...]) -> Figure:
    every = [*bars, *events]
    place = _Days(min(e.first for e in every), max(e.last for e in every))
    lanes = [sorted((e for e in events if e.lane == lane), key=lambda e: e.order) for lane in range(len(LANES))]
    heaps = [_heaps(some, place) for some in lanes]
    shown, more = _worst(events)
    words = [wrapped(f"{'▽' if e.fill == 'white' else '▼'} {e.ref}  {e.words}", WIDE - 16.0, most=2) for e in shown]
    words += [[f"and {number_of(more, 'more failure')}"]] if more else []
    key = _rows([text for mark, text in _KEY.items() if mark in {(e.lane, e.marker, e.fill) for e in events}])
    tops = [_room(some, len(lane) <= NAMED) for some, lane in zip(heaps, lanes, strict=True)]
    feet = [30.0]
    for room in tops[1:]:
        feet.append(feet[-1] + room + 16.0)
    board = PointSheet(feet[-1] + 3.2 * LINE + LINE * (sum(map(len, words)) + len(key)) + 16.0)
    for name, foot in zip(LANES, feet, strict=True):
        board.words(6.0, foot - LINE / 2 - 1.0, name)
        board.line((_BEGIN - 4.0, foot), (WIDE - 4.0, foot), color=FAINT, linewidth=0.8, zorder=0)
    _revisions(board, bars, place, feet[0])
    for some, lane, foot in zip(heaps[1:], lanes[1:], feet[1:], strict=True):
        _lane(board, some, place, foot, named=len(lane) <= NAMED)
    y = _dates(board, place, feet[-1] + 0.55 * LINE) + 6.0
    for lines in words:
        y = board.words(8.0, y, lines)
    y += 6.0
    for row in key:
        y = board.words(8.0, y, row, color=SOFT)
    return board.figure


def _heaps(events: Sequence[Event], place: _Days) -> list[list[Event]]:
    """Events that would cover each other, heap by heap."""
    heaps: list[list[Event]] = []
    for e in events:
        if heaps and place(e.at) - place(heaps[-1][0].at) < _MARK:
            heaps[-1].append(e)
        else:
            heaps.append([e])
    return heaps


def _room(heaps: Sequence[Sequence[Event]], named: bool) -> float:
    """How high a lane is: its highest heap, and the names above it."""
    high = max((min(_MARK * len(heap), _HEAP) for heap in heaps), default=0.0)
    return high + (LINE if named else 0.0)


def _revisions(board: PointSheet, bars: Sequence[Event], place: _Days, y: float) -> None:
    until = 0.0
    for i, bar in enumerate(bars):
        left, right = place(bar.first), max(place(bar.last), place(bar.first) + 3.0)
        board.box(left, y - 11.0, right - left, 22.0, facecolor=LIGHT if i % 2 else "white", edgecolor=DARK,
                  linewidth=1.2)  # fmt: skip
        half = width(bar.ref, bold=True) / 2
        middle = min(max((left + right) / 2, _BEGIN + half), _END - half)
        # A bar narrower than its name would be covered by the next one's.
        if middle - half > until and (right - left > 2 * half or len(bars) < NAMED):
            board.words(middle, y - LINE / 2 - 1.0, bar.ref, bold=True, ha="center", zorder=5)
            until = middle + half + 3.0


def _lane(board: PointSheet, heaps: Sequence[Sequence[Event]], place: _Days, y: float, *, named: bool) -> None:
    """Marks of a lane in heaps, each heap with the names of what is in it, where there is room for them."""
    free = 0.0
    for heap in heaps:
        step = min(_MARK, _HEAP / len(heap))
        for n, e in enumerate(heap):
            _mark(board, e, place, y, y - n * step)
        if not named:
            continue
        refs = sorted((e.ref for e in heap), key=lambda ref: int(ref[1:]))
        text = refs[0] if len(refs) == 1 else f"{refs[0]}{', ' if len(refs) == 2 else ' to '}{refs[-1]}"
        half = width(text) / 2
        middle = min(max(place(heap[0].at), _BEGIN + half), WIDE - 4.0 - half)
        if middle - half > free:
            board.words(middle, y - (len(heap) - 1) * step - _MARK / 2 - LINE, text, ha="center")
            free = middle + half + 4.0


def _mark(board: PointSheet, e: Event, place: _Days, y: float, at: float) -> None:
    if e.last > e.first:
        board.line((place(e.first), y), (place(e.last), y), color=DARK, linewidth=3, solid_capstyle="butt", zorder=2,
                   linestyle=(0, (1, 1)) if e.vague else "-")  # fmt: skip
    half = "left" if e.marker.endswith("half") else "full"
    board.axes.plot(place(e.at), at, e.marker[0], color=DARK, markerfacecolor=e.fill, markersize=10, zorder=4,
                    markeredgewidth=1.5, fillstyle=half, markerfacecoloralt="white")  # fmt: skip


def _rows(words: Sequence[str]) -> list[str]:
    """Words of the key on as many rows as they need."""
    rows: list[str] = []
    for word in words:
        if rows and width(f"{rows[-1]}   {word}") < WIDE - 16.0:
            rows[-1] += f"   {word}"
        else:
            rows.append(word)
    return rows


#: Months between two marks of the axis.
_STEPS = (1, 2, 3, 4, 6, 12, 24, 36, 60, 120, 240)


def _dates(board: PointSheet, place: _Days, y: float) -> float:
    """Days, months or years along the foot; gives where the next words can stand."""
    ticks = _ticks(place.low, place.high)
    until, year = 0.0, ""
    for day in ticks:
        x, name = place(day), f"{day.strftime('%b')}" if len(ticks) > 2 else f"{day.day} {day.strftime('%b')}"
        half = max(width(name), width(str(day.year))) / 2
        middle = min(max(x, half + 4.0), WIDE - half - 4.0)
        if middle - half < until:
            continue
        until = middle + half + 6.0
        board.line((x, y - 4.0), (x, y + 2.0), color=SOFT, linewidth=1.0)
        board.words(middle, y + 1.0, name, ha="center")
        if str(day.year) != year:
            year = str(day.year)
            board.words(middle, y + 1.0 + LINE, year, ha="center", color=SOFT)
    return y + 1.0 + 2 * LINE


def _ticks(low: date, high: date) -> list[date]:
    """Firsts of months, at most six; the two ends where hardly any lies between."""
    months = range(low.year * 12 + low.month - 1, high.year * 12 + high.month)
    for step in _STEPS:
        found = [date(n // 12, n % 12 + 1, 1) for n in months if n % step == 0]
        inside = [d for d in found if low <= d <= high]
        if len(inside) <= 6:
            return inside if len(inside) > 2 else [low, high] if low < high else [low]
    return [low, high]
