"""What a sheet needs: the things that are bought or made for it, with sizes, ratings, and mass and price where known.

Nothing is added to what the sheet says: no spare length, no spare fuse. What it does not say stands as a question.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from calc.cutting.nest import KERF, SEAM, shortest
from calc.cutting.packer import bolt_length, grip, packers
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import DIRECT
from calc.machine.catalogue.guys import NO_TURNBUCKLE
from calc.machine.catalogue.house import BESIDE_GRID, OWN_TRANSFER_SWITCH, TRANSFER_SWITCH
from calc.machine.catalogue.hub import TWO_PLATES
from calc.machine.catalogue.mast import ALUMINIUM, GUYED, STEEL_TUBE
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.catalogue.storage import NO_CONVERTER
from calc.machine.catalogue.wiring import (
    BEFORE_RECTIFIER,
    FUSED_BY_RUN,
    NO_MAIN_FUSE,
    POLARITIES,
    SURGE_PLACES,
)
from calc.machine.design import Design
from calc.machine.diagram import UNSTATED, has_store, straight_loads
from calc.machine.entry import Entry
from calc.machine.inputs import CannotTellError, Inputs
from calc.machine.measured_blade import cut_as_typed
from calc.physics import wiring
from calc.physics.metals import DENSITY
from calc.physics.structure.tube import STEEL
from calc.units import show, to_shown
from calc.wording import number_of

_WIRES = {"three-phase": 3, "single-phase": 2, "DC with brushes": 2}


@dataclass(frozen=True, slots=True)
class Rated:
    """One number that a thing must have.

    Parameters
    ----------
    what : str
        What it is the number of.
    value : float or None
        In ``unit``; None where the sheet does not say.
    unit, text : str
        The unit in which it is shown, and the number in words.
    least : bool
        Whether more will do as well.
    path : str
        Under which name the sheet says it; empty where it is computed.
    """

    what: str
    value: float | None
    unit: str
    text: str
    least: bool = False
    path: str = ""

    @property
    def called(self) -> str:
        """What it is the number of, in words."""
        return self.what or "rating"

    @property
    def says(self) -> str:
        """For people."""
        return f"{self.what} {self.text}".strip()


@dataclass(frozen=True, slots=True)
class Needed:
    """One line of what is to be bought or made.

    Parameters
    ----------
    kind, run, name : str
        What it is, by the word of the diagram where it has one; the cable run it belongs to; what it is called.
    count : float
        How many pieces.
    rated : tuple of Rated
        Sizes and ratings.
    words : tuple of str
        What else the sheet says of it.
    mass, mass_of : float or None, str
        In all, where it can be computed, and of what. [kg]
    price : float or None
        In all, in the money of the sheet.
    """

    kind: str
    name: str
    rated: tuple[Rated, ...] = ()
    words: tuple[str, ...] = ()
    run: str = ""
    count: float = 1.0
    mass: float | None = None
    mass_of: str = ""
    price: float | None = None

    @property
    def rated_without(self) -> tuple[Rated, ...]:
        """Ratings without which nobody knows what to buy."""
        return tuple(r for r in self.rated if r.value is None)

    @property
    def unsaid(self) -> tuple[str, ...]:
        """What these are called."""
        return tuple(r.called for r in self.rated_without)


def rated(design: Design, what: str, entry: Entry[Any], *, least: bool = False) -> Rated:
    """What the sheet states for an input as a rating."""
    value = design.get(entry)
    if value is None:
        return Rated(what, None, entry.shown, UNSTATED, least, entry.full)
    text = wiring.size_name(float(value)) if entry.path == Sheet.cable.area.path else entry.text(value)
    return Rated(what, float(to_shown(float(value), entry.shown)), entry.shown, text, least, entry.full)


def _length(what: str, metres: float | None) -> Rated:
    return Rated(what, metres, "m", UNSTATED if metres is None else show(metres, "m"), least=True)


def _said(design: Design, *entries: Entry[Any]) -> tuple[str, ...]:
    return tuple(str(design.get(entry)) for entry in entries if design.get(entry) is not None)


def needed(design: Design) -> list[Needed]:
    """All that the sheet names, from the rotor down to the house.

    Examples
    --------
    >>> from calc.machine.design import build_design
    >>> [n.name for n in needed(build_design({"inverter.power": 800.0}))]
    ['inverter']
    """
    chapters: tuple[Callable[[Design], Iterator[Needed]], ...] = (
        _rotor, _head, _mast, _generator_side, _runs, _battery_side, _straight, _house,
    )  # fmt: skip
    return [item for chapter in chapters for item in chapter(design)]


def _rotor(design: Design) -> Iterator[Needed]:
    B, D = design.get(Sheet.rotor.blades), design.get(Sheet.rotor.diameter)
    begins, material = design.get(Sheet.blade.root_radius), design.get(Sheet.blade.material)
    long = None if D is None else float(D) / 2.0 - float(begins or 0.0)
    count = 1.0 if B is None else float(B)
    if design.get(Sheet.blade.pipe_diameter) is not None and material in (None, "PVC-U pipe", "aluminium"):
        pipe = rated(design, "outside", Sheet.blade.pipe_diameter), rated(design, "wall", Sheet.blade.pipe_wall)
        whole = _length("length", _pipe_length(design, count))
        told = f"for {number_of(count, 'blade')}; how they lie on it: galebook draw blade"
        yield Needed("blades", "pipe for the blades", (*pipe, whole), (*_said(design, Sheet.blade.material), told))
    elif material is not None:
        mass = design.get(Sheet.blade.mass)
        yield Needed("blades", "blades", (_length("length", long),), (material,), count=count,
                     mass=None if mass is None else float(mass) * count)  # fmt: skip
    bolts = design.get(Sheet.hub.bolts)
    if bolts is not None:
        size = rated(design, "", Sheet.hub.bolt_diameter), *_bolt_length(design)
        yield Needed("bolts", "bolts of the blades", size,
                     _said(design, Sheet.hub.bolt_class), count=float(bolts) * count)  # fmt: skip
    if design.get(Sheet.hub.plate_thickness) is not None:
        plates = 2.0 if design.get(Sheet.hub.held) == TWO_PLATES else 1.0
        name = "hub plate" if plates == 1.0 else "hub plates"
        yield Needed("plate", name, (rated(design, "thickness", Sheet.hub.plate_thickness, least=True),),
                     count=plates)  # fmt: skip
        if _bolt_length(design):
            yield Needed("packers", "packers of the roots, to be made", (), ("drawn by galebook draw hub",),
                         count=2.0 * count)  # fmt: skip


def _bolt_length(design: Design) -> tuple[Rated, ...]:
    """How long the bolts must be that hold a root cut from pipe with its packers; nothing where that is not told."""
    B, H = Sheet.blade, Sheet.hub
    told = [design.get(e) for e in (B.pipe_diameter, B.pipe_wall, H.plate_width, H.plate_thickness, H.bolt_diameter)]
    if design.get(B.material) not in (None, "PVC-U pipe", "aluminium") or any(value is None for value in told):
        return ()
    D, t, width, plate, d = (float(value) for value in told if value is not None)
    try:
        held = grip(packers(D, t, width), t, plate, 2 if design.get(H.held) == TWO_PLATES else 1)
    except ValueError:
        return ()
    return (Rated("length", bolt_length(held, d) * 1e3, "mm", show(bolt_length(held, d), "mm"), least=True),)


def _pipe_length(design: Design, count: float) -> float | None:
    """The shortest pipe sold from which so many blades can be cut, in [m]; None where that cannot be told."""
    try:
        cut = cut_as_typed(Inputs(design, None, {}))
        return None if cut is None else shortest(cut, int(count), KERF, SEAM)
    except (ValueError, CannotTellError):
        return None


def _head(design: Design) -> Iterator[Needed]:
    if design.get(Sheet.generator.emf_constant) is not None:
        ratings = (
            rated(design, "speed per volt", Sheet.generator.emf_constant),
            rated(design, "resistance between leads", Sheet.generator.winding_resistance),
            rated(design, "current", Sheet.generator.rated_current, least=True),
        )
        yield Needed("generator", "generator", ratings, _said(design, Sheet.generator.phases))
    drive = design.get(Sheet.generator.drive)
    if drive not in (None, DIRECT):
        yield Needed("drive", f"drive: {drive}", (rated(design, "ratio 1 to", Sheet.generator.ratio),))
    if design.get(Sheet.tail.area) is not None:
        vane = rated(design, "area", Sheet.tail.area), rated(design, "thickness", Sheet.tail.vane_thickness)
        yield Needed("tail", "vane of the tail", vane, _said(design, Sheet.tail.vane_material))
    if design.get(Sheet.tail.boom_diameter) is not None:
        boom = rated(design, "outside", Sheet.tail.boom_diameter), rated(design, "wall", Sheet.tail.boom_wall)
        yield Needed("boom", "boom of the tail", (*boom, _length("length", _boom_length(design))),
                     ("what the hinge takes comes on top", *_said(design, Sheet.tail.boom_material)))  # fmt: skip
    if design.get(Sheet.yaw.bearing_rating) is not None:
        yield Needed("yaw bearing", "bearings of the yaw axis",
                     (rated(design, "static load", Sheet.yaw.bearing_rating, least=True),))  # fmt: skip


def _boom_length(design: Design) -> float | None:
    """From the hinge to the far end of the vane, in [m]; a vane of unstated height is as high as it is long."""
    arm, area, height = (design.get(e) for e in (Sheet.tail.arm, Sheet.tail.area, Sheet.tail.vane_height))
    if arm is None or area is None:
        return None
    return float(arm) + float(area) / (2.0 * (math.sqrt(float(area)) if height is None else float(height)))


def _mast(design: Design) -> Iterator[Needed]:
    if design.get(Sheet.mast.tube_diameter) is not None:
        top, foot = design.get(Sheet.mast.height), design.get(Sheet.mast.foot_height)
        long = None if top is None else float(top) - float(foot or 0.0)
        tube = rated(design, "outside", Sheet.mast.tube_diameter), rated(design, "wall", Sheet.mast.tube_wall)
        metal = design.get(Sheet.mast.material) or STEEL_TUBE
        yield Needed("mast", "tube of the mast", (*tube, _length("length", long)), (metal,),
                     mass=_tube_mass(design, metal, long), mass_of="tube alone")  # fmt: skip
    if design.get(Sheet.mast.kind) == GUYED or design.labels(Sheet.guy):
        for label in design.labels(Sheet.guy):
            yield from _guys(design, label)
    if design.get(Sheet.gin.tube_diameter) is not None:
        gin = rated(design, "outside", Sheet.gin.tube_diameter), rated(design, "wall", Sheet.gin.tube_wall)
        yield Needed("gin pole", "gin pole", (*gin, rated(design, "length", Sheet.gin.length, least=True)))


def _tube_mass(design: Design, metal: str, long: float | None) -> float | None:
    D, t = design.get(Sheet.mast.tube_diameter), design.get(Sheet.mast.tube_wall)
    density = {STEEL_TUBE: STEEL, ALUMINIUM: DENSITY["aluminium"]}.get(metal)
    if D is None or t is None or long is None or density is None:
        return None
    return density * math.pi * (float(D) - float(t)) * float(t) * long


def _guys(design: Design, label: str) -> Iterator[Needed]:
    """Ropes of one level with their ends; the ropes are measured straight from mast to anchor."""
    G = Sheet.guy
    h, r, n = design.get(G.height[label]), design.get(G.anchor_radius[label]), design.get(G.ropes[label])
    ropes = 1.0 if n is None else float(n)
    straight = None if h is None or r is None else math.hypot(float(h), float(r))
    told = "straight; what the ends take comes on top", *_said(design, G.rope[label])
    size = rated(design, "", G.rope_diameter[label]), _length("length", straight)
    yield Needed("guy rope", f"ropes of the guys {label}", size, told, count=ropes)
    clips = design.get(G.clips[label])
    if clips:
        yield Needed("clips", f"clips of the guys {label}", (rated(design, "for rope", G.rope_diameter[label]),),
                     _said(design, G.clip_kind[label]), count=2.0 * float(clips) * ropes)  # fmt: skip
    if design.get(G.turnbuckle[label]) not in (None, NO_TURNBUCKLE):
        yield Needed("turnbuckle", f"turnbuckles of the guys {label}", (rated(design, "", G.turnbuckle_size[label]),),
                     _said(design, G.turnbuckle[label]), count=ropes)  # fmt: skip


def _generator_side(design: Design) -> Iterator[Needed]:
    G, P = Sheet.generator, Sheet.protection
    if design.get(Sheet.rotor.brake) == SHORTING_SWITCH:
        yield Needed("brake", "brake switch", (rated(design, "", P.brake_current, least=True),),
                     ("shorts all leads of the generator", *_said(design, P.brake_place)))  # fmt: skip
    if design.get(G.rectifier_voltage) is not None or design.get(G.rectifier_current) is not None:
        ratings = (rated(design, "reverse voltage", G.rectifier_voltage, least=True),
                   rated(design, "", G.rectifier_current, least=True))  # fmt: skip
        yield Needed("rectifier", "rectifier", ratings, _said(design, G.phases))
    kind = design.get(Sheet.converter.kind)
    if kind not in (None, NO_CONVERTER):
        ratings = (rated(design, "input up to", Sheet.converter.input_highest, least=True),
                   rated(design, "input", Sheet.converter.input_current, least=True))  # fmt: skip
        yield Needed("converter", "converter", ratings, (str(kind),))
    switch = design.get(P.generator_switch)
    if switch not in (None, "none"):
        yield Needed("switch", "generator switch", (), (str(switch), "for DC of the full voltage and current"))
    surge = design.get(P.surge)
    if surge not in (None, SURGE_PLACES[0]):
        yield Needed("surge", "surge arresters", (rated(design, "", P.surge_voltage),), (str(surge),),
                     count=2.0 if surge == SURGE_PLACES[2] else 1.0)  # fmt: skip


def _runs(design: Design) -> Iterator[Needed]:
    C = Sheet.cable
    for label in design.labels(C):
        before = design.get(C.carries[label]) == BEFORE_RECTIFIER
        wires = _WIRES.get(str(design.get(Sheet.generator.phases))) if before else 2
        long, area = design.get(C.length[label]), design.get(C.area[label])
        metal = design.get(C.material[label]) or "copper"
        mass = price = None
        if long is not None and area is not None and wires is not None:
            mass = DENSITY[metal] * float(area) * float(long) * wires
        if long is not None and (each := design.get(C.price[label])) is not None:
            price = float(each) * float(long)
        told = f"{UNSTATED if wires is None else wires} conductors", metal
        ratings = rated(design, "length", C.length[label], least=True), rated(design, "", C.area[label])
        yield Needed("cable", f"cable {label}", ratings, (*told, *_said(design, C.insulation[label], C.strands[label])),
                     run=label, mass=mass, mass_of="conductors alone", price=price)  # fmt: skip
        own = Sheet.inverter.fuse if design.get(C.fuse[label]) is None and design.get(C.carries[label]) == \
            "battery to inverter" else C.fuse[label]  # fmt: skip
        if design.get(C.fused[label]) is not False and (design.get(own) is not None or design.get(C.fused[label])):
            fuse = (rated(design, "", own), rated(design, "DC voltage", C.fuse_voltage[label], least=True),
                    rated(design, "breaks", C.fuse_breaking[label], least=True))  # fmt: skip
            yield Needed("fuse", f"fuse of cable {label}, with holder", fuse, _said(design, C.fuse_kind[label]),
                         run=label)  # fmt: skip


def _battery_side(design: Design) -> Iterator[Needed]:
    P, S = Sheet.protection, Sheet.storage
    main = design.get(P.main_fuse)
    if main not in (None, NO_MAIN_FUSE, FUSED_BY_RUN):
        fuse = (rated(design, "", P.main_fuse_rating), rated(design, "DC voltage", P.main_fuse_voltage, least=True),
                rated(design, "breaks", P.main_fuse_breaking, least=True))  # fmt: skip
        yield Needed("main fuse", "main fuse, with holder", fuse, (str(main),))
    if design.get(P.battery_switch):
        yield Needed("battery switch", "battery switch", (rated(design, "DC voltage", S.charge_voltage, least=True),),
                     ("for the greatest current of all cables on it", "opened only once the rotor stands still: "
                      "before, more than the battery's voltage can come across it"))  # fmt: skip
    if design.get(S.chemistry) not in (None, "none"):
        strings = design.get(S.strings)
        bank = rated(design, "", S.voltage), rated(design, "", S.capacity, least=True)
        told = () if strings is None else (f"in {number_of(float(strings), 'string')}",)
        yield Needed("battery", "battery", bank, (*_said(design, S.chemistry), *told))
    if design.get(Sheet.dump.kind) not in (None, "none"):
        load = (rated(design, "power", Sheet.dump.power, least=True),
                rated(design, "resistance", Sheet.dump.resistance),
                rated(design, "made for", Sheet.dump.voltage, least=True))  # fmt: skip
        yield Needed("dump", "dump load", load, _said(design, Sheet.dump.mounted))
        if design.get(Sheet.dump.kind) != "always connected":
            control = (rated(design, "", Sheet.dump.controller_current, least=True),
                       rated(design, "withstands", Sheet.dump.controller_voltage, least=True))  # fmt: skip
            yield Needed("controller", "what switches the dump load", control, _said(design, Sheet.dump.kind))
    if design.get(P.polarity) == POLARITIES[1]:
        yield Needed("connectors", "battery connectors that fit one way only")


def _straight(design: Design) -> Iterator[Needed]:
    """Loads that hang on the machine itself: without a battery they are what holds the rotor, or lie ahead of it."""
    L = Sheet.load
    for label in (*straight_loads(design, leads=True),
                  *(() if has_store(design) else straight_loads(design, leads=False))):  # fmt: skip
        made = rated(design, "power", L.power[label], least=True), rated(design, "made for", L.voltage[label])
        told = _said(design, L.kind[label], L.hangs_on[label])
        yield Needed("loads", f"load {label}", made, told)


def _house(design: Design) -> Iterator[Needed]:
    P = Sheet.protection
    if str(design.get(P.mast_earth)).startswith("earth electrode"):
        yield Needed("earth", "earth electrode of the mast, with its wire", (rated(design, "wire", P.earth_area),))
    if design.get(Sheet.inverter.power) is not None:
        told = _said(design, Sheet.inverter.wave)
        words = tuple(f"{word} wave" for word in told)
        # Without a battery it is fed by what the wind gives, and must withstand the most of it.
        fed = rated(design, "from", Sheet.storage.voltage)
        if not has_store(design):
            fed = rated(design, "withstands", Sheet.inverter.input_voltage_max, least=True)
        if design.get(Sheet.house.feed) == BESIDE_GRID:
            words = (*words, "listed to feed the grid, stops by itself when the grid fails")
        start = () if design.get(Sheet.inverter.surge_power) is None else (
            rated(design, "for seconds", Sheet.inverter.surge_power, least=True),)  # fmt: skip
        yield Needed("inverter", "inverter", (rated(design, "", Sheet.inverter.power, least=True), fed, *start), words)
    if design.get(Sheet.house.rcd):
        yield Needed("rcd", "residual-current device of 30 mA")
    feed = design.get(Sheet.house.feed)
    if feed in (TRANSFER_SWITCH, OWN_TRANSFER_SWITCH):
        by = "by a licensed electrician, who brings it" if feed == TRANSFER_SWITCH else "by the builder: see the checks"
        yield Needed(
            "house", "transfer switch, fitted", (rated(design, "for", Sheet.inverter.power, least=True),), (by,)
        )
