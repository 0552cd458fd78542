"""The machine that is put together from a sheet: what is taken from it, and what stands in where it is silent."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calc.machine.battery import rated_share, usable_share
from calc.machine.catalogue import Sheet
from calc.machine.design import build_design
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import RotorCurves, rotor_of
from calc.machine.solving import FEW_WINDS, WINDS, Solved, limit_wind, solve_machine
from calc.machine.spread import Draws
from calc.physics import generator, storage
from tests.calc.sheets import GOOD
from tests.outside.turning_points import CABLE, RHO_20, WINDING, WORKED


def inputs(base=WORKED, drawn=None, **changes):
    """The worked machine, some values changed."""
    values = {**base, **{name.replace("__", "."): value for name, value in changes.items()}}
    return Inputs(build_design({name: value for name, value in values.items() if value is not None}), drawn=drawn)


def machine(**changes):
    """What is put together of it."""
    solved = solve_machine(inputs(**changes))
    assert isinstance(solved, Solved), solved
    return solved.machine


def test_what_the_sheet_says_goes_into_the_machine():
    """Radius, air, constant, winding, two diodes, 8 cells, half the inductance between leads for a phase, one cable."""
    m = machine()
    said = {"R": 1.0, "rho": RHO_20, "k": 1.0, "R_w": WINDING, "V_d": 1.8, "V_oc": 26.4, "L": 0.5e-6, "p": 10.0,
            "T_0": 1e-4, "T_cog": 1e-4, "R_c": CABLE, "R_b": 0.010, "R_th": 0.0, "T_air": 293.15}  # fmt: skip
    for name, value in said.items():
        assert getattr(m, name) == pytest.approx(value, rel=1e-3), name
    assert np.all(np.isinf(m.V_max))


def test_what_stands_in_where_the_sheet_is_silent():
    """10 pole pairs, between a servo motor's 4 and a hub motor's 23; 0.6 ms of L over R; from memory, own estimates."""
    silent = dict.fromkeys(("generator__inductance", "generator__pole_pairs", "generator__drag_torque",
                            "generator__cogging_torque", "storage__internal_resistance"))  # fmt: skip
    m = machine(**silent)
    assert m.p == 10.0
    assert pytest.approx(6e-4 * WINDING / 2.0) == m.L
    friction, eddy, cogging = generator.assumed_drag(1.0, WINDING)
    assert (m.T_0, m.b, m.T_cog) == (friction, eddy, cogging)
    assert storage.usual_resistance(24.0, 100 * 3600.0, "LiFePO4").likely == m.R_b
    many = machine_drawn(**silent)
    for name, value, factor in (("p", 10.0, 2.3), ("L", 3e-4 * WINDING, 3.0), ("T_0", friction, 3.0),
                                ("T_cog", cogging, 3.0), ("R_b", float(m.R_b), 2.0)):  # fmt: skip
        drawn = np.asarray(getattr(many, name))
        assert drawn.shape == (40,), name
        assert value / factor <= drawn.min() < 1.06 * value / factor, name
        assert 0.94 * value * factor < drawn.max() <= value * factor, name


def machine_drawn(**changes):
    """The same with what is assumed drawn 40 times."""
    solved = solve_machine(inputs(drawn=Draws(40), **changes))
    assert isinstance(solved, Solved)
    return solved.machine


def test_brushes_have_one_diode_and_no_inductance():
    """Nor pole pairs that matter; they lose 1.2 V themselves."""
    m = machine(generator__phases="DC with brushes")
    assert (float(m.L), float(m.p), float(m.V_d)) == (0.0, 1.0, pytest.approx(0.9 + 1.2))


@pytest.mark.parametrize(
    ("kind", "held", "most"),
    [("switched by the charge controller", 28.0, 28.0), ("switched by the charge controller", None, math.inf),
     ("none", 28.0, math.inf), (None, 28.0, math.inf), ("always connected", 26.0, math.inf)],
)  # fmt: skip
def test_a_dump_load_holds_the_voltage_at_which_it_is_set(kind, held, most):
    """With one, set above the 26.4 V of the battery at rest."""
    m = machine(dump__kind=kind, storage__charge_voltage=held)
    assert np.asarray(m.V_max) == pytest.approx(most)


def test_a_winding_heats_as_stated_or_as_its_rating_tells():
    """Rated current at the hottest that its insulation withstands; not at all where neither is known."""
    assert machine(generator__thermal_resistance=0.7).R_th == 0.7
    rated = machine(generator__rated_current=10.0).R_th
    assert rated == pytest.approx(generator.thermal_resistance(10.0, WINDING, "B"))
    assert machine(generator__thermal_resistance=0.7, generator__rated_current=10.0).R_th == 0.7
    assert np.all(np.asarray(machine().R_th) == 0.0)


def test_runs_on_the_way_add_up_and_others_do_not():
    """Ahead of the rectifier and behind it; what leads to the inverter carries nothing of the generator."""
    more = {"cable__second__carries": "generator before the rectifier", "cable__second__length": 5.0,
            "cable__second__area": 10e-6, "cable__second__temperature": 293.15}  # fmt: skip
    assert machine(**more).R_c > 1.3 * CABLE
    assert machine(cable__inv__length=100.0).R_c == pytest.approx(CABLE, rel=1e-3)
    missing = solve_machine(inputs(**{k: v for k, v in more.items() if not k.endswith("area")}))
    assert isinstance(missing, Unknown)
    assert missing.names == ("cable.second.area",)


def test_the_rotor_is_held_from_a_wind_on_where_anything_holds_it():
    """As stated, else from 12 m/s on, common practice, no source; drawn a quarter either way."""
    assert limit_wind(inputs()) == 20.0
    assert limit_wind(inputs(rotor__limit_wind=None)) == 12.0
    assert limit_wind(inputs(rotor__overspeed="none")) == math.inf
    assert limit_wind(inputs(rotor__overspeed=None)) == math.inf
    drawn = np.asarray(limit_wind(inputs(drawn=Draws(40), rotor__limit_wind=None)))
    assert 12.0 / 1.25 <= drawn.min() < 9.8
    assert 14.7 < drawn.max() <= 15.0


def test_samples_are_solved_in_fewer_winds():
    """Every half metre per second to 25 m/s, or every one."""
    assert WINDS.tolist() == [1.0 + i / 2.0 for i in range(49)]
    assert FEW_WINDS.tolist() == [float(i) for i in range(1, 26)]
    assert solve_machine(inputs()).winds is WINDS
    assert solve_machine(inputs(drawn=Draws(3))).winds is FEW_WINDS


@pytest.mark.parametrize(
    ("changes", "says"),
    [({"storage__chemistry": "none"}, "inverter straight at the rectifier loads the rotor"),
     ({"generator__phases": "single-phase", "generator__emf_form": "lead to star point, RMS"}, "no star point"),
     ({"rotor__free_tip_speed_ratio": 4.0}, "free tip-speed ratio must be greater")],
)  # fmt: skip
def test_what_cannot_be_solved_says_why(changes, says):
    """In words."""
    found = solve_machine(inputs(**changes))
    assert isinstance(found, Unknown)
    assert says in found.why


def test_the_simple_rotor_has_its_top_where_the_sheet_says():
    """0.3 at 5, nothing at 8, a brake beyond; at rest nothing is known of it."""
    curves = rotor_of(inputs())
    cp = curves.cq[0] * curves.tsr
    assert curves.tsr[np.argmax(cp)] == pytest.approx(5.0)
    assert cp.max() == pytest.approx(0.3)
    assert curves.free(8.0) == pytest.approx(8.0, abs=0.01)
    assert np.all(cp[curves.tsr > 8.05] < 0)
    assert curves.starts is False
    assert (curves.tsr[1], curves.tsr[-1] > 8.0) == (pytest.approx(0.1), True)
    beyond = float(curves.cq[0][-1])
    assert beyond == pytest.approx(-0.01 * (curves.tsr[-1] - 8.0))


def test_what_of_a_bank_can_be_used():
    """0.8 of LiFePO4 (from memory); as stated; less by age; nothing is told outside the table of cold."""
    x = inputs(GOOD)
    assert usable_share(x, 1.0) == pytest.approx(0.8)
    assert usable_share(inputs(GOOD, storage__usable_share=0.5), 1.0) == pytest.approx(0.5)
    assert usable_share(inputs(GOOD, storage__capacity_left=0.75), 1.0) == pytest.approx(0.6)
    assert isinstance(usable_share(inputs(GOOD, storage__temperature=243.15), 1.0), Unknown)
    gel = inputs(GOOD, storage__chemistry="gel lead-acid", storage__temperature=283.15)
    # Half of it, 0.9 of that at 10 degC (Discover).
    assert usable_share(gel, 0.01) == pytest.approx(0.45)


def test_a_great_current_finds_less_in_a_bank():
    """Peukert's law: t = H (C / (I H))^k, of which I t / C is left; no more than is stated."""
    x = inputs(GOOD, storage__chemistry="flooded lead-acid", storage__rated_hours=20 * 3600.0)
    k = storage.cell("flooded lead-acid").peukert
    assert rated_share(x, 20.0) == pytest.approx(20.0 * 20.0 / 100.0 * (100.0 / (20.0 * 20.0)) ** k)
    assert rated_share(x, 5.0) == pytest.approx(1.0)
    assert rated_share(x, 0.5) == 1.0
    assert x.used[Sheet.storage.rated_hours.full][1] == 20 * 3600.0


# --- curves of a rotor ------------------------------------------------------------------------------------------------

TSR = np.linspace(0.0, 10.0, 101)
#: Straight torque lines that end at 6, 7 and 8 in 4, 10 and 25 m/s.
LINES = RotorCurves(np.array([4.0, 10.0, 25.0]), TSR, np.stack([0.02 * (end - TSR) for end in (6.0, 7.0, 8.0)]))


@pytest.mark.parametrize(
    ("V", "ratio"), [(2.0, 6.0), (4.0, 6.0), (40.0**0.5, 6.5), (10.0, 7.0), (250.0**0.5, 7.5), (25.0, 8.0), (60.0, 8.0)]
)
def test_the_free_ratio_is_between_those_of_the_curves(V, ratio):
    """By the logarithm of the wind; beyond the last curve as there."""
    assert LINES.free(V) == pytest.approx(ratio, abs=1e-9)


def test_the_best_point_is_that_of_the_middle_wind():
    """Of 0.02 (7 - x) x the top is at 3.5, 0.245."""
    assert LINES.best() == (pytest.approx(3.5), pytest.approx(0.245))


def test_curves_of_variants_are_looked_at_one_by_one():
    """Each at its own wind; a line that ends elsewhere is found elsewhere."""
    many = RotorCurves(LINES.winds, TSR, np.stack([LINES.cq, LINES.cq - 0.02, LINES.cq - 0.04]))
    assert many.free(np.array([4.0, 10.0, 25.0])) == pytest.approx([6.0, 6.0, 6.0])
    assert many.free(10.0) == pytest.approx([7.0, 6.0, 5.0])
    assert LINES.free(np.array([4.0, 10.0])) == pytest.approx([6.0, 7.0])
    assert many.best()[0] == pytest.approx([3.5, 3.0, 2.5])
    assert many.best()[1] == pytest.approx([0.245, 0.18, 0.125])


def test_of_several_ends_the_last_counts_and_of_none_the_first_step():
    """Blades that stall drive again further on; blades that drive nothing turn nothing."""
    twice = 0.02 * np.sin(2.0 * math.pi * (TSR - 1.03) / 4.0)
    assert RotorCurves(np.array([8.0]), TSR, twice[None]).free(8.0) == pytest.approx(7.03, abs=0.01)
    never = RotorCurves(np.array([8.0]), TSR, np.full((1, 101), -0.1))
    assert never.free(8.0) == pytest.approx(0.1)
    assert never.best() == (pytest.approx(0.1), pytest.approx(0.0))


# --- blades carved to a table -----------------------------------------------------------------------------------------

CARVED = {
    **{name: value for name, value in WORKED.items() if not name.startswith("rotor.p")},
    "rotor.power_coefficient": None, "rotor.tip_speed_ratio": None, "rotor.free_tip_speed_ratio": None,
    "blade.material": "wood", "blade.section": "NACA 4412",
    **{f"station.{i}.{name}": value
       for i, row in enumerate(((0.15, 0.20, 0.35), (0.55, 0.13, 0.12), (0.90, 0.09, 0.05)), start=1)
       for name, value in zip(("radius", "chord", "twist"), row, strict=True)},
}  # fmt: skip


def test_carved_blades_are_computed_from_their_table():
    """Better than a stated 0.3, worse than 16/27; in any order of the rows; its last chord reaches to the tip."""
    curves = rotor_of(inputs(CARVED))
    assert isinstance(curves, RotorCurves)
    assert curves.starts
    ratio, share = curves.best()
    assert 4.0 < ratio < 9.0
    assert 0.3 < share < 16.0 / 27.0
    turned = CARVED | {f"station.{4 - i}.{n}": CARVED[f"station.{i}.{n}"] for i in (1, 2, 3)
                       for n in ("radius", "chord", "twist")}  # fmt: skip
    assert rotor_of(inputs(turned)).cq == pytest.approx(curves.cq)
    to_the_tip = CARVED | {"station.4.radius": 1.0, "station.4.chord": 0.09, "station.4.twist": 0.05}
    assert rotor_of(inputs(to_the_tip)).cq == pytest.approx(curves.cq)


def test_a_table_with_a_gap_is_asked_for_what_is_missing():
    """By name; without a section, or with one row only, the blades are taken as they usually are."""
    gap = rotor_of(inputs(CARVED, station__2__chord=None))
    assert isinstance(gap, Unknown)
    assert gap.names == ("station.2.chord",)
    assert rotor_of(inputs(CARVED, blade__section=None)).starts is False
    one = {name: None for name in CARVED if name.startswith(("station.2", "station.3"))}
    assert rotor_of(inputs(CARVED | one)).starts is False
