"""The receipt of a cask: on which day it came in, and up to which its supplier takes claims."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.life.fold import Life
from caskbook.model.house import Settings
from caskbook.model.jobs import Event


def receipt_of(life: Life) -> Event | None:
    """The entry with which it came in; None of a cask that was raised or made here."""
    return next((event for event in life.events if event.job == "receive"), None)


def claim_day(life: Life, receipt: Event, settings: Settings) -> date | None:
    """The last day for a claim on what was received: that of the receipt, else by the supplier's claim_days, else by due.claim.days. None
    where it cannot be read, and where the rule `claim` is off and nothing else tells it."""
    if "claim_by" in receipt.lost:
        return None
    if receipt.claim_by is None and settings.due.claim.off and life.cask.head.supplier not in settings.suppliers:  # type: ignore[attr-defined]
        return None
    return last_claim_day(life, receipt, settings)


def last_claim_day(life: Life, receipt: Event, settings: Settings) -> date:
    """The last day for a claim on a receipt that can be read: what it says, else so many days after it as the supplier has, else as the house has."""
    own: date | None = receipt.claim_by  # type: ignore[attr-defined]
    if own is not None:
        return own
    supplier = settings.suppliers.get(life.cask.head.supplier or "")
    return add_days(receipt.date, supplier.claim_days if supplier else settings.due.claim.days)
