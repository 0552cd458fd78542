"""Cables, rectifier, battery and protection against published tables and worked examples."""

import math

import numpy as np
import pytest

from calc.machine.currents import run_capacity
from calc.machine.design import build_design
from calc.machine.inputs import Inputs, Unknown
from calc.machine.system import System
from calc.physics import dump, generator, inverter, loads, metals, protection, storage, wiring
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.sheets import with_remedies

MM2 = 1e-6
# IEC 60228, greatest resistance at 20 degC, ohm/km. Class 2: Table A.2 as printed by
# kabelmetal-indonesia.com; class 5 from 1 mm2: uecables.com.
SIZES = (0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120)
CLASS_2 = (36.0, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524, 0.387, 0.268, 0.193, 0.153)
CLASS_5 = (19.5, 13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554, 0.386, 0.272, 0.206, 0.161)
CLASS_2_AL = (3.08, 1.91, 1.20, 0.868, 0.641, 0.443, 0.320, 0.253)


@pytest.mark.parametrize(("area", "ohm_per_km"), list(zip(SIZES, CLASS_2, strict=True)))
def test_class_2_copper(area, ohm_per_km):
    """A standard size has the resistance of its row."""
    assert wiring.resistance(area * MM2) * 1000 == pytest.approx(ohm_per_km, rel=1e-9)


@pytest.mark.parametrize(("area", "ohm_per_km"), list(zip(SIZES[7:], CLASS_2_AL, strict=True)))
def test_class_2_aluminium(area, ohm_per_km):
    """Aluminium has its own rows."""
    assert wiring.resistance(area * MM2, "aluminium") * 1000 == pytest.approx(ohm_per_km, rel=1e-9)


@pytest.mark.parametrize(("area", "ohm_per_km"), list(zip(SIZES[2:], CLASS_5, strict=True)))
def test_class_5_copper(area, ohm_per_km):
    """The flexible conductors of the table, 1 mm2 and up."""
    assert wiring.resistance(area * MM2, strands="fine strands") * 1000 == pytest.approx(ohm_per_km, rel=1e-9)


# Multiplier of resistance to 20 degC, copper: uecables.com, IEC 60228 factors.
@pytest.mark.parametrize(("t", "factor"), [(5, 1.064), (15, 1.020), (30, 0.962), (50, 0.893), (70, 0.833)])
def test_temperature_of_copper(t, factor):
    """The printed factors use 0.004 per kelvin, the copper standard 0.00393: half a percent between them."""
    ratio = wiring.resistance(10 * MM2) / wiring.resistance(10 * MM2, T=t + 273.15)
    assert ratio == pytest.approx(factor, rel=5e-3)


# NEC 2017, Chapter 9 Table 8, uncoated copper, ohm per 1000 ft at 75 degC: solid, stranded.
NEC_TABLE_8 = [
    (18, 7.77, 7.95), (16, 4.89, 4.99), (14, 3.07, 3.14), (12, 1.93, 1.98), (10, 1.21, 1.24), (8, 0.764, 0.778),
    (6, None, 0.491), (4, None, 0.308), (3, None, 0.245), (2, None, 0.194), (1, None, 0.154), (0, None, 0.122),
    (-1, None, 0.0967), (-2, None, 0.0766), (-3, None, 0.0608),
]  # fmt: skip
#: The same table, aluminium, stranded; 3, 1, 2/0 and 3/0 AWG are not claimed to be read.
NEC_TABLE_8_AL = [(12, 3.25), (10, 2.04), (8, 1.28), (6, 0.808), (4, 0.508), (2, 0.319), (0, 0.201), (-3, 0.100)]


@pytest.mark.parametrize(("awg", "ohm_per_kft"), [(n, solid) for n, solid, _ in NEC_TABLE_8 if solid])
def test_solid_gauge_follows_from_geometry(awg, ohm_per_kft):
    """Geometry and standard copper at 75 degC reproduce the printed solid wire within half a percent."""
    r = metals.RESISTIVITY["copper"] / wiring.awg_area(awg) * metals.warm_share(348.15)
    assert r * 304.8 == pytest.approx(ohm_per_kft, rel=5e-3)


@pytest.mark.parametrize(("awg", "ohm_per_kft"), [(n, stranded) for n, _, stranded in NEC_TABLE_8])
def test_stranded_gauge_is_looked_up(awg, ohm_per_kft):
    """A gauge has the resistance of its row, here at the row's own temperature."""
    r = wiring.resistance(wiring.awg_area(awg), T=348.15)
    assert r * 304.8 == pytest.approx(ohm_per_kft, rel=1e-9)


@pytest.mark.parametrize(("awg", "ohm_per_kft"), NEC_TABLE_8_AL)
def test_aluminium_gauge_is_looked_up(awg, ohm_per_kft):
    """Aluminium has its own column."""
    assert wiring.resistance(wiring.awg_area(awg), "aluminium", 348.15) * 304.8 == pytest.approx(ohm_per_kft, rel=1e-9)


@pytest.mark.parametrize(("material", "alpha"), [("copper", 0.00323), ("aluminium", 0.00330)])
def test_note_below_table_8(material, alpha):
    """The note below Table 8 gives the coefficient referred to 75 degC; table-ideas.netlify.app prints it."""
    referred = metals.ALPHA[material] / metals.warm_share(348.15, material)
    assert referred == pytest.approx(alpha, abs=5e-6)


# NEC 2017, Chapter 9 Table 8: circular mils as printed. One circular mil is pi/4 (0.001 in)^2.
@pytest.mark.parametrize(("awg", "mils"), [(14, 4110), (12, 6530), (10, 10380), (8, 16510), (4, 41740), (-3, 211600)])
def test_circular_mils(awg, mils):
    """The area of a gauge."""
    assert wiring.awg_area(awg) / (math.pi / 4 * 25.4e-6**2) == pytest.approx(mils, rel=1e-3)


# Lessons in Electric Circuits, copper wire gage table: diameter in inches.
@pytest.mark.parametrize(("awg", "inch"), [(36, 0.005), (14, 0.06408), (12, 0.08081), (10, 0.1019), (-3, 0.4600)])
def test_awg_diameter(awg, inch):
    """The geometric series between 0.005 and 0.46 inch."""
    assert wiring.awg_diameter(awg) / 0.0254 == pytest.approx(inch, rel=5e-4)


# Trade lesson (tradelicenseprep.com): 20 A, 100 ft, K = 12.9 ohm circular mil per foot, 120 V.
@pytest.mark.parametrize(("mils", "volts", "percent"), [(6530, 7.9, 6.6), (16510, 3.1, 2.6)])
def test_single_phase_drop(mils, volts, percent):
    """Any unit of length will do, so feet are taken as they are printed."""
    dV = wiring.voltage_drop_dc(20.0, 100.0, 12.9 / mils)
    assert dV == pytest.approx(volts, abs=0.05)
    assert 100 * dV / 120 == pytest.approx(percent, abs=0.05)


# IEC 60364-5-52, Table G.52.1 as reproduced (scribd 599637287): B, a supply of one's own, 6 % to lights and 8 % to
# other uses, and 0.005 % more for each metre beyond 100 m, at most 0.5 %. A, 3 and 5 %, is for the public supply.
@pytest.mark.parametrize(("L", "limit"), [(30.0, 0.08), (100.0, 0.08), (150.0, 0.0825), (200.0, 0.085), (500.0, 0.085)])
def test_limit_of_drop_on_long_runs(L, limit):
    """The supplement reaches half a percent at 200 m."""
    assert wiring.drop_limit(L) == pytest.approx(limit)
    assert wiring.drop_limit(L, lighting=True) == pytest.approx(limit - 0.02)


# IEC 60364-5-52 as reproduced in SANS 10142-1:2019 Table 6.3(a) (two wires), Atlas Copco GA 7 p. 92 (three).
AMPACITIES = [
    ("in conduit or duct", 2, (16.5, 23, 30, 38, 52, 69)),
    ("clipped to a surface", 2, (19.5, 27, 36, 46, 63, 85)),
    ("in conduit or duct", 3, (15, 20, 27, 34, 46, 62, 80, 99, 118, 149, 179, 206)),
    ("clipped to a surface", 3, (17.5, 24, 32, 41, 57, 76, 96, 119)),
]


@pytest.mark.parametrize(("laid", "loaded", "amps"), AMPACITIES)
def test_ampacity_rows(laid, loaded, amps):
    """Rows of the table from 1.5 mm2 up, PVC, 30 degC; rows beyond these are not claimed to be read."""
    areas = np.array(SIZES[3 : 3 + len(amps)]) * MM2
    assert wiring.ampacity(areas, laid=laid, loaded=loaded) == pytest.approx(amps)
    standing = wiring.ampacity_table("PVC, 70 degC", laid, loaded)[2]
    assert standing == ("reproduction",) * len(amps) + ("from memory",) * (12 - len(amps))


# Atlas Copco GA 7 p. 92: 4 mm2, method B2, three wires, printed in whole amperes.
@pytest.mark.parametrize(("t", "amps"), [(30, 27), (40, 23), (45, 21), (50, 19), (55, 16)])
def test_ampacity_in_warm_air(t, amps):
    """Rounded down as printed."""
    got = wiring.ampacity(4 * MM2, loaded=3, T=t + 273.15)
    assert math.floor(got + 1e-9) == amps


# Ambient factors of PVC cable, 70 degC: cable appendix Table 1 (scribd 324896274).
@pytest.mark.parametrize(("t", "factor"), [(35, 0.94), (40, 0.87), (45, 0.79), (50, 0.71), (55, 0.61), (60, 0.50)])
def test_ambient_factors(t, factor):
    """The square root reproduces the printed factors."""
    assert wiring.ambient_factor(t + 273.15) == pytest.approx(factor, abs=0.006)


# NEC Table 310-16, copper, air at 30 degC: ADCP-80-526 manual, Appendix A p. 31, an older edition, of which only
# rows that the present one keeps; 60 degC from a wire maker's chart (Cerro Wire).
NEC_310_16 = {
    60: {14: 15, 12: 20, 10: 30, 8: 40, 6: 55, 4: 70, 3: 85, 2: 95},
    75: {14: 20, 12: 25, 10: 35, 8: 50, 6: 65, 4: 85, 3: 100, 2: 115, 1: 130, 0: 150, -1: 175, -2: 200, -3: 230},
    90: {14: 25, 12: 30, 10: 40, 8: 55, 6: 75, 4: 95, 2: 130, 0: 170, -1: 195, -2: 225, -3: 260},
}


@pytest.mark.parametrize(("column", "awg"), [(c, n) for c, row in NEC_310_16.items() for n in row])
def test_nec_ampacity(column, awg):
    """Row by row."""
    assert wiring.nec_ampacity(wiring.awg_area(awg), column) == pytest.approx(NEC_310_16[column][awg])


# NEC factors of air for insulation of 60, 75 and 90 degC, read on a weak copy and from memory.
@pytest.mark.parametrize(
    ("t", "factors"), [(35, (0.91, 0.94, 0.96)), (40, (0.82, 0.88, 0.91)), (50, (0.58, 0.75, 0.82))]
)
def test_nec_factors_of_air(t, factors):
    """The square root at the top of each band of 5 kelvin."""
    got = [wiring.ambient_factor(t + 273.15, column + 273.15) for column in (60, 75, 90)]
    assert got == pytest.approx(factors, abs=0.006)


# NEC 240.4(D): Encore Wire, note below the wire size table.
@pytest.mark.parametrize(("awg", "amps"), [(14, 15), (12, 20), (10, 30)])
def test_largest_fuse_of_thin_copper(awg, amps):
    """Whatever the insulation."""
    assert protection.fuse_limit(40.0, wiring.awg_area(awg), "NEC") == amps


@pytest.mark.parametrize(("awg", "amps"), [(12, 15), (10, 25)])
def test_largest_fuse_of_thin_aluminium(awg, amps):
    """Encore Wire, the same note."""
    assert protection.fuse_limit(40.0, wiring.awg_area(awg), "NEC", "aluminium") == amps


# 12.8 V, 5 milliohm and 25.6 V, 4 milliohm: Ohm's law.
@pytest.mark.parametrize(("V", "R", "amps"), [(12.8, 5e-3, 2560.0), (25.6, 4e-3, 6400.0)])
def test_fault_current(V, R, amps):
    """What a bank drives into a short circuit."""
    assert protection.fault_current(V, R) == pytest.approx(amps)


def test_fault_current_without_a_resistance():
    """solar-wind.co.uk, When is a fuse not a fuse: 100 Ah of lead-acid at 12 V give up to 4000 A."""
    sheet = build_design(
        {
            "storage.chemistry": "gel lead-acid",
            "storage.voltage": 12.0,
            "storage.capacity": 100 * 3600.0,
            "protection.polarity": "none",
        }
    )
    found = next(f for f in judge_rules(RULES, System(sheet)) if f.rule == "protection.polarity")
    assert "4000 A" in found.says


@pytest.mark.parametrize(("which", "amps"), [("least", 4000.0), ("likely", 2000.0), ("most", 1000.0)])
def test_short_circuits_of_a_lead_battery(which, amps):
    """solar-wind.co.uk, When is a fuse not a fuse: 1000 to 2000 A, up to 4000 A, from 100 Ah at 12 V."""
    R = getattr(storage.usual_resistance(12.0, 100 * 3600.0, "flooded lead-acid"), which)
    assert protection.fault_current(12.6, R) == pytest.approx(amps, rel=0.01)


# IEC 61558-1, IEC 61140, EN 60204-1: 60 V DC and 25 V AC may be touched, 120 V DC and 50 V AC end extra-low voltage.
@pytest.mark.parametrize(
    ("V", "alternating", "expected"),
    [
        (60, False, 0),
        (60.1, False, 1),
        (120, False, 1),
        (120.1, False, 2),
        (25, True, 0),
        (50, True, 1),
        (50.1, True, 2),
    ],
)
def test_bands_of_touch_voltage(V, alternating, expected):
    """A limit itself still belongs to the band below it."""
    assert protection.band(float(V), alternating=alternating) == expected


def test_touch_limits_of_a_bridge():
    """60 V DC behind a six-pulse bridge are 44.4 V AC ahead of it, so 25 V AC are passed first; 50 V AC are 67.5 V."""
    k = generator.emf_rectified(1.0, "between two leads, RMS")
    assert protection.TOUCHABLE_DC / k == pytest.approx(44.4, abs=0.05)
    assert protection.EXTRA_LOW_AC * k == pytest.approx(67.5, abs=0.05)


def test_shorted_generator():
    """Star of 10 V a phase with 0.5 ohm and 0.5 ohm of reactance: 10/0.7071 = 14.14 A; arithmetic."""
    assert protection.shorted_current(math.sqrt(3) * 10.0, 0.5, 0.5) == pytest.approx(14.142, abs=1e-3)


def _bridge():
    """Line voltages of a star at 1 V RMS between leads, sampled over a period, and the bridge's output."""
    angle = np.linspace(0, 2 * np.pi, 36000, endpoint=False)
    star = math.sqrt(2 / 3) * np.sin(angle[:, None] - np.array([0, 2, 4]) * np.pi / 3)
    return star, star.max(axis=1) - star.min(axis=1)


def test_six_pulse_mean_and_peak():
    """Mathworks average-value rectifier: 3 sqrt(2)/pi; Modelica SMEE_Rectifier: sqrt(2); sampled waves."""
    _, out = _bridge()
    assert generator.emf_rectified(1.0, "between two leads, RMS") == pytest.approx(out.mean(), rel=1e-6)
    assert generator.emf_rectified(1.0, "between two leads, RMS") == pytest.approx(1.3505, abs=5e-5)
    assert generator.emf_peak(1.0, "between two leads, RMS") == pytest.approx(out.max(), rel=1e-6)
    assert generator.emf_rectified(1.0, "lead to star point, RMS") == pytest.approx(2.339, abs=5e-4)


def test_current_in_each_of_three_wires():
    """With a smooth direct current each wire carries it two thirds of the time: RMS 0.8165."""
    star, _ = _bridge()
    carries = (star[:, 0] == star.max(axis=1)).astype(float) - (star[:, 0] == star.min(axis=1))
    assert math.sqrt(np.mean(carries**2)) == pytest.approx(wiring.PHASE_SHARE, abs=1e-3)
    assert pytest.approx(0.8165, abs=5e-5) == wiring.PHASE_SHARE


@pytest.mark.parametrize("form", ["DC after the rectifier", "between two leads, RMS", "between two leads, peak"])
def test_forms_of_one_generator_agree(form):
    """Read three ways, the same machine gives the same direct voltage: mean 1.3505, peak 1.4142, RMS 1."""
    read = {
        "DC after the rectifier": 1.35047,
        "between two leads, RMS": 1.0,
        "between two leads, peak": 1.41421,
    }
    assert generator.emf_rectified(read[form], form) == pytest.approx(1.35047, abs=1e-5)


def test_gel_bank_in_the_warm():
    """Trojan User's Guide Table 6: 2.40 V a cell, -5 mV/K; 24 V, 25 to 35 degC, 28.80 to 28.20 V."""
    one = storage.cell("gel lead-acid")
    n = storage.cells_in_series(24.0, "gel lead-acid")
    assert n * one.charge_high == pytest.approx(28.80)
    assert storage.compensated(n * one.charge_high, n, one.drift, 308.15) == pytest.approx(28.20, abs=0.01)


# rackbattery.com, LiFePO4 charging: 3.65 V a cell, so 14.6, 29.2 and 58.4 V.
@pytest.mark.parametrize(("bank", "volts"), [(12.0, 14.6), (12.8, 14.6), (24.0, 29.2), (48.0, 58.4), (51.2, 58.4)])
def test_lithium_iron_banks(bank, volts):
    """4, 8 and 16 cells under their usual names."""
    n = storage.cells_in_series(bank, "LiFePO4")
    assert n * storage.cell("LiFePO4").charge_high == pytest.approx(volts)


# NEC 694.12(A)(3): rated power at the lowest input voltage; arithmetic.
@pytest.mark.parametrize(("P", "V", "eta", "amps"), [(2000.0, 24.0, 0.90, 92.6), (2000.0, 12.0, 0.85, 196.1)])
def test_inverter_current(P, V, eta, amps):
    """Current at the battery."""
    assert loads.battery_current(P, V, eta) == pytest.approx(amps, abs=0.05)


def test_autonomy_example():
    """1000 Wh a day, 3 days, 24 V, half usable: 250 Ah, or 277.8 Ah at 0.9 (method of IEEE 1013)."""
    P = 1000 / 24
    assert storage.capacity_for(3 * 86400.0, 24.0, 0.5, P) / 3600 == pytest.approx(250.0)
    assert storage.capacity_for(3 * 86400.0, 24.0, 0.5, P / 0.9) / 3600 == pytest.approx(277.8, abs=0.05)


def test_household_example():
    """US DOE: 120 W and 150 W for 4 hours a day are 394 kWh a year."""
    P = loads.mean_draw(120.0 + 150.0, 4 / 24)
    assert pytest.approx(394, abs=0.5) == P * 365 * 24 / 1000


def test_diversion_load():
    """NEC 2017, 706.23(B)(2): a source of 480 W (20 A, 24 V) asks for a dump load of 720 W."""
    sheet = build_design(
        {
            "generator.rated_current": 20.0,
            "storage.chemistry": "gel lead-acid",
            "storage.voltage": 24.0,
            "dump.kind": "switched by the charge controller",
            "dump.power": 719.0,
        }
    )
    (found,) = with_remedies(sheet, "storage.dump")
    assert found.status == "marginal"
    assert "720 W" in found.says
    assert "a dump load of 800 W" in found.remedy


# NEC 2017, 706.23(B)(2): a source of 480 W at 24 V, a controller of 40 A, 28.8 V at the end of charge. The load
# takes 720 W or more, draws 40 A at most, is made for more than 28.8 V; wire and fuse bear 60 A. A trade example
# (mavericksolar.net) of a 20 A source asks for 30 A of load on a controller of 40 A.
DIVERSION = {
    "generator.rated_current": 20.0,
    "storage.chemistry": "gel lead-acid",
    "storage.voltage": 24.0,
    "storage.charge_voltage": 28.8,
    "site.wiring_practice": "NEC",
    "dump.kind": "switched by the charge controller",
    "dump.power": 720.0,
    "dump.resistance": 28.8 / 40.0,
    "dump.voltage": 28.8,
    "dump.controller_current": 40.0,
    "cable.dump.carries": "to the dump load",
    "cable.dump.area": wiring.awg_area(4),
    "cable.dump.fuse": 60.0,
}
AT_THE_LIMIT = [
    ("storage.dump", {}, "ok"),
    ("storage.dump", {"dump.power": 719.0}, "marginal"),
    ("dump.controller", {}, "ok"),
    ("dump.controller", {"dump.resistance": 0.719}, "fail"),
    ("dump.controller", {"dump.voltage": 28.7}, "fail"),
    ("dump.circuit", {}, "ok"),
    # Article 706 begins above 60 V DC (706.1): at 24 V the 150 % are good practice, at 72 V a duty.
    ("dump.circuit", {"cable.dump.fuse": 59.0}, "marginal"),
    ("dump.circuit", {"cable.dump.fuse": 59.0, "storage.voltage": 72.0, "storage.charge_voltage": 86.4}, "fail"),
    # 6 AWG carries 55 A on terminals for 60 degC, less than 60 A.
    ("dump.circuit", {"cable.dump.area": wiring.awg_area(6)}, "marginal"),
]


@pytest.mark.parametrize(("rule", "changes", "status"), AT_THE_LIMIT)
def test_diversion_circuit(rule, changes, status):
    """Each number of 706.23(B)(2) at its limit and just beyond it."""
    found = next(f for f in judge_rules(RULES, System(build_design(DIVERSION | changes))) if f.rule == rule)
    assert found.status == status


def test_turbine_circuit():
    """NEC 2017, 694.12(B)(2): 30 A at greatest output ask for a fuse of 37.5 A or more."""
    values = {
        "site.wiring_practice": "NEC",
        "storage.chemistry": "gel lead-acid",
        "storage.voltage": 24.0,
        "cable.main.carries": "generator after the rectifier",
        "cable.main.current": 30.0,
        "cable.main.area": wiring.awg_area(6),
    }
    rated = {I: judge_rules(RULES, System(build_design(values | {"cable.main.fuse": I}))) for I in (37.4, 37.5)}
    found = {I: next(f.status for f in fs if f.rule == "wiring.fuse") for I, fs in rated.items()}
    assert found == {37.4: "fail", 37.5: "ok"}


def test_dump_load_by_ohms_law():
    """1.2 ohm at 28.8 V: 24 A and 691 W; arithmetic."""
    assert dump.current(28.8, 1.2) == pytest.approx(24.0)
    assert dump.power(28.8, 1.2) == pytest.approx(691.2)


@pytest.mark.parametrize(("V", "R", "P"), [(24.0, 0.02, 900.0), (12.0, 0.03, 1000.0)])
def test_sagged_voltage_carries_the_power(V, R, P):
    """Kirchhoff: what is left times the current is the power, and the rest falls on the resistance."""
    left = inverter.sagged(V, R, P)
    assert left * (V - left) / R == pytest.approx(P)


# NEC 240.6 as listed by builders.theknowledgegardens.com.
@pytest.mark.parametrize("rating", [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200])
def test_standard_fuse(rating):
    """The standard ratings are on the list."""
    assert float(rating) in protection.fuse_ratings("NEC")


# IEC 60364-5-52 Table B.52.14, air other than 30 degC, in a cable on its own: PVC (70 degC) and XLPE (90 degC).
AIR = [(10, 1.22, 1.15), (20, 1.12, 1.08), (30, 1.0, 1.0), (40, 0.87, 0.91), (50, 0.71, 0.82), (60, 0.50, 0.71)]


@pytest.mark.parametrize(("celsius", "pvc", "xlpe"), AIR)
def test_warm_air_takes_from_what_a_cable_may_carry(celsius, pvc, xlpe):
    """Within a hundredth of the table; insulation marked 75 degC counts as PVC, of 60 degC less at 30 degC already."""
    T = celsius + 273.15
    assert wiring.iec_ambient(T, "PVC, 70 degC") == pytest.approx(pvc, abs=0.01)
    assert wiring.iec_ambient(T, "XLPE or rubber, 90 degC") == pytest.approx(xlpe, abs=0.01)
    assert wiring.iec_ambient(T, "marked 75 degC") == wiring.iec_ambient(T, "PVC, 70 degC")
    if celsius < 60:
        # What is left of the rise to 60 degC, over the 40 K of the table's PVC.
        assert wiring.iec_ambient(T, "marked 60 degC") == pytest.approx(((60.0 - celsius) / 40.0) ** 0.5)


def test_no_advice_to_hold_the_rotor_where_it_does_not_charge():
    """A motor of 7.5 rpm/V charges 12 V from 13.2 + 1.8 V, 112 rpm; 12 V AC between its leads, in the wet, at 122 rpm.

    At 24 V it charges from 211 rpm. How fast the leads stay touchable is told as a fact, and is no advice.
    """
    rpm = math.pi / 30.0
    sheet = {
        "generator.emf_constant": 1.0 / (7.5 * rpm), "generator.rectifier_voltage": 400.0, "rotor.diameter": 2.2,
        "storage.chemistry": "LiFePO4", "protection.surge": "at both ends of the generator's cable",
        "protection.surge_voltage": 40.0,
    }  # fmt: skip
    for bank, cells, held in ((12.0, 4.0, True), (24.0, 8.0, False)):
        values = sheet | {"storage.voltage": bank, "storage.cells": cells}
        found = {f.rule: f for f in judge_rules(RULES, System(build_design(values)))}
        begins = (cells * 3.3 + 1.8) * 7.5
        touch = 12.0 * 3.0 * math.sqrt(2.0) / math.pi * 7.5
        assert (touch > begins) is held
        assert "for the wet up to 120 rpm" in found["generator.touch-voltage"].more
        assert ("Held below" in found["protection.surge"].more) is (40.0 * 3.0 / math.pi * 7.5 > begins)


# NEC 110.14(C)(1): (a) circuits up to 100 A or 14 to 1 AWG at 60 degC unless marked, (b) above either at 75 degC; the
# columns of Table 310.16, copper.
@pytest.mark.parametrize(
    ("gauge", "fuse", "amps"),
    [(8, 40.0, 40.0), (1, 100.0, 110.0), (1, 125.0, 130.0), (0, 100.0, 150.0), (-1, 175.0, 175.0)],
)
def test_unmarked_terminals_by_size_of_the_circuit(gauge, fuse, amps):
    """Wire for 90 degC, so that the terminals decide."""
    values = {
        "site.wiring_practice": "NEC", "cable.main.carries": "generator after the rectifier", "cable.main.fuse": fuse,
        "cable.main.area": wiring.awg_area(gauge), "cable.main.insulation": "XLPE or rubber, 90 degC",
        "cable.main.current": 30.0,
    }  # fmt: skip
    x = Inputs(build_design(values), "main")
    capacity = run_capacity(x, "main")
    assert not isinstance(capacity, Unknown)
    assert float(capacity.amps) == pytest.approx(amps)
    assert x.used["cable.main.terminals"][1] == ("75 degC" if gauge < 1 or fuse > 100.0 else "60 degC")


def test_article_706_is_no_duty_below_60_volts():
    """706.1: every place that cites it says where it begins."""
    cited = [s for rule in RULES for s in rule.sources if "706." in s.place]
    assert cited
    assert all("706.1)" in s.place and "60 V DC" in s.place for s in cited), cited


def test_one_dump_load_has_one_size():
    """The remedies of the rule that asks for one and of the rule that judges its resistance name the same.

    720 W are half as much again as the source (NEC 706.23(B)(2)), so 800 W of those sold; it takes all that comes.
    """
    for changes in ({"dump.power": 300.0}, {"dump.kind": "none"}):
        sheet = build_design(DIVERSION | {"dump.power": 400.0, "dump.resistance": 0.5} | changes)
        asked = with_remedies(sheet, "storage.dump", "dump.element")
        sizes = {tuple(c.shown for r in f.remedies for c in r.changes if c.path == "dump.power") for f in asked}
        assert sizes == {("800 W",)}


def test_resistors_are_made_in_twelve_steps_a_decade():
    """IEC 60063, series E12: steps of the twelfth root of ten, each rounded by the standard to within a twentieth."""
    assert len(dump.E12) == 12
    assert all(e == pytest.approx(10.0 ** (n / 12.0), rel=0.05) for n, e in enumerate(dump.E12))
    assert dump.preferred_between(1.0, 10.0) == [*dump.E12, 10.0]
    assert dump.preferred_between(0.09, 0.13) == [0.1, 0.12]


def test_wet_limits_are_told():
    """30 V DC and 12 V AC where it is wet (from memory), beside those that hold in the dry."""
    values = {"generator.emf_constant": 1.0, "rotor.diameter": 2.0, "storage.chemistry": "LiFePO4",
              "storage.voltage": 24.0, "storage.charge_voltage": 28.8}  # fmt: skip
    says = {f.rule: f.says for f in judge_rules(RULES, System(build_design(values)))}
    more = {f.rule: f.more for f in judge_rules(RULES, System(build_design(values)))}
    assert "30 V (12 V) when wet" in more["generator.touch-voltage"]
    assert "28.8 V at the end of charge: it may be touched" in says["protection.battery-touch"]
    assert "in the wet" not in says["protection.battery-touch"]
    higher = System(build_design(values | {"storage.voltage": 36.0, "storage.charge_voltage": 43.2}))
    says = {f.rule: f.says for f in judge_rules(RULES, higher)}
    assert "touched when dry (in the wet 30 V is the limit)" in says["protection.battery-touch"]
