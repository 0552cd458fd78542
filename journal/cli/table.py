"""The past in bulk: a table of readings, attempts, parts, failures or claims."""

from __future__ import annotations

import contextlib
import shlex
import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli.common import Commands, ask, at_terminal, confirm, say, session, waiting
from journal.cli.options import Correct, InAttempt, Json, Load, On, When, WindHeight
from journal.cli.typed import front, let_go, new_text, texts_folder
from journal.errors import BadInput, GalebookError, Refused

if TYPE_CHECKING:
    from sqlmodel import Session

    from journal.book.table_text import TableText
    from journal.book.taking_rows import BadCell
    from journal.screens.table import Tabled


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Logging", table)


def table(
    file: Annotated[
        str | None, typer.Argument(metavar="FILE", help="CSV, a paste kept as text, or .xlsx; - for standard input.")
    ] = None,
    kind: Annotated[
        str | None, typer.Option("--as", help="readings, attempts, parts, failures or claims; else told by the heads.")
    ] = None,
    mapped: Annotated[
        list[str] | None,
        typer.Option("--map", help='What columns are, e.g. "Spannung=battery.voltage, U/min=rotor.speed".'),
    ] = None,
    only_try: Annotated[bool, typer.Option("--try", help="Show what would be logged, and write nothing.")] = False,
    attempt: InAttempt = None,
    on: On = None,
    day: When = None,
    wind: Annotated[str | None, typer.Option(help="Wind, for lines that name none.")] = None,
    wind_height: WindHeight = None,
    load: Load = None,
    instrument: Annotated[str | None, typer.Option(help="Read with what: words, or an instrument such as I1.")] = None,
    conditions: Annotated[str | None, typer.Option(help="Anything that matters: cold, gusts, rain.")] = None,
    who: Annotated[str | None, typer.Option("--by", help="Who made the claims.")] = None,
    decimal: Annotated[
        str | None, typer.Option(help="Mark ahead of decimals: comma or point; else told by the table.")
    ] = None,
    days: Annotated[str | None, typer.Option(help="How 03/04/2023 is meant: day-first or month-first.")] = None,
    skip_known: Annotated[bool, typer.Option("--skip-known", help="Leave out what the journal has already.")] = False,
    put: Annotated[bool, typer.Option("--set", help="Put what a spin test tells on the sheet.")] = False,
    correct: Correct = None,
    as_json: Json = False,
) -> None:
    """Log a whole table: readings, attempts, parts, failures or claims, all of it or nothing.

    Run bare at a terminal, it takes a paste until an empty line. Columns are known by their heads.

    Example: galebook table notebook.csv --attempt A1 --try
    """
    shared = {"attempt": attempt, "on": on, "wind": wind, "wind_height": wind_height, "load_state": load,
              "instrument": instrument, "conditions": conditions, "who": who}  # fmt: skip
    said = {k: v for k, v in shared.items() if v is not None}
    _take(file, _How(kind, mapped or [], said, day, decimal, days, skip_known, put, correct, only_try, as_json))


@dataclass(frozen=True)
class _How:
    """What was said of the table on the command line."""

    kind: str | None
    mapped: list[str]
    shared: dict[str, str]
    day: str | None
    decimal: str | None
    days: str | None
    skip_known: bool
    put: bool
    correct: str | None
    only_try: bool
    as_json: bool
    answered: dict[str, str] = field(default_factory=dict)


def _take(file: str | None, how: _How) -> None:
    """Read a table and log it; what was pasted is kept where it is not taken over."""
    given, pasted = _given(file)
    try:
        taken_over = _logged(given, file, how)
    except BaseException:
        # Whatever ends it, Ctrl-C too, costs nobody what was pasted.
        _keep(given, pasted, how)
        raise
    if not taken_over:
        _keep(given, pasted and at_terminal(), how)
    elif file and Path(file).absolute().parent == texts_folder().absolute():
        let_go(Path(file))


def _given(file: str | None) -> tuple[bytes, bool]:
    """The bytes of a table, and whether they were pasted."""
    from journal.book.table_text import MOST_BYTES, read_bytes

    if file is not None and file != "-":
        return read_bytes(Path(file)), False
    if file is None and at_terminal():
        typer.echo("Paste the table, its heads first; an empty line ends it: ", nl=False, err=True)
        return _pasted(), True
    return sys.stdin.buffer.read(MOST_BYTES + 1), True


def _pasted() -> bytes:
    """Lines from the terminal up to an empty one; Ctrl-C gives nothing but what was pasted before it, kept."""
    lines: list[str] = []
    try:
        for line in sys.stdin:
            if not line.strip():
                if lines:
                    break
                continue
            lines.append(line)
    except KeyboardInterrupt:
        _keep("".join(lines).encode(errors="replace"), bool(lines), None)
        raise
    return "".join(lines).encode(errors="replace")


def _keep(given: bytes, pasted: bool, how: _How | None) -> None:
    """Keep what was pasted beside the journal, and tell how to go on with it."""
    if not pasted or not given.strip():
        return
    with contextlib.suppress(OSError, GalebookError):
        path = new_text("table.csv", given.decode("utf-8", errors="replace"))
        words = ["galebook", *front(), "table", str(path), *(_flags(how) if how else [])]
        say(f"What you pasted is kept; once put right, go on with: {shlex.join(words)}")


def _flags(how: _How) -> list[str]:
    """The flags by which the same is said again."""
    named = {
        "--as": how.kind,
        "--when": how.day,
        "--decimal": how.decimal,
        "--days": how.days,
        "--correct": how.correct,
    }
    names = {"load_state": "--load", "who": "--by", "wind_height": "--wind-height"}
    named |= {names.get(name, f"--{name}"): value for name, value in how.shared.items()}
    told = [word for flag, value in named.items() if value is not None for word in (flag, value)]
    told += [word for pair in how.mapped for word in ("--map", pair)]
    return told + (["--skip-known"] if how.skip_known else []) + (["--set"] if how.put else [])


def _logged(given: bytes, file: str | None, how: _How) -> bool:
    """Look at a table, ask where somebody is there, log it; whether it was logged."""
    from journal.book.table_text import table_of
    from journal.screens.table import bad_lines, show_tabled

    name = "pasted table" if file in (None, "-") else Path(str(file)).name
    with waiting("Reading"):
        text = table_of(given, name)
    if how.only_try or at_terminal():
        with session() as s:
            looked = _look(s, text, name, how)
        show_tabled(looked, how.as_json)
        _hold(looked, bad_lines, told=True)
        kind = looked.plan.taken.kind
        if how.only_try or not confirm(f"Log these {len(looked.plan.entries)} {kind}", default=True):
            say("Nothing was logged.")
            return False
        said = {c.head: f"{c.target} {c.unit}".strip() for c in looked.plan.taken.columns if c.why == "said"}
        how = replace(how, kind=kind, answered=said)
    with session(write=True) as s:
        done = _log(s, _look(s, text, name, how), how)
    _hold(done, bad_lines, told=False)
    show_tabled(done, how.as_json)
    return True


def _hold(looked: Tabled, bad_lines: Callable[[list[BadCell]], list[str]], *, told: bool) -> None:
    """Hold that every line can be used."""
    from calc.wording import number_of

    bad = looked.plan.bad
    if not bad:
        return
    if not told:
        for line in bad_lines(bad):
            say(line)
    many = number_of(len(bad), "cell")
    raise BadInput(
        f"{many} of {looked.name} cannot be used, so nothing was logged",
        "Mend the table and give it again; --try only looks",
    )


def _look(s: Session, text: TableText, name: str, how: _How) -> Tabled:
    """Say what the columns of a table are, and read all of its lines."""
    from journal.book import table_numbers, taking_rows, taking_table
    from journal.review.spun import spun_from
    from journal.screens.table import Tabled

    typed = {head: target for pairs in how.mapped for head, target in taking_table.read_map(pairs).items()}
    said = {**typed, **how.answered}
    kept = taking_table.remembered(s, text)
    taken = taking_table.take(text, how.kind, said, how.shared, kept, _choose)
    taken = taking_rows.for_all_lines(s, taken, how.day)
    mark = table_numbers.mark_named(how.decimal) if how.decimal else ""
    month_first = _month_first(how.days)
    with waiting("Reading") as far:
        plan = taking_rows.read_rows(s, text, taken, mark=mark, month_first=month_first, far=far)
    return Tabled(name, text, plan, spun_from(plan))


def _month_first(typed: str | None) -> bool | None:
    from journal.book.written import word

    said = word(typed, ("day-first", "month-first"), "--days")
    return None if said is None else said == "month-first"


def _choose(head: str, among: tuple[str, ...], refusal: BadInput) -> str:
    """Ask what a column is, where somebody is there."""
    if not at_terminal():
        raise refusal
    say(f"  {refusal.what}.")
    words = (*among, "none") if among else ()
    return ask(None, f"What is {head!r}", flag="--map", words=words) or "none"


def _log(s: Session, looked: Tabled, how: _How) -> Tabled:
    """Log what a table gives, and put what it tells on the sheet where that is wanted."""
    from journal.book import records, sheet, taking_rows, taking_table

    if looked.plan.bad:
        return looked
    source = f"it stood in {looked.name}" if looked.name != "pasted table" else "it stood in a pasted table"
    with waiting("Logging") as far:
        made = taking_rows.log_rows(
            s, looked.plan, skip_known=how.skip_known, correction=how.correct, source=source, far=far
        )
    values = looked.spun.values if looked.spun else {}
    if how.put and not values:
        raise Refused("The table tells no constant to rely on, so nothing was logged", "Log it without --set")
    told = []
    if how.put:
        of = records.find_revision(s, _revision_of(s, looked))
        items = {path: {"typed": typed, "provenance": known} for path, (typed, known) in values.items()}
        told = [
            f"{of.ref} {row.path} = {row.typed}, {row.provenance}"
            for row in sheet.set_values(s, of, items, how.correct)
        ]
    taking_table.remember(s, looked.table, looked.plan.taken)
    left = len(looked.plan.known) if how.skip_known else 0
    return replace(looked, logged=[m.ref for m in made], left_out=left, written=True, values=told)


def _revision_of(s: Session, looked: Tabled) -> str:
    """The revision that a spin test was made on."""
    from journal.book.records import get_record
    from journal.book.tables import Revision

    key = looked.plan.entries[0].columns["revision_id"]
    return str(get_record(s, Revision, key).ref)
