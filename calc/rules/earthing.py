"""Earthing of the mast, surge arresters, polarity, and bare terminals of the battery."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import battery_source, charge_top, fault_currents, has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import MAST_EARTHS
from calc.machine.currents import wiring_practice
from calc.machine.inputs import Inputs, Unknown
from calc.machine.storm import unloaded_held, unloaded_in_storm
from calc.physics import protection, wiring
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.limits import worth_advising
from calc.rules.phrases import ELECTRICIAN, beyond, gust_words
from calc.rules.sources import FAULT_SOURCE, IN_OPERATION, LITHIUM_OHMS
from calc.units import Num, show, show_down, show_up

#: Copper earth wire of a mast: bonding against lightning (IEC 62305-3; a down conductor takes 50 mm2, which the mast
#: itself is), bonding (IEC 60364-5-54), to a rod (NEC 250.66(A), 6 AWG); all from memory. [m2]
EARTH_LIGHTNING, EARTH_BONDING, EARTH_ROD = 16e-6, 6e-6, wiring.awg_area(6)


def _no_arresters(x: Inputs, need: Num | None) -> Judgement:
    def remedy() -> str:
        rated = "" if need is None else f" rated for {show_up(need, 'V', 2)} continuously"
        return f"Fit arresters of type 2 or 3{rated}, at both ends of the generator's cable, on a short wire to earth."

    return Judgement(
        FAIL if wiring_practice(x) == "NEC" else MARGINAL,
        lambda: (
            "The mast is the highest metal around, and its cable carries what nearby lightning induces in it to the "
            "rectifier, the controller and the battery. Nothing limits it."
        ),
        remedy,
    )


def _surge(x: Inputs) -> Judgement | Unknown:
    where, rated, free = x.protection.surge, x.maybe(Sheet.protection.surge_voltage), unloaded_in_storm(x)
    need = None if free is None else free.peak
    if where == "none":
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
        verdict = "so they stay out of the way" if rated >= need else "so they conduct then, and burn"
        return (
            f"With nothing connected in {gust_words(free.wind)} the generator's voltage peaks at "
            f"{show(need, 'V', 2)}. The surge arresters are rated for {show(rated, 'V')} continuously, {verdict}. "
            f"They limit what nearby lightning induces, not a direct strike.{beyond(x, free.wind, free.speed)}"
        )

    def remedy() -> str:
        speed = None if free is None else free.speed * rated / need
        slower = (
            ""
            if speed is None or not worth_advising(x, speed)
            else f", or hold the rotor below {show_down(speed, 'rpm', 2)}"
        )
        return f"Use arresters rated for {show_up(need, 'V', 2)} or more continuously{slower}."

    return Judgement(level, says, remedy, rated, need, "V", margin)


def _earth(x: Inputs) -> Judgement | Unknown:
    kind, A = x.protection.mast_earth, x.maybe(Sheet.protection.earth_area)
    nec = wiring_practice(x) == "NEC"
    good = EARTH_ROD if nec else EARTH_LIGHTNING
    least = EARTH_ROD if nec else EARTH_BONDING

    def remedy() -> str:
        return (
            "Drive an earth electrode at the foot of the mast, and join it to mast, metal boxes and the system's earth "
            f"with {wiring.size_name(good)} of copper or more, short and without sharp bends. Beside galvanised "
            "anchors use a galvanised electrode."
        )

    if kind != MAST_EARTHS[0]:
        return Judgement(
            FAIL,
            lambda: (
                "The mast has no earth. A chafed cable makes it live, and lightning finds its way through the cable "
                "into the building."
                if kind == "none"
                else "The mast's electrode is not joined to the earth of the system. When lightning lifts the one, the "
                "voltage between the two appears across the generator's insulation and in the building."
            ),
            remedy,
        )
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

    return Judgement(level, says, remedy, A, least, "mm2", (A - least) / least)


def _polarity(x: Inputs) -> Judgement | Unknown:
    means = x.protection.polarity
    found = fault_currents(x, 0.0)
    if isinstance(found, Unknown):
        return found
    _, I, how = found
    source, brushed = battery_source(x), x.maybe(Sheet.generator.phases) == "DC with brushes"
    assert not isinstance(source, Unknown), "its fault current is known"
    R = x.maybe(Sheet.generator.winding_resistance)
    bad, worst = "Nothing on the sheet helps but the fuse, which is slower than the diodes", FAIL
    if brushed:
        # One blocking diode lies in series with the winding, instead of a bridge across the battery.
        bad, worst = "Nothing on the sheet helps but the fuse", MARGINAL

    def says() -> str:
        text = (
            "A battery connected the wrong way round is shorted through the diodes of the rectifier, with up to "
            f"{show(I, 'A', 2)} ({how})"
        )
        if brushed:
            most = "" if R is None else f", with up to {show(1.0 / (1.0 / I + R / source.voltage), 'A', 2)}"
            text = f"A battery connected the wrong way round drives the generator as a motor through its diode{most}"
        return f"{text}. {bad}." if means == "none" else f"{text}. The sheet names what helps: {means}."

    def remedy() -> str:
        return (
            "Use connectors that fit one way only, and before the last connection measure the polarity with a meter; "
            f"a fuse alone has to break {show(I, 'A', 2)} and protects the cable, not the rectifier."
        )

    return Judgement(worst if means == "none" else OK, says, remedy)


def _when_dry(V: Num) -> str:
    return "" if V <= protection.WET_DC else f" when dry (in the wet {show(protection.WET_DC, 'V')} is the limit)"


def _touch(x: Inputs) -> Judgement | Unknown:
    """Judge the battery's own voltage, at the end of charge, as ``generator.touch-voltage`` does the leads."""
    V = charge_top(x)
    if V is None:
        return Unknown("", (Sheet.storage.charge_voltage,))
    covered = x.maybe(Sheet.protection.covered) is True
    at, free = protection.band(V), unloaded_in_storm(x)
    level = np.select([at == 2, at == 1], [MARGINAL, OK] if covered else [DANGER, FAIL], OK)

    def says() -> str:
        verdict = (
            f"which may be touched{_when_dry(V)}",
            "so its bare parts have to be covered",
            "above extra-low voltage, where a shock can kill",
        )[int(at)]
        cover = ""
        if at > 0:
            cover = f" The sheet {'states' if covered else 'does not state'} that all bare parts are."
        more = ""
        if free is not None and protection.band(free.mean) > at:
            more = (
                " If it is disconnected while the rotor turns, the wires to the rectifier rise far above that, up to "
                f"{show(free.mean, 'V', 2)} in {gust_words(free.wind)}."
            )
        start = f"At the end of charge the battery, and all that is joined to it, has {show(V, 'V', 4)}"
        return f"{start}, {verdict}.{cover}{more}"

    def remedy() -> str:
        if covered:
            return (
                f"Open the covers only with the battery split into blocks below {show(protection.TOUCHABLE_DC, 'V')}."
            )
        return (
            f"Cover every terminal so that a tool is needed to reach it, or use a bank that stays below "
            f"{show(protection.TOUCHABLE_DC, 'V')} at the end of charge, 48 V at most."
        )

    return Judgement(
        level, says, remedy, V, protection.TOUCHABLE_DC, "V", (protection.TOUCHABLE_DC - V) / protection.TOUCHABLE_DC
    )


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
