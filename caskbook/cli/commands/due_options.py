"""The options of `due`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.filter_options import NO_FILTERS, Filters, filtered
from caskbook.cli.options import WHOLE, AsOf, AtRev, Ledgers, Save, printed, run_of

_What = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Argument(metavar="[RULE|CASK]...", help="Only these rules, only these casks: numbers, last figures, @PARCEL, file:NUMBERS or a sheet, - …"),
]
_Sort = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--sort", metavar="A,-B", help="By cask, type, berth (as one walks), rule, verdict, since; a minus turns it round."),
]
_Settings = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Option("--set", metavar="KEY=VALUE", help="What would turn if this setting were so: due.rechar.due_at=4; nothing is written."),
]


@filtered("type", "berth", "store", "spirit", "parcel", "supplier")
def due(
    what: _What = None,
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text, json, jsonl, csv, markdown, or ics (a calendar).")] = "text",
    filters: Filters = NO_FILTERS,
    by_cask: Annotated[bool, typer.Option("--by-cask", help="Each cask once, with all that is due on it.")] = False,
    sort: _Sort = None,
    top: Annotated[Optional[int], typer.Option("--top", min=1, help="The first N only; in text 40, by cask 15, unless said.")] = None,  # noqa: UP045
    soon: Annotated[bool, typer.Option("--soon", help="Also what is soon due, or at emptying.")] = False,
    unknown: Annotated[bool, typer.Option("--unknown", help="Also what cannot be told.")] = False,
    every: Annotated[bool, typer.Option("--all", help="Every verdict, ok as well.")] = False,
    settings: _Settings = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="What each rule means, its settings and of how many casks it speaks, instead of the list.")
    ] = False,
    fail_if_any: Annotated[bool, typer.Option("--fail-if-any", help="Exit 1 if anything is due, or no cask fits.")] = False,
    save: Save = None,
) -> None:
    """What is due, the most pressing first."""
    run, ledgers = run_of("due", records)
    asked = {
        "what": what or [], "top": WHOLE if save and not (top or explain or settings) else top, "sort": sort, "by_cask": by_cask, "soon": soon, "unknown": unknown, "every": every, "settings": settings or [], "explain": explain,
        "filters": filters,
    }  # fmt: skip
    raise typer.Exit(printed(save, form, lambda form: run(ledgers, as_of, at, form, asked, fail_if_any=fail_if_any)))
