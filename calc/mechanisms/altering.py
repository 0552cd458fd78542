"""What each way of failing alters in the solved machine: magnets, resistance, drag, blades, wind, a phase, the meter.

How far it goes is not known: each alteration is drawn over the range in which such a fault lies. The ranges are our own
estimates from common practice, no source, wide on purpose; where a share follows from the winding it is computed.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.mechanisms.shown import volts_of
from calc.mechanisms.world import World
from calc.physics.balance import Machine
from calc.units import Num

#: Angles of one turn, for the mean of what a bridge lets through.
_TURN = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)


def bridge_share(gains: tuple[float, float, float], leads: tuple[bool, ...] = (True, True, True)) -> float:
    """Mean voltage behind a bridge of three phases with faults, over that of three whole ones.

    Parameters
    ----------
    gains : tuple of float
        Share of its back-EMF that each phase has; negative the wrong way round.
    leads : tuple of bool
        Which leads reach the bridge.

    Examples
    --------
    One lead open leaves a single phase of the voltage between two leads, 2/pi of its peak for 3/pi:

    >>> round(bridge_share((1.0, 1.0, 1.0), (True, True, False)), 3)
    0.667
    """

    def mean(of: tuple[float, float, float], which: tuple[bool, ...]) -> float:
        e = [g * np.sin(_TURN - 2.0 * np.pi * k / 3.0) for k, g in enumerate(of) if which[k]]
        return float(np.mean(np.max(e, axis=0) - np.min(e, axis=0)))

    return mean(gains, leads) / mean((1.0, 1.0, 1.0), (True, True, True))


def _size(w: World) -> Num:
    """Torque by which a stiff bearing of such a rotor is measured: as its radius to the third, in [N m]."""
    return np.asarray(w.value(Sheet.rotor.diameter, 2.0)) ** 3 / 8.0


def _volts(w: World, least: float, most: float, name: str) -> World:
    return w.of_machine(k=w.machine.k * w.spread(name, least, most))


def never_reaches(w: World) -> World:
    """Wind too light, at the rotor and at the time, for more than just the speed at which charging begins."""
    U = w.at_rest() if has_battery(w.x) else np.asarray(w.value(Sheet.storage.voltage, 12.0))
    needed = (U + np.asarray(w.machine.V_d)) / np.maximum(w.free[1], 1e-3)
    return w.but(wind=w.wind * np.minimum(needed * w.evenly("too light by", 0.5, 1.25), 1.0))


def battery_full(w: World) -> World:
    """A full battery: the controller holds its voltage and sends what comes elsewhere, as it should."""
    rest = w.at_rest()
    top = np.maximum(np.asarray(w.value(Sheet.storage.charge_voltage, 1.17 * volts_of(w))), rest)
    shown = {"battery.voltage": (rest + (top - rest) * w.evenly("held at", 0.5, 1.0), 0.015 * volts_of(w)), "set": 1.0}
    return w.but(passed=w.evenly("still taken", 0.0, 0.25), charged=(0.93, 1.0), shown=shown)


def weak_magnets(w: World) -> World:
    """Magnets of less flux: fewer volts per speed, the same resistance."""
    return _volts(w, 0.35, 0.92, "weak magnets")


def demagnetised(w: World) -> World:
    """The same by heat or by a hard short circuit, which take a part."""
    return _volts(w, 0.45, 0.92, "demagnetised")


def loose_magnets(w: World) -> World:
    """A magnet that scrapes: much friction, a little less flux."""
    a = _size(w) * w.spread("scraping", 0.08, 0.8)
    m = w.machine
    return w.of_machine(T_0=m.T_0 + a, T_cog=m.T_cog + a, k=m.k * w.evenly("loose magnets", 0.85, 1.0))


def _single_phase(w: World) -> World:
    """Two leads of three left: one phase of the voltage between two leads, which begins to charge at the same speed."""
    m, share = w.machine, bridge_share((1, 1, 1), (True, True, False))
    if m.converter or m.excited:
        return w.but(machine=_machine(w, k=m.k * share), doubt=0.2)
    return w.but(machine=_machine(w, k=m.k * share, L=np.asarray(m.L) * 2.0, winding="single-phase"), doubt=0.12)


def _spun(w: World, before: World, untouched: float, name: str) -> World:
    """A spin test read at leads that are whole, in some cases, shows the machine as it was."""
    k = np.where(before._shares(name) < untouched, before.machine.k, w.machine.k)
    return w.but(shown={**w.shown, "generator.emf": k})


def phase_open(w: World) -> World:
    """Two leads of three: a single phase remains."""
    single = _single_phase(w).but(shown={"pairs": (0.85, 1.0), "ohms apart": (0.5, 50.0)})
    return _spun(single, w, 0.3, "spun at whole leads")


def phase_reversed(w: World) -> World:
    """One phase the wrong way round: two pairs have its voltage only, the third the whole."""
    m = w.machine
    altered = w.but(machine=_machine(w, k=m.k * w.evenly("reversed", bridge_share((1, 1, -1)), 1.0), L=m.L * 1.3))
    altered = altered.but(doubt=0.15, shown={"pairs": (0.38, 0.46)})
    return _spun(altered, w, 0.3, "spun at whole leads")


def diode_open(w: World) -> World:
    """A lead that passes one way only, or not at all; a spin test ahead of the rectifier shows nothing of it."""
    m = w.machine
    share = bridge_share((1, 1, 1), (True, True, False))
    altered = w.but(machine=_machine(w, k=m.k * w.evenly("open diode", share**0.5, 1.0)), doubt=0.18)
    return _spun(altered, w, 0.6, "spun ahead of the rectifier")


def diode_shorted(w: World) -> World:
    """A diode that passes both ways shorts a part of the winding: it brakes, loaded or not."""
    m = w.machine
    brakes = np.asarray(m.k) ** 2 / m.R_w * w.spread("shorted diode", 0.15, 1.2)
    return w.but(machine=_machine(w, b=m.b + brakes, k=m.k * w.evenly("volts left", 0.4, 0.95)), doubt=0.25, passed=0.7)


def shorted_turns(w: World) -> World:
    """Turns that are shorted within themselves: a brake that grows with speed, fewer volts, less resistance."""
    m = w.machine
    brakes = np.asarray(m.k) ** 2 / m.R_w * w.spread("shorted turns", 0.01, 0.25)
    volts = w.evenly("turns left", 0.75, 0.98)
    return w.but(
        machine=_machine(w, b=m.b + brakes, k=m.k * volts, R_w=m.R_w * w.evenly("ohms left", 0.82, 1.02)),
        doubt=0.15, shown={
            "hotter": 40.0, "pairs": (0.0, 0.25), "ohms apart": (0.01, 8.0), "least ohms": (0.08, 1.0),
        },
    )  # fmt: skip


def open_coil(w: World) -> World:
    """A winding burnt through: more ohms, or none."""
    return w.of_machine(R_w=w.machine.R_w * w.spread("burnt through", 1.1, 3.0))


def earthed(w: World) -> World:
    """A winding that touches the frame: a part of the current takes another way."""
    return w.but(
        passed=w.evenly("leak to the frame", 0.4, 0.95),
        doubt=0.1,
        shown={"frame": (4.2, 0.8), "insulation": (4.2, 0.8)},
    )


def wet(w: World) -> World:
    """Water between the wires leaks, and corrodes the joints."""
    more = w.spread("wet joints", 0.03, 1.0) * _usual_ohms(w)
    leaks = w.of_machine(R_c=w.machine.R_c + more)
    return leaks.but(
        passed=w.evenly("leak", 0.4, 0.97), doubt=0.1, shown={"frame": (5.0, 0.8), "insulation": (5.0, 0.8)}
    )


def _usual_ohms(w: World) -> Num:
    """What a bad joint is measured by: half the winding, and a little by the battery's volts."""
    U = w.value(Sheet.storage.voltage, 24.0)
    return np.asarray(w.machine.R_w) * 0.5 + 0.02 * np.asarray(U) / 12.0


def bad_joint(w: World) -> World:
    """Resistance in series with the cable."""
    return w.of_machine(R_c=w.machine.R_c + _usual_ohms(w) * w.spread("bad joint", 0.5, 20.0))


def slip_rings(w: World) -> World:
    """The same at rings and brushes."""
    more = _usual_ohms(w) * w.spread("dirty rings", 0.4, 12.0)
    return w.of_machine(R_c=w.machine.R_c + more).but(shown={"rings": more})


def circuit_open(w: World) -> World:
    """A fuse, a switch or a wire open between generator and battery: the rotor runs without its load."""
    return w.but(freed=True)


def dragging(w: World) -> World:
    """A bearing that holds the shaft back, at rest and as it turns."""
    a = _size(w) * w.spread("stiff bearing", 0.06, 1.0)
    m = w.machine
    return w.of_machine(T_0=m.T_0 + a, T_cog=m.T_cog + a * w.evenly("sticks", 0.0, 1.0))


def cogging(w: World) -> World:
    """Iron that holds the magnets at rest; it costs little once it turns."""
    m = w.machine
    more = _size(w) * w.spread("cogging", 0.05, 0.6)
    return w.of_machine(T_cog=m.T_cog * w.spread("cogs", 1.0, 6.0) + more, T_0=m.T_0 * w.evenly("rubs", 1.0, 2.0))


def belt_slips(w: World) -> World:
    """A drive that passes on a part of the speed and of the torque."""
    m, s = w.machine, w.evenly("slip", 0.25, 0.85)
    return w.but(machine=_machine(w, ratio=m.ratio * s, eta=np.asarray(m.eta) * s), doubt=0.2)


def field_dead(w: World) -> World:
    """A field coil without current: what magnetism is left gives hardly any volts."""
    return _volts(w, 0.01, 0.2, "field left").but(shown={"field": w.evenly("field current", 0.0, 0.1)})


def blade_angle(w: World) -> World:
    """Blades set too coarse work best at a lower tip-speed ratio, too fine give less torque; both give less power."""
    off = w.evenly("angle", 0.2, 1.0)
    coarse = w.evenly("which way", 0.0, 1.0) < 0.6
    set_ = w.blades(1.0 - 0.6 * off, np.where(coarse, 1.0 - 0.45 * off, 1.0 - 0.05 * off))
    return set_.but(shown={"angle off": np.where(coarse, 1.0, -1.0) * np.radians(3.0 + 11.0 * off)})


def back_to_front(w: World) -> World:
    """Blades with the wrong edge ahead: a quarter of the torque at half the tip-speed ratio."""
    return w.blades(w.evenly("wrong edge", 0.12, 0.4), w.evenly("wrong edge slows", 0.4, 0.7))


def ice(w: World) -> World:
    """Ice takes lift and adds drag."""
    off = w.evenly("ice", 0.25, 1.0)
    w = w.blades(1.0 - 0.8 * off, 1.0 - 0.4 * off)
    return w.but(shown={"air.temperature": (270.5, 3.0)})


def worn(w: World) -> World:
    """A rough edge: less torque at a little lower ratio."""
    off = w.evenly("wear", 0.15, 0.5)
    return w.blades(1.0 - off, 1.0 - 0.3 * off)


def folds_early(w: World) -> World:
    """A tail that folds in winds in which it should stand: no more than those is felt."""
    from_ = np.where(np.isfinite(np.asarray(w.held, dtype=float)), w.held, 11.0)
    return w.but(held=from_ * w.evenly("folds early", 0.3, 0.75))


def never_folds(w: World) -> World:
    """Nothing holds the rotor back."""
    return w.but(held=np.inf)


def seized_straight(w: World) -> World:
    """The same, for the hinge does not move."""
    return w.but(held=np.inf, shown={"swings": (2.0, 0.4)})


def stuck_folded(w: World) -> World:
    """A hinge that is stuck: folded it feels a part of the wind."""
    facing = w.evenly("stuck folded", 0.35, 0.8)
    return w.but(facing=facing, shown={"folded": np.arccos(facing), "off": np.arccos(facing), "swings": (2.0, 0.4)})


def off_wind(w: World) -> World:
    """A head that does not face the wind feels a part of it."""
    facing = w.evenly("off the wind", 0.4, 0.92)
    return w.but(facing=facing, shown={"off": np.arccos(facing), "turns": (1.8, 0.4)})


def stalled(w: World) -> World:
    """A generator that holds the rotor in the slower of two balances."""
    return w.but(stalled=True)


def weak_brake(w: World) -> World:
    """Resistance in the loop of the brake."""
    return w.but(brake_ohms=np.asarray(w.machine.R_w) * w.spread("brake loop", 1.0, 12.0) + 0.2)


def cut_off(w: World) -> World:
    """The battery's electronics are open: it takes nothing, and the rotor has a dump load or none."""
    dumped = w.x.maybe(Sheet.dump.kind) not in (None, "none")
    cut = w.but(blocked=True, freed=not dumped)
    U = np.asarray(w.value(Sheet.storage.voltage, 12.0))
    # Its posts then show what the dump load holds, or what the bare generator gives, and not its cells.
    held = np.where(np.isfinite(np.asarray(w.machine.V_max)), w.machine.V_max, 1.15 * U)
    volts = (held, 0.03 * U) if dumped else (cut.free[1], 0.1 * U)
    return cut.but(shown={"battery.voltage": volts})


def cut_off_cold(w: World) -> World:
    """The same because its cells are too cold to be charged."""
    cut = cut_off(w)
    return cut.but(shown={**cut.shown, "battery.temperature": (270.5, 3.0), "air.temperature": (269.0, 5.0)})


def cut_off_high(w: World) -> World:
    """The same because a cell is full."""
    return cut_off(w).but(charged=(0.93, 1.0))


def cut_off_low(w: World) -> World:
    """The same because a cell is empty: nothing at its posts."""
    return cut_off(w).but(charged=(0.0, 0.1), shown={"battery.voltage": (0.0, 0.5)})


def set_low(w: World) -> World:
    """A controller that takes the current away before the battery is full."""
    U = w.value(Sheet.storage.voltage, 12.0)
    rest = w.at_rest()
    top = np.maximum(rest * w.evenly("set point", 0.985, 1.04), 0.9 * U)
    shown = {"battery.voltage": (top, 0.02 * U), "set": w.evenly("set", 0.8, 0.96)}
    return w.but(passed=w.evenly("dumped", 0.02, 0.4), shown=shown, charged=(0.3, 0.8))


def overcharged(w: World) -> World:
    """A full bank with nothing that takes the surplus: its voltage climbs beyond the window of charging."""
    w = w.of_machine(V_max=np.inf)
    V = w.at_rest() * w.evenly("beyond the window", 1.12, 1.32)
    return w.but(charged=(0.97, 1.0), shown={"battery.voltage": (V, 0.0)})


def worn_battery(w: World) -> World:
    """A worn bank: several times the resistance, and soon empty."""
    return w.but(ohms=w.spread("worn", 2.0, 6.0), charged=(0.05, 0.8), shown={"capacity": (0.2, 0.75)})


def uneven_strings(w: World) -> World:
    """Batteries that are not alike: one is full while another is empty."""
    shown = {"capacity": (0.4, 0.9), "apart": (0.12, 1.6), "shares": (0.2, 3.0)}
    return w.but(ohms=w.spread("uneven", 1.2, 3.5), charged=(0.05, 0.9), shown=shown)


def nearly_empty(w: World) -> World:
    """A bank from which more is taken than comes."""
    return w.but(charged=(0.0, 0.45))


def phantom(w: World) -> World:
    """Something that draws day and night."""
    return w.but(taken=w.spread("phantom load", 4.0, 60.0), charged=(0.0, 0.5))


def driven_by_battery(w: World) -> World:
    """A motor on the battery: it takes what its friction needs as long as the wind does not turn it."""
    return w.but(
        taken=np.asarray(w.value(Sheet.storage.voltage, 12.0)) * w.spread("idling", 0.3, 4.0), charged=(0.0, 0.6)
    )


def inverter_cable(w: World) -> World:
    """Resistance between battery and inverter."""
    return w.but(inverter_ohms=w.spread("inverter's leads", 5.0, 80.0))


def wind_overestimated(w: World) -> World:
    """Less wind at the rotor than was judged."""
    share = w.evenly("overestimated", 0.4, 0.85)
    # A cup that somebody calibrated misleads less than an eye.
    return w.but(wind=w.wind * share, cup=0.5 + 0.5 * share)


def not_true_rms(w: World) -> World:
    """A meter that takes the mean of a chopped current and shows it as if it were a sine's."""
    low = (w.evenly("mean for RMS", 0.45, 0.85), 0.0, 0.6)
    return w.but(meters={"charge.current": low, "charge.power": low})


def wrong_range(w: World) -> World:
    """A coarse range, or the probes' own ohms read too."""
    more = (1.0, w.spread("own ohms", 0.2, 2.0), 0.6)
    # In line, its leads and its shunt hold the current back; on a range for AC it shows next to none.
    less = (w.spread("held back", 0.03, 0.8), 0.0, 0.5)
    return w.but(meters={"generator.resistance": more, "ohm": more, "charge.current": less})


def weak_meter(w: World) -> World:
    """A meter whose own battery is weak reads every voltage high."""
    high = (w.evenly("reads high", 1.08, 1.4), 0.0, 0.6)
    names = ("battery.voltage", "generator.open_voltage", "generator.loaded_voltage", "inverter.input_voltage")
    return w.but(meters=dict.fromkeys(names, high))


def wrong_form(w: World) -> World:
    """A voltage between leads, to the star point, or its peak, taken for that behind the rectifier, or so."""
    pick = (w.evenly("which form", 0.0, 3.999)).astype(int)
    factor = np.choose(pick, [1 / 1.35, 1 / 2.34, np.sqrt(2) / 1.35, 1.35])
    volts = (factor, 0.0, 0.7)
    return w.but(meters={"generator.open_voltage": volts, "generator.emf": volts, "generator.loaded_voltage": volts})


def unbalanced(w: World) -> World:
    """Blades that differ: it shakes once a turn."""
    return w.but(shown={"shake": "turn", "masses": (0.03, 0.25), "amplitude": (-2.2, 0.4)})


def resonant(w: World) -> World:
    """A mast that is shaken at its own frequency, whatever the speed."""
    return w.but(shown={"shake": "mast", "amplitude": (-1.9, 0.4)})


def tips_near(w: World) -> World:
    """Tips that bend to within a few centimetres of the mast, or against it."""
    return w.but(shown={"clearance": (0.0, 0.06)})


def starts_hard(w: World) -> World:
    """A start that asks for more than the inverter gives."""
    return w.but(shown={"start": (1.0, 3.0)})


def _machine(w: World, **parts: Any) -> Machine:
    return w.of_machine(**parts).machine
