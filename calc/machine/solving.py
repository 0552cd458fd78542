"""From the inputs of the sheet to a machine whose balances can be solved.

What the sheet leaves out is assumed here where there is a ground for it; each assumption is named in the findings
that use it. A blade whose shape is on the sheet is computed strip by strip. Where it is not, the rotor is taken
as a simple curve through its working and its free tip-speed ratio.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, fields
from functools import partial
from typing import Any, TypeVar, cast

import numpy as np

from calc.machine.battery import (
    DirectLoad,
    direct_load,
    has_battery,
    internal_resistance,
    leads_refused,
    voltage_charging,
)
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import FROM_GENERATOR
from calc.machine.converter import converter_lacks, converter_numbers, converter_refused
from calc.machine.drive import brush_drop, drive_efficiency, drive_lacks, drive_ratio, rectifier_drop
from calc.machine.field import coil_lacks, coil_numbers, coil_refused, field_share
from calc.machine.furling import FIRST, Furling, cannot_fold, furling_of, furls_as_described, is_computed
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import LEAST_POWER, NOT_VERTICAL, RotorCurves, is_vertical, rotor_of
from calc.machine.runs import run_resistance
from calc.machine.site import AIR_NEEDS, air_density, gust_wind, over_winds
from calc.physics import balance, generator
from calc.physics.arrays import Array
from calc.physics.balance import Machine, Operation, Points
from calc.physics.remembered import remembered
from calc.units import Num

T = TypeVar("T")

#: Without a battery current flows as soon as the diodes let it: a voltage that is as good as none. [V]
NO_VOLTAGE = 1e-3
#: Winds of the power curve, for the sheet and for samples. [m/s]
WINDS, FEW_WINDS = np.arange(1.0, 25.5, 0.5), np.arange(1.0, 25.5, 1.0)


#: Wind from which rotors that can be held back are usually set to be. Common practice, no source. [m/s]
USUAL_LIMIT = 12.0


#: Inductance of a winding in seconds, L / R: a fifth of a millisecond to two, by size. From memory. [s]
INDUCTANCE_TIME = 6e-4


SOLVING_NEEDS = (
    *AIR_NEEDS,
    Sheet.rotor.diameter,
    Sheet.rotor.blades,
    Sheet.generator.emf_constant,
    Sheet.generator.emf_form,
    Sheet.generator.phases,
    Sheet.generator.winding_resistance,
    Sheet.generator.diode_drop,
    Sheet.generator.insulation,
    Sheet.storage.chemistry,
    Sheet.site.storm_wind,
)
#: Of the battery, where there is one.
BATTERY_NEEDS = (Sheet.storage.voltage, Sheet.storage.capacity)


#: The same machine is looked at as it is, as one of several variants, and again when something else is changed.
_operation = remembered(16)(balance.operate)
_charging_wind = remembered(16)(balance.charging_wind)
_starting_wind = remembered(16)(balance.starting_wind)

#: Sets of winds that are solved at once, and most results that are kept; both bound the memory.
AT_ONCE, KEPT = 16, 400


@dataclass(frozen=True, slots=True)
class Solved:
    """A machine and what it does over a range of winds.

    Parameters
    ----------
    machine, rotor : Machine, RotorCurves
        What was solved.
    operation : Operation
        Balances at each of ``winds``, held back above ``limit``; shape (..., winds).
    winds : array, shape (winds,)
        :data:`WINDS`, or fewer for samples. [m/s]
    limit : float or array, shape (...,)
        Wind from which the rotor is held back; infinite where nothing holds it. [m/s]
    storm : float or array, shape (...,)
        Strongest storm to be survived, mean of ten minutes. [m/s]
    omega_free, V_free : float or array, shape (...,)
        Speed [rad/s] and rectified voltage [V] in that storm's gust with nothing connected and nothing holding back.
    charging, starting : float or array, shape (...,)
        Wind in which charging begins, and in which a rotor at rest starts (not a number where that is not known).
        [m/s]
    furling : Furling, optional
        What the folding tail does, where it is computed; ``limit`` is then the wind in which it begins to fold.
    described : Furling, optional
        The same of a tail that is described where a wind is stated instead. A tail that by its moments folds in no gust
        holds nothing back, whatever wind is stated: ``limit`` is then infinite.
    """

    machine: Machine
    rotor: RotorCurves
    operation: Operation
    winds: Array
    limit: Num
    storm: Num
    omega_free: Num
    V_free: Num
    charging: Num
    starting: Num
    furling: Furling | None = None
    described: Furling | None = None
    #: What was solved before: many readings are of the same few winds.
    _known: dict[tuple[str, tuple[int, ...], bytes], Any] = field(default_factory=dict, repr=False, compare=False)

    def _once(self, what: str, winds: Array, make: Callable[[Array], T]) -> T:
        key = (what, winds.shape, winds.tobytes())
        if key not in self._known:
            while len(self._known) >= KEPT:
                del self._known[next(iter(self._known))]
            self._known[key] = make(winds)
        return cast(T, self._known[key])

    def held(self, winds: Array) -> Array:
        """Winds that the loaded rotor feels in some winds, shape (..., winds): what holds it back makes them less."""
        if self.furling is not None:
            return self.furling.felt(np.asarray(winds, dtype=float))
        return np.asarray(np.minimum(winds, over_winds(self.limit)), dtype=float)

    def held_free(self, winds: Array) -> Array:
        """The same with nothing connected."""
        if self.furling is not None:
            return self.furling.felt_free(np.asarray(winds, dtype=float))
        return np.asarray(np.minimum(winds, over_winds(self.limit)), dtype=float)

    def held_most(self, V: Num) -> Array:
        """Greatest wind that it feels with nothing connected in any wind up to one of shape (...,)."""
        if self.furling is not None:
            return self.furling.free.most(V)
        return np.asarray(np.minimum(self.limit, V), dtype=float)

    def every(self, V: Num) -> Array:
        """A wind for each variant, of the machine or of the wind itself, with a last axis of one wind."""
        return over_winds(np.broadcast_to(V, np.broadcast_shapes(np.shape(V), self.machine.variants)))

    def operating(self, winds: Array) -> Operation:
        """Balances in some winds, shape (..., winds), held back as in ``operation``."""
        return self._once("operating", self.held(winds), lambda V: _operation(self.machine, V))

    def ahead(self, many: Iterable[Array]) -> None:
        """Solve several sets of winds together, each of shape (..., winds), for who asks for one of them afterwards."""
        held = [self.held(winds) for winds in many]
        wanted = {(V.shape, V.tobytes()): V for V in held if ("operating", V.shape, V.tobytes()) not in self._known}
        for shape in {V.shape for V in wanted.values()}:
            alike = [V for V in wanted.values() if V.shape == shape]
            for few in (alike[i : i + AT_ONCE] for i in range(0, len(alike), AT_ONCE)):
                found = balance.operate(self.machine, np.concatenate(few, axis=-1))
                for i, V in enumerate(few):
                    place = slice(i * shape[-1], (i + 1) * shape[-1])
                    self._once("operating", V, partial(_cut, found, place))

    def running(self, winds: Array) -> Points:
        """What the running machine does in some winds, shape (..., winds), held back as in ``operation``."""
        return self.operating(winds).running

    def unloaded(self, winds: Array) -> tuple[Array, Array]:
        """Speed [rad/s] and rectified voltage [V] with nothing connected in some winds, shape (..., winds)."""
        return self._once("unloaded", np.asarray(winds, dtype=float), lambda V: balance.unloaded(self.machine, V))

    def at(self, V: Num) -> Points:
        """What the running machine does in one wind, shape (...,), held back as in ``operation``."""
        points = self.running(np.asarray(V)[..., None])
        return Points(**{f.name: getattr(points, f.name)[..., 0] for f in fields(Points)})

    def greatest(self) -> tuple[Array, Array]:
        """Greatest current behind the rectifier [A] up to where the rotor is held back, and the wind of it [m/s].

        A rotor that stalls in strong wind gives its most before.
        """
        storm, along = self.at(self.storm).current, self.operation.running.current
        at = np.argmax(along, axis=-1)
        most = np.take_along_axis(along, np.asarray(at)[..., None], axis=-1)[..., 0]
        wind = np.where(storm > most, self.storm, self.winds[at])
        begins = np.inf if self.furling is not None else self.limit
        return np.asarray(np.maximum(storm, most)), np.asarray(np.minimum(wind, begins))

    @property
    def greatest_current(self) -> Array:
        """The first of :meth:`greatest`."""
        return self.greatest()[0]


def _cut(found: Any, place: slice, _: object = None) -> Any:
    """Some of the winds of an operation, field by field."""
    if isinstance(found, np.ndarray):
        return found[..., place]
    return type(found)(**{f.name: _cut(getattr(found, f.name), place) for f in fields(found)})


def solve_machine(x: Inputs) -> Solved | Unknown:
    """Assemble and solve the machine of a sheet; computed once for all rules."""
    return x.shared("machine", _solve)


def _solve(x: Inputs) -> Solved | Unknown:
    runs = _runs(x)
    sizes = (entry[label] for label in runs for entry in (Sheet.cable.length, Sheet.cable.area))
    if is_vertical(x):
        return Unknown(NOT_VERTICAL)
    if (refused := leads_refused(x)) is not None:
        return refused
    needs = (*SOLVING_NEEDS, *(BATTERY_NEEDS if has_battery(x) else ()), *sizes)
    if missing := (*x.lacks(*needs), *drive_lacks(x), *converter_lacks(x), *coil_lacks(x)):
        return Unknown("", missing)
    if not has_battery(x) and isinstance(lamps := direct_load(x), Unknown):
        return lamps
    if x.generator.phases == "single-phase" and x.generator.emf_form == "lead to star point, RMS":
        return Unknown("A single-phase winding has no star point, so its voltage cannot have been read there")
    if refused := converter_refused(x) or coil_refused(x):
        return refused
    try:
        curves = rotor_of(x)
        if isinstance(curves, Unknown):
            return curves
        if curves.best()[1].ndim == 0 and curves.best()[1] < LEAST_POWER:
            return Unknown("Blades of this shape, set at this angle, give no power at any speed")
        return _operate(x, curves, runs)
    except ValueError as e:
        return Unknown.because(f"The machine cannot be solved: {e}", e)


def _runs(x: Inputs) -> tuple[str, ...]:
    return tuple(label for label in x.labels(Sheet.cable) if x.maybe(Sheet.cable.carries[label]) in FROM_GENERATOR)


def _cable_resistance(x: Inputs, runs: tuple[str, ...]) -> Num:
    total: Num = 0.0
    for label in runs:
        total = total + run_resistance(x, label)
    return total


def _battery(x: Inputs) -> tuple[Num, Num, Num]:
    """Open voltage, internal resistance, and the voltage at which the dump load comes in.

    Lamps straight at the rectifier are a battery of no voltage behind their resistance.
    """
    lamps = None if has_battery(x) else direct_load(x)
    if isinstance(lamps, DirectLoad):
        return NO_VOLTAGE, lamps.resistance, math.inf
    V_oc = voltage_charging(x)
    R = internal_resistance(x)
    held = x.maybe(Sheet.storage.charge_voltage)
    dumped = x.maybe(Sheet.dump.kind) not in (None, "none")
    V_max = held if held is not None and dumped else math.inf
    # A dump load set below the resting voltage would take all: that is the charge-voltage rule's to say.
    return V_oc, R, np.where(np.asarray(V_max) > V_oc, V_max, math.inf)


def _heat(x: Inputs) -> Num:
    R = x.generator.winding_resistance
    given, rated = x.maybe(Sheet.generator.thermal_resistance), x.maybe(Sheet.generator.rated_current)
    if given is not None:
        return given
    if rated is None:
        return 0.0
    return generator.thermal_resistance(rated, R, x.generator.insulation)


def _inductance(x: Inputs) -> Num:
    """Inductance between two leads, of which none counts behind brushes."""
    if x.generator.phases == "DC with brushes":
        return 0.0
    usual = INDUCTANCE_TIME * x.generator.winding_resistance
    return x.else_assume(Sheet.generator.inductance, usual, "from the winding; from memory", 3.0)


def _pole_pairs(x: Inputs) -> Num:
    if x.generator.phases == "DC with brushes":
        return 1.0
    return x.else_assume(Sheet.generator.pole_pairs, 10.0, "between a servo motor's 4 and a hub motor's 23", 2.3)


def _assemble(x: Inputs, curves: RotorCurves, runs: tuple[str, ...]) -> Machine:
    phases, R_w = x.generator.phases, x.generator.winding_resistance
    k = generator.emf_rectified(x.generator.emf_constant * field_share(x), x.generator.emf_form, phases)
    friction, eddy, cogging = generator.assumed_drag(k, R_w)
    size = "from the size of the generator; own estimate, no source"
    L = _inductance(x)
    V_oc, R_b, V_max = _battery(x)
    return Machine(
        tsr=curves.tsr,
        winds=curves.winds,
        cq=np.concatenate([curves.cq[..., :-1], np.minimum(curves.cq[..., -1:], 0.0)], axis=-1),
        R=x.rotor.diameter / 2.0,
        rho=air_density(x),
        k=k,
        R_w=R_w,
        V_d=rectifier_drop(x),
        V_oc=V_oc,
        L=L if phases == "single-phase" else L / 2.0,
        p=_pole_pairs(x),
        T_0=x.else_assume(Sheet.generator.drag_torque, friction, size, 3.0),
        b=eddy,
        T_cog=x.else_assume(Sheet.generator.cogging_torque, cogging, size, 3.0),
        R_c=_cable_resistance(x, runs),
        R_b=R_b,
        V_max=V_max,
        R_th=_heat(x),
        T_air=x.site.air_temperature,
        V_brush=brush_drop(x),
        ratio=drive_ratio(x),
        eta=drive_efficiency(x),
        winding=phases,
        **converter_numbers(x),
        **coil_numbers(x),
    )


def _operate(x: Inputs, curves: RotorCurves, runs: tuple[str, ...]) -> Solved:
    built = _assemble(x, curves, runs)
    # What the tail does is worked out first: the wind in which it begins to fold is then the limit.
    described = furling_of(x, built, curves) if furls_as_described(x) else None
    furling = described if is_computed(x) else None
    limit = _limit_stated(x) if furling is None else furling.loaded.begins
    if furling is None and described is not None:
        limit = np.where(described.loaded.begins > np.asarray(gust_wind(x)), np.inf, limit)
    storm = x.site.storm_wind
    omega, V_free = (v[..., 0] for v in balance.unloaded(built, np.asarray(gust_wind(x), dtype=float)[..., None]))
    winds = WINDS if x.drawn is None else FEW_WINDS
    held = np.minimum(winds, np.asarray(limit, dtype=float)[..., None]) if furling is None else furling.felt(winds)
    return Solved(
        machine=built,
        rotor=curves,
        operation=_operation(built, held),
        winds=winds,
        limit=limit,
        storm=storm,
        omega_free=omega,
        V_free=V_free,
        charging=_charging_wind(built),
        starting=_starting_wind(built) if curves.starts else np.full(built.variants, np.nan),
        furling=furling,
        described=described,
    )


def described_furling(x: Inputs) -> Furling | Unknown:
    """What the tail that the sheet describes does, also where a wind is stated instead; computed once for all rules."""
    return x.shared("furling", _described_furling)


def _described_furling(x: Inputs) -> Furling | Unknown:
    if missing := x.lacks(*FIRST):
        return Unknown("", missing)
    solved = solve_machine(x)
    if isinstance(solved, Unknown):
        return solved
    return solved.described or furling_of(x, solved.machine, solved.rotor)


def nothing_limits(x: Inputs) -> bool:
    """Whether nothing limits the rotor's speed by itself.

    Nothing is named, or a tail that cannot fold, or one that by its moments folds in no gust.
    """
    if _nothing_named(x):
        return True
    solved = solve_machine(x) if furls_as_described(x) else None
    return isinstance(solved, Solved) and bool(np.all(np.isinf(solved.limit)))


def _nothing_named(x: Inputs) -> bool:
    if x.maybe(Sheet.rotor.overspeed) in (None, "none"):
        return True
    return cannot_fold(x) and not x.given(Sheet.rotor.limit_wind)


def limit_wind(x: Inputs) -> Num:
    """Wind from which the rotor is held back, in [m/s]; infinite where nothing holds it.

    As stated, else that in which the described tail begins to fold, else as usual.
    """
    solved = solve_machine(x) if furls_as_described(x) else None
    return solved.limit if isinstance(solved, Solved) else _limit_stated(x)


def held_wind(x: Inputs) -> Num:
    """Greatest wind that the rotor feels with nothing connected, up to the strongest gust, in [m/s].

    What it would face squarely and turn as fast. Of a wind stated and a tail described, it is the greater.
    """
    solved = solve_machine(x) if furls_as_described(x) else None
    if not isinstance(solved, Solved) or solved.described is None:
        return _limit_stated(x)
    most = solved.described.free.most(gust_wind(x))
    return most if solved.furling is not None else np.minimum(np.maximum(most, solved.limit), gust_wind(x))


def _limit_stated(x: Inputs) -> Num:
    stated = x.maybe(Sheet.rotor.limit_wind)
    if _nothing_named(x):
        return math.inf
    if stated is not None:
        return stated
    return x.else_assume(
        Sheet.rotor.limit_wind, USUAL_LIMIT, "where tails are usually set to fold; common practice, no source", 1.25
    )


def greatest_current(x: Inputs) -> tuple[Array, Array] | Unknown:
    """What :meth:`Solved.greatest` gives, computed once for all rules."""
    return x.shared("greatest current", _greatest)


def _greatest(x: Inputs) -> tuple[Array, Array] | Unknown:
    solved = solve_machine(x)
    return solved if isinstance(solved, Unknown) else solved.greatest()
