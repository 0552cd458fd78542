"""A one-line diagram of the electrical side: its devices in order, and the same in plain text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT, COIL, DIRECT
from calc.machine.catalogue.house import BESIDE_GRID, ON_LEADS
from calc.machine.catalogue.rotor import SHORTING_SWITCH
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
        "dump", "fuse", "battery switch", "main fuse", "battery", "loads", "fed", "inverter", "neutral", "rcd", "house"
        or "earth".
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
        Through which it hangs on the line: the cable of each run, its fuse before it where there is one.
    unstated : tuple of Entry
        What of it the sheet does not say.
    load : str
        Label of the one load that it is; empty for all together.
    """

    kind: str
    name: str
    facts: tuple[str, ...] = ()
    branch: bool = False
    run: str = ""
    lacking: bool = False
    ahead: tuple[Device, ...] = ()
    unstated: tuple[Entry[Any], ...] = ()
    load: str = ""

    @property
    def runs(self) -> list[tuple[Device, ...]]:
        """Through which it hangs on the line, run by run."""
        found: list[tuple[Device, ...]] = []
        begun: tuple[Device, ...] = ()
        for device in self.ahead:
            begun = (*begun, device)
            if device.kind == "cable":
                found, begun = [*found, begun], ()
        return found

    @property
    def said(self) -> tuple[str, ...]:
        """Its facts, and in short what it hangs on."""
        fed: list[str] = []
        for *fuses, cable in self.runs:
            length, size = cable.facts[:2]
            fed.append(f"{cable.name}: {length}, {size}")
            fed += [f"fuse {f.facts[0].removeprefix('rating ')}" if f.facts else f.name for f in fuses]
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
        return [named.rstrip(), _BAR]


@dataclass
class _Teller:
    """What the sheet says of one device, and what it does not."""

    design: Design
    unstated: list[Entry[Any]] = field(default_factory=list)

    def said(self, entry: Entry[Any]) -> str:
        """A value, or the mark of what is not stated."""
        value = self.design.get(entry)
        if value is None:
            self.unstated.append(entry)
            return UNSTATED
        if entry.path == Sheet.cable.area.path:
            return wiring.size_name(float(value))
        return entry.text(value)

    def fact(self, name: str, entry: Entry[Any]) -> str:
        """A value; what is stated speaks for itself, what is not needs its name beside the question mark."""
        said = self.said(entry)
        return f"{name} {said}" if said == UNSTATED else said

    def facts(self, **named: Entry[Any]) -> list[str]:
        """Several values."""
        return [self.fact(name.replace("_", " "), entry) for name, entry in named.items()]

    def device(
        self, kind: str, name: str, *facts: str, branch: bool = False, run: str = "", ahead: tuple[Device, ...] = ()
    ) -> Device:
        """The device of which all that was told."""
        some = tuple(f for f in facts if f)
        return Device(kind, name, some, branch, run, name.startswith("NO "), ahead, tuple(self.unstated))


def has_store(design: Design) -> bool:
    """Whether the sheet does not say that there is no battery."""
    return design.get(Sheet.storage.chemistry) != "none"


def _runs(design: Design, carries: str | None) -> list[str]:
    return [label for label in design.labels(Sheet.cable) if design.get(Sheet.cable.carries[label]) == carries]


def _cable(design: Design, label: str, wires: str) -> Device:
    t = _Teller(design)
    length, area = t.fact("length", Sheet.cable.length[label]), t.fact("size", Sheet.cable.area[label])
    metal = t.fact("metal", Sheet.cable.material[label])
    return t.device("cable", f"cable {label}", length, f"{wires} x {area}", metal, run=label)


def _fuse(design: Design, label: str, own: Entry[Any] | None = None) -> Device:
    """The fuse of a run; ``own`` is the input that states its rating where it is not the run's."""
    t = _Teller(design)
    rating = own or Sheet.cable.fuse[label]
    if design.get(Sheet.cable.fused[label]) is False:
        # A rating beside it does not make it a fuse.
        named = None if design.get(rating) is None else t.said(rating)
        told = f"by the sheet, which names one of {named} too" if named else ""
        return t.device("fuse", "NO FUSE", told, run=label)
    kept = t.said(rating) if own else t.fact("rating", rating)
    volts, breaks = t.said(Sheet.cable.fuse_voltage[label]), t.said(Sheet.cable.fuse_breaking[label])
    # Without a battery there is none from which it could be far.
    far = f"{t.said(Sheet.cable.fuse_distance[label])} from the battery" if has_store(design) else ""
    return t.device("fuse", "Fuse", kept, f"DC voltage {volts}", f"breaks {breaks}", far, run=label)


def _own_fuse(design: Design) -> Entry[Any] | None:
    return None if design.get(Sheet.inverter.fuse) is None else Sheet.inverter.fuse


def _fused(design: Design, label: str, own: Entry[Any] | None = None) -> tuple[Device, ...]:
    """The fuse of a run where one belongs: at a battery always, else where the sheet names one.

    A generator with magnets gives little more when it is shorted than when it works, and a fuse that blows unloads it.
    """
    named = (own or Sheet.cable.fuse[label], Sheet.cable.fuse_kind[label])
    stated = any(design.get(e) is not None for e in named) or design.get(Sheet.cable.fused[label])
    return (_fuse(design, label, own),) if has_store(design) or stated else ()


def _brake(design: Design) -> Device:
    t = _Teller(design)
    kind = t.said(Sheet.rotor.brake)
    if kind == SHORTING_SWITCH:
        facts = t.facts(place=Sheet.protection.brake_place, rating=Sheet.protection.brake_current)
        return t.device("brake", "Brake switch, shorts the leads", *facts, branch=True)
    return t.device("brake", "NO BRAKE" if kind == "none" else f"Brake: {kind}", branch=True)


def _dump(design: Design) -> Device:
    t = _Teller(design)
    if design.get(Sheet.dump.kind) in (None, "none"):
        name = "NO DUMP LOAD" if t.said(Sheet.dump.kind) == "none" else f"Dump load: {UNSTATED}"
        return t.device("dump", name, branch=True)
    facts = t.facts(power=Sheet.dump.power, resistance=Sheet.dump.resistance, kind=Sheet.dump.kind)
    run = next(iter(_runs(design, TO_DUMP)), "")
    return t.device("dump", "Dump load", *facts, branch=True, run=run, ahead=_fed_by(design, TO_DUMP))


def _fed_by(design: Design, carries: str) -> tuple[Device, ...]:
    """Fuse and cable, run by run."""
    runs = _runs(design, carries)
    return tuple(d for label in runs for d in (*_fused(design, label), _cable(design, label, "2")))


def straight_loads(design: Design, *, leads: bool) -> list[str]:
    """Labels of loads that no inverter feeds: on the generator's leads, or on direct current without a battery."""
    hung = [(label, design.get(Sheet.load.hangs_on[label])) for label in design.labels(Sheet.load)]
    if leads:
        return [label for label, on in hung if on == ON_LEADS]
    inverter = design.get(Sheet.inverter.power) is not None
    dc = Sheet.load.voltage, Sheet.load.voltage_max, Sheet.load.hangs_on
    return [label for label, on in hung if on != ON_LEADS
            and (not inverter or any(design.get(e[label]) is not None for e in dc))]  # fmt: skip


def _load(design: Design, label: str) -> Device:
    t = _Teller(design)
    facts = t.facts(kind=Sheet.load.kind[label], power=Sheet.load.power[label], voltage=Sheet.load.voltage[label])
    return replace(t.device("loads", f"Load {label}", *facts, branch=True), load=label)


def has_rectifier(design: Design) -> bool:
    """Whether anything needs direct current or names a rectifier; all loads may hang on the generator's own leads."""
    if has_store(design) or not straight_loads(design, leads=True):
        return True
    named = (Sheet.generator.rectifier_voltage, Sheet.generator.rectifier_current, Sheet.inverter.power)
    fed = straight_loads(design, leads=False) or _runs(design, AFTER_RECTIFIER) or _runs(design, TO_INVERTER)
    dumps = design.get(Sheet.dump.kind) not in (None, "none")
    return bool(fed) or dumps or any(design.get(e) is not None for e in named)


def _shaft(design: Design) -> Iterator[Device]:
    """The generator, what turns it and what makes its field."""
    drive = design.get(Sheet.generator.drive)
    if drive not in (None, DIRECT):
        t = _Teller(design)
        ratio = f"1 to {t.said(Sheet.generator.ratio)}"
        yield t.device("drive", f"Drive: {drive}", ratio,
                       *(t.facts(slips_at=Sheet.generator.belt_torque) if drive == BELT else []))  # fmt: skip
    if design.get(Sheet.generator.field) == COIL:
        t = _Teller(design)
        coil = t.facts(resistance=Sheet.generator.field_resistance, supply=Sheet.generator.field_supply)
        yield t.device("field", "Field coil, fed by the battery", *coil, branch=True)
    t = _Teller(design)
    facts = t.facts(winding=Sheet.generator.phases, speed_per_volt=Sheet.generator.emf_constant)
    yield t.device("generator", "Generator", *facts, f"rated {t.said(Sheet.generator.rated_current)}")


def _generator(design: Design) -> Iterator[Device]:
    yield from _shaft(design)
    phases = design.get(Sheet.generator.phases)
    wires = {"three-phase": "3", "single-phase": "2", "DC with brushes": "2"}.get(str(phases), UNSTATED)
    for label in _runs(design, BEFORE_RECTIFIER):
        yield _cable(design, label, wires)
    after = design.get(Sheet.protection.brake_place) == "after the rectifier"
    if not after:
        yield _brake(design)
    if rectified := has_rectifier(design):
        yield from (_load(design, label) for label in straight_loads(design, leads=True))
        t = _Teller(design)
        facts = t.facts(
            reverse_voltage=Sheet.generator.rectifier_voltage, rated_current=Sheet.generator.rectifier_current
        )
        yield t.device("rectifier", "Rectifier", *facts)
    if after:
        yield _brake(design)
    for label in _runs(design, AFTER_RECTIFIER):
        yield _cable(design, label, "2")
    yield from _switched(design)
    if not rectified:
        yield from (_load(design, label) for label in straight_loads(design, leads=True))


def _switched(design: Design) -> Iterator[Device]:
    """What the line passes before it comes to what it feeds."""
    kind = design.get(Sheet.converter.kind)
    if kind not in (None, NO_CONVERTER):
        t, low = _Teller(design), Sheet.converter.input_held if kind == HOLDING else Sheet.converter.input_lowest
        window = t.facts(input=low, up_to=Sheet.converter.input_highest, most=Sheet.converter.input_current)
        yield t.device("converter", f"{str(kind)[2].upper()}{str(kind)[3:]}", *window)
    t = _Teller(design)
    yield t.device("switch", "Generator switch", t.said(Sheet.protection.generator_switch))
    t = _Teller(design)
    if design.get(Sheet.protection.surge) == "none":
        yield t.device("surge", "NO SURGE ARRESTERS", branch=True)
    else:
        facts = t.facts(place=Sheet.protection.surge, voltage=Sheet.protection.surge_voltage)
        yield t.device("surge", "Surge arresters", *facts, branch=True)


def _main_fuse(design: Design) -> Device:
    t, kind = _Teller(design), design.get(Sheet.protection.main_fuse)
    if kind in (NO_MAIN_FUSE, FUSED_BY_RUN):
        own = "" if kind == NO_MAIN_FUSE else "each cable has its own at the battery"
        return t.device("main fuse", "NO MAIN FUSE", own)
    made, rating = t.said(Sheet.protection.main_fuse), t.fact("rating", Sheet.protection.main_fuse_rating)
    volts, breaks = t.said(Sheet.protection.main_fuse_voltage), t.said(Sheet.protection.main_fuse_breaking)
    return t.device("main fuse", "Main fuse", made, rating, f"DC voltage {volts}", f"breaks {breaks}")


def _battery(design: Design) -> Iterator[Device]:
    beside = design.get(Sheet.dump.place) != DUMP_PLACES[1]
    if beside:
        yield _dump(design)
    for label in _runs(design, AFTER_RECTIFIER):
        yield _fuse(design, label)
    t, switch = _Teller(design), design.get(Sheet.protection.battery_switch)
    name = "NO BATTERY SWITCH" if switch is False else "Battery switch"
    yield t.device("battery switch", name, "" if switch is not None else t.said(Sheet.protection.battery_switch))
    if not beside:
        yield _dump(design)
    yield _main_fuse(design)
    t = _Teller(design)
    facts = t.facts(kind=Sheet.storage.chemistry, voltage=Sheet.storage.voltage, capacity=Sheet.storage.capacity)
    yield t.device("battery", "Battery", *facts)


def _without_battery(design: Design) -> Iterator[Device]:
    """What hangs on the line where there is no battery."""
    inverter = design.get(Sheet.inverter.power) is not None or bool(_runs(design, TO_INVERTER))
    for label in _runs(design, AFTER_RECTIFIER):
        yield from _fused(design, label)
    loads, dumped = straight_loads(design, leads=False), design.get(Sheet.dump.kind)
    # Lamps and heaters need no dump load; an inverter stops when the grid fails, and the rotor then has none.
    if dumped not in (None, "none") or inverter:
        yield _dump(design)
    if _runs(design, TO_LOADS):
        yield _together(design, loads)
    else:
        yield from (_load(design, label) for label in loads)
    if has_rectifier(design) and not (loads or inverter or dumped not in (None, "none")):
        asked = (Sheet.load.power["heater"], Sheet.inverter.power)
        yield Device("fed", "What it feeds", (UNSTATED,), unstated=asked)


def _together(design: Design, labels: Iterable[str]) -> Device:
    """The loads of all runs to loads."""
    every = [_load(design, label) for label in labels]
    facts = ("; ".join(f"{d.load}: {', '.join(d.facts)}" for d in every),)
    run, unstated = _runs(design, TO_LOADS)[0], tuple(e for d in every for e in d.unstated)
    ahead = _fed_by(design, TO_LOADS)
    return Device("loads", "Loads on direct current", facts if every else (), True, run, False, ahead, unstated)


def _loads(design: Design) -> Iterator[Device]:
    stored = has_store(design)
    if stored and _runs(design, TO_LOADS):
        yield _together(design, ())
    runs = _runs(design, TO_INVERTER)
    inverter = design.get(Sheet.inverter.power) is not None or bool(runs)
    if inverter:
        yield from _inverter(design, runs)
    if stored or inverter or design.get(Sheet.house.feed) is not None:
        t = _Teller(design)
        yield t.device("house", "House", t.said(Sheet.house.feed))


def _inverter(design: Design, runs: list[str]) -> Iterator[Device]:
    """The inverter with what lies ahead of it and behind it."""
    stored = has_store(design)
    for label in runs:
        yield from _fused(design, label, _own_fuse(design))
        yield _cable(design, label, "2")
    if stored and not runs:
        t = _Teller(design)
        yield t.device("fuse", "Fuse", t.said(Sheet.inverter.fuse))
        yield Device("cable", "cable", (UNSTATED,), unstated=(Sheet.cable.carries["inverter"],))
    t = _Teller(design)
    facts = [t.fact("power", Sheet.inverter.power)]
    if not stored:
        facts.append(f"withstands {t.said(Sheet.inverter.input_voltage_max)}")
    if design.get(Sheet.house.feed) == BESIDE_GRID:
        facts.append(f"listed to feed the grid: {t.said(Sheet.inverter.grid_listed)}")
    yield t.device("inverter", "Inverter", *facts)
    # Joined to earth behind the device, the current of a fault would come back through it, and it would never trip.
    t = _Teller(design)
    yield t.device("neutral", "neutral", t.said(Sheet.house.neutral))
    t = _Teller(design)
    yield t.device("rcd", "30 mA residual-current device", t.said(Sheet.house.rcd))


def _mast_earth(design: Design) -> Device:
    t = _Teller(design)
    made, wire = t.said(Sheet.protection.mast_earth), t.said(Sheet.protection.earth_area)
    return t.device("earth", "Mast earth", made, f"wire {wire}")


def devices(design: Design) -> list[Device]:
    """Everything between generator and house, in order, and the mast's earth; what is not stated is ``?``.

    Without a battery what hangs on the line stands in its place: dump load, loads, inverter.
    """
    fed = _battery(design) if has_store(design) else _without_battery(design)
    return [*_generator(design), *fed, *_loads(design), _mast_earth(design)]


def unstated(every: Iterable[Device]) -> list[tuple[str, Entry[Any]]]:
    """What the sheet does not say of some devices and of those they hang on, once each, with the device's name."""
    found: dict[str, tuple[str, Entry[Any]]] = {}
    for device in every:
        for one in (*device.ahead, device):
            name = f"{one.name} of cable {one.run}" if one.kind == "fuse" and one.run else one.name
            for entry in one.unstated:
                found.setdefault(entry.full, (name.partition(":")[0], entry))
    return list(found.values())


def lines(design: Design, on: str = "") -> list[str]:
    r"""Draw the chain from generator to house.

    Parameters
    ----------
    design : Design
        The values on the sheet, all scalar.
    on : str
        The revision, to be named in the commands that enter what is missing; without it these are not told.

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
    *chain, earth = devices(design)
    told = [line for device in chain for line in device.lines]
    # Below the last one nothing goes on.
    drawn = [f"One-line diagram. What is not stated shows as {UNSTATED}", "", *told[:-1], *earth.lines]
    asked = unstated([*chain, earth]) if on else []
    if asked:
        drawn += ["", "Not on the sheet. Enter it with your own values in place of the examples:"]
        for name in dict.fromkeys(name for name, _ in asked):
            drawn += [f"  {name}:", *(f"    {enter(entry, on)}" for of, entry in asked if of == name)]
    return drawn


def enter(entry: Entry[Any], on: str) -> str:
    """The command that states an input."""
    return f'galebook set {entry.full} "{entry.example}" --on {on}'
