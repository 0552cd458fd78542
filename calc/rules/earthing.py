"""Earthing of the mast, surge arresters, polarity, and bare terminals of the battery."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import battery_source, charge_top, fault_currents, has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import MAST_EARTHS, POLARITIES, SURGE_PLACES
from calc.machine.currents import wiring_practice
from calc.machine.inputs import Inputs, Unknown
from calc.machine.storm import unloaded_held, unloaded_in_storm
from calc.physics import protection, wiring
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.kits import other_bank
from calc.rules.limits import BANKS, worth_advising
from calc.rules.phrases import ELECTRICIAN, beyond, gust_words
from calc.rules.sources import FAULT_SOURCE, IN_OPERATION, LITHIUM_OHMS
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import Num, show, show_down, show_up

#: Copper earth wire of a mast: bonding against lightning (IEC 62305-3; a down conductor takes 50 mm2, which the mast
#: itself is), bonding (IEC 60364-5-54), to a rod (NEC 250.66(A), 6 AWG); all from memory. [m2]
EARTH_LIGHTNING, EARTH_BONDING, EARTH_ROD = 16e-6, 6e-6, wiring.awg_area(6)


#: Highest continuous voltages marked on surge arresters, for direct and for alternating current. From memory. [V]
ARRESTERS = (48.0, 60.0, 75.0, 100.0, 150.0, 275.0, 320.0, 385.0, 440.0, 600.0, 800.0, 1000.0, 1500.0)


def _no_arresters(x: Inputs, need: Num | None) -> Judgement:
    def ways() -> list[Way]:
        if need is None:
            return [
                act(
                    Act.DO,
                    "Fit arresters of type 2 or 3 at both ends of the generator's cable, on a short wire to earth.",
                )
            ]
        both: list[Try] = [
            {Sheet.protection.surge_voltage: V, Sheet.protection.surge: SURGE_PLACES[2]} for V in ARRESTERS if need <= V
        ]
        return [
            change("Fit arresters of type 2 or 3, rated for {0} continuously, {1}, on a short wire to earth.", *both)
        ]

    return Judgement(
        FAIL if wiring_practice(x) == "NEC" else MARGINAL,
        lambda: (
            "Nothing limits what nearby lightning induces in the generator's cable. The mast is the highest metal "
            "around, and the cable leads to the rectifier, the controller and the battery."
        ),
        ways,
    )


def _surge(x: Inputs) -> Judgement | Unknown:
    where, rated, free = x.protection.surge, x.maybe(Sheet.protection.surge_voltage), unloaded_in_storm(x)
    need = None if free is None else free.peak
    if where == SURGE_PLACES[0]:
        return _no_arresters(x, need)
    names = (Sheet.protection.surge_voltage, Sheet.generator.emf_constant, Sheet.rotor.diameter)
    missing = tuple(n for n in names if x.maybe(n) is None)
    if missing:
        return Unknown("", missing)
    if rated is None or need is None or free is None:
        return Unknown("The voltage of the generator in a storm cannot be told from what the sheet says")
    level, margin = at_least(rated, need)
    held = unloaded_held(x)
    if held is not None:
        # What they bear for good is held against what comes in operation, not against three seconds without the tail.
        level = np.where((level == FAIL) & (np.asarray(rated) >= held.peak), MARGINAL, level)

    def says() -> str:
        verdict = "they stay out of the way" if rated >= need else "they conduct then, and burn"
        if level == MARGINAL:
            verdict = "they burn only if nothing holds the rotor back then"
        return (
            f"The surge arresters are rated for {show(rated, 'V')}, and the unloaded generator peaks at "
            f"{show_up(need, 'V', 2)} in {gust_words(free.wind)}: {verdict}."
        )

    def more() -> str:
        speed, held = free.speed * rated / need, ""
        if rated < need and worth_advising(x, speed):
            held = f" Held below {show_down(speed, 'rpm', 2)} without load, the rotor would spare them that."
        only = "They limit what nearby lightning induces, not a direct strike."
        return f"{only}{held}{beyond(x, free.wind, free.speed)}"

    def ways() -> list[Way]:
        larger = [V for V in ARRESTERS if rated < V]
        return [change("Use arresters rated for {0} continuously.", *ladder(Sheet.protection.surge_voltage, larger))]

    return Judgement(level, says, ways, rated, need, "V", margin, more)


EARTH_MADE = "The wire is short and without sharp bends; beside galvanised anchors the electrode is galvanised too."


def _not_earthed(kind: str, good: float) -> Judgement:
    says = (
        "The mast's electrode is not joined to the system's earth. When lightning lifts the one, the voltage between "
        "the two appears across the generator's insulation and in the building."
    )
    if kind == MAST_EARTHS[2]:
        says = (
            "The mast has no earth: a chafed cable makes it live, and lightning finds its way through the cable into "
            "the building."
        )
    joined = change(
        "Drive an earth electrode at the foot of the mast, and join it to mast, boxes and the system's earth "
        f"with {wiring.size_name(good)} of copper.",
        {Sheet.protection.mast_earth: MAST_EARTHS[0], Sheet.protection.earth_area: good},
    )
    return Judgement(FAIL, lambda: says, lambda: [joined], more=lambda: EARTH_MADE)


def _earth(x: Inputs) -> Judgement | Unknown:
    kind, A = x.protection.mast_earth, x.maybe(Sheet.protection.earth_area)
    nec = wiring_practice(x) == "NEC"
    good = EARTH_ROD if nec else EARTH_LIGHTNING
    least = EARTH_ROD if nec else EARTH_BONDING
    if kind != MAST_EARTHS[0]:
        return _not_earthed(kind, good)
    if A is None:
        return Unknown("", (Sheet.protection.earth_area,))
    # A thousandth of slack, for gauges given in square millimetres.
    level = np.where(np.asarray(A) < least * 0.999, FAIL, np.where(np.asarray(A) < good * 0.999, MARGINAL, OK))

    def says() -> str:
        usual = "" if good == least else f"{wiring.size_name(good)} is usual and "
        return (
            f"The earth wire of the mast is {wiring.size_name(float(A))} of copper, where "
            f"{usual}{wiring.size_name(least)} is the least. The electrode itself, and "
            "whether guys and metal boxes are joined to it, was not checked."
        )

    thicker = change(
        f"Join mast and electrode with {wiring.size_name(good)} of copper.", {Sheet.protection.earth_area: good}
    )
    return Judgement(level, says, lambda: [thicker], A, least, "mm2", (A - least) / least, lambda: EARTH_MADE)


def _polarity(x: Inputs) -> Judgement | Unknown:
    means = x.protection.polarity
    found = fault_currents(x, 0.0)
    if isinstance(found, Unknown):
        return found
    _, I, how = found
    source, brushed = battery_source(x), x.maybe(Sheet.generator.phases) == "DC with brushes"
    assert not isinstance(source, Unknown), "its fault current is known"
    R = x.maybe(Sheet.generator.winding_resistance)

    def happens() -> str:
        if not brushed:
            return f"is shorted through the rectifier's diodes, with up to {show(I, 'A', 2)}"
        # One blocking diode lies in series with the winding, instead of a bridge across the battery.
        most = "" if R is None else f", with up to {show(1.0 / (1.0 / I + R / source.voltage), 'A', 2)}"
        return f"drives the generator as a motor through its diode{most}"

    def says() -> str:
        slow = "" if brushed else ", which is slower"
        helps = f"nothing helps but the fuse{slow}" if means == POLARITIES[0] else f"against that there is: {means}"
        return f"Connected the wrong way round the battery {happens()}; {helps}."

    def more() -> str:
        return f"A fuse alone has to break {show(I, 'A', 2)} ({how}), and protects the cable, not the rectifier."

    ways = [
        *(change("Use {0}.", {Sheet.protection.polarity: better}) for better in POLARITIES[1:]),
        act(Act.DO, "Measure the polarity with a meter each time before the last connection."),
    ]
    worst = MARGINAL if brushed else FAIL
    return Judgement(worst if means == POLARITIES[0] else OK, says, lambda: ways, more=more)


def _untouched(x: Inputs, covered: bool) -> list[Way]:
    bank = x.maybe(Sheet.storage.voltage)
    lower = [] if bank is None else [other_bank(x, V) for V in reversed(BANKS) if float(bank) > 1.001 * V]
    instead = change("Make up a bank of {0}, and what hangs on it for that voltage.", *lower)
    if covered:
        blocks = f"blocks below {show(protection.TOUCHABLE_DC, 'V')}"
        return [act(Act.DO, f"Open the covers only with the battery split into {blocks}."), instead]
    return [
        change("Cover every terminal so that a tool is needed to reach it.", {Sheet.protection.covered: True}),
        instead,
    ]


def _touch(x: Inputs) -> Judgement | Unknown:
    """Judge the battery's own voltage, at the end of charge, as ``generator.touch-voltage`` does the leads."""
    V = charge_top(x)
    if V is None:
        return Unknown("", (Sheet.storage.charge_voltage,))
    covered = x.maybe(Sheet.protection.covered) is True
    at, free = protection.band(V), unloaded_in_storm(x)
    level = np.select([at == 2, at == 1], [MARGINAL, OK] if covered else [DANGER, FAIL], OK)
    most = protection.TOUCHABLE_DC

    def says() -> str:
        start = f"The battery reaches {show(V, 'V', 4)} at the end of charge"
        if at == 0:
            wet = (
                "" if V <= protection.WET_DC else f" when dry (in the wet {show(protection.WET_DC, 'V')} is the limit)"
            )
            return f"{start}: it may be touched{wet}."
        limit = f"above the {show(most, 'V')} that may be touched"
        limit = f"above {show(protection.EXTRA_LOW_DC, 'V')}, where a shock can kill" if at == 2 else limit
        return f"{start}, {limit}; its bare parts are {'covered' if covered else 'not said to be covered'}."

    def more() -> str:
        if free is None or protection.band(free.mean) <= at:
            return ""
        return (
            "If it is disconnected while the rotor turns, the wires to the rectifier rise far above that, up to "
            f"{show_up(free.mean, 'V', 2)} in {gust_words(free.wind)}."
        )

    return Judgement(level, says, lambda: _untouched(x, covered), V, most, "V", (most - V) / most, more)


RULES = (
    Rule(
        "protection.surge",
        "Surge arresters",
        "protection",
        (Sheet.protection.surge,),
        _surge,
        (
            Source("NEC 2017", "694.7(D): a surge protective device, type 2 or 3", "reproduction"),
            Source("An arrester must withstand the generator's open-circuit voltage", "", "from memory"),
            IN_OPERATION,
        ),
        f"Stay away from mast, guys and cable while a thunderstorm is near. {ELECTRICIAN}",
    ),
    Rule(
        "protection.mast-earth",
        "Earthing of the mast",
        "protection",
        (Sheet.protection.mast_earth,),
        _earth,
        (
            Source(
                "NEC 2017", "694.40: tower bonded and earthed, galvanised electrodes beside anchors", "reproduction"
            ),
            Source("NEC 250.66(A), 6 AWG to a rod; IEC 60364-5-54, 6 mm2", "", "from memory"),
            Source(
                "IEC 62305-3: 16 mm2 to bond, 50 mm2 for a down conductor, which the mast is here", "", "from memory"
            ),
        ),
        f"A mast without a good earth can be live, and brings lightning into the building. {ELECTRICIAN}",
    ),
    Rule(
        "protection.polarity",
        "Battery connected the wrong way round",
        "protection",
        (Sheet.protection.polarity, Sheet.storage.chemistry, Sheet.storage.voltage),
        _polarity,
        (FAULT_SOURCE, LITHIUM_OHMS, COMMON_PRACTICE),
        "The flash of a reversed battery burns hands and eyes. Wear goggles, and take the fuse out before the last "
        "lead is connected.",
        applies=has_battery,
    ),
    Rule(
        "protection.battery-touch",
        "Voltage of the battery that can be touched",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.voltage),
        _touch,
        (
            Source("IEC 61558-1", "3.7.16, SELV, read as an excerpt: up to 120 V DC", "reproduction"),
            Source("IEC 61140; EN 60204-1, 6.4: 60 V DC may be touched when dry", "", "reproduction"),
            Source("In wet places 30 V DC", "", "from memory"),
        ),
        f"A battery cannot be switched off. Take off rings and watches, insulate the tools, and cover one pole while "
        f"working on the other. {ELECTRICIAN}",
        applies=has_battery,
    ),
)
