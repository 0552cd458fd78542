"""What a table of speeds and voltages tells of a generator, and how its sheet would say so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from calc.units import show
from journal.book.tables import Measurement
from journal.review.together import NOTHING, reading_of

if TYPE_CHECKING:
    from calc.evidence.spin_test import SpinTest
    from calc.evidence.uncertainty import LimitedReading
    from journal.book.taking_rows import TableEntry, TablePlan

CONSTANT, RESISTANCE = "generator.emf_constant", "generator.winding_resistance"
_SPEED, _OPEN, _LOADED, _CURRENT = "rotor.speed", "generator.open_voltage", "generator.loaded_voltage", "charge.current"


@dataclass(frozen=True, slots=True)
class Point:
    """One line of a spin test: what was read, how far it lies off the fitted line, and whether it is an outlier."""

    line: int
    speed: float
    voltage: float
    off: float
    astray: bool


@dataclass(frozen=True)
class Spun:
    """What a spin test of a table tells.

    Parameters
    ----------
    points : tuple of Point
        In SI.
    values : dict of str to tuple of str
        What the sheet would say, by path, and whence that is known; empty where nothing can be relied on.
    told : tuple of str
        In sentences.
    """

    points: tuple[Point, ...]
    values: dict[str, tuple[str, str]]
    told: tuple[str, ...]

    @property
    def commands(self) -> list[str]:
        """What puts it on the sheet."""
        return [f'galebook set {path} "{typed}" --from {known}' for path, (typed, known) in self.values.items()]


def spun_from(plan: TablePlan) -> Spun | None:
    """The constant of a table with speeds and voltages read with nothing connected; None of any other.

    Lines of several attempts are no one test; each attempt then tells its own.
    """
    lines: dict[int, dict[str, TableEntry]] = {}
    for e in plan.entries:
        if plan.taken.kind == "readings" and e.columns.get("value") is not None:
            lines.setdefault(e.line, {})[e.columns["quantity"]] = e
    of = {e.columns.get("attempt_id") for row in lines.values() for e in row.values()}
    pairs = {n: row for n, row in lines.items() if _is_pair(row, _OPEN)}
    free = {n: row for n, row in pairs.items() if row[_OPEN].columns.get("load_state") in (None, NOTHING)}
    if len(free) < 2 or len(of) > 1:
        return None
    return _spun(free, {n: row for n, row in lines.items() if _is_pair(row, _LOADED) and _CURRENT in row})


def _is_pair(row: dict[str, TableEntry], voltage: str) -> bool:
    return voltage in row and _SPEED in row and row[_SPEED].columns["value"] > 0


def _side(rows: dict[int, dict[str, TableEntry]], quantity: str) -> list[LimitedReading]:
    """Readings of one quantity, line by line; those by one meter err together."""
    names = ("value", "low", "high", "instrument")
    return [reading_of(_reading({n: row[quantity].columns.get(n) for n in names}), quantity) for row in rows.values()]


def _reading(columns: dict[str, Any]) -> Measurement:
    return Measurement(**columns)


def _spun(free: dict[int, dict[str, TableEntry]], loaded: dict[int, dict[str, TableEntry]]) -> Spun:
    from calc.evidence.spin_test import constant_from_spins

    speeds, volts = _side(free, _SPEED), _side(free, _OPEN)
    got = constant_from_spins(speeds, volts)
    points = tuple(
        Point(n, w.value, v.value, v.value - got.k * w.value + (got.kept or 0.0), i in got.off)
        for i, (n, w, v) in enumerate(zip(free, speeds, volts, strict=True))
    )
    if not got.sound:
        off = f" Line {_and(p.line for p in points if p.astray)} lies furthest off." if got.off else ""
        return Spun(points, {}, (f"The voltages do not rise with speed as those of a generator do.{off}",))
    told = [_constant(got, len(points)), *_checks(got, speeds, volts)]
    values = {CONSTANT: (f"{show(got.k, 'rpm/V', 4)} +- {_share(got.U_k / got.k)}", "measured")}
    if got.off:
        told.append(_outliers(points))
        # What lies off makes the whole line doubtful; it is for the builder to say which reading was wrong.
        values = {}
    if len(loaded) > 1 and not got.off:
        said, more = _resistance(got, loaded)
        told.append(said)
        values |= more
    return Spun(points, values, tuple(told))


def _constant(got: SpinTest, count: int) -> str:
    kept = ""
    if got.kept is not None and got.U_kept is not None and got.kept > got.U_kept:
        kept = f"; {show(got.kept, 'V', 2)}, give or take {show(got.U_kept, 'V', 1)}, are lost ahead of the meter"
    return (
        f"Back-EMF constant by the straight line through {count} pairs of speed and voltage: {show(got.k, 'rpm/V')}"
        f" ± {_share(got.U_k / got.k)}, read as the voltages were{kept}."
    )


def _checks(got: SpinTest, speeds: Sequence[LimitedReading], volts: Sequence[LimitedReading]) -> list[str]:
    """Two other ways to the same number: through the origin, and by the middle of all slopes."""
    from calc.evidence.spin_test import constant_through_standstill, slope_in_the_middle

    through = constant_through_standstill(speeds, volts)
    value = f"{show(through.k, 'rpm/V')} ± {_share(through.U_k / through.k)}"
    told = f"Through standstill, if nothing is lost ahead of the meter: {value}"
    if got.kept is None:
        return [f"{told}. The speeds are too much alike to tell what is lost ahead of the meter."]
    middle = slope_in_the_middle([r.value for r in speeds], [r.value for r in volts])
    if middle <= 0:
        return [f"{told}."]
    apart = (
        "" if abs(middle - got.k) <= max(got.U_k, 0.02 * got.k) else ", which is not the same: some reading is wrong"
    )
    return [f"{told}. By the middle of all slopes, which a wrong reading hardly moves: {show(middle, 'rpm/V')}{apart}."]


def _outliers(points: tuple[Point, ...]) -> str:
    off = [p for p in points if p.astray]
    lines = f"line{'s' if len(off) > 1 else ''} {_and(p.line for p in off)}"
    fits = "fits none of the others" if len(off) == 1 else "do not lie on one line"
    return (
        f"Do not rely on it: {lines} {fits}. Read again what was misread, or leave it out, before it goes on the sheet."
    )


def _resistance(got: SpinTest, loaded: dict[int, dict[str, TableEntry]]) -> tuple[str, dict[str, tuple[str, str]]]:
    from calc.evidence.spin_test import resistance_from_load

    try:
        ohms, wide = resistance_from_load(got, *(_side(loaded, q) for q in (_SPEED, _LOADED, _CURRENT)))
    except ValueError as e:
        return f"No winding resistance follows from the lines under load: {e}.", {}
    by = f"{len(loaded)} lines under load"
    if not ohms > wide > 0:
        what = f"{show(ohms, 'ohm')}, give or take {show(wide, 'ohm')}"
        return f"From {by} no winding resistance can be told: {what}.", {}
    return (
        f"Winding resistance by {by}: {show(ohms, 'ohm')} ± {_share(wide / ohms)}. Behind a rectifier it holds what "
        "the winding's inductance takes too, so it is at most that between two leads, warm; a reading with a current "
        "through two leads is better."
    ), {RESISTANCE: (f"{show(ohms, 'ohm', 4)} +- {_share(wide / ohms)}", "calculated")}


def _share(share: float) -> str:
    return f"{100 * share:.2g} %"


def _and(numbers: Any) -> str:
    told = [str(n) for n in numbers]
    return f"{', '.join(told[:-1])} and {told[-1]}" if len(told) > 1 else "".join(told)
