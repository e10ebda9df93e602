"""Leakers are planted, sought and counted: at least nine of ten that lose over three times their peers are found, and at most one
sound fill in a hundred is accused. In the demo ledger, whose files tell nothing of what was planted; the outside world with its own
physics, habits and slips is `tests/loss/simulator`, its floors `test_floors.py`."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import pytest

from caskbook.demo.block import Demo, tell
from caskbook.demo.house import UNTIL, house_text
from caskbook.life import live
from caskbook.loss import PeerTable, fill_losses
from caskbook.loss.figures import figure_of
from caskbook.loss.verdicts import judge_fill
from caskbook.model.cask import read_cask
from caskbook.model.house import House
from caskbook.yaml.document import read_document
from caskbook.yaml.source import Source

pytestmark = pytest.mark.thorough


@dataclass(frozen=True, slots=True)
class Score:
    """Leakers planted and found, sound fills and those accused, of the fills that were gauged twice or more."""

    planted: int
    found: int
    sound: int
    accused: int

    def holds(self) -> None:
        assert self.planted >= 10
        assert self.found >= 0.9 * self.planted, self
        assert self.accused <= 0.01 * self.sound, self


def score_of_demo(casks: int, seed: int) -> Score:
    demo = Demo(casks, seed, UNTIL)
    settings = read_document(Source.from_bytes("house.yaml", house_text(UNTIL).encode())).data
    house, planted, lives = House(settings), set(), []
    for number in range(demo.blocks):
        told = tell(demo, number)
        planted |= set(told.planted)
        for page in told.pages:
            cask, faults = read_cask({**page.head, "events": page.in_order()})
            assert cask is not None and not faults
            lives.append(live(cask, house, UNTIL))
    losses = [(life, loss, figure_of(life, loss)) for life in lives for loss in fill_losses(life)]
    peers = PeerTable(figure for _, _, figure in losses)
    count: Counter[tuple[bool, bool]] = Counter()
    for life, loss, figure in losses:
        level = judge_fill(life, loss, peers).level
        if loss.whole is not None:
            count[(figure.cask, figure.fill) in planted, level == "act"] += 1
    return Score(count[True, True] + count[True, False], count[True, True], count[False, True] + count[False, False], count[False, True])


def test_a_demo_ledger() -> None:
    score_of_demo(1000, 3).holds()


@pytest.mark.slow
def test_a_demo_ledger_of_twenty_thousand() -> None:
    score_of_demo(20_000, 5).holds()
