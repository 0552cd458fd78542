"""Rows of a history that were damaged, found again by their hash: what gives it is what was written."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from typing import Any

from journal.book.history import COVERED, link

#: Longer texts are not tried bit by bit; it would take minutes. [bytes]
LONGEST = 12_000
#: Nor are more rows: where a bit was flipped, it was in one of them.
MOST = 3
_BITS_OF_A_NUMBER = 40


def found_again(rows: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], list[int]]:
    """A history in which every row is as it was written that differs from that by one bit.

    Parameters
    ----------
    rows : list of dict
        The whole history, in order; bytes that are no text as lone surrogates.

    Returns
    -------
    rows : list of dict
        The same with what was found in place of what was damaged.
    numbers : list of int
        Of the rows that were found again.
    """
    made: list[dict[str, Any]] = []
    numbers, previous, left = [], "", MOST
    for number, row in enumerate(rows):
        following = rows[number + 1] if number + 1 < len(rows) else None
        right = row
        if link(previous, row) != row["chain"]:
            right = _right(previous, row, following, by_bits=left > 0)
            left -= 1
            numbers += [row["id"]] if right is not row else []
        made.append(right)
        previous = right["chain"]
    return made, numbers


def _right(previous: str, row: dict[str, Any], following: Mapping[str, Any] | None, *, by_bits: bool) -> dict[str, Any]:
    """The row as it was written; the same one where that cannot be found."""
    link_of_it = link(previous, row)
    if following is not None and link(link_of_it, following) == following["chain"]:
        # Its hash alone was damaged, for the next row follows from the one that it ought to have.
        return {**row, "chain": link_of_it}
    tried = ({**row, name: value} for name in COVERED if by_bits for value in _one_bit_off(row[name]))
    return next((one for one in tried if link(previous, one) == row["chain"]), row)


def _one_bit_off(value: Any) -> Iterator[Any]:
    if isinstance(value, int):
        yield from (value ^ (1 << bit) for bit in range(_BITS_OF_A_NUMBER))
    if not isinstance(value, str):
        return
    data = bytearray(value.encode(errors="surrogateescape"))
    for at in range(len(data) if len(data) <= LONGEST else 0):
        for bit in range(8):
            data[at] ^= 1 << bit
            with contextlib.suppress(UnicodeDecodeError):
                yield data.decode()
            data[at] ^= 1 << bit
