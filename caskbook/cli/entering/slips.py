"""Figures that do not fit what the cask held: told, and where they can hardly be, asked about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import Book, say
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.entry.plan import Plan
    from caskbook.life import Life

_GAUGING = jobs_with("gauged")


def tell_slips(book: Book, plan: Plan) -> None:
    """What was probably meant. The entry is still the cooper's to write; what is doubted is told when it is asked about."""
    if not any(event["job"] in _GAUGING for _, event in plan.written):
        return
    from caskbook.entry.worked_out import worked_out
    from caskbook.loss.slips import likely_slips

    doubted = set(gauge_doubts(book, plan))
    for cask, life, event in _gauged(book, plan, _GAUGING):
        for line in likely_slips(life, event):
            if f"{cask}  {line}" not in doubted:
                say(f"{cask}  {line}")
    for line in worked_out(plan, book.ledger.house):
        say(line)


def gauge_doubts(book: Book, plan: Plan) -> Iterator[str]:
    """A line for each gauge that can hardly be: more than it held, less than half of it, a dip deeper than the cask."""
    if any(event["job"] == "regauge" for _, event in plan.written):
        from caskbook.loss.slips import doubted_gauge

        for cask, life, event in _gauged(book, plan, ("regauge",)):
            yield from (f"{cask}  {line}" for line in doubted_gauge(life, event))


def _gauged(book: Book, plan: Plan, jobs: tuple[str, ...]) -> Iterator[tuple[str, Life, dict[str, Any]]]:
    """(cask, its life before this run, the entry)."""
    from caskbook.life import live

    pages = {page.cask_id: page for page in plan.pages}
    for cask, event in plan.written:
        first = pages[cask].first
        if event["job"] in jobs and first is not None and first.cask is not None:
            yield cask, live(first.cask, book.ledger.house, event["date"]), event
