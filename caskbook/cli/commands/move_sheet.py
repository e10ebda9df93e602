"""`move-event --sheet REF --map PAIRS`: a sheet that was entered on the wrong casks, put on the right ones in one write."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from caskbook.cli.commands.put_right import MOST_TOLD, entries_of, tell_rest, with_reason
from caskbook.cli.common import Book, say

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk

_MOST_REFUSED = 40


def move_sheet(book: Book, desk: Desk, bears: dict[str, Any], given: dict[str, str]) -> int:
    """Plan, tell and write; 1 where an entry cannot go, each of which is told."""
    from caskbook.cli.commands.cask_pairs import read_pairs
    from caskbook.cli.entering.tell_and_write import safe, tell_and_write
    from caskbook.entry.move_sheet import moving, plan_moving
    from caskbook.entry.plan_request import Draft, drafted
    from caskbook.model.jobs.base import event_words

    right = read_pairs(book, given["map"])
    if not right:
        say("every cask of the map is mapped to itself: nothing to write")
        return 0
    what = moving(desk, entries_of(book, desk, given["sheet"], ()), right)
    plan = None
    if not what.refused:
        for cask, event in what.moved[:MOST_TOLD]:
            say(safe(f"{cask} → {right[cask]}  {event.date} {event.job}: {event_words(event)}"))
        tell_rest(len(what.moved), "entry")
        plan = plan_moving(desk, what, right, with_reason(bears), anyway="anyway" in given)
    if plan is None:
        more = [f"… and {len(what.refused) - _MOST_REFUSED} more"] if len(what.refused) > _MOST_REFUSED else []
        return tell_and_write(book, Draft(refused=(*what.refused[:_MOST_REFUSED], *more, "nothing written")), dry=False, yes=False)
    return tell_and_write(book, drafted(desk, plan, work=False), dry="dry-run" in given, yes="yes" in given, commit="commit" in given)
