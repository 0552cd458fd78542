"""What a function takes for what its caller leaves out: each by the name and value that its docstring gives."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calc.machine import over_time
from calc.machine.inputs import Unknown
from calc.mechanisms.base import Telling
from calc.physics import (
    air,
    balance,
    blade,
    energy,
    generator,
    loads,
    metals,
    polar,
    protection,
    rotor,
    storage,
    synthetic_wind,
    wiring,
)
from tests.calc.test_machine import hub

WINDS, POWER = np.array([0.0, 5.0, 10.0, 25.0]), np.array([0.0, 50.0, 400.0, 400.0])
HALF = math.pi / 2.0
SHAPE = (0.25, 0.006, 0.15, 0.07, 1.1, 0.14, math.radians(20.0))
#: As called without it, and with it named.
LEFT_OUT = {
    "polar factors": (lambda: polar.arc_plate(0.08, 0.04).at(0.1, 1e5),
                      lambda: polar.arc_plate(0.08, 0.04).at(0.1, 1e5, lift_factor=1.0, drag_factor=1.0)),
    "resistance_table": (wiring.resistance_table, lambda: wiring.resistance_table("copper class 2")),
    "gauge_table": (wiring.gauge_table, lambda: wiring.gauge_table("copper stranded")),
    "sizes": (wiring.sizes, lambda: wiring.sizes("copper", "solid or coarse strands", None)),
    "resistance": (lambda: wiring.resistance(1e-5),
                   lambda: wiring.resistance(1e-5, "copper", 293.15, "solid or coarse strands")),
    "metal_mass": (lambda: wiring.metal_mass(1e-5, 30.0), lambda: wiring.metal_mass(1e-5, 30.0, 2, "copper")),
    "nec_table": (lambda: wiring.nec_table(75), lambda: wiring.nec_table(75, "copper")),
    "nec_ampacity": (lambda: wiring.nec_ampacity(1e-5, 75), lambda: wiring.nec_ampacity(1e-5, 75, "copper")),
    "ambient_factor": (lambda: wiring.ambient_factor(313.15), lambda: wiring.ambient_factor(313.15, 343.15)),
    "compensated": (lambda: storage.compensated(14.2, 6, -0.005, 288.15),
                    lambda: storage.compensated(14.2, 6, -0.005, 288.15, 298.15)),
    "discharge_time": (lambda: storage.discharge_time(10.0, 3.6e5, 1.2),
                       lambda: storage.discharge_time(10.0, 3.6e5, 1.2, 20.0 * 3600.0)),
    "hourly": (lambda: synthetic_wind.hourly(synthetic_wind.Climate(5.0), 1),
               lambda: synthetic_wind.hourly(synthetic_wind.Climate(5.0), 1, 20240229)),
    "mean_power": (lambda: energy.mean_power(WINDS, POWER, 6.0, 2.0),
                   lambda: energy.mean_power(WINDS, POWER, 6.0, 2.0, math.inf, "held")),
    "annual_energy": (lambda: energy.annual_energy(100.0), lambda: energy.annual_energy(100.0, 0.0, 1.0)),
    "winding_resistance": (lambda: generator.winding_resistance(0.5, 350.0),
                           lambda: generator.winding_resistance(0.5, 350.0, 293.15)),
    "winding_temperature": (lambda: generator.winding_temperature(0.5, 0.6),
                            lambda: generator.winding_temperature(0.5, 0.6, 293.15)),
    "thermal_resistance": (lambda: generator.thermal_resistance(10.0, 0.5),
                           lambda: generator.thermal_resistance(10.0, 0.5, "B")),
    "torque": (lambda: generator.torque(10.0, 1.2), lambda: generator.torque(10.0, 1.2, 0.0, 1.0)),
    "emf_between_leads": (lambda: generator.emf_between_leads(1.0, "lead to star point, RMS"),
                          lambda: generator.emf_between_leads(1.0, "lead to star point, RMS", "three-phase")),
    "emf_rectified": (lambda: generator.emf_rectified(1.0, "between two leads, RMS"),
                      lambda: generator.emf_rectified(1.0, "between two leads, RMS", "three-phase")),
    "emf_peak": (lambda: generator.emf_peak(1.0, "between two leads, RMS"),
                 lambda: generator.emf_peak(1.0, "between two leads, RMS", "three-phase")),
    "emf_from_spin": (lambda: generator.emf_from_spin(3.83, 31.4), lambda: generator.emf_from_spin(3.83, 31.4, 0.0)),
    "charging_speed": (lambda: generator.charging_speed(12.0, 0.9, 0.5),
                       lambda: generator.charging_speed(12.0, 0.9, 0.5, 2)),
    "density": (lambda: air.density(288.15), lambda: air.density(288.15, 101325.0, 0.0)),
    "warm_share": (lambda: metals.warm_share(350.0), lambda: metals.warm_share(350.0, "copper")),
    "battery_current": (lambda: loads.battery_current(100.0, 12.0), lambda: loads.battery_current(100.0, 12.0, 1.0)),
    "angle_when_bolted": (lambda: blade.angle_when_bolted(0.25, 0.006, 0.15, 0.02),
                          lambda: blade.angle_when_bolted(0.25, 0.006, 0.15, 0.02, "trailing")),
    "fuse_ratings": (protection.fuse_ratings, lambda: protection.fuse_ratings(None)),
    "small_wire_limit": (lambda: protection.small_wire_limit(2.5e-6),
                         lambda: protection.small_wire_limit(2.5e-6, "copper")),
    "fuse_limit": (lambda: protection.fuse_limit(30.0, 3.3e-6, "NEC"),
                   lambda: protection.fuse_limit(30.0, 3.3e-6, "NEC", "copper")),
    "shorted_current": (lambda: protection.shorted_current(12.0, 0.4),
                        lambda: protection.shorted_current(12.0, 0.4, 0.0)),
    "band": (lambda: protection.band(30.0), lambda: protection.band(30.0, alternating=False)),
    "cut_from_pipe": (lambda: blade.cut_from_pipe(*SHAPE).twist,
                      lambda: blade.cut_from_pipe(*SHAPE, "trailing", blade.STATIONS).twist),
}  # fmt: skip


@pytest.mark.parametrize("name", LEFT_OUT)
def test_what_is_left_out_is_as_its_docstring_says(name):
    """The short call gives what the full one gives."""
    short, full = (np.asarray(call(), dtype=object).ravel() for call in LEFT_OUT[name])
    assert len(short) == len(full)
    for a, b in zip(short, full, strict=True):
        assert np.array_equal(np.asarray(a), np.asarray(b))


def test_a_machine_of_which_little_is_said_has_none_of_the_rest():
    """Neither drag nor cogging, neither cable nor cells of any resistance, no limit of voltage, no heat."""
    bare = {"L": 0.0, "p": 1.0, "T_0": 0.0, "b": 0.0, "T_cog": 0.0, "R_c": 0.0, "R_b": 0.0, "V_max": math.inf,
            "R_th": 0.0, "T_air": 293.15}  # fmt: skip
    m = hub()
    small = balance.Machine(m.tsr, m.winds, m.cq, m.R, m.rho, m.k, m.R_w, m.V_d, m.V_oc)
    assert {name: getattr(small, name) for name in bare} == bare


def test_a_measurement_needs_no_load_and_expects_nothing_unless_told():
    """Nor must it be of since."""
    assert (Telling("blade.mass", "a", "b").loads, Telling("blade.mass", "a", "b").since) == ((), False)
    assert Telling("blade.mass", "a", "b").expects is None
    assert Unknown("why").missing == ()


def test_the_years_of_the_battery_are_twenty_and_of_the_hours_one():
    """As the docstrings of both say."""
    from tests.calc.test_over_time import V_GRID, P, inputs

    assert over_time.through_years(inputs(), V_GRID, P).met.shape == (20,)
    assert over_time.every_hour(inputs(), V_GRID, P).wind.size == 8760


def test_a_curve_of_a_rotor_takes_the_section_of_the_pipe_and_factors_of_one():
    """And nothing else."""
    shape, ratios = blade.cut_from_pipe(*SHAPE), np.array([3.0, 5.0])
    short, full = rotor.curve(shape, 6.0, 3, ratios), rotor.curve(shape, 6.0, 3, ratios, None, 1.0, 1.0)
    assert short.cp.tolist() == full.cp.tolist()
