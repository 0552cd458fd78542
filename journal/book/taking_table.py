"""Which column of a table is what: proposed from its heads, said by the person, or remembered from the last one.

What was said of a header is kept in ``tables.json`` in the folder beside the journal: it tells how somebody's tables
are read, and is no part of the record of a machine, so that it stands in no history and goes out with no export.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sqlmodel import Session

from calc.quantities import QUANTITIES
from journal.book.measurements import quantity_named
from journal.book.places import kept_folder
from journal.book.plain_quantity import Wanted, plain_number
from journal.book.quantity import parse
from journal.book.records import current_build
from journal.book.table_text import TableText
from journal.book.table_words import (
    EITHER_VOLTAGE,
    FREQUENCY,
    HEADS,
    LEFT_OUT,
    UNIT_HEADS,
    UNIT_WORDS,
    plain_head,
    quantities_headed,
)
from journal.errors import BadInput, GalebookError, nearest

KINDS = tuple(HEADS)
#: One of these a table needs, to be of that kind.
_NEEDS = {
    "attempts": ("did",), "parts": ("name",), "failures": ("saw",), "claims": ("said", "power"), "readings": (),
}  # fmt: skip
_UNIT_IN_HEAD = re.compile(r"(.*?)[\s,]*(?:\(\s*(.+?)\s*\)|\[\s*(.+?)\s*\]|\s(?:in|/)\s*(\S+))")
_OPEN, _VOLTAGES = "generator.open_voltage", ("generator.open_voltage", "generator.loaded_voltage", "battery.voltage")
_CURRENTS = ("charge.current", "generator.short_current")
#: Heads of which so many are kept, the newest first.
_KEPT = 50


@dataclass(frozen=True, slots=True)
class TableColumn:
    """One column of a table.

    Parameters
    ----------
    head : str
        As it stands.
    target : str
        What it is: a quantity, a field of the record, or :data:`~journal.book.table_words.LEFT_OUT`.
    unit : str
        The unit of its numbers where a cell names none, as the reader of units takes it.
    why : {"head", "said", "remembered"}
        Whence that is known.
    """

    head: str
    target: str
    unit: str = ""
    why: str = "head"

    @property
    def is_read(self) -> bool:
        """Whether its cells are values that were read."""
        return self.target in QUANTITIES or self.target == EITHER_VOLTAGE


@dataclass(frozen=True)
class TakenTable:
    """How a table is taken: of what kind it is, and what its columns are; ``shared`` holds for all of its lines."""

    kind: str
    columns: tuple[TableColumn, ...]
    shared: Mapping[str, str] = field(default_factory=dict)

    def has(self, *targets: str) -> bool:
        """Whether a column is one of some things."""
        return any(c.target in targets for c in self.columns)


#: Chooses one of several targets for a column with a head; a refusal with what was wrong where nobody can.
Chooser = Callable[[str, tuple[str, ...], BadInput], str]


def nobody(_head: str, _among: tuple[str, ...], refusal: BadInput) -> str:
    """Choose nothing where nobody is there to ask."""
    raise refusal


def read_map(typed: str) -> dict[str, str]:
    """Heads with what they are, from ``Spannung=battery.voltage, U/min=rotor.speed``; a unit may stand behind.

    Raises
    ------
    BadInput
        If one names no target.
    """
    said: dict[str, str] = {}
    for pair in re.split(r"[,;](?=[^=]*=)", typed):
        head, equals, target = pair.rpartition("=")
        if not equals or not head.strip() or not target.strip():
            raise BadInput(
                f"--map: {pair.strip()!r} does not say what a column is", 'Like --map "volts=battery.voltage"'
            )
        said[head.strip()] = target.strip()
    return said


def take(
    table: TableText,
    kind: str | None,
    said: Mapping[str, str],
    shared: Mapping[str, str],
    kept: Mapping[str, object] | None = None,
    choose: Chooser = nobody,
) -> TakenTable:
    """Say what each column of a table is.

    Parameters
    ----------
    kind : str, optional
        One of :data:`KINDS`; else it is told from the header.
    said, kept : mapping of str to str
        What the person says now of heads, and what was said of the same header earlier.
    shared : mapping
        What holds for all lines, by the names of the fields.

    Raises
    ------
    BadInput
        If a column is not understood, or can be several things, and nobody chooses.
    """
    earlier = kept if kept and (kind is None or kept.get("as") == kind) else {}
    kind = kind or str(earlier.get("as") or "") or _kind_of(table, said)
    if kind not in KINDS:
        raise BadInput(f"--as {kind!r} is no kind of table", f"Accepted: {', '.join(KINDS)}")
    before = earlier.get("map")
    plainly = {plain_head(h): str(t) for h, t in before.items()} if isinstance(before, dict) else {}
    known = {h: (plainly[plain_head(h)], "remembered") for h in table.header if plain_head(h) in plainly}
    known |= {h: (t, "said") for h, t in _heads_said(table, said).items()}
    columns = [_said(head, kind, *known[head]) if head in known else None for head in table.header]
    options = [None if c else _options(head, kind, _first_unit(table, i))
               for i, (head, c) in enumerate(zip(table.header, columns, strict=True))]  # fmt: skip
    taken, unclear = [], []
    for head, column, among in zip(table.header, columns, options, strict=True):
        try:
            narrowed = _narrowed(among or (), kind, options, columns, shared)
            taken.append(column or _proposed(head, narrowed, kind, choose))
        except UnclearColumn as e:
            unclear.append(e)
    if unclear:
        raise _all_unclear(unclear)
    return _sound(TakenTable(kind, tuple(taken), shared))


class UnclearColumn(BadInput):
    """A column that is not understood, or can be several things; ``pair`` is how it could be said."""

    def __init__(self, what: str, pair: str, more: str = "") -> None:
        super().__init__(what, f'Say which with --map "{pair}"{more}')
        self.pair, self.more = pair, more


def _all_unclear(unclear: list[UnclearColumn]) -> BadInput:
    """What is said of all columns that are not clear, so that they can be told at once."""
    pairs = ", ".join(e.pair for e in unclear)
    return UnclearColumn("; ".join(e.what for e in unclear), pairs, next((e.more for e in unclear if e.more), ""))


def _heads_said(table: TableText, said: Mapping[str, str]) -> dict[str, str]:
    """What was said of heads, by the heads as they stand in the table."""
    found = {}
    for head, target in said.items():
        same = [h for h in table.header if h == head] or [h for h in table.header if plain_head(h) == plain_head(head)]
        same = same or [h for h in table.header if plain_head(_apart(h)[0]) == plain_head(head)]
        if len(same) != 1:
            raise BadInput(
                f"--map: no column is headed {head!r}", f"The heads are: {', '.join(filter(None, table.header))}"
            )
        found[same[0]] = target
    return found


def _apart(head: str) -> tuple[str, str]:
    """A head without the unit that stands in it, and the unit."""
    if head.strip().casefold().endswith("db(a)"):
        return head.strip()[:-5].rstrip(" ,(["), "dB(A)"
    if match := _UNIT_IN_HEAD.fullmatch(head.strip()):
        unit = match[2] or match[3] or match[4]
        return (match[1], unit) if _is_unit(unit) else (head, "")
    name, blank, last = head.strip().rpartition(" ")
    if blank and (last in ("km/h", "m/s", "mph", "kn", "rpm", "V", "A", "W", "ohm", "kmh", "Hz", "m", "cm", "kg", "h")):
        return name, last
    return head, ""


def _is_unit(text: str) -> bool:
    """Whether a text in brackets is a unit; else it only says more of the column."""
    plain = UNIT_WORDS.get(text.casefold(), text)
    # A currency, and what the quantities and the other records are in.
    return (
        plain == "Bft"
        or re.fullmatch("[A-Z]{3}", plain) is not None
        or any(_fits(q, plain) for q in QUANTITIES)
        or (_in_unit(plain, "kg"))
    )


def _in_unit(unit: str, asked: str) -> bool:
    try:
        parse(f"1 {unit}", Wanted(asked, asked, -math.inf, math.inf, ""), "Unit")
    except GalebookError:
        return False
    return True


def _fits(target: str, unit: str) -> bool:
    """Whether a quantity can be read in a unit."""
    if target == FREQUENCY:
        return unit == "Hz"
    asked = QUANTITIES.get(_VOLTAGES[0] if target == EITHER_VOLTAGE else target)
    return asked is None or unit in ("", asked.shown) or (unit == "Bft" and target == "wind.speed") or (
        _in_unit(unit, asked.unit))  # fmt: skip


def _first_unit(table: TableText, column: int) -> str:
    """The unit in the first cell of a column that has a number with one."""
    for line in table.lines[:20]:
        parts = plain_number(line.cells[column].replace(",", "."))
        if parts:
            return UNIT_WORDS.get(parts[1].casefold(), parts[1])
    return ""


def _options(head: str, kind: str, cell_unit: str) -> tuple[TableColumn, ...]:
    """Everything that a column can be by its head."""
    if not head:
        return ()
    raw, (name, unit) = " ".join(head.casefold().split()), _apart(head)
    unit = UNIT_WORDS.get(unit.casefold(), unit)
    named = plain_head(name)
    if kind == "readings" and raw in UNIT_HEADS:
        unit, named = UNIT_HEADS[raw]
    elif plain_head(head) in UNIT_WORDS and not unit:
        unit = UNIT_WORDS[plain_head(head)]
    # In "battery volts" the unit is a word of the head.
    words = [UNIT_HEADS.get(word, ("", word)) for word in named.split()]
    unit = unit or next((u for u, _ in words if u and kind == "readings"), "")
    fields = [t for t, heads in HEADS[kind].items() if named in heads or named == t.replace("_", " ")]
    read = quantities_headed(named) if kind == "readings" else []
    if not read and kind == "readings" and not fields:
        read = quantities_headed(" ".join(word for _, word in words))
    told = unit or cell_unit
    read = [q for q in read if _fits(q, told)]
    if "wind" in fields and "wind.speed" in read:
        read = ["wind.speed"]
    elif fields:
        read = []
    return tuple(TableColumn(head, t, unit) for t in (*fields, *read))


def _narrowed(
    among: tuple[TableColumn, ...],
    kind: str,
    options: list[tuple[TableColumn, ...] | None],
    columns: list[TableColumn | None],
    shared: Mapping[str, str],
) -> tuple[TableColumn, ...]:
    """What a column can still be once the others, and what was connected, are looked at."""
    if kind != "readings" or len(among) < 2:
        return among
    others = [c.target for some in options if some and some is not among for c in some]
    others += [c.target for c in columns if c]
    targets = [c.target for c in among]
    if "wind" in targets:
        targets = ["wind" if any(t in QUANTITIES or t == "value" for t in others) else "wind.speed"]
    if "rotor.speed" in targets and "wind" in others:
        targets = ["rotor.speed"]
    if FREQUENCY in targets and "rotor.speed" in others and {*_VOLTAGES, EITHER_VOLTAGE} & set(others):
        targets = [FREQUENCY]
    load = shared.get("load_state", "").strip().casefold()
    if load and _OPEN in targets:
        nothing = "nothing connected".startswith(load)
        targets = [t for t in targets if (t == _OPEN) == nothing]
    if load and "charge.current" in targets:
        shorted = "short circuit".startswith(load)
        targets = [t for t in targets if t not in _CURRENTS or (t == "generator.short_current") == shorted]
    elif {*_VOLTAGES, EITHER_VOLTAGE} & set(others):
        # With the leads shorted there is no voltage to be read.
        targets = [t for t in targets if t != "generator.short_current"]
    return tuple(c for c in among if c.target in targets)


def _proposed(head: str, among: tuple[TableColumn, ...], kind: str, choose: Chooser) -> TableColumn:
    """The one thing that a column can be; else what the person chooses."""
    if len(among) == 1:
        return among[0]
    if not head:
        return TableColumn(head, LEFT_OUT)
    targets = tuple(c.target for c in among)
    if targets:
        what = f"The column {head!r} can be {', '.join(targets[:-1])} or {targets[-1]}"
        more = '; or, for a spin test, --load "nothing connected"' if _OPEN in targets else ""
        refusal = UnclearColumn(what, f"{head}={targets[0]}", more)
    else:
        known = [*(HEADS[kind]), *(QUANTITIES if kind == "readings" else ())]
        close = nearest(plain_head(head).replace(" ", "_"), known)
        like = close or ("battery.voltage" if kind == "readings" else known[0])
        refusal = UnclearColumn(
            f"The column {head!r} is not understood", f"{head}={like}", f', or leave it out with --map "{head}=none"'
        )
    return _said(head, kind, choose(head, targets, refusal), "said", among[0].unit if among else "")


def _said(head: str, kind: str, target: str, why: str, unit: str = "") -> TableColumn:
    """A column as the person says it, a unit behind the name."""
    name, _, told = target.strip().partition(" ")
    fields = HEADS[kind]
    if name not in (*fields, EITHER_VOLTAGE, FREQUENCY) or (name in (EITHER_VOLTAGE, FREQUENCY) and kind != "readings"):
        plain = {plain_head(h): t for t, heads in fields.items() for h in heads}
        if (meant := plain.get(plain_head(target))) is not None:
            name, told = meant, ""
        elif kind == "readings":
            name = quantity_named(name)
        else:
            raise BadInput(f"--map: {kind} have no {target!r}", f"Accepted: {', '.join(fields)}")
    raw = " ".join(head.casefold().split())
    unit = told or unit or _apart(head)[1] or (UNIT_HEADS[raw][0] if raw in UNIT_HEADS else "")
    unit = UNIT_WORDS.get(unit.casefold(), unit)
    if not told and not _fits(name, unit):
        unit = ""
    if unit and not _fits(name, unit):
        raise BadInput(f"--map: {name} is not read in {unit!r}", f"Like {QUANTITIES[name].example}")
    return TableColumn(head, name, unit, why)


def _kind_of(table: TableText, said: Mapping[str, str]) -> str:
    """Of what kind a table is, by how many of its columns are understood as one.

    Raises
    ------
    BadInput
        If two kinds fit alike.
    """
    heads = [h for h in table.header if h]
    told = {plain_head(h): t.split(" ")[0] for h, t in said.items()}
    scores = {kind: _score(kind, heads, told) for kind in KINDS}
    most = max(scores.values())
    best = [kind for kind, score in scores.items() if score == most]
    if most and len(best) == 1:
        return best[0]
    what = (
        f"It can be a table of {' or '.join(best)}" if most else "What the table holds cannot be told from its header"
    )
    raise BadInput(what, f"Say it with --as {'|'.join(best if most else KINDS)}, and columns with --map")


def _score(kind: str, heads: list[str], told: Mapping[str, str]) -> int:
    """How many heads are understood in a table of some kind; none where what it needs is not among them."""
    every = {*HEADS[kind], *((*QUANTITIES, EITHER_VOLTAGE) if kind == "readings" else ())}
    can = {h: {c.target for c in _options(h, kind, "")} for h in heads}
    can |= {h: {told[plain_head(h)]} & every for h in heads if plain_head(h) in told}
    among = set().union(*can.values())
    needed = {*QUANTITIES, EITHER_VOLTAGE, "quantity"} if kind == "readings" else set(_NEEDS[kind])
    return sum(bool(targets) for targets in can.values()) if among & needed else 0


def _sound(taken: TakenTable) -> TakenTable:
    """Hold that a table has what its kind needs, and nothing twice."""
    targets = [c.target for c in taken.columns if c.target != LEFT_OUT]
    twice = [t for t in targets if targets.count(t) > 1 and t not in ("private_note", "conditions")]
    if twice:
        heads = " and ".join(repr(c.head) for c in taken.columns if c.target == twice[0])
        raise BadInput(f"The columns {heads} would both be {twice[0]}", f'Leave one out with --map "HEAD={LEFT_OUT}"')
    if taken.kind == "readings":
        long = taken.has("quantity", "value")
        if long and not (taken.has("value") and (taken.has("quantity") or "quantity" in taken.shared)):
            raise BadInput("A table with one reading a line has a column for the quantity and one for the value",
                           'Name them with --map "HEAD=quantity, HEAD=value"')  # fmt: skip
        if not long and not any(c.is_read for c in taken.columns):
            raise BadInput("No column holds a quantity that was read", 'Name one with --map "HEAD=battery.voltage"')
    elif not taken.has(*_NEEDS[taken.kind]):
        wanted = " or ".join(_NEEDS[taken.kind])
        raise BadInput(
            f"No column holds the {wanted} of {taken.kind}", f'Name it with --map "HEAD={_NEEDS[taken.kind][0]}"'
        )
    return taken


def _name_of(session: Session, table: TableText) -> str:
    told = json.dumps([plain_head(h) for h in table.header])
    return f"{current_build(session).key} {hashlib.sha256(told.encode()).hexdigest()[:16]}"


def remembered(session: Session, table: TableText) -> dict[str, object]:
    """What was said of a header earlier in this build; nothing where nothing was, or it can no longer be read."""
    found = _all_kept(session).get(_name_of(session, table))
    return found if isinstance(found, dict) else {}


def _all_kept(session: Session) -> dict[str, object]:
    try:
        found = json.loads((kept_folder(session.info["path"]) / "tables.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def remember(session: Session, table: TableText, taken: TakenTable) -> None:
    """Keep what was said of a header for the next table with the same one; without it nothing is lost but a flag."""
    import contextlib

    from journal.book.safe_files import make_folder
    from journal.book.safe_files import replace as write

    told = {c.head: f"{c.target} {c.unit}".strip() for c in taken.columns if c.why != "head"}
    if not told:
        return
    name = _name_of(session, table)
    kept = {name: {"as": taken.kind, "map": told}, **{k: v for k, v in _all_kept(session).items() if k != name}}
    text = json.dumps(dict(list(kept.items())[:_KEPT]), ensure_ascii=False, indent=1)
    folder = kept_folder(session.info["path"])
    with contextlib.suppress(OSError, GalebookError):
        make_folder(folder)
        write(folder / "tables.json", [text.encode()])
