"""The due rule `loss`: a fill that loses more than its peers is looked into, before it is empty."""

from __future__ import annotations

from caskbook.due.case import Case
from caskbook.due.rule import Rule
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.loss.verdicts import LossVerdict
from caskbook.loss.words import reasons_of
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with

_FILLED = jobs_with("begins-fill")


def loss(case: Case) -> Opinion:
    """Look into a loss.

    What: the alcohol a fill loses a year, over the whole of it or between two gauges, what the wood took at first left out.
    Why: a leak may take as much as the air does, and shows in figures years before the cask is empty.
    When it is due: more than 2.5 times what its peers lose (type, store and fill; the house's table where there are fewer than
    15), or more than 3 standard deviations of their spread and the measuring error together above it, or more than 5 % a year
    from 200 L or more in a temperate store; and in any case by more than the measuring error. Soon, which is to watch it, from
    1.75 times or 2 standard deviations. Unknown where a gauge lies above an earlier one and it cannot be told which is wrong.
    The present fill is judged, or the last one until the cask is filled again. It draws no conclusion about who is to answer.
    What to do: find the leak (caskbook enter leak CASK) or gauge again; a person answers with caskbook enter decide CASK
    --rule loss --outcome explained or unexplained, which stands for that fill.
    """
    if case.rules.loss.off:
        return OFF
    if case.losses is None:
        return ok("not compared: no peers were gathered")
    return opinion_of(case.losses.latest())


def opinion_of(verdict: LossVerdict | None) -> Opinion:
    """What the rule says, by the verdict on the present or last fill; None where there is none."""
    if verdict is None:
        return ok("never filled with spirit here")
    reasons = reasons_of(verdict)
    if verdict.level == "act":
        return Opinion("due", reasons, verdict.since)
    if verdict.level == "watch":
        return Opinion("soon", reasons)
    if verdict.level == "doubtful":
        return Opinion("unknown", reasons)
    return ok(*reasons)


def _new_fill(event: Event) -> bool:
    """A decision is about one fill's loss: the next filling is another matter."""
    return event.job in _FILLED


LOSS = Rule("loss", 5, loss, reopened_by=_new_fill, for_good=True)
