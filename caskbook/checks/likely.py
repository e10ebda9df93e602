"""What is possible but not likely: figures outside what the trade knows, and words it does not know. So far all are warnings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

from caskbook.checks.contents import of_wine
from caskbook.checks.context import HEAD, View, fault, head_value_fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.gauging.units.slips import likely_slip
from caskbook.life.needs import WINE_ABV, WINE_ABV_HARD
from caskbook.model.invalid import nearest, shown
from caskbook.model.jobs import JOBS, Event
from caskbook.model.jobs.base import plain
from caskbook.model.twice import entered_twice
from caskbook.model.typed import plausible_range, typed_of
from caskbook.words import CASK_TYPES, DEFECTS, LEAK_WORDS, NOSE_FAULTS, CaskType
from caskbook.words.job_table import jobs_with

Figure = tuple[str, float, float, str, str]


@cache
def figures_of(job: str) -> tuple[Figure, ...]:
    """(field, low, high, unit, kind) of each figure of a job with a plausible range: worked out once, asked for every event."""
    model = JOBS[job]
    rows = []
    for name, field in model.model_fields.items():
        found = plausible_range(model, name)
        extra: Any = field.json_schema_extra
        if found:
            rows.append((name, found[0], found[1], str(extra["unit"]), str(extra["kind"])))
    return tuple(rows)


def figures(view: View) -> Iterable[Fault]:
    """implausible-value: a figure that can be, but hardly is.

    Why: most such figures are slips: a lost point, another unit, the line above.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: soak, by: ab, method: cold, hours: 96}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: soak, by: ab, method: cold, hours: 24}
    """
    for job, found in view.by_job.items():
        for figure in figures_of(job):
            name, low, high = figure[:3]
            for event, row in found:
                value = getattr(event, name)
                if name == "abv":
                    wine = of_wine(view, event)
                    low, high = WINE_ABV if wine else figure[1:3]
                    if value is not None and wine and not WINE_ABV_HARD[0] <= value <= WINE_ABV_HARD[1]:
                        continue  # This is an error that the fold tells, or it goes with what came in the cask.
                if value is not None and not low <= value <= high and _is_judged(view, event, row, name, value):
                    yield _unlikely(event, row, (name, low, high, *figure[3:]), value)


def _is_judged(view: View, event: Event, row: int, name: str, value: float) -> bool:
    """A psi over the house's own limit, and a capacity unlike the type, have findings of their own."""
    if event.source is not None or view.is_spoiled(row, name):
        return False
    if name == "psi":
        day = view.context.today if view.is_spoiled(row, "date") else event.date
        return value <= view.on(day).test_limit_psi
    return not (name == "capacity_l" and _unlike(CASK_TYPES.get(view.head.type), value))


def _unlikely(event: Event, row: int, figure: Figure, value: float) -> Fault:
    name, low, high, unit, kind = figure
    slip = likely_slip(kind, value, low, high)
    hint = f"correct it if misread: {slip}" if slip else "correct it by an entry with `replaces`, if misread"
    return fault(row, "implausible-value", f"`{name}` is {plain(value)}: expected {plain(low)} to {plain(high)} {unit}", hint, name, of=event)


def _unlike(kind: CaskType | None, litres: float | None) -> bool:
    return kind is not None and litres is not None and kind.low is not None and kind.high is not None and not kind.low <= litres <= kind.high


def capacity(view: View) -> Iterable[Fault]:
    """capacity-unlike-type: so many litres that it is hardly a cask of that type.

    Why: type or litres are wrong, and every gauge and every peer it is compared with will be wrong too.
    Wrong:
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, capacity_l: 500, events: []}
    Right:
        # TH-004217
        {cask: TH-004217, format: 1, type: butt, capacity_l: 500, events: []}
    """
    head = view.cask.head
    kind = CASK_TYPES.get(view.head.type)
    if kind is None or view.is_spoiled(HEAD, "type"):
        return
    if view.goes_on and _unlike(kind, head.capacity_l) and not view.is_spoiled(HEAD, "capacity_l"):
        yield head_value_fault(view, "capacity-unlike-type", _unlike_text(kind, head.capacity_l), "correct the type or the litres", "capacity_l", by=("type",))
    for event, row in view.of("measure"):
        litres = event.capacity_l  # type: ignore[attr-defined]
        if _unlike(kind, litres) and not view.is_spoiled(row, "capacity_l"):
            yield fault(row, "capacity-unlike-type", _unlike_text(kind, litres), "measure again, or correct the type", "capacity_l", of=event)


def _unlike_text(kind: CaskType, litres: float | None) -> str:
    return f"`capacity_l` is {plain(litres)}: expected {plain(kind.low)} to {plain(kind.high)} L in a {kind.name}"


def parts(view: View) -> Iterable[Fault]:
    """parts-unlike-type: more or fewer staves, hoops or head pieces than such a cask has.

    Why: places on the cask are counted by these figures; a wrong count lets wrong places pass.
    Wrong:
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, staves: 13, events: []}
    Right:
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, staves: 31, events: []}
    """
    kind = CASK_TYPES.get(view.head.type)
    if kind is None or (kind.staves, kind.hoops, kind.head_pieces) == (None, None, None) or view.is_spoiled(HEAD, "type"):
        return
    for where, word, count, (low, high) in _odd_counts(kind, view.cask.head) if view.goes_on else ():
        if not view.is_spoiled(HEAD, str(where[0])):
            yield head_value_fault(
                view, "parts-unlike-type", _count_text(where, count, low, high, word, kind), "count again, or correct the type", *where, by=("type",)
            )
    for event, row in view.of("measure"):
        if event.source is None:
            for where, word, count, (low, high) in _odd_counts(kind, event):
                yield fault(row, "parts-unlike-type", _count_text(where, count, low, high, word, kind), "count again, or correct the type", *where, of=event)
    yield from _staves_after(view, kind)


def _staves_after(view: View, kind: CaskType) -> Iterator[Fault]:
    """The same of the staves that there are after a repair; hoops are put on beyond what a cask of the type has."""
    for event, row in view.of("stave"):
        count = event.staves_after  # type: ignore[attr-defined]
        if event.source is None and kind.staves is not None and _is_odd(count, kind.staves) and not view.is_spoiled(row, "staves_after"):
            text = _count_text(("staves_after",), count, *kind.staves, "staves", kind)
            yield fault(row, "parts-unlike-type", text, "count again, or correct the type", "staves_after", of=event)


def _count_text(where: tuple[str | int, ...], count: int, low: int, high: int, word: str, kind: CaskType) -> str:
    wanted = str(low) if low == high else f"{low} to {high}"
    return f"`{where[0]}` is {count}: a {kind.name} has {wanted} {word}"


def _odd_counts(kind: CaskType, told: Any) -> Iterator[tuple[tuple[str | int, ...], str, int, tuple[int, int]]]:
    if _is_odd(told.staves, kind.staves):
        yield ("staves",), "staves", told.staves, kind.staves  # type: ignore[misc]
    if _is_odd(told.hoops, kind.hoops):
        yield ("hoops",), "hoops", told.hoops, kind.hoops  # type: ignore[misc]
    for n, pieces in enumerate(told.heads or ()):
        if _is_odd(pieces, kind.head_pieces):
            yield ("heads", n), "head pieces", pieces, kind.head_pieces  # type: ignore[misc]


def _is_odd(count: int | None, bounds: tuple[int, int] | None) -> bool:
    return count is not None and bounds is not None and not bounds[0] <= count <= bounds[1]


_DEFECTS = frozenset(DEFECTS) | frozenset(NOSE_FAULTS)
_LEAKS = frozenset(DEFECTS) | frozenset(LEAK_WORDS)
# By the kind of a field: under which key of its items the word stands (the item itself where none), and the words there are.
_WORDS_OF: dict[str, tuple[str, frozenset[str]]] = {"findings": ("defect", _DEFECTS), "nose_faults": ("", frozenset(NOSE_FAULTS)), "leaks": ("kind", _LEAKS)}
_WORDED, _ARRIVALS = jobs_with("defect-words"), jobs_with("arrival")


@cache
def worded_fields(job: str) -> tuple[tuple[str, str, frozenset[str]], ...]:
    """(field, key in each of its items, known words) of a job's fields of defects, leaks or faults of the nose."""
    kinds = {name: typed_of(field).kind for name, field in JOBS[job].model_fields.items()}
    return tuple((name, *_WORDS_OF[kind]) for name, kind in kinds.items() if kind in _WORDS_OF)


def words(view: View) -> Iterable[Fault]:
    """unknown-defect-word: a defect, leak or fault of the nose in a word the trade's list does not have.

    Why: what is called two names is counted as two things, and a bad parcel is noticed too late.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: examine, by: ab, verdict: repair,
           findings: [{at: stave-4, defect: crackd, severity: 2}]}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: examine, by: ab, verdict: repair,
           findings: [{at: stave-4, defect: cracked, severity: 2}]}
    """
    for event, row in (pair for job in _WORDED for pair in view.of(job)):
        if event.source is None:
            for field, key, known in worded_fields(event.job):
                unread = "unknown" if view.is_spoiled(row, field) else None  # So a word that cannot be read is told, with its own finding.
                yield from _unknown_words(event, row, field, key, known | {unread})


def _unknown_words(event: Event, row: int, field: str, key: str, known: frozenset[str | None]) -> Iterator[Fault]:
    told = set()
    for n, item in enumerate(getattr(event, field) or []):
        word = getattr(item, key) if key else item
        if word is not None and word not in known and word not in told:  # Who puts the entry right puts each of them right.
            told.add(word)
            near = nearest(word, sorted(one for one in known if one))
            hint = f"write `{near}` if you meant that" if near else "use a word of the trade, and tell the rest in `note`"
            where = (field, n, key) if key else (field, n)
            yield fault(row, "unknown-defect-word", f"`{key or field}` is {shown(word)}: no defect word of the trade", hint, *where, of=event)


def twice(view: View) -> Iterable[Fault]:
    """entered-twice: an entry that says just what one before it says, of the same day, with no other work between them.

    Why: a job entered again by somebody who did not know that it was; what is counted is then counted twice. A draw, a top, and a row of a sheet that two machines read are told with work between too.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: soak, by: ab, method: cold, hours: 24}
        - {id: e1000002, date: 2020-01-02, job: soak, by: ab, method: cold, hours: 24}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: soak, by: ab, method: cold, hours: 24}
        - {id: e1000002, date: 2020-01-02, job: soak, by: kd, method: cold, hours: 24, note: again}
    """
    impossible = {found.where[1] for found in view.life.faults}
    work = view.work_rows() if view.goes_on else view.standing  # The file that goes on tells what stands in both.
    rows = {id(event): row for event, row in work if row is not None}
    for later, before, beside in entered_twice([event for event, _ in work]):
        here, other = (later, before) if id(later) in rows else (before, later)
        if id(here) not in rows or (id(other) not in rows and here.job in _ARRIVALS):
            continue  # Both stand in another file, which tells them itself; and each number has an arrival of its own.
        row = rows[id(here)]
        if later.source is None and row not in impossible and not view.is_spoiled(row, "date"):
            where = f"under {_number_of(view, other)}" if id(other) not in rows else "just above" if beside else "above"
            text = f"the same {here.job} of {here.date} stands {where} ({other.id})"
            yield fault(row, "entered-twice", text, "void this entry, unless it was done twice", "job", of=here)


def _number_of(view: View, event: Event) -> str:
    """Under which other number of the cask an entry stands."""
    numbers = [number for number in view.context.numbers(view.cask.id) if number != view.cask.id]
    there = (number for number in numbers if (peer := view.context.peer(number)) is not None and any(one.id == event.id for one in peer.standing))
    return next(there, "another number")


RULES = (
    Rule(figures, {"implausible-value": "warning"}),
    Rule(capacity, {"capacity-unlike-type": "warning"}),
    Rule(parts, {"parts-unlike-type": "warning"}),
    Rule(words, {"unknown-defect-word": "warning"}, on=("receive", "examine", "nose", "test")),
    Rule(twice, {"entered-twice": "warning"}),
)
