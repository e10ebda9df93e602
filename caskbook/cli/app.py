"""The commands and their options. Only typer is imported here; each command imports what it needs when it runs."""

from __future__ import annotations

import os
import sys
from typing import Annotated, Optional

import typer

from caskbook.cli.gauge_app import gauge
from caskbook.cli.groups import git, report
from caskbook.cli.list_app import list_casks, query
from caskbook.cli.options import AsOf, AtRev, Records

app = typer.Typer(
    name="caskbook",
    help="The life-cycle ledger of a house's casks: enter a job, check the book, ask what is due, review what changed.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)

_OWN_OPTIONS = {"allow_extra_args": True, "ignore_unknown_options": True, "help_option_names": []}


def _version(wanted: bool) -> None:
    if wanted:
        from caskbook import __version__

        typer.echo(f"caskbook {__version__}")
        raise typer.Exit


@app.callback()
def _root(version: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")] = False) -> None:
    """The options before a command."""


@app.command()
def init(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="Where the ledger goes.")] = "records",
) -> None:
    """Make a new ledger."""
    from caskbook.cli.init import run

    raise typer.Exit(run(folder))


@app.command("enter", context_settings=_OWN_OPTIONS)
def enter(context: typer.Context) -> None:
    """Add a job to one or many casks."""
    from caskbook.cli.enter import run

    raise typer.Exit(run(context.args))


@app.command("void", context_settings=_OWN_OPTIONS)
def void(context: typer.Context) -> None:
    """Put an entry out of force."""
    from caskbook.cli.correct import void as run

    raise typer.Exit(run(context.args))


@app.command("move-event", context_settings=_OWN_OPTIONS)
def move_event(context: typer.Context) -> None:
    """Move an entry to the cask it belongs to."""
    from caskbook.cli.correct import move_event as run

    raise typer.Exit(run(context.args))


@app.command("undo", context_settings=_OWN_OPTIONS)
def undo(context: typer.Context) -> None:
    """Take back what the last run wrote."""
    from caskbook.cli.correct import undo as run

    raise typer.Exit(run(context.args))


@app.command("stamp", context_settings=_OWN_OPTIONS)
def stamp(context: typer.Context) -> None:
    """Give ids to events written by hand."""
    from caskbook.cli.correct import stamp as run

    raise typer.Exit(run(context.args))


@app.command("sheet", context_settings=_OWN_OPTIONS)
def sheet(context: typer.Context) -> None:
    """A blank day sheet for a job."""
    from caskbook.cli.enter_sheet import blank as run

    raise typer.Exit(run(context.args))


@app.command()
def check(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK|FILE]...", help="Casks or files; all where none is named.")] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    since: Annotated[Optional[str], typer.Option("--since", metavar="REV", help="Also: nothing that had landed by REV was altered.")] = None,  # noqa: UP045
    form: Annotated[str, typer.Option("--format", help="text, concise, json, github or sarif.")] = "text",
    strict: Annotated[bool, typer.Option("--strict", help="Exit 1 on a warning too.")] = False,
    notes: Annotated[bool, typer.Option("--notes", help="Show notes as well.")] = False,
) -> None:
    """Find what is wrong in the book."""
    from caskbook.cli.check import run

    raise typer.Exit(run(what or [], records, as_of, at, since, form, strict=strict, notes=notes))


@app.command()
def explain(
    code: Annotated[Optional[str], typer.Argument(metavar="CODE", help="A finding's code, or a due rule; without it all are listed.")] = None,  # noqa: UP045
) -> None:
    """What a finding or a due rule means."""
    from caskbook.cli.explain import run

    raise typer.Exit(run(code))


@app.command()
def show(
    cask: Annotated[str, typer.Argument(metavar="CASK")],
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text or json.")] = "text",
    every: Annotated[bool, typer.Option("--all", help="All events, not only the last.")] = False,
    picture: Annotated[bool, typer.Option("--map", help="Draw heads and staves.")] = False,
    line: Annotated[bool, typer.Option("--line", help="Draw the time line.")] = False,
) -> None:
    """The bench card of one cask."""
    from caskbook.cli.show import run

    raise typer.Exit(run(cask, records, as_of, at, form, every=every, picture=picture, line=line))


@app.command()
def due(
    rule: Annotated[Optional[list[str]], typer.Argument(metavar="[RULE]...", help="Only these rules; loss is judged only when it is named.")] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text, json or csv.")] = "text",
    types: Annotated[Optional[list[str]], typer.Option("--type", help="Only casks of this type.")] = None,  # noqa: UP045
    berth: Annotated[Optional[str], typer.Option("--berth", help="Only berths that begin so.")] = None,  # noqa: UP045
    top: Annotated[Optional[int], typer.Option("--top", min=1, help="The first N only; in text 40 unless said.")] = None,  # noqa: UP045
    soon: Annotated[bool, typer.Option("--soon", help="Also what is soon due, or at emptying.")] = False,
    unknown: Annotated[bool, typer.Option("--unknown", help="Also what cannot be told.")] = False,
    every: Annotated[bool, typer.Option("--all", help="Every verdict, ok as well.")] = False,
    fail_if_any: Annotated[bool, typer.Option("--fail-if-any", help="Exit 1 if anything is due.")] = False,
) -> None:
    """What is due, the most pressing first."""
    from caskbook.cli.due import run

    chosen = {"rules": rule or [], "types": types or [], "berth": berth, "top": top, "soon": soon, "unknown": unknown, "every": every}
    raise typer.Exit(run(records, as_of, at, form, chosen, fail_if_any=fail_if_any))


app.command("list")(list_casks)
app.command()(query)


@app.command()
def schema(
    folder: Annotated[str, typer.Argument(metavar="[DIR]", help="Where the two files go.")] = "schemas",
) -> None:
    """Write the JSON Schemas of the files."""
    from caskbook.cli.schema import run

    raise typer.Exit(run(folder))


@app.command()
def demo(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="Where the ledger goes: new, or empty.")],
    casks: Annotated[int, typer.Option("--casks", help="How many casks.")] = 1000,
    seed: Annotated[int, typer.Option("--seed", help="The same seed makes the same ledger.")] = 1,
    until: Annotated[Optional[str], typer.Option("--until", metavar="DATE", help="Its last day.")] = None,  # noqa: UP045
    leakers: Annotated[float, typer.Option("--leakers", help="Share of long fills that leak unseen.")] = 0.02,
) -> None:
    """Make a believable ledger of any size."""
    from caskbook.cli.demo import run

    raise typer.Exit(run(folder, casks, seed, until, leakers))


@app.command()
def review(
    stretch: Annotated[Optional[str], typer.Argument(metavar="[RANGE]", help="A..B, a commit or a tag; without it what is not yet committed.")] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    form: Annotated[str, typer.Option("--format", help="text, json or markdown.")] = "text",
) -> None:
    """What changes did to the book, in words."""
    from caskbook.cli.review import run

    raise typer.Exit(run(stretch, records, as_of, form))


@app.command()
def settle(
    records: Records = None,
    again: Annotated[bool, typer.Option("--again", help="Merge anew even what was edited by hand since.")] = False,
) -> None:
    """Resolve unmerged cask files after a git merge."""
    from caskbook.cli.settle import run

    raise typer.Exit(run(records, again=again))


app.add_typer(report)
app.add_typer(git)
app.add_typer(gauge)


def run(arguments: list[str]) -> int:
    """Run one command line; every fault of the surroundings becomes one line on stderr and the code 2."""
    from caskbook.finding import CaskbookError

    try:
        outcome = app(arguments, standalone_mode=False, prog_name="caskbook")
    except CaskbookError as error:
        from caskbook.cli.common import say

        say(f"caskbook: {error}")
        return 2
    except (KeyboardInterrupt, typer.Abort):
        print("caskbook: interrupted; nothing half-written", file=sys.stderr)
        return 130
    except Exception as error:
        return _usage(error)
    return outcome if isinstance(outcome, int) else 0


def _usage(error: Exception) -> int:
    """A command line that typer could not read; anything else is a fault of the program and goes on."""
    show = getattr(error, "show", None)
    if show is not None:
        show()
    elif os.environ.get("CASKBOOK_TRACE"):
        raise error
    else:
        _own_fault(error)
    return 2


def _own_fault(error: Exception) -> None:
    """A fault of the program itself, in one line that says where, so that it can be reported."""
    last = error.__traceback__
    while last is not None and last.tb_next is not None:
        last = last.tb_next
    where = f"{last.tb_frame.f_globals.get('__name__', '?')}:{last.tb_lineno}" if last is not None else "?"
    first = str(error).splitlines()[0][:200] if str(error) else ""
    print(f"caskbook: a fault of the program itself, {type(error).__name__} at {where}: {first} (CASKBOOK_TRACE=1 shows more)", file=sys.stderr)
