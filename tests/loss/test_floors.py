"""The floors of the verdicts on a fill's loss, in a world that knows nothing of how they are made (`loss/simulator`).

Leaks of three times the peers and more: 95 % found; of two to three times with three gauges: 70 %. Sound casks: at most 1 % ever at act
and 4 % ever at act or watch in a decade. Under every habit of gauging, in stores that lose from 1 to 35 % a year.
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from random import SystemRandom

import pytest

from loss.simulator.floors import DOUBT, broken, failures
from loss.simulator.habits import HABITS, Habit
from loss.simulator.scoring import by_habit, join, score
from loss.simulator.telling import text

SEEDS, CASKS = 20, 300


@pytest.mark.slow
def test_a_few_casks_that_are_dipped_every_year() -> None:
    table = score(40, 4, HABITS[:1], rates=(0.02, 0.08))
    (tally,) = by_habit(table).values()
    assert tally.decades("act") > 30
    assert not failures("forty casks", tally, DOUBT), text(table)


@pytest.mark.slow
@pytest.mark.parametrize("habit", HABITS, ids=lambda habit: habit.name)
def test_every_habit(habit: Habit) -> None:
    table = score(110, 1, (habit,))
    (tally,) = by_habit(table).values()
    assert tally.of("large")[1] >= 10
    assert not failures(habit.name, tally, DOUBT), text(table)


@pytest.mark.slow
def test_twenty_fresh_seeds() -> None:
    """Again for the same seeds: `python -m loss.simulator CASKS SEED ...` with `tests` on the path."""
    seeds = [SystemRandom().randrange(10**9) for _ in range(SEEDS)]
    with ProcessPoolExecutor() as pool:
        table = join(list(pool.map(score, [CASKS] * SEEDS, seeds)))
    told = f"{CASKS} casks for each habit, seeds {' '.join(map(str, seeds))}\n{text(table)}"
    print(told)
    found = broken(table)
    assert not found, "\n".join([told, *found])
