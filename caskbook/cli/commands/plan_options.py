"""The options of `plan`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.filter_options import NO_FILTERS, WORK, Filters, filtered
from caskbook.cli.options import AsOf, AtRev, Form, Records, Save, printed

_What = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Argument(metavar="[CASK]...", help="Casks that are to be tipped, with --tip: as `enter` takes them, or a SHEET.csv with cask and date."),
]
_Since = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--from", metavar="DAY", help="The first day: today for the running week; the next Monday unless said."),
]


@filtered(*WORK)
def plan(
    what: _What = None,
    tip: Annotated[Optional[str], typer.Option("--tip", metavar="DAY", help="When they are tipped: 2026-12-07, monday, +3. Nothing is written.")] = None,  # noqa: UP045
    since: _Since = None,
    weeks: Annotated[int, typer.Option("--weeks", metavar="N", help="So many, 1 to 52, one that has begun among them.")] = 4,
    week: Annotated[int, typer.Option("--week", metavar="N", help="The way in this week; the first unless said.")] = 1,
    coopers: Annotated[Optional[int], typer.Option("--coopers", metavar="N", help="How many, for this run.")] = None,  # noqa: UP045
    hours_a_week: Annotated[Optional[float], typer.Option("--hours-a-week", metavar="H", help="Of one cooper at the bench, for this run.")] = None,  # noqa: UP045
    route: Annotated[bool, typer.Option("--route", help="The whole way.")] = False,
    explain: Annotated[bool, typer.Option("--explain", help="What each figure is, instead.")] = False,
    filters: Filters = NO_FILTERS,
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    save: Save = None,
) -> None:
    """Work against hours: the coming weeks.

    What falls due, what casks that are tipped will need, whether it fits, the way along the casks, and the wood.
    """
    from caskbook.cli.commands.plan import Asked, run

    raise typer.Exit(
        printed(
            save,
            form,
            lambda form: run(
                Asked(what or [], records, as_of, at, form, filters, tip, weeks, week, coopers, hours_a_week, route or bool(save), explain, since)
            ),
        )
    )
