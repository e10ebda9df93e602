"""The gauges of a cask's fills as the index keeps them: a line of JSON a life, each figure as it counts."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from caskbook.core.days import UnknownDay
from caskbook.index.answer import Answer
from caskbook.index.fill_rows import other_number
from caskbook.index.quiet import as_line
from caskbook.life import Life
from caskbook.loss.fills import FillLoss


def gauges_row(life: Life, losses: Sequence[FillLoss]) -> str:
    """The gauges of these fills as JSON, the latest fill first as they are given; empty where there are none."""
    found = [[*_gauge(loss, gauge), other_number(life, gauge.entry)] for loss in reversed(losses) for gauge in loss.record.gauges]
    return as_line(found) if found else ""


def _gauge(loss: FillLoss, gauge: Any) -> list[Any]:
    """(fill, event, day, job, method, litres at 20 °C, strength, litres of pure alcohol, whether brought to 20 °C, error, whether set aside, remarks), behind
    which stands the number of the file that the entry is in, where that is not the cask's own."""
    day = None if isinstance(gauge.day, UnknownDay) else gauge.day.isoformat()
    litres, lpa = gauge.litres, gauge.counted
    aside = any(gauge is other for other in loss.set_aside)
    return [
        loss.record.filling.event, gauge.event, day, gauge.job, gauge.method, None if litres is None else str(litres), gauge.abv,
        None if lpa is None else str(lpa), int(gauge.corrected), None if lpa is None else gauge.error, int(aside), "\n".join(gauge.notes) or None,
    ]  # fmt: skip


def gauges_kept(answer: Answer, among: str = "") -> Iterator[tuple[str, Iterable[Sequence[Any]]]]:
    """(cask, its gauges as `_gauge` gives them) of an answer, by number; those alone that have any. `among`: SQL of the numbers that alone are wanted."""
    rows = answer.store.execute(
        "SELECT a.cask, g.data FROM main.answer_life a JOIN main.life l ON l.id = a.life AND l.begun AND l.cask = a.cask JOIN main.gauges g ON g.life = l.id"
        f" WHERE a.answer = ?{f' AND a.cask IN {among}' if among else ''} ORDER BY a.cask",
        (answer.number,),
    )
    return ((cask, json.loads(data)) for cask, data in rows)
