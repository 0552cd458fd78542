"""The inverter: what it draws from the battery, and its fuse."""

from __future__ import annotations

from calc import wiring
from calc.finding import Source
from calc.rules.common import NEC_CONTINUOUS, Capacity, Current, inverter_current, run_capacity
from calc.rules.engine import Inputs, Judgement, Rule, Unknown, at_most
from calc.rules.wiring import IEC_AMPACITY, window_level, window_remedy
from calc.units import Num, show

NEC_INPUT = Source("NEC 2017", "694.12(A)(3): current at rated power and lowest input voltage", "reproduction")
NO_RUN = "No cable run on the sheet carries battery to inverter"


def _run(x: Inputs) -> str | None:
    named = (label for label in x.labels("cable") if x.get(f"cable.{label}.carries") == "battery to inverter")
    return next(named, None)


def _both(x: Inputs) -> tuple[str, Current, Capacity] | Unknown:
    found, label = inverter_current(x), _run(x)
    if isinstance(found, Unknown):
        return found
    if label is None:
        return Unknown(NO_RUN, ("cable.inverter.carries", "cable.inverter.area"))
    if x.maybe(f"cable.{label}.area") is None:
        return Unknown("", (f"cable.{label}.area",))
    capacity = run_capacity(x, label)
    return capacity if isinstance(capacity, Unknown) else (label, found, capacity)


def _current(x: Inputs) -> Judgement | Unknown:
    both = _both(x)
    if isinstance(both, Unknown):
        return both
    label, found, capacity = both
    I, I_z, A = found.amps, capacity.amps, x.num(f"cable.{label}.area")
    level, margin = at_most(I, I_z, marginal=1.0 - 1.0 / wiring.CONTINUOUS)

    def says() -> str:
        return (
            f"At full load the inverter draws {show(I, 'A')} ({found.how()}); with a quarter added that asks "
            f"for {show(wiring.CONTINUOUS * I, 'A')}. Its cable of {show(A, 'mm2')} may carry "
            f"{show(I_z, 'A')} ({capacity.standing()})."
        )

    def remedy() -> str:
        size = capacity.smallest_for(float(I) * wiring.CONTINUOUS)
        power = show(x.num("inverter.power") * I_z / wiring.CONTINUOUS / I, "W")
        bigger = f"Take {show(size, 'mm2')} or more" if size else "No size up to 120 mm2 will do; double the voltage"
        return f"{bigger}, or keep the inverter's load below {power}."

    return Judgement(level, says, remedy, I, I_z, "A", margin)


def _fuse(x: Inputs) -> Judgement | Unknown:
    both = _both(x)
    if isinstance(both, Unknown):
        return both
    label, found, capacity = both
    I, I_z = found.amps, capacity.amps
    own = x.maybe("inverter.fuse")
    fuse: Num | None = x.maybe(f"cable.{label}.fuse") if own is None else own
    if fuse is None:
        return Unknown("", ("inverter.fuse",))
    level, margin = window_level(I, fuse, I_z)

    def says() -> str:
        fate = "It lies between the two"
        if fuse > I_z:
            fate = "The cable would burn before it opens"
        elif fuse < wiring.CONTINUOUS * I:
            fate = "It opens in normal work" if fuse < I else "It leaves no quarter in reserve"
        return (
            f"The inverter draws {show(I, 'A')} at full load ({found.how()}), so its fuse should be "
            f"{show(wiring.CONTINUOUS * I, 'A')} or more, and no more than the {show(I_z, 'A')} its cable "
            f"may carry. The fuse is {show(fuse, 'A')}. {fate}."
        )

    def remedy() -> str:
        return window_remedy(float(I), float(I_z), capacity.smallest_for(float(I) * wiring.CONTINUOUS))

    return Judgement(level, says, remedy, fuse, I_z, "A", margin)


def _has_inverter(x: Inputs) -> bool:
    return any(x.given(f"inverter.{name}") for name in ("power", "input_voltage_min", "efficiency", "fuse"))


RULES = (
    Rule(
        "inverter.current",
        "Current the inverter draws",
        "inverter",
        ("inverter.power", "inverter.efficiency"),
        _current,
        (NEC_INPUT, NEC_CONTINUOUS, *IEC_AMPACITY),
        "The cable from battery to inverter carries more current than any other, and overheats first.",
        applies=_has_inverter,
    ),
    Rule(
        "inverter.fuse",
        "Fuse of the inverter",
        "inverter",
        ("inverter.power", "inverter.efficiency"),
        _fuse,
        (
            NEC_INPUT,
            NEC_CONTINUOUS,
            Source("NEC 2017", "706.21(F): fuse at the battery", "reproduction"),
            *IEC_AMPACITY,
        ),
        "A battery drives thousands of amperes into a short circuit. The fuse must be able to break such a "
        "current and sit close to the battery's terminal.",
        applies=_has_inverter,
    ),
)
