"""What one process does with some files: read each, live it to a day, judge it, and turn that into the rows of the index."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from operator import attrgetter
from typing import Any, TypeVar

from pydantic_core import to_json

from caskbook.due import Verdict, judge
from caskbook.due.losses import LossCase, loss_case
from caskbook.index.beside_rows import Beside, beside_row
from caskbook.index.claims import needs_of, untold_need
from caskbook.index.earlier_fills import Fill, fills_of
from caskbook.index.files_now import content_key
from caskbook.index.fill_rows import lost_of
from caskbook.index.good_days import good_days
from caskbook.index.kept_files import KeptError, KeptFile, cask_of_lines, kept_form, lines_kept
from caskbook.index.not_begun import not_begun, row_of_head
from caskbook.index.peers import NO_STORE
from caskbook.index.schema import IN_PART, NEVER, NOT_AT_ALL, stored
from caskbook.index.verdict_rows import due_rows, quiet_row, words_of
from caskbook.index.work_minutes import minutes_row
from caskbook.ledger.files import FileStore, Ledger
from caskbook.life import Life
from caskbook.life.berths import berth_stays
from caskbook.life.facts import Facts, facts_of
from caskbook.loss.fills import FillLoss, fill_losses
from caskbook.loss.peers import is_peer, rate_of_200, sigma_of_200
from caskbook.model.bonds import bonds_of
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record
from caskbook.model.joins import BOND_WORDS, Claims
from caskbook.model.query_columns import CASK
from caskbook.model.untold import Gap
from caskbook.yaml.escapes import may_hold

FACTS = tuple(column.name for column in stored(CASK))
LOSS_FACTS = tuple(name for name in FACTS if name.startswith("loss_"))
_KEPT = tuple(name for name in FACTS if name not in LOSS_FACTS)
_kept_of = attrgetter(*_KEPT)
_as_json = json.JSONEncoder(ensure_ascii=False, default=str).encode
_DAYS = tuple(column.name for column in stored(CASK) if column.kind == "day" and column.name in _KEPT)
_JSON = tuple(column.name for column in CASK if column.kind in ("list", "map"))
UNREADABLE = "?"
_Found = TypeVar("_Found")


@dataclass
class Logged:
    """The files of a ledger, with a note of each that was read and what it held."""

    file_store: FileStore
    like: str = ""
    seen: dict[str, str | None] = field(default_factory=dict)
    shown: str = ""

    def __post_init__(self) -> None:
        self.shown = self.file_store.shown

    def names(self) -> Any:
        """As the file_store has them."""
        return self.file_store.names()

    def read(self, name: str) -> bytes | None:
        """As the file_store does."""
        self.seen[name] = UNREADABLE
        data = self.file_store.read(name)
        self.seen[name] = None if data is None else content_key(data, self.like)
        return data


@dataclass(frozen=True)
class Task:
    """Opens a ledger in each process. `open_ledger` gives it; `like` is a name of content of the kind used, `claims` what the files
    are thought to claim; `beside`: whether what reports alone tell is worked out along, `keeps`: whether what was read is kept (`kept_files.py`)."""

    open_ledger: Callable[[], Ledger]
    day: date
    like: str = ""
    claims: Claims = field(default_factory=dict)
    beside: bool = True
    keeps: bool = False

    def __call__(self) -> Opened:
        ledger = self.open_ledger()
        ledger.claims_known = lambda: self.claims
        file_store = Logged(ledger.file_store, self.like)
        ledger.file_store = file_store
        return Opened(ledger, file_store, self.day, self.beside, self.keeps)


@dataclass
class Opened:
    """A ledger whose reading is noted, and the day asked about."""

    ledger: Ledger
    file_store: Logged
    day: date
    beside: bool = True
    keeps: bool = False


@dataclass(slots=True)
class LifeRows:
    """One file worked out. `key` is the name of the content that was read; `needs` name → key of other files that were used;
    `life` the columns of `LIFE` that follow them, `due`, `quiet` and `peers` rows; `beside` what reports alone tell, None where it is left; `kept` what was read,
    None where that is kept already or cannot be."""

    name: str
    key: str | None
    joins: list[str]
    needs: dict[str, str | None]
    from_day: int
    until_day: int
    life: dict[str, Any]
    due: list[tuple[Any, ...]]
    quiet: str
    peers: list[tuple[Any, ...]]
    summary: str | None
    beside: Beside | None = None
    kept: bytes | None = None


def work_out(opened: Opened, items: Sequence[str | KeptFile]) -> list[LifeRows]:
    """The rows of some files on the day."""
    return _as_kept(_worked_out, opened, items)


def _as_kept(work: Callable[[Opened, Sequence[str | KeptFile]], list[_Found]], opened: Opened, items: Sequence[str | KeptFile]) -> list[_Found]:
    """What comes of some files together; where one is not kept as it was read, of each by itself, and of that one as it is on disk."""
    try:
        return work(opened, items)
    except KeptError:
        if len(items) == 1:
            return work(opened, [str(items[0])])
        return [found for item in items for found in _as_kept(work, opened, [item])]


@dataclass(slots=True)
class _Read:
    """A file as it was read, to be worked out."""

    item: str | KeptFile
    name: str
    cask: Cask
    key: str | None
    record: Record | None


def _worked_out(opened: Opened, items: Sequence[str | KeptFile]) -> list[LifeRows]:
    """The same; KeptError where what is kept of a file is not what was read of it. Step by step for all of them: see `Together`."""
    read = [_as_read(opened, item) for item in items]
    todo = [one for one in read if isinstance(one, _Read)]
    lived = [_lived(opened, one.cask) for one in todo]
    facts = [facts_of(life) for life, _, _ in lived]
    verdicts = [judge(life, known) if life.begun else [] for (life, _, _), known in zip(lived, facts, strict=True)]
    fills = [fills_of(life, one.item, whole=opened.beside) for (life, _, _), one in zip(lived, todo, strict=True)]
    cases = [loss_case(life, known, ()) for (life, _, _), known in zip(lived, facts, strict=True)]
    rows = iter([_rows(opened, *told) for told in zip(todo, lived, facts, verdicts, fills, cases, strict=True)])
    return [next(rows) if isinstance(one, _Read) else one for one in read]


def _as_read(opened: Opened, item: str | KeptFile) -> LifeRows | _Read:
    """A file as it was read; its rows where that is all that is worked out of it, since it is no cask or had not begun."""
    lines = lines_kept(item) if isinstance(item, KeptFile) else []
    if isinstance(item, KeptFile) and not opened.beside and (found := not_begun(opened.ledger, item, lines, opened.day)) is not None:
        facts, days, last = found
        return LifeRows(item.name, item.key, [], {}, *days, row_of_head(facts, last, _KEPT, words_of([], None)), [], "", [], None)
    name, cask, key, record = _read(opened, item, lines)
    if cask is None:
        return LifeRows(name, key, [], {}, 0, NEVER, {"unreadable": NOT_AT_ALL, "begun": 0, "here": 0, "words": ""}, [], "", [], None)
    return _Read(item, name, cask, key, record)


def _rows(
    opened: Opened, one: _Read, lived: _Lived, facts: Facts, verdicts: list[Verdict], found: tuple[list[FillLoss], list[Fill]], case: LossCase | None
) -> LifeRows:
    """The rows of one file out of all that was worked out of it."""
    (life, needs, gaps), (losses, fills), record = lived, found, one.record
    kept = case or (LossCase.of_fills(()) if fills else None)
    row = {**_life_row(life, facts, verdicts, case), **_loss_row(lost_of(losses[0] if losses else None)), "beside": int(opened.beside)}
    return LifeRows(
        one.name, one.key, [] if record is None else joins_of(record), needs, *good_days(life, facts, verdicts, case, opened.ledger, needs, gaps), row,
        due_rows(verdicts), quiet_row(verdicts), [row for fill in fills for row in _peer_rows(fill)],
        None if kept is None else to_json(kept.as_row(fills), inf_nan_mode="constants").decode(),
        beside_row(life, losses) if opened.beside else None, kept_form(record) if opened.keeps and record is not None else None,
    )  # fmt: skip


_BesideOf = tuple[str, str | None, dict[str, str | None], Beside | None]
"""(name, key, the other files that were used, what reports alone tell of it) of a file on the day; None of one that is no cask."""


def beside_of(opened: Opened, items: Sequence[str | KeptFile]) -> list[_BesideOf]:
    """What is left of the rows of some files, step by step for all of them as they were."""
    return _as_kept(_beside_of, opened, items)


def _beside_of(opened: Opened, items: Sequence[str | KeptFile]) -> list[_BesideOf]:
    read = [_read(opened, item, lines_kept(item) if isinstance(item, KeptFile) else []) for item in items]
    lived = [None if cask is None else _lived(opened, cask) for _, cask, _, _ in read]
    losses = [[] if told is None else _losses(told[0]) for told in lived]
    return [
        (name, key, {}, None) if told is None else (name, key, told[1], beside_row(told[0], lost))
        for (name, _, key, _), told, lost in zip(read, lived, losses, strict=True)
    ]


def _losses(life: Life) -> list[FillLoss]:
    """What each fill of spirit lost, the latest first; nothing of a cask that has not begun."""
    return fill_losses(life)[::-1] if life.begun else []


def _read(opened: Opened, item: str | KeptFile, lines: list[bytes]) -> tuple[str, Cask | None, str | None, Record | None]:
    """(name, cask, name of what it held, record) of a file, without a record where it is as it was kept, by its `lines`; KeptError where it was kept wrongly."""
    if isinstance(item, KeptFile):
        return item.name, cask_of_lines(item, lines, opened.day), item.key, None
    record = opened.ledger.read_file(item)
    return item, record.own, opened.file_store.seen.pop(item, None), record


_Lived = tuple[Life, dict[str, str | None], tuple[Gap, ...]]
"""The life of a cask on the day, name → key of all else that it was worked out with, and what nobody can tell of its history."""


def _lived(opened: Opened, cask: Cask) -> _Lived:
    ledger = opened.ledger
    opened.file_store.seen.clear()
    life = ledger.life_of(cask, opened.day, faults=False)
    return life, {**opened.file_store.seen, **needs_of(ledger.leaned), **untold_need(cask.id, ledger.leaned_untold)}, ledger.leaned_untold


def _peer_rows(summary: Fill) -> list[tuple[Any, ...]]:
    """A fill as a peer in its store; and without a rate in each other store it lay in, for its verdict leans on the peers there too."""
    figure = summary.figure
    rate, sigma = (rate_of_200(figure), sigma_of_200(figure)) if is_peer(figure) else (None, 0.0)
    others = summary.stores - {figure.store}
    return [
        (figure.cask, figure.type, figure.store or NO_STORE, figure.band, rate, sigma, figure.drift),
        *((figure.cask, figure.type, store or NO_STORE, figure.band, None, 0.0, None) for store in sorted(others, key=str)),
    ]


def _loss_row(lost: dict[str, Any]) -> dict[str, Any]:
    return {name: lost[name.removeprefix("loss_")] for name in LOSS_FACTS}


def joins_of(record: Record) -> list[str]:
    """What the file says of other files: the numbers that are the same cask, and the moves of entries."""
    cask = record.own if may_hold(record.data, *BOND_WORDS) else None
    return [] if cask is None else bonds_of(cask)


def _life_row(life: Life, facts: Facts, verdicts: list[Verdict], case: LossCase | None) -> dict[str, Any]:
    """Column → value of one life, as the index keeps it: days as ISO text, lists and maps as JSON."""
    st = life.state
    filling = st.filling
    filling = filling if filling is not None and filling.is_spirit else None
    row: dict[str, Any] = dict(zip(_KEPT, _kept_of(facts), strict=True))
    for name in _DAYS:
        if row[name] is not None:
            row[name] = row[name].isoformat()
    for name in _JSON:
        row[name] = _as_json(row[name]) if row[name] or (row[name] is None and (name in st.unsure or life.in_part)) else None
    row.update(
        begun=int(life.begun),
        here=int(life.begun and facts.is_here),
        words=words_of(verdicts, case),
        filling_from=filling.start.toordinal() if filling and facts.years_in_wood is not None else None,
        filling_since_char=max(filling.start, st.last_char or filling.start).toordinal() if filling else None,
        wood_days=st.wood_days if facts.years_in_wood is not None else None,
        wood_days_since_char=st.wood_days_since_char if facts.years_in_wood_since_char is not None else None,
        unreadable=IN_PART if life.in_part else 0,
        last_entry=max((event.date.toordinal() for event in life.cask.events), default=0),
        stays=json.dumps(list(berth_stays(life.events)), ensure_ascii=False) if st.joined else None,
        minutes=minutes_row(life),
    )
    return row
