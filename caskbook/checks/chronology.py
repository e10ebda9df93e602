"""Whether the days of a file can be: none ahead, none before the cask came, each in its order."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import lru_cache

from caskbook.checks.context import HEAD, View, fault, head_value_fault
from caskbook.checks.rule import Rule
from caskbook.core.days import DayError, parse_when
from caskbook.core.finding import Fault
from caskbook.words.job_table import JOB_TABLE, jobs_of_family, jobs_with

_ARRIVALS = jobs_with("arrival")
_BOOK = jobs_of_family("book")


def future(view: View) -> Iterable[Fault]:
    """date-in-future: an event dated after today.

    Why: the book holds what was done; a day ahead is a slip of the pen, and the event counts for nothing until then.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2202-01-02, job: note, by: ab, note: dark inside}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: dark inside}
    """
    today = view.context.today
    for event, row in view.events:
        if event.date > today and not view.is_spoiled(row, "date"):
            yield fault(row, "date-in-future", f"`date` is {event.date}: today is {today}", "write the day the job was done", of=event)


def order(view: View) -> Iterable[Fault]:
    """events-out-of-order: an event does not stand at its place in order of date and id.

    Why: merging copies is a sort by (date, id); only a file in that order stays the same in whatever order copies meet.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000003, date: 2020-01-03, job: note, by: ab, note: dark inside}
        - {id: e1000004, date: 2020-01-04, job: note, by: ab, note: two hoops rusty}
        - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: stencil read}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: stencil read}
        - {id: e1000003, date: 2020-01-03, job: note, by: ab, note: dark inside}
        - {id: e1000004, date: 2020-01-04, job: note, by: ab, note: two hoops rusty}
    """
    if not view.misplaced:
        return
    for n, (event, row) in enumerate(view.events):
        if row in view.misplaced:
            kept = [e for e, r in view.events[:n] if r not in view.misplaced]
            above = max(kept, key=lambda e: (e.date, e.id), default=None)
            later = above is not None and (above.date, above.id) > (event.date, event.id)
            where = f"but stands below one of {above.date}" if later and above else "but stands above earlier ones"
            yield fault(
                row, "events-out-of-order", f"`date` is {event.date}, {where}", "move the event to its place, or void it and enter the right day", of=event
            )


def no_arrival(view: View) -> Iterable[Fault]:
    """no-arrival: the first thing that happened to the cask is not its coming.

    Why: what a cask was when it came (empty or full, held or refused) is where its life begins; without it all is guessed.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: move, by: ab, berth: W1/01}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: move, by: ab, berth: W1/01}

    receipt-voided: the arrival is out of force, and nothing but voids, moves, notes and marks stands.

    Why: such a number is no cask in stock: it has no figures, and list and due leave it out.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: void, by: ab, of: e1000001, why: another cask's paper}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
    """
    voided = next(((event, row) for event, row in view.events if event.job in _ARRIVALS), None)
    if voided is not None and not view.life.begun and not _lost_arrival(view) and voided[0].id in view.life.corrections.fallen:
        yield fault(
            voided[1],
            "receipt-voided",
            f"{voided[0].job} is voided and no work stands: not a cask in stock",
            "enter its receipt anew if the cask is here",
            "job",
            of=voided[0],
        )
        return
    if view.early or any(job in view.by_job for job in _ARRIVALS) or _lost_arrival(view) or _came_as_another(view):
        return
    first = next(((event, row) for event, row in view.standing if event.job not in _BOOK), None)
    if first is None:
        return
    event, row = first
    yield fault(row, "no-arrival", f"{event.job} comes first: expected receive, raise or made-from", "enter its receipt, with the day it came", "job", of=event)


def before_arrival(view: View) -> Iterable[Fault]:
    """date-before-arrival: an event dated before the day the cask came.

    Why: nothing can be done to a cask that is not here; the day is wrong, or the entry belongs to another cask. One of several numbers came with the first of its receipts.
    Wrong:
        - {id: e1000000, date: 2019-12-31, job: measure, by: ab, stave_mm: 24}
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
    """
    if view.early:
        came = next(event for event, _ in view.work_rows() if event.job in _ARRIVALS)
        for event, row in view.events:
            if row in view.early:
                yield fault(
                    row,
                    "date-before-arrival",
                    f"`date` is {event.date}: the cask came on {came.date}",
                    "correct the day: void the entry and enter it anew",
                    of=event,
                )


def _came_as_another(view: View) -> bool:
    """Whether the cask came under another number of it."""
    return bool(view.life.state.joined) and any(event.job in _ARRIVALS for event in view.work())


def _lost_arrival(view: View) -> bool:
    """Whether an entry that cannot be read may have been the arrival."""
    return any(row != HEAD and {"job", "*"} & fields for row, fields in view.spoiled.items())


def claim_day(view: View) -> Iterable[Fault]:
    """claim-by-before-receipt: the last day for a claim lies before the day of receipt.

    Why: no claim could ever be made; one of the two days is wrong.
    Wrong:
        - {id: e1000001, date: 2020-01-31, job: receive, by: ab, verdict: accept, claim_by: 2020-01-01}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept, claim_by: 2020-01-31}
    """
    for event, row in view.of("receive"):
        if (last := event.claim_by) is not None and last < event.date:  # type: ignore[attr-defined]
            yield fault(
                row,
                "claim-by-before-receipt",
                f"`claim_by` is {last}: received on {event.date}",
                "correct the day by an entry that replaces this one",
                "claim_by",
                of=event,
            )


_AHEAD = {row.job: row.ahead for row in JOB_TABLE.values() if row.ahead}
_SINCE = jobs_with("oak-since")


def until_day(view: View) -> Iterable[Fault]:
    """until-before-its-day: an entry runs until a day before its own.

    Why: a decision, a seasoning or a look due that ends before it begins says nothing.
    Wrong:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-10, job: leak, by: ab, at: joint-4, severity: weep,
           look_again: 2020-02-01}
    Right:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-01, job: leak, by: ab, at: joint-4, severity: weep,
           look_again: 2020-02-10}
    """
    for event, row in view.standing:
        name = _AHEAD.get(event.job)
        until = getattr(event, name) if name else None
        if name and until is not None and until < event.date:
            yield fault(
                row,
                "until-before-its-day",
                f"`{name}` is {until}: the entry is of {event.date}",
                "correct the day by an entry that replaces this one",
                name,
                of=event,
            )


def oak_day(view: View) -> Iterable[Fault]:
    """oak-since-after-filling: spirit went into oak, it is said, after it went into this cask.

    Why: age runs from the day the spirit first went into oak; this cask is oak, so that day cannot come later.
    Wrong:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
           at_20: true, oak_since: 2021-05-01}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
           at_20: true, oak_since: 2011-05-01}
    """
    for event, row in (pair for job in _SINCE for pair in view.of(job)):
        since = event.oak_since  # type: ignore[attr-defined]
        if isinstance(since, date) and since > event.date and not view.is_spoiled(row, "date", "oak_since"):
            yield fault(
                row,
                "oak-since-after-filling",
                f"`oak_since` is {since}: it went in on {event.date}",
                "correct the day by an entry that replaces this one",
                "oak_since",
                of=event,
            )


def head_days(view: View) -> Iterable[Fault]:
    """head-later-than-arrival: the head tells of a time after the cask came.

    Why: the head says what the cask was when it came; what was done here since is an event.
    Wrong:
        # TH-004217
        cask: TH-004217
        format: 1
        type: barrel
        charred: 2021
        events:
          - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
    Right:
        # TH-004217
        cask: TH-004217
        format: 1
        type: barrel
        charred: 2011
        events:
          - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
    """
    came = next((event.date for event, row in view.of("receive") if not view.is_spoiled(row, "date")), None)
    if came is None:
        return
    head = view.cask.head
    told: list[tuple[tuple[str | int, ...], object]] = [(("made",), head.made), (("charred",), head.charred)]
    told += [(("prior", n, "emptied"), entry.emptied) for n, entry in enumerate(head.prior or [])]
    for where, value in told:
        if value in (None, "unknown", "never"):
            continue
        first = _first_day(value)
        if first is not None and first > came:
            yield head_value_fault(
                view, "head-later-than-arrival", f"`{where[-1]}` is {value}: the cask came on {came}", "correct the head, or enter the work as an event", *where
            )


@lru_cache(maxsize=4096, typed=True)
def _first_day(value: object) -> date | None:
    """The first of the days that may be meant; None for what is no day."""
    try:
        return parse_when(value).first
    except DayError:
        return None


RULES = (
    Rule(future, {"date-in-future": "error"}, on=("future",)),
    Rule(order, {"events-out-of-order": "error"}),
    Rule(no_arrival, {"no-arrival": "warning", "receipt-voided": "note"}),
    Rule(before_arrival, {"date-before-arrival": "error"}),
    Rule(claim_day, {"claim-by-before-receipt": "error"}, on=("receive",)),
    Rule(until_day, {"until-before-its-day": "error"}, on=tuple(_AHEAD)),
    Rule(oak_day, {"oak-since-after-filling": "error"}, on=_SINCE),
    Rule(head_days, {"head-later-than-arrival": "warning"}, on=("receive",)),
)
