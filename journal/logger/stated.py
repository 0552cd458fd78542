"""What somebody stated of a logger's instruments: how far a reading may be off, as a share, an amount, or both."""

from __future__ import annotations

import re
from dataclasses import dataclass

from calc.evidence.uncertainty import RECTANGULAR
from journal.errors import BadInput
from journal.logger.channels import CHANNELS, unit_named

_PART = re.compile(r"(\d+(?:[.,]\d+)?)\s*(.*)")
_ACCEPTED = "Accepted: +-0.2 m/s, +-3 %, or +-3 % + 0.2 m/s"
#: Of these a share tells nothing: their zero is anywhere.
_NO_SHARE = ("temperature", "direction")


@dataclass(frozen=True, slots=True)
class StatedDoubt:
    """Limits between which the truth lies about a reading, and as they were typed.

    Parameters
    ----------
    share, amount : float
        Half-width as a share of the reading, and in the unit in which it is kept; both count.
    typed : str
        With units.
    """

    share: float
    amount: float
    typed: str

    @property
    def deviation(self) -> tuple[float, float]:
        """Both as one standard deviation: a limit over the square root of three (GUM 4.3.7)."""
        return self.share / RECTANGULAR, self.amount / RECTANGULAR


def read_stated(typed: str, what: str, unit: str) -> StatedDoubt:
    """What was typed behind a ``+-``.

    Parameters
    ----------
    typed : str
        Such as ``0.2``, ``0.2 m/s``, ``3 %`` or ``3 % + 0.2 m/s``; without a unit it is in that of the column.
    what, unit : str
        The channel, and the unit of its column.

    Raises
    ------
    BadInput
        If it cannot be read, or is of a unit that the channel does not have.

    Examples
    --------
    >>> read_stated("3 % + 0,36", "wind", "km/h")
    StatedDoubt(share=0.03, amount=0.1, typed='3 % + 0,36 km/h')
    """
    share = amount = 0.0
    told = []
    for part in typed.split("+"):
        found = _PART.fullmatch(part.strip())
        own = found[2].strip() if found else ""
        named = "%" if own == "%" else unit_named(own) if own else unit
        if found is None or (named != "%" and named not in CHANNELS[what].units):
            raise BadInput(f"+-{typed} of {what} cannot be read", _ACCEPTED)
        number = float(found[1].replace(",", "."))
        told.append(f"{found[1]} {named}")
        if named != "%":
            amount += number * CHANNELS[what].units[named][0]
        elif what in _NO_SHARE:
            raise BadInput(f"+-{typed}: a share of {CHANNELS[what].meaning} tells nothing", "Give an amount, like +-2")
        else:
            share += number / 100.0
    if not share and not amount:
        raise BadInput(f"+-{typed}: no reading is without any doubt", _ACCEPTED)
    return StatedDoubt(share, amount, " + ".join(told))
