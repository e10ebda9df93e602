"""What a plan of the coming weeks asks of an answer: which casks turn by a day, how long jobs took, and what casks hold."""

from __future__ import annotations

from datetime import date

from caskbook.core.finding import CaskbookError
from caskbook.index.answer import Answer
from caskbook.index.events import keep_events
from caskbook.index.store import Changed

_TRIES = 20
_MINE = "FROM answer_life a JOIN life l ON l.id = a.life WHERE a.answer = ? AND l.begun"
_EVENTS = "FROM answer_life a JOIN life l ON l.id = a.life JOIN event e ON e.version = l.version WHERE a.answer = ? AND l.begun"


class Ahead:
    """What an answer tells of the days behind its own."""

    def __init__(self, answer: Answer) -> None:
        self._answer = answer

    def turning(self, until: date) -> list[str]:
        """The casks of which some verdict changes up to that day if nothing is entered, in order of their numbers."""
        rows = self._answer.store.execute(
            f"SELECT l.cask {_MINE} AND l.until_day <= ? AND (EXISTS (SELECT 1 FROM due d WHERE d.life = l.id AND d.changes_on <= ?)"
            " OR EXISTS (SELECT 1 FROM peer_due p WHERE p.answer = a.answer AND p.life = l.id AND p.changes_on <= ?)"
            " OR EXISTS (SELECT 1 FROM quiet q, json_each(q.data) j WHERE q.life = l.id AND json_extract(j.value, '$[6]') <= ?)) ORDER BY l.cask",
            (self._answer.number, until.toordinal(), *[until.isoformat()] * 3),
        )
        joined = self._answer.joined
        return [cask for (cask,) in rows if cask not in joined]

    def capacities(self) -> dict[str, float]:
        """Cask → litres it holds, of those where that is known."""
        return {cask: litres for cask, litres in self._answer.store.execute(f"SELECT l.cask, l.capacity_l {_MINE}", (self._answer.number,)) if litres}

    def work_minutes(self) -> dict[tuple[str, str], list[float]]:
        """(job, type of cask) → the minutes of work of each standing entry up to the day that says them. The events of all files come into the
        index for it, and the answer may be another one after that. CaskbookError where the files change too fast."""
        for _ in range(_TRIES):
            try:
                if keep_events(self._answer):
                    return self._minutes()
            except Changed:
                self._answer.hold()
        raise CaskbookError("the ledger changes faster than it can be read; try again")

    def _minutes(self) -> dict[tuple[str, str], list[float]]:
        found: dict[tuple[str, str], list[float]] = {}
        rows = self._answer.store.execute(
            f"SELECT e.job, l.type, e.work_minutes {_EVENTS} AND e.work_minutes IS NOT NULL AND e.stands AND e.date <= ?",
            (self._answer.number, self._answer.day.isoformat()),
        )
        for job, kind, minutes in rows:
            found.setdefault((job or "", kind or "?"), []).append(float(minutes))
        return found
