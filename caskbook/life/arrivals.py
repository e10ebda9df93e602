"""A second arrival of one cask, under another number of it: what it says against the life that the cask had until then."""

from __future__ import annotations

from typing import cast

from caskbook.core.finding import Fault
from caskbook.life.bench import wine_in
from caskbook.life.needs import fault_at, gone_broken, since_words
from caskbook.life.state import State
from caskbook.model.jobs import Event
from caskbook.model.jobs.arrival import Receive


def arrived_again(event: Event, row: int, st: State) -> list[Fault]:
    """The fault of an arrival that another number's entries went before: the cask was gone, or held something else than is said."""
    if st.form == "gone":
        return gone_broken(event, row)
    if not st.filled:
        return []
    if event.job != "receive":
        return [fault_at(event, row, "job-on-full-cask", f"{event.job} needs it empty; {since_words(st)}", f"void this {event.job}, or what joins the numbers")]
    said = _said_of_contents(cast(Receive, event), st)
    if said is None:
        return []
    code = "job-on-full-cask" if said == "empty" else "fill-of-full-cask"
    words = "received empty" if said == "empty" else f"received full of {said}"
    return [fault_at(event, row, code, f"{words}; {since_words(st)}", "void it, or what joins the numbers")]


def liquor_received(event: Receive, st: State) -> tuple[str, str]:
    """(wine or spirit, the word for it) of what a full cask is received with."""
    word = event.spirit or event.contents or ""
    wine = event.contents is not None and wine_in(st, event.contents) or wine_in(st, word)
    return "wine" if wine else "spirit", word


def _said_of_contents(event: Receive, st: State) -> str | None:
    """What the receipt says is in the full cask, where that is something else; None where it goes with it, or says nothing."""
    if event.contents == "empty":
        return "empty"
    if not event.full:
        return None
    kind, word = liquor_received(event, st)
    if kind != st.contents:
        return word
    named = word not in ("spirit", "wine")
    return word if named and st.spirit not in (None, "spirit", "wine", word) else None
