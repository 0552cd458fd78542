"""The inverter: what it draws from the battery, and its fuse."""

from __future__ import annotations

from calc.finding import Act, Source
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.currents import (
    Capacity,
    Current,
    has_inverter,
    inverter_current,
    inverter_run,
    run_capacity,
)
from calc.machine.inputs import Inputs, Unknown
from calc.physics import wiring
from calc.rules.engine import DANGER, Judgement, Rule
from calc.rules.kits import supplied_inverter, supply_words
from calc.rules.limits import BANKS
from calc.rules.sizing import (
    capacity_known,
    capacity_words,
    continuous_level,
    fuse_fate,
    fuse_level,
    fuse_ways,
    thicker_cable,
)
from calc.rules.sources import (
    IEC_AMPACITY,
    NEC_AMPACITY,
    NEC_CONTINUOUS,
    NEC_SMALL,
)
from calc.rules.ways import Try, Way, act, change, shown
from calc.units import Num, show, show_down, show_up

NEC_INPUT = Source("NEC 2017", "694.12(A)(3): current at rated power and lowest input voltage", "reproduction")
NO_RUN = "No cable on the sheet carries battery to inverter"


def _both(x: Inputs) -> tuple[str, Current, Capacity] | Unknown:
    found, label = inverter_current(x), inverter_run(x)
    if isinstance(found, Unknown):
        return found
    if label is None:
        return Unknown(NO_RUN, (Sheet.cable.carries["inverter"], Sheet.cable.area["inverter"]))
    if x.maybe(Sheet.cable.area[label]) is None:
        return Unknown("", (Sheet.cable.area[label],))
    capacity = run_capacity(x, label)
    return capacity if isinstance(capacity, Unknown) else (label, found, capacity)


def _current(x: Inputs) -> Judgement | Unknown:
    both = _both(x)
    if isinstance(both, Unknown):
        return both
    label, found, capacity = both
    I, A = found.amps, x.cable[label].area
    level, margin, limit = continuous_level(I, capacity)

    def says() -> str:
        return f"At full load the inverter draws {show(I, 'A')}, and {capacity_words(I, A, capacity)}"

    def ways() -> list[Way]:
        less = show_down(x.inverter.power * capacity.continuous / I, "W", 2)
        V = x.maybe(Sheet.storage.voltage)
        higher = [] if V is None else [U for U in BANKS if float(V) < U]
        banks = [kit for U in higher if (kit := supplied_inverter(x, float(x.inverter.power), U)) is not None]
        return [
            thicker_cable(x, label),
            change(_bank_words, *banks),
            act(Act.DO, f"Never load the inverter with more than {less}."),
        ]

    return Judgement(level, says, ways, I, limit, "A", margin, lambda: _known(found, capacity))


def _bank_words(tried: Try) -> str:
    V = shown(Sheet.storage.voltage, tried[Sheet.storage.voltage])
    return supply_words(f"Make up a bank of {V} and an inverter for it", tried, bank=False)


def _known(found: Current, capacity: Capacity) -> str:
    return f"Its {show(found.amps, 'A')} are {found.how()}. {capacity_known(found.amps, capacity)}"


def _fuse(x: Inputs) -> Judgement | Unknown:
    both = _both(x)
    if isinstance(both, Unknown):
        return both
    label, found, capacity = both
    I = found.amps

    def ways() -> list[Way]:
        return fuse_ways(x, label, float(I), Sheet.cable.fuse[label] if own is None else Sheet.inverter.fuse)

    own = x.maybe(Sheet.inverter.fuse)
    fuse: Num | None = x.maybe(Sheet.cable.fuse[label]) if own is None else own
    bare = own is None and x.maybe(Sheet.cable.fused[label]) is False
    if bare:
        fuse = x.maybe(Sheet.protection.main_fuse_rating)
    if bare and fuse is None:
        return Judgement(
            DANGER,
            lambda: (
                f"No fuse protects the cable to the inverter, which may carry {show(capacity.amps, 'A')}. A short "
                "circuit in it or in the inverter draws all the battery can give, and sets it on fire."
            ),
            ways,
        )
    if fuse is None:
        return Unknown("", (Sheet.inverter.fuse,))
    level, margin = fuse_level(I, fuse, capacity)

    def says() -> str:
        return (
            f"A fuse of {show(fuse, 'A')} {fuse_fate(I, fuse, capacity)}: the inverter needs one of "
            f"{show_up(wiring.CONTINUOUS * I, 'A')} or more, its cable one of {show_down(capacity.fuse, 'A')} at most."
        )

    return Judgement(level, says, ways, fuse, capacity.fuse, "A", margin, lambda: _known(found, capacity))


RULES = (
    Rule(
        "inverter.current",
        "Current the inverter draws",
        "inverter",
        (Sheet.inverter.power, Sheet.inverter.efficiency),
        _current,
        (NEC_INPUT, NEC_CONTINUOUS, *IEC_AMPACITY, *NEC_AMPACITY),
        "The cable from battery to inverter carries more current than any other, and overheats first.",
        applies=lambda x: has_battery(x) and has_inverter(x),
    ),
    Rule(
        "inverter.fuse",
        "Fuse of the inverter",
        "inverter",
        (Sheet.inverter.power, Sheet.inverter.efficiency),
        _fuse,
        (
            NEC_INPUT,
            NEC_CONTINUOUS,
            Source(
                "NEC 2017",
                "706.21(F): fuse at the battery, a duty above 60 V DC (706.1), below it good practice",
                "reproduction",
            ),
            NEC_SMALL,
            *IEC_AMPACITY,
            *NEC_AMPACITY,
        ),
        "A battery drives thousands of amperes into a short circuit. The fuse must be able to break such a "
        "current and sit close to the battery's terminal.",
        applies=lambda x: has_battery(x) and has_inverter(x),
    ),
)
