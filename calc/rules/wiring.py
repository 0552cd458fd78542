"""Cables: voltage lost, heat, and the fuse that protects them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from calc.finding import Source
from calc.machine.battery import bus_voltage, has_battery, is_loaded
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import (
    BEFORE_RECTIFIER,
    FROM_GENERATOR,
    FUSED_BY_RUN,
    NO_MAIN_FUSE,
    TO_DUMP,
    TO_LOADS,
)
from calc.machine.currents import (
    Capacity,
    Current,
    inverter_run,
    loaded_wires,
    run_capacity,
    run_current,
    wire_current,
    wiring_practice,
)
from calc.machine.inputs import Inputs, Unknown
from calc.machine.runs import run_resistance
from calc.machine.site import HUB_NEEDS, energy_of_year, hub_wind, over_winds
from calc.machine.solving import Solved, solve_machine
from calc.physics import wiring
from calc.rules.engine import DANGER, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.limits import BANKS, GOOD_DROP
from calc.rules.sizing import (
    CableRun,
    capacity_words,
    continuous_level,
    fuse_fate,
    fuse_level,
    fuse_remedy,
    thicker_for_voltage,
)
from calc.rules.sources import IEC_AMPACITY, NEC_AMPACITY, NEC_CONTINUOUS, NEC_SMALL
from calc.units import Num, show, show_down

IEC_RESISTANCE = Source("IEC 60228", "maximum resistance, class 2, 20 degC", "reproduction")


def _label(x: Inputs) -> str:
    return x.label or ""


def _bank_for(V: float, share: float, limit: float) -> float | None:
    # The same power at a higher voltage: current falls, and the voltage it is a share of rises.
    needed = V * (share / limit) ** 0.5
    return next((bank for bank in BANKS if bank >= needed and bank > V), None)


def _ways(run: CableRun, limit: float, share: float, series: str, *, battery: bool) -> tuple[list[str], bool]:
    size, better = run.size_for(limit, series), run.size_for(GOOD_DROP, series)
    ways = []
    if size is not None:
        good = "" if better is None else f"; {wiring.size_name(better)} for under {show(GOOD_DROP, '%')}"
        more = good if better != size else ""
        now, then = run.bought(float(run.A), run.wires), run.bought(size, run.wires)
        ways.append(f"{wiring.size_name(size)} or more ({run.material}: {then}, now {now}{more})")
    bank = _bank_for(float(run.V), share, limit) if battery else None
    if bank is not None:
        ways.append(f"a {show(bank, 'V')} bank with the cable as it is")
    # The supplement for long runs is lost when the run gets short.
    left = min(limit, run.short) * float(run.V / run.I) - float(run.joints)
    length = float(run.L) * left / (share * float(run.V / run.I) - float(run.joints))
    if length > 0:
        ways.append(f"a cable of {show_down(length, 'm', 2)} at most")
    else:
        ways.append(f"joints of less than the {show(run.joints, 'mohm')} that these have, for they alone lose too much")
    return ways, size is not None


def _rectifier_place(x: Inputs, run: CableRun, size: float) -> str:
    """What putting the rectifier at the other end of the run would do to the copper."""
    carries = x.need(Sheet.cable.carries)
    if x.generator.phases != "three-phase" or carries not in FROM_GENERATOR:
        return ""
    three, two, name = run.bought(size, 3), run.bought(size, 2), wiring.size_name(size)
    if carries == BEFORE_RECTIFIER:
        return (
            f" With the rectifier at the foot of the mast two wires of {name} lose no more than three do, and take "
            f"{two} in place of {three}."
        )
    return (
        f" Keep the rectifier where it is: ahead of it, three wires of {name} would lose the same and take {three} in "
        f"place of {two}."
    )


def _yearly_loss(x: Inputs) -> tuple[Num, Num] | None:
    """Energy that a year loses in a run of the generator, and what comes into it, in [J]; None where not known."""
    solved, Vm = (solve_machine(x) if is_loaded(x) else None), hub_wind(x) if _sited(x) else None
    if not isinstance(solved, Solved) or Vm is None or isinstance(Vm, Unknown):
        return None
    points, R = solved.operation.running, run_resistance(x, _label(x))
    lost = energy_of_year(x, solved.winds, points.current**2 * over_winds(R), Vm)
    return lost, energy_of_year(x, solved.winds, points.charge + points.cable, Vm)


def _sited(x: Inputs) -> bool:
    return not x.lacks(*HUB_NEEDS, Sheet.site.wind_spread, Sheet.site.availability)


def _and_for_heat(x: Inputs, I: Num, size: float | None) -> str:
    capacity = run_capacity(x, _label(x))
    wanted = None if isinstance(capacity, Unknown) else capacity.smallest_for(float(I))
    if size is None or wanted is None or wanted <= size * 1.001:
        return ""
    return f" To carry the current it takes more, {wiring.size_name(wanted)}."


@dataclass(frozen=True, slots=True)
class _Drop:
    """What a run loses at its greatest current, and how much it may lose.

    Parameters
    ----------
    current : Current
        Greatest current, and where it comes from.
    run : CableRun
        The run at that current.
    lost : float or array, shape (...,)
        Voltage lost in wires and joints. [V]
    limit : float or array, shape (...,)
        Share of the voltage beyond which too much is lost.
    series : str
        Whose sizes of cable are named, those of IEC or of NEC practice.
    year : tuple or None
        Energy that a year loses in it, and what comes into it. [J]
    battery : bool
        Whether it is the battery's voltage that counts, not that of lamps at the rectifier.
    """

    current: Current
    run: CableRun
    lost: Num
    limit: Num
    series: str
    year: tuple[Num, Num] | None
    battery: bool

    @property
    def share(self) -> Num:
        """Share of the battery's voltage that is lost."""
        return self.lost / self.run.V


def _drop(x: Inputs) -> Judgement | Unknown:
    label = _label(x)
    found, at, V = run_current(x, label), x.cable[label], bus_voltage(x)
    if isinstance(found, Unknown):
        return found
    if isinstance(V, Unknown):
        return V
    run = CableRun(
        I=found.amps,
        V=V,
        L=at.length,
        A=at.area,
        material=at.material,
        T=at.temperature,
        strands=at.strands,
        joints=at.joints,
        price=x.maybe(Sheet.cable.price),
        wires=loaded_wires(x, label),
        short=float(wiring.drop_limit(0.0, lighting=at.carries == TO_LOADS)),
    )
    lost = wiring.voltage_drop_dc(run.I, run.L, wiring.resistance(run.A, run.material, run.T, run.strands), run.joints)
    share, limit = lost / run.V, wiring.drop_limit(run.L, lighting=at.carries == TO_LOADS)
    level, margin = at_most(share, limit)
    level = np.where((level == OK) & (np.asarray(share) > GOOD_DROP), MARGINAL, level)
    series = wiring_practice(x)
    # Only told, never judged, so samples need not have it.
    year = _yearly_loss(x) if at.carries in FROM_GENERATOR and x.drawn is None else None
    drop = _Drop(found, run, lost, limit, series, year, has_battery(x))
    return Judgement(level, lambda: _drop_says(drop), lambda: _drop_remedy(x, drop), share, limit, "%", margin)


def _drop_says(drop: _Drop) -> str:
    run, dV, year = drop.run, drop.lost, drop.year
    source = "battery's" if drop.battery else "lamps'"
    with_joints = f", with {show(run.joints, 'mohm')} of joints," if run.joints > 0 else ""
    text = (
        f"At {drop.current.said()} the {show(run.L, 'm')} of {wiring.size_name(float(run.A))} {run.material}"
        f"{with_joints} loses {show(dV, 'V', 2)}, {show(drop.share, '%', 2)} of the {source} {show(run.V, 'V')}, and "
        f"turns {show(dV * run.I, 'W', 2)} into heat."
    )
    if year is not None:
        text += f" Over a year it loses {show(year[0], 'kWh', 2)} of the {show(year[1], 'kWh', 2)} that enter it."
    if np.any(dV >= run.V):
        return f"{text} The loss is as great as that voltage, or greater: more is lost on the way than arrives."
    good, limit = show(GOOD_DROP, "%"), show(drop.limit, "%")
    return f"{text} Off-grid practice is {good} at most; {limit} is the limit for a supply of one's own."


def _drop_remedy(x: Inputs, drop: _Drop) -> str:
    run, share, series = drop.run, float(drop.share), drop.series
    limit = float(drop.limit) if share > drop.limit else GOOD_DROP
    ways, has_size = _ways(run, limit, share, series, battery=drop.battery)
    largest = wiring.size_name(float(wiring.sizes(run.material, run.strands, series)[0][-1]))
    lead = "" if has_size else f"No size up to {largest} will do. "
    size = run.size_for(limit, series)
    place = "" if size is None else _rectifier_place(x, run, size)
    heat = _and_for_heat(x, wire_current(x, _label(x), run.I), size)
    return f"{lead}Under {show(limit, '%')} needs {', or '.join(ways)}.{heat}{place}"


def _ampacity(x: Inputs) -> Judgement | Unknown:
    found, capacity = run_current(x, _label(x)), run_capacity(x, _label(x))
    if isinstance(found, Unknown):
        return found
    if isinstance(capacity, Unknown):
        return capacity
    I, A = wire_current(x, _label(x), found.amps), x.need(Sheet.cable.area)
    ambient, laid, wires = x.need(Sheet.cable.ambient), x.need(Sheet.cable.laid), loaded_wires(x, _label(x))
    level, margin, limit = continuous_level(I, capacity)

    def says() -> str:
        each = f", {show(I, 'A', 2)} in each of three wires" if wires == 3 else ""
        where = f" {laid} in air of {show(ambient, 'degC')}"
        return f"The cable carries {found.said(3)}{each}. {capacity_words(I, A, capacity, where)}"

    def remedy() -> str:
        size = capacity.smallest_for(float(I))
        less = show(float(capacity.continuous) * float(found.amps / I), "A")
        bigger = f"Use {wiring.size_name(size)} or more, or keep" if size else "No size in the table will do; keep"
        more = thicker_for_voltage(x, _label(x), found.amps, size)
        return f"{bigger} the current below {less}.{more}"

    return Judgement(level, says, remedy, I, limit, "A", margin)


def _fuse(x: Inputs) -> Judgement | Unknown:
    label = _label(x)
    found, capacity = run_current(x, label), run_capacity(x, label)
    if isinstance(found, Unknown):
        return found
    if isinstance(capacity, Unknown):
        return capacity
    I = found.amps

    def remedy() -> str:
        return fuse_remedy(x, label, float(I), capacity)

    fuse: Num | None = x.maybe(Sheet.cable.fuse)
    if x.maybe(Sheet.cable.fused) is False:
        return _without_own(x, capacity, remedy)
    if fuse is None:
        return Unknown("", (Sheet.cable.fuse[label],))
    level, margin = fuse_level(I, fuse, capacity)

    def says() -> str:
        return (
            f"The fuse must exceed the current of {found.said(3)} by a quarter, "
            f"{show(wiring.CONTINUOUS * I, 'A')}, and must not exceed {show(capacity.fuse, 'A')}, the most that "
            f"the cable allows ({capacity.standing()}). A fuse of {show(fuse, 'A')} {fuse_fate(I, fuse, capacity)}."
        )

    return Judgement(level, says, remedy, fuse, capacity.fuse, "A", margin)


def _without_own(x: Inputs, capacity: Capacity, remedy: Callable[[], str]) -> Judgement | Unknown:
    """Judge a run without a fuse of its own: behind the battery's main fuse if there is one, else a danger."""
    main: Num | None = x.maybe(Sheet.protection.main_fuse_rating)
    if main is not None:
        return _behind_main(main, capacity, remedy)
    if x.maybe(Sheet.protection.main_fuse) not in (None, NO_MAIN_FUSE, FUSED_BY_RUN):
        return Unknown("", (Sheet.protection.main_fuse_rating,))
    return Judgement(
        DANGER,
        lambda: (
            "The battery feeds this cable and no fuse protects it. In a short circuit the battery drives hundreds of "
            f"amperes or more through a cable that may carry {show(capacity.amps, 'A')}, and it can catch fire."
        ),
        remedy,
    )


def _behind_main(main: Num, capacity: Capacity, remedy: Callable[[], str]) -> Judgement:
    level, margin = at_most(main, capacity.fuse, worst=DANGER)

    def says() -> str:
        fate = "and burns before that opens" if main > capacity.fuse else "so that protects it"
        return (
            f"The cable has no fuse of its own. It allows one of {show_down(capacity.fuse, 'A')} at most "
            f"({capacity.standing()}), and the main fuse of the battery has {show(main, 'A')}, {fate}."
        )

    return Judgement(level, says, remedy, main, capacity.fuse, "A", margin)


def _own(x: Inputs) -> bool:
    # The inverter's own rules say what its run may carry and what fuse it needs; the dump load's likewise.
    if x.maybe(Sheet.cable.carries) == TO_DUMP:
        return False
    return not (x.given(Sheet.inverter.power) and _label(x) == inverter_run(x))


def _fed_by_battery(x: Inputs) -> bool:
    return _own(x) and x.maybe(Sheet.cable.carries) != BEFORE_RECTIFIER and x.maybe(Sheet.storage.chemistry) != "none"


CAPACITY_NEEDS = (
    Sheet.cable.carries,
    Sheet.cable.area,
    Sheet.cable.material,
    Sheet.cable.insulation,
    Sheet.cable.laid,
    Sheet.cable.ambient,
)

RULES = (
    Rule(
        "wiring.voltage-drop",
        "Voltage and power lost in the cable",
        "cable",
        (
            Sheet.cable.carries,
            Sheet.cable.length,
            Sheet.cable.area,
            Sheet.cable.material,
            Sheet.cable.temperature,
        ),
        _drop,
        (
            IEC_RESISTANCE,
            Source("NEC 2017", "Chapter 9 Table 8, resistance of American gauges at 75 degC", "reproduction"),
            Source(
                "IEC 60364-5-52:2009",
                "Table G.52.1 B, a supply of one's own: 6 % to lights, 8 % else (A, the public supply: 3 and 5 %)",
                "reproduction",
            ),
            Source("Davey and Dankoff, wire chart for 12 and 24 V systems", "2 to 3 %"),
        ),
        each=True,
        applies=lambda x: x.maybe(Sheet.cable.carries) != TO_DUMP,
    ),
    Rule(
        "wiring.ampacity",
        "Current the cable may carry",
        "cable",
        CAPACITY_NEEDS,
        _ampacity,
        (*IEC_AMPACITY, *NEC_AMPACITY, NEC_CONTINUOUS),
        "An overloaded cable gets hot enough to set fire to what it touches. Local wiring rules come first; "
        "ask an electrician where the cable enters a building.",
        each=True,
        applies=_own,
    ),
    Rule(
        "wiring.fuse",
        "Fuse of the cable",
        "cable",
        CAPACITY_NEEDS,
        _fuse,
        (
            NEC_CONTINUOUS,
            Source(
                "NEC 2017",
                "694.15(A); 706.21(F): at the battery, a duty above 60 V DC (706.1), below it good practice",
                "reproduction",
            ),
            Source("IEC 60364-4-43", "433.1, fuse no larger than the cable's ampacity", "from memory"),
            NEC_SMALL,
            *IEC_AMPACITY,
            *NEC_AMPACITY,
        ),
        "A battery can set an unfused or wrongly fused cable on fire. A fuse that opens in the generator's "
        "cable also unloads the rotor, so something else must then hold the rotor's speed.",
        each=True,
        applies=_fed_by_battery,
    ),
)
