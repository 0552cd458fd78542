"""How inverter, fuses and the house fail."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import battery_source, cells, internal_resistance
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import FROM_GENERATOR
from calc.machine.currents import inverter_run
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import hardest_start
from calc.machine.runs import run_resistance
from calc.mechanisms import altering, having
from calc.mechanisms.base import (
    CUTS,
    FUSE,
    HARDLY,
    LOADED,
    Case,
    Correction,
    Expected,
    Indication,
    Mechanism,
    Telling,
    by_eye,
    grade,
)
from calc.physics import inverter, loads
from calc.rules.sources import BALANCE, HARD_STARTS
from calc.units import Num, show

#: Greatest current over the rating of the fuse. Own choice, no source.
BLOWS, HOLDS = 1.35, 0.8
#: Reserve above the inverter's lowest voltage from which sag is ruled out: 1 V at 10.5 V. Own choice, no source.
SAG_CLEAR = 1.0 / 10.5
PARALLEL = ("two plugs", "by hand", "parallel")


@dataclass(frozen=True, slots=True)
class _Start:
    """A start from a half-full battery: power at its terminals [W], voltages [V], resistances on the way [ohm]."""

    power: Num
    rest: Num
    own: Num
    cable: Num
    left: Num

    @property
    def ohms(self) -> Num:
        """Bank and cable together."""
        return self.own + self.cable


def _start(case: Case) -> _Start | Unknown:
    x = case.x
    found, source, label = hardest_start(x), battery_source(x), inverter_run(x)
    if isinstance(found, Unknown):
        return found
    if isinstance(source, Unknown):
        return source
    run = label or "inverter"
    if missing := x.lacks(Sheet.cable.length[run], Sheet.cable.area[run]):
        return Unknown("", missing)
    cable = run_resistance(x, run)
    own = internal_resistance(x)
    n, one = cells(x)
    V = n * one.nominal
    P = found / x.inverter.efficiency
    return _Start(P, V, own, cable, inverter.sagged(V, own + cable, P))


def _sag(case: Case) -> Indication | Unknown:
    cut = case.x.maybe(Sheet.inverter.input_voltage_min)
    if cut is None:
        return Unknown("", (Sheet.inverter.input_voltage_min,))
    read = case.readings("inverter.input_voltage")
    if read:
        r = read[-1]
        return Indication(
            grade(r.value / cut, 1.0, 1.0 + SAG_CLEAR / 2.0),
            lambda: f"{show(r.value, 'V')} was read at the inverter ({r.label}); it cuts out below {show(cut, 'V')}.",
            r.value, cut, "V", "Voltage read",
        )  # fmt: skip
    found = _start(case)
    if isinstance(found, Unknown):
        return found
    reach = np.maximum(np.asarray(cut) * (found.rest - np.asarray(cut)) / found.ohms, 0.0)

    def says() -> str:
        eta = case.x.inverter.efficiency
        return (
            f"The hardest start of {show(found.power * eta, 'W', 2)} leaves {show(found.left, 'V')} at the inverter, "
            f"from a half-full battery behind {show(found.own, 'mohm', 2)} of its own and "
            f"{show(found.cable, 'mohm', 2)} of cable; it cuts out below {show(cut, 'V')}, which a "
            f"start of {show(reach * eta, 'W', 2)} would reach. A battery nearly empty or a bad joint needs less."
        )

    speaks = grade(np.maximum(found.left, 1e-6) / cut, 1.0, 1.0 + SAG_CLEAR)
    return Indication(speaks, says, found.left, cut, "V", "Voltage left")


def _sagging(case: Case) -> Expected:
    cut = case.x.maybe(Sheet.inverter.input_voltage_min)
    return None if cut is None else (0.5 * np.asarray(cut), np.asarray(cut))


def _not_sagging(case: Case) -> Expected:
    found = _start(case)
    return None if isinstance(found, Unknown) else (found.left, 1.2 * np.asarray(found.rest) + 0.0 * found.left)


def _fuse_of(x: Inputs) -> Num | None:
    """Smallest fuse in the generator's circuit."""
    fuses = [
        x.maybe(Sheet.cable.fuse[label])
        for label in x.labels(Sheet.cable)
        if x.maybe(Sheet.cable.carries[label]) in FROM_GENERATOR
    ]
    known = [f for f in fuses if f is not None]
    if not known:
        return None
    least: Num = known[0]
    for f in known[1:]:
        least = cast(Num, np.minimum(least, f))
    return least


def _gust(case: Case) -> Indication | Unknown:
    solved, V, fuse = case.solved(), case.wind, _fuse_of(case.x)
    if fuse is None:
        return Unknown("", (Sheet.cable.fuse["mast"],))
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("What current flowed depends on the wind, which is not on record")
    I = solved.at(np.broadcast_to(V, solved.machine.variants)).current
    ratio = I / fuse
    return Indication(
        grade(ratio, BLOWS, HOLDS),
        lambda: (
            f"{case.wind_text().capitalize()} about {show(I, 'A', 2)} would flow through the {show(fuse, 'A')} fuse, "
            f"{show(ratio, '', 2)} times its rating; gusts bring more. A fuse carries its rating for hours and opens "
            "well above it."
        ),
        I, BLOWS * fuse, "A", "Current",
    )  # fmt: skip


def _blowing(case: Case) -> Expected:
    fuse = _fuse_of(case.x)
    return None if fuse is None else (BLOWS * np.asarray(fuse), 1e9 + 0.0 * np.asarray(fuse))


def _inverter_fuse(case: Case) -> Indication | Unknown:
    x, fuse, U = case.x, case.x.maybe(Sheet.inverter.fuse), case.x.maybe(Sheet.storage.voltage)
    if fuse is None or U is None:
        return Unknown("", (Sheet.inverter.fuse,) if fuse is None else (Sheet.storage.voltage,))
    found = _surge(case)
    if isinstance(found, Unknown):
        return found
    I = loads.battery_current(cast(Num, found.value), U, x.inverter.efficiency)
    # A start lasts a second or two, for which a fuse carries about twice its rating.
    return Indication(
        grade(I / fuse, 2.0, 1.0),
        lambda: f"The hardest start draws about {show(I, 'A', 2)} for a moment, through a fuse of {show(fuse, 'A')}.",
        I, 2.0 * np.asarray(fuse), "A",
    )  # fmt: skip


def _backfeed(case: Case) -> Indication | Unknown:
    feed = case.x.maybe(Sheet.house.feed)
    if feed is None:
        return Unknown("", (Sheet.house.feed,))
    joined = any(word in str(feed) for word in PARALLEL) and case.x.maybe(Sheet.inverter.grid_listed) is not True
    return Indication(
        0.9 if joined else -0.9,
        lambda: (
            f"The house is fed like this: {feed}. "
            + ("So two sources can meet, and a line that should be dead can be live." if joined else
               "As described, no two sources can meet.")
        ),
    )  # fmt: skip


def _surge(case: Case) -> Indication | Unknown:
    x = case.x
    P, top = x.maybe(Sheet.inverter.power), x.maybe(Sheet.inverter.surge_power)
    start = hardest_start(x)
    if P is None or isinstance(start, Unknown):
        return Unknown("", (Sheet.inverter.power,)) if P is None else cast(Unknown, start)
    most = P if top is None else top
    ratio = np.asarray(start) / most
    # Without a surge rating the inverter may well give more than its rated power for a moment.
    speaks = grade(ratio, 1.0, 0.8)
    if top is None:
        speaks = np.where(np.asarray(ratio) < 2.0, np.minimum(speaks, 0.0), speaks)

    def says() -> str:
        of = "its rated power, for the sheet states no surge rating" if top is None else "its surge rating"
        return (
            f"The hardest start beside the other loads needs {show(start, 'W')}, by the sheet; the inverter gives "
            f"{show(most, 'W')} ({of}). Motors start with 3 to 7 times their power (from memory)."
        )

    return Indication(speaks, says, start, most, "W", "Power of the start")


MECHANISMS = (
    Mechanism(
        "inverter.low-voltage",
        "Inverter cut out because its input voltage sagged",
        (CUTS,),
        _sag,
        (Source("Sag behind the resistance of battery and cable; IEC 60228", "", "reproduction"), COMMON_PRACTICE),
        (
            Correction(
                "a thicker, shorter cable to the inverter",
                (Sheet.cable.area["inverter"], Sheet.cable.length["inverter"]),
            ),
            Correction(
                "a bigger battery, or one of less resistance",
                (Sheet.storage.capacity, Sheet.storage.internal_resistance),
            ),
            Correction("softer starts", (Sheet.load.surge["main"],)),
        ),
        (
            Telling(
                "inverter.input_voltage",
                "below the inverter's limit during the start (lowest value held)",
                "a volt or more above it",
                (),
                _sagging,
            ),
        ),
        applies=having.inverter,
        designed=True,
    ),
    Mechanism(
        "inverter.surge",
        "Inverter cut out because a start needed more than it gives",
        (CUTS,),
        _surge,
        (HARD_STARTS, COMMON_PRACTICE),
        (
            Correction("an inverter rated for the start", (Sheet.inverter.surge_power, Sheet.inverter.power)),
            Correction("a soft start, or start the heavy load alone", (Sheet.load.surge["main"],)),
        ),
        (
            Telling(
                "inverter.input_voltage",
                "stays well above the limit while it cuts out",
                "falls below it",
                (),
                _not_sagging,
            ),
            Telling("load.power", "a start above the inverter's surge rating", "a start well below it"),
        ),
        applies=having.inverter,
        alters=(altering.starts_hard,),
        designed=True,
    ),
    Mechanism(
        "fuse.gust-current",
        "Fuse blown by the current of strong wind or gusts",
        (FUSE, HARDLY, "rotor ran away", "charging comes and goes"),
        _gust,
        (BALANCE, COMMON_PRACTICE),
        (
            Correction(
                "a fuse and cable for the greatest current, or a tail that folds before it",
                (Sheet.cable.fuse["mast"], Sheet.cable.area["mast"], Sheet.rotor.limit_wind),
            ),
            Correction(
                "a way for the rotor to keep its load when a fuse opens", (Sheet.dump.place, Sheet.rotor.overspeed)
            ),
        ),
        (
            Telling(
                "charge.current",
                "1.35 times the fuse's rating or more in such wind",
                "0.8 of it or less",
                LOADED,
                _blowing,
            ),
        ),
        ("generator.emf", "generator.resistance"),
        look="Wire melted in the middle says a long overcurrent; a blackened, sprayed glass says a short circuit.",
        alters=(altering.circuit_open,),
        designed=True,
    ),
    Mechanism(
        "fuse.inverter-start",
        "Fuse of the inverter blown by a start",
        (FUSE,),
        _inverter_fuse,
        (COMMON_PRACTICE,),
        (Correction("a fuse for the inverter's full current, with cable to suit", (Sheet.inverter.fuse,)),),
        (),
        ("charge.current", "generator.emf", "generator.resistance"),
        having.inverter,
        designed=True,
    ),
    Mechanism(
        "fuse.short-circuit",
        "Fuse blown by a short circuit, or a battery connected the wrong way round",
        (FUSE,),
        by_eye("A short circuit shows in no number on record: look along the cable and in the boxes"),
        (COMMON_PRACTICE,),
        (
            Correction(
                "cable repaired and kept from chafing, connectors that fit one way only", (Sheet.protection.polarity,)
            ),
        ),
        (),
        ("charge.current", "generator.emf", "generator.resistance"),
        look="Blackened or sprayed fuse glass, a chafed cable, a pinched wire in a box.",
        alters=(altering.circuit_open,),
    ),
    Mechanism(
        "house.back-feed",
        "Two sources met: a line fed from behind",
        ("shock or a line that should be dead", CUTS),
        _backfeed,
        (COMMON_PRACTICE,),
        (
            Correction(
                "own circuits apart from the house, or a transfer switch fitted by an electrician", (Sheet.house.feed,)
            ),
        ),
        designed=True,
    ),
)
