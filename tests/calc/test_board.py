"""What the board says of a changed machine, asking only whom it concerns, is what asking everybody anew says."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from calc.machine.catalogue import LABELLED, catalogue, split
from calc.machine.design import Design, build_design
from calc.machine.entry import Value
from calc.machine.inputs import Inputs
from calc.machine.solving import solve_machine
from calc.rules import RULES
from calc.rules.board import Board, Key, Variant
from calc.rules.engine import ABSENT, CANNOT_TELL, outcome_of, subjects
from journal.book import sheet, sheet_toml
from journal.book.tables import SheetValue
from journal.demo.sheets import FIRST_SHEET, SECOND_SHEET
from tests.calc.sheets import GOOD, changed
from tests.calc.test_rules_machine import PIPE, READ
from tests.calc.test_rules_variants import MORE, OTHER_WORDS
from tests.outside.random_machines import draw
from tests.outside.turning_points import WORKED

#: Iteration stops a little elsewhere among others.
TOLERANCE = 1e-6
#: Changes that are tried on each sheet, all of them at once.
CHANGES = 20
#: Values of which a change takes one, where the sheet states none.
POOL = [GOOD, PIPE, WORKED, MORE, READ, *OTHER_WORDS]


def _written(*texts: str) -> dict[str, Value]:
    """Values of a sheet as its builder wrote it, each text over those before."""
    rows = {}
    for text in texts:
        for path, typed in sheet_toml.from_toml(text).items():
            rows[path] = SheetValue(path=path, **sheet.read_value(path, typed["typed"], typed["provenance"]))
    return dict(sheet.RevisionSheet(rows).design.values)


@cache
def _pool() -> dict[str, list[Value]]:
    """Values that machines have, by name without label."""
    found: dict[str, list[Value]] = {}
    for values in POOL:
        for path, value in values.items():
            if value is not None:
                found.setdefault(split(path)[0], []).append(value)
    return found


def _mixed(seed: int) -> dict[str, Value]:
    """A random machine, with some of what surrounds others."""
    rng = np.random.default_rng(seed)
    around = {
        path: v for path, v in changed(MORE).items() if not path.startswith(("rotor.", "generator.", "cable.main."))
    }
    kept = {path: v for path, v in around.items() if rng.random() < 0.7}
    return {**kept, **draw(seed)}


MACHINES = {
    "good": lambda: dict(GOOD),
    "pipe": lambda: {**PIPE, **READ},
    "demo, first": lambda: _written(FIRST_SHEET),
    "demo, second": lambda: _written(FIRST_SHEET, SECOND_SHEET),
    **{f"random {seed}": (lambda seed=seed: _mixed(seed)) for seed in (1, 2)},
}


@cache
def _board(name: str) -> Board:
    return Board(RULES, build_design(MACHINES[name]()))


def _names(board: Board) -> list[str]:
    """Every name that the sheet has or could have."""
    labels = {group: board.design.labels(group) for group in LABELLED}
    return [
        entry.named(label)
        for entry in catalogue().values()
        for label in (labels[entry.group] if entry.labelled else (None,))
    ]


def _other(rng: np.random.Generator, path: str, value: Value | None) -> Value:
    """Another value of an input, or one where it has none; one number in six from its whole permitted range."""
    entry = catalogue()[split(path)[0]]
    if entry.kind == "choice":
        return str(rng.choice([word for word in entry.choices if word != value]))
    if entry.kind == "flag":
        return not value if isinstance(value, bool) else bool(rng.random() < 0.5)
    low, high = entry.low, entry.high
    if rng.random() < 1 / 6:
        return float(rng.uniform(low, high) if low <= 0 else np.exp(rng.uniform(np.log(low), np.log(high))))
    if value is None:
        seen = _pool().get(entry.path) or [entry.assumed.value if entry.assumed else max(low, 1.0)]
        value = seen[rng.integers(len(seen))]
    span = 0.05 if entry.unit == "kelvin" else 0.5
    return float(np.clip(float(value) * np.exp(rng.uniform(-span, span)), low, high))


def _drawn(seed: int, board: Board, count: int = CHANGES) -> list[dict[str, Value]]:
    """Random changes of one to four inputs; half of them share their names, so that they are solved together."""
    rng, names = np.random.default_rng(seed), _names(board)

    def some() -> list[str]:
        return [str(path) for path in rng.choice(names, rng.integers(1, 5), replace=False)]

    few = [some() for _ in range(count // 12)]
    picked = [few[rng.integers(len(few))] if i % 2 else some() for i in range(count)]
    return [{path: _other(rng, path, board.design.values.get(path)) for path in paths} for paths in picked]


@cache
def _tried(name: str):
    """Changes of a machine, what the board says of them all at once, and boards made of each changed sheet."""
    board = _board(name)
    changes = _drawn(list(MACHINES).index(name), board)
    fresh = [Board(RULES, Design({**board.design.values, **some})) for some in changes]
    return board, list(zip(changes, board.variants(changes), fresh, strict=True))


def _codes(board: Board) -> dict[Key, int]:
    return {key: row.code for key, row in board.rows.items() if row.code != ABSENT}


def _told(board: Board, variant: Variant, fresh: Board) -> dict[Key, int]:
    levels = {key: board.code(key, variant) for key in (*board.rows, *fresh.rows, *variant.codes)}
    return {key: level for key, level in levels.items() if level != ABSENT}


def _figures(one: Board | Variant):
    return one.energy, one.charging


def _near(figures):
    return tuple(None if v is None else pytest.approx(v, rel=TOLERANCE) for v in figures)


@pytest.mark.parametrize("name", MACHINES)
def test_variants_are_what_judging_each_from_the_beginning_says(name: str):
    """Every finding's level, the year's energy and the charging wind, of three dozen changes at once."""
    board, tried = _tried(name)
    assert len(tried) == CHANGES
    for changes, variant, fresh in tried:
        assert _told(board, variant, fresh) == _codes(fresh), changes
        assert _figures(variant) == _near(_figures(fresh)), changes


def test_every_number_over_its_whole_range_is_told_as_if_it_were_alone():
    """Each number of the demo's second sheet as it is, and at three values over its permitted range, all at once."""
    board = _board("demo, second")
    for path, value in board.design.values.items():
        entry = catalogue()[split(path)[0]]
        if entry.kind != "number" or entry.recorded:
            continue
        low, high = (entry.low, entry.high) if entry.low <= 0 else (np.log(entry.low), np.log(entry.high))
        steps = np.linspace(low, high, 3)
        several = [{path: float(v)} for v in (value, *(steps if entry.low <= 0 else np.exp(steps)))]
        many = [{p: min(max(v, entry.low), entry.high)} for some in several for p, v in some.items()]
        for changes, variant in zip(many, board.variants(many), strict=True):
            same = changes == {path: value}
            fresh = board if same else Board(RULES, Design({**board.design.values, **changes}))
            assert _told(board, variant, fresh) == _codes(fresh), changes
            assert _figures(variant) == _near(_figures(fresh)), changes


#: Values of one input of the good machine that take a rule another way, one after the other.
OTHER_WAYS = {
    "load.lamp.hours": (0.25, 0.0, 0.5),
    "generator.rated_current": (10.0, 90.0, 20.0),
    "mast.height": (15.5, 0.5, 20.0),
    "cable.main.area": (10e-6, 390e-6, 1e-6),
    "cable.inv.fuse_voltage": (32.0, 8.0, 13.0),
}


@pytest.mark.parametrize("path", OTHER_WAYS)
@pytest.mark.parametrize(
    "lacks", [(), ("cable.inv.fuse_breaking", "cable.inv.fused")], ids=["whole", "a fuse half known"]
)
def test_a_rule_that_goes_another_way_for_one_goes_it_for_that_one_alone(path: str, lacks: tuple[str, ...]):
    """Loads that never run, a current above the inverter's, a mast in the grass, a cable off the table, a bad fuse."""
    board = Board(RULES, build_design({name: v for name, v in GOOD.items() if name not in lacks}))
    many = [{path: value} for value in OTHER_WAYS[path]]
    for changes, variant in zip(many, board.variants(many), strict=True):
        fresh = Board(RULES, Design({**board.design.values, **changes}))
        assert _told(board, variant, fresh) == _codes(fresh), changes


@pytest.mark.parametrize("name", MACHINES)
def test_a_changed_board_is_one_made_from_the_beginning(name: str):
    """The same of the board that follows a change; and of one that follows two."""
    board, tried = _tried(name)
    for changes, _, fresh in tried:
        after = board.after(changes)
        assert _codes(after) == _codes(fresh), changes
        assert _figures(after) == _near(_figures(fresh)), changes
        assert {row.key: row.asked for row in after.rows.values()} == {
            row.key: row.asked for row in fresh.rows.values()
        }
    (first, *_), (second, *_) = tried[0], tried[1]
    twice = board.after(first).after(second)
    assert _codes(twice) == _codes(Board(RULES, Design({**board.design.values, **first, **second})))


def test_a_variant_says_the_same_alone_and_among_others():
    """What stands in nobody's way and what does, each by itself."""
    board, tried = _tried("pipe")
    for changes, among, _ in tried[:15]:
        (alone,) = board.variants([changes])
        keys = {*board.rows, *alone.codes, *among.codes}
        assert {k: board.code(k, alone) for k in keys} == {k: board.code(k, among) for k in keys}, changes
        assert alone.exists is among.exists
        assert _figures(alone) == _near(_figures(among)), changes


def test_machines_that_cannot_exist_do_not_take_others_with_them():
    """They are named, and those solved with them are what they are alone."""
    board = _board("pipe")
    chords = [{"blade.chord_root": c} for c in (0.12, 0.14, 0.30, 0.16, 0.29)]
    walls = [{"blade.pipe_wall": t} for t in (0.005, 0.2, 0.006)]
    many = [*chords, *walls]
    told = board.variants(many)
    assert [v.exists for v in told] == [True, True, False, True, False, True, False, True]
    for changes, variant in zip(many, told, strict=True):
        fresh = Board(RULES, Design({**board.design.values, **changes}))
        assert _told(board, variant, fresh) == _codes(fresh)
        assert _figures(variant) == _near(_figures(fresh))
        assert (variant.energy is None) is not variant.exists


def test_a_rotor_that_nothing_drives_is_one_that_exists():
    """But it gives nothing that could be told, and its neighbours do."""
    told = _board("pipe").variants([{"blade.mounting_angle": np.radians(a)} for a in (18.0, 0.0, 22.0)])
    assert [v.exists for v in told] == [True, True, True]
    assert [v.energy is None for v in told] == [False, True, False]


def test_what_one_table_does_not_hold_takes_no_other_variant_with_it():
    """Tables of permitted current end at 120 mm2; thinner cables in the same batch are judged."""
    board, key = _board("good"), ("wiring.ampacity", "cable.main")
    told = board.variants([{"cable.main.area": a * 1e-6} for a in (1.0, 200.0, 10.0)])
    ampere = [Board(RULES, Design({**GOOD, "cable.main.area": a * 1e-6})).code(key) for a in (1.0, 200.0, 10.0)]
    assert ampere[1] == CANNOT_TELL
    assert CANNOT_TELL not in (ampere[0], ampere[2])
    assert [board.code(key, v) for v in told] == ampere


@pytest.mark.parametrize(("chemistry", "volts"), [("LiFePO4", (24.0, 48.0, 51.2)), ("gel lead-acid", (24.0, 48.0))])
def test_a_bank_whose_cells_must_be_counted_is_told_so_among_others(chemistry: str, volts: tuple[float, ...]):
    """48 V of LiFePO4 are sold with 15 and with 16 cells."""
    board, key = _board("good"), ("storage.charge-voltage", "storage")
    many = [
        {"storage.voltage": V, "storage.charge_voltage": 58.4 * V / 48.0, "storage.chemistry": chemistry} for V in volts
    ]
    alone = [Board(RULES, Design({**GOOD, **some})).code(key) for some in many]
    assert [board.code(key, v) for v in board.variants(many)] == alone
    assert (CANNOT_TELL in alone) == (chemistry == "LiFePO4")


def test_charge_voltages_of_a_bank_whose_cells_must_be_counted_are_told_one_by_one():
    """57.6 V suit 16 cells and are too much for 15; 50 V are too little for either."""
    board = Board(RULES, build_design({**GOOD, "storage.voltage": 48.0, "storage.charge_voltage": 57.6}))
    many = [{"storage.charge_voltage": V} for V in (48.0, 50.0, 54.0, 57.6, 58.4, 62.0)]
    key = ("storage.charge-voltage", "storage")
    alone = [Board(RULES, Design({**board.design.values, **some})).code(key) for some in many]
    assert [board.code(key, v) for v in board.variants(many)] == alone
    assert CANNOT_TELL in alone
    assert set(alone) != {CANNOT_TELL}


# --- what was looked at -----------------------------------------------------------------------------------------------


class _Watched(dict):
    """Values of a sheet that remember which names somebody looked up, found or not."""

    def __init__(self, values) -> None:
        super().__init__(values)
        self.looked: set[str] = set()

    def get(self, path, default=None):
        self.looked.add(path)
        return super().get(path, default)

    def __getitem__(self, path):
        self.looked.add(path)
        return super().__getitem__(path)

    def __contains__(self, path) -> bool:
        self.looked.add(path)
        return super().__contains__(path)


class _WatchedDesign(Design):
    """The design of such values; who asks for the labels of a group has looked at the group."""

    def labels(self, group):
        head = f"{group if isinstance(group, str) else group.group}."
        self.values.looked.add(head)
        return Design.labels(self, group)


@pytest.mark.parametrize("name", MACHINES)
def test_a_rule_names_everything_that_it_looked_at(name: str):
    """Whatever is looked up on the sheet while a rule runs, alone and for itself, stands in what it asked."""
    values = _Watched(_board(name).design.values)
    for rule, label in subjects(_board(name).rules, Inputs(_WatchedDesign(values))):
        values.looked.clear()
        x = Inputs(_WatchedDesign(values), label)
        if rule.applies(x):
            outcome_of(rule, x)
        assert values.looked == x.asked, (rule.id, label)
    assert values


def test_a_rule_that_takes_what_was_computed_before_names_what_that_looked_at():
    """What was computed for another rule counts as looked at by each that takes it."""
    x = Inputs(_board("pipe").design)
    solve_machine(x)
    again = x.again()
    solve_machine(again)
    assert again.asked == x.asked
    assert {"generator.emf_constant", "cable.", "rotor.limit_wind"} <= again.asked
