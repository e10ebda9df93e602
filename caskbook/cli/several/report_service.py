"""`report service` of several ledgers: the spans of all casks put together, from which every curve is then worked out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from caskbook.cli.remarks import say_no_casks
from caskbook.cli.served import Gathered, gathered
from caskbook.cli.several.report_rows import refuse_two_days
from caskbook.cli.several.sites import sites_of, speaking_of
from caskbook.stats.service import Row


def gathered_of_all(records: Sequence[str], as_of: str | None, at: str | None, filters: Mapping[str, Any], what: str | None, by: str | None) -> Gathered:
    """The spans of all ledgers; stores and parcels, which are names of one house, each behind its ledger. Where the casks of a ledger are gone, that is said."""
    sites = sites_of(records, as_of, at)
    refuse_two_days(sites)
    rows, counts = list[Row](), dict[str, tuple[int, int]]()
    for site in sites:
        with speaking_of(site):
            found = gathered(site.records, as_of, None, filters, what, by)
            if not found.casks:
                say_no_casks(found.root, None)
        rows += _named(site.name, found.rows)
        counts[site.name] = (found.casks, found.in_part)
    casks, in_part = (sum(figures) for figures in zip(*counts.values(), strict=True))
    return Gathered(sites[0].root, sites[0].day, rows, casks, in_part, counts)


def _named(ledger: str, rows: Sequence[Row]) -> list[Row]:
    """The rows with the ledger among the facts, parcels and stores behind its name."""
    return [
        (
            {**{name: f"{ledger}:{value}" if name == "parcel" and value is not None else value for name, value in facts.items()}, "ledger": ledger},
            [span._replace(store=f"{ledger}:{span.store}") if span.store is not None else span for span in spans],
        )
        for facts, spans in rows
    ]
