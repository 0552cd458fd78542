"""Guys: pull in the ropes, what they press on the mast, and what ropes, ends, clips and turnbuckles bear."""

from __future__ import annotations

import math
from functools import cache
from typing import cast

import numpy as np

from calc.tables import Row, table_rows
from calc.units import Num

_GRAVITY = 9.80665
#: Drag coefficient of a rope in slow flow; EN 1993-3-1, from memory.
CD_ROPE = 1.2


def guy_tension(H: Num, theta: Num) -> Num:
    r"""Pull in one guy that alone withstands a force sideways.

    .. math:: T = H / \cos\theta

    Parameters
    ----------
    H : float or array, shape (...,)
        Force sideways at the level. [N]
    theta : float or array, shape (...,)
        Angle of the guy above the ground. [rad]

    Returns
    -------
    T : float or array, shape (...,)
        Pull. [N]

    Examples
    --------
    >>> float(guy_tension(1000.0, math.radians(45.0)))
    1414.2
    """
    return H / np.cos(theta)


def worst_share(n: Num) -> Num:
    r"""Pull of the hardest pulled of several guys, leeward ones slack, beside that of one in line with the wind.

    With three guys that is not the wind over an anchor: blowing square to the second, the first has to hold
    :math:`1 / \sin 120°` as much.

    Parameters
    ----------
    n : int or array, shape (...,)
        Number of guys around the mast, evenly spread; three or more.

    Examples
    --------
    >>> [float(v) for v in (worst_share(3), worst_share(4))]
    [1.1547, 1.0]
    """
    n = np.asarray(n, dtype=float)
    return np.where(n < 4, 1.0 / np.sin(2.0 * math.pi / np.maximum(n, 3.0)), 1.0)


def hardest(H: Num, theta: Num, n: Num, T_0: Num = 0.0) -> Num:
    r"""Greatest pull in any of ``n`` guys of one level, whichever way the wind blows.

    .. math:: T = \max\left(s_n \frac{H}{\cos\theta},\; T_0 + \frac{2}{n} \frac{H}{\cos\theta}\right)

    Parameters
    ----------
    H, theta : float or array, shape (...,)
        Force sideways at the level [N], and angle of the guys above the ground [rad].
    n : float or array, shape (...,)
        Number of guys of the level, three or more.
    T_0 : float or array, shape (...,)
        Pull without wind. [N]

    Returns
    -------
    T : float or array, shape (...,)
        Pull, never less than the true one; without loads along the ropes. [N]

    Notes
    -----
    While all are tight a guy gains at most two shares in ``n`` of the force; once those to leeward are slack the rest
    withstand it by themselves. Derived here; tested against a search for the balance of ropes that cannot push.

    Examples
    --------
    >>> [float(v) for v in (hardest(1000.0, math.radians(45.0), 3), hardest(1000.0, math.radians(45.0), 3, T_0=2000.0))]
    [1633.0, 2942.8]
    """
    alone = guy_tension(H, theta)
    return np.maximum(worst_share(n) * alone, T_0 + 2.0 / np.asarray(n, dtype=float) * alone)


def keeps_tight(H: Num, theta: Num, n: Num) -> Num:
    r"""Pull without wind with which the guys to leeward of one level just hang slack.

    .. math:: T_0 = \frac{2}{n} \frac{H}{\cos\theta}

    Arguments as :func:`hardest`, of which it is the other side: what the guy to windward gains, that to leeward loses.

    Examples
    --------
    >>> float(keeps_tight(1000.0, math.radians(45.0), 4))
    707.1
    """
    return cast(Num, 2.0 / np.asarray(n, dtype=float) * guy_tension(H, theta))


def pressed(H: Num, theta: Num, n: Num, T_0: Num = 0.0) -> Num:
    r"""Greatest load that the guys of one level press onto the mast, in [N]; arguments as :func:`hardest`.

    .. math:: N = \max\left(\frac{H \tan\theta}{\cos(\pi / \min(n, 4))},\;
              H \tan\theta + \tfrac{n}{2} T_0 \sin\theta,\; n T_0 \sin\theta\right)

    Wind between two guys, which both pull, presses more than wind over one; guys across the wind keep their own pull.
    Derived here; never less than the true one, at most a tenth more, tested as :func:`hardest`.

    Examples
    --------
    >>> float(pressed(1000.0, math.radians(45.0), 4))
    1414.2
    """
    n = np.asarray(n, dtype=float)
    alone, all_tight = H * np.tan(theta), n * T_0 * np.sin(theta)
    between = alone / np.cos(math.pi / np.clip(n, 3.0, 4.0))
    return np.maximum(np.maximum(between, alone + all_tight / 2.0), all_tight)


def drag_at_level(q: Num, d: Num, L: Num, theta: Num, n: Num) -> Num:
    r"""Wind on all guys of one level that their upper ends pass on to the mast, half of what they catch.

    .. math:: H = \tfrac{n}{2} C_d\, q\, d\, L \left(1 - \tfrac12 \cos^2\theta\right)

    Parameters
    ----------
    q : float or array, shape (...,)
        Pressure of the wind. [Pa]
    d, L, theta : float or array, shape (...,)
        Diameter [m], length [m] and angle above the ground [rad] of a guy.
    n : float or array, shape (...,)
        Number of guys, three or more, evenly spread.

    Returns
    -------
    H : float or array, shape (...,)
        Force sideways. [N]

    Notes
    -----
    A rope at an angle to the wind catches by the square of its sine, of which the guys all around have this mean,
    whichever way it blows. All of it counts as blowing one way, which is a fifth too much at most.

    Examples
    --------
    >>> float(drag_at_level(1000.0, 0.006, 10.0, math.radians(45.0), 4))
    108.0

    References
    ----------
    .. [1] Drag 1.2 of a rope, EN 1993-3-1, Annex B; from memory.
    """
    return np.asarray(n) / 2.0 * CD_ROPE * q * d * L * (1.0 - 0.5 * np.square(np.cos(theta)))


def loaded_along(T: Num, EA: Num, L: Num, w: Num) -> Num:
    r"""Pull in a taut rope between two points that stay where they are, once a load lies along it.

    .. math:: S^2 (S - T) = \tfrac{1}{24} E A\, w^2 L^2

    Parameters
    ----------
    T : float or array, shape (...,)
        Pull without it. [N]
    EA : float or array, shape (...,)
        Stiffness of the rope. [N]
    L, w : float or array, shape (...,)
        Length [m], and even load square to the rope [N/m].

    Returns
    -------
    S : float or array, shape (...,)
        Pull in its middle. [N]

    Notes
    -----
    The parabola of a shallow rope; holds up to a sag of a tenth of the length. Its root is Cardano's.

    Examples
    --------
    >>> float(loaded_along(1000.0, 1.2e6, 10.0, 5.0))
    1102.8
    """
    c, third = EA * np.square(np.asarray(w) * L) / 24.0, np.asarray(T, dtype=float) / 3.0
    middle = third**3 + c / 2.0
    u = np.maximum(np.cbrt(middle + np.sqrt(c * (c / 4.0 + third**3))), 1e-12)
    return np.asarray(third + u + third**2 / u)


def level_stiffness(E: Num, A: Num, L: Num, theta: Num, n: Num, slack: bool = False) -> Num:
    r"""How stiffly the guys of a level hold it sideways.

    .. math:: k = \frac{n}{2} \frac{E A}{L} \cos^2\theta

    Parameters
    ----------
    E, A : float or array, shape (...,)
        Modulus of elasticity of the rope as a rope [Pa], and its steel [m2].
    L, theta : float or array, shape (...,)
        Length [m] and angle above the ground [rad].
    n : float or array, shape (...,)
        Number of guys, three or more, evenly spread.
    slack : bool
        Whether only one guy holds, those to leeward being slack.

    Returns
    -------
    k : float or array, shape (...,)
        Stiffness; sag makes it less. [N/m]

    Examples
    --------
    14.6 mm2 of wire, 100 GPa, 11.314 m at 45 deg, three guys; worked by hand 96.79 kN/m:

    >>> float(level_stiffness(100e9, 14.6e-6, 11.314, math.radians(45.0), 3) / 1e3)
    96.78
    """
    one = E * A / L * np.square(np.cos(theta))
    return one if slack else one * np.asarray(n, dtype=float) / 2.0


@cache
def _rows(name: str, column: str) -> dict[str, Row]:
    return {row[column]: row for row in table_rows(name)}


def rope_kinds() -> tuple[str, ...]:
    """Makes of wire rope that are tabled."""
    return tuple(_rows("ropes", "kind"))


def rope_ends() -> tuple[str, ...]:
    """Ends of wire ropes that are tabled."""
    return tuple(_rows("rope_ends", "end"))


def clip_kinds() -> tuple[str, ...]:
    """Kinds of clips that are tabled."""
    return tuple(dict.fromkeys(row["kind"] for row in table_rows("clips")))


def turnbuckle_kinds() -> tuple[str, ...]:
    """Kinds of turnbuckles that are tabled."""
    return tuple(dict.fromkeys(row["kind"] for row in table_rows("turnbuckles")))


def breaking_load(kind: str, d: Num) -> Num:
    r"""Load at which a wire rope breaks.

    .. math:: F = K d^2 R_r

    Parameters
    ----------
    kind : str
        One of :func:`rope_kinds`.
    d : float or array, shape (...,)
        Diameter. [m]

    Returns
    -------
    F : float or array, shape (...,)
        Load. [N]

    Examples
    --------
    ASTM A1023, Table C.1, prints 21.2 kN for 6 mm:

    >>> float(breaking_load("6x7, fibre core, galvanised", 0.006) / 1e3)
    21.2
    """
    row = _rows("ropes", "kind")[kind]
    return float(row["k"]) * np.square(d) * float(row["grade"]) * 1e6


def rope_stretch(kind: str, d: Num) -> tuple[float, Num]:
    """Modulus of elasticity [Pa] and steel [m2] of a wire rope of a diameter [m].

    Examples
    --------
    EN 12385-4 by two reproductions, a 6x7 rope of 10 mm with a steel core has 43.2 mm2:

    >>> float(rope_stretch("6x7 or 7x7, steel core, galvanised", 0.01)[1] * 1e6)
    43.2
    """
    row = _rows("ropes", "kind")[kind]
    return float(row["gpa"]) * 1e9, float(row["c"]) * np.square(d)


def is_strand(kind: str) -> bool:
    """Whether it is spiral strand, on which clips of EN 13411-5 must not be used."""
    return _rows("ropes", "kind")[kind]["strand"] == "yes"


def end_share(end: str) -> float:
    """Share of a rope's breaking load that is left at an end of it.

    Examples
    --------
    >>> end_share("thimble and U-bolt clips")
    0.8
    """
    return float(_rows("rope_ends", "end")[end]["share"])


def clips_needed(kind: str, d: Num) -> Num:
    """Number of clips that an end of a rope of a diameter [m] needs; not a number beyond the table.

    Examples
    --------
    >>> float(clips_needed("drop-forged", 0.005)), float(clips_needed("light, of the hardware shop", 0.008))
    (2.0, 5.0)
    """
    rows = [row for row in table_rows("clips") if row["kind"] == kind]
    mm = np.round(np.asarray(d, dtype=float) * 1e3, 6)
    return np.select([mm <= float(row["up_to"]) for row in rows], [float(row["clips"]) for row in rows], np.nan)


def turnbuckle_load(kind: str, size: Num) -> Num:
    """Load at which a turnbuckle of a thread size [m] deforms, in [N]; between tabled sizes the smaller holds.

    Not a number below the smallest.

    Examples
    --------
    >>> float(turnbuckle_load("with a hook", 0.008) / 1e3)
    6.374
    """
    rows = [row for row in table_rows("turnbuckles") if row["kind"] == kind]
    mm = np.round(np.asarray(size, dtype=float) * 1e3, 6)
    kilograms = np.full(mm.shape, np.nan)
    for row in rows:
        kilograms = np.where(mm >= float(row["size"]), float(row["kilograms"]), kilograms)
    return kilograms * _GRAVITY
