"""What a reading tells when the sheet is known: the battery's charge, the winding's warmth, inductance, an angle.

Each says under which conditions it holds; where a value of the sheet is missing, or a reading does not fit, it says
nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from calc.machine.catalogue import Sheet
from calc.machine.entry import Entry
from calc.units import show
from journal.book.sheet import RevisionSheet
from journal.book.tables import Measurement
from journal.review.together import NOTHING, reading_of

if TYPE_CHECKING:
    from calc.evidence.uncertainty import LimitedReading

Read: TypeAlias = Mapping[str, Measurement]


@dataclass(frozen=True)
class ToldBySheet:
    """A quantity worked out from readings and the sheet; value and limits in SI."""

    meaning: str
    value: float
    low: float
    high: float
    refs: tuple[str, ...]
    text: str


def tell_by_sheet(readings: list[Measurement], sheet: Callable[[], RevisionSheet]) -> list[ToldBySheet]:
    """What follows from readings and the sheet.

    Parameters
    ----------
    readings : list of Measurement
        Of one attempt, or a single one. A quantity that was read more than once tells nothing here.
    sheet : callable
        Gives the sheet; asked only where a reading needs it.
    """
    kinds = [m.quantity for m in readings if m.value is not None]
    read = {m.quantity: m for m in readings if m.value is not None and kinds.count(m.quantity) == 1}
    found = []
    for names, tell in _TOLD.items():
        if all(name in read for name in names):
            try:
                told = tell(read, sheet())
            except ValueError:
                # Outside what the formula covers, such as a voltage at which no battery rests.
                continue
            if told is not None:
                found.append(told)
    return found


def _stated(values: RevisionSheet, *entries: Entry[Any]) -> list[LimitedReading] | None:
    """Numbers of the sheet with their doubt; None where one is not stated."""
    from calc.evidence.uncertainty import LimitedReading

    found = []
    for name in (entry.path for entry in entries):
        number = values.values[name].number if name in values.values else None
        if number is None:
            return None
        low, high = values.doubts.get(name, (number, number))
        found.append(LimitedReading(low, number, high))
    return found


def _charge(m: Measurement, values: RevisionSheet, by_acid: bool) -> ToldBySheet | None:
    from calc.evidence.by_sheet import charge_at_rest, charge_by_acid

    x = values.system.inputs()
    chemistry, bank = x.maybe(Sheet.storage.chemistry), x.maybe(Sheet.storage.voltage)
    if chemistry is None or bank is None:
        return None
    got = charge_by_acid(reading_of(m), chemistry) if by_acid else charge_at_rest(reading_of(m), float(bank), chemistry)
    mixed = "the acid was mixed by charging before, and " if by_acid else ""
    text = (
        f"Charge of the battery: about {show(got.value, '%', 2)}, between {show(got.low, '%', 2)} and "
        f"{show(got.high, '%', 2)} ({m.ref}). Only if {mixed}the battery had rested for 8 hours, better 24, with no "
        "charge and no load, near 25 degC; publications differ by as much as this."
    )
    return ToldBySheet("Charge of the battery", got.value, got.low, got.high, (m.ref,), text)


def _rested(read: Read, values: RevisionSheet) -> ToldBySheet | None:
    m = read["battery.voltage"]
    return _charge(m, values, by_acid=False) if m.load_state == NOTHING else None


def _acid(read: Read, values: RevisionSheet) -> ToldBySheet | None:
    return _charge(read["battery.density"], values, by_acid=True)


def _warmth(read: Read, values: RevisionSheet) -> ToldBySheet | None:
    from calc.evidence.by_sheet import temperature_of_winding

    m, stated = read["generator.resistance"], _stated(values, Sheet.generator.winding_resistance)
    if stated is None or reading_of(m).low <= stated[0].high:
        return None
    got = temperature_of_winding(reading_of(m), stated[0])
    text = (
        f"Temperature of the winding: {show(got.value, 'degC', 2)}, give or take {show(got.high - got.value, 'K', 2)} "
        f"({m.ref}). Only if the sheet's {show(stated[0].value, 'ohm')} were read at 20 degC, and this between the "
        "same leads."
    )
    return ToldBySheet("Temperature of the winding", got.value, got.low, got.high, (m.ref,), text)


def _inductance(read: Read, values: RevisionSheet) -> ToldBySheet | None:
    from calc.evidence.by_sheet import inductance_between_leads

    current, speed = read["generator.short_current"], read["rotor.speed"]
    needed = (Sheet.generator.emf_constant, Sheet.generator.winding_resistance, Sheet.generator.pole_pairs)
    stated, x = _stated(values, *needed), values.system.inputs()
    if stated is None or x.generator.phases != "three-phase" or current.load_state != speed.load_state:
        return None
    constant, resistance, pole_pairs = stated
    got = inductance_between_leads(
        reading_of(current), reading_of(speed), constant, resistance, x.generator.emf_form, pole_pairs.value
    )
    meaning = "Inductance between two leads"
    text = (
        f"{meaning}: {show(got.value, 'mH', 2)}, between {show(max(got.low, 0.0), 'mH', 2)} and "
        f"{show(got.high, 'mH', 2)} ({current.ref} and {speed.ref}). Only if all three leads were joined and "
        "the current is that of one lead, RMS."
    )
    return ToldBySheet(meaning, got.value, got.low, got.high, (current.ref, speed.ref), text)


def _bolts(read: Read, values: RevisionSheet) -> ToldBySheet | None:
    from calc.evidence.by_sheet import angle_of_bolts

    m, blade = read["blade.bolts"], values.system.inputs().blade
    stated = _stated(values, Sheet.blade.pipe_diameter, Sheet.blade.pipe_wall, Sheet.blade.chord_root)
    if stated is None:
        return None
    pipe, wall, chord = stated
    got = angle_of_bolts(reading_of(m), pipe, wall, chord, blade.straight_edge)
    meaning = "Angle of the root chord to the plane of the rotor"
    text = (
        f"{meaning}: {show(got.value, 'deg', 2)}, give or take {show(got.high - got.value, 'deg', 2)} ({m.ref}). Only "
        "if the hub is flat under the bolts, and square to the shaft."
    )
    return ToldBySheet(meaning, got.value, got.low, got.high, (m.ref,), text)


_TOLD: dict[tuple[str, ...], Callable[[Read, RevisionSheet], ToldBySheet | None]] = {
    ("battery.voltage",): _rested,
    ("battery.density",): _acid,
    ("generator.resistance",): _warmth,
    ("generator.short_current", "rotor.speed"): _inductance,
    ("blade.bolts",): _bolts,
}
