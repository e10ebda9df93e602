"""Corrections of the head that count, of one key and with two values: whoever entered the one may not have known of the other."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.core.typed_word import typed_word
from caskbook.model.head_corrections import standing_corrects
from caskbook.model.jobs import Event
from caskbook.model.jobs.cask_head import KEYS, key_word, value_words


def head_twice(view: View) -> Iterable[Fault]:
    """head-corrected-twice: two corrections of one key of the head count, each with another value; that of the later id holds.

    Why: one after the other they are lawful; made on two machines at once, nobody knows that the other one was there.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: correct, by: ab, charred: 2018, why: stencil read again}
        - {id: e1000002, date: 2020-01-03, job: correct, by: kd, charred: 2015, why: misread}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: correct, by: ab, charred: 2018, why: stencil read again}
        - {id: e1000002, date: 2020-01-03, job: void, by: kd, of: e1000001, why: "it is 2015"}
        - {id: e1000003, date: 2020-01-03, job: correct, by: kd, charred: 2015, why: misread}
    """
    given = standing_corrects([event for event, _ in view.events], [row for _, row in view.events])
    for key in KEYS if len(given) > 1 else ():
        named = [(event, row) for event, row in given if getattr(event, key) is not None and not view.is_spoiled(row, key)]
        for (event, row), (later, _) in pairwise(named):
            if getattr(event, key) != getattr(later, key):
                yield _corrected_at_once(view, event, row, later, key) if later.date <= event.date else _corrected_again(event, row, later, key)


def _corrected_again(event: Event, row: int, later: Event, key: str) -> Fault:
    return fault(row, "head-corrected-twice", _two_values(event, later, key), "void the one of the two that is wrong", key, of=(event, later))


def _corrected_at_once(view: View, event: Event, row: int, later: Event, key: str) -> Fault:
    """head-corrected-at-once: two corrections of one key of the head count, each with another value, and their days do not tell which came last.

    Why: made on two branches, neither knew of the other; only the order of their ids decides, and one of the two is without effect, though
    whoever entered it holds it for done.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: correct, by: ab, charred: 2018, why: stencil read again}
        - {id: e1000002, date: 2020-01-02, job: correct, by: kd, charred: 2015, why: misread}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: correct, by: ab, charred: 2018, why: stencil read again}
        - {id: e1000002, date: 2020-01-02, job: correct, by: kd, charred: 2015, why: misread}
        - {id: e1000003, date: 2020-01-03, job: void, by: kd, of: e1000001, why: "it is 2015"}
    """
    number, *ids = map(typed_word, (view.cask.id, event.id, later.id))
    advice = f'only the order of their ids decides: caskbook void {number} {ids[0]} --why "…", or {ids[1]} if that is the wrong one'
    return fault(row, "head-corrected-at-once", _two_values(event, later, key), advice, key, of=(event, later))


def _two_values(event: Event, later: Event, key: str) -> str:
    return f"{key_word(key)} {value_words(key, getattr(event, key))}: {later.id} says {value_words(key, getattr(later, key))}, and counts"[:80]


RULES = (Rule(head_twice, {"head-corrected-twice": "note", "head-corrected-at-once": "warning"}, on=("correct",)),)
