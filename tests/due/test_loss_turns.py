"""The day on which the verdict on a loss turns, judged for a whole book, is that of the rule asked by itself."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import HOUSE, cask_of, ev

from caskbook.due import judge
from caskbook.due.losses import BookLosses, loss_case
from caskbook.due.verdict import Verdict
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.loss import PeerTable
from caskbook.loss.fill_summary import summaries_of
from caskbook.model.house import House
from due.judged import RECEIVED, decided, filled

DAY = date(2020, 8, 6)
LOST = ev("2020-08-03", "regauge", litres=60.0, abv=62.0, method="meter", at_20=True)
DEFERRED = decided("2020-08-05", "loss", "defer", until="2020-08-20")


def of_loss(house: House, *events: dict[str, Any]) -> tuple[Verdict, Verdict]:
    """(by the whole book, by the rule alone)."""
    cask = cask_of(RECEIVED, filled("2020-02-01"), *events)
    life = live(cask, house, DAY)
    book, peers = BookLosses(house, DAY), PeerTable()
    book.add(life, facts_of(life))
    for summary in summaries_of(life):
        peers.add(summary.figure)
    alone = next(one for one in judge(life, facts_of(life), peers=peers) if one.rule == "loss")
    whole = next(verdict for _, verdict, _ in book.judged() if verdict is not None)
    return whole, alone


def off(*days: tuple[str, bool]) -> House:
    return House({**HOUSE.raw, "due": {"loss": {"off": [{"since": since, "value": value} for since, value in days]}}})


@pytest.mark.parametrize(("house", "events", "turn"), [
    (HOUSE, [LOST], None),
    (HOUSE, [LOST, DEFERRED], "2020-08-21"),
    (HOUSE, [DEFERRED], None),
    (HOUSE, [LOST, ev("2020-08-10", "note", note="seen")], None),
    (off(("2000-01-01", False), ("2020-09-01", True)), [LOST], "2020-09-01"),
    (off(("2000-01-01", False), ("2020-09-01", True)), [], None),
    (off(("2000-01-01", False), ("2020-08-10", True), ("2020-09-01", False)), [LOST, DEFERRED], "2020-09-01"),
    (off(("2000-01-01", True), ("2020-08-15", False)), [LOST, DEFERRED], "2020-08-21"),
    (off(("2000-01-01", True), ("2020-08-25", False)), [LOST, DEFERRED], "2020-08-25"),
])  # fmt: skip
def test_a_loss_turns_on_the_same_day_for_the_book_and_for_the_cask(house: House, events: list[dict[str, Any]], turn: str | None) -> None:
    whole, alone = of_loss(house, *events)
    assert whole == alone
    assert whole.turns_on == (None if turn is None else date.fromisoformat(turn))


@pytest.mark.parametrize(("settings", "kept"), [
    ({"due": {"rechar": {"due_at": [{"since": "2004-01-01", "value": 6}, {"since": "2021-01-01", "value": 5}]}}}, 0),
    ({"due": {"loss": {"fewest_peers": [{"since": "2004-01-01", "value": 6}, {"since": "2021-01-01", "value": 5}]}}}, 1),
    ({"due": {"retire": {"loss_fills": [{"since": "2004-01-01", "value": 2}, {"since": "2021-01-01", "value": 3}]}}}, 1),
    ({"in_drink_percent": [{"since": "2004-01-01", "value": 2.0}, {"since": "2021-01-01", "value": 3.0}]}, 1),
])  # fmt: skip
def test_a_later_setting_is_looked_at_where_it_bears_on_losses(settings: dict[str, Any], kept: int) -> None:
    house = House({**HOUSE.raw, **settings})
    life = live(cask_of(RECEIVED, filled("2020-02-01"), LOST), house, DAY)
    case = loss_case(life, facts_of(life))
    assert case is not None and [str(day) for day, _ in case.later] == ["2021-01-01"] * kept and str(case.changes_on) == "2021-01-01"
