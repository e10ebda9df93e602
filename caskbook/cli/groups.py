"""Commands in groups: `report …`, `git …` and `import …`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.options import AsOf, AtRev, Berths, Parcels, Records, Save, Spirits, Stores, Suppliers, Types, printed

report = typer.Typer(name="report", help="Figures over the whole book.", no_args_is_help=True, rich_markup_mode=None,
                     context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip


@report.command()
def loss(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK]...")] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text, json, jsonl or csv.")] = "text",
    by: Annotated[Optional[str], typer.Option("--by", help="cask (without it), fill, parcel, store, type, year or supplier.")] = None,  # noqa: UP045
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    since: Annotated[Optional[str], typer.Option("--from", metavar="DATE", help="Only what went from this day on.")] = None,  # noqa: UP045
    until: Annotated[Optional[str], typer.Option("--to", metavar="DATE", help="Only what went up to this day, its end.")] = None,  # noqa: UP045
    sort: Annotated[Optional[str], typer.Option("--sort", metavar="A,-B", help="By lpa, share, rate, times …; a minus begins with the largest.")] = None,  # noqa: UP045
    top: Annotated[Optional[int], typer.Option("--top", min=1, help="The first N only: those that lost most, unless sorted.")] = None,  # noqa: UP045
    evidence: Annotated[bool, typer.Option("--evidence", help="A sheet of evidence for each cask named.")] = False,
    picture: Annotated[bool, typer.Option("--picture", help="Gauges of the last fill, drawn against its peers.")] = False,
    save: Save = None,
) -> None:
    """What each fill has lost, against its peers."""
    from caskbook.cli.commands.report import run_loss

    filters = {"type": types, "store": store, "berth": berth, "parcel": parcel, "supplier": supplier}
    raise typer.Exit(
        printed(
            save,
            form,
            lambda form: run_loss(
                what or [], records, as_of, at, form, by=by, evidence=evidence, picture=picture, filters=filters, days=(since, until), sort=sort, top=top
            ),
        )
    )


_BY = "type (without it), state, class-fills, age, store, spirit, rechars, wood, maker, owner, parcel or supplier."
_StockBy = Annotated[Optional[str], typer.Option("--by", help=_BY)]  # noqa: UP045


@report.command()
def stock(
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text, json, jsonl or csv.")] = "text",
    by: _StockBy = None,
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    spirit: Spirits = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    explain: Annotated[bool, typer.Option("--explain", help="What each figure counts, of how many, by which setting.")] = False,
    save: Save = None,
) -> None:
    """What casks there are, by type and fills since char."""
    from caskbook.cli.commands.report_stock import run_stock

    filters = {"type": types, "store": store, "berth": berth, "spirit": spirit, "parcel": parcel, "supplier": supplier}
    raise typer.Exit(printed(save, form, lambda form: run_stock(records, as_of, at, form, filters, by=by, explain=explain)))


_BY_SERVICE = "all (without it), type, store, supplier, maker, wood, owner, parcel, char or position."


@report.command()
def service(
    what: Annotated[Optional[str], typer.Argument(metavar="[WHAT]", help="char, cask or stave; without it a line each.")] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text, json or csv.")] = "text",
    by: Annotated[Optional[str], typer.Option("--by", help=_BY_SERVICE)] = None,  # noqa: UP045
    by_fills: Annotated[bool, typer.Option("--by-fills", help="Of a char: counted in fills, not in years.")] = False,
    types: Types = None,
    store: Annotated[Optional[list[str]], typer.Option("--store", help="Only what lay last in this store.")] = None,  # noqa: UP045
    parcel: Parcels = None,
    supplier: Suppliers = None,
    explain: Annotated[bool, typer.Option("--explain", help="What each figure counts, and from when.")] = False,
    save: Save = None,
) -> None:
    """How long a char, a cask, a stave serves: half of them by when, and the curve."""
    from caskbook.cli.commands.report_service import run_service

    filters = {"type": types, "store": store, "parcel": parcel, "supplier": supplier}
    raise typer.Exit(printed(save, form, lambda form: run_service(what, records, as_of, at, form, filters, by=by, by_fills=by_fills, explain=explain)))


@report.callback()
def _report() -> None:
    """Figures over the whole book."""


git = typer.Typer(name="git", help="Teach git about casks.",
                  no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip


_Server = Annotated[bool, typer.Option("--server", help="For the bare repository REPO that everybody pushes to.")]
_Repository = Annotated[Optional[str], typer.Argument(metavar="[REPO]", help="With --server: the bare repository; this folder unless named.")]  # noqa: UP045


@git.command()
def install(
    repository: _Repository = None,
    records: Records = None,
    server: _Server = False,
    strict: Annotated[bool, typer.Option("--strict", help="With --server: refuse new warnings too.")] = False,
    tracked_hooks: Annotated[
        bool | None, typer.Option("--tracked-hooks/--no-tracked-hooks", help="Put hooks into a folder that git tracks, or leave them out.")
    ] = None,
) -> None:
    """Set it up; doing it again changes nothing."""
    from caskbook.cli.commands.git import install as run
    from caskbook.cli.commands.git import install_server

    _only_with_server(server, {"REPO": repository, "--strict": strict})
    raise typer.Exit(install_server(repository, strict=strict) if server else run(records, tracked_hooks=tracked_hooks))


@git.command()
def uninstall(repository: _Repository = None, records: Records = None, server: _Server = False) -> None:
    """Undo what install did."""
    from caskbook.cli.commands.git import uninstall as run
    from caskbook.cli.commands.git import uninstall_server

    _only_with_server(server, {"REPO": repository})
    raise typer.Exit(uninstall_server(repository) if server else run(records))


def _only_with_server(server: bool, given: dict[str, object]) -> None:
    from caskbook.core.finding import CaskbookError

    named = [name for name, value in given.items() if value]
    if named and not server:
        raise CaskbookError(f"{named[0]} goes with --server; a ledger's folder is named with --records")


bring = typer.Typer(name="import", help="Bring an old register into the book.", no_args_is_help=True, rich_markup_mode=None,
                    context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip
_File = Annotated[str, typer.Argument(metavar="FILE", help="CSV, or XLSX with the extra caskbook[xlsx].")]


@bring.command()
def register(
    file: _File,
    chart: Annotated[str, typer.Option("--map", metavar="MAP", help="What each column is, in YAML: `import map` writes a first one.")],
    records: Records = None,
    form: Annotated[str, typer.Option("--format", help="text, json or csv.")] = "text",
    dry: Annotated[bool, typer.Option("--dry-run", "-n", help="Tell everything, write nothing.")] = False,
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Write what is well without asking.")] = False,
    commit: Annotated[bool, typer.Option("--commit", help="Commit what was written, with a sentence.")] = False,
) -> None:
    """The casks of a register come into the book.

    Each with what it was before. Rows that are well are written, all of them or none; every other is told with its row, column and reason.
    Run twice it adds nothing; a row that changed is asked about, and the book never written over.
    """
    from caskbook.cli.commands.import_register import run

    raise typer.Exit(run(file, chart, records, form, dry=dry, yes=yes, commit=commit))


@bring.command("map")
def first_map(
    file: _File,
    records: Records = None,
    worksheet: Annotated[Optional[str], typer.Option("--worksheet", help="Which one, where a workbook has several.")] = None,  # noqa: UP045
    save: Annotated[Optional[str], typer.Option("--save", metavar="MAP", help="Into a new file.")] = None,  # noqa: UP045
) -> None:
    """Guess a first map of a register."""
    from caskbook.cli.commands.import_map import run

    raise typer.Exit(run(file, records, worksheet, save))
