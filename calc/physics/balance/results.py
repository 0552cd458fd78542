"""What a machine in balance does: its points of work, and both ends it can have in a wind."""

from __future__ import annotations

from dataclasses import dataclass

from calc.physics.arrays import Array, Flags, Index

#: A loaded rotor below this share of its best tip-speed ratio is called stalled. Own choice, no source.
STALLED = 0.6


@dataclass(frozen=True, slots=True)
class Points:
    """What the machine does at each wind speed. Every array has shape (..., winds).

    Parameters
    ----------
    omega, tip_speed, tsr, cp : array
        Speed [rad/s], speed of the tips [m/s], tip-speed ratio, and share of the wind's power taken.
    current, voltage : array
        Direct current behind the rectifier [A] and voltage at the battery [V].
    wind, rotor : array
        Power of the wind through the swept area, and what the rotor takes of it. [W]
    drive, drag, copper, diodes, cable, converter, field, inside_battery, stored, dump : array
        Where the rotor's power goes: belt or gears, bearings and iron, winding, rectifier and brushes, cable, a
        converter ahead of the battery, a field coil, internal resistance of the battery, its chemistry, and the
        dump load. They add up to ``rotor``; commutation takes no power. [W]
    winding : array
        Temperature the winding settles at if it goes on long enough. [K]
    best_tsr : array
        Tip-speed ratio at which the rotor takes most at that wind.
    """

    omega: Array
    tip_speed: Array
    tsr: Array
    cp: Array
    current: Array
    voltage: Array
    wind: Array
    rotor: Array
    drive: Array
    drag: Array
    copper: Array
    diodes: Array
    cable: Array
    converter: Array
    field: Array
    inside_battery: Array
    stored: Array
    dump: Array
    winding: Array
    best_tsr: Array

    @property
    def stalled(self) -> Flags:
        """Whether the rotor charges at less than :data:`STALLED` of its best tip-speed ratio."""
        return (self.current > 0) & (self.tsr < STALLED * self.best_tsr)

    @property
    def battery(self) -> Array:
        """Power into the battery as a meter at its terminals shows it, in [W]."""
        return self.stored + self.inside_battery

    @property
    def charge(self) -> Array:
        """Power at the end of the cable, into battery and dump load, in [W]."""
        return self.stored + self.inside_battery + self.dump


@dataclass(frozen=True, slots=True)
class Operation:
    """Both ways a machine can work at each wind speed.

    Parameters
    ----------
    running : Points
        The highest stable balance: where a rotor that was fast before stays.
    standstill : Points
        The lowest stable balance: where a rotor that starts from rest gets to. At rest where it does not start.
    forked : array of bool, shape (..., winds)
        Whether the two differ.
    balances : array of int, shape (..., winds)
        Number of stable balances of a turning rotor.
    """

    running: Points
    standstill: Points
    forked: Flags
    balances: Index
