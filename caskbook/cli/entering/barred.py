"""What a cask forbids is told before a question is asked, and before what the line lacks."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from caskbook.cli.entering.ask import DeclinedError, on_terminal
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk, Plan
    from caskbook.entry.request import Request


def unless_barred(desk: Desk, request: Request, go_on: Callable[[], int], refuse: Callable[[Plan], int]) -> int:
    """The code of `go_on`, or of `refuse` where a cask forbids the job whatever its fields are."""
    from caskbook.entry.barred import barred
    from caskbook.entry.fields import NEW_FILE_JOBS

    if on_terminal() and (plan := barred(desk, request)).refusals:
        return refuse(plan)
    try:
        return go_on()
    except DeclinedError:
        raise
    except CaskbookError:
        if request.jobs[0] not in NEW_FILE_JOBS and (plan := barred(desk, request)).refusals:
            return refuse(plan)
        raise
