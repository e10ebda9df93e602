"""The options of `days`."""

from __future__ import annotations

import re
from typing import Annotated, Any, Optional

import typer
from typer.core import TyperCommand

from caskbook.cli.options import AsOf, AtRev, Form, Parcels, Records, Save, Suppliers, Types, printed

_AGO = re.compile(r"-[0-9]{1,4}(\.\.|$)")
_SPAN = "2026-11-02..2026-11-08, monday..today, 2026-11-02.., one day, a month 2026-11 or a year; the last seven days unless said."


class DaysAgo(TyperCommand):
    """A command that takes `-2`, two days ago, as a word and not as an option."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """With a blank before such a word, which no day minds."""
        return super().parse_args(ctx, [f" {word}" if _AGO.match(word) else word for word in args])


def days(
    span: Annotated[Optional[str], typer.Argument(metavar="FROM..TO", help=_SPAN)] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    by: Annotated[Optional[str], typer.Option("--by", help="job (without it), store, person, day, month or type.")] = None,  # noqa: UP045
    types: Types = None,
    berth: Annotated[Optional[list[str]], typer.Option("--berth", help="Only what was done at berths that begin so.")] = None,  # noqa: UP045
    store: Annotated[Optional[list[str]], typer.Option("--store", help="Only what was done in this store.")] = None,  # noqa: UP045
    parcel: Parcels = None,
    supplier: Suppliers = None,
    explain: Annotated[bool, typer.Option("--explain", help="What each figure counts, of how many.")] = False,
    save: Save = None,
) -> None:
    """What was done on some days.

    Entries and casks by job, store, person and day, with tests and litres; what came late or counts no more is told apart.
    """
    from caskbook.cli.commands.days import Asked, run

    filters = {"type": types, "berth": berth, "store": store, "parcel": parcel, "supplier": supplier}
    raise typer.Exit(printed(save, form, lambda form: run(Asked(span, records, as_of, at, form, filters, by, explain))))
