"""What to do first: findings led back to the changes that clear them, in an order in which they can be done.

A change that clears several findings is looked for by trying, not by what anybody wrote of it. After such a change the
machine is another one, so what else is asked for is worked out anew from there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from calc.finding import Effect, Finding, Remedy, Status
from calc.machine.catalogue import Sheet
from calc.machine.system import System
from calc.rules.board import Board, Changes, Key, Variant
from calc.rules.doing import Doing, all_changes, differs_by, merged
from calc.rules.engine import CANNOT_TELL, DANGER, STATUS, Rule
from calc.rules.engine import MARGINAL as MARGINAL_CODE
from calc.rules.proving import MARGINAL, WRONG, Proven, Trial, changed, effects, of_readings, prove, remedied

#: How often something is done and all else worked out anew.
MOST_ROUNDS = 8
#: What holds the rotor back.
HOLDING = frozenset({Sheet.rotor.overspeed.path, Sheet.rotor.limit_wind.path})
#: What is claimed of a machine is corrected on paper; there is nothing to be done to the machine.
CLAIM = "claim"


@dataclass(frozen=True, slots=True)
class Shift:
    """What another finding asks for of one value, before a change and once all is done; and how far these are apart."""

    key: Key
    path: str
    before: str
    after: str
    by: float


@dataclass(frozen=True, slots=True)
class ToDo:
    """One thing to do.

    Parameters
    ----------
    status : Status
        Of the worst finding that it settles.
    settles : tuple of (rule, subject)
        Findings that it is about, the one that decides first.
    remedies : tuple of Remedy
        What to do, one for each of ``settles`` that asks for something of its own, as worked out after all that stands
        before.
    clears : tuple of (rule, subject)
        Findings that go with it without more being done.
    shifts : tuple of Shift
        What it changes about what others ask for.
    """

    status: Status
    settles: tuple[Key, ...]
    remedies: tuple[Remedy, ...]
    clears: tuple[Key, ...] = ()
    shifts: tuple[Shift, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do about a machine, in order, and what would be left.

    Parameters
    ----------
    todos : tuple of ToDo
        Dangers first.
    left : tuple of (rule, subject, status)
        Findings that would fail or be dangers all the same when all of it is done.
    effects : tuple of Effect
        What all of it together does to the figures that matter.
    """

    todos: tuple[ToDo, ...] = ()
    left: tuple[tuple[str, str, Status], ...] = ()
    effects: tuple[Effect, ...] = ()


@dataclass(frozen=True, slots=True)
class Advice:
    """Findings with their remedies, and what to do first."""

    findings: list[Finding]
    plan: Plan


def advise(rules: Iterable[Rule], system: System, findings: Sequence[Finding]) -> Advice:
    """Findings with their remedies, each tried on the whole machine, and what to do first.

    Parameters
    ----------
    rules : iterable of Rule
        By which the findings were made, and which a remedy must not turn for the worse.
    system : System
        The machine.
    findings : sequence of Finding
        Of :func:`calc.rules.engine.judge_rules`.
    """
    book = tuple(rules)
    board = Board(book, system.design, system.inputs().computed)
    tried = prove(board, [f.key for f in findings if f.key in board.rows and board.badness(f.key) >= MARGINAL])
    every = tried | dict(of_readings(book, system))
    return Advice(
        remedied(findings, every, {key: row.rule.title for key, row in board.rows.items()}), make_plan(board, tried)
    )


def make_plan(board: Board, tried: Mapping[Key, Trial]) -> Plan:
    """What to do first.

    Parameters
    ----------
    board : Board
        The machine as it is.
    tried : mapping of key to Trial
        Ways of all its findings that are wrong.
    """
    done, ended, marks = carry_out(board, tried)
    last = all_changes(done)
    todos = _with_dangers_gone(board, done, ended, [_todo(board, doing, marks) for doing in done])
    todos = [replace(t, shifts=tuple(_shifts(board, marks.get(t.settles[0]), last))) for t in todos]
    todos += [
        ToDo(STATUS[board.code(key)], (key,), tuple(p.remedy for p in of.proven[:1]))
        for key, of in tried.items()
        if wrong(board, key) and wrong(ended, key) and not any(key in t.settles for t in todos)
    ]
    return Plan(tuple(_gathered(board, todos)), _left(ended), tuple(_effects(board, ended)))


def wrong(board: Board, key: Key) -> bool:
    """Whether a finding of the machine itself fails or is a danger; what is not known no change can settle."""
    return board.badness(key) >= WRONG and board.code(key) != CANNOT_TELL and not key[1].startswith(CLAIM)


@dataclass(frozen=True, slots=True)
class Mark:
    """A doing that changes the solved machine: what it clears and sets, and what all else asked for before it."""

    clears: tuple[Key, ...]
    sets: frozenset[str]
    before: Mapping[Key, Trial]


def carry_out(
    board: Board, tried: Mapping[Key, Trial], *, keep: Collection[str] = ()
) -> tuple[list[Doing], Board, dict[Key, Mark]]:
    """Do what settles most, over and over, until nothing is wrong that a change could settle.

    What changes the solved machine is done one by one, and all else is then worked out anew, for it is sized by the
    machine; the rest is done together.

    Parameters
    ----------
    board : Board
        The machine as it is.
    tried : mapping of key to Trial
        Ways of all its findings that are wrong.
    keep : collection of str
        Names on the sheet that must stay as they are.

    Returns
    -------
    done : list of Doing
        In the order in which they were chosen; none sets anew what another has set.
    ended : Board
        The machine with all of it done.
    marks : dict of key to Mark
        Of those that changed the solved machine, by the finding that they were chosen for.
    """
    done: list[Doing] = []
    marks: dict[Key, Mark] = {}
    here, now = board, dict(tried)
    for _ in range(MOST_ROUNDS):
        best = {key: p for key, of in now.items() if wrong(here, key) and (p := of.best) is not None}
        if not best:
            break
        first = _first(here, best)
        if first is not None:
            chosen = [Doing.of(first, best[first])]
            marks.setdefault(first, Mark(best[first].remedy.clears, frozenset(best[first].changes), now))
        else:
            # Dangers are seen to before all else: what is fitted for them often serves for the rest as well.
            worst = max(here.badness(key) for key in best)
            chosen = [Doing.of(key, p) for key, p in best.items() if here.badness(key) == worst]
        done += chosen
        here = here.after(all_changes(chosen))
        now = prove(here, [key for key in here.rows if wrong(here, key)], keep=keep)
    return merged(done), here, marks


def _first(board: Board, best: Mapping[Key, Proven]) -> Key | None:
    """Whose remedy changes the solved machine and clears most dangers, then most fails; None where none does."""

    def score(key: Key) -> tuple[int, int, int, float]:
        cleared = [k for k in (key, *best[key].remedy.clears) if wrong(board, k)]
        spoils = len(best[key].remedy.breaks) + len(best[key].remedy.blurs)
        # What holds the rotor back makes less of all else that is asked for, so it comes before what bears more.
        holds = best[key].changes.keys() & HOLDING
        dangers = sum(board.code(k) == DANGER for k in cleared)
        return (dangers, len(holds), len(cleared) - spoils, board.badness(key))

    return max((key for key, p in best.items() if board.solves(p.changes)), key=score, default=None)


def _todo(board: Board, doing: Doing, marks: Mapping[Key, Mark]) -> ToDo:
    mark = marks.get(doing.settles[0])
    known = [key for key in doing.settles if key in board.rows and board.badness(key) >= WRONG] or doing.settles[:1]
    settles = tuple(sorted(known, key=lambda key: -board.badness(key)))
    clears = () if mark is None else tuple(k for k in mark.clears if wrong(board, k))
    worst = max((board.code(key) for key in (*settles, *clears)), default=MARGINAL_CODE)
    return ToDo(STATUS[max(worst, MARGINAL_CODE)], settles, (doing.as_remedy(board.design),), clears)


def _with_dangers_gone(board: Board, done: Sequence[Doing], ended: Board, todos: list[ToDo]) -> list[ToDo]:
    """Dangers that nothing was chosen for and that go all the same stand with what takes them away."""
    told = {key for t in todos for key in (*t.settles, *t.clears)}
    for key in board.rows:
        if key in told or board.code(key) != DANGER or not wrong(board, key) or wrong(ended, key):
            continue
        for i, doing in enumerate(done):
            if not wrong(board.after(all_changes([doing])), key):
                todos[i] = replace(todos[i], status=Status.DANGER, settles=(key, *todos[i].settles))
                break
    return todos


def _shifts(board: Board, mark: Mark | None, last: Changes) -> Iterator[Shift]:
    """What others asked for before something was done, and are given in the end."""
    if mark is None or not mark.clears:
        return
    told: dict[str, Shift] = {}
    for key, of in mark.before.items():
        # What it asks for besides: not by the same change, and not by another machine.
        own = (p for p in of.proven if p.changes and not differs_by(p.changes) and not p.changes.keys() & mark.sets)
        asked = next(own, None)
        for c in () if asked is None else asked.remedy.changes:
            value = last.get(c.path)
            if not isinstance(c.value, float) or value is None or value == c.value:
                continue
            # Of several that ask for the same the one furthest from what it comes to says most.
            if c.path not in told or abs(c.value - float(value)) > told[c.path].by:
                after = changed(board.design, {c.path: value})[0].shown
                told[c.path] = Shift(key, c.path, c.shown, after, abs(c.value - float(value)))
    yield from told.values()


def _part(board: Board, key: Key) -> str:
    """What a finding is told together with: that of the same part, or all that hurts nobody but the yield."""
    rule = board.rows[key].rule if key in board.rows else None
    return key[1].partition(".")[0] if rule is None or rule.caution or rule.deadly else ""


def _at_once(board: Board, todo: ToDo) -> bool:
    """Whether a danger that it settles waits for no storm."""
    return any(
        board.rows[key].rule.at_once and board.code(key) == DANGER
        for key in (*todo.settles, *todo.clears)
        if key in board.rows
    )


def _gathered(board: Board, todos: Sequence[ToDo]) -> list[ToDo]:
    """Things to do that belong together and are equally bad are told together; dangers first, the yield last."""
    gathered: list[ToDo] = []
    for todo in todos:
        part = _part(board, todo.settles[0])
        for i, other in enumerate(gathered):
            if other.status is todo.status and _part(board, other.settles[0]) == part:
                said = {r.says for r in other.remedies}
                gathered[i] = replace(
                    other,
                    settles=(*other.settles, *todo.settles),
                    remedies=(*other.remedies, *(r for r in todo.remedies if r.says not in said)),
                    clears=(*other.clears, *(k for k in todo.clears if k not in other.clears)),
                    shifts=(*other.shifts, *todo.shifts),
                )
                break
        else:
            gathered.append(todo)
    return sorted(
        gathered,
        key=lambda t: (t.status is not Status.DANGER, not _at_once(board, t), not _part(board, t.settles[0])),
    )


def _left(done: Board) -> tuple[tuple[str, str, Status], ...]:
    """What would be wrong all the same."""
    return tuple((*key, STATUS[done.code(key)]) for key in done.rows if wrong(done, key))


def _effects(board: Board, done: Board) -> Iterator[Effect]:
    changes = {k: v for k, v in done.design.values.items() if board.design.values.get(k) is not v}
    return effects(board, Variant(changes, {}, done.energy, done.charging, done.voltage))
