"""Where a topping came from: a cask named by its number has to be in the book, and has to have held something then."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from caskbook.checks.context import Peer, View, fault
from caskbook.checks.id_pattern import house_pattern
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.life import Life, live
from caskbook.model.house import House
from caskbook.model.jobs import Event
from caskbook.model.jobs.spirit import Top


def topped(view: View) -> Iterable[Fault]:
    """Every topping held against the cask that it names; what names none, as a tank or a vat, tells nothing that could be looked up."""
    for event, row in view.of("top"):
        if not isinstance(event, Top) or event.source is not None or view.is_spoiled(row, "from"):
            continue
        for source in event.other_casks():
            peer = view.context.whole(source)
            if source in view.context.numbers(view.cask.id):
                yield _itself(event, row, source)
            elif peer is None:
                pattern = view.context.house.on(event.date).id_pattern
                house = house_pattern(pattern) if pattern else None
                if house is None or house.fullmatch(source):
                    yield _unknown(event, row, source)
            elif view.is_spoiled(row, "date"):
                continue
            elif peer.cask is not None and (why := _had_nothing(peer, view.context.house, event.date)):
                yield _empty(event, row, source, why)
            elif peer.cask is not None and (where := _not_here(peer, view.context.house, event.date)):
                yield _elsewhere(event, row, source, where)


def _had_nothing(peer: Peer, house: House, day: date) -> str:
    """Why a cask had nothing to give on a day: empty, or gone, at the end of that day and of the day before; nothing where it had, or
    where its file cannot be read to the end."""
    assert peer.cask is not None
    lives = _lives(peer, house, day)
    if any(life.in_part or (life.state.contents != "empty" and life.state.form != "gone") for life in lives):
        return ""
    return "gone" if all(life.state.form == "gone" for life in lives) else "empty"


def _lives(peer: Peer, house: House, day: date) -> list[Life]:
    """A cask at the end of a day and of the day before: on the day of a change it may have given before it or after."""
    assert peer.cask is not None
    return [live(peer.cask, house, one, peer.others) for one in ((day, day - timedelta(1)) if day > date.min else (day,))]


def _not_here(peer: Peer, house: House, day: date) -> str:
    """Where a cask was that could give nothing in the house on a day: away or missing, all day; "" where it was here, or nobody can tell."""
    lives = _lives(peer, house, day)
    return "" if any(life.in_part or life.state.where == "here" for life in lives) else lives[0].state.where


def _itself(event: Event, row: int, source: str) -> Fault:
    """top-from-itself: a cask was topped from itself.

    Why: nothing can come out of a cask into it; another number was meant, and the losses of both are wrong.
    Wrong:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: TH-004217,
           oak_since: 2019-01-03, at_20: true}
    Right:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: tank 7,
           oak_since: 2019-01-03, at_20: true}
    """
    remedy = "give the number of the cask, or the name of the tank, that it came from"
    return fault(row, "top-from-itself", f"`from` is {source}: that is this cask", remedy, "from", of=event)


def _elsewhere(event: Event, row: int, source: str, where: str) -> Fault:
    """top-from-elsewhere: topped from a cask that was away or missing, that day and the day before.

    Why: another cask was meant, or it came back, or was found, and nobody entered it.
    Wrong:
        # TH-001187
        # received 2019-01-01, examined 2019-01-02, filled 2019-01-03
        - {id: e1000001, date: 2020-06-01, job: missing, by: ab}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: TH-001187,
           oak_since: 2019-01-03, at_20: true}
    Right:
        # TH-001187
        # received 2019-01-01, examined 2019-01-02, filled 2019-01-03
        - {id: e1000001, date: 2020-06-01, job: missing, by: ab}
        - {id: e1000002, date: 2021-01-02, job: found, by: ab, berth: W1/01}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: TH-001187,
           oak_since: 2019-01-03, at_20: true}
    """
    text = f"`from` is {source}: it was {where} on {event.date}"
    return fault(row, "top-from-elsewhere", text, f"correct the number, or enter that {source} came back or was found", "from", of=event)


def _unknown(event: Event, row: int, source: str) -> Fault:
    """top-from-unknown: topped from a cask that is not in the book.

    Why: the age and the past of what was added cannot be looked up; the number is misread, or it is a tank.
    Wrong:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: TH-001187,
           oak_since: 2019-01-03, at_20: true}
    Right:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: tank 7,
           oak_since: 2019-01-03, at_20: true}
    """
    remedy = "correct the number; a tank is named otherwise, as `from: tank 7`"
    return fault(row, "top-from-unknown", f"`from` is {source}: no cask of the book", remedy, "from", of=event)


def _empty(event: Event, row: int, source: str, why: str) -> Fault:
    """top-from-empty: topped from a cask that was empty, or gone, that day and the day before.

    Why: another cask was meant, or what that one held was never entered; the losses of both are then wrong.
    Wrong:
        # TH-001187
        # received 2019-01-01
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: TH-001187,
           oak_since: 2019-01-03, at_20: true}
    Right:
        # TH-001187
        # received 2019-01-01, examined 2019-01-02, filled 2019-01-03
        - {id: e1000001, date: 2021-01-03, job: draw, by: ab, litres: 3, abv: 62, at_20: true}
        # TH-004217
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2021-01-03, job: top, by: ab, litres: 3, abv: 62, from: TH-001187,
           oak_since: 2019-01-03, at_20: true}
    """
    text = f"`from` is {source}: it was {why} on {event.date}"
    return fault(row, "top-from-empty", text, f"correct the number, or enter what {source} held", "from", of=event)


RULES = (
    Rule(
        topped,
        {"top-from-itself": "warning", "top-from-unknown": "warning", "top-from-empty": "warning", "top-from-elsewhere": "warning"},
        on=("top",),
    ),
)
