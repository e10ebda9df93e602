"""What reports tell of the casks of several ledgers, put together: every figure is then worked out over all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.cli.report_rows import Asked, Gathered, Rows, found_in
from caskbook.cli.several.sites import Site, sites_of, speaking_of
from caskbook.core.finding import CaskbookError
from caskbook.stats.report_head import What


def gathered_of_all(asked: Asked, what: Sequence[What], facts: Sequence[str], by_cask: Sequence[str] = (), *, every: bool = False) -> Gathered:
    """As `told.gathered`, of all ledgers: each cask by its number behind its ledger, each parcel too, for both are names of one house."""
    assert isinstance(asked.records, tuple)
    sites = sites_of(asked.records, asked.as_of, asked.at)
    refuse_two_days(sites)
    of, near = dict[str, Gathered](), list[tuple[str, str]]()
    gone = False
    for site in sites:
        with speaking_of(site):
            found, meant = found_in(asked._replace(records=site.records), what, facts, by_cask, every=every)
            gone = (not found.head.casks and say_no_casks(found.root, None)) or gone
        of[site.name] = found
        near += [one for one in meant if one not in near]
    head = next(iter(of.values())).head
    counts = {name: (one.head.casks, one.head.in_part) for name, one in of.items()}
    casks, in_part = (sum(figures) for figures in zip(*counts.values(), strict=True))
    if not casks and not gone and head.filters:
        say_nothing_fits(head.filters, near)
    told: dict[What, Rows] = {name: [row for ledger, one in of.items() for row in _named(ledger, one.told[name])] for name in what}
    whole = [row for ledger, one in of.items() for row in _named(ledger, one.every)]
    joined = {f"{ledger}:{old}": f"{ledger}:{new}" for ledger, one in of.items() for old, new in one.joined.items()}
    return Gathered(sites[0].root, replace(head, casks=casks, in_part=in_part, ledgers=counts), told, joined, whole, of)


def _named(ledger: str, rows: Rows) -> Rows:
    """The rows with their ledger among the facts, their casks and parcels behind its name."""
    return [({**{name: _behind(ledger, name, value) for name, value in facts.items()}, "ledger": ledger}, one) for facts, one in rows]


def _behind(ledger: str, name: str, value: object) -> object:
    return f"{ledger}:{value}" if name in ("cask", "parcel") and value is not None else value


def refuse_two_days(sites: Sequence[Site]) -> None:
    """CaskbookError where it is another day in some houses: what is counted together is as of one."""
    days = {site.day for site in sites}
    if len(days) > 1:
        told = ", ".join(f"{site.day} in {site.name}" for site in sites)
        raise CaskbookError(f"the houses are not on one day ({told}): say which with --as-of")
