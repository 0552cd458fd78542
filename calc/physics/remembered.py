"""What takes long to compute, remembered by the numbers that it was computed from.

Machines that differ in their wiring have the same rotor, and so do the samples of their doubts.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import numpy as np

P = ParamSpec("P")
T = TypeVar("T")


def remembered(most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Let a function of numbers, arrays and dataclasses of them remember what it gave last, to be read only.

    What it gives is an array, or a tuple or dataclass of them. Two values that are told apart by their type alone,
    such as 1 and 1.0, count as two.

    Parameters
    ----------
    most : int
        So many results are kept, those used last.

    Examples
    --------
    >>> @remembered(2)
    ... def doubled(x):
    ...     print("computed")
    ...     return (np.asarray(x) * 2.0,)
    >>> doubled(np.array([1.0, 2.0])), doubled(np.array([1.0, 2.0]))
    computed
    ((array([2., 4.]),), (array([2., 4.]),))
    """

    def remembering(make: Callable[P, T]) -> Callable[P, T]:
        kept: OrderedDict[bytes, T] = OrderedDict()

        @wraps(make)
        def made(*args: P.args, **named: P.kwargs) -> T:
            digest = hashlib.blake2b(digest_size=20)
            for x in (*args, *sorted(named.items())):
                _tell(digest.update, x)
            key = digest.digest()
            if key not in kept:
                kept[key] = make(*args, **named)
                _freeze(kept[key])
                while len(kept) > most:
                    kept.popitem(last=False)
            kept.move_to_end(key)
            return kept[key]

        return made

    return remembering


def _freeze(x: Any) -> None:
    """What serves several may be changed by none of them."""
    if isinstance(x, np.ndarray):
        x.flags.writeable = False
    elif isinstance(x, tuple):
        for item in x:
            _freeze(item)
    elif is_dataclass(x):
        for f in fields(x):
            _freeze(getattr(x, f.name))


def _tell(told: Callable[[bytes], None], x: Any) -> None:
    """Everything that a value consists of, so that no two different ones tell the same."""
    if x is None or isinstance(x, str):
        told(repr(x).encode())
    elif isinstance(x, tuple):
        told(b"(%d" % len(x))
        for item in x:
            _tell(told, item)
    elif is_dataclass(x):
        told(type(x).__name__.encode())
        for f in fields(x):
            _tell(told, getattr(x, f.name))
    else:
        array = np.asarray(x)
        told(f"{array.dtype.str}{array.shape}".encode())
        told(array.tobytes())
