"""A one-line diagram of the electrical side: its devices in order, and the same in plain text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT, COIL, DIRECT
from calc.machine.catalogue.storage import DUMP_PLACES, HOLDING, NO_CONVERTER
from calc.machine.catalogue.wiring import (
    AFTER_RECTIFIER,
    BEFORE_RECTIFIER,
    FUSED_BY_RUN,
    NO_MAIN_FUSE,
    TO_DUMP,
    TO_INVERTER,
    TO_LOADS,
)
from calc.machine.design import Design
from calc.machine.entry import Entry
from calc.physics import wiring

UNSTATED = "?"
_BAR = "  |"


@dataclass(frozen=True, slots=True)
class Device:
    """One thing of the diagram.

    Parameters
    ----------
    kind : str
        What it is: "drive", "field", "generator", "cable", "brake", "rectifier", "converter", "switch", "surge",
        "dump", "fuse", "battery switch", "main fuse", "battery", "loads", "inverter", "rcd", "neutral", "house" or
        "earth".
    name : str
        What it is called.
    facts : tuple of str
        What the sheet says of it; what it does not is :data:`UNSTATED`.
    branch : bool
        Whether it hangs beside the line instead of in it.
    run : str
        Label of the cable run that it is or belongs to.
    lacking : bool
        Whether the sheet says that there is none.
    ahead : tuple of Device
        Fuse and cable, run by run, through which it hangs on the line.
    """

    kind: str
    name: str
    facts: tuple[str, ...] = ()
    branch: bool = False
    run: str = ""
    lacking: bool = False
    ahead: tuple[Device, ...] = ()

    @property
    def said(self) -> tuple[str, ...]:
        """Its facts, and in short what it hangs on."""
        fed: list[str] = []
        for fuse, cable in zip(self.ahead[::2], self.ahead[1::2], strict=True):
            length, size = cable.facts[:2]
            fed += [f"{cable.name}: {length}, {size}", f"fuse {fuse.facts[0].removeprefix('rating ')}" if fuse.facts
                    else fuse.name]  # fmt: skip
        return (*self.facts, *fed)

    @property
    def lines(self) -> list[str]:
        """As plain text."""
        facts = ", ".join(self.said)
        if self.kind == "earth":
            return ["", f"{self.name}: {facts}"]
        if self.kind in ("cable", "neutral"):
            return [f"  |   {self.name}: {facts}", _BAR]
        named = f"  +---[ {self.name} ]  {facts}" if self.branch else f"[ {self.name} ]  {facts}"
        return [named.rstrip()] if self.kind == "house" else [named.rstrip(), _BAR]


def _said(design: Design, entry: Entry[Any]) -> str:
    value = design.get(entry)
    if value is None:
        return UNSTATED
    if entry.path == Sheet.cable.area.path:
        return wiring.size_name(float(value))
    return entry.text(value)


def _fact(design: Design, name: str, entry: Entry[Any]) -> str:
    # What is stated speaks for itself; what is not needs its name beside the question mark.
    said = _said(design, entry)
    return f"{name} {said}" if said == UNSTATED else said


def _facts(design: Design, **named: Entry[Any]) -> list[str]:
    return [_fact(design, name.replace("_", " "), entry) for name, entry in named.items()]


def _box(kind: str, name: str, *facts: str, run: str = "") -> Device:
    return Device(kind, name, tuple(f for f in facts if f), run=run, lacking=name.startswith("NO "))


def _branch(kind: str, name: str, *facts: str, run: str = "", ahead: tuple[Device, ...] = ()) -> Device:
    return Device(kind, name, facts, branch=True, run=run, lacking=name.startswith("NO "), ahead=ahead)


def _runs(design: Design, carries: str | None) -> list[str]:
    return [label for label in design.labels(Sheet.cable) if design.get(Sheet.cable.carries[label]) == carries]


def _cable(design: Design, label: str, wires: str) -> Device:
    length, area = _fact(design, "length", Sheet.cable.length[label]), _fact(design, "size", Sheet.cable.area[label])
    facts = length, f"{wires} x {area}", _fact(design, "metal", Sheet.cable.material[label])
    return Device("cable", f"cable {label}", facts, run=label)


def _fuse(design: Design, label: str, rating: str | None = None) -> Device:
    fused, fuse = design.get(Sheet.cable.fused[label]), design.get(Sheet.cable.fuse[label])
    if fused is False:
        # A rating beside it does not make it a fuse.
        named = rating or (None if fuse is None else _said(design, Sheet.cable.fuse[label]))
        return _box("fuse", "NO FUSE", f"by the sheet, which names one of {named} too" if named else "", run=label)
    kept = rating if rating is not None else _fact(design, "rating", Sheet.cable.fuse[label])
    volts, breaks = _said(design, Sheet.cable.fuse_voltage[label]), _said(design, Sheet.cable.fuse_breaking[label])
    far = _said(design, Sheet.cable.fuse_distance[label])
    facts = kept, f"DC voltage {volts}", f"breaks {breaks}", f"{far} from the battery"
    return _box("fuse", "Fuse", *facts, run=label)


def _brake(design: Design) -> Device:
    kind = _said(design, Sheet.rotor.brake)
    if kind == "switch that shorts the generator":
        facts = _facts(design, place=Sheet.protection.brake_place, rating=Sheet.protection.brake_current)
        return _branch("brake", "Brake switch, shorts the leads", *facts)
    return _branch("brake", "NO BRAKE" if kind == "none" else f"Brake: {kind}")


def _dump(design: Design) -> Device:
    if design.get(Sheet.dump.kind) in (None, "none"):
        return _branch("dump", "NO DUMP LOAD" if design.get(Sheet.dump.kind) else f"Dump load: {UNSTATED}")
    facts = _facts(design, power=Sheet.dump.power, resistance=Sheet.dump.resistance, kind=Sheet.dump.kind)
    run = next(iter(_runs(design, TO_DUMP)), "")
    return _branch("dump", "Dump load", *facts, run=run, ahead=_fed_by(design, TO_DUMP))


def _fed_by(design: Design, carries: str) -> tuple[Device, ...]:
    """Fuse and cable, run by run."""
    runs = _runs(design, carries)
    return tuple(device for label in runs for device in (_fuse(design, label), _cable(design, label, "2")))


def _generator(design: Design) -> Iterator[Device]:
    phases = _said(design, Sheet.generator.phases)
    wires = {"three-phase": "3", "single-phase": "2", "DC with brushes": "2"}.get(phases, UNSTATED)
    drive = design.get(Sheet.generator.drive)
    if drive not in (None, DIRECT):
        ratio = f"1 to {_said(design, Sheet.generator.ratio)}"
        slips = _facts(design, slips_at=Sheet.generator.belt_torque) if drive == BELT else []
        yield _box("drive", f"Drive: {drive}", ratio, *slips)
    facts = _facts(design, winding=Sheet.generator.phases, speed_per_volt=Sheet.generator.emf_constant)
    if design.get(Sheet.generator.field) == COIL:
        coil = _facts(design, resistance=Sheet.generator.field_resistance, supply=Sheet.generator.field_supply)
        yield _branch("field", "Field coil, fed by the battery", *coil)
    yield _box("generator", "Generator", *facts, f"rated {_said(design, Sheet.generator.rated_current)}")
    for label in _runs(design, BEFORE_RECTIFIER):
        yield _cable(design, label, wires)
    brake = _brake(design)
    after = design.get(Sheet.protection.brake_place) == "after the rectifier"
    if not after:
        yield brake
    facts = _facts(
        design, reverse_voltage=Sheet.generator.rectifier_voltage, rated_current=Sheet.generator.rectifier_current
    )
    yield _box("rectifier", "Rectifier", *facts)
    if after:
        yield brake
    for label in _runs(design, AFTER_RECTIFIER):
        yield _cable(design, label, "2")
    kind = design.get(Sheet.converter.kind)
    if kind not in (None, NO_CONVERTER):
        low = Sheet.converter.input_held if kind == HOLDING else Sheet.converter.input_lowest
        window = _facts(design, input=low, up_to=Sheet.converter.input_highest, most=Sheet.converter.input_current)
        yield _box("converter", f"{str(kind)[2].upper()}{str(kind)[3:]}", *window)
    yield _box("switch", "Generator switch", _said(design, Sheet.protection.generator_switch))
    surge = design.get(Sheet.protection.surge)
    facts = _facts(design, place=Sheet.protection.surge, voltage=Sheet.protection.surge_voltage)
    yield _branch("surge", "NO SURGE ARRESTERS") if surge == "none" else _branch("surge", "Surge arresters", *facts)


def _main_fuse(design: Design) -> Device:
    kind = design.get(Sheet.protection.main_fuse)
    if kind in (NO_MAIN_FUSE, FUSED_BY_RUN):
        return _box(
            "main fuse", "NO MAIN FUSE", "" if kind == NO_MAIN_FUSE else "each cable has its own at the battery"
        )
    volts = _said(design, Sheet.protection.main_fuse_voltage)
    breaks = _said(design, Sheet.protection.main_fuse_breaking)
    rating = _fact(design, "rating", Sheet.protection.main_fuse_rating)
    return _box("main fuse", "Main fuse", kind or UNSTATED, rating, f"DC voltage {volts}", f"breaks {breaks}")


def _battery(design: Design) -> Iterator[Device]:
    beside = design.get(Sheet.dump.place) != DUMP_PLACES[1]
    if beside:
        yield _dump(design)
    for label in _runs(design, AFTER_RECTIFIER):
        yield _fuse(design, label)
    switch = design.get(Sheet.protection.battery_switch)
    yield _box(
        "battery switch", "NO BATTERY SWITCH" if switch is False else "Battery switch", "" if switch else UNSTATED
    )
    if not beside:
        yield _dump(design)
    if design.get(Sheet.storage.chemistry) != "none":
        yield _main_fuse(design)
    facts = _facts(design, kind=Sheet.storage.chemistry, voltage=Sheet.storage.voltage, capacity=Sheet.storage.capacity)
    yield _box("battery", "Battery", *facts)


def _loads(design: Design) -> Iterator[Device]:
    if _runs(design, TO_LOADS):
        run = _runs(design, TO_LOADS)[0]
        yield _branch("loads", "Loads on direct current", run=run, ahead=_fed_by(design, TO_LOADS))
    runs = _runs(design, TO_INVERTER)
    if design.get(Sheet.inverter.power) is not None or runs:
        own = None if design.get(Sheet.inverter.fuse) is None else _said(design, Sheet.inverter.fuse)
        for label in runs:
            yield _fuse(design, label, own)
            yield _cable(design, label, "2")
        if not runs:
            yield _box("fuse", "Fuse", own or UNSTATED)
            yield Device("cable", "cable", (UNSTATED,))
        yield _box("inverter", "Inverter", _fact(design, "power", Sheet.inverter.power))
        yield _box("rcd", "30 mA residual-current device", _said(design, Sheet.house.rcd))
        yield Device("neutral", "neutral", (_said(design, Sheet.house.neutral),))
    yield _box("house", "House", _said(design, Sheet.house.feed))
    wire = f"wire {_said(design, Sheet.protection.earth_area)}"
    yield Device("earth", "Mast earth", (_said(design, Sheet.protection.mast_earth), wire))


def devices(design: Design) -> list[Device]:
    """Everything between generator and house, in order, and the mast's earth; what is not stated is ``?``."""
    return [*_generator(design), *_battery(design), *_loads(design)]


def lines(design: Design) -> list[str]:
    r"""Draw the chain from generator to house.

    Parameters
    ----------
    design : Design
        The values on the sheet, all scalar.

    Returns
    -------
    lines : list of str
        Plain ASCII, top to bottom. What the sheet does not state shows as ``?``; nothing is assumed.

    Examples
    --------
    >>> from calc.machine.design import build_design
    >>> print("\n".join(lines(build_design({"generator.rated_current": 15.0}))[:3]))
    One-line diagram. What is not stated shows as ?
    <BLANKLINE>
    [ Generator ]  winding ?, speed per volt ?, rated 15 A
    """
    return [
        f"One-line diagram. What is not stated shows as {UNSTATED}",
        "",
        *(line for device in devices(design) for line in device.lines),
    ]
