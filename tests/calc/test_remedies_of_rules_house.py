"""Remedies of the inverter, of the house and of what stands behind the rectifier, applied to the sheet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import pytest

from calc.finding import Status, first_sentence
from calc.machine.catalogue.generator import BELT
from calc.machine.catalogue.house import BESIDE_GRID, MOTOR, NOT_EARTHED, TRANSFER_SWITCH, TWO_PLACES, TWO_PLUGS
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.catalogue.storage import DUMP_PLACES, HOLDING, TRACKING
from calc.machine.design import build_design
from calc.machine.entry import AH, MM2
from calc.machine.system import System
from calc.rules import RULES, battery_off, converter, drive, field, house, inverter, inverter_loads
from calc.rules.board import Board
from calc.rules.engine import Judgement, judge_rules
from tests.calc.sheets import GOOD, RPM, applied, dangers, statuses, with_remedies
from tests.calc.test_rules_statuses import CASES
from tests.outside.turning_points import ROWS, WORKED

MINE = {
    rule.id for file in (battery_off, converter, drive, field, house, inverter, inverter_loads) for rule in file.RULES
}
WRONG = (Status.FAIL, Status.DANGER)
BETTER = {
    Status.DANGER: (Status.OK, Status.STATED, Status.MARGINAL),
    Status.FAIL: (Status.OK, Status.STATED, Status.MARGINAL),
    Status.MARGINAL: (Status.OK, Status.STATED),
}
PUMP = {"load.pump.power": 250.0, "load.pump.hours": 0.01, "load.pump.surge": 750.0, "load.pump.kind": MOTOR}
OFF = {"dump.place": DUMP_PLACES[1]}
COIL = {"generator.field": "a coil on slip rings, as in a car alternator", "generator.field_resistance": 2.9}
BELTED = {"generator.drive": BELT, "generator.ratio": 4.0, "generator.drive_efficiency": 0.95,
          "generator.emf_constant": 0.25, "rotor.limit_wind": 8.0}  # fmt: skip
#: Lamps straight at the rectifier.
LAMPS = {k: v for k, v in WORKED.items() if not k.startswith(("storage.", "dump.", "inverter.", "house."))} | {
    "storage.chemistry": "none", "load.lamp.kind": "filament lamp", "load.lamp.power": 60.0, "load.lamp.hours": 0.25,
    "load.lamp.voltage": 24.0, "rotor.limit_wind": 10.0,
}  # fmt: skip


@dataclass(frozen=True)
class Case:
    """A sheet on which a rule is not content."""

    rule: str
    subject: str
    values: tuple

    def sheet(self):
        """Its values by name."""
        return dict(self.values)


def _case(rule, subject, base, **changes):
    values = {**base, **{name.replace("__", "."): v for name, v in changes.items()}}
    return Case(rule, subject, tuple((k, v) for k, v in values.items() if v is not None))


def _of_rows():
    for row in ROWS:
        if row.rule not in MINE:
            continue
        turns = row.turns() if callable(row.turns) else row.turns
        flags = {"yes": True, "no": False}
        if isinstance(turns, dict):
            sides = [flags.get(word, word) for word in turns]
        else:
            sides = [t[0] * (1.0 + way * row.hair) for t in turns for way in (-1, 1)]
        for side in sides:
            yield _case(row.rule, row.subject, {**row.base, **row.changes, row.path: side})


MORE = [
    _case("house.feed", "house", GOOD, house__feed=BESIDE_GRID),
    _case("house.feed", "house", GOOD, house__feed=TWO_PLUGS, house__labels=False, house__rcd=False),
    _case("house.shock", "house", GOOD, house__neutral=NOT_EARTHED, house__rcd=False, inverter__appliances=4.0),
    _case("house.shock", "house", GOOD, house__neutral=TWO_PLACES, house__rcd=False, inverter__outdoors=True),
    # A pump that is too much for the inverter's hours, and one for any inverter of its size.
    _case("inverter.surge", "inverter", GOOD | PUMP, load__pump__power=700.0, load__pump__surge=2100.0),
    _case("inverter.surge", "inverter", GOOD | PUMP, load__pump__surge=2500.0),
    _case("inverter.surge", "inverter", GOOD, load__lamp__power=420.0),
    _case("inverter.sag", "inverter", GOOD | PUMP, cable__inv__area=4 * MM2, cable__inv__length=8.0),
    _case("inverter.sag", "inverter", GOOD | PUMP, storage__capacity=40 * AH, load__pump__surge=2000.0),
    _case("inverter.current", "inverter", GOOD, cable__inv__area=4 * MM2, site__wiring_practice="NEC"),
    _case("inverter.current", "inverter", GOOD, inverter__power=3000.0),
    _case("inverter.fuse", "inverter", GOOD, inverter__power=1000.0),
    _case("dump.controller-voltage", "dump", GOOD | OFF, dump__controller_voltage=30.0),
    _case("storage.monitor-voltage", "storage", GOOD | OFF, storage__monitor_voltage=20.0),
    _case("storage.monitor-voltage", "storage", GOOD, storage__monitor_voltage=20.0, dump__kind="none"),
    _case("inverter.input-voltage", "inverter", GOOD, inverter__input_voltage_max=16.0),
    _case("inverter.input-voltage", "inverter", GOOD, inverter__input_voltage_max=14.0),
    _case("loads.over-voltage", "load.lamp", GOOD | OFF, load__lamp__voltage=12.0, load__lamp__kind="filament lamp"),
    _case("loads.over-voltage", "load.lamp", LAMPS),
    _case("loads.over-voltage", "load.lamp", LAMPS, load__lamp__power=300.0),
    _case("converter.input-voltage", "converter", WORKED, converter__kind=TRACKING, converter__input_lowest=15.0,
          converter__input_highest=150.0, converter__input_current=40.0, rotor__overspeed="none"),
    _case("converter.input-current", "converter", WORKED, converter__kind=TRACKING, converter__input_lowest=15.0,
          converter__input_highest=500.0, converter__input_current=5.0, rotor__limit_wind=11.0),
    _case("converter.input-current", "converter", WORKED, converter__kind=HOLDING, converter__input_held=30.0,
          converter__input_highest=60.0, converter__input_current=5.0, rotor__limit_wind=11.0),
    _case("generator.belt", "generator", WORKED | BELTED, generator__belt_torque=2.0, rotor__brake=SHORTING_SWITCH),
    _case("generator.belt", "generator", WORKED | BELTED, generator__belt_torque=1.0, rotor__overspeed="none"),
    _case("generator.field", "generator", GOOD | COIL, generator__field_supply="always on", site__mean_wind=3.0),
]  # fmt: skip
#: Cases of the rules' own tests, both sides of where they turn, and machines that are wrong in a way of their own.
EVERY = [
    *(_case(rule, subject, {**GOOD, **changes}) for rule, subject, changes, *_ in CASES if rule in MINE),
    *_of_rows(),
    *MORE,
]
#: Rules of which some finding has no change of the sheet that settles it, and why.
BY_ACT = {
    ("house.feed", Status.MARGINAL): "what is left is the operator's word and the electrician's work",
    ("inverter.input-voltage", Status.MARGINAL): "inverters for a battery withstand a third more than it has, no more",
}


@cache
def _advised(i):
    case = EVERY[i]
    return next(f for f in with_remedies(build_design(case.sheet()), case.rule) if f.subject == case.subject)


def _bad():
    book = {rule.id: rule for rule in RULES}
    for i, case in enumerate(EVERY):
        found = judge_rules([book[case.rule]], System(build_design(case.sheet())))
        status = next(f.status for f in found if f.subject == case.subject)
        if status in BETTER:
            yield pytest.param(i, id=f"{case.rule}-{status}-{i}")


BAD = list(_bad())


@pytest.mark.parametrize("i", BAD)
def test_a_remedy_applied_to_the_sheet_settles_its_finding(i):
    """And brings no danger that was not there; where no change does, the rule is named with its reason."""
    case, found = EVERY[i], _advised(i)
    changing = [r for r in found.remedies if r.changes]
    if not changing:
        assert (case.rule, found.status) in BY_ACT, found.remedy
        assert found.remedies
    sheet = build_design(case.sheet())
    for remedy in changing:
        after = applied(sheet, remedy)
        assert after[found.key] in BETTER[found.status], remedy.says
        assert after[found.key] is remedy.becomes
        assert dangers(after) <= dangers(statuses(sheet)), remedy.says


def test_enough_was_tried():
    """Every one of these rules is seen to be wrong at least once."""
    assert {EVERY[p.values[0]].rule for p in BAD} == MINE
    assert len(BAD) >= 80


@pytest.mark.parametrize("i", range(len(EVERY)), ids=lambda i: f"{EVERY[i].rule}-{i}")
def test_what_is_said_is_short(i):
    """The first sentence stands alone on the short screen; the whole is read in one breath."""
    found = _advised(i)
    if found.status is Status.UNKNOWN:
        return
    assert len(first_sentence(found.says).split()) <= 35, first_sentence(found.says)
    assert len(found.says.split()) <= 60
    assert len(found.says) <= 480
    for remedy in found.remedies:
        assert len(first_sentence(remedy.says).split()) <= 25, remedy.says
        assert remedy.says.endswith(".")
        assert remedy.says[0].isupper()


@pytest.mark.parametrize("i", range(len(EVERY)), ids=lambda i: f"{EVERY[i].rule}-{i}")
def test_no_remedy_is_a_text(i):
    """All are ways that can be tried, or acts."""
    case = EVERY[i]
    board = Board([rule for rule in RULES if rule.id == case.rule], build_design(case.sheet()))
    outcome = board.rows[case.rule, case.subject].outcome
    if isinstance(outcome, Judgement):
        assert not isinstance(outcome.ways(), str)


def test_a_lead_with_two_plugs_gives_way_to_a_transfer_switch():
    """Fitted by an electrician; and until then the house is not fed."""
    case = _case("house.feed", "house", GOOD, house__feed=TWO_PLUGS)
    (found,) = with_remedies(build_design(case.sheet()), case.rule)
    first = found.remedies[0]
    assert {c.path: c.value for c in first.changes} == {"house.feed": TRANSFER_SWITCH}
    assert "keep the inverter disconnected" in first.says
    assert [str(r.kind) for r in found.remedies] == ["change", "change", "ask"]


def test_a_larger_inverter_comes_with_its_cable_and_fuse():
    """A pump of 700 W on a 400 W inverter: 1500 W at 10 V for each 12 and 0.8, and a quarter more."""
    case = _case("inverter.surge", "inverter", GOOD | PUMP, load__pump__power=700.0, load__pump__surge=2100.0)
    (found,) = with_remedies(build_design(case.sheet()), case.rule)
    best = {c.path: c.value for c in found.remedies[0].changes}
    assert best["inverter.power"] == 1500.0
    assert best["storage.voltage"] in (24.0, 36.0, 48.0)
    amps = 1500.0 / (best["storage.voltage"] * 10.0 / 12.0) / 0.8
    assert 1.25 * amps <= best["inverter.fuse"] <= 2.0 * amps


def test_a_toothed_belt_is_told_what_it_must_carry():
    """It does not slip, so nothing is judged; the torque is worked out all the same."""
    values = WORKED | BELTED | {"generator.drive": "toothed belt", "generator.belt_torque": None}
    design = build_design({k: v for k, v in values.items() if v is not None})
    found = next(f for f in judge_rules(drive.RULES, System(design)))
    assert found.status is Status.STATED
    assert "Nm" in found.says


def test_a_faster_alternator_is_not_asked_for_another_coil_where_a_switch_will_do():
    """The field switched by the rotor's speed comes first."""
    values = GOOD | COIL | {"generator.field_supply": "always on", "generator.emf_constant": 1 / (40 * RPM)}
    found = with_remedies(build_design(values), *(rule.id for rule in field.RULES))[0]
    assert (found.status, found.remedies[0].becomes) == (Status.FAIL, Status.MARGINAL)
    assert [c.path for c in found.remedies[0].changes] == ["generator.field_supply"]
