"""Blades that were cut and measured back: chord, twist, mass and balance at marks, as a machine that can be computed.

A blade of pipe is described by few numbers, so the readings at its marks are laid through by such a blade; how far they
lie from it is told. A carved one has a table, which takes the readings as they are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calc.cutting.blade import Template, template
from calc.machine.blade_root import ARC, STATION
from calc.machine.catalogue import LABELLED, Sheet
from calc.machine.design import Design, build_design
from calc.machine.entry import Value
from calc.machine.inputs import CannotTellError, Inputs, Unknown
from calc.machine.rotor_curves import BEST_WIND, RotorCurves, root_radius, rotor_of
from calc.machine.site import air_density
from calc.physics.arrays import Array

#: Share of the blade that marks must span for its taper to be told from them; else they only make it wider or
#: narrower as a whole. Own choice, no source.
SPANNED = 0.3


@dataclass(frozen=True, slots=True)
class MarkRead:
    """What was read at one mark of a blade.

    Parameters
    ----------
    r : float
        Distance of the mark from the shaft. [m]
    chord : float, optional
        Straight from edge to edge; of pipe over its outside, as a rule laid across it touches. [m]
    twist : float, optional
        Angle of the chord to the plane of the rotor. [rad]
    """

    r: float
    chord: float | None = None
    twist: float | None = None


@dataclass(frozen=True, slots=True)
class BladeRead:
    """What was read of one blade.

    Parameters
    ----------
    name : str
        Which blade; empty where nobody said.
    marks : tuple of MarkRead
        By radius.
    mass : float, optional
        On the scale. [kg]
    balance_point : float, optional
        Distance from the shaft at which it balances. [m]
    """

    name: str
    marks: tuple[MarkRead, ...] = ()
    mass: float | None = None
    balance_point: float | None = None


def balance_from_scale(mass: float, shown: float, r: float, edge: float) -> float:
    r"""Where a blade balances, from a scale under one mark while its inner end lies on an edge.

    .. math:: r_b = a + m_s (r - a) / m

    Parameters
    ----------
    mass, shown : float
        Of the whole blade, and what the scale shows. [kg]
    r, edge : float
        Distance of mark and edge from the shaft. [m]

    Returns
    -------
    point : float
        Distance from the shaft. [m]

    Raises
    ------
    ValueError
        If the mark does not lie beyond the edge, or the scale shows more than the blade's mass would put on it.

    Examples
    --------
    Moments about the edge: 0.4 kg shown 0.9 m from it hold a blade of 1 kg balancing 0.36 m from it.

    >>> round(balance_from_scale(mass=1.0, shown=0.4, r=1.0, edge=0.1), 3)
    0.46
    """
    if r <= edge:
        raise ValueError("the mark on the scale must lie beyond the edge")
    if not 0.0 < shown < mass:
        raise ValueError("a scale under one mark shows less than the whole blade, and more than nothing")
    return edge + shown * (r - edge) / mass


def cut_as_typed(x: Inputs) -> Template | None:
    """The blade of a sheet as it is cut from pipe; None where it is not, or the sheet says too little for it."""
    if x.maybe(Sheet.blade.section) != "arc of the pipe" or x.maybe(Sheet.blade.material) in ("wood", "glass-fibre"):
        return None
    if x.lacks(*ARC, Sheet.rotor.diameter):
        return None
    D, t, root, tip = (float(x.need(entry)) for entry in ARC)
    R, angle, edge = float(x.rotor.diameter) / 2.0, float(x.blade.mounting_angle), x.blade.straight_edge
    return template(D, t, root, tip, R, float(root_radius(x)), angle, edge)  # type: ignore[arg-type]


def carved_table(x: Inputs) -> tuple[Array, Array, Array] | None:
    """Radius, chord and twist of a carved blade, by radius."""
    labels = x.labels(Sheet.station)
    if len(labels) < 2 or x.lacks(*(column[label] for label in labels for column in STATION)):
        return None
    rows = sorted(tuple(float(x.need(column[label])) for column in STATION) for label in labels)
    r, chord, twist = (np.array(column) for column in zip(*rows, strict=True))
    return r, chord, twist


def by_sheet(x: Inputs, r: Array) -> tuple[Array, Array] | Unknown:
    """Chord as a rule measures it [m] and twist [rad] of the sheet's blade at some radii, shape (marks,)."""
    try:
        cut = cut_as_typed(x)
        if cut is not None:
            at = cut.at(r)
            return at.outside, at.twist
    except ValueError as e:
        return Unknown(f"The blade of the sheet cannot be compared: {e}")
    table = carved_table(x)
    if table is None:
        return Unknown("The sheet does not tell the shape of its blades", tuple(x.lacks(*ARC, Sheet.rotor.diameter)))
    if np.any((r < table[0][0] - 1e-9) | (r > max(table[0][-1], float(x.rotor.diameter) / 2.0) + 1e-9)):
        return Unknown("A mark must lie on the blade")
    return np.interp(r, table[0], table[1]), np.interp(r, table[0], table[2])


def measured_values(x: Inputs, blades: Sequence[BladeRead]) -> dict[str, Value] | Unknown:
    """What the sheet would say if its blades were as measured: of several, their middle.

    Parameters
    ----------
    x : Inputs
        The sheet, scalar.
    blades : sequence of BladeRead
        At least one.

    Returns
    -------
    values : dict of str to float
        By full name, in SI; only what was measured.
    """
    marks = [m for b in blades for m in b.marks if m.chord is not None or m.twist is not None]
    found: dict[str, Value] = {}
    if marks:
        try:
            cut = cut_as_typed(x)
            shape = _pipe_values(cut, marks) if cut is not None else _station_values(x, marks)
        except ValueError as e:
            return Unknown(f"A blade as measured cannot be computed: {e}")
        if isinstance(shape, Unknown):
            return shape
        found |= shape
    weighed = [b.mass for b in blades if b.mass is not None]
    if weighed:
        found[Sheet.blade.mass.full] = float(np.mean(weighed))
    return found


def _pipe_values(cut: Template, marks: Sequence[MarkRead]) -> dict[str, Value]:
    chords = [(m.r, m.chord) for m in marks if m.chord is not None]
    root, tip = cut.root, cut.tip
    if chords:
        r, outside = (np.array(column) for column in zip(*chords, strict=True))
        if np.any(outside > cut.D):
            raise ValueError("a chord is wider than its pipe")
        off = np.arcsin(outside / cut.D) - cut.half(r)
        share = (r - cut.r_root) / cut.length
        if np.ptp(share) >= SPANNED:
            slope, first = np.polyfit(share, off, 1)
        else:
            slope, first = 0.0, float(np.mean(off))
        root, tip = root + float(first), tip + float(first + slope)
    if min(root, tip) <= 0.0 or max(root, tip) > np.pi / 2:
        raise ValueError("these chords make no blade of this pipe from end to end")
    mid = cut.D - cut.t
    found: dict[str, Value] = {}
    if chords:
        found |= {Sheet.blade.chord_root.full: float(mid * np.sin(root)), Sheet.blade.chord_tip.full: float(
            mid * np.sin(tip))}  # fmt: skip
    twists = [(m.r, m.twist) for m in marks if m.twist is not None]
    if twists:
        as_cut = Template(cut.D, cut.t, cut.R, cut.r_root, root, tip, cut.mounting_angle, cut.straight_edge)
        r, twist = (np.array(column) for column in zip(*twists, strict=True))
        found[Sheet.blade.mounting_angle.full] = cut.mounting_angle + float(np.mean(twist - as_cut.at(r).twist))
    return found


def _station_values(x: Inputs, marks: Sequence[MarkRead]) -> dict[str, Value] | Unknown:
    """The table with the readings in it; between and beyond marks the sheet's own shape, moved like the nearest."""
    table = carved_table(x)
    if table is None:
        return Unknown("The sheet does not tell the shape of its blades")
    r, chord, twist = table
    chords, twists = [(m.r, m.chord) for m in marks], [(m.r, m.twist) for m in marks]
    at = np.array(sorted({*r.tolist(), *(m.r for m in marks if r[0] < m.r < r[-1])}))
    rows = zip(
        at,
        np.interp(at, r, chord) + _off(r, chord, chords, at),
        np.interp(at, r, twist) + _off(r, twist, twists, at),
        strict=True,
    )
    found: dict[str, Value] = {}
    for i, row in enumerate(rows):
        found |= {column[f"mark{i}"].full: float(v) for column, v in zip(STATION, row, strict=True)}
    return found


def _off(r: Array, column: Array, read: Sequence[tuple[float, float | None]], at: Array) -> Array:
    """By how much what was read lies off the sheet, at some radii."""
    known: dict[float, list[float]] = {}
    for radius, value in read:
        if value is not None:
            known.setdefault(radius, []).append(value - float(np.interp(radius, r, column)))
    if not known:
        return np.zeros(len(at))
    radii = sorted(known)
    return np.interp(at, radii, [float(np.mean(known[radius])) for radius in radii])


def fitting(x: Inputs, blades: Sequence[BladeRead]) -> Design | Unknown:
    """The design with its blades as measured: shape, mass, and each blade weighed.

    Its ``weighed`` blades are those of the readings and of the sheet, where all of them are known.
    """
    values = measured_values(x, blades)
    if isinstance(values, Unknown):
        return values
    gone = {"station"} if any(name.startswith("station.") for name in values) else set()
    each = weighed_values(x, blades)
    gone |= {"weighed"} if each else set()
    assert gone <= LABELLED
    kept = {name: v for name, v in x.design.values.items() if name.partition(".")[0] not in gone}
    return build_design({**kept, **values, **each}, x.design.assumed)


def on_scale(x: Inputs, blades: Sequence[BladeRead]) -> list[BladeRead]:
    """Mass and balance point of each blade: as read, and as the sheet has it where nothing was read.

    Readings go beside the sheet only where they name its blades; else the sheet's are other ones.
    """
    read = {b.name.casefold(): b for b in blades}
    mass, point = Sheet.weighed.mass, Sheet.weighed.balance_point
    known = {label.casefold(): label for label in x.labels(Sheet.weighed)}
    scaled = {name for name, b in read.items() if b.mass is not None or b.balance_point is not None}
    if not known or not scaled <= known.keys():
        return list(blades)
    found = []
    for name, label in known.items():
        b = read.get(name, BladeRead(name))
        m, p = x.maybe(mass[label]), x.maybe(point[label])
        m, p = m if b.mass is None else b.mass, p if b.balance_point is None else b.balance_point
        found.append(BladeRead(label, (), None if m is None else float(m), None if p is None else float(p)))
    return found


def weighed_values(x: Inputs, blades: Sequence[BladeRead]) -> Mapping[str, Value]:
    """Mass and balance of each blade as the sheet takes them; nothing where of one of them is not known."""
    found: dict[str, Value] = {}
    for i, b in enumerate(on_scale(x, blades), 1):
        if b.mass is None or b.balance_point is None:
            return {}
        label = b.name or str(i)
        found[Sheet.weighed.mass[label].full] = b.mass
        found[Sheet.weighed.balance_point[label].full] = b.balance_point
    return found


def push(x: Inputs) -> float | Unknown:
    """Push of a wind of :data:`calc.machine.rotor_curves.BEST_WIND` on one blade at its rotor's best speed, in [N]."""
    try:
        curves = rotor_of(x)
    except CannotTellError as e:
        return e.unknown
    if not isinstance(curves, RotorCurves):
        return curves
    if curves.ct is None:
        return Unknown("Its rotor is not computed from the shape of its blades")
    tsr, _ = curves.best()
    ct = float(np.asarray(curves.thrust(BEST_WIND, tsr)))
    area = np.pi * float(x.rotor.diameter) ** 2 / 4.0
    return 0.5 * float(np.asarray(air_density(x))) * BEST_WIND**2 * area * ct / float(x.rotor.blades)
