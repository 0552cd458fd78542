"""What readings tell when some values of the sheet are known: charge, warmth, inductance, and the angle of a blade."""

from __future__ import annotations

from typing import cast, get_args

from calc.evidence.uncertainty import LimitedReading, propagated
from calc.physics.blade import Edge, angle_when_bolted
from calc.physics.generator import emf_between_leads, inductance_from_short_circuit, winding_temperature
from calc.physics.storage import cells_in_series, resting_voltage, state_of_charge


def charge_at_rest(V: LimitedReading, bank: float, chemistry: str) -> LimitedReading:
    """State of charge of a lead-acid bank from its voltage at rest.

    Parameters
    ----------
    V : LimitedReading
        Voltage of the bank, neither charged nor discharged for 8 hours, better 24. [V]
    bank : float
        Its nominal voltage. [V]
    chemistry : str
        A chemistry of the catalogue.

    Returns
    -------
    charge : LimitedReading
        What is likely, and the limits within which the reading and the publications leave it; 0 to 1.

    Raises
    ------
    ValueError
        For lithium, and for voltages at which no lead cell rests; see
        :func:`calc.physics.storage.state_of_charge`.

    Examples
    --------
    12.1 V at rest, by a meter of 0.1 V, in a flooded 12 V bank:

    >>> got = charge_at_rest(LimitedReading(12.0, 12.1, 12.2), 12.0, "flooded lead-acid")
    >>> [round(x, 2) for x in (got.low, got.value, got.high)]
    [0.23, 0.44, 0.68]
    """
    n = float(cells_in_series(bank, chemistry))
    least, likely, most = (state_of_charge(x / n, chemistry) for x in (V.low, V.value, V.high))
    return LimitedReading(float(least[0]), float(likely[1]), float(most[2]))


def charge_by_acid(density: LimitedReading, chemistry: str) -> LimitedReading:
    """State of charge of a flooded bank from the specific gravity of its acid, stirred by some charge and then rested.

    Parameters, result and errors as for :func:`charge_at_rest`, with the gravity in place of the voltage.

    Raises
    ------
    ValueError
        For batteries whose acid cannot be got at.

    Examples
    --------
    A hydrometer shows 1.21, within 0.01:

    >>> got = charge_by_acid(LimitedReading(1.20, 1.21, 1.22), "flooded lead-acid")
    >>> [round(x, 2) for x in (got.low, got.value, got.high)]
    [0.4, 0.65, 0.86]
    """
    if chemistry != "flooded lead-acid":
        raise ValueError("only flooded cells have acid that a hydrometer reaches")
    low, value, high = (float(resting_voltage(x)) for x in (density.low, density.value, density.high))
    # The voltages are those of one cell, so the bank is a cell of 2 V.
    return charge_at_rest(LimitedReading(low, value, high), 2.0, chemistry)


def temperature_of_winding(hot: LimitedReading, cold: LimitedReading) -> LimitedReading:
    """Temperature of a copper winding from its resistance now and that at 20 degC, in [K].

    Examples
    --------
    0.65 ohm where 0.50 ohm were read cold, each within 1 %:

    >>> got = temperature_of_winding(LimitedReading(0.6435, 0.65, 0.6565), LimitedReading(0.495, 0.50, 0.505))
    >>> round(got.value - 273.15, 1), round((got.high - got.low) / 2.0, 1)
    (96.4, 5.4)
    """
    T, U = propagated(lambda hot, cold: float(winding_temperature(cold, hot)), (hot, cold))
    return LimitedReading(T - U, T, T + U)


def inductance_between_leads(
    I: LimitedReading, omega: LimitedReading, k: LimitedReading, R: LimitedReading, form: str, pole_pairs: float
) -> LimitedReading:
    """Inductance between two leads of a three-phase generator, star, from the current with all three shorted.

    Parameters
    ----------
    I, omega : LimitedReading
        RMS current in a lead [A] and speed [rad/s], read together.
    k, R : LimitedReading
        Back-EMF constant as read [V s/rad], and resistance between two leads [ohm].
    form : str
        How the constant was read; see :func:`calc.physics.generator.emf_between_leads`.
    pole_pairs : float
        Pole pairs.

    Returns
    -------
    L : LimitedReading
        Twice the inductance of a phase. [H]

    Raises
    ------
    ValueError
        If the current is more than the resistance alone would let through.

    Examples
    --------
    20 A at 286 rpm, each within 2 %; 7.5 rpm a volt behind a bridge, 0.24 ohm, 23 pole pairs:

    >>> got = inductance_between_leads(
    ...     LimitedReading(19.6, 20.0, 20.4), LimitedReading(29.4, 30.0, 30.6), LimitedReading(1.273, 1.273, 1.273),
    ...     LimitedReading(0.24, 0.24, 0.24), "DC after the rectifier", 23.0,
    ... )
    >>> round(got.value * 1e3, 2), round((got.high - got.low) / 2e-3, 2)
    (2.34, 0.06)
    """

    def between_leads(I: float, omega: float, k: float, R: float) -> float:
        k_ll = emf_between_leads(k, form)
        return 2.0 * float(inductance_from_short_circuit(I, omega, R / 2.0, k_ll, pole_pairs))

    L, U = propagated(between_leads, (I, omega, k, R))
    return LimitedReading(L - U, L, L + U)


def angle_of_bolts(
    s: LimitedReading, D: LimitedReading, t: LimitedReading, chord: LimitedReading, edge: str
) -> LimitedReading:
    """Angle of a pipe blade's root chord from where its bolts sit, see :func:`calc.physics.blade.angle_when_bolted`.

    Examples
    --------
    22 mm around the pipe from the straight edge, within 1 mm; 160 x 4.0 mm pipe, 95 mm of chord:

    >>> exact = [LimitedReading(x, x, x) for x in (0.160, 0.004, 0.095)]
    >>> got = angle_of_bolts(LimitedReading(0.021, 0.022, 0.023), *exact, "trailing")
    >>> import math
    >>> round(math.degrees(got.value), 1), round(math.degrees(got.high - got.value), 1)
    (21.8, 0.8)
    """
    if edge not in get_args(Edge):
        raise ValueError(f"the straight edge is one of: {', '.join(get_args(Edge))}")
    straight = cast(Edge, edge)
    angle, U = propagated(lambda s, D, t, chord: float(angle_when_bolted(D, t, chord, s, straight)), (s, D, t, chord))
    return LimitedReading(angle - U, angle, angle + U)
