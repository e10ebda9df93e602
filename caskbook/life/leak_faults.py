"""What closes a leak, or saw one again, where none is open that it could mean."""

from __future__ import annotations

from caskbook.core.finding import Fault
from caskbook.life.needs import fault_at
from caskbook.life.state import State
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import listed
from caskbook.words.job_table import jobs_with

MAY_CLOSE = jobs_with("closes-leak")
SEEN_AGAIN = frozenset(jobs_with("of-entry")) & frozenset(jobs_with("leak-seen"))


def leak_faults(event: Event, row: int, st: State) -> list[Fault]:
    """A job that closes a leak, or a look that saw one wet, where none is open that it could mean."""
    if event.job in SEEN_AGAIN:
        seen, of, at = event.seen, event.of, event.at  # type: ignore[attr-defined]
        if seen == "dry" or event.lost or st.leaks_seen(of, at):
            return []
        meant = f" of {of}" if of else f" at {at}" if at else ""
        others = f"; open: {listed([f'{leak.at} ({leak.severity})' for leak in st.leaks])}" if st.leaks else ""
        message = f"`seen` is {seen}: no leak{meant} is open{others}"
        return [fault_at(event, row, "leak-not-open", message, "enter the leak with `leak`, or void this", "seen", severity="warning")]
    closes = event.closes if event.job in MAY_CLOSE else None  # type: ignore[attr-defined]
    if closes is None or st.leaks_seen(closes, None):
        return []
    message = f"`closes` names {closes}: no leak of that id is open"
    return [fault_at(event, row, "leak-not-open", message, "name the leak event, or take `closes` out", "closes", severity="warning")]
