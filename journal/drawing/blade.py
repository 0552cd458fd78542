"""The template of a blade cut from pipe, and how several lie on one pipe."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from calc.cutting.blade import Template, root_cut
from calc.cutting.hub import beyond_last
from calc.cutting.nest import LENGTHS, SEAM, Nest, nest, shortest
from calc.cutting.packer import packers
from calc.machine.catalogue import Sheet
from calc.physics.arrays import Array
from calc.wording import number_of
from journal.drawing.letters import width_of
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Point, Words, box, cross
from journal.drawing.subject import (
    BOLTS,
    CLOCKWISE,
    Drilled,
    Subject,
    checks_note,
    drilled_of,
    masses_of,
    mm,
    possible,
    template_of,
)
from journal.errors import Refused

#: Distance between marks along the blade. [m]
EVERY = 0.1
#: Strip along the trailing edge that is thinned, as a share of the wall, and thickness that is left. Common practice,
#: no source. [m]
THINNED, LEFT = 3.0, 1e-3
#: Gap that is left between the roots of two blades. Common practice, no source. [m]
GAP = 0.005
#: Rules that judge what is cut here, by the beginning of their names.
CUT_RULES = ("blade.", "hub.")
#: Height of letters on a template, and of those that have no room for these. [mm]
_TEXT, _SMALL = 2.6, 1.8
#: How far beyond the hub's plate the edges begin to be worked, and beyond the root where no bolts are known. Common
#: practice, no source. [m]
_TAPER, _UNKNOWN_HUB = 0.02, 0.12
#: How far above a mark its words reach, with room for those of the balance point. [m]
_SPOKEN = 0.024
#: How far the bolts of a sheet may lie from where they give its angle before that is told. [m]
_APART = 0.003


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """The template, and the pipe with several on it."""
    cut = template_of(of)
    drill = drilled_of(of, cut) if of.x.lacks(*BOLTS) == () else None
    root = possible(
        of, "A blade's root", "blade.root_radius or blade.chord_root", lambda: root_cut(cut, of.blades, GAP)
    )
    _hold_bolts_left(of, drill, root)
    # The pipe is marked out before the first blade is.
    return _pipe(of, cut, _nest_of(of, cut)), _template(of, cut, drill, root)


def _hold_bolts_left(of: Subject, drill: Drilled | None, root: Array | None) -> None:
    """Hold that what comes off the root leaves the bolts their material."""
    if drill is None or root is None:
        return
    ahead = root[root[:, 0] > 0][::-1]
    behind = root[root[:, 0] < 0]
    for y in drill.holes.y:
        for side in (ahead, behind):
            if len(side) > 1 and side[0, 1] <= y <= side[-1, 1]:
                left = abs(float(np.interp(y, side[:, 1], side[:, 0])))
                if left <= drill.hole:
                    raise Refused(
                        f"The roots of {of.ref} meet on the hub, and what must come off them leaves {mm(left)} beside "
                        f"a bolt, {mm(y)} from the shaft",
                        "Begin the blades further out (blade.root_radius), or make them narrower (blade.chord_root)",
                    )


# --- the template -----------------------------------------------------------------------------------------------------


class _Paper:
    """Places on the paper in mm: seen from the outside of the pipe, tip up."""

    def __init__(self, of: Subject) -> None:
        # Turning clockwise as the wind sees it, a blade that points up goes to the left of who stands behind it.
        self.side = -1.0 if of.turns == CLOCKWISE else 1.0

    def at(self, x: float, y: float) -> Point:
        return self.side * float(x) * 1e3, float(y) * 1e3


def outline_of(of: Subject, cut: Template, root: Array | None) -> tuple[Point, ...]:
    """Corners of what is cut out, in mm."""
    paper = _Paper(of)
    corners = [tuple(p) for p in cut.outline] if root is None else [*map(tuple, cut.outline[1:3]), *map(tuple, root)]
    return tuple(paper.at(x, y) for x, y in corners)


def marks_along(cut: Template) -> Array:
    """Radii at which a blade is marked: its ends, and every 100 mm from the shaft, in [m]."""
    first = math.ceil(cut.r_root / EVERY + 0.1)
    last = math.floor(cut.R / EVERY - 0.1)
    return np.array([cut.r_root, *(EVERY * i for i in range(first, last + 1)), cut.R])


def _template(of: Subject, cut: Template, drill: Drilled | None, root: Array | None) -> Drawing:
    paper = _Paper(of)
    masses = masses_of(of)
    parts: list[Part] = [Line(outline_of(of, cut, root), closed=True)]
    parts += _edges(paper, cut, root, whole_to(cut, drill))
    parts += _bolt_line(paper, cut, drill)
    # Where corners come off the root there is no chord to tell at its end.
    for r in marks_along(cut)[0 if root is None else 1 :]:
        parts += _mark(paper, cut, float(r))
    parts += _balance_point(paper, cut, float(masses.r_cog))
    parts += _to_the_wind(paper, cut, float(masses.r_cog))
    notes = _notes(of, cut, drill, root, float(masses.mass), float(masses.r_cog))
    return Drawing(f"Blade template, {of.title}", notes, tuple(parts), name=f"blade-{of.ref}")


def whole_to(cut: Template, drill: Drilled | None) -> float:
    """Radius up to which the wall stays whole: the hub's plate, and as much beyond it as tapers; in [m]."""
    if drill is None:
        return cut.r_root + _UNKNOWN_HUB
    return beyond_last(drill.holes.y[-1], drill.hole) + _TAPER


def _to_the_wind(paper: _Paper, cut: Template, r_cog: float) -> list[Part]:
    """Which side the wind must see, between two marks, where the blade is wide."""
    at = EVERY * (math.floor(r_cog / EVERY + 0.1) - 0.5)
    m = cut.at([min(max(at, cut.r_root), cut.R)])
    low, high = float(m.trailing[0]) + THINNED * cut.t, float(m.leading[0]) - cut.t
    sides = ((low, 0.0), (0.0, high)) if low < 0.0 < high else ((low, high),)
    inner, outer = max(sides, key=lambda side: side[1] - side[0])
    x, y = paper.at((inner + outer) / 2, float(m.r[0]))
    room = (outer - inner) * 1e3 - 3.0
    told = "HOLLOW SIDE TO THE WIND", "this is the other side"
    height = next((h for h in (_TEXT, _SMALL) if width_of(told[0], h) <= room), None)
    if height is None:
        told, height = ("HOLLOW SIDE", "TO THE WIND"), _SMALL
    return [Words((x, y + (0.8 - 1.6 * i) * height), line, height, anchor="middle") for i, line in enumerate(told)]


def _edges(paper: _Paper, cut: Template, root: Array | None, whole: float) -> list[Part]:
    """What is done along each edge, and which of them lies along the pipe."""
    ends = cut.at(np.array([cut.r_root, cut.R]))
    parts: list[Part] = []
    for name, x, wide, what in (
        ("trailing", ends.trailing, THINNED * cut.t, "thin to the line"),
        ("leading", ends.leading, -cut.t, "round to the line"),
    ):
        begins = cut.r_root if root is None else float(np.max(root[root[:, 0] * wide < 0, 1]))
        # What the plates clamp keeps its whole wall.
        begins = min(max(begins, whole), cut.R)
        first = float(np.interp(begins, (cut.r_root, cut.R), x))
        (x0, y0), (x1, y1) = paper.at(first + wide, begins), paper.at(x[1] + wide, cut.R)
        parts.append(Line(((x0, y0), (x1, y1)), pen=Pen.FOLD))
        turn = math.degrees(math.atan2(y1 - y0, x1 - x0))
        # Letters stand to the left of a line that is read upwards: half their height brings them into the middle.
        height = min(_TEXT, abs(wide) * 1e3 * 0.5)
        text = f"{name.upper()} EDGE{', along the pipe' if cut.straight_edge == name else ''}: {what}"
        marks = marks_along(cut)
        for low, high in pairwise(marks):
            over = np.interp((low, high), (cut.r_root, cut.R), x)
            crossed = np.min([over, over + wide]) < 0.003 and np.max([over, over + wide]) > -0.003
            low = max(low, begins)
            if (high - low) * 1e3 < width_of(text, height) + 4.0 or crossed:
                continue
            at = (low + high) / 2
            place = float(np.interp(at, (cut.r_root, cut.R), x)) + wide / 2
            px, py = paper.at(place, at)
            parts.append(Words((px + height / 2, py), text, height, turn=turn, anchor="middle"))
    return parts


def _bolt_line(paper: _Paper, cut: Template, drill: Drilled | None) -> list[Part]:
    """The line that runs to the shaft, with the holes."""
    r = np.linspace(cut.r_root, cut.R, 400)
    marks = cut.at(r)
    on = r[(marks.trailing < 0) & (marks.leading > 0)]
    parts: list[Part] = [Line((paper.at(0.0, cut.r_root), paper.at(0.0, float(on[-1]))), pen=Pen.CENTRE)]
    for y in drill.holes.y if drill is not None else ():
        assert drill is not None
        parts += [Circle(paper.at(0.0, y), drill.hole * 500.0), *cross(paper.at(0.0, y), drill.hole * 750.0)]
    return parts


def _mark(paper: _Paper, cut: Template, r: float) -> list[Part]:
    """A line across at one radius, with what the blade measures there."""
    m = cut.at(np.array([r]))
    trailing, leading = float(m.trailing[0]), float(m.leading[0])
    parts: list[Part] = []
    if cut.r_root < r < cut.R:
        parts.append(Line((paper.at(trailing, r), paper.at(leading, r)), pen=Pen.THIN))
    # Words stand on the wider side of the line of the bolts, where that is on the blade.
    low, high = trailing + THINNED * cut.t, leading - cut.t
    sides = ((low, 0.0), (0.0, high)) if low < 0.0 < high else ((low, high),)
    inner, outer = max(sides, key=lambda side: side[1] - side[0])
    middle, room = paper.at((inner + outer) / 2, r), (outer - inner) * 1e3 - 3.0
    lines, height = _lines(cut, r, room)
    below = r >= cut.R - 1e-9
    for i, line in enumerate(lines):
        step = -(i + 1) if below else len(lines) - 1 - i
        y = middle[1] + 1.2 + step * height * 1.6 - (1.6 if below else 0.0)
        parts.append(Words((middle[0], y), line, height, anchor="middle"))
    return parts


def _lines(cut: Template, r: float, room: float) -> tuple[list[str], float]:
    """What stands at a mark, in as many words as there is room for, and the height of its letters, in [mm]."""
    m = cut.at(np.array([r]))
    at, from_root = f"{r * 1e3:.0f} mm", f"{(r - cut.r_root) * 1e3:.0f} mm"
    chord, camber, outside = (mm(float(v[0]), 0) for v in (m.chord, m.camber, m.outside))
    twist = f"{math.degrees(float(m.twist[0])):.1f}°"
    long = [f"{at} from the shaft, {from_root} from the root", f"chord {chord}, camber {camber}, twist {twist}",
            f"{outside} over the outer corners"]  # fmt: skip
    short = [f"{at}, {from_root} from root", f"chord {chord}, camber {camber}", f"outside {outside}, twist {twist}"]
    least = [at, f"chord {chord}", f"camber {camber}", f"outside {outside}", f"twist {twist}"]
    for lines, height in ((long, _TEXT), (short, _TEXT), (short, _SMALL)):
        if max(width_of(line, height) for line in lines) <= room:
            return lines, height
    return least, _SMALL


def _balance_point(paper: _Paper, cut: Template, r_cog: float) -> list[Part]:
    x, y = cut.centre(r_cog)
    at = paper.at(x, y)
    # Above the cross where the words of the mark below it would be met.
    low = min((r_cog - r for r in marks_along(cut) if r <= r_cog), default=1.0) < _SPOKEN
    return [
        Circle(at, 2.5, Pen.MARK),
        *cross(at, 6.0, Pen.MARK),
        Words((at[0], at[1] + (6.8 if low else -8.6)), f"balances here: {r_cog * 1e3:.0f} mm", 2.0, anchor="middle"),
    ]


# --- what is read beside it -------------------------------------------------------------------------------------------


def _notes(
    of: Subject, cut: Template, drill: Drilled | None, root: Array | None, mass: float, r_cog: float
) -> tuple[str, ...]:
    other = "anticlockwise" if of.turns == CLOCKWISE else "clockwise"
    notes = (
        checks_note(of, CUT_RULES),
        f"HOLLOW SIDE TO THE WIND. Seen here: the outside of the pipe, tip up, for a rotor that turns {of.turns}, seen "
        f"with the wind at your back (for the other way: --turns {other}).",
        "Clamp the pipe, wear glasses and a dust mask, and sweep up: the dust of plastic is bad to breathe. Scratches "
        "and saw cuts at the root crack: file all edges smooth there, and throw a cracked blade away.",
        f"{number_of(of.blades, 'blade')} from pipe {cut.D * 1e3:g} mm x {cut.t * 1e3:g} mm, each "
        f"{mm(cut.length, 0)} long, about "
        f"{mass:.2f} kg. 1. Measure the ruler on each sheet. 2. Measure the pipe: a strip of paper once around its "
        f"outside must be {mm(math.pi * cut.D, 0)} long, within 2 mm; measure its wall at both ends. Else set "
        "blade.pipe_diameter and blade.pipe_wall, and draw again.",
        "3. Draw a straight line along the pipe with an angle iron that lies on it by both legs. Lay the dash-dotted "
        "line of the bolts on it, and wrap the paper tight around. Paper only: card comes out too narrow.",
        "4. Saw outside the thick line, square to the wall, and file down to it. Do not cut along dashed lines. Only "
        "beyond the hub, where these begin: round the leading edge over one wall, thin the trailing edge from the "
        f"outside to about {LEFT * 1e3:g} mm over {mm(THINNED * cut.t, 0)} (common practice, no source; the sums leave "
        "both as cut).",
        _bolt_note(of, cut, drill),
        _flat_note(of, cut),
        _root_note(cut, root),
        "Chord and camber are those of the middle of the wall; camber: height of the arc over the chord; outside: what "
        "a rule across the outer corners shows; twist: from the chord to the plane of the rotor.",
        f"Shape only. Not checked here: whether such blades hold (galebook check {of.ref}), flaws of your pipe, how "
        f"exactly it was cut. It should balance {mm(r_cog, 0)} from the shaft; weigh all blades before they are fitted "
        "(galebook draw balance).",
    )
    return tuple(filter(None, notes))


def _flat_note(of: Subject, cut: Template) -> str:
    """That a round root does not lie on a flat plate."""
    width = of.x.maybe(Sheet.hub.plate_width)
    if width is None:
        return f"The root is round: on a flat plate it rocks. Fit packers shaped to it (galebook draw hub {of.ref})."
    gap = possible(of, "The packers", "hub.plate_width", lambda: packers(cut.D, cut.t, float(width))).gap
    return (
        f"The root is round: it touches a flat plate on one line and stands {mm(gap, 0)} off it at the plate's edges. "
        f"Fit packers shaped to the pipe, or it rocks and the bolts crush it (galebook draw hub {of.ref} draws them)."
    )


def _bolt_note(of: Subject, cut: Template, drill: Drilled | None) -> str:
    edge = float(-cut.at(np.array([cut.r_root])).trailing[0])
    line = (
        f"The line of the bolts lies {mm(edge, 0)} from the trailing edge at the root, around the outside: square to "
    )
    line += f"the shaft there, the root chord stands at {math.degrees(cut.mounting_angle):.1f} degrees."
    if of.x.used.get(Sheet.blade.mounting_angle.full, (None, None, None))[2] is not None:
        line += " That angle is only assumed: the sheet does not say blade.mounting_angle."
    if cut.straight_edge == "leading" and cut.tip < cut.root:
        line += " With the leading edge along the pipe the twist grows towards the tip, the wrong way."
    if drill is None:
        return f"{line} Where the bolts are is not on the sheet (hub.bolts and what goes with it), so none is drawn."
    line += (
        f" Drill {len(drill.holes.y)} of {drill.hole * 1e3:g} mm for bolts of {mm(drill.bolt, 0)}: "
        f"{mm(drill.holes.end, 0)} from the end (the rule asks {mm(drill.end, 0)}), {mm(drill.holes.side, 0)} from the "
        f"nearer edge (it asks {mm(drill.side, 0)})."
    )
    typed = of.x.maybe(Sheet.hub.side_distance)
    if typed is not None and abs(float(typed) - drill.holes.side) > _APART:
        flat = math.degrees(cut.root - float(typed) / (cut.D / 2))
        line += (
            f" STOP: your design sheet says {mm(float(typed), 0)} from the nearer edge (hub.side_distance); there the "
            f"angle would be {flat:.1f} degrees. The drawing keeps the angle. Measure, and put one of the two right "
            f"before you drill: galebook set hub.side_distance or blade.mounting_angle --on {of.ref}."
        )
    return line


def _root_note(cut: Template, root: Array | None) -> str:
    if root is None:
        return ""
    end = float(np.max(root[:, 1]))
    return (
        f"Root: the corners come off as drawn, or neighbouring blades would meet on the hub; {GAP * 1e3:g} mm stay "
        f"between them. The sums take the whole chord there, from {mm(cut.r_root, 0)} on; drawn it is whole from "
        f"{mm(end, 0)} on."
    )


# --- on the pipe ------------------------------------------------------------------------------------------------------


def _nest_of(of: Subject, cut: Template) -> Nest:
    length = of.pipe or shortest(cut, of.blades, of.kerf, SEAM)
    change = "the length of the pipe (--pipe)"
    return possible(of, "A blade", change, lambda: nest(cut, length, of.kerf, SEAM))


def _pipe_note(of: Subject, cut: Template, lies: Nest) -> str:
    others = [n for n in LENGTHS if n >= cut.length and n != lies.length][:3]
    more = ", ".join(f"{n:g} m gives {nest(cut, n, of.kerf, SEAM).blades}" for n in others)
    line = (
        f"On one pipe of {lies.length:g} m {'lies' if lies.blades == 1 else 'lie'} "
        f"{number_of(lies.blades, 'blade')}, {lies.around} side by side"
    )
    line += f" and {lies.rows} in a row" if lies.rows > 1 else ""
    line += f", every other one turned end for end; {lies.waste:.0%} of it is left over"
    line += f" (a piece of {mm(cut.length + of.kerf, 0)} gives {lies.around})"
    short = "" if lies.blades >= of.blades else f". That is less than the {of.blades} that the rotor needs"
    return f"{line}{short}. {more}." if more else f"{line}{short}."


def _pipe(of: Subject, cut: Template, lies: Nest) -> Drawing:
    """The pipe's outside laid flat."""
    around, length = math.pi * cut.D * 1e3, lies.length * 1e3
    parts: list[Part] = [box(0.0, 0.0, around, length, Pen.MARK)]
    shape = outline_of(of, cut, None)
    low, high = min(shape), max(shape)
    left, right = low[0], high[0]
    width, tall = right - left, cut.length * 1e3
    base = [(x - left, y - cut.r_root * 1e3) for x, y in shape]
    # The straight edge comes first on the pipe, whichever way the rotor turns.
    straight_right = sum(1 for x, _ in base if x > width - 1e-6) >= 2 > sum(1 for x, _ in base if x < 1e-6)
    for number, place in enumerate(lies.places, 1):
        turned = place.turned != straight_right
        points = tuple(
            (place.x * 1e3 + (width - x if turned else x), place.y * 1e3 + (tall - y if turned else y)) for x, y in base
        )
        parts.append(Line(points, closed=True))
        middle = (sum(p[0] for p in points) / 4, sum(p[1] for p in points) / 4)
        parts.append(Words(middle, f"{number}", length / 40, anchor="middle"))
        root_y = max(p[1] for p in points) - tall * 0.04 if turned else min(p[1] for p in points) + tall * 0.02
        parts.append(Words((middle[0], root_y), "root", length / 90, anchor="middle"))
    parts += [
        Words((around / 2, -length / 45), f"once around the pipe, {around:.0f} mm", length / 80, anchor="middle"),
        Words((-length / 90, length / 2), f"along the pipe, {lies.length:g} m", length / 80, 90.0, "middle"),
        Words((around + length / 45, length / 2), "seam, weld or line of print here", length / 80, 90.0, "middle"),
    ]
    notes = (
        _pipe_note(of, cut, lies),
        f"The outside of the pipe, slit along its seam or line of print and laid flat; not at true size. "
        f"{of.kerf * 1e3:g} mm are taken for each cut, {mm(SEAM, 0)} or more stay free at the seam "
        f"({mm(lies.free, 0)} are).",
        "All lie along the pipe, the way it was drawn: never slanted, never around it. Turn the template end for end "
        "for "
        "every other blade; never lay it face down, or that blade is for a rotor that turns the other way. Keep "
        "clear of "
        "dents, scratches and of the belled end; where the print runs under a blade, sand it off.",
        "Not checked here: that the pipe is round and straight, and whether it is old or brittle.",
    )
    title = f"Blades on one pipe, {of.title}"
    return Drawing(title, notes, tuple(parts), name=f"pipe-{of.ref}", true_size=False)
