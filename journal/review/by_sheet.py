"""What a reading tells when the sheet is known: the battery's charge, the winding's warmth, inductance, an angle.

Each says under which conditions it holds; where a value of the sheet is missing, or a reading does not fit, it says
why there is nothing to tell.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from calc.machine.catalogue import Sheet
from calc.machine.drive import drive_lacks, drive_ratio
from calc.machine.entry import Entry
from calc.rules.phrases import not_stated
from calc.units import show
from journal.book.sheet import RevisionSheet
from journal.book.tables import Measurement
from journal.review.together import NOTHING, Untold, apart, reading_of, several, untold

if TYPE_CHECKING:
    from calc.evidence.uncertainty import LimitedReading

Read: TypeAlias = Mapping[str, Measurement]
#: Value, limits, and what is said of them.
_Told: TypeAlias = tuple[float, float, float, str]
_Meant: TypeAlias = "Callable[[Measurement, Callable[[], RevisionSheet]], bool]"


@dataclass(frozen=True)
class ToldBySheet:
    """A quantity worked out from readings and the sheet; value and limits in SI."""

    meaning: str
    value: float
    low: float
    high: float
    refs: tuple[str, ...]
    text: str


def tell_by_sheet(
    readings: list[Measurement], sheet: Callable[[], RevisionSheet]
) -> tuple[list[ToldBySheet], list[Untold]]:
    """What follows from readings and the sheet.

    Parameters
    ----------
    readings : list of Measurement
        Of one attempt, or a single one.
    sheet : callable
        Gives the sheet; asked only where a reading needs it.

    Returns
    -------
    told : list of ToldBySheet
    untold : list of Untold
        What would follow, but that a quantity was read more than once, the sheet does not say enough, or a reading
        lies outside what the formula covers.
    """
    told: list[ToldBySheet] = []
    missed: list[Untold] = []
    for (meaning, names), (meant, tell) in _TOLD.items():
        kinds = [[m for m in readings if m.quantity == name and m.value is not None] for name in names]
        kinds[0] = [m for m in kinds[0] if meant(m, sheet)]
        if not all(kinds):
            continue
        every = [m for of in kinds for m in of]
        if len(every) > len(kinds):
            missed.append(untold(meaning, every, several(*kinds)))
            continue
        try:
            value, low, high, text = tell({m.quantity: m for m in every}, sheet())
        except ValueError as e:
            missed.append(untold(meaning, every, str(e)))
        else:
            told.append(ToldBySheet(meaning, value, low, high, tuple(m.ref for m in every), f"{meaning}: {text}"))
    return told, missed


def _stated(values: RevisionSheet, *entries: Entry[Any]) -> list[LimitedReading]:
    """Numbers of the sheet with their doubt; ValueError where one is not stated."""
    from calc.evidence.uncertainty import LimitedReading

    found = []
    _hold_stated(*(e for e in entries if e.path not in values.values))
    for name in (entry.path for entry in entries):
        number = values.values[name].number or 0.0
        low, high = values.doubts.get(name, (number, number))
        found.append(LimitedReading(low, number, high))
    return found


def _hold_stated(*lacking: Entry[Any]) -> None:
    if lacking:
        raise ValueError(not_stated(lacking))


def _charge(m: Measurement, values: RevisionSheet, by_acid: bool) -> _Told:
    from calc.evidence.by_sheet import charge_at_rest, charge_by_acid

    x = values.system.inputs()
    _hold_stated(*x.lacks(Sheet.storage.chemistry, Sheet.storage.voltage))
    chemistry, bank = x.storage.chemistry, float(x.storage.voltage)
    got = charge_by_acid(reading_of(m), chemistry) if by_acid else charge_at_rest(reading_of(m), bank, chemistry)
    mixed = "the acid was mixed by charging before, and " if by_acid else ""
    text = (
        f"about {show(got.value, '%', 2)}, between {show(got.low, '%', 2)} and "
        f"{show(got.high, '%', 2)} ({m.ref}). Only if {mixed}the battery had rested for 8 hours, better 24, with no "
        "charge and no load, near 25 degC; publications differ by as much as this."
    )
    return got.value, got.low, got.high, text


def _rested(read: Read, values: RevisionSheet) -> _Told:
    return _charge(read["battery.voltage"], values, by_acid=False)


def _acid(read: Read, values: RevisionSheet) -> _Told:
    return _charge(read["battery.density"], values, by_acid=True)


def _warmth(read: Read, values: RevisionSheet) -> _Told:
    from calc.evidence.by_sheet import temperature_of_winding

    m, (cold,) = read["generator.resistance"], _stated(values, Sheet.generator.winding_resistance)
    got = temperature_of_winding(reading_of(m), cold)
    text = (
        f"{show(got.value, 'degC', 2)}, give or take {show(got.high - got.value, 'K', 2)} "
        f"({m.ref}). Only if the sheet's {show(cold.value, 'ohm')} were read at 20 degC, and this between the "
        "same leads."
    )
    return got.value, got.low, got.high, text


def _inductance(read: Read, values: RevisionSheet) -> _Told:
    from calc.evidence.by_sheet import inductance_between_leads

    current, speed = read["generator.short_current"], read["rotor.speed"]
    needed = (Sheet.generator.emf_constant, Sheet.generator.winding_resistance, Sheet.generator.pole_pairs)
    x = values.system.inputs()
    if x.generator.phases != "three-phase":
        raise ValueError("it is worked out for three-phase windings only")
    if current.load_state != speed.load_state:
        raise ValueError(apart(current, speed))
    constant, resistance, pole_pairs = _stated(values, *needed)
    turns = reading_of(speed)
    if drive_lacks(x):
        raise ValueError("the ratio of the drive between rotor and generator is not on the sheet")
    n = float(drive_ratio(x))
    turns = type(turns)(n * turns.low, n * turns.value, n * turns.high)
    got = inductance_between_leads(
        reading_of(current), turns, constant, resistance, x.generator.emf_form, pole_pairs.value
    )
    text = (
        f"{show(got.value, 'mH', 2)}, between {show(max(got.low, 0.0), 'mH', 2)} and "
        f"{show(got.high, 'mH', 2)} ({current.ref} and {speed.ref}). Only if all three leads were joined and "
        "the current is that of one lead, RMS."
    )
    return got.value, got.low, got.high, text


def _bolts(read: Read, values: RevisionSheet) -> _Told:
    from calc.evidence.by_sheet import angle_of_bolts

    m, blade = read["blade.bolts"], values.system.inputs().blade
    pipe, wall, chord = _stated(values, Sheet.blade.pipe_diameter, Sheet.blade.pipe_wall, Sheet.blade.chord_root)
    got = angle_of_bolts(reading_of(m), pipe, wall, chord, blade.straight_edge)
    text = (
        f"{show(got.value, 'deg', 2)}, give or take {show(got.high - got.value, 'deg', 2)} ({m.ref}). Only "
        "if the hub is flat under the bolts, and square to the shaft."
    )
    return got.value, got.low, got.high, text


def _always(m: Measurement, sheet: Callable[[], RevisionSheet]) -> bool:
    return True


def _unloaded(m: Measurement, sheet: Callable[[], RevisionSheet]) -> bool:
    return m.load_state == NOTHING


def _warm(m: Measurement, sheet: Callable[[], RevisionSheet]) -> bool:
    """Whether a winding reads more than the sheet says; cold, it is read between each two leads, or for the sheet."""
    cold = Sheet.generator.winding_resistance
    values = sheet()
    return cold.path in values.values and reading_of(m).low > _stated(values, cold)[0].high


#: By what it is and the quantities it takes: whether a reading of the first was meant to tell it, and how.
_TOLD: dict[tuple[str, tuple[str, ...]], tuple[_Meant, Callable[[Read, RevisionSheet], _Told]]] = {
    ("Charge of the battery", ("battery.voltage",)): (_unloaded, _rested),
    ("Charge of the battery", ("battery.density",)): (_always, _acid),
    ("Temperature of the winding", ("generator.resistance",)): (_warm, _warmth),
    ("Inductance between two leads", ("generator.short_current", "rotor.speed")): (_always, _inductance),
    ("Angle of the root chord to the plane of the rotor", ("blade.bolts",)): (_always, _bolts),
}
