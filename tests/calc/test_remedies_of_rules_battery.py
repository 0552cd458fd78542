"""What the rules of battery, dump load and loads advise puts their findings right, and is said shortly."""

from __future__ import annotations

from functools import cache

import pytest

from calc.finding import Act, Status, first_sentence
from calc.machine.design import build_design
from calc.machine.entry import AH
from calc.rules import dump, loads, storage, storage_care, storage_cells
from calc.rules.dump_kits import DUMP_POWERS
from tests.calc.sheets import advised, applied, changed, dangers, statuses
from tests.calc.test_rules_machine import PIPE
from tests.calc.test_rules_statuses import CASES, CLOSET, FLOODED, REUSED
from tests.outside.turning_points import ROWS

OURS = {rule.id for file in (storage, storage_care, storage_cells, dump, loads) for rule in file.RULES}
WRONG = (Status.DANGER, Status.FAIL, Status.MARGINAL)
RIGHT = (Status.OK, Status.STATED)
#: Rules that no change of the sheet puts right, and why.
NO_CHANGE = {"site.months": "which of two winds is wrong only their source can tell"}
#: What stands in the way of a change elsewhere.
NO_NUMBERS = {
    ("storage.dump", None): "without the bank's voltage no dump load has a size",
    ("storage.ventilation", "dump.kind"): "how much gas comes is known only once something holds the voltage, or not",
}


def _tabled():
    """Both sides of every turn of a number, and every word, of the table of turning points."""
    for row in ROWS:
        if row.rule in OURS:
            turns = row.turns() if callable(row.turns) else row.turns
            sides = turns if isinstance(turns, dict) else [t[0] * (1.0 + k * row.hair) for t in turns for k in (-1, 1)]
            for side in sides:
                value = {"yes": True, "no": False}.get(side, side) if isinstance(side, str) else side
                yield row.rule, row.subject, {**row.changes, row.path: value}


OURS_ALL = [(c[0], c[1], c[2]) for c in CASES if c[0] in OURS] + list(_tabled())
NAMES = [f"{c[0]}-{i}" for i, c in enumerate(OURS_ALL)]


@cache
def _found(i):
    rule, subject, changes = OURS_ALL[i]
    return advised(changes, rule).get((rule, subject))


def _wrong():
    return [i for i in range(len(OURS_ALL)) if _found(i) is not None and _found(i).status in WRONG]


def test_rules_of_battery_and_dump_load_name_a_change_that_does():
    """Of every case that is not fine; those that have none are named, with the reason."""
    without = {}
    for i in _wrong():
        rule, _, changes = OURS_ALL[i]
        found = _found(i)
        if not any(r.changes for r in found.remedies):
            without.setdefault(rule, []).append(changes)
            assert found.remedies, found.says
    assert set(without) == {*NO_CHANGE, *(rule for rule, _ in NO_NUMBERS)}
    assert all(c["storage.voltage"] is None for c in without["storage.dump"])
    assert all(c["dump.kind"] is None for c in without["storage.ventilation"])
    assert len(_wrong()) > 90


@pytest.mark.parametrize("i", range(len(OURS_ALL)), ids=NAMES)
def test_what_is_advised_is_applied_and_holds(i):
    """Every change that is told, judged from scratch: right, or no worse than marginal; and no new danger."""
    found, (rule, subject, changes) = _found(i), OURS_ALL[i]
    if found is None or found.status not in WRONG:
        return
    sheet = build_design(changed(changes))
    good = RIGHT if found.status is Status.MARGINAL else (*RIGHT, Status.MARGINAL)
    for remedy in (r for r in found.remedies if r.changes):
        after = applied(sheet, remedy)
        assert after[rule, subject] in good, remedy.says
        assert dangers(after) <= dangers(statuses(sheet)), remedy.says


@pytest.mark.parametrize("i", range(len(OURS_ALL)), ids=NAMES)
def test_what_is_said_is_short(i):
    """The first sentence stands alone on a screen; a remedy is a few short sentences, and says no 'or' of its own."""
    found = _found(i)
    if found is None or found.status is Status.UNKNOWN:
        return
    assert len(first_sentence(found.says).split()) <= 35, found.says
    assert len(found.says.split()) <= 60
    assert len(found.says) <= 480
    assert "  " not in f"{found.says} {found.more}"
    assert not found.says.endswith(" ")
    for remedy in found.remedies:
        assert remedy.says.endswith(".")
        assert not remedy.says.startswith("Or")
        assert all(len(sentence.split()) <= 26 for sentence in remedy.says.split(". ")), remedy.says


def _shown(changes, rule, subject, base=None):
    """What each remedy of a finding sets."""
    found = advised({**(base or {}), **changes}, rule)[rule, subject]
    return [{c.path: c.shown for c in r.changes} for r in found.remedies]


def test_a_dump_load_comes_whole():
    """Kind, place, mount, element and what switches it, and a second means; wire and fuse follow the controller."""
    bare = {name: None for name in changed({}) if name.startswith("dump.")}
    (kit,) = _shown({**bare, "dump.kind": "none", "cable.dump.fuse": 20.0, "cable.dump.area": 2.5e-6}, "storage.dump",
                    "storage")  # fmt: skip
    assert kit["dump.power"] == "200 W"
    assert kit["dump.kind"] == "switched by the charge controller"
    assert kit["dump.place"].startswith("on the rectifier's side")
    assert kit["dump.mounted"].startswith("stone")
    assert kit["dump.second_means"].startswith("a second dump load")
    # 14.2 V over 1.2 ohm draw 11.8 A: a controller of 15 A, so a circuit of 22.5 A (NEC 706.23(B)(2)(4)): 25 A, 4 mm2.
    assert (kit["dump.controller_current"], kit["dump.voltage"]) == ("15 A", "24 V")
    assert (kit["cable.dump.fuse"], kit["cable.dump.area"]) == ("25 A", "4 mm2")


def test_where_nothing_holds_the_rotor_that_comes_before_a_larger_battery():
    """The storm's current is what a larger bank is asked for; a tail takes it away, and a smaller dump load does."""
    free = PIPE | {
        "rotor.overspeed": "none",
        "rotor.limit_wind": None,
        "storage.capacity": 50 * AH,
        "dump.power": 500.0,
    }
    first = _shown(free, "storage.charge-current", "storage")[0]
    assert first["rotor.overspeed"] == "furling tail"
    first = _shown(free, "storage.dump", "storage")[0]
    assert first["rotor.overspeed"] == "furling tail"


def test_a_larger_bank_may_be_charged_with_more():
    """The maker's limit is of the bank as it is: with so many times the capacity goes so many times the current."""
    (change, *_) = _shown({"storage.charge_current_limit": 8.0}, "storage.charge-current", "storage")
    assert change == {"storage.capacity": "150 Ah", "storage.charge_current_limit": "12 A"}


def test_a_place_without_vents_gets_them():
    """It is then another place, and both are set together."""
    (kit,) = _shown({**FLOODED, **CLOSET}, "storage.ventilation", "storage")
    assert kit == {"storage.place": "shed, cellar or utility room with vents", "storage.vent_area": "20 cm2"}


def test_used_cells_are_measured_before_anything_is_bought():
    """What nobody knows of them is first; new ones are the way that leaves nothing marginal."""
    found = advised({"storage.reused": True}, "storage.reused")["storage.reused", "storage"]
    assert [r.kind for r in found.remedies] == [Act.MEASURE, Act.CHANGE]
    (new,) = _shown(REUSED, "storage.reused", "storage")
    assert new == {"storage.reused": "no", "storage.capacity_left": "100 %"}


def test_dump_loads_are_sold_up_to_where_no_workshop_goes():
    """Rising, as a ladder must be."""
    assert list(DUMP_POWERS) == sorted(DUMP_POWERS)
