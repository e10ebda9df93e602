"""What a run says of itself before it is written: the cask and what it is, the jobs in a line, the reasons against."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from caskbook.entry.head_correction import correction_says
from caskbook.entry.page import Page
from caskbook.entry.plan import Plan, Refusal
from caskbook.ledger.files import Ledger
from caskbook.ledger.whole import whole_life
from caskbook.life import Life
from caskbook.life.facts import Facts, facts_of
from caskbook.life.least import since_char_least
from caskbook.model.cask import read_event
from caskbook.model.jobs.base import event_words
from caskbook.words import CASK_TYPES
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.sheet import Read
    from caskbook.model.jobs import Event

MOST_LISTED = 8
_MOST_DUE = 4


def ordinal(number: int) -> str:
    """1st, 2nd, 3rd, 11th."""
    tail = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{tail}"


def cask_line(life: Life) -> str:
    """ "TH-004217  hogshead, ready, 2 fills since char, last fail croze-A": a cask and what it is, on one line."""
    facts = facts_of(life)
    head = f"{facts.cask}  {facts.type}"
    if not life.begun:
        return f"{head}, new in the book"
    parts = [head, *_matters(life, facts)]
    return ", ".join(part for part in parts if part)


def _matters(life: Life, facts: Facts) -> list[str]:
    """What matters of a cask before a job, in words: its contents or state, fills since char, the last fail, its marks."""
    full = life.state.contents == "spirit"
    words = [contents_words(life, facts)]
    since, least = facts.fills_since_char, since_char_least(life)
    if facts.never_charred:
        in_life = _at_least(facts.fills_life, facts.fills_life_min, least=least)
        words.append("never charred" + (f", {in_life} in its life" if in_life else ""))
    elif full and since and not least:
        words.append(f"{ordinal(since)} fill since char")
    elif since is not None or facts.fills_since_char_min:
        words.append(f"{_at_least(since, facts.fills_since_char_min, least=least) or _fills(0)} since char")
    elif facts.fills_life_min:
        words.append(f"at least {_fills(facts.fills_life_min)} in its life")
    words.append(last_fail(life))
    return words + [mark for mark in facts.marks or [] if mark != facts.state]


def contents_words(life: Life, facts: Facts) -> str:
    """What it holds, or its state; that it cannot be told where nobody knows."""
    if facts.state is None:
        return "state not known"
    if not life.state.filled:
        return facts.state
    held = facts.spirit or "what nobody wrote"
    return f"full of {held}" if life.state.contents == "spirit" else f"seasoning with {held}"


def _at_least(known: int | None, minimum: int | None, *, least: bool) -> str:
    """ "3 fills", "at least 3 fills"; empty of none."""
    count = minimum if known is None else known
    return f"{'at least ' if least or known is None else ''}{_fills(count)}" if count else ""


def _fills(count: int) -> str:
    return number_of(count, "fill")


def last_fail(life: Life) -> str:
    """ "last fail croze-A": where the last leak of a test was."""
    for event in reversed(life.events):
        leaks = getattr(event, "leaks", None)
        if event.job == "test" and leaks:
            return f"last fail {leaks[0].at}"
    return ""


def page_line(page: Page, ledger: Ledger, day: date) -> str:
    """The cask as the book had it on that day before this run."""
    if page.first is None or page.first.cask is None:
        head = page.cask.head
        size = head.capacity_l or (CASK_TYPES[head.type].litres if head.type in CASK_TYPES else None)
        return f"{page.cask_id}  {head.type}" + (f" of {size:g} L" if size else "") + ", new in the book"
    return cask_line(whole_life(ledger, page.first.cask, day, planned=False))


def due_line(life: Life) -> str:
    """ "due: retest since 2026-11-16, rechar since 2026-11-03", of the rules that look at one cask alone; empty where nothing is due."""
    if not life.begun:
        return ""
    from caskbook.due import judge

    return due_words([(one.rule, one.verdict, str(one.since) if one.since else None) for one in judge(life, facts_of(life))])


def due_words(found: Sequence[tuple[str, str, str | None]]) -> str:
    """The same, of (rule, verdict, since when)."""
    loud = [one for one in found if one[1] in ("due", "blocked")]
    named = [rule + (" blocked" if verdict == "blocked" else "") + (f" since {since}" if since else "") for rule, verdict, since in loud[:_MOST_DUE]]
    return f"due: {', '.join(named)}" + (" …" if len(loud) > _MOST_DUE else "") if named else ""


def event_says(data: Mapping[str, Any]) -> str:
    """ "test: pass, 11 psi"."""
    event, _ = read_event(dict(data), ("events", 0))
    return job_words(event) if event else str(data["job"])


def job_words(event: Event) -> str:
    """The same of an entry that is read."""
    said = event_words(event)
    return f"{event.job}: {said}" if said else event.job


def _entry_says(plan: Plan, cask: str, event: Mapping[str, Any]) -> str:
    """What an entry of the run says; a correction with what it changes on that cask."""
    page = next((page for page in plan.pages if page.cask_id == cask), None)
    if event["job"] == "correct" and page is not None:
        return f"correct: {correction_says(page, str(event['id']))}"
    return event_says(event)


def day_says(data: Mapping[str, Any]) -> str:
    """The day with its weekday, by which a wrong one is noticed."""
    return f" on {data['date']:%A} {data['date']}" if isinstance(data["date"], date) else ""


def preview(plan: Plan, ledger: Ledger, today: date) -> list[str]:
    """One cask: it and each entry. Several: "58 casks: test: pass, 11 psi", once for each kind of entry."""
    casks = list(dict.fromkeys(cask for cask, _ in plan.written))
    if len(casks) == 1:
        page = next(page for page in plan.pages if page.cask_id == casks[0])
        days = [event["date"] for _, event in plan.written if isinstance(event.get("date"), date)]
        lines = [page_line(page, ledger, min([today, *days]))]
        return lines + [f"  {_entry_says(plan, cask, event)}{day_says(event)}{_by(event)}" for cask, event in plan.written]
    alike: dict[str, list[str]] = {}
    for cask, event in plan.written:
        alike.setdefault(f"{_entry_says(plan, cask, event)}{day_says(event)}{_by(event)}", []).append(cask)
    if len(alike) > MOST_LISTED:
        alike = {}
        for cask, event in plan.written:
            alike.setdefault(str(event["job"]), []).append(cask)
    return [f"{number_of(len(casks), 'cask')}, {short_list(casks)}", *(f"  {_on_casks(those)}: {said}" for said, those in alike.items())]


def _on_casks(casks: Sequence[str]) -> str:
    """ "58 casks" for an entry on each; "11 entries on 10 casks" where one has several."""
    different = number_of(len(set(casks)), "cask")
    return different if len(set(casks)) == len(casks) else f"{number_of(len(casks), 'entry')} on {different}"


def _by(event: Mapping[str, Any]) -> str:
    return f"  ({event['by']})" if event.get("by") else ""


def short_list(casks: Sequence[str]) -> str:
    """The first and the last of many, all of a few."""
    return ", ".join(casks) if len(casks) <= 4 else f"{casks[0]} … {casks[-1]}"


def refusal_lines(refusals: Sequence[Refusal]) -> list[str]:
    """Each fault on a line, with the casks that have it; below it what to do, once for each remedy."""
    groups: dict[tuple[str, str], list[str]] = {}
    for refusal in refusals:
        groups.setdefault((refusal.fault.message, unwritten(refusal.fault.help)), []).append(refusal.cask)
    lines: list[str] = []
    told: set[str] = set()
    for (message, remedy), casks in groups.items():
        if len(casks) > 1:
            lines += [f"{number_of(len(casks), 'cask')}  {message}:", *wrap(", ".join(casks), 78, initial_indent="    ", subsequent_indent="    ")]
        else:
            lines.append(message if message.startswith(casks[0]) else f"{casks[0]}  {message}")
        if remedy and remedy not in told:
            told.add(remedy)
            lines.append("  " + remedy.replace("CASK", casks[0]))
    return lines


def row_faults(read: Read, plan: Plan) -> list[tuple[int, str, str]]:
    """(row, what is wrong, what to do) of a sheet, in the order of its rows."""
    found = [(row, fault, "") for row, fault in read.faults]
    for refusal in plan.refusals:
        message, remedy = refusal.fault.message, unwritten(refusal.fault.help).replace("CASK", refusal.cask)
        found.append((refusal.row or 0, message if message.startswith(refusal.cask) else f"{refusal.cask}  {message}", remedy))
    return sorted(dict.fromkeys(found), key=lambda one: one[0])


def total_line(plan: Plan) -> str:
    """ "12 entries on 12 casks, sheet tuesday": the sum of a run over many casks, nothing for one."""
    casks = {cask for cask, _ in plan.written}
    sheets = list(dict.fromkeys(str(event["sheet"]) for _, event in plan.written if event.get("sheet")))
    if len(casks) < 2:
        return ""
    return f"{number_of(len(plan.written), 'entry')} on {len(casks)} casks" + (f", sheet {', '.join(sheets)}" if 0 < len(sheets) < 4 else "")


def unwritten(remedy: str) -> str:
    """A remedy of the check for an entry that is not written yet: there is nothing to void but what stands there already."""
    if remedy.startswith("void this entry, or the one"):
        return remedy.replace("void this entry, or the one", "void the entry", 1)
    if remedy.startswith("void it, or "):
        rest = remedy.removeprefix("void it, or ")
        return f"void {rest}" if rest.startswith("the ") else rest
    return re.sub(r",? (or|and) void (this|the|it)( [a-z-]+)?$", "", remedy)


def result_lines(plan: Plan) -> list[str]:
    """What was written, one line an entry: cask, event id, day, job."""
    return [f"{cask}  {event['id']}  {event['date']}  {_entry_says(plan, cask, event)}{_in_place(plan, cask, event)}" for cask, event in plan.written]


def _in_place(plan: Plan, cask: str, event: Mapping[str, Any]) -> str:
    """ ", in place of 2026-01-12 fill: 195.0 L at 63.0 %, malt" of an entry that replaces another."""
    if not event.get("replaces"):
        return ""
    from caskbook.entry.in_place import old_of, old_words

    old = next((old for page in plan.pages if page.cask_id == cask and (old := old_of(page, event)) is not None), None)
    return f", in place of {old_words(old)}" if old is not None else ""
