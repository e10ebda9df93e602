"""Parts taken of a donor, counted over the book as it would be after a run, against what was saved of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from caskbook.core.finding import Fault
from caskbook.entry.page import Page
from caskbook.entry.rule_faults import context_of_run
from caskbook.ledger.files import Ledger
from caskbook.model.standing import CORRECTORS, corrections
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.checks.context import Context
    from caskbook.checks.donors import Take

_TAKING, _GIVING = frozenset(jobs_with("takes-parts")), frozenset((*jobs_with("gives-parts"), "raise"))
"""A cask that is raised again has its staves itself: what it gives is what is spare then."""


def donors_short(written: Sequence[Page], ledger: Ledger, today: date, pages: dict[str, Page]) -> Iterator[tuple[str, str | None, Fault]]:
    """(cask, job, fault) of each donor that gave more than was saved of it, and would give more, or have less, by this run than
    before it: at the entry of the run with which it is too many; without a job at another one, where the run itself takes nothing of it. And of each
    part that others took of a cask which by this run was not taken down on that day.
    """
    touched = [page for page in written if page.record is not None and _bears_on_donors(page)]
    if not touched:
        return
    from caskbook.checks.donors import out_of, pile_of, piles_of
    from caskbook.checks.takers import taken_in, taken_of

    before, after = context_of_run(ledger, today, {}), context_of_run(ledger, today, pages)
    here = [(page.first, page.record) for page in pages.values() if page.record is not None]
    was = [take for first, _ in here for take in taken_in(ledger, before, first)]
    now = [take for _, record in here for take in taken_in(ledger, after, record)]
    donors = _donors(touched, was, now)
    others = list(taken_of(ledger, after, donors, {page.name for page in pages.values()})) if donors else []
    old = piles_of([*was, *others], before)
    jobs = {(page.cask_id, str(event["id"])): str(event["job"]) for page in written for event in page.added}
    for key, some in sorted(piles_of([*now, *others], after).items()):
        pile, there_before = pile_of(key, after), pile_of(key, before).count
        total, total_before = (sum(take.count for take in taken) for taken in (some, old.get(key, ())))
        if pile.count is None or total <= pile.count or (total <= total_before and pile.count == there_before):
            continue
        take = _too_many(some, pile.count, jobs)
        yield take.cask, jobs.get((take.cask, take.event)), replace(out_of(take, total, pile), related=(take.event,))
    yield from _standing_again([*now, *others], before, after, {(page.cask_id, str(event["id"])) for page in written for event in page.added})


def _standing_again(taken: Iterable[Take], before: Context, after: Context, ours: Collection[tuple[str, str]]) -> Iterator[tuple[str, None, Fault]]:
    """What was taken of a cask that was taken down by then, and is not any more by the run; the run's own takings (`ours`) are judged by the rules."""
    from caskbook.checks.bundles import is_taken_down

    for take in taken:
        if (take.cask, take.event) in ours or is_taken_down(after.whole(take.donor), take.day) or not is_taken_down(before.whole(take.donor), take.day):
            continue
        text = f"{take.part} of {take.donor} on {take.day}, which was not broken up then"
        yield take.cask, None, Fault("donor-not-broken-up", "error", text, (), f"enter the breaking up of {take.donor}", related=(take.event,))


def _bears_on_donors(page: Page) -> bool:
    """Whether new events of the page take parts of a cask, put another one on or out of force that does, or count anew what a donor gave."""
    for event in page.added:
        if event["job"] in _TAKING and event.get("from") or event["job"] in _GIVING and (event.get("replaces") or event["job"] == "raise"):
            return True
    if _stands_again(page):
        return True
    corrected = any(event["job"] in CORRECTORS or event.get("replaces") for event in page.added)
    return corrected and any(event.job in _TAKING and getattr(event, "from_", None) for event in page.events)


def _stands_again(page: Page) -> bool:
    """Whether new events of the page put out of force, or put another day to, what took its cask down."""
    old = page.first.cask if page.first is not None else None
    if old is None:
        return False
    found = corrections(page.events)
    gone = [event for event in old.events if event.job in _GIVING and event.id in found.fallen]
    return bool(gone) and any(corrections(old.events).stands(event) for event in gone)


def _donors(touched: Iterable[Page], was: Iterable[Take], now: Iterable[Take]) -> set[str]:
    """The donors that the pages take of, those whose own pages they are among them."""
    names = {page.cask_id for page in touched}
    giving = {page.cask_id for page in touched if any(event["job"] in _GIVING for event in page.added) or _stands_again(page)}
    return giving | {take.donor for take in (*was, *now) if take.cask in names}


def _too_many(pile: Sequence[Take], saved: int, ours: Collection[tuple[str, str]]) -> Take:
    """The taking with which it is too many, what this run takes (`ours`: cask and entry) counted last."""
    so_far = 0
    ordered = sorted(pile, key=lambda one: ((one.cask, one.event) in ours, one.day, one.event, one.cask))
    for take in ordered:
        so_far += take.count
        if so_far > saved and ((take.cask, take.event) in ours or not any((one.cask, one.event) in ours for one in pile)):
            return take
    return ordered[-1]
