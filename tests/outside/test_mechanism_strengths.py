"""How strongly the signs of mechanisms speak, and what they judge, on the machine that is balanced by hand."""

from __future__ import annotations

import math

import pytest

from calc.machine.design import build_design
from calc.machine.system import System
from calc.mechanisms import MECHANISMS
from calc.mechanisms.base import Circumstances
from calc.mechanisms.judge import FailedMachine, judge_mechanisms
from calc.units import show
from tests.calc.test_mechanisms import PIPE
from tests.outside.test_mechanism_figures import BEGIN, CLAIM, NOTHING, POLE, PUSH, SPEED_7, weighed
from tests.outside.turning_mechanisms import LEAD, LEFT, LOADED, PUMP, reading
from tests.outside.turning_points import (
    AMPS,
    CABLE,
    CHARGED,
    INSIDE,
    REST,
    RHO_20,
    UP,
    WINDING,
    WORKED_WIND,
    year,
)

MANY = {k: v for i in range(5) for k, v in reading(f"M{i}", "battery.voltage", 26.0 - i / 10.0).items()}
FEW = {k: v for k, v in MANY.items() if not k.startswith("measured.M4")}
SOCKET = {"house.feed": "inverter in parallel with the grid"}
#: Mechanism, changes, circumstances, strength: the order of what is likely follows it. All own choice, no source: three
#: quarters for what is plain, half at a limit and one at twice as far (half as far), nothing between.
STRENGTHS = [
    ("charging.stalled", {}, {"wind": (3.0, 3.0)}, -0.5),
    ("site.turbulent", {"mast.height": 5.0}, {}, 0.75),
    ("site.turbulent", {"mast.height": 10.0}, {}, 0.0),
    ("site.turbulent", {}, {}, -0.75),
    ("generator.weak-magnets", reading("M1", "generator.emf", 0.95 / 2.0), {}, 1.0),
    ("generator.weak-magnets", reading("M1", "generator.emf", 0.96), {}, -0.75),
    ("generator.winding-burnt", {"generator.thermal_resistance": 0.5}, {"load": NOTHING}, -0.75),
    ("generator.winding-burnt", {"generator.thermal_resistance": 50.0}, {}, 1.0),
    ("blade.root-torn", {}, {"load": NOTHING}, -0.5),
    ("rotor.overspeed", {}, {"wind": (12.0, 12.0)}, -0.5),
    ("rotor.overspeed", {}, {"wind": (12.0, 12.0), "load": "not known"}, 0.0),
    # Tips at 150 m/s, twice what speaks for it; at 25 m/s, half of what speaks against it.
    ("rotor.overspeed", {}, {"wind": (150.0 / 8.0, 150.0 / 8.0), "load": NOTHING}, 1.0),
    ("rotor.overspeed", {}, {"wind": (25.0 / 8.0, 25.0 / 8.0), "load": NOTHING}, -1.0),
    ("vibration.imbalance", reading("M1", "vibration.frequency", 5.0) | SPEED_7, {}, 0.75),
    ("vibration.imbalance", reading("M1", "vibration.frequency", 9.0) | SPEED_7, {}, -0.75),
    ("vibration.imbalance", reading("M1", "vibration.frequency", 15.0) | SPEED_7, {}, 0.75),
    ("vibration.imbalance", reading("M1", "vibration.frequency", 15.0) | SPEED_7 | {"rotor.blades": None}, {}, -0.75),
    ("battery.overcharged", reading("M1", "battery.voltage", 29.3), {}, 0.75),
    # 8 cells of 3.4 V are 27.2 V: that low in each of five readings it was never overcharged.
    ("battery.overcharged", MANY, {}, -0.75),
    ("battery.overcharged", FEW, {}, 0.0),
    ("battery.overcharged", {**MANY, **reading("M9", "battery.voltage", 28.0)}, {}, 0.0),
    ("battery.frozen", {**LEAD, "storage.coldest": 253.15, **reading("M1", "battery.density", 1.12)}, {}, 0.75),
    ("battery.frozen", {**LEAD, "storage.coldest": 253.15}, {}, 0.0),
    ("battery.frozen", {**LEAD, "storage.coldest": 283.15}, {}, -0.75),
    ("house.back-feed", SOCKET, {}, 0.9),
    ("house.back-feed", {**SOCKET, "inverter.grid_listed": False}, {}, 0.9),
    ("house.back-feed", {**SOCKET, "inverter.grid_listed": True}, {}, -0.9),
    # Without a surge rating up to twice the rated power says nothing for it.
    ("inverter.surge", {**PUMP, "inverter.surge_power": None}, {}, 0.0),
    ("inverter.surge", {**PUMP, "inverter.surge_power": None, "inverter.power": 462.0 / 2.02}, {}, 1.0),
    ("inverter.surge", {**PUMP, "inverter.surge_power": None, "inverter.power": 462.0 / 0.4}, {}, -1.0),
    ("inverter.low-voltage", {**PUMP, **reading("M1", "inverter.input_voltage", 10.5)}, {}, 1.0),
    ("fuse.inverter-start", {**PUMP, "inverter.fuse": 462.0 / 0.8 / 24.0 / 4.0}, {}, 1.0),
    ("fuse.gust-current", {"cable.main.fuse": AMPS / 2.7}, {}, 1.0),
    ("claim.too-high", {"claim.C1.power": 3.1 * CHARGED, "claim.C1.wind_speed": WORKED_WIND}, {}, 1.0),
    ("claim.too-high", {"claim.C1.power": 0.5 * CHARGED, "claim.C1.wind_speed": WORKED_WIND}, {}, -1.0),
    ("dump.failed", {"dump.kind": "always connected", "dump.power": CHARGED / 2.1, "storage.charge_voltage": None},
     {}, 1.0),
]  # fmt: skip


@pytest.mark.parametrize(
    ("mechanism", "changes", "circumstances", "strength"), STRENGTHS,
    ids=[f"{i}-{row[0]}" for i, row in enumerate(STRENGTHS)],
)  # fmt: skip
def test_how_strongly_a_sign_speaks(mechanism, changes, circumstances, strength):
    """From -1, clearly against, to 1, clearly for."""
    assert weighed(mechanism, changes, **circumstances).strength == pytest.approx(strength, abs=5e-3)


def test_a_hot_winding_speaks_the_louder_the_hotter_it_got():
    """Half at the limit of its insulation, class B 130 degC (IEC 60034-1), and one 100 K above; own choice."""
    for ohms in (1.5, 1.8):
        row = weighed("generator.winding-burnt", {"generator.thermal_resistance": ohms})
        assert 130.0 < row.value < 230.0
        assert row.strength == pytest.approx(0.5 + (row.value - 130.0) / 200.0, abs=1e-3)


def test_pairs_of_leads_are_compared_by_the_last_three_readings():
    """An older one, of before the repair, is left out; one alone tells nothing."""
    read = {}
    for i, ohms in enumerate((0.9, 0.2, 0.2, 0.2), start=1):
        read |= reading(f"M{i}", "generator.resistance", ohms)
    assert weighed("generator.phase-open", read).verdict == "contradicted"
    assert weighed("generator.phase-open", reading("M1", "generator.resistance", 0.9)).verdict == "cannot tell"
    two = reading("M1", "generator.resistance", 0.9) | reading("M2", "generator.resistance", 0.2)
    assert weighed("generator.phase-open", two).verdict == "supported"


#: Mechanisms that leave something behind, and two readings that speak for them.
LEFT_BEHIND = {
    "generator.weak-magnets": reading("M1", "generator.emf", 0.8) | reading("M2", "generator.emf", 0.8),
    "generator.winding-burnt": reading("M1", "generator.resistance", 3.0) | reading("M2", "generator.resistance", 3.0),
    "generator.phase-open": reading("M1", "generator.resistance", 1.0) | reading("M2", "generator.resistance", 3.0),
}


@pytest.mark.parametrize("mechanism", LEFT_BEHIND)
def test_only_what_was_read_since_shows_what_was_left_behind(mechanism):
    """By the indicator as by the readings that stand beside it."""
    found = [weighed(mechanism, LEFT_BEHIND[mechanism], earlier=labels) for labels in ((), ("M1", "M2"))]
    assert [str(row.verdict) for row in found] == ["supported", "cannot tell"]
    assert [[e.label for e in row.evidence] for row in found] == [["M1", "M2"], []]


def _years_share():
    """What a year gives over the 10 W that the loads take day and night."""
    return year(5.0, 20.0) / (10.0 * 365.0 * 86400.0)


#: 28.2 rad/s in turns a minute; the wind at the rotor; a start of 462 W through 0.8 out of 24 V.
RPM_BEGIN, HUB, AMPS_OF_START = BEGIN * 30.0 / math.pi, 5.5 * UP, 462.0 / 0.8 / 24.0
#: Mechanism, changes, circumstances; what was judged, and from where on it speaks for the mechanism, as they are shown.
JUDGED = [
    ("charging.never-reached", reading("M1", "rotor.speed", 27.0), {}, (27.0 * 30.0 / math.pi, 0.9 * RPM_BEGIN)),
    ("charging.never-reached", {}, {}, (BEGIN / 8.0, 1.5 * HUB)),
    ("charging.stalled", reading("M1", "rotor.speed", 20.0), {}, (50.0, 60.0)),
    ("charging.stalled", {}, {}, (100.0, 60.0)),
    ("charging.cable-loss", reading("M1", "cable.drop", 1.2), {}, (5.0, 10.0)),
    ("charging.cable-loss", {}, {}, (100.0 * CABLE / (CABLE + INSIDE + REST / AMPS), 10.0)),
    ("charging.loose-connection", reading("M1", "cable.drop", 0.2928) | reading("M2", "charge.current", 5.0), {},
     (1.6, 1.5)),
    ("site.wind-low", {}, {}, (HUB, 3.0)),
    ("site.wind-low", {"rotor.diameter": None}, {}, (HUB, 3.0)),
    ("site.turbulent", {}, {}, (9.5, 0.0)),
    ("bearing.drag", reading("M1", "rotor.speed", 48.0, NOTHING), {"load": NOTHING}, (75.0, 80.0)),
    ("generator.weak-magnets", reading("M1", "generator.emf", 0.9), {}, (90.0, 95.0)),
    ("generator.winding-burnt", reading("M1", "generator.resistance", 1.2 * WINDING), {}, (1.2, 1.15)),
    ("generator.winding-burnt", {"generator.thermal_resistance": 0.5}, {"load": NOTHING}, (20.0, 130.0)),
    ("generator.phase-open", reading("M1", "generator.resistance", 0.5) | reading("M2", "generator.resistance", 0.6),
     {}, (1.2, 1.1)),
    ("generator.rectifier-overvoltage", {}, {"load": NOTHING}, (64.0 * math.pi / 3.0, 1000.0)),
    ("rotor.overspeed", {}, {"load": NOTHING}, (64.0, 75.0)),
    ("mast.overload", POLE, {}, (PUSH * 6.0 / 7.37e-6 / 1e6, 117.5)),
    ("vibration.imbalance", reading("M1", "vibration.frequency", 6.0) | SPEED_7, {}, (6.0, 5.0)),
    ("battery.overcharged", reading("M1", "battery.voltage", 29.6), {}, (3.7, 3.65)),
    ("battery.overcharged", LOADED, {}, lambda: (_years_share(), 1.3)),
    ("battery.starved", {"storage.capacity_left": 0.7}, {}, (70.0, 80.0)),
    ("battery.starved", LOADED, {"seen": "battery flat"}, lambda: (_years_share(), 1.0)),
    ("battery.frozen", {**LEAD, "storage.coldest": 258.15, **reading("M1", "battery.density", 1.2)}, {},
     (-15.0, -27.0)),
    ("battery.electronics-opened", {**PUMP, "storage.discharge_current_limit": 20.0}, {}, (AMPS_OF_START, 20.0)),
    ("inverter.low-voltage", {**PUMP, **reading("M1", "inverter.input_voltage", 20.0)}, {}, (20.0, 21.0)),
    ("inverter.low-voltage", PUMP, {}, (LEFT, 21.0)),
    ("inverter.surge", PUMP, {}, (462.0, 1000.0)),
    ("inverter.surge", {**PUMP, "inverter.surge_power": None}, {}, (462.0, 400.0)),
    ("fuse.gust-current", {}, {}, (AMPS, 1.35 * 16.0)),
    ("fuse.inverter-start", PUMP, {}, (AMPS_OF_START, 126.0)),
    ("dump.failed", {"dump.kind": "always connected", "storage.charge_voltage": None}, {}, (200.0 / CHARGED, 1.0)),
    ("reading.wrong", reading("M1", "battery.voltage", 40.0), {}, (40.0, 1.35 * 24.0)),
    ("reading.wrong", reading("M1", "charge.power", 500.0), {},
     (50000.0 / (0.5 * RHO_20 * math.pi * 8.0**3), 1600.0 / 27.0)),
    ("claim.too-high", CLAIM, {}, (300.0, 1.5 * CHARGED)),
]  # fmt: skip


@pytest.mark.parametrize(
    ("mechanism", "changes", "circumstances", "figures"), JUDGED,
    ids=[f"{i}-{row[0]}" for i, row in enumerate(JUDGED)],
)  # fmt: skip
def test_what_is_judged_and_against_what(mechanism, changes, circumstances, figures):
    """Both as they are shown; without doubt there is no range."""
    row = weighed(mechanism, changes, **circumstances)
    wanted = figures() if callable(figures) else figures
    assert (row.value, row.limit) == pytest.approx(wanted, rel=0.012, abs=0.05)


def test_a_root_in_normal_running_is_pulled_at_the_speed_of_normal_running():
    """That of the machine with its battery, not of the free rotor; the pull goes with its square (WOOD-206)."""
    bare = System(build_design(PIPE), {}, 5)
    shares, speeds = [], []
    for V in (7.0, 9.0):
        machine = FailedMachine(bare, Circumstances(V, V, "battery", ("blade lost or broken",)))
        (row,) = judge_mechanisms(machine, [MECHANISMS["blade.root-torn"]])
        speeds.append(float(bare.solved.at(V).omega))
        assert f"it would turn at {show(speeds[-1], 'rpm', 2)}" in row.says
        assert (row.limit, row.unit) == (50.0, "%")
        shares.append(row.value)
    assert shares[1] / shares[0] == pytest.approx((speeds[1] / speeds[0]) ** 2, rel=1e-3)
