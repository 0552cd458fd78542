"""What several rules compute from the sheet alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc import air, dump, generator, loads, protection, storage, wind, wiring
from calc.finding import Source
from calc.rules.assembly import free_ratio, greatest_current
from calc.rules.engine import Inputs, Unknown
from calc.units import Num, show

AIR_NEEDS = ("site.air_temperature", "site.altitude")
HUB_NEEDS = ("site.mean_wind", "site.wind_height", "site.ground", "mast.height")

#: Lowest voltage at which inverters run, over the nominal voltage: 10.5 V at 12 V, from memory.
LOWEST_SHARE = 10.5 / 12.0
#: Current of a machine that never charges; cables and fuses are judged by the least that means anything. [A]
LEAST_CURRENT = 0.1
TO_DUMP = "to the dump load"

BETZ_SOURCE = Source(
    "Kramm et al., On the Maximum of Wind Power Efficiency, J. Power and Energy Eng. 4(1), 2016", "abstract"
)
LOG_PROFILE = Source("P. Jain, Wind Energy Engineering", "Table 3-5, roughness lengths after the European Wind Atlas")
FAULT_SOURCE = Source(
    "solar-wind.co.uk, When is a fuse not a fuse: 1000 to 4000 A from 100 Ah of lead-acid at 12 V", "", "reproduction"
)
LITHIUM_OHMS = Source("Internal resistance of lithium banks by their size", "", "from memory")
NEC_CONTINUOUS = Source("NEC 2017", "694.12(B), 706.21(B): 125 % of the current", "reproduction")


def density(x: Inputs) -> Num:
    """Air density at the site, in [kg/m3]."""
    return air.density(x.num("site.air_temperature"), air.pressure(x.num("site.altitude")))


def hub_wind(x: Inputs) -> Num | Unknown:
    """Mean wind at the rotor's centre, in [m/s]; needs :data:`HUB_NEEDS`."""
    ratio = _up_to_hub(x, x.num("site.wind_height"), x.num("mast.height"))
    return ratio if isinstance(ratio, Unknown) else x.num("site.mean_wind") * ratio


def at_hub(x: Inputs, V: Num, height: Num | None) -> Num | Unknown:
    """A wind known at a height, carried to the rotor's centre; without a height it is taken as that at the rotor."""
    hub = x.maybe("mast.height")
    if height is None or hub is None:
        return V
    ratio = _up_to_hub(x, height, hub)
    return ratio if isinstance(ratio, Unknown) else V * float(np.mean(ratio))


def _up_to_hub(x: Inputs, z1: Num, z2: Num) -> Num | Unknown:
    z0 = wind.roughness_length(x.word("site.ground"))
    low = wind.lowest_height(z0)
    if np.any(np.asarray(z1) < low) or np.any(np.asarray(z2) < low):
        return Unknown(f"Over this kind of ground the wind below {show(low, 'm')} follows no known rule")
    return wind.log_profile(1.0, z1, z2, z0)


@dataclass(frozen=True, slots=True)
class Current:
    """A current in a run, in words where it comes from, and to how many figures it is known."""

    amps: Num
    how: Callable[[], str]
    figures: int = 2

    def said(self) -> str:
        """The current and where it comes from, such as ``"8.3 A (computed for 9 m/s)"``."""
        return f"{show(self.amps, 'A', self.figures)} ({self.how()})"


def _sum(values: list[Num]) -> Num:
    total: Num = values[0]
    for value in values[1:]:
        total = total + value
    return total


def greatest(values: list[Num]) -> Num:
    """Greatest of several numbers, variant by variant."""
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
    """Greatest current of the generator behind its rectifier.

    It is what the solved machine brings over all winds that are let work on it. Where the sheet does not say enough
    to solve it, what the winding bears stands in, and else the largest claim, held to the Betz limit.
    """
    found = greatest_current(x)
    if not isinstance(found, Unknown):
        amps, at = found

        def computed() -> str:
            stormy = "a storm of " if at >= x.num("site.storm_wind") else ""
            return f"computed for {stormy}{show(at, 'm/s', 2)}"

        return Current(np.maximum(amps, LEAST_CURRENT), computed)
    rated = x.maybe("generator.rated_current")
    if rated is not None:
        return Current(rated, lambda: "what its winding bears, until the machine can be computed", 3)
    claims = [p for label in x.labels("claim") if (p := _possible(x, label)) is not None]
    if not claims:
        return Unknown("", ("generator.rated_current",))
    V = x.maybe("storage.voltage")
    if V is None:
        return Unknown("", ("storage.voltage",))
    P = greatest([least for _, least in claims])
    claimed = greatest([most for most, _ in claims])

    def how() -> str:
        held = f"held to the {show(P, 'W')} that the wind can give," if claimed > P else show(P, "W")
        return f"derived from the largest claim, {held} at {show(V, 'V')}"

    return Current(P / V, how)


def inverter_lowest(x: Inputs) -> tuple[Num, str] | Unknown:
    """Lowest voltage at which the inverter runs, and a note where it is taken from the bank's."""
    V, bank = x.maybe("inverter.input_voltage_min"), x.maybe("storage.voltage")
    if V is not None:
        return V, ""
    if bank is None:
        return Unknown("", ("inverter.input_voltage_min",))
    return LOWEST_SHARE * bank, ", taken as 10.5 V for each 12 V"


def inverter_current(x: Inputs) -> Current | Unknown:
    """Current the inverter draws at full load and its lowest voltage."""
    P, found = x.maybe("inverter.power"), inverter_lowest(x)
    if P is None:
        return Unknown("", ("inverter.power",))
    if isinstance(found, Unknown):
        return found
    (lowest, note), eta = found, x.num("inverter.efficiency")

    def how() -> str:
        return (
            f"derived from {show(P, 'W')} at the lowest running voltage of {show(lowest, 'V')}{note}, "
            f"and {show(eta, '%')} efficiency"
        )

    return Current(loads.battery_current(P, lowest, eta), how)


def _dump_current(x: Inputs) -> Current | Unknown:
    V = charge_top(x)
    if V is None:
        return Unknown("", ("storage.charge_voltage",))
    R, P = x.maybe("dump.resistance"), x.maybe("dump.power")
    if R is not None:
        amps = dump.current(V, R)
        return Current(amps, lambda: f"derived from {show(R, 'ohm')} at the highest charge voltage of {show(V, 'V')}")
    if P is None:
        return Unknown("", ("dump.resistance",))
    return Current(P / V, lambda: f"derived from the dump load's {show(P, 'W')} at {show(V, 'V')}")


def charge_top(x: Inputs) -> Num | None:
    """Highest voltage of the bank while it is charged: as set, else the highest its kind takes, in [V]."""
    V = x.maybe("storage.charge_voltage")
    if V is not None:
        return V
    bank, chemistry = x.maybe("storage.voltage"), x.get("storage.chemistry")
    if bank is None or chemistry in (None, "none"):
        return None
    return storage.cells_in_series(bank, str(chemistry)) * storage.cell(str(chemistry)).charge_high


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
        return Current(stated, lambda: "as the sheet states", 3)
    carries = x.word(f"cable.{label}.carries")
    if carries == "battery to inverter":
        return inverter_current(x)
    if carries == "battery to loads":
        return _loads_current(x, label)
    if carries == TO_DUMP:
        return _dump_current(x)
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
    """What one wire of a run may carry, and how that is known.

    Parameters
    ----------
    amps : float or array, shape (...,)
        With air and company counted. [A]
    lasting : float or array, shape (...,)
        Of that, what may flow for hours on end with a quarter in reserve. [A]
    fuse : float or array, shape (...,)
        Largest fuse that protects the run. [A]
    strict : bool
        Whether the quarter is a duty (NEC) or good practice (IEC).
    standing : callable giving str
        How it is known.
    smallest_for : callable of float giving float or None
        Smallest size in the table that carries a current [A] for hours. [m2]
    """

    amps: Num
    lasting: Num
    fuse: Num
    strict: bool
    standing: Callable[[], str]
    smallest_for: Callable[[float], float | None]


def run_capacity(x: Inputs, label: str) -> Capacity | Unknown:
    """Ampacity of a run, or why the tables cannot tell; needs ``cable.area``."""
    try:
        return _nec_capacity(x, label) if practice(x) == "NEC" else _iec_capacity(x, label)
    except ValueError as e:
        text = str(e)
        return Unknown(f"{text[0].upper()}{text[1:]}, so what this run may carry cannot be told")


def practice(x: Inputs) -> str:
    """Whose wiring practice is followed, ``"IEC"`` or ``"NEC"``."""
    return str(x.get("site.wiring_practice"))


def _company(x: Inputs, label: str, counted_as: str, each: int) -> tuple[Num, bool]:
    others = x.num(f"cable.{label}.together")
    return wiring.grouping_factor(counted_as, each * (1.0 + others)), bool(np.any(np.asarray(others) > 0))


def _known(table: str, row: str, grouped: bool) -> str:
    marks = "" if row == "reproduction" else ", from memory"
    return f"by {table}{marks}" + ("; less for its company, from memory" if grouped else "")


def _iec_capacity(x: Inputs, label: str) -> Capacity | Unknown:
    A, T = x.num(f"cable.{label}.area"), x.num(f"cable.{label}.ambient")
    insulation, laid = x.word(f"cable.{label}.insulation"), x.word(f"cable.{label}.laid")
    if x.word(f"cable.{label}.material") != "copper":
        return Unknown("The table of permitted current used here holds for copper only")
    loaded = loaded_wires(x, label)
    areas, currents, standing = wiring.ampacity_table(insulation, laid, loaded)
    share, grouped = _company(x, label, "IEC", 1)
    I_z = wiring.ampacity(A, insulation, laid, loaded, T) * share

    def smallest(I: float) -> float | None:
        fits = areas[currents * float(wiring.iec_ambient(T, insulation) * share) >= I * wiring.CONTINUOUS]
        return float(fits[0]) if len(fits) else None

    def known() -> str:
        return _known("the table", standing[_nearest(areas, A)], grouped)

    return Capacity(I_z, I_z / wiring.CONTINUOUS, I_z, False, known, smallest)


def _nearest(areas: Any, A: Num) -> int:
    return int(np.argmin(np.abs(np.log(areas / float(A)))))


def _nec_capacity(x: Inputs, label: str) -> Capacity:
    A, T = x.num(f"cable.{label}.area"), x.num(f"cable.{label}.ambient")
    material, column = x.word(f"cable.{label}.material"), wiring.COLUMN[x.word(f"cable.{label}.insulation")]
    # What a terminal bears limits the current too, and it is not corrected for air or company (NEC 110.14(C)).
    end = min(column, int(x.word(f"cable.{label}.terminals").split()[0]))
    share, grouped = _company(x, label, "NEC", loaded_wires(x, label))
    factor = wiring.ambient_factor(T, column + 273.15) * share
    areas, _, _ = wiring.nec_table(end, material)
    _, _, standing = wiring.nec_table(column, material)

    def limits(a: Num) -> tuple[Num, Num]:
        corrected, at_end = wiring.nec_ampacity(a, column, material) * factor, wiring.nec_ampacity(a, end, material)
        most = np.minimum(corrected, at_end)
        return most, np.minimum(corrected, at_end / wiring.CONTINUOUS)

    amps, lasting = limits(A)

    def smallest(I: float) -> float | None:
        fits = [a for a in areas if limits(float(a))[1] >= I]
        return float(fits[0]) if fits else None

    def known() -> str:
        whole = wiring.nec_table(column, material)[0]
        return _known("NEC 310.16", standing[_nearest(whole, A)], grouped)

    return Capacity(amps, lasting, protection.fuse_limit(amps, A, "NEC", material), True, known, smallest)


def fuse_window(low: float, high: float, series: str = "IEC") -> str:
    """Phrase for a fuse between two currents, naming a standard rating of a series if one fits."""
    fits = [r for r in protection.fuse_ratings(series) if low <= r * (1 + 1e-9) and r <= high * (1 + 1e-9)]
    such = f", such as {show(fits[0], 'A')}" if fits else ""
    return f"a fuse between {show(low, 'A')} and {show(high, 'A')}{such}"


@dataclass(frozen=True, slots=True)
class Storm:
    """The generator with nothing connected in the strongest wind: speed [rad/s] and voltages [V]."""

    speed: Num
    peak: Num
    mean: Num
    between_leads: Num


def storm(x: Inputs) -> Storm | None:
    """What the generator gives with nothing connected in the strongest wind, or None where the sheet cannot tell."""
    return x.shared("storm", _storm)


def _storm(x: Inputs) -> Storm | None:
    k, D = x.maybe("generator.emf_constant"), x.maybe("rotor.diameter")
    form, phases = str(x.get("generator.emf_form")), str(x.get("generator.phases"))
    if k is None or D is None or (phases == "single-phase" and form == "lead to star point, RMS"):
        return None
    V = x.num("site.storm_wind")
    omega = wind.rotor_speed(V, D, free_ratio(x, V))
    return Storm(
        omega,
        omega * generator.emf_peak(k, form, phases),
        omega * generator.emf_rectified(k, form, phases),
        omega * generator.emf_between_leads(k, form, phases),
    )


@dataclass(frozen=True, slots=True)
class Bank:
    """The battery as a source: voltage at rest [V], internal resistance [ohm], and in words how that is known."""

    voltage: Num
    resistance: storage.Resistance
    how: str


def bank(x: Inputs) -> Bank | Unknown:
    """Rest voltage and internal resistance of the bank; the latter by kind and size where it is not stated."""
    chemistry, nominal = str(x.get("storage.chemistry")), x.maybe("storage.voltage")
    if nominal is None or chemistry in ("None", "none"):
        return Unknown("", tuple(n for n in ("storage.chemistry", "storage.voltage") if x.get(n) is None))
    V = storage.cells_in_series(nominal, chemistry) * storage.cell(chemistry).resting
    R, Q = x.maybe("storage.internal_resistance"), x.maybe("storage.capacity")
    if R is not None:
        return Bank(V, storage.Resistance(R, R, R, "stated"), "as stated")
    if Q is None:
        return Unknown("", ("storage.internal_resistance",))
    usual = storage.usual_resistance(nominal, Q, chemistry)
    return Bank(V, usual, usual.how)
