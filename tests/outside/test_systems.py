"""What the rule book says of machines built with care, and of machines built without."""

from __future__ import annotations

from functools import cache

import pytest

from calc.finding import Status
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.outside.systems import CARELESS, SOUND

BAD = (Status.DANGER, Status.FAIL)


def name(machine):
    """A readable id."""
    return machine.name


@cache
def findings(i):
    """What the rules say of one machine, with the doubts of its sheet."""
    sheet = (*SOUND, *CARELESS)[i].sheet()
    return judge_rules(RULES, sheet.system, sheet.provenance)


def found(machine):
    """The same, computed once."""
    return findings((*SOUND, *CARELESS).index(machine))


@pytest.mark.parametrize("machine", SOUND, ids=name)
def test_a_sound_machine_is_no_danger_and_fails_nowhere_without_a_reason(machine):
    """No danger; nothing unknown that can kill; and it fails only where that is argued beside it."""
    assert {f.key: f.says for f in found(machine) if f.status is Status.DANGER or f.deadly} == {}
    assert {f.key for f in found(machine) if f.status is Status.FAIL} == set(machine.fails)


@pytest.mark.parametrize("machine", SOUND, ids=name)
def test_a_sound_machine_is_described_in_full(machine):
    """No rule waits for anything: its silence is not that of a sheet half filled in."""
    assert {f.key: f.missing for f in found(machine) if f.status is Status.UNKNOWN} == {}


#: What somebody could have left out or done wrong, and the rule that must then cry danger, on every sound machine.
SPOILT = {
    "rotor.overspeed": {"rotor__overspeed": "none"},
    "rotor.brake": {"rotor__brake": "none"},
    "protection.main-fuse": {"protection__main_fuse": "none"},
    "protection.brake-switch": {"protection__brake_place": "after the rectifier"},
    "generator.touch-voltage": {"generator__enclosed": "no"},
    "wiring.fuse": {"cable__stray__carries": "battery to loads", "cable__stray__area": "0.5 mm2",
                    "cable__stray__current": "2 A", "cable__stray__fuse": "50 A"},
    "protection.fuse": {"cable__stray__carries": "battery to loads", "cable__stray__fuse_kind": "breaker for AC"},
    "dump.mount": {"dump__mounted": "wood or another thing that can burn"},
    "mast.overhead-lines": {"mast__line_distance": "5 m"},
    "house.feed": {"house__feed": "inverter into a socket by a lead with two plugs"},
}  # fmt: skip


@pytest.mark.parametrize("rule", SPOILT)
@pytest.mark.parametrize("machine", SOUND, ids=name)
def test_a_sound_machine_spoilt_in_one_thing_is_a_danger(machine, rule):
    """What is silent on the sound ones is not blind: the danger stands first, and it is that one."""
    first, *_ = judge_rules([r for r in RULES if r.id == rule], System(machine.sheet(**SPOILT[rule]).design))
    assert (first.rule, first.status) == (rule, Status.DANGER)


@pytest.mark.parametrize("machine", CARELESS, ids=name)
def test_the_dangers_of_a_careless_machine_come_first(machine):
    """Those that a careful reader would name, no other before them, and none that he would not."""
    dangers = [f.rule for f in found(machine)[: len(machine.dangers)]]
    assert sorted(dangers) == sorted(machine.dangers)
    assert [f.status for f in found(machine)].count(Status.DANGER) == len(machine.dangers)


@pytest.mark.parametrize("machine", CARELESS, ids=name)
def test_a_careless_machine_fails_more_than_it_is_dangerous_for(machine):
    """Nobody who forgets what kills does the rest well; yet what can be put right is not called a danger."""
    assert any(f.status is Status.FAIL for f in found(machine))


def test_they_are_as_different_as_such_machines_are():
    """12, 24 and 48 V, 1.2 to 4.5 m, 10 to 80 m of cable, lead and lithium, rectifier at either end, IEC and NEC."""
    sheets = [machine.sheet().design.values for machine in SOUND]
    generator = "generator before the rectifier", "generator after the rectifier"
    runs = [
        sum(v[k.replace("carries", "length")] for k, word in v.items() if k.endswith(".carries") and word in generator)
        for v in sheets
    ]
    assert {v["storage.voltage"] for v in sheets} == {12.0, 24.0, 48.0}
    assert (min(v["rotor.diameter"] for v in sheets), max(v["rotor.diameter"] for v in sheets)) == (1.2, 4.5)
    assert (min(runs), max(runs)) == (pytest.approx(10.0, abs=2.0), pytest.approx(80.0, abs=2.0))
    assert {str(v["storage.chemistry"]).rpartition(" ")[2] for v in sheets} == {"lead-acid", "LiFePO4"}
    assert {v["blade.material"] for v in sheets} == {"PVC-U pipe", "wood", "glass-fibre"}
    assert {v["generator.phases"] for v in sheets} == {"three-phase", "DC with brushes"}
    assert {machine.sheet().assumed != {} for machine in SOUND} == {True, False}
