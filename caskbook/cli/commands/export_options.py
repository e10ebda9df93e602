"""The options of `export`."""

from __future__ import annotations

from typing import Annotated

import typer

from caskbook.cli.options import AsOf, AtRev, Records


def export(
    folder: Annotated[str | None, typer.Argument(metavar="[DIR]", help="Where the tables go: a new folder, an empty one, or one of earlier exports.")] = None,
    form: Annotated[str, typer.Option("--format", help="parquet, csv, jsonl or sqlite.")] = "parquet",
    keep: Annotated[
        int | None,
        typer.Option("--keep", metavar="DAYS", min=1, help="Of cask and due only the day exported and the latest others stay, so many in all; without it all."),
    ] = None,
    schema: Annotated[bool, typer.Option("--schema", help="Print what each table and column is, as JSON, and write nothing.")] = False,
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
) -> None:
    """The book as tables for other programs.

    Entries by year, casks and what is due by day, fills, gauges, leaks, findings and settings: in folders that DuckDB, Spark or pandas read as they
    are. What has not changed since the last export stays as it is; whatever ends one, the folder holds the old tables or the new ones. A program that
    reads while another export ends sees one moment in all tables only below DIR/.caskbook-export/current, resolved once before it reads.
    """
    from caskbook.cli.commands.export import run

    raise typer.Exit(run(folder, form, records, as_of, at, keep, schema=schema))
