"""Cables: voltage lost, heat, and the fuse that protects them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calc import wiring
from calc.finding import Source
from calc.rules.common import (
    NEC_CONTINUOUS,
    fuse_window,
    loaded_wires,
    run_capacity,
    run_current,
    wire_current,
)
from calc.rules.engine import FAIL, MARGINAL, OK, Inputs, Judgement, Rule, Unknown, at_most
from calc.units import Num, show

#: Share of the battery's voltage that a run should lose at most, and beyond which it is too much.
GOOD_DROP, WORST_DROP = 0.03, 0.05
#: Usual voltages of battery banks. [V]
BANKS = (12.0, 24.0, 48.0)

IEC_RESISTANCE = Source("IEC 60228", "maximum resistance, class 2, 20 degC", "reproduction")
IEC_AMPACITY = (
    Source("IEC 60364-5-52:2009", "Table B.52.2, PVC, two wires, 1.5 to 16 mm2", "reproduction"),
    Source(
        "IEC 60364-5-52:2009",
        "Table B.52.4, PVC, three wires, up to 120 mm2 (B2), 35 mm2 (C)",
        "reproduction",
    ),
    Source("IEC 60364-5-52:2009", "larger PVC cables, and all XLPE, 90 degC", "from memory"),
    Source("Ambient factors of PVC cable, reproduced by sqrt((70 - T)/40)", "", "reproduction"),
)


def _label(x: Inputs) -> str:
    return x.label or ""


def _bank_for(V: float, share: float, limit: float) -> float | None:
    # The same power at a higher voltage: current falls, and the voltage it is a share of rises.
    needed = V * (share / limit) ** 0.5
    return next((bank for bank in BANKS if bank >= needed and bank > V), None)


def _size_for(share: float, limit: float, r: float, scale: float, material: str) -> str | None:
    areas, r20 = wiring.resistance_table(f"{material} class 2")
    fits = areas[r20 * scale <= r * limit / share]
    return show(float(fits[0]), "mm2") if len(fits) else None


def _drop(x: Inputs) -> Judgement | Unknown:
    found = run_current(x, _label(x))
    if isinstance(found, Unknown):
        return found
    I, V, L, A = found.amps, x.num("storage.voltage"), x.num("cable.length"), x.num("cable.area")
    material, T = x.word("cable.material"), x.num("cable.temperature")
    r = wiring.resistance(A, material, T)
    dV = wiring.voltage_drop_dc(I, L, r)
    level, margin = at_most(dV / V, WORST_DROP, marginal=1.0 - GOOD_DROP / WORST_DROP)

    def says() -> str:
        text = (
            f"At {show(I, 'A')} ({found.how()}) the {show(L, 'm')} of {show(A, 'mm2')} {material} loses "
            f"{show(dV, 'V')}, {show(dV / V, '%')} of the battery's {show(V, 'V')}, and turns "
            f"{show(dV * I, 'W')} into heat."
        )
        if np.any(dV >= V):
            return f"{text} That is as much as the battery itself has: this cable cannot bring such a current."
        return f"{text} Off-grid practice is 3 % at most; 5 % is the usual limit for wiring."

    def remedy() -> str:
        share = float(dV / V)
        limit = WORST_DROP if share > WORST_DROP else GOOD_DROP
        scale = 1.0 + wiring.ALPHA[material] * (float(T) - 293.15)
        size = _size_for(share, limit, float(r), scale, material)
        better = _size_for(share, GOOD_DROP, float(r), scale, material)
        bank = _bank_for(float(V), share, limit)
        ways = []
        if size:
            more = f" ({better} for under 3 %)" if better and better != size else ""
            ways.append(f"{size} or more{more}")
        if bank:
            ways.append(f"a {show(bank, 'V')} bank with the cable as it is")
        ways.append(f"a run of {show(float(L) * limit / share, 'm')} at most")
        lead = "" if size else "No size up to 120 mm2 will do. "
        return f"{lead}Under {show(limit, '%')} takes {', or '.join(ways)}."

    return Judgement(level, says, remedy, dV / V, WORST_DROP, "%", margin)


def _ampacity(x: Inputs) -> Judgement | Unknown:
    found, capacity = run_current(x, _label(x)), run_capacity(x, _label(x))
    if isinstance(found, Unknown):
        return found
    if isinstance(capacity, Unknown):
        return capacity
    I, I_z, A = wire_current(x, _label(x), found.amps), capacity.amps, x.num("cable.area")
    ambient, laid, wires = x.num("cable.ambient"), x.word("cable.laid"), loaded_wires(x, _label(x))
    level, margin = at_most(I, I_z, marginal=1.0 - 1.0 / wiring.CONTINUOUS)

    def says() -> str:
        each = f", {show(I, 'A')} in each of three wires" if wires == 3 else ""
        need = I * wiring.CONTINUOUS
        verdict = "enough" if need <= I_z else ("too little" if I_z < I else "enough without that quarter")
        return (
            f"The run carries {show(found.amps, 'A')} ({found.how()}{each}); with a quarter added for hours "
            f"on end that asks for {show(need, 'A')}. {show(A, 'mm2')} {laid} in air of "
            f"{show(ambient, 'degC')} may carry {show(I_z, 'A')} ({capacity.standing()}): {verdict}."
        )

    def remedy() -> str:
        size = capacity.smallest_for(float(I) * wiring.CONTINUOUS)
        less = show(float(I_z) / wiring.CONTINUOUS * float(found.amps / I), "A")
        bigger = f"{show(size, 'mm2')} or more, or hold" if size else "No size up to 120 mm2 will do; hold"
        return f"{bigger} the current below {less}."

    return Judgement(level, says, remedy, I, I_z, "A", margin)


def window_level(I: Num, fuse: Num, I_z: Num) -> tuple[NDArray[np.int_], Num]:
    """Level and margin of a fuse that must lie between 1.25 times the current and the ampacity.

    Above the ampacity the cable burns before the fuse opens, and below the current the fuse opens in normal
    work: both fail. Between the current and 1.25 times the current it ages and may open: marginal.
    """
    low = np.asarray(fuse) / I
    bad = (np.asarray(fuse) > I_z) | (low < 1.0)
    level = np.where(bad, FAIL, np.where(low < wiring.CONTINUOUS, MARGINAL, OK))
    return level, np.minimum((np.asarray(I_z) - fuse) / I_z, low - 1.0)


def window_remedy(I: float, I_z: float, smallest: float | None) -> str:
    """What would put the fuse right, or the cable if no fuse can."""
    low = I * wiring.CONTINUOUS
    if low <= I_z:
        return f"Fit {fuse_window(low, I_z)}, close to the battery, rated for direct current at its voltage."
    cable = f"{show(smallest, 'mm2')} or more" if smallest else "several cables, each with its own fuse"
    return (
        f"No fuse fits: {show(low, 'A')} are asked for and the cable may carry {show(I_z, 'A')}. Take "
        f"{cable} first, then a fuse of at least {show(low, 'A')}."
    )


def _fuse(x: Inputs) -> Judgement | Unknown:
    label = _label(x)
    found, capacity = run_current(x, label), run_capacity(x, label)
    if isinstance(found, Unknown):
        return found
    if isinstance(capacity, Unknown):
        return capacity
    I, I_z = found.amps, capacity.amps

    def remedy() -> str:
        return window_remedy(float(I), float(I_z), capacity.smallest_for(float(I) * wiring.CONTINUOUS))

    if x.get("cable.fused") is False:
        return Judgement(
            FAIL,
            lambda: (
                "The battery feeds this run and no fuse protects it. In a short circuit the battery drives "
                f"hundreds of amperes or more through a cable that may carry {show(I_z, 'A')}, and it can "
                "catch fire."
            ),
            remedy,
        )
    fuse = x.maybe("cable.fuse")
    if fuse is None and x.word("cable.carries") == "battery to inverter":
        fuse = x.maybe("inverter.fuse")
    if fuse is None:
        return Unknown("", (f"cable.{label}.fuse",))
    level, margin = window_level(I, fuse, I_z)

    def says() -> str:
        fate = "lies between the two"
        if fuse > I_z:
            fate = "lets the cable burn before it opens"
        elif fuse < I:
            fate = "opens in normal work"
        elif fuse < wiring.CONTINUOUS * I:
            fate = "carries the current but leaves no quarter in reserve"
        return (
            f"The fuse must exceed the current of {show(I, 'A')} ({found.how()}) by a quarter, "
            f"{show(wiring.CONTINUOUS * I, 'A')}, and must not exceed the {show(I_z, 'A')} the cable may "
            f"carry ({capacity.standing()}). A fuse of {show(fuse, 'A')} {fate}."
        )

    return Judgement(level, says, remedy, fuse, I_z, "A", margin)


RULES = (
    Rule(
        "wiring.voltage-drop",
        "Voltage and power lost in the cable",
        "cable",
        (
            "cable.carries",
            "cable.length",
            "cable.area",
            "cable.material",
            "cable.temperature",
            "storage.voltage",
        ),
        _drop,
        (
            IEC_RESISTANCE,
            Source("IEC 60364-5-52:2009", "Table G.52.1, 5 % on a public supply", "reproduction"),
            Source("Davey and Dankoff, wire chart for 12 and 24 V systems", "2 to 3 %"),
        ),
        each=True,
    ),
    Rule(
        "wiring.ampacity",
        "Current the cable may carry",
        "cable",
        ("cable.carries", "cable.area", "cable.material", "cable.insulation", "cable.laid", "cable.ambient"),
        _ampacity,
        (*IEC_AMPACITY, NEC_CONTINUOUS),
        "An overloaded cable gets hot enough to set fire to what it touches. Local wiring rules come first; "
        "ask an electrician where the cable enters a building.",
        each=True,
    ),
    Rule(
        "wiring.fuse",
        "Fuse of the run",
        "cable",
        ("cable.carries", "cable.area", "cable.material", "cable.insulation", "cable.laid", "cable.ambient"),
        _fuse,
        (
            NEC_CONTINUOUS,
            Source("NEC 2017", "694.15(A), 706.21(F): protection at the battery", "reproduction"),
            Source("IEC 60364-4-43", "433.1, fuse no larger than the cable's ampacity", "from memory"),
            *IEC_AMPACITY,
        ),
        "A battery can set an unfused or wrongly fused cable on fire. A fuse that opens in the generator's "
        "run also takes the load off the rotor, so something else must then hold the rotor's speed.",
        each=True,
        applies=lambda x: x.get("cable.carries") != "generator before the rectifier",
    ),
)
