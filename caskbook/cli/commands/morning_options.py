"""The options of `morning`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.filter_options import NO_FILTERS, WORK, Filters, filtered
from caskbook.cli.options import AsOf, AtRev, Form, Records, Save


@filtered(*WORK)
def morning(
    by: Annotated[Optional[str], typer.Option("--by", metavar="INITIALS", help="For whom: initials of the crew; else a line to write on.")] = None,  # noqa: UP045
    lines: Annotated[int, typer.Option("--lines", metavar="N", help="Jobs on a page, 1 to 24.")] = 20,
    pages: Annotated[int, typer.Option("--pages", metavar="N", help="Pages at most, 1 to 20.")] = 1,
    coopers: Annotated[Optional[int], typer.Option("--coopers", metavar="N", help="How many are there today.")] = None,  # noqa: UP045
    hours: Annotated[Optional[float], typer.Option("--hours", metavar="H", help="Of one cooper today; a fifth of the week's unless said.")] = None,  # noqa: UP045
    filters: Filters = NO_FILTERS,
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    save: Save = None,
) -> None:
    """One page for today: what to do, berth by berth.

    What matters most as far as the coopers' hours of a day go, along the berths, with a box to tick, the reason, and room to write; what is held; what had no place.
    """
    from caskbook.cli.commands.morning import Asked, run

    raise typer.Exit(run(Asked(records, as_of, at, form, filters, by, lines, pages, coopers, hours), save))
