"""Whether the tail itself holds: its boom and its vane in the strongest gust, and what shakes them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import STEEL_TUBE
from calc.machine.entry import Entry, Value
from calc.machine.furling import tail_mass_arm
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import is_vertical
from calc.machine.site import AIR_NEEDS
from calc.machine.structure import TOP_NEEDS, design_winds, top_loads
from calc.machine.swinging import working_speeds
from calc.machine.tail_loads import Boom, Vane, boom_of, vane_of
from calc.physics.arrays import Array, Flags, largest
from calc.physics.structure import simple_loads
from calc.physics.structure.tube import STEEL, Tube, round_tube
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.reserves import DRAG, TUBES, WIND_FACTOR, by_reserve, newtons, reserve_words, times_as_much
from calc.rules.reserves import STEEL as RESERVE
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import Num, show

#: So near the speed at which it turns for most hours the rotor must not shake the boom; and so near the ends of its
#: working speeds a crossing counts as within. From memory, as for masts.
NEAR, ABOUT = 0.10, 0.15
#: Thicknesses in which sheet and plywood are sold. Common practice. [m]
SHEETS = (0.0015, 0.002, 0.003, 0.004, 0.005, 0.006, 0.008, 0.009, 0.010, 0.012, 0.015, 0.018, 0.021)
#: Shares to which ribs bring down how far a vane stands off. Own choice.
RIBBED = (0.67, 0.5, 0.33, 0.25)
#: So many next sizes are tried, from the first that is enough: a tail that is heavier yet would be another one.
FEW = 3
#: Width up to which a boom of any width may be replaced by a tube. Own choice. [m]
WIDE = 0.0889

GUST_ON_TAIL = simple_loads.sources_of("H part F", "B yaw rate")
SWUNG = Source("Head swinging over 45 degrees at the yaw rate of load case B", "", "own estimate")
FALLEN = Source("Energy of the falling tail, all of it bending the boom, M^2 L/(6 E I)", "textbook", "derived")
PLATE = Source("Plate held at one edge, 3 p (c/t)^2", "textbook", "derived")
MATERIALS = Source("Strengths of plywood, sheet and tube", "", "from memory")
SHAKEN = Source("Rayleigh's quotient of an arm with a mass at its end; a plain cantilever", "textbook", "derived")
APART = Source("Distance from a resonance: a tenth for certification, more for hand-built", "", "from memory")

TAIL_LOST = (
    "A tail that breaks off falls, and then nothing turns the rotor into the wind or out of a storm. Keep people out "
    "of the circle of the fall in a storm."
)


# --- boom -------------------------------------------------------------------------------------------------------------


def _boom(x: Inputs) -> Judgement | Unknown:
    of = boom_of(x)
    if isinstance(of, Unknown):
        return of
    eta = of.yields / of.worst
    level, margin = by_reserve(eta, RESERVE)
    level = np.where((level == OK) & (of.stopped > of.yields), MARGINAL, level)
    return Judgement(
        level,
        lambda: _boom_says(x, of, eta),
        lambda: _boom_ways(x, of, eta),
        eta,
        RESERVE.enough,
        "",
        margin,
        lambda: _boom_more(of),
    )


def _boom_says(x: Inputs, of: Boom, eta: Num) -> str:
    V = show(design_winds(x).V_e50, "m/s", 2)
    gone = reserve_words(eta, RESERVE, "it breaks before the gust is at its worst")
    text = (
        f"The tail's boom could take {times_as_much(eta)} what bends it in the strongest gust: {gone}. {V} square to "
        f"the vane push it with {newtons(of.force)}, {show(of.worst, 'Nm', 2)} at the hinge with its weight."
    )
    if of.stopped > of.yields:
        text += " Falling back against a hard stop it could bend out of shape."
    return text


def _boom_more(of: Boom) -> str:
    stop = f", falling back against a hard stop at most {show(of.stopped, 'Nm', 2)}" if np.any(of.stopped) else ""
    return (
        f"It gives way at {show(of.yields, 'Nm', 2)}. The wind bends it with {show(of.gust, 'Nm', 2)}, its weight with "
        f"{show(of.weight, 'Nm', 2)}, swinging with the head about {show(of.yawing, 'Nm', 2)}{stop}. In the gust the "
        f"vane moves aside by {show(of.gives, 'mm', 2)}. Welds and holes at the hinge are weaker and were left out."
    )


def _heavier(x: Inputs, dm: float, at: float) -> dict[Entry[Any], Value]:
    """Mass of the tail and where it balances, with a mass more [kg] at a distance from its hinge [m]."""
    m, r = float(x.tail.mass), float(tail_mass_arm(x))
    more: dict[Entry[Any], Value] = {Sheet.tail.mass: round(m + dm, 2)}
    if x.given(Sheet.tail.mass_arm):
        more[Sheet.tail.mass_arm] = round((m * r + dm * at) / (m + dm), 3)
    return more


def _tube(x: Inputs, of: Boom, d: float, w: float, rho: float) -> dict[Entry[Any], Value]:
    """Another tube for the boom, with what the tail then weighs."""
    more = (float(round_tube(d, w).A) * rho - float(of.tube.A) * float(of.rho)) * float(of.L)
    made: dict[Entry[Any], Value] = {Sheet.tail.boom_diameter: d, Sheet.tail.boom_wall: w}
    return made | _heavier(x, more, float(of.L) / 2.0)


def _sizes(of: Boom) -> list[tuple[float, float]]:
    D = float(of.tube.D)
    return [(d, w) for d, w in TUBES if 0.7 * D < d <= max(2.3 * D, WIDE) and w < d / 4.0]


def _tubes(x: Inputs, of: Boom, now: Num, counts: Callable[[Tube], Num], times: float = 1.02) -> Way:
    """Tubes as they are sold of which what counts is so many times what it is now, lightest first."""
    fit = [(d, w) for d, w in _sizes(of) if float(counts(round_tube(d, w))) > times * float(now)]
    tries = (_tube(x, of, d, w, float(of.rho)) for d, w in fit[:FEW])
    return change("Make the boom of tube {0} x {1}; the tail then weighs {2}.", *tries)


def _boom_ways(x: Inputs, of: Boom, eta: Num) -> list[Way]:
    rubber = [change("Let rubber or a spring catch the tail where it swings back.", {Sheet.tail.cushioned: True})]
    hits = rubber if np.all(of.stopped > of.yields) else []
    if eta >= RESERVE.good:
        return hits
    # What is far too weak skips the sizes that are too weak as well.
    times = max(1.02, RESERVE.enough / float(np.asarray(eta)))
    ways = [_tubes(x, of, of.tube.W_pl, lambda tube: tube.W_pl, times)]
    if x.tail.boom_material != STEEL_TUBE and not x.given(Sheet.tail.boom_strength):
        steel = ({Sheet.tail.boom_material: STEEL_TUBE} | _tube(x, of, d, w, STEEL) for d, w in _sizes(of)[:FEW])
        ways.append(change("Make the boom of {0} tube {1} x {2}; the tail then weighs {3}.", *steel))
    look = act(Act.LOOK, "Look at the boom, its weld and its hinge for bends and cracks after each storm.")
    return [*ways, *hits, look]


# --- vane -------------------------------------------------------------------------------------------------------------


def _vane(x: Inputs) -> Judgement | Unknown:
    of = vane_of(x)
    if isinstance(of, Unknown):
        return of
    eta = of.strength / of.stress
    level, margin = by_reserve(eta, RESERVE)
    level = np.minimum(level, FAIL)

    def says() -> str:
        V = show(design_winds(x).V_e50, "m/s", 2)
        gone = reserve_words(eta, RESERVE, "it breaks off there")
        return (
            f"The tail's vane could take {times_as_much(eta)} what bends it in the strongest gust: {gone}. {V} square "
            f"to it put {show(of.stress, 'MPa', 2)} on it where it is held, {show(of.free, 'mm', 2)} from its edge."
        )

    def more() -> str:
        return (
            f"It takes about {show(of.strength, 'MPa', 2)}; the gust presses with {show(of.pressure, 'Pa', 2)}. Wet or "
            "rotten plywood takes half. Bolts need wide washers: what holds a vane tears out first."
        )

    return Judgement(level, says, lambda: _vane_ways(x, of), eta, RESERVE.enough, "", margin, more)


def _thicker(x: Inputs, of: Vane) -> Way:
    t, A = float(of.t), float(x.tail.area)
    heavy = x.given(Sheet.tail.mass) and x.given(Sheet.tail.arm)

    def sheet(s: float) -> Try:
        dm = A * (s - t) * of.of.density
        return {Sheet.tail.vane_thickness: s, **(_heavier(x, dm, float(x.tail.arm)) if heavy else {})}

    return change("Make the vane {0} thick.", *[sheet(s) for s in SHEETS if s > 1.02 * t][:FEW])


def _ribs(of: Vane) -> Way:
    free = [round(float(of.free) * share, 2) for share in RIBBED]
    return change("Put ribs across the vane, no edge more than {0} from one.", *ladder(Sheet.tail.vane_free, free))


def _vane_ways(x: Inputs, of: Vane) -> list[Way]:
    return [_ribs(of), _thicker(x, of), act(Act.LOOK, "Look for cracks at the vane's bolts after each storm.")]


# --- what shakes it ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Shaken:
    """What of the tail swings, each at its frequency [Hz], and the rotor's blades and working speeds [rad/s]."""

    boom: Boom | Unknown | None
    vane: Vane | Unknown | None
    parts: dict[str, Num]
    B: Num
    low: Num
    usual: Num
    high: Num

    def hits(self) -> list[tuple[str, str, Array, Flags]]:
        """Part, how it is shaken, the speed that does it [rad/s], and whether the rotor works near that."""
        found = []
        for name, f in self.parts.items():
            for how, k in (("once a turn", 1.0), ("by each blade", self.B)):
                w = 2.0 * math.pi * np.asarray(f) / k
                near = (w > (1.0 - ABOUT) * np.asarray(self.low)) & (w < (1.0 + ABOUT) * np.asarray(self.high))
                found.append((name, how, w, near))
        return found

    def away(self) -> Num:
        """How far the usual speed lies from one that shakes a part once a turn, as a share of it."""
        usual = np.asarray(self.usual, dtype=float)
        # Once a turn an unbalanced rotor shakes the whole head; each blade's passing only beats the air on the vane.
        once = [w for _, how, w, _ in self.hits() if how == "once a turn"]
        each = [np.where(usual > 0, np.abs(w / np.where(usual > 0, usual, 1.0) - 1.0), 1.0) for w in once]
        return -largest([-np.minimum(share, 1.0) for share in each])


def _shaken_of(x: Inputs) -> _Shaken | Unknown:
    boom = boom_of(x) if x.given(Sheet.tail.boom_diameter) and not x.lacks(*BOOM) else None
    vane = vane_of(x) if x.given(Sheet.tail.vane_thickness) else None
    parts: dict[str, Num] = {}
    if isinstance(boom, Boom):
        parts["boom"] = boom.frequency(x.tail.mass)
    if isinstance(vane, Vane):
        parts["vane"] = vane.frequency
    if parts:
        top = top_loads(x)
        if isinstance(top, Unknown):
            return top
        return _Shaken(boom, vane, parts, x.rotor.blades, *working_speeds(x, top.greatest))
    return next((of for of in (boom, vane) if isinstance(of, Unknown)), Unknown("", x.lacks(*BOOM)))


def _shaken(x: Inputs) -> Judgement | Unknown:
    of = _shaken_of(x)
    if isinstance(of, Unknown):
        return of
    away = of.away()
    crossed = largest([near.astype(float) for *_, near in of.hits()]) > 0
    level = np.where(away < NEAR, FAIL, np.where(crossed, MARGINAL, OK))
    return Judgement(
        level,
        lambda: _shaken_says(of, int(level)),
        lambda: _shaken_ways(x, of),
        away,
        NEAR,
        "%",
        away / NEAR - 1.0,
        lambda: "Both as if clamped; play in the hinge makes the boom slower. Air damps them, welds and bolts hardly.",
    )


def _shaken_says(of: _Shaken, level: int) -> str:
    told = " and ".join(f"the tail's {name} swings at {show(f, 'Hz', 2)}" for name, f in of.parts.items())
    low, usual, high = (show(w, "rpm", 2) for w in (of.low, of.usual, of.high))
    head = f"By itself {told}"
    if level == OK:
        return f"{head}: the rotor, which works at {low} to {high}, shakes it neither once a turn nor with its blades."
    hits = [f"the {name} {how} at {show(w, 'rpm', 2)}" for name, how, w, near in of.hits() if np.all(near)]
    end = f", where it turns for most hours ({usual})" if level == FAIL else f", and works at {low} to {high}"
    return f"{head}. The rotor shakes {' and '.join(hits)}{end}."


def _shaken_ways(x: Inputs, of: _Shaken) -> list[Way]:
    met = {name for name, *_, near in of.hits() if np.all(near)}
    ways: list[Way] = []
    if isinstance(of.vane, Vane) and "vane" in met:
        ways += [_ribs(of.vane), _thicker(x, of.vane)]
    if isinstance(of.boom, Boom) and "boom" in met:
        ways.append(_tubes(x, of.boom, of.boom.tube.I, lambda tube: tube.I))
    watch = "Watch the tail from well aside at these speeds; where it shakes, stay it with a wire or a rib."
    return [*ways, act(Act.LOOK, watch)]


BOOM = (Sheet.tail.area, Sheet.tail.arm, Sheet.tail.mass, Sheet.tail.boom_diameter, Sheet.tail.boom_wall)


def _begun(*entries: Entry[Any]) -> Any:
    return lambda x: not is_vertical(x) and any(x.given(entry) for entry in entries)


RULES = (
    Rule(
        "tail.boom",
        "Strength of the tail's boom",
        "tail",
        (*BOOM, Sheet.rotor.diameter, Sheet.site.storm_wind, *AIR_NEEDS),
        _boom,
        (*GUST_ON_TAIL, DRAG, SWUNG, FALLEN, WIND_FACTOR, simple_loads.FACTORS, MATERIALS),
        TAIL_LOST,
        applies=_begun(Sheet.tail.boom_diameter, Sheet.tail.boom_wall),
    ),
    Rule(
        "tail.vane",
        "Strength of the tail's vane",
        "tail",
        (Sheet.tail.area, Sheet.tail.vane_thickness, Sheet.site.storm_wind, *AIR_NEEDS),
        _vane,
        (*simple_loads.sources_of("H part F"), PLATE, WIND_FACTOR, simple_loads.FACTORS, MATERIALS),
        TAIL_LOST,
        applies=_begun(Sheet.tail.vane_thickness),
    ),
    Rule(
        "tail.resonance",
        "What shakes boom and vane",
        "tail",
        (Sheet.tail.area, *TOP_NEEDS),
        _shaken,
        (SHAKEN, APART, COMMON_PRACTICE, MATERIALS),
        applies=_begun(Sheet.tail.boom_diameter, Sheet.tail.vane_thickness),
    ),
)
