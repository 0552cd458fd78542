"""Rules on the solved machine say each of their statuses; the machine is invented, its numbers regression."""

from __future__ import annotations

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.design import build_design
from calc.machine.entry import AH, Value
from calc.machine.inputs import Inputs
from calc.machine.solving import Solved, solve_machine
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules, judge_variants
from tests.calc.sheets import GOOD, RPM, with_remedies

OK, MARGINAL, FAIL, DANGER, UNKNOWN = Status.OK, Status.MARGINAL, Status.FAIL, Status.DANGER, Status.UNKNOWN
STATED = ("rotor.power_coefficient", "rotor.tip_speed_ratio", "rotor.free_tip_speed_ratio")

#: A machine with blades cut from pipe, computed strip by strip.
PIPE: dict[str, Value] = {k: v for k, v in GOOD.items() if k not in STATED} | {
    "rotor.diameter": 2.2,
    "rotor.blades": 3.0,
    "rotor.limit_wind": 9.0,
    "blade.pipe_diameter": 0.25,
    "blade.pipe_wall": 0.0062,
    "blade.chord_root": 0.15,
    "blade.chord_tip": 0.07,
    "generator.emf_constant": 1 / (9.0 * RPM),
    "generator.winding_resistance": 0.4,
    "generator.rated_current": 15.0,
    "generator.pole_pairs": 20.0,
    "generator.inductance": 0.3e-3,
    "storage.voltage": 24.0,
    "storage.capacity": 100 * AH,
    "storage.charge_voltage": 28.8,
    "cable.main.fuse": 32.0,
    "claim.seller.power": 100.0,
    "claim.seller.wind_speed": 7.0,
}
READ: dict[str, Value] = {
    "measured.M1.quantity": "charge.current",
    "measured.M1.value": 8.0,
    "measured.M1.low": 7.5,
    "measured.M1.high": 8.5,
    "measured.M1.wind_low": 6.5,
    "measured.M1.wind_high": 7.5,
    "measured.M1.load": "battery",
}
LOGGED: dict[str, Value] = {
    "curve.at0700.wind": 7.0,
    "curve.at0700.power": 224.0,
    "curve.at0700.doubt": 8.0,
    "curve.at0700.count": 60.0,
}
BANK_12: dict[str, Value | None] = {"storage.voltage": 12.0, "storage.charge_voltage": 14.4}

CASES: list[tuple[str, dict[str, Value | None], Status, list[str]]] = [
    ("claim.power", {}, OK, ["100 W is claimed", "220 W come out", "26.5 V"]),
    ("claim.power", {"claim.seller.power": 250.0}, MARGINAL, ["Expect 220 W"]),
    ("claim.power", {"claim.seller.power": 400.0}, FAIL, ["only in 9 m/s"]),
    ("claim.power", {"generator.winding_resistance": None}, UNKNOWN, ["generator.winding_resistance"]),
    ("generator.match", {}, OK, ["86 %"]),
    ("generator.match", {"generator.emf_constant": 1 / (7.5 * RPM)}, MARGINAL,
     ["too slow", "8.3 rpm/V", "fewer turns", "larger rotor of 2.4 m"]),
    ("generator.match", BANK_12, FAIL, ["blades stall", "a bank of 24 V"]),
    ("generator.match", {"generator.emf_constant": 1 / (30 * RPM)}, FAIL,
     ["too fast", "more turns", "with a toothed belt"]),
    ("generator.match", {"generator.phases": "single-phase"}, MARGINAL, ["56 %"]),
    ("generator.match", {"generator.winding_resistance": None}, UNKNOWN, ["generator.winding_resistance"]),
    ("rotor.starting", {}, OK, ["2.8 m/s"]),
    ("rotor.starting", {"generator.cogging_torque": 0.6}, MARGINAL,
     ["times the torque at rest", "between root chord and rotor plane"]),
    ("rotor.starting", {"generator.cogging_torque": 3.0}, FAIL, ["starts by itself in", "3.2 Nm"]),
    ("rotor.starting", {"generator.cogging_torque": 500.0}, FAIL, ["does not start by itself", "No single change"]),
    ("rotor.starting", {"blade.mounting_angle": 0.0}, FAIL,
     ["give no power", "20 deg between root chord and rotor plane"]),
    ("rotor.starting", {"blade.pipe_wall": None}, UNKNOWN, ["shape of the blades"]),
    ("generator.heat", {}, OK, ["99 degC", "130 degC"]),
    ("generator.heat", {"generator.rated_current": 13.5}, MARGINAL,
     ["larger generator", "Cool the generator better, to 0.71 K/W"]),
    # Beyond what any winding survives no number is given, neither watts nor degrees.
    ("generator.heat", {"generator.rated_current": 5.0}, FAIL, ["it burns out", "130 degC"]),
    ("generator.heat", {"generator.rated_current": None}, UNKNOWN, ["generator.rated_current"]),
    ("blade.root-strength", {"blade.strength": 2e9}, OK, ["load case B", "stand with blade.stress"]),
    ("blade.root-strength", {"blade.strength": 3e8}, MARGINAL, ["hold even if rigid", "keeps the reserve"]),
    ("blade.root-strength", {}, MARGINAL, ["cannot be settled", "Look for cracks"]),
    ("blade.root-strength", {"rotor.limit_wind": 20.0}, FAIL, ["first bolt hole", "back from 16 m/s already"]),
    ("blade.root-strength", {"rotor.overspeed": "none"}, DANGER,
     ["tears the blades off", "gust of 30 m/s", "furling tail"]),
    ("blade.root-strength", {"blade.chord_tip": None}, UNKNOWN, ["blade.chord_tip"]),
    ("blade.root-strength", {"rotor.power_coefficient": 0.2}, UNKNOWN, ["take that off"]),
    ("blade.root-strength", {"blade.material": "other"}, UNKNOWN, ["no figures"]),
    ("rotor.brake-holds", {}, OK, ["up to 21 m/s"]),
    ("rotor.brake-holds", {"generator.inductance": 1e-3}, MARGINAL, ["10.5 m/s"]),
    ("rotor.brake-holds", {"generator.inductance": 3e-3}, FAIL, ["second brake"]),
    ("rotor.brake-holds", {"generator.winding_resistance": None}, UNKNOWN, ["generator.winding_resistance"]),
    ("rotor.brake-holds", {"generator.phases": "DC with brushes"}, OK, ["up to"]),
    ("energy.year", {}, OK, ["1200 kWh a year"]),
    ("energy.year", {"load.lamp.power": 400.0}, MARGINAL, ["110 %", "35 % of the 3600 kWh"]),
    ("energy.year", {"load.lamp.power": 2000.0}, FAIL, ["23 %", "h/day at most", "kWh a day, and no more"]),
    ("energy.year", {"storage.capacity": None}, UNKNOWN, ["storage.capacity"]),
    ("measured.agrees", {**READ}, OK, ["the two agree"]),
    ("measured.agrees", {**READ, "measured.M1.value": 1.0, "measured.M1.low": 0.9, "measured.M1.high": 1.1}, MARGINAL,
     ["do not agree"]),
    ("measured.agrees", {**READ, "measured.M1.wind_low": 3.0, "measured.M1.wind_high": 12.0}, UNKNOWN,
     ["tests nothing"]),
    ("measured.agrees", {**READ, "measured.M1.wind_low": None}, UNKNOWN,
     ["the wind at that time", "galebook amend M1"]),
    ("measured.curve", LOGGED, OK, ["100 %", "the two agree"]),
    ("measured.curve", {**LOGGED, "curve.at0700.power": 90.0}, MARGINAL, ["40 %", "do not agree"]),
    ("measured.curve", {**LOGGED, "curve.at0700.wind": 1.0}, UNKNOWN, ["No bin of the measured curve"]),
]  # fmt: skip


def _with(changes: dict[str, Value | None]) -> dict[str, Value]:
    return {k: v for k, v in {**PIPE, **changes}.items() if v is not None}


@pytest.mark.parametrize(("rule", "changes", "status", "phrases"), CASES)
def test_rule_says(rule: str, changes: dict[str, Value | None], status: Status, phrases: list[str]):
    """Each rule says each of its statuses, with the numbers that matter."""
    (found,) = with_remedies(build_design(_with(changes)), rule)
    assert found.status is status, found.says
    for phrase in phrases:
        assert phrase in f"{found.says} {found.more} {found.remedy}"


def test_statuses_are_complete():
    """Every rule of the solved machine is made to say unknown, ok and something worse."""
    said: dict[str, set[Status]] = {}
    for rule, _, status, _ in CASES:
        said.setdefault(rule, set()).add(status)
    assert all({OK, UNKNOWN} < statuses for statuses in said.values())


def test_variants_give_what_single_calls_give():
    """Five diameters at once give the same verdicts and values as one by one."""
    diameters = [1.9, 2.0, 2.1, 2.2, 2.3]
    many = judge_variants(RULES, build_design(PIPE | {"rotor.diameter": np.array(diameters)}), 5)
    for i, diameter in enumerate(diameters):
        single = {f.key: f for f in judge_rules(RULES, System(build_design(PIPE | {"rotor.diameter": diameter})))}
        for row in many:
            one = single[(row.rule, row.subject)]
            assert row.statuses[i] is one.status, row.rule
            if row.values[i] is not None and one.value is not None:
                assert row.values[i] == pytest.approx(one.value, rel=1e-6), row.rule


def test_energy_of_the_assembled_machine_is_conserved():
    """What the rotor takes goes to drag, copper, diodes, cable, battery and dump, to one in a million."""
    solved = solve_machine(Inputs(build_design(PIPE)))
    assert isinstance(solved, Solved)
    p = solved.operation.running
    parts = p.drive + p.drag + p.copper + p.diodes + p.cable + p.inside_battery + p.stored + p.dump
    assert parts == pytest.approx(p.rotor, rel=1e-6, abs=1e-9)


def test_doubt_turns_a_verdict_into_a_share():
    """A machine near the limit fails in some of the ways its doubtful values could turn out, and says which matter."""
    design = build_design(PIPE | {"rotor.limit_wind": 16.5})
    found = next(f for f in judge_rules(RULES, System(design, {})) if f.rule == "blade.root-strength")
    assert found.probability is not None
    assert 0.0 < found.probability < 1.0
    assert found.ranking[0].path in ("blade.lift_factor", "blade.drag_factor", "blade.mounting_angle")


def test_reading_is_held_against_the_range_of_the_samples():
    """A reading that the bare values contradict agrees once the doubt of the wind in the machine is counted."""
    near = READ | {"measured.M1.value": 5.0, "measured.M1.low": 4.9, "measured.M1.high": 5.1}
    near |= {"blade.lift_factor": 1.0, "blade.drag_factor": 1.0, "blade.stall_later": 0.0}
    near |= {"storage.voltage_charging": 26.4}
    design = build_design(PIPE | near)
    alone = next(f for f in judge_rules(RULES, System(design)) if f.rule == "measured.agrees")
    doubts = {"generator.emf_constant": (0.8 * PIPE["generator.emf_constant"], 1.2 * PIPE["generator.emf_constant"])}  # type: ignore[operator]
    widened = next(f for f in judge_rules(RULES, System(design, doubts)) if f.rule == "measured.agrees")
    assert (alone.status, widened.status) == (MARGINAL, OK)
    assert widened.probability is None


@pytest.mark.parametrize(
    ("changes", "names"),
    [
        ({"measured.M1.wind_low": None, "measured.M1.wind_high": None}, ("wind_low", "wind_high")),
        ({"measured.M1.load": None}, ("load",)),
        ({"measured.M1.load": "not known"}, ("load",)),
        ({"measured.M1.load": "dump load"}, ()),
    ],
    ids=["wind", "load", "load not known", "a load that is not solved for"],
)
def test_a_reading_names_what_its_record_lacks(changes: dict[str, Value | None], names: tuple[str, ...]):
    """As any other unknown does; nothing is lacking where the machine was not solved for what was connected."""
    book = [one for one in RULES if one.id == "measured.agrees"]
    (found,) = judge_rules(book, System(build_design(_with(READ | changes))))
    assert (found.status, found.missing) == (UNKNOWN, tuple(f"measured.M1.{name}" for name in names))
    assert found.remedy == ("Complete the record, with: galebook amend M1." if names else "")


@pytest.mark.parametrize("material", ["wood", "glass-fibre"])
def test_carved_blades_are_asked_for_what_such_blades_have(material: str):
    """Section and stations for how they start, nothing of a pipe; and nothing where a stated share counts before it."""
    bare = {name: value for name, value in PIPE.items() if not name.startswith("blade.")}
    rule = [r for r in RULES if r.id == "rotor.starting"]
    (found,) = judge_rules(rule, System(build_design(bare | {"blade.material": material})))
    assert found.status is UNKNOWN
    assert "blade.section" in found.missing
    assert {name.split(".")[0] for name in found.missing} == {"blade", "station"}
    assert not [name for name in found.missing if "pipe" in name or "laminate" in name]
    (pipe,) = judge_rules(rule, System(build_design(bare)))
    assert "blade.pipe_diameter" in pipe.missing
    (told,) = judge_rules(rule, System(build_design(PIPE | {"rotor.power_coefficient": 0.3})))
    assert (told.status, told.missing) == (UNKNOWN, ())
