"""From what was typed to entries: fields read in the terms of each cask, defaults filled in, what is lacking named."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.core.days import DayError, parse_input_day
from caskbook.core.finding import CaskbookError, Fault
from caskbook.entry.berths import deal
from caskbook.entry.defects_named import defects_named, leak_or_event
from caskbook.entry.entry import Entry, run_sheet, with_why
from caskbook.entry.fields import HEAD_FILE, JobField, field_of, head_fields
from caskbook.entry.figures import without_refuted
from caskbook.entry.head_correction import head_like, litres_lacking
from caskbook.entry.in_place import carried, reason_lacking, with_old_note
from caskbook.entry.initials import own_initials
from caskbook.entry.page import Page, day_known, refuse_replaced
from caskbook.entry.plan import Desk, event_of_cask, standing_event
from caskbook.entry.refusal import CaskRefusedError, Refusal
from caskbook.entry.request import Request, fields_typed, takes_head
from caskbook.entry.terms import Terms, TypedError
from caskbook.entry.typed import read_field
from caskbook.ledger.whole import whole_life
from caskbook.model.cask import read_cask, read_event
from caskbook.model.jobs import Event

_PLACEHOLDER = "a0000000"
# An entry is of no use without these: nobody can answer a repair that names nothing. The faults of a nosing typed as `none` are left out all the same.
_TOLD_WITH = {("examine", "repair"): "findings", ("nose", "fault"): "faults"}
__all__ = ["Asker", "Built", "build", "default_by"]


@dataclass
class Built:
    """Entries as far as they could be made; `missing`: (job or head, key) still wanted; `echoes`: conversions; `refusals`: who cannot have one."""

    entries: list[Entry] = field(default_factory=list)
    missing: list[tuple[str, str]] = field(default_factory=list)
    echoes: list[str] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)

    def want(self, job: str, key: str) -> None:
        """Note a field that is lacking, once."""
        if (job, key) not in self.missing:
            self.missing.append((job, key))


@dataclass
class Asker:
    """What a run takes from its surroundings: who enters by default, and where a new file's schema lies, as a comment. `named`: whether
    it was said who enters; `usual`: puts what the shift keeps into the request of a sheet's row that does not say it."""

    by: str | None = None
    comment: str = ""
    named: bool = False
    usual: Callable[[Request], object] | None = None


def default_by(desk: Desk, environment_by: str | None) -> str | None:
    """Who did it where nobody was named and there is no shift: $CASKBOOK_BY, else the only one of the crew."""
    if environment_by:
        return environment_by
    crew = [one for one in desk.ledger.house.on(desk.today).crew if one.until is None or one.until >= desk.today]
    return crew[0].initials if len(crew) == 1 else None


def build(desk: Desk, request: Request, asker: Asker) -> Built:
    """The entries of a request for jobs of one file each."""
    built = Built()
    sheet = _sheet(desk, request, asker)
    dealt = {job: deal(request.one("berth", job), request.casks) for job in request.jobs}
    for cask in request.casks:
        page = desk.page(cask)
        if page.record is None and not takes_head(request.jobs[0]):
            built.entries += [Entry(cask, {"job": job, "date": desk.work_day}) for job in request.jobs]
            continue
        for job in request.jobs:
            berth = {"berth": dealt[job][cask]} if cask in dealt[job] else None
            try:
                entry = entry_for(desk, request, asker, page, job, built, sheet, berth)
            except CaskRefusedError as refused:
                built.refusals.append(refused.refusal)
                continue
            if entry is not None:
                built.entries.append(entry)
    built.echoes = list(dict.fromkeys(built.echoes))
    return built


def _sheet(desk: Desk, request: Request, asker: Asker) -> str | None:
    """One reference for the run, minted once even if the run is built again."""
    if request.one("sheet", request.jobs[0]) or len(request.casks) < 2:
        return None
    if ("run", "minted") not in request.given:
        by = request.one("by", request.jobs[0]) or asker.by
        request.given[("run", "minted")] = [run_sheet(desk.today, by, desk.bits)]
    return request.one("minted")


def entry_for(
    desk: Desk, request: Request, asker: Asker, page: Page, job: str, built: Built, sheet: str | None, texts: Mapping[str, Any] | None = None
) -> Entry | None:
    """One job for one cask; None, with the lack noted, where a mandatory field is missing. `texts` are fields already read."""
    target = _target(request, page, job)
    day, before = _day(desk, request, page, target)
    terms = _terms(desk, page, day)
    settings = terms.settings
    typed_keys = [key for owner, key in request.given if owner == job]
    data: dict[str, Any] = {"job": job, "date": day, **carried(page, target, job, typed_keys)}
    for one in fields_typed(job):
        typed = request.given.get((job, one.key))
        if typed is not None and one.key != "replaces":
            data[one.key] = _read(one, typed, terms)
    data.update(texts or {})
    if target is not None:
        data = with_old_note(without_refuted(data, typed_keys), page, target, typed_keys) | {"replaces": target.id}
    by = own_initials(data.get("by"), settings.crew, built.echoes) or asker.by
    data |= {"by": by} if by else {}
    data |= {"sheet": sheet} if sheet and not data.get("sheet") else {}
    if request.anyway:
        data = with_why(data, request.one("why", job))
    head = _head(request, job, page, terms, built, desk)
    _complete(desk, job, data, built)
    if target is not None and (key := reason_lacking(data, page, target, [*typed_keys, *(["row"] if request.has("row") else [])])):
        built.want(job, key)
    if job == "correct" and litres_lacking(page, data, [*typed_keys, *(texts or {})]):
        built.want(job, "capacity_l")
    built.echoes += terms.echoes
    if any(job_ in (job, HEAD_FILE) for job_, _ in built.missing):
        return None
    closed = request.one("closed_on")
    return Entry(page.cask_id, {key: value for key, value in data.items() if value is not None}, head, before, None,
                 tuple(terms.doubts), read_day(closed, desk.today) if closed else None, asker.comment)  # fmt: skip


def _target(request: Request, page: Page, job: str) -> Event | None:
    text = request.one("replaces", job)
    if not text:
        return None
    target = standing_event(page, text)
    if not request.has("row"):
        refuse_replaced(page, target)
    return target


def read_day(text: str, today: date) -> date:
    """A day as typed; CaskbookError otherwise."""
    try:
        return parse_input_day(text, today)
    except DayError as error:
        raise CaskbookError(f"--date: {error}") from None


def _day(desk: Desk, request: Request, page: Page, target: Event | None) -> tuple[date, str | None]:
    """The day of the job, and the event it goes before."""
    text, before_text = request.one("date"), request.one("before")
    day = read_day(text, desk.today) if text else day_known(page.cask_id, target) if target else desk.work_day
    if before_text is None:
        return day, None
    before = event_of_cask(page, before_text)
    if text and day_known(page.cask_id, before) != day:
        raise CaskbookError(f"--before {before.id}: that is of {before.date}, not of {day}; leave --date out")
    return day_known(page.cask_id, before), before.id


def _terms(desk: Desk, page: Page, day: date) -> Terms:
    settings = desk.ledger.house.on(day)
    if page.record is None or page.record.cask is None:
        return Terms(settings, day)
    life = whole_life(desk.ledger, page.cask, day)
    return Terms(settings, day, life.state.frame, lambda text: leak_or_event(page, life, text), lambda text: defects_named(page, life, text))


def field_faults(desk: Desk, request: Request, page: Page, job: str) -> list[str]:
    """What is wrong with the fields typed for a job, every one of them."""
    day, _ = _day(desk, request, page, None)
    terms = _terms(desk, page, day)
    faults = []
    for one in fields_typed(job):
        typed = request.given.get((job, one.key))
        if typed is not None and one.key != "replaces":
            try:
                read_field(one, typed, terms)
            except (TypedError, CaskbookError) as error:
                faults.append(str(error))
    return faults


def _read(one: JobField, texts: Sequence[str], terms: Terms) -> Any:
    try:
        return read_field(one, texts, terms)
    except TypedError as error:
        raise CaskbookError(str(error)) from None


def _complete(desk: Desk, job: str, data: Mapping[str, Any], built: Built) -> None:
    """Note what is lacking; CaskbookError for fields that disagree or cannot be, of an entry in the place of another as of any."""
    kept = {key: value for key, value in data.items() if value is not None and key != "replaces"}
    _, faults = read_event({"id": _PLACEHOLDER, **kept}, ("events", 0))
    wrong: list[Fault] = []
    if kept.get("cured_by") and not kept.get("leaks"):
        built.want(job, "leaks")
        return
    for fault in faults:
        key = str(fault.where[-1])
        if fault.code == "missing-field" and len(fault.where) == 3 and field_of(job, key):
            built.want(job, key)
        else:
            wrong.append(fault)
    if wrong:
        raise CaskbookError(f"{job}: {wrong[0].message}; {wrong[0].help}")
    named = _TOLD_WITH.get((job, str(kept.get("verdict"))))
    if named is not None and named not in data:
        built.want(job, named)
    if not kept.get("by") and desk.ledger.house.on(desk.today).crew:
        built.want(job, "by")


def _head(request: Request, job: str, page: Page, terms: Terms, built: Built, desk: Desk) -> dict[str, Any] | None:
    """What a new file says of the cask, from the options and from --like; None where the file is there and nothing was given."""
    if not takes_head(job):
        return None
    typed = {key: texts for (owner, key), texts in request.given.items() if owner == HEAD_FILE}
    only_shared = job == "raise" and set(typed) <= {"staves"}
    if page.record is not None and (not typed or only_shared):
        return None
    return new_head(desk, request, page.cask_id, typed, terms, built)


def new_head(desk: Desk, request: Request, cask: str, typed: Mapping[str, Sequence[str]], terms: Terms, built: Built) -> dict[str, Any]:
    """The head of a new file; what is lacking is noted in `built`."""
    head: dict[str, Any] = {"cask": cask, "format": 1, **_like(desk, request)}
    for one in head_fields():
        if one.key in typed:
            value = _read(one, typed[one.key], terms)
            head |= {one.key: value} if value is not None else {}
    if "type" not in head:
        built.want(HEAD_FILE, "type")
    elif head["type"] in ("custom", "quarter-cask") and "capacity_l" not in head:
        built.want(HEAD_FILE, "capacity_l")
    else:
        _check_head(head)
    return head


def _check_head(head: Mapping[str, Any]) -> None:
    _, faults = read_cask({**head, "events": []})
    if faults:
        raise CaskbookError(f"{head['cask']}: {faults[0].message}; {faults[0].help}")


def _like(desk: Desk, request: Request) -> dict[str, Any]:
    other = request.one("like")
    return {} if other is None else head_like(desk.ledger.get(other.upper()), child=not {"convert", "made-from"}.isdisjoint(request.jobs))


def field_asked(job: str, key: str) -> JobField:
    """The field behind a lack, to ask for it."""
    if job == "rack":
        found = field_of("fill", key) if key in ("litres", "abv") else field_of("rack-out", key)
    else:
        found = next((one for one in head_fields() if one.key == key), None) if job == HEAD_FILE else field_of(job, key)
    assert found is not None
    return found
