"""The due rule `claim`: what was found wrong with a cask lately received, while its supplier still takes claims."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case, several
from caskbook.due.rule import Rule
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.model.house import Settings
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
    What to do: claim, then caskbook enter decide CASK --rule claim --outcome claimed; a decision stands for good.
    """
    if case.rules.claim.off:
        return OFF
    receipt = next((event for event in case.life.events if isinstance(event, Receive)), None)
    if receipt is None:
        return ok("not received from anyone")
    if "claim_by" in receipt.lost:
        return Opinion("due", (f"received {receipt.date}: the last day for a claim cannot be read",), receipt.date)
    last = last_claim_day(receipt, case.life.cask.head.supplier, case.settings)
    found = [(event.date, words) for event in case.life.events if receipt.date <= event.date <= last and (words := claimable(event))]
    passed = add_days(last, 1)
    if not found:
        return ok(f"nothing found to claim; claims to {last}")
    if case.day > last:
        return ok(f"claim date {last} passed; found in time: {found[0][1]}")
    return Opinion("due", (*_reasons(found), f"claims {_on(case)}to {last}"), found[0][0], turns=(passed,))


def claims_taken(receipt: Receive, supplier: str | None, settings: Settings) -> bool:
    """Whether anything tells of a last day for a claim: the entry, the supplier, or the house, unless it has the rule off."""
    return receipt.claim_by is not None or (supplier or "") in settings.suppliers or not settings.due.claim.off


def last_claim_day(receipt: Receive, supplier: str | None, settings: Settings) -> date:
    """The last day for a claim on what was received: what its entry says, else so many days after it as the supplier, else as the house says."""
    if receipt.claim_by is not None:
        return receipt.claim_by
    known = settings.suppliers.get(supplier or "")
    return add_days(receipt.date, known.claim_days if known else settings.due.claim.days)


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


CLAIM = Rule("claim", 5, claim, for_good=True, away=True, jobs=("decide",), kind="must")
