"""Fills that had ended by a past day, taken from a life of a later one: what each lost is not worked out again.

Corrections hold for all days, so that the life of a day is the beginning of that of a later one, and what is said of a fill that had ended is the same in both.
It is taken only where the later life rests on the same file and no other, and where the house's settings, those of due rules aside, are the same on both days;
never of the latest fill, of which more is kept than of those before it.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from functools import lru_cache

from caskbook.index.kept_files import KeptFile
from caskbook.life import Life
from caskbook.loss.fill_summary import EarlierFill, FillSummary, summary_of
from caskbook.loss.fills import FillLoss, fill_losses, losses_beside
from caskbook.model.house import House, Settings

_FILLS = 4
"""Where in a row of `LossCase` its fills stand."""
Fill = FillSummary | EarlierFill


def fills_of(life: Life, item: str | KeptFile, *, whole: bool) -> tuple[list[FillLoss], list[Fill]]:
    """(what each fill of spirit lost, what the rule `loss` needs of each), the latest first; nothing of a cask that has not begun. Unless the `whole` is
    wanted, of fills that are known by the item the first has nothing."""
    if not life.begun:
        return [], []
    known = {} if whole else _known(life, item)
    found = losses_beside(life, known) if known else list[FillLoss | str](fill_losses(life))
    if found and isinstance(found[-1], str):  # Of the latest nothing may be lacking.
        known, found = {}, list(fill_losses(life))
    fills: list[Fill] = [known[one] if isinstance(one, str) else summary_of(life, one) for one in reversed(found)]
    return [one for one in reversed(found) if not isinstance(one, str)], fills


def _known(life: Life, item: str | KeptFile) -> dict[str, EarlierFill]:
    """The event that began it → the fill, of those before the latest of a later life."""
    if not isinstance(item, KeptFile) or item.later is None or len(life.state.fillings) < 2 or life.in_part or life.state.joined or life.others:
        return {}
    since, data = item.later
    head = life.cask.head
    if not _alike(life.house, life.day, date.fromordinal(since), head.type):
        return {}
    _, *rows = json.loads(data)[_FILLS]
    found = {fill.figure.fill: fill for fill in (EarlierFill.from_row(row, head.cask, head.type or "?") for row in rows)}
    return found if len(found) == len(rows) else {}


@lru_cache(maxsize=1000)
def _alike(house: House, one: date, other: date, cask_type: str | None) -> bool:
    """Whether the settings for a type of cask are the same on both days, but for those of due rules."""
    before, after = house.on(one, cask_type), house.on(other, cask_type)
    return before is after or _but_due(before) == _but_due(after)


def _but_due(settings: Settings) -> Sequence[object]:
    return [getattr(settings, name) for name, about in type(settings).model_fields.items() if about.alias != "due"]
