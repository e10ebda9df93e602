"""The entries of some days, of the files of an answer: one SELECT of our own, run where the index lies open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from caskbook.index.answer import Answer
from caskbook.index.beside import until_kept
from caskbook.index.events import keep_events
from caskbook.index.places import berth_of_entry, store_of_entry
from caskbook.index.views import cask_rows
from caskbook.stats.days_written import Written


def entries_of(answer: Answer, days: tuple[date, date] | None, casks: Sequence[str], own: Sequence[str]) -> Iterator[Written]:
    """The entries from the first of these days to the last, both in it, by day, cask and id; where there are no `days` those whose day cannot be read.
    `casks`: conditions of SQL on the columns of `cask`, `own`: on berth and store of the entry, each quoted already.
    What no query asked for yet is put into the index first."""
    kept_entries(answer)
    when = "e.date BETWEEN ? AND ?" if days else "e.date IS NULL"
    asked = (
        'SELECT a.cask AS cask, e.id AS id, e.date AS date, e.job AS job, e."by" AS "by", e.stands AS stands,'
        " (SELECT v.job FROM main.event v WHERE v.version = e.version AND v.id = e.voided_by) AS out_by,"
        f" {berth_of_entry(answer)} AS berth, {store_of_entry(answer)} AS store, e.data AS data, l.type AS type"
        # Days first: of all entries there are they leave few.
        " FROM main.event e INDEXED BY event_date CROSS JOIN main.life l ON l.version = e.version"
        f" CROSS JOIN main.answer_life a ON a.answer = {answer.number} AND a.life = l.id WHERE {when}"
    )
    where = f" WHERE {' AND '.join(own)}" if own else ""
    values = (days[0].isoformat(), min(days[1], answer.day).isoformat()) if days else ()
    chosen = _casks(answer, casks) if casks else None
    for row in answer.store.execute(f"SELECT * FROM ({asked}) entry{where} ORDER BY date, cask, id", values):
        if chosen is None or row[0] in chosen:
            yield Written(*row)


def _casks(answer: Answer, conditions: Sequence[str]) -> set[str]:
    """Numbers of the casks under these conditions. They are looked up once: within the other SELECT SQLite would do so for each entry."""
    return {row[0] for row in answer.store.execute(f"SELECT cask FROM ({cask_rows(answer)}) cask WHERE {' AND '.join(conditions)}")}


def kept_entries(answer: Answer) -> None:
    """The entries of every file of the answer are put into the index. CaskbookError where files change faster than they can be read."""
    until_kept(answer, keep_events)
