"""What is to be bought, what to look at first, and what is struck off because it is at hand."""

from __future__ import annotations

from typing import Any

from calc.finding import Status
from calc.machine.buying import Rated
from calc.machine.diagram import enter
from calc.units import show
from calc.wording import number_of
from journal.review.buying import AtHand, Shopping, ShoppingLine
from journal.review.wired import Weak
from journal.screens.terminal import Terminal, revision_title, screen

#: What this list is not, told with every one.
CAUTION = (
    "Only what the sheet names is listed, without spare lengths, lugs, glands, screws and boxes. Whether a thing with "
    "these ratings is sold, and fits, was not checked. Fuses and switches must be marked for DC; house wiring is for a "
    "licensed electrician."
)
#: Said where nothing can be listed, and above what is left out of a list.
NOTHING = "The sheet names nothing yet that could be bought."
UNLISTED = "The sheet says nothing of these, so they are not on the list; enter your own values"


def _data(found: Shopping) -> dict[str, Any]:
    price, no_price = found.price
    mass, no_mass = found.mass
    return {
        "revision": found.revision.ref,
        "lines": [_line_data(line) for line in found.lines],
        "absent": [{"name": h.name, "against": [_weak_data(w) for w in h.weak]} for h in found.absent],
        "also": [{"asks": says, "things": list(names)} for says, names in found.also],
        "dangers": [{"rule": f.rule, "subject": f.subject, "says": f.says} for f in found.dangers],
        "unrecognised": [{"ref": p.ref, "name": p.name} for p in found.others],
        "to_buy": {"price": price, "without_price": no_price, "mass": mass, "without_mass": no_mass},
        "unstated": [
            {"name": name, "path": e.full, "enter": enter(e, found.revision.ref)} for name, e in found.unstated
        ],
        "caution": CAUTION,
    }


def _line_data(line: ShoppingLine) -> dict[str, Any]:
    n = line.needed
    return {
        "kind": n.kind,
        "run": n.run or None,
        "name": n.name,
        "count": n.count,
        "rated": [_rated_data(r) for r in n.rated],
        "holds": None if line.holds is None else [_rated_data(r) for r in line.holds.rated],
        "asks": list(line.asks),
        "rather": list(line.rather),
        "words": list(n.words),
        "mass": line.asked.mass,
        "mass_of": n.mass_of or None,
        "price": line.price,
        "standing": str(line.standing),
        "part": None if line.part is None else line.part.ref,
        "look": list(line.look),
        "unfit": list(line.unfit),
        "against": [_weak_data(w) for w in line.against],
    }


def _rated_data(r: Rated) -> dict[str, Any]:
    return {"what": r.what, "value": r.value, "unit": r.unit, "least": r.least,
            "path": r.path or None}  # fmt: skip


def _weak_data(weak: Weak) -> dict[str, Any]:
    return {"status": str(weak.status), "title": weak.title, "says": weak.says}


def pieces(line: ShoppingLine) -> str:
    """How many of it; nothing where it is one."""
    return "" if line.needed.count == 1.0 else f"{line.needed.count:g}"


def ratings(line: ShoppingLine) -> str:
    """Sizes and ratings that hold, beside them those of the sheet where these are others, and what else it says."""
    n, asked = line.needed, line.asked
    told = [_one(r) for r in asked.rated]
    old = [r.says if r.value is not None else f"no {r.what or 'rating'}" for r in n.rated if r not in asked.rated]
    told += asked.words
    return ", ".join(told) + (f" (THE SHEET HAS {', '.join(old)})" if old else "")


def _one(r: Rated) -> str:
    if r.value is None:
        return f"{r.what or 'rating'}: not on the sheet"
    return r.says + (" or more" if r.least else "")


def mass_told(line: ShoppingLine) -> str:
    """Its mass where it can be computed."""
    n = line.asked
    if n.mass is None:
        return ""
    return show(n.mass, "kg", 2) + (f" ({n.mass_of})" if n.mass_of else "")


def price_told(line: ShoppingLine) -> str:
    """What it costs, in the sheet's money; of a part at hand what was paid."""
    if line.part is not None:
        paid = line.part.cost
        if paid is None:
            return ""
        return f"paid with {line.part.ref} above" if line.told else f"{paid:g} {line.part.currency} paid"
    return "" if line.price is None else f"{line.price:.2f}"


def notes(line: ShoppingLine) -> list[str]:
    """What is wrong or open about it, what decides first."""
    told = []
    for w in line.against:
        head = "DANGER" if w.status is Status.DANGER else "Fails" if w.status is Status.FAIL else w.words.capitalize()
        told.append(f"{head}: {w.title}. {w.says}" if w.status in (Status.DANGER, Status.FAIL) else f"{head}.")
    if line.asks:
        told.append(f"The checks ask: {' '.join(line.asks)}")
    if line.rather:
        head = "Follows the sheet, marginal" if line.holds is None else "Marginal still in these sizes"
        told.append(f"{head}. The checks ask: {' '.join(line.rather)}")
    if line.needed.unsaid and line.part is None:
        told.append(
            f"Not on the sheet: {', '.join(map(_unsaid, line.needed.rated_without))}. Settle it before you buy."
        )
    if line.look:
        told.append(f"Look at {line.part.ref if line.part else 'it'} for: {', '.join(line.look)}.")
    return [*told, *(f"{words}." for words in line.unfit)]


def _unsaid(r: Rated) -> str:
    return f"{r.called} ({r.path})" if r.path else r.called


def unlisted(found: Shopping) -> list[str]:
    """What the sheet says nothing of, each with the command that enters it; and how the rest is entered."""
    ref = found.revision.ref
    return [f"{name}: {enter(entry, ref)}" for name, entry in found.unstated]


def how_entered(found: Shopping) -> str:
    """How what is missing on a line is entered; nothing where nothing is."""
    if not any(line.needed.unsaid for line in found.lines):
        return ""
    return f'What is not on the sheet is entered by its name: galebook set NAME "VALUE" --on {found.revision.ref}'


@screen(_data)
def show_shopping(out: Terminal, found: Shopping) -> None:
    """What is to be bought first, then what is at hand."""
    out.title(revision_title(found.revision))
    if not found.lines:
        out.line(NOTHING)
        _not_listed(out, found)
        return
    if found.dangers:
        out.line(warning(found), "bold")
    for line in absent(found):
        out.line(line)
    if found.also:
        out.heading(LACKING)
        for line in lacking(found):
            out.hang("  ", line, 4)
    told = sections(found)
    for title, _, lines in (s for s in told if s[1] is AtHand.BUY):
        _section(out, title, lines)
    for line in totals(found):
        out.line(line)
    for title, _, lines in (s for s in told if s[1] is not AtHand.BUY):
        _section(out, title, lines)
    for line in left_over(found):
        out.line(line)
    _not_listed(out, found)
    out.line(CAUTION)


def absent(found: Shopping) -> list[str]:
    """What the sheet says there is none of, though a check asks for it."""
    return [
        f"Not on this list, for the sheet has none: {h.name.removeprefix('No ')}. {w.words.capitalize()}."
        for h in found.absent
        for w in h.weak
        if w.status in (Status.DANGER, Status.FAIL)
    ]


def sections(found: Shopping) -> list[tuple[str, AtHand, list[ShoppingLine]]]:
    """The parts of the list in which something stands, in the order in which it is bought: title, standing, lines."""
    to_buy = found.standing(AtHand.BUY)
    every = [
        ("To buy first: what stops, parts, fuses and earths", AtHand.BUY, [line for line in to_buy if line.first]),
        ("To buy then", AtHand.BUY, [line for line in to_buy if not line.first]),
        ("At hand, but look first", AtHand.LOOK, found.standing(AtHand.LOOK)),
        ("At hand: struck off", AtHand.HAVE, found.standing(AtHand.HAVE)),
    ]
    return [(title, standing, lines) for title, standing, lines in every if lines]


def left_over(found: Shopping) -> list[str]:
    """What is said below the list: parts that were not recognised, and how what is missing is entered."""
    others = ", ".join(f"{p.ref} {p.name}" for p in found.others)
    told = [f"Parts not recognised as any of these: {others}."] if others else []
    return [*told, *filter(None, [how_entered(found)])]


def _not_listed(out: Terminal, found: Shopping) -> None:
    if found.unstated:
        out.heading(UNLISTED)
        for line in unlisted(found):
            out.hang("  ", line, 4)


#: Over what the checks ask for and is on no line.
LACKING = "The checks ask for this as well, and it is on no line here"


def lacking(found: Shopping) -> list[str]:
    """What the checks ask for that is on no line, with the things that it would bring onto the list."""
    return [says + (f" It brings: {', '.join(names)}." if names else "") for says, names in found.also]


def warning(found: Shopping) -> str:
    """What stands before a list of a revision that can hurt people."""
    many = number_of(len(found.dangers), "danger")
    return f"BUY NOTHING FOR IT YET: {many} on this sheet. First: galebook check {found.revision.ref}"


def totals(found: Shopping) -> list[str]:
    """Price of what is to be bought as far as it is known, and its mass where that of all is."""
    price, no_price = found.price
    mass, no_mass = found.mass
    told = []
    if price:
        told.append(f"To buy, as far as the sheet has prices: {price:.2f}; {no_price} without a price.")
    if mass and not no_mass:
        told.append(f"Mass of it: {show(mass, 'kg', 2)}.")
    return told


def named(line: ShoppingLine) -> str:
    """How many of a thing, its name, and what is at hand of it."""
    have = "" if line.part is None else f"[{line.part.ref} {line.part.name}]"
    return " ".join(filter(None, [pieces(line), line.needed.name, have]))


def described(line: ShoppingLine) -> str:
    """Sizes and ratings, mass and price of a thing, as far as they are known."""
    return ", ".join(filter(None, [ratings(line), mass_told(line), price_told(line)]))


def _section(out: Terminal, title: str, lines: list[ShoppingLine]) -> None:
    out.heading(title)
    for line in lines:
        told = described(line)
        out.hang("  ", f"{named(line)}{': ' if told else ''}{told}", 4)
        for note in notes(line):
            out.indent(note, 6)
