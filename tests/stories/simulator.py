"""A small wind generator from the wind to the battery, simulated from textbook physics: what the stories are told by.

It shares no code with the program, so that the program can be held against it. A rotor with a published curve of power
against tip-speed ratio and pitch turns a generator with back-EMF, resistance and reactance through a rectifier, a cable
and joints into a battery with its loads, its electronics and its dump load. The speed is that at which the torques
balance, reached from rest. Every true cause of a story is a change of this machine and of nothing else.

Sources: rotor curve by S. Heier, Grid Integration of Wind Energy Conversion Systems (Wiley 1998), its constants as they
are reprinted in teaching, from memory: greatest power coefficient 0.48 at tip-speed ratio 8.1 and pitch zero;
commutation of a rectifier by N. Mohan and others, Power Electronics, chapter 5, from memory. The shapes of icing, of
blades back to front and of the battery's voltage are trade lore, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from tests.stories.bridge import MEAN_DC, Array, Pattern, between_leads, open_circuit, table

RHO, GRAVITY = 1.225, 9.81
RPM = np.pi / 30.0
#: Rest voltage of a cell, empty and full, its polarisation while charged, and cells for a nominal 12 V.
CELLS = {
    "flooded lead-acid": (1.96, 2.12, 0.10, 6),
    "gel lead-acid": (1.97, 2.14, 0.10, 6),
    "AGM lead-acid": (1.97, 2.14, 0.09, 6),
    "LiFePO4": (3.18, 3.34, 0.03, 4),
    "NMC lithium": (3.45, 4.10, 0.02, 3.25),
}


@dataclass(frozen=True)
class Plant:
    """The machine as it is: SI units, voltages at the terminals that the name tells.

    ``ke`` is the mean voltage after the rectifier with nothing connected, per rad/s of the generator's shaft;
    ``cable_r`` there and back; ``furl`` the wind from which the tail turns the rotor away; ``yaw`` an angle at which it
    is stuck; ``cut`` why the battery's electronics block, if they do.
    """

    radius: float = 1.0
    blades: int = 3
    cp: float = 0.32
    tsr: float = 5.5
    pitch: float = 0.0
    backwards: bool = False
    ice: float = 0.0
    roughness: float = 1.0
    start: float = 0.006
    inertia: float = 0.0
    blade_mass: float = 0.6
    unbalance: float = 0.0
    furl: float = np.inf
    yaw: float = 0.0
    kind: str = "three-phase"
    ke: float = 1.0
    r_ll: float = 0.3
    l_ll: float = 0.3e-3
    pole_pairs: int = 8
    diode: float = 0.8
    brush: float = 0.0
    drag: float = 0.05
    drag_speed: float = 0.0005
    cogging: float = 0.02
    short_turns: float = 0.0
    ratio: float = 1.0
    drive: float = 1.0
    belt: float = np.inf
    field_current: float = 0.0
    pattern: Pattern = field(default_factory=Pattern)
    cable_r: float = 0.1
    joint: float = 0.01
    leak: float = np.inf
    chemistry: str = "flooded lead-acid"
    volts: float = 12.0
    capacity: float = 100.0
    health: float = 1.0
    soc: float = 0.6
    r_battery: float = 0.02
    cut: str = ""
    fuse_blown: bool = False
    hold: float = np.inf
    dump: float = 0.0
    loads: float = 0.0
    phantom: float = 0.0
    inverter: float = 0.0
    inverter_r: float = 0.004
    inverter_min: float = 0.0
    surge_need: float = 0.0
    surge_can: float = np.inf
    brake_r: float = 0.01
    mast_hz: float = 3.0
    air: float = 12.0
    thermal: float = 0.8

    @property
    def area(self) -> float:
        """Swept area, in m2."""
        return np.pi * self.radius**2

    @property
    def phase_r(self) -> float:
        """Resistance of one lead to the star point, in ohm."""
        return self.r_ll / 2.0


@dataclass(frozen=True)
class State:
    """What the machine does in one wind: speeds in rad/s, the rest in volts, amperes and watts."""

    wind: float
    omega: float
    current: float
    rectified: float
    battery: float
    into_battery: float
    dumped: float
    aero: float
    converted: float
    friction: float
    cable_drop: float

    @property
    def rpm(self) -> float:
        """Speed of the rotor, turns a minute."""
        return self.omega / RPM


def heier(tsr: Array, beta: float) -> Array:
    """Power coefficient by Heier's formula, pitch in degrees from the best.

    Above about 30 of tip-speed ratio it means nothing; no rotor here gets there.
    """
    tsr = np.maximum(tsr, 1e-3)
    inverse = 1.0 / (tsr + 0.08 * beta) - 0.035 / (beta**3 + 1.0)
    return 0.5176 * (116.0 * inverse - 0.4 * beta - 5.0) * np.exp(-21.0 * inverse) + 0.0068 * tsr


def rotor_torque(p: Plant, wind: float, omega: Array) -> Array:
    """Torque of the rotor, in Nm."""
    facing = wind * np.cos(np.radians(yaw_angle(p, wind)))
    if facing <= 0.0:
        return -0.02 * p.area * p.radius * np.sign(omega)
    scale, best = p.cp * p.roughness, p.tsr
    start = p.start
    if p.backwards:
        scale, best, start = 0.25 * scale, 0.6 * best, 0.7 * start
    if p.ice:
        scale, best = scale * (1.0 - 0.75 * p.ice), best * (1.0 - 0.35 * p.ice)
    if p.pitch < 0.0:
        scale, start = scale * max(0.05, 1.0 - (p.pitch / 14.0) ** 2), start * max(0.1, 1.0 + p.pitch / 12.0)
    tsr = omega * p.radius / facing
    relative = tsr * 8.1 / best
    cp = scale / 0.48 * heier(relative, max(p.pitch, 0.0))
    cq = cp / np.maximum(tsr, 1e-3 * best) + (start + 0.0006 * max(p.pitch, 0.0)) * np.exp(-4.0 * tsr / best)
    return 0.5 * RHO * p.area * p.radius * facing**2 * cq


def yaw_angle(p: Plant, wind: float) -> float:
    """Angle between the rotor's axis and the wind, in degrees: the tail folds until no more is met than it lets."""
    folded = np.degrees(np.arccos(p.furl / wind)) if wind > p.furl else 0.0
    return float(max(folded, p.yaw))


def battery_rest(p: Plant) -> float:
    """Voltage of the bank at rest, in V."""
    empty, full, _, cells = CELLS[p.chemistry]
    return (empty + (full - empty) * p.soc) * cells * p.volts / 12.0


def battery_at(p: Plant, current: Array) -> Array:
    """Voltage at the battery while ``current`` flows into it, in V."""
    _, _, rise, cells = CELLS[p.chemistry]
    worn = 1.0 + 3.0 * (1.0 - p.health)
    slow = p.capacity * p.health / 60.0
    # What is full gasses, and its voltage climbs.
    full_up = np.where(current > 0.0, 4.0 if p.soc > 0.97 else 1.0, 1.0)
    bend = rise * full_up * cells * p.volts / 12.0 * worn * current / (np.abs(current) + slow)
    return np.asarray(battery_rest(p) + bend + p.r_battery * worn * current)


def drawn(p: Plant) -> float:
    """Current that loads, field coil and what nobody thought of take from the battery, in A."""
    return (p.loads + p.phantom) / p.volts + p.field_current


def _bus(p: Plant, current: Array, load: str) -> tuple[Array, Array]:
    """Voltage at the battery's end of the cable with ``current`` in it, and the current that is dumped."""
    if load == "dump load":
        return current * p.volts**2 / max(p.dump, 1.0), current
    most = p.dump / p.hold if np.isfinite(p.hold) else 0.0
    if p.cut:
        # The dump load alone is left; it is switched so fast that it holds the voltage until all of it is on.
        return p.hold * np.maximum(1.0, current / most), current
    taken = taken_with(p, load)
    volts = battery_at(p, current - taken)
    if not most:
        return volts, 0.0 * current
    # The voltage at which the battery takes what the dump load leaves.
    eased = battery_at(p, current - taken - most)
    return np.where(volts > p.hold, np.maximum(p.hold, eased), volts), np.where(volts > p.hold, most, 0.0)


def taken_with(p: Plant, load: str) -> float:
    """Current taken from the battery: by the loads if they are on, and by what is on day and night, in A."""
    return drawn(p) if load == "battery and loads" else p.phantom / p.volts + p.field_current


def freed(p: Plant, load: str) -> bool:
    """Whether nothing loads the generator."""
    return load == "nothing connected" or p.fuse_blown or (bool(p.cut) and not p.dump and load != "short circuit")


def _peak(p: Plant, omega: Array) -> Array:
    """Peak of the back-EMF of one phase (of the pair of leads, where there is one winding), in V."""
    mean = 2.0 / np.pi if p.kind == "single-phase" else MEAN_DC
    return np.asarray(p.ke * omega * p.ratio / mean)


def _electric(p: Plant, omega: Array, load: str) -> tuple[Array, Array]:
    """Current after the rectifier, and power that the winding converts, at each speed of the rotor."""
    if freed(p, load):
        return 0.0 * omega, _peak(p, omega) ** 2 / p.phase_r * open_circuit(p.pattern)[1]
    if load == "short circuit":
        return _shorted(p, omega, p.brake_r)
    series = p.cable_r + p.joint
    if p.kind == "DC with brushes":
        return _brushed(p, omega, load, series)
    reactance = 3.0 / np.pi * omega * p.ratio * p.pole_pairs * p.l_ll / 2.0
    reactance = np.zeros_like(omega) if p.kind == "single-phase" else reactance
    x, f, g = table(p.pattern)
    e = _peak(p, omega)

    def rails(i: Array) -> Array:
        leaked = 0.0 if np.isinf(p.leak) else p.volts / p.leak
        return _bus(p, np.maximum(i - leaked, 0.0), load)[0] + 2.0 * p.diode + (series + reactance) * i

    def flows(u: Array) -> Array:
        return u / p.phase_r * np.interp(np.minimum(e / u, x[-1]), x, f)

    low, high = 0.0 * omega, np.maximum(e / p.phase_r, 1e-9)
    for _ in range(30):
        middle = 0.5 * (low + high)
        more = flows(rails(middle)) > middle
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    u = rails(low)
    power = u**2 / p.phase_r * np.interp(np.minimum(e / u, x[-1]), x, g) - reactance * low**2
    return low, np.maximum(power, 0.0)


def _brushed(p: Plant, omega: Array, load: str, series: float) -> tuple[Array, Array]:
    """As :func:`_electric`, of a motor with brushes behind one blocking diode."""
    e = p.ke * omega * p.ratio
    low, high = 0.0 * omega, e / p.r_ll
    for _ in range(30):
        middle = 0.5 * (low + high)
        room = e - _bus(p, middle, load)[0] - p.diode - p.brush - (series + p.r_ll) * middle
        low, high = np.where(room > 0.0, middle, low), np.where(room > 0.0, high, middle)
    return low, e * low


def _shorted(p: Plant, omega: Array, extra: float) -> tuple[Array, Array]:
    """Current and power with all leads joined, ``extra`` ohms in each lead of the loop."""
    if p.kind == "DC with brushes":
        i = p.ke * omega * p.ratio / (p.r_ll + extra)
        return i, p.ke * omega * p.ratio * i
    reactance = omega * p.ratio * p.pole_pairs * p.l_ll / 2.0
    z2 = (p.phase_r + extra) ** 2 + reactance**2
    share = sum(g * g * w for g, w in zip(p.pattern.gains, p.pattern.leads, strict=True)) / 3.0
    e = _peak(p, omega)
    return e / np.sqrt(2.0 * z2), 1.5 * share * e**2 * (p.phase_r + extra) / z2


def _braking(p: Plant, omega: Array, load: str) -> tuple[Array, Array, Array]:
    """Current, power converted and torque at the rotor, of generator and drive."""
    current, power = _electric(p, omega, load)
    turning = omega * p.ratio
    torque = power / np.maximum(turning, 1e-6)
    slip = np.minimum(1.0, p.belt / np.maximum(torque, 1e-9))
    drag = p.drag + (p.drag_speed + p.short_turns) * turning
    return current * slip, power * slip, p.ratio * (torque * slip + drag) / p.drive


@lru_cache(maxsize=20000)
def solve(p: Plant, wind: float, load: str = "battery", *, pushed: bool = False) -> State:
    """What the machine settles at in a steady wind, from rest; ``pushed`` if it was started by hand."""
    most = max(2.2 * p.tsr * wind / p.radius, 1.0)
    omega = np.linspace(1e-3, most, 160)
    torque = _braking(p, omega, load)[2]
    aero = rotor_torque(p, wind, omega)
    net = aero - torque
    stuck = aero[0] < p.ratio * (p.cogging + p.drag) / p.drive
    if wind <= 0.0 or (stuck and not pushed) or (net <= 0.0).all():
        return _stands(p, wind, load)
    first = int(np.argmax(net > 0.0)) if pushed else 0
    falls = np.nonzero(net[first:] <= 0.0)[0]
    k = first + int(falls[0]) if falls.size else len(omega) - 1
    if k == 0:
        return _stands(p, wind, load)
    share = net[k - 1] / (net[k - 1] - net[k]) if falls.size else 1.0
    at = omega[k - 1] + share * (omega[k] - omega[k - 1])
    return _state(p, wind, at, load)


def _stands(p: Plant, wind: float, load: str) -> State:
    return _state(p, wind, 0.0, load)


def _state(p: Plant, wind: float, omega: float, load: str) -> State:
    w = np.array([omega])
    i, power, torque = (float(a[0]) for a in _braking(p, w, load))
    aero = float(rotor_torque(p, wind, w)[0]) * omega
    taken, alone = taken_with(p, load), freed(p, load) or load == "short circuit"
    if alone:
        i_end, dumped = 0.0, 0.0
        volts = float(battery_at(p, np.array([-taken]))[0])
    else:
        i_end = max(i - (0.0 if np.isinf(p.leak) else p.volts / p.leak), 0.0)
        held, most = (float(a[0]) for a in _bus(p, np.array([i_end]), load))
        volts = held
        dumped = min(most, max(i_end - taken - _accepted(p, held), 0.0)) if most and not p.cut else most
    volts = 0.0 if p.cut == "low" else volts
    series = 0.0 if alone else (p.cable_r + p.joint) * i
    rectified = 0.0 if load == "short circuit" else open_volts(p, omega) if alone else volts + series
    into = 0.0 if p.cut else i_end - dumped - taken
    return State(wind, omega, i, rectified, volts, into, dumped, aero, power, torque * omega - power, series)


def _accepted(p: Plant, volts: float) -> float:
    """Current that the battery takes at a voltage, in A."""
    i = np.linspace(-p.capacity, p.capacity, 2001)
    return float(np.interp(volts, battery_at(p, i), i))


def open_volts(p: Plant, omega: float) -> float:
    """Voltage after the rectifier with nothing connected, as an ordinary meter on DC reads it: the mean, in V."""
    if p.kind == "DC with brushes":
        return max(p.ke * omega * p.ratio - p.diode, 0.0)
    peak = float(_peak(p, np.array([omega]))[0])
    whole = open_circuit(Pattern(single=p.kind == "single-phase"))[0]
    mean = p.ke * omega * p.ratio * open_circuit(p.pattern)[0] / whole
    return max(mean - 2.0 * p.diode * (peak > 0.0), 0.0)


def pair_volts(p: Plant, omega: float) -> tuple[float, ...]:
    """RMS voltage between each pair of leads with nothing connected, in V."""
    if p.kind == "DC with brushes":
        return (p.ke * omega * p.ratio,)
    return tuple(v * float(_peak(p, np.array([omega]))[0]) for v in between_leads(p.pattern))


def stop_time(p: Plant, wind: float, *, load: str = "battery") -> float:
    """Time from joining the leads to a slow turning, infinite where it keeps turning at speed, in s."""
    omega = solve(p, wind, load).omega
    inertia = p.inertia or p.blades * p.blade_mass * (0.45 * p.radius) ** 2
    began, t, dt = omega, 0.0, 0.02
    while omega > 0.15 * began and t < 60.0:
        w = np.array([omega])
        torque = float(_braking(p, w, "short circuit")[2][0])
        omega += dt * (float(rotor_torque(p, wind, w)[0]) - torque) / inertia
        t += dt
    return t if t < 60.0 else float("inf")


def inverter_volts(p: Plant, watts: float) -> tuple[float, float]:
    """Voltage at the battery and at the inverter's input while it takes ``watts``, in V."""
    volts = battery_rest(p)
    for _ in range(60):
        i = watts / max(volts, 0.3 * p.volts)
        at_battery = float(battery_at(p, np.array([-i]))[0])
        volts = 0.5 * volts + 0.5 * max(at_battery - p.inverter_r * i, 0.3 * p.volts)
    return at_battery, volts


def winding_heat(p: Plant, state: State) -> float:
    """Temperature of the winding after hours at that, in degC."""
    lost = max(state.converted - state.rectified * state.current, 0.0) + p.short_turns * (state.omega * p.ratio) ** 2
    # Beyond that the varnish burns and nothing is left to be read.
    return min(p.air + p.thermal * lost, 230.0)


def thrown(p: Plant, omega: float, height: float, angle: float) -> float:
    """Distance at which a blade let go at ``angle`` above the level comes down, in m.

    The throw without air, shortened so that no piece flies on for ever: a light piece soon loses its way. Trade lore.
    """
    v = omega * 0.45 * p.radius
    up, along = v * np.sin(angle), v * np.cos(angle)
    bare = float(along * (up + np.sqrt(up**2 + 2.0 * GRAVITY * height)) / GRAVITY)
    return bare / (1.0 + bare / 90.0)


def shaking(p: Plant, omega: float) -> tuple[float, float]:
    """Frequency and strength (g at the mast's top, in parts) of the shake: forced by imbalance, or the mast's own."""
    turning = omega / (2.0 * np.pi)
    best = (turning, p.unbalance * omega**2 / 40.0)
    for harmonic in (1, p.blades):
        f = harmonic * turning
        gain = 1.0 / np.sqrt((1.0 - (f / p.mast_hz) ** 2) ** 2 + (0.06 * f / p.mast_hz) ** 2) if p.mast_hz else 1.0
        forced = (0.01 if harmonic == 1 else 0.02) * gain
        if forced > best[1]:
            best = (f, forced)
    return best


def changed(p: Plant, **to: object) -> Plant:
    """The same machine with something else about it."""
    return replace(p, **to)  # type: ignore[arg-type]
