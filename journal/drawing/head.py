"""Where rotor, yaw axis and the hinge of a folding tail lie to each other, seen from above."""

from __future__ import annotations

import math

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.tail import DOWNWIND
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Words, arrow, cross
from journal.drawing.subject import Subject, mm

_TEXT = 3.0
#: What the sheet must say of it.
NEEDED = (Sheet.rotor.offset, Sheet.rotor.overhang, Sheet.tail.hinge_behind)
#: Scales, of which the largest is taken at which the lengths have room on paper, along the shaft and beside it. [mm]
_SCALES = (1.0, 2.0, 2.5, 4.0, 5.0, 10.0, 20.0, 40.0)
_ALONG, _BESIDE = 110.0, 45.0
#: How far lines reach beyond what they lead to; how far the dimensions lie below the yaw axis. [mm]
_RAY, _BELOW = 50.0, -27.0
#: How far a length may lie from whole millimetres to be told in these. [mm]
_WHOLE = 0.05
#: The rotor's line above and below its middle. [mm]
_UP, _DOWN = 22.0, 14.0


def _length(metres: float) -> str:
    """In whole millimetres, or with a digit more where the sheet has it."""
    return mm(metres, 0 if abs(metres * 1e3 - round(metres * 1e3)) < _WHOLE else 1)


def why_no_head(of: Subject) -> str:
    """Why rotor, yaw axis and hinge are not drawn, in a sentence; empty where they are."""
    unsaid = [entry.full for entry in NEEDED if of.x.maybe(entry) is None]
    if unsaid:
        return f" Where rotor, yaw axis and hinge lie is not drawn: the sheet does not say {', '.join(unsaid)}."
    if of.x.maybe(Sheet.yaw.rotor_side) == DOWNWIND:
        return " Where rotor, yaw axis and hinge lie is drawn only of a rotor that runs ahead of its mast."
    return ""


def head_from_above(of: Subject) -> tuple[Drawing, ...]:
    """Rotor, shaft, yaw axis and hinge with their distances; none where the sheet does not tell them."""
    if why_no_head(of):
        return ()
    offset, overhang, behind = (float(of.x.need(entry)) for entry in NEEDED)
    fits = [k for k in _SCALES if (overhang + behind) * 1e3 / k <= _ALONG and offset * 1e3 / k <= _BESIDE]
    scale = fits[0] if fits else _SCALES[-1]
    notes = (
        f"Seen from above, the rotor to the left, drawn 1:{scale:g}: go by the figures, not by the paper. The YAW AXIS "
        f"is the middle of the mast. The shaft runs past it, {_length(offset)} to the side TO WHICH THE TAIL FOLDS; "
        "on the other side the thrust would press the tail onto its rest, and nothing would turn the rotor out of a "
        "storm.",
        f"From the yaw axis to the rotor's middle, along the shaft: {_length(overhang)}. From the yaw axis to the "
        f"middle of the hinge's pin, at the height of the boom: {_length(behind)}, straight behind the yaw axis and "
        "not behind the shaft. Mirror all of it where the tail folds to the other side.",
        "The wind in which the rotor turns away goes with the offset: weld the bearing tube of the yaw axis and the "
        "hinge to one plate or frame, tack it, measure all three distances again, and only then weld.",
        f"Distances only. Not checked here: whether frame, welds and bearing hold, and whether the tail folds in time "
        f"(galebook check {of.ref}).",
    )
    parts = _plan(of, offset * 1e3 / scale, overhang * 1e3 / scale, behind * 1e3 / scale)
    return (Drawing(f"Head from above, {of.title}", notes, tuple(parts), name=f"head-{of.ref}"),)


def _plan(of: Subject, e: float, o: float, b: float) -> list[Part]:
    """Everything on paper [mm]: the yaw axis at nought, offset upwards, rotor to the left, hinge to the right."""
    offset, overhang, behind = (float(of.x.need(entry)) for entry in NEEDED)
    rest = -float(of.x.maybe(Sheet.tail.rest_angle) or 0.0)
    tip = (b + _RAY * math.cos(rest), _RAY * math.sin(rest))
    label = tip[1] - (_TEXT if rest < 0 else -1.0)
    if abs(label - 1.0) < 1.6 * _TEXT:
        label = 1.0 - 1.6 * _TEXT if rest <= 0 else 1.0 + 1.6 * _TEXT
    side, above = -o / 2.0, max(e + _UP, tip[1] + 24.0)
    return [
        Line(((-o - 8.0, 0.0), (b + _RAY, 0.0)), pen=Pen.CENTRE),
        Words((b + _RAY + 3.0, 1.0), "STRAIGHT BEHIND", _TEXT),
        Line(((-o - 8.0, e), (b / 2.0 + 6.0, e)), pen=Pen.CENTRE),
        Words((-o - 10.0, e - 1.2), "shaft", _TEXT, anchor="end"),
        Line(((-o, e - _DOWN), (-o, e + _UP))),
        Words((-o, e + _UP + 3.0), "rotor", _TEXT, anchor="middle"),
        *arrow((-o - 30.0, e + _UP / 2.0), (-o - 14.0, e + _UP / 2.0)),
        Words((-o - 30.0, e + _UP / 2.0 + 2.0), "wind", _TEXT),
        Circle((0.0, 0.0), 4.0, Pen.CUT), *cross((0.0, 0.0), 6.5),
        Words((-7.0, -8.0), "YAW AXIS", _TEXT, anchor="end"),
        Words((b + 2.0, 4.0 if rest <= 0 else -8.0), "hinge's PIN", _TEXT),
        *cross((b, 0.0), 4.0), Circle((b, 0.0), 1.5, Pen.CUT),
        Line(((b, 0.0), tip)), Words((tip[0] + 3.0, label), "boom at REST", _TEXT),
        *arrow((b + _RAY * 0.8, above - 14.0), (b + _RAY * 0.8, above)),
        Words((b + _RAY * 0.8 + 3.0, above - 4.0), "the tail folds", _TEXT),
        Words((b + _RAY * 0.8 + 3.0, above - 8.8), "to this side", _TEXT),
        *(arrow((side, 0.0), (side, e), both=e > 6.0) if e > 0.0 else ()),
        Words((side + 2.0, e / 2.0 - 1.2 if e > 6.0 else e + 1.5), _length(offset), _TEXT),
        Line(((-o, e - _DOWN - 1.0), (-o, _BELOW - 2.0)), pen=Pen.THIN),
        *(Line(((x, -5.0), (x, _BELOW - 2.0)), pen=Pen.THIN) for x in dict.fromkeys((0.0, b))),
        *arrow((-o, _BELOW), (0.0, _BELOW), both=True),
        Words((-o / 2.0, _BELOW + 1.5), _length(overhang), _TEXT, anchor="middle"),
        *(arrow((0.0, _BELOW), (b, _BELOW), both=b > 6.0) if b > 0.0 else ()),
        Words((b / 2.0, _BELOW - 6.0), _length(behind), _TEXT, anchor="middle"),
    ]  # fmt: skip
