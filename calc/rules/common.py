"""What several rules compute from the sheet alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc import air, loads, wind, wiring
from calc.finding import Source
from calc.rules.engine import Inputs, Unknown
from calc.units import Num, show

AIR_NEEDS = ("site.air_temperature", "site.altitude")
HUB_NEEDS = ("site.mean_wind", "site.wind_height", "site.ground", "mast.height")

#: Lowest voltage at which inverters run, over the nominal voltage: 10.5 V at 12 V, from memory.
LOWEST_SHARE = 10.5 / 12.0

BETZ_SOURCE = Source(
    "Kramm et al., On the Maximum of Wind Power Efficiency, J. Power and Energy Eng. 4(1), 2016", "abstract"
)
LOG_PROFILE = Source("P. Jain, Wind Energy Engineering", "Table 3-5, roughness lengths after the European Wind Atlas")
NEC_CONTINUOUS = Source("NEC 2017", "694.12(B), 706.21(B): 125 % of the current", "reproduction")


def density(x: Inputs) -> Num:
    """Air density at the site, in [kg/m3]."""
    return air.density(x.num("site.air_temperature"), air.pressure(x.num("site.altitude")))


def hub_wind(x: Inputs) -> Num | Unknown:
    """Mean wind at the rotor's centre, in [m/s]; needs :data:`HUB_NEEDS`."""
    z0 = wind.roughness_length(x.word("site.ground"))
    low = wind.lowest_height(z0)
    z1, z2 = x.num("site.wind_height"), x.num("mast.height")
    if np.any(np.asarray(z1) < low) or np.any(np.asarray(z2) < low):
        return Unknown(f"Over this kind of ground the wind below {show(low, 'm')} follows no known rule")
    return wind.log_profile(x.num("site.mean_wind"), z1, z2, z0)


@dataclass(frozen=True, slots=True)
class Current:
    """A current in a run, and in words where it comes from."""

    amps: Num
    how: Callable[[], str]


def _sum(values: list[Num]) -> Num:
    total: Num = values[0]
    for value in values[1:]:
        total = total + value
    return total


def _greatest(values: list[Num]) -> Num:
    top: Any = values[0]
    for value in values[1:]:
        top = np.maximum(top, value)
    found: Num = top
    return found


def _possible(x: Inputs, label: str) -> tuple[Num, Num] | None:
    # A claim beyond the Betz limit would ask for cables and fuses that no wind can ever load.
    P, V, D = x.maybe(f"claim.{label}.power"), x.maybe(f"claim.{label}.wind_speed"), x.maybe("rotor.diameter")
    if P is None:
        return None
    if V is None or D is None:
        return P, P
    limit = wind.BETZ * wind.power_in_wind(density(x), wind.swept_area(D), V)
    return P, np.minimum(P, limit)


def generator_current(x: Inputs) -> Current | Unknown:
    """Greatest lasting current of the generator behind its rectifier: its rating, else the largest claim."""
    rated = x.maybe("generator.rated_current")
    if rated is not None:
        return Current(rated, lambda: "the generator's greatest lasting current")
    claims = [p for label in x.labels("claim") if (p := _possible(x, label)) is not None]
    if not claims:
        return Unknown("", ("generator.rated_current",))
    V = x.maybe("storage.voltage")
    if V is None:
        return Unknown("", ("storage.voltage",))
    P = _greatest([least for _, least in claims])
    claimed = _greatest([most for most, _ in claims])

    def how() -> str:
        held = f"held to the {show(P, 'W')} that the wind can give," if claimed > P else show(P, "W")
        return f"derived from the largest claim, {held} at {show(V, 'V')}"

    return Current(P / V, how)


def inverter_current(x: Inputs) -> Current | Unknown:
    """Current the inverter draws at full load and its lowest voltage."""
    P, V = x.maybe("inverter.power"), x.maybe("inverter.input_voltage_min")
    if P is None:
        return Unknown("", ("inverter.power",))
    taken = V is None
    if V is None:
        bank = x.maybe("storage.voltage")
        if bank is None:
            return Unknown("", ("inverter.input_voltage_min",))
        V = LOWEST_SHARE * bank
    eta, lowest = x.num("inverter.efficiency"), V

    def how() -> str:
        note = ", taken as 10.5 V for each 12 V" if taken else ""
        return (
            f"derived from {show(P, 'W')} at the lowest running voltage of {show(lowest, 'V')}{note}, "
            f"and {show(eta, '%')} efficiency"
        )

    return Current(loads.battery_current(P, lowest, eta), how)


def _loads_current(x: Inputs, label: str) -> Current | Unknown:
    powers = [p for name in x.labels("load") if (p := x.maybe(f"load.{name}.power")) is not None]
    if not powers:
        return Unknown("", (f"cable.{label}.current",))
    V = x.maybe("storage.voltage")
    if V is None:
        return Unknown("", ("storage.voltage",))
    P = _sum(powers)
    return Current(
        loads.battery_current(P, V),
        lambda: f"derived from all loads together, {show(P, 'W')} at {show(V, 'V')}",
    )


def run_current(x: Inputs, label: str) -> Current | Unknown:
    """Greatest lasting direct current of a cable run: as stated, else derived from what the run carries."""
    stated = x.maybe(f"cable.{label}.current")
    if stated is not None:
        return Current(stated, lambda: "as the sheet states")
    carries = x.word(f"cable.{label}.carries")
    if carries == "battery to inverter":
        return inverter_current(x)
    if carries == "battery to loads":
        return _loads_current(x, label)
    found = generator_current(x)
    if isinstance(found, Unknown) and "generator.rated_current" in found.missing:
        return Unknown("", (f"cable.{label}.current", "generator.rated_current"))
    return found


def loaded_wires(x: Inputs, label: str) -> int:
    """Wires of a run that carry current: three ahead of a three-phase rectifier, else two."""
    three = x.word("generator.phases") == "three-phase"
    return 3 if three and x.word(f"cable.{label}.carries") == "generator before the rectifier" else 2


def wire_current(x: Inputs, label: str, I: Num) -> Num:
    """RMS current in each wire of a run whose direct current is ``I``."""
    return I * wiring.PHASE_SHARE if loaded_wires(x, label) == 3 else I


@dataclass(frozen=True, slots=True)
class Capacity:
    """What one wire of a run may carry, and how that is known."""

    amps: Num
    standing: Callable[[], str]
    smallest_for: Callable[[float], float | None]


def run_capacity(x: Inputs, label: str) -> Capacity | Unknown:
    """Ampacity of a run, or why the table cannot tell; needs ``cable.area``."""
    A = x.num(f"cable.{label}.area")
    insulation, laid = x.word(f"cable.{label}.insulation"), x.word(f"cable.{label}.laid")
    if x.word(f"cable.{label}.material") != "copper":
        return Unknown("The table of permitted current used here holds for copper only")
    loaded, T = loaded_wires(x, label), x.num(f"cable.{label}.ambient")
    areas, currents, standing = wiring.ampacity_table(insulation, laid, loaded)
    try:
        I_z = wiring.ampacity(A, insulation, laid, loaded, T)
    except ValueError:
        return Unknown("The table of permitted current runs from 1.5 to 120 mm2, and this cable lies outside it")

    def known() -> str:
        row = int(np.argmin(np.abs(np.log(areas / float(A)))))
        return "by the table, from memory" if standing[row] == "from memory" else "by the table"

    def smallest(I: float) -> float | None:
        factor = float(wiring.ambient_factor(T, wiring.HOTTEST[insulation]))
        fits = areas[currents * factor >= I]
        return float(fits[0]) if len(fits) else None

    return Capacity(I_z, known, smallest)


def fuse_window(low: float, high: float) -> str:
    """Phrase for a fuse between two currents, naming a standard rating if one fits."""
    fits = [r for r in wiring.fuse_ratings() if low <= r <= high]
    such = f", such as {show(fits[0], 'A')}" if fits else ""
    return f"a fuse between {show(low, 'A')} and {show(high, 'A')}{such}"
