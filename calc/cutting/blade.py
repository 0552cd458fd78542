"""The template of a blade cut from pipe: the outline as it lies on paper wrapped around the outside of the pipe."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calc.physics.arrays import Array, Flags, refuse_if
from calc.physics.blade.shape import Edge, half_angle

#: How the middle of the arc moves from that of the root as the arc narrows, by the edge that lies along the pipe.
_LEAN = {"trailing": -1.0, "leading": 1.0, "neither": 0.0}


@dataclass(frozen=True, slots=True)
class Stations:
    """What is marked at some radii; arrays of shape (marks,).

    Parameters
    ----------
    r : array
        Distance from the shaft. [m]
    width : array
        From edge to edge on the paper, around the outside of the pipe. [m]
    chord, camber : array
        Straight from edge to edge and height of the arc above that, both in the middle of the wall. [m]
    outside : array
        Straight from edge to edge over the outer corners, as a rule laid across measures it. [m]
    twist : array
        Angle between chord and plane of the rotor. [rad]
    trailing, leading : array
        Where the edges lie on the paper, from the line of the bolts. [m]
    """

    r: Array
    width: Array
    chord: Array
    camber: Array
    outside: Array
    twist: Array
    trailing: Array
    leading: Array


@dataclass(frozen=True, slots=True)
class Template:
    """A blade as it is marked out on pipe. On the paper x runs around the pipe and y along it, away from the shaft.

    The line of the bolts is x = 0, the trailing edge lies at negative x. The printed side is seen: the outside of the
    pipe, which the wind does not see.

    Parameters
    ----------
    D, t : float
        Outside diameter and wall of the pipe. [m]
    R, r_root : float
        Radius of the tip, and at which the blade begins. [m]
    root, tip : float
        Half the angle of the arc there. [rad]
    mounting_angle : float
        Angle of the root chord when the wall under the bolts lies flat on the hub. [rad]
    straight_edge : {"trailing", "leading", "neither"}
        Edge that lies along the pipe.
    """

    D: float
    t: float
    R: float
    r_root: float
    root: float
    tip: float
    mounting_angle: float
    straight_edge: Edge

    @property
    def length(self) -> float:
        """Of the blade, along the pipe, in [m]."""
        return self.R - self.r_root

    @property
    def outline(self) -> Array:
        """Corners on the paper, shape (4, 2): trailing edge at root and tip, leading edge at tip and root, in [m]."""
        ends = self.at(np.array([self.r_root, self.R]))
        t, l = ends.trailing, ends.leading
        return np.array([[t[0], self.r_root], [t[1], self.R], [l[1], self.R], [l[0], self.r_root]])

    def half(self, r: Array) -> Array:
        """Half the angle of the arc at some radii, which falls evenly from root to tip, in [rad]."""
        refuse_if((r < self.r_root - 1e-9) | (r > self.R + 1e-9), "a mark must lie on the blade")
        return np.asarray(self.root + (self.tip - self.root) * (r - self.r_root) / self.length)

    def at(self, r: ArrayLike) -> Stations:
        """What is marked at some radii.

        Parameters
        ----------
        r : array, shape (marks,)
            Distance from the shaft. [m]

        Raises
        ------
        ValueError
            If one lies beside the blade.
        """
        r = np.asarray(r, dtype=np.float64)
        beta = self.half(r)
        # Angle from the line of the bolts to the middle of the arc; this is what turns the chord.
        middle = self.mounting_angle + _LEAN[self.straight_edge] * (self.root - beta)
        middle_radius = (self.D - self.t) / 2
        return Stations(
            r,
            width=self.D * beta,
            chord=2 * middle_radius * np.sin(beta),
            camber=middle_radius * (1 - np.cos(beta)),
            outside=self.D * np.sin(beta),
            twist=middle,
            trailing=self.D / 2 * (middle - beta),
            leading=self.D / 2 * (middle + beta),
        )

    def centre(self, r_cog: float) -> tuple[float, float]:
        """Where the centre of gravity lies on the paper, over the middle of what is weighed, in [m].

        Parameters
        ----------
        r_cog : float
            Its distance from the shaft. [m]
        """
        r = np.linspace(self.r_root, self.R, 201)
        marks = self.at(r)
        weigh = marks.width
        x = np.sum((marks.trailing + marks.leading) / 2 * weigh) / np.sum(weigh)
        return float(x), r_cog


def template(
    D: float,
    t: float,
    chord_root: float,
    chord_tip: float,
    R: float,
    r_root: float,
    mounting_angle: float,
    straight_edge: Edge = "trailing",
) -> Template:
    r"""The template of the blade that :func:`calc.physics.blade.cut_from_pipe` describes.

    What lies between two edges on the pipe's outside is as wide on paper as the arc is long,

    .. math:: w(r) = D\,\beta(r), \quad \beta = \arcsin\frac{c}{D - t}

    and not as the chord. Bolted flat on a hub, the wall under the bolts is square to the shaft; a line of bolts that
    lies the mounting angle from the middle of the root's arc therefore gives just this angle.

    Parameters
    ----------
    D, t, chord_root, chord_tip, R, r_root, mounting_angle, straight_edge
        See :func:`calc.physics.blade.cut_from_pipe`. [m], [rad]

    Raises
    ------
    ValueError
        If the pipe cannot give such a blade, or the line of the bolts would not lie on it.

    Examples
    --------
    >>> cut = template(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(21.0))
    >>> (cut.outline[:, 0] * 1e3).round(1).tolist()
    [-23.1, -23.1, 23.8, 81.7]
    >>> marks = cut.at(np.array([0.08, 0.65]))
    >>> (marks.width * 1e3).round(1).tolist(), np.degrees(marks.twist).round(1).tolist()
    ([104.8, 46.8], [21.0, 0.3])

    Notes
    -----
    Edges are cut square to the wall. Paper is taken as thin: card of a thickness k lies on a circle that is k wider.
    """
    refuse_if(r_root <= 0, "the blade must begin outside the shaft")
    refuse_if(r_root >= R, "the blade must begin inside the tip")
    root, tip = float(half_angle(D, t, chord_root)), float(half_angle(D, t, chord_tip))
    made = Template(D, t, R, r_root, root, tip, mounting_angle, straight_edge)
    ends = made.at(np.array([r_root, R]))
    refuse_if(
        not ends.trailing[0] < 0 < ends.leading[0],
        "bolted flat, the line of the bolts would not lie on the blade at that mounting angle",
    )
    return made


@dataclass(frozen=True, slots=True)
class Bolts:
    """Bolt holes of a blade on its template.

    Parameters
    ----------
    y : tuple of float
        Distance of each from the shaft. [m]
    end, side : float
        From the middle of the innermost to the end of the blade, and from that of the worst placed to the nearer
        edge, around the outside. [m]
    """

    y: tuple[float, ...]
    end: float
    side: float


def bolt_holes(of: Template, n: int, end: float, spacing: float) -> Bolts:
    """Holes in a row along the blade, and how near to its edges they come.

    Parameters
    ----------
    of : Template
        The blade.
    n : int
        Bolts of one blade.
    end, spacing : float
        From the end of the blade to the first, and from one to the next. [m]

    Raises
    ------
    ValueError
        If the row does not lie on the blade.

    Examples
    --------
    >>> cut = template(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(21.0))
    >>> holes = bolt_holes(cut, 2, 0.025, 0.030)
    >>> [round(y, 3) for y in holes.y], round(holes.side, 4)
    ([0.105, 0.135], 0.0231)
    """
    y = of.r_root + end + spacing * np.arange(n)
    refuse_if(y[-1] > of.R, "the row of bolts is longer than the blade")
    marks = of.at(y)
    side = float(np.min(np.minimum(-marks.trailing, marks.leading)))
    return Bolts(tuple(map(float, y)), end, side)


def root_clearance(of: Template, blades: int) -> float:
    """Gap between the roots of neighbouring blades on the hub, in the plane of the rotor, at least, in [m].

    Negative where they would stand in each other. What lies between is the distance of the one's leading corner from
    the line half way between them and that of the other's trailing corner.

    Examples
    --------
    >>> cut = template(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(21.0))
    >>> round(root_clearance(cut, 3), 3)
    0.093
    """
    behind, ahead = _reach(of, np.array([of.r_root]))
    # Distance of each corner from the line half way to the next blade; both neighbours have the other corner there.
    half = np.pi / blades
    gap = [of.r_root * np.sin(half) - side[0] * np.cos(half) for side in (behind, ahead)]
    return float(sum(gap))


def _reach(of: Template, r: Array) -> tuple[Array, Array]:
    """How far the edges lie behind and ahead of the blade's radius in the plane of the rotor, in [m]."""
    marks = of.at(r)
    outside = of.D / 2
    return outside * np.sin(-marks.trailing / outside), outside * np.sin(marks.leading / outside)


def root_cut(of: Template, blades: int, gap: float) -> Array | None:
    """What must come off the root so that the blades clear each other on the hub.

    Parameters
    ----------
    of : Template
        The blade.
    blades : int
        How many sit on the hub.
    gap : float
        Least distance that is to be left between two of them. [m]

    Returns
    -------
    points : array, shape (n, 2), or None
        Outline of the root's end in place of the straight one, from the leading edge to the trailing edge, on the
        paper [m]; None where nothing has to come off.

    Raises
    ------
    ValueError
        If nothing would be left under the bolts.

    Examples
    --------
    >>> narrow = template(0.160, 0.004, 0.095, 0.045, 0.65, 0.02, np.radians(21.0))
    >>> root_cut(narrow, 3, 0.005).shape[1], root_cut(narrow, 2, 0.005)
    (2, None)
    """
    if blades < 2 or root_clearance(of, blades) >= gap:
        return None
    half = np.pi / blades
    r = np.linspace(of.r_root, of.R, 2001)
    marks = of.at(r)
    outside = of.D / 2
    behind, ahead = _reach(of, r)
    # On each side a blade may reach to the line half way to its neighbour, less half the gap.
    room = r * np.tan(half) - gap / 2 / np.cos(half)
    refuse_if(room[0] <= 0.0, "the blades would meet at the shaft: nothing is left of their roots")
    on_paper = outside * np.arcsin(np.clip(room / outside, 0.0, 1.0))
    lead, trail = (_thinned(side > room) for side in (ahead, behind))
    left = [[float(on_paper[i]), float(r[i])] for i in lead][::-1]
    right = [[-float(on_paper[i]), float(r[i])] for i in trail]
    left = left or [[float(marks.leading[0]), of.r_root]]
    right = right or [[float(marks.trailing[0]), of.r_root]]
    return np.array([*left, *right])


def _thinned(where: Flags) -> list[int]:
    """Places at which something holds, every eighth and the last: as many as a curve on paper needs."""
    there = np.flatnonzero(where)
    return sorted({*map(int, there[::8]), *map(int, there[-1:])})
