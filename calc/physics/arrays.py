"""Names for the kinds of arrays that ``calc`` takes and gives, and how what cannot exist is refused."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]
Index: TypeAlias = NDArray[np.intp]


class ImpossibleError(ValueError):
    """Something of this shape cannot exist, or lies outside what is tabled.

    Parameters
    ----------
    why : str
        One line.
    which : array of bool, shape (...,) or (..., stations)
        The variants that are meant: the others may well be possible.
    """

    def __init__(self, why: str, which: object) -> None:
        super().__init__(why)
        self.which = np.asarray(which, dtype=bool)


def refuse_if(wrong: object, why: str) -> None:
    """Raise :class:`ImpossibleError` where anything is wrong."""
    if np.any(wrong):  # type: ignore[call-overload]
        raise ImpossibleError(why, wrong)


def largest(values: Iterable[object]) -> Array:
    """The greatest of several numbers or arrays, one by one; they need not have the same shape."""
    return np.asarray(reduce(np.maximum, values), dtype=float)  # type: ignore[arg-type]
