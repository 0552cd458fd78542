"""The design sheet as commented TOML, and back; what the builder wrote around the values is kept.

The standard library reads values and names what is wrong; tomlkit keeps comments, order and blank lines.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlmodel import Session, select

from calc.machine import catalogue
from calc.machine.entry import Entry
from journal.book.heard import unheard
from journal.book.sheet import load_sheet, permit, permit_adding, read_value, set_values, unset
from journal.book.store import settle
from journal.book.tables import PROVENANCES, Revision, SheetText, SheetValue
from journal.book.toml_outline import outlined, overgrown
from journal.errors import BadInput, stopped

if TYPE_CHECKING:
    from journal.book import sheet_text

Keys = tuple[str, ...]
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}
_NAME = re.compile(r"""("[^"\\\n]*+"|'[^'\n]*+')|([\w-]++)""")
#: More than any machine has, also one with hundreds of loads.
MOST_VALUES = 2000
_HEAD = "# Design sheet of "
_HOW = (
    '# A value is text with its unit, or { value = "...", from = "...", doubt = "...", note = "..." }.',
    f'# from is one of: {", ".join(PROVENANCES)}. doubt is like "5 %" or "1 cm".',
)


def to_toml(session: Session, revision: Revision) -> str:
    """The whole sheet as commented TOML: what is set, and beside it all that could be.

    Where the builder's own text is kept, his comments, order and blank lines are in it.
    """
    rows = load_sheet(session, revision).values
    kept = _kept(session, revision)
    body = None if kept is None else _around(kept.text, rows)
    head = [f"{_HEAD}{revision.ref}. Lines that begin with # are not set.", *_HOW, ""]
    return "\n".join([*head, _plain(rows) if body is None else body])


#: As many values as a person may take off at once without being asked; and fewer, where they are most of a sheet.
FEW = 3
_SHARE = 1 / 3


@dataclass(frozen=True, slots=True)
class TakenOff:
    """The values that an edited text names no more, of how many; whether they are so many that it may be a slip."""

    paths: list[str]
    of: int

    @property
    def many(self) -> bool:
        """Whether a person should be asked first."""
        return len(self.paths) > FEW or (len(self.paths) > 1 and len(self.paths) > _SHARE * self.of)


def taken_off(before: str, after: str) -> TakenOff:
    """What a text that was edited takes off the sheet.

    Raises
    ------
    BadInput
        As :func:`from_toml`.
    """
    old, new = from_toml(before), from_toml(after)
    return TakenOff(sorted(set(old) - set(new)), len(old))


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What a text that was read came to: how many values it set, took off, and left as they were."""

    changed: int
    gone: int
    left: int


def edit_sheet(
    session: Session, revision: Revision, before: str, after: str, correction: str | None = None
) -> tuple[int, int, bool]:
    """Take over a sheet that was edited as text: what it sets otherwise, what it sets no more, what stands around.

    Returns
    -------
    changed, gone : int
        How many values were set, and how many taken off.
    around : bool
        Whether what stands around them is another now.

    Raises
    ------
    BadInput, Refused
        As :func:`from_toml` and :func:`journal.book.sheet.set_values`; nothing is changed then.
    """
    old, items = from_toml(before), from_toml(after)
    changed = {path: item for path, item in items.items() if old.get(path) != item}
    gone = sorted(set(old) - set(items))
    if changed:
        set_values(session, revision, changed, correction)
    if gone:
        unset(session, revision, gone, correction)
    return len(changed), len(gone), _keep(session, revision, after, correction)


def read_sheet(
    session: Session,
    revision: Revision,
    source: str,
    name: str,
    correction: str | None = None,
    *,
    take_off: bool = False,
) -> TakenIn:
    """Set what a text names, and keep what stands around it, unless that would replace the text of a fuller one.

    Parameters
    ----------
    take_off : bool
        Whether what it does not name is taken off.

    Raises
    ------
    BadInput, Refused
        As :func:`from_toml` and :func:`journal.book.sheet.set_values`; nothing is changed then.
    """
    items = from_toml(source, name)
    set_values(session, revision, items, correction)
    left = sorted(set(load_sheet(session, revision).values) - set(items))
    if left and take_off:
        unset(session, revision, left, correction)
    if _kept(session, revision) is None or take_off or not left:
        _keep(session, revision, source, correction)
    return TakenIn(len(items), len(left) if take_off else 0, 0 if take_off else len(left))


def _kept(session: Session, revision: Revision) -> SheetText | None:
    return session.exec(select(SheetText).where(SheetText.revision_id == revision.id)).one_or_none()


def _keep(session: Session, revision: Revision, text: str, correction: str | None) -> bool:
    """Keep what the builder wrote around the values; nothing, where all of it is ours. Whether that is a change."""
    from journal.book import sheet_text

    ours = {line for entry in catalogue.catalogue().values() for line in (_help(entry), _example(entry))} | set(_HOW)
    own, plain = (
        sheet_text.own_part(source, lambda line: line in ours or line.startswith(_HEAD))
        for source in (text, _plain(load_sheet(session, revision).values))
    )
    kept = _kept(session, revision)
    # Blank lines alone are no words of anybody's.
    if own is None or (kept is None and not own.strip()) or own == (plain if kept is None else kept.text):
        return False
    if _only_adds("" if kept is None else kept.text, own):
        permit_adding(session, revision, correction)
    else:
        permit(session, revision, correction)
    if kept is not None and own == plain:
        session.delete(kept)
    else:
        kept = kept or SheetText(revision_id=revision.key, text="")
        kept.text = own
        session.add(kept)
    settle(session)
    return True


def _only_adds(old: str, new: str) -> bool:
    """Whether every line of a text stands in another, in the same order."""
    left = iter(new.splitlines())
    return all(line in left for line in old.splitlines())


def _around(own: str, rows: Mapping[str, SheetValue]) -> str | None:
    """The builder's own text around the values as they are now; None if they could not be read from it again."""
    from journal.book import sheet_text

    sections: dict[Keys, list[sheet_text.SheetLine]] = {
        (group, label) if label else (group,): [_as_line(entry, rows.get(entry.named(label))) for entry in entries_of]
        for group, label in _sections(rows)
        for entries_of in [_entries(group)]
    }
    changed: dict[Keys, str | None] = {}
    for keys, value in _leaves(tomllib.loads(own)):
        row = rows.get(".".join(keys))
        if row is None:
            changed[keys] = None
        elif _fields(row.path, value) != _kept_fields(row):
            changed[keys] = _inline(row)
    text = sheet_text.around(own, changed, sections)
    if text is None or {path: _kept_fields(row) for path, row in rows.items()} != _all_fields(text):
        return None
    return text


def _as_line(entry: Entry[Any], row: SheetValue | None) -> sheet_text.SheetLine:
    from journal.book import sheet_text

    return sheet_text.SheetLine(entry.name, _help(entry), None if row is None else _inline(row), _example(entry))


def _kept_fields(row: SheetValue) -> dict[str, Any]:
    return row.model_dump(exclude={"id", "revision_id", "path"})


def _fields(path: str, value: Any) -> dict[str, Any] | None:
    """What an entry of the text would be kept as, if it can be read."""
    try:
        with unheard():
            return read_value(path, **_item(path, value))
    except BadInput:
        return None


def _all_fields(text: str) -> dict[str, dict[str, Any] | None]:
    return {".".join(keys): _fields(".".join(keys), value) for keys, value in _leaves(tomllib.loads(text))}


def _plain(rows: Mapping[str, SheetValue]) -> str:
    """Every section in the order of the catalogue."""
    return "\n".join(_section(group, label, rows) for group, label in _sections(rows))


def _sections(rows: Iterable[str]) -> Iterator[tuple[str, str | None]]:
    """Group and label of each section of a sheet; a group that takes labels has one at least, to be filled in."""
    for group in catalogue.GROUPS:
        if group in catalogue.RECORDED:
            continue
        if group not in catalogue.LABELLED:
            yield group, None
            continue
        labels = sorted({catalogue.split(path)[1] or "" for path in rows if path.startswith(f"{group}.")})
        yield from ((group, label) for label in labels or ["main"])


def _entries(group: str) -> list[Entry[Any]]:
    return [entry for entry in catalogue.catalogue().values() if entry.group == group]


def _section(group: str, label: str | None, rows: Mapping[str, SheetValue]) -> str:
    lines = [f"[{group}.{label}]" if label else f"[{group}]"]
    for entry in _entries(group):
        row = rows.get(entry.named(label))
        lines += [_help(entry), _example(entry) if row is None else f"{entry.name} = {_inline(row)}"]
    return "\n".join([*lines, ""])


def _help(entry: Entry[Any]) -> str:
    return f"# {entry.meaning}. {entry.accepts[:1].upper()}{entry.accepts[1:]}."


def _example(entry: Entry[Any]) -> str:
    return f"# {entry.name} = {{ value = {_quote(entry.example)}, from = {_quote('estimate')} }}"


def _quote(value: str) -> str:
    return '"' + "".join(_ESCAPES.get(c, c) for c in value) + '"'


def _inline(row: SheetValue) -> str:
    """A value with all that is said of it."""
    parts = {"value": _readable(row), "from": row.provenance, "doubt": row.doubt, "note": row.note}
    # A doubt that was typed with the value is read from there again.
    with unheard(), suppress(BadInput):
        if row.doubt and read_value(row.path, row.typed)["doubt"] == row.doubt:
            parts["doubt"] = None
    return "{ " + ", ".join(f"{k} = {_quote(v)}" for k, v in parts.items() if v is not None) + " }"


def _readable(row: SheetValue) -> str:
    """What was typed; or the word it was taken for, where an older Galebook took what is asked about today."""
    try:
        with unheard():
            read_value(row.path, row.typed)
    except BadInput:
        return row.word or row.typed
    return row.typed


def from_toml(source: str, name: str = "sheet") -> dict[str, dict[str, Any]]:
    """Read a sheet from TOML.

    Returns
    -------
    items : dict
        As :func:`journal.book.sheet.set_values` takes them.

    Raises
    ------
    BadInput
        With the name of the file and the line.
    """
    if (line := overgrown(source)) is not None:
        raise BadInput(f"{name}, line {line}: too many brackets or names within one another", "Nothing was saved")
    try:
        data = tomllib.loads(source)
    except (ValueError, RecursionError) as e:
        # Beside its own errors: a number of thousands of digits.
        raise BadInput(f"{name}: not valid TOML: {e}", "Nothing was saved") from None
    items: dict[str, dict[str, Any]] = {}
    # Of what is set, one is told when it is set.
    with unheard():
        _take_items(source, name, data, items)
    return items


def _take_items(source: str, name: str, data: Mapping[str, Any], items: dict[str, dict[str, Any]]) -> None:
    """Read every value of a parsed text."""
    for keys, value in _leaves(data):
        if len(items) == MOST_VALUES:
            raise BadInput(f"{name} has more than {MOST_VALUES} values", "Nothing was saved")
        path = ".".join(keys)
        try:
            items[path] = _item(path, value)
            read_value(path, **items[path])
        except BadInput as e:
            place = f"{name}, line {_line(source, keys)}"
            raise BadInput(f"{place}: {e.what}", f"{stopped(e.accepted)} Nothing was saved") from None


def _item(path: str, value: Any) -> dict[str, Any]:
    """What one entry of the text says of a value."""
    item = value if isinstance(value, dict) else {"value": value}
    unknown = set(item) - {"value", "from", "doubt", "note"}
    if unknown or "value" not in item or not all(isinstance(v, str | int | float | bool) for v in item.values()):
        raise BadInput(f"cannot read {path}", 'Accepted: "2.2 m" or { value = "2.2 m", from = "measured" }')
    said = item["value"]
    typed = ("yes" if said else "no") if isinstance(said, bool) else said
    given = {"typed": typed, "provenance": item.get("from"), "doubt": item.get("doubt"), "note": item.get("note")}
    try:
        return {k: str(v) for k, v in given.items() if v is not None}
    except ValueError:
        raise BadInput(f"{path} has thousands of digits", "Accepted: a number with its unit") from None


def _leaves(data: Mapping[str, Any], above: Keys = ()) -> Iterator[tuple[Keys, Any]]:
    """Each entry of the text that stands for a value, with its keys."""
    for key, value in data.items():
        keys = (*above, key)
        path = ".".join(keys)
        depth = 2 if path.split(".")[0] in catalogue.LABELLED else 1
        if isinstance(value, dict) and path.count(".") < depth:
            yield from _leaves(value, keys)
        else:
            yield keys, value


def _line(source: str, keys: Keys) -> int:
    """The line that sets a name, or the last that begins to."""
    wanted, found, above = list(keys), 1, list[str]()
    for number, line in _begun(source):
        table = line.lstrip().startswith("[")
        here = [*([] if table else above), *_names(line.partition("=")[0])]
        above = here if table else above
        if here and here == wanted[: len(here)]:
            found = number
            if len(here) == len(wanted):
                break
    return found


def _begun(source: str) -> Iterator[tuple[int, str]]:
    """The lines in which a name or the head of a table may stand, as they were written."""
    lines = source.replace("\r\n", "\n").split("\n")
    return ((number, lines[number - 1]) for number, line in outlined(source) if "=" in line or line.strip()[:1] == "[")


def _names(written: str) -> list[str]:
    """The names that stand before a value or in the head of a table."""
    return [quoted[1:-1] or bare for quoted, bare in _NAME.findall(written.partition("#")[0])]
