"""Blades from root to tip: what they see in each load case, how far they bend, how they swing."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calc.finding import Act, Source
from calc.machine.blade_beam import LOST, BladeBeam, Seen, blade_beam
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.tail import DOWNWIND
from calc.machine.inputs import Inputs, Unknown
from calc.machine.root_load import kindest_strength
from calc.machine.site import HUB_NEEDS, hub_wind
from calc.machine.solving import nothing_limits
from calc.machine.storm import unloaded_held, unloaded_in_storm
from calc.machine.structure import Winds, design_winds, unfit_for_simple_loads
from calc.physics import wind
from calc.physics.arrays import largest
from calc.physics.blade.loads import LARGEST_AREA
from calc.physics.structure import simple_loads
from calc.rules.blade_kits import BLADE_NEEDS, blade_known, stronger_blades
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.kits import held_earlier
from calc.rules.phrases import THROWN
from calc.rules.sources import BLADE_PULL, GUST, PVC, SECTION_TABLE, WOODEN
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, show

#: Share of the way to the mast that a tip may bend before it is called near. Own choice, no source.
NEAR = 0.5
#: How near a natural frequency may come to a multiple of the rotor's speed: 10 % is certification practice, 15 to 20 %
#: are kept where the frequency is only computed; from memory.
APART = 0.15
#: How much further out a rotor may be set, and at most, as a share of its radius: further out it turns away from the
#: wind too hard. Own choice, no source.
FURTHER, MOST_OUT = (1.1, 1.2, 1.35, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0, 6.0), 0.45
#: What is left where no change will do.
_LOOK = "Look over every blade from root to tip after a storm, and bend it by hand."
#: Multiples of the rotor's speed at which a blade is shaken.
MULTIPLES = (1.0, 2.0, 3.0)
#: Half the radius of a mast that is not on the sheet. [m]
USUAL_TUBE = 0.06

# --- wind class and the limits of the equations -----------------------------------------------------------------------


def _limits(x: Inputs) -> Judgement | Unknown:
    if unfit := unfit_for_simple_loads(x) or _too_high_a_voltage(x):
        return unfit
    name = x.maybe(Sheet.site.wind_class)
    if name is not None:
        return _class(x, name)
    area = wind.swept_area(x.rotor.diameter)
    level, margin = at_most(area, LARGEST_AREA)
    return Judgement(
        level,
        lambda: _within(x, area),
        value=area,
        limit=LARGEST_AREA,
        unit="m2",
        margin=margin,
        more=lambda: _winds(design_winds(x)),
    )


def _too_high_a_voltage(x: Inputs) -> Unknown | None:
    free = unloaded_in_storm(x) if nothing_limits(x) else unloaded_held(x)
    if free is None:
        return None
    over = np.asarray((free.between_leads > simple_loads.AC_LIMIT) | (free.mean > simple_loads.DC_LIMIT))
    why = "IEC 61400-2 is for machines below 1000 V AC or 1500 V DC, and this one can give more with its load lost"
    return Unknown(why, impossible=over if over.ndim else None) if np.any(over) else None


def _class(x: Inputs, name: str) -> Judgement:
    """The site's own winds against those of the class."""
    c = simple_loads.CLASSES[name]
    mean = Unknown("") if x.lacks(*HUB_NEEDS) else hub_wind(x)
    most = 0.0 if isinstance(mean, Unknown) else mean / c.V_ave
    storm = x.site.storm_wind / c.V_ref if x.given(Sheet.site.storm_wind) else 0.0
    worst = np.maximum(most, storm)
    if not np.any(worst):
        said = f"Class {name} is named, and nothing was compared: the sheet does not say how the wind is here."
        return Judgement(OK, lambda: said)
    of_storm = np.greater(storm, most)
    limit = np.where(of_storm, c.V_ref, c.V_ave)

    def says() -> str:
        what = "storm" if of_storm else "mean wind at the rotor"
        verdict = "the machine is reckoned for less than it will meet" if worst > 1.0 else "the class covers it"
        return f"The {what} is {show(worst * limit, 'm/s')}, and class {name} is for {show(limit, 'm/s')}: {verdict}."

    def ways() -> list[Way]:
        names = [n for n in ("III", "II", "I") if simple_loads.CLASSES[n].V_ref > c.V_ref]
        return [change("Reckon it for class {0}.", *ladder(Sheet.site.wind_class, names))]

    level = np.where(worst > 1.0, FAIL, OK)
    return Judgement(level, says, ways, worst * limit, limit, "m/s", 1.0 - worst, lambda: _winds(design_winds(x)))


def _winds(w: Winds) -> str:
    return (
        f"Winds of the loads: storm {show(w.V_ref, 'm/s')}, gust of fifty years {show(w.V_e50, 'm/s')}, gust of a year "
        f"{show(w.V_e1, 'm/s')} (from memory), mean {show(w.V_ave, 'm/s')}, design {show(w.V_design, 'm/s')}."
    )


def _within(x: Inputs, area: Num) -> str:
    winds = design_winds(x)
    return (
        f"The rotor sweeps {show(area, 'm2', 2)}, and the simplified load equations hold up to "
        f"{show(LARGEST_AREA, 'm2')}. No class is named: they are worked with the storm of "
        f"{show(winds.V_ref, 'm/s')} and the gust of {show(winds.V_e50, 'm/s')} on the sheet."
    )


# --- stress all along -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Stressed:
    """Greatest stresses [Pa] of the standard's cases, as the blade bends and as a rigid one, and with the load lost."""

    beam: BladeBeam
    soft: Num
    rigid: Num
    lost: Num
    factor: float
    at_best: Num

    @property
    def strength(self) -> Num:
        return self.beam.root.strength

    @property
    def withstands(self) -> str:
        """What the material withstands, as a range where it is wide."""
        least, most = self.strength, self.at_best
        low, high = show(least, "MPa", 2), show(most, "MPa", 2)
        return f"{self.beam.root.material.name} withstands {low}" + (f" to {high}" if most > 1.1 * least else "")

    @property
    def worst(self) -> Seen:
        """The case of the standard that asks most of the blade as it bends."""
        return max(_standard(self.beam), key=lambda seen: float(np.max(seen.soft)))


def _standard(beam: BladeBeam) -> list[Seen]:
    return [seen for seen in beam.seen if seen.case != LOST]


def _stressed(x: Inputs) -> _Stressed | Unknown:
    beam = blade_beam(x)
    if isinstance(beam, Unknown):
        return beam
    cases = _standard(beam)
    soft = largest([np.max(seen.soft, axis=-1) for seen in cases])
    rigid = largest([np.max(seen.rigid, axis=-1) for seen in cases])
    lost = next(np.max(seen.soft, axis=-1) for seen in beam.seen if seen.case == LOST)
    known = x.given(Sheet.blade.strength)
    material = simple_loads.MATERIAL_KNOWN if known else simple_loads.MATERIAL_LITTLE
    of = beam.root
    return _Stressed(beam, soft, rigid, lost, simple_loads.LOAD_ULTIMATE * material, kindest_strength(x, of))


def _stress(x: Inputs) -> Judgement | Unknown:
    found = _stressed(x)
    if isinstance(found, Unknown):
        return found
    best, worst = found.at_best, DANGER if nothing_limits(x) else FAIL
    asks = np.maximum(np.maximum(found.soft, found.rigid) * found.factor, found.lost)
    level = np.where(found.soft > best, worst, np.where(asks > found.strength, MARGINAL, OK))
    margin = (best - found.soft) / best
    return Judgement(
        level,
        lambda: _stress_says(found),
        lambda: [
            *held_earlier(x),
            *stronger_blades(x),
            act(Act.LOOK, "Look over every blade from root to tip after a storm, and bend it by hand."),
        ],
        found.soft,
        best,
        "MPa",
        margin,
        lambda: _stress_more(found),
    )


_CASE_WORDS = {
    "B": "yawing, load case B",
    "C": "a gust from aside, load case C",
    "E": "greatest speed, load case E",
    "F": "short circuit, load case F",
    "G": "braking, load case G",
    "H parked": "stopped in the strongest gust, load case H",
    "H turning": "turning in the strongest gust, load case H",
}


def _stress_says(found: _Stressed) -> str:
    seen = found.worst
    r = found.beam.places()[..., int(np.argmax(seen.soft))]
    sees, takes = f"{show(found.soft, 'MPa', 2)} ({_CASE_WORDS[seen.case]})", found.withstands
    where = f" It is worst {show(r, 'mm', 2)} from the shaft."
    if found.soft > found.at_best:
        return f"The blade breaks: it sees {sees}, and {takes}.{where}"
    head = f"In the standard's cases the blade sees at most {sees}, and {takes}"
    if found.lost > found.strength:
        # That the load may be lost matters more than where it is worst.
        lost = show(found.lost, "MPa", 2)
        where = f" With the load lost while it yaws it would see {lost}, an upper figure: no standard case asks it."
    if found.soft > found.strength:
        return f"{head}: whether it holds depends on the piece.{where}"
    reserve = f"the reserve of IEC 61400-2, {found.factor:.2g} times"
    if np.maximum(found.soft, found.rigid) * found.factor > found.strength:
        return f"{head}: it holds, without {reserve}.{where}"
    return f"{head}: it keeps {reserve}.{where}"


def _stress_more(found: _Stressed) -> str:
    each = []
    for seen in found.beam.seen:
        rigid, soft = (show(float(np.max(S)), "MPa", 2) for S in (seen.rigid, seen.soft))
        each.append(f"{seen.case} {rigid} rigid, {soft} as it bends")
    return (
        f"Case by case: {'; '.join(each)}. Bolt holes are left out here. What swings with the rotor is counted with "
        "the blade's own frequency, without damping by the air."
    )


# --- the tips and the mast --------------------------------------------------------------------------------------------


def _clearance(x: Inputs) -> Judgement | Unknown:
    beam = blade_beam(x)
    if isinstance(beam, Unknown):
        return beam
    tube = x.else_assume(Sheet.mast.tube_diameter, USUAL_TUBE, "a scaffold or water pipe; common practice", 1.5)
    room = np.maximum(beam.turbine.L_rt - tube / 2.0, 1e-3)
    behind = x.maybe(Sheet.yaw.rotor_side) == DOWNWIND
    # Behind the mast thrust bends them away from it; what yawing bends to and fro, and a gust on a stopped rotor that
    # has not yet turned, bend them towards it.
    turning = largest([seen.back if behind else seen.tip for seen in beam.seen if np.any(seen.omega)])
    parked = largest([seen.tip for seen in beam.seen if not np.any(seen.omega)])
    most = np.maximum(turning, parked)
    level = np.select([turning > room, parked > room, turning > NEAR * room], [DANGER, FAIL, MARGINAL], OK)

    def says() -> str:
        away = f"towards the mast, which is {show(room, 'mm', 2)} away"
        how, far = "As the head yaws" if behind else "Turning", show(turning, "mm", 2)
        first = f"{how}, the tips bend {far} {away}"
        bent = f"in the strongest gust{' from behind' * behind}, {{}} bend {show(parked, 'mm', 2)}"
        stopped = f"Stopped {bent.format('they')}"
        if turning > room:
            return f"{first}: they strike it. {stopped}."
        if parked > room:
            return f"Stopped {bent.format('the tips')} {away}: they strike it. {how}, they bend {far}."
        return f"{first}. {stopped}." if turning <= NEAR * room else f"{first}: more than half the way. {stopped}."

    def more() -> str:
        case = max((s for s in beam.seen if np.any(s.omega)), key=lambda s: float(s.back if behind else s.tip))
        where = "with the load lost while it yaws" if case.case == LOST else f"in {_CASE_WORDS[case.case]}"
        return f"They bend most {where}, at {show(case.omega, 'rpm', 2)}. Tilt and coning are not counted."

    def ways() -> list[Way]:
        now, R = float(beam.turbine.L_rt), float(beam.turbine.R)
        arms = [round(now * share, 2) for share in FURTHER if now * share <= MOST_OUT * R]
        further = change(
            "Set the rotor further out, its centre {0} from the yaw axis.", *ladder(Sheet.rotor.overhang, arms)
        )
        return [further, *stronger_blades(x), *held_earlier(x)]

    return Judgement(level, says, ways, most, room, "mm", (room - most) / room, more)


# --- natural frequency ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Swings:
    """Frequencies at rest and at greatest speed [Hz], and speeds [turns/s] at which multiples meet them."""

    rest: Num
    fast: Num
    top: Num
    design: Num
    meets: tuple[Num, ...]


def _swings(beam: BladeBeam) -> _Swings:
    top = np.asarray(beam.turbine.omega_max) / (2.0 * math.pi)
    rest, fast = beam.frequency(0.0), beam.frequency(beam.turbine.omega_max)
    stiffening = (np.square(fast) - np.square(rest)) / np.square(top)
    meets = []
    for k in MULTIPLES:
        left = k**2 - stiffening
        meets.append(np.where(left > 0, rest / np.sqrt(np.where(left > 0, left, 1.0)), np.inf))
    return _Swings(rest, fast, top, np.asarray(beam.turbine.omega) / (2.0 * math.pi), tuple(meets))


def _resonance(x: Inputs) -> Judgement | Unknown:
    beam = blade_beam(x)
    if isinstance(beam, Unknown):
        return beam
    found = _swings(beam)
    # In the air a blade's flapping is damped well: what it meets in passing shakes it, where it stays wears it out.
    apart = [np.abs(meets / found.design - 1.0) for meets in found.meets]
    nearest = np.minimum(np.minimum(apart[0], apart[1]), apart[2])
    far = np.minimum(nearest, 9.99)
    level = np.where(nearest < APART, MARGINAL, OK)

    def says() -> str:
        works = f"where it works most, at {show(2.0 * math.pi * found.design, 'rpm', 2)}"
        swings = f"A blade swings at {show(found.rest, 'Hz', 2)} at rest and {show(found.fast, 'Hz', 2)} at full speed"
        if nearest >= APART:
            return f"{swings}: no multiple of the rotor's speed up to three comes within {show(APART, '%')} {works}."
        k = int(np.argmin([float(a) for a in apart])) + 1
        return f"{swings}: {k} times the rotor's speed comes within {show(far, '%', 2)} of it {works}."

    def more() -> str:
        hits = [(k, m) for k, m in zip((1, 2, 3), found.meets, strict=True) if m <= found.top]
        told = " and ".join(f"{k} times at {show(2.0 * math.pi * m, 'rpm', 2)}" for k, m in hits)
        passes = f"On its way up the rotor's speed meets it {told}. " if hits else ""
        return f"{passes}Out of the plane of the rotor, clamped at the root; a soft hub makes it lower."

    def ways() -> list[Way]:
        speed = show(2.0 * math.pi * found.design, "rpm", 2)
        watch = f"Watch and listen at {speed}, from well aside; where the tips shake, do not let it run there."
        return [*stronger_blades(x), act(Act.LOOK, watch)]

    return Judgement(level, says, ways, far, APART, "%", far / APART - 1.0, more)


_CASES = simple_loads.sources_of(
    "B yaw rate",
    "B blade My",
    "C blade My",
    "E blade Fz",
    "F blade Mx",
    "G blade Mx",
    "H blade My, parked",
    "H blade My, turning",
)
_BEAM = Source(
    "Beam that turns, as a chain of stiff links with springs", "checked against closed forms", "own computation"
)
RULES = (
    Rule(
        "loads.limits",
        "Wind class, and how far the load equations carry",
        "rotor",
        (Sheet.rotor.diameter, Sheet.rotor.blades, Sheet.site.storm_wind),
        _limits,
        (*simple_loads.LIMITS, GUST),
    ),
    Rule(
        "blade.stress",
        "Stress along the blades",
        "blade",
        BLADE_NEEDS,
        _stress,
        (
            *_CASES,
            simple_loads.FACTORS,
            simple_loads.MATERIAL_FACTORS,
            simple_loads.LITTLE_KNOWN,
            BLADE_PULL,
            PVC,
            WOODEN,
            SECTION_TABLE,
            _BEAM,
        ),
        THROWN,
        applies=blade_known,
    ),
    Rule(
        "blade.tip-clearance",
        "Tips and mast",
        "blade",
        BLADE_NEEDS,
        _clearance,
        (*_CASES, _BEAM, SECTION_TABLE),
        "A blade that strikes the mast breaks, the rotor shakes itself off, and pieces fly. Keep out of its reach.",
        applies=blade_known,
    ),
    Rule(
        "blade.resonance",
        "Natural frequency of a blade",
        "blade",
        BLADE_NEEDS,
        _resonance,
        (_BEAM, Source("Distance of a natural frequency from multiples of the speed, 10 to 20 %", "", "from memory")),
        applies=blade_known,
    ),
)
