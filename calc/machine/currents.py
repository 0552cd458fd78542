"""Greatest continuous currents on a sheet, and what the cables may carry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from calc.machine.battery import bus_voltage, charge_top, has_battery, on_leads
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import BEFORE_RECTIFIER, TO_DUMP, TO_INVERTER, TO_LOADS
from calc.machine.converter import has_converter
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import is_vertical
from calc.machine.site import air_density
from calc.machine.solving import greatest_current, solve_machine
from calc.physics import dump, loads, protection, wind, wiring
from calc.physics.arrays import Array
from calc.units import Num, show

#: Lowest voltage at which inverters run, over the nominal voltage: 10.5 V at 12 V, from memory.
LOWEST_SHARE = 10.5 / 12.0


#: Current of a machine that never charges; cables and fuses are judged by the least that means anything. [A]
LEAST_CURRENT = 0.1


@dataclass(frozen=True, slots=True)
class Current:
    """A current in a run, in words where it comes from, and to how many figures it is known."""

    amps: Num
    how: Callable[[], str]
    figures: int = 2

    def said(self, figures: int = 0) -> str:
        """The current and where it comes from, such as ``"8.3 A (computed for 9 m/s)"``.

        Where a quarter is added to it, a third figure lets the reader follow the sum.
        """
        return f"{self.shown(figures)} ({self.how()})"

    def shown(self, figures: int = 0) -> str:
        """The current alone."""
        return show(self.amps, "A", max(figures, self.figures))


def _sum(values: list[Num]) -> Num:
    total: Num = values[0]
    for value in values[1:]:
        total = total + value
    return total


def greatest_of(values: list[Num]) -> Num:
    """Greatest of several numbers, variant by variant."""
    top: Any = values[0]
    for value in values[1:]:
        top = np.maximum(top, value)
    found: Num = top
    return found


def _possible(x: Inputs, label: str) -> tuple[Num, Num] | None:
    # A claim beyond the Betz limit would call for cables and fuses that no wind can ever load.
    P, V, D = x.maybe(Sheet.claim.power[label]), x.maybe(Sheet.claim.wind_speed[label]), x.maybe(Sheet.rotor.diameter)
    if P is None:
        return None
    if V is None or D is None or is_vertical(x):
        return P, P
    limit = wind.BETZ * wind.power_in_wind(air_density(x), wind.swept_area(D), V)
    return P, np.minimum(P, limit)


def generator_current(x: Inputs) -> Current | Unknown:
    """Greatest current of the generator behind its rectifier.

    It is the most that the solved machine gives in winds up to where the rotor is held back. Where the sheet does
    not say enough to solve it, what the winding carries is taken, and else the largest claim, limited to what Betz
    allows.
    """
    found = greatest_current(x)
    if not isinstance(found, Unknown):
        amps, at = found

        def computed() -> str:
            stormy = "a storm of " if at >= x.site.storm_wind else ""
            return f"computed for {stormy}{show(at, 'm/s', 2)}"

        return Current(np.maximum(amps, LEAST_CURRENT), computed)
    rated = x.maybe(Sheet.generator.rated_current)
    if rated is not None:
        return Current(rated, lambda: "what its winding carries, until the machine can be computed", 3)
    claims = [p for label in x.labels(Sheet.claim) if (p := _possible(x, label)) is not None]
    if not claims:
        return Unknown("", (Sheet.generator.rated_current,))
    V = x.maybe(Sheet.storage.voltage)
    if not has_battery(x):
        return Unknown("", (Sheet.generator.rated_current,))
    if V is None:
        return Unknown("", (Sheet.storage.voltage,))
    P = greatest_of([least for _, least in claims])
    claimed = greatest_of([most for most, _ in claims])

    def how() -> str:
        held = f"limited to the {show(P, 'W')} that the wind can give," if claimed > P else show(P, "W")
        return f"derived from the largest claim, {held} at {show(V, 'V')}"

    return Current(P / V, how)


def charging_current(x: Inputs) -> Current | Unknown:
    """Greatest current into the battery: the generator's, or what a converter that lowers the voltage makes of it."""
    solved = solve_machine(x)
    if not has_converter(x) or isinstance(solved, Unknown):
        return generator_current(x)
    points = solved.operation.running
    amps = np.max(points.charge / points.voltage, axis=-1)
    return Current(np.maximum(amps, LEAST_CURRENT), lambda: "computed behind the converter")


def inverter_lowest(x: Inputs) -> tuple[Num, str] | Unknown:
    """Lowest voltage at which the inverter runs, and a note where it is taken from the bank's."""
    V, bank = x.maybe(Sheet.inverter.input_voltage_min), x.maybe(Sheet.storage.voltage)
    if V is not None:
        return V, ""
    if bank is None:
        return Unknown("", (Sheet.inverter.input_voltage_min,))
    return LOWEST_SHARE * bank, ", taken as 10.5 V for each 12 V"


def inverter_current(x: Inputs) -> Current | Unknown:
    """Current the inverter draws at full load and its lowest voltage."""
    P, found = x.maybe(Sheet.inverter.power), inverter_lowest(x)
    if P is None:
        return Unknown("", (Sheet.inverter.power,))
    if isinstance(found, Unknown):
        return found
    (lowest, note), eta = found, x.inverter.efficiency

    def how() -> str:
        return (
            f"derived from {show(P, 'W')} at the lowest running voltage of {show(lowest, 'V')}{note}, "
            f"and {show(eta, '%')} efficiency"
        )

    return Current(loads.battery_current(P, lowest, eta), how)


def _dump_current(x: Inputs, label: str) -> Current | Unknown:
    V = charge_top(x)
    if not has_battery(x):
        # Nothing holds the voltage at which it comes in.
        return Unknown("", (Sheet.cable.current[label],))
    if V is None:
        return Unknown("", (Sheet.storage.charge_voltage,))
    R, P = x.maybe(Sheet.dump.resistance), x.maybe(Sheet.dump.power)
    if R is not None:
        amps = dump.current(V, R)
        return Current(amps, lambda: f"derived from {show(R, 'ohm')} at the highest charge voltage of {show(V, 'V')}")
    if P is None:
        return Unknown("", (Sheet.dump.resistance,))
    return Current(P / V, lambda: f"derived from the dump load's {show(P, 'W')} at {show(V, 'V')}")


def _loads_current(x: Inputs, label: str) -> Current | Unknown:
    apart = on_leads(x)
    powers = [
        p for name in x.labels(Sheet.load) if name not in apart and (p := x.maybe(Sheet.load.power[name])) is not None
    ]
    if not powers:
        return Unknown("", (Sheet.cable.current[label],))
    V = bus_voltage(x)
    if isinstance(V, Unknown):
        return V
    P = _sum(powers)
    return Current(
        loads.battery_current(P, V),
        lambda: f"derived from all loads together, {show(P, 'W')} at {show(V, 'V')}",
    )


def run_current(x: Inputs, label: str) -> Current | Unknown:
    """Greatest continuous direct current of a cable run: as stated, else derived from what the run carries."""
    stated = x.maybe(Sheet.cable.current[label])
    if stated is not None:
        return Current(stated, lambda: "as the sheet states", 3)
    carries = x.cable[label].carries
    if carries == TO_INVERTER and has_battery(x):
        return inverter_current(x)
    if carries == TO_LOADS:
        return _loads_current(x, label)
    if carries == TO_DUMP:
        return _dump_current(x, label)
    found = generator_current(x)
    if isinstance(found, Unknown) and Sheet.generator.rated_current in found.missing:
        return Unknown("", (Sheet.cable.current[label], Sheet.generator.rated_current))
    return found


def loaded_wires(x: Inputs, label: str) -> int:
    """Wires of a run that carry current: three ahead of a three-phase rectifier, else two."""
    three = x.generator.phases == "three-phase"
    return 3 if three and x.cable[label].carries == BEFORE_RECTIFIER else 2


def wire_current(x: Inputs, label: str, I: Num) -> Num:
    """RMS current in each wire of a run whose direct current is ``I``."""
    return I * wiring.PHASE_SHARE if loaded_wires(x, label) == 3 else I


@dataclass(frozen=True, slots=True)
class Capacity:
    """What one wire of a run may carry, and how that is known.

    Parameters
    ----------
    amps : float or array, shape (...,)
        Corrected for air temperature and grouping. [A]
    continuous : float or array, shape (...,)
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
    continuous: Num
    fuse: Num
    strict: bool
    standing: Callable[[], str]
    smallest_for: Callable[[float], float | None]


def run_capacity(x: Inputs, label: str) -> Capacity | Unknown:
    """Ampacity of a run, or why the tables cannot tell; needs ``cable.area``."""
    try:
        return _nec_capacity(x, label) if wiring_practice(x) == "NEC" else _iec_capacity(x, label)
    except ValueError as e:
        text = str(e)
        return Unknown.because(f"{text[0].upper()}{text[1:]}, so what this cable may carry cannot be told", e)


def wiring_practice(x: Inputs) -> str:
    """Whose wiring practice is followed, ``"IEC"`` or ``"NEC"``."""
    return str(x.maybe(Sheet.site.wiring_practice))


def _grouping(x: Inputs, label: str, counted_as: str, each: int) -> tuple[Num, bool]:
    others = x.cable[label].together
    return wiring.grouping_factor(counted_as, each * (1.0 + others)), bool(np.any(np.asarray(others) > 0))


def _below(areas: Array, A: Num) -> bool:
    return bool(np.all(np.asarray(A) < 0.999 * areas[0]))


def _known(table: str, row: str, grouped: bool, *, thin: bool) -> str:
    marks = "" if row == "reproduction" else ", from memory"
    below = ", in proportion below its thinnest" if thin else ""
    return f"by {table}{below}{marks}" + ("; less for grouping, from memory" if grouped else "")


def _iec_capacity(x: Inputs, label: str) -> Capacity | Unknown:
    A, T = x.cable[label].area, x.cable[label].ambient
    insulation, laid = x.cable[label].insulation, x.cable[label].laid
    if x.cable[label].material != "copper":
        return Unknown("The table of permitted current used here holds for copper only")
    loaded = loaded_wires(x, label)
    areas, currents, standing = wiring.ampacity_table(insulation, laid, loaded)
    share, grouped = _grouping(x, label, "IEC", 1)
    I_z = wiring.ampacity(A, insulation, laid, loaded, T) * share

    def smallest(I: float) -> float | None:
        fits = areas[currents * float(wiring.iec_ambient(T, insulation) * share) >= I * wiring.CONTINUOUS]
        return float(fits[0]) if len(fits) else None

    def known() -> str:
        return _known("the table", standing[_nearest(areas, A)], grouped, thin=_below(areas, A))

    return Capacity(I_z, I_z / wiring.CONTINUOUS, I_z, False, known, smallest)


def _nearest(areas: Any, A: Num) -> int:
    return int(np.argmin(np.abs(np.log(areas / float(A)))))


def _at_terminals(x: Inputs, label: str, A: Num, column: int, material: str) -> Num:
    """Ampacity of a wire at the temperature of its terminals, where they are not marked by NEC 110.14(C)(1).

    60 degC for circuits up to 100 A of wire up to 1 AWG, 75 degC above either.
    """
    marked = x.maybe(Sheet.cable.terminals[label])
    if marked is not None:
        return wiring.nec_ampacity(A, min(column, int(marked.split()[0])), material)
    small, large = (
        wiring.nec_ampacity(A, min(column, end), material)
        for end in (protection.UNMARKED_SMALL, protection.UNMARKED_LARGE)
    )
    return cast(Num, np.where(protection.large_circuit(A, _circuit_rating(x, label)), large, small))


def _circuit_rating(x: Inputs, label: str) -> Num:
    """What a circuit is rated for, in [A]: its fuse, else its current and a quarter; zero where neither is known."""
    fuse = x.maybe(Sheet.cable.fuse[label])
    if fuse is not None:
        return fuse
    found = run_current(x, label)
    return 0.0 if isinstance(found, Unknown) else wiring.CONTINUOUS * found.amps


def _nec_capacity(x: Inputs, label: str) -> Capacity:
    A, T = x.cable[label].area, x.cable[label].ambient
    material, column = x.cable[label].material, wiring.COLUMN[x.cable[label].insulation]
    share, grouped = _grouping(x, label, "NEC", loaded_wires(x, label))
    factor = wiring.ambient_factor(T, column + 273.15) * share
    areas, _, _ = wiring.nec_table(protection.UNMARKED_SMALL, material)
    _, _, standing = wiring.nec_table(column, material)

    def limits(a: Num) -> tuple[Num, Num]:
        corrected = wiring.nec_ampacity(a, column, material) * factor
        # What a terminal is rated for limits the current too, not corrected for air or grouping (NEC 110.14(C)).
        at_end = _at_terminals(x, label, a, column, material)
        most = np.minimum(corrected, at_end)
        return most, np.minimum(corrected, at_end / wiring.CONTINUOUS)

    amps, continuous = limits(A)
    if x.maybe(Sheet.cable.terminals[label]) is None and not np.ndim(A):
        warm = bool(np.all(protection.large_circuit(A, _circuit_rating(x, label))))
        x.assume(
            Sheet.cable.terminals[label],
            f"{protection.UNMARKED_LARGE if warm else protection.UNMARKED_SMALL} degC",
            "where nothing is marked: 60 degC up to 100 A and 1 AWG, 75 degC above (NEC 110.14(C)(1))",
        )

    def smallest(I: float) -> float | None:
        fits = [a for a in areas if limits(float(a))[1] >= I]
        return float(fits[0]) if fits else None

    def known() -> str:
        whole = wiring.nec_table(column, material)[0]
        return _known("NEC 310.16", standing[_nearest(whole, A)], grouped, thin=_below(whole, A))

    return Capacity(amps, continuous, protection.fuse_limit(amps, A, "NEC", material), True, known, smallest)


def inverter_run(x: Inputs) -> str | None:
    """Label of the run from battery to inverter, which the rules of the inverter judge; the first where several do."""
    named = (label for label in x.labels(Sheet.cable) if x.maybe(Sheet.cable.carries[label]) == TO_INVERTER)
    return next(named, None)


def has_inverter(x: Inputs) -> bool:
    """Whether the sheet says anything of an inverter."""
    named = (Sheet.inverter.power, Sheet.inverter.input_voltage_min, Sheet.inverter.efficiency, Sheet.inverter.fuse)
    return any(x.given(e) for e in named)
