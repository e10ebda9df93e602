"""The options of `ready`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.filter_options import CASKS, NO_FILTERS, Filters, filtered
from caskbook.cli.options import AsOf, AtRev, Form, Records, Save, printed


@filtered(*CASKS)
def ready(
    want: Annotated[Optional[int], typer.Option("--want", metavar="N", help="How many casks are wanted.")] = None,  # noqa: UP045
    litres: Annotated[Optional[float], typer.Option("--litres", metavar="L", help="Or how many litres they shall hold.")] = None,  # noqa: UP045
    spirit: Annotated[Optional[str], typer.Option("--for", metavar="SPIRIT", help="For what: says beside each cask what it held.")] = None,  # noqa: UP045
    filters: Filters = NO_FILTERS,
    where: Annotated[Optional[str], typer.Option("--where", metavar="SQL", help='Any condition, as "fills_since_char <= 2".')] = None,  # noqa: UP045
    every: Annotated[bool, typer.Option("--all", help="All the casks, not only the first.")] = False,
    explain: Annotated[bool, typer.Option("--explain", help="What each figure is, instead.")] = False,
    fail_if_short: Annotated[bool, typer.Option("--fail-if-short", help="Exit 1 if fewer are ready than wanted.")] = False,
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    save: Save = None,
) -> None:
    """Empty casks: ready, or how many jobs away.

    What is lacking to so many casks or litres, which jobs make it up, what hours they take, and the casks along the berths.
    """
    from caskbook.cli.commands.ready import Asked, run

    raise typer.Exit(
        printed(
            save,
            form,
            lambda form: run(
                Asked(records, as_of, at, form, filters, where, want, litres, spirit, every or bool(save and not explain), explain, fail_if_short)
            ),
        )
    )
