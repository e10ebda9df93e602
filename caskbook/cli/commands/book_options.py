"""The options of `book`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.filter_options import NO_FILTERS, WORK, Filters, filtered
from caskbook.cli.options import AsOf, AtRev, Records

_What = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Argument(metavar="[CASK]...", help="Only these: numbers, last figures, @PARCEL, file:NUMBERS or a sheet, - …"),
]


@filtered(*WORK)
def book(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="Where the pages go: a new folder, an empty one, or one of an earlier book.")],
    what: _What = None,
    filters: Filters = NO_FILTERS,
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
) -> None:
    """The book as pages to read offline.

    A page a cask with its card, head and years as pictures, what is due, the stock, and a search: HTML without a server and without anything
    from elsewhere. Each page prints on its own.
    """
    from caskbook.cli.commands.book import run

    raise typer.Exit(run(folder, records, as_of, at, {**filters, "cask": what or []}))
