"""The options of `list` and `query`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.options import AsOf, AtRev, Berths, Form, Ledgers, Parcels, Save, Spirits, Stores, Suppliers, Types, printed, run_of


def list_casks(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK]...", help="Only these: numbers, last figures, @PARCEL, file:NUMBERS …")] = None,  # noqa: UP045
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text, json, jsonl or csv; json has every fact.")] = "text",
    state: Annotated[Optional[list[str]], typer.Option("--state", help="Only casks in this state.")] = None,  # noqa: UP045
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    spirit: Spirits = None,
    vat: Annotated[Optional[list[str]], typer.Option("--vat", help="Only what was filled from this vat or batch, and is in it.")] = None,  # noqa: UP045
    parcel: Parcels = None,
    supplier: Suppliers = None,
    mark: Annotated[Optional[list[str]], typer.Option("--mark", help="Only what bears this old mark on its head.")] = None,  # noqa: UP045
    where: Annotated[Optional[str], typer.Option("--where", metavar="SQL", help='Any condition, as "fills_since_char >= 4".')] = None,  # noqa: UP045
    columns: Annotated[Optional[str], typer.Option("--columns", metavar="A,B", help="Which facts; `all` is every one.")] = None,  # noqa: UP045
    sort: Annotated[Optional[str], typer.Option("--sort", metavar="A,-B", help="By which facts; a minus begins with the largest.")] = None,  # noqa: UP045
    save: Save = None,
) -> None:
    """Casks by fact."""
    run, ledgers = run_of("list", records)
    filters = {
        "state": state,
        "type": types,
        "berth": berth,
        "store": store,
        "spirit": spirit,
        "vat": vat,
        "parcel": parcel,
        "supplier": supplier,
        "cask": what,
        "mark": mark,
    }
    raise typer.Exit(printed(save, form, lambda form: run(ledgers, as_of, at, form, filters, where, columns, sort)))


def query(
    asked: Annotated[Optional[str], typer.Argument(metavar="SQL|NAME", help="One SELECT, or the name of a saved question.")] = None,  # noqa: UP045
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    tables: Annotated[bool, typer.Option("--tables", help="The tables, columns and fields of each job, with their units.")] = False,
    listed: Annotated[bool, typer.Option("--list", help="The saved questions: name, title, and where each is from.")] = False,
    limit: Annotated[Optional[int], typer.Option("--limit", min=1, help="At most so many rows; in text 10,000 unless said.")] = None,  # noqa: UP045
    timeout: Annotated[int, typer.Option("--timeout", metavar="SECONDS", help="How long it may take.")] = 30,
    save: Save = None,
) -> None:
    """Read-only SQL over the tables cask, event, fill and due."""
    run, ledgers = run_of("query", records)
    raise typer.Exit(printed(save, form, lambda form: run(asked, ledgers, as_of, at, form, tables=tables, listed=listed, limit=limit, timeout=timeout)))
