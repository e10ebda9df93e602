"""Parents and children of a conversion: both sides told, the parents gone, the figures handed on as they stood."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from caskbook.checks.context import HEAD, Context, Peer, View, fault, head_value_fault
from caskbook.checks.rule import Rule
from caskbook.core.days import DayError, parse_when
from caskbook.core.finding import Fault
from caskbook.ledger.lineage import inherited_from, life_before
from caskbook.life import live
from caskbook.life.past import GOES_WITH_WOOD
from caskbook.model.jobs import Event
from caskbook.model.jobs.arrival import Inherited, MadeFrom
from caskbook.model.jobs.arrival.inherited import OfParent
from caskbook.model.jobs.base import listed
from caskbook.words import is_wine


def parents(view: View) -> Iterable[Fault]:
    """Every cask made here held against its parents."""
    for event, row in view.of("made-from"):
        if not isinstance(event, MadeFrom) or view.is_spoiled(row, "parents"):
            continue
        whole = True
        for n, share in enumerate(event.parents):
            found = _parent_fault(view, event, row, n, share.cask) if share.cask else None
            whole &= found is None
            if found is not None:
                yield found
        if whole and not view.is_spoiled(row, "inherited"):
            yield from _figures(view, event, row)


def _parent_fault(view: View, event: Event, row: int, n: int, parent: str) -> Fault | None:
    peer = view.context.whole(parent)
    where = (row, event, n, parent)
    if peer is None:
        return _unknown_parent(*where)
    if peer.cask is None or _pairs(peer, event.id, "convert", "children", view.context.numbers(view.cask.id)):
        return None
    if view.is_spoiled(row, "date"):
        return None
    gone = live(peer.cask, view.context.house, event.date, peer.others).state.form == "gone"
    return _no_conversion(*where) if gone else _standing_parent(*where)


def _unknown_parent(row: int, event: Event, n: int, parent: str) -> Fault:
    """parent-unknown: a cask made from a numbered cask that is not in the book.

    Why: its fills and chars come from its parents; without them nothing is known of it.
    Wrong:
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab, parents: [{cask: TH-001187}]}
    Right:
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab,
           parents: [{unnumbered: two old barrels}]}
    """
    return fault(
        row,
        "parent-unknown",
        f"`cask` is {parent}: no cask of the book",
        "correct the number, or write `unnumbered: what it was`",
        "parents",
        n,
        "cask",
        of=event,
    )


def _standing_parent(row: int, event: Event, n: int, parent: str) -> Fault:
    """parent-still-in-stock: a cask made from one that stands in stock on that day.

    Why: its staves are in the child; a parent left in the book is a cask that is not there.
    Wrong:
        # TH-001187
        # received 2019-01-01
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab, parents: [{cask: TH-001187}],
           inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
           fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
           held: spirit}}
    Right:
        # TH-001187
        # received 2019-01-01
        - {id: e1000001, date: 2020-01-04, job: convert, by: ab, children: [TH-004218]}
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab, parents: [{cask: TH-001187}],
           inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
           fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
           held: spirit}}
    """
    text = f"`cask` is {parent}: it stood in stock on {event.date}"
    return fault(row, "parent-still-in-stock", text, f"enter the conversion of {parent}, or correct the number", "parents", n, "cask", of=event)


def _no_conversion(row: int, event: Event, n: int, parent: str) -> Fault:
    text = f"`cask` is {parent}: no conversion of it names this cask"
    return fault(row, "conversion-without-its-pair", text, f"correct the number, or the children of {parent}", "parents", n, "cask", of=event)


def _pairs(peer: Peer, event_id: str, job: str, field: str, own: Collection[str]) -> bool:
    """Whether the other file holds the other half: the same id, or an entry that names this cask."""
    return any(e.job == job and (e.id == event_id or any(one in own for one in _numbers(getattr(e, field)))) for e in peer.standing)


def _numbers(listed: list[Any]) -> list[str | None]:
    return [item if isinstance(item, str) else item.cask for item in listed]


def _figures(view: View, event: MadeFrom, row: int) -> Iterator[Fault]:
    """inherited-figures-differ: `inherited` is not what the parents' own files give.

    Why: a parent's history was put right since, or the figures were typed; the child's counts are wrong by as much.
    Wrong:
        # TH-001187
        # received 2019-01-01
        - {id: e1000001, date: 2020-01-04, job: convert, by: ab, children: [TH-004218]}
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab, parents: [{cask: TH-001187}],
           inherited: {fills_life: 4, fills_life_min: 4, fills_of_class: 0, fills_since_char: 1,
           fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
           held: spirit}}
    Right:
        # TH-001187
        # received 2019-01-01
        - {id: e1000001, date: 2020-01-04, job: convert, by: ab, children: [TH-004218]}
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab, parents: [{cask: TH-001187}],
           inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
           fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
           held: spirit}}
    """
    expected = _expected(view.context, event, view.context.numbers(view.cask.id))
    if expected is None:
        return
    given = event.inherited or Inherited()
    expected |= {mark: expected.get(mark) for mark in GOES_WITH_WOOD}
    if given.fills_life_min is None:
        expected["fills_life_min"] = None if given.fills_life is not None or not expected["fills_life_min"] else expected["fills_life_min"]
    wrong = [name for name, value in expected.items() if not _same(getattr(given, name), value)]
    if not wrong:
        return
    # Of several the one that asks for a nose before the next fill is named.
    name = next((mark for mark in GOES_WITH_WOOD if mark in wrong), "held" if "held" in wrong and expected["held"] == "wine" else wrong[0])
    more = f" (and {len(wrong) - 1} more)" if len(wrong) > 1 else ""
    gives = "none" if name in GOES_WITH_WOOD and not expected[name] else _or_unknown(expected[name])
    text = f"`{name}` is {_or_unknown(getattr(given, name))}: the parents give {gives}{more}"
    where = ("inherited", name) if event.inherited is not None and name in event.inherited.model_fields_set else ("inherited",)
    yield fault(row, "inherited-figures-differ", text, "enter it anew with `replaces` and the figures the parents give", *where, of=event)


def _expected(context: Context, event: MadeFrom, own: Collection[str]) -> dict[str, Any] | None:
    lives = []
    for share in event.parents:
        peer = context.whole(share.cask) if share.cask else None
        if share.cask and (peer is None or peer.cask is None):
            return None
        if peer is not None and peer.cask is not None:
            converts = [e for e in peer.standing if e.job == "convert" and (e.id == event.id or any(one in own for one in e.children))]  # type: ignore[attr-defined]
            at = converts[0] if converts else event
            lives.append(life_before(peer.cask, context.house, at.date, at.id, peer.others))
    return inherited_from(lives, any(not share.cask for share in event.parents))


def _or_unknown(value: object) -> str:
    if isinstance(value, list):
        return listed([OfParent.model_validate(one).says() for one in value])
    return "unknown" if value is None else str(value)


def _same(given: object, expected: object) -> bool:
    if given == expected or given is None or expected is None:
        return given == expected
    if isinstance(given, list) and isinstance(expected, list):
        return {(one.cask, one.since) for one in given} == {(one["cask"], one["since"]) for one in expected}
    try:
        return parse_when(given).text == parse_when(expected).text
    except DayError:
        return False


def children(view: View) -> Iterable[Fault]:
    """child-unknown: a conversion into a cask that is not in the book.

    Why: its staves would vanish from stock.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-04, job: convert, by: ab, children: [TH-004218]}
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-04, job: convert, by: ab, children: [TH-004218]}
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab, parents: [{cask: TH-004217}],
           inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
           fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
           held: spirit}}
    """
    for event, row in view.of("convert"):
        if view.is_spoiled(row, "children"):
            continue
        for n, child in enumerate(event.children):  # type: ignore[attr-defined]
            peer = view.context.whole(child)
            if peer is None:
                yield fault(
                    row,
                    "child-unknown",
                    f"`children` names {child}: no cask of the book",
                    "correct the number, or enter how it was made",
                    "children",
                    n,
                    of=event,
                )
            elif peer.cask is not None and not _pairs(peer, event.id, "made-from", "parents", view.context.numbers(view.cask.id)):
                yield _not_its_child(row, event, n, child)


def _not_its_child(row: int, event: Event, n: int, child: str) -> Fault:
    """conversion-without-its-pair: one file tells of a conversion that the other knows nothing of.

    Why: a conversion is written in every cask concerned, or in none; one half alone was lost in a merge or typed.
    Wrong:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-04, job: convert, by: ab, children: [TH-004218]}
        # TH-004218
        - {id: e1000005, date: 2020-01-04, job: receive, by: ab, verdict: accept}
    Right:
        # TH-004217
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-04, job: convert, by: ab, children: [TH-004218]}
        # TH-004218
        - {id: e1000001, date: 2020-01-04, job: made-from, by: ab, parents: [{cask: TH-004217}],
           inherited: {fills_life: 1, fills_life_min: 1, fills_of_class: 0, fills_since_char: 1,
           fills_since_fire: 1, char_count: 1, rechar_count: 0, last_char: 2011, last_fire: 2011,
           held: spirit}}
    """
    text = f"`children` names {child}: it was not made from this cask"
    return fault(row, "conversion-without-its-pair", text, f"enter `made-from` in {child}, or correct the number", "children", n, of=event)


def own_past(view: View) -> Iterable[Fault]:
    """past-beside-inherited: the head of a cask made from others says what it was before, which its parents tell.

    Why: its fills and chars are those that it inherits; what the head says beside them counts for nothing, and a reader is led astray.
    `prior` may name wine where a parent without a number held it.
    Wrong:
        # TH-004217
        cask: TH-004217
        format: 1
        type: barrel
        charred: 2011
        events:
          - {id: e1000001, date: 2020-01-04, job: made-from, by: ab,
             parents: [{unnumbered: two old barrels}]}
    Right:
        # TH-004217
        cask: TH-004217
        format: 1
        type: barrel
        events:
          - {id: e1000001, date: 2020-01-04, job: made-from, by: ab,
             parents: [{unnumbered: two old barrels}]}
    """
    made = next((event for event, row in view.of("made-from") if isinstance(event, MadeFrom) and not view.is_spoiled(row, "parents")), None)
    if made is None:
        return
    head, remedy = view.cask.head, "leave it out: what a cask made from others was before, its parents tell"
    words = view.on(made.date).wine_words
    unnumbered = any(not share.cask for share in made.parents)
    if head.prior is not None and not view.is_spoiled(HEAD, "prior") and not (unnumbered and any(is_wine(entry.contents, words) for entry in head.prior)):
        told = ", ".join(entry.contents for entry in head.prior) or "[]"
        yield head_value_fault(view, "past-beside-inherited", f"`prior` is {told}: it counts for nothing beside what it inherits", remedy, "prior")
    if head.charred not in (None, "unknown") and not view.is_spoiled(HEAD, "charred"):
        text = f"`charred` is {head.charred}: it counts for nothing beside what it inherits"
        yield head_value_fault(view, "past-beside-inherited", text, remedy, "charred")


RULES = (
    Rule(
        parents,
        {"parent-unknown": "error", "parent-still-in-stock": "error", "conversion-without-its-pair": "error", "inherited-figures-differ": "warning"},
        on=("made-from",),
    ),
    Rule(children, {"child-unknown": "error", "conversion-without-its-pair": "error"}, on=("convert",)),
    Rule(own_past, {"past-beside-inherited": "warning"}, on=("made-from",)),
)
