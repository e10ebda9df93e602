"""`due` of several ledgers: one page of all, each matter with its ledger, judged by the rules of its own house."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from caskbook.cli.choosing import chosen
from caskbook.cli.commands.due import DueList, due_header, listed, print_list, refuse_unclear, rules_and_casks, wanted_of
from caskbook.cli.commands.due_wanted import Wanted
from caskbook.cli.common import Book
from caskbook.cli.index_answer import read_answer
from caskbook.cli.remarks import say_left_out, say_no_casks, say_nothing_fits
from caskbook.cli.several.casks import casks_in
from caskbook.cli.several.sites import Site, day_words, in_ledgers, sites_of, speaking_of
from caskbook.core.finding import CaskbookError
from caskbook.due.registry import RULES
from caskbook.index.listing import Counts, DueRow
from caskbook.words.plural import number_of
from caskbook.words.verdicts import RANK

_RANKS = {rule.name: (rule.rank, n) for n, rule in enumerate(RULES)}


def run(records: Sequence[str], as_of: str | None, at: str | None, form: str, asked: Mapping[str, Any], *, fail_if_any: bool) -> int:
    """Print the list of all ledgers in the order of one; 1 where something is due in any, or casks are lacking, and --fail-if-any was given. `asked` as in `commands.due.run`."""
    sites = sites_of(records, as_of, at)
    _refuse_unclear(asked, form, len(sites))
    refuse_unclear(asked, form, fail_if_any=fail_if_any)
    rules, words = rules_and_casks(asked["what"]) if asked["what"] else ([], [])
    casks = casks_in(sites, words, as_of) if words else {}
    filters = chosen(asked["filters"], None, None, None)
    named = {"cask": sorted((name, cask) for name, there in casks.items() for cask in there)} if casks else {}
    wanted = wanted_of(form, asked, rules, {**filters, **named}, several=True)
    own = {site: replace(wanted, filters={**filters, **({"cask": casks[site.name]} if casks else {})}) for site in sites}
    of_each = {site: _of_site(site, as_of, own[site]) for site in sites}
    lacking = _say_what_lacks(of_each, filters)
    if wanted.explain:
        from caskbook.cli.several.due_explained import print_explained

        print_explained(of_each, own)
        return 0
    due = _together(of_each)
    print_list(due, wanted, _header(due, of_each, wanted), None, None)
    return 1 if fail_if_any and (lacking or any(verdict.verdict == "due" for verdict in due.shown)) else 0


def _refuse_unclear(asked: Mapping[str, Any], form: str, count: int) -> None:
    """CaskbookError for what is said of one house alone."""
    if asked["settings"]:
        raise CaskbookError(f"--set {in_ledgers(count)}: a setting is tried in one house.yaml; name that ledger alone")
    if form == "ics":
        raise CaskbookError(f"--format ics {in_ledgers(count)}: a calendar is of one house; write one for each")


def _of_site(site: Site, as_of: str | None, wanted: Wanted) -> DueList:
    """The list of one ledger, its rows with its name; what it leaves out is said in its name."""

    def none(book: Book) -> DueList:
        return DueList(book.root, book.day, Counts(), [])

    with speaking_of(site):
        found = read_answer(site.records, as_of, None, lambda index, answer: listed(index, answer, wanted), none, told=True)
        say_left_out(found.root, None, found.overlooked, found.linked, found.strays)
    return replace(found, shown=[replace(row, ledger=site.name) for row in found.shown if isinstance(row, DueRow)])


def _say_what_lacks(of_each: Mapping[Site, DueList], filters: Mapping[str, Any]) -> bool:
    """Say which ledgers have lost their casks, and that no cask of any passes the filters; whether either is so."""
    gone = False
    for site, due in of_each.items():
        with speaking_of(site):
            gone = (not due.counts.judged and say_no_casks(due.root, None)) or gone
    unfit = bool(filters) and not any(due.counts.judged for due in of_each.values())
    if unfit:
        say_nothing_fits(filters, list(dict.fromkeys(one for due in of_each.values() for one in due.near)))
    return gone or unfit


def _together(of_each: Mapping[Site, DueList]) -> DueList:
    """One list of all, in the order of what matters first; rules that are off in some houses alone with their names."""
    shown = sorted((row for due in of_each.values() for row in due.shown if isinstance(row, DueRow)), key=_order)
    off: dict[str, list[str]] = {}
    for site, due in of_each.items():
        for rule in due.off:
            off.setdefault(rule, []).append(site.name)
    said = [rule if len(names) == len(of_each) else f"{rule} in {' and '.join(names)}" for rule, names in off.items()]
    first = next(iter(of_each.values()))
    return DueList(
        first.root, first.day, Counts.added(due.counts for due in of_each.values()), shown, off=said, days=day_words(list(of_each)), ledgers=len(of_each),
        settings_unread=frozenset(site.name for site, due in of_each.items() if due.settings_unread),
    )  # fmt: skip


def _order(row: DueRow) -> tuple[Any, ...]:
    """As within one ledger, and of casks of one number by the ledger."""
    rank, number = _RANKS[row.rule]
    return (RANK[row.verdict], rank, not row.well_past, -row.severity, row.since or date.max, row.cask, row.ledger, number)


def _header(due: DueList, of_each: Mapping[Site, DueList], wanted: Wanted) -> str:
    """The header of all, and behind it a line for each ledger."""
    head = due_header(due, wanted)
    lines = [f"  {site.name}: {_counted(one.counts)}" for site, one in of_each.items()]
    return f"{head} · {'; '.join(line.strip() for line in lines)}" if wanted.form == "markdown" else "\n".join([head, *lines])


def _counted(counts: Counts) -> str:
    matters, casks = counts.verdicts["due"] + counts.verdicts["blocked"], number_of(counts.judged, "cask")
    return f"{number_of(matters, 'matter')} on {counts.pressed} of {casks}" if matters else f"nothing due on {casks}"
