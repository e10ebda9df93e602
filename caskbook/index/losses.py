"""What an account of losses needs of each cask, as the index keeps it: what its fills come to in sums, and each fill with its course; and, of an answer, what
the peers make of each. Where nothing divides a fill, its sums are read and nothing else of it is made."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import chain, islice
from typing import Any

from caskbook.index.answer import Answer
from caskbook.ledger.paths import file_of
from caskbook.life import Life
from caskbook.loss.account import WHOLE, Accounting, By, FillRow, Whose, fill_rows, named
from caskbook.loss.account_fill import AccountFill, Judged, account_fill, hundredths
from caskbook.loss.fills import FillLoss
from caskbook.loss.parts import Division, parts_of
from caskbook.loss.sums import Sums

_AT_ONCE = 500
_MOVED, _IN_DOUBT = 0, 1
_NEVER, _ALWAYS = 0, 1
_WITHOUT_MORE = 2
"""So long is what the peers make of a fill where neither leak nor doubt is told."""
_Row = tuple[str, str, str | None, str | None, int, str, str]


def losses_row(life: Life, losses: Sequence[FillLoss]) -> tuple[str, str] | None:
    """(what goes into sums, the fills) of a life, the latest fill first as they are given; None of one without."""
    fills = [account_fill(loss) for loss in reversed(losses)]
    return (_json([_in_sums(fill, life.day) for fill in fills]), _json([fill.as_row() for fill in fills])) if fills else None


def judged_row(verdicts: Sequence[Judged]) -> str:
    """What is kept of what the peers make of the fills of a life."""
    return _json([verdict.as_row() for verdict in verdicts])


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _in_sums(fill: AccountFill, day: date) -> list[Any] | int:
    """What a fill comes to in sums: the store, `_MOVED` where there were several; and, of one with a figure, until when it is gauged to its end (a day while it lasts, `_ALWAYS`, `_NEVER`), litres of
    alcohol and litres lost, put in and held, in hundredths, and the rate without what the wood took at first. `_IN_DOUBT` of one in doubt, and of one that has no day."""
    parts, stores = parts_of(fill, day, WHOLE), parts_of(fill, day, _BY_STORE)
    if fill.doubt is not None or len(parts) != 1:
        return _IN_DOUBT
    part, store = parts[0], stores[0].store if len(stores) == 1 else _MOVED
    if part.lpa is None or fill.rates is None or fill.course is None:
        return [store]
    whole = fill.course.whole
    to_end = _NEVER if whole.first.day > fill.start else whole.last.day.toordinal() if fill.end is None else _ALWAYS if whole.last.day >= fill.end else _NEVER
    return [store, to_end, *map(hundredths, (part.lpa, part.litres, part.put_in, part.held)), fill.rates.steady]


_BY_STORE = Division(by_store=True)


class KeptCasks:
    """The casks of an answer, by the files they have, each with its fills: rows are made as they are looked at. `takes`: whether a cask counts."""

    def __init__(self, answer: Answer, division: Division, takes: Callable[[Whose], bool]) -> None:
        self._answer, self._division, self._takes = answer, division, takes

    def __iter__(self) -> Iterator[Sequence[FillRow]]:
        for row in self._read("''", order=" ORDER BY substr(l.cask, 1, length(l.cask) - 3) || '/' || l.cask"):  # As their files lie.
            yield self._rows(row, json.loads(row[-1]))

    def accounting(self, by: By) -> Accounting:
        """All of them summed: of a cask of which nothing is in doubt or went by a leak, and that needs no dividing, by its sums alone."""
        found, undivided = Accounting(by), self._division in (WHOLE, _BY_STORE)
        for some in _in_bulk(self._read("s.sums", " JOIN main.losses s ON s.life = l.id")):
            for row, sums, verdicts in some:
                if not undivided or not self._summed(found, row, sums, verdicts):
                    found.take(self._rows(row, verdicts))
        found.doubtful.sort(key=lambda row: file_of(row.cask))
        return found

    def known(self) -> dict[str, set[str | None]]:
        """The parcels and the suppliers of all casks that had begun, None among them where a cask has none; no parcel at all where there is no cask."""
        asked = (
            "SELECT DISTINCT l.parcel, l.supplier FROM main.answer_life a JOIN main.life l ON l.id = a.life AND l.begun AND l.cask = a.cask WHERE a.answer = ?"
        )
        pairs = self._answer.store.execute(asked, (self._answer.number,)).fetchall()
        return {"parcel": {parcel for parcel, _ in pairs}, "supplier": {supplier for _, supplier in pairs}}

    def _read(self, sums: str, joined: str = "", order: str = "") -> Iterator[_Row]:
        """(cask, type, parcel, supplier, its life, what goes into sums, what the peers make of its fills) of those that have fills and count."""
        rows = self._answer.store.execute(
            f"SELECT l.cask, l.type, l.parcel, l.supplier, l.id, {sums}, p.data FROM main.answer_life a JOIN main.life l ON l.id = a.life AND l.begun AND l.cask = a.cask"
            f" JOIN main.peer_loss p ON p.answer = a.answer AND p.life = l.id{joined} WHERE a.answer = ?{order}",
            (self._answer.number,),
        )
        return (row for row in rows if self._takes(Whose(*row[:4])))

    def _rows(self, row: _Row, verdicts: Sequence[Sequence[Any]]) -> list[FillRow]:
        """Every row of one cask."""
        (text,) = self._answer.store.execute("SELECT fills FROM main.losses WHERE life = ?", (row[4],)).fetchone()
        whose, told = Whose(*row[:4]), zip(json.loads(text), verdicts, strict=True)
        return list(
            chain.from_iterable(fill_rows(whose, AccountFill.from_row(fill), Judged.from_row(one), self._answer.day, self._division) for fill, one in told)
        )

    def _summed(self, found: Accounting, row: _Row, fills: Sequence[Any], verdicts: Sequence[Sequence[Any]]) -> bool:
        """Whether a cask could be added by the sums of its fills: it was then."""
        by_store = self._division.by_store
        if any(len(verdict) > _WITHOUT_MORE for verdict in verdicts) or any(fill == _IN_DOUBT or (by_store and fill[0] == _MOVED) for fill in fills):
            return False
        day, groups = self._answer.day.toordinal(), dict[str, Sums]()
        for fill, (level, expected) in zip(fills, verdicts, strict=True):
            name = named(fill[0], "store") if by_store else ""
            sums = groups.get(name)
            if sums is None:
                sums = groups[name] = Sums()
                sums.casks = 1
            _add(sums, fill, level, expected, day)
        found.put(groups if by_store else {named(getattr(Whose(*row[:4]), found.by, None), found.by): groups[""]}, len(fills))
        return True


def _add(sums: Sums, fill: Sequence[Any], level: str, expected: float | None, day: int) -> None:
    """One fill more of a cask: as a row of it would be added."""
    sums.fills += 1
    if level == "act":
        sums.act += 1
    elif level == "watch":
        sums.watch += 1
    if len(fill) == 1:
        return
    _, to_end, lpa, litres, put_in, held, steady = fill
    sums.gauged += 1
    sums.lpa += lpa
    sums.litres += litres
    sums.put_in += put_in
    sums.held += held
    sums.complete += to_end == _ALWAYS or to_end >= day
    if steady is not None:
        sums.rates.append(steady)
        if expected:
            sums.ratios.append(steady / expected)


def _in_bulk(rows: Iterator[_Row]) -> Iterator[list[tuple[_Row, Any, Any]]]:
    """Rows with their texts decoded, some at once: a call for each of them would be half of the time."""
    while some := list(islice(rows, _AT_ONCE)):
        sums = json.loads(f"[{','.join([row[-2] for row in some])}]")
        verdicts = json.loads(f"[{','.join([row[-1] for row in some])}]")
        yield list(zip(some, sums, verdicts, strict=True))
