"""What comes from records of its own and not from the sheet: claims, readings, the curve that a logger measured."""

from __future__ import annotations

from calc.machine.entry import Group, choice, number
from calc.quantities import LOAD_STATES, QUANTITIES


class ClaimGroup(Group):
    """What somebody said the machine, or a part of it, would do."""

    power = number("Power claimed", "W", "W", 0.01, 1e6, "400 W")
    wind_speed = number("Wind speed of the claim", "m/s", "m/s", 0.5, 60.0, "9 m/s")


class MeasuredGroup(Group):
    """One reading, as the rules see it; where many were taken, the middle of several and between what they lie."""

    quantity = choice("What was read", *(q.name for q in QUANTITIES.values()))
    value = number("Value read, in SI", "", "", -1e15, 1e15, "1")
    low = number("Lower limit of the reading, in SI", "", "", -1e15, 1e15, "1")
    high = number("Upper limit of the reading, in SI", "", "", -1e15, 1e15, "1")
    wind_low = number("Lowest wind during the reading", "m/s", "m/s", 0.0, 100.0, "5 m/s")
    wind_high = number("Highest wind during the reading", "m/s", "m/s", 0.0, 100.0, "8 m/s")
    wind_height = number("Height above ground at which that wind holds", "m", "m", 0.5, 200.0, "10 m")
    load = choice("What was connected", *LOAD_STATES)
    count = number("Readings of which it is the middle", "", "", 1.0, 1e9, "90", exact=True)
    least = number("The least of these, in SI", "", "", -1e15, 1e15, "1", exact=True)
    most = number("The most of these, in SI", "", "", -1e15, 1e15, "1", exact=True)


class CurveGroup(Group):
    """One bin of the measured power curve, as the rules see it."""

    wind = number("Mean wind at the rotor", "m/s", "m/s", 0.0, 100.0, "6 m/s", exact=True)
    power = number("Mean power measured in it", "W", "W", 0.01, 1e6, "110 W", exact=True)
    doubt = number("Its doubt, one standard deviation", "W", "W", 0.0, 1e6, "9 W", exact=True)
    count = number("Minutes in it", "", "", 1.0, 1e9, "90", exact=True)
