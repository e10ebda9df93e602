"""What the house is against and the fold does not judge: a hand it does not know, unusual figures, a thing entered twice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from caskbook.core.finding import Fault
from caskbook.entry.crew import not_there, strange_signature
from caskbook.entry.entry import Entry
from caskbook.entry.page import Page, ordered_event
from caskbook.ledger.files import Ledger
from caskbook.ledger.whole import whole_before, whole_life, whole_of
from caskbook.life.needs import OF_CONTENTS, WINE_ABV
from caskbook.model.cask import read_event
from caskbook.model.cask_file import Record
from caskbook.model.places import parse_place
from caskbook.model.standing import corrections
from caskbook.model.twice import entered_twice
from caskbook.words import CASK_TYPES, is_wine
from caskbook.words.job_table import jobs_with, row_of

_NOT_COMPARED = ("id", "by", "sheet", "note", "why", "answers", "moved_from", "replaces", "work_minutes", "material", "photo")
_BY_STAVE = ("stave", "joint", "croze", "chime")
_MAY_REPEAT, _ARRIVALS = jobs_with("repeats"), jobs_with("arrival")


def _twin(ledger: Ledger, page: Page, entry: Entry) -> str | None:
    """The entry that stands there already, under whichever number of the cask, and says the same of the same day: a thing entered twice. Its id, with the number
    where that is another one.

    What the entry replaces falls by it; where that said the same already, nothing is there twice that was not before. What the run puts
    out of force does not count, as where two casks change places.
    """
    if page.first is None:
        return None
    if entry.job in _MAY_REPEAT:
        return _just_said(page, entry)
    new = _compared(ordered_event({**entry.data, "id": "a0000000"}))
    same = _saying(page.first, new)
    if entry.data.get("replaces") in same:
        return None
    fallen = corrections(page.events).fallen
    if own := next((one for one in same if one not in fallen), None):
        return own
    for other in whole_of(ledger, page.cask).joined.casks if entry.job not in _ARRIVALS else ():
        fallen, record = corrections(other.events).fallen, ledger.find(other.id)
        if theirs := next((one for one in _saying(record, new) if one not in fallen), None):
            return f"{theirs}, under {other.id}"
    return None


def _just_said(page: Page, entry: Entry) -> str | None:
    """The id of an entry beside it that says the same, of a job that may be entered several times on a day: as `check` tells it."""
    added = {str(event["id"]) for event in page.added}
    put_out = corrections(page.events).fallen
    standing = [event for event in page.events if event.id not in put_out]
    for later, before, _ in entered_twice(sorted(standing, key=lambda event: (event.date, event.id))):
        if (later.job, later.date) == (entry.job, entry.day) and {later.id, before.id} & added:
            return before.id if later.id in added else later.id
    return None


def _saying(record: Record | None, what: Mapping[str, Any]) -> list[str]:
    """The ids of a file's entries, as it is on disk, that say this of the job."""
    events = (record.content or {}).get("events") if record is not None else None
    return [str(one.get("id")) for one in events or [] if _compared(one) == what]


def _compared(event: Mapping[str, Any]) -> dict[str, Any]:
    """What an entry says of the job: not who wrote it, and not how it came to stand there."""
    return {key: value for key, value in event.items() if key not in _NOT_COMPARED}


def house_rules(ledger: Ledger, page: Page, entries: Sequence[Entry]) -> list[Fault]:
    """What the fold does not judge: who did it, figures out of the usual range, and an entry made twice."""
    found = []
    for entry in entries:
        twin = _twin(ledger, page, entry)
        if twin:
            remedy = (
                "void the wrong one instead, unless it was done twice"
                if "moved_from" in entry.data or "replaces" in entry.data
                else "leave it out, unless it was done twice"
            )
            found.append(Fault("entered-twice", "warning", f"the same {entry.job} of {entry.day} stands there already ({twin})", (), remedy))
        why = unknown_crew(ledger, entry.data.get("by"), entry.day)
        if why:
            found.append(Fault("unknown-crew", "warning", why, (), "correct --by, or add the person to `crew` in house.yaml"))
        found += [*_signature(ledger, entry), *_uncounted(ledger, page, entry)]
        limit = ledger.house.on(entry.day).test_limit_psi
        doubts = [doubt for doubt in entry.doubts if doubt[0] != "psi" or entry.data.get("psi", 0) <= limit]  # What lies over the limit is told already.
        doubts = _of_contents(ledger, page, entry, doubts)
        found += [Fault("implausible-value", "warning", f"`{key}` is {text}", (), "correct the figure, or its unit") for key, text in doubts]
    return list(dict.fromkeys(found))


def _of_contents(ledger: Ledger, page: Page, entry: Entry, doubts: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """The doubts, the strength judged by what the cask held before the entry: wine has a range of its own."""
    strengths = [
        one for one in (entry.data.get("abv"), *(part.get("abv") for part in entry.data.get(row_of(entry.job).shares, ()))) if isinstance(one, int | float)
    ]
    if not strengths or not (_brings_wine(ledger, entry) if entry.job in jobs_with("brings-liquor") else _holds_wine(ledger, page, entry)):
        return doubts
    low, high = WINE_ABV
    kept = [doubt for doubt in doubts if doubt[0] != "abv"]
    return kept + [("abv", f"{abv:g} %: {low:g} to {high:g} % is usual of wine") for abv in dict.fromkeys(strengths) if not low <= abv <= high]


def _brings_wine(ledger: Ledger, entry: Entry) -> bool:
    """Whether a cask is received full of wine, or has wine racked into it."""
    words = ledger.house.on(entry.day).wine_words
    return any(is_wine(word, words) for word in (entry.data.get("contents"), entry.data.get("spirit")) if isinstance(word, str))


def _holds_wine(ledger: Ledger, page: Page, entry: Entry) -> bool:
    """Whether the entry, which is on the page already, found wine in the cask: an emptying leaves none behind."""
    mine = next((one for one in page.added if one["job"] == entry.job and one["date"] == entry.day), None)
    if entry.job not in (*OF_CONTENTS, "rack-out") or mine is None:
        return False
    return whole_before(ledger, page.cask, entry.day, str(mine["id"])).state.contents == "wine"


def _signature(ledger: Ledger, entry: Entry) -> list[Fault]:
    """Initials under an approval that nobody of the crew has, or nobody who is there on the day; a name written out may be anybody's."""
    signed, settings = str(entry.data.get("approved_by") or ""), ledger.house.on(entry.day)
    if strange_signature(settings.crew, signed):
        return [Fault("unknown-crew", "warning", f"approved by {signed}, who is not of the crew", (), "correct --approved-by, or write the name out")]
    gone = not_there(settings, signed, entry.day) if any(person.initials == signed for person in settings.crew) else ""
    return [Fault("crew-not-yet-or-no-longer", "warning", f"approved by {signed}: {gone}", (), "correct --approved-by, or the day")] if gone else []


def _uncounted(ledger: Ledger, page: Page, entry: Entry) -> list[Fault]:
    """Places by a stave of a higher number than such a cask has, where nobody counted this one's."""
    event, _ = read_event({**entry.data, "id": "a0000000"}, ("events", 0))
    kind = CASK_TYPES.get(page.cask.head.type)
    if event is None or kind is None or kind.staves is None:
        return []
    low, most = kind.staves
    far = [at for _, at in event.named_places() if (place := parse_place(at)).kind in _BY_STAVE and place.number > most]
    if not far or whole_life(ledger, page.cask, entry.day).state.frame.staves is not None:
        return []
    text = f"{far[0]}: a {kind.name} has {low} to {most} staves, and nobody counted these"
    return [Fault("implausible-value", "warning", text, (), "correct the place, or count them: caskbook enter measure CASK --staves N")]


def unknown_crew(ledger: Ledger, by: Any, day: date) -> str | None:
    """Why the house does not know who did it: not of the crew, gone or not yet there on the day, or a shop not listed."""
    settings = ledger.house.on(day)
    if by is None or not (settings.crew or settings.shops):
        return None
    if str(by).startswith("shop-"):
        return None if not settings.shops or str(by) in settings.shops or str(by)[5:] in settings.shops else f"{by} is no shop the house names"
    person = settings.person(str(by))
    if person is None:
        return f"{by} is not of the crew"
    if (person.from_ and day < person.from_) or (person.until and day > person.until):
        return f"{by} was not of the crew on {day}"
    return None
