"""Whether an event was possible on the cask as it stood: physical needs, as faults with a remedy."""

from __future__ import annotations

from typing import cast

from caskbook.core.finding import Fault, Severity
from caskbook.life.state import State
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import Need
from caskbook.model.jobs.repair import Close, Open, Stave
from caskbook.model.jobs.spirit import RackIn
from caskbook.model.places import Place, fault_of, parse_place
from caskbook.words.job_table import jobs_with

_FIRE_WORK = jobs_with("fire-work")
_LIQUOR_IN = jobs_with("liquor-in")
# Jobs whose need is more than contents, form and whereabouts.
LOOKED_INTO = jobs_with("own-needs")


def fault_at(event: Event, row: int, code: str, message: str, remedy: str, *field: str | int, severity: Severity = "error") -> Fault:
    """A fault of one event, pointing at its date or at the field named."""
    return Fault(code, severity, message, ("events", row, *(field or ("date",))), remedy, related=(event.id,))


def needs_broken(event: Event, row: int, st: State, *, first: bool) -> list[Fault]:
    """Physical needs that do not hold; the first that makes all others pointless stands alone."""
    need = event.need
    if event.job == "raise" and first:
        return []
    if need.first:
        if first:
            return []
        return [
            fault_at(
                event,
                row,
                "arrival-not-first",
                f"{event.job} after other entries: a cask arrives once",
                "void it, or the entries before it that belong to another cask",
                "job",
            )
        ]
    if need.always:
        return []
    if st.form == "gone":
        return gone_broken(event, row)
    if st.where in need.where and st.contents in need.contents and st.form in need.form and event.job not in LOOKED_INTO:
        return places_absent(event, row, st)
    where = _where_broken(event, row, need, st)
    if where:
        return where
    found = _contents_broken(event, row, need, st) or _form_broken(event, row, need, st)
    return found + places_absent(event, row, st)


_SELF = "CASK"


def gone_broken(event: Event, row: int) -> list[Fault]:
    """The fault of an entry on a cask that has left the book. A correction holds for all days, and so may have any before that."""
    remedy = "void this entry, or the one by which it left"
    if event.job == "correct":
        remedy = "void it, or enter it for a day before the cask left, by --date: it counts for all days"
    return [fault_at(event, row, "job-on-gone-cask", f"{event.job} on a cask that is gone", f"{remedy} (caskbook show {_SELF})")]


def since_words(st: State) -> str:
    """ "it has held malt since 2019-01-03" of a full cask."""
    if st.contents == "spirit":
        return f"it has held {st.spirit or st.contents} since {st.fillings[-1].start if st.fillings else 'before'}"
    return f"it holds {st.spirit or '?'}"


def _where_broken(event: Event, row: int, need: Need, st: State) -> list[Fault]:
    """The fault of an event on a cask that was not where the job needs it; work of an outside shop may be done while it is away."""
    if st.where in need.where:
        return []
    shop = event.by or ""
    if st.where == "away" and (need.bench and shop.startswith("shop-")):
        return []
    if event.job == "return":
        return [fault_at(event, row, "return-without-sending", f"returned, but it was {st.where}", "enter the sending first, or void this entry")]
    if event.job == "found":
        return [fault_at(event, row, "found-but-not-missing", "found, but it was not missing", "enter `missing` first, or write a move")]
    if st.where == "away":
        return [
            fault_at(
                event, row, "job-on-away-cask", f"{event.job} while the cask was away", "enter its return first, or write `by: shop-NAME` for work done there"
            )
        ]
    return [fault_at(event, row, "job-on-missing-cask", f"{event.job} while the cask was missing", "enter `found` first, or void this entry")]


def _contents_broken(event: Event, row: int, need: Need, st: State) -> list[Fault]:
    """The fault of an event that needs the cask empty where it was full, or full where it was empty."""
    if event.job == "rack-in":
        return _rack_in_broken(event, row, st)
    if st.contents in need.contents:
        return []
    if not st.filled:
        return [fault_at(event, row, "job-on-empty-cask", f"{event.job} on an empty cask: nothing in it", f"enter the filling first, or void this {event.job}")]
    since = since_words(st)
    remedy = f"enter the emptying first, or void this {event.job}"
    if event.job in _LIQUOR_IN:
        return [fault_at(event, row, "fill-of-full-cask", f"filled again; {since}", remedy)]
    return [fault_at(event, row, "job-on-full-cask", f"{event.job} needs it empty; {since}", remedy)]


def _rack_in_broken(event: Event, row: int, st: State) -> list[Fault]:
    spirit = cast(RackIn, event).spirit
    if st.filled and (st.spirit is None or not st.settings.same_spirit(st.spirit, spirit)):
        return [fault_at(event, row, "rack-in-other-spirit", f"{spirit} racked onto {st.spirit}", "enter the emptying first, or correct the spirit", "spirit")]
    return []


def _form_broken(event: Event, row: int, need: Need, st: State) -> list[Fault]:
    """The fault of an event that needs the cask whole, open or knocked down where it was not."""
    if st.form in need.form or (event.job == "rack-in" and st.filled):
        return _heads_broken(event, row, st)
    now = {"open": f"head {' and '.join(sorted(st.open_heads))} out", "shook": "knocked down", "whole": "closed"}.get(st.form, st.form)
    if event.job in _FIRE_WORK:
        code, remedy = "fire-on-closed-cask", "enter the opening of a head first"
    elif event.job in _LIQUOR_IN:
        code, remedy = "fill-of-open-cask", "enter the closing of its heads first"
    elif event.job == "close" and st.form == "whole":
        return _heads_broken(event, row, st)
    elif need.form == ("open",):
        code, remedy = "job-needs-open-cask", "enter the opening of a head first"
    elif need.form == ("shook",):
        code, remedy = "raise-of-standing-cask", "enter the knocking down first, or void this entry"
    else:
        code, remedy = "job-needs-whole-cask", "enter the closing of its heads first" if st.form == "open" else "enter its raising first"
    return [fault_at(event, row, code, f"{event.job} with the cask {now}: it needs it {' or '.join(need.form)}", remedy)]


def _heads_broken(event: Event, row: int, st: State) -> list[Fault]:
    if event.job == "open":
        return [fault_at(event, row, "head-already-out", f"head {head} is out already", "take it out of this entry, or void the entry", "heads", n)
                for n, head in enumerate(cast(Open, event).heads) if head in st.open_heads]  # fmt: skip
    if event.job == "close":
        return [fault_at(event, row, "head-not-out", f"head {head} is in already", "take it out of this entry, or enter its opening first", "heads", n)
                for n, head in enumerate(cast(Close, event).heads) if head not in st.open_heads]  # fmt: skip
    return []


_CODES = {"stave": "no-such-stave", "joint": "no-such-stave", "croze": "no-such-stave", "chime": "no-such-stave",
          "piece": "no-such-head-piece", "head-joint": "no-such-head-piece", "hoop": "no-such-hoop"}  # fmt: skip


def places_absent(event: Event, row: int, st: State) -> list[Fault]:
    """Places named that this cask does not have."""
    found = []
    if event.lost:
        return []
    for field, address in event.named_places():
        place = parse_place(address)
        why, remedy = fault_of(place, st.frame), "correct the place, or record the count with `measure`"
        if why is None and place.suffix and not _was_replaced(place, event, st):
            why, remedy = f"stave {place.number} was not replaced in this cask", f"write stave-{place.number}, or enter first that two replaced it"
        if why:
            found.append(fault_at(event, row, _CODES[place.kind], f"{address} is not there: {why}", remedy, *field))
    return found


def _was_replaced(place: Place, event: Event, st: State) -> bool:
    """Whether a stave was replaced, before or by this entry, so that there may be a second in its place; as far as that is known."""
    if str(place.number) in st.staves_replaced or "staves_replaced" in st.unsure:
        return True
    return event.job == "stave" and cast(Stave, event).action == "replace" and f"stave-{place.number}" in event.places()


# These are % vol of wine: outside the first range a strength is doubted, outside the second it is no wine. Common practice, no source.
WINE_ABV = (10.0, 24.0)
WINE_ABV_HARD = (5.0, 30.0)


def wine_strength(event: Event, row: int) -> list[Fault]:
    """A strength told of wine that wine cannot have; nothing gauged (0 litres) is none."""
    abv = getattr(event, "abv", None)
    low, high = WINE_ABV_HARD
    if event.job not in OF_CONTENTS or abv is None or low <= abv <= high:
        return []
    return [
        fault_at(
            event,
            row,
            "out-of-range",
            f"`abv` is {abv:g}: expected {low:g} to {high:g} % vol of wine",
            "correct the strength, or enter what is in the cask",
            "abv",
        )
    ]


OF_CONTENTS = jobs_with("of-contents")
