"""A one-line diagram of the electrical side, in plain text."""

from __future__ import annotations

from collections.abc import Iterator
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


def _box(name: str, *facts: str) -> list[str]:
    return [f"[ {name} ]  {', '.join(facts)}".rstrip(), _BAR]


def _branch(name: str, *facts: str) -> list[str]:
    return [f"  +---[ {name} ]  {', '.join(facts)}".rstrip(), _BAR]


def _runs(design: Design, carries: str | None) -> list[str]:
    return [label for label in design.labels(Sheet.cable) if design.get(Sheet.cable.carries[label]) == carries]


def _cable(design: Design, label: str, wires: str) -> list[str]:
    length, area = _fact(design, "length", Sheet.cable.length[label]), _fact(design, "size", Sheet.cable.area[label])
    return [
        f"  |   cable {label}: {length}, {wires} x {area}, {_fact(design, 'metal', Sheet.cable.material[label])}",
        _BAR,
    ]


def _fuse(design: Design, label: str, rating: str | None = None) -> list[str]:
    fused, fuse = design.get(Sheet.cable.fused[label]), design.get(Sheet.cable.fuse[label])
    if fused is False and fuse is None and rating is None:
        return _box("NO FUSE")
    kept = rating if rating is not None else _fact(design, "rating", Sheet.cable.fuse[label])
    volts, breaks = _said(design, Sheet.cable.fuse_voltage[label]), _said(design, Sheet.cable.fuse_breaking[label])
    far = _said(design, Sheet.cable.fuse_distance[label])
    return _box("Fuse", kept, f"DC voltage {volts}", f"breaks {breaks}", f"{far} from the battery")


def _brake(design: Design) -> list[str]:
    kind = _said(design, Sheet.rotor.brake)
    if kind == "switch that shorts the generator":
        facts = _facts(design, place=Sheet.protection.brake_place, rating=Sheet.protection.brake_current)
        return _branch("Brake switch, shorts the leads", *facts)
    return _branch("NO BRAKE" if kind == "none" else f"Brake: {kind}")


def _dump(design: Design) -> list[str]:
    if design.get(Sheet.dump.kind) in (None, "none"):
        return _branch("NO DUMP LOAD" if design.get(Sheet.dump.kind) else f"Dump load: {UNSTATED}")
    facts = _facts(design, power=Sheet.dump.power, resistance=Sheet.dump.resistance, kind=Sheet.dump.kind)
    return _branch("Dump load", *facts, *_fed_by(design, TO_DUMP))


def _fed_by(design: Design, carries: str) -> list[str]:
    facts = []
    for label in _runs(design, carries):
        length, area = (
            _fact(design, "length", Sheet.cable.length[label]),
            _fact(design, "size", Sheet.cable.area[label]),
        )
        facts += [f"cable {label}: {length}, 2 x {area}", f"fuse {_said(design, Sheet.cable.fuse[label])}"]
    return facts


def _generator(design: Design) -> Iterator[str]:
    phases = _said(design, Sheet.generator.phases)
    wires = {"three-phase": "3", "single-phase": "2", "DC with brushes": "2"}.get(phases, UNSTATED)
    drive = design.get(Sheet.generator.drive)
    if drive not in (None, DIRECT):
        ratio = f"1 to {_said(design, Sheet.generator.ratio)}"
        slips = _facts(design, slips_at=Sheet.generator.belt_torque) if drive == BELT else []
        yield from _box(f"Drive: {drive}", ratio, *slips)
    facts = _facts(design, winding=Sheet.generator.phases, speed_per_volt=Sheet.generator.emf_constant)
    if design.get(Sheet.generator.field) == COIL:
        coil = _facts(design, resistance=Sheet.generator.field_resistance, supply=Sheet.generator.field_supply)
        yield from _branch("Field coil, fed by the battery", *coil)
    yield from _box("Generator", *facts, f"rated {_said(design, Sheet.generator.rated_current)}")
    for label in _runs(design, BEFORE_RECTIFIER):
        yield from _cable(design, label, wires)
    brake = _brake(design)
    after = design.get(Sheet.protection.brake_place) == "after the rectifier"
    yield from [] if after else brake
    facts = _facts(
        design, reverse_voltage=Sheet.generator.rectifier_voltage, rated_current=Sheet.generator.rectifier_current
    )
    yield from _box("Rectifier", *facts)
    yield from brake if after else []
    for label in _runs(design, AFTER_RECTIFIER):
        yield from _cable(design, label, "2")
    kind = design.get(Sheet.converter.kind)
    if kind not in (None, NO_CONVERTER):
        low = Sheet.converter.input_held if kind == HOLDING else Sheet.converter.input_lowest
        window = _facts(design, input=low, up_to=Sheet.converter.input_highest, most=Sheet.converter.input_current)
        yield from _box(f"{str(kind)[2].upper()}{str(kind)[3:]}", *window)
    yield from _box("Generator switch", _said(design, Sheet.protection.generator_switch))
    surge = design.get(Sheet.protection.surge)
    yield from (
        _branch("NO SURGE ARRESTERS")
        if surge == "none"
        else _branch(
            "Surge arresters", *_facts(design, place=Sheet.protection.surge, voltage=Sheet.protection.surge_voltage)
        )
    )


def _main_fuse(design: Design) -> list[str]:
    kind = design.get(Sheet.protection.main_fuse)
    if kind in (NO_MAIN_FUSE, FUSED_BY_RUN):
        return _box("NO MAIN FUSE", "" if kind == NO_MAIN_FUSE else "each cable has its own at the battery")
    volts = _said(design, Sheet.protection.main_fuse_voltage)
    breaks = _said(design, Sheet.protection.main_fuse_breaking)
    rating = _fact(design, "rating", Sheet.protection.main_fuse_rating)
    return _box("Main fuse", kind or UNSTATED, rating, f"DC voltage {volts}", f"breaks {breaks}")


def _battery(design: Design) -> Iterator[str]:
    beside = design.get(Sheet.dump.place) != DUMP_PLACES[1]
    if beside:
        yield from _dump(design)
    for label in _runs(design, AFTER_RECTIFIER):
        yield from _fuse(design, label)
    switch = design.get(Sheet.protection.battery_switch)
    yield from _box("NO BATTERY SWITCH" if switch is False else "Battery switch", "" if switch else UNSTATED)
    if not beside:
        yield from _dump(design)
    if design.get(Sheet.storage.chemistry) != "none":
        yield from _main_fuse(design)
    facts = _facts(design, kind=Sheet.storage.chemistry, voltage=Sheet.storage.voltage, capacity=Sheet.storage.capacity)
    yield from _box("Battery", *facts)


def _loads(design: Design) -> Iterator[str]:
    if _runs(design, TO_LOADS):
        yield from _branch("Loads on direct current", *_fed_by(design, TO_LOADS))
    runs = _runs(design, TO_INVERTER)
    if design.get(Sheet.inverter.power) is not None or runs:
        own = None if design.get(Sheet.inverter.fuse) is None else _said(design, Sheet.inverter.fuse)
        for label in runs:
            yield from _fuse(design, label, own)
            yield from _cable(design, label, "2")
        if not runs:
            yield from _box("Fuse", own or UNSTATED)
            yield from (f"  |   cable: {UNSTATED}", _BAR)
        yield from _box("Inverter", _fact(design, "power", Sheet.inverter.power))
        yield from _box("30 mA residual-current device", _said(design, Sheet.house.rcd))
        yield f"  |   neutral: {_said(design, Sheet.house.neutral)}"
        yield _BAR
    yield f"[ House ]  {_said(design, Sheet.house.feed)}"


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
        *_generator(design),
        *_battery(design),
        *_loads(design),
        "",
        f"Mast earth: {_said(design, Sheet.protection.mast_earth)}, wire {_said(design, Sheet.protection.earth_area)}",
    ]
