r"""Lift and drag of blade sections at every angle.

Plates bent to a circular arc, which is what a piece of pipe is, come from a published table (an estimate by a
neural surrogate, see the head of ``tables/arc_plate.csv``). Any other section is given as a table of its own.
Both go over into a flat plate where the table ends or is not to be trusted:

.. math:: c_l = 2 \sin\alpha\cos\alpha, \quad c_d = 2 \sin^2\alpha

The difference between the section and the flat plate at the last angle dies away over the next 20 degrees.

The surrogate says how sure it is of each row. From 8 degrees up the first row with less than half confidence
ends the use of the table. Below 8 degrees unsure rows are kept, for want of anything better: a flat plate has
no camber and would be further off. Deep or thick plates
(camber above 0.12, wall above 0.06 of the chord) are unsure nearly everywhere.

References
----------
.. [1] D. Wood, Small Wind Turbines, Springer 2011, sec. 4.4: flat plate at high angle, Re below 2e5.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from calc.physics.arrays import Array, Flags, refuse_if
from calc.tables import table_rows
from calc.units import Num

Pairs = NDArray[np.complex128]

_TABLE = Path(__file__).parents[1] / "tables" / "arc_plate.csv"
_STEP = np.pi / 180
#: Angle over which a section goes over into a flat plate. [rad]
JOIN = 20 * _STEP
#: From this angle up, the first row with less than TRUST ends the use of the table: there the plate stalls.
#: Curved plates at these Reynolds numbers lift most near 8 to 10 degrees; from memory.
STALL_FROM, TRUST = 8, 0.5
#: Angles [deg] and Reynolds numbers in which the blades of small machines do most of their work: from memory.
WORKING, WORKING_RE = (2.0, 8.0), (6e4, 2e5)
#: Doubt of lift and drag where the estimator is sure, and what its unsureness adds, as shares. Own judgement, no
#: source: 8 % and 15 % where it is sure, 40 % and 60 % where it is not.
LIFT_DOUBT, DRAG_DOUBT = (0.08, 0.32), (0.15, 0.45)


@dataclass(frozen=True, slots=True)
class Section:
    """Lift and drag of one or many sections as their excess over a flat plate.

    Parameters
    ----------
    excess : complex array, shape (..., reynolds, angles)
        Excess of lift + 1j * excess of drag; nothing at the first and last angle. One complex number holds
        both because both are always looked up together.
    log_re : array, shape (reynolds,)
        Natural logarithm of the Reynolds numbers.
    low, step : float
        First angle, and distance between angles. [rad]
    """

    excess: Pairs
    log_re: Array
    low: float
    step: float

    def rows(self, Re: Num) -> tuple[NDArray[np.intp], Array]:
        """Row below each Reynolds number, held at the ends, and the share of the row above it.

        Parameters
        ----------
        Re : array, shape (...,)
            Reynolds number.

        Returns
        -------
        row, share : array, shape (...,)
        """
        x = np.log(Re)
        last = len(self.log_re) - 2
        row = np.clip(np.searchsorted(self.log_re, x, side="right") - 1, 0, last)
        share = (x - self.log_re[row]) / (self.log_re[row + 1] - self.log_re[row])
        return row, np.clip(share, 0.0, 1.0)

    def inside(self, Re: Num) -> NDArray[np.bool_]:
        """Whether each Reynolds number lies inside the table."""
        x = np.log(Re)
        return np.asarray((x >= self.log_re[0] - 1e-9) & (x <= self.log_re[-1] + 1e-9))

    def look_up(self, alpha: Array, start: NDArray[np.intp], share: Array) -> Pairs:
        """Excess over the flat plate.

        Parameters
        ----------
        alpha : array, shape (...,)
            Angle between chord and wind, from -pi to pi. [rad]
        start : integer array, shape (...,)
            Place of the lower row's first angle in the flattened ``excess``.
        share : array, shape (...,)
            Share of the upper row.
        """
        width = self.excess.shape[-1]
        flat = self.excess.reshape(-1)
        x = np.clip((alpha - self.low) * (1 / self.step), 0.0, width - 1.000000001)
        i = x.astype(np.intp)
        x -= i
        i += start
        one, two = flat.take(i), flat.take(i + 1)
        two -= one
        two *= x
        one += two
        i += width
        three, four = flat.take(i), flat.take(i + 1)
        four -= three
        four *= x
        three += four
        three -= one
        three *= share
        one += three
        return one

    def at(self, alpha: Num, Re: Num, lift_factor: Num = 1.0, drag_factor: Num = 1.0) -> tuple[Num, Num]:
        """Lift and drag coefficient.

        Parameters
        ----------
        alpha : float or array, shape (...,)
            Angle between chord and wind. [rad]
        Re : float or array, shape (...,)
            Reynolds number, held at the ends of the table (see :meth:`inside`).
        lift_factor, drag_factor : float or array, shape (...,)
            Doubt, as a factor.

        Returns
        -------
        cl, cd : float or array, shape (...,)
            The sections of ``excess`` are broadcast against the arguments.

        Examples
        --------
        Far beyond its stall a bent plate is like a flat one, 2 sin 45 cos 45 and 2 sin^2 45:

        >>> arc_plate(0.08, 0.04).at(np.radians(45.0), 1e5)
        (1.0, 1.0)
        """
        sections = self.excess.shape[:-2]
        shape = np.broadcast_shapes(sections, np.shape(alpha), np.shape(Re))
        around = wrapped(np.broadcast_to(alpha, shape))
        row, share = self.rows(np.broadcast_to(Re, shape))
        first = np.arange(int(np.prod(sections))).reshape(sections)
        start = (first * self.excess.shape[-2] + row) * self.excess.shape[-1]
        got = self.look_up(around, start, share)
        cl = (got.real + np.sin(2 * around)) * lift_factor
        cd = (got.imag + 2 * np.sin(around) ** 2) * drag_factor
        return (float(cl), float(cd)) if np.ndim(cl) == 0 else (cl, cd)


@dataclass(frozen=True, slots=True)
class _ArcTable:
    """The table of arc plates: nodes, and excess over the flat plate."""

    camber: Array
    thickness: Array
    log_re: Array
    low: float
    excess: Pairs
    trust: Array


def wrapped(alpha: Num) -> Array:
    """Bring an angle into -pi to pi."""
    return np.asarray((np.asarray(alpha) + np.pi) % (2 * np.pi) - np.pi)


def _fading(steps: int) -> Array:
    """Share of the excess left on the way to the flat plate: 1 to 0, level at both ends."""
    x = np.arange(1, steps + 1) / steps
    return 1 - x * x * (3 - 2 * x)


def _plate(alpha: Array) -> Pairs:
    """Lift + 1j * drag of a flat plate."""
    return np.asarray(np.sin(2 * alpha) + 2j * np.sin(alpha) ** 2)


def _joined(alpha: Array, values: Pairs, last: NDArray[np.intp], step: float) -> Pairs:
    """Excess over the flat plate with its two joins.

    Parameters
    ----------
    alpha : array, shape (angles,)
        Even angles. [rad]
    values : complex array, shape (..., angles)
        Lift + 1j * drag.
    last : integer array, shape (...,)
        Number of the last angle that is used.
    step : float
        Distance between the angles. [rad]

    Returns
    -------
    excess : complex array, shape (..., angles + 2 * steps of the join)
    """
    steps = round(JOIN / step)
    excess = values - _plate(alpha)
    end = np.take_along_axis(excess, last[..., None], axis=-1)
    fading = np.concatenate([_fading(steps), np.zeros(len(alpha))])
    beyond = np.arange(len(alpha) + steps) - last[..., None]
    tail = end * fading[np.clip(beyond - 1, 0, None)]
    padded = np.concatenate([excess, np.zeros((*excess.shape[:-1], steps))], axis=-1)
    front = excess[..., :1] * _fading(steps)[::-1]
    return np.concatenate([front, np.where(beyond > 0, tail, padded)], axis=-1)


def _last_trusted(degrees: Array, trust: Array) -> NDArray[np.intp]:
    """Number of the last angle before the estimate is no longer trusted, looked for from the stall on."""
    stalled = (degrees >= STALL_FROM) & (trust < TRUST)
    stop = np.where(stalled.any(axis=-1), stalled.argmax(axis=-1) - 1, len(degrees) - 1)
    return np.maximum(stop, int(np.flatnonzero(degrees == STALL_FROM)[0]))


@cache
def _arc_table() -> _ArcTable:
    """Read the table of arc plates once."""
    lines = _TABLE.read_text(encoding="utf-8").splitlines()
    first = next(i for i, line in enumerate(lines) if not line.startswith("#")) + 1
    numbers = np.fromstring(",".join(lines[first:]), sep=",").reshape(-1, 7)
    nodes = [np.unique(numbers[:, k]) for k in range(4)]
    shape = tuple(len(axis) for axis in nodes)
    # The rows stand in order: camber, thickness, Reynolds number, angle.
    cl, cd, trust = (numbers[:, k].reshape(shape) for k in (4, 5, 6))
    degrees = nodes[3]
    last = _last_trusted(degrees, trust)
    excess = _joined(degrees * _STEP, cl + 1j * cd, last, _STEP)
    steps = round(JOIN / _STEP)
    return _ArcTable(
        camber=nodes[0],
        thickness=nodes[1],
        log_re=np.log(nodes[2]),
        low=float(degrees[0] - steps) * _STEP,
        excess=excess,
        trust=trust[..., _in_use(nodes[2], WORKING_RE), :][..., _in_use(degrees, WORKING)].mean(axis=(-2, -1)),
    )


def _in_use(nodes: Array, ends: tuple[float, float]) -> Flags:
    return np.asarray((nodes >= ends[0]) & (nodes <= ends[1]))


def _between(nodes: Array, x: Num) -> tuple[NDArray[np.intp], Array]:
    """Node below and share of the node above."""
    i = np.clip(np.searchsorted(nodes, x, side="right") - 1, 0, len(nodes) - 2)
    return i, np.asarray((x - nodes[i]) / (nodes[i + 1] - nodes[i]))


def refuse_untabled(camber: Num, thickness: Num) -> None:
    """Refuse arc plates whose camber or wall lies outside the table.

    Parameters
    ----------
    camber, thickness : float or array, shape (...,)
        See :func:`arc_plate`.

    Raises
    ------
    ImpossibleError
        Naming what lies outside, and which variants.
    """
    arc = _arc_table()
    for what, nodes, x in (("camber", arc.camber, camber), ("thickness", arc.thickness, thickness)):
        outside = np.less(x, nodes[0] - 1e-9) | np.greater(x, nodes[-1] + 1e-9) | np.isnan(x)
        refuse_if(outside, f"{what} must lie between {nodes[0]:g} and {nodes[-1]:g}")


def arc_plate(camber: Num, thickness: Num) -> Section:
    """Arc plates of given shape, for use at many angles and Reynolds numbers.

    Parameters
    ----------
    camber, thickness : float or array, shape (...,)
        Height of the arc and wall, as a share of the chord: 0.03 to 0.25 and 0.02 to 0.15.

    Returns
    -------
    section : Section
        Holding one section for each camber.

    Raises
    ------
    ImpossibleError
        If camber or thickness lie outside the table.

    Notes
    -----
    An estimate, not a measurement. It holds for a plate with a rounded nose and a tapered rear edge. Raw sawn
    edges are worse.

    Examples
    --------
    >>> cl, cd = arc_plate(0.08, 0.04).at(np.radians(5.0), 1e5)
    >>> round(cl, 2), round(cd, 3)
    (1.03, 0.028)
    """
    arc = _arc_table()
    refuse_untabled(camber, thickness)
    camber, thickness = np.broadcast_arrays(camber, thickness)
    i, u = _between(arc.camber, camber)
    j, v = _between(arc.thickness, thickness)
    # Real arithmetic on whole rows: this is where much of the time of a rotor's solution goes.
    flat = arc.excess.view(np.float64).reshape(len(arc.camber) * len(arc.thickness), -1)
    first = i * len(arc.thickness) + j
    u, v = u[..., None], v[..., None]
    blend = flat.take(first, axis=0)
    blend *= (1 - u) * (1 - v)
    for corner, weight in (
        (1, (1 - u) * v),
        (len(arc.thickness), u * (1 - v)),
        (len(arc.thickness) + 1, u * v),
    ):
        more = flat.take(first + corner, axis=0)
        more *= weight
        blend += more
    excess = blend.view(np.complex128).reshape(*i.shape, *arc.excess.shape[2:])
    return Section(excess=excess, log_re=arc.log_re, low=arc.low, step=_STEP)


def plate_doubt(camber: Num, thickness: Num) -> tuple[Num, Num]:
    """How far lift and drag of an arc plate at work may be off, as a share of themselves.

    Parameters
    ----------
    camber, thickness : float or array, shape (...,)
        See :func:`arc_plate`.

    Returns
    -------
    lift, drag : float or array, shape (...,)

    Raises
    ------
    ImpossibleError
        If camber or thickness lie outside the table.

    Notes
    -----
    From the estimator's own confidence in the angles and Reynolds numbers of :data:`WORKING` and
    :data:`WORKING_RE`; what its confidence is worth is our own judgement.

    Examples
    --------
    Next to nothing is known of a deep and thick plate, more of a flat and thin one:

    >>> lift, drag = plate_doubt(np.array([0.18, 0.08]), np.array([0.05, 0.03]))
    >>> lift.round(2), drag.round(2)
    (array([0.38, 0.2 ]), array([0.58, 0.32]))
    """
    arc = _arc_table()
    refuse_untabled(camber, thickness)
    (i, u), (j, v) = _between(arc.camber, camber), _between(arc.thickness, thickness)
    low = arc.trust[i, j] * (1 - v) + arc.trust[i, j + 1] * v
    high = arc.trust[i + 1, j] * (1 - v) + arc.trust[i + 1, j + 1] * v
    return _doubts(low * (1 - u) + high * u)


def _doubts(trust: Num) -> tuple[Num, Num]:
    lift, drag = (sure + unsure * (1 - trust) for sure, unsure in (LIFT_DOUBT, DRAG_DOUBT))
    return lift, drag


#: Sections that :func:`named_section` knows.
NAMED = ("NACA 2412", "NACA 4412", "NACA 4415", "NACA 4418", "Clark Y", "SG6043")


@cache
def named_section(name: str) -> Section:
    """Named section for carved blades, over Reynolds number.

    Parameters
    ----------
    name : str
        One of :data:`NAMED`.

    Returns
    -------
    section : Section
        One section with rows over Reynolds number, joined to a flat plate beyond the angles of the table, and
        from the stall on where the estimate is not trusted.

    Raises
    ------
    ValueError
        If the table has no such section.

    Examples
    --------
    >>> named_section("NACA 4412").excess.shape[:-1]
    (7,)

    References
    ----------
    .. [1] E. N. Jacobs, K. E. Ward, R. M. Pinkerton, NACA Report 460, 1933, for the shape.
    .. [2] P. Giguere, M. S. Selig, New Airfoils for Small Horizontal Axis Wind Turbines, J. Sol. Energy Eng. 120,
       1998, for SG6043; from memory.
    .. [3] The head of ``tables/named_sections.csv`` for the coefficients, which are an estimate.
    """
    rows = [row for row in table_rows("named_sections") if row["section"] == name]
    if not rows:
        raise ValueError(f"no table for {name}; there are {', '.join(NAMED)}")
    degrees = np.unique([float(row["alpha"]) for row in rows])
    reynolds = np.unique([float(row["reynolds"]) for row in rows])
    cl, cd, trust = (
        np.array([float(row[k]) for row in rows]).reshape(len(reynolds), len(degrees))
        for k in ("cl", "cd", "confidence")
    )
    excess = _joined(degrees * _STEP, cl + 1j * cd, _last_trusted(degrees, trust), _STEP)
    low = float(degrees[0] - round(JOIN / _STEP)) * _STEP
    return Section(excess=excess, log_re=np.log(reynolds), low=low, step=_STEP)


#: Doubt of lift and drag that are typed: measured at one Reynolds number, and used at all. Own judgement, no source.
TYPED_DOUBT = 0.12, 0.25
#: Angles that a typed table must hold: below the working ones it ends, above them the blade stalls. [rad]
TYPED_FROM, TYPED_TO = 0.0 * _STEP, 8.0 * _STEP


def typed_section(alpha: Array, cl: Array, cd: Array) -> Section:
    """Section from lift and drag at some angles, the same at every Reynolds number.

    Parameters
    ----------
    alpha : array, shape (angles,)
        Angles between chord and wind, rising. [rad]
    cl, cd : array, shape (angles,)
        Lift and drag coefficient there; in straight lines between them.

    Returns
    -------
    section : Section
        Joined to a flat plate beyond the angles given.

    Raises
    ------
    ValueError
        If the angles do not rise, or leave out part of 0 to 8 degrees, where blades work.

    Examples
    --------
    >>> section = typed_section(np.radians([-4.0, 0.0, 8.0, 12.0]), np.array([0.0, 0.4, 1.2, 1.4]), np.full(4, 0.02))
    >>> [round(float(c), 3) for c in section.at(np.radians(6.0), 1e5)]
    [1.0, 0.02]
    """
    if len(alpha) < 2 or not np.all(np.diff(alpha) > 0):
        raise ValueError("the angles of the table of lift and drag must differ from each other")
    if alpha[0] > TYPED_FROM + 1e-9 or alpha[-1] < TYPED_TO - 1e-9:
        raise ValueError("the table of lift and drag must reach from 0 to 8 degrees, where blades work")
    # Steps of one degree, as in the tables; the ends of the typed ones are drawn in to whole degrees.
    even = np.arange(np.ceil(alpha[0] / _STEP - 1e-6), np.floor(alpha[-1] / _STEP + 1e-6) + 1.0)
    values = np.interp(even * _STEP, alpha, cl) + 1j * np.interp(even * _STEP, alpha, cd)
    both = np.stack([values, values])
    excess = _joined(even * _STEP, both, np.full(2, len(even) - 1), _STEP)
    low = (even[0] - round(JOIN / _STEP)) * _STEP
    return Section(excess=excess, log_re=np.log([1e4, 1e6]), low=float(low), step=_STEP)


@cache
def named_doubt(name: str) -> tuple[float, float]:
    """How far lift and drag of a named section at work may be off; see :func:`plate_doubt`.

    Examples
    --------
    >>> [round(share, 2) for share in named_doubt("NACA 4412")]
    [0.09, 0.16]
    """
    rows = [row for row in table_rows("named_sections") if row["section"] == name]
    used = [
        float(row["confidence"])
        for row in rows
        if WORKING[0] <= float(row["alpha"]) <= WORKING[1] and WORKING_RE[0] <= float(row["reynolds"]) <= WORKING_RE[1]
    ]
    lift, drag = _doubts(float(np.mean(used)))
    return float(lift), float(drag)
