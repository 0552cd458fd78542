"""What sun, heat, cold and age leave of plastic blades, and moisture, grain and knots of wooden ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.machine.blade_root import material_of
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import COATS, COLOURS, KNOTS
from calc.machine.entry import Entry
from calc.machine.inputs import Inputs, Unknown
from calc.physics import blade
from calc.physics.arrays import Flags
from calc.physics.blade import condition
from calc.physics.blade.materials import PVC_U, WOOD
from calc.units import Num, show

#: Bending strength of clear, dry softwood: Norway spruce 63 to 68 MPa; from memory. [Pa]
CLEAR_WOOD = 65e6
#: Slope of the grain of wood that is called straight, 1 in 20. Common practice, no source.
STRAIGHT = 0.05


@dataclass(frozen=True, slots=True)
class BladeState:
    """What is left of a blade's strength.

    Parameters
    ----------
    left : float or array, shape (...,)
        Strength at its worst. [Pa]
    wrong : array of bool, shape (...,)
        Whether it should not be used so at all, and ``wrong_words`` why.
    brittle : array of bool, shape (...,)
        Whether it may crack where a new one only bends, and ``brittle_words`` why.
    words, more, look : str
        What the strength is reckoned with; what only a reader of everything wants; what to look at.
    better : sequence of (text, input, values)
        What would leave more.
    renewed : (text, values by input), optional
        New blades that have none of it.
    """

    left: Num
    wrong: Flags
    brittle: Flags
    words: str
    more: str
    look: str
    wrong_words: str
    brittle_words: str
    better: Sequence[tuple[str, Entry[Any], Sequence[Any]]]
    renewed: tuple[str, dict[Entry[Any], Any]] | None = None


def blade_state(x: Inputs) -> BladeState | Unknown:
    """State of blades of PVC-U or wood; nothing is known here of the others."""
    of = material_of(x)
    if of is PVC_U:
        return _plastic(x)
    return _wooden(x) if of is WOOD else Unknown("How such blades age is not known here; look them over every year")


def _plastic(x: Inputs) -> BladeState:
    warms = condition.SUN_WARMS[COLOURS.index(x.blade.colour)]
    still, T = x.site.hottest_air + warms, x.site.hottest_air + condition.WHILE_TURNING * warms
    usual = x.else_assume(Sheet.blade.strength, PVC_U.strength, PVC_U.why, within=PVC_U.strengths)
    left = usual * blade.pvc_factor(np.minimum(T, condition.PVC_HOTTEST))
    rests = show(still, "degC", 2) if np.ndim(still) == 0 else ""
    bare = x.maybe(Sheet.blade.coat) == COATS[1]
    old = np.asarray(x.blade.age > condition.PVC_SUN_YEARS) & bare
    cold = np.asarray(x.site.coldest_air < condition.PVC_BRITTLE)
    shown = show(T, "degC", 2) if np.ndim(T) == 0 else ""
    return BladeState(
        left,
        np.asarray(still > condition.PVC_HOTTEST),
        old,
        f"Turning on a hot day at {shown}",
        f"Standing still in the sun it reaches {rests}. Cold makes it stronger but brittle, how much is not published"
        f"{'; below freezing keep ice and knocks off it' if np.all(cold) else ''}.",
        "Look for crazing, chalky or brown skin, and tap it: a dull crack tells. Change blades that have it.",
        f"Standing still in the sun the pipe reaches {rests}, and PVC-U must not be used above "
        f"{show(condition.PVC_HOTTEST, 'degC', 2)}",
        "Years of bare sun have made it brittle, though as strong as before: one knock can shatter it.",
        (
            ("Paint the blades {0}, so that the sun warms them less.", Sheet.blade.colour, [COLOURS[0]]),
            ("Put on new blades ({0} years in the sun), and paint them.", Sheet.blade.age, [0.0]),
        ),
    )


def _wooden(x: Inputs) -> BladeState | Unknown:
    try:
        share = condition.grain_share(x.blade.grain) * condition.moisture_share(x.blade.moisture)
    except ValueError as e:
        return Unknown.because(str(e).capitalize(), e)
    knots = x.maybe(Sheet.blade.knots)
    if knots is None:
        return Unknown("", (Sheet.blade.knots,))
    rough = x.maybe(Sheet.blade.coat) == COATS[1] and x.given(Sheet.blade.coat)
    return BladeState(
        CLEAR_WOOD * share * condition.KNOTS[KNOTS.index(knots)],
        np.asarray(knots == KNOTS[2]),
        np.asarray(rough),
        "With its grain, moisture and knots",
        f"Of clear, dry softwood ({show(CLEAR_WOOD, 'MPa')} in bending, from memory) grain and moisture leave "
        f"{show(share, '%', 2) if np.ndim(share) == 0 else ''}.",
        "Look for cracks along the grain, soft spots and lifted paint, and weigh the blades again after a wet winter.",
        "There are knots in the inner half, where the blade is pulled hardest; wood cracks from them",
        "Bare wood takes up water on one side, goes out of balance and cracks.",
        (
            ("Carve it from clear wood, knots: {0}.", Sheet.blade.knots, [KNOTS[0]]),
            ("Use wood dried to {0}.", Sheet.blade.moisture, [0.15, 0.12]),
            ("Keep it under {0}.", Sheet.blade.coat, [COATS[0]]),
        ),
        (
            "Carve new blades of clear wood without knots, dry, straight in the grain and painted all over.",
            {
                Sheet.blade.knots: KNOTS[0],
                Sheet.blade.grain: STRAIGHT,
                Sheet.blade.moisture: 0.12,
                Sheet.blade.coat: COATS[0],
            },
        ),
    )
