"""Figures that do not fit what the cask held: said, and where they can hardly be, doubted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk, Plan
    from caskbook.life import Life

_GAUGING = jobs_with("gauged")


def slips(desk: Desk, plan: Plan, doubted: Sequence[str]) -> Iterator[str]:
    """What was probably meant, and what was worked out. The entry is still the cooper's to write; what is `doubted` is told when it
    is asked about."""
    if not any(event["job"] in _GAUGING for _, event in plan.written):
        return
    from caskbook.entry.worked_out import worked_out
    from caskbook.loss.slips import likely_slips

    for cask, life, event in _gauged(desk, plan, _GAUGING):
        yield from (line for text in likely_slips(life, event) if (line := f"{cask}  {text}") not in doubted)
    yield from worked_out(plan, desk.ledger)


def gauge_doubts(desk: Desk, plan: Plan) -> Iterator[str]:
    """A line for each gauge that can hardly be: more than it held, less than half of it, a dip deeper than the cask."""
    if any(event["job"] == "regauge" for _, event in plan.written):
        from caskbook.loss.slips import doubted_gauge

        for cask, life, event in _gauged(desk, plan, ("regauge",)):
            yield from (f"{cask}  {line}" for line in doubted_gauge(life, event))


def _gauged(desk: Desk, plan: Plan, jobs: tuple[str, ...]) -> Iterator[tuple[str, Life, dict[str, Any]]]:
    """(cask, its life before this run, the entry)."""
    from caskbook.ledger.whole import whole_life

    pages = {page.cask_id: page for page in plan.pages}
    for cask, event in plan.written:
        first = pages[cask].first
        if event["job"] in jobs and first is not None and first.cask is not None:
            yield cask, whole_life(desk.ledger, first.cask, event["date"], planned=False), event
