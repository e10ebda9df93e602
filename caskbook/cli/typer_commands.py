"""The commands whose options typer reads. Each imports what it needs when it runs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Optional

import typer

from caskbook.cli.commands.book_options import book
from caskbook.cli.commands.days_options import DaysAgo, days
from caskbook.cli.commands.due_options import due
from caskbook.cli.commands.export_options import export
from caskbook.cli.commands.gauge_options import gauge
from caskbook.cli.commands.list_options import list_casks, query
from caskbook.cli.commands.morning_options import morning
from caskbook.cli.commands.plan_options import plan
from caskbook.cli.commands.ready_options import ready
from caskbook.cli.git_group import git
from caskbook.cli.import_group import bring
from caskbook.cli.options import AsOf, AtRev, Berths, Ledgers, Parcels, Records, Save, Stores, Types, printed, run_of
from caskbook.cli.own_options import OWN_WORDS
from caskbook.cli.report_group import report

_OWN_OPTIONS = {"allow_extra_args": True, "ignore_unknown_options": True, "help_option_names": []}


def _version(wanted: bool) -> None:
    if wanted:
        from caskbook import __version__

        typer.echo(f"caskbook {__version__}")
        raise typer.Exit


def _root(version: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")] = False) -> None:
    """The options before a command."""


def init(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="Where the ledger goes.")] = "records",
) -> None:
    """Make a new ledger."""
    from caskbook.cli.commands.init import run

    raise typer.Exit(run(folder))


def check(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK|FILE]...", help="Casks or files; all where none is named.")] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    since: Annotated[Optional[str], typer.Option("--since", metavar="REV", help="Also: nothing that landed was altered, by REV or since.")] = None,  # noqa: UP045
    new_since: Annotated[
        str | None, typer.Option("--new-since", metavar="REV", help="Only what came since REV: new findings, and what had landed and was altered.")
    ] = None,
    ends_only: Annotated[bool, typer.Option("--ends-only", help="With --since: compare with REV alone, not commit by commit.")] = False,
    form: Annotated[str, typer.Option("--format", help="text, concise, json, jsonl, github or sarif.")] = "text",
    strict: Annotated[bool, typer.Option("--strict", help="Exit 1 on a warning too.")] = False,
    notes: Annotated[bool, typer.Option("--notes", help="Show notes as well.")] = False,
) -> None:
    """Find what is wrong in the book."""
    from caskbook.cli.commands.check import run

    raise typer.Exit(run(what or [], records, as_of, at, since, form, strict=strict, notes=notes, new_since=new_since, ends_only=ends_only))


def explain(
    code: Annotated[
        str | None,
        typer.Argument(
            metavar="CODE",
            help="A finding's code, a due rule, or a setting as due.rechar.due_at, or a word as types, char, untested; without it all codes, rules and settings are listed.",
        ),
    ] = None,
) -> None:
    """What a finding, due rule, setting or word of the trade means."""
    from caskbook.cli.commands.explain import run

    raise typer.Exit(run(code))


def show(
    cask: Annotated[str, typer.Argument(metavar="CASK", help="Its number, the last figures of it (7005), or an old mark.")],
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text or json; svg of --map or --line.")] = "text",
    every: Annotated[bool, typer.Option("--all", help="All events, not only the last.")] = False,
    picture: Annotated[bool, typer.Option("--map", help="Draw heads and staves.")] = False,
    line: Annotated[bool, typer.Option("--line", help="Draw the time line.")] = False,
    save: Save = None,
) -> None:
    """The bench card of one cask."""
    run, ledgers = run_of("show", records)
    raise typer.Exit(printed(save, form, lambda form: run(cask, ledgers, as_of, at, form, every=every, picture=picture, line=line), draws=picture or line))


def labels(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK]...", help="Casks as `enter` takes them: TH-004501..004560 except 004517.")] = None,  # noqa: UP045
    save: Annotated[Optional[str], typer.Option("--save", metavar="FILE", help="Where they go: a .pdf, .svg or .png.")] = None,  # noqa: UP045
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    parcel: Parcels = None,
    copies: Annotated[int, typer.Option("--copies", min=1, max=20, help="So many of each.")] = 1,
    new: Annotated[bool, typer.Option("--new", help="Also casks that are not in the book yet: their number alone.")] = False,
    records: Records = None,
) -> None:
    """Labels to print: the number large, in bars and as a square."""
    from caskbook.cli.commands.labels import run

    filters = {"type": types, "berth": berth, "store": store, "parcel": parcel}
    raise typer.Exit(run(what or [], save, filters, records, copies=copies, new=new))


def round_(
    berths: Annotated[Optional[str], typer.Argument(metavar="BERTH", help="A row, a store, or berths: W1/05, W1, Y2, W1/05/1..20.")] = None,  # noqa: UP045
    what: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[CASK]...",
            help="Seen there, as one walks: numbers or their ends, `at BERTH` behind one; file:PATH, -; without any asked for, or read from the pipe.",
        ),
    ] = None,
    records: Records = None,
    day: Annotated[Optional[str], typer.Option("--date", metavar="DATE", help="The day of the walk; today, or the shift's, unless said.")] = None,  # noqa: UP045
    form: Annotated[str, typer.Option("--format", help="text, json or csv.")] = "text",
    enter: Annotated[bool, typer.Option("--enter", help="Enter what is certain: move, found, missing; else it is asked, or not written.")] = False,
    by: Annotated[Optional[str], typer.Option("--by", help="Who walked, for what is entered.")] = None,  # noqa: UP045
    yes: Annotated[bool, typer.Option("--yes", "-y", help="With --enter: ask nothing.")] = False,
    dry_run: Annotated[bool, typer.Option("--dry-run", "-n", help="With --enter: show the lines that would be added.")] = False,
    go_on: Annotated[bool, typer.Option("--go-on", help="Go on with the round that was left, or cut off, on this machine.")] = False,
    anew: Annotated[bool, typer.Option("--anew", help="Drop the round that was left.")] = False,
    vacant: Annotated[bool, typer.Option("--vacant", help="A row in which the book has no cask.")] = False,
) -> None:
    """What is seen along a row, held against the book.

    Exit code 1 where they do not agree.
    """
    from caskbook.cli.commands.round import Asked, run

    raise typer.Exit(run(Asked(berths, what or [], records, day, form, by, enter, yes, dry_run, go_on, anew, vacant)))


def schema(
    folder: Annotated[str, typer.Argument(metavar="[DIR]", help="Where the two files go.")] = "schemas",
) -> None:
    """Write the JSON Schemas of the files."""
    from caskbook.cli.commands.schema import run

    raise typer.Exit(run(folder))


def demo(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="Where the ledger goes: new, or empty.")],
    casks: Annotated[int, typer.Option("--casks", help="How many casks.")] = 1000,
    seed: Annotated[int, typer.Option("--seed", help="The same seed makes the same ledger.")] = 1,
    until: Annotated[Optional[str], typer.Option("--until", metavar="DATE", help="Its last day.")] = None,  # noqa: UP045
    leakers: Annotated[float, typer.Option("--leakers", help="Share of long fills that leak unseen.")] = 0.02,
) -> None:
    """Make a believable ledger of any size."""
    from caskbook.cli.commands.demo import run

    raise typer.Exit(run(folder, casks, seed, until, leakers))


def review(
    what: Annotated[
        Optional[list[str]],  # noqa: UP045
        typer.Argument(
            metavar="[RANGE] [CASK…]", help="A..B, a commit or a tag; without it what is not yet committed. Casks behind it, or alone: of these only."
        ),
    ] = None,
    records: Records = None,
    as_of: AsOf = None,
    form: Annotated[str, typer.Option("--format", help="text, json or markdown.")] = "text",
    save: Save = None,
) -> None:
    """What changes did to the book, in words."""
    from caskbook.cli.commands.review import run_words

    raise typer.Exit(printed(save, form, lambda form: run_words(what or [], records, as_of, form)))


def settle(
    records: Records = None,
    again: Annotated[bool, typer.Option("--again", help="Merge anew even what was edited by hand since.")] = False,
) -> None:
    """Resolve unmerged cask files after a git merge."""
    from caskbook.cli.commands.settle import run

    raise typer.Exit(run(records, again=again))


def _own(run: Callable[[list[str]], int]) -> Callable[[typer.Context], None]:
    """A command that reads its words itself, for the list of all commands."""

    def command(context: typer.Context) -> None:
        raise typer.Exit(run(context.args))

    command.__doc__ = run.__doc__
    return command


# Help lists the commands in this order.
COMMANDS: dict[str, Callable[..., None]] = {
    "init": init, **{name: _own(run) for name, run in OWN_WORDS.items()}, "check": check, "explain": explain, "show": show, "due": due,
    "plan": plan, "morning": morning, "ready": ready, "days": days, "list": list_casks, "query": query, "round": round_, "labels": labels, "book": book, "export": export, "schema": schema, "demo": demo, "review": review, "settle": settle,
}  # fmt: skip
GROUPS: dict[str, typer.Typer] = {"report": report, "git": git, "gauge": gauge, "import": bring}


_FIRST = """\b
a first book  caskbook init
a job done    caskbook enter test TH-003372 pass --psi 11 --by ab
its fields    caskbook enter test --help
what is due   caskbook due
one cask      caskbook show TH-003372
"""


def command_line(first: str) -> typer.Typer:
    """What typer needs to know for a command line that begins with this word: the one command, or all where it is none.

    Typer looks into each function that it is told of, which for all of them takes longer than many a command.
    """
    app = typer.Typer(
        name="caskbook",
        help="The life-cycle ledger of a house's casks: enter a job, check the book, ask what is due, review what changed.",
        epilog=_FIRST,
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback()(_root)
    known = first in COMMANDS or first in GROUPS
    for name, function in COMMANDS.items():
        if name == first or not known:
            settings: dict[str, Any] = {"context_settings": _OWN_OPTIONS} if name in OWN_WORDS else {"cls": DaysAgo} if name == "days" else {}
            app.command(name, **settings)(function)
    for name, group in GROUPS.items():
        if name == first or not known:
            app.add_typer(group)
    return app
