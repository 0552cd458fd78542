"""Remedies tried on the whole machine before anybody is told of them."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import cast

from calc.finding import Act, Change, Effect, Finding, Influence, Remedy, Status
from calc.machine.catalogue import Sheet, catalogue, split
from calc.machine.currents import loaded_wires
from calc.machine.design import Design
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs
from calc.machine.system import System
from calc.physics import wiring
from calc.rules.board import Board, Changes, Key, Variant, key_of
from calc.rules.engine import ABSENT, CANNOT_TELL, DANGER, FINE, STATUS, Judgement, Rule, outcome_of, subjects
from calc.rules.phrases import inside
from calc.rules.ways import Try, Way, shown
from calc.units import as_shown, digits, show, to_shown

#: How bad a finding must be for a remedy to be sought, and for another to count as cleared or broken by it.
WRONG, MARGINAL = 2.0, 1.0
#: Ways of one finding that are told at most.
MOST_WAYS = 3
#: What a finding that becomes marginal counts beside one that fails. Own choice.
CLOSE_CALL = 0.1
#: What it counts that the mast must be moved where a taller one would do too: more than some close calls, less than
#: what goes wrong. Own choice.
MOVING = 0.5
#: So many sizes further on what is enough with reserve is told instead of what is just enough.
NEAR = 2
#: Shares of the year's energy that go with a remedy: much, and more than is a remedy; what is left of it that nobody
#: would give a number. Own choice.
MUCH_LOST, MOST_LOST, NOTHING_LEFT = 0.1, 0.5, 0.01
#: What it counts that most of the year's energy goes: more than all that may be spoilt otherwise. Own choice.
DEAR = 1e3
#: Open voltages in a storm that cable and switches of common make are for, and the most of them. Common practice, no
#: source. [V]
MUCH_VOLTS, MOST_VOLTS = 400.0, 900.0
#: Wind below which nobody minds that charging begins a little later. Own choice. [m/s]
LATE = 4.0
#: Share by which a figure must move to be told.
MOVED = 0.01


@dataclass(frozen=True, slots=True)
class Proven:
    """A remedy, the machine on which it was tried, and the way with its values; only the remedy where nothing was."""

    remedy: Remedy
    variant: Variant | None = None
    way: Way | None = None
    typed: Try = field(default_factory=dict)

    @property
    def changes(self) -> Changes:
        """What it sets, by full name, in SI."""
        return {} if self.variant is None else self.variant.changes


@dataclass(frozen=True, slots=True)
class Trial:
    """What trying the ways of one finding came to.

    Parameters
    ----------
    proven : tuple of Proven
        Those that put it right, best first, and acts that no sheet can try.
    fell : tuple of str
        Why each other one does not do, in a few words.
    """

    proven: tuple[Proven, ...]
    fell: tuple[str, ...] = ()

    @property
    def best(self) -> Proven | None:
        """The first that changes the sheet."""
        return next((p for p in self.proven if p.variant is not None), None)


def prove(board: Board, keys: Iterable[Key], *, keep: Collection[str] = ()) -> dict[Key, Trial]:
    """Try the ways of some findings, all of them together as variants of one machine.

    Parameters
    ----------
    board : Board
        The machine as it is.
    keys : iterable of (rule, subject)
        Whose ways.
    keep : collection of str
        Names on the sheet that must stay as they are.

    Returns
    -------
    tried : dict of key to Trial
    """
    tries = {key: [(way, _allowed(board, way, keep)) for way in _ways(board, key)] for key in keys}
    asked = dict.fromkeys(_plain(t.changes) for some in tries.values() for _, allowed in some for t in allowed)
    every = dict(zip(asked, board.variants([dict(changes) for changes in asked]), strict=True))
    found: dict[Key, Trial] = {}
    for key, some in tries.items():
        proven, fell = [], []
        for way, allowed in some:
            if way.tries is None:
                proven.append(Proven(Remedy(way.kind, way.words({}))))
                continue
            kept = _pick(board, key, [every[_plain(t.changes)] for t in allowed])
            if isinstance(kept, int):
                proven.append(_proven(board, key, way, allowed[kept].typed, every[_plain(allowed[kept].changes)]))
            else:
                fell.append(kept)
        # What harms something else comes last.
        moving = MOVING if any(_raises_mast(board, p) for p in proven) else 0.0
        proven.sort(key=lambda p: 0 if p.variant is None else _harm(board, key, p.variant) + moving * _moves(p))
        found[key] = Trial(tuple(_by_price(board, _least(proven))[:MOST_WAYS]), tuple(fell))
    return found


def _by_price(board: Board, proven: Sequence[Proven]) -> list[Proven]:
    """Without what takes most of the year's energy; where nothing else is proven one of that is left, as the last."""
    dear = [p for p in proven if p.variant is not None and _robs(board, p.variant, MOST_LOST)]
    others = [p for p in proven if p not in dear]
    if any(p.variant is not None for p in others):
        return others
    return [*others[: MOST_WAYS - 1], *dear[:1]]


def _raises_mast(board: Board, proven: Proven) -> bool:
    """Whether it makes the mast taller."""
    height = proven.changes.get(Sheet.mast.height.full)
    return height is not None and cast(float, height) > float(board.design.get(Sheet.mast.height) or 0.0)


def _moves(proven: Proven) -> bool:
    """Whether the mast goes elsewhere; that it is made taller is no move."""
    return proven.remedy.kind is Act.MOVE and Sheet.mast.height.full not in proven.changes


def _least(proven: Sequence[Proven]) -> list[Proven]:
    """Without those that change all that an earlier one does and more besides."""
    kept: list[Proven] = []
    for p in proven:
        paths = p.changes.keys()
        if p.variant is None or not any(k.changes and k.changes.keys() < paths for k in kept):
            kept.append(p)
    return kept


def _ways(board: Board, key: Key) -> Sequence[Way]:
    outcome = board.rows[key].outcome
    ways = outcome.ways() if isinstance(outcome, Judgement) else ()
    return [way for way in ways if way.tries is None or way.tries]


@dataclass(frozen=True, slots=True)
class _Allowed:
    """A try as a person would type it, and what it changes on the sheet."""

    typed: Try
    changes: Changes


def _allowed(board: Board, way: Way, keep: Collection[str]) -> list[_Allowed]:
    """Tries as people type them that touch nothing that must stay, change something, and fit the sheet."""
    allowed = []
    for tried in way.tries or ():
        typed = {entry: _typed(entry, value) for entry, value in tried.items()}
        changes = {entry.full: value for entry, value in typed.items() if board.design.values.get(entry.full) != value}
        inside = all(e.kind != "number" or e.low <= cast(float, v) <= e.high for e, v in typed.items())
        if changes and inside and not any(path in keep for path in changes):
            allowed.append(_Allowed(typed, changes))
    return allowed


def _typed(entry: Entry[object], value: Value) -> Value:
    if entry.kind != "number" or entry.path == Sheet.cable.area.path:
        return value
    return as_shown(float(cast(float, value)), entry.shown)


def _plain(changes: Changes) -> tuple[tuple[str, Value], ...]:
    return tuple(sorted(changes.items()))


def _pick(board: Board, key: Key, tried: Sequence[Variant]) -> int | str:
    """The place of the first try that puts a finding right and breaks nothing, or the least; else why none does."""
    if not tried:
        return "what it would change has to stay"
    before, harm, fell = board.badness(key), [], "nothing that was tried is enough"
    for i, variant in enumerate(tried):
        code = board.code(key, variant)
        turned = board.badness(key, variant) < min(before, WRONG) and code not in (CANNOT_TELL, ABSENT)
        if not (variant.exists and turned):
            continue
        danger = next((k for k in _worse(board, key, variant) if board.code(k, variant) == DANGER), None)
        if danger is not None:
            fell = f"it brings a danger: {board.rows[danger].rule.title if danger in board.rows else danger[0]}"
        elif before < DANGER and _robs(board, variant, MOST_LOST):
            fell = "it takes most of the yearly energy with it"
        elif _raises(board, variant, MOST_VOLTS):
            fell = f"it brings more than {MOST_VOLTS:g} V into the cable"
        else:
            harm.append((_harm(board, key, variant), i))
    return _reserve(board, key, tried, harm) if harm else fell


def _reserve(board: Board, key: Key, tried: Sequence[Variant], harm: Sequence[tuple[float, int]]) -> int:
    """The first that harms least; where it is only just enough, one with some reserve, if that is a step or two on."""
    least, first = min(harm)
    near = [i for some, i in harm if some <= least and first <= i <= first + NEAR]
    return next((i for i in near if board.badness(key, tried[i]) == 0.0), first)


def _harm(board: Board, key: Key, variant: Variant) -> float:
    """How much a variant spoils: what goes wrong, much of the year's energy, and a little for each close call."""
    close = [k for k in variant.codes if k != key and board.badness(k, variant) == MARGINAL > board.badness(k)]
    spoilt = _robs(board, variant, MUCH_LOST) + _raises(board, variant, MUCH_VOLTS)
    dear = DEAR * _robs(board, variant, MOST_LOST)
    return len(_worse(board, key, variant)) + spoilt + CLOSE_CALL * len(close) + dear


def _robs(board: Board, variant: Variant, share: float) -> bool:
    """Whether more than a share of the year's energy goes; where that is not known, as good as that of the wind."""
    if board.energy is not None and variant.energy is not None:
        return variant.energy < (1.0 - share) * board.energy
    if board.charging is None or variant.charging is None:
        return False
    # Power goes with the cube of the wind, so what begins later by a third of a share has lost about that share.
    return variant.charging > board.charging * (1.0 + share / 3.0) and variant.charging > LATE


def _raises(board: Board, variant: Variant, volts: float) -> bool:
    """Whether a voltage that was kept below comes with it."""
    before = 0.0 if board.voltage is None else board.voltage
    return variant.voltage is not None and variant.voltage > max(volts, before * (1.0 + MOVED))


def _worse(board: Board, own: Key, variant: Variant) -> list[Key]:
    """Findings that go wrong with a variant: new fails and dangers, and what can kill and is no longer known."""
    return [
        key
        for key in variant.codes
        if key != own and board.badness(key, variant) >= WRONG and board.badness(key, variant) > board.badness(key)
    ]


def _proven(board: Board, key: Key, way: Way, tried: Try, variant: Variant) -> Proven:
    bad = {k: (board.badness(k), board.badness(k, variant)) for k in variant.codes if k != key}
    worse = _worse(board, key, variant)
    remedy = Remedy(
        kind=way.kind,
        says=way.words(tried),
        changes=changed(board.design, variant.changes),
        becomes=STATUS[board.code(key, variant)],
        clears=tuple(k for k, (old, new) in bad.items() if old >= WRONG > new),
        eases=tuple(k for k, (old, new) in bad.items() if new < old and not old >= WRONG > new),
        breaks=tuple(k for k in worse if board.code(k, variant) != CANNOT_TELL),
        blurs=tuple(k for k in worse if board.code(k, variant) == CANNOT_TELL),
        effects=tuple(effects(board, variant)),
    )
    return Proven(remedy, variant, way, tried)


def changed(design: Design, changes: Changes) -> tuple[Change, ...]:
    """Changes of a sheet for people: new values and those before, with their units."""
    told = []
    for path, value in changes.items():
        entry = catalogue()[split(path)[0]]
        old = design.values.get(path)
        told.append(Change(path, _json(value), shown(entry, value), "" if old is None else shown(entry, old)))
    return tuple(told)


def _json(value: Value) -> float | str | bool:
    return value if isinstance(value, str | bool) else float(value)


def effects(board: Board, variant: Variant) -> Iterator[Effect]:
    """What a variant does to the figures that matter: those that it moves."""
    both = (
        ("yearly_energy", "Energy in a year", board.energy, variant.energy, "kWh"),
        ("charging_wind", "Wind in which charging begins", board.charging, variant.charging, "m/s"),
        ("free_voltage", "Voltage in a storm with nothing connected", board.voltage, variant.voltage, "V"),
    )
    for name, meaning, old, new, unit in both:
        if old is not None and new is not None and _moved(old, new):
            yield Effect(name, meaning, float(to_shown(old, unit)), float(to_shown(new, unit)), unit)
    runs = {path.split(".")[1] for path in variant.changes if path.startswith(f"{Sheet.cable.area.group}.")}
    for label in sorted(runs):
        yield from _cable_effects(board.design, variant.changes, label)


def _moved(old: float, new: float) -> bool:
    if not (math.isfinite(old) and math.isfinite(new)):
        return old != new
    return abs(new - old) > MOVED * max(abs(old), abs(new))


def _cable_effects(design: Design, changes: Changes, label: str) -> Iterator[Effect]:
    """Metal in a run, and its cost where a metre's price is known; it goes with the metal, so it is a rough one."""
    changed_design = Design({**design.values, **changes}, design.assumed)
    old, new = (_metal(Inputs(d, label), label) for d in (design, changed_design))
    if old is None or new is None or not _moved(old, new):
        return
    yield Effect("metal", f"Metal in cable {label}", old, new, "kg")
    price, length = design.get(Sheet.cable.price[label]), design.get(Sheet.cable.length[label])
    if price is not None and length is not None:
        cost = float(price) * float(length)
        yield Effect("cost", f"Price of cable {label}", cost, cost * new / old, "")


def _metal(x: Inputs, label: str) -> float | None:
    needs = (Sheet.cable.area, Sheet.cable.length, Sheet.cable.material, Sheet.cable.carries, Sheet.generator.phases)
    if x.lacks(*needs):
        return None
    at = x.cable[label]
    return float(wiring.metal_mass(at.area, at.length, loaded_wires(x, label), at.material))


def of_readings(rules: Iterable[Rule], system: System) -> Iterator[tuple[Key, Trial]]:
    """What to do about readings that disagree: acts, for no change of the sheet puts a reading right."""
    for rule, label in subjects([rule for rule in rules if rule.widened], system.inputs()):
        x = system.inputs(label)
        outcome = outcome_of(rule, x) if rule.applies(x) else None
        if isinstance(outcome, Judgement):
            acts = (way for way in outcome.ways() if isinstance(way, Way) and not way.tries)
            yield key_of(rule, label), Trial(tuple(Proven(Remedy(way.kind, way.words({}))) for way in acts))


def remedied(findings: Sequence[Finding], tried: Mapping[Key, Trial], titles: Mapping[Key, str]) -> list[Finding]:
    """Findings with what came of trying their ways."""
    return [_with_remedies(f, tried.get(f.key), titles) for f in findings]


def _with_remedies(f: Finding, tried: Trial | None, titles: Mapping[Key, str]) -> Finding:
    if f.status in (*FINE, Status.UNKNOWN):
        return f
    if tried is None:
        remedies: tuple[Remedy, ...] = (measure_first(f.ranking),)
        return replace(f, remedies=remedies, remedy=remedies[0].says)
    remedies = tuple(p.remedy for p in tried.proven)
    text = " ".join(words(r, titles, alternative=i > 0) for i, r in enumerate(remedies))
    if not any(r.changes for r in remedies) and tried.fell:
        text = " ".join(filter(None, [f"No single change settles it: {tried.fell[0]}.", text]))
    return replace(f, remedies=remedies, remedy=text)


def measure_first(ranking: Sequence[Influence]) -> Remedy:
    """What to find out before something that holds by the sheet alone is relied on."""
    known = dict.fromkeys(f"{inside(i.meaning.split(',')[0])} ({i.path})" for i in ranking[:2])
    found = " and ".join(known) or "what it rests on"
    return Remedy(Act.MEASURE, f"By the sheet it holds, but the doubt could turn that. First find out: {found}.")


def words(remedy: Remedy, titles: Mapping[Key, str], *, alternative: bool = False) -> str:
    """A remedy with what it brings and what it breaks, in a few sentences."""
    says = remedy.says
    if alternative and remedy.changes:
        says = f"Or: {says[0].lower()}{says[1:]}"
    told = [says, *_brought(remedy.effects)]
    if remedy.clears:
        told.append(f"It also clears: {_named(remedy.clears, titles)}.")
    if remedy.breaks or remedy.blurs:
        told.append(f"But then look again at: {_named((*remedy.breaks, *remedy.blurs), titles)}.")
    return " ".join(told)


def _named(keys: Iterable[Key], titles: Mapping[Key, str]) -> str:
    names = dict.fromkeys(titles.get(key, key[0]) for key in keys)
    return "; ".join(inside(name) for name in names)


def _brought(some: Sequence[Effect]) -> Iterator[str]:
    """What a remedy does to the figures, a sentence each; the price of a cable stands behind its metal."""
    by_name = {e.name: e for e in some}
    year, metal, cost = (by_name.get(name) for name in ("yearly_energy", "metal", "cost"))
    if year is not None:
        before = f"{digits(year.before, 2)} kWh"
        nothing = year.after < NOTHING_LEFT * year.before
        after = "next to nothing" if nothing else f"{digits(year.after, 2)} kWh"
        if year.after < (1.0 - MOST_LOST) * year.before:
            yield f"The price is most of the year's energy: it then gives {after} a year in place of {before}."
        else:
            yield f"It then gives {after} a year in place of {before}."
    if metal is not None:
        new = _metal_words(metal.after, None if cost is None else cost.after)
        old = _metal_words(metal.before, None if cost is None else cost.before)
        yield f"The cable is then {new} of metal in place of {old}."


def _metal_words(mass: float, cost: float | None) -> str:
    return show(mass, "kg", 2) + ("" if cost is None else f" for about {show(cost, '', 2)}")
