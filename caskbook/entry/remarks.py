"""What is to be said of a plan before it is written: its preview, what it warns of, and what is doubted of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from datetime import date

    from caskbook.entry.page import Page
    from caskbook.entry.plan import Desk, Plan
    from caskbook.model.jobs import Event

_MOST_TOLD = 40
_MOST_LATER = 10


class Remarks(NamedTuple):
    """`lines` are told as they stand; each of `doubts` is to be answered before the plan is written. `cautions`: kinds of those that
    are told with their figures."""

    lines: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def remarks_on(desk: Desk, plan: Plan, *, work: bool = True) -> Remarks:
    """Everything to be said of a run; nothing of one that writes nothing. `work`: it tells of work that is done, and not of where the book
    had that wrong, so that cautions belong to it."""
    from caskbook.entry.doubts import doubts, notices
    from caskbook.entry.slips import gauge_doubts, slips

    if plan.refusals or not plan.written:
        return Remarks()
    doubted = list(gauge_doubts(desk, plan))
    cautions, kinds = _cautions(desk, plan) if work else ([], ())
    return Remarks((*cautions, *_account(desk, plan, work=work), *slips(desk, plan, doubted), *notices(desk, plan)), tuple(doubts(desk, plan)), kinds)


def remarks_on_scan(desk: Desk, plan: Plan) -> Remarks:
    """What is said of one cask of a scan, in less words than of a run; what is doubted is the same."""
    from caskbook.entry.doubts import doubts, notices

    if plan.refusals:
        return Remarks()
    cautions, kinds = _cautions(desk, plan)
    return Remarks((*cautions, *_previewed(desk, plan), *_replaced(plan), *_of_others(plan), *notices(desk, plan)), tuple(doubts(desk, plan)), kinds)


def _account(desk: Desk, plan: Plan, *, work: bool) -> Iterator[str]:
    """The preview, what is replaced, what was put in unasked, what becomes impossible, and lines that change. What puts the book right in
    other ways than by work entered anew has told itself what it replaces."""
    yield from _previewed(desk, plan)
    yield from _replaced(plan) if work else ()
    yield from _unsaid_lines(plan)
    yield from _uncorrected_lines(plan)
    yield from dict.fromkeys(f"{one.cask}  written anyway, against {one.fault.code}: {one.fault.message}" for one in plan.anyway[:_MOST_TOLD])
    yield from _of_others(plan)
    yield from dict.fromkeys(f"{page.name}: {note}" for page in plan.pages for note in page.notes)


def _replaced(plan: Plan) -> Iterator[str]:
    """The entries that others are put in the place of."""
    if any(event.get("replaces") for _, event in plan.written):
        from caskbook.entry.replaced import replaced_lines

        yield from replaced_lines(plan)


def _of_others(plan: Plan) -> Iterator[str]:
    """What becomes of other entries by these: they stand again, or no longer fit."""
    yield from _back_in_force(plan)
    yield from _naming_what_went(plan)
    for cask, fault in plan.later[:_MOST_LATER]:
        yield f"{cask}  a later entry no longer fits: {fault.message} ({fault.related[0] if fault.related else fault.code})"
    if len(plan.later) > _MOST_LATER:
        yield f"… and {len(plan.later) - _MOST_LATER} more later entries that no longer fit"


def _back_in_force(plan: Plan) -> Iterator[str]:
    """The entries that stand again: what had replaced or voided them is out of force now."""
    from caskbook.model.jobs.base import event_words
    from caskbook.model.standing import CORRECTORS, corrections

    for page in plan.pages:
        first = page.first.cask if page.first is not None else None
        if first is None or not any(event["job"] in CORRECTORS or event.get("replaces") for event in page.added):
            continue
        before, now = corrections(first.events), corrections(page.events)
        for event in (one for one in first.events if one.job not in CORRECTORS and not before.stands(one) and now.stands(one)):
            yield f"{page.cask_id}  stands again: {event.date} {event.job} {event.id}: {event_words(event) or 'no more said'}"


def _naming_what_went(plan: Plan) -> Iterator[str]:
    """The entries that stand and name one that this run puts out of force, in whose place none of its job comes: a dry look closes nothing then, and no rule tells it."""
    from caskbook.model.standing import CORRECTORS, corrections

    told = {(cask, one) for cask, fault in plan.later for one in fault.related}
    for page in plan.pages:
        first = page.first.cask if page.first is not None else None
        if first is None or not any(event["job"] in CORRECTORS or event.get("replaces") for event in page.added):
            continue
        before, now = corrections(first.events), corrections(page.events)
        gone = {event.id for event in first.events if before.stands(event) and not now.stands(event)}
        jobs = {event.id: event.job for event in page.events}
        heirs, left = before.heirs(first.events), {one: by for one, by in now.heirs(page.events).items() if jobs[one] == jobs[by]}
        mine = [(page.cask_id, one) for one in first.events if now.stands(one)]
        for number, event in (*mine, *_standing_along(page)):
            of = getattr(event, "of", None)
            names = [*([of] if isinstance(of, str) else []), *(answer.partition("/")[0] for answer in event.answered())]
            for named in dict.fromkeys(names) if event.job not in CORRECTORS and (page.cask_id, event.id) not in told else ():
                if heirs.get(named, named) in gone and named not in left:
                    what = f"the {event.job} of {event.date} ({event.id})" + ("" if number == page.cask_id else f" under {number}")
                    yield f"{page.cask_id}  {what} names {named}, which counts here no more; if it goes with it, move or void it too"


def _standing_along(page: Page) -> Iterator[tuple[str, Event]]:
    """(number, entry) of what stands in the other files of the cask and names nothing of an id that its own file has."""
    from caskbook.model.standing import corrections

    files: dict[str, list[Event]] = {}
    for number, event in page.along():
        files.setdefault(number, []).append(event)
    for number, events in files.items():
        stands, own = corrections(events), {event.id for event in events}
        yield from ((number, one) for one in events if stands.stands(one) and getattr(one, "of", None) not in own)


def _previewed(desk: Desk, plan: Plan) -> Iterator[str]:
    """The preview; of one cask what is due on it stands below what it is."""
    from caskbook.entry.says import preview

    first, *rest = preview(plan, desk.ledger, desk.today)
    due = _due(desk, plan) if len({cask for cask, _ in plan.written}) == 1 else ""
    yield from (first, f"  {due}", *rest) if due else (first, *rest)


def _due(desk: Desk, plan: Plan) -> str:
    """What is due on the one cask of the plan as it was before, on the day of the work."""
    page = next(page for page in plan.pages if page.cask_id == plan.written[0][0])
    day = min([desk.today, *(event["date"] for _, event in plan.written if event["date"] <= desk.today)])
    return due_on(desk, page, day)


def due_on(desk: Desk, page: Page, day: date) -> str:
    """What is due on a cask as its file stands on disk, on a day; empty where nothing is, or it is new. Where other files tell of work in which it had a part,
    and its own does not, what the index has of it may be from before: then it is judged anew, and said that it is not all."""
    from caskbook.entry.says import due_line, due_words
    from caskbook.ledger.whole import whole_of
    from caskbook.model.untold import lacking_in

    if page.first is None or page.first.cask is None or page.old is None:
        return ""
    whole = whole_of(desk.ledger, page.first.cask, planned=False)
    gaps = whole.joined.untold
    known = None if whole.goes_on or lacking_in(gaps, day, gone=False) else desk.due_known(page.name, page.old, day)
    if known is not None:
        return due_words(known)
    life = whole.life(day)
    due = due_line(life)
    if not lacking_in(gaps, day, gone=life.state.form == "gone"):
        return due
    read = f"due, as far as can be read: {due.removeprefix('due: ')};" if due else "what is due, nobody can tell:"
    return f"{read} caskbook check {page.cask_id}"


def _unsaid_lines(plan: Plan) -> list[str]:
    """What the book put in of itself: heads out before a fire, heads in before a test."""
    groups: dict[tuple[str, str, str], int] = {}
    for _, job, event in plan.unsaid:
        key = (str(event["job"]), job, " and ".join(event["heads"]))
        groups[key] = groups.get(key, 0) + 1
    words = {"open": ("closed", "out"), "close": ("open", "in")}
    return [
        f"{'it was' if count == 1 else f'{count} were'} {words[job][0]}: head {heads} {words[job][1]} written before the {of}"
        for (job, of, heads), count in groups.items()
    ]


def _uncorrected_lines(plan: Plan) -> list[str]:
    """Litres gauged at no known temperature: what is worked out from them will say so."""
    gauged = jobs_with("at-temperature")
    bare = [event for _, event in plan.written if event["job"] in gauged and "temp_c" not in event and "at_20" not in event and event.get("litres") != 0]
    return ["no temperature: the litres stay uncorrected (--temp, or --at-20)"] if bare else []


def _cautions(desk: Desk, plan: Plan) -> tuple[list[str], tuple[str, ...]]:
    """(each kind of caution once a run, with the figures of the first cask it concerns, or in short where it was told so already; the
    kinds told with figures)."""
    from caskbook.entry.caution import REMINDER, caution_for, caution_in_short, caution_kind
    from caskbook.ledger.whole import whole_before
    from caskbook.model.cask import read_event

    told: dict[str, str] = {}
    pages = {page.cask_id: page for page in plan.pages}
    for cask, data in plan.written:
        event, _ = read_event(dict(data), ("events", 0))
        kind = caution_kind(event) if event else None
        if event is None or kind is None or kind in told:
            continue
        text = caution_for(event, whole_before(desk.ledger, pages[cask].cask, event.date, event.id))
        if text:
            told[kind] = caution_in_short(kind) if kind in desk.cautioned else text if len(pages) == 1 else f"{text} ({cask})"
    in_full = tuple(kind for kind in told if kind not in desk.cautioned)
    return [*told.values(), *([REMINDER] if in_full else [])], in_full
