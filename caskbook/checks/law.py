"""What the law on casks says, for each law the house declares it works under.

Scotch Whisky Regulations 2009 reg. 3(1); Irish whiskey technical file 2014; 27 CFR 5.143; Regulation (EU) 2019/787 Annex I
category 2 (the last from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from caskbook.checks.carried import Step, steps
from caskbook.checks.context import HEAD, View, fault, head_value_fault
from caskbook.checks.rule import Rule
from caskbook.core.days import whole_years
from caskbook.core.finding import Fault
from caskbook.model.invalid import shown
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.words.job_table import jobs_with
from caskbook.words.plural import number_of

MOST_LITRES = 700
# This is 125 US proof.
MOST_ABV = 62.5
LEAST_ABV = 40
SIZE_LAWS = frozenset({"scotch-2009", "irish-2014", "eu-2019-787"})
OAK_LAWS = frozenset({"scotch-2009", "bourbon-5.143", "straight-5.143"})
NEW_OAK_LAWS = frozenset({"bourbon-5.143", "straight-5.143"})
STRENGTH_LAWS = frozenset({"scotch-2009"})
YEARS = {"scotch-2009": 3, "irish-2014": 3, "eu-2019-787": 3, "straight-5.143": 2}
_FILLS = jobs_with("spirit-in")


def laws_on(view: View, day: date) -> frozenset[str]:
    """The laws the house declares on a day."""
    return frozenset(view.on(day).laws)


def _days(view: View) -> list[date]:
    """Days on which the cask as such is judged: every filling, and today."""
    return [event.date for event, _ in view.work_rows() if event.job in _FILLS] + [view.context.today]


def size(view: View) -> Iterable[Fault]:
    """cask-over-700-litres: a cask larger than the law allows for maturing.

    Why: the Scotch, Irish and EU rules want casks of at most 700 litres; what lies in a larger one may not be sold as whisky.
    Wrong:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        {cask: TH-004217, format: 1, type: custom, capacity_l: 700.1, events: []}
    Right:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        {cask: TH-004217, format: 1, type: custom, capacity_l: 700, events: []}
    """
    sizes: list[tuple[float, Fault | None]] = []
    head = view.head
    if head.capacity_l is not None and not (view.goes_on and view.is_spoiled(HEAD, "capacity_l")):
        sizes.append((head.capacity_l, _too_big(view, head.capacity_l, None, 0) if view.goes_on else None))
    for event, row in view.work_rows():
        litres = event.capacity_l if event.job == "measure" else None  # type: ignore[attr-defined]
        if litres is not None and (row is None or not view.is_spoiled(row, "capacity_l")):
            sizes.append((litres, _too_big(view, litres, event, row) if row is not None else None))
    if sizes and sizes[-1][1] is not None and sizes[-1][0] > MOST_LITRES and any(SIZE_LAWS & laws_on(view, day) for day in _days(view)):
        yield sizes[-1][1]


def _too_big(view: View, litres: float, event: Event | None, row: int) -> Fault:
    text, remedy = f"`capacity_l` is {plain(litres)}: the law allows at most {MOST_LITRES} L", "use another cask, or correct the litres"
    if event is None:
        return head_value_fault(view, "cask-over-700-litres", text, remedy, "capacity_l")
    return fault(row, "cask-over-700-litres", text, remedy, "capacity_l", of=event)


def wood(view: View) -> Iterable[Fault]:
    """wood-not-oak: a cask of other wood where the law wants oak.

    Why: the Scotch rules and 27 CFR 5.143 name oak; spirit from other wood may not bear the name.
    Wrong:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, wood: chestnut, events: []}
    Right:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, wood: sessile-oak, events: []}
    """
    wood = view.cask.head.wood
    if not view.goes_on or wood is None or "oak" in wood.lower() or wood in ("mizunara", "mixed", "unknown") or view.is_spoiled(HEAD, "wood"):
        return
    if any(OAK_LAWS & laws_on(view, day) for day in _days(view)):
        yield head_value_fault(view, "wood-not-oak", f"`wood` is {shown(wood)}: the law wants oak", "use another cask, or correct the wood", "wood")


def new_oak(view: View) -> Iterable[Fault]:
    """New charred oak and no more than the law's strength, asked of each filling."""
    if not any(NEW_OAK_LAWS & laws_on(view, day) for day in _days(view)):
        return
    held = [entry.contents for entry in view.head.prior or []]
    charred = view.head.charred != "never"
    for event, row in view.work_rows():
        if row is not None and event.job in _FILLS and NEW_OAK_LAWS & laws_on(view, event.date) and _is_theirs(view, event):
            yield from _used(event, row, held)
            yield from _uncharred(event, row, charred)
            yield from _too_strong(view, event, row)
        charred |= event.job == "char"
        held += _held_from(event)


def _is_theirs(view: View, event: Event) -> bool:
    """The law speaks of bourbon, and of what the house makes under it: its class of spirit."""
    word = str(getattr(event, "spirit", ""))
    return "bourbon" in word or view.on(event.date).is_of_class(word)


def _held_from(event: Any) -> list[str]:
    """What the cask holds or has held from this event on."""
    if event.job in _FILLS or (event.job == "receive" and event.full):
        return [str(event.spirit or getattr(event, "contents", ""))]
    if event.job == "season":
        return [event.wine]
    if event.job == "made-from" and event.inherited is not None and event.inherited.had_liquor:
        return [event.inherited.held if event.inherited.held != "unknown" else "spirit or wine"]
    return []


def _used(event: Event, row: int, held: list[str]) -> Iterable[Fault]:
    """prior-contents-not-allowed: a used cask filled where the law wants new charred oak.

    Why: under 27 CFR 5.143 bourbon is stored in charred new oak; a second filling may not bear the name.
    Wrong:
        # house.yaml
        laws: [bourbon-5.143]
        # TH-004217
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 60,
           at_20: true}
    Right:
        # house.yaml
        laws: [bourbon-5.143]
        # TH-004217
        cask: TH-004217
        format: 1
        type: barrel
        prior: []
        charred: 2019
        events:
          - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
          - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
          - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 60,
             at_20: true}
    """
    if held:
        message = f"filled after {shown(held[-1])}: the law wants new charred oak"
        yield fault(row, "prior-contents-not-allowed", message, "use a new cask, or another name for the spirit", of=event)


def _uncharred(event: Event, row: int, charred: bool) -> Iterable[Fault]:
    """fill-of-uncharred-cask: a cask never charred, filled where the law wants charred oak.

    Why: under 27 CFR 5.143 the new oak is charred.
    Wrong:
        # house.yaml
        laws: [bourbon-5.143]
        # TH-004217
        cask: TH-004217
        format: 1
        type: barrel
        prior: []
        charred: never
        events:
          - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
          - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
          - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 60,
             at_20: true}
    Right:
        # house.yaml
        laws: [bourbon-5.143]
        # TH-004217
        cask: TH-004217
        format: 1
        type: barrel
        prior: []
        charred: 2019
        events:
          - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
          - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
          - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 60,
             at_20: true}
    """
    if not charred:
        message = "filled, never charred: the law wants charred oak"
        yield fault(row, "fill-of-uncharred-cask", message, "enter the char before it, or correct `charred`", of=event)


def _too_strong(view: View, event: Event, row: int) -> Iterable[Fault]:
    """fill-over-law-strength: filled stronger than the law allows.

    Why: under 27 CFR 5.143 bourbon enters the cask at 125 proof, 62.5 % vol, at most.
    Also: prior-contents-not-allowed
    Wrong:
        # house.yaml
        laws: [bourbon-5.143]
        # TH-004217
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 62.6,
           at_20: true}
    Right:
        # house.yaml
        laws: [bourbon-5.143]
        # TH-004217
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: bourbon, litres: 195, abv: 62.5,
           at_20: true}
    """
    abv = getattr(event, "abv", None)
    if abv is not None and abv > MOST_ABV and not view.is_spoiled(row, "abv"):
        message = f"`abv` is {plain(abv)}: the law allows at most {MOST_ABV} % vol"
        yield fault(row, "fill-over-law-strength", message, "correct the figure, or use another name for the spirit", "abv", of=event)


def leaving(view: View) -> Iterable[Fault]:
    """Age and strength of what is drawn for good."""
    emptied = [event.date for event, _ in view.standing if event.job == "empty"]
    if not any(laws_on(view, day) for day in emptied):
        return
    for step in steps(view):
        if step.event.job == "empty" and getattr(step.event, "why", None) in (None, "drawn"):
            yield from _young(view, step)
            yield from _weak(view, step)


def _young(view: View, step: Step) -> Iterable[Fault]:
    """left-under-age: drawn younger than the law's age; a note, for it may be meant.

    Why: three years in oak make whisky under the Scotch, Irish and EU rules, two make straight whiskey under 27 CFR 5.143.
    Wrong:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2023-01-02, job: empty, by: ab, litres: 185, abv: 62, at_20: true}
    Right:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2023-01-03, job: empty, by: ab, litres: 185, abv: 62, at_20: true}
    """
    years = max((YEARS.get(law, 0) for law in laws_on(view, step.event.date)), default=0)
    if step.oak_since is not None and whole_years(step.oak_since, step.event.date) < years and not view.is_spoiled(step.row, "date"):
        message = f"drawn, in oak since {step.oak_since}: the law wants {number_of(years, 'year')}"
        yield fault(step.row, "left-under-age", message, "use another name for the spirit, or correct the day", of=step.event)


def _weak(view: View, step: Step) -> Iterable[Fault]:
    """emptied-under-strength: drawn weaker than the law's least strength; a note.

    Why: the Scotch rules want at least 40 % vol; what fell below it in the cask can only be blended up.
    Wrong:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        # received 2012-01-01, examined 2012-01-02, filled 2012-01-03
        - {id: e1000001, date: 2023-01-03, job: empty, by: ab, litres: 185, abv: 39.9, at_20: true}
    Right:
        # house.yaml
        laws: [scotch-2009]
        # TH-004217
        # received 2012-01-01, examined 2012-01-02, filled 2012-01-03
        - {id: e1000001, date: 2023-01-03, job: empty, by: ab, litres: 185, abv: 40, at_20: true}
    """
    event: Any = step.event
    if STRENGTH_LAWS & laws_on(view, event.date) and event.litres and event.abv is not None and event.abv < LEAST_ABV and not view.is_spoiled(step.row, "abv"):
        message = f"`abv` is {plain(event.abv)}: the law wants at least {LEAST_ABV} % vol"
        yield fault(step.row, "emptied-under-strength", message, "correct the figure if misread; else blend it up", "abv", of=event)


RULES = (
    Rule(size, {"cask-over-700-litres": "error"}, on=("laws",)),
    Rule(wood, {"wood-not-oak": "error"}, on=("laws",)),
    Rule(new_oak, {"prior-contents-not-allowed": "error", "fill-of-uncharred-cask": "error", "fill-over-law-strength": "error"}, on=("laws",)),
    Rule(leaving, {"left-under-age": "note", "emptied-under-strength": "note"}, on=("laws",)),
)
