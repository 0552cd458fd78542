"""Parts."""

from __future__ import annotations

from typing import Annotated

import typer

from journal.cli.common import Commands, ask, say, session, tell
from journal.cli.options import Correct, Json, Note, OfRevision, On, When


def register(to: Commands) -> None:
    """Add this group's commands."""
    part = typer.Typer(
        help="The bill of materials: add parts, carry them on, say what became of them.", no_args_is_help=True
    )
    if to.wanted in (None, "part"):
        for name, command in (("add", add), ("list", listing), ("carry", carry), ("fitted", fitted), ("fate", fate)):
            part.command(name)(command)
    to.app.add_typer(part, name="part", rich_help_panel="Logging")


def add(
    name: Annotated[str | None, typer.Argument(help="What it is.")] = None,
    on: On = None,
    role: Annotated[str | None, typer.Option(help="What it does in the machine.")] = None,
    quantity: Annotated[str, typer.Option(help="How many, or how much.")] = "1",
    condition: Annotated[str | None, typer.Option(help="new, salvaged or made.")] = None,
    source: Annotated[str | None, typer.Option(help="Where it came from.")] = None,
    cost: Annotated[str | None, typer.Option(help='What was paid in all, e.g. "30 EUR".')] = None,
    currency: Annotated[str | None, typer.Option(help="Currency, if not beside the cost.")] = None,
    mass: Annotated[str | None, typer.Option(help='Mass in all, e.g. "4.1 kg".')] = None,
    rating: Annotated[str | None, typer.Option(help="What is printed on it.")] = None,
    past: Annotated[str | None, typer.Option("--history", help="Its known past.")] = None,
    serial: Annotated[str | None, typer.Option(help="Serial number; private.")] = None,
    note: Note = None,
    correct: Correct = None,
) -> None:
    """Add a part to a revision.

    Example: galebook part add "scooter hub motor" --role generator --condition salvaged --cost "25 EUR"
    """
    from journal.book import parts
    from journal.book.tables import CONDITIONS
    from journal.book.written import money

    guided = name is None
    name = ask(name, "What is it", flag='galebook part add "hub motor"')
    if guided:
        role = ask(role, "What does it do in the machine", flag="--role", optional=True)
    condition = ask(condition, "Condition", flag="--condition", optional=True, words=CONDITIONS)
    cost = ask(cost, "What did it cost, like 30 EUR", flag="--cost", optional=True,
               check=lambda typed: money(typed, currency))  # fmt: skip
    typed = parts.PartTyped(
        name or "", on=on, role=role, quantity=quantity, condition=condition, source=source, cost=cost,
        currency=currency, mass=mass, rating=rating, history=past, serial=serial, private_note=note,
    )  # fmt: skip
    with session(write=True) as s:
        part = parts.add_part(s, typed, correction=correct)
    tell(part.ref)
    say(f"Added {part.ref}: {part.name}.")


def listing(
    revision: OfRevision = None,
    as_json: Json = False,
) -> None:
    """List the parts of a revision, with their cost.

    Example: galebook part list r2
    """
    from journal.screens.parts import gather_bill, show_bill

    with session() as s:
        show_bill(gather_bill(s, revision), as_json)


def carry(
    part: Annotated[str, typer.Argument(help="Part, e.g. P7.")],
    on: On = None,
) -> None:
    """Let a part serve on another revision too.

    Example: galebook part carry P7 --on r2
    """
    from journal.book import parts

    with session(write=True) as s:
        parts.carry(s, part, on)
    say(f"{part} goes on.")


def fitted(
    part: Annotated[str, typer.Argument(help="Part, e.g. P7.")],
    by: Annotated[str | None, typer.Argument(help="Who fitted it; private.")] = None,
    on: On = None,
    day: When = None,
) -> None:
    """Say who fitted a part, and when.

    Example: galebook part fitted P14 "an electrician" --when "3 May 2026"
    """
    from journal.book import parts
    from journal.review.wording import day_text

    with session(write=True) as s:
        use = parts.fitted(s, part, by, on=on, day=day)
    say(f"{part}: fitted by {use.fitted_by or 'nobody named'}, {day_text(use.fitted_on) or 'nobody said when'}.")


def fate(
    part: Annotated[str, typer.Argument(help="Part, e.g. P7.")],
    became: Annotated[str, typer.Argument(help="in use, carried on, broken, worn out, spare, scrapped or sold.")],
    on: On = None,
    note: Annotated[str | None, typer.Option("--note", help="How it came about.")] = None,
) -> None:
    """Say what became of a part.

    Example: galebook part fate P1 broken --on r1 --note "root tore out in the gale"
    """
    from journal.book import parts

    with session(write=True) as s:
        use = parts.fate(s, part, became, on=on, note=note)
    say(f"{part}: {use.fate}.")
