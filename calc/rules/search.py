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

from calc.finding import Change, Remedy, Status
from calc.machine.catalogue import Sheet
from calc.machine.entry import Value
from calc.rules.board import Board, Changes, Key, Variant
from calc.rules.doing import Doing, all_changes, differs_by, merged
from calc.rules.engine import CANNOT_TELL, DANGER, STATUS
from calc.rules.plan import CLAIM, carry_out, wrong
from calc.rules.proving import WRONG, effects, prove
from calc.rules.ways import Way
from calc.wording import number_of

#: Branches of the tree that are followed at each depth, and how deep it goes.
BEAM, DEPTH = 4, 4
#: Ways told at most.
MOST = 3
#: As how many things to do it counts to put something somewhere else. Own choice.
MOVED = 3.0
#: The same of a belt out in the weather. Own choice.
WEARS = 2.0
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
class NeededStep:
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
    steps : tuple of NeededStep
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
    trouble : float
        How much is changed: things to do, of which moving something counts as several.
    """

    steps: tuple[NeededStep, ...]
    left: tuple[tuple[str, str, Status], ...]
    asks: tuple[Key, ...]
    energy: float | None
    charging: float | None
    metal: float
    cost: float | None
    trouble: float

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
    done: tuple[Doing, ...] = ()

    @property
    def kind(self) -> frozenset[str]:
        """By what it differs in kind from others."""
        return differs_by(all_changes(self.done))


@dataclass(frozen=True, slots=True)
class _Move:
    """One change further."""

    state: _State
    doing: Doing
    variant: Variant
    promise: tuple[float, ...]

    @property
    def kind(self) -> frozenset[str]:
        """By what the branch would differ in kind from others."""
        return self.state.kind | differs_by(self.variant.changes)

    def made(self) -> _State:
        """The branch with it done."""
        return _State(self.state.board.after(self.variant.changes), (*self.state.done, self.doing))


@dataclass(slots=True)
class _Hunt:
    """What does not change during a search."""

    base: Board
    keep: Collection[str]
    have: Sequence[Way]
    matters: Matters
    tell: Callable[[str], None]
    tried: int = 0
    ends: list[_State] = field(default_factory=list)


def search(
    base: Board,
    *,
    keep: Collection[str] = (),
    have: Sequence[Way] = (),
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
    have : sequence of Way
        What is at hand and may be fitted, such as a generator by its constants; each with one try.
    matters : Matters
        What matters most.
    tell : callable
        Is told how far the search is.
    """
    hunt = _Hunt(base, keep, have, matters, tell)
    beam = [_State(base)]
    for depth in range(DEPTH):
        tell(f"{hunt.tried} machines tried, {number_of(depth + 1, 'change')} deep")
        beam = _deeper(hunt, beam)
        if not beam:
            break
    hunt.ends += beam
    finished = [_finish(hunt, state) for state in _distinct(hunt, hunt.ends)]
    ways = _best(hunt, [way for way in finished if way.steps and not _dangers(way)])
    stands = () if ways else min((w.left for w in finished), key=len, default=())
    return Found(tuple(ways), stands, hunt.tried)


def _deeper(hunt: _Hunt, beam: Sequence[_State]) -> list[_State]:
    """The most promising branches one change further, of every kind one; those that need no other go to the ends."""
    grown: list[_Move] = []
    for state in beam:
        moves = _moves(hunt, state)
        if not moves:
            hunt.ends.append(state)
        grown += moves
    grown.sort(key=lambda m: m.promise)
    first = list({m.kind: m for m in reversed(grown)}.values())
    first.sort(key=lambda m: m.promise)
    return [m.made() for m in first[:BEAM]]


def _moves(hunt: _Hunt, state: _State) -> list[_Move]:
    """Ways of what is wrong that change the solved machine, and what is at hand."""
    board = state.board
    keys = [key for key in board.rows if wrong(board, key)]
    moves: dict[str, tuple[Doing, Variant]] = {}
    for key, tried in prove(board, keys, keep=hunt.keep).items():
        for p in tried.proven:
            if p.variant is not None and board.solves(p.changes):
                moves.setdefault(repr(sorted(p.changes.items())), (Doing.of(key, p), p.variant))
    fits = [_fitted(way) for way in hunt.have if way.says not in {d.way.says for d in state.done}]
    for doing, variant in zip(fits, board.variants([d.changes for d in fits]), strict=True):
        if variant.exists:
            moves[doing.says] = (doing, variant)
    hunt.tried += len(moves)
    return [_Move(state, d, v, _promise(hunt, state, d, v)) for d, v in moves.values()]


def _fitted(way: Way) -> Doing:
    typed = (way.tries or ({},))[0]
    return Doing((), Remedy(way.kind, way.words(typed)), way, typed)


def _promise(hunt: _Hunt, state: _State, doing: Doing | None, variant: Variant) -> tuple[float, ...]:
    """How promising a branch is, least first: dangers and fails that are left, then what matters."""
    board = state.board
    left = [board.badness(k, variant) for k in {*board.rows, *variant.codes} if not k[1].startswith(CLAIM)]
    dangers, fails = sum(b >= DANGER for b in left), sum(WRONG <= b < DANGER for b in left)
    energy = 0.0 if variant.energy is None else variant.energy
    done = state.done if doing is None else (*state.done, doing)
    mast = _mast(hunt.base, all_changes(done))
    return (dangers, fails, *_order(hunt.matters, _trouble(done), energy, mast, 0.0))


def _trouble(done: Iterable[Doing]) -> float:
    """How much is changed: things to do, of which moving something, or one that wears, counts as several."""
    return sum(MOVED if d.moves else WEARS if Sheet.generator.ratio.path in d.changes else 1.0 for d in done)


def _order(matters: Matters, trouble: float, energy: float, mast: float, cost: float) -> tuple[float, ...]:
    """What matters, least first."""
    few, much = trouble, -energy
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
    """Of branches that do not differ in kind the one that comes first by what matters."""
    first: dict[frozenset[str], _State] = {}
    for state in sorted(ends, key=lambda s: _promise(hunt, s, None, Variant({}, {}, s.board.energy))):
        first.setdefault(state.kind, state)
    return list(first.values())[:BEAM]


def _finish(hunt: _Hunt, state: _State) -> NextWay:
    """A branch with all that is still wrong settled, and all that is not missed left out."""
    tried = prove(state.board, [k for k in state.board.rows if wrong(state.board, k)], keep=hunt.keep)
    more, _, _ = carry_out(state.board, tried, keep=hunt.keep)
    hunt.tell(f"{hunt.tried} machines tried, leaving out what is not needed")
    needed, done = _needed(hunt, merged([*state.done, *more]))
    changes = all_changes(done)
    end = hunt.base.after(changes)
    told = [d.as_remedy(hunt.base.design) for d in done]
    steps = tuple(NeededStep(r.says, r.changes, tuple(needed[i])) for i, r in enumerate(told))
    metal, cost = _cables(hunt.base, changes, end)
    left = [(*key, STATUS[end.code(key)]) for key in end.rows if wrong(end, key)]
    return NextWay(
        steps=steps,
        left=tuple(sorted(left, key=lambda row: row[2] is not Status.DANGER)),
        asks=tuple(key for key in end.rows if end.badness(key) >= WRONG and end.code(key) == CANNOT_TELL),
        energy=end.energy,
        charging=end.charging,
        metal=metal,
        cost=cost,
        trouble=_trouble(done),
    )


def _needed(hunt: _Hunt, done: list[Doing]) -> tuple[list[list[Key]], list[Doing]]:
    """What each change is needed for; those that nothing misses are dropped, the last one first."""
    while done:
        parts = hunt.base.variants([all_changes(done), *(_without(done, i) for i in range(len(done)))])
        now = _wrongs(hunt.base, parts[0])
        missed = [sorted(_wrongs(hunt.base, part) - now) for part in parts[1:]]
        hunt.tried += len(parts)
        idle = [i for i, some in enumerate(missed) if not some]
        if not idle:
            return missed, done
        done = [d for i, d in enumerate(done) if i != idle[-1]]
    return [], done


def _without(done: Sequence[Doing], left_out: int) -> dict[str, Value]:
    return all_changes(d for i, d in enumerate(done) if i != left_out)


def _wrongs(board: Board, variant: Variant) -> set[Key]:
    """What is a danger or fails in a variant, and what can kill and is not known."""
    keys = {*board.rows, *variant.codes}
    return {k for k in keys if board.badness(k, variant) >= WRONG and not k[1].startswith(CLAIM)}


def _cables(base: Board, changes: Changes, end: Board) -> tuple[float, float | None]:
    told = list(effects(base, Variant(changes, {}, end.energy, end.charging, end.voltage)))
    metal = sum((e.after - e.before for e in told if e.name == "metal"), 0.0)
    costs = [e.after - e.before for e in told if e.name == "cost"]
    return metal, sum(costs) if costs else None


def _dangers(way: NextWay) -> bool:
    return any(status is Status.DANGER for _, _, status in way.left)


def _best(hunt: _Hunt, ways: Sequence[NextWay]) -> list[NextWay]:
    """Those that leave least, by what matters; none that is worse in everything than another, and no poor bargain."""

    def order(way: NextWay) -> tuple[float, ...]:
        cost = float("inf") if way.cost is None else way.cost
        energy, mast = way.energy or 0.0, _mast(hunt.base, way.changes)
        return (float(len(way.left)), *_order(hunt.matters, way.trouble, energy, mast, cost))

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
