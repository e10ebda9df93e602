"""The receipt of a cask: on which day it came in, up to which its supplier takes claims, and whether it tells what was in it."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.life.fold import Life
from caskbook.model.house import Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.arrival import Receive
from caskbook.words.job_table import jobs_with

_TELLS_NO_CONTENTS = frozenset(("receive", "dispose", *jobs_with("no-work")))


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


def contents_untold(life: Life) -> bool:
    """Whether nobody told what was in it: it came with contents `unknown`, or was brought in from a register as a cask that is gone, of which no
    entry says more than that it came and left."""
    st, receipt = life.state, receipt_of(life)
    if not isinstance(receipt, Receive):
        return False
    if receipt.contents == "unknown" and st.filling is None:
        return st.form == "gone" and len(st.fillings) == 1 and st.fillings[0].event == receipt.id and st.emptied_on is None
    if receipt.contents == "unknown":
        return st.filling is not None and st.filling.event == receipt.id
    work = [event for event in life.events if event.job not in _TELLS_NO_CONTENTS]
    return st.form == "gone" and receipt.source == "register" and not receipt.full and receipt.contents is None and not work
