"""What a round found, entered: the jobs of all casks in one plan, all written or none, with who and which day as everywhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.build import Asker
    from caskbook.entry.entry import Entry
    from caskbook.entry.plan import Desk
    from caskbook.entry.round_steps import Step


def enter_steps(book: Book, certain: Sequence[Step], by: str | None, *, yes: bool, dry: bool) -> int:
    """Plan, tell, ask once and write. 0 where it is written, or would be."""
    from caskbook.cli.entering.desk import asker_of, desk_of, shift_here
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.entry.entry import run_sheet
    from caskbook.entry.plan import plan_run
    from caskbook.entry.plan_request import Draft, drafted

    shift = shift_here(book, by=by)
    desk = replace(desk_of(book, shift), day=book.day)
    by = by or asker_of(book, desk, shift).by or _who(desk)
    sheet = run_sheet(desk.today, by, desk.bits)

    def drawn(at: Book) -> Draft:
        """The plan on the files as they are."""
        here = replace(desk_of(at, shift), day=book.day)
        entries: list[Entry] = []
        for step in certain:
            entries += _entries(here, step, by, sheet, asker_of(at, here, shift))
        return drafted(here, plan_run(here, entries))

    return tell_and_write(book, drawn(book), dry=dry, yes=yes, again=drawn)


def _who(desk: Desk) -> str:
    """Whose initials the entries bear, where nobody said: asked on a terminal. CaskbookError where nobody is there to be asked."""
    from caskbook.cli.entering.ask import TRIES, answer, on_terminal
    from caskbook.entry.crew import not_there, there_on

    settings = desk.ledger.house.on(desk.work_day)
    crew = ", ".join(there_on(settings.crew, desk.work_day))
    for _ in range(TRIES if on_terminal() else 0):
        said = answer(f"who walked? ({crew}) " if crew else "who walked? ")
        why = not_there(settings, said, desk.work_day) if said else "initials of the crew"
        if not why:
            return said
        say(f"  {why}")
    raise CaskbookError(f"entering needs --by{f' ({crew})' if crew else ''}, or a shift; nothing written")


def _entries(desk: Desk, step: Step, by: str, sheet: str, asker: Asker) -> list[Entry]:
    """The entries of one job."""
    from caskbook.entry.build import build
    from caskbook.entry.request import Request

    given = {(step.job, "sheet"): [sheet], (step.job, "by"): [by]}
    if step.berths:
        given[step.job, "berth"] = [",".join(step.berths)]
    return build(desk, Request([step.job], list(step.casks), given), asker).entries
