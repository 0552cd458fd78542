"""Arguments and options that several commands share: one name, one meaning and one help wherever they stand."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.dates import settled, settled_ahead, settled_share

Json = Annotated[bool, typer.Option("--json", help="Write JSON to stdout.")]
OfRevision = Annotated[str | None, typer.Argument(help="Revision, e.g. r2; else the newest.")]
On = Annotated[str | None, typer.Option("--on", "-r", metavar="REVISION", help="Revision, e.g. r2; else the newest.")]
Subject = Annotated[str | None, typer.Option(help="Which thing, where the rule judged several.")]
Correct = Annotated[
    str | None, typer.Option("--correct", metavar="REASON", help="Correct a frozen revision's record, with the reason.")
]
Note = Annotated[str | None, typer.Option("--note", help="A private note, left out of write-ups.")]
When = Annotated[
    str | None, typer.Option("--when", callback=settled, help='Date, e.g. 2026-01-12 or "spring 2023"; else today.')
]
Ahead = Annotated[str | None, typer.Option("--until", callback=settled_ahead, help="Last day on which it holds.")]
InAttempt = Annotated[str | None, typer.Option("--attempt", "-a", help="Attempt it belongs to, e.g. A3.")]
Load = Annotated[str | None, typer.Option(help="What was connected: battery, nothing connected, ...")]
WindHeight = Annotated[
    str | None, typer.Option(help='At what height above ground it blew so, e.g. "2 m"; Beaufort holds at 10 m.')
]
Odds = Annotated[str | None, typer.Option(callback=settled_share, help="How likely you hold that, e.g. 80%.")]
Review = Annotated[
    str | None, typer.Option("--review", callback=settled_ahead, help="When to look again, e.g. 2026-06-01.")
]
Until = Annotated[str | None, typer.Option("--until", callback=settled, help="Last day, if it took several.")]
Sure = Annotated[str | None, typer.Option(callback=settled_share, help="How sure, e.g. 60%.")]
Mapped = Annotated[
    list[str] | None,
    typer.Option("--map", help="What a column is, e.g. 'Kanal 3=wind km/h at 8 m'; 'Kanal 4=-' leaves it out."),
]
Zone = Annotated[
    str | None, typer.Option(help="Zone of its clock: Europe/Dublin, or UTC+1 for a clock never put forward.")
]
DayOrder = Annotated[str | None, typer.Option("--days", help="How 03/04/2026 is meant: day-first or month-first.")]
Began = Annotated[
    list[str] | None,
    typer.Option("--began", help="When a clock that counts from zero was switched on; once for each time it was."),
]
