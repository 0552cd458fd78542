"""What to do first: findings led back to the changes that clear them, in an order in which they can be done.

A change that clears several findings is looked for by trying, not by what anybody wrote of it. After such a change the
machine is another one, so what else is asked for is worked out anew from there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from calc.finding import Effect, Finding, Remedy, Status
from calc.machine.entry import Value
from calc.machine.system import System
from calc.rules.board import Board, Changes, Key, Variant
from calc.rules.engine import CANNOT_TELL, DANGER, STATUS, Rule
from calc.rules.proving import MARGINAL, WRONG, Proven, Tried, attach, effects, prove

#: Changes that clear several findings at once, after each of which all else is worked out anew. More would make the
#: order long and add little: what is left then hardly hangs together.
MOST_ROOTS = 3
#: How often what all the rest asks for is tried together and what is then wrong asked once more.
MOST_ROUNDS = 3
#: What is claimed of a machine is corrected on paper; there is nothing to be done to the machine.
CLAIM = "claim"


@dataclass(frozen=True, slots=True)
class Shift:
    """What another finding asks for, before a change, and once all is done, in words of one value."""

    key: Key
    path: str
    meaning: str
    before: str
    after: str


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


@dataclass(frozen=True, slots=True)
class _Root:
    """A change that clears more than one finding."""

    key: Key
    proven: Proven

    @property
    def cleared(self) -> tuple[Key, ...]:
        """What it clears, its own finding first."""
        return (self.key, *self.proven.remedy.clears)


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
    board = Board(rules, system.design, system.inputs().computed)
    tried = prove(board, [f.key for f in findings if f.key in board.rows and board.badness(f.key) >= MARGINAL])
    return Advice(attach(findings, tried, {f.key: f.title for f in findings}), make_plan(board, tried))


def make_plan(board: Board, tried: Mapping[Key, Tried]) -> Plan:
    """What to do first.

    Parameters
    ----------
    board : Board
        The machine as it is.
    tried : mapping of key to Tried
        Ways of all its findings that are wrong.
    """
    todos: list[ToDo] = []
    here, now = board, dict(tried)
    while len(todos) < MOST_ROOTS and (root := _root(here, now)) is not None:
        after = here.after(root.proven.changes)
        then = prove(after, [key for key in now if after.badness(key) >= WRONG])
        todos.append(
            ToDo(
                _worst(board, root.cleared),
                (root.key,),
                (root.proven.remedy,),
                root.proven.remedy.clears,
                tuple(_shifts(here, now, then)),
            )
        )
        here, now = after, then
    singles, done = _singles(board, here, now)
    asked = {c.path: c.shown for t in singles for r in t.remedies for c in r.changes}
    todos = [replace(t, shifts=tuple(_at_last(t.shifts, asked))) for t in todos]
    return Plan(tuple(_gathered(board, [*todos, *singles])), _left(done), tuple(_effects(board, done)))


def wrong(board: Board, key: Key) -> bool:
    """Whether a finding of the machine itself fails or is a danger; what is not known no change can settle."""
    return board.badness(key) >= WRONG and board.code(key) != CANNOT_TELL and not key[1].startswith(CLAIM)


def _root(board: Board, tried: Mapping[Key, Tried]) -> _Root | None:
    """The change that clears most dangers, then most fails; none while there are dangers that it does not clear."""
    dangers = [key for key in tried if board.code(key) == DANGER and tried[key].best is not None]
    best, most = None, (0, 1)
    for key, of in tried.items():
        if not wrong(board, key):
            continue
        for proven in of.proven:
            root = _Root(key, proven)
            if proven.variant is None or proven.remedy.breaks or proven.remedy.blurs:
                continue
            cleared = [k for k in root.cleared if wrong(board, k)]
            score = (sum(board.code(k) == DANGER for k in cleared), len(cleared))
            if len(cleared) > 1 and score > most and (score[0] or not dangers):
                best, most = root, score
    return best


def _worst(board: Board, keys: Iterable[Key]) -> Status:
    return STATUS[max(board.code(key) for key in keys)]


def _shifts(board: Board, before: Mapping[Key, Tried], after: Mapping[Key, Tried]) -> Iterable[Shift]:
    """Where another finding still asks for the same thing, and now for another amount of it."""
    for key, then in after.items():
        old, new = before[key].best if key in before else None, then.best
        if old is None or new is None:
            continue
        values = {c.path: c.shown for c in old.remedy.changes}
        for c in new.remedy.changes:
            if isinstance(c.value, float) and values.get(c.path, c.shown) != c.shown:
                yield Shift(key, c.path, board.meaning(c.path), values[c.path], c.shown)


def _at_last(shifts: Iterable[Shift], asked: Mapping[str, str]) -> Iterable[Shift]:
    """Shifts up to what is asked for in the end; what is then as it was before does not shift."""
    for s in shifts:
        if asked.get(s.path, s.after) != s.before:
            yield replace(s, after=asked.get(s.path, s.after))


def _singles(
    base: Board, board: Board, tried: Mapping[Key, Tried], keep: Collection[str] = ()
) -> tuple[list[ToDo], Board]:
    """One thing to do for each finding that is left, and the machine with all of it done.

    What is done for one may ask for more of another; so what is then still wrong is asked once more.
    """
    wanted: dict[Key, ToDo] = {}
    here, now, changes = board, dict(tried), dict[str, Value]()
    for _ in range(MOST_ROUNDS):
        new: dict[str, Value] = {}
        for key, of in sorted(now.items(), key=lambda item: -here.badness(item[0])):
            if not wrong(here, key):
                continue
            best = of.best
            remedies = (best.remedy,) if best else tuple(p.remedy for p in of.proven[:1])
            if best is not None or key not in wanted:
                wanted[key] = ToDo(STATUS[max(base.code(key), here.code(key))], (key,), remedies)
            new |= dict(best.changes) if best is not None else {}
        if not new:
            break
        changes |= new
        here = here.after(new)
        now = prove(here, [key for key in here.rows if wrong(here, key)], keep=keep)
    return _without_superseded(list(wanted.values()), changes), here


def settle_singles(board: Board, keep: Collection[str] = ()) -> tuple[list[Remedy], Board]:
    """What settles each finding that is left by a change of its own, and the machine with all of it done."""
    todos, done = _singles(board, board, prove(board, [k for k in board.rows if wrong(board, k)], keep=keep), keep)
    return [r for t in todos for r in t.remedies if r.changes], done


def _without_superseded(todos: Sequence[ToDo], changes: Changes) -> list[ToDo]:
    """Remedies whose values another one has overtaken are left out; what they settle goes with that one."""
    live = {c.path for t in todos for r in t.remedies for c in r.changes if changes.get(c.path) == c.value}
    kept: list[ToDo] = []
    gone: list[tuple[ToDo, set[str]]] = []
    for todo in todos:
        paths = {c.path for r in todo.remedies for c in r.changes}
        stale = any(changes.get(c.path) != c.value for r in todo.remedies for c in r.changes)
        if stale and paths <= live:
            gone.append((todo, paths))
        else:
            kept.append(todo)
    for todo, paths in gone:
        for i, other in enumerate(kept):
            if paths & {c.path for r in other.remedies for c in r.changes}:
                kept[i] = replace(other, settles=(*other.settles, *todo.settles))
                break
    return kept


def _part(board: Board, key: Key) -> str:
    """What a finding is told together with: that of the same part, or all that hurts nobody but the yield."""
    rule = board.rows[key].rule if key in board.rows else None
    return key[1].partition(".")[0] if rule is None or rule.caution or rule.deadly else ""


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
    return sorted(gathered, key=lambda t: t.status is not Status.DANGER)


def _left(done: Board) -> tuple[tuple[str, str, Status], ...]:
    """What would be wrong all the same."""
    return tuple((*key, STATUS[done.code(key)]) for key in done.rows if wrong(done, key))


def _effects(board: Board, done: Board) -> Iterator[Effect]:
    changes = {k: v for k, v in done.design.values.items() if board.design.values.get(k) is not v}
    return effects(board, Variant(changes, {}, done.energy, done.charging))
