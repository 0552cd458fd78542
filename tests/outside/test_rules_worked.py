"""Figures that rules quote, worked out by hand: on the worked machine of the turning points, and on the good one."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy

from calc.machine.catalogue.house import NEUTRALS
from calc.machine.catalogue.wiring import FUSED_BY_RUN
from calc.machine.design import build_design
from calc.machine.solving import WINDS
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.sheets import GOOD, RPM, advised, with_remedies
from tests.calc.test_rules_machine import PIPE
from tests.outside.turning_points import CP, FREE_WIND, UP, WORKED, amps, cp, held, rayleigh, year

#: A winding with which the machine stalls in strong wind, on a mast as high as the wind was measured.
THIN = 0.3
STALLING = {
    **WORKED, "site.mean_wind": 5.0, "mast.height": 10.0, "rotor.overspeed": "none", "rotor.limit_wind": None,
    "generator.winding_resistance": THIN,
}  # fmt: skip
BEGIN, BEHIND = 26.4 + 1.8, 2 * 10.0 * 1.83e-3 + 0.010


def finding(rule, base=WORKED, **changes):
    """What one rule says of the machine, some values changed."""
    return next(iter(judge_rules([one for one in RULES if one.id == rule], _system(base, changes))))


def remedies(rule, base=WORKED, **changes):
    """The same with its remedies, each tried on the whole machine."""
    return with_remedies(_system(base, changes).design, rule)[0]


def _system(base, changes):
    values = {**base, **{name.replace("__", "."): value for name, value in changes.items()}}
    return System(build_design({name: value for name, value in values.items() if value is not None}))


def ratio(V):
    """Tip-speed ratio with the thin winding, by the balance of torques."""
    return (BEGIN + amps(V, R=THIN) * (THIN + BEHIND)) / V


def energy(mean, winds=WINDS):
    """How much energy the wind carries at each of some winds, in a place of some mean wind; in any unit."""
    return np.array([rayleigh(V, mean) for V in winds]) * winds**3


def test_a_rotor_is_said_to_stall_from_a_tenth_of_the_wind_s_energy_on():
    """Stalled is below 0.6 of the best ratio of 5; Rayleigh winds of a place mean 5 m/s. Both shares own choice."""
    stalled = np.array([ratio(float(V)) < 0.6 * 5.0 for V in WINDS])
    turn = scipy.optimize.brentq(lambda mean: energy(mean)[stalled].sum() / energy(mean).sum() - 0.1, 3.0, 9.0)
    said = [finding("generator.match", STALLING, site__mean_wind=mean).says for mean in (0.997 * turn, 1.003 * turn)]
    assert ["stall" in says for says in said] == [False, True]
    first = float(WINDS[np.argmax(stalled)])
    assert f"From {first:.0f} m/s on" in said[1]
    assert f"the tip-speed ratio falls to {ratio(first):.1f}".removesuffix(".0") in said[1]


@pytest.mark.parametrize(("limit", "stalls"), [(11.0, False), (13.0, False), (25.0, True)])
def test_winds_in_which_it_is_held_back_count_for_no_stall(limit, stalls):
    """From 12 m/s on it would stall; a tail that furls it before or soon after leaves too little of that."""
    furled = {**STALLING, "rotor.overspeed": "furling tail", "rotor.limit_wind": limit}
    assert ("stall" in finding("generator.match", furled).says) is stalls


@pytest.mark.parametrize("limit", [6.0, 9.0])
def test_the_match_is_that_of_the_winds_in_which_it_is_let_work(limit):
    """Power of the rotor over what it could take at its best, up to where it is held back."""
    furled = {**STALLING, "rotor.overspeed": "furling tail", "rotor.limit_wind": limit}
    winds = np.array([V for V in WINDS if limit >= V and amps(float(V), R=THIN) > 0])
    taken = np.array([cp(ratio(float(V))) for V in winds])
    weights = energy(5.0, winds)
    found = finding("generator.match", furled)
    assert found.value / 100.0 == pytest.approx(float(np.sum(weights * taken) / (CP * np.sum(weights))), rel=3e-3)
    assert (found.limit, found.margin) == (75.0, pytest.approx(found.value / 75.0 - 1.0))


#: Kind of winding, how its 1/(40 rpm/V) was read, inductance and pole pairs, and the current of its leads when shorted.
#: Tips at 50 m/s turn 2 m at 50 rad/s, which is 11.94 V as read. A star's phase is half of 0.4 ohm and of 3 mH.
READ_V, REACTANCE = 50.0 / (40.0 * RPM), 50.0 * 8.0 * 3e-3
SHORTED = [
    ("three-phase", "between two leads, RMS", {}, READ_V / math.sqrt(3.0) / 0.2),
    ("three-phase", "between two leads, RMS", {"generator__inductance": 3e-3, "generator__pole_pairs": 8.0},
     READ_V / math.sqrt(3.0) / math.hypot(0.2, REACTANCE / 2.0)),
    ("three-phase", "lead to star point, RMS", {}, READ_V / 0.2),
    ("single-phase", "between two leads, RMS", {"generator__inductance": 3e-3, "generator__pole_pairs": 8.0},
     READ_V / math.hypot(0.4, REACTANCE)),
    ("single-phase", "between two leads, RMS", {"generator__inductance": 3e-3}, READ_V / 0.4),
    ("single-phase", "between two leads, RMS", {"generator__pole_pairs": 8.0}, READ_V / 0.4),
    ("DC with brushes", "DC after the rectifier", {"generator__inductance": 3e-3, "generator__pole_pairs": 8.0},
     (READ_V - 1.2) / 0.4),
]  # fmt: skip


@pytest.mark.parametrize(("phases", "form", "coil", "amps"), SHORTED)
def test_a_shorted_generator_drives_its_voltage_over_its_impedance(phases, form, coil, amps):
    """U/Z of the leads, U/sqrt(3) over half of it in a star; a brushed machine's inductance takes nothing from DC."""
    found = finding("protection.brake-switch", GOOD, generator__phases=phases, generator__emf_form=form, **coil)
    assert found.limit == pytest.approx(amps, rel=1e-3)
    assert found.margin == pytest.approx(40.0 / amps - 1.0, rel=1e-3)
    held_back = len(coil) == 2 and phases != "DC with brushes"
    assert ("by its resistance and inductance" in found.says) is held_back
    assert ("by its resistance alone" in found.says) is not held_back


@pytest.mark.parametrize(("phases", "share"), [("three-phase", math.sqrt(2.0 / 3.0)), ("single-phase", 1.0)])
def test_a_brake_switch_must_carry_the_working_current(phases, share):
    """10 A behind the bridge: sqrt(2/3) of it in each of three leads (from memory), all of it in two."""
    kind = {"generator__phases": phases, "generator__rated_current": 10.0, "rotor__blades": None}
    said = [str(finding("protection.brake-switch", GOOD, protection__brake_current=10.0 * share * near, **kind).status)
            for near in (0.999, 1.001)]  # fmt: skip
    assert said == ["fail", "marginal"]
    alone = finding("protection.brake-switch", GOOD, protection__brake_current=9.0 * share, **kind)
    assert "less than even the working current" in alone.says
    assert f"In normal running each lead carries {10.0 * share:.2g} A" in alone.more
    # Switches are sold for 16 A; never faster than this one can take.
    told = remedies("protection.brake-switch", GOOD, protection__brake_current=9.0 * share, **kind).remedy
    assert "rated for 16 A or more" in told
    slower = 50.0 / RPM * 9.0 * share / alone.limit
    assert f"brake below {10 * math.floor(slower / 10)} rpm" in told


def test_a_star_point_that_is_not_there_is_no_ground_for_a_current():
    """A single-phase winding has two leads."""
    star = {"generator__phases": "single-phase", "generator__emf_form": "lead to star point, RMS"}
    found = finding("protection.brake-switch", GOOD, **star)
    assert (found.status, "no star point" in found.says) == ("unknown", True)


#: Quantities that no solved machine shows, and one that it does, on machines with and without a battery.
@pytest.mark.parametrize(
    ("quantity", "chemistry", "judged"),
    [("charge.current", "LiFePO4", True), ("battery.voltage", "LiFePO4", False), ("generator.emf", "none", False),
     ("battery.density", "none", False)],
)  # fmt: skip
def test_a_reading_is_held_against_what_a_machine_with_a_battery_shows(quantity, chemistry, judged):
    """And against nothing else."""
    read = {"measured.M1.quantity": quantity, "measured.M1.value": 1.0}
    values = {**WORKED, **read, "storage.chemistry": chemistry}
    found = judge_rules([one for one in RULES if one.id == "measured.agrees"], System(build_design(values)))
    assert [f.subject for f in found] == (["measured.M1"] if judged else [])


#: Reverse voltages of the 1N4001 to 1N4007 (their data sheet), and 1200 and 1600 V of bridge modules; from memory.
REVERSE = (50.0, 100.0, 200.0, 400.0, 600.0, 800.0, 1000.0, 1200.0, 1600.0)
#: Currents in which bridges are sold; common practice, no source.
BRIDGES = (10.0, 15.0, 25.0, 35.0, 50.0, 75.0, 100.0, 150.0, 200.0, 300.0)


def _size(sizes, least, good):
    """The first that is enough; where that is only just enough, one of the next two that has the usual reserve."""
    enough = [size for size in sizes if size >= least][:3]
    return next((size for size in enough if size >= good), enough[0])


@pytest.mark.parametrize(("low", "step"), [*zip((25.0, *REVERSE), REVERSE, strict=False)])
def test_the_rectifier_named_is_one_that_is_sold(low, step):
    """The peak of the open generator, pi/3 of 240 rad/s at 1/(40 rpm/V), and twice that (common practice)."""
    for peak in (0.998 * step, 1.002 * low):
        k = peak / (240.0 * math.pi / 3.0)
        weak = {"generator__rectifier_voltage": 10.0, "rotor__overspeed": "none"}
        found = remedies("generator.storm-voltage", GOOD, generator__emf_constant=k, **weak)
        size = _size(REVERSE, peak, 2.0 * peak)
        assert found.remedy.startswith(f"Use a rectifier for {size:.0f} V or more.")
        assert found.remedies[0].changes[0].value == size


def test_no_rectifier_is_named_where_none_is_sold():
    """8 V s/rad give 2011 V and they end at 1600 V; what is left is a generator of fewer turns."""
    found = remedies("generator.storm-voltage", GOOD, generator__emf_constant=8.0, generator__rectifier_voltage=1600.0)
    assert "Use a rectifier" not in found.remedy
    assert [c.path for r in found.remedies for c in r.changes if c.path == "generator.emf_constant"]


@pytest.mark.parametrize(("low", "step"), [*zip((1.0, *BRIDGES), BRIDGES, strict=False)])
def test_the_bridge_named_is_one_that_is_sold(low, step):
    """It takes the current, one and a half times it where that is sold (common practice)."""
    for wanted in (0.999 * step, 1.001 * low):
        rated = {"generator__rated_current": wanted, "rotor__blades": None}
        found = remedies("protection.rectifier", GOOD, generator__rectifier_current=0.5, **rated)
        assert f"Use a rectifier of {_size(BRIDGES, wanted, 1.5 * wanted):.0f} A or more" in found.remedy
        assert found.value == pytest.approx(wanted)
    beyond = remedies("protection.rectifier", GOOD, generator__rectifier_current=5.0, generator__rated_current=310.0,
                    rotor__blades=None)  # fmt: skip
    assert not any(r.changes for r in beyond.remedies)


@pytest.mark.parametrize(("share", "said"), [(1.05e-3, "for 0.1"), (0.95e-3, "less than 0.1 %")])
def test_how_often_it_blows_harder_is_told_down_to_a_thousandth(share, said):
    """exp(-pi/4 (V/Vm)^2) of Rayleigh winds (IEC 61400-12-1)."""
    mean = FREE_WIND / math.sqrt(-math.log(share) * 4.0 / math.pi)
    says = finding("generator.charging-begins", GOOD, site__mean_wind=mean / UP).says
    assert said in says.split("It blows harder")[1]
    assert ("less than" in says) is (share < 1e-3)


@pytest.mark.parametrize(("start", "most"), [(700.0, 800.0), (1000.0, 800.0), (400.0, 800.0)])
def test_what_is_left_for_a_start(start, most):
    """As a share of what the inverter gives for a moment; 12 W of lamps run beside the pump."""
    pump = {"load__pump__power": 250.0, "load__pump__hours": 0.01, "load__pump__surge": start}
    found = finding("inverter.surge", GOOD, **pump, inverter__surge_power=most)
    assert (found.value, found.limit) == (pytest.approx(start + 12.0), pytest.approx(most))
    assert found.margin == pytest.approx(1.0 - (start + 12.0) / most)


@pytest.mark.parametrize(
    ("cable", "amps"),
    [
        # 13.2 V at rest behind 5 mohm and 0.15 m of 25 mm2 there and back (IEC 60228, 0.727 ohm/km); as if the cable
        # were none where its size is not known, which asks for more of the fuse.
        ({}, 13.2 / (0.005 + 2 * 0.15 * 0.727e-3)),
        ({"cable__inv__area": None}, 13.2 / 0.005),
        ({"cable__inv__fuse_distance": 10.0}, 13.2 / (0.005 + 2 * 10.0 * 0.727e-3)),
    ],
)
def test_a_short_circuit_is_held_back_by_battery_and_cable(cable, amps):
    """V/R; a fuse that breaks just less is a danger, one that breaks just more is not."""
    rows = []
    for breaks in (0.999 * amps, 1.001 * amps):
        values = GOOD | {name.replace("__", "."): v for name, v in cable.items()}
        values |= {"storage.internal_resistance": 0.005, "cable.inv.fuse_breaking": breaks, "cable.main.fused": False}
        # Without a main fuse ahead of it.
        values |= {"protection.main_fuse": FUSED_BY_RUN}
        design = build_design({name: value for name, value in values.items() if value is not None})
        found = judge_rules([rule for rule in RULES if rule.id == "protection.fuse"], System(design))
        rows.append(next(f for f in found if f.subject == "cable.inv"))
    far = "cable__inv__fuse_distance" in cable
    assert ["danger" if far else "ok", "danger"] == [str(row.status) for row in reversed(rows)]
    # Shown to two figures.
    assert all(f"draws up to {float(f'{amps:.2g}'):.0f} A" in f"{row.says} {row.more}" for row in rows)


def test_a_match_is_told_however_seldom_it_charges():
    """28.2 V at 0.2 V s/rad are reached in 17.6 m/s, which hardly ever blows where 2.5 m/s do; at 0.1 in none to 25."""
    seldom, never = (
        finding("generator.match", STALLING, site__mean_wind=2.5, generator__emf_constant=k) for k in (0.2, 0.1)
    )
    assert 0.0 < seldom.value < 75.0
    assert "too fast" in seldom.says
    assert (never.value, str(never.status), "too fast" in never.says) == (0.0, "fail", True)


@pytest.mark.parametrize(
    ("neutral", "rcd", "said"),
    [(0, True, ()), (1, True, (0,)), (1, None, (0,)), (1, False, (0, 1)), (2, True, (2,)), (2, False, ()),
     (0, False, (1,)), (None, False, (1,))],
)  # fmt: skip
def test_each_fault_of_the_house_is_said_and_no_other(neutral, rcd, said):
    """Neutral earthed twice, no residual-current device, one that cannot see; IEC 60364-4-41, NEC 702.11."""
    word = None if neutral is None else NEUTRALS[neutral]
    says = finding("house.shock", GOOD, house__neutral=word, house__rcd=rcd).says
    faults = ("at two places", "No residual-current device", "cannot see a fault")
    assert tuple(i for i, fault in enumerate(faults) if fault in says) == said


@pytest.mark.parametrize(
    ("changes", "said", "left_out"),
    [
        # 240 rad/s at 1/(40 rpm/V) and pi/3: 60 V across a fuse in the generator's run, above the battery's 14.2 V.
        ({}, ("14.2 V", "80 V DC", "break 10000 A", "can put 60 V across it", "0.15 m of cable"), ("Not stated",)),
        ({"generator__emf_constant": None}, ("14.2 V", "0.15 m of cable"), ("across it",)),
        (
            {"cable__main__fuse_distance": None, "cable__main__fuse_voltage": 1.0},
            ("1 V DC", "fuse: place."),
            ("m of cable",),
        ),
        ({"cable__main__fuse_breaking": None, "cable__main__fuse_voltage": 1.0}, ("fuse: breaking capacity.",), ()),
        ({"cable__main__fuse_voltage": None, "cable__main__fuse_distance": 9.0}, ("fuse: DC voltage.",), ()),
    ],
)
def test_a_fuse_is_told_with_all_that_is_known_of_it(changes, said, left_out):
    """And with what is not stated; what is known to be wrong is said all the same."""
    values = {**GOOD, **{name.replace("__", "."): v for name, v in changes.items()}}
    design = build_design({name: value for name, value in values.items() if value is not None})
    found = judge_rules([rule for rule in RULES if rule.id == "protection.fuse"], System(design))
    one = next(f for f in found if f.subject == "cable.main")
    says = f"{one.says} {one.more}"
    assert [phrase for phrase in said if phrase not in says] == []
    assert [phrase for phrase in left_out if phrase in says] == []


@pytest.mark.parametrize(
    ("rating", "volts", "enough", "above", "asked"),
    [
        # 14.2 V over 1.2 ohm draw 11.8 A.
        (11.9, 14.3, True, True, {}),
        (11.7, 14.3, False, True, {"dump.controller_current": "15 A"}),
        (11.9, 14.1, True, False, {"dump.voltage": "24 V"}),
        (11.7, 14.1, False, False, {"dump.controller_current": "15 A", "dump.voltage": "24 V"}),
    ],
)
def test_controller_and_element_are_judged_each_by_itself(rating, volts, enough, above, asked):
    """Load current within the controller's rating, load voltage above the battery's (NEC 706.23(B)(2))."""
    changes = {"dump.controller_current": rating, "dump.voltage": volts}
    found = advised(changes, "dump.controller")["dump.controller", "dump"]
    assert ("A: enough." in found.says, "above that voltage" in found.says) == (enough, above)
    assert (found.status == "ok") is (enough and above)
    assert found.margin == pytest.approx(min(1.0 - 14.2 / 1.2 / rating, 1.0 - 14.2 / volts))
    assert {c.path: c.shown for r in found.remedies for c in r.changes} == asked
    # Elements of 14.2 V over 11.7 A, rounded up, on a controller each.
    assert ("elements of 1.3 ohm or more" in found.remedy) is not enough


@pytest.mark.parametrize(
    ("ohms", "watts", "takes", "bears"),
    [(1.41, 145.0, True, True), (1.43, 145.0, False, True), (1.41, 140.0, True, False), (1.43, 140.0, False, False)],
)
def test_an_element_takes_all_and_bears_it(ohms, watts, takes, bears):
    """14.2 V over 1.42 ohm are the 142 W that 10 A bring."""
    found = advised({"dump.resistance": ohms, "dump.power": watts}, "dump.element")["dump.element", "dump"]
    made = 14.2**2 / ohms
    assert ("no less than the 140 W" in found.says, f"for {watts:.0f} W: enough" in found.says) == (takes, bears)
    assert found.margin == pytest.approx(min(made / 142.0, watts / made) - 1.0)
    assert (found.value, found.limit) == (pytest.approx(made), watts)
    # Half as much again as 120 W, 200 W of those sold; of resistors (IEC 60063) 1.2 ohm takes 168 W, 1.5 ohm only 134.
    asked = {c.path: c.shown for r in found.remedies for c in r.changes}
    assert asked == ({} if takes and bears else {"dump.power": "200 W", "dump.resistance": "1.2 ohm"})


def test_a_stiff_rotor_is_told_how_much_more_torque_it_takes():
    """Torque goes with the square of the wind: for a start in 0.65 of the limit, where the rule is content."""
    found = finding("rotor.starting", PIPE, generator__cogging_torque=0.6)
    times = (found.value / (0.65 * found.limit)) ** 2
    assert f"With {times:.2g} times the torque at rest" in found.more
    assert f"The mean wind at its height is {found.limit / 1.2:.2g} m/s" in found.says


@pytest.mark.parametrize(
    ("charged", "constant", "told"),
    [
        # 240 rad/s: 48, 72 and 144 V behind the bridge, touchable to 60 V, extra-low to 120 V DC (IEC 61140, 61558-1).
        (14.2, 0.2, ()),
        (14.2, 0.3, ("72 V in a gust",)),
        (70.0, 0.3, ("not said to be covered",)),
        # What warns is rounded up: 144 V.
        (70.0, 0.6, ("not said to be covered", "150 V in a gust")),
        (130.0, 0.6, ("not said to be covered", "can kill")),
    ],
)
def test_the_battery_s_wires_rise_with_the_generator_once_it_is_disconnected(charged, constant, told):
    """Said where that makes them more dangerous than the battery is."""
    found = finding("protection.battery-touch", GOOD, storage__charge_voltage=charged, generator__emf_constant=constant)
    phrases = ("72 V in a gust", "150 V in a gust", "not said to be covered", "can kill", "parts are covered")
    assert {phrase for phrase in phrases if phrase in f"{found.says} {found.more}"} == set(told)
    assert f"reaches {charged:g} V" in found.says


@pytest.mark.parametrize(("ohms", "held"), [(0.8, False), (1.2, True), (1.5, True)])
def test_the_wind_to_hold_the_rotor_in_is_the_last_that_leaves_the_winding_whole(ohms, held):
    """Heat goes with the square of the current; none is named where none up to 9 m/s brings too much."""
    base = {**WORKED, "rotor.limit_wind": 9.0, "generator.winding_resistance": 1.0}
    found = finding("generator.heat", base, generator__thermal_resistance=ohms)
    assert str(found.status) == ("fail" if held else "marginal")
    solved = System(build_design({**base, "generator.thermal_resistance": ohms})).solved
    flow, rise = solved.operation.running.current, (130.0 - 20.0) / (found.value - 20.0)
    most = float(flow.max()) * rise**0.5
    assert f"passes about {most:.2g} A" in found.more
    assert ("which is" in found.more) is held
    if held:
        last = float(WINDS[flow <= most].max() if flow[-1] <= most else WINDS[np.argmax(flow > most) - 1])
        assert f"which is {last:g} m/s" in found.more


SITED = {**WORKED, "site.mean_wind": 5.0, "mast.height": 10.0, "site.availability": 0.9, "inverter.power": None,
         "load.lamp.hours": 1.0}  # fmt: skip


@pytest.mark.parametrize(
    ("share", "said", "hours"),
    [
        # Need over yield of the year in Rayleigh winds of 5 m/s, by quadrature.
        (0.49, "it gives 2 times that", None),
        (0.4, "it gives 2.5 times that", None),
        (0.52, "it covers 190 % of that", None),
        (0.8, "it covers 120 % of that", 24.0 / 1.5 / 0.8),
        (2.0, "it covers 50 % of that", 24.0 / 1.5 / 2.0),
    ],
)
def test_a_year_is_set_beside_what_the_loads_take(share, said, hours):
    """What runs day and night may run as many hours as the year covers; half as much in reserve is ok."""
    yielded = year(5.0, 20.0)
    found = remedies("energy.year", SITED, load__lamp__power=share * yielded / (8760.0 * 3600.0))
    assert said in found.says
    told = [c.value * 24.0 for r in found.remedies for c in r.changes if c.path == "load.lamp.hours"]
    assert (told == []) is (hours is None)
    assert all(0.79 * hours <= some <= 1.001 * hours for some in told)
    assert found.value == pytest.approx(yielded / 3.6e6, rel=0.01)
    assert found.margin == pytest.approx(1.0 / share - 1.0, abs=0.03)


def test_a_year_is_told_with_its_mean_and_its_best():
    """Energy over 8760 hours; the most in the 20 m/s from which it is held back."""
    I, yielded = amps(20.0), year(5.0, 20.0)
    says = finding("energy.year", SITED).says
    assert f"{yielded / (8760.0 * 3600.0):.2g} W on average." in says
    most = I * (26.4 + I * 0.010)
    assert f"The most it gives is {round(most, 1 - math.floor(math.log10(most))):.0f} W, in 20 m/s" in says
    assert "the loads take" not in says


def test_a_machine_that_never_charges_is_told_so():
    """At 0.1 V s/rad no wind to 25 m/s turns it fast enough."""
    found = remedies("energy.year", SITED, generator__emf_constant=0.1, load__lamp__power=10.0)
    assert (str(found.status), found.value) == ("fail", 0.0)
    assert "It never charges." in found.says
    assert "generator.ratio" in {c.path for r in found.remedies for c in r.changes}


@pytest.mark.parametrize(
    ("inductance", "said"), [(1e-6, "25 m/s. Stronger wind was not computed"), (4e-3, "up to"), (0.5, "does not stop")]
)
def test_a_brake_is_told_with_the_wind_up_to_which_it_holds(inductance, said):
    """Without inductance in all that are looked at; with more up to the wind that is worked out; with much in none."""
    found = remedies("rotor.brake-holds", WORKED, generator__inductance=inductance)
    assert said in found.says
    if said == "up to":
        assert f"up to {held():g} m/s" in found.says
        assert f"before the wind passes {held():g} m/s" in found.remedy
    assert (found.value == 0.0) is (said == "does not stop")
    assert found.limit == 20.0
