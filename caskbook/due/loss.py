"""The due rule `loss`: a fill that loses more than its peers is looked into, before it is empty."""

from __future__ import annotations

from caskbook.due.case import Case
from caskbook.due.rule import Rule
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.loss.verdicts import LossVerdict
from caskbook.loss.words import reasons_of
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with

_BEGINS_FILL = frozenset(jobs_with("begins-fill"))


def loss(case: Case) -> Opinion:
    """Look into a loss.

    What: the alcohol a fill loses over all its gauges, held against what its peers lose (type, store and fill; few of them are leaned on the house's table
    or on the whole store), what the wood takes at first, the seasons and the error of each gauge allowed for.
    Why: a leak may take as much as the air does, and shows in figures years before the cask is empty.
    When it is due: where more is gone than by chance in so many sound casks: false_alarms_per_1000_casks_a_year of house.yaml, 0.4 unless set, which tells a
    sound cask wrongly once in 2500 years. Soon, which is to watch it, at four times as many. Beside fewer than fewest_peers (15) it is too much in
    any case where half is gone, or more than act_percent (5 % a year) from 200 L or more in a temperate store and 2.5 times the house's table; without any peers or table it is else unknown. Unknown too where a gauge lies above an earlier one and it cannot be told which is wrong,
    where one gauge is likelier misread (gallons for litres, digits swapped) than the cask leaking, and where gauges give no figure: gauge again, or, once it is out, correct.
    The present fill is judged, or the last one until the cask is filled again. It draws no conclusion about who is to answer.
    What to do: find the leak (caskbook enter leak CASK) or gauge again while it is full; a person answers with caskbook enter decide CASK
    --rule loss --outcome explained or unexplained, which stands for that fill and what had begun by then: what begins later is due again.
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
        return Opinion("due", reasons, verdict.since, begun=None if verdict.leak is None else verdict.leak.onset[0])
    if verdict.level == "watch":
        return Opinion("soon", reasons)
    if verdict.level == "doubtful" or (verdict.level == "unknown" and (verdict.summary.points or verdict.summary.in_vain)):
        return Opinion("unknown", reasons)
    return ok(*reasons)


def _new_fill(case: Case, event: Event, seq: int) -> bool:
    """A decision is about one fill's loss: the next filling is another matter, but not what is racked onto what the cask held."""
    return event.job in _BEGINS_FILL and (event.job != "rack-in" or any(filling.seq == seq for filling in case.st.fillings))


def _jobs(case: Case, word: str) -> tuple[str, ...]:
    """Gauged again while there is something to gauge; of a fill that is out only a decision is left."""
    return () if word == "blocked" else ("regauge",) if case.st.contents == "spirit" else ("decide",)


LOSS = Rule("loss", 5, loss, reopened_by=_new_fill, for_good=True, jobs=("regauge", "leak", "decide"), kind="gauge", calls=_jobs)
