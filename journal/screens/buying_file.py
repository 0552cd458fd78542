"""The list of what is to be bought as a file: to be ticked off on paper, or for a table."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from journal.book.plain_text import harmless
from journal.errors import BadInput
from journal.publish.environment import markdown_text
from journal.review.buying import AtHand, Shopping, ShoppingLine
from journal.screens import buying

_HEADS = ("standing", "pieces", "what", "sizes and ratings", "mass", "price", "at hand", "notes")
#: What a program for tables would compute instead of showing it.
_COMPUTED = ("=", "+", "-", "@", "\t")


def text_for(found: Shopping, to: Path) -> str:
    """The list in the form that a file's ending asks for.

    Raises
    ------
    BadInput
        If it has another one.
    """
    forms = {".md": as_markdown, ".csv": as_table}
    if to.suffix.lower() not in forms:
        raise BadInput(f"{to.name}: its ending tells no form", "Accepted: .md or .csv")
    return forms[to.suffix.lower()](found)


def as_table(found: Shopping) -> str:
    """Columns with commas between them."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\r\n")
    write.writerow(_HEADS)
    for line in found.lines:
        part = "" if line.part is None else f"{line.part.ref} {line.part.name}"
        cells = (
            str(line.standing), buying.pieces(line) or "1", line.needed.name, buying.ratings(line),
            buying.mass_told(line), buying.price_told(line), part, " ".join(buying.notes(line)),
        )  # fmt: skip
        write.writerow([_shown(cell) for cell in cells])
    return out.getvalue()


def _shown(cell: str) -> str:
    plain = harmless(cell).replace("\n", " ")
    return f"'{plain}" if plain.startswith(_COMPUTED) else plain


def as_markdown(found: Shopping) -> str:
    """Boxes to tick, what is at hand struck off."""
    title = f"{found.revision.ref} {found.revision.title}: to buy"
    lines = [f"# {markdown_text(title)}", ""]
    if found.dangers:
        lines += [f"**{markdown_text(buying.warning(found))}**", ""]
    for h in found.absent:
        lines += [f"- Not on this list, for the sheet has none: {markdown_text(h.name.removeprefix('No '))}. "
                  f"{markdown_text(w.words.capitalize())}." for w in h.weak]  # fmt: skip
    for standing in AtHand:
        of = sorted(found.standing(standing), key=lambda line: not line.first)
        if of:
            lines += ["", f"## {str(standing).capitalize()}", "", *(row for line in of for row in _ticked(line))]
    if found.others:
        named = ", ".join(f"{p.ref} {p.name}" for p in found.others)
        lines += ["", f"Parts not recognised as any of these: {markdown_text(named)}."]
    return "\n".join([*lines, "", buying.CAUTION, ""])


def _ticked(line: ShoppingLine) -> list[str]:
    head = " ".join(filter(None, [buying.pieces(line), line.needed.name]))
    have = "" if line.part is None else f" ({line.part.ref} {line.part.name})"
    told = ", ".join(filter(None, [buying.ratings(line), buying.mass_told(line), buying.price_told(line)]))
    text = markdown_text(f"{head}{': ' if told else ''}{told}{have}")
    done = line.standing is AtHand.HAVE
    row = f"- [{'x' if done else ' '}] {f'~~{text}~~' if done else text}"
    return [row, *(f"    - {markdown_text(note)}" for note in buying.notes(line))]
