"""A review gathered from what differs between two states of the ledger."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.checks.check import house_findings
from caskbook.checks.context import Context
from caskbook.checks.landed import Breach, append_only, value_text
from caskbook.checks.landed_settings import BACK_DATED
from caskbook.checks.new_ids import NewId, by_known
from caskbook.core.finding import Finding
from caskbook.ledger.changes import ABSENT, CaskChange, EventChange
from caskbook.ledger.files import HOUSE_FILE, Ledger
from caskbook.ledger.revisions import Between
from caskbook.life import corrections
from caskbook.model.bonds import content_sign
from caskbook.model.cask import Cask
from caskbook.model.entered import LATE_DAYS, entered_on
from caskbook.model.house_file import read_house
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import event_words
from caskbook.model.jobs.work import with_what_is_beside
from caskbook.model.standing import CORRECTORS, reason_put_right, target_of
from caskbook.review.against import against_rules
from caskbook.review.days import Done, days, ranges
from caskbook.review.effects import effect_of, ledger_before, settings_with_effect
from caskbook.review.limit import Limit
from caskbook.review.merges import Joint
from caskbook.review.model import (
    Apart,
    HeadChange,
    Late,
    NewCasks,
    PutRight,
    Review,
    Rewritten,
    Setting,
    Told,
    UnreadEntry,
)
from caskbook.review.phrases import job_noun, phrase
from caskbook.review.settings import settings_changed
from caskbook.review.span import Stretch
from caskbook.words.job_table import row_of

_NOTHING_JOINED = Joint()
_JUDGES_THE_PAST = ("undated-setting-changed", BACK_DATED)


@dataclass(frozen=True)
class Broken:
    """What a stretch did to what had landed: every breach; what came to lie among the casks or beside them; what commits did
    that hold no entry; whether its history parted; which entries merges gave new ids."""

    breaches: tuple[Breach, ...] = ()
    stray: tuple[str, ...] = ()
    beside: tuple[Finding, ...] = ()
    told: tuple[Told, ...] = ()
    apart: Apart | None = None
    new_ids: tuple[NewId, ...] = ()


def review(span: Stretch, differs: Between, broken: Broken, ledger: Ledger, day: date, joint: Joint = _NOTHING_JOINED, limit: Limit | None = None) -> Review:
    """The review of a stretch. `broken` is what it altered, `ledger` the book as it stands at its end, `day` the one on which things
    are due, `joint` what its merges brought together, `limit` the casks it is of, if not of all."""
    changes = tuple(by_known(change, broken.new_ids) for change in differs.casks)
    done = [one for change in changes for one in done_in(change, ledger)]
    usual = [one for one in done if _late(one, ledger) is None]
    effect = effect_of(changes, ledger, day)
    against, errors = against_rules(changes, ledger, day)
    return Review(
        span.title,
        span.commits,
        len({change.name for change in changes}),
        rewritten=tuple(_rewritten(broken.breaches)),
        days=days((one for one in usual if is_ordinary(one)), ledger.house),
        late=tuple(late for one in done if is_ordinary(one) and (late := _late(one, ledger)) is not None),
        put_right=tuple(put_right_in(changes)),
        heads=tuple(_heads(changes)),
        new=tuple(_new_casks(changes)),
        settings=_settings(differs, broken, ledger_before(changes, ledger), day),
        house=_house_faults(differs, ledger, day),
        newly_due=effect.newly,
        no_longer=effect.no_longer,
        losses=effect.losses,
        layout=tuple(finding for finding in append_only(changes) if finding.severity == "note"),
        unread=tuple(change.name for change in changes if change.kind == "added" and change.new is not None and change.new.cask is None),
        unread_entries=tuple(one for change in changes for one in _unread_entries(change)),
        joined=joint.casks,
        clashes=joint.clashes,
        against=against,
        errors=errors,
        stray=broken.stray,
        beside=broken.beside,
        told=broken.told,
        apart=broken.apart,
        limit=limit,
    )


def _unread_entries(change: CaskChange) -> Iterable[UnreadEntry]:
    """The entries added to a file of which not even the job can be read."""
    cask = change.new.cask if change.new is not None else None
    rows = {event.new_row for event in change.added}
    for event, row in cask.unread if cask is not None else ():
        if row in rows:
            yield UnreadEntry(cask.id if cask is not None else change.name, f"job {event.job.removesuffix(' ?') or '?'}, {event_words(event)}", event.codes[0])


def _added(change: CaskChange) -> dict[str, EventChange]:
    return {event.id: event for event in change.added if event.id is not None}


def done_in(change: CaskChange, ledger: Ledger) -> Iterable[Done]:
    """Events added to a file that count there now; what was entered and put right in the same stretch is no work done."""
    cask = change.new.cask if change.new is not None else None
    if cask is None:
        return
    added, fallen = _added(change), corrections(cask.events).fallen
    joined = tuple(ledger.joined_to(cask)[0])
    for event in cask.events:
        if event.id in added and event.id not in fallen:
            yield Done(cask, event, joined)


def is_ordinary(one: Done) -> bool:
    return target_of(one.event) is None


def _late(one: Done, ledger: Ledger) -> Late | None:
    """The event as a late one where it was entered some days after its date, as the minute in its id has it; else None."""
    entered = entered_on(one.event.id, ledger.house.timezone)
    if entered is None or "date" in one.event.lost:
        return None
    behind = (entered - one.event.date).days
    if behind < LATE_DAYS:
        return None
    text = f"{job_noun(one.event.job)} of {one.event.date}, entered {behind} days after"
    said = phrase(one.event, one.cask, ledger.house, one.joined)
    return Late(one.cask.id, one.event.id, one.event.date.isoformat(), behind, text, said, one.event.by)


def _rewritten(broken: Iterable[Breach]) -> Iterable[Rewritten]:
    for breach in broken:
        if breach.finding.severity != "note" and breach.finding.code not in _JUDGES_THE_PAST:
            event = breach.event
            yield Rewritten(breach.finding, event.id if event else None, event.old if event else None, event.new if event else None)


def put_right_in(changes: Sequence[CaskChange]) -> Iterable[PutRight]:
    """The voids, moves and replacements that were added, each with what it puts out of force."""
    copies = {event.moved_from: (cask.id, event) for change in changes if (cask := _cask(change)) is not None for event in cask.events if event.moved_from}
    for change in changes:
        cask = _cask(change)
        if cask is None:
            continue
        added, known = _added(change), {event.id: event for event in cask.events}
        moved = {target_of(event) for event in cask.events if event.job == "moved"}
        for event in cask.events:
            target = target_of(event)
            if target is not None and event.id in added:
                copy = copies.get(f"{cask.id}/{target}") if event.job == "moved" or target not in moved else None  # It is the copy of the move.
                again = _again(event, known.get(target), copy)
                yield PutRight(
                    cask.id,
                    _how(event),
                    event.id,
                    target,
                    _what(known.get(target), event, cask),
                    _reason(event, known.get(target)),
                    again,
                    None if "date" in event.lost else event.date.isoformat(),
                    None if "by" in event.lost else event.by,
                )


def _reason(event: Event, target: Event | None) -> str:
    """Why it was put right; of a void and a move also its note and its photographs, which nothing else tells."""
    reason = reason_put_right(event, target) or ""
    return with_what_is_beside(event, reason) if event.job in CORRECTORS and not event.codes else reason


def _again(event: Event, was: Event | None, copy: tuple[str, Event] | None) -> str | None:
    """The cask on which stands anew what an entry put out of force; None where what stands there says something else."""
    if copy is not None and was is not None and content_sign(copy[1]) != content_sign(was):
        return None
    return getattr(event, "to", None) if event.job == "moved" else copy[0] if copy is not None else None


def _cask(change: CaskChange) -> Cask | None:
    return change.new.cask if change.new is not None else None


def _how(event: Event) -> str:
    return row_of(event.job).past.rstrip(":") if event.job in CORRECTORS else "replaced"


def _what(target: Event | None, event: Event, cask: Cask) -> str:
    if target is None:
        return f"an entry that is not there ({target_of(event)})"
    was = f"{job_noun(target.job)} of {target.date}"
    if event.job in CORRECTORS:
        return was
    # The reason of the replacement has a place of its own; that of the work stands in what the entry says.
    of_work = event.codes or type(event).model_fields["why"].is_required() or reason_put_right(event, target) != event.why
    now = event_words(event if of_work else event.model_copy(update={"why": None}))
    return f"{was} ({event_words(target)}) by {job_noun(event.job)} of {event.date} ({now})"


def _heads(changes: Sequence[CaskChange]) -> Iterable[HeadChange]:
    for change in changes:
        for field in change.head:
            yield HeadChange(change.name, field.key, value_text(field.old), value_text(field.new), field.old is ABSENT)


def _new_casks(changes: Sequence[CaskChange]) -> Iterable[NewCasks]:
    alike: dict[str, list[str]] = {}
    for change in changes:
        if change.kind == "added" and change.new is not None:
            alike.setdefault(_kind_of_cask(change.new.cask), []).append(change.name)
    for text, casks in alike.items():
        kind, comma, more = text.partition(", ")
        many = f"{len(casks)} {'custom casks' if kind == 'custom' else kind + 's'}{comma}{more}"
        count = many if len(casks) > 1 else text
        yield NewCasks(tuple(sorted(casks)), f"{', '.join(ranges(casks))}: {count}")


def _kind_of_cask(cask: Cask | None) -> str:
    if cask is None:
        return "cannot be read"
    head = cask.head
    words = [head.type or "type ?", f"from {head.supplier}" if head.supplier else "", f"parcel {head.parcel}" if head.parcel else ""]
    return ", ".join(word for word in words if word)


def _settings(differs: Between, broken: Broken, ledger: Ledger, day: date) -> tuple[Setting, ...]:
    """The settings of house.yaml that changed, each with what it makes due of the casks as they were before; none where either version cannot be read.
    What the entries then make of them is told under the settings of after, so that both together are what is due now against what was."""
    if not differs.house_changed:
        return ()
    old, new = (read_house(HOUSE_FILE, data if data is not None else b"") for data in (differs.house_old, differs.house_new))
    if not old.data or old.torn or new.torn:
        return ()
    joins = ledger.joins()
    casks = (record.cask for record in ledger.records() if record.cask is not None and record.cask.id not in joins)
    changed = list(settings_changed(old.data, new.data))
    wrong = {path for path, _, _ in changed if any(_at(file.data, path) != _at(file.sound, path) for file in (old, new))}
    found = settings_with_effect(old.sound, changed, casks, day, wrong, ledger.life_of)
    return tuple(_of_the_past(one, broken.breaches) for one in found)


def _of_the_past(one: Setting, breaches: Iterable[Breach]) -> Setting:
    """A setting with whether it judges the past anew, and who made it so: it, or a row of it that began before it came in."""
    for breach in breaches:
        code, key = breach.finding.code, ".".join(breach.unit[1:])
        if code in _JUDGES_THE_PAST and (key == one.key or key.startswith(f"{one.key}.") or one.key.startswith(f"{key}.")):
            return replace(one, undated=code != BACK_DATED, back_dated=code == BACK_DATED, origin=breach.finding.origin)
    return one


def _at(settings: dict[str, Any], path: Sequence[str]) -> Any:
    """What stands at a path as far as it goes through maps; ABSENT where there is nothing."""
    value: Any = settings
    for key in path:
        if not isinstance(value, dict):
            break
        value = value.get(key, ABSENT)
    return value


def _house_faults(differs: Between, ledger: Ledger, day: date) -> tuple[Finding, ...]:
    """What is wrong with house.yaml as it stands at the end of the stretch, as `check` tells it."""
    if not differs.house_changed:
        return ()
    if differs.house_new is None:
        return (
            Finding(
                "unreadable-file",
                "error",
                "house.yaml was taken away: every setting stands at its default",
                ledger.file_store.shown + HOUSE_FILE,
                help="put it back",
            ),
        )
    path, data = ledger.file_store.shown + HOUSE_FILE, differs.house_new
    read = read_house(path, data)
    found = [*read.findings, *house_findings(path, lambda: data, Context(ledger.house, day))]
    return tuple(finding for finding in found if finding.severity == "error")
