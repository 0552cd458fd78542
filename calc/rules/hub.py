"""The hub: bolts, plate, shaft, and the balance of the set of blades."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.blade_beam import blade_beam
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.hub import NOTCHES, SHAFT_STEELS, WASHERS
from calc.machine.hub_loads import (
    BREAKS,
    NOTCHED,
    SHAFT_SLOPE,
    SHAFT_SLOPES,
    YIELDS,
    FittedSet,
    Held,
    fitted_set,
    held,
    outermost_bolt,
    root_loads,
)
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import nothing_limits
from calc.machine.structure import rotor_mass
from calc.physics.arrays import largest
from calc.physics.blade import matching
from calc.physics.calendar import YEAR
from calc.physics.structure import fatigue, simple_loads
from calc.rules.blade_kits import blade_known
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.kits import held_earlier
from calc.rules.phrases import THROWN, life_words
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, show

#: Sizes of bolts, plates and shafts as they are sold. Common practice, no source. [m]
BOLTS = (0.005, 0.006, 0.008, 0.010, 0.012, 0.016)
PLATES = (0.004, 0.005, 0.006, 0.008, 0.010, 0.012, 0.015, 0.020, 0.025)
SHAFTS = (0.012, 0.015, 0.017, 0.020, 0.025, 0.030, 0.035, 0.040, 0.045, 0.050, 0.060, 0.070, 0.080)
#: Grade of balancing that is asked of fans and such: the speed of the centre of gravity. From memory. [m/s]
GRADE = 0.016

LOST_BLADE = (
    "A blade that leaves its hub flies, and the rest of the rotor, out of balance, can tear the machine off its mast. "
    "Keep people out of its reach, and never stand in line with the rotor."
)


# --- bolts ------------------------------------------------------------------------------------------------------------


def _bolts(x: Inputs) -> Judgement | Unknown:
    found = held(x)
    if isinstance(found, Unknown):
        return found
    known = simple_loads.MATERIAL_KNOWN if x.given(Sheet.blade.strength) else simple_loads.MATERIAL_LITTLE
    around = np.maximum(found.bearing, found.tearing)
    used = np.maximum(found.bolts, around)
    factored = simple_loads.LOAD_ULTIMATE * np.maximum(found.bolts, around * known)
    worst = DANGER if nothing_limits(x) else FAIL
    cramped = (found.end < 1.0) | (found.side < 1.0) | (x.hub.held == WASHERS)
    level = np.where(used > 1.0, worst, np.where((factored > 1.0) | cramped, MARGINAL, OK))

    def says() -> str:
        return _bolts_say(x, found, float(used), float(factored))

    def more() -> str:
        shares = ", ".join(
            f"{what} {show(share, '%', 2)}"
            for what, share in (("bolts", found.bolts), ("bearing", found.bearing), ("tearing out", found.tearing))
        )
        return (
            f"Used up without any reserve: {shares}. The reserve of IEC 61400-2 is three times the load"
            f"{'' if found.bolts > around else f' and {known:g} times the material'}. Tighten with washers as wide as "
            "they fit, locking nuts, and again after the first hours; plastic gives under a bolt."
        )

    return Judgement(level, says, lambda: _bolt_ways(x, found), used, 1.0, "%", 1.0 - used, more)


def _bolts_say(x: Inputs, found: Held, used: float, factored: float) -> str:
    shares = {
        "the bolts themselves": float(found.bolts),
        f"the {found.material.removeprefix('new ')} under the bolts": float(found.bearing),
        "the blade's end": float(found.tearing),
    }
    first = max(shares, key=lambda name: shares[name])
    head = f"A blade pulls {show(found.pull, 'N', 2)} on its bolts"
    if used > 1.0:
        return f"{head}, and they do not hold: it is {used:.2g} times what {first} would take."
    head += f", {show(used, '%', 2)} of what {first} would take"
    odd = []
    if found.end < 1.0:
        odd.append(f" A bolt sits {show(x.hub.end_distance, 'mm', 2)} from the end, less than is usual.")
    if found.side < 1.0:
        odd.append(" A bolt sits less than two diameters from the edge.")
    if x.hub.held == WASHERS:
        odd.append(" Washers alone let the blade work and crack.")
    kept = "not kept" if factored > 1.0 else "kept"
    return f"{head}: the reserve of IEC 61400-2 is {kept}.{''.join(odd)}"


def _bolt_ways(x: Inputs, found: Held) -> list[Way]:
    d, n = float(x.hub.bolt_diameter), float(x.hub.bolts)
    end, side = float(x.hub.end_distance), float(x.hub.side_distance)
    more = change("Hold each blade with {0} bolts.", *ladder(Sheet.hub.bolts, [n + i for i in (1, 2, 3, 4, 5)]))
    thick = change("Use bolts of {0}.", *ladder(Sheet.hub.bolt_diameter, [size for size in BOLTS if size > d]))
    ends = [round(end * k, 3) for k in (1.25, 1.5, 2.0, 2.5, 3.0)]
    further = change("Drill {0} from the end of the blade.", *ladder(Sheet.hub.end_distance, ends))
    sides = [round(side * k, 3) for k in (1.25, 1.5, 2.0, 3.0)]
    inwards = change("Drill {0} from the edge.", *ladder(Sheet.hub.side_distance, sides))
    plates = change("Hold the blades {0}.", {Sheet.hub.held: "clamped between two plates"})
    marked = change("Use bolts marked {0}.", *ladder(Sheet.hub.bolt_class, ["8.8"]))
    first = [further] if found.end < 1.0 else [inwards] if found.side < 1.0 else []
    plated = [plates] if x.hub.held != "clamped between two plates" else []
    look = act(Act.LOOK, "Look at every bolt and hole after each storm: an oval hole or a loose nut is a warning.")
    return [*first, *plated, more, thick, marked, *held_earlier(x), look]


# --- plate and shaft --------------------------------------------------------------------------------------------------


def _plate(x: Inputs) -> Judgement | Unknown:
    beam = blade_beam(x)
    if isinstance(beam, Unknown):
        return beam
    _, moment = root_loads(beam)
    b, t, f_y = x.hub.plate_width, x.hub.plate_thickness, x.hub.plate_strength
    stress = moment / (b * np.square(t) / 6.0)
    asked = stress * simple_loads.LOAD_ULTIMATE * simple_loads.MATERIAL_KNOWN
    level = np.where(stress > f_y, FAIL, np.where(asked > f_y, MARGINAL, OK))

    def says() -> str:
        kept = "with the reserve of IEC 61400-2" if asked <= f_y else "without the reserve of IEC 61400-2, 3.3 times"
        verdict = "it bends" if stress > f_y else f"it holds {kept}"
        return (
            f"The blade's bending of {show(moment, 'Nm', 2)} puts {show(stress, 'MPa', 2)} on the hub plate, which "
            f"yields at {show(f_y, 'MPa', 2)}: {verdict}."
        )

    def ways() -> list[Way]:
        thicker = [size for size in PLATES if size > float(t)]
        return [change("Make the hub plate {0} thick.", *ladder(Sheet.hub.plate_thickness, thicker))]

    return Judgement(level, says, ways, stress, f_y, "MPa", (f_y - stress) / f_y)


@dataclass(frozen=True, slots=True)
class _Shaft:
    """Stress of the worst case [Pa], its letter, and bending and torque there [N m]."""

    stress: Num
    case: str
    bending: Num
    torque: Num


def _shaft_cases(x: Inputs) -> tuple[simple_loads.ShaftLoad, ...] | Unknown:
    """What the shaft takes, case by case; computed once for its rules."""
    return x.shared("shaft cases", _cases_of)


def _cases_of(x: Inputs) -> tuple[simple_loads.ShaftLoad, ...] | Unknown:
    beam = blade_beam(x)
    return beam if isinstance(beam, Unknown) else simple_loads.shaft_cases(beam.turbine)


def _shaft_of(x: Inputs) -> _Shaft | Unknown:
    cases = _shaft_cases(x)
    if isinstance(cases, Unknown):
        return cases
    d = x.hub.shaft_diameter
    found = []
    for load in cases:
        pulled = 32.0 * load.bending / (math.pi * d**3) + 4.0 * load.thrust / (math.pi * d**2)
        twisted = 16.0 * load.torque / (math.pi * d**3)
        # Of case A only half of the range counts against strength.
        share = 0.5 if load.case == "A" else 1.0
        found.append(_Shaft(share * np.sqrt(pulled**2 + 3.0 * twisted**2), load.case, load.bending, load.torque))
    worst = max(found, key=lambda shaft: float(np.mean(shaft.stress)))
    return _Shaft(largest([np.asarray(s.stress) for s in found]), worst.case, worst.bending, worst.torque)


def _shaft(x: Inputs) -> Judgement | Unknown:
    found = _shaft_of(x)
    if isinstance(found, Unknown):
        return found
    steel = x.hub.shaft_steel
    f_y = YIELDS[steel]
    known = simple_loads.MATERIAL_LITTLE if steel == SHAFT_STEELS[-1] else simple_loads.MATERIAL_KNOWN
    asked = found.stress * simple_loads.LOAD_ULTIMATE * known
    worst = DANGER if nothing_limits(x) else FAIL
    level = np.where(found.stress > f_y, worst, np.where(asked > f_y, MARGINAL, OK))

    def says() -> str:
        head = (
            f"In load case {found.case} the shaft sees {show(found.stress, 'MPa', 2)} at its first bearing, and "
            f"{steel if steel != SHAFT_STEELS[-1] else 'the weakest steel'} yields at {show(f_y, 'MPa', 2)}"
        )
        if found.stress > f_y:
            return f"{head}: it bends."
        kept = asked <= f_y
        return f"{head}: it holds, {'with' if kept else 'without'} the reserve of IEC 61400-2, {3.0 * known:.2g} times."

    def more() -> str:
        return (
            f"Bending is {show(found.bending, 'Nm', 2)} and torque {show(found.torque, 'Nm', 2)} then. A thread, a "
            "keyway or a sharp step where it leaves the bearing doubles the stress and begins a crack: round it."
        )

    def ways() -> list[Way]:
        thicker = [size for size in SHAFTS if size > float(x.hub.shaft_diameter)]
        steels = [name for name in SHAFT_STEELS if YIELDS[name] > f_y or known == simple_loads.MATERIAL_LITTLE]
        return [
            change("Use a shaft of {0}.", *ladder(Sheet.hub.shaft_diameter, thicker)),
            change("Use a shaft of {0}.", *ladder(Sheet.hub.shaft_steel, [s for s in steels if s != SHAFT_STEELS[-1]])),
            *held_earlier(x),
        ]

    return Judgement(level, says, ways, found.stress, f_y, "MPa", 1.0 - found.stress / f_y, more)


# --- how long the shaft lasts -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Worn:
    """Amplitude about nought beside a notch and in it [Pa], turns, slopes: likely, worst, best; tensile strength."""

    beside: Num
    notched: Num
    turns: Num
    slope: Num
    worst: Num
    best: Num
    breaks: float

    def years(self, x: Inputs, S: Num, slope: Num) -> Num:
        """How long it lasts at an amplitude [Pa] and slope."""
        return fatigue.cycles_to_failure(S, self.breaks, slope) / self.turns * x.hub.shaft_years


def _worn(x: Inputs) -> _Worn | Unknown:
    beam, cases = blade_beam(x), _shaft_cases(x)
    if isinstance(beam, Unknown):
        return beam
    assert not isinstance(cases, Unknown), "cases of a beam that is known"
    d, breaks = x.hub.shaft_diameter, BREAKS[x.hub.shaft_steel]
    (load,) = (load for load in cases if load.case == "A")
    # Weight and thrust that sits aside bend it to and fro; thrust and torque go between nothing and their range.
    pulled, twisted = 2.0 * load.thrust / (math.pi * d**2), 8.0 * load.torque / (math.pi * d**3)
    rise = np.hypot(16.0 * load.bending / (math.pi * d**3) + pulled, math.sqrt(3.0) * twisted)
    mean = np.hypot(pulled, math.sqrt(3.0) * twisted)
    K = NOTCHED[x.hub.shaft_notch]
    beside, notched = (np.asarray(fatigue.equal_amplitude(k * rise, mean, breaks)) for k in (1.0, K))
    turns = beam.turbine.omega / (2.0 * math.pi) * x.hub.shaft_years * YEAR * x.site.availability
    why = "8 in rust to 14 turned and dry, through the steel's strength at one turn; from memory"
    slope = x.else_assume(Sheet.hub.shaft_slope, SHAFT_SLOPE, why, within=SHAFT_SLOPES)
    ends = (slope, slope) if x.given(Sheet.hub.shaft_slope) else SHAFT_SLOPES
    return _Worn(beside, notched, turns, slope, *ends, breaks)


def _shaft_fatigue(x: Inputs) -> Judgement | Unknown:
    found = _worn(x)
    if isinstance(found, Unknown):
        return found
    # A notch that is only assumed does not break it.
    S = found.notched if x.given(Sheet.hub.shaft_notch) else found.beside
    longest = fatigue.life_stress(found.turns, found.breaks, found.best)
    unkind = fatigue.life_stress(found.turns, found.breaks, found.worst)
    kept = found.notched * simple_loads.FATIGUE_KNOWN <= unkind
    level = np.where(longest < S, FAIL, np.where(kept, OK, MARGINAL))

    def says() -> str:
        sees = f"Each turn the shaft sees {show(found.beside, 'MPa', 2)} up and down (load case A)"
        want = f"{show(x.hub.shaft_years, '', 2)} years are {show(found.turns / 1e6, '', 2)} million turns"
        if longest < S:
            return f"{sees}, and {want}: even by the kindest line for steel it cracks before."
        if kept:
            return f"{sees}, and {want}: even at its notch, by the unkindest line for steel, it lasts."
        return f"{sees}, and {want}: whether it lasts cannot be settled, the lines for steel differ too much."

    def ways() -> list[Way]:
        thicker = [size for size in SHAFTS if size > float(x.hub.shaft_diameter)]
        notches = NOTCHES[: NOTCHES.index(x.hub.shaft_notch)]
        look = (
            "Look at the shaft with a glass where it leaves its first bearing once a year, and renew it at any crack."
        )
        return [
            change("Use a shaft of {0}.", *ladder(Sheet.hub.shaft_diameter, thicker)),
            change("Have the shaft {0} at its first bearing.", *ladder(Sheet.hub.shaft_notch, notches)),
            act(Act.LOOK, look),
        ]

    return Judgement(level, says, ways, S, longest, "MPa", (longest - S) / longest, lambda: _shaft_lasts(x, found))


def _shaft_lasts(x: Inputs, found: _Worn) -> str:
    def told(S: Num, slope: Num) -> str:
        return life_words(float(found.years(x, S, slope)))

    return (
        f"Its notch ({x.hub.shaft_notch}) wears as {show(found.notched, 'MPa', 2)} would. By a straight line of slope "
        f"{show(found.slope, '', 2)} it lasts {told(found.notched, found.slope)}; by the slopes that are told, "
        f"{told(found.notched, found.worst)} to {told(found.beside, found.best)}. Life by such lines is known within a "
        "factor of tens, no better."
    )


# --- balance ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Balance:
    """The set as it should be fitted, what is left at a tip and what may be [kg], and the radius [m]."""

    fitted: FittedSet
    left: Num
    fine: Num
    most: Num
    R: Num


def _balance_of(x: Inputs) -> _Balance | Unknown:
    fitted = fitted_set(x)
    if isinstance(fitted, Unknown):
        return fitted
    beam = blade_beam(x) if blade_known(x) else Unknown("")
    if isinstance(beam, Unknown):
        return Unknown("What unbalance is permitted depends on the rotor's speed, which needs the shape of its blades")
    R, omega, whole = beam.turbine.R, beam.turbine.omega, rotor_mass(x, beam.root.masses)
    most = simple_loads.OFFSET_SHARE * whole
    return _Balance(fitted, fitted.left / R, matching.permitted(GRADE, omega, whole) / R, most, R)


def _balance(x: Inputs) -> Judgement | Unknown:
    found = _balance_of(x)
    if isinstance(found, Unknown):
        return found
    level = np.where(found.left > found.most, FAIL, np.where(found.left > found.fine, MARGINAL, OK))

    def says() -> str:
        out, fine = show(found.left, "g", 2), show(found.fine, "g", 2)
        head = f"Fitted in the order {', '.join(found.fitted.names)}, the set is out as if {out} sat at one tip"
        if found.left > found.most:
            most = show(found.most, "g", 2)
            return f"{head}; loads are reckoned with {most}, and balanced fans keep {fine}."
        if found.left > found.fine:
            return f"{head}; fans of such a speed are balanced to {fine}."
        return f"{head}, less than the {fine} to which fans of such a speed are balanced."

    def more() -> str:
        told = "; ".join(
            f"{n} {show(M, 'kg m', 3)}" for n, M in zip(found.fitted.names, found.fitted.moments, strict=True)
        )
        return (
            f"Mass times balance point: {told}. Weigh again after painting, and check that the tips run in one plane "
            "and at even angles: a rotor is out of balance by either as well."
        )

    return Judgement(
        level, says, lambda: [_trim(x, found)], found.left, found.most, "g", 1.0 - found.left / found.most, more
    )


def _trim(x: Inputs, found: _Balance) -> Way:
    """Which weight where: at the hub's bolts, so that the blades leave nothing together."""
    r = outermost_bolt(x) or round(float(found.R) / 3.0, 2)
    each = matching.weights(found.fitted.moments, r)
    told = [f"{show(w, 'g', 2)} to {name}" for name, w in zip(found.fitted.names, each, strict=True) if w > 1e-4]
    return act(
        Act.DO,
        f"Add {' and '.join(told)}, {show(r, 'mm', 3)} from the shaft, bolted under a blade's bolt, never "
        "strapped; weigh again.",
    )


_CASES = simple_loads.sources_of("B yaw rate", "B blade My", "C blade My", "E blade Fz", "H blade My, parked")
_FACTORS = (simple_loads.FACTORS, simple_loads.MATERIAL_FACTORS, simple_loads.LITTLE_KNOWN)
_SHAFT_CASES = simple_loads.sources_of(
    "A shaft M", "B shaft M", "B shaft M, two blades", "D shaft Fx", "E shaft M", "F shaft Mx", "H shaft Fx, turning"
)
RULES = (
    Rule(
        "hub.bolts",
        "Bolts that hold the blades",
        "hub",
        (
            Sheet.hub.bolts,
            Sheet.hub.bolt_diameter,
            Sheet.hub.bolt_spacing,
            Sheet.hub.end_distance,
            Sheet.hub.side_distance,
        ),
        _bolts,
        (
            *_CASES,
            *_FACTORS,
            Source("EN 1993-1-8, Table 3.4, bolts in shear and tension", "", "reproduction"),
            Source("EN 1995-1-1, eq. 8.32 and Table 8.4, bolts in timber", "", "from memory"),
            Source("Distances from end and edge in plastics, 2.5 to 3 diameters", "", "from memory"),
        ),
        LOST_BLADE,
        applies=blade_known,
    ),
    Rule(
        "hub.plate",
        "Bending of the hub plate",
        "hub",
        (Sheet.hub.plate_thickness, Sheet.hub.plate_width, Sheet.hub.plate_strength),
        _plate,
        (*_CASES, *_FACTORS, Source("Beam of rectangular section", "", "textbook")),
        LOST_BLADE,
        applies=lambda x: blade_known(x) and (x.given(Sheet.hub.plate_thickness) or x.given(Sheet.hub.plate_width)),
    ),
    Rule(
        "hub.shaft",
        "Stress in the shaft",
        "hub",
        (Sheet.hub.shaft_diameter, Sheet.hub.shaft_steel),
        _shaft,
        (*_SHAFT_CASES, *_FACTORS, Source("EN 10025 and EN ISO 683, yield of steels", "", "from memory")),
        LOST_BLADE,
        applies=lambda x: blade_known(x) and x.given(Sheet.hub.shaft_diameter),
    ),
    Rule(
        "hub.shaft-fatigue",
        "Fatigue of the shaft",
        "hub",
        (Sheet.hub.shaft_diameter, Sheet.hub.shaft_steel, Sheet.hub.shaft_years, Sheet.site.availability),
        _shaft_fatigue,
        (
            *simple_loads.sources_of("A shaft Fx", "A shaft Mx", "A shaft M"),
            simple_loads.LITTLE_KNOWN,
            Source("EN 10025 and EN ISO 683, strength of steels", "", "from memory"),
            Source("Slopes of stress against cycles, and factors of notches (Peterson)", "", "from memory"),
        ),
        LOST_BLADE,
        applies=lambda x: blade_known(x) and x.given(Sheet.hub.shaft_diameter),
    ),
    Rule(
        "hub.balance",
        "Balance of the set of blades",
        "hub",
        (Sheet.rotor.diameter, Sheet.rotor.blades),
        _balance,
        (
            Source("Vector sum of mass times radius"),
            Source("ISO 21940-11, grade G 16", "", "from memory"),
            Source("IEC 61400-2, offset of 0.005 R unless it is known", "", "from memory"),
            COMMON_PRACTICE,
        ),
        THROWN,
        applies=lambda x: len(x.labels(Sheet.weighed)) > 0,
    ),
)
