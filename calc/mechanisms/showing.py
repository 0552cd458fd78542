"""What a meter shows on an altered machine: one prediction for each kind of reading, with its doubt.

Doubts of the model are own estimates, no source: how far such a balance is usually off what is read on such machines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calc.evidence.likelihood import BLUNDERS, log_fit
from calc.machine.battery import has_battery, has_lead
from calc.machine.catalogue import Sheet
from calc.machine.site import over_winds
from calc.mechanisms.base import OPEN, CaseReading, Note
from calc.mechanisms.logged import SHOWN
from calc.mechanisms.showing_parts import PARTS
from calc.mechanisms.shown import Predicted, Show, Slot, amps_of, everywhere, volts_of
from calc.mechanisms.world import World, normal
from calc.physics import balance
from calc.physics.arrays import Array
from calc.quantities import QUANTITIES
from calc.units import Num

#: Below this wind it counts as calm. [m/s]
CALM = 0.6


def _emf(w: World, s: Slot) -> Predicted | None:
    return Predicted(everywhere(w, w.shown.get("generator.emf", w.machine.k)), 0.03, 1e-4)


def _resistance(w: World, s: Slot) -> Predicted | None:
    return Predicted(everywhere(w, w.machine.R_w), 0.05, 0.02)


def _open_volts(w: World, s: Slot) -> Predicted | None:
    if s.omega is not None:
        return Predicted(
            everywhere(
                w, np.maximum(np.asarray(w.shown.get("generator.emf", w.machine.k)) * s.omega - w.machine.V_d, 0.0)
            ),
            0.04,
            0.3,
        )
    if s.note.bench or s.reading.wind_low is None:
        return None
    return Predicted(w.free[1], 0.15, 0.5)


def _rotor_speed(w: World, s: Slot) -> Predicted | None:
    if s.note.bench:
        return None
    if s.reading.load in OPEN:
        omega = np.where(w.starts, w.free[0], 0.0)
        return Predicted(omega, 0.10 + w.doubt, 0.8)
    if s.reading.load == "short circuit":
        return Predicted(_braked(w), 0.35, 0.8)
    if s.reading.load not in ("battery", "battery and loads", "not known"):
        return None
    return Predicted(w.speed, 0.08 + w.doubt, 0.6)


def _braked(w: World) -> Array:
    m = w.machine
    held = w.of_machine(R_w=np.asarray(m.R_w) + w.brake_ohms).machine
    omega, _ = balance.braked(held, over_winds(w.feels("short")))
    return np.asarray(omega)[..., 0]


def _short_current(w: World, s: Slot) -> Predicted | None:
    m, omega = w.machine, _braked(w)
    R = np.asarray(m.R_w) / 2.0 + w.brake_ohms / 2.0
    X = omega * np.asarray(m.ratio) * np.asarray(m.p) * m.L
    peak = np.asarray(m.k) * omega * np.asarray(m.ratio) / 1.654
    return Predicted(peak / np.sqrt(2.0) / np.sqrt(R**2 + X**2), 0.45, 0.3)


def _charge_current(w: World, s: Slot) -> Predicted | None:
    if not has_battery(w.x):
        return None
    U = volts_of(w)
    if s.reading.wind_high is not None and s.reading.wind_high < CALM:
        # In a calm and with all switched off, what is still drawn is what nobody thought of.
        return Predicted(everywhere(w, -np.asarray(w.drawn("battery"))), 0.2, 0.03 + 0.15 * 12.0 / U * 0.3)
    if s.reading.load not in ("battery", "battery and loads", "not known"):
        return None
    if w.freed and s.reading.load == "battery":
        # Hardly anybody reads amps where the wire is open.
        return Predicted(w.into_battery(s.reading.load), 0.15, 0.08, NO_SUCH_SLIP)
    return Predicted(w.into_battery(s.reading.load), 0.15 + w.doubt, 0.15 + 0.03 * amps_of(w))


def _charge_power(w: World, s: Slot) -> Predicted | None:
    found = _charge_current(w, s)
    return (
        None
        if found is None
        else Predicted(found.value * volts_of(w) * 1.08, found.share + 0.04, found.least * volts_of(w))
    )


def _drop(w: World, s: Slot) -> Predicted | None:
    return Predicted(np.abs(w.current) * np.asarray(w.machine.R_c), 0.12 + w.doubt, 0.04 + 0.004 * volts_of(w))


def _loaded_volts(w: World, s: Slot) -> Predicted | None:
    if not has_battery(w.x):
        return None
    if w.freed:
        return Predicted(w.free[1], 0.2, 0.5)
    V = w.battery_volts(w.into_battery(s.reading.load)) + np.abs(w.current) * np.asarray(w.machine.R_c)
    return Predicted(V, 0.03 + 0.5 * w.doubt, 0.02 * volts_of(w))


def _between_ends(w: World, s: Slot) -> Predicted | None:
    """Ohms between the two ends of the cable, its joints among them, whatever the wind was."""
    if w.freed or not np.any(np.asarray(w.machine.R_c) > 0):
        return None
    return Predicted(everywhere(w, w.machine.R_c), 0.12, 0.01)


def _temperature(w: World, s: Slot) -> Predicted | None:
    more = float(w.shown.get("hotter", 0.0)) * (0.3 + w._shares("hotter"))
    if w.freed:
        return Predicted(everywhere(w, np.asarray(w.machine.T_air) + 10.0), 0.0, 15.0)
    T = np.asarray(w.points.winding)[..., 0]
    return Predicted(np.minimum(T + more, 510.0), 0.0, 25.0 + 0.25 * np.maximum(T - 290.0, 0.0))


def _battery_volts(w: World, s: Slot) -> Predicted | None:
    if not has_battery(w.x):
        return None
    U = volts_of(w)
    if (given := w.shown.get("battery.voltage")) is not None:
        return Predicted(everywhere(w, given[0]), 0.0, 0.012 * U + np.asarray(given[1]))
    if s.reading.load in OPEN:
        return Predicted(w.at_rest(), 0.0, 0.012 * U)
    I: Num = w.into_battery(s.reading.load)
    if s.note.inverter:
        I = -0.6 * np.asarray(w.value(Sheet.inverter.power, 20.0 * U)) / U
    return Predicted(w.battery_volts(I), 0.0, 0.018 * U)


def _inverter_volts(w: World, s: Slot) -> Predicted | None:
    P = w.x.maybe(Sheet.inverter.power)
    if P is None or not has_battery(w.x):
        return None
    U = volts_of(w)
    I = 0.65 * np.asarray(P) / U
    leads = 0.0035 * U / 24.0 * np.asarray(w.inverter_ohms) + 0.0 * w.wind
    return Predicted(np.maximum(w.battery_volts(-I) - I * leads, 0.3 * U), 0.0, 0.025 * U)


def _density(w: World, s: Slot) -> Predicted | None:
    if not has_lead(w.x):
        return None
    return Predicted(1.11 + 0.16 * w.evenly("charge of the battery", *w.charged), 0.0, 0.015)


def _battery_temperature(w: World, s: Slot) -> Predicted | None:
    given = w.shown.get("battery.temperature", (285.0, 7.0))
    return Predicted(everywhere(w, given[0]), 0.0, given[1])


def _air(w: World, s: Slot) -> Predicted | None:
    given = w.shown.get("air.temperature", (284.0, 8.0))
    return Predicted(everywhere(w, given[0]), 0.0, given[1])


def _stop_time(w: World, s: Slot) -> Predicted | None:
    longer = 1.0 + np.asarray(w.brake_ohms) / np.asarray(w.machine.R_w)
    return Predicted(everywhere(w, 2.5 * longer * np.exp(0.6 * normal(w._shares("time to stop")))), 0.3, 0.5)


def _energy(w: World, s: Slot) -> Predicted | None:
    hours = w.case.c.hours
    if hours is None or not has_battery(w.x):
        return None
    return Predicted(
        np.maximum(w.into_battery("battery"), 0.0) * volts_of(w) * 1.08 * hours * 3600.0, 0.3, 5.0 * hours * 3600.0
    )


def _load_power(w: World, s: Slot) -> Predicted | None:
    P: Num = w.taken
    for label in w.x.labels(Sheet.load):
        P = P + w.value(Sheet.load.power[label], 0.0)
    return Predicted(everywhere(w, P), 0.12, 2.0)


def _shake(w: World, s: Slot) -> Predicted | None:
    turn = np.maximum(w.speed, 0.5) / (2.0 * np.pi)
    blades = w.value(Sheet.rotor.blades, 3.0)
    if w.shown.get("shake") == "turn":
        return Predicted(turn, 0.10, 0.05)
    if w.shown.get("shake") == "mast":
        # What shakes a mast at its own frequency is the rotor: once a turn, or as each blade passes.
        own = np.where(w._shares("shaken by") < 0.3, w.spread("mast's own", 0.8, 8.0), turn)
        own = np.where(w._shares("shaken by") > 0.7, turn * np.asarray(blades), own)
        return Predicted(own, 0.10, 0.05)
    return Predicted(turn * np.where(w._shares("which shake") < 0.5, 1.0, np.asarray(blades)), 0.4, 0.3)


def _unlike(w: World, s: Slot) -> Predicted | None:
    """Greatest over least of several like readings, less one."""
    if s.quantity == "blade.mass/unlike":
        low, high = w.shown.get("masses", (0.0, 0.02))
        return Predicted(w.evenly("unlike blades", low, high), 0.0, 0.012)
    return None


def _wind(w: World, s: Slot) -> Predicted | None:
    return Predicted(w.wind, 0.08, 0.3)


#: How each quantity is predicted; one that is not here tells nothing yet.
SHOWS: dict[str, Show] = {
    "generator.emf": _emf,
    "generator.resistance": _resistance,
    "generator.open_voltage": _open_volts,
    "rotor.speed": _rotor_speed,
    "generator.short_current": _short_current,
    "charge.current": _charge_current,
    "charge.power": _charge_power,
    "cable.drop": _drop,
    "cable.drop/ohms": _between_ends,
    "generator.loaded_voltage": _loaded_volts,
    "generator.temperature": _temperature,
    "battery.voltage": _battery_volts,
    "inverter.input_voltage": _inverter_volts,
    "battery.density": _density,
    "battery.temperature": _battery_temperature,
    "air.temperature": _air,
    "stop.time": _stop_time,
    "charge.energy": _energy,
    "load.power": _load_power,
    "vibration.frequency": _shake,
    "blade.mass/unlike": _unlike,
    "wind.speed": _wind,
    **PARTS,
    **SHOWN,
}


def predicted(w: World, s: Slot) -> Predicted | None:
    """What a reading should show on a world; None where nothing follows for it."""
    show = SHOWS.get(s.quantity)
    if show is None or (not w.known and s.quantity in _WINDY and s.omega is None):
        return None
    try:
        return show(w, s)
    except ValueError:
        return None


_WINDY = frozenset({"rotor.speed", "charge.current", "charge.power", "cable.drop", "generator.loaded_voltage",
                    "generator.short_current", "generator.temperature", "charge.energy"})  # fmt: skip


def reading_fit(w: World, s: Slot) -> Array | None:
    """Logarithm of the density of a reading on each sample of a world, shape (n,); None where it tells nothing."""
    shown = predicted(w, s)
    if shown is None:
        return None
    r = s.reading
    y, half = float(np.mean(r.value)), 0.5 * (r.high - r.low) / 1.7
    if s.beyond:
        return _past(y, shown)
    reach = _reach(s.quantity, y)
    made = w.meters.get(s.quantity)
    plain = log_fit(y, shown.value, _scale(shown, shown.value, half, reach), reach, shown.blunders)
    if made is None:
        return plain
    factor, offset, share = made
    turned = shown.value * factor + offset
    other = log_fit(y, turned, _scale(shown, turned, half, reach), reach)
    return np.asarray(np.logaddexp(np.log(share) + other, np.log1p(-share) + plain))


def _beyond(r: CaseReading) -> bool:
    """Whether a meter showed only that it is more than its range."""
    return bool(r.high > PAST_RANGE * max(float(np.mean(r.value)), 1e-12))


def _past(y: float, shown: Predicted) -> Array:
    """Logarithm of how likely more than that is, by the logistic curve that is nearest to the normal one."""
    scale = np.sqrt((shown.share * shown.value) ** 2 + np.asarray(shown.least) ** 2) + 1e-12
    p = 1.0 / (1.0 + np.exp(np.clip(-1.7 * (shown.value - y) / scale, -60.0, 60.0)))
    return np.asarray(np.log((1.0 - BLUNDERS) * p + 0.5 * BLUNDERS))


def _scale(shown: Predicted, value: Array, half: float, reach: float) -> Array:
    s = np.sqrt((shown.share * value) ** 2 + np.asarray(shown.least) ** 2 + half**2)
    return np.asarray(np.maximum(np.nan_to_num(s, nan=reach, posinf=reach), 1e-6 * reach))


def _reach(quantity: str, y: float) -> float:
    q = QUANTITIES.get(quantity)
    if q is not None and q.shown == "degC":
        return 150.0
    if quantity == "battery.density":
        return 0.3
    if quantity.endswith("/log"):
        return 8.0
    return max(4.0 * abs(y), 1.0)


def slots_of(readings: Sequence[tuple[str, CaseReading]], notes: dict[str, Note], ohms: float = 0.0) -> list[Slot]:
    """Readings as they are held against predictions: those of one drill together, several alike as one.

    ``ohms`` are those of the winding by the sheet, nought where it does not say.
    """
    bare = Note("")
    drilled: dict[str, float] = {}
    for quantity, r in readings:
        note = notes.get(r.label, bare)
        if quantity == "rotor.speed" and note.bench and note.visit:
            drilled[note.visit] = float(np.mean(r.value))
    slots = []
    counts: dict[tuple[str, str], int] = {}
    for quantity, r in readings:
        counts[quantity, r.load] = counts.get((quantity, r.load), 0) + 1
    turning, pairs = _turns_read(readings, notes) is not None, counts.get(("generator.resistance", OPEN[0]), 0)
    for quantity, r in readings:
        if (turning and quantity in SHAKES) or (quantity == "generator.resistance" and pairs > 1):
            continue
        note = notes.get(r.label, bare)
        omega = drilled.get(note.visit) if quantity == "generator.open_voltage" else None
        # What is wrong with the model is wrong in all of many like readings: together they count for two.
        slots.append(Slot(r, quantity, note, omega, min(1.0, 2.0 / counts[quantity, r.load]), _beyond(r)))
    return [*slots, *_derived(readings, notes, drilled, ohms)]


#: Times its value that the upper limit of a reading lies above it where a meter was beyond its range. Own choice.
PAST_RANGE = 20.0
#: Share of readings that show a current where there is none. Own estimate.
NO_SUCH_SLIP = 0.004
#: Current below which no drop is told by it. Own choice. [A]
LEAST_AMPS = 0.2
#: What several like readings tell by the greatest over the least, and what is compared by its logarithm to ten.
APART = (("blade.mass", "/unlike"), ("generator.resistance", "/apart"), ("battery.string_current", "/apart"))
BY_LOGARITHM = tuple(name.removesuffix("/log") for name in PARTS if name.endswith("/log"))


def _derived(
    readings: Sequence[tuple[str, CaseReading]], notes: dict[str, Note], drilled: dict[str, float], ohms: float
) -> list[Slot]:
    """What several readings tell beside each other, and what is compared by its logarithm."""
    slots = []
    for quantity, ends in APART:
        some = [r for q, r in readings if q == quantity and abs(float(np.mean(r.value))) > 0]
        if len(some) > 1:
            values = [abs(float(np.mean(r.value))) for r in some]
            slots.append(_made(some[-1], quantity + ends, max(values) / min(values) - 1.0))
            if quantity == "generator.resistance" and ohms:
                slots.append(_made(some[-1], quantity + "/least", min(values) / ohms))
    for quantity in BY_LOGARITHM:
        for q, r in readings:
            if q == quantity and float(np.mean(r.value)) > 0:
                made = _made(r, f"{quantity}/log", float(np.log10(np.mean(r.value))))
                slots.append(replace(made, beyond=_beyond(r)))
    slots += _ohms_between_ends(readings, notes)
    slots += _shakes_of_turns(readings, notes)
    pairs = [
        (r, float(np.mean(r.value)) / omega)
        for q, r in readings
        if q == "generator.ac_voltage" and (omega := drilled.get(notes.get(r.label, Note("")).visit, 0.0)) > 0
    ]
    if pairs:
        slots.append(_made(pairs[-1][0], "generator.ac_voltage/most", max(v for _, v in pairs)))
    read = [(r, float(np.mean(r.value))) for q, r in readings if q == "generator.ac_voltage"]
    if len(read) > 1 and (most := max(v for _, v in read)) > 0:
        slots.append(_made(read[-1][0], "generator.ac_voltage/apart", 1.0 - min(v for _, v in read) / most))
    return slots


#: What shakes, compared with the turns where these were read.
SHAKES = ("mast.own_frequency", "vibration.frequency")


def _shakes_of_turns(readings: Sequence[tuple[str, CaseReading]], notes: dict[str, Note]) -> list[Slot]:
    turns = _turns_read(readings, notes)
    return [
        _made(r, f"{q}/turns", float(np.mean(r.value)) / turns)
        for q, r in readings
        if q in SHAKES and turns is not None
    ]


def _turns_read(readings: Sequence[tuple[str, CaseReading]], notes: dict[str, Note]) -> float | None:
    """Turns a second of the rotor at work, where they were read once."""
    read = [
        float(np.mean(r.value)) for q, r in readings if q == "rotor.speed" and not notes.get(r.label, Note("")).bench
    ]
    return read[0] / (2.0 * np.pi) if len(read) == 1 and read[0] > 0.5 else None


def _ohms_between_ends(readings: Sequence[tuple[str, CaseReading]], notes: dict[str, Note]) -> list[Slot]:
    """What is lost between generator and battery over the current, where both were read in one attempt."""
    visits: dict[tuple[str, str], dict[str, CaseReading]] = {}
    for q, r in readings:
        if visit := notes.get(r.label, Note("")).visit:
            visits.setdefault((visit, r.load), {})[q] = r
    slots = []
    for read in visits.values():
        I, drop = read.get("charge.current"), read.get("cable.drop")
        ends = [read.get(q) for q in ("generator.loaded_voltage", "battery.voltage")]
        if I is None or abs(amps := float(np.mean(I.value))) < LEAST_AMPS:
            continue
        if drop is not None:
            volts, half = float(np.mean(drop.value)), 0.5 * (drop.high - drop.low)
        elif ends[0] is not None and ends[1] is not None:
            volts = float(np.mean(ends[0].value)) - float(np.mean(ends[1].value))
            half = float(np.hypot(0.5 * (ends[0].high - ends[0].low), 0.5 * (ends[1].high - ends[1].low)))
        else:
            continue
        ohms, doubt = volts / amps, abs(half / amps) + abs(volts * 0.5 * (I.high - I.low) / amps**2)
        slots.append(_made(drop or ends[0] or I, "cable.drop/ohms", ohms, doubt))
    return slots


def _made(r: CaseReading, quantity: str, value: float, half: float = 0.0) -> Slot:
    made = CaseReading(r.label, value, value - half, value + half, r.load, None, None)
    return Slot(made, quantity, Note(r.label, bench=True))
