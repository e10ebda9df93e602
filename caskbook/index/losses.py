"""What an account of losses needs of each cask, as the index keeps it: what its fills come to in sums, and each fill with its course; and, of an answer, what
the peers make of each. Where nothing divides a fill, its sums are read and nothing else of it is made."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from itertools import chain, islice
from typing import Any, cast

from caskbook.index.answer import Answer
from caskbook.index.loss_cut import Cut
from caskbook.index.loss_sums import BY_STORE, SUMMED, Undivided, Verdicts, in_sums, in_years, is_plain, plain_row, summed_figures
from caskbook.index.loss_years import ByPlace, ByYear, figures_within, sums_years, within
from caskbook.ledger.paths import file_of
from caskbook.life import Life
from caskbook.loss.account import WHOLE, Accounting, By, Whose, fill_rows, named
from caskbook.loss.account_fill import AccountFill, Judged, account_fill
from caskbook.loss.account_rows import FillRow
from caskbook.loss.fills import FillLoss
from caskbook.loss.parts import Division
from caskbook.loss.ranking import Bar

_AT_ONCE = 500
_GROUPED: Mapping[By, int] = {"cask": 0, "type": 1, "parcel": 2, "supplier": 3}
"""Where in a row stands the group of a cask."""
_Row = tuple[str, str, str | None, str | None, int, str, str]


def losses_row(life: Life, losses: Sequence[FillLoss]) -> tuple[str, str, str] | None:
    """(what the fills come to as a whole, and by year, the fills) of a life, the latest first as they are given; None of one without."""
    fills = [account_fill(loss) for loss in reversed(losses)]
    if not fills:
        return None
    return _json([in_sums(fill, life.day) for fill in fills]), _json([in_years(fill, life.day) for fill in fills]), _json([fill.as_row() for fill in fills])


def judged_row(verdicts: Sequence[Judged]) -> str:
    """What is kept of what the peers make of the fills of a life."""
    return _json([verdict.as_row() for verdict in verdicts])


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


class KeptCasks:
    """The casks of an answer, by the files they have, each with its fills: rows are made as they are looked at. `takes`: whether a cask counts, None where all do."""

    def __init__(self, answer: Answer, division: Division, takes: Callable[[Whose], bool] | None) -> None:
        self._answer, self._division, self._takes = answer, division, takes

    def __iter__(self) -> Iterator[Sequence[FillRow]]:
        for some in self._in_order("'0'"):
            yield from self._rows([(row, verdicts) for row, _, verdicts in some])

    def promising(self, bar: Bar) -> Iterator[Sequence[FillRow] | int]:
        """The rows of each cask, as their files lie; how many they are where what its fills come to tells that the bar takes none of them."""
        division, day = self._division, self._answer.day
        whole = division == WHOLE
        if bar.name not in SUMMED or not whole and (division.by_place or not sums_years(division)):
            yield from self
            return
        kept, _, cut = _kept_sums(Accounting("fill"), division, day)
        years = within(division, day)
        for read in self._in_order(kept, " JOIN main.losses s ON s.life = l.id"):
            some = read if cut is None else list(self._cut(cut, read, placed=False))
            figures = [
                None if not is_plain(fills, verdicts) else summed_figures(row[0], fills, verdicts, bar.name) if whole
                else figures_within(years, row[0], fills, verdicts, bar.name)
                for row, fills, verdicts in some
            ]  # fmt: skip
            wanted = [told is None or any(map(bar.takes, told)) for told in figures]
            made = iter(self._rows([(row, verdicts) for (row, _, verdicts), one in zip(some, wanted, strict=True) if one]))
            yield from (next(made) if one else len(told or ()) for told, one in zip(figures, wanted, strict=True))

    def _in_order(self, sums: str, joined: str = "") -> Iterator[list[tuple[_Row, Any, Any]]]:
        """What `_in_bulk` has of the casks, as their files lie."""
        return _in_bulk(self._read(sums, joined, " ORDER BY substr(l.cask, 1, length(l.cask) - 3) || '/' || l.cask"))

    def accounting(self, by: By) -> Accounting:
        """All of them summed: by what is kept of whole fills or years where that is enough, and by their rows elsewhere."""
        found, division, day = Accounting(by), self._division, self._answer.day
        kept, short, cut = _kept_sums(found, division, day)
        at = _GROUPED.get(by)
        for some in _in_bulk(self._read(kept, " JOIN main.losses s ON s.life = l.id")):
            for row, fills, verdicts in some if cut is None else self._cut(cut, some, placed=isinstance(short, ByPlace)):
                if short is None or not short.take("" if at is None else named(row[at], by), fills, verdicts):
                    leaking = by == "year" and isinstance(short, ByYear) and short.take_sound(fills, verdicts)
                    rows = self._rows([(row, verdicts)], leaking or None)[0]
                    found.take(rows)
                    if leaking and isinstance(short, ByYear):
                        short.once(fills, leaking, rows)
        if short is not None:
            short.end()
        found.doubtful.sort(key=lambda row: file_of(row.cask))
        return found

    def _cut(self, cut: Cut, some: Sequence[tuple[_Row, Any, Any]], *, placed: bool) -> Iterator[tuple[_Row, Any, Any]]:
        """The same casks, each fill with its years as they are within the days that count. `placed`: what a fill comes to as a whole stands with its years."""
        lives = [row[4] for row, kept, _ in some if cut.touches(kept[1] if placed else kept)]
        read = self._answer.store.execute(f"SELECT life, fills FROM main.losses WHERE life IN ({','.join(map(str, lives))})").fetchall()
        told = dict(zip([life for life, _ in read], json.loads(f"[{','.join([fills for _, fills in read])}]"), strict=True))
        for row, kept, verdicts in some:
            fills = told.get(row[4])
            if fills is not None:
                years = list(map(cut.years_of, fills, kept[1] if placed else kept))
                kept = (kept[0], years) if placed else years
            yield row, kept, verdicts

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
        takes = self._takes
        return rows if takes is None else (row for row in rows if takes(Whose(*row[:4])))

    def _rows(self, some: Sequence[tuple[_Row, Verdicts]], of: set[int] | None = None) -> list[list[FillRow]]:
        """Every row of each of some casks, by what is known of each and what the peers make of its fills. `of`: only of the fills of these numbers."""
        asked = f"SELECT life, fills, sums FROM main.losses WHERE life IN ({','.join([str(row[4]) for row, _ in some])})"
        kept = self._answer.store.execute(asked).fetchall()
        fills, sums = (json.loads(f"[{','.join([one[n] for one in kept])}]") for n in (1, 2))
        told = {life: both for (life, _, _), both in zip(kept, zip(fills, sums, strict=True), strict=True)}
        if of is not None:
            told = {life: ([fills[n] for n in sorted(of)], [sums[n] for n in sorted(of)]) for life, (fills, sums) in told.items()}
            some = [(row, [verdicts[n] for n in sorted(of)]) for row, verdicts in some]
        return [self._rows_of(Whose(*row[:4]), *told[row[4]], verdicts=verdicts) for row, verdicts in some]

    def _rows_of(self, cask: Whose, fills: Sequence[Any], sums: Sequence[Any], verdicts: Verdicts) -> list[FillRow]:
        """Every row of one cask."""
        day = self._answer.day
        if self._division == WHOLE and is_plain(sums, verdicts):
            plain = [plain_row(cask, *told, day.toordinal()) for told in zip(fills, sums, verdicts, strict=True)]
            if None not in plain:
                return cast(list[FillRow], plain)
        told = zip(map(AccountFill.from_row, fills), map(Judged.from_row, verdicts), strict=True)
        return list(chain.from_iterable(fill_rows(cask, fill, one, day, self._division) for fill, one in told))


def _kept_sums(found: Accounting, division: Division, day: date) -> tuple[str, ByYear | ByPlace | Undivided | None, Cut | None]:
    """(what is read of the fills of each cask, what adds that to sums, what cuts its years) for a division; without it where there is nothing to be added or cut."""
    if division in (WHOLE, BY_STORE):
        return "s.sums", Undivided(found, day), None
    if not sums_years(division):
        return "'0'", None, None
    years, cut = ByYear(found, division, day), Cut(division, day)
    placed = ByPlace(years, division) if division.by_place else None
    return "'[' || s.sums || ',' || s.years || ']'" if placed else "s.years", placed or years, cut if cut.years else None


def _in_bulk(rows: Iterator[_Row]) -> Iterator[list[tuple[_Row, Any, Any]]]:
    """Rows with their texts decoded, some at once: a call for each of them would be half of the time."""
    while some := list(islice(rows, _AT_ONCE)):
        sums = json.loads(f"[{','.join([row[-2] for row in some])}]")
        verdicts = json.loads(f"[{','.join([row[-1] for row in some])}]")
        yield list(zip(some, sums, verdicts, strict=True))
