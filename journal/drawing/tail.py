"""The tail: the outline of its vane, and the angles of its hinge."""

from __future__ import annotations

import math
from dataclasses import replace

from calc.cutting.vane import VaneOutline, vane
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.tail import FIXED
from calc.machine.furling import vane_height
from journal.drawing.head import head_from_above, why_no_head
from journal.drawing.model import Drawing, Line, Part, Pen, Point, Words, arc, arrow, cross
from journal.drawing.subject import Subject, checks_note, hold_stated, mm, possible

_TEXT = 3.0
#: Lengths of the gauge's upright edge, and of a line that shows a direction. [mm]
_ARM, _RAY = 150.0, 56.0
#: How near to straight behind, ahead or aside a direction is called so. [degrees]
_STRAIGHT = 5.0
#: Height of the figures beside an arc. [mm]
_ARC = 2.4


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """The vane at true size, and for a tail that folds the angles of its hinge."""
    hold_stated(of, Sheet.tail.area, Sheet.tail.arm)
    area, height = float(of.x.tail.area), float(vane_height(of.x))
    made = possible(of, "The vane", "tail.area or tail.vane_height", lambda: vane(area, height))
    first = Drawing(f"Tail vane, {of.title}", _vane_notes(of, made), _vane(of, made), name=f"vane-{of.ref}")
    if of.x.maybe(Sheet.tail.hinge) == FIXED:
        return (first,)
    hold_stated(of, Sheet.tail.inclination)
    return first, _gauge(of), _directions(of), *head_from_above(of)


def _from(of: Subject) -> str:
    """From where the boom's length is taken: a tail that does not fold has no pin."""
    return "where the boom begins" if of.x.maybe(Sheet.tail.hinge) == FIXED else "the hinge's pin"


def _vane(of: Subject, made: VaneOutline) -> tuple[Part, ...]:
    half = made.length * 500.0
    # Below the rounded corners, and well above the boom.
    told = made.height * 500.0 - max(12.0, made.corner * 1e3 + 2.0)
    parts: list[Part] = [Line(tuple((x * 1e3, y * 1e3) for x, y in made.outline), closed=True)]
    parts += [Line(((-half, 0.0), (half, 0.0)), pen=Pen.CENTRE), *cross((0.0, 0.0), 10.0)]
    parts += [
        Words((4.0, 4.0), "middle of the vane", _TEXT),
        Words((4.0, -7.0), f"{of.x.tail.arm * 1e3:.0f} mm from {_from(of)}", _TEXT),
        Words((-half + 4.0, told), "NEAR END: this end towards the rotor", _TEXT),
        Words((half - 4.0, told), "far end", _TEXT, anchor="end"),
    ]
    boom = of.x.maybe(Sheet.tail.boom_diameter)
    if boom is not None:
        r = float(boom) * 500.0
        parts += [Line(((-half, y), (half, y)), pen=Pen.THIN) for y in (r, -r)]
        parts.append(Words((-half + 4.0, r + 1.5), f"boom {mm(float(boom), 0)}", _TEXT))
    return tuple(parts)


def _vane_notes(of: Subject, made: VaneOutline) -> tuple[str, ...]:
    x = of.x
    what = x.maybe(Sheet.tail.vane_material)
    thick = x.maybe(Sheet.tail.vane_thickness)
    of_what = f"{what}" if x.given(Sheet.tail.vane_material) else f"{what} (assumed: not on the sheet)"
    sheet = of_what if thick is None else f"{mm(float(thick), 0)} {of_what}"
    given = "" if x.given(Sheet.tail.vane_height) else " Its height is assumed: the sheet says only the area."
    arm = float(x.tail.arm)
    folds = "" if x.maybe(Sheet.tail.hinge) == FIXED else ", and whether the tail folds when it should"
    notes = (
        checks_note(of, ("tail.", "yaw.tail"), "DO NOT MAKE IT YET"),
        f"From {_from(of)} to the middle of the vane: {mm(arm, 0)}, along the boom; to its near edge, marked "
        f"NEAR END: {mm(arm - made.length / 2, 0)}. {_boom_told(of, made)}",
        f"Vane of {sheet}, {float(x.tail.area):.3g} m2: {mm(made.length, 0)} along the boom and {mm(made.height, 0)} "
        "high, "
        f"corners rounded by {mm(made.corner, 0)} (common practice, no source).{given} A rectangle is as easily marked "
        "with square and rule, by the figures; the paper shows where the boom lies.",
        "Any other outline does as well if its area, its height and its middle stay: the sums know no more of it.",
        "Round all edges; a corner at the height of a head hurts. Hold the vane by ribs or plates on both sides of the "
        "boom, not by bolts through the sheet alone.",
        f"Shape only. Not checked here: whether vane and boom hold{folds} (galebook check {of.ref}).",
    )
    return tuple(filter(None, notes))


def _boom_told(of: Subject, made: VaneOutline) -> str:
    """How long the boom is that carries the vane over its whole length."""
    boom, wall = (of.x.maybe(entry) for entry in (Sheet.tail.boom_diameter, Sheet.tail.boom_wall))
    size = "" if boom is None else f" {mm(float(boom), 0)}" + ("" if wall is None else f" x {mm(float(wall))}")
    return (
        f"Boom{size}, as drawn over the whole vane: {mm(float(of.x.tail.arm) + made.length / 2, 0)} from {_from(of)} "
        "to the far end; what its fastening takes comes on top."
    )


# --- the hinge --------------------------------------------------------------------------------------------------------


def _ray(at: Point, angle: float, length: float, pen: Pen) -> Line:
    """A line from a point at an angle, in [degrees]."""
    t = math.radians(angle)
    return Line((at, (at[0] + length * math.cos(t), at[1] + length * math.sin(t))), pen=pen)


def _label(at: Point, angle: float, length: float, text: str) -> Words:
    """Words at the end of a ray."""
    t = math.radians(angle)
    x, y = at[0] + length * math.cos(t), at[1] + length * math.sin(t)
    anchor = "middle" if abs(math.cos(t)) < 0.3 else "start" if math.cos(t) > 0 else "end"
    return Words((x, y - (_TEXT if math.sin(t) < -0.3 else 0.0)), text, _TEXT, anchor=anchor)  # type: ignore[arg-type]


def _gauge(of: Subject) -> Drawing:
    lean = math.degrees(float(of.x.tail.inclination))
    way = _leans(of)
    notes = (
        "Cut the triangle out of card or plywood. Hold the edge marked UPRIGHT along the mast, the point down: the "
        f"edge marked PIN then lies as the hinge's pin must, {lean:.1f}° off the upright. Tack the hinge, hold "
        "the gauge to it again, and only then weld.",
        f"The TOP of the pin leans {way}: turn the gauge about the mast until its upper edge points there. A hinge "
        "that leans another way holds the tail back too early, too late, or not at all.",
        _DEGREES,
        _unchecked(of),
    )
    parts = (*_side_view(lean), *_lean_told(lean, way))
    return Drawing(f"Lean of the tail's hinge, {of.title}", notes, parts, name=f"hinge-{of.ref}")


def _leans(of: Subject) -> str:
    """In which direction the hinge's top leans, in words."""
    rest, turn = (math.degrees(float(of.x.maybe(entry) or 0.0))
                  for entry in (Sheet.tail.rest_angle, Sheet.tail.hinge_direction))  # fmt: skip
    off = rest + turn
    side = f"the side {'away from' if off > 0 else 'of'} the fold"
    if abs(off) < _STRAIGHT:
        return "straight back, towards the vane and away from the wind"
    if abs(off) > 180.0 - _STRAIGHT:
        return "straight forwards, towards the rotor and into the wind"
    told = f"{abs(off):.0f}° from straight behind, to {side}"
    if abs(abs(off) - 90.0) < _STRAIGHT:
        return told
    back = "back, towards the vane and away from the wind" if abs(off) < 90.0 else "forwards, into the wind"
    return f"{back}, and {told}"


def _lean_told(lean: float, way: str) -> list[Part]:
    """An arrow over the gauge, to where the top leans, and what that is."""
    right = max(_ARM * math.tan(math.radians(lean)), 15.0)
    first, _, second = way.partition(", and ")
    told = [f"TOP leans {first}" + (", and" if second else ""), second]
    # The lines stand over the arrow, the last one lowest.
    lines = [Words((0.0, _ARM + 16.0 + 5.0 * n), text, _TEXT) for n, text in enumerate(filter(None, reversed(told)))]
    return [*arrow((0.0, _ARM + 12.0), (right, _ARM + 12.0)), *lines]


def _directions(of: Subject) -> Drawing:
    x = of.x
    directions = (Sheet.tail.rest_angle, Sheet.tail.hinge_direction, Sheet.tail.stop_angle)
    unsaid = [entry.full for entry in directions if not x.given(entry)]
    assumed = f" Not on the sheet: {', '.join(unsaid)}; what stands for them is assumed, or left out." if unsaid else ""
    notes = (
        _counted(of),
        "Seen from above, the hinge's pin in the middle of the cross, straight ahead the yaw axis. The boom at rest "
        "stands off the line behind the "
        f"rotor on the side away from the fold; mirror all of it where the tail folds to the other side.{assumed}"
        f"{why_no_head(of)}",
        _DEGREES,
        _unchecked(of),
    )
    title = f"Directions of the tail's hinge, {of.title}"
    return Drawing(title, notes, tuple(_from_above(of)), name=f"directions-{of.ref}")


def _side_view(lean: float) -> list[Part]:
    """A gauge between the upright and the hinge: a triangle to cut out."""
    foot = (0.0, 0.0)
    top = (_ARM * math.tan(math.radians(lean)), _ARM)
    return [
        Line((foot, (0.0, _ARM), top), closed=True),
        Words((-3.0, _ARM / 2), "UPRIGHT: along the mast", _TEXT, 90.0, "middle"),
        Words((top[0] / 2 + 5.0, _ARM / 2 - 3.0), "PIN of the hinge", _TEXT, 90.0 - lean, "middle"),
        # At the point: above, beside the square corner, it would be read as that corner's angle.
        Words((-3.0, -6.0), f"gauge for its lean: {lean:.1f}° here at the point", _TEXT),
    ]


def _from_above(of: Subject) -> list[Part]:
    """The directions of boom, stop and hinge, seen from above; the yaw axis is to the left."""
    x = of.x
    at = (0.0, 0.0)
    rest = math.degrees(float(x.maybe(Sheet.tail.rest_angle) or 0.0))
    lean = math.degrees(float(x.maybe(Sheet.tail.hinge_direction) or 0.0))
    stop = x.maybe(Sheet.tail.stop_angle)
    # Seen from above with the rotor to the left, straight behind it is to the right; it folds upwards on the paper.
    boom = -rest
    parts: list[Part] = [
        _ray(at, 180.0, _RAY, Pen.CENTRE), _ray(at, 0.0, _RAY, Pen.CENTRE),
        _label(at, 180.0, _RAY + 2.0, "YAW AXIS, wind"),
        *cross(at, 5.0), _ray(at, boom, _RAY, Pen.CUT), *_behind(at, boom),
        _ray(at, boom - lean, _RAY, Pen.FOLD),
        *_two_lines(at, boom - lean, "hinge's top leans here,",
                    f"{_off(boom - lean)} from straight behind ({lean:.0f}° from rest)"),
        *_swept(at, 0.5, boom, boom - lean, lean),
    ]  # fmt: skip
    # Nearly straight behind there is no room between the lines for an angle; the words at the boom tell it.
    if rest * math.pi / 180.0 * 0.78 * _RAY > 2.0 * _ARC:
        parts += _swept(at, 0.78, 0.0, boom, rest)
    if stop is not None:
        fold = math.degrees(float(stop))
        end = boom + fold
        parts += [
            _ray(at, end, _RAY, Pen.CUT),
            *_two_lines(at, end, "boom at its STOP,", f"{_off(end)} from straight behind ({fold:.0f}° from rest)"),
            *_swept(at, 0.5, boom, end, fold), *(_swept(at, 0.35, 0.0, end, abs(end)) if rest else ()),
        ]  # fmt: skip
    return parts


def _behind(at: Point, boom: float) -> list[Words]:
    """What stands at the line straight behind the rotor and at the boom, which at rest may lie on it or close by."""
    if round(boom) == 0:
        return [_label(at, 0.0, _RAY + 2.0, "STRAIGHT BEHIND: boom at REST")]
    straight = _label(at, 0.0, _RAY + 2.0, "STRAIGHT BEHIND")
    rest = _label(at, boom, _RAY + 2.0, f"boom at REST, {abs(boom):.0f}° from straight behind")
    close = 1.6 * _TEXT - abs(straight.at[1] - rest.at[1])
    if close > 0:
        way = 1.0 if boom < 0 else -1.0
        straight = replace(straight, at=(straight.at[0], straight.at[1] + way * close))
    return [straight, rest]


def _off(angle: float) -> str:
    """How far a direction is from straight behind, to either side."""
    turn = abs((angle + 180.0) % 360.0 - 180.0)
    return f"{turn:.0f}°"


def _two_lines(at: Point, angle: float, first: str, second: str) -> list[Words]:
    """Words at the end of a ray, the second line below the first."""
    below = _label(at, angle, _RAY + 2.0, second)
    up = 1.6 * _TEXT if math.sin(math.radians(angle)) >= 0 else 0.0
    x, y = below.at
    return [Words((x, y + up), first, _TEXT, anchor=below.anchor),
            Words((x, y + up - 1.6 * _TEXT), second, _TEXT, anchor=below.anchor)]  # fmt: skip


def _swept(at: Point, share: float, start: float, end: float, told: float) -> list[Part]:
    """An arc from one direction to another with its angle beside it."""
    r, middle = _RAY * share, math.radians((start + end) / 2)
    x, y = at[0] + (r + 2.0) * math.cos(middle), at[1] + (r + 2.0) * math.sin(middle)
    return [arc(at, r, start, end, Pen.THIN), Words((x, y - _ARC / 2), f"{told:.0f}°", _ARC)]


def _counted(of: Subject) -> str:
    """From which line each angle is counted, in words."""
    x = of.x
    rest = math.degrees(float(x.maybe(Sheet.tail.rest_angle) or 0.0))
    told = f"Mind from which line an angle is counted. Boom at rest: {rest:.0f}° from straight behind."
    if (stop := x.maybe(Sheet.tail.stop_angle)) is not None:
        fold = math.degrees(float(stop))
        told += f" Stop: {fold - rest:.0f}° from straight behind, to the other side, which is {fold:.0f}° from rest."
    if (lean := x.maybe(Sheet.tail.hinge_direction)) is not None:
        turn = math.degrees(float(lean))
        told += f" Hinge's top leans {_leans(of)}: {turn:.0f}° from rest."
    return told


_DEGREES = (
    "A degree counts: the wind in which the tail folds turns on these angles. Prove it by hand, with the rotor "
    "stopped: "
    "from every angle the tail must fall back to rest by its own weight."
)


def _unchecked(of: Subject) -> str:
    return (
        f"Angles only. Not checked here: whether the tail folds in time and holds (galebook check {of.ref}), welds, "
        "and "
        "whether the folded tail stays clear of the rotor."
    )
