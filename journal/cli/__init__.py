"""The command line: parse, call one service, show, exit. One file for each group of commands."""

from __future__ import annotations

import gc
import os
import sys
from typing import Annotated, Any

import typer

from journal.cli import (
    builds,
    care,
    converse,
    decisions,
    demo,
    drawing,
    electric,
    explore,
    failures,
    log,
    logged,
    logger,
    looking,
    making,
    members,
    moving,
    parts,
    review,
    search,
    serve,
    sheet,
    streams,
    table,
    todo,
    undoing,
    why,
    writeup,
)
from journal.cli.common import COMPLETING, Commands, empty_place, meant, say
from journal.cli.talk import again
from journal.cli.typed import dialogue
from journal.errors import GalebookError, brief, stopped

#: Options before the command that take a value.
_TAKING = ("--journal", "--build")


def build(wanted: str | None = None) -> typer.Typer:
    """The command line with one command built whole, or with all of them."""
    app = typer.Typer(
        name="galebook",
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["--help", "-h"]},
        help="A build journal and decision tracker for wind generators made by hand, with the engineering built in.",
    )
    app.callback()(_options)
    groups = (
        builds, sheet, converse, parts, log, logger, logged, table, serve, failures, looking, why, decisions, review,
        explore, electric, making, writeup, drawing, care, moving, search, undoing, todo, members, demo,
    )  # fmt: skip
    for group in groups:
        group.register(Commands(app, wanted))
    return app


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(version("galebook"))
        raise typer.Exit


def _options(
    journal: Annotated[
        str | None,
        typer.Option(
            "--journal",
            metavar="FILE",
            help="The journal, a file or postgresql://...; else GALEBOOK_JOURNAL.",
        ),
    ] = None,
    build: Annotated[
        str | None, typer.Option("--build", metavar="NAME", help="The build meant, for this command.")
    ] = None,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Tell the version.")
    ] = False,
) -> None:
    from journal.book.shown import told_in

    if journal == "":
        raise empty_place("--journal", "FILE")
    meant.journal, meant.build, meant.saved = journal, build, False
    told_in(None)


def _wanted(args: list[str]) -> str | None:
    """The command that was asked for; None if all must be known, as for shell completion."""
    if COMPLETING in os.environ:
        return None
    words = iter(args)
    for word in words:
        if word in _TAKING:
            next(words, None)
        elif not word.startswith("-"):
            return word
    return ""


def _hoist(args: list[str]) -> list[str]:
    """Let --journal and --build stand anywhere, as people type them."""
    front: list[str] = []
    rest: list[str] = []
    waiting = iter(args)
    for arg in waiting:
        if arg == "--":
            rest += [arg, *waiting]
        elif arg in _TAKING:
            front += [arg, *[value for value in [next(waiting, None)] if value is not None]]
        elif arg.startswith(("--journal=", "--build=")):
            front.append(arg)
        else:
            rest.append(arg)
    return front + rest


def _help_first(args: list[str]) -> list[str]:
    """``help COMMAND`` as people type it; alone it is the whole help."""
    words = [i for i, arg in enumerate(args) if not arg.startswith("-") and (i == 0 or args[i - 1] not in _TAKING)]
    if not words or args[words[0]] != "help":
        return args
    return [*args[: words[0]], *args[words[0] + 1 :], "--help"]


def run(args: list[str] | None = None) -> int:
    """Run one command and return its exit code.

    Our own errors and wrong usage become one line on stderr: 2 for what cannot be used, 1 for what is refused.
    """
    args = _help_first(_hoist(streams.as_typed(sys.argv[1:]) if args is None else args))
    meant.going_on = ""
    code = _run(args)
    if meant.going_on:
        say(meant.going_on)
    return code


def _run(args: list[str]) -> int:
    command: Any = typer.main.get_command(build(_wanted(args)))
    try:
        with dialogue(args) as talk:
            code = again(talk, lambda: command.main(args=args, prog_name="galebook", standalone_mode=False))
            if not code:
                talk.saved()
        sys.stdout.flush()
    except GalebookError as e:
        say(f"galebook: {e}")
        return e.exit_code
    except typer.TyperException as e:
        context = getattr(e, "ctx", None)
        path = context.command_path if context else "galebook"
        if not (message := e.format_message().strip()):
            return e.exit_code
        say(f"galebook: {stopped(brief(' '.join(message.split())))} See: {path} --help")
        return e.exit_code
    except (typer.Abort, KeyboardInterrupt):
        say(f"\ngalebook: stopped; {'what was logged before stays' if meant.saved else 'nothing was saved'}.")
        return 1
    except SystemExit:
        # A pipe whose reader has gone; what a command saves it tells in a way that does not come here.
        streams.hush(sys.stdout)
        return 1
    except OSError as e:
        streams.hush(sys.stdout)
        say(f"galebook: {brief(str(e.filename or 'the output'))} cannot be written ({e.strerror}).")
        return 1
    return code if isinstance(code, int) else 0


def main() -> None:
    """Entry point of the ``galebook`` command."""
    # A command ends before its garbage weighs anything; to look for it took a seventh of the time of most.
    gc.disable()
    streams.stand_in()
    sys.exit(run())
