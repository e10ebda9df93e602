"""The due rule `claim`: what was found wrong with a cask lately received, while its supplier still takes claims."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case, several
from caskbook.due.decided import unanswered
from caskbook.due.rule import Rule
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.life.receipt import claim_day, last_claim_day, receipt_of
from caskbook.model.jobs import Event
from caskbook.model.jobs.arrival import Receive
from caskbook.model.jobs.bench import Examine, Nose, Test
from caskbook.model.jobs.spirit import Leak
from caskbook.words.job_table import jobs_with

_SHOWN = 3


def claim(case: Case) -> Opinion:
    """Claim on the supplier.

    What: faults of a received cask that can still be claimed: what the dock and the examinations found, failed tests, a nose
    at fault, leaks of its filling.
    Why: a bad parcel noticed after the claim date is paid for by the house.
    When it is due: from the first fault since the receipt to the claim date, which is the receipt's claim_by, else the supplier's claim_days,
    else due.claim.days (30) after the receipt, that day included. Afterwards the date has passed, and it is said once, as ok.
    What to do: claim, then caskbook enter decide CASK --rule claim --outcome claimed; a decision stands for good, for what was found before it.
    """
    if case.rules.claim.off:
        return OFF
    receipt = receipt_of(case.life)
    if receipt is None:
        return ok("not received from anyone")
    last = claim_day(case.life, receipt, case.settings)
    if last is None:
        return Opinion("due", (f"received {receipt.date}: the last day for a claim cannot be read",), receipt.date)
    faults = [(seq, event.date, words) for seq, event in enumerate(case.life.events, 1) if receipt.date <= event.date <= last and (words := claimable(event))]
    new = unanswered(case, "claim")
    found = [(day, words) for seq, day, words in faults if seq in new] or [(day, words) for _, day, words in faults]
    passed = add_days(last, 1)
    if not found:
        return ok(f"nothing found to claim; claims to {last}")
    if case.day > last:
        return ok(f"claim date {last} passed; found in time: {found[0][1]}")
    return Opinion("due", (*_reasons(found), f"claims {_on(case)}to {last}"), found[0][0], turns=(passed,))


def _on(case: Case) -> str:
    supplier = case.life.cask.head.supplier
    return f"on {supplier} " if supplier else ""


_FINDING = jobs_with("finds")


def claimable(event: Event) -> str:
    """What the event found that can be claimed, in words; "" for nothing."""
    if event.job not in _FINDING:
        return ""
    if isinstance(event, Receive | Examine):
        words = [found.says() for found in event.findings or []]
        if event.verdict == "reject" and not words:
            words = ["rejected"]
        where = "on receipt" if isinstance(event, Receive) else "examined"
        return f"{where} {event.date}: {several(words)}" if words else ""
    if isinstance(event, Test) and (event.result == "fail" or event.cured_by):
        cured = ", cured on the spot" if event.cured_by else ""
        return f"failed test {event.date}: leaked at {several([leak.at or '?' for leak in event.leaks or []])}{cured}"
    if isinstance(event, Nose) and event.verdict == "fault":
        return f"nosed {event.date}: {several(list(event.faults or [])) or 'at fault'}"
    return f"{event.severity or '?'} at {event.at or '?'} {event.date}" if isinstance(event, Leak) else ""


def _reasons(found: list[tuple[date, str]]) -> tuple[str, ...]:
    words = [text for _, text in found]
    more = len(words) - _SHOWN
    return tuple(words[:_SHOWN]) + ((f"and {more} more",) if more > 0 else ())


def _another(case: Case, event: Event, _: int) -> bool:
    """Another fault, found while the supplier still takes claims."""
    if not claimable(event):
        return False
    receipt = receipt_of(case.life)
    if receipt is None or "claim_by" in receipt.lost:
        return receipt is not None
    return receipt.date <= event.date <= last_claim_day(case.life, receipt, case.settings)


CLAIM = Rule("claim", 5, claim, reopened_by=_another, for_good=True, away=True, jobs=("decide",), kind="must")
