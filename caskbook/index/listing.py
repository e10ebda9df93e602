"""What is due, out of an answer of the index, in the order of the list."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any, overload

from caskbook.index.answer import Answer
from caskbook.index.quiet import quiet_rows
from caskbook.words.due_names import EVERY_EMPTYING
from caskbook.words.verdicts import OF_LETTER, RANK

if TYPE_CHECKING:
    from caskbook.due import Verdict


@dataclass(frozen=True, slots=True)
class DueRow:
    """A verdict as the index keeps it; the fields are those of a verdict as it is judged, and where several ledgers are asked at once whose it is."""

    cask: str
    type: str
    berth: str | None
    rule: str
    verdict: str
    since: date | None
    well_past: bool
    reasons: tuple[str, ...]
    decided: str | None
    changes_on: date | None
    severity: int = 0
    ledger: str = ""


@dataclass(frozen=True, slots=True)
class Filter:
    """Of which rules, types, berths (how they begin) and casks the verdicts are shown; an empty list is all, but of the casks: there None is."""

    rules: tuple[str, ...] = ()
    types: tuple[str, ...] = ()
    berths: tuple[str, ...] = ()
    casks: tuple[str, ...] | None = None

    def passes(self, verdict: Verdict | DueRow) -> bool:
        """Whether a verdict is one of those."""
        return (not self.rules or verdict.rule in self.rules) and self.takes(verdict.cask, verdict.type, verdict.berth)

    def takes(self, cask: str, kind: str, berth: str | None) -> bool:
        """Whether a cask of this number, type and berth is one of those."""
        if (self.types and kind not in self.types) or (self.casks is not None and cask not in self.casks):
            return False
        return not self.berths or (berth or "").startswith(self.berths)

    def where(self) -> tuple[str, list[Any]]:
        """The same, but for the rules, as a condition on the row `l` of a cask."""
        parts = ["1"]
        values: list[Any] = []
        if self.types:
            parts.append(f"l.type IN ({', '.join('?' * len(self.types))})")
            values += self.types
        if self.berths:
            parts.append(f"({' OR '.join(['substr(l.berth, 1, ?) = ?'] * len(self.berths))})")
            values += [part for berth in self.berths for part in (len(berth), berth)]
        if self.casks is not None:
            parts.append("l.cask IN (SELECT value FROM json_each(?))")
            values.append(json.dumps(self.casks))
        return " AND ".join(parts), values


@dataclass(frozen=True, slots=True)
class Counts:
    """How many casks are `judged` at all, how many of these are `away`, on how many something is due or blocked (`pressed`), and
    verdict → how often, all of the casks and rules that were chosen; `whenever`: rule → how many of its verdicts wait for an emptying as every full cask does;
    `by_rule`: rule → verdict → how often."""

    judged: int = 0
    away: int = 0
    pressed: int = 0
    verdicts: Counter[str] = field(default_factory=Counter)
    whenever: Counter[str] = field(default_factory=Counter)
    by_rule: Mapping[str, Counter[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, casks: Iterable[tuple[Mapping[str, str], bool, int]]) -> Counts:
        """Made of (rule → verdict, of the rules chosen, whether it is here, how many such casks there are)."""
        judged = away = pressed = 0
        whenever: Counter[str] = Counter()
        by_word: Counter[tuple[str, str]] = Counter()
        for by_rule, is_here, n in casks:
            words = by_rule.values()
            judged += n
            away += 0 if is_here else n
            pressed += n if "due" in words or "blocked" in words else 0
            for pair in by_rule.items():
                by_word[pair] += n
            for rule in EVERY_EMPTYING:
                whenever[rule] += n if by_rule.get(rule) == "at-emptying" else 0
        found: Counter[str] = Counter()
        rules: dict[str, Counter[str]] = {}
        for (rule, word), n in by_word.items():
            found[word] += n
            rules.setdefault(rule, Counter())[word] += n
        return cls(judged, away, pressed, found, whenever, rules)

    @classmethod
    def added(cls, several: Iterable[Counts]) -> Counts:
        """Those of several ledgers added up."""
        judged = away = pressed = 0
        verdicts, whenever, rules = Counter[str](), Counter[str](), dict[str, Counter[str]]()
        for one in several:
            judged, away, pressed = judged + one.judged, away + one.away, pressed + one.pressed
            verdicts.update(one.verdicts)
            whenever.update(one.whenever)
            for rule, words in one.by_rule.items():
                rules.setdefault(rule, Counter()).update(words)
        return cls(judged, away, pressed, verdicts, whenever, rules)


def counts(answer: Answer, chosen: Filter) -> Counts:
    """What the filter takes, counted."""
    names = [name for name, _ in answer.rules]
    numbers = [n for n, name in enumerate(names) if not chosen.rules or name in chosen.rules]
    words = ((letters, is_here, n) for letters, is_here, n in _words(answer, chosen) if any(letter in OF_LETTER for letter in letters))
    return Counts.of(
        ({names[at]: OF_LETTER[letters[at]] for at in numbers if at < len(letters) and letters[at] in OF_LETTER}, bool(is_here), n)
        for letters, is_here, n in words
    )


def _words(answer: Answer, chosen: Filter) -> Iterator[tuple[str, int, int]]:
    """(the letters of all rules, whether they are here, how many casks have them) of the casks that the filter takes."""
    if not (chosen.types or chosen.berths or chosen.casks is not None):
        yield from answer.words
        return
    where, values = chosen.where()
    rows = answer.store.execute(
        "SELECT ifnull(w.words, l.words), l.here, l.cask FROM answer_life a JOIN life l ON l.id = a.life"
        f" LEFT JOIN peer_words w ON w.answer = a.answer AND w.life = l.id WHERE a.answer = ? AND l.begun AND {where}",
        [answer.number, *values],
    )
    joined = answer.joined
    found = Counter((words, is_here) for words, is_here, cask in rows if cask not in joined)
    yield from ((words, is_here, n) for (words, is_here), n in found.items())


class DueRows(Sequence[DueRow]):
    """Verdicts in order; each is made only when it is looked at, since of thousands a screen shows forty."""

    def __init__(self, rows: list[tuple[Any, ...]], rules: list[tuple[str, int]]) -> None:
        self._rows, self._rules = rows, rules

    def __len__(self) -> int:
        return len(self._rows)

    @overload
    def __getitem__(self, at: int) -> DueRow: ...
    @overload
    def __getitem__(self, at: slice) -> DueRows: ...
    def __getitem__(self, at: int | slice) -> DueRow | DueRows:
        if isinstance(at, slice):
            return DueRows(self._rows[at], self._rules)
        return _due_row(self._rows[at], self._rules)

    def apart(self, rules: Container[str]) -> tuple[DueRows, Counter[str]]:
        """(what does not wait for an emptying by one of these rules, rule → how many do)."""
        numbers = {n for n, (name, _) in enumerate(self._rules) if name in rules}
        kept = [row for row in self._rows if row[1] != "at-emptying" or row[0] not in numbers]
        return DueRows(kept, self._rules), Counter(self._rules[row[0]][0] for row in self._rows if row[1] == "at-emptying" and row[0] in numbers)


def due_rows(answer: Answer, chosen: Filter, verdicts: set[str]) -> DueRows:
    """The chosen verdicts that say one of these words, what matters first."""
    rows = list(_loud(answer, chosen, verdicts - {"ok"}))
    if "ok" in verdicts:
        rows += _quiet(answer, chosen)
    rules, joined = answer.rules, answer.joined
    wanted = {n for n, (name, _) in enumerate(rules) if not chosen.rules or name in chosen.rules}
    ranks = [rank for _, rank in rules]
    kept = [row for row in rows if row[0] in wanted and row[8] not in joined]
    kept.sort(key=lambda r: (RANK[r[1]], ranks[r[0]], not r[3], -r[4], r[2] or "9999-12-31", r[8], r[0], r[11]))
    return DueRows(kept, rules)


_CASK = "l.cask, l.type, l.berth, v.name"


_COLUMNS = "d.rule, d.verdict, d.since, d.well_past, d.severity, d.reasons, d.decided, d.changes_on"
_WHOLE = "EXISTS (SELECT 1 FROM peer_words w WHERE w.answer = ? AND w.life = l.id AND w.whole)"


def _loud(answer: Answer, chosen: Filter, verdicts: set[str]) -> Iterator[tuple[Any, ...]]:
    """The rows of verdicts that call for something, of the cask alone and by its peers."""
    where, values = chosen.where()
    usual = verdicts <= {"due", "blocked"}
    words = sorted(verdicts)
    named = "d.verdict IN ('due', 'blocked')" if usual else f"d.verdict IN ({', '.join('?' * len(words))})"
    source = "due d INDEXED BY due_now" if usual else "due d"
    more = [] if usual else words
    own = answer.store.execute(
        f"SELECT {_COLUMNS}, {_CASK} FROM {source} CROSS JOIN life l ON l.id = d.life CROSS JOIN version v ON v.id = l.version WHERE {named}"
        f" AND EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = d.life) AND NOT {_WHOLE} AND {where}",
        [*more, answer.number, answer.number, *values],
    )
    by_peers = answer.store.execute(
        f"SELECT {_COLUMNS}, {_CASK} FROM peer_due d CROSS JOIN life l ON l.id = d.life CROSS JOIN version v ON v.id = l.version"
        f" WHERE d.answer = ? AND d.verdict <> 'ok' AND {named} AND {where}",
        [answer.number, *more, *values],
    )
    return (row for rows in (own, by_peers) for row in rows if row[1] in verdicts)


def _quiet(answer: Answer, chosen: Filter) -> Iterator[tuple[Any, ...]]:
    """The rows of the verdicts that are ok, of the cask alone and by its peers."""
    where, values = chosen.where()
    rows = answer.store.execute(
        f"SELECT q.data, {_CASK} FROM answer_life a JOIN life l ON l.id = a.life JOIN quiet q ON q.life = l.id"
        f" JOIN version v ON v.id = l.version WHERE a.answer = ? AND NOT {_WHOLE} AND {where}",
        [answer.number, answer.number, *values],
    )
    for data, *cask in rows:
        for number, rest in quiet_rows(data):
            yield (number, "ok", *rest, *cask)
    yield from answer.store.execute(
        f"SELECT {_COLUMNS}, {_CASK} FROM peer_due d CROSS JOIN life l ON l.id = d.life CROSS JOIN version v ON v.id = l.version"
        f" WHERE d.answer = ? AND d.verdict = 'ok' AND {where}",
        [answer.number, *values],
    )


def _due_row(row: tuple[Any, ...], rules: list[tuple[str, int]]) -> DueRow:
    since, changes = (date.fromisoformat(day) if day else None for day in (row[2], row[7]))
    reasons = tuple(row[5].split("\n")) if row[5] else ()
    return DueRow(row[8], row[9], row[10], rules[row[0]][0], row[1], since, bool(row[3]), reasons, row[6], changes, row[4])
