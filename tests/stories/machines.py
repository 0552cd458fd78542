"""The machines of the stories, as they were on the day they were finished, and the sheets their builders typed.

Sizes as builders choose them: the generator's speed at a volt so that charging begins in about 3.5 m/s, a winding of a
third of what would match it, pipe and planks of sizes that are sold. Common practice, no source.
"""

from __future__ import annotations

import csv
import random
from dataclasses import Field, dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np

from tests.stories.simulator import CELLS, RPM, Plant

Value = dict[str, str]
#: Ohms of a square millimetre of copper over a metre, at 20 degrees.
COPPER = 0.0172


@dataclass(frozen=True)
class Machine:
    """A row of the table: how it is made, and ``care``, how well its builder knows it: 0 hardly, 1 as usual, 2 all."""

    id: str
    diameter: float
    blades: int
    material: str
    cp: float
    tsr: float
    generator: str
    rpm_per_volt: float
    r_ll: float
    pole_pairs: int
    l_mh: float
    drag: float
    cogging: float
    volts: int
    chemistry: str
    capacity: float
    length: float
    area: float
    mast: str
    height: float
    brake: bool
    furl: float
    dump: float
    load: tuple[str, float, float]
    inverter: float
    mean: float
    care: int


PVC, WOOD, GRP, ALU = "PVC-U pipe", "wood", "glass-fibre", "aluminium"
LFP, NMC = "LiFePO4", "NMC lithium"


def _read() -> dict[str, Machine]:
    made: dict[str, Machine] = {}
    with (Path(__file__).parent / "machines.csv").open(encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table):
            load = (row.pop("load"), float(row.pop("load_power")), float(row.pop("load_hours")))
            made[row["id"]] = Machine(**{f.name: _cell(f, row) for f in fields(Machine) if f.name != "load"}, load=load)
    return made


def _cell(field: Field[Any], row: dict[str, str]) -> Any:
    typed = row[field.name]
    return typed == "yes" if field.type == "bool" else {"str": str, "int": int, "float": float}[str(field.type)](typed)


MACHINES = _read()
_KINDS = {"treadmill motor": "DC with brushes"}
_MASS = {PVC: 1500.0, WOOD: 480.0, GRP: 1500.0, ALU: 2700.0}


def chords(m: Machine) -> tuple[float, float]:
    """Chord at the root and at the tip, in m."""
    broad = (5.5 / m.tsr) * (3.0 / m.blades) ** 0.6 * m.diameter / 2.0
    return round(0.145 * broad, 3), round(0.068 * broad, 3)


def blade_mass(m: Machine) -> float:
    """Mass of one blade, thick as such blades are, in kg."""
    root, tip = chords(m)
    mean, length = 0.5 * (root + tip), 0.45 * m.diameter
    thick = {PVC: 0.006, WOOD: 0.13 * mean, GRP: 0.005, ALU: 0.003}[m.material]
    return _MASS[m.material] * mean * thick * length * 1.1


def plant_of(m: Machine) -> Plant:
    """The machine as it is when all is well."""
    alternator = m.generator == "car alternator"
    field = 2.2 if alternator else 0.0
    ratio = 3.5 if m.id == "m14" else 4.5 if alternator else 1.0
    # What is told of a belt-driven machine is told at the rotor; the generator itself turns faster.
    ke = 1.0 / (m.rpm_per_volt * RPM) / ratio
    hold = {"lead": 1.2, "LiFe": 1.18, "NMC ": 1.24}[m.chemistry[-9:-5] if "lead" in m.chemistry else m.chemistry[:4]]
    cells = CELLS[m.chemistry][3] * m.volts / 12.0
    mass = blade_mass(m)
    return Plant(
        radius=m.diameter / 2,
        blades=m.blades,
        cp=m.cp,
        tsr=m.tsr,
        start=0.2 / m.tsr**1.5,
        blade_mass=mass,
        inertia=m.blades * mass * (0.23 * m.diameter) ** 2,
        furl=m.furl or np.inf,
        kind=_KINDS.get(m.generator, "three-phase"),
        ke=ke,
        r_ll=m.r_ll,
        l_ll=m.l_mh * 1e-3,
        pole_pairs=m.pole_pairs,
        drag=m.drag / ratio,
        drag_speed=2e-4 * m.diameter,
        cogging=m.cogging / ratio,
        brush=1.0 if m.generator == "treadmill motor" else 0.0,
        ratio=ratio,
        drive=0.92 if alternator else 1.0,
        belt=12.0 if alternator else np.inf,
        field_current=field,
        cable_r=2.0 * COPPER * m.length / m.area,
        joint=0.015,
        chemistry=m.chemistry,
        volts=float(m.volts),
        capacity=m.capacity,
        r_battery=(0.0008 if m.chemistry in (LFP, NMC) else 0.0016) * cells * 100.0 / m.capacity,
        hold=hold * m.volts if m.dump else np.inf,
        dump=m.dump,
        loads=m.load[1],
        inverter=m.inverter,
        inverter_min=0.875 * m.volts,
        inverter_r=0.0035 * m.volts / 24.0,
        mast_hz=26.0 / m.height,
        thermal=1.2 / m.diameter**1.3,
    )


class _Pen:
    """Writes values as a builder would: with an error of reading, where it is from, and a doubt where that is usual."""

    def __init__(self, m: Machine, seed: str) -> None:
        self.care, self.dice, self.sheet = m.care, random.Random(f"{seed}/{m.id}"), dict[str, Value]()

    def put(self, name: str, value: float, unit: str, known: int, doubt: float = 0.0, digits: int = 3) -> None:
        """Write a number that only careful builders know where ``known`` is above 0."""
        if known > self.care:
            return
        how = ("estimate", "data plate", "measured")[min(2, self.care + (doubt < 0.03))]
        off = self.dice.gauss(0.0, 0.5 * doubt) * value
        self.sheet[name] = {"typed": f"{value + off:.{digits}g} {unit}".strip(), "provenance": how}
        if doubt and (self.care or doubt > 0.05):
            self.sheet[name]["doubt"] = f"{100 * doubt:.0f} %"

    def say(self, name: str, word: str, known: int = 0) -> None:
        """Write a word of a list."""
        if known <= self.care:
            self.sheet[name] = {"typed": word, "provenance": "measured"}


def sheet_of(m: Machine, p: Plant, seed: str = "sheet") -> dict[str, Value]:
    """What its builder typed of it, by names of the design sheet; ``p`` is the machine as it was meant."""
    pen = _Pen(m, seed)
    _site_and_rotor(pen, m, p)
    _generator(pen, m, p)
    _rest(pen, m, p)
    return pen.sheet


def _site_and_rotor(pen: _Pen, m: Machine, p: Plant) -> None:
    root, tip = chords(m)
    pen.put("site.mean_wind", m.mean, "m/s", 0, 0.15, 2)
    pen.say("site.ground", "farmland with hedges", 1)
    pen.put("rotor.diameter", 2 * p.radius, "m", 0, 0.01)
    pen.put("rotor.blades", m.blades, "", 0)
    pen.say("rotor.overspeed", "furling tail" if m.furl else "none")
    pen.say("rotor.brake", "switch that shorts the generator" if m.brake else "none")
    if m.furl:
        pen.put("rotor.limit_wind", m.furl, "m/s", 1, 0.12, 2)
    pen.say("blade.material", m.material)
    if m.material == PVC:
        pen.put(
            "blade.pipe_diameter",
            min((d for d in (110, 125, 160, 200, 250, 315) if d > 112 * m.diameter), default=315),
            "mm",
            0,
        )
        pen.put("blade.pipe_wall", 3.2 + 1.4 * m.diameter, "mm", 1, 0.02, 2)
    else:
        pen.put("rotor.tip_speed_ratio", m.tsr, "", 0, 0.1, 2)
        pen.put("rotor.power_coefficient", m.cp, "", 2, 0.12, 2)
    pen.put("blade.chord_root", 1e3 * root, "mm", 0, 0.02)
    pen.put("blade.chord_tip", 1e3 * tip, "mm", 0, 0.02)
    if m.material == PVC:
        pen.put("blade.mounting_angle", 20.0, "deg", 1, 0.08, 2)
    pen.put("blade.mass", p.blade_mass, "kg", 2, 0.02)


def _generator(pen: _Pen, m: Machine, p: Plant) -> None:
    pen.put("generator.emf_constant", 1.0 / (p.ke * RPM), "rpm/V", 0, 0.03 if m.care else 0.1)
    pen.say("generator.emf_form", "DC after the rectifier", 1)
    pen.put("generator.winding_resistance", p.r_ll, "ohm", 0, 0.05 if m.care else 0.15)
    pen.say("generator.phases", p.kind)
    pen.put("generator.pole_pairs", m.pole_pairs, "", 1)
    pen.put("generator.inductance", m.l_mh, "mH", 2, 0.2, 2)
    pen.put("generator.drag_torque", p.drag, "Nm", 2, 0.15, 2)
    if p.cogging:
        pen.put("generator.cogging_torque", p.cogging, "Nm", 1, 0.15, 2)
    pen.put("generator.rated_current", max(6.0, round(0.6 * np.sqrt(p.volts * 8 / p.r_ll))), "A", 1, 0.15, 2)
    if p.ratio != 1.0:
        pen.say("generator.drive", "flat or V belt")
        pen.put("generator.ratio", p.ratio, "", 0, 0.01)
        pen.say("generator.field", "a coil on slip rings, as in a car alternator")
        pen.put("generator.field_resistance", 0.9 * p.volts / p.field_current, "ohm", 0, 0.1, 2)
        pen.put("generator.field_current", p.field_current, "A", 0, 0.1, 2)
        pen.say("generator.field_supply", "always on")


def _rest(pen: _Pen, m: Machine, p: Plant) -> None:
    pen.say("cable.mast.carries", "generator after the rectifier")
    length = p.cable_r * m.area / (2.0 * COPPER)
    pen.put("cable.mast.length", m.length, "m", 0, 0.02)
    pen.put("cable.mast.area", m.area * m.length / length, "mm2", 0)
    pen.say("storage.chemistry", p.chemistry)
    pen.put("storage.voltage", p.volts, "V", 0)
    pen.put("storage.capacity", p.capacity, "Ah", 0, 0.1 if m.care else 0.25)
    if np.isfinite(p.hold):
        pen.put("storage.charge_voltage", p.hold, "V", 1, 0.01)
    if m.chemistry in (LFP, NMC):
        pen.say("storage.cell_monitor", "yes")
    pen.say("dump.kind", "switched by the charge controller" if p.dump else "none")
    if p.dump:
        pen.put("dump.power", p.dump, "W", 0, 0.05)
    pen.say("mast.kind", m.mast)
    pen.put("mast.height", m.height, "m", 0, 0.03, 2)
    name = m.load[0].replace(" ", "_")
    pen.put(f"load.{name}.power", p.loads, "W", 0, 0.1)
    pen.put(f"load.{name}.hours", m.load[2], "h/day", 0, 0.2, 2)
    if p.inverter:
        pen.put("inverter.power", p.inverter, "W", 0)
        pen.put("inverter.input_voltage_min", p.inverter_min, "V", 1, 0.01)
