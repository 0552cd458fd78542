"""Readings of a blade that was cut: where on it they were taken, and which of them cannot be."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calc.quantities import QUANTITIES
from calc.units import show
from calc.wording import number_of
from journal.book.heard import hear
from journal.book.plain_quantity import OutOfRange, Wanted
from journal.book.quantity import parse
from journal.errors import BadInput

if TYPE_CHECKING:
    from sqlmodel import Session

    from calc.machine.blade_limits import Plausible
    from calc.machine.inputs import Inputs
    from journal.book.tables import Revision

CHORD, ANGLE, MASS = "blade.chord", "blade.gauge_angle", "blade.mass"
POINT, SCALE = "blade.balance_point", "blade.scale_at_mark"
OF_BLADE = (CHORD, ANGLE, MASS, POINT, SCALE)
#: Those that tell nothing without their mark.
AT_MARK = (CHORD, ANGLE, SCALE)

_FAR = Wanted("m", "mm", 0.0, 15.0, "300 mm")
_FEET = r"\d+(?:[.,]\d+)?\s*(?:ft|feet|foot|')\s*"
_FRACTION = r"(?:\s*[¼½¾⅛⅜⅝⅞]|[\s-]+\d+/\d+|/\d+)"
_LENGTH = re.compile(
    rf"((?:{_FEET})?(?<![\d.,/])\d+(?:[.,]\d+)?{_FRACTION}?\s*(?:mm|cm|m|in|ft|\"|''|inch(?:es)?|feet|foot))(?![\w²])",
    re.IGNORECASE,
)
_BLADE = re.compile(r"\bblade\s+(?:no\.?\s*|number\s+)?([\w-]{1,20})", re.IGNORECASE)
_ORDINALS = {name: str(n) for n, names in enumerate(
    (("first", "1st"), ("second", "2nd"), ("third", "3rd"), ("fourth", "4th"), ("fifth", "5th"), ("sixth", "6th")), 1
) for name in names}  # fmt: skip
_ORDINAL = re.compile(rf"\b({'|'.join(_ORDINALS)})\s+blade\b", re.IGNORECASE)
_LEADING = re.compile(r"^\s*([a-z]|\d{1,2})\s*(?:[,:;]|$)", re.IGNORECASE)
_TIP = re.compile(
    r"\b(?:from|off|to|before|below|inside|short of)\s+(?:the\s+|its\s+)?(?:tip|(?:outer )?end)\b", re.IGNORECASE
)
_ROOT = re.compile(r"\b(?:from|off)\s+(?:the\s+|its\s+)?(?:root|inner end|hub end)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class OnBlade:
    """Where on which blade something was read.

    Parameters
    ----------
    blade : str
        Its name in small letters; empty where nobody said.
    far : float, optional
        Distance that was told. [m]
    since : str
        From where: ``shaft``, ``tip`` or ``root``.
    """

    blade: str
    far: float | None
    since: str = "shaft"

    def radius(self, x: Inputs) -> float | None:
        """Distance from the shaft [m]; None where none was told, or the sheet does not say where the blade ends."""
        from calc.machine.blade_limits import plausible_mark

        if self.far is None or self.since == "shaft":
            return self.far
        ends = plausible_mark(x)
        if ends is None:
            return None
        return round(ends.high - self.far if self.since == "tip" else ends.low + self.far, 4)


def place_on_blade(where: str | None) -> OnBlade:
    """Which blade and how far along it, of what was said of where a reading was taken.

    Examples
    --------
    >>> place_on_blade("blade b, 300 mm").far, place_on_blade("a: 0.3 m from the shaft").blade
    (0.3, 'a')
    >>> place_on_blade("blade c, 20 cm from the tip")
    OnBlade(blade='c', far=0.2, since='tip')
    """
    told = (where or "").replace("″", '"').replace("”", '"')
    named = _BLADE.search(told) or _LEADING.match(told)
    length = _LENGTH.search(told)
    far = None
    if length:
        try:
            far = round(float(parse(length[1].replace(",", "."), _FAR, "Distance from the shaft").value), 4)
        except BadInput:
            far = None
    blade = named[1].casefold() if named and not (length and named.start(1) == length.start(1)) else ""
    if nth := _ORDINAL.search(told):
        blade = _ORDINALS[nth[1].casefold()]
    return OnBlade(blade, far, "tip" if _TIP.search(told) else "root" if _ROOT.search(told) else "shaft")


@dataclass(frozen=True, slots=True)
class Impossible:
    """Why a reading of a blade cannot be.

    Parameters
    ----------
    what : str
        What was wrong, as it goes on after the reading's name: ``3000 mm is out of range at 500 mm``.
    accepted : str
        What would be plausible.
    field : str
        What of the record is amended: ``value`` or ``where``.
    """

    what: str
    accepted: str
    field: str


def cannot_be(x: Inputs, quantity: str, where: str | None, value: float) -> Impossible | None:
    """Why a reading cannot be of a blade of this sheet; None where it can, or the sheet does not tell."""
    from calc.machine.blade_limits import plausible_mark, plausible_reading

    place = place_on_blade(where)
    r = place.radius(x)
    if quantity in AT_MARK and r is not None:
        ends = plausible_mark(x)
        if ends is not None and not ends.holds(r):
            what = f"a mark at {show(r, 'mm', 4)} from the shaft does not lie on the blade"
            return Impossible(what, _between(ends, "mm"), "where")
    limits = plausible_reading(x, quantity, r)
    if limits is None or (limits.holds(value) and (value > 0.0 or quantity in (ANGLE, POINT))):
        return None
    asked = QUANTITIES[quantity]
    at = f" at {show(r, 'mm', 4)} from the shaft" if r is not None and quantity in AT_MARK else ""
    return Impossible(f"{show(value, asked.shown, 4)} is out of range{at}", _between(limits, asked.shown), "value")


def _between(limits: Plausible, unit: str) -> str:
    return f"{show(limits.low, unit, 3)} to {show(limits.high, unit, 3)}, {limits.why}"


def permit_reading(session: Session, of: Revision, quantity: str, where: str | None, value: float | None) -> None:
    """Hold that a reading of a blade can be one of its revision's blades; of anything else nothing is asked.

    Raises
    ------
    BadInput
        If it cannot, or names a blade more than there are, with what would be taken by the sheet.
    """
    if quantity not in OF_BLADE or value is None:
        return
    from calc.machine.inputs import Inputs
    from journal.book.sheet import load_sheet

    x = Inputs(load_sheet(session, of).design, None, {})
    _permit_name(session, of, x, place_on_blade(where).blade)
    if quantity in AT_MARK and place_on_blade(where).far is None:
        hear(f'{QUANTITIES[quantity].meaning}: it is compared once its mark is told, like where="blade a, 300 mm"')
    wrong = cannot_be(x, quantity, where, value)
    if wrong is not None:
        accepted = f"Accepted by the sheet of {of.ref}: {wrong.accepted}. If the sheet is wrong, put it right first"
        raise OutOfRange(f"{QUANTITIES[quantity].meaning}: {wrong.what}", accepted)


def _permit_name(session: Session, of: Revision, x: Inputs, blade: str) -> None:
    """Hold that a name is that of one of as many blades as the sheet has; a spare one is named on the sheet itself."""
    from calc.machine.catalogue import Sheet
    from journal.book.records import records_on
    from journal.book.tables import Measurement

    count = x.maybe(Sheet.rotor.blades)
    if not blade or count is None:
        return
    many = int(count)
    known = [label.casefold() for label in x.labels(Sheet.weighed)]
    read = (place_on_blade(m.where).blade for m in records_on(session, Measurement, of) if m.quantity in OF_BLADE)
    known = list(dict.fromkeys([*known, *sorted(filter(None, read))]))
    beyond = blade.isdecimal() and not 1 <= int(blade) <= many
    if blade in known or (len(known) < many and not beyond):
        return
    names = known or [str(n + 1) for n in range(many)]
    more = f", or {number_of(many - len(names), 'name')} more" if known and len(names) < many else ""
    raise BadInput(
        f"blade {blade} would be one more than the {number_of(many, 'blade')} of {of.ref}",
        f"Accepted: {', '.join(f'blade {name}' for name in names)}{more}; a spare one once the sheet names it, like "
        f'galebook set weighed.{blade}.mass "1 kg" --on {of.ref}',
    )
