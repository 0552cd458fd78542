"""The rotor of a sheet: from the shape of its blades, or as a simple curve."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from calc.machine.blade_root import ARC, STATION, Root, carved_root, pipe_root
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import TYPED_SECTION, VERTICAL
from calc.machine.entry import Entry
from calc.machine.inputs import CannotTellError, Inputs, Unknown
from calc.machine.site import AIR_NEEDS, air_viscosity
from calc.physics import balance, blade, polar, rotor
from calc.physics.arrays import Array, refuse_if
from calc.physics.remembered import remembered
from calc.units import Num

#: Winds at which the rotor is computed; closest where it matters most that blades lift less in lighter winds. Beside 18
#: winds they give power within 2 % in 9 of 10 random machines and winds, and so the wind in which charging begins.
#: Samples of the doubts are computed at three of the same, so that the sheet's own figures lie among theirs. [m/s]
CURVE_WINDS = np.array([2.5, 4.0, 6.5, 10.0, 16.0, 25.0])
SAMPLED_WINDS = CURVE_WINDS[[0, 3, 5]]
#: Wind at which a rotor's best point is told, or the nearest that was computed. [m/s]
BEST_WIND = 10.0
#: Tip-speed ratios and stations of the rotor's curves, for the sheet and for samples of its doubts. Beside 120 ratios
#: and 40 stations the first give power within 1 % where blades run and torque within 3 % where they stall, in 9 of 10
#: random pipe blades; the second within 5 % and 7 %, far less than the doubts (``tests/calc/test_doubt.py``).
FINE = np.concatenate([[0.5], np.arange(1.0, 6.1, 0.25), np.arange(6.5, 10.1, 0.5), [11.0, 12.0, 14.0, 17.0]]), 20
COARSE = np.concatenate([[0.5], np.arange(1.0, 10.1, 0.5), [11.0, 12.0, 14.0, 17.0]]), 12
#: Share of the rotor's radius at which blades usually begin. Common practice, no source.
ROOT_SHARE = 0.12
#: Blades carved or moulded to a proper section, where their shape is not on the sheet: from memory.
CARVED = ("wood", "glass-fibre")
CARVED_RATIO, CARVED_FREE, CARVED_POWER = (6.0, 1.2), (9.6, 1.25), (0.35, 1.15)
#: Power coefficient below which a rotor is said to give no power.
LEAST_POWER = 0.02

#: From the rotor's centre to the yaw axis, as a share of its radius: 0.22 on a published machine of 500 W.
OVERHANG = 0.2

#: What is said of all that would need a vertical-axis rotor to be computed.
NOT_VERTICAL = (
    "A vertical-axis rotor is not computed, nor what follows from its speed and power; its sheet, parts, trials and "
    "readings can be kept all the same, and battery, wiring, fuses, inverter and house are checked as for any machine"
)


@dataclass(frozen=True, slots=True)
class RotorCurves:
    """A rotor's curves, and what its blades weigh where their shape is known.

    Parameters
    ----------
    winds : array, shape (levels,)
        Winds of the curves. [m/s]
    tsr : array, shape (ratios,)
        Even tip-speed ratios from zero.
    cq : array, shape (..., levels, ratios)
        Torque coefficient.
    masses, root : Masses, RootSection, PlainRoot, or None
        Of one blade, where the sheet tells its shape.
    starts : bool
        Whether the torque at rest is known.
    ratios, cm, ct : array, shape (solved,) and (..., levels, solved), or None
        Tip-speed ratios that were solved, the bending coefficient of one blade's root at each, and that of thrust.
    shape, section : Blade, Section, or None
        What the curves were computed from; without a section the blade is a bent plate.
    """

    winds: Array
    tsr: Array
    cq: Array
    masses: blade.Masses | None = None
    root: Root | None = None
    starts: bool = True
    ratios: Array | None = None
    cm: Array | None = None
    ct: Array | None = None
    shape: blade.Blade | None = None
    section: polar.Section | None = None

    def best(self) -> tuple[Array, Array]:
        """Tip-speed ratio and power coefficient of the best point at :data:`BEST_WIND`, shape (...,)."""
        cp = self.cq[..., int(np.argmin(np.abs(self.winds - BEST_WIND))), :] * self.tsr
        at = np.argmax(cp, axis=-1)
        tsr = np.asarray(np.maximum(self.tsr[at], self.tsr[1]))
        return tsr, np.asarray(np.take_along_axis(cp, np.asarray(at)[..., None], axis=-1)[..., 0])

    def free(self, V: Num) -> Num:
        """Tip-speed ratio at which it drives nothing, bearings neglected, shape (...,)."""
        level = np.interp(np.log(V), np.log(self.winds), np.arange(len(self.winds)))
        low = np.clip(np.floor(level).astype(int), 0, max(len(self.winds) - 2, 0))
        shape = np.broadcast_shapes(np.shape(low), self.cq.shape[:-2])
        cq = np.broadcast_to(self.cq, (*shape, *self.cq.shape[-2:]))
        rows = np.indices(shape, sparse=True) if shape else ()
        up = np.asarray(level - low)[..., None]
        one = cq[(*rows, low)] * (1 - up) + cq[(*rows, np.minimum(low + 1, len(self.winds) - 1))] * up
        falls = (one[..., :-1] > 0) & (one[..., 1:] <= 0)
        last = (falls.shape[-1] - 1 - np.argmax(falls[..., ::-1], axis=-1))[..., None]
        a, b = (np.take_along_axis(one, last + i, axis=-1)[..., 0] for i in (0, 1))
        ratio = self.tsr[last[..., 0]] + self.tsr[1] * a / np.where(a > b, a - b, 1.0)
        return np.asarray(np.where(falls.any(axis=-1), ratio, self.tsr[1]))

    def bending(self, V: Num, tsr: Num) -> Array:
        """Bending coefficient of one blade's root at a wind and tip-speed ratio, shape (...,)."""
        assert self.cm is not None, "a rotor without shape has no roots to bend"
        return self._at(self.cm, V, tsr)

    def thrust(self, V: Num, tsr: Num) -> Array:
        """Thrust coefficient at a wind and tip-speed ratio, shape (...,) or, with a last axis for winds, (..., m)."""
        assert self.ct is not None, "a rotor without shape has no thrust"
        several = np.ndim(V) > self.ct.ndim - 2
        return self._at(self.ct[..., None, :, :] if several else self.ct, V, tsr)

    def _at(self, cm: Array, V: Num, tsr: Num) -> Array:
        """A coefficient at a wind and tip-speed ratio."""
        assert self.ratios is not None
        level = np.interp(np.log(V), np.log(self.winds), np.arange(len(self.winds)))
        low = np.minimum(np.floor(level).astype(int), len(self.winds) - 2)
        place = np.interp(tsr, self.ratios, np.arange(len(self.ratios)))
        left = np.minimum(np.floor(place).astype(int), len(self.ratios) - 2)
        up, right = level - low, place - left
        shape = np.broadcast_shapes(np.shape(low), np.shape(left), cm.shape[:-2])
        cm = np.broadcast_to(cm, (*shape, *cm.shape[-2:]))
        rows = np.indices(shape, sparse=True) if shape else ()
        corner = {(i, j): cm[(*rows, low + i, left + j)] for i in (0, 1) for j in (0, 1)}
        below = corner[0, 0] * (1 - right) + corner[0, 1] * right
        above = corner[1, 0] * (1 - right) + corner[1, 1] * right
        return np.asarray(below * (1 - up) + above * up)


def is_vertical(x: Inputs) -> bool:
    """Whether the sheet says that the rotor's axis stands upright."""
    return x.maybe(Sheet.rotor.axis) == VERTICAL


def refuse_vertical(x: Inputs) -> None:
    """Refuse to tell what holds for rotors with a horizontal axis only.

    Raises
    ------
    CannotTellError
        If the axis stands upright.
    """
    if is_vertical(x):
        raise CannotTellError(Unknown(NOT_VERTICAL))


def rotor_of(x: Inputs) -> RotorCurves | Unknown:
    """The rotor of a sheet: from the shape of its blades, or as a simple curve; computed once for all rules."""
    return x.shared("rotor", _rotor)


def free_ratio(x: Inputs, V: Num) -> Num:
    """Tip-speed ratio in a wind with nothing connected: computed from the blades, or from the sheet."""
    refuse_vertical(x)
    curves = None if x.given(Sheet.rotor.free_tip_speed_ratio) else curves_from_shape(x)
    return free_assumed(x) if curves is None else curves.free(V)


def curves_from_shape(x: Inputs) -> RotorCurves | None:
    """The rotor computed from the shape of its blades; None where the sheet does not give enough for that."""
    if any(x.maybe(path) is None for path in (Sheet.rotor.diameter, Sheet.rotor.blades, *AIR_NEEDS)):
        return None
    curves = rotor_of(x)
    return curves if isinstance(curves, RotorCurves) and curves.starts else None


def is_carved(x: Inputs) -> bool:
    """Whether the blades are said to be carved or moulded, so that what holds for pipe does not hold for them."""
    return x.maybe(Sheet.blade.material) in CARVED


def _assumed(x: Inputs, entry: Entry[Num], usual: tuple[float, float], why: str) -> Num:
    return x.else_assume(entry, usual[0], why, usual[1]) if is_carved(x) else x.need(entry)


def working_ratio(x: Inputs) -> Num:
    """Tip-speed ratio at which the rotor works best: computed from the blades, else as stated or assumed."""
    refuse_vertical(x)
    curves = None if x.given(Sheet.rotor.tip_speed_ratio) else curves_from_shape(x)
    return ratio_assumed(x) if curves is None else curves.best()[0]


def ratio_assumed(x: Inputs) -> Num:
    """Working tip-speed ratio as stated, else as usual for the kind of blade."""
    return _assumed(x, Sheet.rotor.tip_speed_ratio, CARVED_RATIO, "three carved blades; from memory")


def free_assumed(x: Inputs) -> Num:
    """Tip-speed ratio with nothing connected as stated, else as usual for the kind of blade."""
    return _assumed(
        x, Sheet.rotor.free_tip_speed_ratio, CARVED_FREE, "about 1.6 times the working value; common practice"
    )


def power_assumed(x: Inputs) -> Num:
    """Share of the wind's power as stated, else as usual for the kind of blade."""
    return _assumed(
        x,
        Sheet.rotor.power_coefficient,
        CARVED_POWER,
        "carved blades of a proper section take 0.30 to 0.40; from memory",
    )


def power_share(x: Inputs) -> tuple[Num, str]:
    """Share of the wind's power that the rotor takes at its best, and in a word or two how that is known."""
    refuse_vertical(x)
    curves = None if x.given(Sheet.rotor.power_coefficient) else curves_from_shape(x)
    if curves is not None:
        # A rotor that drives nothing would be divided by; a millionth is as little to whoever reads it.
        return np.maximum(curves.best()[1], 1e-6), "computed from its blades"
    return power_assumed(x), "as the sheet states" if x.given(Sheet.rotor.power_coefficient) else "assumed"


def overhang(x: Inputs) -> Num:
    """From the rotor's centre to the yaw axis, in [m]."""
    usual = OVERHANG * x.rotor.diameter / 2.0
    return x.else_assume(Sheet.rotor.overhang, usual, "a fifth of the radius; as a published one", 1.5)


def _rotor(x: Inputs) -> RotorCurves | Unknown:
    if is_vertical(x):
        return Unknown(NOT_VERTICAL)
    try:
        return _shape(x)
    except ValueError as e:
        return Unknown.because(f"The rotor cannot be computed: {e}", e)


def _shape(x: Inputs) -> RotorCurves | Unknown:
    if x.given(Sheet.rotor.power_coefficient):
        return _simple(x)
    if is_carved(x) and not x.given(Sheet.blade.section):
        return _simple(x)
    section = x.maybe(Sheet.blade.section)
    if section == "arc of the pipe" and all(x.given(entry) for entry in ARC):
        return _from_pipe(x)
    if len(x.labels(Sheet.station)) >= 2 and section in (*polar.NAMED, TYPED_SECTION):
        return _carved(x, str(section))
    return _simple(x)


def _resolution(x: Inputs) -> tuple[Array, int]:
    """Tip-speed ratios and number of stations."""
    return FINE if x.drawn is None else COARSE


def _curves(x: Inputs, shape: blade.Blade, section: polar.Section | None) -> RotorCurves:
    B, later, ratios = x.rotor.blades, x.blade.stall_later, _resolution(x)[0]
    winds = CURVE_WINDS if x.drawn is None else SAMPLED_WINDS
    lift, drag = _section_factors(x, shape)
    tsr, cq, ct, cm = _coefficients(shape, winds, B, ratios, section, lift, drag, air_viscosity(x), later)
    return RotorCurves(winds, tsr, cq, ratios=ratios, cm=cm, ct=ct, shape=shape, section=section)


@remembered(24)
def _coefficients(
    shape: blade.Blade,
    winds: Array,
    B: Num,
    ratios: Array,
    section: polar.Section | None,
    lift: Num,
    drag: Num,
    nu: Num,
    later: Num,
) -> tuple[Array, Array, Array, Array]:
    """Even tip-speed ratios with their torque coefficients, and thrust and bending at the ratios given."""
    # Looked up once for all winds.
    bent = section is None and shape.camber is not None and shape.thickness is not None
    own = polar.arc_plate(shape.camber, shape.thickness) if bent else section  # type: ignore[arg-type]
    each = [rotor.curve(shape, V, B, ratios, own, lift, drag, nu, stall_later=later) for V in winds]
    rest = [np.asarray(rotor.starting_cq(shape, B, own, lift, V, nu)) for V in winds]
    variants = np.broadcast_shapes(*(c.cp.shape[:-1] for c in each), *(r.shape for r in rest))
    whole = (*variants, len(ratios))
    cp = np.stack([np.broadcast_to(c.cp, whole) for c in each], axis=-2)
    cm = np.stack([np.broadcast_to(c.cm, whole) for c in each], axis=-2)
    ct = np.stack([np.broadcast_to(c.ct, whole) for c in each], axis=-2)
    tsr, cq = balance.torque_curve(ratios, cp, np.stack([np.broadcast_to(r, variants) for r in rest], axis=-1))
    return tsr, cq, ct, cm


def _section_factors(x: Inputs, shape: blade.Blade) -> tuple[Num, Num]:
    """Lift and drag compared with the table: as stated, else as far in doubt as the table is for these sections."""
    if shape.camber is None or shape.thickness is None:
        name = str(x.need(Sheet.blade.section))
        doubt: tuple[Num, Num] = polar.TYPED_DOUBT if name == TYPED_SECTION else polar.named_doubt(name)
    else:
        polar.refuse_untabled(shape.camber, shape.thickness)
        # The outer half does most of the work.
        outer = shape.camber.shape[-1] // 2
        lift, drag = polar.plate_doubt(shape.camber[..., outer:], shape.thickness[..., outer:])
        doubt = np.mean(lift, axis=-1), np.mean(drag, axis=-1)
    why = "no measured table was found; as far in doubt as the estimate is for such a section"
    if x.maybe(Sheet.blade.section) == TYPED_SECTION:
        why = "as typed, for one Reynolds number and blades as smooth as those that were measured"
    return (
        x.else_assume(Sheet.blade.lift_factor, 1.0, why, 1.0 + doubt[0]),
        x.else_assume(Sheet.blade.drag_factor, 1.0, why, 1.0 + doubt[1]),
    )


def root_radius(x: Inputs) -> Num:
    """Radius at which the blades begin, in [m]."""
    R = x.rotor.diameter / 2.0
    return x.else_assume(Sheet.blade.root_radius, ROOT_SHARE * R, "an eighth of the radius; common practice, no source")


def _from_pipe(x: Inputs) -> RotorCurves:
    D, t, root, tip = (x.need(entry) for entry in ARC)
    R, r_root, angle = x.rotor.diameter / 2.0, root_radius(x), x.blade.mounting_angle
    edge = x.blade.straight_edge
    assert edge in ("trailing", "leading", "neither")
    shape = blade.cut_from_pipe(D, t, root, tip, R, r_root, angle, edge, _resolution(x)[1])  # type: ignore[arg-type]
    curves = _curves(x, shape, None)
    masses, root_section = pipe_root(x, R, r_root, angle, edge)
    return replace(curves, masses=masses, root=root_section)


def _carved(x: Inputs, section: str) -> RotorCurves | Unknown:
    labels = x.labels(Sheet.station)
    if missing := x.lacks(*(column[label] for label in labels for column in STATION)):
        return Unknown("", missing)
    # A table is one shape: where its numbers are sampled, the middle of each is taken.
    table = sorted(tuple(float(np.mean(x.need(column[label]))) for column in STATION) for label in labels)
    r, chord, twist = (np.array(column) for column in zip(*table, strict=True))
    R = x.rotor.diameter / 2.0
    if float(np.max(R)) > r[-1]:
        r, chord, twist = np.append(r, np.max(R)), np.append(chord, chord[-1]), np.append(twist, twist[-1])
    coefficients = _typed_section(x) if section == TYPED_SECTION else polar.named_section(section)
    if isinstance(coefficients, Unknown):
        return coefficients
    shape = blade.blade_from_table(r, chord, twist, R, r[0], _resolution(x)[1])
    curves, found = _curves(x, shape, coefficients), carved_root(x, shape, section)
    return curves if found is None else replace(curves, masses=found[0], root=found[1])


def _typed_section(x: Inputs) -> polar.Section | Unknown:
    """Lift and drag from the table on the sheet."""
    labels = x.labels(Sheet.polar)
    if not labels:
        return Unknown("", (Sheet.polar.angle["1"], Sheet.polar.lift["1"], Sheet.polar.drag["1"]))
    columns = (Sheet.polar.angle, Sheet.polar.lift, Sheet.polar.drag)
    if missing := x.lacks(*(column[label] for label in labels for column in columns)):
        return Unknown("", missing)
    # Their doubt is that of the whole table, see polar.TYPED_DOUBT.
    rows = sorted(tuple(float(np.mean(x.need(column[label]))) for column in columns) for label in labels)
    return polar.typed_section(*(np.array(column) for column in zip(*rows, strict=True)))


def _simple(x: Inputs) -> RotorCurves:
    """A curve with its top at the working tip-speed ratio, falling to nothing at the free one."""
    best, free, Cp = ratio_assumed(x), free_assumed(x), power_assumed(x)
    refuse_if(np.asarray(free) <= best, "the free tip-speed ratio must be greater than the working one")
    tsr = np.arange(0.0, float(np.max(free)) * 1.02 + 0.2, 0.1)
    lo, lf, top = (np.asarray(v, dtype=float)[..., None] for v in (best, free, Cp))
    rising = np.maximum((lf - tsr) / (lf - lo), 0.0) ** ((lf - lo) / lo)
    cq = np.where(tsr < lf, top / lo * rising, -0.01 * (tsr - lf))
    return RotorCurves(np.array([8.0]), tsr, cq[..., None, :], starts=False)
