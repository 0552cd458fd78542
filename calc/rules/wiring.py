"""Cables: voltage lost, heat, and the fuse that protects them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from calc.finding import Act, Source
from calc.machine.battery import bus_voltage, has_battery, is_loaded
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import (
    AFTER_RECTIFIER,
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
)
from calc.machine.inputs import Inputs, Unknown
from calc.machine.runs import run_resistance
from calc.machine.site import HUB_NEEDS, energy_of_year, hub_wind, over_winds
from calc.machine.solving import Solved, solve_machine
from calc.physics import wiring
from calc.rules.engine import DANGER, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.kits import other_bank
from calc.rules.limits import BANKS, GOOD_DROP
from calc.rules.sizing import (
    CableRun,
    capacity_known,
    capacity_words,
    continuous_level,
    fuse_fate,
    fuse_level,
    fuse_ways,
    held_first,
    thicker_cable,
)
from calc.rules.sources import IEC_AMPACITY, NEC_AMPACITY, NEC_CONTINUOUS, NEC_SMALL
from calc.rules.ways import Way, change, ladder
from calc.units import Num, show, show_down

IEC_RESISTANCE = Source("IEC 60228", "maximum resistance, class 2, 20 degC", "reproduction")

#: Share of a year's energy that the generator's run may lose, good and at most. Own choice, no source: a run at the
#: limit of the voltage drop in its worst wind loses about that over a year.
GOOD_YEAR, DEAR_YEAR = 0.05, 0.10


def _label(x: Inputs) -> str:
    return x.label or ""


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
    battery : bool
        Whether it is the battery's voltage that counts, not that of lamps at the rectifier.
    """

    current: Current
    run: CableRun
    lost: Num
    limit: Num
    battery: bool

    @property
    def share(self) -> Num:
        """Share of the battery's voltage that is lost."""
        return self.lost / self.run.V

    def says(self) -> str:
        """What is lost when it carries most."""
        run, whose = self.run, "battery's" if self.battery else "lamps'"
        joints = f", with {show(run.joints, 'mohm')} of joints," if run.joints > 0 else ""
        text = (
            f"At {self.current.shown()} the {show(run.L, 'm')} of {wiring.size_name(float(run.A))} {run.material}"
            f"{joints} loses {show(self.lost, 'V', 2)}, {show(self.share, '%', 2)} of the {whose} {show(run.V, 'V')}"
        )
        if np.any(self.lost >= run.V):
            return f"{text}: more is lost on the way than arrives."
        return f"{text}; {show(self.limit, '%')} is the limit, {show(GOOD_DROP, '%')} good."

    def known(self) -> str:
        """How the current is known, and the power that it loses."""
        return f"It carries up to {self.current.said()}, and loses {show(self.lost * self.run.I, 'W', 2)} then."


def _drop(x: Inputs) -> Judgement | Unknown:
    """Judge what a run loses: the generator's by its year where that is known, any other at its greatest current."""
    label = _label(x)
    found, at, V = run_current(x, label), x.cable[label], bus_voltage(x)
    if isinstance(found, Unknown):
        return found
    if isinstance(V, Unknown):
        return V
    run = CableRun(found.amps, V, at.length, at.area, at.material, at.temperature, at.strands, at.joints)
    limit = wiring.drop_limit(run.L, lighting=at.carries == TO_LOADS)
    drop = _Drop(found, run, run.lost(run.A), limit, has_battery(x))
    year = _yearly_loss(x) if at.carries in FROM_GENERATOR else None
    return _at_worst(x, drop) if year is None else _over_a_year(x, drop, *year)


def _at_worst(x: Inputs, drop: _Drop) -> Judgement:
    level, margin = at_most(drop.share, drop.limit)
    level = np.where((level == OK) & (np.asarray(drop.share) > GOOD_DROP), MARGINAL, level)
    return Judgement(level, drop.says, lambda: _drop_ways(x, drop), drop.share, drop.limit, "%", margin, drop.known)


def _over_a_year(x: Inputs, drop: _Drop, lost: Num, enters: Num) -> Judgement:
    """Judge the generator's run by the share of a year that it loses, not by its single worst wind.

    What it loses in a storm costs next to nothing, for storms are rare; its heat then is the ampacity's to judge.
    """
    share = np.divide(lost, enters, out=np.zeros(np.broadcast(lost, enters).shape), where=np.asarray(enters) > 0)
    level, margin = at_most(share, DEAR_YEAR)
    level = np.where((level == OK) & (share > GOOD_YEAR), MARGINAL, level)

    def says() -> str:
        run = drop.run
        return (
            f"The {show(run.L, 'm')} of {wiring.size_name(float(run.A))} {run.material} loses {show(lost, 'kWh', 2)} a "
            f"year, {show(share, '%', 2)} of what enters it; up to {show(GOOD_YEAR, '%')} is good, beyond "
            f"{show(DEAR_YEAR, '%')} a thicker one pays."
        )

    def more() -> str:
        return f"{drop.says()} {drop.known()}"

    return Judgement(level, says, lambda: _drop_ways(x, drop), share, DEAR_YEAR, "%", margin, more)


def _drop_ways(x: Inputs, drop: _Drop) -> list[Way]:
    label, carries = _label(x), x.need(Sheet.cable.carries)
    ways = [thicker_cable(x, label)]
    if x.generator.phases == "three-phase" and carries == BEFORE_RECTIFIER:
        ways.append(
            change(
                "Put the rectifier at the foot of the mast, so that the cable carries direct current in two wires.",
                {Sheet.cable.carries[label]: AFTER_RECTIFIER},
            )
        )
    if drop.battery:
        banks = [V for V in BANKS if 1.001 * float(drop.run.V) < V]
        ways.append(
            change("Make up a bank of {0}, and what hangs on it for that voltage.", *(other_bank(x, V) for V in banks))
        )
    shorter = [float(drop.run.L) * share for share in (0.75, 0.5, 0.33, 0.25)]
    ways.append(
        change(
            f"Bring the {'battery' if has_battery(x) else 'load'} nearer, {{0}} of cable at most.",
            *ladder(Sheet.cable.length[label], shorter),
            kind=Act.MOVE,
        )
    )
    return ways


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
        return f"The cable carries up to {found.said(3)}{each}. {capacity_words(I, A, capacity)}"

    def more() -> str:
        return f"{capacity_known(I, capacity)} It lies {laid} in air of {show(ambient, 'degC')}."

    return Judgement(
        level, says, lambda: [*held_first(x, _label(x)), thicker_cable(x, _label(x))], I, limit, "A", margin, more
    )


def _fuse(x: Inputs) -> Judgement | Unknown:
    label = _label(x)
    found, capacity = run_current(x, label), run_capacity(x, label)
    if isinstance(found, Unknown):
        return found
    if isinstance(capacity, Unknown):
        return capacity
    I = found.amps

    def ways() -> list[Way]:
        return fuse_ways(x, label, float(I))

    fuse: Num | None = x.maybe(Sheet.cable.fuse)
    if x.maybe(Sheet.cable.fused) is False:
        return _without_own(x, capacity, ways)
    if fuse is None:
        return Unknown("", (Sheet.cable.fuse[label],))
    level, margin = fuse_level(I, fuse, capacity)

    def says() -> str:
        return (
            f"A fuse of {show(fuse, 'A')} {fuse_fate(I, fuse, capacity)}: {found.shown(3)} and a quarter more must "
            f"pass it, and the cable allows one of {show_down(capacity.fuse, 'A')} at most."
        )

    def more() -> str:
        return f"The cable carries up to {found.said(3)}. {capacity_known(I, capacity)}"

    return Judgement(level, says, ways, fuse, capacity.fuse, "A", margin, more)


def _without_own(x: Inputs, capacity: Capacity, ways: Callable[[], Sequence[Way]]) -> Judgement | Unknown:
    """Judge a run without a fuse of its own: behind the battery's main fuse if there is one, else a danger."""
    main: Num | None = x.maybe(Sheet.protection.main_fuse_rating)
    if main is not None:
        return _behind_main(main, capacity, ways)
    if x.maybe(Sheet.protection.main_fuse) not in (None, NO_MAIN_FUSE, FUSED_BY_RUN):
        return Unknown("", (Sheet.protection.main_fuse_rating,))
    return Judgement(
        DANGER,
        lambda: (
            "The battery feeds this cable and no fuse protects it. In a short circuit the battery drives hundreds of "
            f"amperes or more through a cable that may carry {show(capacity.amps, 'A')}, and it can catch fire."
        ),
        ways,
    )


def _behind_main(main: Num, capacity: Capacity, ways: Callable[[], Sequence[Way]]) -> Judgement:
    level, margin = at_most(main, capacity.fuse, worst=DANGER)

    def says() -> str:
        fate = "and burns before that opens" if main > capacity.fuse else "so that protects it"
        return (
            f"The cable has no fuse of its own. It allows one of {show_down(capacity.fuse, 'A')} at most "
            f"({capacity.standing()}), and the main fuse of the battery has {show(main, 'A')}, {fate}."
        )

    return Judgement(level, says, ways, main, capacity.fuse, "A", margin)


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
