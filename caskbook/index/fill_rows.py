"""The fills of a life as rows of the index, and what each lost."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from caskbook.core.days import UnknownDay
from caskbook.life import Life
from caskbook.life.berths import berths
from caskbook.loss.doubts import kind_of_doubt
from caskbook.loss.facts import figures
from caskbook.loss.fills import FillLoss


def lost_of(loss: FillLoss | None) -> dict[str, Any]:
    """The figures of a fill as the index keeps them, with why it is in doubt."""
    found = figures(None if loss is None else loss.whole)
    return {**{name: value.isoformat() if isinstance(value, date) else value for name, value in found.items()}, "doubt": kind_of_doubt(loss)}


def iso(day: date | None) -> str | None:
    """A day as text; None where there is none that can be read."""
    return None if day is None or isinstance(day, UnknownDay) else day.isoformat()


def other_number(life: Life, event: Any) -> str | None:
    """Of an entry in a file that same-as joined, the number of that file; None of one in the cask's own."""
    return life.numbers.get(id(event))


def fill_rows(life: Life, losses: Sequence[FillLoss]) -> list[tuple[Any, ...]]:
    """A row for each fill of a life; `losses`: of those of spirit."""
    fillings = life.state.fillings
    if not fillings:
        return []
    known, lay = {loss.record.filling.seq: _fill_loss(loss, lost_of(loss)) for loss in losses}, berths(life.events)
    return [
        (f.event, f.count, f.spirit, f.vat, iso(f.start), _end(f.end), f.litres, f.abv, int(f.is_spirit), int(f.short),
         lay[f.seq - 1], None if f.end_seq is None else lay[f.end_seq - 1], *known.get(f.seq, _NO_LOSS), other_number(life, life.events[f.seq - 1]))
        for f in fillings
    ]  # fmt: skip


def _end(day: date | None) -> str | None:
    """The day a fill ended as the index keeps it, ? where nobody can read it."""
    return "?" if isinstance(day, UnknownDay) else iso(day)


_FILL_LOSS = ("from", "to", "litres_20", "lpa", "share", "per_year", "plus_minus")
_NO_LOSS = (None,) * (len(_FILL_LOSS) + 3)


def _fill_loss(loss: FillLoss, found: dict[str, Any]) -> tuple[Any, ...]:
    """(berth, store, what was lost, why it is in doubt) of a fill, as the index keeps them."""
    last = loss.record.stays[-1]
    return last.berth, last.store, *(found[name] for name in _FILL_LOSS), found["doubt"]
