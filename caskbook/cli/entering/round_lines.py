"""The lines of a round: a cask a line as it is seen, with its berth where somebody says it; each read at once and answered."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from caskbook.cli.chosen_casks import among, rows_of
from caskbook.cli.common import Book
from caskbook.cli.numbers import numbers_of
from caskbook.core.finding import CaskbookError
from caskbook.entry.berths import is_one_place, walking_order
from caskbook.entry.round import Compared, Known, Row, Scan, compare

ENDS = ("end", "quit", "exit", "q", "bye")
HELP = (
    "7005                a cask that stands here: number, end of it, old mark\n"
    "7005 at 3           at that place; also 7005 W1/05/3, or the berth before it\n"
    "left                what was not seen yet, along the row\n"
    "undo                takes back the last line\n"
    "later               stops, and keeps it: go on with caskbook round --go-on\n"
    "end                 says what was found, and ends (also Ctrl-D)"
)
_FACTS = "cask, berth, type, state, whereabouts"
_HEADING = {"cask", "berth", "cask,berth"}
_SPLIT = re.compile(r"[\s,;]+")
_PLACE = re.compile(r"[0-9]{1,4}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Answer:
    """What is said to a line: `head` large and first; `strange` with a bell."""

    head: str = ""
    rest: tuple[str, ...] = ()
    strange: bool = False


class RoundLines:
    """A round so far. `lines`: each line that counts, with the scans it made, or as (text, reason, the casks that it names all the same) where it cannot be read; `by_hand`:
    somebody is there to type it anew, so what has no figure is no line of the round."""

    def __init__(self, book: Book, row: Row, *, by_hand: bool = False) -> None:
        """A round along a row, on the day of the book: its casks as the book has them, in the order of the walk, and what is due on them."""
        self.book, self.row, self.by_hand = book, row, by_hand
        self._told = False
        in_row = [(walking_order(one.berth, one.cask), one) for one in self._in_row()]
        self.known = {one.cask: one for _, one in in_row}
        self._along = sorted((one for one in in_row if one[1].whereabouts == "here"), key=lambda one: one[0])
        self._order = {one.cask: order for order, one in in_row}
        self.due = self._due(list(self.known))
        self.lines: list[list[Scan] | tuple[str, str, tuple[str, ...]]] = []
        self.later = False
        self._berth: str | None = None
        self._joins = book.ledger.joins()
        self._numbers = numbers_of(book)
        self._seen = Counter[str]()

    @property
    def scans(self) -> list[Scan]:
        """All scans, in the order of the walk."""
        return [scan for line in self.lines if isinstance(line, list) for scan in line]

    @property
    def unread(self) -> list[tuple[str, str]]:
        """Lines that cannot be read, with the reason."""
        return [line[:2] for line in self.lines if isinstance(line, tuple)]

    def take(self, line: str) -> Answer:
        """One line: casks and their berths, or a berth for the next one. A line that cannot be read counts, and is told so."""
        words = [word.strip("'\"") for word in _SPLIT.split(line.partition("#")[0].strip()) if word.strip("'\"")]
        if not words or {word.casefold() for word in words} <= _HEADING:
            return Answer()
        before = self._berth
        try:
            scans = list(self._read(words))
        except CaskbookError as error:
            self._berth = before
            if self.by_hand and not any(sign.isdigit() for sign in line):
                return Answer("NOT READ", (str(error),), True)
            self.lines.append((line.strip()[:60], str(error), self._named(words)))
            return Answer("NOT READ", (str(error), *(("it counts as seen and not read; undo drops it",) if self.by_hand else ())), True)
        if not scans:
            return Answer(f"at {self._berth}", ("which cask stands there?",))
        self.lines.append(scans)
        answers = []
        for scan in scans:
            answers.append(self._answer(scan, again=scan.cask in self._seen))
            self._seen[scan.cask] += 1
        marks, self._numbers().remarks[:] = tuple(self._numbers().remarks), []
        rest = (*marks, *(text for one in answers for text in one.rest))
        return Answer("\n".join(one.head for one in answers), rest, any(one.strange for one in answers))

    def lines_of(self, words: Sequence[str]) -> list[str]:
        """Words of a command line as lines: a cask each, with the berth that stands behind it."""
        lines: list[list[str]] = []
        for n, word in enumerate(words):
            behind = word.casefold() == "at" or (n and words[n - 1].casefold() == "at") or self._is_berth(word)
            if behind and lines:
                lines[-1].append(word)
            else:
                lines.append([word])
        return [" ".join(line) for line in lines]

    def undo(self) -> Answer:
        """The last line is taken back."""
        self._berth = None
        if not self.lines:
            return Answer("NOTHING TO TAKE BACK", (), True)
        last = self.lines.pop()
        if isinstance(last, tuple):
            return Answer(f"TAKEN BACK  {last[0]}")
        casks = [scan.cask for scan in last]
        self._seen -= Counter(casks)
        return Answer("TAKEN BACK  " + ", ".join(casks))

    def next_left(self) -> Known | None:
        """Who is not seen yet and comes next, the way one walks; None where nobody is left."""
        left = self.left()
        recent = [scan for line in self.lines[-20:] if isinstance(line, list) for scan in line]
        walk = [self._order[scan.cask] for scan in recent if scan.cask in self._order]
        if not walk or not left:
            return left[0] if left else None
        behind = [one for one in left if self._order[one.cask] > walk[-1]]
        ahead = [one for one in reversed(left) if self._order[one.cask] < walk[-1]]
        down = len(walk) > 1 and walk[-1] < walk[-2]
        return next(iter((ahead or behind) if down else (behind or left)))

    def left(self) -> list[Known]:
        """What is not seen yet and should be, along the row."""
        return [one for _, one in self._along if one.cask not in self._seen]

    @property
    def seen(self) -> int:
        """How many casks were seen, each counted once."""
        return len(self._seen)

    def compared(self) -> tuple[Compared, dict[str, list[tuple[str, str, str]]]]:
        """All of it against the book as it stands now; and what is due on those seen: cask → (rule, verdict, first reason)."""
        scans = self.scans
        known = {one.cask: one for one in self._in_row()}
        more = [cask for cask in dict.fromkeys(scan.cask for scan in scans) if cask not in known]
        known |= {one.cask: one for one in self._facts(among("cask", more))} if more else {}
        known |= {cask: Known(cask) for cask in more if cask not in known and (record := self.book.ledger.find(cask)) and record.own is None}
        found = compare(self.row, scans, known, [line[2] for line in self.lines if isinstance(line, tuple)])
        return found, self._due([one.cask for one in found.seen if one.known is not None])

    def _read(self, words: Sequence[str]) -> Iterator[Scan]:
        """The casks of a line with their berths. A berth goes with the cask before it on the line, else with the next one."""
        casks: list[str] = []
        at = 0
        berths: dict[int, str] = {}
        while at < len(words):
            word, at = words[at], at + 1
            if word.casefold() == "at" or (word.startswith("@") and self.row.holds(word[1:])):
                if word.casefold() == "at" and at == len(words):
                    raise CaskbookError("at which berth? as: 7005 at 3")
                named, at = (words[at], at + 1) if word.casefold() == "at" else (word[1:], at)
                berth = self._place(named)
            elif self._is_berth(word):
                berth = self._place(word)
            else:
                casks += self._casks(word)
                continue
            if casks and len(casks) - 1 not in berths:
                berths[len(casks) - 1] = berth
            else:
                self._berth = berth
        for n, cask in enumerate(casks):
            yield Scan(cask, berths.get(n, self._berth))
            if n not in berths and self._berth is not None and is_one_place(self._berth):
                self._berth = None

    def _named(self, words: Sequence[str]) -> tuple[str, ...]:
        """The casks that a line names that cannot be read: those of each word by itself, but for the place behind an `at`."""
        found: list[str] = []
        for n, word in enumerate(words):
            if word.casefold() != "at" and not (n and words[n - 1].casefold() == "at") and not self._is_berth(word):
                with suppress(CaskbookError):
                    found += self._casks(word)
        return tuple(found)

    def _is_berth(self, word: str) -> bool:
        if self.row.holds(word):
            return True
        return "/" in word and not word.startswith(("was:", "file:"))

    def _place(self, word: str) -> str:
        """The berth that is meant by its name or by its place in the row. CaskbookError for one that lies elsewhere."""
        if self.row.holds(word):
            return word
        known = {one.berth for one in self.known.values() if one.berth}
        if _PLACE.fullmatch(word) and len(self.row.berths) == 1:
            same = [berth for berth in known if is_one_place(berth) and int(berth.rpartition("/")[2]) == int(word)]
            near = [berth for berth in same if berth.rpartition("/")[0] == self.row.berths[0]]
            return near[0] if len(near) == 1 else f"{self.row.berths[0]}/{word}"
        shown = "".join(sign if sign.isprintable() else "?" for sign in word[:40])
        raise CaskbookError(f"{shown} does not lie in {self.row}: that is another round")

    def _casks(self, word: str) -> list[str]:
        """The casks that a word names, each under the number by which it goes on; a full number that the book has not stays as it is."""
        from caskbook.entry.casks import is_named, looks_like_casks, read_casks

        if not (looks_like_casks(word) or is_named(word) or any(sign.isdigit() for sign in word)) or word == "-" or word.startswith("file:"):
            shown = "".join(sign if sign.isprintable() else "?" for sign in word[:30])
            raise CaskbookError(f"'{shown}' is no cask number; help says what can be typed")
        found = []
        for cask in read_casks([word], self._numbers):
            if cask not in self.known and self.book.ledger.find(cask) is None:
                marked = self._numbers().bearing(cask, wholly=False)
                cask = marked[0] if len(marked) == 1 else cask
            found.append(self._joins.get(cask, cask))
        return found

    def _answer(self, scan: Scan, *, again: bool) -> Answer:
        """What is said at once of a cask that was seen."""
        known = self.known.get(scan.cask) or self._elsewhere(scan.cask)
        what = f"{scan.cask}  {known.type or ''}".rstrip() if known is not None else scan.cask
        stands = f", seen at {scan.berth}" if scan.berth else ""
        if again:
            return Answer(f"TWICE  {scan.cask}", ("it was scanned before",), True)
        if known is None:
            return Answer(f"NOT IN THE BOOK  {scan.cask}", ("read it once more; undo takes it back",), True)
        if known.whereabouts is None:
            return Answer(f"UNREADABLE  {scan.cask}", (f"its file cannot be read: caskbook check {scan.cask}",), True)
        if known.state == "gone" or known.whereabouts != "here":
            return Answer(f"{(known.state if known.state == 'gone' else known.whereabouts).upper()} IN THE BOOK  {what}{stands}", (), True)
        if not self.row.holds(known.berth):
            return Answer(f"STRANGE  {what}", (f"the book has it at {known.berth}" if known.berth else "the book has it at no berth",), True)
        if scan.berth not in (None, known.berth):
            return Answer(f"OTHER BERTH  {what}{stands}", (f"the book has it at {known.berth}",), True)
        due = tuple(f"due: {rule}{' blocked' if verdict == 'blocked' else ''}: {reason}" for rule, verdict, reason in self.due.get(scan.cask, ()))
        return Answer(f"{scan.cask}  {known.berth}  {known.type}, {known.state}", due)

    def _elsewhere(self, cask: str) -> Known | None:
        """A cask that is not of the row, out of its file; None where the book has none of that number."""
        from caskbook.life.facts import facts_of

        record = self.book.ledger.find(cask)
        if record is None:
            return None
        if record.own is None:
            return Known(cask)
        life = self.book.ledger.life_of(record.own, self.book.day)
        if not life.begun:
            return None
        facts = facts_of(life)
        return Known(cask, facts.berth, facts.type, facts.state, facts.whereabouts)

    def _in_row(self) -> list[Known]:
        """The casks that the book has along the row."""
        from caskbook.cli.choosing import quoted

        parts = [f"substr(berth, 1, {len(one)}) = {quoted(one)} OR store = {quoted(one)}" for one in self.row.berths]
        return [one for one in self._facts(" OR ".join(parts)) if self.row.holds(one.berth)]

    def _facts(self, condition: str) -> list[Known]:
        return [Known(*row) for row in self._rows(f"SELECT {_FACTS} FROM cask WHERE {condition}")]

    def _rows(self, sql: str) -> list[tuple[Any, ...]]:
        """The rows of a SELECT; what is left out is said once a round."""
        told, self._told = not self._told, True
        return rows_of(self.book, sql, told=told)

    def _due(self, casks: Sequence[str]) -> dict[str, list[tuple[str, str, str]]]:
        """Cask → (rule, verdict, first reason) of what is due on it, a look first."""
        from caskbook.words.due_names import DUE_NAMES

        if not casks:
            return {}
        rows = self._rows(f"SELECT cask, rule, verdict, reasons FROM due WHERE verdict IN ('due', 'blocked') AND {among('cask', casks)}")
        order = {name: n for n, name in enumerate(("look", *(name for name in DUE_NAMES if name != "look")))}
        found: dict[str, list[tuple[str, str, str]]] = {}
        for cask, rule, verdict, reasons in sorted(rows, key=lambda row: order.get(row[1], len(order))):
            found.setdefault(cask, []).append((rule, verdict, (reasons or "").split("\n")[0]))
        return found
