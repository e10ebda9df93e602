"""A run on several files that puts an earlier one right, or that goes before another entry of its day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from caskbook.core.finding import CaskbookError
from caskbook.entry.entry import Entry, put_right_for
from caskbook.entry.page import Page, day_known, event_named, refuse_replaced
from caskbook.entry.plan import Desk, event_of_cask, standing_event
from caskbook.entry.request import Request
from caskbook.model.jobs import Event
from caskbook.model.jobs.spirit import RackIn, RackOut

_LAST_ID = "~"
_TAKEN_ALONG = ("sheet", "photo", "answers")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a run stands in its casks' files: behind everything of its day, in the place of `target`, or before the entry `before`."""

    target: Event | None = None
    before: Event | None = None

    @property
    def day(self) -> date | None:
        """The day of the entry that it replaces or goes before; None without one."""
        event = self.before or self.target
        return event.date if event else None

    def found_on(self, day: date) -> str:
        """The id before which a cask stands as the run of this day finds it."""
        if self.before is not None:
            return self.before.id
        return self.target.id if self.target is not None and self.target.date == day else _LAST_ID


def place_of(desk: Desk, request: Request, job: str, casks: Sequence[str]) -> Place:
    """What `--replaces` and `--before` name in the files of these casks. CaskbookError where none of them holds it."""
    replaced, before = request.one("replaces", job), request.one("before")
    if replaced and job == "convert":
        raise CaskbookError("convert: a conversion is put right in all its files: void it, then enter it anew with other numbers")
    place = Place(_named(desk, replaced, casks, standing_event) if replaced else None, _named(desk, before, casks, event_of_cask) if before else None)
    day = request.one("date")
    if (named := place.before or (place.target if day is None else None)) is not None:
        day_known(next((cask for cask in casks if named.id in desk.page(cask).ids), casks[0]), named)
    if place.before is not None and day is not None and day != place.before.date.isoformat():
        raise CaskbookError(f"--before {place.before.id}: that is of {place.before.date}; leave --date out")
    if place.target is not None:
        if not isinstance(place.target, RackIn | RackOut):
            raise CaskbookError(f"{place.target.id} is {place.target.job}, not a racking: void it, then enter the racking")
        for cask in casks:
            if place.target.id in desk.page(cask).ids:
                refuse_replaced(desk.page(cask), place.target)
    return place


def _named(desk: Desk, text: str, casks: Sequence[str], of: Callable[[Page, str], Event]) -> Event:
    """The event of an id in the first of these files that holds it, as `of` finds it there."""
    error: CaskbookError | None = None
    for cask in casks:
        try:
            return of(desk.page(cask), text)
        except CaskbookError as found:
            error = error or found
    raise error or CaskbookError(f"which entry is {text[:20]}?")


def placed(desk: Desk, entry: Entry, place: Place, request: Request) -> Entry:
    """An entry of the run in its place: where its file holds what the run replaces, it replaces that, with its note, its sheet, its
    photographs and what it answers, where those were not typed; why it is put right was typed as the note of the run."""
    data = dict(entry.data)
    page = desk.page(entry.cask)
    if place.target is not None and (old := event_named(page, place.target.id)) is not None:
        reason = str(data.pop("note", ""))
        typed = {key for _, key in request.given}
        data |= {key: value for key, value in page.as_written(old.id).items() if key in _TAKEN_ALONG and key not in typed}
        data = put_right_for({**data, "replaces": old.id} | ({"note": old.note} if old.note else {}), reason)
    return replace(entry, data=data, before=place.before.id if place.before else None)


def take_over(desk: Desk, request: Request, target: Event, sources: Sequence[str], targets: Sequence[str]) -> None:
    """What was not given anew is taken from the racking that is replaced, where its casks are the same."""
    sides = {cask: next((one for one in desk.page(cask).events if one.id == target.id), None) for cask in (*sources, *targets)}
    outs = [one for cask in sources if isinstance(one := sides[cask], RackOut)]
    for key in ("why", "by"):
        if ("rack", key) not in request.given and len(found := {getattr(one, key) for one in outs}) == 1 and None not in found:
            request.given["rack", key] = [str(found.pop())]
    ins = [one for cask in targets if isinstance(one := sides[cask], RackIn)]
    if len(outs) != len(sources) or len(ins) != len(targets):
        return
    given: dict[str, list[float | None]] = {"left": [one.left_l for one in outs], "lost": [one.lost_l for one in outs]}
    if not {("rack", "litres"), ("rack", "litres_to")} & set(request.given):
        given["litres"] = [sum(part.litres for part in one.to) for one in outs]
        given["litres_to"] = [one.litres for one in ins]
    strengths = [{part.abv for part in one.to} for one in outs]
    given["abv"] = [found.pop() if len(found) == 1 else None for found in strengths]
    for key, figures in given.items():
        if ("rack", key) not in request.given and None not in figures:
            request.given["rack", key] = [";".join(str(figure) for figure in figures)]
    if not {("rack", "temp"), ("rack", "at_20")} & set(request.given):
        first = outs[0]
        request.given |= {("rack", "at_20"): ["yes"]} if first.at_20 else {("rack", "temp"): [f"{first.temp_c:g}C"]} if first.temp_c is not None else {}
    for key, texts in (("berth", [one.berth for one in ins]), ("stow", [one.stow for one in ins])):
        if ("rack", key) not in request.given and len(set(texts)) == 1 and texts[0]:
            request.given["rack", key] = [texts[0]]
