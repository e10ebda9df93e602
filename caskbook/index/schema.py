"""The tables of the index file, and the fingerprint of the program that filled it: with another one it is made anew."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskbook.model.query_columns import Column

LAYOUT = 49
NEVER = 4_000_000
"""An ordinal behind the last day there is."""
NOT_AT_ALL, IN_PART = 1, 2
"""What `unreadable` of a life is where its file is no cask at all, and where it, or one joined to it, is read without some of what it says."""

_SQL_KIND = {"text": "TEXT", "int": "INTEGER", "real": "REAL", "bool": "INTEGER", "day": "TEXT", "list": "TEXT", "map": "TEXT"}


def stored(columns: tuple[Column, ...]) -> tuple[Column, ...]:
    """Those columns that are kept as they are."""
    return tuple(column for column in columns if not column.sql)


def tables() -> str:
    """The statements that make the tables, each ended by a semicolon."""
    return _TABLES.replace("FACTS", _fact_columns())


def _fact_columns() -> str:
    from caskbook.model.query_columns import CASK  # It is wanted only where an index is made.

    return ",\n".join(f'  "{column.name}" {_SQL_KIND[column.kind]}' for column in stored(CASK))


# `work_file`: files of the work tree as last seen. `version`: a file's name and content, whatever tree it is in. `life`: its facts,
# good for the days from `from_day` to before `until_day` and while the files in `needs` are as they were; `words` has a letter
# for each due rule, `minutes` job → minutes of work; `stays` from which entry on it lay where, of a cask with several files alone; `beside` is 0 where its rows of `service`, `told`, `turns`, `gauges`, `losses` and `fill` are still to be worked out (`beside.py`). `quiet`: its verdicts that are ok (`quiet.py`). `kept`: what was read of a version (`kept_files.py`). `answer`: the lives of all files in a state
# on certain days, each with the number under which its cask goes on, `judged` 0 where `peer_doubt` and `peer_loss` are still to be worked out; `rule` is the number of a due rule. `peer`: what each fill loses, as of a 200 L cask, and without a rate each other store it lay in;
# in; `service`: how long its char, the cask and its staves served; `told`: its receipt, leaks and mends; `gauges`: the gauges of its fills (`gauges.py`); `losses`: what an account of losses tells of them (`losses.py`); `turns`: what an outlook counts of it, a line each; `foreseen`: what a plan and `ready` worked out of its file (`foreseen.py`); `summary`: what the rule `loss` needs of a life; `middle`, `peer_due`, `peer_doubt`, `peer_loss`, `peer_words`, `wide`: what follows for an answer, in which
# each is held against all others: a verdict by the rule `loss`, fills (the latest has `back` 0) of which a gauge is likely misread, what an account tells of each fill beside its peers, and where
# `whole` is set all verdicts, in the place of others. What stands in sqlite_stat1 is no count but a hint, for SQLite takes ten lives for an answer where
# it knows nothing, and would then look at all of them for each row that a query joins.
_TABLES = """
CREATE TABLE meta (key TEXT PRIMARY KEY, value) WITHOUT ROWID;
CREATE TABLE house (id INTEGER PRIMARY KEY, key BLOB UNIQUE, timezone TEXT, wrong INTEGER, off TEXT, stores TEXT);
CREATE TABLE version (id INTEGER PRIMARY KEY, name TEXT, key TEXT, joins TEXT, UNIQUE (name, key));
CREATE INDEX version_joins ON version (id) WHERE joins IS NOT NULL;
CREATE TABLE work_file (name TEXT PRIMARY KEY, stamp TEXT, version INTEGER) WITHOUT ROWID;
CREATE INDEX work_file_odd ON work_file (name) WHERE stamp < 'g' OR stamp >= 'h';
CREATE INDEX work_file_unread ON work_file (name) WHERE version IS NULL;
CREATE TABLE life (
  id INTEGER PRIMARY KEY, version INTEGER, house INTEGER, from_day INTEGER, until_day INTEGER, needs TEXT,
  begun INTEGER, here INTEGER, words TEXT, filling_from INTEGER, filling_since_char INTEGER, wood_days INTEGER,
  wood_days_since_char INTEGER, unreadable INTEGER, last_entry INTEGER, stays TEXT, minutes TEXT, beside INTEGER,
FACTS
);
CREATE INDEX life_of ON life (version, house, from_day, until_day);
CREATE INDEX life_from ON life (from_day);
CREATE INDEX life_until ON life (until_day);
CREATE INDEX life_berth ON life (berth) WHERE berth IS NOT NULL;
CREATE INDEX life_vat ON life (vat) WHERE vat IS NOT NULL;
CREATE INDEX life_parcel ON life (parcel) WHERE parcel IS NOT NULL;
CREATE INDEX life_marks ON life (old_marks) WHERE old_marks IS NOT NULL;
CREATE INDEX life_donors ON life (donors) WHERE donors IS NOT NULL;
CREATE INDEX life_needs ON life (id) WHERE needs IS NOT NULL;
CREATE INDEX life_beside ON life (id) WHERE beside = 0;
CREATE TABLE due (
  life INTEGER, rule INTEGER, verdict TEXT, since TEXT, well_past INTEGER, severity INTEGER, reasons TEXT, decided TEXT,
  changes_on TEXT, PRIMARY KEY (life, rule)
) WITHOUT ROWID;
CREATE INDEX due_now ON due (life) WHERE verdict IN ('due', 'blocked');
CREATE TABLE kept (version INTEGER PRIMARY KEY, data BLOB);
CREATE TABLE quiet (life INTEGER PRIMARY KEY, data TEXT);
CREATE TABLE fill (
  life INTEGER, event TEXT, n INTEGER, spirit TEXT, vat TEXT, start TEXT, "end" TEXT, litres REAL, abv REAL, is_spirit INTEGER,
  short INTEGER, berth_filled TEXT, berth_emptied TEXT, berth TEXT, store TEXT, loss_from TEXT, loss_to TEXT, loss_litres_20 REAL, loss_lpa REAL, loss_share REAL,
  loss_per_year REAL, loss_plus_minus REAL, loss_doubt TEXT, number TEXT, PRIMARY KEY (life, n)
) WITHOUT ROWID;
CREATE TABLE peer (
  life INTEGER, cask TEXT, type TEXT, store TEXT, band TEXT, rate REAL, sigma REAL, drift REAL
);
CREATE INDEX peer_life ON peer (life);
CREATE INDEX peer_kind ON peer (store, band, type);
CREATE TABLE summary (life INTEGER PRIMARY KEY, data TEXT);
CREATE TABLE service (life INTEGER PRIMARY KEY, data TEXT);
CREATE TABLE told (life INTEGER PRIMARY KEY, receipt TEXT, leaks TEXT, mends TEXT);
CREATE TABLE gauges (life INTEGER PRIMARY KEY, data TEXT);
CREATE TABLE losses (life INTEGER PRIMARY KEY, sums TEXT, years TEXT, fills TEXT);
CREATE TABLE turns (life INTEGER PRIMARY KEY, data TEXT);
CREATE TABLE foreseen (kind TEXT, life INTEGER, data TEXT, PRIMARY KEY (kind, life)) WITHOUT ROWID;
CREATE TABLE middle (
  answer INTEGER, type TEXT, store TEXT, band TEXT, count INTEGER, rate REAL, spread REAL, drift REAL, drift_spread REAL, noise REAL, few TEXT,
  PRIMARY KEY (answer, store, band, type)
) WITHOUT ROWID;
CREATE TABLE peer_due (
  answer INTEGER, life INTEGER, rule INTEGER, verdict TEXT, since TEXT, well_past INTEGER, severity INTEGER, reasons TEXT,
  decided TEXT, changes_on TEXT, PRIMARY KEY (answer, life, rule)
) WITHOUT ROWID;
CREATE INDEX peer_due_now ON peer_due (answer) WHERE verdict <> 'ok';
CREATE TABLE peer_doubt (answer INTEGER, life INTEGER, fill TEXT, start TEXT, back INTEGER, doubt TEXT, PRIMARY KEY (answer, life, back)) WITHOUT ROWID;
CREATE TABLE peer_loss (answer INTEGER, life INTEGER, data TEXT, PRIMARY KEY (answer, life)) WITHOUT ROWID;
CREATE TABLE peer_words (answer INTEGER, life INTEGER, words TEXT, whole INTEGER, PRIMARY KEY (answer, life)) WITHOUT ROWID;
CREATE TABLE wide (answer INTEGER, life INTEGER, PRIMARY KEY (answer, life)) WITHOUT ROWID;
CREATE TABLE event (
  version INTEGER, row INTEGER, id TEXT, date TEXT, job TEXT, "by" TEXT, sheet TEXT, note TEXT, stands INTEGER, voided_by TEXT,
  litres REAL, abv REAL, psi REAL, vat TEXT, vat_litres REAL, work_minutes REAL, material TEXT, photo TEXT, berth TEXT, data TEXT, PRIMARY KEY (version, row)
) WITHOUT ROWID;
CREATE INDEX event_id ON event (id);
CREATE INDEX event_date ON event (date);
CREATE TABLE events_kept (version INTEGER PRIMARY KEY);
CREATE TABLE file_check (
  version INTEGER, house INTEGER, from_day INTEGER, until_day INTEGER, needs TEXT, findings TEXT, tally TEXT, sign INTEGER,
  PRIMARY KEY (version, house, from_day)
) WITHOUT ROWID;
CREATE TABLE answer (
  id INTEGER PRIMARY KEY, state TEXT, house INTEGER, from_day INTEGER, until_day INTEGER, used INTEGER, summary TEXT, judged INTEGER
);
CREATE INDEX answer_of ON answer (state, house);
CREATE TABLE answer_life (answer INTEGER, life INTEGER, cask TEXT, PRIMARY KEY (answer, life)) WITHOUT ROWID;
CREATE INDEX answer_life_cask ON answer_life (answer, cask);
ANALYZE answer_life;
INSERT INTO sqlite_stat1 VALUES ('answer_life', 'answer_life', '100000 20000 1'), ('answer_life', 'answer_life_cask', '100000 20000 1 1');
"""


@cache
def fingerprint() -> str:
    """Of the layout, of Python and of every module of this program: whatever could make an old answer differ from a new one."""
    seen = hashlib.blake2b(f"{LAYOUT} {sys.version_info[:2]}".encode(), digest_size=16)
    for path, size, changed in sorted(_modules_in(str(Path(__file__).parents[1]))):
        seen.update(f"{path} {size} {changed}\n".encode())
    return seen.hexdigest()


def _modules_in(folder: str) -> Iterator[tuple[str, int, int]]:
    """(path, size, time of change) of every module below a folder, by one call of the system each."""
    with os.scandir(folder) as found:
        for item in found:
            if item.name.endswith(".py"):
                about = item.stat()
                yield item.path, about.st_size, about.st_mtime_ns
            elif item.name != "__pycache__" and item.is_dir():
                yield from _modules_in(item.path)
