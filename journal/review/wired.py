"""What hangs on the wires of a revision: each device, what is known and computed of it, and its weak spots."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from calc.finding import Finding, Status
from calc.machine import currents
from calc.machine.battery import charge_top, fault_currents, has_battery
from calc.machine.catalogue import Sheet
from calc.machine.design import Design
from calc.machine.diagram import UNSTATED, Device, devices, has_rectifier
from calc.machine.inputs import Unknown
from calc.machine.storm import unloaded_in_storm
from calc.machine.system import System
from calc.units import show, show_up
from journal.review.verdict import headline

#: What a machine is drawn for: where the sheet says nothing of any of these, there is nothing to draw.
_MAIN = ("generator", "battery", "loads", "inverter")
#: Most weak spots told of one device; of more the rest are counted.
MOST = 2
#: Rules by the device on which their weak spot sits; those of cables and fuses are about a run.
ON = {
    "generator": ("generator.touch-voltage",),
    "brake": ("rotor.brake", "rotor.brake-holds", "protection.brake-switch"),
    "rectifier": ("protection.rectifier", "generator.storm-voltage"),
    "converter": ("converter.input-voltage", "converter.input-current"),
    "switch": ("protection.switches",),
    "surge": ("protection.surge",),
    "dump": ("storage.dump", "dump.element", "dump.circuit", "dump.open-charge", "rotor.dump-holds"),
    "cable": ("wiring.ampacity", "wiring.voltage-drop"),
    "fuse": ("wiring.fuse", "protection.fuse"),
    "main fuse": ("protection.main-fuse",),
    "battery": ("storage.charge-current", "storage.monitor-voltage",
                "storage.cells", "storage.discharge-current", "protection.polarity", "protection.battery-touch"),
    "loads": ("loads.over-voltage",),
    "inverter": ("inverter.input-voltage", "inverter.sag", "inverter.fuse"),
    "rcd": ("house.shock",),
    "house": ("house.feed", "house.labels"),
    "earth": ("protection.mast-earth",),
}  # fmt: skip


@dataclass(frozen=True)
class Weak:
    """A weak spot: how bad, and what it is."""

    status: Status
    title: str
    #: Whether it is marginal though beyond its limit.
    over: bool = False
    #: The sentence that decides.
    says: str = field(default="", compare=False)

    @property
    def words(self) -> str:
        """In words that need no colour."""
        said = "not known" if self.status is Status.UNKNOWN else "over its limit" if self.over else str(self.status)
        return f"{said}: {self.title[0].lower()}{self.title[1:]}"


@dataclass(frozen=True)
class Hung:
    """A device where it hangs, what is known of it, and its weak spots."""

    device: Device
    facts: tuple[str, ...]
    weak: tuple[Weak, ...]
    more: int = 0

    @property
    def lacking(self) -> bool:
        """Whether it should be there, and the sheet says that it is not."""
        if self.device.kind == "main fuse" and self.device.facts:
            return False
        no = "no" if self.device.kind == "rcd" else "none"
        return self.device.lacking or self.device.facts[:1] == (no,)

    @property
    def name(self) -> str:
        """Its name; of what is lacking that it is."""
        name = self.device.name.capitalize() if self.device.lacking else self.device.name
        if self.lacking and not self.device.lacking:
            name = f"no {name[0].lower()}{name[1:]}"
        return f"{name[0].upper()}{name[1:]}"


def everything(system: System, findings: Sequence[Finding], told: Design | None = None) -> list[Hung]:
    """Every device of the diagram where it hangs; none where the sheet says nothing of what gives and takes power.

    Parameters
    ----------
    system : System
        The machine with which the numbers are computed.
    findings : sequence of Finding
        What its checks say.
    told : Design, optional
        The sheet as the reader may have it, its labels among them; else the whole one.
    """
    computed = devices(system.design)
    every = computed if told is None else devices(told)
    if not any(set(d.facts) - {UNSTATED, f"rated {UNSTATED}"} for d in every if d.kind in _MAIN
               and any(UNSTATED not in f for f in d.facts)):  # fmt: skip
        return []
    return [hang(device, system, findings, real) for device, real in zip(every, computed, strict=True)]


def hang(device: Device, system: System, findings: Sequence[Finding], real: Device | None = None) -> Hung:
    """A device with what is computed of it, under the name that it really has, and what the checks say against it."""
    spots = weak_spots(device, findings)
    return Hung(device, _facts(device, real or device, system), tuple(spots[:MOST]), len(spots[MOST:]))


def weak_spots(device: Device, findings: Sequence[Finding]) -> list[Weak]:
    """What the checks say against a device, worst first."""
    rules = ON.get(device.kind, ())
    found = [
        f
        for f in findings
        if f.rule in rules
        and (f.status in (Status.DANGER, Status.FAIL, Status.MARGINAL) or f.deadly)
        and (device.kind not in ("cable", "fuse") or f.subject == f"cable.{device.run}")
        and (device.kind != "loads" or device.load in ("", f.subject.partition(".")[2]))
    ]
    ordered = sorted(found, key=lambda f: f.rank)
    return list(dict.fromkeys(Weak(f.status, f.title if device.run else headline(f), f.over, f.says) for f in ordered))


def _facts(device: Device, real: Device, system: System) -> tuple[str, ...]:
    """What the sheet says of a device, and the numbers computed for it under the name that it really has."""
    add = _NUMBERS.get(device.kind)
    said = [f for f in device.said if f not in ("none", f"metal {UNSTATED}", f"wire {UNSTATED}")]
    if device.kind == "rcd" and said == ["no"]:
        said = []
    if device.lacking or len(said) > 1:
        said = [f for f in said if f != UNSTATED]
    return (*said, *(add(real, system) if add else ()))


def _unloaded(device: Device, system: System) -> list[str]:
    found, kind = system.solved, "DC"
    if isinstance(found, Unknown):
        # What hangs on it cannot be solved; it alone with its rotor often can.
        free = None if has_battery(system.inputs()) else unloaded_in_storm(system.inputs())
        if free is None:
            return []
        volts = free.mean
        if not has_rectifier(system.design):
            volts, kind = free.between_leads, "AC between leads"
    else:
        volts = found.V_free
    if not np.isfinite(float(np.asarray(volts))):
        return []
    return [f"nothing connected, strongest gust: {show_up(volts, 'V', 2)} {kind}"]


def _flowing(device: Device, system: System) -> list[str]:
    x = system.inputs(device.run)
    if not device.run or x.lacks(Sheet.cable.carries[device.run], Sheet.cable.area[device.run]):
        return []
    found, held = currents.run_current(x, device.run), currents.run_capacity(x, device.run)
    said = [] if isinstance(found, Unknown) else [f"carries up to {found.shown()}"]
    if not isinstance(held, Unknown):
        said.append(f"may carry {show(held.amps, 'A', 2)}")
    return said


def _stored(device: Device, system: System) -> list[str]:
    x = system.inputs()
    if not has_battery(x):
        return []
    top, found = charge_top(x), fault_currents(x, 0.0)
    said = [] if top is None else [f"up to {show(top, 'V')}"]
    if not isinstance(found, Unknown):
        said.append(f"shorted up to {show_up(float(np.max(found[1])), 'A', 2)}")
    return said


_NUMBERS: dict[str, Callable[[Device, System], list[str]]] = {
    "generator": _unloaded,
    "cable": _flowing,
    "battery": _stored,
}
