"""What a run should be looked at again for before it is written: a day long past, a berth that is taken; and what it is told of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from caskbook.entry.open_matters import ANSWERING, answer_lines
from caskbook.entry.retiring import no_sign_lines, sign_lines
from caskbook.entry.slips import gauge_doubts
from caskbook.entry.vats import vat_doubts, vat_lines
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.entry.page import Page
    from caskbook.entry.plan import Desk, Plan
    from caskbook.life import Life
    from caskbook.model.cask import Cask
    from caskbook.model.jobs import Event

LONG_AGO_DAYS = 30
_MOST = 5
_FILLED = jobs_with("spirit-in")
_BEFORE_FILLING = ("rechar", "nose", "retire", "examine", "claim")
"""Rules whose matter can no longer be seen to, or is lost, once the cask is full."""


def doubts(desk: Desk, plan: Plan) -> list[str]:
    """What is asked about: on a terminal it is answered, elsewhere --yes answers it."""
    return [
        *_cut(list(_days(desk, plan)), "days"),
        *_cut(list(taken(desk, plan)), "berths"),
        *_cut(list(gauge_doubts(desk, plan)), "gauges"),
        *_cut(list(_looks_at_nothing(desk, plan)), "looks"),
        *_cut(list(vat_doubts(desk, plan)), "vats"),
        *_cut(list(_likely_spirits(desk, plan)), "spirits"),
        *_cut(list(_told_in_part(desk, plan)), "casks"),
        *_cut(list(_never_passed(desk, plan)), "casks"),
        *_cut(list(_numbers_of_no_cask(plan)), "numbers"),
        *_cut(list(no_sign_lines(desk, plan)), "casks"),
        *_cut(list(_replaced(desk, plan)), "entries"),
    ]


def notices(desk: Desk, plan: Plan) -> list[str]:
    """What is told and asks nothing: berths in no store of the house, what is due on a cask to be filled, casks racked empty."""
    open_matters = (
        _cut(list(answer_lines(desk, plan)), "open matters") if any(event["job"] in ANSWERING or event.get("answers") for _, event in plan.written) else []
    )
    return [
        *open_matters,
        *_cut(list(_strange_stores(desk, plan)), "berths"),
        *_cut(list(_due_before(desk, plan)), "matters"),
        *_cut(list(_racked_empty(plan)), "casks"),
        *_cut(list(sign_lines(desk, plan)), "casks"),
        *_cut(list(vat_lines(desk, plan)), "vats"),
    ]


def _replaced(desk: Desk, plan: Plan) -> Iterator[str]:
    """What becomes of casks whose entries others are put in the place of."""
    if any(event.get("replaces") for _, event in plan.written):
        from caskbook.entry.replaced import replaced_doubts

        yield from replaced_doubts(desk, plan)


def day_doubt(day: date, today: date) -> str | None:
    """ "Tue 2026-09-29, 60 days back", with the same day of the next year where that was likely meant; None for a day not long past."""
    back = (today - day).days
    if back <= LONG_AGO_DAYS:
        return None
    text = f"{day:%a} {day}, {back} days back"
    near = date(day.year + 1, day.month, day.day) if (day.month, day.day) != (2, 29) else None
    likely = near is not None and 0 <= (today - near).days <= LONG_AGO_DAYS
    return f"{text}: did you mean {near}?" if likely else text


def _cut(lines: list[str], what: str) -> list[str]:
    return lines if len(lines) <= _MOST else [*lines[:_MOST], f"… and {len(lines) - _MOST} more {what}"]


def _days(desk: Desk, plan: Plan) -> Iterator[str]:
    """Days long past; that of the shift was asked about when it began, and a copy or a replacement may have it from what it stands for."""
    pages = {page.cask_id: page for page in plan.pages}
    days = {event["date"] for cask, event in plan.written if "moved_from" not in event and not _keeps_day(pages[cask], event)}
    for day in sorted(days):
        if day != desk.day and (text := day_doubt(day, desk.today)):
            yield text


def _keeps_day(page: Page, event: Mapping[str, Any]) -> bool:
    """Whether a replacement is of the same day as what it replaces."""
    return any(one.id == event.get("replaces") and one.date == event["date"] for one in page.events)


def _likely_spirits(desk: Desk, plan: Plan) -> Iterator[str]:
    """Spirits, and what a cask held before, that no list knows and that are a slip away from one that is known: they would be a spirit of their own,
    and a wine cask of such a word would be none."""
    typed = {str(event["spirit"]) for _, event in plan.written if event.get("spirit") and "moved_from" not in event}
    before = [event.get("prior") for _, event in plan.written] + [page.head.get("prior") for page in plan.pages if page.old is None]
    typed |= {str(one["contents"]) for told in before for one in (told if isinstance(told, list) else []) if isinstance(one, dict) and one.get("contents")}
    for word in sorted(typed):
        near = desk.ledger.house.on(desk.today).nearest_spirit(word)
        if near is not None:
            yield f"{word}: no spirit or wine that is known: did you mean {near}?"


def _told_in_part(desk: Desk, plan: Plan) -> Iterator[str]:
    """Of an empty cask to be filled: what of its files cannot be read, so that nobody knows whether it may be."""
    from caskbook.ledger.whole import whole_life

    wrong = desk.ledger.house_file.at_default
    for cask, before, page, event in _before_filling(desk, plan):
        unread = whole_life(desk.ledger, page, event.date).unread  # files joined to it included
        told_by = f"caskbook check {cask}"
        if wrong:
            unread, told_by = (*unread, "settings of house.yaml"), "caskbook check"
        if unread and not before.state.filled:
            yield f"{cask}  nobody can tell whether it may be filled: cannot be read: {', '.join(unread)}; {told_by}"


def _numbers_of_no_cask(plan: Plan) -> Iterator[str]:
    """Toppings from a number that no cask of the book ends with: a slip, or a tank that is called so. A cask's whole number is judged by the rules."""
    for cask, event in plan.written:
        text = str(event.get("from", ""))
        if event["job"] == "top" and "moved_from" not in event and 3 <= len(text) <= 9 and text.isascii() and text.isdecimal():
            yield f"{cask}  from {text}: no number of the book ends so; is it a tank?"


def _looks_at_nothing(desk: Desk, plan: Plan) -> Iterator[str]:
    """Dry looks at a place, or a leak, where none is open: they close nothing. A wet one is against the rules (`leak-not-open`)."""
    looks = [(cask, event) for cask, event in plan.written if event["job"] == "look" and event["seen"] == "dry"]
    if not looks:
        return
    from caskbook.ledger.whole import whole_before
    from caskbook.model.jobs.base import listed

    pages = {page.cask_id: page for page in plan.pages}
    for cask, event in looks:
        page = pages[cask].cask
        state = whole_before(desk.ledger, page, event["date"], str(event["id"])).state
        leaks, meant = state.leaks, state.leaks_seen(event.get("of"), event.get("at"))
        if meant or not (event.get("at") or event.get("of")):
            continue
        where = f" at {event['at']}" if event.get("at") else f" of {event['of']}" if event.get("of") else ""
        others = f"; open: {listed([f'{leak.at} ({leak.severity})' for leak in leaks])}" if leaks else ""
        yield f"{cask}  no leak is open{where} on {event['date']}{others}; this look closes none"


def _lain(desk: Desk, plan: Plan) -> dict[str, list[str]]:
    """Berth → casks of this run that lie there once it is written, where an entry of the run says so."""
    found: dict[str, list[str]] = {}
    for cask, event in plan.written:
        berth = event.get("berth")
        if berth and _berth_now(desk, plan, cask) == berth and cask not in found.get(str(berth), []):
            found.setdefault(str(berth), []).append(cask)
    return found


def _berth_now(desk: Desk, plan: Plan, cask: str) -> str | None:
    from caskbook.ledger.whole import whole_life

    page = next(page for page in plan.pages if page.cask_id == cask)
    return whole_life(desk.ledger, page.cask, desk.today).state.berth


def taken(desk: Desk, plan: Plan) -> Iterator[str]:
    """Berths for one cask where another stands already, or where this run puts several."""
    from caskbook.entry.berths import is_one_place
    from caskbook.ledger.files import file_of, is_cask_id

    lain = {berth: casks for berth, casks in _lain(desk, plan).items() if is_one_place(berth)} if any("berth" in event for _, event in plan.written) else {}
    for berth, casks in lain.items():
        if len(casks) > 1:
            yield f"{berth}: {', '.join(casks[:3])}{' …' if len(casks) > 3 else ''}, {len(casks)} casks in one place"
    names = desk.files_at(list(lain)) if lain else []
    joins, told = desk.ledger.joins() if names else {}, set[str]()
    mine = {joins.get(page.cask_id, page.cask_id) for page in plan.pages}
    for name in names or []:
        cask = name.rpartition("/")[2].removesuffix(".yaml")
        going = joins.get(cask, cask)
        life = _here(desk, going) if going not in mine and is_cask_id(cask) and name == file_of(cask) else None
        if life is not None and life.state.berth in lain and going not in told:
            told.add(going)
            yield f"{life.state.berth}: {going} stands there ({_is(life)})"


def _here(desk: Desk, number: str) -> Life | None:
    """The life of a cask that is in stock today, by the number under which it goes on."""
    from caskbook.ledger.whole import whole_life
    from caskbook.life.facts import facts_of

    record = desk.ledger.find(number)
    cask = record.cask if record is not None else None
    life = whole_life(desk.ledger, cask, desk.today) if cask is not None else None
    return life if life is not None and life.begun and facts_of(life).whereabouts == "here" else None


def _is(life: Life) -> str:
    from caskbook.life.facts import facts_of

    facts = facts_of(life)
    return f"{facts.type or '?'}, {facts.state or 'state not known'}"


def _strange_stores(desk: Desk, plan: Plan) -> Iterator[str]:
    for berth, day in dict.fromkeys((str(event["berth"]), event["date"]) for _, event in plan.written if event.get("berth")):
        settings = desk.ledger.house.on(day)
        if settings.stores and settings.store_of(berth) is None:
            yield f"{berth}: no store of the house begins so ({', '.join(sorted(settings.stores)[:6])})"


def _due_before(desk: Desk, plan: Plan) -> Iterator[str]:
    """Of a cask to be filled: what is due on it now, and a re-char that its next emptying will bring."""
    for cask, before, page, event in _before_filling(desk, plan):
        yield from (f"{cask}  {line}" for line in _matters(desk, before, page, event))


def _never_passed(desk: Desk, plan: Plan) -> Iterator[str]:
    """Of a cask to be filled that is ready: the work of an earlier visit that no pass followed, for it was filled or seasoned all the same."""
    from caskbook.due.case import case_of
    from caskbook.due.retest import unproved_before
    from caskbook.life.facts import facts_of

    for cask, before, _, _ in _before_filling(desk, plan):
        facts = facts_of(before) if before.begun and before.state.loosened else None
        if facts is not None and not before.in_part and facts.fitness in ("ready", None) and (why := unproved_before(case_of(before, facts))):
            yield f"{cask}  nobody knows that it is tight: {why}"


def _before_filling(desk: Desk, plan: Plan) -> Iterator[tuple[str, Life, Cask, Event]]:
    """(number, its life just before, its page, the entry) of each cask that spirit is put into."""
    filled = [(cask, data) for cask, data in plan.written if data["job"] in _FILLED]
    if not filled:
        return
    from caskbook.ledger.whole import whole_before
    from caskbook.model.cask import read_event

    pages = {page.cask_id: page for page in plan.pages}
    for cask, data in filled:
        event, _ = read_event(dict(data), ("events", 0))
        if event is not None:
            page = pages[cask].cask
            yield cask, whole_before(desk.ledger, page, event.date, event.id), page, event


def _matters(desk: Desk, before: Life, cask: Cask, event: Event) -> Iterator[str]:
    """What is due on a cask before this event would fill it, in words; a re-char that waits for the emptying too, and a nose of
    which nobody can tell whether it is due."""
    from caskbook.due import RULES, judge
    from caskbook.ledger.whole import whole_life
    from caskbook.life.facts import facts_of

    rules = [rule for rule in RULES if rule.name in _BEFORE_FILLING]
    wanted = {("nose", "unknown")} if not before.in_part else set()  # what cannot be read is asked about by itself
    judged = judge(before, facts_of(before), rules) if before.begun else []
    told = [verdict for verdict in judged if verdict.verdict in ("due", "blocked") or (verdict.rule, verdict.verdict) in wanted]
    for verdict in told:
        yield f"{_name(verdict.rule)} is {verdict.verdict}: {verdict.reasons[0]}"
    if any(verdict.rule == "rechar" for verdict in told):
        return
    after = whole_life(desk.ledger, cask, event.date)
    for verdict in judge(after, facts_of(after), [rule for rule in rules if rule.name == "rechar"]):
        if verdict.verdict == "at-emptying":
            yield f"{_name('rechar')} is due at emptying: {verdict.reasons[0]}"


def _name(rule: str) -> str:
    return {"rechar": "re-char"}.get(rule, rule)


def _racked_empty(plan: Plan) -> Iterator[str]:
    for cask, event in plan.written:
        if event["job"] == "rack-out" and not event.get("left_l"):
            yield f"nothing left: {cask} is emptied" + ("" if "left_l" in event else "; else say what is left, with --left LITRES")
