"""How often each way of failing is behind what is seen, before anything is read: weights beside each other.

Own estimates from common practice, no source: what builders' boards tell of again and again weighs three, what happens
now and then one, what is rare a third. A mechanism that names a symptom and stands in no row weighs one.
"""

from __future__ import annotations

from collections.abc import Mapping

from calc.mechanisms.base import (
    CUTS,
    DAMAGED,
    FLAT,
    FUSE,
    HARDLY,
    LESS,
    NO_VOLTAGE,
    OPEN,
    SHAKING,
    Circumstances,
)

OFTEN, SELDOM, RARE = 3.0, 0.5, 0.25
#: More symptoms than these nobody sees at once: what it looked like is not known.
MANY_SEEN = 6
#: What is behind a failure that no mechanism here explains, beside those that do. Own estimate.
SOMETHING_ELSE = 1.0
#: Of faults of a meter where no reading is on record, nor told of: what eyes saw no meter made. Own estimate.
NOTHING_READ = 0.2

_ROWS: dict[str, dict[float, tuple[str, ...]]] = {
    HARDLY: {
        OFTEN: ("charging.never-reached", "charging.loose-connection", "site.wind-low", "fuse.gust-current"),
        2.0: ("sound.too-much-expected", "charging.cable-loss", "site.wind-overestimated", "generator.phase-open"),
        SELDOM: ("generator.earthed", "site.turbulent", "controller.set-wrongly", "generator.rectifier-overvoltage",
                 "charging.slip-rings", "generator.phase-reversed", "blade.ice", "blade.worn", "furling.seized",
                 "generator.winding-burnt", "battery.electronics-opened", "bearing.drag", "generator.demagnetised",
                 "blade.wrong-angle", "rectifier.diode-open", "furling.early", "sound.battery-full"),
        RARE: ("generator.leads-swapped", "reading.wrong", "reading.not-true-rms", "reading.wrong-range"),
    },
    LESS: {
        OFTEN: ("sound.too-much-expected", "generator.weak-magnets", "claim.too-high"),
        2.0: ("charging.stalled", "charging.loose-connection", "site.wind-overestimated", "generator.demagnetised",
              "furling.early", "charging.cable-loss", "generator.phase-open"),
        SELDOM: ("generator.earthed", "site.turbulent", "controller.set-wrongly", "generator.magnets-loose",
                 "charging.slip-rings", "battery.cut-off-high", "generator.belt-slips", "reading.not-true-rms",
                 "reading.wrong-range", "furling.seized", "blade.ice", "generator.winding-burnt"),
        RARE: ("generator.leads-swapped",),
    },
    "does not start": {
        OFTEN: ("rotor.too-stiff-to-start", "bearing.drag", "site.wind-low"),
        2.0: ("blade.wrong-angle", "rectifier.diode-shorted"),
        SELDOM: ("generator.water", "generator.magnets-loose", "blade.ice"),
    },
    "blade lost or broken": {
        OFTEN: ("rotor.overspeed", "blade.root-torn"),
        2.0: ("blade.tip-strike", "blade.brittle"),
        SELDOM: ("vibration.imbalance", "furling.never"),
    },
    "rotor ran away": {
        OFTEN: ("rotor.overspeed", "fuse.gust-current"),
        2.0: ("furling.never", "furling.seized", "brake.does-not-hold", "battery.electronics-opened"),
        SELDOM: ("dump.failed",),
    },
    SHAKING: {
        OFTEN: ("vibration.imbalance", "vibration.resonance", "generator.phase-open"),
        2.0: ("rectifier.diode-open", "bearing.drag", "generator.phase-reversed", "generator.magnets-loose"),
        SELDOM: ("mast.overload", "generator.earthed", "blade.worn", "blade.back-to-front", "yaw.fault",
                 "generator.belt-slips", "rotor.overspeed", "blade.tip-strike"),
    },
    NO_VOLTAGE: {
        OFTEN: ("generator.winding-burnt",),
        2.0: ("generator.demagnetised", "generator.phase-open"),
        SELDOM: ("yaw.fault", "charging.cable-loss", "dump.failed", "furling.never"),
    },
    "faces the wrong way": {OFTEN: ("yaw.fault",), 2.0: ("furling.early", "furling.seized")},
    FLAT: {
        OFTEN: ("battery.starved", "battery.worn", "load.phantom", "generator.driven-by-battery"),
        2.0: ("battery.too-small",),
        SELDOM: ("charging.cable-loss", "charging.loose-connection", "charging.never-reached", "controller.set-wrongly",
                 "battery.electronics-opened", "battery.cut-off-low"),
    },
    DAMAGED: {
        OFTEN: ("battery.overcharged", "dump.failed"),
        2.0: ("battery.starved", "controller.set-wrongly"),
        SELDOM: ("battery.frozen", "battery.cut-off-low", "reading.meter-battery"),
    },
    CUTS: {
        OFTEN: ("inverter.low-voltage", "inverter.surge", "inverter.cable"),
        SELDOM: ("house.back-feed", "battery.electronics-opened"),
    },
    FUSE: {OFTEN: ("fuse.gust-current",), 2.0: ("fuse.short-circuit", "fuse.inverter-start")},
    "turns slowly or heavily": {
        OFTEN: ("bearing.drag", "charging.stalled", "site.wind-low"),
        2.0: ("rectifier.diode-shorted", "generator.winding-burnt"),
        SELDOM: ("blade.ice", "blade.worn", "furling.seized", "brake.does-not-hold", "blade.back-to-front"),
    },
    "gives less than it used to": {
        OFTEN: ("charging.loose-connection", "generator.phase-open"),
        2.0: ("generator.demagnetised", "rectifier.diode-open", "blade.worn", "bearing.drag", "generator.winding-burnt",
              "site.wind-low"),
        SELDOM: ("blade.ice", "site.turbulent", "generator.earthed", "controller.set-wrongly",
                 "generator.magnets-loose"),
        RARE: ("generator.phase-reversed", "site.wind-overestimated"),
    },
    "charging comes and goes": {
        OFTEN: ("charging.loose-connection",),
        2.0: ("charging.slip-rings", "battery.cut-off-high", "battery.cut-off-cold"),
        SELDOM: ("fuse.gust-current", "dump.failed", "generator.field-dead", "furling.early"),
    },
    "does not stop when braked": {
        OFTEN: ("brake.does-not-hold",),
        2.0: ("generator.phase-open",),
        SELDOM: ("generator.weak-magnets", "generator.demagnetised", "yaw.fault"),
    },
    "tail folds too early or never": {OFTEN: ("furling.early", "furling.never"), 2.0: ("furling.seized",)},
    "something gets hot": {
        OFTEN: ("charging.loose-connection",),
        2.0: ("generator.winding-burnt", "charging.cable-loss", "inverter.cable"),
        SELDOM: ("generator.earthed", "generator.water", "furling.never", "furling.seized", "generator.demagnetised"),
    },
    "battery voltage too high": {
        OFTEN: ("dump.failed", "controller.set-wrongly"),
        2.0: ("battery.overcharged", "reading.meter-battery"),
        SELDOM: ("battery.strings-uneven", "battery.worn"),
    },
    "dump load cold or always hot": {
        OFTEN: ("dump.failed", "controller.set-wrongly"),
        SELDOM: ("battery.overcharged",),
    },
    "reading makes no sense": {OFTEN: ("reading.wrong",), 2.0: ("reading.wrong-range", "reading.meter-battery")},
}  # fmt: skip

#: Weight by symptom and mechanism.
WEIGHTS: Mapping[str, Mapping[str, float]] = {
    symptom: {name: weight for weight, names in rows.items() for name in names} for symptom, rows in _ROWS.items()
}


def prior(mechanism: str, explained: tuple[str, ...], seen: tuple[str, ...]) -> float:
    """Weight of a mechanism before anything is read.

    Parameters
    ----------
    mechanism : str
        Its id.
    explained : tuple of str
        Symptoms that it explains.
    seen : tuple of str
        Symptoms that were seen, the first counting most.

    Examples
    --------
    >>> prior("inverter.surge", ("inverter cuts out",), ("inverter cuts out",))
    3.0
    """
    if len(seen) > MANY_SEEN:
        # Nobody said what it looked like: as often as it is behind what it can look like.
        own = [WEIGHTS.get(s, {}).get(mechanism, 1.0) for s in explained]
        return sum(own) / len(own) if own else 0.02
    weights = [WEIGHTS.get(s, {}).get(mechanism, 1.0) if s in explained else 0.08 for s in seen]
    if not weights:
        return 1.0
    # What is told first is what was seen; what else the words may mean counts less.
    rest = weights[1:]
    product = weights[0]
    for w in rest:
        product *= w**0.5
    return product if any(s in explained for s in seen) else 0.02


#: Wind from which a tail should have folded, and below which no gust blows a fuse. Common practice, no source. [m/s]
STRONG, LIGHT = 12.0, 6.0
_BY_LOAD: dict[str, dict[str, float]] = {
    "open": {"rotor.overspeed": 4.0, "blade.root-torn": 0.4},
    "short": {"brake.does-not-hold": 6.0},
    "loaded": {"brake.does-not-hold": 0.25, "blade.root-torn": 1.3},
    # What somebody says was connected held the rotor.
    "held": {"brake.does-not-hold": 0.25, "blade.root-torn": 1.3, "rotor.overspeed": 0.25},
}
_BY_WIND: dict[str, dict[str, float]] = {
    "strong": {"furling.never": 2.5, "furling.seized": 2.0, "rotor.overspeed": 2.0, "blade.tip-strike": 1.5,
               "blade.root-torn": 0.7, "sound.too-much-expected": 0.5, "site.wind-low": 0.3},
    "light": {"fuse.gust-current": 0.5, "furling.never": 0.4, "furling.early": 0.5, "rotor.overspeed": 0.6,
              "site.wind-low": 1.3, "sound.too-much-expected": 1.3},
}  # fmt: skip


def by_circumstances(mechanism: str, c: Circumstances) -> float:
    """How much likelier what was connected and how it blew make a mechanism.

    Examples
    --------
    >>> by_circumstances("brake.does-not-hold", Circumstances(4.0, 5.0, "short circuit"))
    6.0
    """
    load = "open" if c.load in OPEN else "short" if c.load == "short circuit" else "loaded"
    load = "held" if load == "loaded" and c.load != "not known" else load
    factor = _BY_LOAD[load].get(mechanism, 1.0)
    if c.wind_low is not None and c.wind_high is not None:
        wind = "strong" if c.wind_high > STRONG else "light" if c.wind_high < LIGHT else ""
        factor *= _BY_WIND.get(wind, {}).get(mechanism, 1.0)
    return factor
