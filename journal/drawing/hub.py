"""The hub: its plates with the pattern of holes, and how far these are from every edge."""

from __future__ import annotations

from calc.cutting.hub import EDGE, PITCH, HubPlate, plate
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.hub import TWO_PLATES, WASHERS
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Words, arc, cross
from journal.drawing.subject import BOLTS, Drilled, Subject, drilled_of, hold_stated, mm, possible, template_of

_TEXT = 2.6
#: How far the circle of a bolt is drawn to each side of it. [degrees]
_SWEEP = 9.0


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """The plate at true size."""
    hold_stated(of, *BOLTS, Sheet.hub.plate_width, Sheet.hub.shaft_diameter, Sheet.rotor.blades)
    drill = drilled_of(of, template_of(of))
    shaft, width = float(of.x.hub.shaft_diameter), float(of.x.hub.plate_width)
    made = possible(
        of,
        "The hub plate",
        "hub.plate_width, hub.bolt_spacing, hub.end_distance or blade.root_radius",
        lambda: plate(of.blades, drill.holes.y, drill.hole, width, shaft),
    )
    return (Drawing(f"Hub plate, {of.title}", _notes(of, made, drill), _parts(made, shaft), name=f"hub-{of.ref}"),)


def _parts(made: HubPlate, shaft: float) -> tuple[Part, ...]:
    parts: list[Part] = [Line(tuple((x * 1e3, y * 1e3) for x, y in made.outline), closed=True)]
    parts += [*cross((0.0, 0.0), shaft * 800.0 + 6.0), Circle((0.0, 0.0), shaft * 500.0, Pen.FOLD)]
    parts.append(Words((2.0, -shaft * 800.0 - 11.0), f"shaft {mm(shaft, 0)}", _TEXT))
    for blade in range(made.blades):
        middle = 90.0 + 360.0 * blade / made.blades
        parts += [arc((0.0, 0.0), r * 1e3, middle - _SWEEP, middle + _SWEEP, Pen.CENTRE) for r in made.radii]
    per_blade = len(made.radii)
    for i, (x, y) in enumerate(made.holes * 1e3):
        parts += [Circle((x, y), made.hole * 500.0), *cross((x, y), made.hole * 750.0)]
        parts.append(Circle((x, y), EDGE * made.hole * 1e3, Pen.THIN))
        blade, radius = i // per_blade + 1, made.radii[i % per_blade]
        name = f"{blade}.{i % per_blade + 1}" + (f", {mm(radius)}" if blade == 1 else "")
        parts.append(Words((x + made.hole * 850.0, y + 3.0), name, _TEXT))
    for blade in range(made.blades):
        x, y = made.holes[blade * per_blade] * 1e3
        parts.append(Words((x * 0.62, y * 0.62), f"blade {blade + 1}", 3.5, anchor="middle"))
    return tuple(parts)


def _notes(of: Subject, made: HubPlate, drill: Drilled) -> tuple[str, ...]:
    x = of.x
    held = x.maybe(Sheet.hub.held)
    thick = x.maybe(Sheet.hub.plate_thickness)
    of_plate = "" if thick is None else f" of {mm(float(thick), 0)} plate"
    many = f"Make one{of_plate}; the blades lie flat on it"
    if held == TWO_PLATES:
        many = f"Make two{of_plate}, one before and one behind the blades, drilled together"
    washers = " Washers alone let the blades work and crack: see hub.bolts." if held == WASHERS else ""
    radii = ", ".join(mm(r) for r in made.radii)
    return (
        f"{many}.{washers} {made.blades} blades, {len(made.radii)} holes each of {mm(made.hole)} for bolts of "
        f"{mm(drill.bolt, 0)}, {radii} from the middle of the shaft. The holes in the blades are those of: galebook "
        "draw "
        f"blade {of.ref}.",
        "Glue the paper on, punch every cross, drill 3 mm first. Check before you drill: from the outermost hole of "
        "one "
        f"blade to that of the next it is {mm(made.across)}, between every two. A pattern that is out by 1 mm throws "
        "the rotor out of balance.",
        f"Edges of the plate: the circle around each hole must lie inside the outline and clear of the next hole's rim "
        f"({EDGE:g} times the hole to an edge, {PITCH:g} times from hole to hole; EN 1993-1-8, Table 3.3, from "
        "memory). "
        f"Here an arm is {mm(made.width, 0)} wide and ends {mm(made.reach - made.radii[-1], 0)} beyond its last hole.",
        f"Edges of the blade: {mm(drill.holes.end)} from its end, where the rule of the bolts asks {mm(drill.end, 0)}; "
        f"{mm(drill.holes.side)} from its nearer edge, where it asks {mm(drill.side, 0)}.",
        "Saw the arms only after drilling 16 mm holes into the inner corners, if there are any: a sharp corner cracks. "
        "How the plate sits on the shaft or on the generator's flange is not on the sheet: mark those holes from the "
        "part "
        "itself, in the middle. Round and smooth every edge that meets the plastic.",
        f"Shape only. Not checked here: whether bolts, plate and shaft hold (galebook check {of.ref} tells of "
        "hub.bolts, "
        "hub.plate and hub.shaft), nor the seat on the shaft. A hub that lets go throws a blade: where you are not "
        "sure "
        "of your welds and threads, have it made in a workshop.",
    )
