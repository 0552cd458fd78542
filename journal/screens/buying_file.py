"""The list of what is to be bought as a file: to be ticked off on paper, or for a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

from journal.book.plain_text import harmless
from journal.book.safe_files import OwnFiles
from journal.errors import BadInput, Refused
from journal.publish.environment import markdown_text
from journal.review.buying import AtHand, Shopping, ShoppingLine
from journal.screens import buying

_HEADS = ("standing", "pieces", "what", "sizes and ratings", "mass", "price", "at hand", "notes")
#: What a program for tables would compute instead of showing it.
_COMPUTED = ("=", "+", "-", "@", "\t")


def hold_place(to: Path) -> None:
    """Hold that a list can be written under a name, before anything is worked out.

    Raises
    ------
    BadInput
        If it is a folder, or has an ending that tells no form.
    Refused
        If there is no folder in which it could be.
    """
    if to.is_dir():
        raise BadInput(
            f"--to {to} is a folder, and the list is one file", f"Accepted: a file, like {to / 'shopping.md'}"
        )
    if to.suffix.lower() not in FORMS:
        stem = to.stem.strip(".") if to.suffix or not to.name.startswith(".") else "shopping"
        told = f"the ending {to.suffix}" if to.suffix else "no ending"
        raise BadInput(
            f"--to {to} has {told}, which tells no form of the list",
            f"Accepted: .md for Markdown, .csv for a table, like {to.with_name(f'{stem}.md')}",
        )
    if not to.parent.is_dir():
        what = "is a file, not a folder" if to.parent.exists() else "is no folder that is there"
        raise Refused(f"--to {to} cannot be written: {to.parent} {what}", "Accepted: a file in a folder that is there")


def write_list(found: Shopping, to: Path, own: OwnFiles, *, over: bool = False) -> None:
    """Write the list in the form that the file's ending asks for.

    Raises
    ------
    Refused
        If something is there that the program did not write, or it cannot be written.
    """
    text = FORMS[to.suffix.lower()](found)
    try:
        own.put(to, text.encode(), over=over)
    except OSError as e:
        raise Refused(f"--to {to} cannot be written ({e.strerror})", "Name a file in another folder with --to") from e


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
    if found.also:
        lines += ["", f"## {buying.LACKING}", "", *(f"- {markdown_text(line)}" for line in buying.lacking(found))]
    for standing in AtHand:
        of = sorted(found.standing(standing), key=lambda line: not line.first)
        if of:
            lines += ["", f"## {str(standing).capitalize()}", "", *(row for line in of for row in _ticked(line))]
    if found.others:
        named = ", ".join(f"{p.ref} {p.name}" for p in found.others)
        lines += ["", f"Parts not recognised as any of these: {markdown_text(named)}."]
    if how := buying.how_entered(found):
        lines += ["", markdown_text(how)]
    if found.unstated:
        lines += ["", "## Not on the sheet, and so not on this list; enter your own values", ""]
        lines += [f"- {markdown_text(line)}" for line in buying.unlisted(found)]
    return "\n".join([*lines, "", buying.CAUTION, ""])


def _ticked(line: ShoppingLine) -> list[str]:
    head = " ".join(filter(None, [buying.pieces(line), line.needed.name]))
    have = "" if line.part is None else f" ({line.part.ref} {line.part.name})"
    told = ", ".join(filter(None, [buying.ratings(line), buying.mass_told(line), buying.price_told(line)]))
    text = markdown_text(f"{head}{': ' if told else ''}{told}{have}")
    done = line.standing is AtHand.HAVE
    row = f"- [{'x' if done else ' '}] {f'~~{text}~~' if done else text}"
    return [row, *(f"    - {markdown_text(note)}" for note in buying.notes(line))]


#: The form of the list by the ending of its file.
FORMS: dict[str, Callable[[Shopping], str]] = {".md": as_markdown, ".csv": as_table}
