"""What holds the rotor in a storm: the shorted generator's heat, the dump load alone, one means beside another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT, TOOTHED
from calc.machine.catalogue.rotor import FURLING, MECHANICAL_BRAKE, SHORTING_SWITCH
from calc.machine.catalogue.storage import DUMP_PLACES
from calc.machine.furling import cannot_fold
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import is_vertical
from calc.machine.site import at_hub, over_winds
from calc.machine.solving import NO_VOLTAGE, SOLVING_NEEDS, Solved, nothing_limits
from calc.machine.storm import read_in_wind
from calc.physics import balance, generator
from calc.physics.arrays import Array, Flags
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most, with_machine
from calc.rules.kits import held_earlier, larger_generator
from calc.rules.limits import HOTTEST_WINDING, usual_tip_speed
from calc.rules.phrases import THROWN
from calc.rules.sources import BALANCE, INSULATION_CLASSES
from calc.rules.ways import Way, act, change
from calc.units import Num, show, show_down

#: Inertia of a blade over its mass and the square of the radius, where its shape is not known: it tapers. Own estimate.
TAPERED = 0.2
#: Resistances in which dump loads are made up. [ohm]
OHMS = (0.1, 0.15, 0.22, 0.33, 0.47, 0.68, 1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.0, 15.0, 22.0, 33.0, 47.0)
#: Parts of the strongest wind at which the rotor on its dump load is looked at.
PARTS = np.array([0.5, 0.7, 0.85, 1.0])
#: Least wind for which a speed is worked out. [m/s]
LEAST_WIND = 0.3
#: Share of the speed that the bare rotor would have, above which a reading shows nothing that holds it. Own choice.
AS_FREE = 0.9

BRAKE_TORQUE = Source("Short-circuit torque of a permanent-magnet machine, peak at w = R/L", "", "from memory")
SLOW_HEAT = Source("Windings of small motors warm up within 5 to 20 minutes", "", "from memory")
SECOND = Source("IEC 61400-2", "protection against overspeed, also after one fault", "from memory")


def _inertia(x: Inputs, solved: Solved) -> Num | Unknown:
    """Inertia of the rotor about its shaft, in [kg m2]; the generator's own is not counted."""
    if solved.rotor.masses is not None:
        return x.rotor.blades * solved.rotor.masses.inertia
    if missing := x.lacks(Sheet.blade.mass):
        return Unknown("", missing)
    R = x.rotor.diameter / 2.0
    return np.asarray(TAPERED * x.rotor.blades * x.blade.mass * np.square(R), dtype=float)


@dataclass(frozen=True, slots=True)
class _Shorted:
    """The brake thrown at full speed: wind felt [m/s], the stop, and temperatures of the winding [K]."""

    wind: Num
    stop: balance.Stop
    before: Num
    after: Num
    limit: float
    lasts: Num

    def one(self, a: Array | Flags) -> Array:
        """A value of the stop, without the axis of winds."""
        return np.asarray(a, dtype=float)[..., 0]


def _shorted(x: Inputs, solved: Solved) -> _Shorted | Unknown:
    m = solved.machine
    if np.all(np.asarray(m.R_th) == 0):
        return Unknown("", (Sheet.generator.rated_current, Sheet.generator.thermal_resistance))
    J = _inertia(x, solved)
    if isinstance(J, Unknown):
        return J
    V = solved.held_most(solved.storm)
    found = balance.stop(m, solved.every(V), J)
    C = x.generator.heat_time / np.asarray(m.R_th)
    # As hot as the load makes it in any wind, which under a folding tail is not the storm's.
    hottest = np.maximum(
        solved.operation.running.winding.max(axis=-1), solved.at(solved.every(solved.storm)[..., 0]).winding
    )
    before = np.minimum(hottest, generator.BURNT_WINDING)
    holds, heat, keeps = (a[..., 0] for a in (found.holds, found.heat, found.keeps))
    settles = np.asarray(m.T_air) + keeps * m.R_th
    after = np.where(holds, np.maximum(before + np.where(holds, heat, 0.0) / C, settles), np.maximum(settles, before))
    limit = HOTTEST_WINDING[x.generator.insulation]
    burnt = generator.BURNT_WINDING
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (burnt - before) / (settles - before)
        lasts = np.where(
            (settles > burnt) & (share < 1.0), -x.generator.heat_time * np.log1p(-np.minimum(share, 1.0)), np.inf
        )
    return _Shorted(V, found, before, after, limit, lasts)


def _heat(x: Inputs, solved: Solved) -> Judgement | Unknown:
    """Judge the winding after the brake was thrown on the fastest rotor that there can be."""
    found = _shorted(x, solved)
    if isinstance(found, Unknown):
        return found
    air = np.asarray(solved.machine.T_air)
    level, margin = at_most(found.after - air, found.limit - air, marginal=0.15)
    level = np.where((level == OK) & (found.one(found.stop.holds) == 0), MARGINAL, level)
    level = np.where(np.isfinite(found.lasts) & nothing_limits(x), DANGER, level)

    def ways() -> list[Way]:
        own = change("Fit a {0} on the rotor's own shaft, and use it first.", {Sheet.rotor.brake: MECHANICAL_BRAKE})
        return [*held_earlier(x), *larger_generator(x), own]

    return Judgement(
        level,
        lambda: _heat_says(x, found),
        ways,
        np.minimum(found.after, generator.BURNT_WINDING),
        found.limit,
        "degC",
        margin,
        lambda: _heat_more(x, solved, found),
    )


def _heat_says(x: Inputs, found: _Shorted) -> str:
    at = f"Thrown in {show(found.wind, 'm/s', 2)} with nothing else connected, the shorting brake"
    bears = f"class {x.generator.insulation} withstands {show(found.limit, 'degC')}"
    first = f"At first each lead, and the switch, carries {show(found.one(found.stop.amps), 'A', 2)}."
    if found.one(found.stop.holds):
        heat, time = show(found.one(found.stop.heat) / 1e3, "", 2), show(found.one(found.stop.time), "s", 1)
        return (
            f"{at} slows the rotor within {time} and leaves {heat} kJ in the winding, which comes to "
            f"{show(found.after, 'degC', 2)}; {bears}. {first}"
        )
    slow = show(found.one(found.stop.keeps), "W", 2)
    if np.isfinite(found.lasts):
        return (
            f"{at} does not stop the rotor: {slow} heat the winding until it burns, after about "
            f"{show_down(found.lasts, 's' if found.lasts < 120.0 else 'min', 1)}, and then nothing brakes. {first}"
        )
    return (
        f"{at} does not stop the rotor: {slow} go on heating the winding, to {show(found.after, 'degC', 2)}; {bears}."
    )


def _heat_more(x: Inputs, solved: Solved, found: _Shorted) -> str:
    winds = solved.winds[solved.winds >= 4.0]
    still = balance.braked(solved.machine, winds, np.zeros(len(winds)))[1]
    n = int(np.cumprod(still, axis=-1).sum())
    up = "in no wind from 4 m/s up" if n == 0 else f"up to {show(winds[n - 1], 'm/s')}"
    last = ", as far as was computed" if n == len(winds) else ""
    return (
        f"Set while the rotor stands it holds {up}{last}; from running it is another matter, told under its own "
        f"heading. The winding is at {show(found.before, 'degC', 2)} before, from its load."
    )


def _dump_stays(x: Inputs) -> bool:
    """Whether a dump load stays on the rotor when the battery is disconnected."""
    return x.maybe(Sheet.dump.kind) not in (None, "none") and x.maybe(Sheet.dump.place) == DUMP_PLACES[0]


def _dump(x: Inputs, solved: Solved) -> Judgement | Unknown:
    """Judge the rotor with the dump load alone, as after a blown fuse."""
    m = solved.machine
    if m.converter or m.excited:
        return Unknown("What the dump load alone does behind a converter or with a field coil is not computed")
    alone = replace(m, V_oc=NO_VOLTAGE, R_b=x.dump.resistance, V_max=np.inf)
    top = solved.held_most(solved.storm)
    # Greatest where the tail has turned it less, or where a small resistance stalls it in strong wind.
    points = balance.operate(
        alone, over_winds(np.broadcast_to(top, np.broadcast_shapes(np.shape(top), alone.variants))) * PARTS
    ).running
    at = np.argmax(points.tip_speed, axis=-1)[..., None]
    tip, omega, volts, heat = (
        np.take_along_axis(a, at, axis=-1)[..., 0]
        for a in (points.tip_speed, points.omega, points.voltage, points.charge)
    )
    level, margin = at_most(tip, usual_tip_speed(x))

    def says() -> str:
        than = "below" if margin >= 0 else "above"
        return (
            f"With the battery off, the dump load alone holds the rotor at {show(omega, 'rpm', 2)} up to "
            f"{show(top, 'm/s', 2)}, tips at {show(tip, 'm/s', 2)}, {than} the {show(usual_tip_speed(x), 'm/s')} that "
            f"such blades are kept to. It then takes {show(heat, 'W', 2)} at {show(volts, 'V', 2)}."
        )

    def more() -> str:
        return (
            "Its control must then work without the battery, connect it at once and keep it so, and withstand that "
            "voltage; a control fed by the battery does not. Try it with the battery off in a light wind."
        )

    def ways() -> list[Way]:
        less = [R for R in reversed(OHMS) if float(x.dump.resistance) > R]
        other = change("Use a dump load of {0}, hot.", *({Sheet.dump.resistance: R} for R in less))
        return [*held_earlier(x), other]

    return Judgement(level, says, ways, tip, usual_tip_speed(x), "m/s", margin, more)


@dataclass(frozen=True, slots=True)
class _Means:
    """One means that holds or stops the rotor: its name, whether it acts by itself, and what takes it away."""

    name: str
    itself: bool
    lost_to: frozenset[str]


FUSE, BELT_OFF = "a fuse or the battery's electronics open", "the belt parts or slips"
LOAD_OFF = "the load is lost"
HINGE, STICKS = "the tail's hinge sticks or freezes", "what holds it back by itself sticks"
BURNT = "the dump load or its control fails"


def _means(x: Inputs) -> list[_Means]:
    drive = frozenset({BELT_OFF}) if x.maybe(Sheet.generator.drive) in (BELT, TOOTHED) else frozenset()
    overspeed, brake = x.maybe(Sheet.rotor.overspeed), x.maybe(Sheet.rotor.brake)
    found = []
    if overspeed not in (None, "none") and not nothing_limits(x) and not cannot_fold(x):
        name = f"the {overspeed}" if overspeed == FURLING else "what holds it back"
        found.append(_Means(name, True, frozenset({HINGE, STICKS})))
    if has_battery(x) and _dump_stays(x):
        found.append(_Means("the dump load", True, frozenset({BURNT}) | drive))
    if brake == SHORTING_SWITCH:
        found.append(_Means("the shorting switch", False, drive))
    elif brake not in (None, "none"):
        found.append(_Means("the brake", False, frozenset()))
    return found


def _failures(x: Inputs) -> list[str]:
    """What can fail on this machine so that the rotor loses its load or what holds it."""
    found = [FUSE if has_battery(x) else LOAD_OFF]
    if x.maybe(Sheet.generator.drive) in (BELT, TOOTHED):
        found.append(BELT_OFF)
    means = x.maybe(Sheet.rotor.overspeed)
    if means not in (None, "none"):
        found.append(HINGE if means == FURLING else STICKS)
    return [*found, BURNT] if has_battery(x) and _dump_stays(x) else found


def _second(x: Inputs) -> Judgement:
    """Judge every failure by what is left when it comes: something that acts by itself, a hand, or nothing."""
    means = _means(x)
    left = {why: [m for m in means if why not in m.lost_to] for why in _failures(x)}
    worst = min(left, key=lambda why: (any(m.itself for m in left[why]), len(left[why])))
    remains = left[worst]
    if not remains:
        return Judgement(FAIL, lambda: f"If {worst}, nothing at all holds or stops the rotor.", lambda: _second_ways(x),
                         more=lambda: _each(left))  # fmt: skip
    if not any(m.itself for m in remains):
        return Judgement(
            MARGINAL,
            lambda: f"If {worst}, only {_names(remains)} is left, by hand: somebody must be there, in the storm.",
            lambda: _second_ways(x),
            more=lambda: _each(left),
        )
    return Judgement(
        OK,
        lambda: f"Whichever of its means fails, another acts by itself: if {worst}, there is {_names(remains)} by the "
                "sheet. Whether each holds alone is judged under its own heading.",
        more=lambda: _each(left),
    )  # fmt: skip


def _names(means: Sequence[_Means]) -> str:
    names = [m.name for m in means]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _each(left: dict[str, list[_Means]]) -> str:
    told = [f"If {why}: {_names(means) if means else 'nothing'}." for why, means in left.items()]
    return " ".join(told)


def _second_ways(x: Inputs) -> list[Way]:
    ways = []
    if x.maybe(Sheet.rotor.brake) in (None, "none", SHORTING_SWITCH):
        ways.append(change("Fit a {0} on the rotor's own shaft.", {Sheet.rotor.brake: MECHANICAL_BRAKE}))
    if has_battery(x) and x.maybe(Sheet.dump.kind) not in (None, "none") and not _dump_stays(x):
        ways.append(change("Connect the dump load {0}.", {Sheet.dump.place: DUMP_PLACES[0]}))
    parts = "hinge" if x.maybe(Sheet.rotor.overspeed) == FURLING else "parts that move"
    return [
        *ways,
        act(Act.DO, "Have a relay of its own short the leads, without the battery, once the speed passes a limit."),
        act(Act.LOOK, f"Free and grease the {parts} each autumn, and move them by hand before each storm."),
    ]


@dataclass(frozen=True, slots=True)
class _Blow:
    """The speed read in the strongest blow: winds at the rotor at least [m/s], speed then, and of a bare rotor [rad/s].

    ``name`` is that of the reading, where there is one variant only.
    """

    name: str
    wind: Array
    read: Array
    free: Array


def _strongest(x: Inputs, solved: Solved) -> _Blow | None:
    """Of all readings of the rotor's speed in winds on record, that in the strongest; each variant has its own."""
    at = Sheet.measured
    names: list[str] = []
    winds: list[Num] = []
    speeds: list[Num] = []
    for name in x.labels(Sheet.measured):
        if x.maybe(at.quantity[name]) != "rotor.speed" or x.maybe(at.wind_low[name]) is None:
            continue
        V = at_hub(x, x.measured[name].wind_low, x.maybe(at.wind_height[name]))
        if not isinstance(V, Unknown):
            names, winds, speeds = [*names, name], [*winds, V], [*speeds, x.measured[name].value]
    if not names:
        return None
    wind, read = (np.stack(np.broadcast_arrays(*of)) for of in (winds, speeds))
    best = np.argmax(wind, axis=0)
    V, omega = (np.take_along_axis(a, best[None, ...], axis=0)[0] for a in (wind, np.broadcast_to(read, wind.shape)))
    free = solved.unloaded(solved.every(np.maximum(V, LEAST_WIND)))[0][..., 0]
    return _Blow(names[int(best)] if best.ndim == 0 else "", V, omega, free)


def _proven(x: Inputs, solved: Solved) -> Judgement | Unknown:
    """Judge how strong a blow it is that a reading proves anything of."""
    best, storm = _strongest(x, solved), solved.storm
    if best is None:
        return Unknown("No speed of the rotor was read in a blow whose wind is on record, so nothing is proven")
    as_free = best.free * AS_FREE <= best.read
    margin = (best.wind - np.asarray(storm)) / np.asarray(storm)
    level = np.where(as_free, FAIL, np.where(margin >= 0, OK, MARGINAL))

    def says() -> str:
        read, free = show(best.read, "rpm", 2), show(best.free, "rpm", 2)
        head = f"{read} in at least {show(best.wind, 'm/s', 2)} ({best.name}), where a bare rotor turns {free} unheld"
        if level == FAIL:
            return f"{head}: so fast that nothing held it."
        if level == OK:
            return f"{head}: it was held in the strongest wind that is to be survived."
        return (
            f"{head}: it was held in that blow. Nothing is proven yet for the {show(storm, 'm/s')} on the sheet, nor "
            "with the load lost."
        )

    def more() -> str:
        return (
            "With the battery connected it is not told what holds the rotor, the load or its own means; with nothing "
            "connected it is, and that is read from far off, in a light blow first."
        )

    def ways() -> list[Way]:
        half = show_down(best.wind / 2.0, "m/s", 2)
        look = act(Act.LOOK, f"Look at what should have held it before the next wind above {half}.")
        more_than = show(best.wind, "m/s", 2)
        again = act(Act.MEASURE, f"Read speed and wind together in a blow of more than {more_than}, from far off.")
        return [look, again] if level == FAIL else [again]

    return Judgement(level, says, ways, best.wind, storm, "m/s", margin, more)


def _holds_by_itself(x: Inputs) -> bool:
    return x.maybe(Sheet.rotor.overspeed) not in (None, "none") and not is_vertical(x)


RULES = (
    Rule(
        "rotor.second-means",
        "A second means beside the first",
        "rotor",
        (Sheet.rotor.overspeed, Sheet.rotor.brake),
        _second,
        (SECOND, Source("NEC 2017", "694.7(C): a second, independent means", "reproduction"), COMMON_PRACTICE),
        THROWN,
        applies=lambda x: x.given(Sheet.rotor.overspeed) and x.given(Sheet.rotor.brake) and not is_vertical(x),
    ),
    Rule(
        "rotor.brake-heat",
        "Winding when the shorting brake is thrown at speed",
        "rotor",
        SOLVING_NEEDS,
        with_machine(_heat),
        (BRAKE_TORQUE, INSULATION_CLASSES, SLOW_HEAT),
        THROWN,
        applies=lambda x: x.maybe(Sheet.rotor.brake) == SHORTING_SWITCH and not is_vertical(x),
    ),
    Rule(
        "rotor.dump-holds",
        "Rotor on the dump load alone",
        "rotor",
        (*SOLVING_NEEDS, Sheet.dump.resistance),
        with_machine(_dump),
        (BALANCE, COMMON_PRACTICE),
        THROWN,
        applies=lambda x: has_battery(x) and _dump_stays(x) and not nothing_limits(x) and not is_vertical(x),
    ),
    Rule(
        "rotor.proven",
        "What a speed read in a blow proves",
        "rotor",
        SOLVING_NEEDS,
        with_machine(_proven),
        (BALANCE, COMMON_PRACTICE),
        THROWN,
        applies=lambda x: _holds_by_itself(x) and read_in_wind(x),
    ),
)
