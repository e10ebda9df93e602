"""The commands of the group `import …`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.options import Records

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
