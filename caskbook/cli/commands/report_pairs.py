"""Options of `report loss` that contradict one another, or of which one does nothing: one table, as `gauge` has it."""

from __future__ import annotations

from caskbook.cli.commands.gauge_pairs import Clash

ACCOUNT_ONLY = ("--by", "--type", "--store", "--berth", "--parcel", "--supplier", "--from", "--to", "--sort", "--top")
REPORT_CLASHES: tuple[Clash, ...] = (
    Clash("loss", "--evidence", "--picture", "the sheet has the pictures in it; leave one of them out"),
    *(
        Clash("loss", sheet, other, f"it tells all of a cask, and {other} is about the account; leave one of them out")
        for sheet in ("--evidence", "--picture")
        for other in ACCOUNT_ONLY
    ),
)
