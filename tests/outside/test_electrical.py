"""Cables, rectifier, battery and protection against published tables and worked examples."""

import math

import numpy as np
import pytest

from calc import generator, loads, storage, wiring
from calc.design import build
from calc.rules import RULES
from calc.rules.engine import run
from calc.units import show

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


def test_class_5_copper():
    """The flexible conductors of the table, 1 mm2 and up."""
    areas, r = wiring.resistance_table("copper class 5")
    assert areas[2:] / MM2 == pytest.approx(SIZES[2:])
    assert r[2:] * 1000 == pytest.approx(CLASS_5)


# Multiplier of resistance to 20 degC, copper: uecables.com, IEC 60228 factors.
@pytest.mark.parametrize(("t", "factor"), [(5, 1.064), (15, 1.020), (30, 0.962), (50, 0.893), (70, 0.833)])
def test_temperature_of_copper(t, factor):
    """The printed factors use 0.004 per kelvin, the copper standard 0.00393: half a percent between them."""
    ratio = wiring.resistance(10 * MM2) / wiring.resistance(10 * MM2, T=t + 273.15)
    assert ratio == pytest.approx(factor, rel=5e-3)


# NEC 2017, Chapter 9 Table 8, uncoated copper, solid, ohm per 1000 ft at 75 degC.
@pytest.mark.parametrize(
    ("awg", "ohm_per_kft"), [(18, 7.77), (16, 4.89), (14, 3.07), (12, 1.93), (10, 1.21), (8, 0.764)]
)
def test_awg_resistance_matches_nec_table_8(awg, ohm_per_kft):
    """Geometry and standard copper at 75 degC reproduce the printed table within half a percent."""
    r = wiring.resistance(wiring.awg_area(awg), T=348.15)
    assert r * 304.8 == pytest.approx(ohm_per_kft, rel=5e-3)


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


def test_three_phase_drop():
    """Calculating voltage drop, ecmweb.com, Example 1: 1.732 x 200 x 1.1 x 20 / 1000 = 7.62 V."""
    assert wiring.voltage_drop_three_phase(20.0, 200.0, 1.1e-3) == pytest.approx(7.62, abs=0.005)


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
    P = loads.mean_power(120.0 + 150.0, 4 / 24)
    assert pytest.approx(394, abs=0.5) == P * 365 * 24 / 1000


def test_diversion_load():
    """NEC 2017, 706.23(B)(2): a source of 480 W (20 A, 24 V) asks for a dump load of 720 W."""
    sheet = build(
        {
            "generator.rated_current": 20.0,
            "storage.chemistry": "gel lead-acid",
            "storage.voltage": 24.0,
            "dump.kind": "switched by the charge controller",
            "dump.power": 719.0,
        }
    )
    found = next(f for f in run(RULES, sheet) if f.rule == "storage.dump")
    assert found.status == "marginal"
    assert "720 W or more" in found.remedy


def test_continuous_current():
    """NEC 2017, 694.12(B)(2): 30 A at greatest output ask for 37.5 A."""
    assert show(30.0 * wiring.CONTINUOUS, "A") == "37.5 A"


# NEC 240.6 as listed by builders.theknowledgegardens.com.
@pytest.mark.parametrize("rating", [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200])
def test_standard_fuse(rating):
    """The standard ratings are on the list."""
    assert float(rating) in wiring.fuse_ratings()
