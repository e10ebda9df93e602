"""The days for which a life that was worked out is good: from which on, and before which, nothing in it may differ but what grows day by day."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date

from caskbook.core.days import add_days
from caskbook.due import Verdict, changes_on
from caskbook.due.losses import LossCase
from caskbook.index.schema import NEVER
from caskbook.ledger.files import Ledger
from caskbook.life import Life
from caskbook.life.facts import Facts
from caskbook.life.fitness import exam_day
from caskbook.model.untold import Gap


def good_days(
    life: Life, facts: Facts, verdicts: list[Verdict], case: LossCase | None, ledger: Ledger, needs: Collection[str], gaps: Iterable[Gap]
) -> tuple[int, int]:
    """(the day from which, the day before which) nothing may differ but what grows day by day, if nothing is entered. Of days gone by that is told only where
    nothing grows and no rule is asked, of a cask that is gone or had not begun and rests on its own file: verdicts tell when they turn next, not when they did last. `gaps`: what nobody can tell of its
    history, as the life took it."""
    day, st = life.day, life.state
    if life.in_part:
        return day.toordinal(), day.toordinal() + 1
    own = [*life.house.starts, *_entered(life, ledger), *_lapsing(life)]
    days = [changes_on(life, verdicts), *own, *(gap.since for gap in gaps)]
    if facts.wood_left is not None:
        days.append(add_days(day, 1))
    if case is not None:
        days.append(case.changes_on)
    until = min((one.toordinal() for one in days if one is not None and one > day), default=NEVER)
    if needs or facts.wood_left is not None or (life.begun and (st.form != "gone" or st.filling is not None)):
        return day.toordinal(), until
    return max((one.toordinal() for one in own if one <= day), default=0), until


def _entered(life: Life, ledger: Ledger) -> list[date]:
    """The days of all entries, those of joined files included."""
    casks = [life.cask, *(record.cask for number in life.state.joined if (record := ledger.find(number)) is not None)]
    return [event.date for cask in casks if cask is not None for event in cask.events]


def _lapsing(life: Life) -> list[date]:
    """The days from which the examination and the pass are too old."""
    if not life.begun:
        return []
    st, settings = life.state, life.house.on(life.day, life.state.type)
    examined, passed = exam_day(st), st.last_pass
    found = [] if examined is None else [add_days(examined, settings.examine_valid_days + 1)]
    return found if passed is None else [*found, add_days(passed.date, settings.test_valid_days + 1)]
