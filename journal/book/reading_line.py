"""A reading told in a line: a quantity and its value in either order, the quantity by name, by words or by the unit."""

from __future__ import annotations

from calc.quantities import NAMED_ONLY, QUANTITIES
from journal.book import naming
from journal.book.heard import hear, unheard
from journal.book.measurements import quantity_named, read_measurement
from journal.book.plain_quantity import in_unit_of
from journal.errors import BadInput, GalebookError, by_last_part

LIKE = "battery.voltage 12.1 V"


def read_line(text: str, last: str = "") -> tuple[str, str]:
    """Quantity and value of a line such as ``12.1 V battery.voltage``, in either order.

    Parameters
    ----------
    last : str
        What a value alone is of.

    Raises
    ------
    BadInput
        If it has no quantity that is known, or the value is none of it.
    """
    name, value = _parted(text.split(), text) or _by_meaning(text, last) or (last, text)
    if not name:
        raise BadInput(f"{text.strip()!r} does not say what was read", f"Type it like {LIKE}")
    value = in_unit_of(QUANTITIES[name], value)
    read_measurement(name, value)
    return name, value


def _parted(words: list[str], text: str) -> tuple[str, str] | None:
    """The quantity at the end or the beginning of some words, and the rest; None where none of them looks like one."""
    wrong: GalebookError | None = None
    for count in (2, 1):
        for name, rest in ((words[-count:], words[:-count]), (words[:count], words[count:])):
            # A name with its dot is whole; a word beside it is none of it.
            if not rest or (count > 1 and any("." in word for word in name)):
                continue
            try:
                found = quantity_named(".".join(name))
                if by_last_part(".".join(name), QUANTITIES) or _reads(found, " ".join(rest), bare=True):
                    return found, " ".join(rest)
            except GalebookError as e:
                wrong = e if "." in name[0] and name[0][0].isalpha() and count == 1 else wrong
    if wrong is not None:
        raise wrong
    return None


def _by_meaning(text: str, last: str) -> tuple[str, str] | None:
    """The quantity that words around a value mean, or that its unit alone can be; None where there is no such one.

    Raises
    ------
    BadInput
        If several can be meant, naming them.
    """
    words = text.split()
    for count in range(len(words), 0, -1):
        for value, said in ((words[:count], words[count:]), (words[-count:], words[:-count])):
            named = _meant(" ".join(said)) if said else [last] if last else naming.usual_first(list(QUANTITIES))
            fit = [name for name in named if _reads(name, " ".join(value), bare=bool(said or last))]
            # What is shown in the very unit goes before what can be converted from it.
            fit = [n for n in fit if QUANTITIES[n].example.endswith(f" {value[-1]}")] or fit
            if len(fit) == 1:
                if said or not last:
                    hear(f"{text.strip()} = {fit[0]}")
                return fit[0], " ".join(value)
            if fit:
                some = ", ".join(fit[:5]) + (" ..." if fit[5:] else "")
                raise BadInput(f"{text.strip()!r} can be {some}", f"Add which, like {LIKE}")
    return _by_meaning(text, "") if last else None


def _meant(said: str) -> list[str]:
    """Quantities of which some words are said; of those that are the name of a group, the quantities of that."""
    known = naming.quantities()
    of_group = [k.name for k in known if frozenset(naming.stems(said)) == k.group]
    if any(name not in NAMED_ONLY for name in of_group):
        return naming.usual_first(of_group)
    return naming.usual_first(naming.about(said, known))


def _reads(name: str, value: str, *, bare: bool) -> bool:
    """Whether a value can be one of a quantity; a number alone only where words say which."""
    try:
        with unheard():
            read_measurement(name, in_unit_of(QUANTITIES[name], value) if bare else value)
    except GalebookError:
        return False
    return True
