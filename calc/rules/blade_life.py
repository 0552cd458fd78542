"""How long blades last: fatigue, and what sun, heat, cold, age and the wood itself leave of their strength."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.finding import Act, Source
from calc.machine.blade_beam import BladeBeam, blade_beam, each_turn
from calc.machine.blade_state import BladeState, blade_state
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.root_load import kindest_strength
from calc.physics.arrays import Array
from calc.physics.blade.shape import as_column
from calc.physics.calendar import YEAR
from calc.physics.structure import fatigue, simple_loads
from calc.rules.blade_kits import BLADE_NEEDS, blade_known, stronger_blades
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.phrases import THROWN, life_words
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, show

#: Years after which blades that cannot be made stronger are replaced. Own choice.
SOONER = (10.0, 5.0, 3.0, 2.0, 1.0, 0.5, 0.25)
#: What is left where no change will do.
_YEARLY = "Take the blades down once a year and look at the roots and bolt holes for cracks with a glass."


@dataclass(frozen=True, slots=True)
class _Tired:
    """Amplitude about nought, greatest and at a bolt hole of the root [Pa], turns, slopes: likely, worst, best.

    ``along`` has it at each place, shape (..., places); ``kindest`` is the greatest for the strongest piece that there
    may be, of strength ``strongest``.
    """

    beam: BladeBeam
    along: Array
    hole: Num
    turns: Num
    slope: Num
    worst: Num
    best: Num
    strongest: Num
    kindest: Num

    @property
    def plain(self) -> Num:
        """The greatest along the blade, bolt holes left out."""
        return np.asarray(np.max(self.along, axis=-1))

    @property
    def hardest(self) -> Num:
        """The greatest anywhere."""
        return np.maximum(self.plain, self.hole)

    def years(self, x: Inputs, S: Num, slope: Num, strength: Num | None = None) -> Num:
        """How long it lasts at an amplitude [Pa] and slope, and another strength [Pa] than is reckoned with."""
        bears = self.beam.root.strength if strength is None else strength
        return fatigue.cycles_to_failure(S, bears, slope) / self.turns * x.blade.years


def _tired(x: Inputs) -> _Tired | Unknown:
    beam = blade_beam(x)
    if isinstance(beam, Unknown):
        return beam
    of = beam.root
    rise, mean = each_turn(beam)
    turns = beam.turbine.omega / (2.0 * math.pi) * x.blade.years * YEAR * x.site.availability
    m = of.material
    slope = x.else_assume(Sheet.blade.fatigue_slope, m.slope, m.slope_why, within=m.slopes)
    ends = (slope, slope) if x.given(Sheet.blade.fatigue_slope) else m.slopes
    along = np.asarray(fatigue.equal_amplitude(rise, mean, as_column(of.strength)))
    hole = fatigue.equal_amplitude(m.hole * rise[..., 0], m.hole * mean[..., 0], of.strength)
    strongest = kindest_strength(x, of)
    kindest = np.max(fatigue.equal_amplitude(rise, mean, as_column(strongest)), axis=-1)
    return _Tired(beam, along, hole, turns, slope, *ends, strongest, kindest)


def _fatigue(x: Inputs) -> Judgement | Unknown:
    found = _tired(x)
    if isinstance(found, Unknown):
        return found
    strength = found.beam.root.strength
    # It cracks for certain only where the strongest piece does, by the kindest line.
    longest = fatigue.life_stress(found.turns, found.strongest, found.best)
    cracks = found.kindest > longest
    unkind = fatigue.life_stress(found.turns, strength, found.worst)
    kept = found.hardest * simple_loads.FATIGUE_KNOWN <= unkind
    level = np.where(cracks, FAIL, np.where(kept, OK, MARGINAL))

    def says() -> str:
        name = found.beam.root.material.name
        what = "root" if int(np.argmax(found.along)) == 0 else "blade"
        sees = f"Each turn the {what} sees {show(found.plain, 'MPa', 2)} up and down (load case A)"
        want = f"{show(x.blade.years, '', 2)} years are {show(found.turns / 1e6, '', 2)} million turns"
        if cracks:
            return f"{sees}, and {want}: even the strongest {name} by the kindest line cracks before."
        if kept:
            return f"{sees}, and {want}: even at a bolt hole, by the unkindest line for {name}, it lasts."
        return f"{sees}, and {want}: whether it lasts cannot be settled, the lines for {name} differ too much."

    def ways() -> list[Way]:
        seldom = act(
            Act.LOOK, "Take the blades down once a year and look at the roots and bolt holes for cracks with a glass."
        )
        years = [y for y in SOONER if y < float(x.blade.years)]
        sooner = change("Fit new blades after {0} years.", *ladder(Sheet.blade.years, years))
        return [*(stronger_blades(x) or [sooner]), seldom]

    return Judgement(
        level, says, ways, found.kindest, longest, "MPa", (longest - found.kindest) / longest, lambda: _lasts(x, found)
    )


def _lasts(x: Inputs, found: _Tired) -> str:
    def told(S: Num, slope: Num, strength: Num | None = None) -> str:
        return life_words(float(found.years(x, S, slope, strength)))

    m, bare = found.slope, found.plain
    at = show(found.beam.places()[..., int(np.argmax(found.along))], "mm", 2)
    return (
        f"It is worst {at} from the shaft, edge and flap at once, bolt holes left out. "
        f"By a straight line of slope {show(m, '', 2)} the blade lasts {told(bare, m)} there, and at the bolt holes of "
        f"its root {told(found.hole, m)}; by the slopes that are told, {told(found.hardest, found.worst)} to "
        f"{told(found.kindest, found.best, found.strongest)}. Life by "
        "such lines is known within a factor of tens, no better."
    )


# --- sun, heat, cold, moisture, grain and knots -----------------------------------------------------------------------


def _condition(x: Inputs) -> Judgement | Unknown:
    state = blade_state(x)
    if isinstance(state, Unknown):
        return state
    beam = blade_beam(x)
    if isinstance(beam, Unknown):
        return beam
    needed = next(np.max(seen.soft, axis=-1) for seen in beam.seen if seen.case == "B")
    left = np.maximum(state.left, 1e3)
    short = needed > left
    level = np.where(
        short | state.wrong, FAIL, np.where((needed * simple_loads.LOAD_ULTIMATE > left) | state.brittle, MARGINAL, OK)
    )
    return Judgement(
        level,
        lambda: _condition_says(state, needed, left),
        lambda: _condition_ways(x, state, bool(short)),
        needed,
        left,
        "MPa",
        np.where(state.wrong, -1.0, (left - needed) / left),
        lambda: state.more,
    )


def _condition_says(state: BladeState, needed: Num, left: Num) -> str:
    if bool(state.wrong):
        return f"{state.wrong_words}."
    sees = f"yawing in load case B it sees {show(needed, 'MPa', 2)}"
    first = f"{state.words}, {show(left, 'MPa', 2)} are left of its strength; {sees}"
    verdict = ": too little" if needed > left else ""
    brittle = f" {state.brittle_words}" if bool(state.brittle) else ""
    return f"{first}{verdict}.{brittle}"


def _condition_ways(x: Inputs, state: BladeState, short: bool) -> list[Way]:
    ways = [change(says, *ladder(entry, values)) for says, entry, values in state.better]
    if state.renewed and (short or np.all(state.wrong)):
        ways.append(change(*state.renewed))
    if short:
        ways += stronger_blades(x)
    return [*ways, act(Act.LOOK, state.look)]


RULES = (
    Rule(
        "blade.fatigue",
        "Fatigue of the blades",
        "blade",
        (*BLADE_NEEDS, Sheet.blade.years, Sheet.site.availability),
        _fatigue,
        (
            *simple_loads.sources_of("A blade Fz", "A blade Mx", "A blade My"),
            simple_loads.LITTLE_KNOWN,
            Source("Slopes of stress against cycles by material", "", "from memory"),
            Source(
                "Sutherland and Mandell, 2004: a linear sum of damage foretells tests of glass-fibre badly",
                "",
                "reproduction",
            ),
        ),
        THROWN,
        applies=blade_known,
    ),
    Rule(
        "blade.condition",
        "Sun, heat, cold and wood: what is left of the strength",
        "blade",
        BLADE_NEEDS,
        _condition,
        (
            Source("Temperature derating of PVC-U pipe, 73 to 140 degF, pipe maker's table", "", "reproduction"),
            Source(
                "Puterman, Materials and Structures 22 (1989); PVC Pipe Association: the sun embrittles",
                "",
                "reproduction",
            ),
            Source("Wood Handbook: slope of grain and moisture", "", "from memory"),
            *simple_loads.sources_of("B blade My"),
        ),
        THROWN,
        applies=lambda x: blade_known(x) and x.maybe(Sheet.blade.material) in (None, "PVC-U pipe", "wood"),
    ),
)
