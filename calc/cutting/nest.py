"""How blades lie on one pipe with least waste, and how many a pipe of some length gives."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc.cutting.blade import Template
from calc.physics.arrays import refuse_if

#: Lengths in which drain pipe is sold. Common practice, no source. [m]
LENGTHS = (0.5, 1.0, 2.0, 3.0, 5.0, 6.0)

#: What a cut of a saw takes away, and what stays free for the pipe's seam or line of print. Common practice, no source.
#: [m]
KERF, SEAM = 0.003, 0.010


@dataclass(frozen=True, slots=True)
class Laid:
    """One blade on the pipe's outside laid flat.

    Parameters
    ----------
    x, y : float
        Corner of its box, around the pipe from the seam and along it from one end. [m]
    turned : bool
        Whether its root lies where the others have their tip.
    """

    x: float
    y: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Nest:
    """Blades on one pipe.

    Parameters
    ----------
    length : float
        Of the pipe. [m]
    around, rows : int
        Blades side by side, and one after the other.
    places : tuple of Laid
        Of each of them.
    waste : float
        Share of the pipe that becomes no blade.
    free : float
        Width of the strip that stays free around the pipe, the seam in it. [m]
    """

    length: float
    around: int
    rows: int
    places: tuple[Laid, ...]
    waste: float
    free: float

    @property
    def blades(self) -> int:
        """How many the pipe gives."""
        return self.around * self.rows


def _taken(of: Template, n: int, kerf: float) -> float:
    """Width that n blades side by side take, head beside tail, with a cut on each side, in [m]."""
    return _corner(of, n - 1, kerf) + _widths(of)[0] + kerf


def _corner(of: Template, i: int, kerf: float) -> float:
    """Where the box of the blade of some number begins, behind the first cut, in [m]."""
    wide, narrow = _widths(of)
    if of.straight_edge == "neither":
        # Both edges are slanted, each by half of what the blade narrows.
        return i * ((wide + narrow) / 2 + kerf)
    return (i // 2) * (wide + narrow + 2 * kerf) + (i % 2) * (narrow + kerf)


def _widths(of: Template) -> tuple[float, float]:
    ends = sorted((of.D * of.root, of.D * of.tip))
    return ends[1], ends[0]


def nest(of: Template, length: float, kerf: float, seam: float) -> Nest:
    """How blades lie on a pipe: side by side, every other one turned end for end, so that slant lies on slant.

    A blade turned end for end on the pipe is the same blade; laid over, face down, it would be one for a rotor that
    turns the other way. All lie along the pipe, the way it was drawn.

    Parameters
    ----------
    of : Template
        The blade.
    length : float
        Of the pipe. [m]
    kerf : float
        What a cut takes away. [m]
    seam : float
        Width that stays free around the pipe for its seam or its line of print. [m]

    Raises
    ------
    ValueError
        If the pipe is shorter than a blade.

    Examples
    --------
    >>> import numpy as np
    >>> from calc.cutting.blade import template
    >>> cut = template(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(21.0))
    >>> found = nest(cut, 2.0, kerf=0.003, seam=0.010)
    >>> found.around, found.rows, round(found.waste, 2)
    (6, 3, 0.23)
    """
    refuse_if(kerf < 0 or seam < 0, "a cut and a seam have no less than no width")
    refuse_if(length < of.length, "the pipe is shorter than one blade")
    around_pipe = math.pi * of.D
    around = 1
    while _taken(of, around + 1, kerf) + seam <= around_pipe:
        around += 1
    rows = int((length + kerf) / (of.length + kerf) + 1e-9)
    wide, narrow = _widths(of)
    places = []
    for row in range(rows):
        y = row * (of.length + kerf)
        for i in range(around):
            places.append(Laid(seam / 2 + kerf / 2 + _corner(of, i, kerf), y, bool(i % 2)))
    area = (wide + narrow) / 2 * of.length * around * rows
    free = around_pipe - _taken(of, around, kerf)
    return Nest(length, around, rows, tuple(places), 1.0 - area / (around_pipe * length), free)


def shortest(of: Template, blades: int, kerf: float, seam: float) -> float:
    """The shortest pipe, of those that are sold, that gives so many blades; the longest where none does, in [m].

    Examples
    --------
    >>> import numpy as np
    >>> from calc.cutting.blade import template
    >>> cut = template(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, np.radians(21.0))
    >>> shortest(cut, 3, kerf=0.003, seam=0.010)
    1.0
    """
    for length in LENGTHS:
        if length >= of.length and nest(of, length, kerf, seam).blades >= blades:
            return length
    return max(LENGTHS[-1], of.length)
