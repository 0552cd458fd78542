"""The next revision, computed: whole sets of changes that settle what is wrong with a machine.

What is sought is a small set of changes after which no danger and no fail is left: a minimal correction set of the
rules as constraints (Liffiton and Sakallah, "Algorithms for computing minimal unsatisfiable subsets of constraints",
2008). The tree of conflicts and their repairs is that of Reiter ("A theory of diagnosis from first principles", 1987);
repairs of a conflict are the ways of the rule that is broken, over stock sizes, each tried on the solved machine. The
tree is walked breadth first, and only the most promising branches of each kind are kept (beam search). What does not
change the solved machine is done at the end; then every change is left out by turns, and what is not missed stays out.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from calc.finding import Change, Status
from calc.machine.catalogue import Sheet
from calc.machine.entry import Value
from calc.rules.board import Board, Changes, Key, Variant
from calc.rules.engine import CANNOT_TELL, DANGER, STATUS
from calc.rules.plan import settle_singles, wrong
from calc.rules.proving import WRONG, changed, effects, prove

#: Branches of the tree that are followed at each depth, and how deep it goes.
BEAM, DEPTH = 5, 5
#: Ways told at most.
MOST = 3
#: Energy of a year below this share of the best way's is a poor bargain, and such a way is only told where there is
#: no other. Own choice.
POOR = 0.5


class Matters(StrEnum):
    """What matters most among ways that leave neither danger nor fail."""

    CHANGE = "least change"
    MONEY = "least money"
    ENERGY = "most energy"
    MAST = "lightest mast"


@dataclass(frozen=True, slots=True)
class Step:
    """One change of the next revision.

    Parameters
    ----------
    says : str
        What to do.
    changes : tuple of Change
        What it sets on the sheet.
    needed : tuple of (rule, subject)
        What would be wrong again without it.
    """

    says: str
    changes: tuple[Change, ...]
    needed: tuple[Key, ...] = ()


@dataclass(frozen=True, slots=True)
class NextWay:
    """A whole set of changes.

    Parameters
    ----------
    steps : tuple of Step
        What to change; leaving out any of them leaves something wrong.
    left : tuple of (rule, subject, status)
        Findings that fail all the same, worst first; never a danger.
    asks : tuple of (rule, subject)
        What can kill and is then not known.
    energy, charging : float or None
        Energy of a year [J], and wind in which charging begins [m/s].
    metal : float
        Metal that it adds to the cables. [kg]
    cost : float or None
        What its cables cost more, in the money of the sheet; None where no price is known.
    """

    steps: tuple[Step, ...]
    left: tuple[tuple[str, str, Status], ...]
    asks: tuple[Key, ...]
    energy: float | None
    charging: float | None
    metal: float
    cost: float | None

    @property
    def changes(self) -> dict[str, Value]:
        """All that it sets, by full name, in SI."""
        return {c.path: c.value for step in self.steps for c in step.changes}


@dataclass(frozen=True, slots=True)
class Found:
    """What a search came to.

    Parameters
    ----------
    ways : tuple of NextWay
        Two or three that differ in kind, best first by what matters; empty where there is none.
    stands : tuple of (rule, subject, status)
        Where there is none: findings that stand in the way of the best that was tried.
    tried : int
        How many machines were looked at.
    """

    ways: tuple[NextWay, ...]
    stands: tuple[tuple[str, str, Status], ...]
    tried: int


@dataclass(frozen=True, slots=True)
class _State:
    """A branch of the tree: the machine so far, and what was done to it."""

    board: Board
    done: tuple[tuple[str, Changes], ...] = ()

    @property
    def changes(self) -> dict[str, Value]:
        """All that was done."""
        return {path: value for _, changes in self.done for path, value in changes.items()}

    @property
    def kind(self) -> frozenset[str]:
        """Which parts of the machine were changed."""
        return frozenset(path.partition(".")[0] for path in self.changes)


@dataclass(slots=True)
class _Hunt:
    """What does not change during a search."""

    base: Board
    keep: Collection[str]
    have: Sequence[tuple[str, Changes]]
    matters: Matters
    tell: Callable[[str], None]
    tried: int = 0
    ends: list[_State] = field(default_factory=list)


def search(
    base: Board,
    *,
    keep: Collection[str] = (),
    have: Sequence[tuple[str, Changes]] = (),
    matters: Matters = Matters.CHANGE,
    tell: Callable[[str], None] = lambda _: None,
) -> Found:
    """Look for whole sets of changes after which neither danger nor fail is left.

    Parameters
    ----------
    base : Board
        The machine as it is.
    keep : collection of str
        Names on the sheet that must stay as they are.
    have : sequence of (words, changes)
        What is at hand and may be fitted, such as a generator by its constants.
    matters : Matters
        What matters most.
    tell : callable
        Is told how far the search is.
    """
    hunt = _Hunt(base, keep, have, matters, tell)
    beam = [_State(base)]
    for depth in range(DEPTH):
        tell(f"{hunt.tried} machines tried, {depth + 1} changes deep")
        beam = _deeper(hunt, beam)
        if not beam:
            break
    hunt.ends += beam
    finished = [_finish(hunt, state) for state in _distinct(hunt, hunt.ends)]
    ways = _best(hunt, [way for way in finished if not _dangers(way)])
    stands = () if ways else min((w.left for w in finished), key=len, default=())
    return Found(tuple(ways), stands, hunt.tried)


def _deeper(hunt: _Hunt, beam: Sequence[_State]) -> list[_State]:
    """The most promising branches one change further; those that need no other go to the ends."""
    grown: list[tuple[tuple[float, ...], _State, str, Changes]] = []
    for state in beam:
        moves = _moves(hunt, state)
        if not moves:
            hunt.ends.append(state)
        grown += [(_promise(hunt, state, variant), state, says, variant.changes) for says, variant in moves]
    grown.sort(key=lambda g: g[0])
    chosen: list[_State] = []
    seen: set[tuple[frozenset[str], tuple[float, ...]]] = set()
    for promise, state, says, changes in grown:
        kind = state.kind | {path.partition(".")[0] for path in changes}
        if (kind, promise[:2]) in seen:
            continue
        seen.add((kind, promise[:2]))
        chosen.append(_State(state.board.after(changes), (*state.done, (says, dict(changes)))))
        if len(chosen) == BEAM:
            break
    return chosen


def _moves(hunt: _Hunt, state: _State) -> list[tuple[str, Variant]]:
    """Ways of what is wrong that change the solved machine, and what is at hand."""
    board = state.board
    keys = [key for key in board.rows if wrong(board, key)]
    moves: dict[str, tuple[str, Variant]] = {}
    for tried in prove(board, keys, keep=hunt.keep).values():
        for proven in tried.proven:
            if proven.variant is not None and board.solves(proven.changes):
                moves.setdefault(repr(sorted(proven.changes.items())), (proven.remedy.says, proven.variant))
    fits = [(says, changes) for says, changes in hunt.have if says not in {done for done, _ in state.done}]
    for (says, _), variant in zip(fits, board.variants([c for _, c in fits]), strict=True):
        if variant.exists:
            moves[says] = (says, variant)
    hunt.tried += len(moves)
    return list(moves.values())


def _promise(hunt: _Hunt, state: _State, variant: Variant) -> tuple[float, ...]:
    """How promising a branch is, least first: dangers and fails that are left, then what matters."""
    board = state.board
    left = [board.badness(k, variant) for k in {*board.rows, *variant.codes} if not k[1].startswith("claim")]
    dangers, fails = sum(b >= DANGER for b in left), sum(WRONG <= b < DANGER for b in left)
    energy = 0.0 if variant.energy is None else variant.energy
    changes = {**state.changes, **variant.changes}
    return (dangers, fails, *_order(hunt.matters, len(changes), energy, _mast(hunt.base, changes), 0.0))


def _order(matters: Matters, changes: int, energy: float, mast: float, cost: float) -> tuple[float, ...]:
    """What matters, least first."""
    few, much = float(changes), -energy
    return {
        Matters.CHANGE: (few, much),
        Matters.MONEY: (cost, few, much),
        Matters.ENERGY: (much, few),
        Matters.MAST: (mast, few, much),
    }[matters]


def _mast(base: Board, changes: Mapping[str, Value]) -> float:
    """What the mast has to bear, as far as the sheet tells: the rotor's area times the mast's height."""
    D, h = (changes.get(e.full, base.design.get(e)) for e in (Sheet.rotor.diameter, Sheet.mast.height))
    return float(D) ** 2 * float(h) if isinstance(D, float) and isinstance(h, float) else 0.0


def _distinct(hunt: _Hunt, ends: Iterable[_State]) -> list[_State]:
    """Of branches that change the same parts the one that comes first by what matters."""
    first: dict[frozenset[str], _State] = {}
    for state in sorted(ends, key=lambda s: _promise(hunt, s, Variant({}, {}, s.board.energy, s.board.charging))):
        first.setdefault(state.kind, state)
    return list(first.values())[: BEAM + 1]


def _finish(hunt: _Hunt, state: _State) -> NextWay:
    """A branch with all that does not change the solved machine done, and all that is not missed left out."""
    singles, _ = settle_singles(state.board, hunt.keep)
    done = [*state.done, *((r.says, {c.path: c.value for c in r.changes}) for r in singles)]
    hunt.tell(f"{hunt.tried} machines tried, leaving out what is not needed")
    needed, done = _needed(hunt, done)
    changes = {path: value for _, some in done for path, value in some.items()}
    end = hunt.base.after(changes)
    steps = tuple(Step(says, changed(hunt.base.design, some), tuple(needed[i])) for i, (says, some) in enumerate(done))
    metal, cost = _cables(hunt.base, changes, end)
    return NextWay(
        steps,
        tuple(
            sorted(
                ((*key, STATUS[end.code(key)]) for key in end.rows if wrong(end, key)),
                key=lambda left: left[2] is not Status.DANGER,
            )
        ),
        tuple(key for key in end.rows if end.badness(key) >= WRONG and end.code(key) == CANNOT_TELL),
        end.energy,
        end.charging,
        metal,
        cost,
    )


def _needed(hunt: _Hunt, done: list[tuple[str, Changes]]) -> tuple[list[list[Key]], list[tuple[str, Changes]]]:
    """What each change is needed for; those that nothing misses are dropped, the last one first."""
    while True:
        whole = _without(done, None)
        parts = hunt.base.variants([whole, *(_without(done, i) for i in range(len(done)))])
        now = _wrongs(hunt.base, parts[0])
        missed = [sorted(_wrongs(hunt.base, part) - now) for part in parts[1:]]
        hunt.tried += len(parts)
        idle = [i for i, some in enumerate(missed) if not some]
        if not idle:
            return missed, done
        done = [d for i, d in enumerate(done) if i != idle[-1]]


def _without(done: Sequence[tuple[str, Changes]], left_out: int | None) -> dict[str, Value]:
    return {p: v for i, (_, changes) in enumerate(done) if i != left_out for p, v in changes.items()}


def _wrongs(board: Board, variant: Variant) -> set[Key]:
    """What is a danger or fails in a variant, and what can kill and is not known."""
    keys = {*board.rows, *variant.codes}
    return {k for k in keys if board.badness(k, variant) >= WRONG and not k[1].startswith("claim")}


def _cables(base: Board, changes: Changes, end: Board) -> tuple[float, float | None]:
    told = list(effects(base, Variant(changes, {}, end.energy, end.charging)))
    metal = sum(e.after - e.before for e in told if e.name == "metal")
    costs = [e.after - e.before for e in told if e.name == "cost"]
    return metal, sum(costs) if costs else None


def _dangers(way: NextWay) -> bool:
    return any(status is Status.DANGER for _, _, status in way.left)


def _best(hunt: _Hunt, ways: Sequence[NextWay]) -> list[NextWay]:
    """Those that leave least, by what matters; none that is worse in everything than another, and no poor bargain."""

    def order(way: NextWay) -> tuple[float, ...]:
        cost = float("inf") if way.cost is None else way.cost
        energy, mast = way.energy or 0.0, _mast(hunt.base, way.changes)
        return (float(len(way.left)), *_order(hunt.matters, len(way.changes), energy, mast, cost))

    ranked = sorted(ways, key=order)
    most = max((w.energy or 0.0 for w in ranked), default=0.0)
    told: list[NextWay] = []
    for way in ranked:
        beaten = any(_beats(other, way) for other in ranked if other is not way)
        if not (beaten and told) and ((way.energy or 0.0) >= POOR * most or not told):
            told.append(way)
    return told[:MOST]


def _beats(one: NextWay, other: NextWay) -> bool:
    """Whether one is no worse than another in anything that counts, and better in something."""
    a, b = ((len(w.left), len(w.steps), -(w.energy or 0.0), w.charging or 0.0, w.metal) for w in (one, other))
    return all(x <= y for x, y in zip(a, b, strict=True)) and a != b
