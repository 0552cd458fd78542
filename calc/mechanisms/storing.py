"""What befalls the battery, the dump load, the inverter, the fuses and the house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import bank, has_battery, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.currents import inverter_run
from calc.machine.inputs import Inputs, Unknown
from calc.machine.need import daily_need
from calc.machine.site import HUB_NEEDS, hub_wind, yearly
from calc.machine.solving import run_resistance
from calc.mechanisms.base import LOADED, Case, Correction, Expected, Mechanism, Sign, Telling, by_eye, grade
from calc.physics import inverter, storage
from calc.rules.sources import BALANCE
from calc.units import Num, show

#: Greatest current over the rating of the fuse. Own choice, no source.
BLOWS, HOLDS = 1.35, 0.8
#: Power of the dump load over the greatest of the machine. Own choice, no source.
DUMP_SMALL, DUMP_AMPLE = 1.0, 1.25
#: Voltage of a lead cell at 25 degC: overcharged above, never overcharged below. From memory. [V]
OVER, UNDER = 2.45, 2.35
#: Share of the stated capacity left: worn out below, good above. Common practice, no source.
WORN, GOOD = 0.8, 0.9
#: Yield over need of a year: starved below, well fed above. Own choice, no source.
STARVED, FED = 1.0, 1.3
#: Degrees above the freezing point from which freezing is ruled out. Own choice, no source. [K]
FROST_DOUBT = 5.0
#: Reserve above the inverter's lowest voltage from which sag is ruled out: 1 V at 10.5 V. Own choice, no source.
SAG_CLEAR = 1.0 / 10.5
FLAT, DAMAGED, CUTS, FUSE = "battery flat", "battery damaged", "inverter cuts out", "fuse blown"


def _lead(x: Inputs) -> bool:
    return "lead-acid" in str(x.maybe(Sheet.storage.chemistry))


def _has_inverter(x: Inputs) -> bool:
    return x.given(Sheet.inverter.power) or x.given(Sheet.inverter.input_voltage_min)


def _yearly(case: Case) -> Num | Unknown:
    solved = case.solved()
    missing = case.x.lacks(*HUB_NEEDS, Sheet.site.wind_spread, Sheet.site.availability)
    if isinstance(solved, Unknown) or missing:
        return solved if isinstance(solved, Unknown) else Unknown("", missing)
    Vm = hub_wind(case.x)
    return Vm if isinstance(Vm, Unknown) else yearly(case.x, solved.winds, solved.operation.running.charge, Vm)


def _starved(case: Case) -> Sign | Unknown:
    left: Num | None = case.x.maybe(Sheet.storage.capacity_left) if case.x.given(Sheet.storage.capacity_left) else None
    if left is not None and "battery damaged" in case.c.symptoms:
        return Sign(
            grade(left, WORN, GOOD),
            lambda: f"{show(left, '%')} of the stated capacity is left; below {show(WORN, '%')} a bank counts as "
            "worn out.",
            left, WORN, "%",
        )  # fmt: skip
    need, E = daily_need(case.x), _yearly(case)
    if need is None:
        return Unknown("", (Sheet.load.power["main"], Sheet.load.hours["main"]))
    if isinstance(E, Unknown):
        return E
    ratio = np.asarray(E) / (need * 365.0)
    return Sign(
        grade(ratio, STARVED, FED),
        lambda: (
            f"In a year {show(E, 'kWh', 2)} come in and the loads ask for {show(need * 365.0, 'kWh', 2)}: the battery "
            f"{'is kept from ever being full' if ratio < 1 else 'gets what the loads take'}."
        ),
        ratio, STARVED, "", "Yield over need",
    )  # fmt: skip


def _overcharged(case: Case) -> Sign | Unknown:
    x = case.x
    U, chemistry = x.maybe(Sheet.storage.voltage), str(x.maybe(Sheet.storage.chemistry))
    if U is None:
        return Unknown("", (Sheet.storage.voltage,))
    n = storage.cells_in_series(U, chemistry)
    read = case.readings("battery.voltage")
    high, low = (OVER, UNDER) if _lead(x) else (storage.cell(chemistry).charge_high, storage.cell(chemistry).charge_low)
    if read:
        # One reading below the limit says only that it was not overcharged at that moment.
        top = max(read, key=lambda r: float(np.mean(r.value)))
        volts = np.asarray(top.value / n)
        beyond = volts > high
        return Sign(
            np.where(beyond, 0.75, np.where((volts < low) & (len(read) >= 5), -0.75, 0.0)),
            lambda: (
                f"The highest reading is {show(volts, 'V')} a cell ({top.label}); beyond {show(high, 'V')} for hours "
                "overcharges it."
            ),
            volts, high, "V",
        )  # fmt: skip
    return _surplus(case)


def _surplus(case: Case) -> Sign | Unknown:
    kind, need, E = case.x.maybe(Sheet.dump.kind), daily_need(case.x), _yearly(case)
    if kind is None:
        return Unknown("", (Sheet.dump.kind,))
    if kind != "none":
        return Unknown("The sheet names a dump load; whether it held the voltage shows in readings while it was full")
    if need is None or isinstance(E, Unknown):
        return E if isinstance(E, Unknown) else Unknown("", (Sheet.load.power["main"], Sheet.load.hours["main"]))
    ratio = np.asarray(E) / (need * 365.0)
    return Sign(
        grade(ratio, FED, STARVED),
        lambda: (
            f"Nothing takes the surplus, and a year brings {show(ratio, '', 2)} times what the loads take."
        ),
        ratio, FED,
    )  # fmt: skip


def _high_volts(case: Case) -> Expected:
    U, chemistry = case.x.maybe(Sheet.storage.voltage), str(case.x.maybe(Sheet.storage.chemistry))
    if U is None or chemistry in ("None", "none"):
        return None
    n = storage.cells_in_series(U, chemistry)
    high = OVER if _lead(case.x) else storage.cell(chemistry).charge_high
    return n * high, n * high * 1.5


def _frozen(case: Case) -> Sign | Unknown:
    T = case.x.maybe(Sheet.storage.coldest)
    if T is None:
        return Unknown("", (Sheet.storage.coldest,))
    read = case.readings("battery.density")
    try:
        density = read[-1].value if read else storage.acid_density(0.0)
        freezes = storage.freezing_point(density)
    except ValueError as e:
        return Unknown(str(e))
    apart = np.asarray(T) - freezes
    # Without a reading it is only known that a flat one would have frozen.
    speaks = np.where(apart < 0, 0.75 if read else 0.0, np.where(apart > FROST_DOUBT, -0.75, 0.0))
    return Sign(
        speaks,
        lambda: (
            f"It got as cold as {show(T, 'degC')} where the battery stands; "
            + (f"acid of {show(density, '')} ({read[-1].label})" if read else "the acid of a flat battery")
            + f" freezes at {show(freezes, 'degC')}."
        ),
        T, freezes, "degC",
    )  # fmt: skip


def _dump(case: Case) -> Sign | Unknown:
    x, solved = case.x, case.solved()
    if isinstance(solved, Unknown):
        return solved
    P, R, V = x.maybe(Sheet.dump.power), x.maybe(Sheet.dump.resistance), x.maybe(Sheet.storage.charge_voltage)
    takes: Num
    if R is not None and V is not None:
        takes = cast(Num, np.asarray(V) ** 2 / R)
    elif P is not None:
        takes = P
    else:
        return Unknown("", (Sheet.dump.power, Sheet.dump.resistance))
    at = solved.storm if case.wind is None else case.wind
    brings = solved.at(np.broadcast_to(at, solved.machine.variants)).charge
    ratio = np.asarray(takes) / np.maximum(brings, 1e-6)
    where = case.wind_text() if case.wind is not None else "in a storm"
    return Sign(
        grade(ratio, DUMP_SMALL, DUMP_AMPLE),
        lambda: f"The dump load takes {show(takes, 'W')}; {where} the machine brings up to {show(brings, 'W', 2)}.",
        ratio, DUMP_SMALL,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Start:
    """A start from a half-full battery: power at its terminals [W], voltages [V], resistance on the way [ohm]."""

    power: Num
    rest: Num
    ohms: Num
    left: Num


def _start(case: Case) -> _Start | Unknown:
    x = case.x
    found, source, label = _hardest(x), bank(x), inverter_run(x)
    if isinstance(found, Unknown):
        return found
    if isinstance(source, Unknown):
        return source
    run = label or "inverter"
    if missing := x.lacks(Sheet.cable.length[run], Sheet.cable.area[run]):
        return Unknown("", missing)
    cable = run_resistance(x, run)
    own = x.else_assume(Sheet.storage.internal_resistance, source.resistance.likely, source.how, 2.5)
    chemistry = x.storage.chemistry
    V = storage.cells_in_series(x.storage.voltage, chemistry) * storage.cell(chemistry).nominal
    P = found / x.inverter.efficiency
    return _Start(P, V, own + cable, inverter.sagged(V, own + cable, P))


def _sag(case: Case) -> Sign | Unknown:
    cut = case.x.maybe(Sheet.inverter.input_voltage_min)
    if cut is None:
        return Unknown("", (Sheet.inverter.input_voltage_min,))
    read = case.readings("inverter.input_voltage")
    if read:
        r = read[-1]
        return Sign(
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
            f"The hardest start of {show(found.power * eta, 'W')} leaves {show(found.left, 'V')} at the inverter, from "
            f"a half-full battery behind {show(found.ohms, 'mohm', 2)}; it cuts out below {show(cut, 'V')}, which a "
            f"start of {show(reach * eta, 'W', 2)} would reach. A battery nearly empty or a bad joint needs less."
        )

    speaks = grade(np.maximum(found.left, 1e-6) / cut, 1.0, 1.0 + SAG_CLEAR)
    return Sign(speaks, says, found.left, cut, "V", "Voltage left")


def _sagging(case: Case) -> Expected:
    cut = case.x.maybe(Sheet.inverter.input_voltage_min)
    return None if cut is None else (0.5 * np.asarray(cut), np.asarray(cut))


def _not_sagging(case: Case) -> Expected:
    found = _start(case)
    return None if isinstance(found, Unknown) else (found.left, 1.2 * np.asarray(found.rest) + 0.0 * found.left)


def _hardest(x: Inputs) -> Num | Unknown:
    """Power of the hardest start while all other loads run, in [W]."""
    running = [x.maybe(Sheet.load.power[name]) for name in x.labels(Sheet.load)]
    known = [p for p in running if p is not None]
    if not known or len(known) < len(running):
        return Unknown("", (Sheet.load.power["main"],))
    surges = [x.maybe(Sheet.load.surge[name]) for name in x.labels(Sheet.load)]
    hard = [p if s is None else cast(Num, np.maximum(s, p)) for s, p in zip(surges, known, strict=True)]
    return inverter.worst_start(known, hard)


def _surge(case: Case) -> Sign | Unknown:
    x = case.x
    P, top = x.maybe(Sheet.inverter.power), x.maybe(Sheet.inverter.surge_power)
    start = _hardest(x)
    if P is None or isinstance(start, Unknown):
        return Unknown("", (Sheet.inverter.power,)) if P is None else cast(Unknown, start)
    most = P if top is None else top
    ratio = np.asarray(start) / most
    # Without a surge rating the inverter may well bear more than its rated power for a moment.
    speaks = grade(ratio, 1.0, 0.8)
    if top is None:
        speaks = np.where(np.asarray(ratio) < 2.0, np.minimum(speaks, 0.0), speaks)

    def says() -> str:
        of = "its rated power, for the sheet states no surge rating" if top is None else "its surge rating"
        return (
            f"The hardest start beside the other loads asks for {show(start, 'W')}, by the sheet; the inverter gives "
            f"{show(most, 'W')} ({of}). Motors start with 3 to 7 times their power (from memory)."
        )

    return Sign(speaks, says, start, most, "W", "Power of the start")


def _opens(case: Case) -> Sign | Unknown:
    x, limit = case.x, case.x.maybe(Sheet.storage.discharge_current_limit)
    if limit is None:
        return Unknown("", (Sheet.storage.discharge_current_limit,))
    U = x.maybe(Sheet.storage.voltage)
    found = _surge(case)
    if isinstance(found, Unknown) or U is None:
        return found if isinstance(found, Unknown) else Unknown("", (Sheet.storage.voltage,))
    I = cast(Num, found.value) / x.inverter.efficiency / U
    return Sign(
        grade(I / limit, 1.0, 0.7),
        lambda: (
            f"The hardest start draws about {show(I, 'A', 2)} from the battery, whose electronics or maker permit "
            f"{show(limit, 'A')}."
        ),
        I, limit, "A",
    )  # fmt: skip


def _gone(case: Case) -> Expected:
    return 0.0, 1.0


def _fuse_of(x: Inputs) -> Num | None:
    """Smallest fuse in the generator's circuit."""
    fuses = [
        x.maybe(Sheet.cable.fuse[label])
        for label in x.labels(Sheet.cable)
        if str(x.maybe(Sheet.cable.carries[label])).startswith("generator")
    ]
    known = [f for f in fuses if f is not None]
    if not known:
        return None
    least: Num = known[0]
    for f in known[1:]:
        least = cast(Num, np.minimum(least, f))
    return least


def _gust(case: Case) -> Sign | Unknown:
    solved, V, fuse = case.solved(), case.wind, _fuse_of(case.x)
    if fuse is None:
        return Unknown("", (Sheet.cable.fuse["mast"],))
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("What current flowed depends on the wind, which is not on record")
    I = solved.at(np.broadcast_to(V, solved.machine.variants)).current
    ratio = I / fuse
    return Sign(
        grade(ratio, BLOWS, HOLDS),
        lambda: (
            f"{case.wind_text().capitalize()} about {show(I, 'A', 2)} would flow through the {show(fuse, 'A')} fuse, "
            f"{show(ratio, '', 2)} times its rating; gusts bring more. A fuse holds its rating for hours and opens "
            "well above it."
        ),
        I, BLOWS * fuse, "A", "Current",
    )  # fmt: skip


def _blowing(case: Case) -> Expected:
    fuse = _fuse_of(case.x)
    return None if fuse is None else (BLOWS * np.asarray(fuse), 1e9 + 0.0 * np.asarray(fuse))


def _inverter_fuse(case: Case) -> Sign | Unknown:
    x, fuse, U = case.x, case.x.maybe(Sheet.inverter.fuse), case.x.maybe(Sheet.storage.voltage)
    if fuse is None or U is None:
        return Unknown("", (Sheet.inverter.fuse,) if fuse is None else (Sheet.storage.voltage,))
    found = _surge(case)
    if isinstance(found, Unknown):
        return found
    I = cast(Num, found.value) / x.inverter.efficiency / U
    # A start lasts a second or two, for which a fuse bears about twice its rating.
    return Sign(
        grade(I / fuse, 2.0, 1.0),
        lambda: f"The hardest start draws about {show(I, 'A', 2)} for a moment, through a fuse of {show(fuse, 'A')}.",
        I, 2.0 * np.asarray(fuse), "A",
    )  # fmt: skip


PARALLEL = ("two plugs", "by hand", "parallel")


def _backfeed(case: Case) -> Sign | Unknown:
    feed = case.x.maybe(Sheet.house.feed)
    if feed is None:
        return Unknown("", (Sheet.house.feed,))
    joined = any(word in str(feed) for word in PARALLEL) and case.x.maybe(Sheet.inverter.grid_listed) is not True
    return Sign(
        0.9 if joined else -0.9,
        lambda: (
            f"The house is fed like this: {feed}. "
            + ("So two sources can meet, and a line that should be dead can be live." if joined else
               "As described, no two sources can meet.")
        ),
    )  # fmt: skip


SULPHATED = Source("Hund, Sandia: incomplete recharge is the main cause of early loss in solar systems", "",
                   "reproduction")  # fmt: skip
FREEZING = Source("Army TM 5-1185", "Table III, electrolyte freezing points", "reproduction")

MECHANISMS = (
    Mechanism(
        "battery.overcharged",
        "Battery overcharged",
        (DAMAGED,),
        ("overcharg", "over charg", "boil", "gassing", "no control"),
        _overcharged,
        (Source("Charge windows of lead cells", "", "from memory"), COMMON_PRACTICE),
        (Correction("a controller with a dump load, set for this battery",
                    (Sheet.dump.kind, Sheet.storage.charge_voltage)),),
        (Telling("battery.voltage", "above the charge voltage for hours", "never above it in weeks", (), _high_volts),),
        applies=has_battery,
        look="Low water, a warm case, wet tops, a rotten smell.",
    ),
    Mechanism(
        "battery.starved",
        "Battery starved: never full, and hardened by it (sulphated)",
        (FLAT, DAMAGED),
        ("starved", "sulphat", "sulfat", "never full", "stood flat", "undercharg", "loads too", "too many loads"),
        _starved,
        (BALANCE, SULPHATED, COMMON_PRACTICE),
        (Correction("smaller loads, or a full charge every week or two",
                    (Sheet.load.power["main"], Sheet.load.hours["main"])),
         Correction("a larger rotor or a second source", (Sheet.rotor.diameter,))),
        (Telling("battery.density", "low and uneven between cells after a long charge", "as of a full battery"),
         Telling("battery.voltage", "at rest below the voltage of half charge on most days", "often full at rest")),
        applies=has_battery,
    ),
    Mechanism(
        "battery.frozen",
        "Battery frozen while flat",
        (DAMAGED,),
        ("frozen", "froze", "frost+battery", "ice+battery"),
        _frozen,
        (FREEZING,),
        (Correction("keep it charged, and where it stays above freezing", (Sheet.storage.coldest,)),),
        (Telling("battery.density", "so low that its freezing point lies above the coldest night",
                 "so high that it would not freeze"),),
        applies=_lead,
        look="A bulged or split case, loose plates. Let it thaw away from people, and never charge it.",
    ),
    Mechanism(
        "battery.electronics-opened",
        "The battery's own electronics disconnected it",
        (CUTS, FLAT, "rotor ran away"),
        ("electronics", "management", "bms", "disconnected itself"),
        _opens,
        (Source("IEC 62619, functions asked of the electronics of a lithium battery", "", "reproduction"),
         COMMON_PRACTICE),
        (Correction("a larger bank, or softer starts",
                    (Sheet.storage.discharge_current_limit, Sheet.load.surge["main"])),
         Correction("a dump load on the rectifier's side, so that the rotor keeps its load", (Sheet.dump.place,))),
        (Telling("inverter.input_voltage", "falls to nothing, and comes back after minutes or a reset",
                 "sags and recovers", (), _gone),),
        applies=has_lithium,
    ),
    Mechanism(
        "inverter.low-voltage",
        "Inverter cut out because its input voltage sagged",
        (CUTS,),
        ("sag", "voltage+below", "low voltage", "undervoltage", "voltage dropped", "voltage fell"),
        _sag,
        (Source("Sag behind the resistance of battery and cable; IEC 60228", "", "reproduction"), COMMON_PRACTICE),
        (Correction("a thicker, shorter cable to the inverter",
                    (Sheet.cable.area["inverter"], Sheet.cable.length["inverter"])),
         Correction("a bigger battery, or one of less resistance",
                    (Sheet.storage.capacity, Sheet.storage.internal_resistance)),
         Correction("softer starts", (Sheet.load.surge["main"],))),
        (Telling("inverter.input_voltage", "below the inverter's limit during the start (lowest value held)",
                 "a volt or more above it", (), _sagging),),
        applies=_has_inverter,
    ),
    Mechanism(
        "inverter.surge",
        "Inverter cut out because a start asked for more than it gives",
        (CUTS,),
        ("surge", "start+too much", "overload", "too weak+inverter", "inrush", "too small+inverter"),
        _surge,
        (Source("Pumps and refrigerators start with 3 to 7 times their power", "", "from memory"), COMMON_PRACTICE),
        (Correction("an inverter that bears the start", (Sheet.inverter.surge_power, Sheet.inverter.power)),
         Correction("a soft start, or start the heavy load alone", (Sheet.load.surge["main"],))),
        (Telling("inverter.input_voltage", "stays well above the limit while it cuts out", "falls below it", (),
                 _not_sagging),
         Telling("load.power", "a start above the inverter's surge rating", "a start well below it")),
        applies=_has_inverter,
    ),
    Mechanism(
        "fuse.gust-current",
        "Fuse blown by the current of strong wind or gusts",
        (FUSE,),
        ("gust", "more current", "too small+fuse", "overcurrent", "storm+current"),
        _gust,
        (BALANCE, COMMON_PRACTICE),
        (Correction("a fuse and cable for the greatest current, or a tail that folds before it",
                    (Sheet.cable.fuse["mast"], Sheet.cable.area["mast"], Sheet.rotor.limit_wind)),
         Correction("a way for the rotor to keep its load when a fuse opens",
                    (Sheet.dump.place, Sheet.rotor.overspeed))),
        (Telling("charge.current", "1.35 times the fuse's rating or more in such wind", "0.8 of it or less", LOADED,
                 _blowing),),
        ("generator.emf", "generator.resistance"),
        look="Wire melted in the middle says a long overcurrent; a blackened, sprayed glass says a short circuit.",
    ),
    Mechanism(
        "fuse.inverter-start",
        "Fuse of the inverter blown by a start",
        (FUSE,),
        ("inverter+fuse", "pump+fuse"),
        _inverter_fuse,
        (COMMON_PRACTICE,),
        (Correction("a fuse for the inverter's full current, with cable to suit", (Sheet.inverter.fuse,)),),
        (),
        ("charge.current", "generator.emf", "generator.resistance"),
        _has_inverter,
    ),
    Mechanism(
        "fuse.short-circuit",
        "Fuse blown by a short circuit, or a battery connected the wrong way round",
        (FUSE,),
        ("short circuit", "shorted", "chafed", "wrong way round", "polarity", "reversed"),
        by_eye("No number on record tells of a short circuit; look along the cable and in the boxes"),
        (COMMON_PRACTICE,),
        (Correction("cable mended and kept from chafing, connectors that fit one way only",
                    (Sheet.protection.polarity,)),),
        (),
        ("charge.current", "generator.emf", "generator.resistance"),
        look="Blackened or sprayed fuse glass, a chafed cable, a pinched wire in a box.",
    ),
    Mechanism(
        "dump.failed",
        "Dump load too small, or its control failed",
        (DAMAGED, "rotor ran away", "burning smell or no voltage"),
        ("dump", "controller", "relay", "diversion"),
        _dump,
        (COMMON_PRACTICE,),
        (Correction("a dump load of 1.5 times the greatest power, with a second means beside it",
                    (Sheet.dump.power, Sheet.dump.second_means)),),
        (Telling("battery.voltage", "above the voltage at which the dump load should come in", "held at it"),),
        applies=lambda x: x.maybe(Sheet.dump.kind) not in (None, "none"),
        look="Is the resistor whole, does the relay close when the set voltage is passed?",
    ),
    Mechanism(
        "house.back-feed",
        "Two sources met: a line fed from behind",
        ("shock or a line that should be dead", CUTS),
        ("back feed", "backfeed", "two plug", "grid", "mains"),
        _backfeed,
        (COMMON_PRACTICE,),
        (Correction("own circuits apart from the house, or a transfer switch fitted by an electrician",
                    (Sheet.house.feed,)),),
    ),
)  # fmt: skip
