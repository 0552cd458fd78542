"""Belt between rotor and generator: whether it carries the torque."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.inputs import Inputs
from calc.machine.solving import SOLVING_NEEDS, Solved, nothing_limits
from calc.physics import balance
from calc.rules.engine import DANGER, FAIL, Judgement, Rule, at_most, with_machine
from calc.rules.phrases import THROWN
from calc.rules.sources import BALANCE
from calc.units import Num, show

#: Torque for which a belt is chosen, over the greatest that it meets. Common practice, no source.
BELT_RESERVE = 1.5


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
        held = np.asarray(np.minimum(solved.limit, solved.storm))[..., None]
        brake = balance.brake_torque(m, solved.unloaded(held)[0])[..., 0]
    return _Torques(np.asarray(m.T_0 + m.T_cog), passed.max(axis=-1), brake)


def _slips(x: Inputs, solved: Solved) -> Judgement:
    found, grip = _torques(x, solved), x.generator.belt_torque
    worst = DANGER if nothing_limits(x) else FAIL
    level, margin = at_most(found.most, grip, marginal=1.0 - 1.0 / BELT_RESERVE, worst=worst)

    def says() -> str:
        parts = [
            f"{show(found.start, 'Nm', 2)} to start the generator",
            f"{show(found.running, 'Nm', 2)} in its strongest running",
        ]
        if np.any(np.asarray(found.brake) > 0):
            parts.append(f"{show(found.brake, 'Nm', 2)} when its leads are shorted at full speed")
        slips = "more than it carries" if margin < 0 else "which it carries"
        return (
            f"The belt slips at {show(grip, 'Nm')} on the generator's pulley. It takes {', '.join(parts)}: {slips}. "
            "Wet, worn or slack it carries less."
        )

    def remedy() -> str:
        return (
            f"Make the belt carry {show(BELT_RESERVE * found.most, 'Nm', 2)}: more tension, a larger pulley on the "
            "generator, a belt that wraps further round it, or a toothed belt or chain; and brake the rotor's own "
            "shaft."
        )

    return Judgement(level, says, remedy, found.most, grip, "Nm", margin)


RULES = (
    Rule(
        "generator.belt",
        "Torque that the belt carries",
        "generator",
        (*SOLVING_NEEDS, Sheet.generator.belt_torque),
        with_machine(_slips),
        (BALANCE, Source("Belt chosen for one and a half times its greatest torque", "", "common practice, no source")),
        f"A belt that slips or comes off unloads the rotor. {THROWN}",
        applies=lambda x: x.maybe(Sheet.generator.drive) == BELT,
    ),
)
