"""The ends of a machine's range: running free, starting, charging, and spun on a bench."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from calc.physics import generator
from calc.physics.arrays import Array
from calc.physics.balance.circuit import Circuit
from calc.physics.balance.machine import Flat, Machine, few_together, flat_numbers, positive_winds, with_winds
from calc.physics.balance.operating import straight_zero
from calc.physics.balance.sides import Drive, circuit_behind, torque_in_winds
from calc.physics.roots import bracketed_root

#: Winds between which the first one that moves something is looked for [m/s], and the steps from one to the next of a
#: few that are tried at once.
_LIGHTEST, _STRONGEST = 0.2, 60.0
_STEPS: Array = np.power(1.03, np.arange(13.0))
#: Torque that moves nothing. [N m]
_NOTHING = 1e-12


def unloaded(machine: Machine, V: Array) -> tuple[Array, Array]:
    """Speed and voltage with nothing connected, the rotor running as fast as it can.

    Parameters
    ----------
    machine : Machine
        The machine.
    V : array, shape (..., winds)
        Wind speeds. [m/s]

    Returns
    -------
    omega, voltage : array, shape (..., winds)
        Speed [rad/s] and mean voltage behind the rectifier [V]; a capacitor there charges to the peaks, which
        stand 4.7 % higher with three phases.

    Raises
    ------
    ValueError
        If a wind is not positive or the shapes do not fit.

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], R=1.1, rho=1.225, k=1.273, R_w=0.24, V_d=1.8, V_oc=26.4)
    >>> omega, voltage = unloaded(m, np.array([25.0]))
    >>> omega * 30.0 / np.pi, voltage
    (array([1736.]), array([231.5]))
    """
    winds, full = positive_winds(V, machine.variants)
    x = flat_numbers(machine)
    omega = np.concatenate([_free_speed(part, machine, winds[few]) for few, part in few_together(x)])
    return omega.reshape(full), (omega * x["k"][:, None]).reshape(full)


def _free_speed(x: Flat, machine: Machine, V: Array) -> Array:
    """Highest speed at which the rotor's torque falls to that of the drag, shape (n, winds)."""
    drive = Drive.in_winds(machine, x, V)
    free = drive.free(x)
    wins = free > 0
    stable = wins[..., :-1] & ~wins[..., 1:]
    node = stable.shape[-1] - 1 - np.argmax(stable[..., ::-1], axis=-1)
    high, low = (np.take_along_axis(free, (node + i)[..., None], axis=-1)[..., 0] for i in (0, 1))
    return np.where(stable.any(axis=-1), (node + straight_zero(high, low)) * drive.per_node, 0.0)


def _first_wind(spare: Callable[[Array], Array], start: Array) -> Array:
    """Lowest wind from ``start`` on, shape (n,), that leaves each variant something to spare."""
    low, high = start[:, None], np.full((len(start), 1), math.inf)
    winds = low * _STEPS
    while np.isinf(high).any() and winds[:, 0].min() < _STRONGEST:
        ok = spare(np.minimum(winds, _STRONGEST)) > 0
        first = np.argmax(ok, axis=1)[:, None]
        hit = np.isinf(high) & ok.any(axis=1, keepdims=True)
        low = np.where(hit, np.take_along_axis(winds, np.maximum(first - 1, 0), axis=1), low)
        high = np.where(hit, np.take_along_axis(winds, first, axis=1), high)
        winds = winds[:, -1:] * _STEPS
    never = np.asarray(np.isinf(high))
    low, high = (np.where(never, start[:, None], np.minimum(x, _STRONGEST)) for x in (low, high))

    def more_than_nothing(V: Array) -> Array:
        left = spare(V)
        # Without drag nothing is to spare over a whole range of winds; looked for is the upper end of that.
        return np.where(left > 0, left, np.minimum(left, -_NOTHING))

    # Alone a wind may come out a hair otherwise than among the others.
    f_low, f_high = np.minimum(spare(low), -_NOTHING), np.maximum(spare(high), 0.0)
    V = np.asarray(bracketed_root(more_than_nothing, low, high, f_low=f_low, f_high=f_high))
    return np.asarray(np.where(never, math.inf, np.where(high > start[:, None], V, 0.0)))[:, 0]


def starting_wind(machine: Machine) -> Array:
    """Wind in which the rotor starts by itself: its torque at rest against bearings, iron and cogging.

    Parameters
    ----------
    machine : Machine
        The machine.

    Returns
    -------
    V : array, shape (...,)
        Wind speed; zero where it is below 0.2 m/s, infinite where it is above 60 m/s. [m/s]

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, T_0=0.26, T_cog=0.13)
    >>> float(starting_wind(m))
    3.02
    """
    x = flat_numbers(machine)
    held = (x["T_0"] + x["T_cog"])[:, None]
    lightest = np.full(len(held), _LIGHTEST)
    found = _first_wind(lambda V: torque_in_winds(x, machine, V, np.zeros((1, 1))) - held, lightest)
    return found.reshape(machine.variants)


def charging_wind(machine: Machine) -> Array:
    """Lowest wind in which a running rotor charges, all drag counted.

    Parameters
    ----------
    machine : Machine
        The machine.

    Returns
    -------
    V : array, shape (...,)
        Wind speed; zero where it is below 0.2 m/s, infinite where it is above 60 m/s. [m/s]

    Notes
    -----
    The rotor, running free, reaches the voltage of battery and diodes, and goes on turning as fast when the first
    current flows. Coming from standstill it may need more wind, see :func:`starting_wind`.
    Winds are tried in steps of 3 %; blades that stall may charge in a narrower band below, which is missed.

    Examples
    --------
    >>> tsr = np.linspace(0.0, 8.0, 81)
    >>> cq = 0.0167 * (1.0 + tsr) * (1.0 - tsr / 8.0)
    >>> m = Machine(tsr, np.array([6.0]), cq[None, :], 1.1, 1.225, 1.273, 0.24, 1.8, 26.4, T_0=0.26, b=0.0068)
    >>> float(charging_wind(m))
    3.39
    """

    def lowest(x: Flat) -> Array:
        circuit = circuit_behind(machine, x)

        def spare(V: Array) -> Array:
            _, _, torques, turned = Drive.in_winds(machine, x, V).loaded(circuit)
            return np.asarray((turned - torques[:, None, :]).max(axis=-1))

        # In lighter winds the rotor drives nothing at the speed at which charging begins.
        drives = x["cq"].max(axis=1) > 0
        ratio = machine.tsr[-1] - np.argmax(drives[:, ::-1], axis=1) * machine.tsr[1] + machine.tsr[1]
        begin = 0.99 * circuit.begin
        return _first_wind(spare, np.clip(begin * x["R"] / ratio, _LIGHTEST, _STRONGEST))

    return np.concatenate([lowest(x) for _, x in few_together(flat_numbers(machine))]).reshape(machine.variants)


def spin(machine: Machine, omega: Array) -> tuple[Array, Array]:
    """Current and battery voltage at given speeds of the rotor's shaft, as when it is spun on a bench.

    Parameters
    ----------
    machine : Machine
        The machine; its rotor does not matter here.
    omega : array, shape (..., speeds)
        Speeds. [rad/s]

    Returns
    -------
    I, voltage : array, shape (..., speeds)
        Direct current [A] and voltage at the battery [V].

    Raises
    ------
    ValueError
        If a speed is negative or the shapes do not fit.

    Examples
    --------
    30 V behind the rectifier against 26.4 V and diodes: 1.8 V drive the current through 0.24 ohm.

    >>> tsr = np.array([0.0, 8.0])
    >>> m = Machine(tsr, np.array([6.0]), np.array([[0.1, -0.1]]), 1.1, 1.225, 1.0, 0.24, 1.8, 26.4)
    >>> [x.tolist() for x in spin(m, np.array([20.0, 30.0]))]
    [[0.0, 7.5], [26.4, 26.4]]
    """
    if not np.all(np.greater_equal(omega, 0)):
        raise ValueError("the speeds must not be negative")
    speed, full = with_winds(omega, machine.variants)
    circuit = _behind(machine)
    at = circuit.flow(circuit.at(speed))
    return at.current.reshape(full), at.voltage.reshape(full)


def _behind(machine: Machine) -> Circuit:
    """Circuits of all variants, shape (n, 1)."""
    return circuit_behind(machine, flat_numbers(machine)).only((slice(None), None))


def load_torque(machine: Machine, omega: Array) -> Array:
    """Torque at the rotor's shaft with which the loaded generator, drag and drive hold it at given speeds.

    Parameters
    ----------
    machine : Machine
        The machine; its rotor does not matter here.
    omega : array, shape (..., speeds)
        Speeds. [rad/s]

    Returns
    -------
    T : array, shape (..., speeds)
        Torque: drag alone until the voltage reaches that of battery and diodes. [N m]

    Raises
    ------
    ValueError
        If a speed is negative or the shapes do not fit.

    Examples
    --------
    Nothing flows at 20 rad/s; 7.5 A at 30 rad/s and 1 V s/rad take 7.5 N m:

    >>> tsr = np.array([0.0, 8.0])
    >>> m = Machine(tsr, np.array([6.0]), np.array([[0.1, -0.1]]), 1.1, 1.225, 1.0, 0.24, 1.8, 26.4)
    >>> load_torque(m, np.array([20.0, 30.0]))
    array([0. , 7.5])
    """
    I, _ = spin(machine, omega)
    speed, full = with_winds(omega, machine.variants)
    x = {name: value[:, None] for name, value in flat_numbers(machine).items() if name != "cq"}
    current, drag = np.asarray(I).reshape(speed.shape), generator.drag(speed, x["T_0"], x["b"])
    if machine.winding == "single-phase" or machine.excited:
        circuit = _behind(machine)
        T = np.where(current > 0, circuit.turn(circuit.at(speed))[1], drag)
    else:
        T = np.asarray(generator.torque(current, x["k"], x["L"], x["p"]) + drag)
    return np.reshape(T / x["eta"], full)
