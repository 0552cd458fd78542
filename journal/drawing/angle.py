"""Gauges for the angle at which blades are mounted: a strip around the pipe, a wedge on the hub, the twist."""

from __future__ import annotations

import math

import numpy as np

from calc.cutting.blade import Template
from calc.machine.catalogue import Sheet
from journal.drawing.blade import marks_along
from journal.drawing.letters import width_of
from journal.drawing.model import Drawing, Line, Part, Pen, Words, arc
from journal.drawing.subject import CLOCKWISE, Subject, mm, template_of

_TEXT = 2.4
#: Least and greatest length of the foot of a wedge, what its slope reaches beyond the chord, and the fan's rays. [mm]
_FOOT, _WIDEST, _BEYOND, _RAY = 120.0, 165.0, 10.0, 100.0
#: How high the strip is. [mm]
_STRIP = 26.0
#: Between two labels at the ends of the rays, at least. [mm]
_LABELS = 4.2


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """Strip, wedge and fan on one sheet."""
    cut = template_of(of)
    strip = _strip(of, cut)
    fan = _fan(cut)
    wedge = _wedge(cut)
    parts = (*strip, *wedge, *fan)
    return (Drawing(f"Gauges for the blade's angle, {of.title}", _notes(of, cut), parts, name=f"angle-{of.ref}"),)


def _strip(of: Subject, cut: Template) -> list[Part]:
    """A scale to lay around the root: each place tells at which angle a blade stands whose bolts sit there."""
    ends = cut.at(np.array([cut.r_root]))
    side = -1.0 if of.turns == CLOCKWISE else 1.0
    trailing, leading = (side * float(v[0]) * 1e3 for v in (ends.trailing, ends.leading))
    # Moved so that the strip begins at nought.
    shift = -min(trailing, leading)
    left, right = 0.0, abs(leading - trailing)
    parts: list[Part] = [Line(((left, 0.0), (right, 0.0), (right, _STRIP), (left, _STRIP)), closed=True)]
    radius = cut.D / 2
    highest = cut.mounting_angle + abs(float(ends.trailing[0])) / radius
    lowest = cut.mounting_angle - float(ends.leading[0]) / radius
    # Every fifth degree is told, every tenth where these would stand too close.
    told = 5 if math.radians(5.0) * radius * 1e3 > width_of("-35°", _TEXT) + 1.0 else 10
    for degree in range(math.ceil(math.degrees(lowest)), math.floor(math.degrees(highest)) + 1):
        x = side * (cut.mounting_angle - math.radians(degree)) * radius * 1e3 + shift
        tall = 7.0 if degree % 5 == 0 else 4.0
        parts.append(Line(((x, 0.0), (x, tall)), pen=Pen.MARK))
        half = width_of(f"{degree}°", _TEXT) / 2 + 0.5
        if degree % told == 0 and left + half < x < right - half and (abs(x - shift) > half or degree == 0):
            parts.append(Words((x, tall + 1.0), f"{degree}°", _TEXT, anchor="middle"))
    # On a narrow strip the line of the bolts ends below the words that it would strike through.
    narrow = min(shift, right - shift) < width_of("trailing edge", _TEXT) + 4.0
    parts.append(Line(((shift, 0.0), (shift, _STRIP - (6.5 if narrow else 0.0))), pen=Pen.CENTRE))
    inwards = 1.0 if trailing > leading else -1.0
    for text, x, way in (("trailing edge", trailing + shift, -inwards), ("leading edge", leading + shift, inwards)):
        anchor = "start" if way > 0 else "end"
        parts.append(Words((x + way * 2.0, _STRIP - 5.0), text, _TEXT, anchor=anchor))  # type: ignore[arg-type]
    room_left = shift > right / 2
    at = shift + (-2.0 if room_left else 2.0)
    text = f"bolts here: {math.degrees(cut.mounting_angle):.1f}°"
    parts.append(Words((at, _STRIP - 10.0), text, _TEXT, anchor="end" if room_left else "start"))
    return parts


def foot_of(cut: Template) -> float:
    """Length of the wedge's foot; its slope is longer than the root is wide where paper has room, in [mm]."""
    chord = float(cut.at([cut.r_root]).outside[0]) * 1e3
    return min(max(_FOOT, (chord + _BEYOND) * math.cos(cut.mounting_angle)), _WIDEST)


def _wedge(cut: Template) -> list[Part]:
    """A wedge whose slope is held to a rule over the root's chord."""
    angle, foot = cut.mounting_angle, foot_of(cut)
    high = foot * math.tan(abs(angle))
    y = -14.0 - max(high, 12.0)
    text = f"{math.degrees(angle):.1f}° at the root"
    below = Words((foot / 2, y - 4.5), "foot: along the plane of the rotor", _TEXT, anchor="middle")
    if high < 1.0:
        return [Line(((0.0, y), (foot, y)), pen=Pen.CUT), below, Words((foot / 2, y + 3.0), text, _TEXT)]
    return [
        Line(((0.0, y), (foot, y), (foot, y + high)), closed=True),
        below,
        Words((foot - 3.0, y + 4.0), text, _TEXT, anchor="end"),
        Words((foot * 0.45, y + high * 0.45 + 3.0), "against the rule", _TEXT, math.degrees(abs(angle)), "middle"),
    ]


def _fan(cut: Template) -> list[Part]:
    """Lines at the twist of each mark, from one point to an arc; dashes lead on to what is said of them."""
    high = foot_of(cut) * math.tan(abs(cut.mounting_angle))
    radii = marks_along(cut)
    twists = cut.at(radii).twist
    # Labels are spread so that none covers the next; what leads to them is no part of the angle.
    rows = sorted(zip((_RAY * np.sin(twists)).tolist(), radii, twists.tolist(), strict=True))
    heights: list[float] = []
    for y, _, _ in rows:
        heights.append(max(y, heights[-1] + _LABELS) if heights else y)
    top = max(0.0, _RAY * math.sin(float(np.max(twists))), heights[-1])
    origin = (0.0, -14.0 - max(high, 12.0) - 22.0 - top)
    spread = math.degrees(min(0.0, float(np.min(twists)))), math.degrees(max(0.0, float(np.max(twists))))
    parts: list[Part] = [
        Line((origin, (origin[0] + _RAY + 5.0, origin[1])), pen=Pen.CUT),
        arc(origin, _RAY, *spread, Pen.MARK),
    ]
    for (y, r, twist), height in zip(rows, heights, strict=True):
        x, up, at = origin[0] + _RAY * math.cos(twist), origin[1] + y, origin[1] + height
        text = f"{r * 1e3:.0f} mm from the shaft: {math.degrees(twist):.1f}°"
        parts += [
            Line((origin, (x, up)), pen=Pen.THIN),
            Line(((x + 1.0, up), (_RAY + 12.0, at)), pen=Pen.FOLD),
            Words((_RAY + 13.0, at - _TEXT / 2), text, _TEXT),
        ]
    parts.append(Words((origin[0], origin[1] - 6.0 - max(0.0, -_RAY * math.sin(min(0.0, float(np.min(twists)))))),
                       "plane of the rotor", _TEXT))  # fmt: skip
    return parts


def _notes(of: Subject, cut: Template) -> tuple[str, ...]:
    assumed = "" if of.x.given(Sheet.blade.mounting_angle) else " It is assumed: the sheet does not say it."
    per = cut.D / 2 * math.radians(1.0)
    return (
        f"Mounting angle {math.degrees(cut.mounting_angle):.1f} degrees, between the root chord and the plane of the "
        f"rotor, leading edge into the wind.{assumed}",
        "Strip: cut it out and lay it around the outside of the root, its ends on the two edges. A blade bolted flat "
        "on a "
        f"line at a figure stands at that angle; one degree is {mm(per, 2)} here. So a line drilled 2 mm off is "
        f"{2e-3 / per:.1f} degrees off.",
        "Wedge: cut it out of card or plywood. Lay a straight rule over both edges of the root, on the hollow side, "
        "square to the blade. Hold the wedge's foot to a straight board that lies flat on the hub's plate: its slope "
        "must lie along the rule. The edges themselves stand off the plate, so do not hold it to them alone.",
        "Fan: the twist at each mark of the template; true from the corner to the arc, the dashes only lead to the "
        "words. Set a sliding bevel by it, one leg on the plane of the rotor, the other on a rule over both edges.",
        "Angles only, between the chords of the middle of the wall. Not checked here: how the blade was cut; "
        "measure what "
        f"you have and log it: galebook measure blade.gauge_angle --on {of.ref}.",
    )
