"""`caskbook redate`: entries that were written for the wrong day, one of them or a whole sheet, get the right one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskbook.cli.commands.put_right import MOST_TOLD, declinable, entries_of, helped, parsed, tell_rest
from caskbook.cli.common import Book, open_book, say
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from caskbook.entry.plan import Desk
    from caskbook.entry.redate import Redating

_HELP = (
    "caskbook redate --sheet REF --date DAY\n"
    "  every entry of a sheet or run gets the right day, all or none; CASK… --sheet\n"
    "  REF: of these. A sheet of several days: --from DAY says which is wrong\n"
    "  as: caskbook redate --sheet run-20261124-ab-x7k2 --date wed\n"
    "caskbook redate CASK EVENT --date DAY\n"
    "  one entry; --before EVENT: it goes before another of that day\n"
    "  as: caskbook redate 4217 gqw --date 2026-11-25\n"
    "  Nothing is altered: each entry is replaced by itself on the right day, behind\n"
    "  what its cask has of that day, and judged as one that is entered. EVENT is an\n"
    "  id or its first figures; REF its name, or its last figures (x7k2); caskbook\n"
    "  show CASK --all tells both. Who did it stays as it is.\n"
    "  --why REASON, --anyway, --yes, --dry-run, --commit, --records DIR\n"
    "  exit code 0 written or right already, 1 refused or declined, 2 not understood"
)


@declinable
def redate(argv: list[str]) -> int:
    """`redate --sheet REF --date DAY`, `redate CASK EVENT --date DAY`."""
    from caskbook.cli.entering.desk import desk_of
    from caskbook.entry.build import read_day

    loose, given = parsed("redate", argv, ("sheet", "date", "from", "before", "why", "anyway"))
    if helped(_HELP, given):
        return 0
    if "sheet" not in given and len(loose) != 2:
        raise CaskbookError("which entries? as: caskbook redate --sheet REF --date wed, or redate TH-004217 dt3q62s1 --date wed")
    if "date" not in given:
        raise CaskbookError("which day is right? --date DAY, as wed, yesterday or 2026-11-25")
    if "before" in given and "sheet" in given:
        raise CaskbookError("--before is for one entry: caskbook redate CASK EVENT --date DAY --before EVENT")
    if "from" in given and "sheet" not in given:
        raise CaskbookError("--from is for a sheet of several days")
    if "anyway" in given and "why" not in given:
        raise CaskbookError("--anyway needs its reason: --why …, which is written on the entry")
    book = open_book(given.get("records"), joins=True)
    desk = desk_of(book)
    day = read_day(given["date"], book.today)
    if day > book.today:
        raise CaskbookError(f"{day:%A} {day} lies ahead: today is {book.today}; give the day the job was done")
    return _redate(book, desk, _found(book, desk, loose, given, day), given, day)


def _found(book: Book, desk: Desk, loose: Sequence[str], given: dict[str, str], day: date) -> Redating:
    """The entries that get another day."""
    from caskbook.cli.numbers import named_one
    from caskbook.entry.build import read_day
    from caskbook.entry.redate import one_redated, sheet_redated

    if "sheet" not in given:
        return one_redated(desk, named_one(book, loose[0]), loose[1], day)
    only = read_day(given["from"], book.today) if "from" in given else None
    return sheet_redated(desk, entries_of(book, desk, given["sheet"], loose), day, only)


def _redate(book: Book, desk: Desk, found: Redating, given: dict[str, str], day: date) -> int:
    """Plan, tell and write."""
    from caskbook.cli.entering.tell_and_write import safe, tell_and_write
    from caskbook.entry.plan_request import drafted
    from caskbook.entry.redate import behind_others, plan_redating
    from caskbook.model.jobs.base import event_words

    for one in found.targets[:MOST_TOLD]:
        event = one.event
        say(safe(f"{one.cask}  {event.date:%a} {event.date} → {day:%a} {day}  {event.job}: {event_words(event)}"))
    tell_rest(len(found.targets), "entry")
    before = _before(desk, found, given, day)
    for text in (*found.remarks, *(behind_others(desk, found.targets, day) if before is None else ())):
        say(safe(text))
    plan = plan_redating(desk, found.targets, day, given.get("why"), before=before, anyway="anyway" in given)
    return tell_and_write(book, drafted(desk, plan, work=False), dry="dry-run" in given, yes="yes" in given, commit="commit" in given)


def _before(desk: Desk, found: Redating, given: dict[str, str], day: date) -> str | None:
    """The id of the entry that the one goes before. CaskbookError where it is of another day."""
    from caskbook.entry.plan import event_of_cask

    if "before" not in given:
        return None
    event = event_of_cask(desk.page(found.targets[0].cask), given["before"])
    if event.date != day:
        raise CaskbookError(f"--before {event.id}: that is of {event.date}, not of {day}")
    return event.id
