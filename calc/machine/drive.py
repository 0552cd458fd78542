"""What lies between the rotor's shaft and the generator's, belt, chain or gears; and what its brushes lose.

Rules of the generator ask here for its volts by the speed of the rotor, so that none forgets the drive between them.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT, DIRECT
from calc.machine.entry import Entry
from calc.machine.field import field_share
from calc.machine.inputs import Inputs
from calc.physics import generator
from calc.units import Num


@dataclass(frozen=True, slots=True)
class _Passed:
    """Share of the power that a kind of drive passes on, likely, and the ends of where it may lie; and its ground."""

    likely: float
    low: float
    high: float
    why: str


_PASSED = {
    BELT: _Passed(0.95, 0.85, 0.98, "95 to 98 % well set, up to 10 points lost when slack or askew; a maker's paper"),
    "toothed belt": _Passed(0.96, 0.9, 0.98, "up to 98 % well set; a maker's paper"),
    "chain": _Passed(0.96, 0.9, 0.98, "96 to 98 % when oiled; from memory"),
    "gears": _Passed(0.96, 0.88, 0.98, "97 to 99 % a stage; from memory"),
}


def drive_lacks(x: Inputs) -> tuple[Entry[Num], ...]:
    """The ratio, where the sheet names a belt, chain or gears and leaves it out."""
    geared = x.maybe(Sheet.generator.drive) not in (None, DIRECT)
    return x.lacks(Sheet.generator.ratio) if geared else ()


def drive_ratio(x: Inputs) -> Num:
    """Turns of the generator to one of the rotor.

    Raises
    ------
    NotStatedError
        If the sheet names a belt, chain or gears and no ratio.
    """
    kind = x.maybe(Sheet.generator.drive)
    if kind == DIRECT or (kind is None and x.maybe(Sheet.generator.ratio) is None):
        return 1.0
    return x.generator.ratio


def drive_efficiency(x: Inputs) -> Num:
    """Share of the rotor's power that reaches the generator's shaft."""
    kind = x.maybe(Sheet.generator.drive)
    if kind == DIRECT or (kind is None and x.maybe(Sheet.generator.ratio) is None):
        return 1.0
    usual = _PASSED[kind or BELT]
    return x.else_assume(Sheet.generator.drive_efficiency, usual.likely, usual.why, within=(usual.low, usual.high))


def rotor_emf(x: Inputs) -> Num:
    """Back-EMF constant in the form in which it was read, by the speed of the rotor, in [V s/rad]."""
    return x.generator.emf_constant * drive_ratio(x) * field_share(x)


def brush_drop(x: Inputs) -> Num:
    """Voltage lost in a pair of brushes; none where the winding has no commutator, in [V]."""
    return x.generator.brush_drop if x.generator.phases == "DC with brushes" else 0.0


def rectifier_drop(x: Inputs) -> Num:
    """Voltage lost between winding and cable: in the diodes one after the other, and in brushes, in [V]."""
    return generator.DIODES[x.generator.phases] * x.generator.diode_drop + brush_drop(x)
