"""What a plan of the coming weeks asks of an answer: which casks turn by a day, how long jobs took, and what casks hold."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from caskbook.index.answer import Answer
from caskbook.index.quiet import COLUMNS
from caskbook.index.work_minutes import minutes_kept

_MINE = "FROM answer_life a JOIN life l ON l.id = a.life WHERE a.answer = ? AND l.begun"
BY_ITSELF = (
    "l.needs IS NULL AND NOT l.unreadable AND l.last_entry <= :day"
    " AND NOT EXISTS (SELECT 1 FROM peer_words w WHERE w.answer = a.answer AND w.life = l.id AND w.whole)"
)
"""A life that its own file tells whole, with no entry of a later day, and of which nothing but `loss` was judged by its peers."""
_BY_PEERS = "loss"


def _turning(table: str, rule: str, changes: str) -> str:
    """SQL of (cask, whether it turns by itself, number of a rule, the day on which its verdict changes), up to a day, of the verdicts in a table."""
    return (
        f"SELECT l.cask, {BY_ITSELF}, {rule}, {changes} FROM answer_life a JOIN life l ON l.id = a.life JOIN {table}"
        f" WHERE a.answer = :answer AND l.begun AND l.until_day <= :until AND {changes} <= :last"
    )


_TURNS = " UNION ALL ".join((
    _turning("due d ON d.life = l.id", "d.rule", "d.changes_on"),
    _turning("peer_due d ON d.answer = a.answer AND d.life = l.id", "d.rule", "d.changes_on"),
    _turning("quiet q ON q.life = l.id, json_each(q.data) j", COLUMNS["rule"], COLUMNS["changes_on"]),
)) + " ORDER BY 1, 3"  # fmt: skip


class Ahead:
    """What an answer tells of the days behind its own."""

    def __init__(self, answer: Answer) -> None:
        self._answer = answer
        self._turns: dict[date, dict[str, dict[str, date] | None]] = {}

    def turning(self, until: date) -> list[str]:
        """The casks of which some verdict changes up to that day if nothing is entered, in order of their numbers."""
        return list(self._turns_by(until))

    def turns(self, until: date) -> Mapping[str, Mapping[str, date]]:
        """Cask → rule → the first day up to that one on which its verdict changes, of those casks that turn of which this is all that
        changes, so that each such rule can be judged by itself from that day on; the peers have no say in them."""
        return {cask: found for cask, found in self._turns_by(until).items() if found is not None}

    def _turns_by(self, until: date) -> dict[str, dict[str, date] | None]:
        """Cask → the first day of each rule that turns, None where that is not all; in order of numbers."""
        if until not in self._turns:
            answer = self._answer
            values = {"answer": answer.number, "day": answer.day.toordinal(), "until": until.toordinal(), "last": until.isoformat()}
            found: dict[str, dict[str, date] | None] = {}
            for cask, alone, rule, changes in answer.store.execute(_TURNS, values):
                if cask in answer.joined:
                    continue
                turns = found.setdefault(cask, {})
                name = answer.rules[rule][0]
                if not alone or name == _BY_PEERS:
                    found[cask] = None
                elif turns is not None:
                    turns[name] = date.fromisoformat(changes)
            self._turns[until] = found
        return self._turns[until]

    def losing(self) -> set[str]:
        """The casks of which so many fills running lost too much that it speaks for retiring."""
        rows = self._answer.store.execute("SELECT l.cask FROM peer_words w JOIN life l ON l.id = w.life WHERE w.answer = ? AND w.whole", (self._answer.number,))
        return {cask for (cask,) in rows}

    def capacities(self) -> dict[str, float]:
        """Cask → litres it holds, of those where that is known."""
        return {cask: litres for cask, litres in self._answer.store.execute(f"SELECT l.cask, l.capacity_l {_MINE}", (self._answer.number,)) if litres}

    def work_minutes(self) -> dict[tuple[str, str], list[float]]:
        """(job, type of cask) → the minutes of work of each standing entry up to the day that says them."""
        return minutes_kept(self._answer)
