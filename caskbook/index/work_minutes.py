"""The minutes of work that entries say, as the index keeps them of each life: by job, so that a plan need not have all entries there."""

from __future__ import annotations

import json

from caskbook.core.days import UnknownDay
from caskbook.index.answer import Answer
from caskbook.life import Life


def minutes_row(life: Life) -> str | None:
    """Job → the minutes of each standing entry of the file itself up to the day, as JSON; None where none says any."""
    found: dict[str, list[float]] = {}
    own = None
    for event in life.events:
        minutes = vars(event).get("work_minutes")  # Most jobs have none, and to be told so takes a model long.
        if minutes is None or "job" in event.lost or isinstance(event.date, UnknownDay):
            continue
        if life.state.joined:  # Entries of a joined file are told with that file.
            own = own if own is not None else {id(one) for one in life.cask.events}
            if id(event) not in own:
                continue
        found.setdefault(event.job, []).append(minutes)
    return json.dumps(found) if found else None


def minutes_kept(answer: Answer) -> dict[tuple[str, str], list[float]]:
    """(job, type of cask) → the minutes of work of each standing entry up to the day that says them."""
    found: dict[tuple[str, str], list[float]] = {}
    rows = answer.store.execute(
        "SELECT j.key, l.type, m.value, count(*) FROM answer_life a JOIN life l ON l.id = a.life, json_each(l.minutes) j, json_each(j.value) m"
        " WHERE a.answer = ? AND l.begun AND l.minutes IS NOT NULL GROUP BY 1, 2, 3",
        (answer.number,),
    )
    for job, kind, minutes, count in rows:
        found.setdefault((job, kind or "?"), []).extend([float(minutes)] * count)
    return found
