"""From entries to files: ids minted, the open and the close that go without saying put in, every file judged."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from typing import Any

from caskbook.core.finding import CaskbookError, Fault
from caskbook.entry.casks import Book
from caskbook.entry.donor_counts import donors_short
from caskbook.entry.donor_taint import with_taint
from caskbook.entry.entry import Entry
from caskbook.entry.head_correction import without_effect
from caskbook.entry.house_rules import house_rules
from caskbook.entry.joined import joined_refusals
from caskbook.entry.other_side import half_put_out
from caskbook.entry.page import Page, event_named, judge, mint_for, open_page, ordered_event
from caskbook.entry.refusal import Refusal as Refusal
from caskbook.entry.refusal import refuse
from caskbook.entry.rule_faults import rule_faults
from caskbook.ledger.files import Ledger
from caskbook.ledger.whole import whole_before, whole_life, whole_of
from caskbook.life.fold import NO_WORK
from caskbook.life.needs import needs_broken
from caskbook.model.cask import Cask, read_event
from caskbook.model.ids import RandomBits, mint_between, mint_id
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with

OPENS = ("fire-on-closed-cask", "job-needs-open-cask")
CLOSES = ("fill-of-open-cask", "job-needs-whole-cask")
_ARRIVALS = jobs_with("arrival")
_PLACEHOLDER = "a0000000"


@dataclass
class Desk:
    """What planning needs: the ledger to read from, the real day and time, and random bits that cannot be guessed.

    `joins`: number → the one under which its cask goes on, as far as that is known. `files_at`: names of the files whose casks may
    lie at some berths, None where that cannot be told soon. `numbers`: what knows the short names of casks. `day` and `sheet`: those of the shift; `cautioned`: kinds of cautions told in it. `due_known`: what is due on the
    cask of a file with some content, None where that has to be judged. `files_of_vat`: files whose casks may hold what came out of a vat. They are asked of others, and
    only where they matter.
    """

    ledger: Ledger
    today: date
    now: datetime
    bits: RandomBits
    joins: Callable[[], Mapping[str, str]] = dict
    files_at: Callable[[Sequence[str]], Sequence[str] | None] = lambda _: None
    pages: dict[str, Page] = field(default_factory=dict)
    numbers: Book | None = None
    day: date | None = None
    sheet: str | None = None
    cautioned: Collection[str] = ()
    due_known: Callable[[str, bytes, date], list[tuple[str, str, str | None]] | None] = lambda name, data, day: None
    files_of_vat: Callable[[str], Sequence[str] | None] = lambda _: None

    def __post_init__(self) -> None:
        self.ledger.planned = self._planned

    @property
    def work_day(self) -> date:
        """The day of a job where none is typed: that of the shift, else today."""
        return self.day or self.today

    def page(self, cask: str) -> Page:
        """The cask's page, opened once a run."""
        if cask not in self.pages:
            page = self.pages[cask] = open_page(self.ledger, cask)
            page.along = cache(lambda: self._along(page))
        return self.pages[cask]

    def _along(self, page: Page) -> list[tuple[str, Event]]:
        """What other files of the cask of a page hold, where numbers were joined."""
        first = page.first.cask if page.first is not None else None
        return [] if first is None else list(whole_of(self.ledger, first).beside())

    def _planned(self, number: str) -> Cask | None:
        """The cask as the run would leave it; None where nothing is laid on its page."""
        page = self.pages.get(number)
        return page.cask if page is not None and page.added and page.record is not None and page.record.cask is not None else None


@dataclass
class Plan:
    """What a run would write. `written`: (cask, event) in order of entry, automatic ones included. `anyway`: what would be
    refused, but is written on the word of who enters it."""

    pages: list[Page]
    written: list[tuple[str, dict[str, Any]]]
    refusals: list[Refusal]
    later: list[tuple[str, Fault]]
    unsaid: list[tuple[str, str, dict[str, Any]]] = field(default_factory=list)
    anyway: list[Refusal] = field(default_factory=list)

    @property
    def changes(self) -> dict[str, tuple[bytes | None, bytes]]:
        """Path in the ledger → bytes as read, bytes to write."""
        return {page.name: (page.old, page.new) for page in self.pages if page.added}


def plan_run(desk: Desk, entries: Sequence[Entry], *, anyway: bool = False) -> Plan:
    """Lay the entries on their pages in order and judge each cask. Nothing is written."""
    for entry in entries:
        desk.page(entry.cask).settled.update([entry.event_id] if entry.event_id else [])
    ids, joined = _shared_ids(desk, entries), joined_refusals(desk.joins, desk.page, entries, anyway=anyway)
    plan = Plan([], [], [], [])
    for at, entry in enumerate(entries):
        page = desk.page(entry.cask)
        if page not in plan.pages:
            plan.pages.append(page)
        refusal = joined.get(at) or _unwritable(desk, page, entry) or half_put_out(desk.page, entry, entries)
        if refusal is not None:
            plan.refusals.append(refusal)
            continue
        _lay(desk, page, entry, entry.event_id or ids.get(entry.shared or ""), plan)
    for page in plan.pages:
        plan.refusals += [
            refuse(entry, "correction-without-effect", *why) for entry in entries if entry.cask == page.cask_id and (why := without_effect(page, entry.job))
        ]
        _judge(desk, page, entries, plan, anyway=anyway)
    _judge_donors(desk, entries, plan)
    return plan


def _shared_ids(desk: Desk, entries: Sequence[Entry]) -> dict[str, str]:
    """The one id of the entries that share a word: behind the day of all their files, or in the place of what they replace or go before."""
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        if entry.shared:
            groups.setdefault(entry.shared, []).append(entry)
    ids: dict[str, str] = {}
    for word, group in groups.items():
        pages = [desk.page(entry.cask) for entry in group]
        before, replaces = group[0].before, next((entry.data["replaces"] for entry in group if entry.data.get("replaces")), None)
        named = before or replaces
        pages = [page for page in pages if named in page.ids] + [page for page in pages if named not in page.ids]
        ids[word] = mint_for(pages, group[0].day, desk.now, desk.bits, before=before, replaces=replaces)
        for page in pages:
            page.settled.add(ids[word])
    return ids


def _unwritable(desk: Desk, page: Page, entry: Entry) -> Refusal | None:
    """Faults of the call itself, known before anything is laid on the page."""
    if page.record is None and entry.head is None:
        return refuse(entry, "cask-not-in-book", f"{entry.cask} is not in the book", f"enter its receipt first: caskbook enter receive {entry.cask} --type …")
    if page.record is not None and entry.head and not page.added:
        return refuse(
            entry,
            "cask-already-in-book",
            f"{entry.cask} is in the book already: what it is stands in its file",
            "leave the head fields out, or take another number",
        )
    voided = next((event for event in page.events if event.job in _ARRIVALS), None)
    if voided is not None and entry.job not in (*_ARRIVALS, *NO_WORK) and not whole_life(desk.ledger, page.cask, date.max).begun:
        remedy = f"enter its receipt: caskbook enter receive {entry.cask} accept"
        return refuse(entry, "receipt-voided", f"{entry.cask} is not in stock: its {voided.job} of {voided.date} was voided", remedy)
    if entry.day > desk.today:
        return refuse(entry, "date-in-future", f"{entry.day} lies ahead: today is {desk.today}", "give the day the job was done, with --date")
    _, faults = read_event({**entry.data, "id": _PLACEHOLDER}, ("events", 0))
    if faults:
        return Refusal(entry.cask, entry.job, faults[0], policy=False, row=entry.row)
    first = min((event.date for event in (*page.events, *(event for _, event in page.along())) if event.job in _ARRIVALS), default=None)
    if first is not None and entry.day < first and entry.job not in _ARRIVALS:
        return refuse(entry, "date-before-arrival", f"{entry.day} lies before the cask came, on {first}", "give the day the job was done, with --date")
    return None


def _lay(desk: Desk, page: Page, entry: Entry, shared: str | None, plan: Plan) -> None:
    """Put the entry on its page; before it, where the job needs one, the open or close that goes without saying."""
    if page.record is None:
        assert entry.head is not None
        page.begin(entry.head, entry.comment)
    target = entry.data.get("replaces")
    event_id = shared or mint_for([page], entry.day, desk.now, desk.bits, before=entry.before, replaces=target)
    data = ordered_event({**with_taint(desk.page, desk.ledger, entry), "id": event_id})
    unsaid = _unsaid(desk, page, entry, data)
    if unsaid is not None:
        day = entry.closed_on if unsaid["job"] == "close" and entry.closed_on else entry.day
        mark = _mark_before(desk, page, entry, day, shared)
        if shared is None:
            data["id"] = event_id = _after(desk, page, entry, mark, day)
        unsaid |= {"id": mark, "date": day, "note": unsaid["note"].format(id=event_id)}
        page.put(unsaid)
        plan.written.append((entry.cask, page.added[-1]))
        plan.unsaid.append((entry.cask, entry.job, page.added[-1]))
    page.put(data)
    plan.written.append((entry.cask, page.added[-1]))


def _mark_before(desk: Desk, page: Page, entry: Entry, day: date, shared: str | None) -> str:
    if shared is not None and day == entry.day:
        below = [one for one in page.ids_of(day) if one < shared]
        return mint_between(max(below, default=None), shared, random_bits=desk.bits, taken=page.ids | {shared})
    return mint_for([page], day, desk.now, desk.bits, before=entry.before if day == entry.day else None)


def _after(desk: Desk, page: Page, entry: Entry, mark: str, day: date) -> str:
    """The job's own id, above that of what was put in before it on the same day."""
    if day != entry.day:
        return mint_for([page], entry.day, desk.now, desk.bits, before=entry.before)
    if entry.before is not None:
        return mint_between(mark, entry.before, random_bits=desk.bits, taken=page.ids)
    return mint_id(desk.now, day_ids=[*page.ids_of(day), mark], random_bits=desk.bits, taken=page.ids)


def _unsaid(desk: Desk, page: Page, entry: Entry, data: Mapping[str, Any]) -> dict[str, Any] | None:
    """The open before a job that needs the cask open, the close before one that needs it whole; None where neither."""
    if entry.job in _ARRIVALS or entry.data.get("replaces"):
        return None
    event, faults = read_event({**data}, ("events", 0))
    if event is None or faults or not page.events:
        return None
    life = whole_before(desk.ledger, page.cask, entry.day, str(data["id"]))
    broken = {fault.code for fault in needs_broken(event, 0, life.state, first=False)}
    common = {key: data[key] for key in ("by", "sheet") if key in data}
    if broken & set(OPENS) and life.state.form == "whole" and life.state.contents == "empty":
        return {"job": "open", **common, "heads": ["A", "B"], "note": f"heads out for the {entry.job} {{id}}"}
    if broken & set(CLOSES) and life.state.form == "open" and life.state.open_heads:
        return {"job": "close", **common, "heads": sorted(life.state.open_heads), "note": f"heads in for the {entry.job} {{id}}"}
    return None


def _judge(desk: Desk, page: Page, entries: Sequence[Entry], plan: Plan, *, anyway: bool) -> None:
    """One page is judged by fold, rules and house; the plan notes what is refused, what goes against the house, and what comes later."""
    if not page.added or any(refusal.cask == page.cask_id for refusal in plan.refusals):
        return
    jobs = {str(event["id"]): str(event["job"]) for event in page.added}
    mine = [entry for entry in entries if entry.cask == page.cask_id]
    rows = {entry.event_id: entry.row for entry in mine if entry.event_id}

    def refused_for(fault: Fault, *, policy: bool) -> Refusal:
        row = next((rows[one] for one in fault.related if one in rows), next(iter(rows.values()), None))
        return Refusal(page.cask_id, _job_of(fault, jobs), fault, policy, row)

    found = judge(page, desk.ledger)
    by_rule = [] if found.refused else rule_faults(page, desk.ledger, desk.today, desk.pages)
    refused = [*found.refused, *(fault for fault in by_rule if fault.severity == "error")]
    plan.refusals += [refused_for(fault, policy=False) for fault in refused]
    if not refused:
        warned = [*found.warned, *house_rules(desk.ledger, page, mine)]
        told = {fault.code for fault in warned}
        warned += [fault for fault in by_rule if fault.severity == "warning" and fault.code not in told]
        against = plan.anyway if anyway else plan.refusals
        against += [refused_for(fault, policy=True) for fault in warned]
    plan.later += [(page.cask_id, fault) for fault in found.later]


def _judge_donors(desk: Desk, entries: Sequence[Entry], plan: Plan) -> None:
    """More parts of a donor than were saved of it: the run's own taking is refused, what others took by then is told."""
    if plan.refusals:
        return
    for cask, job, fault in donors_short(plan.pages, desk.ledger, desk.today, desk.pages):
        if job is None:
            plan.later.append((cask, fault))
        else:
            row = next((entry.row for entry in entries if entry.cask == cask and entry.event_id in fault.related), None)
            plan.refusals.append(Refusal(cask, job, fault, policy=False, row=row))


def _job_of(fault: Fault, jobs: Mapping[str, str]) -> str:
    return next((jobs[one] for one in fault.related if one in jobs), next(iter(jobs.values())))


def event_of_cask(page: Page, text: str) -> Event:
    """The event meant by an id or the beginning of one, under whichever number of the cask; CaskbookError where none or several are."""
    there = [event for _, event in _named_along(page, text)] if event_named(page, text) is None else []
    return there[0] if len(there) == 1 and not any(event.id.startswith(text.casefold()) for event in page.events) else standing_event(page, text)


def _named_along(page: Page, text: str) -> list[tuple[str, Event]]:
    """(number, event) of an id, or the beginning of one, in the other files of the cask."""
    there = page.along()
    return [one for one in there if one[1].id == text] or [one for one in there if text and one[1].id.startswith(text.casefold())]


def standing_event(page: Page, text: str) -> Event:
    """The event meant by an id or the beginning of one; CaskbookError where none or several are."""
    exact = event_named(page, text)
    if exact is not None:
        return exact
    found = [event for event in page.events if event.id.startswith(text.casefold())]
    if len(found) == 1:
        return found[0]
    if not found and (there := _named_along(page, text)):
        raise CaskbookError(f"{there[0][1].id} stands under {there[0][0]}, the same cask as {page.cask_id}: name it by that number")
    if not found:
        raise CaskbookError(f"{page.cask_id} has no entry {text[:20]}: `caskbook show {page.cask_id} --all` lists them")
    listed = ", ".join(f"{event.id} ({event.date} {event.job})" for event in found[:4])
    raise CaskbookError(f"{text[:20]} begins {len(found)} entries of {page.cask_id}: {listed}")
