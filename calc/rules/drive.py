"""Belt between rotor and generator: whether it carries the torque."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.finding import Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT, TOOTHED
from calc.machine.catalogue.rotor import MECHANICAL_BRAKE, SHORTING_SWITCH
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import SOLVING_NEEDS, Solved, nothing_limits
from calc.physics import balance
from calc.rules.engine import DANGER, FAIL, OK, Judgement, Rule, at_most, with_machine
from calc.rules.phrases import THROWN
from calc.rules.sources import BALANCE
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, show, show_up

#: Torque for which a belt is chosen, over the greatest that it meets. Common practice, no source.
BELT_RESERVE = 1.5
#: Shares by which more tension, a larger pulley or another belt may raise what a belt carries. Own choice.
STRONGER = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


@dataclass(frozen=True, slots=True)
class _Torques:
    """Torques on the generator's pulley, shape (...,): at the start, in the strongest running, and braking. [N m]."""

    start: Num
    running: Num
    brake: Num

    @property
    def most(self) -> Num:
        """The greatest of them."""
        most: Num = np.maximum(np.maximum(self.start, self.running), self.brake)
        return most


def _torques(x: Inputs, solved: Solved) -> _Torques:
    m, points = solved.machine, solved.operation.running
    ratio, eta = (np.asarray(v)[..., None] for v in (m.ratio, m.eta))
    turning = points.omega > 0
    passed = np.where(turning, points.rotor * eta / np.where(turning, points.omega, 1.0) / ratio, 0.0)
    brake: Num = 0.0
    if x.maybe(Sheet.rotor.brake) == SHORTING_SWITCH:
        # Thrown at the latest where the rotor is held back, with nothing else connected.
        held = solved.held_most(solved.storm)[..., None]
        brake = balance.brake_torque(m, solved.unloaded(held)[0])[..., 0]
    return _Torques(np.asarray(m.T_0 + m.T_cog), passed.max(axis=-1), brake)


def _carries(x: Inputs, solved: Solved) -> Judgement | Unknown:
    found = _torques(x, solved)
    if x.generator.drive == TOOTHED:
        return Judgement(OK, lambda: _toothed_says(found), more=lambda: _taken(found))
    if missing := x.lacks(Sheet.generator.belt_torque):
        return Unknown("", missing)
    grip = x.generator.belt_torque
    worst = DANGER if nothing_limits(x) else FAIL
    level, margin = at_most(found.most, grip, marginal=1.0 - 1.0 / BELT_RESERVE, worst=worst)

    def says() -> str:
        verdict = "enough" if level == OK else "too little to spare"
        return (
            f"The belt slips at {show(grip, 'Nm')} on the generator's pulley, and {_hardest(found)}: "
            f"{'too little' if margin < 0 else verdict}. Wet, worn or slack it carries less."
        )

    return Judgement(level, says, lambda: _ways(x, found), found.most, grip, "Nm", margin, lambda: _taken(found))


def _hardest(found: _Torques) -> str:
    """What asks most of the belt."""
    most = show(found.most, "Nm", 2)
    if found.brake >= found.most:
        return f"shorting the leads at full speed takes {most}"
    return f"the strongest running takes {most}" if found.running >= found.start else f"starting takes {most}"


def _toothed_says(found: _Torques) -> str:
    return (
        f"A toothed belt does not slip, and {_hardest(found)} on the generator's pulley. Whether it is made for half "
        f"as much again, {show_up(BELT_RESERVE * found.most, 'Nm', 2)}, was not checked."
    )


def _taken(found: _Torques) -> str:
    brake = f", {show(found.brake, 'Nm', 2)} when its leads are shorted at full speed" if found.brake > 0 else ""
    return (
        f"It takes {show(found.start, 'Nm', 2)} to start the generator, {show(found.running, 'Nm', 2)} in its "
        f"strongest running{brake}."
    )


def _ways(x: Inputs, found: _Torques) -> list[Way]:
    grip = float(x.generator.belt_torque)
    tighter = [grip * share for share in STRONGER if grip * share >= BELT_RESERVE * float(found.most)]
    ways = [
        change("Use a toothed belt, which does not slip.", {Sheet.generator.drive: TOOTHED}),
        change(
            "Make the belt carry {0} or more: more tension, a larger pulley, more wrap.",
            *ladder(Sheet.generator.belt_torque, tighter),
        ),
    ]
    if found.brake > np.maximum(found.running, found.start):
        ways.append(change("Fit a {0} on the rotor's own shaft.", {Sheet.rotor.brake: MECHANICAL_BRAKE}))
    ways.append(act(Act.LOOK, "Look at the belt's tension and wear after the first hours and each season."))
    return ways


RULES = (
    Rule(
        "generator.belt",
        "Torque that the belt carries",
        "generator",
        (*SOLVING_NEEDS, Sheet.generator.drive),
        with_machine(_carries),
        (BALANCE, Source("Belt chosen for one and a half times its greatest torque", "", "common practice, no source")),
        f"A belt that slips or comes off unloads the rotor. {THROWN}",
        applies=lambda x: x.maybe(Sheet.generator.drive) in (BELT, TOOTHED),
    ),
)
