"""What a builder wrote around the values of a sheet: comments, order and blank lines, kept from edit to edit.

Of an edited text only the builder's own part is kept; what the program writes beside it is put in anew each time.
This module is the one that edits TOML as text, with tomlkit; load it only where that is done.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.container import Container
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Comment, Item, Key, Table, Whitespace

Keys = tuple[str, ...]
Body = list[tuple[Key | None, Item]]


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One value that a section can hold: its name, what is said of it, how it is set, or how it could be."""

    name: str
    help: str
    value: str | None
    example: str


def own_part(text: str, ours: Callable[[str], bool]) -> str | None:
    """A text without the comments that are ours, and without tables that hold nothing then; None if it is too odd."""
    try:
        document = tomlkit.parse(text)
    except TOMLKitError:
        return None
    _lift(document.body)
    _strip(document, ours)
    return tomlkit.dumps(document).strip("\n") + "\n"


def _lift(body: Body) -> None:
    """A comment right above the name of a table belongs to that table, not to the end of the one before."""
    lifted: Body = []
    for key, item in body:
        if lifted and _has_name(key, item):
            lifted += _last_comments(lifted[-1][1])
        lifted.append((key, item))
    body[:] = lifted


def _has_name(key: Key | None, item: Item) -> bool:
    """Whether it is a table, and begins with a line of its own."""
    return key is not None and isinstance(item, Table) and not key.is_dotted()


def _last_comments(item: Item) -> Body:
    """Take the comments off that end a table without a blank line after them."""
    body: Body = []
    while isinstance(item, Table) and item.value.body:
        body = item.value.body
        item = body[-1][1]
    first = len(body)
    while first and isinstance(body[first - 1][1], Comment):
        first -= 1
    taken = body[first:]
    del body[first:]
    return taken


def _strip(container: Container, ours: Callable[[str], bool]) -> None:
    kept: Body = []
    for key, item in container.body:
        if isinstance(item, Comment) and ours(item.as_string().strip()):
            continue
        if isinstance(item, Table) and _has_name(key, item):
            _strip(item.value, ours)
            if not item.trivia.comment and all(isinstance(inner, Whitespace) for _, inner in item.value.body):
                continue
        kept.append((key, item))
    container.body[:] = kept


def around(own: str, changed: Mapping[Keys, str | None], sections: Mapping[Keys, Sequence[SheetLine]]) -> str | None:
    """The builder's own text with the values as they are now, and with what the program says beside them.

    None where the text is too odd to be changed piece by piece.

    Parameters
    ----------
    own : str
        From :func:`own_part`.
    changed : mapping of keys to str or None
        Values of the text that are others now, as TOML; None for those that are gone.
    sections : mapping of keys to sequence of SheetLine
        Every section in its order, with every value that it can hold.
    """
    try:
        document = tomlkit.parse(own)
        for keys, value in changed.items():
            _put(document, keys, value)
        plain = dict(_tables(document.body))
        elsewhere = {keys for keys in sections if keys not in plain and _at(document, keys) is not None}
        for keys in elsewhere:
            # Written with dots or in one line; there is no place in it for what we would say.
            for line in sections[keys]:
                if line.value is not None and line.name not in _at(document, keys):
                    _put(document, (*keys, line.name), line.value)
    except TOMLKitError:
        return None
    # Below here only bodies are changed, which are what is written out.
    _lift(document.body)
    for keys, lines in sections.items():
        if keys in plain:
            _fill(plain[keys].value.body, lines)
        elif keys not in elsewhere:
            _insert(document.body, keys, lines, [section[0] for section in sections])
    return tomlkit.dumps(document)


def _at(document: Any, keys: Keys) -> Any:
    for key in keys:
        if not isinstance(document, Mapping) or key not in document:
            return None
        document = document[key]
    return document


def _put(document: Any, keys: Keys, value: str | None) -> None:
    table, name = _at(document, keys[:-1]), keys[-1]
    if value is None:
        del table[name]
    elif isinstance(table.get(name), Table):
        # A value with a table of its own keeps what stands on its lines.
        said: Any = tomlkit.value(value)
        for key in [key for key in table[name] if key not in said]:
            del table[name][key]
        table[name].update(said)
    else:
        table[name] = tomlkit.value(value)


def _tables(body: Body, above: Keys = ()) -> Iterator[tuple[Keys, Table]]:
    """Every table that has a line of its own, by its keys."""
    for key, item in body:
        if key is None or not isinstance(item, Table) or key.is_dotted():
            continue
        keys = (*above, key.key)
        if not item.is_super_table():
            yield keys, item
        yield from _tables(item.value.body, keys)


def _fill(body: Body, lines: Sequence[SheetLine]) -> None:
    """Put help above each value of a table, and in their order the values it lacks."""
    place = {line.name: i for i, line in enumerate(lines)}
    held = {key.key for key, _ in body if key is not None}
    waiting = [line for line in lines if line.name not in held]
    filled: Body = []
    attached: Body = []
    end = _end_of_values(body)
    for key, item in body[:end]:
        if isinstance(item, Comment):
            attached.append((key, item))
            continue
        if key is not None and key.key in place:
            here = place[key.key]
            filled += _written([line for line in waiting if place[line.name] < here])
            waiting = [line for line in waiting if place[line.name] > here]
            filled.append((None, _comment(lines[here].help)))
        # A comment right above a value belongs to it.
        filled += [*attached, (key, item)]
        attached = []
    body[:] = [*filled, *attached, *_written(waiting), *body[end:]]


def _end_of_values(body: Body) -> int:
    """Where the values of a table end; without any, where the comments below its name end."""
    values = [i for i, (key, item) in enumerate(body) if key and (key.is_dotted() or not isinstance(item, Table))]
    blank = next((i for i, (_, item) in enumerate(body) if not isinstance(item, Comment)), len(body))
    return values[-1] + 1 if values else blank


def _written(lines: Sequence[SheetLine]) -> Body:
    body: Body = []
    for line in lines:
        body.append((None, _comment(line.help)))
        if line.value is None:
            body.append((None, _comment(line.example)))
        else:
            body.append((tomlkit.key(line.name), tomlkit.value(line.value)))
    return body


def _comment(text: str) -> Comment:
    return tomlkit.comment(text.removeprefix("# "))


def _insert(body: Body, keys: Keys, lines: Sequence[SheetLine], order: Sequence[str]) -> None:
    """Put a section that the text lacks behind those of its group, or before the first group that comes after."""
    groups = {i: key.key for i, (key, item) in enumerate(body) if key and _has_name(key, item)}
    same = [i + 1 for i, group in groups.items() if group == keys[0]]
    later = [i for i, group in groups.items() if order.index(group) > order.index(keys[0])]
    at = same[-1] if same else later[0] if later else len(body)
    while later and at == later[0] and at and isinstance(body[at - 1][1], Comment):
        later[0] = at = at - 1
    section = tomlkit.parse(f"[{'.'.join(keys)}]\n").body
    inner = section[0][1]
    while isinstance(inner, Table) and inner.is_super_table():
        inner = inner.value.body[0][1]
    assert isinstance(inner, Table)
    inner.value.body[:] = [*_written(lines), (None, tomlkit.nl())]
    gap: Body = [(None, tomlkit.nl())] if at and not _ends_blank(body[at - 1][1]) else []
    body[at:at] = [*gap, *section]


def _ends_blank(item: Item) -> bool:
    while isinstance(item, Table) and item.value.body:
        item = item.value.body[-1][1]
    return isinstance(item, Whitespace)
