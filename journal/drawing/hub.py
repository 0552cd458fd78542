"""The hub: its plates with the pattern of holes, and the packers that bring the round root onto flat plates."""

from __future__ import annotations

import math

import numpy as np

from calc.cutting.blade import Template
from calc.cutting.hub import EDGE, FILLET, PITCH, HubPlate, hold_apart, plate
from calc.cutting.packer import BEYOND, THINNEST, Packers, bolt_length, grip, packers
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.hub import TWO_PLATES, WASHERS
from calc.wording import number_of
from journal.drawing.letters import width_of
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Point, Words, arc, box, cross, extent, moved
from journal.drawing.subject import (
    BOLTS,
    CLOCKWISE,
    Drilled,
    Subject,
    checks_note,
    drilled_of,
    hold_stated,
    mm,
    possible,
    template_of,
)

_TEXT = 2.6
#: How far the circle of a bolt is drawn to each side of it. [degrees]
_SWEEP = 9.0


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """The plate and its packers at true size."""
    hold_stated(of, *BOLTS, Sheet.hub.plate_width, Sheet.hub.shaft_diameter, Sheet.rotor.blades)
    cut = template_of(of)
    drill = drilled_of(of, cut)
    shaft, width = float(of.x.hub.shaft_diameter), float(of.x.hub.plate_width)
    made = possible(
        of,
        "The hub plate",
        "hub.plate_width, hub.bolt_spacing, hub.end_distance or blade.root_radius",
        lambda: plate(of.blades, drill.holes.y, drill.hole, width, shaft),
    )
    begun = float(cut.at([cut.r_root]).outside[0])
    possible(
        of,
        "The hub",
        "rotor.blades, blade.root_radius, hub.plate_width or hub.shaft_diameter",
        lambda: hold_apart(of.blades, begun, cut.r_root, width, shaft),
    )
    return (
        Drawing(f"Hub plate, {of.title}", _notes(of, made, drill), _parts(made, shaft), name=f"hub-{of.ref}"),
        _packing(of, cut, made, drill),
    )


def _parts(made: HubPlate, shaft: float) -> tuple[Part, ...]:
    parts: list[Part] = [Line(tuple((x * 1e3, y * 1e3) for x, y in made.outline), closed=True)]
    parts += [*cross((0.0, 0.0), shaft * 800.0 + 6.0), Circle((0.0, 0.0), shaft * 500.0, Pen.FOLD)]
    # On the first arm, which always leads straight up; to the side or below there may be no plate.
    parts.append(Words((0.0, shaft * 800.0 + 8.5), f"shaft {mm(shaft, 0)}", _TEXT, anchor="middle"))
    for blade in range(made.blades):
        middle = 90.0 + 360.0 * blade / made.blades
        parts += [arc((0.0, 0.0), r * 1e3, middle - _SWEEP, middle + _SWEEP, Pen.CENTRE) for r in made.radii]
    per_blade = len(made.radii)
    for i, (x, y) in enumerate(made.holes * 1e3):
        parts += [Circle((x, y), made.hole * 500.0), *cross((x, y), made.hole * 750.0)]
        parts.append(Circle((x, y), EDGE * made.hole * 1e3, Pen.THIN))
        blade, radius = _numbered(i // per_blade, made.blades), made.radii[i % per_blade]
        name = f"{blade}.{i % per_blade + 1}" + (f", {mm(radius)}" if blade == 1 else "")
        parts.append(_name_at((float(x), float(y)), made, name))
    for x, y in made.corners * 1e3:
        parts += [Circle((x, y), FILLET * 1e3, Pen.FOLD), *cross((x, y), FILLET * 1300.0, Pen.MARK)]
    for blade in range(made.blades):
        x, y = made.holes[blade * per_blade] * 1e3
        parts.append(Words((x * 0.62, y * 0.62), f"blade {_numbered(blade, made.blades)}", 3.5, anchor="middle"))
    return tuple(parts)


def _numbered(arm: int, blades: int) -> int:
    """Number of an arm, the arms counted against the clock: with the clock, as the places of the balance sheet are."""
    return (-arm) % blades + 1


def _name_at(hole: Point, made: HubPlate, name: str) -> Words:
    """The name of a hole: clear of its circle, on the plate where there is room, else beside an upright arm."""
    x, y = hole
    clear, half = EDGE * made.hole * 1e3 + 1.0, made.width * 500.0
    if abs(x) < half:
        beside = x + clear
        return Words((beside if beside + width_of(name, _TEXT) < half else half + 1.5, y + 1.2), name, _TEXT)
    # Towards the shaft there is always plate; up or down, away from the next hole inwards.
    up = 1.2 if y > 0 else -_TEXT
    return Words((x - math.copysign(clear, x), y + up), name, _TEXT, anchor="end" if x > 0 else "start")


def _plates_told(of: Subject) -> str:
    """How many plates, of what, and where they sit."""
    thick = of.x.maybe(Sheet.hub.plate_thickness)
    plate = "" if thick is None else f" of {mm(float(thick), 0)} plate"
    told = f"Make one{plate}; the blades lie on it, before it as the wind comes, on packers."
    if of.x.maybe(Sheet.hub.held) == TWO_PLATES:
        told = f"Make two{plate}, one before and one behind the blades, drilled together; packers lie between."
    if not plate:
        return told
    return f"{told} That is the sheet's plate: galebook buy {of.ref} tells if a thicker one is asked for."


def _notes(of: Subject, made: HubPlate, drill: Drilled) -> tuple[str, ...]:
    x = of.x
    held = x.maybe(Sheet.hub.held)
    washers = " Washers alone let the blades work and crack: see hub.bolts." if held == WASHERS else ""
    radii = ", ".join(mm(r) for r in made.radii)
    wide, high = (float(np.ptp(made.outline[:, n])) for n in (0, 1))
    notes = (
        checks_note(of, ("hub.",), "DO NOT MAKE IT YET"),
        "HOLLOW SIDE OF THE BLADES TO THE WIND. The root is round and the plate is flat: without the packers of the "
        "next drawing it touches along one line, rocks, and the bolts crush it.",
        f"{_plates_told(of)} Each takes a piece of {mm(wide, 0)} x {mm(high, 0)}.{washers} "
        f"{number_of(made.blades, 'blade')}, "
        f"{number_of(len(made.radii), 'hole')} each of {mm(made.hole)} for bolts of "
        f"{mm(drill.bolt, 0)}, {radii} from the middle of the shaft. The holes in the blades are those of: galebook "
        "draw "
        f"blade {of.ref}.",
        "Glue the paper on, punch every cross, drill 3 mm first. Check before you drill: from the outermost hole of "
        "one "
        f"blade to that of the next it is {mm(made.across)}, between every two. A pattern that is out by 1 mm throws "
        "the rotor out of balance. Blades are numbered as the places on galebook draw balance, seen from the wind.",
        *_edges(made, drill),
        f"Saw the arms only after drilling holes of {mm(2 * FILLET, 0)} at the crosses in the inner corners, if any: a "
        "sharp corner cracks. "
        "How the plate sits on the shaft or on the generator's flange is not on the sheet: mark those holes from the "
        "part "
        "itself, in the middle. Round and smooth every edge that meets the plastic.",
        f"Shape only. Not checked here: whether bolts, plate and shaft hold (galebook check {of.ref} tells of "
        "hub.bolts, "
        "hub.plate and hub.shaft), nor the seat on the shaft. A hub that lets go throws a blade: where you are not "
        "sure "
        "of your welds and threads, have it made in a workshop.",
    )
    return tuple(filter(None, notes))


def _edges(made: HubPlate, drill: Drilled) -> tuple[str, str]:
    """How far the holes are from the edges of the plate, and from those of the blade."""
    return (
        f"Edges of the plate: the circle around each hole must lie inside the outline and clear of the next hole's rim "
        f"({EDGE:g} times the hole to an edge, {PITCH:g} times from hole to hole; EN 1993-1-8, Table 3.3, from "
        "memory). "
        f"Here an arm is {mm(made.width, 0)} wide and ends {mm(made.reach - made.radii[-1], 0)} beyond its last hole.",
        f"Edges of the blade: {mm(drill.holes.end)} from its end, where the rule of the bolts asks {mm(drill.end, 0)}; "
        f"{mm(drill.holes.side)} from its nearer edge, where it asks {mm(drill.side, 0)}.",
    )


# --- packers ----------------------------------------------------------------------------------------------------------

#: Between two views on the sheet of the packers; how large that one is drawn that shows all of it together. [mm]
_BETWEEN, _SMALLER = 8.0, 0.5


def _packing(of: Subject, cut: Template, made: HubPlate, drill: Drilled) -> Drawing:
    """The saddle behind the blade and the half-moon in its hollow, as sections, and both from above."""
    blocks = packers(cut.D, cut.t, made.width)
    length = made.reach - cut.r_root
    wide = blocks.width * 1e3
    parts: list[Part] = []
    y = 0.0
    for name, section, thick, radius in (
        ("saddle, BEHIND the blade", blocks.saddle, blocks.behind, blocks.outer),
        ("half-moon, IN ITS HOLLOW", blocks.half_moon, blocks.before, blocks.inner),
    ):
        high = float(section[:, 1].max()) * 1e3
        y -= high
        parts.append(Line(tuple((float(a) * 1e3, float(b) * 1e3 + y) for a, b in section), closed=True))
        parts.append(Line(((0.0, y - 2.0), (0.0, y + high + 2.0)), pen=Pen.CENTRE))
        parts.append(Words((-wide / 2, y - 6.5), name, _TEXT))
        parts.append(Words((-wide / 2, y - 10.5), f"radius {mm(radius)}, {mm(thick)} at the bolts", _TEXT))
        y -= 10.5 + _BETWEEN
    whole = moved(_together(of, cut, blocks, made.width), (0.0, y), _SMALLER)
    parts += whole
    y = min(p[1] for part in whole for p in extent(part))
    # What stands below the sections may be wider than they are.
    column = max(part.at[0] + width_of(part.text, _TEXT) for part in parts if isinstance(part, Words))
    column = max(column, max(p[0] for part in parts for p in extent(part) if not isinstance(part, Words)))
    parts += _from_above(blocks, length, cut, drill, (column + _BETWEEN + wide / 2, 0.0))
    parts += [Words((-wide / 2, y - 5.0 - n * 4.0), text, _TEXT) for n, text in enumerate(
        ("together, half as large, seen from", "the tip; the wind comes from above"), 0)]  # fmt: skip
    notes = _packing_notes(of, cut, blocks, drill, length)
    return Drawing(f"Packers of the hub, {of.title}", notes, tuple(parts), name=f"packers-{of.ref}")


def _from_above(blocks: Packers, length: float, cut: Template, drill: Drilled, at: Point) -> list[Part]:
    """The outline that both have, with the holes of one blade; the shaft lies below."""
    x, top = at
    half, low = blocks.width * 500.0, top - length * 1e3
    parts: list[Part] = [box(x - half, low, 2 * half, length * 1e3, Pen.CUT)]
    parts.append(Line(((x, low - 2.0), (x, top + 2.0)), pen=Pen.CENTRE))
    for y in drill.holes.y:
        hole = (x, low + (y - cut.r_root) * 1e3)
        parts += [Circle(hole, drill.hole * 500.0), *cross(hole, drill.hole * 750.0)]
    told = "both from above,", f"{mm(length, 0)} x {mm(blocks.width, 0)}", "this end to the shaft"
    return [*parts, *(Words((x - half, low - 6.5 - n * 4.0), text, _TEXT) for n, text in enumerate(told))]


def _together(of: Subject, cut: Template, blocks: Packers, wide: float) -> list[Part]:
    """How all lie on each other, seen along the blade from its tip, below nought; to look at, not to cut."""
    thick = float(of.x.maybe(Sheet.hub.plate_thickness) or 0.0) * 1e3
    two = of.x.maybe(Sheet.hub.held) == TWO_PLATES
    half, high = wide * 500.0, (blocks.behind + cut.t + blocks.before) * 1e3
    # Turning clockwise as the wind sees it, the leading edge is on the left of who looks from the tip, the wind above.
    side = -1.0 if of.turns == CLOCKWISE else 1.0
    ends = cut.at([cut.r_root])
    trail, lead = (math.degrees(float(e[0]) / blocks.outer) * side for e in (ends.trailing, ends.leading))
    outer, inner = blocks.outer * 1e3, blocks.inner * 1e3
    middle = (0.0, blocks.behind * 1e3 + outer)
    shell = arc(middle, outer, 270.0 + trail, 270.0 + lead).points
    bore = arc(middle, inner, 270.0 + lead, 270.0 + trail).points
    parts: list[Part] = [Line((*shell, *bore), closed=True, pen=Pen.MARK)]
    for section, foot, way in ((blocks.saddle, 0.0, 1.0), (blocks.half_moon, high, -1.0)):
        points = tuple((float(a) * 1e3, foot + way * float(b) * 1e3) for a, b in section)
        parts.append(Line(points, closed=True, pen=Pen.THIN))
    if thick:
        parts += [box(-half, low, 2 * half, thick, Pen.THIN) for low in ((-thick, high) if two else (-thick,))]
    parts.append(Line(((0.0, -thick - 8.0), (0.0, high + thick + 8.0)), pen=Pen.CENTRE))
    # Its top lies at nought, its left below the left of what is above.
    left, top = min(-half, *(p[0] for p in shell)), max(high + thick + 8.0, *(p[1] for p in shell))
    return list(moved(parts, (-left - blocks.width * 500.0 / _SMALLER, -top)))


def _packing_notes(of: Subject, cut: Template, blocks: Packers, drill: Drilled, length: float) -> tuple[str, ...]:
    thick = of.x.maybe(Sheet.hub.plate_thickness)
    plates = 2 if of.x.maybe(Sheet.hub.held) == TWO_PLATES else 1
    bolts = "How long the bolts must be is not known: the sheet does not say hub.plate_thickness."
    if thick is not None:
        held = grip(blocks, cut.t, float(thick), plates)
        plate_told = f"the plate of {mm(float(thick), 0)}" if plates == 1 else f"both plates of {mm(float(thick), 0)}"
        bolts = (
            f"The bolts hold {mm(held, 0)} together, {plate_told} among it, as on the sheet: "
            f"{mm(bolt_length(held, drill.bolt), 0)} long or more, {BEYOND:g} diameters of them for washers, nut and "
            f"threads. Thicker plates or packers take longer ones: galebook buy {of.ref} has those for the plate "
            "that the checks ask for."
        )
    one = "" if plates == 2 else " With one plate the half-moon takes the washers."
    thickest = max(float(blocks.saddle[:, 1].max()), float(blocks.half_moon[:, 1].max()))
    return (
        f"Make {of.blades} of each, from blocks of {mm(length, 0)} x {mm(blocks.width, 0)}, {mm(thickest)} thick or "
        f"more, of hardwood or plywood, sealed against rain, or cast (common practice, no source). "
        f"A root of {mm(cut.D, 0)} pipe stands {mm(blocks.gap)} off a flat plate at the edges of a packer: the saddle "
        f"fills that behind the blade, the half-moon fills the hollow before it.{one}",
        f"Cut both {mm(length, 0)} long, along the blade, to the section drawn; try them on your own pipe with chalk "
        f"and file until they bear all over. They may be thicker, all alike, but no thinner than {mm(THINNEST, 0)}. "
        "Drill them together with the blade.",
        f"{bolts} Tighten evenly; look again after the first day and each storm: wood and plastic give way, and bolts "
        "come loose.",
        "Shape only. Not checked here: whether packers and bolts hold; the sums take the root as held flat and firm "
        f"(galebook check {of.ref} tells of hub.bolts and hub.plate).",
    )
