"""`due --format markdown|ics`: the list for mail, and for a calendar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from caskbook.cli.common import say
from caskbook.cli.data_output import write_data
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.render.verdict import Judged


def refuse_page(form: str, asked: Mapping[str, Any]) -> None:
    """CaskbookError for what does nothing to a page of this format; `asked` as in `due.run`."""
    if asked["settings"]:
        raise CaskbookError(f"--format {form} with --set: what turns is told as text, json, jsonl or csv")
    for name, option in (("by_cask", "--by-cask"), ("sort", "--sort")):
        if asked[name] and form == "ics":
            raise CaskbookError(f"{option} with --format ics: a calendar has one entry for each day and rule; leave {option} out")


class Page(NamedTuple):
    """What stands over the list: the ledger, its day and revision, and the first line; `top`: so many of it; `by_cask`, and whether each is told
    with its verdict."""

    root: Path
    day: date
    at: str | None
    header: str
    top: int | None
    by_cask: bool
    show_verdict: bool


def print_markdown(page: Page, shown: Sequence[Judged], later: Sequence[str]) -> None:
    """Print the verdicts as Markdown; `top` cuts the casks where each is told once, else the verdicts. `later`: lines at the foot."""
    from caskbook.render.due_by_cask import by_cask
    from caskbook.render.due_markdown import by_cask_markdown, due_markdown

    foot = [line for line in later if line]
    if page.by_cask:
        write_data(by_cask_markdown(by_cask(shown)[: page.top], page.header, foot, show_verdict=page.show_verdict))
    else:
        write_data(due_markdown(shown[: page.top], page.header, foot, show_verdict=page.show_verdict))


def print_calendar(page: Page, shown: Sequence[Judged]) -> None:
    """Print the verdicts, the first `top` of them, as a calendar; those that have no day are counted on stderr."""
    from caskbook.ledger.house_read import house_of
    from caskbook.render.due_calendar import calendar_ics, calendar_of

    calendar = calendar_of(shown[: page.top], page.day)
    write_data(calendar_ics(calendar.entries, page.day, house_of(page.root, page.at).on(page.day).name, page.header))
    if calendar.without_day:
        words = ", ".join(f"{count} {word}" for word, count in calendar.without_day.items())
        say(f"{number_of(sum(calendar.without_day.values()), 'verdict')} without a day left out of the calendar: {words}")
