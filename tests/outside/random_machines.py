"""Random small wind generators, each as a sheet for the program and as a machine of the textbooks.

Sizes hang together as a builder's do: pipe fits the rotor, the generator reaches the battery's voltage in a light
wind, the winding is burdened by what such a rotor gives; but widely enough that some do not match.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.machine.design import build_design
from calc.machine.inputs import Unknown
from calc.machine.system import System
from tests.outside import textbook_machine as book

RPM, MM2, AH = math.pi / 30, 1e-6, 3600.0
#: IEC 60228 class 2, copper: area [mm2] and greatest resistance at 20 degC [ohm/km].
CABLES = {2.5: 7.41, 4.0: 4.61, 6.0: 3.08, 10.0: 1.83, 16.0: 1.15, 25.0: 0.727}
#: Volts of a cell at rest, charged, as the head of calc/tables/cells.csv gives them, and cells of a 12 V bank.
CELLS = {"flooded lead-acid": (2.10, 6), "AGM lead-acid": (2.12, 6), "LiFePO4": (3.30, 4)}
#: How the back-EMF constant is read, over its RMS value between two leads, for sinusoidal voltage.
READINGS = {
    "DC after the rectifier": 3 * math.sqrt(2) / math.pi,
    "between two leads, RMS": 1.0,
    "between two leads, peak": math.sqrt(2),
    "lead to star point, RMS": 1 / math.sqrt(3),
}
#: Rise allowed to a winding by insulation class, over air of 40 degC (IEC 60034-1). [K]
RISE = {"B": 80.0, "F": 105.0, "H": 125.0}


def _pipe(rng):
    D = float(rng.choice([0.110, 0.125, 0.160, 0.200, 0.250, 0.315]))
    R = D * rng.uniform(3.3, 5.2)
    return R, {
        "blade.material": "PVC-U pipe",
        "blade.pipe_diameter": D,
        "blade.pipe_wall": D * rng.uniform(0.024, 0.036),
        "blade.chord_root": D * rng.uniform(0.48, 0.66),
        "blade.chord_tip": D * rng.uniform(0.25, 0.34),
        "blade.root_radius": R * rng.uniform(0.10, 0.18),
        "blade.mounting_angle": math.radians(rng.uniform(14.0, 26.0)),
    }


def _carved(rng, B):
    R, ratio = rng.uniform(0.6, 1.9), rng.uniform(4.5, 7.0)
    sheet = {"blade.material": "wood", "blade.section": str(rng.choice(["NACA 4412", "NACA 4415"]))}
    for n, share in enumerate((0.15, 0.3, 0.5, 0.75, 1.0)):
        # Schmitz' blade, a little off: phi = 2/3 atan(1 / local ratio), chord 8 pi r (1 - cos phi) / (B cl).
        phi = 2 / 3 * math.atan(1 / (ratio * share))
        chord = 8 * math.pi * share * R * (1 - math.cos(phi)) / (B * 0.9) * rng.uniform(0.85, 1.15)
        sheet[f"station.s{n}.radius"] = share * R
        sheet[f"station.s{n}.chord"] = min(chord, 0.22 * R)
        sheet[f"station.s{n}.twist"] = phi - math.radians(rng.uniform(3.0, 7.0))
    return R, sheet


def draw(seed):
    """The sheet of one random machine, values by name in SI."""
    rng = np.random.default_rng(seed)
    B = int(rng.choice([2, 3, 3, 3, 4, 5]))
    R, sheet = _pipe(rng) if rng.random() < 0.5 else _carved(rng, B)
    sheet |= {"rotor.diameter": 2 * R, "rotor.blades": float(B), "rotor.overspeed": "none"}
    sheet |= _electric(rng, R) | {
        "site.storm_wind": 30.0,
        "site.air_temperature": rng.uniform(263.0, 308.0),
        "site.altitude": rng.uniform(0.0, 1500.0),
    }
    return {name: value if isinstance(value, (str, bool)) else float(value) for name, value in sheet.items()}


def _electric(rng, R):
    chemistry, volts = str(rng.choice(list(CELLS))), float(rng.choice([12.0, 24.0, 48.0]))
    E = CELLS[chemistry][0] * CELLS[chemistry][1] * volts / 12
    k = (E + 1.8) / (rng.uniform(5.0, 8.0) * rng.uniform(2.3, 5.0) / R)
    amps = 0.2 * 0.5 * 1.2 * math.pi * R**2 * 1000 / E
    R_w = rng.uniform(0.08, 0.5) * E / amps
    form = str(rng.choice(list(READINGS)))
    area = float(rng.choice(list(CABLES)))
    sheet = {
        "generator.phases": "three-phase",
        "generator.emf_form": form,
        "generator.emf_constant": k * math.pi / (3 * math.sqrt(2)) * READINGS[form],
        "generator.winding_resistance": R_w,
        "generator.inductance": R_w * rng.uniform(2e-4, 2e-3),
        "generator.pole_pairs": float(rng.integers(2, 24)),
        "generator.drag_torque": 0.1 * k / math.sqrt(R_w) * rng.uniform(0.3, 2.0),
        "generator.diode_drop": rng.uniform(0.7, 1.1),
        "generator.insulation": str(rng.choice(list(RISE))),
        "storage.chemistry": chemistry,
        "storage.voltage": volts,
        "storage.capacity": 100 * AH,
        "storage.internal_resistance": rng.uniform(0.004, 0.03) * volts / 12,
        "storage.charge_voltage": E * rng.uniform(1.07, 1.17),
        "dump.kind": str(rng.choice(["none", "switched by the charge controller"])),
        "cable.mast.carries": "generator after the rectifier",
        "cable.mast.length": rng.uniform(5.0, 50.0),
        "cable.mast.area": area * MM2,
        "cable.mast.temperature": 293.15,
        "cable.mast.joints": 0.0,
    }
    heat = rng.random()
    if heat < 0.5:
        sheet["generator.rated_current"] = amps * rng.uniform(0.5, 1.5)
    elif heat < 0.75:
        sheet["generator.thermal_resistance"] = rng.uniform(0.2, 2.0)
    return sheet


@dataclass(frozen=True)
class Textbook:
    """The same machine for :mod:`textbook_machine`."""

    blades: book.Blades
    electric: book.Electric
    rho: float
    nu: float


def textbook(sheet):
    """The machine of a sheet, read after the meaning of each input and put into textbook form."""
    T, h = sheet["site.air_temperature"], sheet["site.altitude"]
    # Standard atmosphere and ideal gas; Sutherland's viscosity.
    rho = 101325.0 * (1 - 0.0065 * h / 288.15) ** 5.25588 / (287.05 * T)
    nu = 1.716e-5 * (T / 273.15) ** 1.5 * (273.15 + 110.4) / (T + 110.4) / rho
    return Textbook(_blades(sheet), _behind(sheet, T), rho, nu)


def _blades(sheet):
    B, R = sheet["rotor.blades"], sheet["rotor.diameter"] / 2
    if "blade.section" in sheet:
        columns = [[sheet[f"station.s{n}.{what}"] for n in range(5)] for what in ("radius", "chord", "twist")]
        return book.carved_blades(B, R, *(np.array(c) for c in columns), sheet["blade.section"])
    names = ("root_radius", "pipe_diameter", "pipe_wall", "chord_root", "chord_tip", "mounting_angle")
    return book.pipe_blades(B, R, *(sheet[f"blade.{name}"] for name in names))


def _behind(sheet, T):
    one, cells = CELLS[sheet["storage.chemistry"]]
    k_ll = sheet["generator.emf_constant"] / READINGS[sheet["generator.emf_form"]]
    R_w = sheet["generator.winding_resistance"]
    R_th = sheet.get("generator.thermal_resistance", 0.0)
    if amps := sheet.get("generator.rated_current"):
        # The rating holds in air of 40 degC: there it gives the rise of its class to a winding that warm.
        rise = RISE[sheet["generator.insulation"]]
        R_th = rise / (amps**2 * R_w * (234.5 + 40 + rise) / 254.5)
    per_km = CABLES[round(sheet["cable.mast.area"] / MM2, 1)]
    return book.Electric(
        k_ll=k_ll,
        R_ll=R_w,
        L_ll=sheet["generator.inductance"],
        pairs=sheet["generator.pole_pairs"],
        drop=2 * sheet["generator.diode_drop"],
        E=one * cells * sheet["storage.voltage"] / 12,
        R_b=sheet["storage.internal_resistance"],
        R_c=2 * sheet["cable.mast.length"] * per_km / 1000,
        V_hold=sheet["storage.charge_voltage"] if sheet["dump.kind"] != "none" else math.inf,
        T_0=sheet["generator.drag_torque"],
        # Eddy drag is on no sheet; the program's own estimate is taken: a thousandth of the shorted winding's damping.
        b=0.001 * (3 * math.sqrt(2) / math.pi * k_ll) ** 2 / R_w,
        R_th=R_th,
        air=T - 273.15,
    )


#: Speed [rad/s], current [A] and battery power [W]: what is compared.
QUANTITIES = ("speed", "current", "power")
#: Least share of the wind's power that counts as charging where differences are taken in proportion.
LEAST = 0.01


@dataclass(frozen=True)
class Pair:
    """One machine in one wind: what the program and what the textbook says of the fastest lasting balance.

    ``ours`` and ``theirs`` hold :data:`QUANTITIES`, nothing where the rotor stands; ``blown`` is the power of the wind
    through the rotor [W], ``ratio`` the textbook's tip-speed ratio.
    """

    seed: int
    wind: float
    blown: float
    ratio: float
    ours: tuple[float, float, float]
    theirs: tuple[float, float, float]

    @property
    def charging(self):
        """Whether both charge with more than :data:`LEAST` of the wind's power."""
        return min(self.ours[2], self.theirs[2]) > LEAST * self.blown

    @property
    def off(self):
        """What the program says over what the textbook says, less one, for each of :data:`QUANTITIES`."""
        return np.array(self.ours) / np.array(self.theirs) - 1

    @property
    def apart(self):
        """Difference of battery power as a share of the wind's power: also where one of them does not charge."""
        return abs(self.ours[2] - self.theirs[2]) / self.blown


def bare(sheet):
    """The same sheet with a winding that stays as warm as the air, and without a dump load."""
    heat = ("generator.rated_current", "generator.thermal_resistance")
    return {name: value for name, value in sheet.items() if name not in heat} | {"dump.kind": "none"}


def pairs(seed, winds, way=None, change=dict):
    """One random machine in some winds, by both; none where the program says that it cannot solve it.

    ``way`` makes the generator of :func:`textbook_machine.balances` from its numbers and the rotor's speeds, ``change``
    another sheet from the one that is drawn.
    """
    sheet = change(draw(seed))
    solved = System(build_design(sheet)).solved
    if isinstance(solved, Unknown):
        return []
    got, machine = solved.running(np.asarray(winds)), textbook(sheet)
    found = []
    curves = book.torques_over_speed(machine.blades, winds, machine.rho, machine.nu)
    for n, (V, (torque, speeds)) in enumerate(zip(winds, curves, strict=True)):
        how = book.smooth if way is None else way(machine.electric, speeds)
        b = book.running(book.balances(torque, speeds, machine.electric, how))
        theirs = (b.omega, b.current, b.power) if b else (0.0, 0.0, 0.0)
        R = machine.blades.R
        blown = 0.5 * machine.rho * math.pi * R**2 * V**3
        ours = tuple(float(x[n]) for x in (got.omega, got.current, got.battery))
        found.append(Pair(seed, float(V), blown, theirs[0] * R / V, ours, theirs))
    return found


def winds_of(seed, n):
    """Some winds between 3 and 20 m/s, spread over the whole range."""
    rng = np.random.default_rng((seed, 1))
    return 3.0 + 17.0 * (np.arange(n) + rng.uniform(0.0, 1.0, n)) / n
